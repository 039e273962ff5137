//! The journal of a job: every change as one chained line, synced before the job file is replaced.
//!
//! In: changes of the job's text. Out: the text as it stands after a crash, and its history.
//! Never: drops a line in silence; answers before what it was told is on disk.

mod line;
mod stamp;
#[cfg(test)]
mod tests;

use std::fs::{File, OpenOptions, TryLockError};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

use super::disk::{hash, is_file_at, sweep, write_whole};
use crate::fault::{Wording, say};

pub use line::{Line, Patch, UNREAD};
pub use stamp::{Stamp, changes, differing, file_of};

/// Why a change could not be kept, or a journal not be opened.
#[derive(Clone, Debug, PartialEq)]
pub enum Unkept {
    /// Another notebook has the job open; who, and since when, if it can be told.
    Held(Option<String>),
    /// The journal cannot be written: what the system says.
    Journal(String),
    /// The job file cannot be written: what the system says.
    Job(String),
    /// The job file was changed by somebody else.
    Changed,
    /// The journal was taken away, or another put in its place.
    Gone,
}

impl Unkept {
    /// Returns what is wrong, what the place is, what to do.
    pub fn wording(&self) -> Wording {
        match self {
            Self::Held(who) => {
                let who = who.as_ref().map_or_else(String::new, |who| format!(" by {who}"));
                say(format!("the job is open in another notebook{who}"), "", "close that one first")
            }
            Self::Journal(words) => say(
                format!("the journal cannot be written: {words}"),
                "",
                "nothing is changed; see that the folder can be written and the disk is not full",
            ),
            Self::Job(words) => say(
                format!("the job file cannot be written: {words}"),
                "",
                "nothing is changed; see that the folder can be written and the disk is not full",
            ),
            Self::Gone => say(
                "the journal beside the job is not the one that this notebook writes any more",
                "",
                "nothing is changed; put it back if you can, leave with 'quit', and open the job again",
            ),
            Self::Changed => say(
                "the job file was changed outside this notebook",
                "",
                "it is read again: look at what differs, then say it once more",
            ),
        }
    }
}

/// One change to be kept.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Act {
    /// When, on the site's clock.
    pub time: String,
    /// Who.
    pub who: Option<String>,
    /// What was changed: the full name of a line, or a word for another act.
    pub line: String,
    /// What it was.
    pub old: Option<String>,
    /// What it is.
    pub new: Option<String>,
    /// The number of the line that is undone or done again.
    pub of: Option<usize>,
    /// The files that the job was worked with.
    pub stamps: Vec<Stamp>,
}

/// The journal of a job that is open.
#[derive(Debug)]
pub struct Journal {
    job: PathBuf,
    /// None where it cannot be written; the reason is told at the first change.
    file: Result<File, String>,
    length: u64,
    lines: Vec<Line>,
    torn: Option<String>,
    /// The job's text as the last line leaves it.
    text: String,
    /// The job's text before it was edited outside, where it was since it was last worked with.
    before: Option<String>,
    /// Where the chain is broken, in words.
    breaks: Vec<String>,
}

/// A job opened with its journal.
#[derive(Debug)]
pub struct Opened {
    /// The journal.
    pub journal: Journal,
    /// What was found out of the ordinary, in words.
    pub told: Vec<String>,
}

/// Returns where the journal of a job is kept: beside the file itself, not beside a link to it.
pub fn place(job: &Path) -> PathBuf {
    job.canonicalize().unwrap_or_else(|_| job.to_owned()).with_extension("journal")
}

/// Returns the text of a job as its journal leaves it: a job file one step behind is taken as mended.
pub fn mended(job: &Path, text: String) -> String {
    let path = place(job);
    if !is_plain(&path) {
        return text;
    }
    let Ok(bytes) = std::fs::read(path) else { return text };
    let (lines, _, _) = line::read(&bytes);
    behind(&lines, &text).unwrap_or(text)
}

/// Returns whether there is a file that ends: a pipe or a device is never read, and no link is followed, which
/// could lead to a file that is no journal.
fn is_plain(path: &Path) -> bool {
    std::fs::symlink_metadata(path).is_ok_and(|found| found.is_file())
}

/// Returns the text after the last line, if the job file is that of the line before.
fn behind(lines: &[Line], text: &str) -> Option<String> {
    let (last, rest) = lines.split_last()?;
    let before = rest.last().is_some_and(|before| before.job == hash(text.as_bytes()));
    let mended = last.patch.as_ref().filter(|_| before)?.applied(text)?;
    (hash(mended.as_bytes()) == last.job).then_some(mended)
}

impl Journal {
    /// Opens the journal of a job and reads the job under its lock; writes that it was opened.
    ///
    /// # Errors
    /// Another notebook holds it, or the job cannot be read. Where the journal cannot be written, that is told at
    /// the first change.
    pub fn open(job: &Path, act: &Act) -> Result<Opened, Unkept> {
        let path = place(job);
        let mut told = Vec::new();
        let mut bytes = Vec::new();
        let file = match claimed(&path) {
            Ok(mut file) => match file.try_lock() {
                Err(TryLockError::WouldBlock) => return Err(Unkept::Held(holder(&mut file))),
                Err(TryLockError::Error(error)) => Err(error.to_string()),
                Ok(()) => file.read_to_end(&mut bytes).map(|_| file).map_err(|error| error.to_string()),
            },
            Err(error) => {
                if is_plain(&path) {
                    bytes = std::fs::read(&path).unwrap_or_default();
                }
                Err(error.to_string())
            }
        };
        if file.is_ok() {
            sweep(job);
        }
        let text = std::fs::read_to_string(job).map_err(|error| Unkept::Job(error.to_string()))?;
        let (lines, torn, breaks) = line::read(&bytes);
        let whole = line::whole(&bytes);
        told.extend(breaks.iter().cloned());
        if torn.is_some() {
            told.push(format!(
                "the journal's last line was cut short; its {} bytes are kept as text",
                bytes.len() - whole
            ));
        }
        let mut journal =
            Self { job: job.to_owned(), file, length: whole as u64, lines, torn, text, before: None, breaks };
        journal.settle(act, &mut told);
        Ok(Opened { journal, told })
    }

    /// Reads the journal of a job whose text is known, for looking only: nothing is locked, nothing can be kept.
    pub fn read(job: &Path, text: String) -> Self {
        let path = place(job);
        let bytes = if is_plain(&path) { std::fs::read(&path).unwrap_or_default() } else { Vec::new() };
        let (lines, torn, breaks) = line::read(&bytes);
        let file = Err("the job was opened for looking only".to_owned());
        Self { job: job.to_owned(), file, length: 0, lines, torn, text, before: None, breaks }
    }

    /// Returns where the chain is broken, in words; nothing where it is whole.
    pub fn breaks(&self) -> &[String] {
        &self.breaks
    }

    /// Returns the head: the seal of the last line, which an earlier record may hold.
    pub fn head(&self) -> Option<&str> {
        self.lines.last().filter(|last| last.line != UNREAD).map(|last| last.sha.as_str())
    }

    /// Returns what stands behind the last whole line.
    pub fn torn(&self) -> Option<&str> {
        self.torn.as_deref()
    }

    /// Returns whether the job file is as the last line of the journal leaves it.
    pub fn is_as_left(&self) -> bool {
        self.lines.last().is_none_or(|last| last.job == hash(self.text.as_bytes()))
    }

    /// Brings journal and job file together, and writes that the job was opened.
    fn settle(&mut self, act: &Act, told: &mut Vec<String>) {
        if let Ok(file) = &self.file {
            // What stands behind the last whole line goes into the next one.
            let _ = file.set_len(self.length);
        }
        let act_of = |line: &str| Act { line: line.to_owned(), ..act.clone() };
        let now = hash(self.text.as_bytes());
        let first = self.lines.is_empty();
        if self.lines.last().is_some_and(|last| last.job != now) {
            match behind(&self.lines, &self.text) {
                Some(text) if write_whole(&self.job, &text).is_ok() => {
                    told.push("the job file was one change behind its journal, and is mended".to_owned());
                    self.text = text;
                }
                Some(text) => self.text = text,
                None => {
                    let words = if self.lines.last().is_some_and(|last| last.line == UNREAD) {
                        "the journal's last line cannot be read: whether the job file was edited since cannot be told"
                    } else {
                        self.before = self.texts().pop().flatten();
                        "the job file was edited outside the notebook since it was last worked with"
                    };
                    told.push(words.to_owned());
                    let _ = self.write(&Act { stamps: Vec::new(), ..act_of("outside") }, None);
                }
            }
        }
        if !self.stamps().is_empty() && !act.stamps.is_empty() {
            let differs = differing(self.stamps(), &act.stamps);
            told.extend(differs.into_iter().map(|words| format!("since it was last worked with, {words}")));
        }
        let patch = if first { None } else { Some(Patch::default()) };
        let _ = self.write(&act_of("opened"), patch);
    }

    /// Returns the job's text as the last line leaves it.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Returns the job's text before it was edited outside, where it was since it was last worked with.
    pub fn before_outside(&self) -> Option<&str> {
        self.before.as_deref()
    }

    /// Returns the lines, the first is number 1.
    pub fn lines(&self) -> &[Line] {
        &self.lines
    }

    /// Keeps a change: the line is appended and synced, then the job file is replaced whole.
    ///
    /// # Errors
    /// Why not; nothing is changed then.
    pub fn keep(&mut self, act: &Act, text: &str) -> Result<(), Unkept> {
        let found = std::fs::read(&self.job).map_err(|error| Unkept::Job(error.to_string()))?;
        if found != self.text.as_bytes() {
            return Err(Unkept::Changed);
        }
        if let Ok(file) = &self.file
            && !is_file_at(file, &place(&self.job))
        {
            return Err(Unkept::Gone);
        }
        let before = std::mem::replace(&mut self.text, text.to_owned());
        let length = self.length;
        let patch = Patch::between(&before, text);
        let kept = self.write(act, Some(patch)).and_then(|()| {
            write_whole(&self.job, text).map_err(|error| Unkept::Job(error.to_string())).inspect_err(|_| {
                self.lines.pop();
            })
        });
        if kept.is_err() {
            self.cut(length);
            self.text = before;
        }
        kept
    }

    /// Takes the job file as somebody else has left it.
    ///
    /// # Errors
    /// Why not.
    pub fn take_outside(&mut self, text: String, act: &Act) -> Result<(), Unkept> {
        let patch = (text == self.text).then(Patch::default);
        self.text = text;
        self.write(act, patch)
    }

    /// Returns the text of the job after each line; nothing where it cannot be made again.
    pub fn texts(&self) -> Vec<Option<String>> {
        let mut text: Option<String> = None;
        self.lines
            .iter()
            .map(|line| {
                text = match (&line.text, &line.patch) {
                    (Some(whole), _) => Some(whole.clone()),
                    (None, Some(patch)) => text.as_ref().and_then(|text| patch.applied(text)),
                    (None, None) => None,
                };
                text = text.take().filter(|text| hash(text.as_bytes()) == line.job);
                text.clone()
            })
            .collect()
    }

    /// Returns the files that the job was last worked with, as far as the journal says.
    pub fn stamps(&self) -> &[Stamp] {
        self.stamps_at(self.lines.len())
    }

    /// Returns the files that the job was worked with at a line, the first is number 1.
    pub fn stamps_at(&self, line: usize) -> &[Stamp] {
        let until = &self.lines[..line.min(self.lines.len())];
        until.iter().rev().find_map(|line| line.stamps.as_deref()).unwrap_or_default()
    }

    /// Appends one line and syncs it; without a patch it holds the whole text.
    fn write(&mut self, act: &Act, patch: Option<Patch>) -> Result<(), Unkept> {
        let text = if patch.is_none() { Some(self.text.clone()) } else { None };
        let line = Line {
            time: act.time.clone(),
            who: act.who.clone(),
            line: act.line.clone(),
            old: act.old.clone(),
            new: act.new.clone(),
            of: act.of,
            stamps: (!act.stamps.is_empty() && act.stamps != self.stamps()).then(|| act.stamps.clone()),
            torn: self.torn.clone(),
            text,
            patch,
            prev: self.lines.last().map_or_else(String::new, |last| last.sha.clone()),
            job: hash(self.text.as_bytes()),
            sha: String::new(),
        };
        let (line, written) = line.sealed();
        let file = self.file.as_mut().map_err(|words| Unkept::Journal(words.clone()))?;
        let done = file.write_all(written.as_bytes()).and_then(|()| file.sync_data());
        if let Err(error) = done {
            let _ = file.set_len(self.length);
            return Err(Unkept::Journal(error.to_string()));
        }
        self.length += written.len() as u64;
        self.torn = None;
        self.lines.push(line);
        Ok(())
    }

    fn cut(&mut self, length: u64) {
        if let Ok(file) = &self.file {
            let _ = file.set_len(length).and_then(|()| file.sync_data());
        }
        self.length = length;
    }
}

/// Opens the file of a journal to be appended to.
fn claimed(path: &Path) -> io::Result<File> {
    if std::fs::symlink_metadata(path).is_ok() && !is_plain(path) {
        return Err(io::Error::other("not a plain file"));
    }
    OpenOptions::new().read(true).append(true).create(true).open(path)
}

/// Returns who has the journal open: whoever opened it last.
fn holder(file: &mut File) -> Option<String> {
    let mut bytes = Vec::new();
    file.read_to_end(&mut bytes).ok()?;
    let (lines, _, _) = line::read(&bytes);
    let opened = lines.iter().rev().find(|line| line.line == "opened")?;
    let who = opened.who.as_deref().unwrap_or("somebody");
    Some(format!("{who}, since {}", opened.time.replace('T', " ")))
}
