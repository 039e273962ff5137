//! Statements read: a page's blocks become a [`Draft`], with every fault met on the way.
//!
//! In: the text of a sheet or a basis. Out: its statements as written, and all faults.
//! Never: settles a name; a statement that cannot be read is left out and the next is read.

mod detail;
mod example;
mod head;

use std::collections::HashSet;

use crate::fault::{
    BYTE_ORDER_MARK, Fault, Faults, Page, Span, Spanned, begins_name, is_of_name, looks_like, near,
    with_line_ends,
};
use crate::sheet::layout::{Block, layout};
use crate::sheet::scan::Scan;
use crate::sheet::statement::{
    Body, ChartDraft, CiteDraft, Declared, Draft, ScheduleDraft, SourceDraft, TableDraft, WithoutDraft,
};
use crate::sheet::words::{COLUMNS, is_taken, statements};
use crate::sheet::wrong::Wrong;

/// Which kind of page is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PageKind {
    /// A `.sheet` file.
    Sheet,
    /// A `.basis` file.
    Basis,
}

/// Reads all statements of a page. The draft holds what could be read, also where there are faults.
pub fn read(page: &Page, kind: PageKind) -> (Draft, Faults) {
    let text = with_line_ends(&page.text);
    if let Some(wrong) = other_text(&page.name, &text, kind) {
        let mut faults = Faults::default();
        faults.add(Fault::new(Span::default(), wrong));
        return (Draft::default(), faults);
    }
    let (blocks, faults) = layout(&text);
    let mut reader = Reader { text: &text, kind, draft: Draft::default(), faults: Faults::default() };
    reader.faults.extend(faults);
    for block in &blocks {
        if let Err(fault) = reader.statement(block) {
            reader.faults.add(fault);
        }
    }
    reader.once_for_names();
    match &reader.draft.title {
        None => reader.faults.add(Fault::new(Span::default(), Wrong::NoTitle)),
        Some(title)
            if kind == PageKind::Sheet
                && reader.draft.lines.is_empty()
                && reader.draft.schedules.is_empty() =>
        {
            // Where statements could not be read, that is told.
            if reader.faults.is_empty() {
                let at = title.at;
                reader.faults.add(Fault::new(at, Wrong::NothingStated));
            }
        }
        Some(_) => {}
    }
    (reader.draft, reader.faults)
}

/// Returns what a page holds that is no text of its kind at all: a basis in a sheet's file.
fn other_text(name: &str, text: &str, kind: PageKind) -> Option<Wrong> {
    if text.trim_matches(|c: char| c.is_whitespace() || c == BYTE_ORDER_MARK).is_empty() {
        return Some(Wrong::Empty);
    }
    let found = looks_like(text)?;
    let own = if kind == PageKind::Sheet { "sheet" } else { "basis" };
    let (is, ending) = match found {
        "sheet" => ("a sheet", "sheet"),
        "basis" => ("a basis", "basis"),
        "job" => ("a job", "toml"),
        _ => return None,
    };
    let stem = name.rsplit_once('.').map_or(name, |(stem, _)| stem);
    (ending != own).then(|| Wrong::OtherFile { is, fits: format!("{stem}.{ending}") })
}

struct Reader<'a> {
    text: &'a str,
    kind: PageKind,
    draft: Draft,
    faults: Faults,
}

impl<'a> Reader<'a> {
    fn statement(&mut self, block: &Block) -> Result<(), Fault> {
        let mut scan = Scan::new(self.text, block.at);
        let word = scan.next_piece();
        let found = &self.text[word.range()];
        scan.go(word.end);
        let known = statements(self.kind);
        if !known.contains(&found) {
            let near = near(found, known.iter().copied());
            let (is_basis, found) = (self.kind == PageKind::Basis, found.to_owned());
            let of_sheet = is_basis && statements(PageKind::Sheet).contains(&found.as_str());
            let wrong = if of_sheet {
                Wrong::NotInBasis { found, known }
            } else {
                Wrong::UnknownStatement { found, near, known }
            };
            self.faults.add(Fault::new(word, wrong));
            // A line by a word that was probably meant is kept, so that its name is not missed below.
            let is_line = |near: &&str| *near == "take" || COLUMNS.contains(near);
            let line = near.filter(|near| !of_sheet && is_line(near));
            return line.map_or(Ok(()), |line| self.line(line, scan, block, None));
        }
        match found {
            "title" | "about" | "caution" => self.plain(found, word, block),
            "revision" => self.revision(scan, block),
            "source" => self.source(scan, block),
            "extends" => self.extends(scan, block),
            "table" => self.table(scan, block),
            "chart" => self.chart(scan, block),
            "schedule" => self.schedule(scan, block),
            "cite" => self.cite(scan, block),
            "without" => self.without(scan, block),
            "example" => self.example(scan, block),
            _ => self.line(found, scan, block, None),
        }
    }

    /// Where a line has a name that it cannot have, each use of that name would be told too.
    fn once_for_names(&mut self) {
        let told: HashSet<Span> = self.faults.all().map(|fault| fault.at).collect();
        let names = || self.draft.lines.iter().map(|line| &line.name);
        let bad: HashSet<&str> =
            names().filter(|name| told.contains(&name.at)).map(|name| name.value.as_str()).collect();
        if bad.is_empty() {
            return;
        }
        let own: HashSet<Span> = names().map(|name| name.at).collect();
        let text = self.text;
        self.faults.retain(|fault| own.contains(&fault.at) || !bad.contains(&text[fault.at.range()]));
    }

    /// `title`, `about`, `caution`: text to the end of the line, and of the lines under it.
    fn plain(&mut self, word: &str, at: Span, block: &Block) -> Result<(), Fault> {
        let mut text = self.text[at.end..block.at.end].trim().to_owned();
        let mut under: Vec<&Block> = block.inner.iter().rev().collect();
        while let Some(block) = under.pop() {
            text = format!("{text} {}", &self.text[block.at.range()]).trim().to_owned();
            under.extend(block.inner.iter().rev());
        }
        let draft = &mut self.draft;
        if text.is_empty() {
            // An empty title is one all the same: that it is missing would be a second fault.
            draft.title = draft.title.take().or((word == "title").then(|| Spanned::new(text, at)));
            return Err(Fault::new(at, Wrong::EmptyText));
        }
        let twice = match word {
            "title" => draft.title.replace(Spanned::new(text, block.at)).is_some().then_some("title"),
            "about" => draft.about.replace(text).is_some().then_some("about"),
            _ => {
                draft.cautions.push(text);
                None
            }
        };
        twice.map_or(Ok(()), |what| Err(Fault::new(at, Wrong::Twice { what })))
    }

    fn revision(&mut self, mut scan: Scan<'a>, block: &Block) -> Result<(), Fault> {
        scan.skip_blank();
        let at = Span::new(scan.at(), block.at.end);
        let found = scan.rest().trim();
        let revision = found.parse::<u32>().ok().filter(|revision| *revision > 0);
        let Some(revision) = revision else {
            return Err(Fault::new(at, Wrong::NotARevision { found: found.to_owned() }));
        };
        self.nothing_under(block, "a revision");
        match self.draft.revision.replace(revision) {
            Some(_) => Err(Fault::new(at, Wrong::Twice { what: "revision" })),
            None => Ok(()),
        }
    }

    fn source(&mut self, mut scan: Scan<'a>, block: &Block) -> Result<(), Fault> {
        let (id, at) = scan.expect_name("a word for the source")?;
        let document = scan.expect_quoted("the document, in quotes");
        let read = document.and_then(|(document, _)| scan.expect_end().map(|()| document));
        // What cannot be read is kept by its name, so that this is not missed below.
        let document = self.faults.keep(read).unwrap_or_default();
        self.nothing_under(block, "a source");
        self.draft.sources.push(SourceDraft { id: Spanned::new(id, at), document });
        Ok(())
    }

    fn extends(&mut self, mut scan: Scan<'a>, block: &Block) -> Result<(), Fault> {
        let (name, at) = scan.expect_name("the name of a basis")?;
        scan.expect_end()?;
        self.nothing_under(block, "extends");
        match self.draft.extends.replace(Spanned::new(name, at)) {
            Some(_) => Err(Fault::new(at, Wrong::Twice { what: "extends" })),
            None => Ok(()),
        }
    }

    fn table(&mut self, mut scan: Scan<'a>, block: &Block) -> Result<(), Fault> {
        let name = self.own_name(&mut scan, "a name for the table")?;
        let read = self.table_file(&mut scan);
        let file = self.faults.keep(read).flatten();
        self.details(block, &detail::TABLE, |_, _, _| Ok(None));
        self.draft.tables.push(TableDraft { name, file });
        Ok(())
    }

    fn table_file(&mut self, scan: &mut Scan<'a>) -> Result<Option<Spanned<String>>, Fault> {
        let file = if scan.skip_word("from").is_some() {
            expect_word(scan, "basis", "'basis'")?;
            None
        } else {
            let (file, at) = scan.expect_quoted("the table's file, in quotes")?;
            Some(Spanned::new(file, at))
        };
        scan.expect_end()?;
        Ok(file)
    }

    fn chart(&mut self, mut scan: Scan<'a>, block: &Block) -> Result<(), Fault> {
        let name = self.own_name(&mut scan, "a name for the chart")?;
        let (label, _) = scan.expect_quoted("a label, in quotes")?;
        scan.expect_end()?;
        let mut chart = ChartDraft { name, label, across: None, up: None, lines: Vec::new() };
        self.details(block, &detail::CHART, |reader, word, scan| {
            if word == "line" {
                chart.lines.push(reader.formula(scan)?);
                return Ok(None);
            }
            let (path, at) = scan.expect_path("a column: schedule.name")?;
            let (place, word) =
                if word == "up" { (&mut chart.up, "up") } else { (&mut chart.across, "across") };
            Ok(place.replace(Spanned::new(path, at)).map(|_| word))
        });
        if chart.across.is_none() || chart.up.is_none() {
            let what = if chart.across.is_none() { "across" } else { "up" };
            let wrong = Wrong::DetailWanted {
                of: detail::CHART.name,
                what,
                cure: "write: across schedule.name and up schedule.name",
            };
            return Err(Fault::new(chart.name.at, wrong));
        }
        self.draft.charts.push(chart);
        Ok(())
    }

    fn schedule(&mut self, mut scan: Scan<'a>, block: &Block) -> Result<(), Fault> {
        let name = self.own_name(&mut scan, "a name for the schedule")?;
        let mut made = ScheduleDraft {
            name,
            label: String::new(),
            from: None,
            may_be_empty: false,
            when: None,
            note: None,
        };
        let head = self.schedule_head(&mut made, &mut scan);
        self.faults.keep(head);
        let index = self.draft.schedules.len();
        let (columns, details): (Vec<_>, Vec<_>) = block.inner.iter().partition(|inner| {
            let first = Scan::new(self.text, inner.at).next_piece();
            COLUMNS.contains(&&self.text[first.range()])
        });
        let common = self.details_of(&details, &detail::SCHEDULE, |_, _, scan| {
            be_empty(scan)?;
            made.may_be_empty = true;
            Ok(None)
        });
        (made.when, made.note) = (common.when, common.note);
        self.draft.schedules.push(made);
        for column in columns {
            let mut scan = Scan::new(self.text, column.at);
            let word = scan.next_piece();
            scan.go(word.end);
            if let Err(fault) = self.line(&self.text[word.range()], scan, column, Some(index)) {
                self.faults.add(fault);
            }
        }
        Ok(())
    }

    fn schedule_head(&mut self, made: &mut ScheduleDraft, scan: &mut Scan<'a>) -> Result<(), Fault> {
        (made.label, _) = scan.expect_quoted("a label, in quotes")?;
        if scan.skip_word("from").is_some() {
            let (table, at) = scan.expect_name("the name of a table")?;
            made.from = Some(Spanned::new(table, at));
        }
        if scan.skip_word("may").is_some() {
            be_empty(scan)?;
            made.may_be_empty = true;
        }
        scan.expect_end()
    }

    fn cite(&mut self, mut scan: Scan<'a>, block: &Block) -> Result<(), Fault> {
        let name = self.own_name(&mut scan, "a name for the citation")?;
        scan.expect_end()?;
        let common = self.details(block, &detail::CITATION, |_, _, _| Ok(None));
        if common.by.is_none() {
            let wrong = Wrong::DetailWanted {
                of: detail::CITATION.name,
                what: "by",
                cure: "write under it: by SOURCE \"clause\"",
            };
            return Err(Fault::new(name.at, wrong));
        }
        self.draft.cites.push(CiteDraft { name, by: common.by, note: common.note });
        Ok(())
    }

    fn without(&mut self, mut scan: Scan<'a>, block: &Block) -> Result<(), Fault> {
        let (name, at) = scan.expect_name("the name that this basis is without")?;
        let (reason, _) = scan.expect_quoted("the reason, in quotes")?;
        scan.expect_end()?;
        self.nothing_under(block, "without");
        self.draft.withouts.push(WithoutDraft { name: Spanned::new(name, at), reason });
        Ok(())
    }

    /// Takes a name that the page gives to something of its own.
    fn own_name(&mut self, scan: &mut Scan<'a>, what: &'static str) -> Result<Spanned<String>, Fault> {
        if let Some(name) = self.capital_name(scan) {
            return Ok(name);
        }
        let (mut name, mut at) = scan.expect_name(what)?;
        let rest = scan.rest();
        let more = rest.find(|c: char| !(c == '-' || is_of_name(c))).unwrap_or(rest.len());
        if rest.starts_with('-') && rest[..more].ends_with(char::is_alphanumeric) {
            name = format!("{name}{}", rest[..more].replace('-', "_"));
            at.end += more;
            scan.go(at.end);
            self.faults.add(Fault::new(at, Wrong::Hyphen { fits: name.clone() }));
        } else if is_taken(&name) {
            self.faults.add(Fault::new(at, Wrong::TakenName { name: name.clone() }));
        }
        Ok(Spanned::new(name, at))
    }

    /// Takes a name with capital letters: its fault is told, and it is kept so that it is not missed below.
    fn capital_name(&mut self, scan: &mut Scan<'a>) -> Option<Spanned<String>> {
        scan.skip_blank();
        let at = scan.next_piece();
        let found = self.text[at.range()].to_owned();
        let fits = found.to_ascii_lowercase();
        if found == fits || !begins_name(&fits) || !fits.chars().all(is_of_name) {
            return None;
        }
        scan.go(at.end);
        self.faults.add(Fault::new(at, Wrong::BadName { found: found.clone() }));
        Some(Spanned::new(found, at))
    }

    fn nothing_under(&mut self, block: &Block, of: &'static str) {
        if let Some(first) = block.inner.first() {
            self.faults.add(Fault::new(first.at, Wrong::NoDetailsHere { of }));
        }
    }

    fn push_line(&mut self, line: crate::sheet::statement::LineDraft) {
        let wanted = match &line.body {
            Body::Limit { .. } if line.by.is_none() => Some("a limit"),
            // A figure that is not known needs no document.
            Body::Take { value: Some(_), .. } if line.by.is_none() => Some("a figure"),
            Body::Given { .. } | Body::Take { .. } | Body::Find(_) | Body::Limit { .. } => None,
        };
        let wanted = wanted.filter(|_| line.is != Declared::Unknown);
        if let Some(of) = wanted {
            let cure = "write under it: by SOURCE \"clause\", or by practice";
            self.faults.add(Fault::new(line.name.at, Wrong::DetailWanted { of, what: "by", cure }));
        }
        self.draft.lines.push(line);
    }
}

/// Takes one word, or says what is due.
fn expect_word(scan: &mut Scan<'_>, word: &str, what: &'static str) -> Result<(), Fault> {
    if scan.skip_word(word).is_some() {
        return Ok(());
    }
    let found = scan.rest()[..scan.next_piece().end - scan.at()].to_owned();
    Err(Fault::new(scan.next_piece(), Wrong::Expected { what, found }))
}

/// The rest of `may be empty`.
fn be_empty(scan: &mut Scan<'_>) -> Result<(), Fault> {
    expect_word(scan, "be", "'be empty'")?;
    expect_word(scan, "empty", "'empty'")
}

/// Between values a comma stands: where more comes without one, it is missing.
fn no_comma_due(scan: &mut Scan<'_>) -> Result<(), Fault> {
    if scan.is_done() { Ok(()) } else { Err(Fault::new(scan.next_piece(), Wrong::CommaMissing)) }
}
