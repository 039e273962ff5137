//! Slips of TOML in plain words.
//!
//! In: what the TOML reader says, and where. Out: one fault a line, in words for people.
//! Never: the reader's own words, unless it has met something that is not listed here.

use crate::fault::{Fault, Page, Span, Wording};

use super::Wrong;

/// What stops a text from being TOML.
#[derive(Clone, Debug, PartialEq)]
pub enum Syntax {
    /// A key is written twice.
    KeyTwice(String),
    /// A key has a value already, and part of it is written again.
    HasValue(String),
    /// A text stands without quotes.
    Unquoted,
    /// A text's quotes do not close on its line.
    OpenQuote,
    /// A character after `\` that means nothing.
    Escape,
    /// A heading's bracket does not close.
    OpenHeading,
    /// A list does not close, or misses a comma.
    OpenList,
    /// A table in braces does not close, or misses a comma.
    OpenBraces,
    /// Something stands after the end of a value.
    After,
    /// A comma too many.
    ExtraComma,
    /// A key without `=` after it.
    NoEquals,
    /// Nothing stands after `=`.
    NoValue,
    /// No key stands before `=`, or it has characters that a key cannot have.
    NoKey,
    /// A date that cannot be read.
    Date,
    /// A number that cannot be read.
    Number,
    /// Brackets within brackets, too deep.
    Deep,
    /// Anything else, in the reader's words.
    Other(String),
}

impl Syntax {
    /// Returns what is wrong, what the place is, what to do.
    pub fn wording(&self) -> Wording {
        let (title, label, cure) = match self {
            Self::KeyTwice(key) => {
                return Wording::new(
                    format!("'{key}' is written twice"),
                    "again here",
                    "keep one, or write all its parts the same way",
                );
            }
            Self::HasValue(key) => {
                return Wording::new(
                    format!("'{key}' has a value already"),
                    "again here",
                    format!("write {key} = {{ value = …, how = … }}"),
                );
            }
            Self::Other(words) => return Wording::new(format!("not TOML: {words}"), "", ""),
            Self::Unquoted => ("a text without quotes", "", "put it in quotes: \"18 Ah\""),
            Self::OpenQuote => ("the quotes do not close", "", "write the closing quote on the same line"),
            Self::Escape => {
                ("a \\ that means nothing", "", "write \\\\ for a backslash, or use single quotes")
            }
            Self::OpenHeading => ("the heading does not close", "", "write [[sheet]], alone on its line"),
            Self::OpenList => {
                ("the list does not close here", "", "write a comma between its parts, ] at its end")
            }
            Self::OpenBraces => {
                ("the braces do not close here", "", "write a comma between its parts, } at its end")
            }
            Self::After => {
                ("more than one value on a line", "not expected", "end the line, or begin the rest with #")
            }
            Self::ExtraComma => ("a comma too many", "", "take it out"),
            Self::NoEquals => ("a key without a value", "", "write key = \"value\""),
            Self::NoValue => ("no value after '='", "", "write one, or \"?\" if it is open"),
            Self::NoKey => ("no key here", "", "write key = \"value\"; a key is letters, digits and _"),
            Self::Date => ("not a date", "", "write it like 2026-11-25 or 2026-11-25T10:40:00"),
            Self::Number => ("not a number", "", "write it like 12 or 0.5, or put it in quotes: \"12 mA\""),
            Self::Deep => ("too many brackets within brackets", "", "write it flatter"),
        };
        Wording::new(title, label, cure)
    }
}

/// Returns the faults for what the TOML reader met: the first of each line.
pub(super) fn faults(page: &Page, met: &[toml::de::Error]) -> Vec<Fault> {
    let mut found: Vec<Fault> = met.iter().map(|error| fault(page, error)).collect();
    found.sort_by_key(|fault| fault.at);
    found.dedup_by_key(|fault| page.place(fault.at.start).0);
    found
}

fn fault(page: &Page, error: &toml::de::Error) -> Fault {
    let length = page.text.len();
    let at = error.span().map_or_else(|| Span::new(length, length), Span::from);
    let words = page.text.get(at.range()).unwrap_or_default();
    Fault::new(at, Wrong::Syntax(kind(error.message(), words)))
}

/// Returns the kind of a slip; `words` are the characters under the caret.
fn kind(message: &str, words: &str) -> Syntax {
    let has = |part: &str| message.contains(part);
    match () {
        () if has("duplicate key") => Syntax::KeyTwice(words.to_owned()),
        () if has("cannot extend value") => Syntax::HasValue(words.to_owned()),
        () => Syntax::Other(message.to_owned()),
    }
}
