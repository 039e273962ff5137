//! A job told for a reviewer: the record, with the formula and the origin of every line and what it was worked from.
//!
//! In: a worked book. Out: a [`Report`]; of what a view made of it, the file.
//! Never: works anything anew; decides how anything looks; writes over anything but an earlier report.

use std::io::ErrorKind;
use std::path::Path;
use std::sync::Arc;

use crate::job::Instrument;
use crate::job::disk;
use crate::notebook::audit::{self, is_same_record};
use crate::notebook::book::Book;
use crate::notebook::book::names::LinePlace;
use crate::notebook::library::{Found, shown};
use crate::notebook::record::identity::{Identity, identity};
use crate::notebook::record::tell;
use crate::notebook::record::{Record, SheetRecord, Verdict};
use crate::notebook::{Notebook, Options, Working, Wrong};
use crate::sheet::formula::Formula;
use crate::sheet::model::{Line, Role};
use crate::unit::date;

/// A job told for a reviewer.
#[derive(Clone, Debug, PartialEq)]
pub struct Report {
    /// The job as it was worked.
    pub record: Record,
    /// Who prepared it.
    pub prepared_by: Option<String>,
    /// The basis: its title and revision, and what it is about.
    pub basis: (String, u32, String),
    /// The instruments that readings were taken with.
    pub instruments: Vec<InstrumentTold>,
    /// The names of those that no reading was taken with.
    pub not_used: Vec<String>,
    /// What speaks against the job being what was worked with: edits outside the notebook, files that were changed.
    pub doubts: Vec<String>,
    /// What is behind each sheet of the record, in the same order.
    pub sheets: Vec<SheetTold>,
    /// What it was worked from.
    pub identity: Identity,
}

/// An instrument that readings were taken with.
#[derive(Clone, Debug, PartialEq)]
pub struct InstrumentTold {
    /// The name that entries call it by.
    pub name: String,
    /// What it is.
    pub kind: Option<String>,
    /// The last day of its calibration, in words.
    pub calibrated_until: Option<String>,
    /// How well it reads.
    pub tolerance: Option<String>,
}

/// What is behind a sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetTold {
    /// The sheet's revision.
    pub revision: u32,
    /// What it is about.
    pub about: String,
    /// What is behind each line of its record, in the same order.
    pub lines: Vec<LineTold>,
    /// What is behind each limit of its record, in the same order.
    pub limits: Vec<LimitTold>,
    /// The labels of its schedules, in the order of the record.
    pub schedules: Vec<String>,
}

/// How the values of some rows of a line are known.
#[derive(Clone, Debug, PartialEq)]
pub struct KnownTold {
    /// The rows, by name; none where it is all of them, or a line outside schedules.
    pub rows: Vec<String>,
    /// How, by whom, when, with what, from which document.
    pub words: Vec<String>,
}

/// What is behind a line.
#[derive(Clone, Debug, PartialEq)]
pub struct LineTold {
    /// How its values are known.
    pub known: Vec<KnownTold>,
    /// How it was worked; of a column, in the row named beside.
    pub working: Option<Working>,
    /// The row whose numbers are put in.
    pub row: Option<String>,
    /// The value in that row, as people read it.
    pub shown: String,
    /// When it is needed.
    pub when: Option<Arc<Formula>>,
}

/// What is behind a limit.
#[derive(Clone, Debug, PartialEq)]
pub struct LimitTold {
    /// The condition.
    pub condition: Arc<Formula>,
    /// When it is needed.
    pub when: Option<Arc<Formula>>,
    /// A remark.
    pub note: Option<String>,
}

/// Tells a job for a reviewer.
///
/// # Errors
/// Every page that was refused.
pub fn report(path: &Path, options: &Options) -> Found<Report> {
    Ok(Notebook::look(path, options)?.report())
}

/// Writes a report: a new file, or over an earlier report, which is known by its opening. One that was made of another
/// state of the job stays as it is, unless it is to be written `over`.
///
/// # Errors
/// Another file has the name, or what the system says.
pub fn write(path: &Path, text: &str, opening: &str, over: bool) -> Result<(), Wrong> {
    let earlier = disk::read_page(path, "").ok().filter(|page| page.text.starts_with(opening));
    if !over && earlier.is_some_and(|page| !is_same_record(&page.text, text)) {
        return Err(Wrong::NoReport {
            why: format!("{} is the record of another state of the job, so it stays as it is", shown(path)),
            cure: "choose another name; wattle report JOB -o FILE --over writes over it",
        });
    }
    disk::write_ours(path, text, opening).map_err(|error| {
        let name = shown(path);
        match error.kind() {
            ErrorKind::AlreadyExists => Wrong::NoReport {
                why: format!("{name} is there already and is not an earlier report, so it stays as it is"),
                cure: "choose another name",
            },
            _ => Wrong::NoReport {
                why: format!("{name} cannot be written: {error}"),
                cure: "see that the folder is there and can be written, and that the disk is not full",
            },
        }
    })
}

impl Notebook {
    /// Tells the job as it stands for a reviewer.
    pub fn report(&mut self) -> Report {
        let record = self.record().clone();
        let identity = identity(&self.book, &self.journal);
        let doubts = audit::doubts(self);
        Report { doubts, ..told(&mut self.book, record, identity) }
    }
}

fn told(book: &mut Book, record: Record, identity: Identity) -> Report {
    let sheets = record.sheets.iter().enumerate().map(|(s, sheet)| sheet_told(book, s, sheet)).collect();
    let with = |name: &String| {
        let known = book.uses.iter().flat_map(|used| used.known.values());
        known.filter_map(|known| known.with.as_ref()).any(|with| with == name)
    };
    let (used, not_used): (Vec<&Instrument>, Vec<&Instrument>) =
        book.job.instruments.iter().partition(|one| with(&one.name.value));
    let instrument = |one: &&Instrument| InstrumentTold {
        name: one.name.value.clone(),
        kind: one.kind.clone(),
        calibrated_until: one.calibrated_until.map(date::in_words),
        tolerance: one.tolerance.as_ref().map(|text| text.value.clone()),
    };
    Report {
        prepared_by: book.job.prepared_by.clone(),
        basis: (book.basis.title.clone(), book.basis.revision, book.basis.about.clone()),
        instruments: used.iter().map(instrument).collect(),
        not_used: not_used.iter().map(|one| one.name.value.clone()).collect(),
        doubts: Vec::new(),
        sheets,
        identity,
        record,
    }
}

fn sheet_told(book: &mut Book, s: usize, record: &SheetRecord) -> SheetTold {
    let sheet = std::sync::Arc::clone(&book.uses[s].sheet);
    let lines = record.places.iter().map(|n| line_told(book, (s, *n), &sheet.lines[*n], record));
    let lines = lines.collect();
    let limits = record.limit_places.iter().filter_map(|n| limit_told(&sheet.lines[*n]));
    SheetTold {
        revision: sheet.revision,
        about: sheet.about.clone(),
        lines,
        limits: limits.collect(),
        schedules: sheet.schedules.iter().map(|schedule| schedule.label.clone()).collect(),
    }
}

fn limit_told(line: &Line) -> Option<LimitTold> {
    let Role::Limit { formula, .. } = &line.role else { return None };
    Some(LimitTold { condition: formula.clone(), when: line.when_formula.clone(), note: line.note.clone() })
}

fn line_told(book: &mut Book, (s, n): (usize, usize), line: &Line, record: &SheetRecord) -> LineTold {
    let rows = book.uses[s].rows_of(line);
    let names = line.schedule.map(|schedule| book.uses[s].row_names[schedule].clone());
    let row = names.as_ref().map_or(0, |names| worst_row(line, book, s, record).min(names.len()));
    let place = |row: usize| LinePlace { s, n, row: line.schedule.map(|_| row) };
    let known = known(book, (s, n), line, rows, names.as_deref());
    let working = if row < rows { book.working(place(row), row) } else { None };
    let shown = if row < rows { tell::shown(book, (s, n), row) } else { String::new() };
    LineTold {
        known,
        working,
        row: names.and_then(|names| names.get(row).cloned()),
        shown,
        when: line.when_formula.clone(),
    }
}

/// Returns the row whose numbers say most: the first that a limit names as not passing, else the first.
fn worst_row(line: &Line, book: &Book, s: usize, record: &SheetRecord) -> usize {
    let Some(schedule) = line.schedule else { return 0 };
    let schedule = &book.uses[s].sheet.schedules[schedule].name.value;
    let limits = record.limits.iter().filter(|limit| limit.schedule.as_ref() == Some(schedule));
    let rows = limits.flat_map(|limit| &limit.rows).filter(|row| row.verdict != Verdict::Waiting);
    rows.max_by(|a, b| a.verdict.cmp(&b.verdict).then(b.row.cmp(&a.row))).map_or(0, |row| row.row - 1)
}

/// Says how the rows of a line are known, those that are known alike together.
fn known(
    book: &Book,
    (s, n): (usize, usize),
    line: &Line,
    rows: usize,
    names: Option<&[String]>,
) -> Vec<KnownTold> {
    let mut told: Vec<KnownTold> = Vec::new();
    for row in 0..rows {
        let place = LinePlace { s, n, row: names.map(|_| row) };
        let words = book.known_words(place, line, row);
        let name = names.and_then(|names| names.get(row)).cloned();
        match told.iter_mut().find(|one| one.words == words) {
            Some(one) => one.rows.extend(name),
            None => told.push(KnownTold { rows: name.into_iter().collect(), words }),
        }
    }
    if let [all] = told.as_mut_slice() {
        all.rows.clear();
    }
    told.retain(|one| !one.words.is_empty());
    told
}
