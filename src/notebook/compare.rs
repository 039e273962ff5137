//! Two jobs, or one job at two moments: what differs by meaning, and what turned each verdict.
//!
//! In: two jobs, each a path or a path at a moment of its journal. Out: a [`Comparison`].
//! Never: compares texts where values can be; writes anything.

mod cause;
mod changes;
pub(in crate::notebook) mod entered;
mod moment;

use std::collections::BTreeMap;
use std::rc::Rc;
use std::sync::Arc;

use serde::Serialize;

use crate::fault::Page;
use crate::job::journal::Stamp;
use crate::notebook::Options;
use crate::notebook::book::Book;
use crate::notebook::library::{Found, Library};
use crate::notebook::load;
use crate::notebook::record::identity::stamps;
use crate::notebook::record::tell;
use crate::notebook::record::{LimitRecord, LineKind, Record, Verdict, full_name};
use crate::sheet::model::{Line, Role, TextPart};

/// Two jobs side by side.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Comparison {
    /// The older.
    pub old: Side,
    /// The newer.
    pub new: Side,
    /// What is to be known of how they were worked.
    pub remarks: Vec<String>,
    /// Inputs that differ in their value or in how it is known: givens, and figures of the basis.
    pub inputs: Vec<Differs>,
    /// What else was written into the jobs: by whom, when, with which instruments, marks.
    pub besides: Vec<Differs>,
    /// Sheets, bases, tables and CSV files that differ, with revision and hash.
    pub files: Vec<Differs>,
    /// Whether the job files themselves differ by a single character.
    pub texts_differ: bool,
    /// What was worked out and differs.
    pub worked: Vec<Differs>,
    /// Formulas, conditions, units and ranges that differ.
    pub formulas: Vec<Differs>,
    /// Limits that came out otherwise.
    pub limits: Vec<TurnedLimit>,
}

/// One of two jobs.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Side {
    /// As it was named.
    pub job: String,
    /// Its title.
    pub title: String,
    /// Its basis.
    pub basis: String,
    /// The day it was judged on.
    pub on: String,
    /// How it came out.
    pub verdict: Verdict,
}

/// Something that is not the same in both.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Differs {
    /// What it is called.
    pub name: String,
    /// What it is in the older; none where that has none.
    pub old: Option<String>,
    /// What it is in the newer.
    pub new: Option<String>,
}

impl Differs {
    /// Returns it in words: "feed.loop 0.62 ohm → 0.52 ohm".
    pub fn words(&self) -> String {
        match (&self.old, &self.new) {
            (Some(old), Some(new)) => format!("{} {old} \u{2192} {new}", self.name),
            (None, Some(new)) => format!("{}, new: {new}", self.name),
            (Some(old), None) => format!("{}, gone: {old}", self.name),
            (None, None) => self.name.clone(),
        }
    }
}

/// A limit that came out otherwise.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TurnedLimit {
    /// Its full name.
    pub name: String,
    /// How it came out in the older; none where that has none, or it was not needed.
    pub old: Option<Verdict>,
    /// How it came out in the newer.
    pub new: Option<Verdict>,
    /// Changes that turn it together, none of which can be left out; empty where none was found.
    pub because: Vec<String>,
    /// Whether no fewer changes turn it.
    pub fewest: bool,
}

/// A job with what it is read with.
#[derive(Debug)]
pub(in crate::notebook) struct Loaded {
    pub(in crate::notebook) book: Book,
    library: Rc<Library>,
    pub(in crate::notebook) record: Record,
}

/// Compares two jobs, each a path, or a path with `@` and a moment of its journal.
///
/// # Errors
/// Every page that was refused, or a moment that the journal does not reach.
pub fn compare(old: &str, new: &str, options: &Options) -> Found<Comparison> {
    let (mut remarks, mut refused) = (Vec::new(), Vec::new());
    let mut one = |named: &str| match loaded(named, options, &mut remarks) {
        Ok(loaded) => Some(loaded),
        Err(found) => {
            refused.extend(found);
            None
        }
    };
    let (old, new) = (one(old), one(new));
    let (Some((old, old_files)), Some((new, new_files))) = (old, new) else { return Err(refused) };
    let changes = changes::changes(&old, &new);
    let mut causes = cause::Causes { old: &old, new: &new, changes: &changes, options, tried: 0 };
    let limits = turned(&old.record, &new.record).into_iter().map(|limit| causes.of(limit)).collect();
    Ok(Comparison {
        old: side(&old.record),
        new: side(&new.record),
        remarks,
        inputs: entered::inputs(&old.book, &new.book, true),
        besides: entered::besides(&old.book, &new.book),
        files: entered::files(old_files, new_files),
        texts_differ: old.book.job.page.text != new.book.job.page.text,
        worked: worked(&old.record, &new.record),
        formulas: formulas(&old.book, &new.book),
        limits,
    })
}

/// A job with the files that it was worked with: of a job at a moment those that its journal names.
fn loaded(named: &str, options: &Options, remarks: &mut Vec<String>) -> Found<(Loaded, Vec<Stamp>)> {
    let (path, page, then) = moment::page(named)?;
    let library = Rc::new(Library::beside(&path, &options.libraries));
    let loaded = Loaded::of(&page, named, &library, options)?;
    let mut files = stamps(&loaded.book);
    if let Some(then) = then {
        remarks.extend(then.told(named, &files));
        for file in &mut files {
            let was = then.files.iter().find(|was| was.file == file.file);
            *file = was.unwrap_or(file).clone();
        }
    }
    Ok((loaded, files))
}

impl Loaded {
    /// Loads a job from its text.
    ///
    /// # Errors
    /// Every page that was refused.
    pub(in crate::notebook) fn of(
        page: &Arc<Page>,
        name: &str,
        library: &Rc<Library>,
        options: &Options,
    ) -> Found<Self> {
        let mut book = load::load(page, library, options.day)?;
        let record = tell::tell(&mut book, name);
        Ok(Self { book, library: Rc::clone(library), record })
    }
}

fn side(record: &Record) -> Side {
    Side {
        job: record.job.clone(),
        title: record.title.clone(),
        basis: record.basis.clone(),
        on: record.on.clone(),
        verdict: record.verdict,
    }
}

/// Names in the order of the newer, those that only the older has behind them; each with what it is in both.
fn paired<T: Clone>(old: Vec<(String, T)>, new: Vec<(String, T)>) -> Vec<(String, Option<T>, Option<T>)> {
    let mut olds: BTreeMap<String, T> = old.iter().cloned().collect();
    let mut pairs: Vec<_> =
        new.into_iter().map(|(name, new)| (name.clone(), olds.remove(&name), Some(new))).collect();
    let gone = old.into_iter().filter(|(name, _)| olds.contains_key(name));
    pairs.extend(gone.map(|(name, old)| (name, Some(old), None)));
    pairs
}

/// Returns what is not the same under a name, or is in one alone.
fn differing(old: Vec<(String, String)>, new: Vec<(String, String)>) -> Vec<Differs> {
    let differs = |(name, old, new): (String, Option<String>, Option<String>)| {
        (old != new).then_some(Differs { name, old, new })
    };
    paired(old, new).into_iter().filter_map(differs).collect()
}

/// What was worked out and differs, cell by cell in schedules.
fn worked(old: &Record, new: &Record) -> Vec<Differs> {
    differing(found(old), found(new))
}

fn found(record: &Record) -> Vec<(String, String)> {
    let mut made = Vec::new();
    for sheet in &record.sheets {
        for line in sheet.lines.iter().filter(|line| line.kind == LineKind::Find) {
            let Some(schedule) = &line.schedule else {
                made.push((full_name(&sheet.name, None, &line.name), line.shown.clone()));
                continue;
            };
            let rows = sheet.schedules.iter().find(|known| known.name == *schedule);
            for (row, shown) in rows.map_or(&[][..], |rows| &rows.rows).iter().zip(&line.shown_rows) {
                made.push((full_name(&sheet.name, Some((schedule, row)), &line.name), shown.clone()));
            }
        }
    }
    made
}

/// Formulas, conditions, units and ranges that differ between sheets of one name.
fn formulas(old: &Book, new: &Book) -> Vec<Differs> {
    differing(written(old), written(new))
}

fn written(book: &Book) -> Vec<(String, String)> {
    let mut made = Vec::new();
    for used in &book.uses {
        for (n, line) in used.sheet.lines.iter().enumerate() {
            made.push((used.plain_name(n), as_written(line)));
        }
    }
    made
}

fn as_written(line: &Line) -> String {
    let mut parts = match &line.role {
        Role::Find(branches) => branches
            .iter()
            .map(|branch| match &branch.where_formula {
                Some(condition) => format!("= {} where {condition}", branch.formula),
                None => format!("= {}", branch.formula),
            })
            .collect(),
        Role::Limit { must, formula, remedy, .. } => {
            let strength = if *must { "must" } else { "should" };
            let told = |part: &TextPart| match part {
                TextPart::Plain(text) => text.clone(),
                TextPart::Value(_) => "{\u{2026}}".to_owned(),
            };
            let remedy = remedy.iter().flatten().map(told).collect::<String>();
            let remedy = if remedy.is_empty() { remedy } else { format!(", else: {remedy}") };
            vec![format!("{strength} hold that {formula}{remedy}")]
        }
        Role::Given { within: Some((low, high)), .. } => vec![format!("within {low} .. {high}")],
        Role::Given { .. } | Role::Take { .. } | Role::Cell { .. } => Vec::new(),
    };
    parts.extend(line.when_formula.as_ref().map(|when| format!("when {when}")));
    if !line.unit.is_plain() {
        parts.push(format!("in {}", line.unit.symbol()));
    }
    parts.push(format!("\"{}\"", line.label));
    parts.extend(line.note.as_ref().map(|note| format!("note \"{note}\"")));
    parts.join("; ")
}

/// Limits that came out otherwise, without what turned them.
pub(in crate::notebook) fn turned(old: &Record, new: &Record) -> Vec<TurnedLimit> {
    let all = |record: &Record| {
        let named = |(sheet, limit): (&str, &LimitRecord)| (limit.full_name(sheet), limit.verdict);
        record.limits().map(named).collect::<Vec<_>>()
    };
    let turned = |(name, old, new): (String, Option<Verdict>, Option<Verdict>)| {
        let limit = TurnedLimit { name, old, new, because: Vec::new(), fewest: false };
        (old != new).then_some(limit)
    };
    paired(all(old), all(new)).into_iter().filter_map(turned).collect()
}
