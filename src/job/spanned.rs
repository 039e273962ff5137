//! A word together with the characters that it stands in.
//!
//! In: a value and its place. Out: the place of any part of it.
//! Never: holds the page; whoever tells the fault has it.

use std::ops::Range;

use crate::fault::Span;

use super::file::Raw;

/// A word or value with the characters it stands in.
///
/// A text's place is what stands between its quotes. Where that is not the text itself, letter for
/// letter (escapes, several lines), the place is longer than the text.
#[derive(Clone, Debug, PartialEq)]
pub struct Spanned<T> {
    /// What was written.
    pub value: T,
    /// Where.
    pub at: Span,
}

impl<T> Spanned<T> {
    /// Returns a value with its place.
    pub fn new(value: T, at: impl Into<Span>) -> Self {
        Self { value, at: at.into() }
    }

    /// Returns another value that stands in the same place.
    pub fn with<U>(&self, value: U) -> Spanned<U> {
        Spanned { value, at: self.at }
    }
}

impl Spanned<String> {
    /// Returns the place in the page of a part of the text, given in bytes of the text.
    ///
    /// A text that the page does not hold letter for letter (it has escapes) gives its whole place.
    pub fn inner(&self, part: Range<usize>) -> Span {
        inner(&self.value, self.at, part)
    }

    /// Returns a part of the text with its place.
    pub fn part(&self, part: Range<usize>) -> Option<Self> {
        self.value.get(part.clone()).map(|text| Self::new(text.to_owned(), self.inner(part)))
    }
}

impl Spanned<Raw> {
    /// Returns the place in the page of a part of the text, as for a text; else the whole place.
    pub fn inner(&self, part: Range<usize>) -> Span {
        match &self.value {
            Raw::Text(text) => inner(text, self.at, part),
            Raw::Number(_) | Raw::Flag(_) | Raw::Date(_) => self.at,
        }
    }

    /// Returns the text, if that is what was written.
    pub fn known_text(&self) -> Option<Spanned<String>> {
        match &self.value {
            Raw::Text(text) => Some(self.with(text.clone())),
            Raw::Number(_) | Raw::Flag(_) | Raw::Date(_) => None,
        }
    }
}

fn inner(text: &str, at: Span, part: Range<usize>) -> Span {
    if at.end - at.start != text.len() || part.start > part.end || part.end > text.len() {
        return at;
    }
    Span::from(part).shifted(at.start)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_of_a_text_stands_inside_its_quotes() {
        let text = Spanned::new("18 Ahr".to_owned(), 10..16);
        assert_eq!(text.inner(3..6), Span::new(13, 16));
        assert_eq!(text.part(0..2), Some(Spanned::new("18".to_owned(), 10..12)));
    }

    #[test]
    fn a_text_with_escapes_and_a_part_outside_give_the_whole_place() {
        let text = Spanned::new("a\"b".to_owned(), 10..16);
        assert_eq!(text.inner(2..3), Span::new(10, 16));
        let plain = Spanned::new("ab".to_owned(), 10..12);
        assert_eq!(plain.inner(1..9), Span::new(10, 12));
    }
}
