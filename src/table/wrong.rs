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
            Self::Missing { key, of } => say(format!("{of} without '{key}'"), "", missing(key, of)),
            Self::Kind { key, wanted } => say(format!("'{key}' takes {wanted}"), "", kind(key, wanted)),
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
            Self::NoRows => say("a table without rows", "", ROW),
            Self::FirstColumnMissing { column } => {
                say(format!("a row without '{column}', which names it"), "", format!("write: {column} = …"))
            }
            Self::SameRow { name } => {
                say(format!("a second row '{name}'"), "", "the first column names a row once")
            }
        }
    }
}

const COLUMNS: &str = "write [columns.NAME] and below it unit = \"ohm/km\", or text = true for texts";
const ROW: &str = "write [[row]] and below it a cell of each column: size = \"1 mm2\"";
const SOURCE: &str = "write [source.NAME] and below it document = \"…\"";

fn missing(key: &str, of: &str) -> String {
    match key {
        "columns" => COLUMNS.to_owned(),
        "unit" => {
            "write below it unit = \"ohm/km\" (\"1\" for a plain number), or text = true for texts".to_owned()
        }
        "document" => "write below it document = \"…\"".to_owned(),
        "source" if of.starts_with("a column") => {
            format!("write below it source = \"NAME\"; for the document itself {SOURCE}")
        }
        "revision" => "write at the top: revision = 1".to_owned(),
        "title" => "write at the top: title = \"…\"".to_owned(),
        _ => format!("write: {key} = …"),
    }
}

fn kind(key: &str, wanted: &str) -> String {
    match (key, wanted) {
        ("columns", _) => COLUMNS.to_owned(),
        ("source", "a table of keys") => SOURCE.to_owned(),
        ("row", _) => ROW.to_owned(),
        (name, "a table of keys") => {
            format!("write a heading [columns.{name}], or [source.{name}], its keys below")
        }
        _ => format!("write {wanted}"),
    }
}
