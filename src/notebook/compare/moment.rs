//! A job as it was at a moment of its journal.
//!
//! In: `JOB`, `JOB@2026-11-25T10:00` or `JOB@line3`. Out: the page of the job.
//! Never: makes a text up that the journal does not hold.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::fault::{Fault, Page, Refused, Span};
use crate::job::journal::Journal;
use crate::notebook::library::{Found, shown};
use crate::notebook::{Wrong, read_mended};
use crate::unit::date;

/// Returns the file of a job and its page.
pub(super) fn page(named: &str, remarks: &mut Vec<String>) -> Found<(PathBuf, Arc<Page>)> {
    let whole = Path::new(named);
    let Some((path, time)) = named.rsplit_once('@').filter(|_| !whole.exists()) else {
        return read_mended(whole, &shown(whole)).map(|page| (whole.to_owned(), page));
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
    remarks.push(format!(
        "{named} is as line {} of its journal left it, worked with the sheets, bases and tables of today",
        at + 1
    ));
    Ok((path.to_owned(), Page::new(named, text)))
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
