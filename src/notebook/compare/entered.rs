//! What people put into a job, under its names: values with how each is known, marks, instruments, the job's own words.
//!
//! In: two loaded jobs. Out: what differs between them, each in words.
//! Never: takes a value for the same where who said it, when, how or with what is not.

use std::collections::BTreeMap;

use crate::job::journal::Stamp;
use crate::job::{Instrument, Mark, Says, Seen};
use crate::notebook::book::names::LinePlace;
use crate::notebook::book::{Book, Known, words};
use crate::notebook::compare::{Differs, differing, paired};
use crate::notebook::record::row_name;
use crate::unit::date;

/// Digits of a hash that tell one text from another.
const TOLD: usize = 16;

/// A value that was entered, and how it is known.
#[derive(Clone, Debug, PartialEq)]
struct Told {
    /// The value; of a link what it brings.
    value: String,
    /// Whether it is brought by a link, so that it moves with what it is linked to.
    linked: bool,
    /// How it is known, a word or two each.
    known: Vec<String>,
    /// Who entered it and when, as it stands beside it.
    said: Option<String>,
}

/// Returns what was entered differently; with `moved`, also what links bring that is not the same.
pub(in crate::notebook) fn inputs(old: &Book, new: &Book, moved: bool) -> Vec<Differs> {
    let renamed = renamed(old, new);
    let pairs = paired(entered(old, &BTreeMap::new()), entered(new, &renamed));
    let differs = |(name, old, new)| differs(name, old, new, moved);
    let mut made: Vec<Differs> = pairs.into_iter().filter_map(differs).collect();
    made.extend(orders(old, new, &renamed));
    made
}

/// Returns values that were changed while who and when beside them stayed, in words.
pub(in crate::notebook) fn carried(old: &Book, new: &Book) -> Vec<String> {
    let renamed = renamed(old, new);
    let pairs = paired(entered(old, &BTreeMap::new()), entered(new, &renamed));
    let told = pairs.into_iter().filter_map(|(name, old, new)| {
        let (old, new) = (old?, new?);
        let said = new.said.filter(|said| old.said.as_ref() == Some(said))?;
        let changed = old.value != new.value && !new.linked;
        changed.then(|| format!("{name} still carries {said}, as the value before it did"))
    });
    told.collect()
}

/// Who entered a value, and when, where it was not left to the job's own.
fn said(known: &Known) -> Option<String> {
    let at = known.at.map(|at| date::show(at).replace('T', " "));
    let said: Vec<String> = known.who.iter().cloned().chain(at).collect();
    (!said.is_empty()).then(|| said.join(", "))
}

/// Returns each schedule whose rows stand in another order: what is summed up along rows moves with it.
fn orders(old: &Book, new: &Book, renamed: &BTreeMap<String, String>) -> Vec<Differs> {
    let mut made = Vec::new();
    for used in &old.uses {
        let Some(other) = new.uses.iter().find(|other| other.name == used.name) else { continue };
        for (n, rows) in used.row_names.iter().enumerate() {
            let schedule = &used.sheet.schedules[n].name.value;
            let now = other.sheet.known_schedule(schedule).and_then(|m| other.row_names.get(m));
            let name = |row: &String| row_name(&used.name, schedule, row);
            let was: Vec<String> = rows.iter().map(name).collect();
            let is: Vec<String> = now.into_iter().flatten().map(name).collect();
            let is: Vec<&String> = is.iter().map(|name| renamed.get(name).unwrap_or(name)).collect();
            // Rows that only one of the two has are told as their values.
            let of_both = was.iter().filter(|name| is.contains(name));
            if of_both.ne(is.iter().copied().filter(|name| was.contains(name))) {
                made.push(Differs {
                    name: format!("{ORDER_OF}{}.{schedule}{CHANGED}", used.name),
                    old: None,
                    new: None,
                });
            }
        }
    }
    made
}

/// What stands around the name of a schedule whose rows were moved.
const ORDER_OF: &str = "order of ";
const CHANGED: &str = " changed";

/// Returns the schedule that words on the order of rows are about.
pub(in crate::notebook) fn ordered(name: &str) -> Option<&str> {
    name.strip_prefix(ORDER_OF)?.strip_suffix(CHANGED)
}

fn differs(name: String, old: Option<Told>, new: Option<Told>, moved: bool) -> Option<Differs> {
    let (Some(was), Some(is)) = (&old, &new) else {
        let told = |told: Option<Told>| told.map(|told| beside(&told, &[]));
        let (old, new) = (told(old), told(new));
        return Some(Differs { name, old, new });
    };
    let same = was.value == is.value || was.linked && is.linked && !moved;
    if same && was.known == is.known {
        return None;
    }
    let (old, new) = (Some(beside(was, &is.known)), Some(beside(is, &was.known)));
    Some(Differs { name, old, new })
}

/// A value with what is known of it and not of the other.
fn beside(told: &Told, other: &[String]) -> String {
    let own = told.known.iter().filter(|word| !other.contains(word)).map(String::as_str);
    let value = if told.value.is_empty() { "?" } else { &told.value };
    std::iter::once(value).chain(own).collect::<Vec<_>>().join(", ")
}

/// A row that was given another name, where it is the only one that is not there any more: its name now, and then.
fn renamed(old: &Book, new: &Book) -> BTreeMap<String, String> {
    let mut found = BTreeMap::new();
    for used in &old.uses {
        let Some(other) = new.uses.iter().find(|other| other.name == used.name) else { continue };
        for (n, rows) in used.row_names.iter().enumerate() {
            let schedule = &used.sheet.schedules[n].name.value;
            let now = other.sheet.known_schedule(schedule).and_then(|m| other.row_names.get(m));
            let Some(now) = now.filter(|now| now.len() == rows.len()) else { continue };
            let gone: Vec<&String> = rows.iter().filter(|row| !now.contains(row)).collect();
            let come: Vec<&String> = now.iter().filter(|row| !rows.contains(row)).collect();
            if let ([gone], [come]) = (gone.as_slice(), come.as_slice()) {
                let name = |row: &str| row_name(&used.name, schedule, row);
                found.insert(name(come), name(gone));
            }
        }
    }
    found
}

fn entered(book: &Book, renamed: &BTreeMap<String, String>) -> Vec<(String, Told)> {
    let mut made = Vec::new();
    for (s, used) in book.uses.iter().enumerate() {
        for (n, line) in used.sheet.lines.iter().enumerate() {
            if !line.role.is_entered() {
                continue;
            }
            for row in 0..used.rows_of(line) {
                let place = LinePlace { s, n, row: line.schedule.map(|_| row) };
                let mut name = used.full_name(n, row);
                if let Some(schedule) = line.schedule {
                    let schedule = &used.sheet.schedules[schedule].name.value;
                    let own = row_name(&used.name, schedule, &book.row_name(s, line, row));
                    let then = renamed.get(&own);
                    name = then.map_or(name, |then| format!("{then}.{}", line.name.value));
                }
                let known = book.known_words(place, line, row);
                let own = used.known.get(&(n, row));
                let linked = own.is_some_and(|known| known.link.is_some());
                let said = own.and_then(said);
                made.push((name, Told { value: value(book, (s, n), row), linked, known, said }));
            }
        }
    }
    made
}

/// What was entered, whether it is needed or not; of a link what it brings.
fn value(book: &Book, (s, n): (usize, usize), row: usize) -> String {
    let own = book.point.entry_slot(s, n).and_then(|slot| Some(slot + u32::try_from(row).ok()?));
    let (value, status) = book.point.at(own.unwrap_or_else(|| book.slot(s, n, row)));
    if status.is_worked() { words::of_line(book, (s, n), row, value) } else { String::new() }
}

/// Returns what else people wrote into a job that differs: whose it is, its day, its sheets, instruments and marks.
pub(in crate::notebook) fn besides(old: &Book, new: &Book) -> Vec<Differs> {
    let mut made = differing(besides_of(old), besides_of(new));
    let marks = |book: &Book| book.job.marks.iter().map(mark).collect();
    for (name, old, new) in paired(marks(old), marks(new)) {
        if old != new {
            let same = matches!((&old, &new), (Some(old), Some(new)) if old.0 == new.0);
            let words = |mark: Option<(String, Seen)>| mark.map(|(words, _)| words);
            let new =
                words(new).map(|new| if same { format!("{new}, of another state of the line") } else { new });
            made.push(Differs { name, old: words(old), new });
        }
    }
    made
}

/// Returns all that people wrote into a job that differs.
pub(in crate::notebook) fn all(old: &Book, new: &Book) -> Vec<Differs> {
    let mut made = inputs(old, new, false);
    made.extend(besides(old, new));
    made
}

/// Returns the sheets, bases, tables and CSV files of one name that read differently, or are used in one alone.
pub(super) fn files(old: Vec<Stamp>, new: Vec<Stamp>) -> Vec<Differs> {
    let of = |files: Vec<Stamp>| {
        let told = files.into_iter().map(|stamp| {
            let revision = stamp.revision.map_or(String::new(), |revision| format!("revision {revision}, "));
            (stamp.file, format!("{revision}SHA-256 {}\u{2026}", &stamp.hash[..TOLD.min(stamp.hash.len())]))
        });
        told.collect()
    };
    differing(of(old), of(new))
}

fn besides_of(book: &Book) -> Vec<(String, String)> {
    let job = &book.job;
    let mut made =
        vec![("title".to_owned(), job.title.clone()), ("basis".to_owned(), job.basis.value.clone())];
    made.extend(job.on.as_ref().map(|on| ("on".to_owned(), date::show(on.value))));
    made.extend(job.prepared_by.clone().map(|who| ("prepared_by".to_owned(), who)));
    let used = job.sheets.iter();
    made.extend(used.map(|used| (format!("sheet {}", used.name.value), used.sheet.value.clone())));
    made.extend(job.instruments.iter().map(instrument));
    made
}

fn instrument(one: &Instrument) -> (String, String) {
    let parts = [
        one.kind.clone(),
        one.tolerance.as_ref().map(|tolerance| format!("\u{b1} {}", tolerance.value)),
        one.calibrated_until.map(|until| format!("calibrated until {}", date::in_words(until))),
    ];
    (format!("instrument {}", one.name.value), parts.into_iter().flatten().collect::<Vec<_>>().join(", "))
}

/// A mark in words, and what its line was then.
fn mark(one: &Mark) -> (String, (String, Seen)) {
    let says = if one.says == Says::Agree { "agreed" } else { "asked" };
    let who = one.who.as_deref().unwrap_or("somebody");
    let note = one.note.as_ref().map_or(String::new(), |note| format!(" \"{note}\""));
    let at = one.at.map_or(String::new(), |at| format!(", {}", date::show(at).replace('T', " ")));
    (format!("mark of {who} on {}", one.line.value), (format!("{says}{note}{at}"), one.seen.clone()))
}
