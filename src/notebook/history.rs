//! The history of an open job: what was done, undone, done again.
//!
//! In: the journal. Out: its lines in words; the job's text as it was before a change, or after it.
//! Never: takes an act out of the journal: undoing is an act of its own.

use super::Wrong;
use super::change::{Notebook, act};
use super::difference::{Change, change};
use super::library::Found;
use crate::fault::{Fault, Refused, Span};
use crate::job::journal::{Act, UNREAD};

/// Words of the journal that are no changes of a person's own.
const OPENED: &str = "opened";
const OUTSIDE: &str = "outside";
const UNDO: &str = "undo";
const REDO: &str = "redo";

/// A line of the history, in words.
#[derive(Clone, Debug, PartialEq)]
pub struct Past {
    /// Its number in the journal, from 1.
    pub number: usize,
    /// When.
    pub time: String,
    /// Who.
    pub who: Option<String>,
    /// What was done.
    pub what: String,
}

impl Notebook {
    /// Returns what was done, the first first.
    pub fn log(&self) -> Vec<Past> {
        let lines = self.journal.lines().iter().enumerate();
        lines
            .map(|(n, line)| {
                let values = match (&line.old, &line.new) {
                    (Some(old), Some(new)) => format!("  {old} \u{2192} {new}"),
                    (None, Some(new)) => format!("  {new}"),
                    (_, None) => String::new(),
                };
                let of = line.of.map_or(String::new(), |of| format!(" of {of}"));
                let what = format!("{}{of}{values}", line.line);
                Past { number: n + 1, time: line.time.clone(), who: line.who.clone(), what }
            })
            .collect()
    }

    /// Takes the last change back that is not taken back yet, of earlier days too.
    ///
    /// # Errors
    /// There is none, or it cannot be written.
    pub fn undo(&mut self) -> Found<Change> {
        let (done, _) = self.stacks();
        let Some(&n) = done.last() else { return Err(nothing(Wrong::NothingToUndo)) };
        self.go(UNDO, n, n.checked_sub(1))
    }

    /// Does the change again that was taken back last.
    ///
    /// # Errors
    /// There is none, or it cannot be written.
    pub fn redo(&mut self) -> Found<Change> {
        let (_, undone) = self.stacks();
        let Some(&n) = undone.last() else { return Err(nothing(Wrong::NothingToRedo)) };
        self.go(REDO, n, Some(n))
    }

    /// The changes that stand, and those that are taken back, by their places; an edit from outside ends both.
    fn stacks(&self) -> (Vec<usize>, Vec<usize>) {
        let (mut done, mut undone) = (Vec::new(), Vec::new());
        for (n, line) in self.journal.lines().iter().enumerate() {
            match line.line.as_str() {
                OPENED => {}
                OUTSIDE | UNREAD => (done, undone) = (Vec::new(), Vec::new()),
                UNDO => undone.extend(done.pop()),
                REDO => done.extend(undone.pop()),
                _ => {
                    done.push(n);
                    undone.clear();
                }
            }
        }
        (done, undone)
    }

    /// Brings the job to the text after a line of the journal.
    fn go(&mut self, word: &str, of: usize, to: Option<usize>) -> Found<Change> {
        let texts = self.journal.texts();
        let Some(text) = to.and_then(|to| texts.get(to).cloned().flatten()) else {
            return Err(nothing(Wrong::NothingToUndo));
        };
        let line = self.journal.lines()[of].clone();
        let worked = self.worked(&text).map_err(|(_, refused)| refused)?;
        let (old, new) = if word == UNDO { (line.new, line.old) } else { (line.old, line.new) };
        let made =
            Change { notes: vec![format!("{word}: {}", line.line)], ..change(self.record(), &worked.2, &[]) };
        let act = Act { old, new, of: Some(of + 1), ..act(self.who(), word) };
        self.through(&act, worked)?;
        Ok(made)
    }
}

fn nothing(wrong: Wrong) -> Vec<Refused> {
    Refused::typed("", vec![Fault::new(Span::default(), wrong)])
}
