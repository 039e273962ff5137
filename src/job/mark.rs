//! Review marks: what a reviewer said of a line, and what the line was then.
//!
//! In: a `[[mark]]` of a job. Out: a [`Mark`].
//! Never: compares what was seen with what is (that is the notebook).

use toml::de::DeTable;

use crate::fault::{Fault, Faults, Page, Span};

use super::Spanned;
use super::fields::Fields;
use super::wrong::{Place, Wrong};

/// What a reviewer says of a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Says {
    /// It was looked at and found right.
    Agree,
    /// Something is asked.
    Query,
}

impl Says {
    /// Returns its word, as typed and as kept.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Agree => "agree",
            Self::Query => "query",
        }
    }
}

/// What a line was when it was marked: the hash of each part of it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Seen {
    /// The line: its name, label, unit, range and remark.
    pub line: String,
    /// Its formula, condition or link.
    pub formula: String,
    /// Its value, how well it is known, and of a limit its verdict.
    pub value: String,
    /// Where it comes from: how it is known, the document, the clause, whether anyone has verified it.
    pub source: String,
}

impl Seen {
    /// Returns which parts are not what they were.
    pub fn differs(&self, now: &Self) -> Vec<&'static str> {
        let parts = [
            (self.line != now.line, "line"),
            (self.formula != now.formula, "formula"),
            (self.value != now.value, "value"),
            (self.source != now.source, "source"),
        ];
        parts.into_iter().filter(|(differs, _)| *differs).map(|(_, part)| part).collect()
    }
}

/// A review mark.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// The full name of the line.
    pub line: Spanned<String>,
    /// What is said of it.
    pub says: Says,
    /// The remark or the question.
    pub note: Option<String>,
    /// Who says it.
    pub who: Option<String>,
    /// When, in seconds since 1970-01-01 on the site's clock.
    pub at: Option<f64>,
    /// What the line was then.
    pub seen: Seen,
}

/// Reads a mark.
pub(super) fn mark(page: &Page, table: &DeTable<'_>, at: Span, faults: &mut Faults) -> Option<Mark> {
    let fields = Fields::new(page, table, Place::Mark, at, faults);
    let line = fields.need_text("line", faults);
    let says = fields.need_text("says", faults).and_then(|word| match word.value.as_str() {
        "agree" => Some(Says::Agree),
        "query" => Some(Says::Query),
        _ => {
            faults.add(Fault::new(word.at, Wrong::Says { found: word.value }));
            None
        }
    });
    let part = |key, faults: &mut Faults| fields.words(key, faults).unwrap_or_default();
    Some(Mark {
        says: says?,
        note: fields.words("note", faults),
        who: fields.words("who", faults),
        at: fields.moment("at", faults),
        seen: Seen {
            line: part("seen_line", faults),
            formula: part("seen_formula", faults),
            value: part("seen_value", faults),
            source: part("seen_source", faults),
        },
        line: line?,
    })
}
