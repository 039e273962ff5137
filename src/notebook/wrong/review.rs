//! What can be wrong with what a reviewer asks for: a moment of a journal, a mark, an earlier record.
//!
//! In: a kind of fault. Out: its words.
//! Never: finds a fault.

use super::Wrong;
use crate::fault::{Wording, say};

/// Returns what is wrong, what the place is, what to do; nothing for what a reviewer does not meet.
pub(super) fn wording(wrong: &Wrong) -> Option<Wording> {
    of_moments(wrong).or_else(|| of_marks(wrong))
}

fn of_moments(wrong: &Wrong) -> Option<Wording> {
    Some(match wrong {
        Wrong::NoMoment { found } => say(
            format!("'{found}' is not a moment"),
            "",
            "write JOB@2026-11-25, JOB@2026-11-25T10:40 or JOB@line3",
        ),
        Wrong::BeforeJournal { first } => say(
            "the journal holds nothing of then".to_owned(),
            "",
            match first {
                Some(first) => format!("its first line is of {first}"),
                None => "there is no journal beside the job".to_owned(),
            },
        ),
        Wrong::MomentHere { job } => say(
            "only compare takes a moment".to_owned(),
            "",
            format!("name {job} itself, or: wattle compare {job}@MOMENT {job}"),
        ),
        Wrong::NoSuchLine { line, lines } => say(
            format!("the journal has no line {line}"),
            "",
            format!("it has {}: 'wattle audit JOB' lists them", counted(*lines)),
        ),
        Wrong::LostMoment { line } => say(
            format!("line {line} of the journal is not as it was written"),
            "",
            "what the job was then cannot be told; name another moment",
        ),
        _ => return None,
    })
}

fn of_marks(wrong: &Wrong) -> Option<Wording> {
    Some(match wrong {
        Wrong::WhoWanted { who } => say(
            match who {
                Some(who) => format!("who marks is not said: {who} only prepared the job"),
                None => "who marks is not said".to_owned(),
            },
            "",
            "leave with quit, and open the job with --who \"YOUR NAME\"",
        ),
        Wrong::AllMarked { sheet } => {
            say(format!("every line of '{sheet}' is marked already"), "", "name a line to mark it as well")
        }
        Wrong::AnothersChange { line, who, at } => say(
            format!("the last change is not yours: {line}, by {who}, {at}"),
            "",
            "'undo anyway' takes it back all the same",
        ),
        Wrong::NoHashes { file } => say(
            format!("{file} holds no hash to compare"),
            "",
            "name a record written as .html, .md or .json: a .csv file has none",
        ),
        _ => return None,
    })
}

fn counted(lines: usize) -> String {
    if lines == 1 { "1 line".to_owned() } else { format!("{lines} lines") }
}
