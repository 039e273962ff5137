//! What a change did: lines that moved, limits that turned.
//!
//! In: a job as it was and as it is. Out: the differences, in the words that people read.
//! Never: tells a line that shows as before, but the one that was set.

use crate::notebook::record::{
    LimitRecord, LineKind, LineRecord, NotNeeded, Record, SheetRecord, Verdict, full_name, row_name,
};

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
    /// The line that it was linked to, where that is open.
    pub link: Option<String>,
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
    /// Limits that show otherwise, and did not turn.
    pub touched: Vec<Turned>,
    /// What was needed and is no longer, by its full name.
    pub gone: Vec<String>,
}

/// Returns what differs; the lines that were `set`, by their full names, come first, moved or not.
pub(in crate::notebook) fn change(before: &Record, after: &Record, set: &[String]) -> Change {
    let mut moved = moved(before, after, set);
    moved.sort_by_key(|one| !one.set);
    let (turned, touched) = (turned(before, after), touched(before, after));
    Change { notes: Vec::new(), moved, turned, touched, gone: gone(before, after, set) }
}

fn moved(before: &Record, after: &Record, set: &[String]) -> Vec<Moved> {
    let mut moved = Vec::new();
    for sheet in &after.sheets {
        let old = before.sheets.iter().find(|old| old.name == sheet.name);
        moved.extend(old.map_or_else(Vec::new, |old| rows_that_went(old, sheet, set)));
        for line in &sheet.lines {
            let same = |old: &&LineRecord| old.name == line.name && old.schedule == line.schedule;
            let was = old.and_then(|old| old.lines.iter().find(same));
            moved.extend(moved_in(sheet, (old, was), line, set));
        }
    }
    moved
}

/// Returns the rows that are there now and were not, and those that are there no more, each as one.
fn rows_that_went(old: &SheetRecord, new: &SheetRecord, set: &[String]) -> Vec<Moved> {
    let mut moved = Vec::new();
    for schedule in &new.schedules {
        let was = old.schedules.iter().find(|known| known.name == schedule.name);
        let was = was.map_or(&[][..], |was| was.rows.as_slice());
        let name = |row: &str| row_name(&new.name, &schedule.name, row);
        let one = |name: String, before: String, after: String| {
            let set = set.contains(&name);
            Moved { name, before, after, set, origin: None, link: None }
        };
        let mut gone = vec![true; was.len()];
        for (at, row) in schedule.rows.iter().enumerate() {
            match row_before(was, &schedule.rows, at) {
                Some(before) => gone[before] = false,
                None => moved.push(one(name(row), NO_ROW.to_owned(), cells(new, &schedule.name, at))),
            }
        }
        for (at, row) in was.iter().enumerate().filter(|(at, _)| gone[*at]) {
            moved.push(one(name(row), cells(old, &schedule.name, at), NO_ROW.to_owned()));
        }
    }
    moved
}

/// What a row is said to have been, or to be, where it is none.
const NO_ROW: &str = "no row";

/// Returns which row a row was: that of its name, or, where the number of rows is as before, the one in its place
/// that has another name now.
fn row_before(was: &[String], now: &[String], at: usize) -> Option<usize> {
    if was.get(at) == Some(&now[at]) {
        return Some(at);
    }
    let by_name = was.iter().position(|known| *known == now[at]);
    let renamed = || was.len() == now.len() && !now.contains(&was[at]);
    by_name.or_else(|| renamed().then_some(at))
}

/// Returns what a person entered in a row, but its name.
fn cells(sheet: &SheetRecord, schedule: &str, row: usize) -> String {
    let title =
        sheet.schedules.iter().find(|known| known.name == schedule).and_then(|known| known.rows.get(row));
    let given = sheet
        .lines
        .iter()
        .filter(|line| line.schedule.as_deref() == Some(schedule) && line.kind == LineKind::Given);
    let cell = |line: &LineRecord| {
        let shown = line.shown_rows.get(row)?;
        (Some(shown) != title).then(|| format!("{} {shown}", line.name))
    };
    let cells: Vec<String> = given.filter_map(cell).collect();
    if cells.is_empty() { "a row".to_owned() } else { cells.join(", ") }
}

/// Returns how a line moved, row by row in a schedule whose rows are as before.
pub(in crate::notebook) fn moved_of(
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
    let one = |(name, was, before, after): (String, String, String, String)| {
        // A row that was renamed was set under its old name.
        let set = set.contains(&name) || set.contains(&was);
        let origin = (set && line.schedule.is_none()).then(|| line.origin.words());
        (set || before != after).then_some(Moved { name, before, after, set, origin, link: None })
    };
    shown_pairs(sheet, old, line).into_iter().filter_map(one).collect()
}

/// A value with its tolerance, so that a reading known better is not told as the same.
pub(in crate::notebook) fn with_tolerance(line: &LineRecord) -> String {
    beside_tolerance(&line.shown, line.tolerance.as_deref())
}

/// "7 Ah ± 0.2 Ah"
pub(in crate::notebook) fn beside_tolerance(value: &str, tolerance: Option<&str>) -> String {
    value.to_owned() + &tolerance.map_or(String::new(), |tolerance| format!(" \u{b1} {tolerance}"))
}

/// The full name of a line, or of each row of a column, and the one it had, with what it showed and shows.
fn shown_pairs(
    sheet: &SheetRecord,
    (old, was): (Option<&SheetRecord>, Option<&LineRecord>),
    line: &LineRecord,
) -> Vec<(String, String, String, String)> {
    let none = "not needed";
    let Some(schedule) = &line.schedule else {
        let before = was.map_or(none.to_owned(), with_tolerance);
        let name = full_name(&sheet.name, None, &line.name);
        return vec![(name.clone(), name, before, with_tolerance(line))];
    };
    let names = |sheet: &SheetRecord| {
        let found = sheet.schedules.iter().find(|known| known.name == *schedule);
        found.map_or_else(Vec::new, |found| found.rows.clone())
    };
    let (old_names, now) = (old.map_or_else(Vec::new, &names), names(sheet));
    let row = |(at, shown): (usize, &String)| {
        // A row that was not there is told as one.
        let row = row_before(&old_names, &now, at)?;
        let name = |row: &str| full_name(&sheet.name, Some((schedule, row)), &line.name);
        let before = was.and_then(|was| was.shown_rows.get(row)).map_or(none, String::as_str).to_owned();
        Some((name(&now[at]), name(&old_names[row]), before, shown.clone()))
    };
    line.shown_rows.iter().enumerate().take(now.len()).filter_map(row).collect()
}

/// Returns a limit of a sheet as another record has it: two schedules may each have one of that name.
pub(in crate::notebook) fn limit_as<'r>(
    record: &'r Record,
    sheet: &str,
    like: &LimitRecord,
) -> Option<&'r LimitRecord> {
    let same = |limit: &LimitRecord| limit.name == like.name && limit.schedule == like.schedule;
    record.limits().find(|(known, limit)| *known == sheet && same(limit)).map(|(_, limit)| limit)
}

fn turned(before: &Record, after: &Record) -> Vec<Turned> {
    let old = |sheet: &str, now: &LimitRecord| limit_as(before, sheet, now).map(|was| was.verdict);
    after
        .limits()
        .filter(|(sheet, limit)| old(sheet, limit) != Some(limit.verdict))
        .map(|(sheet, limit)| Turned { sheet: sheet.to_owned(), limit: limit.clone() })
        .collect()
}

/// Returns the limits that show otherwise than they did, and came out the same.
fn touched(before: &Record, after: &Record) -> Vec<Turned> {
    let is_touched = |(sheet, limit): &(&str, &LimitRecord)| {
        limit_as(before, sheet, limit).is_some_and(|old| differs(old, limit))
    };
    let told =
        |(sheet, limit): (&str, &LimitRecord)| Turned { sheet: sheet.to_owned(), limit: limit.clone() };
    after.limits().filter(is_touched).map(told).collect()
}

/// Returns whether a limit came out the same, with other figures.
pub(in crate::notebook) fn differs(old: &LimitRecord, new: &LimitRecord) -> bool {
    let judged = !matches!(new.verdict, Verdict::Waiting);
    judged && old.verdict == new.verdict && old.shown != new.shown
}

/// Returns the lines that hold a value, and the limits, that were needed and are no longer.
fn gone(before: &Record, after: &Record, set: &[String]) -> Vec<String> {
    let of_sheet = |sheet: &SheetRecord| {
        let old = before.sheets.iter().find(|old| old.name == sheet.name);
        let was = |skipped: &&NotNeeded| {
            let same =
                |name: &str, schedule: &Option<String>| name == skipped.name && *schedule == skipped.schedule;
            old.is_some_and(|old| {
                let limit = |limit: &LimitRecord| {
                    same(&limit.name, &limit.schedule) && limit.verdict != Verdict::Waiting
                };
                let holds = |shown: &str| !["?", "not needed"].contains(&shown);
                let line = |line: &LineRecord| {
                    let cells = line.shown_rows.iter().any(|shown| holds(shown));
                    let held = if line.schedule.is_some() { cells } else { holds(&line.shown) };
                    same(&line.name, &line.schedule) && held
                };
                old.limits.iter().any(limit) || old.lines.iter().any(line)
            })
        };
        let names = sheet.not_needed.iter().filter(was);
        let names = names.map(|skipped| skipped.full_name(&sheet.name));
        names.filter(|name| !set.contains(name)).collect::<Vec<_>>()
    };
    after.sheets.iter().flat_map(of_sheet).collect()
}
