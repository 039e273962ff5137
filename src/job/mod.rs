//! Job files: one site's numbers, read from TOML and CSV with the place of every word.
//!
//! In: the text of a job or of a CSV file. Out: plain values with spans, or every fault at once;
//! and, for a change, the text with that one value changed and every other byte as it was.
//! Never: looks at a sheet, reads a quantity, calculates. Only [`disk`] touches files.

pub mod clock;
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

pub use crate::fault::{Spanned, is_name};
pub use disk::Unread;
pub use file::{Entry, Instrument, Job, Raw, Row, RowFile, Rows, Use};
pub use how::How;
pub use mark::{Mark, Says, Seen};
pub use rows::{Csv, CsvColumn, CsvWrong};
pub use syntax::Syntax;
pub use wrong::{Found, Place, Takes, Wrong};

/// Returns the name nearest to a word that is none: `Call point` is `call_point`.
fn as_name(word: &str) -> Option<String> {
    let word = word.strip_suffix(".sheet").unwrap_or(word).to_lowercase();
    let name: Vec<_> =
        word.split(|c: char| !c.is_ascii_alphanumeric()).filter(|part| !part.is_empty()).collect();
    Some(name.join("_")).filter(|name| is_name(name))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_word_that_begins_with_no_letter_names_nothing() {
        assert!(is_name("loop_1") && !is_name("_loop") && !is_name("1st"));
        assert_eq!(as_name("_Call point").as_deref(), Some("call_point"));
    }
}
