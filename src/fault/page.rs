//! Pages: texts that people wrote, with the name under which their faults are told.
//!
//! In: a text and its name. Out: the line and the column of any byte.
//! Never: reads a file.

use std::borrow::Cow;
use std::sync::Arc;

/// What some editors put before a text; it is no part of it.
pub const BYTE_ORDER_MARK: char = '\u{feff}';

/// Returns where a text's first `\r` without a `\n` behind it stands.
pub fn lone_return(text: &str) -> Option<usize> {
    text.match_indices('\r').map(|(at, _)| at).find(|at| !text[at + 1..].starts_with('\n'))
}

/// Returns a text in which each line ends with `\n`, every place as it was: a lone `\r` ends a line too.
pub fn with_line_ends(text: &str) -> Cow<'_, str> {
    if lone_return(text).is_none() {
        return Cow::Borrowed(text);
    }
    let mut made = String::with_capacity(text.len());
    let mut parts = text.split('\r').peekable();
    while let Some(part) = parts.next() {
        made.push_str(part);
        if let Some(next) = parts.peek() {
            made.push(if next.starts_with('\n') { '\r' } else { '\n' });
        }
    }
    Cow::Owned(made)
}

/// A text that a person wrote, with the name under which its faults are told.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Page {
    /// The file's name as the person knows it.
    pub name: String,
    /// The whole text.
    pub text: String,
    /// The number of its first line: of a line typed, its place in the script.
    pub first: usize,
}

/// The name of a page that was typed.
pub(super) const TYPED: &str = "typed";

impl Page {
    /// Returns a page ready to be shared.
    pub fn new(name: impl Into<String>, text: impl Into<String>) -> Arc<Self> {
        Arc::new(Self { name: name.into(), text: text.into(), first: 1 })
    }

    /// Returns whether it was typed at the prompt.
    pub fn is_typed(&self) -> bool {
        self.name == TYPED
    }

    /// Returns the line and the column of a byte, both from 1, columns in characters.
    pub fn place(&self, at: usize) -> (usize, usize) {
        let mut at = at.min(self.text.len());
        while !self.text.is_char_boundary(at) {
            at -= 1;
        }
        let mut before = &self.text[..at];
        if self.text[at..].starts_with('\n') {
            before = before.strip_suffix('\r').unwrap_or(before);
        }
        let before = with_line_ends(before);
        let line = before.matches('\n').count() + self.first;
        let start = before.rfind('\n').map_or(0, |n| n + 1);
        (line, before[start..].trim_start_matches(BYTE_ORDER_MARK).chars().count() + 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_column_counts_characters_not_bytes() {
        let page = Page::new("a.sheet", "Ω\nµΩ x");
        assert_eq!(page.place(0), (1, 1));
        assert_eq!(page.place("Ω\nµΩ ".len()), (2, 4));
        assert_eq!(page.place(1), (1, 1), "inside a character is its start");
        assert_eq!(page.place(999), (2, 5), "past the end is the end");
    }
}
