//! Lines edited on a terminal, with history, completion and hints.
//!
//! In: keys. Out: lines.
//! Never: is used where there is no terminal: piped lines are read as they come.

use std::cell::RefCell;
use std::path::{Path, PathBuf};
use std::rc::Rc;

use rustyline::completion::Completer;
use rustyline::error::ReadlineError;
use rustyline::highlight::Highlighter;
use rustyline::hint::Hinter;
use rustyline::history::FileHistory;
use rustyline::validate::Validator;
use rustyline::{CompletionType, Config, Context, Editor as Lines, Helper};

use super::{Session, offers};
use crate::notebook::Notebook;

/// What the editor may offer.
struct Offers {
    notebook: Rc<RefCell<Notebook>>,
    session: Rc<RefCell<Session>>,
}

/// What came from the keys.
#[derive(Debug, PartialEq)]
pub enum Entered {
    /// A line.
    Line(String),
    /// The line was given up.
    GivenUp,
}

impl Offers {
    /// Returns what would be typed at the prompt before an answer to a question.
    fn asked(&self) -> String {
        self.session.borrow().asked(&self.notebook.borrow()).unwrap_or_default()
    }
}

impl Completer for Offers {
    type Candidate = String;

    fn complete(&self, line: &str, at: usize, _: &Context<'_>) -> rustyline::Result<(usize, Vec<String>)> {
        let lead = self.asked();
        let (start, found) =
            offers::complete(&self.notebook.borrow(), &format!("{lead}{line}"), lead.len() + at);
        Ok((start.saturating_sub(lead.len()), found))
    }
}

impl Hinter for Offers {
    type Hint = String;

    fn hint(&self, line: &str, at: usize, _: &Context<'_>) -> Option<String> {
        // One that ran over the row would stay where the list of a completion is drawn.
        let width = terminal_size::terminal_size().map_or(80, |(width, _)| usize::from(width.0)).max(1);
        let prompt = self.session.borrow().prompt(&self.notebook.borrow()).chars().count();
        let room = width - (prompt + line.chars().count()) % width - 1;
        let lead = self.asked();
        // What a question takes stands in the question.
        let told = at < line.len() || !lead.is_empty() && line.is_empty();
        if told { None } else { offers::hint(&self.notebook.borrow(), &format!("{lead}{line}"), room) }
    }
}

impl Highlighter for Offers {}
impl Validator for Offers {}
impl Helper for Offers {}

/// Reads lines from a terminal.
pub struct Editor {
    lines: Lines<Offers, FileHistory>,
    history: Option<PathBuf>,
    /// Lines of a paste that are not answered yet.
    waiting: Vec<String>,
}

impl std::fmt::Debug for Editor {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Editor").field("history", &self.history).finish_non_exhaustive()
    }
}

impl Editor {
    /// Returns an editor for a job, with the lines that were typed in it before.
    ///
    /// # Errors
    /// Where there is no terminal.
    pub fn new(
        job: &Path,
        notebook: Rc<RefCell<Notebook>>,
        session: Rc<RefCell<Session>>,
    ) -> rustyline::Result<Self> {
        let config = Config::builder().completion_type(CompletionType::List).max_history_size(1000)?.build();
        let mut lines = Lines::with_config(config)?;
        lines.set_helper(Some(Offers { notebook, session }));
        let name = job.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        let history = job.with_file_name(format!(".{name}.history"));
        // A link could lead to a file that is no history.
        let is_ours = std::fs::symlink_metadata(&history).map_or(true, |found| found.is_file());
        let history = is_ours.then_some(history);
        if let Some(history) = &history {
            // A first time has no history, and a folder that cannot be written keeps none.
            let _ = lines.load_history(history);
        }
        Ok(Self { lines, history, waiting: Vec::new() })
    }

    /// Returns the next line, or that it was given up; nothing at the end of the input.
    pub fn next(&mut self, prompt: &str) -> Option<Entered> {
        if let Some(line) = self.waiting.pop() {
            return Some(Entered::Line(line));
        }
        match self.lines.readline(prompt) {
            Ok(typed) => {
                // A paste of several lines comes as one.
                self.waiting = typed.lines().rev().map(str::to_owned).collect();
                let line = self.waiting.pop().unwrap_or_default();
                if !line.trim().is_empty() {
                    let _ = self.lines.add_history_entry(line.as_str());
                    if let Some(history) = &self.history {
                        let _ = self.lines.append_history(history);
                    }
                }
                Some(Entered::Line(line))
            }
            Err(ReadlineError::Interrupted) => Some(Entered::GivenUp),
            Err(_) => None,
        }
    }

    /// Keeps a line that was typed where none was asked for: it is the next.
    pub fn keep(&mut self, line: String) {
        self.waiting.push(line);
    }

    /// Returns a line that waits already, typed ahead.
    pub fn has_more(&self) -> bool {
        !self.waiting.is_empty()
    }
}
