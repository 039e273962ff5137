//! A value as written in a job together with the characters that it stands in.
//!
//! In: a value and its place. Out: the place of any part of it.
//! Never: holds the page; whoever tells the fault has it.

use std::ops::Range;

use super::file::Raw;
use crate::fault::{Span, Spanned, part_of};

impl Spanned<Raw> {
    /// Returns the place in the page of a part of the text, as for a text; else the whole place.
    pub fn inner(&self, part: Range<usize>) -> Span {
        match &self.value {
            Raw::Text(text) => part_of(text, self.at, part),
            Raw::Number(_) | Raw::Flag(_) | Raw::Date(_) => self.at,
        }
    }
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
