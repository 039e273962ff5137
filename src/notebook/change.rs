//! A given set: the job's text is changed, read anew as a whole, and only then written.
//!
//! In: a line as typed. Out: what moved, and each limit that turned.
//! Never: writes a text that does not load.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::library::{Found, shown};
use super::record::{LimitRecord, LineKind, Record};
use super::{Options, Wrong, load, tell};
use crate::fault::{Fault, Page, Refused, Span, near};
use crate::job::rewrite::{NewEntry, NewValue, Part, set_entry};
use crate::job::{How, disk};
use crate::unit::{Reading, date};

/// A line that moved.
#[derive(Clone, Debug, PartialEq)]
pub struct Moved {
    /// Its full name.
    pub name: String,
    /// What it was.
    pub before: String,
    /// What it is.
    pub after: String,
}

/// A limit that turned.
#[derive(Clone, Debug, PartialEq)]
pub struct Turned {
    /// Its sheet.
    pub sheet: String,
    /// The limit as it is now.
    pub limit: LimitRecord,
}

/// What a change did.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// Lines that moved, the one that was set first.
    pub moved: Vec<Moved>,
    /// Limits that turned.
    pub turned: Vec<Turned>,
}

/// A job opened.
#[derive(Debug)]
pub struct Notebook {
    path: PathBuf,
    name: String,
    options: Options,
    who: Option<String>,
    page: Arc<Page>,
    record: Record,
    instruments: Vec<String>,
}

impl Notebook {
    /// Opens a job.
    ///
    /// # Errors
    /// Every page that was refused.
    pub fn open(path: &Path, options: &Options, who: Option<String>) -> Found<Self> {
        let name = shown(path);
        let page = disk::read_page(path, &name).map_err(|refused| vec![refused])?;
        let mut book = load::load(&page, &super::library_of(path, options), options.day)?;
        let record = tell::tell(&mut book, &name);
        let who = who.or_else(|| book.job.prepared_by.clone());
        let instruments =
            book.job.instruments.iter().map(|instrument| instrument.name.value.clone()).collect();
        Ok(Self { path: path.to_owned(), name, options: options.clone(), who, page, record, instruments })
    }

    /// Returns the job as it stands.
    pub fn record(&self) -> &Record {
        &self.record
    }

    /// Sets a given: `SHEET.NAME = VALUE [how] [with INSTRUMENT]`.
    ///
    /// # Errors
    /// What is wrong with what was typed, or with the job it would leave; nothing is changed then.
    pub fn set(&mut self, typed: &str) -> Found<Change> {
        let (sheet, line, entry) = self
            .read(typed)
            .map_err(|fault| vec![Refused { page: Page::new("typed", typed), faults: vec![fault] }])?;
        let made = set_entry(&self.page.text, &sheet, Part::Given, &line, &entry).map_err(|_| {
            let wrong = Wrong::NoWord { found: sheet.clone(), near: None };
            vec![Refused { page: Page::new("typed", typed), faults: vec![Fault::new(0..typed.len(), wrong)] }]
        })?;
        let page = Page::new(self.name.clone(), made);
        let mut book = load::load(&page, &super::library_of(&self.path, &self.options), self.options.day)?;
        let record = tell::tell(&mut book, &self.name);
        disk::write_whole(&self.path, &page.text).map_err(|error| {
            let wrong = crate::job::Wrong::Unread(crate::job::Unread::System(error.to_string()));
            vec![Refused { page: Arc::clone(&page), faults: vec![Fault::new(Span::default(), wrong)] }]
        })?;
        let change = Change { moved: moved(&self.record, &record), turned: turned(&self.record, &record) };
        (self.page, self.record) = (page, record);
        Ok(change)
    }

    /// Reads a line as typed; a bare number takes the declared unit.
    fn read(&self, typed: &str) -> Result<(String, String, NewEntry), Fault> {
        let (left, right) =
            typed.split_once('=').ok_or_else(|| Fault::new(0..typed.len(), Wrong::NoteFirst))?;
        let full = left.trim();
        let known: Vec<(String, String, String)> = self
            .record
            .sheets
            .iter()
            .flat_map(|sheet| {
                let given =
                    sheet.lines.iter().filter(|line| line.kind == LineKind::Given && line.schedule.is_none());
                given.map(|line| (sheet.name.clone(), line.name.clone(), line.unit.clone()))
            })
            .collect();
        let fits =
            |(sheet, line, _): &&(String, String, String)| format!("{sheet}.{line}") == full || line == full;
        let found: Vec<_> = known.iter().filter(fits).collect();
        let [(sheet, line, unit)] = found.as_slice() else {
            let names: Vec<String> = known.iter().map(|(sheet, line, _)| format!("{sheet}.{line}")).collect();
            let near = near(full, names.iter().map(String::as_str)).map(str::to_owned);
            let near = near.or_else(|| found.first().map(|(sheet, line, _)| format!("{sheet}.{line}")));
            return Err(Fault::new(0..left.trim_end().len(), Wrong::NoWord { found: full.to_owned(), near }));
        };
        Ok((sheet.clone(), line.clone(), self.entry(right.trim(), unit)))
    }

    fn entry(&self, typed: &str, unit: &str) -> NewEntry {
        let mut words: Vec<&str> = typed.split_whitespace().collect();
        let mut entry = NewEntry {
            who: self.who.clone(),
            at: Some((date::now() / 60.0).floor() * 60.0),
            ..NewEntry::default()
        };
        if let [.., "with", instrument] = words.as_slice()
            && self.instruments.iter().any(|known| known == instrument)
        {
            entry.with = Some((*instrument).to_owned());
            words.truncate(words.len() - 2);
        }
        if let Some(how) = words.last().and_then(|word| How::known(word)) {
            entry.how = Some(how);
            words.pop();
        }
        let value = words.join(" ");
        let bare = Reading::read(&value).is_ok_and(|reading| reading.value.unit.is_plain());
        entry.value = match value.parse::<f64>() {
            Ok(number) if unit.is_empty() && number.is_finite() => NewValue::Number(number),
            Ok(_) if bare => NewValue::Text(format!("{value} {unit}")),
            _ => NewValue::Text(value.trim_matches('"').to_owned()),
        };
        entry
    }
}

/// Returns the lines whose shown value differs.
fn moved(before: &Record, after: &Record) -> Vec<Moved> {
    let mut moved = Vec::new();
    for sheet in &after.sheets {
        let old = before.sheets.iter().find(|old| old.name == sheet.name);
        for line in &sheet.lines {
            let was = old.and_then(|old| {
                old.lines.iter().find(|old| old.name == line.name && old.schedule == line.schedule)
            });
            let was = was.map_or("not needed", |line| line.shown.as_str());
            if was != line.shown {
                let name = format!("{}.{}", sheet.name, line.name);
                moved.push(Moved { name, before: was.to_owned(), after: line.shown.clone() });
            }
        }
    }
    moved
}

fn turned(before: &Record, after: &Record) -> Vec<Turned> {
    let old = |sheet: &str, name: &str| {
        before
            .limits()
            .find(|(known, limit)| *known == sheet && limit.name == name)
            .map(|(_, limit)| limit.verdict)
    };
    after
        .limits()
        .filter(|(sheet, limit)| old(sheet, &limit.name) != Some(limit.verdict))
        .map(|(sheet, limit)| Turned { sheet: sheet.to_owned(), limit: limit.clone() })
        .collect()
}
