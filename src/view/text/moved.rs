//! What a change did, the most important of it in full: what was set, limits, results; rows are counted.
//!
//! In: a change. Out: text no wider than the look asks.
//! Never: leaves out a limit that turned, or how to see what is only counted.

use super::one;
use crate::notebook::record::LimitRecord;
use crate::notebook::{Change, Moved, Verdict};
use crate::view::{Look, indented, item};

/// How many moved lines are listed.
const MOST_MOVED: usize = 12;

/// How many limits that moved and did not turn are listed.
const MOST_TOUCHED: usize = 4;

/// From this share of what is allowed on, a limit that passes is told.
const NEAR: f64 = 0.5;

/// More rows of one schedule than these are counted.
const MOST_ROWS: usize = 3;

/// Returns what a change moved, before and after, and each limit that turned.
pub fn change(change: &Change, look: Look) -> String {
    let mut out: String = change.notes.iter().map(|note| indented(note, look, 0)).collect();
    out += &lines(&change.moved, look);
    if !change.gone.is_empty() {
        out += &item(&format!("no longer needed: {}", few(&change.gone)), look);
    }
    // What passes with plenty left is no news.
    let near =
        |limit: &LimitRecord| limit.verdict != Verdict::Pass || limit.uses.is_some_and(|uses| uses >= NEAR);
    let told: Vec<_> = change.touched.iter().filter(|touched| near(&touched.limit)).collect();
    for touched in told.iter().take(MOST_TOUCHED) {
        let limit = &touched.limit;
        let passes = limit.verdict == Verdict::Pass;
        let told = limit.compared.first().filter(|_| passes).unwrap_or(&limit.shown);
        let uses = match super::closeness_words(limit) {
            words if words.is_empty() => String::new(),
            words => format!(", {words}"),
        };
        let verdict = if passes { "still passes" } else { limit.verdict.word() };
        let name = limit.full_name(&touched.sheet);
        out += &item(&format!("{name}  {verdict}{uses}: {told}"), look);
    }
    if let Some(more) = told.len().checked_sub(MOST_TOUCHED + 1) {
        out += &format!("and {} limits that moved and stand as before\n", more + 1);
    }
    out.push('\n');
    out + &change.turned.iter().map(|turned| one(&turned.sheet, &turned.limit, look)).collect::<String>()
}

/// What was set, the results of its own sheet, those of others; rows of a schedule that are many as their count.
fn lines(moved: &[Moved], look: Look) -> String {
    let own = moved.iter().find(|one| one.set).map_or("", |one| sheet(&one.name));
    let mut told: Vec<&Moved> = moved.iter().filter(|one| one.set || counted(moved, one).is_none()).collect();
    told.sort_by_key(|one| (!one.set, sheet(&one.name) != own));
    let mut out: String = told.iter().take(MOST_MOVED).map(|one| item(&words(one), look)).collect();
    let mut sheets: Vec<&str> = told.iter().skip(MOST_MOVED).map(|one| sheet(&one.name)).collect();
    if !sheets.is_empty() {
        let more = sheets.len();
        sheets.dedup();
        out += &item(&format!("and {more} more, which a sheet's name shows: {}", sheets.join(", ")), look);
    }
    // Of each schedule the rows, and how many of their values.
    let mut schedules: Vec<(&str, Vec<&str>, usize)> = Vec::new();
    for one in moved.iter().filter(|one| !one.set) {
        let Some((schedule, row)) = counted(moved, one) else { continue };
        match schedules.iter_mut().find(|(known, ..)| *known == schedule) {
            Some((_, rows, values)) => {
                *values += 1;
                if !rows.contains(&row) {
                    rows.push(row);
                }
            }
            None => schedules.push((schedule, vec![row], 1)),
        }
    }
    for (schedule, rows, values) in schedules {
        let told = match rows.as_slice() {
            [row] => format!("{schedule}.{row}  {values} values changed: its name shows them"),
            rows => format!("{schedule}  {} rows changed: its name shows them", rows.len()),
        };
        out += &item(&told, look);
    }
    out
}

/// Returns the schedule and row of a cell that is one of many that moved.
fn counted<'m>(moved: &'m [Moved], one: &'m Moved) -> Option<(&'m str, &'m str)> {
    let (schedule, row) = row_of(one)?;
    let cells =
        moved.iter().filter(|other| !other.set && row_of(other).is_some_and(|(own, _)| own == schedule));
    (cells.count() > MOST_ROWS).then_some((schedule, row))
}

/// Returns the schedule and the row of a cell: `sheet.schedule.row.column`, the row perhaps in quotes.
fn row_of(one: &Moved) -> Option<(&str, &str)> {
    let name = one.name.as_str();
    let (first, _) = name.match_indices('.').nth(1)?;
    let last = name.rfind('.').filter(|last| *last > first && !name.ends_with('"'))?;
    Some((&name[..first], &name[first + 1..last]))
}

fn sheet(name: &str) -> &str {
    name.split('.').next().unwrap_or(name)
}

fn words(moved: &Moved) -> String {
    let origin = moved.origin.map_or(String::new(), |origin| format!("  {origin}"));
    if let Some(link) = &moved.link {
        let before = if moved.before == "?" { String::new() } else { format!("{} \u{2192} ", moved.before) };
        return format!("{}  {before}linked to {link}, which is open", moved.name);
    }
    if moved.before == moved.after {
        format!("{}  {}, as before{origin}", moved.name, moved.after)
    } else {
        format!("{}  {} \u{2192} {}{origin}", moved.name, moved.before, moved.after)
    }
}

/// Returns the first of many names, and how many more there are.
fn few(names: &[String]) -> String {
    let more = names.len().saturating_sub(MOST_MOVED);
    let first = names.iter().take(MOST_MOVED).cloned().collect::<Vec<_>>().join(", ");
    if more == 0 { first } else { format!("{first}, and {more} more") }
}
