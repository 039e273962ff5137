//! The history of an open job: what was done, undone, done again.
//!
//! In: the journal. Out: its lines in words; the job's text as it was before a change, or after it.
//! Never: takes an act out of the journal: undoing is an act of its own.

use crate::fault::{Fault, Refused, Span};
use crate::job::journal::{Act, Line, Patch, UNREAD};
use crate::notebook::Wrong;
use crate::notebook::audit::outside;
use crate::notebook::change::act;
use crate::notebook::change::difference::{Change, change};
use crate::notebook::library::Found;
use crate::notebook::open::Notebook;

/// Words of the journal that are no changes of a person's own.
pub(in crate::notebook) const OPENED: &str = "opened";
pub(in crate::notebook) const OUTSIDE: &str = "outside";
pub(in crate::notebook) const UNDO: &str = "undo";
pub(in crate::notebook) const REDO: &str = "redo";

/// Returns what a line of the journal says it did, in words.
pub(in crate::notebook) fn what(line: &Line) -> String {
    if line.line == OUTSIDE {
        return "found that the job file was edited outside the notebook".to_owned();
    }
    let values = match (&line.old, &line.new) {
        (Some(old), Some(new)) => format!("  {old} \u{2192} {new}"),
        (None, Some(new)) => format!("  {new}"),
        (_, None) => String::new(),
    };
    let of = line.of.map_or(String::new(), |of| format!(" of {of}"));
    format!("{}{of}{values}", line.line)
}

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
        let outside = outside(self);
        let past = |(n, line): (usize, &Line)| Past {
            number: n + 1,
            time: line.time.clone(),
            who: line.who.clone(),
            what: outside.get(&n).map_or_else(|| what(line), |did| format!("{}: {did}", what(line))),
        };
        lines.map(past).collect()
    }

    /// Takes the last change back that is not taken back yet, of earlier days too.
    ///
    /// # Errors
    /// There is none, it is somebody else's, or it cannot be written.
    pub fn undo(&mut self) -> Found<Change> {
        let (done, _) = self.stacks();
        let Some(&n) = done.last() else { return Err(nothing(Wrong::NothingToUndo)) };
        let line = &self.journal.lines()[n];
        match &line.who {
            Some(who) if self.who() != Some(who) => {
                let (who, at) = (who.clone(), line.time.replace('T', " "));
                Err(nothing(Wrong::AnothersChange { line: line.line.clone(), who, at }))
            }
            Some(_) | None => self.go(UNDO, n),
        }
    }

    /// Takes the last change back, whoever made it.
    ///
    /// # Errors
    /// There is none, or it cannot be written.
    pub fn undo_anyway(&mut self) -> Found<Change> {
        let (done, _) = self.stacks();
        let Some(&n) = done.last() else { return Err(nothing(Wrong::NothingToUndo)) };
        self.go(UNDO, n)
    }

    /// Does the change again that was taken back last.
    ///
    /// # Errors
    /// There is none, or it cannot be written.
    pub fn redo(&mut self) -> Found<Change> {
        let (_, undone) = self.stacks();
        let Some(&n) = undone.last() else { return Err(nothing(Wrong::NothingToRedo)) };
        self.go(REDO, n)
    }

    /// The changes that stand, and those that are taken back, by their places.
    fn stacks(&self) -> (Vec<usize>, Vec<usize>) {
        let (mut done, mut undone) = (Vec::new(), Vec::new());
        for (n, line) in self.journal.lines().iter().enumerate() {
            match line.line.as_str() {
                OPENED | OUTSIDE => {}
                UNREAD => (done, undone) = (Vec::new(), Vec::new()),
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

    /// Takes a line of the journal back, or does it again; what was edited elsewhere since stays as it is.
    fn go(&mut self, word: &str, of: usize) -> Found<Change> {
        let line = self.journal.lines()[of].clone();
        let lost = || nothing(Wrong::CannotGoBack { line: line.line.clone() });
        let texts = self.journal.texts();
        let before = of.checked_sub(1).and_then(|before| texts[before].as_deref());
        let (Some(before), Some(after)) = (before, texts[of].as_deref()) else { return Err(lost()) };
        let (from, to) = if word == UNDO { (after, before) } else { (before, after) };
        let text = stepped(from, to, self.journal.text()).ok_or_else(lost)?;
        let worked = self.worked(&text).map_err(|(_, refused)| refused)?;
        // Of what was typed since the job was opened nobody needs to be told whose it is.
        let opened = self.journal.lines().iter().rposition(|line| line.line == OPENED);
        let by = line.who.as_ref().filter(|who| self.who() != Some(who) || opened > Some(of));
        let by = by.map_or(String::new(), |who| format!(", by {who}, {}", line.time.replace('T', " ")));
        let notes = vec![format!("{word}: {}{by}", line.line)];
        let (old, new) = if word == UNDO { (line.new, line.old) } else { (line.old, line.new) };
        let made = Change { notes, ..change(self.record(), &worked.2, &[]) };
        let act = Act { old, new, of: Some(of + 1), ..act(self.who(), word) };
        self.through(act, worked)?;
        Ok(made)
    }
}

/// Returns a text with the step made in it that leads from one text to another; nothing where it has changed since
/// just there.
fn stepped(from: &str, to: &str, now: &str) -> Option<String> {
    let since = Patch::between(from, now);
    let step = Patch::between(from, to).after(&since);
    step.and_then(|step| step.applied(now)).or_else(|| {
        let (old, new) = lines_that_differ(from, to);
        let found = !old.trim().is_empty() && now.matches(old).count() == 1;
        found.then(|| now.replacen(old, new, 1))
    })
}

/// Returns the lines that differ between two texts, with the line before where one has none there.
fn lines_that_differ<'t>(from: &'t str, to: &'t str) -> (&'t str, &'t str) {
    let pairs = |from: &'t str, to: &'t str| from.split_inclusive('\n').zip(to.split_inclusive('\n'));
    let mut before: usize = pairs(from, to).take_while(|(a, b)| a == b).map(|(a, _)| a.len()).sum();
    let (old, new) = (&from[before..], &to[before..]);
    let behind = |text: &'t str| text.split_inclusive('\n').rev();
    let after: usize = behind(old).zip(behind(new)).take_while(|(a, b)| a == b).map(|(a, _)| a.len()).sum();
    if old.len() == after || new.len() == after {
        before = from[..before].trim_end_matches('\n').rfind('\n').map_or(0, |end| end + 1);
    }
    (&from[before..from.len() - after], &to[before..to.len() - after])
}

fn nothing(wrong: Wrong) -> Vec<Refused> {
    Refused::typed("", vec![Fault::new(Span::default(), wrong)])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_step_is_made_in_a_text_that_was_edited_elsewhere() {
        let (from, to) = ("a\nb = 1\nc\nd\n", "a\nb = 2\nc\nd\n");
        let made = |now: &str| stepped(from, to, now);
        assert_eq!(made(from).as_deref(), Some(to));
        assert_eq!(made("a\nb = 1\nc\nD\n").as_deref(), Some("a\nb = 2\nc\nD\n"));
        assert_eq!(made("A\nb = 1\nc\nD\n").as_deref(), Some("A\nb = 2\nc\nD\n"), "on both sides of it");
        assert_eq!(made("a\nb = 3\nc\nd\n"), None, "edited there");
        assert_eq!(made("b = 1\nb = 1\n"), None, "which of the two?");
        let (from, to) = ("a\nc\nd\n", "a\nb\nc\nd\n");
        assert_eq!(stepped(from, to, "A\na\nc\nD\n").as_deref(), Some("A\na\nb\nc\nD\n"), "a line put in");
        assert_eq!(stepped(to, from, "A\na\nb\nc\nD\n").as_deref(), Some("A\na\nc\nD\n"), "a line taken out");
    }
}
