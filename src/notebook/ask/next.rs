//! What can be answered now: open values whose conditions are known to hold, and what decides the others.
//!
//! In: an open job. Out: full names, in the order of the work.
//! Never: names what may turn out not to be needed; that is named once what decides it is answered.

use crate::engine::{Purpose, State};
use crate::notebook::book::Book;
use crate::notebook::open::Notebook;
use crate::notebook::record::{Origin, Verdict, keep_first};
use crate::sheet::model::Role;

impl Notebook {
    /// Returns the lines, cells and schedules that wait for a person, by their full names; what decides whether a
    /// line is needed stands before it.
    pub fn to_ask(&self) -> Vec<String> {
        let book = &self.book;
        let schedules = self.schedules_in_full();
        let mut found = Vec::new();
        for (s, used) in book.uses.iter().enumerate() {
            for (n, line) in used.sheet.lines.iter().enumerate() {
                let Some(schedule) = line.schedule else {
                    found.extend(asked(book, (s, n), 0));
                    continue;
                };
                let columns = &used.sheet.schedules[schedule].columns;
                // A schedule is asked for at the first of its columns, row by row: that is how its points are
                // walked to.
                if columns.first() != Some(&n) {
                    continue;
                }
                if used.lacks_rows(schedule) {
                    found.extend(rows_asked(book, s, schedule));
                }
                let rows = 0..used.rows_of(line);
                found.extend(
                    rows.flat_map(|row| columns.iter().filter_map(move |n| asked(book, (s, *n), row))),
                );
            }
        }
        keep_first(&mut found);
        // Rows that come from elsewhere are asked for there.
        let whole = |name: &String| name.matches('.').count() == 1 && self.is_schedule(name);
        found.retain(|name| !whole(name) || schedules.contains(name));
        found
    }

    /// Returns the schedules that have rows, and too few of them for a limit that counts them.
    pub fn too_few(&self) -> Vec<String> {
        let known = self.schedules_in_full();
        let short = self.record().limits().filter(|(_, limit)| limit.verdict == Verdict::Fail);
        let named = short.filter_map(|(sheet, limit)| {
            let (counted, wanted) = limit.condition.strip_prefix("count(")?.split_once(')')?;
            wanted.trim_start().starts_with('>').then(|| format!("{sheet}.{counted}"))
        });
        named.filter(|name| known.contains(name)).collect()
    }

    /// Returns whether a full name is that of a schedule.
    pub fn is_schedule(&self, name: &str) -> bool {
        self.record().schedule(name).is_some()
    }

    /// Returns what a line that is entered shows as.
    pub fn value_of(&self, name: &str) -> Option<String> {
        let place = self.place(name)?;
        Some(crate::notebook::record::tell::shown(&self.book, (place.s, place.n), place.row.unwrap_or(0)))
    }

    /// Returns the line that the note of a line says it may link to, in each sheet of the job that is meant: `A link:
    /// total of the standby_load sheet.`
    pub fn links_for(&self, name: &str) -> Vec<String> {
        let Some(place) = self.place(name) else { return Vec::new() };
        let own = &self.book.uses[place.s].sheet.lines[place.n];
        let Some((named, sheet, note)) = own.note.as_deref().and_then(link_noted) else { return Vec::new() };
        let others = self.book.uses.iter().enumerate().filter(|(s, _)| *s != place.s);
        let others = others.map(|(_, used)| used).filter(|used| used.sheet_name == sheet);
        let found = others.filter_map(|used| {
            let n = used.sheet.known_line(named)?;
            let line = &used.sheet.lines[n];
            let value = !matches!(line.role, Role::Limit { .. }) && line.is.agrees(own.is);
            value.then(|| (used.name.clone(), used.plain_name(n)))
        });
        of_time(note, found.collect()).into_iter().map(|(_, line)| line).collect()
    }

    /// Returns whether a line stands at a default that nobody has confirmed.
    pub fn is_default(&self, name: &str) -> bool {
        let known = |place: crate::notebook::book::names::LinePlace| {
            Some(self.book.uses[place.s].known.get(&(place.n, place.row.unwrap_or(0)))?.origin)
        };
        self.place(name).and_then(known) == Some(Origin::Default)
    }
}

/// Returns the line and the sheet that a note names for a link, and what it says from there on.
fn link_noted(note: &str) -> Option<(&str, String, &str)> {
    let (_, link) = note.split_once("A link: ")?;
    let (named, rest) = link.split_once(" of the ")?;
    let (sheet, _) = rest.split_once(" sheet")?;
    let sheet = sheet.strip_prefix("same ").unwrap_or(sheet).replace(' ', "_");
    let is_name = |name: &str| crate::job::is_name(name);
    (is_name(named) && is_name(&sheet)).then_some((named, sheet, rest))
}

/// Of sheets by their names in the job, returns those that are of the time that a note says: as found, or as left.
fn of_time(note: &str, found: Vec<(String, String)>) -> Vec<(String, String)> {
    let (time, other) = match (note.contains("as found"), note.contains("as left")) {
        (true, false) => ("found", "left"),
        (false, true) => ("left", "found"),
        (true, true) | (false, false) => return found,
    };
    let says = |word: &str, (sheet, _): &&(String, String)| sheet.split('_').any(|part| part == word);
    let own: Vec<_> = found.iter().filter(|one| says(time, one)).cloned().collect();
    if own.is_empty() { found.iter().filter(|one| !says(other, one)).cloned().collect() } else { own }
}

/// Returns what is to be asked for a row of a line: itself, or what decides whether it is needed.
fn asked(book: &Book, (s, n): (usize, usize), row: usize) -> Option<String> {
    let used = &book.uses[s];
    let known = used.known.get(&(n, row));
    if !book.uses[s].sheet.lines[n].role.is_entered() || known.is_some_and(|known| known.link.is_some()) {
        return None;
    }
    match book.point.at(book.slot(s, n, row)).1.state() {
        // Whether a figure is needed is no question of its own.
        State::Open(slot) => {
            let figure = matches!(used.sheet.lines[n].role, Role::Take { .. });
            decider(book, slot).filter(|name| !figure || *name == used.full_name(n, row))
        }
        State::Worked if known.is_some_and(|known| known.origin == Origin::Default) => {
            Some(used.full_name(n, row))
        }
        State::Worked | State::Unworkable(..) | State::NotNeeded(_) => None,
    }
}

/// Returns what is to be asked where a schedule has no rows.
fn rows_asked(book: &Book, s: usize, schedule: usize) -> Option<String> {
    let name = || format!("{}.{}", book.uses[s].name, book.uses[s].sheet.schedules[schedule].name.value);
    match book.rows_status(s, schedule).state() {
        State::Open(slot) => decider(book, slot),
        State::NotNeeded(_) => None,
        State::Worked | State::Unworkable(..) => Some(name()),
    }
}

/// Returns what a slot that is open waits for, where a person can enter it.
fn decider(book: &Book, slot: u32) -> Option<String> {
    let plan = book.point.plan();
    let (line, row) = plan.line_of(slot);
    match plan.lines[line].purpose {
        Purpose::Line(s, n) | Purpose::Entry(s, n) => {
            book.uses[s].sheet.lines[n].role.is_entered().then(|| book.uses[s].full_name(n, row))
        }
        Purpose::RowsOf(s, n) => {
            Some(format!("{}.{}", book.uses[s].name, book.uses[s].sheet.schedules[n].name.value))
        }
        Purpose::TableRows(..)
        | Purpose::TableColumn(..)
        | Purpose::ChartLine(..)
        | Purpose::Part
        | Purpose::Today => None,
    }
}
