//! A job at the prompt, and the questions that are on their way.
//!
//! In: lines as typed or piped, one at a time. Out: the text of each answer, or what could not be read.
//! Never: calculates; writes to the terminal (that is `cli`).

use super::answer::{Answer, answer};
use super::command::{self, Command};
use super::fill::{self, Asked, Fill};
use crate::fault::{Fault, Refused, Span};
use crate::notebook::Notebook;
use crate::notebook::library::Found;
use crate::view::{Look, answers, text};

/// A job at the prompt, and the questions that are on their way.
#[derive(Debug, Default)]
pub struct Session {
    fill: Option<Fill>,
}

impl Session {
    /// Answers one line: a command, or the answer to a question of `fill`. Nothing is answered where the prompt
    /// is left.
    ///
    /// # Errors
    /// What is wrong with the line, or with the job that it would leave; a question is then asked again.
    pub fn answer(&mut self, notebook: &mut Notebook, line: &str, look: Look) -> Found<Option<String>> {
        let changed = notebook.look_around()?;
        if changed && (self.fill.is_some() || command::read(line).is_ok_and(Command::writes)) {
            return Err(notebook.changed_outside());
        }
        if self.fill.is_some() {
            return self.filled(notebook, line, look).map(Some);
        }
        match answer(notebook, line, look)? {
            Answer::Text(text) => Ok(Some(text)),
            Answer::Quit => Ok(None),
            Answer::Fill => {
                self.fill = Some(Fill::default());
                let how = "- leaves one open, back goes back, stop ends\n\n";
                Ok(Some(format!("{how}{}", self.question(notebook, look))))
            }
        }
    }

    /// Returns what would be typed at the prompt before the answer to the question that is asked, if one is.
    pub fn asked(&self, notebook: &Notebook) -> Option<String> {
        let name = self.fill.as_ref()?.next(notebook.record())?;
        let is_rows = notebook.record().schedule(&name).is_some();
        Some(if is_rows { format!("add {name} ") } else { format!("{name} = ") })
    }

    /// Returns the next question; with none left the questions end.
    pub fn question(&mut self, notebook: &Notebook, look: Look) -> String {
        let Some(fill) = &self.fill else { return String::new() };
        let record = notebook.record();
        match fill.next(record) {
            Some(name) if record.schedule(&name).is_some() => {
                fill::rows_wanted(&name, &notebook.columns(&name), record, look)
            }
            Some(name) => fill::question(&name, notebook.offer(&name).as_ref(), record, look),
            None => {
                self.fill = None;
                answers::left_open(record, look)
            }
        }
    }

    fn filled(&mut self, notebook: &mut Notebook, line: &str, look: Look) -> Found<String> {
        let Some(fill) = &mut self.fill else { return Ok(String::new()) };
        let name = fill.next(notebook.record());
        let change = match fill.answer(notebook.record(), line) {
            Asked::Stop => {
                self.fill = None;
                return Ok(String::new());
            }
            Asked::Next => return Ok(self.question(notebook, look)),
            Asked::Change(typed) => {
                notebook.set(&typed, 0).map_err(|refused| under_answer(line, &typed, refused))?
            }
            Asked::Row(typed) => {
                notebook.add(&typed, 0).map_err(|refused| under_answer(line, &typed, refused))?
            }
        };
        fill.taken(name.unwrap_or_default(), notebook.record());
        Ok(text::change(&change, look) + &self.question(notebook, look))
    }
}

/// Tells what is wrong with an answer under what was answered; `typed` is what it stood for.
fn under_answer(line: &str, typed: &str, refused: Vec<Refused>) -> Vec<Refused> {
    let answer = line.trim();
    let Some(lead) = typed.strip_suffix(answer).map(str::len) else { return refused };
    let indent = line.len() - line.trim_start().len();
    let placed = |at: Span| {
        let place = |byte: usize| byte.saturating_sub(lead).min(answer.len()) + indent;
        if at.end <= lead {
            Span::new(indent, indent + answer.len())
        } else {
            Span::new(place(at.start), place(at.end))
        }
    };
    let told = |one: Refused| {
        if !one.page.is_typed() {
            return vec![one];
        }
        let faults = one.faults.into_iter().map(|fault| Fault { at: placed(fault.at), ..fault });
        Refused::typed(line, faults.collect())
    };
    refused.into_iter().flat_map(told).collect()
}
