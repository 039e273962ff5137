//! `fill`: asks for all that is open, in the order in which the work is done.
//!
//! In: a record, and answers as typed. Out: the next question, or the change that an answer asks for.
//! Never: asks for what is not needed.

use crate::notebook::Offer;
use crate::notebook::record::{LineKind, LineRecord, Origin, Record, SheetRecord, full_name};
use crate::view::answers::rows_words;
use crate::view::{Look, indented};

/// The questions on their way; a schedule with no rows is one of them.
#[derive(Clone, Debug, Default)]
pub struct Fill {
    /// What was asked, the last at the end.
    asked: Vec<String>,
    /// What was left open.
    left: Vec<String>,
    /// What is asked again.
    again: Option<String>,
}

/// What an answer asks for.
#[derive(Clone, Debug, PartialEq)]
pub enum Asked {
    /// A change, as it would be typed at the prompt.
    Change(String),
    /// A new row, as it would be typed behind `add`.
    Row(String),
    /// The next question.
    Next,
    /// No more questions.
    Stop,
}

impl Fill {
    /// Returns the line, or the schedule, that is asked for next.
    pub fn next(&self, record: &Record) -> Option<String> {
        let open = || open(record).into_iter().find(|name| !self.left.contains(name));
        self.again.clone().or_else(open)
    }

    /// Takes an answer: `-` leaves it open, `back` goes back, `stop` ends, anything else is its value.
    pub fn answer(&mut self, record: &Record, typed: &str) -> Asked {
        let Some(name) = self.next(record) else { return Asked::Stop };
        match typed.trim() {
            "stop" | "quit" => Asked::Stop,
            "" => Asked::Next,
            "back" => {
                // Another row of the schedule that is asked for is no step.
                let last = self.asked.pop();
                self.again = if last.as_ref() == Some(&name) { self.asked.pop() } else { last };
                self.left.retain(|left| Some(left) != self.again.as_ref());
                Asked::Next
            }
            "-" => {
                self.again = None;
                self.asked.push(name.clone());
                self.left.push(name);
                Asked::Next
            }
            row if record.schedule(&name).is_some() => {
                let row = row.strip_prefix("add ").unwrap_or(row);
                // Whoever types the whole of it has named the schedule again.
                let named = |(first, rest): &(&str, &str)| {
                    !first.contains('=') && !rest.trim_start().starts_with('=')
                };
                let row = row.split_once(' ').filter(named).map_or(row, |(_, rest)| rest);
                Asked::Row(format!("{name} {row}"))
            }
            value => Asked::Change(format!("{name} = {value}")),
        }
    }

    /// An answer was taken; of a schedule there may be more rows.
    pub fn taken(&mut self, name: String, record: &Record) {
        self.again = record.schedule(&name).map(|_| name.clone());
        if self.asked.last() != Some(&name) {
            self.asked.push(name);
        }
    }
}

/// What is open or to be confirmed, in the job's order.
fn open(record: &Record) -> Vec<String> {
    record
        .sheets
        .iter()
        .flat_map(|sheet| sheet.lines.iter().flat_map(move |line| of_line(record, sheet, line)))
        .fold(Vec::new(), |mut all, name| {
            // A schedule with no rows is asked for once, at the first of its columns.
            if !all.contains(&name) {
                all.push(name);
            }
            all
        })
}

fn of_line(record: &Record, sheet: &SheetRecord, line: &LineRecord) -> Vec<String> {
    if line.kind != LineKind::Given {
        return Vec::new();
    }
    let rows = line.schedule.as_ref().map(|schedule| full_name(&sheet.name, None, schedule));
    if let Some(schedule) = rows.filter(|schedule| record.rests_on.open.contains(schedule)) {
        return vec![schedule];
    }
    let Some(schedule) = &line.schedule else {
        let waits = matches!(line.origin, Origin::Open | Origin::Default);
        return if waits { vec![full_name(&sheet.name, None, &line.name)] } else { Vec::new() };
    };
    // A schedule is asked for at the first of its columns, row by row: that is how its points are walked to.
    let of_schedule = |line: &&LineRecord| line.schedule.as_ref() == Some(schedule);
    if sheet.lines.iter().find(of_schedule).is_none_or(|first| first.name != line.name) {
        return Vec::new();
    }
    let rows =
        sheet.schedules.iter().find(|known| known.name == *schedule).map_or(&[][..], |known| &known.rows);
    let columns: Vec<&LineRecord> = sheet.lines.iter().filter(of_schedule).collect();
    let cell = |row: usize, column: &&LineRecord| {
        let name = full_name(&sheet.name, Some((schedule, &rows[row])), &column.name);
        let open = column.shown_rows.get(row).is_some_and(|shown| shown == "?");
        let given = column.kind == LineKind::Given;
        (given && (open || record.rests_on.unconfirmed.contains(&name))).then_some(name)
    };
    (0..rows.len())
        .flat_map(|row| columns.iter().filter_map(move |column| cell(row, column)).collect::<Vec<_>>())
        .collect()
}

/// Returns the question for the rows of a schedule.
pub fn rows_wanted(name: &str, columns: &[(String, Offer)], record: &Record, look: Look) -> String {
    let mut out = String::new();
    let mut line = |text: String, indent: usize| out += &indented(&text, look, indent);
    let Some((_, schedule)) = record.schedule(name) else { return out };
    let so_far = match schedule.rows.len() {
        0 => "no rows yet".to_owned(),
        n => format!("{}; another, or - to go on", rows_words(n)),
    };
    line(format!("{name}: {}, {so_far}", schedule.label), 0);
    let form = columns.iter().map(|(column, _)| format!("{column} = …")).collect::<Vec<_>>().join(", ");
    line(format!("answer with a row: {form}"), 2);
    for (column, offer) in columns.iter().filter(|_| schedule.rows.is_empty()) {
        let takes = takes(offer);
        let takes = if takes.is_empty() { String::new() } else { format!(", {takes}") };
        line(format!("{column}: {}{takes}", offer.label), 2);
    }
    out
}

/// What a line takes, in words.
fn takes(offer: &Offer) -> String {
    let unit = if offer.unit.is_empty() { String::new() } else { format!("in {}", offer.unit) };
    let takes = if offer.choices.is_empty() {
        offer.range.clone()
    } else {
        format!("one of {}", offer.choices.join(", "))
    };
    [unit, takes].into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ")
}

/// Returns the question for a line.
pub fn question(name: &str, offer: Option<&Offer>, record: &Record, look: Look) -> String {
    let mut out = String::new();
    let mut line = |text: String, indent: usize| out += &indented(&text, look, indent);
    line(format!("{name}: {}", offer.map_or("", |offer| offer.label.as_str())), 0);
    if let Some(offer) = offer {
        let takes = takes(offer);
        if !takes.is_empty() {
            line(takes, 2);
        }
    }
    if let Some(found) = record.line(name) {
        if let Some(source) = &found.source {
            line(source.clone(), 2);
        }
        if let Some(note) = &found.note {
            line(note.clone(), 2);
        }
        if found.origin == Origin::Default {
            line(format!("usually {}: the same value confirms it", found.shown), 2);
        }
    }
    out
}
