//! A job as it was at a moment of its journal.
//!
//! In: `JOB`, `JOB@2026-11-25T10:00` or `JOB@line3`. Out: the page of the job, and the files that it was worked with.
//! Never: makes a text up that the journal does not hold.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::fault::{Fault, Page, Refused, Span};
use crate::job::journal::{Journal, Stamp};
use crate::notebook::library::{Found, shown};
use crate::notebook::{Wrong, read_mended};
use crate::unit::date;

/// A job at a moment of its journal.
#[derive(Debug)]
pub(super) struct Then {
    /// The number of the journal's line.
    pub(super) line: usize,
    /// The files that it was worked with; none where the journal does not say.
    pub(super) files: Vec<Stamp>,
}

impl Then {
    /// Says with which files the job is worked here, and which of them are not those of the moment.
    pub(super) fn told(&self, named: &str, now: &[Stamp]) -> Vec<String> {
        let Self { line, files } = self;
        let mut told = vec![format!(
            "{named} is as line {line} of its journal left it, worked with the sheets, bases, tables and CSV files of today"
        )];
        if files.is_empty() {
            told.push(format!("the journal does not say which files line {line} was worked with"));
            return told;
        }
        let differs = |now: &&Stamp| files.iter().any(|was| was.file == now.file && was.hash != now.hash);
        let names: Vec<&str> = now.iter().filter(differs).map(|now| now.file.as_str()).collect();
        let they = match names.as_slice() {
            [] => return told,
            [_] => "does not read as it did then: it is",
            _ => "do not read as they did then: they are",
        };
        told.push(format!(
            "{} {they} taken as of today for {named} too; the journal keeps no more than a hash, so what changed in \
             there, and what it turned, cannot be told",
            names.join(", ")
        ));
        told
    }
}

/// Returns the file of a job and its page; of a job at a moment also what the journal says of that.
pub(super) fn page(named: &str) -> Found<(PathBuf, Arc<Page>, Option<Then>)> {
    let whole = Path::new(named);
    let Some((path, time)) = named.rsplit_once('@').filter(|_| !whole.exists()) else {
        return read_mended(whole, &shown(whole)).map(|page| (whole.to_owned(), page, None));
    };
    let path = Path::new(path);
    let now = read_mended(path, &shown(path))?;
    let wrong = |wrong: Wrong| {
        vec![Refused { page: Page::new(named, ""), faults: vec![Fault::new(Span::default(), wrong)] }]
    };
    let journal = Journal::read(path, now.text.clone());
    let at = at(&journal, time).map_err(wrong)?;
    let Some(text) = journal.texts().swap_remove(at) else {
        return Err(wrong(Wrong::LostMoment { line: at + 1 }));
    };
    let then = Then { line: at + 1, files: journal.stamps_at(at + 1).to_vec() };
    Ok((path.to_owned(), Page::new(named, text), Some(then)))
}

/// Returns the place of the line of a journal that a moment names: `line3`, a day, or a day with a time.
fn at(journal: &Journal, named: &str) -> Result<usize, Wrong> {
    let lines = journal.lines();
    if let Some(Ok(line)) = named.strip_prefix("line").map(str::parse::<usize>) {
        let at = line.checked_sub(1).filter(|at| *at < lines.len());
        return at.ok_or(Wrong::NoSuchLine { line, lines: lines.len() });
    }
    let Ok(moment) = date::read(named) else {
        return Err(Wrong::NoMoment { found: named.to_owned() });
    };
    // A day alone stands for all of it.
    let moment = if named.contains('T') { moment } else { moment + 86_399.0 };
    let before = |time: &str| date::read(time).is_ok_and(|time| time <= moment);
    lines
        .iter()
        .rposition(|line| before(&line.time))
        .ok_or_else(|| Wrong::BeforeJournal { first: lines.first().map(|line| line.time.replace('T', " ")) })
}
