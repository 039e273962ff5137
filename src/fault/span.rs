//! Places: characters of a page, and values with the characters that they stand in.
//!
//! In: bytes of a text. Out: spans of it, and of a part of what stands there.
//! Never: holds the text.

use std::ops::Range;

/// Characters of a [`Page`](super::Page), as byte offsets; the end is not part of it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Span {
    /// The first byte.
    pub start: usize,
    /// The byte after the last.
    pub end: usize,
}

impl Span {
    /// Returns the span from `start` up to `end`.
    pub const fn new(start: usize, end: usize) -> Self {
        Self { start, end }
    }

    /// Returns the smallest span that holds both.
    pub fn to(self, other: Self) -> Self {
        Self::new(self.start.min(other.start), self.end.max(other.end))
    }

    /// Returns the same span in a text that begins `offset` bytes earlier.
    pub fn shifted(self, offset: usize) -> Self {
        Self::new(self.start + offset, self.end + offset)
    }

    /// Returns the span as a range of bytes.
    pub fn range(self) -> Range<usize> {
        self.start..self.end
    }
}

impl From<Range<usize>> for Span {
    fn from(range: Range<usize>) -> Self {
        Self::new(range.start, range.end)
    }
}

/// A value with the characters it stands in.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Spanned<T> {
    /// The value.
    pub value: T,
    /// Its characters.
    pub at: Span,
}

impl<T> Spanned<T> {
    /// Returns a value with its characters.
    pub fn new(value: T, at: impl Into<Span>) -> Self {
        Self { value, at: at.into() }
    }

    /// Returns another value that stands in the same place.
    pub fn with<U>(&self, value: U) -> Spanned<U> {
        Spanned { value, at: self.at }
    }
}

impl Spanned<String> {
    /// Returns the place of a part of the text, given in bytes of the text.
    ///
    /// A text that its page does not hold letter for letter (it has escapes) gives its whole place.
    pub fn inner(&self, part: Range<usize>) -> Span {
        part_of(&self.value, self.at, part)
    }

    /// Returns a part of the text with its place.
    pub fn part(&self, part: Range<usize>) -> Option<Self> {
        self.value.get(part.clone()).map(|text| Self::new(text.to_owned(), self.inner(part)))
    }
}

/// Returns the place of a part of a text that stands at a place; the whole place where they do not fit.
pub fn part_of(text: &str, at: Span, part: Range<usize>) -> Span {
    if at.end - at.start != text.len() || part.start > part.end || part.end > text.len() {
        return at;
    }
    Span::from(part).shifted(at.start)
}
