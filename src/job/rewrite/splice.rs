//! Pieces of a text put in the place of others; every other byte stays.
//!
//! In: a text and the places to change. Out: the text changed.
//! Never: knows TOML; touches a byte that no piece names.

use std::ops::Range;

/// Changes to one text, gathered and then made at once. Places are those of the text as it was.
#[derive(Debug, Default)]
pub(super) struct Splice(Vec<(Range<usize>, String)>);

impl Splice {
    /// Puts words in a place; an empty place is between two characters.
    pub(super) fn put(&mut self, at: Range<usize>, words: impl Into<String>) {
        self.0.push((at, words.into()));
    }

    /// Puts words on a line of their own below the line that holds a place.
    pub(super) fn put_below(&mut self, text: &str, at: usize, words: &str) {
        let end = line_end(text, at);
        self.put(end..end, format!("{words}{}", line_break(text)));
    }

    /// Puts a part, whose lines end as those of the text do, at its end behind an empty line.
    pub(super) fn put_at_end(&mut self, text: &str, part: &str) {
        let end = line_break(text);
        let body = text.trim_end_matches(['\n', '\r']).len();
        self.put(body..text.len(), format!("{end}{end}{part}"));
    }

    /// Takes out a key and its value that have their line to themselves; a comment after them stays.
    pub(super) fn take_line(&mut self, text: &str, value: Range<usize>, key: usize) {
        let start = line_start(text, key);
        let end = line_end(text, value.end);
        let after = &text[value.end..end];
        match after.find('#') {
            Some(comment) => {
                let indent = indent(text, key).len();
                self.put(start + indent..value.end + comment, "");
            }
            None => self.put(start..end, ""),
        }
    }

    /// Returns the text with the changes made.
    pub(super) fn made(mut self, text: &str) -> String {
        // Stable: pieces put in one place stay in the order in which they were put.
        self.0.sort_by_key(|(at, _)| (at.start, at.end));
        let mut made = String::with_capacity(text.len());
        let mut done = 0;
        for (at, words) in &self.0 {
            made += &text[done..at.start.max(done)];
            made += words;
            done = at.end.max(done);
        }
        made + &text[done..]
    }
}

/// Returns where the line that holds a place starts.
pub(super) fn line_start(text: &str, at: usize) -> usize {
    text[..at].rfind('\n').map_or(0, |end| end + 1)
}

/// Returns where the line that holds a place ends, its line break with it.
pub(super) fn line_end(text: &str, at: usize) -> usize {
    text[at..].find('\n').map_or(text.len(), |end| at + end + 1)
}

/// Returns the blanks that the line that holds a place starts with.
pub(super) fn indent(text: &str, at: usize) -> &str {
    let line = &text[line_start(text, at)..];
    &line[..line.len() - line.trim_start_matches([' ', '\t']).len()]
}

/// Returns how the lines of a text end, by its first.
pub(super) fn line_break(text: &str) -> &'static str {
    match text.find('\n') {
        Some(at) if text[..at].ends_with('\r') => "\r\n",
        Some(_) | None => "\n",
    }
}
