//! A job read from its text, all faults at once.
//!
//! In: a page of TOML. Out: a [`Job`], or every fault of the page in text order.
//! Never: reports what only follows from a slip of TOML on the same line.

use std::sync::Arc;

use toml::de::{DeTable, DeValue};

use crate::fault::{Fault, Faults, Kind, Page, Span, near};

use super::entry::{entries, place, row_file};
use super::fields::{Fields, Value, differs, text};
use super::file::{Entry, Instrument, Job, Row, RowFile, Rows, Use};
use super::mark::mark;
use super::wrong::{Place, Takes, Wrong};
use super::{Spanned, Syntax, syntax};

impl Job {
    /// Reads a job.
    ///
    /// # Errors
    /// Every fault of the page, in text order.
    pub fn read(page: &Arc<Page>) -> Result<Self, Vec<Fault>> {
        match Self::read_part(page) {
            (Some(job), told) if told.is_empty() => Ok(job),
            (_, told) => Err(told),
        }
    }

    /// Reads what can be read of a job, beside every fault of the page in text order; no job where more would
    /// be missed than what has a fault.
    pub fn read_part(page: &Arc<Page>) -> (Option<Self>, Vec<Fault>) {
        if let Some(wrong) = Wrong::other_file(&page.name, &page.text, true) {
            return (None, vec![Fault::new(Span::new(0, 0), wrong)]);
        }
        if let Some(fault) = syntax::line_ends(page) {
            return (None, vec![fault]);
        }
        let (tree, met) = DeTable::parse_recoverable(&page.text);
        let slips = syntax::faults(page, &met);
        let lines: Vec<usize> = slips.iter().map(|slip| page.place(slip.at.start).0).collect();
        let mut faults = Faults::default();
        let whole = slips.is_empty();
        let job = job(page, tree.get_ref(), &mut faults).filter(|_| whole);
        let own = faults.or(()).err().unwrap_or_default();
        let mut told = Faults::default();
        told.extend(own.into_iter().filter(|fault| !follows(page, fault, &slips, &lines)));
        told.extend(slips);
        (job, told.or(()).err().unwrap_or_default())
    }
}

/// Returns whether a fault may only follow from a slip of TOML, on one of its own lines.
fn follows(page: &Page, fault: &Fault, slips: &[Fault], slipped: &[usize]) -> bool {
    if slips.is_empty() {
        return false;
    }
    let line = |at: usize| page.place(at).0;
    let lines = line(fault.at.start)..=line(fault.at.end);
    let missing = matches!(fault.kind, Kind::Job(Wrong::Missing { .. }));
    // Below a heading that does not close, keys belong nowhere.
    let lost = matches!(fault.kind, Kind::Job(Wrong::UnknownKey { place: Place::Job, .. }));
    let headings = |slip: &Fault| matches!(slip.kind, Kind::Job(Wrong::Syntax(Syntax::OpenHeading)));
    // What stands below a brace that does not close was read as if it stood inside.
    let open = |slip: &Fault| matches!(slip.kind, Kind::Job(Wrong::Syntax(Syntax::BraceMissing)));
    if slips.iter().any(|slip| open(slip) && slip.at < fault.at) {
        return true;
    }
    if lost && slips.iter().any(|slip| headings(slip) && slip.at < fault.at) {
        return true;
    }
    // A value that TOML could not read has no characters.
    let unread = fault.at.start == fault.at.end;
    missing || unread || slipped.iter().any(|slip| lines.contains(slip))
}

/// Reads what can be read; `None` only with a fault.
fn job(page: &Arc<Page>, table: &DeTable<'_>, faults: &mut Faults) -> Option<Job> {
    let fields = Fields::new(page, table, Place::Job, Span::new(0, 0), faults);
    let title = fields.need_text("title", faults);
    let basis = fields.need_text("basis", faults);
    let instruments: Vec<_> = fields
        .headings("instrument", faults)
        .into_iter()
        .filter_map(|(table, at)| instrument(page, table, at, faults))
        .collect();
    let marked = fields.headings("mark", faults);
    let marks = marked.into_iter().filter_map(|(table, at)| mark(page, table, at, faults)).collect();
    let headed = fields.headings("sheet", faults);
    let sheets: Vec<_> = headed.iter().filter_map(|&(table, at)| sheet(page, table, at, faults)).collect();
    let all = sheets.len() == headed.len();
    twice(Place::Instrument, instruments.iter().map(|instrument| &instrument.name), faults);
    twice(Place::Sheet, sheets.iter().map(|sheet| &sheet.name), faults);
    unlisted_instruments(&instruments, &sheets, faults);
    let job = Job {
        on: fields.day("on", faults),
        prepared_by: fields.words("prepared_by", faults),
        ignore: ignored(&fields, faults),
        marks,
        title: title.map(|title| title.value).unwrap_or_default(),
        basis: basis?,
        instruments,
        sheets,
        page: Arc::clone(page),
    };
    // A sheet that is missed would be missed by every link to it.
    all.then_some(job)
}

fn ignored(fields: &Fields<'_>, faults: &mut Faults) -> Vec<Spanned<String>> {
    let Some(value) = fields.get("ignore") else { return Vec::new() };
    let Some(parts) = value.get_ref().as_array() else {
        faults.add(differs("ignore", Takes::Texts, value));
        return Vec::new();
    };
    parts.iter().filter_map(|part| faults.keep(text(fields.page, "ignore", part))).collect()
}

fn instrument(page: &Page, table: &DeTable<'_>, at: Span, faults: &mut Faults) -> Option<Instrument> {
    let fields = Fields::new(page, table, Place::Instrument, at, faults);
    let name = fields.need_text("name", faults);
    let kind = fields.words("kind", faults);
    let calibrated_until = fields.day("calibrated_until", faults).map(|day| day.value);
    let tolerance = fields.text("tolerance", faults);
    Some(Instrument { name: name?, kind, calibrated_until, tolerance, at })
}

fn sheet(page: &Page, table: &DeTable<'_>, at: Span, faults: &mut Faults) -> Option<Use> {
    let fields = Fields::new(page, table, Place::Sheet, at, faults);
    let sheet = fields.need("use", faults).and_then(|_| fields.name("use", faults));
    let name = fields.name("as", faults);
    let given = named(&fields, "given", faults).map(|table| entries(page, table, faults));
    let take = named(&fields, "take", faults).map(|table| entries(page, table, faults));
    let schedules = named(&fields, "schedule", faults).map(|table| schedules(page, table, faults));
    let sheet = sheet?;
    Some(Use {
        name: name.unwrap_or_else(|| sheet.clone()),
        sheet,
        given: given.unwrap_or_default(),
        take: take.unwrap_or_default(),
        schedules: schedules.unwrap_or_default(),
        at,
    })
}

/// Returns the table of a key that holds names with values.
fn named<'t>(fields: &Fields<'t>, key: &'static str, faults: &mut Faults) -> Option<&'t DeTable<'t>> {
    let value = fields.get(key)?;
    let table = value.get_ref().as_table();
    if table.is_none() {
        faults.add(differs(key, Takes::Entries, value));
    }
    table
}

fn schedules(page: &Page, table: &DeTable<'_>, faults: &mut Faults) -> Vec<(Spanned<String>, Rows)> {
    table
        .iter()
        .filter_map(|(key, value)| {
            let name = Spanned::new(key.get_ref().to_string(), key.span());
            rows(page, &name, value, faults).map(|rows| (name, rows))
        })
        .collect()
}

fn rows(page: &Page, name: &Spanned<String>, value: &Value<'_>, faults: &mut Faults) -> Option<Rows> {
    match value.get_ref() {
        DeValue::String(_) => {
            let text = faults.keep(text(page, &name.value, value))?;
            if text.value.trim() == "?" {
                return None;
            }
            Some(linked(&text).map_or_else(|| Rows::Csv(RowFile::bare(text)), Rows::Linked))
        }
        DeValue::Array(parts) => {
            Some(Rows::Listed(parts.iter().filter_map(|part| row(page, &name.value, part, faults)).collect()))
        }
        DeValue::Table(table) => row_file(page, table, place(page, name, value), faults).map(Rows::Csv),
        DeValue::Integer(_) | DeValue::Float(_) | DeValue::Boolean(_) | DeValue::Datetime(_) => {
            faults.add(differs(&name.value, Takes::Rows, value));
            None
        }
    }
}

/// Returns what stands after the `=` of a link.
fn linked(text: &Spanned<String>) -> Option<Spanned<String>> {
    let after = text.value.trim_start().strip_prefix('=')?;
    let link = after.trim();
    let start = text.value.len() - after.trim_start().len();
    text.part(start..start + link.len())
}

fn row(page: &Page, name: &str, value: &Value<'_>, faults: &mut Faults) -> Option<Row> {
    let Some(table) = value.get_ref().as_table() else {
        faults.add(differs(name, Takes::Rows, value));
        return None;
    };
    Some(Row { cells: entries(page, table, faults), at: value.span().into() })
}

fn twice<'n>(place: Place, names: impl Iterator<Item = &'n Spanned<String>>, faults: &mut Faults) {
    let mut seen: Vec<&Spanned<String>> = Vec::new();
    for name in names {
        match seen.iter().find(|first| first.value == name.value) {
            Some(first) => {
                let wrong = Wrong::Twice { place, name: name.value.clone() };
                faults.add(Fault::new(name.at, wrong).with_also(first.at, "first named here"));
            }
            None => seen.push(name),
        }
    }
}

fn unlisted_instruments(instruments: &[Instrument], sheets: &[Use], faults: &mut Faults) {
    let listed: Vec<_> = instruments.iter().map(|instrument| instrument.name.value.as_str()).collect();
    for with in sheets.iter().flat_map(Use::all_entries).filter_map(|entry| entry.with.as_ref()) {
        if !listed.contains(&with.value.as_str()) {
            let near = near(&with.value, listed.iter().copied()).map(str::to_owned);
            let known = listed.iter().map(|name| (*name).to_owned()).collect();
            let found = with.value.clone();
            faults.add(Fault::new(with.at, Wrong::NoInstrument { found, near, known }));
        }
    }
}

impl Use {
    /// Returns every entry written in the job for this sheet, those of its rows too.
    fn all_entries(&self) -> impl Iterator<Item = &Entry> {
        let cells = self.schedules.iter().flat_map(|(_, rows)| match rows {
            Rows::Listed(rows) => rows.as_slice(),
            Rows::Csv(_) | Rows::Linked(_) => &[],
        });
        let cells = cells.flat_map(|row| &row.cells);
        self.given.iter().chain(&self.take).chain(cells).map(|(_, entry)| entry)
    }
}

#[cfg(test)]
mod tests;
