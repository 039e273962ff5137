//! What can be wrong with a table.
//!
//! In: nothing. Out: the kinds of fault and their words.
//! Never: finds a fault; the reader does.

use crate::fault::{NAME_RULE, Wording, say};

/// What is wrong with a table.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs, reason = "each variant's words stand in `wording`")]
pub enum Wrong {
    Syntax { words: String },
    UnknownKey { found: String, of: &'static str, known: Vec<String>, near: Option<String> },
    Missing { key: &'static str, of: &'static str },
    Kind { key: String, wanted: &'static str },
    BadName { found: String },
    NameTaken { found: String },
    SourceTaken,
    TextWithUnit,
    UnknownSource { found: String, near: Option<String> },
    NoRows,
    FirstColumnMissing { column: String },
    SameRow { name: String },
}

impl Wrong {
    /// Returns whether this may be no slip of its own, where the text is not TOML: a heading that could not be
    /// read leaves its keys in another place.
    pub(super) fn may_follow(&self) -> bool {
        match self {
            Self::UnknownKey { .. }
            | Self::Missing { .. }
            | Self::UnknownSource { .. }
            | Self::NoRows
            | Self::FirstColumnMissing { .. } => true,
            Self::Syntax { .. }
            | Self::Kind { .. }
            | Self::BadName { .. }
            | Self::NameTaken { .. }
            | Self::SourceTaken
            | Self::TextWithUnit
            | Self::SameRow { .. } => false,
        }
    }

    /// Returns what is wrong, what the place is, what to do.
    pub fn wording(&self) -> Wording {
        match self {
            Self::Syntax { words } => say(format!("this is not TOML: {words}"), "", "correct the line"),
            Self::UnknownKey { found, of, known, near } => say(
                format!("{of} has no '{found}'"),
                "",
                match near {
                    Some(near) => format!("did you mean '{near}'?"),
                    None => format!("known here: {}", known.join(", ")),
                },
            ),
            Self::Missing { key, of } => {
                say(format!("{of} without '{key}'"), "", format!("write: {key} = …"))
            }
            Self::Kind { key, wanted } => {
                say(format!("'{key}' takes {wanted}"), "", format!("write {wanted}"))
            }
            Self::BadName { found } => say(format!("'{found}' is not a column's name"), "", NAME_RULE),
            Self::NameTaken { found } => say(
                format!("a column may not be named '{found}'"),
                "",
                "that word marks a row; choose another name",
            ),
            Self::SourceTaken => say(
                "'practice' is common practice, with no document",
                "",
                "choose another word for this document, or leave it out",
            ),
            Self::TextWithUnit => {
                say("a column of texts has no unit", "", "take the unit or the text = true out")
            }
            Self::UnknownSource { found, near } => say(
                format!("no source '{found}' in this table"),
                "",
                match near {
                    Some(near) => format!("did you mean '{near}'?"),
                    None => format!("write: [source.{found}] with document = \"…\""),
                },
            ),
            Self::NoRows => say("a table without rows", "", "write [[row]] and its cells"),
            Self::FirstColumnMissing { column } => {
                say(format!("a row without '{column}', which names it"), "", format!("write: {column} = …"))
            }
            Self::SameRow { name } => {
                say(format!("a second row '{name}'"), "", "the first column names a row once")
            }
        }
    }
}
