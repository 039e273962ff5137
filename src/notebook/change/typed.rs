//! A change as a person types it: `NAME = VALUE` and what may follow.
//!
//! In: a line of the prompt. Out: the name, the value, and what is known of it, each with its characters.
//! Never: knows which names there are.

use std::sync::Arc;

use crate::fault::{Fault, Kind, Page, Refused, Span, Spanned, near};
use crate::job::{How, Job, Rows};
use crate::notebook::Wrong;
use crate::sheet::scan::Scan;
use crate::sheet::token::Path;

/// `NAME = VALUE [how] [with INSTRUMENT] [anyway "reason"] [by "document"] ["note"]`
#[derive(Clone, Debug, PartialEq)]
pub(in crate::notebook) struct Typed {
    /// What is set.
    pub path: Spanned<Path>,
    /// The value as typed, its quotes taken off.
    pub value: Spanned<String>,
    /// Whether it stood in quotes: then it is a text, whatever it looks like.
    pub quoted: bool,
    /// How it is known.
    pub how: Option<How>,
    /// The instrument.
    pub with: Option<String>,
    /// Why a value outside its range is taken.
    pub anyway: Option<String>,
    /// The document of a figure.
    pub by: Option<String>,
    /// A remark.
    pub note: Option<String>,
}

/// Words that end a value and say more of it.
const MORE: [&str; 3] = ["with", "anyway", "by"];

impl Typed {
    /// Reads a line from a byte on; `instruments` are those of the job.
    ///
    /// # Errors
    /// What is wrong with it, at its characters.
    pub(in crate::notebook) fn read(line: &str, from: usize, instruments: &[String]) -> Result<Self, Fault> {
        let mut scan = Scan::new(line, Span::new(from, line.len()));
        let path = path(&mut scan)?;
        if scan.skip("=").is_none() {
            return Err(Fault::new(scan.next_piece(), Wrong::NoteFirst));
        }
        scan.skip_blank();
        let value = value(line, &mut scan)?;
        Self::with_more(path, value, line, scan, instruments)
    }

    /// Reads a name alone, with what may follow a value.
    ///
    /// # Errors
    /// As [`Typed::read`].
    pub(in crate::notebook) fn read_name(
        line: &str,
        from: usize,
        instruments: &[String],
    ) -> Result<Self, Fault> {
        let mut scan = Scan::new(line, Span::new(from, line.len()));
        let path = path(&mut scan)?;
        let value = Spanned::new(String::new(), path.at);
        Self::with_more(path, value, line, scan, instruments)
    }

    /// Reads a name, and a remark in quotes behind it.
    ///
    /// # Errors
    /// As [`Typed::read`].
    pub(in crate::notebook) fn read_marked(
        line: &str,
        from: usize,
    ) -> Result<(Spanned<Path>, Option<String>), Fault> {
        let mut scan = Scan::new(line, Span::new(from, line.len()));
        let path = path(&mut scan)?;
        scan.skip_blank();
        let note =
            if scan.peek() == Some('"') { Some(scan.expect_quoted("a remark, in quotes")?.0) } else { None };
        if scan.is_done() {
            return Ok((path, note));
        }
        let at = Span::new(scan.next_piece().start, line.len());
        Err(Fault::new(at, Wrong::BehindMark { found: line[at.range()].trim().to_owned() }))
    }

    /// Reads a name and nothing else.
    ///
    /// # Errors
    /// As [`Typed::read`].
    pub(in crate::notebook) fn read_path(line: &str, from: usize) -> Result<Spanned<Path>, Fault> {
        let mut scan = Scan::new(line, Span::new(from, line.len()));
        let path = path(&mut scan)?;
        scan.expect_end().map(|()| path)
    }

    /// Reads a new row: `SCHEDULE COLUMN = VALUE, COLUMN = VALUE`, with what may follow each value.
    ///
    /// # Errors
    /// As [`Typed::read`].
    pub(in crate::notebook) fn read_row(
        line: &str,
        from: usize,
        instruments: &[String],
    ) -> Result<(Spanned<Path>, Vec<Self>), Fault> {
        let mut scan = Scan::new(line, Span::new(from, line.len()));
        let schedule = path(&mut scan)?;
        let mut cells = Vec::new();
        while !scan.is_done() {
            let mut cell = Scan::new(line, Span::new(scan.at(), cell_end(line, scan.at())));
            // What stands behind a comma may belong to the text before it.
            let in_text = |fault: Fault| match cells.last() {
                Some(Self { value, quoted: false, how: None, .. }) => {
                    let text = line[value.at.start..cell_end(line, fault.at.start)].trim_end().to_owned();
                    Fault::new(fault.at, Wrong::CommaInText { text })
                }
                _ => fault,
            };
            let (name, at) = cell.expect_name("the name of a column").map_err(in_text)?;
            let name = Spanned::new(Path(vec![name]), at);
            if cells.iter().any(|cell: &Self| cell.path.value == name.value) {
                return Err(Fault::new(at, Wrong::CellTwice { found: name.value.to_string() }));
            }
            if cell.skip("=").is_none() {
                let found = line[cell.next_piece().range()].to_owned();
                let wrong = crate::sheet::Wrong::Expected { what: "'='", found };
                return Err(in_text(Fault::new(cell.next_piece(), wrong)));
            }
            cell.skip_blank();
            let value = value(line, &mut cell)?;
            scan.go(cell_end(line, scan.at()));
            cells.push(Self::with_more(name, value, line, cell, instruments)?);
            scan.skip(",");
        }
        Ok((schedule, cells))
    }

    fn with_more(
        path: Spanned<Path>,
        value: Spanned<String>,
        line: &str,
        mut scan: Scan<'_>,
        instruments: &[String],
    ) -> Result<Self, Fault> {
        let quoted = line[..value.at.start].ends_with('"');
        let mut made =
            Self { path, value, quoted, how: None, with: None, anyway: None, by: None, note: None };
        while !scan.is_done() {
            made.more(line, &mut scan, instruments)?;
        }
        Ok(made)
    }

    fn more(&mut self, line: &str, scan: &mut Scan<'_>, instruments: &[String]) -> Result<(), Fault> {
        let at = scan.next_piece();
        if scan.peek() == Some('"') {
            let (note, _) = scan.expect_quoted("a remark, in quotes")?;
            return once(&mut self.note, note, "remark", at);
        }
        let word = &line[at.range()];
        scan.go(at.end);
        match word {
            "with" => once(&mut self.with, instrument(line, scan, instruments)?, "with", at),
            "anyway" => once(&mut self.anyway, scan.expect_quoted("the reason, in quotes")?.0, "anyway", at),
            "by" => once(&mut self.by, scan.expect_quoted("the document, in quotes")?.0, "by", at),
            word => match How::known(word) {
                Some(how) => once(&mut self.how, how, "word for how it is known", at),
                None if scan.rest().trim_start().starts_with('=') => {
                    Err(Fault::new(at, Wrong::CommaMissing { found: word.to_owned() }))
                }
                None => {
                    let near = crate::notebook::load::enter::near_behind(word);
                    Err(Fault::new(at, Wrong::BehindValue { found: word.to_owned(), near }))
                }
            },
        }
    }
}

/// Returns where a cell of a row ends: at a comma with a blank behind it, outside quotes and brackets.
pub fn cell_end(line: &str, from: usize) -> usize {
    let (mut quoted, mut depth) = (false, 0_usize);
    for (at, c) in line[from..].char_indices() {
        quoted ^= c == '"';
        match c {
            '(' if !quoted => depth += 1,
            ')' if !quoted => depth = depth.saturating_sub(1),
            _ => {}
        }
        let behind = &line[from + at + c.len_utf8()..];
        if c == ','
            && !quoted
            && depth == 0
            && (behind.is_empty() || behind.starts_with(|c: char| c.is_whitespace() || c == ','))
        {
            return from + at;
        }
    }
    line.len()
}

fn path(scan: &mut Scan<'_>) -> Result<Spanned<Path>, Fault> {
    scan.expect_path("a name").map(|(path, at)| Spanned::new(path, at))
}

fn once<T>(place: &mut Option<T>, value: T, what: &'static str, at: Span) -> Result<(), Fault> {
    match place.replace(value) {
        None => Ok(()),
        Some(_) => Err(Fault::new(at, crate::sheet::Wrong::Twice { what })),
    }
}

/// Takes the value: a text in quotes, or all that stands before a word that says more of it.
fn value(line: &str, scan: &mut Scan<'_>) -> Result<Spanned<String>, Fault> {
    if scan.peek() == Some('"') {
        let (text, at) = scan.expect_quoted("a text")?;
        return Ok(Spanned::new(text, Span::new(at.start + 1, at.end - 1)));
    }
    let start = scan.at();
    let mut end = start;
    while !scan.is_done() {
        let piece = next_word(scan);
        let word = &line[piece.range()];
        let ends = word.starts_with('"') && !is_formula(&line[start..end])
            || MORE.contains(&word)
            || How::known(word).is_some();
        if ends && end > start {
            break;
        }
        end = piece.end;
        scan.go(end);
    }
    if end == start {
        let at = Span::new(start, line.len());
        return Err(Fault::new(at, crate::sheet::Wrong::Expected { what: "a value", found: String::new() }));
    }
    Ok(Spanned::new(line[start..end].to_owned(), Span::new(start, end)))
}

/// In a formula a text in quotes stands behind an operator; elsewhere it is a remark.
fn is_formula(before: &str) -> bool {
    before.trim_end().ends_with(['=', '(', ',', '+', '-', '*', '/', '<', '>'])
}

/// Returns what stands next, up to a blank; a text in quotes is one piece.
fn next_word(scan: &Scan<'_>) -> Span {
    let rest = scan.rest();
    let length = match rest.strip_prefix('"') {
        Some(inside) => inside.find('"').map_or(rest.len(), |n| n + 2),
        // A blank of another kind, as some pages have between number and unit, is no end where it stands first.
        None => rest.char_indices().skip(1).find(|(_, c)| c.is_whitespace()).map_or(rest.len(), |(n, _)| n),
    };
    Span::new(scan.at(), scan.at() + length)
}

/// Takes the name of an instrument: in quotes, or the longest of the job's that stands there.
fn instrument(line: &str, scan: &mut Scan<'_>, instruments: &[String]) -> Result<String, Fault> {
    scan.skip_blank();
    if scan.is_done() {
        let wrong = crate::sheet::Wrong::Expected { what: "an instrument of the job", found: String::new() };
        return Err(Fault::new(scan.next_piece(), wrong));
    }
    let start = scan.at();
    let (found, at) = if scan.peek() == Some('"') {
        scan.expect_quoted("an instrument of the job")?
    } else {
        let rest = scan.rest();
        let whole = |name: &&String| {
            rest.strip_prefix(name.as_str()).is_some_and(|after| !after.starts_with(char::is_alphanumeric))
        };
        let known = instruments.iter().filter(whole).max_by_key(|name| name.len());
        let end = known.map_or_else(|| next_word(scan).end, |name| start + name.len());
        scan.go(end);
        (line[start..end].to_owned(), Span::new(start, end))
    };
    if instruments.contains(&found) {
        return Ok(found);
    }
    let near = near(&found, instruments.iter().map(String::as_str)).map(str::to_owned);
    let known = instruments.to_vec();
    Err(Fault::new(at, crate::job::Wrong::NoInstrument { found, near, known }))
}

/// A value as typed, and where it goes: the sheet, the schedule and row of a cell, the name of the line.
pub(in crate::notebook) type Goes<'t> = (&'t Typed, (&'t str, Option<(&'t str, usize)>, &'t str));

/// What is wrong with the values that were typed is told under what was typed, not in a file they are not in.
pub(in crate::notebook) fn under_typed(
    refused: Vec<Refused>,
    page: &Arc<Page>,
    line: &str,
    typed: &[Goes<'_>],
) -> Vec<Refused> {
    let mut written: Vec<(&Typed, Span)> =
        typed.iter().filter_map(|(typed, place)| Some((*typed, written(page, *place)?))).collect();
    written.sort_by_key(|(_, at)| at.start);
    let (Some((_, first)), Some((_, last))) = (written.first(), written.last()) else { return refused };
    // All that stands on the lines of the values was written for what was typed.
    let lines = page.place(first.start).0..=page.place(last.start).0;
    let renamed = |fault: &Fault| match &fault.kind {
        Kind::Book(Wrong::RowName { found }) => written.iter().any(|(typed, _)| typed.value.value == *found),
        _ => false,
    };
    let own = |fault: &Fault| lines.contains(&page.place(fault.at.start).0) || renamed(fault);
    let mut made = Vec::new();
    for mut one in refused {
        let here = one.page == *page;
        let (here, rest): (Vec<Fault>, Vec<Fault>) =
            one.faults.iter().cloned().partition(|fault| here && own(fault));
        if !here.is_empty() {
            let mut faults: Vec<Fault> = Vec::new();
            for fault in here {
                let fault = Fault { at: placed(page, &written, &fault), ..fault };
                // What was typed once may be wrong on many rows.
                if !faults.contains(&fault) {
                    faults.push(fault);
                }
            }
            made.extend(Refused::typed(line, faults));
        }
        one.faults = rest;
        if !one.faults.is_empty() {
            made.push(one);
        }
    }
    made
}

/// Returns where a fault of a page stands in what was typed: in the last value that begins before it.
fn placed(page: &Page, written: &[(&Typed, Span)], fault: &Fault) -> Span {
    let before = written.iter().rev().find(|(_, at)| at.start <= fault.at.start);
    let Some((typed, entry)) = before.or(written.first()) else { return Span::default() };
    let text = page.text.get(entry.range()).unwrap_or_default();
    // A link has got its sign, a bare number its unit.
    let shift = text.find(&typed.value.value);
    let from = shift.and_then(|shift| fault.at.start.checked_sub(entry.start + shift));
    let length = fault.at.end - fault.at.start;
    match from {
        Some(from) if from + length <= typed.value.value.len() => {
            Span::new(typed.value.at.start + from, typed.value.at.start + from + length)
        }
        Some(_) | None => typed.value.at,
    }
}

/// Returns where a value stands in a job.
fn written(page: &Arc<Page>, (sheet, row, line): (&str, Option<(&str, usize)>, &str)) -> Option<Span> {
    let job = Job::read_part(page).0?;
    let used = job.sheets.into_iter().find(|used| used.name.value == sheet)?;
    let entries = match row {
        None => used.given.into_iter().chain(used.take).collect(),
        Some((schedule, row)) => {
            let rows = used.schedules.into_iter().find(|(name, _)| name.value == schedule)?.1;
            let Rows::Listed(rows) = rows else { return None };
            rows.into_iter().nth(row)?.cells
        }
    };
    entries.into_iter().find(|(name, _)| name.value == line).map(|(_, entry)| entry.value.at)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(line: &str) -> Result<Typed, Fault> {
        Typed::read(line, 0, &["clamp".to_owned(), "loop tester".to_owned(), "loop".to_owned()])
    }

    #[test]
    fn a_value_ends_where_more_is_said_of_it() {
        for (line, value) in [
            ("a = 12 Ah", "12 Ah"),
            ("a=12", "12"),
            ("a = 1.2 A ± 2 % measured with clamp \"read twice\"", "1.2 A ± 2 %"),
            ("a = clipped direct drawing", "clipped direct"),
            ("a = \"measured by hand\"", "measured by hand"),
            ("a = = standby.total * 2", "= standby.total * 2"),
            ("a = first(s.e.a, s.e.item == \"Bell\")", "first(s.e.a, s.e.item == \"Bell\")"),
            ("a = 25 A anyway \"two in one box\" nameplate", "25 A"),
        ] {
            assert_eq!(read(line).map(|typed| typed.value.value), Ok(value.to_owned()), "{line}");
        }
    }

    #[test]
    fn all_that_may_follow_is_read_in_any_order() {
        let typed =
            read("s.e.\"Call point\".a = 2 mA with loop tester measured anyway \"as found\" \"twice\"");
        let typed = typed.expect("a change");
        assert_eq!(typed.path.value.to_string(), "s.e.\"Call point\".a");
        assert_eq!((typed.how, typed.with.as_deref()), (Some(How::Measured), Some("loop tester")));
        assert_eq!((typed.anyway.as_deref(), typed.note.as_deref()), (Some("as found"), Some("twice")));
        let figure = read("hold = 72 h by \"Fire strategy, 4.2\"").expect("a figure");
        assert_eq!(figure.by.as_deref(), Some("Fire strategy, 4.2"));
    }

    #[test]
    fn a_slip_is_told_at_its_characters() {
        let told = |line: &str| {
            let fault = read(line).expect_err(line);
            (line[fault.at.range()].to_owned(), fault.wording().title)
        };
        assert_eq!(told("a"), (String::new(), "this cannot be read".to_owned()));
        assert_eq!(told("a ="), (String::new(), "a value is missing".to_owned()));
        let (at, words) = told("a = 2 A with clmp");
        assert_eq!((at.as_str(), words.as_str()), ("clmp", "no instrument 'clmp' in this job"));
        assert_eq!(told("a = 2 A anyway reason").0, "reason");
        assert_eq!(told("a = 2 A measured nameplate").0, "nameplate");
    }
}
