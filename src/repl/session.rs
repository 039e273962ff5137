//! A job at the prompt, and the questions that are on their way.
//!
//! In: lines as typed or piped, one at a time. Out: the text of each answer, or what could not be read.
//! Never: calculates; writes to the terminal (that is `cli`).

use super::answer::{Answer, answer};
use super::besides::of_prompt;
use super::command::{self, Command};
use super::fill::{Asked, Fill};
use super::question;
use crate::fault::{Fault, Refused, Span};
use crate::notebook::Notebook;
use crate::notebook::library::Found;
use crate::view::{Look, answers, text};

/// A job at the prompt, and the questions that are on their way.
#[derive(Debug, Default)]
pub struct Session {
    /// The questions, also while they are stopped.
    fill: Fill,
    /// Whether they are being asked.
    on: bool,
}

impl Session {
    /// Answers one line: a command, or the answer to a question of `fill`. Nothing is answered where the prompt
    /// is left.
    ///
    /// # Errors
    /// What is wrong with the line, or with the job that it would leave; a question is then asked again.
    pub fn answer(&mut self, notebook: &mut Notebook, line: &str, look: Look) -> Found<Option<String>> {
        let changed = notebook.look_around()?;
        if changed && (self.on || command::read(line).is_ok_and(Command::writes)) {
            return Err(notebook.changed_outside());
        }
        if self.on {
            return self.filled(notebook, line, look).map(Some);
        }
        match answer(notebook, line, look)? {
            Answer::Text(text) => Ok(Some(text)),
            Answer::Quit => Ok(None),
            Answer::Fill => {
                // What was left open is asked for again once nothing else is.
                if self.fill.next(notebook).is_none() {
                    self.fill = Fill::default();
                }
                self.on = true;
                Ok(Some(question::how(look) + &self.question(notebook, look)))
            }
        }
    }

    /// Returns whether a question waits for its answer.
    pub fn asks(&self) -> bool {
        self.on
    }

    /// Returns what would be typed at the prompt before the answer to the question that is asked, if one is.
    pub fn asked(&self, notebook: &Notebook) -> Option<String> {
        let name = self.next(notebook)?;
        Some(if notebook.is_schedule(&name) { format!("add {name} ") } else { format!("{name} = ") })
    }

    /// Returns what stands before the cursor: the name of what is asked, so that no answer goes to another line.
    pub fn prompt(&self, notebook: &Notebook) -> String {
        let name = self.next(notebook).unwrap_or_default();
        format!("{}> ", name.rsplit('.').next().unwrap_or_default())
    }

    fn next(&self, notebook: &Notebook) -> Option<String> {
        if self.on { self.fill.next(notebook) } else { None }
    }

    /// Returns the next question; with none left the questions end.
    pub fn question(&mut self, notebook: &Notebook, look: Look) -> String {
        if !self.on {
            return String::new();
        }
        let Some(name) = self.fill.next(notebook) else {
            (self.fill, self.on) = (Fill::default(), false);
            return answers::left_open(notebook.record(), look);
        };
        let left = question::left(notebook, &name, look);
        if notebook.is_schedule(&name) {
            return left + &question::rows_wanted(notebook, &name, look);
        }
        left + &question::question(notebook, &name, self.fill.is_back(), look)
    }

    /// Returns the question that is still asked, short.
    pub fn again(&self, notebook: &Notebook, look: Look) -> String {
        self.next(notebook).map_or_else(String::new, |name| question::again(notebook, &name, true, look))
    }

    /// Returns the question that is still asked, below what was wrong with its answer: choices are not listed again.
    pub fn after_fault(&self, notebook: &Notebook, look: Look) -> String {
        self.next(notebook).map_or_else(String::new, |name| question::again(notebook, &name, false, look))
    }

    fn filled(&mut self, notebook: &mut Notebook, line: &str, look: Look) -> Found<String> {
        let Some(name) = self.fill.next(notebook) else { return Ok(self.question(notebook, look)) };
        let row = self.fill.is_row(notebook, line.trim());
        if let Some(typed) = of_prompt(notebook, &name, line).filter(|_| !row) {
            return self.besides(notebook, (&name, &typed), look);
        }
        let typed = if line.trim() == "quit" { "stop" } else { line };
        let mut is_row = false;
        let change = match self.fill.answer(notebook, &name, typed) {
            Asked::Stop => {
                self.on = false;
                return Ok("fill stopped; 'fill' goes on\n".to_owned());
            }
            Asked::Next => return Ok(self.question(notebook, look)),
            Asked::NoName => {
                let found = line.trim();
                let is = if found.contains(|c: char| c.is_ascii_digit()) { "a number" } else { "that" };
                let words = format!("{found}: {is} is no row's name; in quotes it is one");
                return Ok(crate::view::item(&words, look) + &self.again(notebook, look));
            }
            Asked::Again => return Ok(self.again(notebook, look)),
            Asked::Change(typed) => {
                notebook.set(&typed, 0).map_err(|refused| under_answer(line, &typed, refused))?
            }
            Asked::Row(typed) => {
                is_row = true;
                notebook.add(&typed, 0).map_err(|refused| under_answer(line, &typed, refused))?
            }
        };
        let name = if is_row { self.fill.rows().unwrap_or(name) } else { name };
        self.fill.taken(name, notebook);
        Ok(text::change(&change, look) + &self.question(notebook, look))
    }

    /// Answers a line that is none of the question's; the question stays, unless the line answered it.
    fn besides(&mut self, notebook: &mut Notebook, (name, line): (&str, &str), look: Look) -> Found<String> {
        let told = match answer(notebook, line, look)? {
            Answer::Text(told) => told,
            Answer::Fill | Answer::Quit => String::new(),
        };
        let same = self.fill.next(notebook).as_deref() == Some(name);
        Ok(told + &if same { self.again(notebook, look) } else { self.question(notebook, look) })
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
