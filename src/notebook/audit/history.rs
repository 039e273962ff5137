//! What the journal of a job says of it.
//!
//! In: a journal, the files of today, and a head that an earlier record printed. Out: whether all of it fits together.
//! Never: calls a chain whole that it could not read; a chain written anew as a whole is caught by a head alone.

use serde::Serialize;

use crate::job::journal::{Journal, Stamp, UNREAD, differing};
use crate::notebook::change::history::OUTSIDE;

/// The state of a journal.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct History {
    /// How many lines it has.
    pub lines: usize,
    /// The seal of its last line.
    pub head: Option<String>,
    /// Where the chain is broken.
    pub breaks: Vec<String>,
    /// Whether a last line was cut short.
    pub torn: bool,
    /// When the job file was found edited outside the notebook.
    pub outside: Vec<String>,
    /// Whether the job file is as the journal leaves it.
    pub as_left: bool,
    /// What differs between the files of today and those that the job was last worked with.
    pub differs: Vec<String>,
    /// How the head of an earlier record stands to this journal; none where none was given.
    pub against: Option<Against>,
}

/// How the head of an earlier record stands to a journal.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Against {
    /// It is the last line.
    Last,
    /// It is a line, and others were added since.
    Added(usize),
    /// No line has it: the journal was written anew since, or is another's.
    NotThere,
}

/// What a journal says that its own lines speak against: a job that they do not leave, a clock that went back.
fn replayed(journal: &Journal) -> Vec<String> {
    let lines = journal.lines();
    let mut told = Vec::new();
    let texts = journal.texts();
    let mut whole = true;
    for (n, (line, text)) in lines.iter().zip(&texts).enumerate() {
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

/// Returns the state of a journal.
pub(super) fn history(journal: &Journal, files: &[Stamp], head: Option<&str>) -> History {
    let lines = journal.lines();
    let outside = lines.iter().filter(|line| line.line == OUTSIDE).map(|line| line.time.replace('T', " "));
    let known = journal.stamps();
    History {
        lines: lines.len(),
        head: journal.head().map(str::to_owned),
        breaks: journal.breaks().iter().cloned().chain(replayed(journal)).collect(),
        torn: journal.torn().is_some(),
        outside: outside.collect(),
        as_left: journal.is_as_left(),
        differs: if known.is_empty() { Vec::new() } else { differing(known, files) },
        against: head.map(|head| against(journal, head)),
    }
}

fn against(journal: &Journal, head: &str) -> Against {
    let head = head.trim().to_lowercase();
    let lines = journal.lines();
    let fits = |sha: &str| head.len() >= FEWEST && sha.starts_with(&head);
    match lines.iter().rposition(|line| fits(&line.sha)) {
        Some(at) if at + 1 == lines.len() => Against::Last,
        Some(at) => Against::Added(lines.len() - at - 1),
        None => Against::NotThere,
    }
}
