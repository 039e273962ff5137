//! Job files: one site's numbers, read from TOML and CSV with the place of every word.
//!
//! In: the text of a job or of a CSV file. Out: plain values with spans, or every fault at once;
//! and, for a change, the text with that one value changed and every other byte as it was.
//! Never: looks at a sheet, reads a quantity, calculates. Only [`disk`] touches files.

mod date;
pub mod disk;
mod entry;
mod fields;
mod file;
mod how;
pub mod journal;
mod mark;
mod read;
pub mod rewrite;
mod rows;
pub mod skeleton;
mod spanned;
mod syntax;
mod wrong;

pub use crate::fault::Spanned;
pub use disk::Unread;
pub use file::{Entry, Instrument, Job, Raw, Row, RowFile, Rows, Use};
pub use how::How;
pub use mark::{Mark, Says, Seen};
pub use rows::{Csv, CsvColumn, Grid};
pub use syntax::Syntax;
pub use wrong::{Found, Place, Takes, Wrong};

/// Returns whether a word can name a sheet or a column: `a`-`z`, digits, `_`, no digit first.
pub fn is_name(word: &str) -> bool {
    let fits = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_';
    word.chars().all(fits) && word.chars().next().is_some_and(|first| !first.is_ascii_digit())
}

/// Returns the name nearest to a word that is none: `Call point` is `call_point`.
fn as_name(word: &str) -> Option<String> {
    let word = word.strip_suffix(".sheet").unwrap_or(word).to_lowercase();
    let name: Vec<_> =
        word.split(|c: char| !c.is_ascii_alphanumeric()).filter(|part| !part.is_empty()).collect();
    Some(name.join("_")).filter(|name| is_name(name))
}
