//! What the journal of a job says of it.
//!
//! In: a journal, the files of today, and a head that an earlier record printed. Out: whether all of it fits together.
//! Never: calls a chain whole that it could not read; a chain rewritten as a whole is caught by a head alone.

use serde::Serialize;

use crate::job::clock;
use crate::job::journal::{Journal, Stamp, UNREAD, changes, differing};
use crate::notebook::audit::replay::{Step, replay};
use crate::notebook::change::history::OUTSIDE;
use crate::notebook::open::Notebook;
use crate::unit::date;

/// The state of a journal.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct History {
    /// How many lines it has.
    pub lines: usize,
    /// The seal of its last line.
    pub head: Option<String>,
    /// Where the chain is broken, or a line speaks against another or against what it did.
    pub breaks: Vec<String>,
    /// Whether a last line was cut short.
    pub torn: bool,
    /// What each line did, and as a last step what was edited since.
    pub steps: Vec<Step>,
    /// Whether the job file is as the journal leaves it.
    pub as_left: bool,
    /// Whether it says which files the job was worked with.
    pub names_files: bool,
    /// Each sheet, basis, table or CSV file that was changed between two lines.
    pub files: Vec<String>,
    /// What differs between the files of today and those that the job was last worked with.
    pub differs: Vec<String>,
    /// What differs between the files of today and those of the earlier record.
    pub since_record: Vec<String>,
    /// How the head of an earlier record stands to this journal; none where none was given.
    pub against: Option<Against>,
}

impl History {
    /// Returns the number of the line whose head the earlier record has; 0 where there is none.
    pub fn record_at(&self) -> usize {
        match self.against {
            Some(Against::Last) => self.lines,
            Some(Against::Added(lines)) => self.lines - lines,
            Some(Against::NotThere) | None => 0,
        }
    }

    /// Returns whether the journal speaks against the record: lines changed or missing, a head that is not there, a
    /// job that was edited outside the notebook since the earlier record, or ever where there is none; also other
    /// files than those that the job was last worked with.
    pub fn is_in_doubt(&self) -> bool {
        let from = self.record_at();
        let edited = self.steps.iter().any(|step| step.outside && step.line > from);
        !self.breaks.is_empty()
            || self.against == Some(Against::NotThere)
            || edited
            || !self.differs.is_empty()
    }
}

/// How the head of an earlier record stands to a journal.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Against {
    /// It is the last line.
    Last,
    /// It is a line, and others were added since.
    Added(usize),
    /// No line has it: the journal was rewritten since, or is another job's.
    NotThere,
}

/// What a journal says that its own lines speak against: a job that they do not leave, a clock that went back.
fn replayed(journal: &Journal, texts: &[Option<String>]) -> Vec<String> {
    let lines = journal.lines();
    let mut told = Vec::new();
    let mut whole = true;
    for (n, (line, text)) in lines.iter().zip(texts).enumerate() {
        let is_whole = text.is_some() || line.line == UNREAD;
        // One line that is wrong takes those behind it along until the next that holds the whole job.
        if whole && !is_whole {
            told.push(format!("line {} of the journal does not leave the job that it says it leaves", n + 1));
        }
        whole = is_whole;
    }
    for (n, pair) in lines.windows(2).enumerate() {
        if pair[1].time < pair[0].time && pair[1].line != UNREAD {
            told.push(format!("line {} of the journal is of an earlier time than the line before it", n + 2));
        }
    }
    for (n, line) in lines.iter().enumerate() {
        // A line is written within the minute that the clock shows.
        if date::read(&line.time).is_ok_and(|time| time > clock::now() + 60.0) {
            let time = line.time.replace('T', " ");
            told.push(format!("line {} of the journal is of {time}, which is still to come", n + 1));
        }
    }
    told
}

impl Against {
    /// Returns what it means, in words.
    pub fn words(self) -> String {
        match self {
            Self::Last => {
                "the head of the earlier record is the last line: nothing was added since".to_owned()
            }
            Self::Added(1) => {
                "the head of the earlier record is in the journal; 1 line was added since".to_owned()
            }
            Self::Added(lines) => {
                format!("the head of the earlier record is in the journal; {lines} lines were added since")
            }
            Self::NotThere => "the head of the earlier record is not in this journal".to_owned(),
        }
    }
}

/// Fewest digits of a head that are compared.
const FEWEST: usize = 8;

/// Returns whether a text may be a head, or the first digits of one.
pub fn is_head(text: &str) -> bool {
    let text = text.trim();
    (FEWEST..=64).contains(&text.len()) && text.chars().all(|c| c.is_ascii_hexdigit())
}

/// Returns the state of a job's journal.
pub(super) fn history(notebook: &Notebook, files: &[Stamp], head: Option<&str>) -> History {
    let journal = &notebook.journal;
    let texts = journal.texts();
    let steps = replay(notebook, files, &texts);
    let false_words = steps.iter().filter_map(|step| step.wrong.clone());
    let against = head.map(|head| against(journal, head));
    let known = journal.stamps();
    let mut made = History {
        lines: journal.lines().len(),
        head: journal.head().map(str::to_owned),
        breaks: journal
            .breaks()
            .iter()
            .cloned()
            .chain(replayed(journal, &texts))
            .chain(false_words)
            .collect(),
        torn: journal.torn().is_some(),
        as_left: journal.is_as_left(),
        names_files: !known.is_empty(),
        files: files_changed(journal),
        differs: if known.is_empty() { Vec::new() } else { differing(known, files) },
        since_record: Vec::new(),
        against,
        steps,
    };
    let then = journal.stamps_at(made.record_at());
    if !then.is_empty() {
        made.since_record = differing(then, files);
    }
    made
}

/// Every change of a file between two lines that say which files the job was worked with.
fn files_changed(journal: &Journal) -> Vec<String> {
    let mut told = Vec::new();
    let (mut known, mut from): (&[Stamp], usize) = (&[], 0);
    for (n, line) in journal.lines().iter().enumerate() {
        if let Some(stamps) = &line.stamps {
            let changed = changes(known, stamps);
            told.extend(
                changed.into_iter().map(|words| format!("{words} between line {from} and line {}", n + 1)),
            );
            known = stamps;
        }
        // What is found edited outside is found before anything is read.
        if line.line != OUTSIDE {
            from = n + 1;
        }
    }
    told
}

fn against(journal: &Journal, head: &str) -> Against {
    let head = head.trim().to_lowercase();
    let lines = journal.lines();
    let fits = |sha: &str| is_head(&head) && sha.starts_with(&head);
    match lines.iter().rposition(|line| fits(&line.sha)) {
        Some(at) if at + 1 == lines.len() => Against::Last,
        Some(at) => Against::Added(lines.len() - at - 1),
        None => Against::NotThere,
    }
}
