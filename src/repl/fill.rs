//! `fill`: asks for all that is open, in the order in which the work is done.
//!
//! In: a record, and answers as typed. Out: the next question, or the change that an answer asks for.
//! Never: asks for what is not needed.

use crate::notebook::Offer;
use crate::notebook::record::{LineKind, LineRecord, Origin, Record, SheetRecord, full_name};
use crate::view::{Look, indented};

/// The questions on their way.
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
    /// The next question.
    Next,
    /// No more questions.
    Stop,
}

impl Fill {
    /// Returns the line that is asked for next.
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
                self.again = self.asked.pop();
                self.left.retain(|left| Some(left) != self.again.as_ref());
                Asked::Next
            }
            "-" => {
                self.again = None;
                self.asked.push(name.clone());
                self.left.push(name);
                Asked::Next
            }
            value => Asked::Change(format!("{name} = {value}")),
        }
    }

    /// An answer was taken.
    pub fn taken(&mut self, name: String) {
        self.again = None;
        self.asked.push(name);
    }
}

/// What is open or to be confirmed, in the job's order.
fn open(record: &Record) -> Vec<String> {
    record
        .sheets
        .iter()
        .flat_map(|sheet| sheet.lines.iter().flat_map(move |line| of_line(sheet, line)))
        .collect()
}

fn of_line(sheet: &SheetRecord, line: &LineRecord) -> Vec<String> {
    if line.kind != LineKind::Given {
        return Vec::new();
    }
    let Some(schedule) = &line.schedule else {
        let waits = matches!(line.origin, Origin::Open | Origin::Default);
        return if waits { vec![full_name(&sheet.name, None, &line.name)] } else { Vec::new() };
    };
    let rows = sheet.schedules.iter().find(|known| known.name == *schedule);
    let rows = rows.into_iter().flat_map(|known| &known.rows).zip(&line.shown_rows);
    rows.filter(|(_, shown)| *shown == "?")
        .map(|(row, _)| full_name(&sheet.name, Some((schedule, row)), &line.name))
        .collect()
}

/// Returns the question for a line.
pub fn question(name: &str, offer: Option<&Offer>, record: &Record, look: Look) -> String {
    let mut out = String::new();
    let mut line = |text: String, indent: usize| out += &indented(&text, look, indent);
    line(format!("{name}: {}", offer.map_or("", |offer| offer.label.as_str())), 0);
    if let Some(offer) = offer {
        let unit = if offer.unit.is_empty() { String::new() } else { format!("in {}", offer.unit) };
        let takes = if offer.choices.is_empty() {
            offer.range.clone()
        } else {
            format!("one of {}", offer.choices.join(", "))
        };
        let parts: Vec<String> = [unit, takes].into_iter().filter(|part| !part.is_empty()).collect();
        if !parts.is_empty() {
            line(parts.join(", "), 2);
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
