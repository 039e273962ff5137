//! An audit of a job: every line with where it comes from, what was assumed, what its journal says.
//!
//! In: the path of a job. Out: an [`Audit`], ready to be shown; what a reviewer must look at stands worst first.
//! Never: writes anything, the journal included; approves anything.

mod assumed;
mod history;
mod points;
mod printed;
mod replay;
mod stand_in;

use std::collections::BTreeSet;
use std::path::Path;

use serde::Serialize;

use crate::job::Job;
use crate::job::journal::Stamp;
use crate::notebook::book::Book;
use crate::notebook::book::names::LinePlace;
use crate::notebook::judge::witness::{MOST_MATTERS, Matter, matters};
use crate::notebook::library::Found;
use crate::notebook::open::Notebook;
use crate::notebook::record::identity::{identity, stamps};
use crate::notebook::record::tell::override_words;
use crate::notebook::record::{Origin, Record};
use crate::notebook::{Options, Why};
use crate::sheet::model::Role;

pub use assumed::Assumed;
pub use history::{History, is_head};
pub use points::{Grade, Point};
pub use printed::Printed;
pub(super) use printed::is_same_record;
pub use replay::Step;
pub(super) use replay::outside;

/// A job looked through, line by line.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Audit {
    /// The job as it was worked.
    pub record: Record,
    /// Every line and limit of every sheet, in the job's order.
    #[serde(skip)]
    pub sheets: Vec<Vec<Looked>>,
    /// What was assumed, not said how, or never confirmed: what matters most to the nearest limit first.
    pub assumed: Vec<Assumed>,
    /// Figures of the basis that the job overrides, with both sources.
    pub overridden: Vec<String>,
    /// Values outside their plausible range, with the reason why they were taken.
    pub outside_range: Vec<String>,
    /// The journal.
    pub history: History,
    /// The hash of the job's file.
    pub job_hash: String,
    /// The files that the job was worked with.
    pub files: Vec<Stamp>,
    /// An earlier record, held against the job.
    pub printed: Option<Printed>,
    /// Sheets, bases and tables that stand in for built-in ones, and sheets whose own examples do not come out.
    pub stand_ins: Vec<String>,
    /// Who prepared the job and who entered its values, as it says.
    #[serde(skip)]
    pub people: Vec<String>,
    /// Lines and limits that nobody has marked.
    pub unmarked: Vec<String>,
    /// What a reviewer must look at, worst first.
    pub look_at: Vec<Point>,
}

/// A line looked through.
#[derive(Clone, Debug, PartialEq)]
pub struct Looked {
    /// Why it is what it is.
    pub why: Why,
    /// Whether it is a limit; its judgement stands in the record under the same full name.
    pub limit: bool,
    /// Of a limit, the readings that matter most to it.
    pub matters: Vec<Matter>,
    /// What the job's file says of it in a comment beside it.
    pub comment: Option<String>,
}

/// What an earlier record says of the job.
#[derive(Clone, Copy, Debug, Default)]
pub struct Earlier<'a> {
    /// The journal's head, as it printed it.
    pub head: Option<&'a str>,
    /// The record itself.
    pub record: Option<&'a Path>,
}

impl Audit {
    /// Returns whether the record may not be what was worked with: see [`History::is_in_doubt`]; also where an earlier
    /// record was made from other files.
    pub fn is_in_doubt(&self) -> bool {
        let differs = self.printed.as_ref().is_some_and(|printed| !printed.differs.is_empty());
        self.history.is_in_doubt() || differs
    }
}

/// Looks a job through, and holds it against an earlier record.
///
/// # Errors
/// Every page that was refused.
pub fn audit(path: &Path, options: &Options, earlier: &Earlier<'_>) -> Found<Audit> {
    let mut notebook = Notebook::look(path, options)?;
    let identity = identity(&notebook.book, &notebook.journal);
    let printed = earlier.record.map(|record| printed::printed(record, &identity)).transpose()?;
    let head = earlier.head.or_else(|| printed.as_ref().and_then(|printed| printed.head.as_deref()));
    let sheets = (0..notebook.book.uses.len()).map(|s| looked(&mut notebook, s)).collect();
    let record = notebook.record().clone();
    let assumed = assumed::assumed(&mut notebook.book, &record);
    let files = stamps(&notebook.book);
    let history = history::history(&notebook, &files, head);
    let mut made = Audit {
        sheets,
        assumed,
        overridden: overridden(&record),
        outside_range: outside_range(&record),
        history,
        stand_ins: stand_in::stand_ins(&notebook),
        job_hash: identity.files.first().map_or_else(String::new, |job| job.sha256.clone()),
        files,
        printed,
        people: people(&notebook.book),
        unmarked: Vec::new(),
        look_at: Vec::new(),
        record,
    };
    made.unmarked = unmarked(&made);
    made.look_at = points::points(&made);
    Ok(made)
}

/// Returns what the journal and the files speak against, in words: nothing where the job has no journal.
pub(super) fn doubts(notebook: &Notebook) -> Vec<String> {
    let history = history::history(notebook, &stamps(&notebook.book), None);
    if history.lines == 0 { Vec::new() } else { points::of_history(&history) }
}

/// Who prepared a job, and whoever it names beside a value.
fn people(book: &Book) -> Vec<String> {
    let known = book.uses.iter().flat_map(|used| used.known.values());
    let told: BTreeSet<String> =
        book.job.prepared_by.iter().chain(known.filter_map(|known| known.who.as_ref())).cloned().collect();
    told.into_iter().collect()
}

/// Every line and limit of a sheet that is needed, each with its formula in numbers.
fn looked(notebook: &mut Notebook, s: usize) -> Vec<Looked> {
    let sheet = std::sync::Arc::clone(&notebook.book.uses[s].sheet);
    let record = &notebook.record().sheets[s];
    let mut places: Vec<usize> = record.places.iter().chain(&record.limit_places).copied().collect();
    places.sort_unstable();
    let one = |n: usize| {
        let limit = matches!(sheet.lines[n].role, Role::Limit { .. });
        let why = notebook.why_of(LinePlace { s, n, row: None }, 0);
        let mut matters = if limit { matters(&mut notebook.book, (s, n)) } else { Vec::new() };
        matters.truncate(MOST_MATTERS);
        let comment = comment(&notebook.book.job, s, &sheet.lines[n].name.value);
        Looked { why, limit, matters, comment }
    };
    places.into_iter().map(one).collect()
}

/// Figures that stand in place of others; one that is not known here stands in place of none.
fn overridden(record: &Record) -> Vec<String> {
    let lines = record.sheets.iter().flat_map(|sheet| sheet.lines.iter().map(move |line| (sheet, line)));
    let known = lines.filter(|(_, line)| line.origin != Origin::Open);
    known.filter_map(|(sheet, line)| override_words(sheet, line)).collect()
}

/// The comment at the end of the line of the job's file that gives a value; what is quoted is none.
fn comment(job: &Job, s: usize, name: &str) -> Option<String> {
    let used = &job.sheets[s];
    let (at, _) = used.given.iter().chain(&used.take).find(|(known, _)| known.value == name)?;
    let line = job.page.text.get(at.at.start..)?.lines().next()?;
    let mut quoted = false;
    let from = line.char_indices().find(|(_, c)| {
        quoted ^= *c == '"';
        *c == '#' && !quoted
    });
    from.map(|(at, _)| line[at..].trim_start_matches(['#', ' ']).trim().to_owned())
        .filter(|text| !text.is_empty())
}

fn outside_range(record: &Record) -> Vec<String> {
    let of_sheet = |sheet: &crate::notebook::record::SheetRecord| {
        let told = sheet.lines.iter().filter_map(|line| {
            let reason = line.anyway.as_ref()?;
            Some(format!("{}.{} {}: taken anyway, {reason}", sheet.name, line.name, line.shown))
        });
        told.collect::<Vec<_>>()
    };
    record.sheets.iter().flat_map(of_sheet).collect()
}

fn unmarked(audit: &Audit) -> Vec<String> {
    let marked = |name: &String| audit.record.marks.iter().any(|mark| mark.name == *name);
    let names = audit.sheets.iter().flatten().map(|looked| looked.why.name.clone());
    names.filter(|name| !marked(name)).collect()
}
