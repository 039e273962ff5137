//! The words of the language: one row each, with where it may begin a line.
//!
//! In: a word. Out: whether it is one of the language's, and what it begins.
//! Never: knows what a line says; the functions have rows of their own.

use super::function::Function;

/// What a word may begin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Stands {
    /// A statement of a sheet.
    Sheet,
    /// A statement of a basis.
    Basis,
    /// A detail or a column, below a statement.
    Detail,
}

/// Every word, with what it may begin; the rest stand within a line.
const WORDS: &[(&str, &[Stands])] = &[
    ("title", &[Stands::Sheet, Stands::Basis]),
    ("revision", &[Stands::Sheet, Stands::Basis]),
    ("about", &[Stands::Sheet, Stands::Basis]),
    ("caution", &[Stands::Sheet, Stands::Basis]),
    ("source", &[Stands::Sheet, Stands::Basis]),
    ("given", &[Stands::Sheet, Stands::Detail]),
    ("take", &[Stands::Sheet, Stands::Basis, Stands::Detail]),
    ("find", &[Stands::Sheet, Stands::Detail]),
    ("must", &[Stands::Sheet, Stands::Detail]),
    ("should", &[Stands::Sheet, Stands::Detail]),
    ("schedule", &[Stands::Sheet]),
    ("table", &[Stands::Sheet, Stands::Basis]),
    ("chart", &[Stands::Sheet]),
    ("example", &[Stands::Sheet]),
    ("extends", &[Stands::Basis]),
    ("cite", &[Stands::Basis]),
    ("without", &[Stands::Basis]),
    ("by", &[Stands::Detail]),
    ("when", &[Stands::Detail]),
    ("note", &[Stands::Detail]),
    ("within", &[Stands::Detail]),
    ("tolerance", &[Stands::Detail]),
    ("one", &[Stands::Detail]),
    ("that", &[Stands::Detail]),
    ("remedy", &[Stands::Detail]),
    ("across", &[Stands::Detail]),
    ("up", &[Stands::Detail]),
    ("line", &[Stands::Detail]),
    ("row", &[Stands::Detail]),
    ("expect", &[Stands::Detail]),
    ("basis", &[Stands::Detail]),
    ("on", &[Stands::Detail]),
    ("may", &[Stands::Detail]),
    ("of", &[]),
    ("from", &[]),
    ("be", &[]),
    ("empty", &[]),
    ("where", &[]),
    ("otherwise", &[]),
    ("and", &[]),
    ("or", &[]),
    ("not", &[]),
    ("in", &[]),
    ("yes", &[]),
    ("no", &[]),
    ("flag", &[]),
    ("date", &[]),
    ("text", &[]),
    ("unverified", &[]),
];

/// The words, which may not be a line's name.
pub const KEYWORDS: [&str; WORDS.len()] = {
    let mut words = [""; WORDS.len()];
    let mut n = 0;
    while n < words.len() {
        words[n] = WORDS[n].0;
        n += 1;
    }
    words
};

/// Returns the words that may begin something.
pub(super) fn beginning(stands: Stands) -> impl Iterator<Item = &'static str> {
    WORDS.iter().filter(move |(_, may)| may.contains(&stands)).map(|(word, _)| *word)
}

/// Returns whether a word is taken by the language: a keyword or a function.
pub(super) fn is_taken(word: &str) -> bool {
    KEYWORDS.contains(&word) || Function::known(word).is_some()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_word_has_one_row_and_the_statements_are_those_that_are_told() {
        for (n, word) in KEYWORDS.iter().enumerate() {
            assert!(!KEYWORDS[..n].contains(word), "{word}");
        }
        use crate::sheet::{read::PageKind, words::statements};
        for (stands, kind) in [(Stands::Sheet, PageKind::Sheet), (Stands::Basis, PageKind::Basis)] {
            let (mut begins, mut told): (Vec<_>, Vec<_>) = (beginning(stands).collect(), statements(kind));
            begins.sort_unstable();
            told.sort_unstable();
            assert_eq!(begins, told);
        }
    }
}
