//! What a change did: lines that moved, limits that turned.
//!
//! In: a job as it was and as it is. Out: the differences, in the words that people read.
//! Never: tells a line that shows as before, but the one that was set.

use super::record::{LimitRecord, LineRecord, Record, SheetRecord, full_name};

/// A line that moved.
#[derive(Clone, Debug, PartialEq)]
pub struct Moved {
    /// Its full name.
    pub name: String,
    /// What it was.
    pub before: String,
    /// What it is.
    pub after: String,
    /// Whether it is what was set.
    pub set: bool,
    /// How it is known, of a line that was set.
    pub origin: Option<&'static str>,
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
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Change {
    /// What was done besides, in words: the rows of a file copied into the job.
    pub notes: Vec<String>,
    /// Lines that moved, those that were set first.
    pub moved: Vec<Moved>,
    /// Limits that turned.
    pub turned: Vec<Turned>,
}

/// Returns what differs; the lines that were `set`, by their full names, come first, moved or not.
pub(super) fn change(before: &Record, after: &Record, set: &[String]) -> Change {
    let mut moved = moved(before, after, set);
    moved.sort_by_key(|one| !one.set);
    Change { notes: Vec::new(), moved, turned: turned(before, after) }
}

fn moved(before: &Record, after: &Record, set: &[String]) -> Vec<Moved> {
    let mut moved = Vec::new();
    for sheet in &after.sheets {
        let old = before.sheets.iter().find(|old| old.name == sheet.name);
        for line in &sheet.lines {
            let same = |old: &&LineRecord| old.name == line.name && old.schedule == line.schedule;
            let was = old.and_then(|old| old.lines.iter().find(same));
            moved.extend(moved_in(sheet, (old, was), line, set));
        }
    }
    moved
}

/// Returns how a line moved, row by row in a schedule whose rows are as before.
pub(super) fn moved_of(
    sheet: &SheetRecord,
    was: &LineRecord,
    line: &LineRecord,
    set: &[String],
) -> Vec<Moved> {
    moved_in(sheet, (Some(sheet), Some(was)), line, set)
}

fn moved_in(
    sheet: &SheetRecord,
    old: (Option<&SheetRecord>, Option<&LineRecord>),
    line: &LineRecord,
    set: &[String],
) -> Vec<Moved> {
    let one = |(name, before, after): (String, String, String)| {
        let set = set.contains(&name);
        let origin = (set && line.schedule.is_none()).then(|| line.origin.words());
        (set || before != after).then_some(Moved { name, before, after, set, origin })
    };
    shown_pairs(sheet, old, line).into_iter().filter_map(one).collect()
}

/// A value with its tolerance, so that a reading known better is not told as the same.
pub(super) fn with_tolerance(line: &LineRecord) -> String {
    beside_tolerance(&line.shown, line.tolerance.as_deref())
}

/// "7 Ah ± 0.2 Ah"
pub(super) fn beside_tolerance(value: &str, tolerance: Option<&str>) -> String {
    value.to_owned() + &tolerance.map_or(String::new(), |tolerance| format!(" \u{b1} {tolerance}"))
}

/// The full name of a line, or of each row of a column, with what it showed and shows.
fn shown_pairs(
    sheet: &SheetRecord,
    (old, was): (Option<&SheetRecord>, Option<&LineRecord>),
    line: &LineRecord,
) -> Vec<(String, String, String)> {
    let none = "not needed";
    let Some(schedule) = &line.schedule else {
        let before = was.map_or(none.to_owned(), with_tolerance);
        return vec![(format!("{}.{}", sheet.name, line.name), before, with_tolerance(line))];
    };
    let names = |sheet: &SheetRecord| {
        let found = sheet.schedules.iter().find(|known| known.name == *schedule);
        found.map_or_else(Vec::new, |found| found.rows.clone())
    };
    let old_names = old.map_or_else(Vec::new, &names);
    let row = |(name, shown): (String, &String)| {
        let before = old_names.iter().position(|known| *known == name);
        let before = before.and_then(|row| was?.shown_rows.get(row)).map_or("new", String::as_str).to_owned();
        (full_name(&sheet.name, Some((schedule, &name)), &line.name), before, shown.clone())
    };
    names(sheet).into_iter().zip(&line.shown_rows).map(row).collect()
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
