//! A given set: the job's text is changed, read anew as a whole, and only then written.
//!
//! In: a line as typed. Out: what moved, and each limit that turned.
//! Never: writes a text that does not load.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::library::{Found, shown};
use super::record::{LimitRecord, LineKind, LineRecord, Record, SheetRecord};
use super::typed::Typed;
use super::{Options, Wrong, enter, load, rows, tell};
use crate::fault::{Fault, Page, Refused, Span, near};
use crate::job::rewrite::{NewEntry, NewValue, Part, set_entry};
use crate::job::{Job, disk};
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

    /// Sets a given, or with `by` a figure: `NAME = VALUE` and what may follow.
    ///
    /// # Errors
    /// What is wrong with what was typed, or with the job it would leave; nothing is changed then.
    pub fn set(&mut self, line: &str) -> Found<Change> {
        let refuse = |fault: Fault| vec![Refused { page: Page::new("typed", line), faults: vec![fault] }];
        let typed = Typed::read(line, &self.instruments).map_err(refuse)?;
        let target = self.target(&typed).map_err(refuse)?;
        let entry = self.entry(&typed, &target);
        let part = if typed.by.is_some() { Part::Take } else { Part::Given };
        let made = set_entry(&self.page.text, &target.sheet, part, &target.line, &entry)
            .map_err(|_| refuse(Fault::new(typed.path.at, Wrong::NoteFirst)))?;
        let page = Page::new(self.name.clone(), made);
        let mut book = load::load(&page, &super::library_of(&self.path, &self.options), self.options.day)
            .map_err(|refused| under_typed(refused, &page, line, &typed, &target))?;
        let record = tell::tell(&mut book, &self.name);
        disk::write_whole(&self.path, &page.text).map_err(|error| {
            let wrong = crate::job::Wrong::Unread(crate::job::Unread::System(error.to_string()));
            vec![Refused { page: Arc::clone(&page), faults: vec![Fault::new(Span::default(), wrong)] }]
        })?;
        let change =
            Change { moved: moved(&self.record, &record, &target), turned: turned(&self.record, &record) };
        (self.page, self.record) = (page, record);
        Ok(change)
    }

    /// Returns the line that is meant: a name alone where only one sheet has it.
    fn target(&self, typed: &Typed) -> Result<Target, Fault> {
        let kind = if typed.by.is_some() { LineKind::Take } else { LineKind::Given };
        let of_sheet = |sheet: &SheetRecord| {
            let lines = sheet.lines.iter().filter(|line| line.kind == kind && line.schedule.is_none());
            let target = |line: &LineRecord| Target {
                sheet: sheet.name.clone(),
                line: line.name.clone(),
                unit: line.unit.clone(),
            };
            lines.map(target).collect::<Vec<_>>()
        };
        let known: Vec<Target> = self.record.sheets.iter().flat_map(of_sheet).collect();
        let full = typed.path.value.to_string();
        let mut fits = known.iter().filter(|target| target.full() == full || target.line == full);
        match (fits.next(), fits.next()) {
            (Some(only), None) => Ok(only.clone()),
            (Some(first), Some(_)) => {
                Err(Fault::new(typed.path.at, Wrong::SeveralLines { found: full, first: first.full() }))
            }
            (None, _) => {
                let names: Vec<String> = known.iter().map(Target::full).collect();
                let near = near(&full, names.iter().map(String::as_str)).map(str::to_owned);
                Err(Fault::new(typed.path.at, Wrong::NoWord { found: full, near }))
            }
        }
    }

    fn entry(&self, typed: &Typed, target: &Target) -> NewEntry {
        NewEntry {
            value: value(&typed.value.value, &target.unit),
            how: typed.how,
            with: typed.with.clone(),
            who: self.who.clone(),
            at: Some((date::now() / 60.0).floor() * 60.0),
            anyway: typed.anyway.clone(),
            note: typed.note.clone(),
            by: typed.by.clone(),
        }
    }
}

/// A line that is to be set.
#[derive(Clone)]
struct Target {
    sheet: String,
    line: String,
    unit: String,
}

impl Target {
    fn full(&self) -> String {
        format!("{}.{}", self.sheet, self.line)
    }
}

/// Returns a value as a job keeps it: a bare number takes the declared unit, a formula that names a line of
/// a sheet links.
fn value(typed: &str, unit: &str) -> NewValue {
    match typed.parse::<f64>() {
        Ok(number) if unit.is_empty() && number.is_finite() => return NewValue::Number(number),
        Ok(_) | Err(_) => {}
    }
    let with_unit = rows::with_unit(typed, unit);
    if Reading::read(&with_unit).is_ok() {
        return NewValue::Text(with_unit);
    }
    if enter::links(typed) { NewValue::Text(format!("= {typed}")) } else { NewValue::Text(typed.to_owned()) }
}

/// What is wrong with the value that was typed is told under what was typed, not in a file it is not in.
fn under_typed(
    refused: Vec<Refused>,
    page: &Arc<Page>,
    line: &str,
    typed: &Typed,
    target: &Target,
) -> Vec<Refused> {
    let entry = Job::read_part(page).0.and_then(|job| {
        let used = job.sheets.into_iter().find(|used| used.name.value == target.sheet)?;
        let entries = used.given.into_iter().chain(used.take);
        entries.filter(|(name, _)| name.value == target.line).map(|(_, entry)| entry.value).next()
    });
    let Some(entry) = entry else { return refused };
    let text = page.text.get(entry.at.range()).unwrap_or_default();
    // A link has got its sign, a bare number its unit.
    let shift = text.find(&typed.value.value);
    let placed = |fault: &Fault| {
        let from = shift.and_then(|shift| fault.at.start.checked_sub(entry.at.start + shift));
        let length = fault.at.end - fault.at.start;
        match from {
            Some(from) if from + length <= typed.value.value.len() => {
                Span::new(typed.value.at.start + from, typed.value.at.start + from + length)
            }
            Some(_) | None => typed.value.at,
        }
    };
    let mut made = Vec::new();
    for mut page_refused in refused {
        let own = |fault: &Fault| {
            page_refused.page == *page && entry.at.start <= fault.at.start && fault.at.end <= entry.at.end
        };
        let (here, rest): (Vec<Fault>, Vec<Fault>) = page_refused.faults.iter().cloned().partition(own);
        if !here.is_empty() {
            let faults = here.into_iter().map(|fault| Fault { at: placed(&fault), ..fault }).collect();
            made.push(Refused { page: Page::new("typed", line), faults });
        }
        page_refused.faults = rest;
        if !page_refused.faults.is_empty() {
            made.push(page_refused);
        }
    }
    made
}

/// Returns the lines whose shown value differs, row by row in schedules; what was set comes first, moved or not.
fn moved(before: &Record, after: &Record, set: &Target) -> Vec<Moved> {
    let mut moved = Vec::new();
    for sheet in &after.sheets {
        let old = before.sheets.iter().find(|old| old.name == sheet.name);
        for line in &sheet.lines {
            let same = |old: &&LineRecord| old.name == line.name && old.schedule == line.schedule;
            let was = old.and_then(|old| old.lines.iter().find(same));
            let own = set.sheet == sheet.name && set.line == line.name && line.schedule.is_none();
            match &line.schedule {
                Some(schedule) => rows_moved(sheet, schedule, was, line, &mut moved),
                None => {
                    let was = was.map_or("not needed", |line| line.shown.as_str());
                    let name = format!("{}.{}", sheet.name, line.name);
                    let one = Moved { name, before: was.to_owned(), after: line.shown.clone() };
                    if own {
                        moved.insert(0, one);
                    } else if was != line.shown {
                        moved.push(one);
                    }
                }
            }
        }
    }
    moved
}

fn rows_moved(
    sheet: &SheetRecord,
    schedule: &str,
    was: Option<&LineRecord>,
    line: &LineRecord,
    moved: &mut Vec<Moved>,
) {
    let names = sheet.schedules.iter().find(|known| known.name == schedule);
    for (row, shown) in line.shown_rows.iter().enumerate() {
        let before = was.and_then(|was| was.shown_rows.get(row)).map_or("not needed", String::as_str);
        if before != shown {
            let row = names.and_then(|names| names.rows.get(row)).map_or("", String::as_str);
            let name = format!("{}.{schedule}.\"{row}\".{}", sheet.name, line.name);
            moved.push(Moved { name, before: before.to_owned(), after: shown.clone() });
        }
    }
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
