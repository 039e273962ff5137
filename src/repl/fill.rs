//! `fill`: asks for all that is open, in the order in which the work is done.
//!
//! In: what can be answered now, and answers as typed. Out: the next question, or the change that an answer asks for.
//! Never: asks for what is not needed, or may turn out not to be; takes an empty line for an answer.

use super::question;
use crate::notebook::Notebook;

/// The questions on their way; a schedule with no rows is one of them.
#[derive(Clone, Debug, Default)]
pub struct Fill {
    /// What was asked, the last at the end.
    asked: Vec<String>,
    /// Where in it the questions stand, after `back`.
    at: Option<usize>,
    /// What was left open.
    left: Vec<String>,
    /// The schedule of which there may be more rows.
    more: Option<String>,
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
    /// The same question: nothing was answered.
    Again,
    /// A number, or yes or no, where the name of a row is asked for: it was meant for another question.
    NoName,
    /// No more questions.
    Stop,
}

impl Fill {
    /// Returns the line, or the schedule, that is asked for next.
    pub fn next(&self, notebook: &Notebook) -> Option<String> {
        if let Some(name) = self.back_at() {
            return Some(name);
        }
        let mut open = notebook.to_ask().into_iter().filter(|name| !self.left.contains(name));
        // What is open in the rows comes before another row.
        let own = |name: &String| {
            let rest = self.more.as_ref().and_then(|more| name.strip_prefix(more.as_str()));
            rest.is_some_and(|rest| rest.starts_with('.'))
        };
        match &self.more {
            Some(more) => open.find(own).or_else(|| Some(more.clone())),
            None => {
                open.next().or_else(|| notebook.too_few().into_iter().find(|name| !self.left.contains(name)))
            }
        }
    }

    /// Returns whether what is asked was asked before, and is walked through again.
    pub fn is_back(&self) -> bool {
        self.back_at().is_some()
    }

    fn back_at(&self) -> Option<String> {
        self.asked.get(self.at?).cloned()
    }

    /// Takes an answer: `-` leaves it open, `back` goes back, `stop` ends, anything else is its value.
    pub fn answer(&mut self, notebook: &Notebook, name: &str, typed: &str) -> Asked {
        match typed.trim() {
            "stop" => Asked::Stop,
            "" if self.is_back() => self.go_on(),
            "" | "?" => Asked::Again,
            "back" => {
                let at = self.at.unwrap_or(self.asked.len());
                // What went away since cannot be asked for.
                let known = |at: &usize| {
                    let name = &self.asked[*at];
                    notebook.is_schedule(name) || notebook.offer(name).is_some()
                };
                self.at = (0..at).rev().find(known).or(self.at);
                if let Some(name) = self.back_at() {
                    self.left.retain(|left| *left != name);
                }
                Asked::Next
            }
            "-" if self.is_back() => self.go_on(),
            "-" => {
                if self.more.as_deref() == Some(name) {
                    // A limit may want more rows, and is not asked for twice.
                    self.left.extend(self.more.take());
                } else {
                    self.asked.push(name.to_owned());
                    self.left.push(name.to_owned());
                }
                Asked::Next
            }
            row if self.is_row(notebook, row) => {
                let more = self.more.clone().unwrap_or_default();
                Asked::Row(format!("{more} {}", row_of(notebook, &more, row)))
            }
            row if notebook.is_schedule(name) && (is_number(notebook, row) || is_yes_or_no(row)) => {
                Asked::NoName
            }
            row if notebook.is_schedule(name) => {
                Asked::Row(format!("{name} {}", row_of(notebook, name, row)))
            }
            value => Asked::Change(format!("{name} = {}", question::answer_of(notebook, name, value))),
        }
    }

    /// Returns the schedule whose rows are being asked for.
    pub fn rows(&self) -> Option<String> {
        self.more.clone()
    }

    /// Returns whether a line is another row of the schedule whose rows are being asked for.
    pub fn is_row(&self, notebook: &Notebook, typed: &str) -> bool {
        let Some(more) = &self.more else { return false };
        let typed = typed.strip_prefix("add ").unwrap_or(typed);
        let first = typed.split_once('=').map(|(first, _)| first.trim());
        notebook.columns(more).iter().any(|(column, _)| Some(column.as_str()) == first)
    }

    /// Goes forward through what was asked before.
    fn go_on(&mut self) -> Asked {
        self.at = self.at.map(|at| at + 1).filter(|at| *at < self.asked.len());
        Asked::Next
    }

    /// An answer was taken; of a schedule there may be more rows, and what was said of one can be gone back to.
    pub fn taken(&mut self, name: String, notebook: &Notebook) {
        if self.is_back() && !notebook.is_schedule(&name) {
            self.go_on();
            return;
        }
        self.at = None;
        if !notebook.is_schedule(&name) {
            self.asked.push(name);
            return;
        }
        let cells = question::cells_of_last_row(notebook, &name);
        self.asked.extend(cells);
        self.more = Some(name);
    }
}

/// Returns a row as it is typed behind its schedule: a name alone is its first column's.
fn row_of(notebook: &Notebook, name: &str, row: &str) -> String {
    let row = row.strip_prefix("add ").unwrap_or(row);
    // Whoever types the whole of it has named the schedule again.
    let last = name.rsplit('.').next().unwrap_or(name);
    let named = |(first, _): &(&str, &str)| *first == name || *first == last;
    let row = row.split_once(' ').filter(named).map_or(row, |(_, rest)| rest);
    let columns = notebook.columns(name);
    let begins = |(column, _): &(String, crate::notebook::Offer)| {
        row.strip_prefix(column.as_str()).is_some_and(|rest| rest.trim_start().starts_with('='))
    };
    match columns.first() {
        Some((first, _)) if !row.contains('=') && !columns.iter().any(begins) => {
            // A comma in a name is no end of it.
            let quoted = row.contains(',') && !row.contains('"');
            if quoted { format!("{first} = \"{row}\"") } else { format!("{first} = {row}") }
        }
        _ => row.to_owned(),
    }
}

/// Returns whether a text is no more than yes or no.
fn is_yes_or_no(text: &str) -> bool {
    ["y", "yes", "n", "no"].iter().any(|word| text.eq_ignore_ascii_case(word))
}

/// Returns whether a text is a number, perhaps with a unit: no name that a person gives a row.
fn is_number(notebook: &Notebook, text: &str) -> bool {
    let end = text.rfind(|c: char| c.is_ascii_digit() || c == '.').map_or(0, |last| last + 1);
    let (number, unit) = text.split_at(end);
    number.parse::<f64>().is_ok()
        && (unit.is_empty() || notebook.units().iter().any(|known| known == unit.trim()))
}
