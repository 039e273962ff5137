//! A cursor over a region of a page: the small pieces that every statement is made of.
//!
//! In: the page's text and the region of one statement. Out: words, numbers with units, quoted texts.
//! Never: knows what a statement means.

use crate::fault::{Fault, Span, begins_name, is_of_name};
use crate::sheet::token::{Path, Piece};
use crate::sheet::wrong::Wrong;
use crate::unit::{self, Quantity, Unit};

/// A cursor over one statement or detail; line ends and comments in it count as blanks.
#[derive(Clone, Debug)]
pub struct Scan<'a> {
    text: &'a str,
    at: usize,
    end: usize,
}

impl<'a> Scan<'a> {
    /// Returns a cursor at the start of a region of `text`.
    pub fn new(text: &'a str, region: Span) -> Self {
        Self { text, at: region.start, end: region.end }
    }

    /// Returns the byte the cursor stands at.
    pub fn at(&self) -> usize {
        self.at
    }

    /// Moves the cursor.
    pub fn go(&mut self, at: usize) {
        self.at = at.min(self.end);
    }

    /// Returns what is left of the region.
    pub fn rest(&self) -> &'a str {
        &self.text[self.at..self.end]
    }

    /// Returns a piece of the text that was passed.
    pub fn text(&self, at: Span) -> &'a str {
        &self.text[at.range()]
    }

    /// Returns the span of the next character, or an empty one at the end.
    pub fn here(&self) -> Span {
        Span::new(self.at, self.at + self.peek().map_or(0, char::len_utf8))
    }

    /// Returns the span of the word or mark that stands next, for a fault.
    pub fn next_piece(&self) -> Span {
        let rest = self.rest();
        let length = match rest.chars().next() {
            None => 0,
            Some('"') => rest[1..].find(['"', '\n']).map_or(rest.len(), |n| n + 2),
            Some(first) if is_of_name(first) || first.is_alphabetic() => {
                rest.find(|c: char| !(c.is_alphanumeric() || c == '_' || c == '.')).unwrap_or(rest.len())
            }
            Some(first) => first.len_utf8(),
        };
        Span::new(self.at, (self.at + length).min(self.end))
    }

    /// Returns the next character.
    pub fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }

    /// Steps over blanks, line ends and comments.
    pub fn skip_blank(&mut self) {
        loop {
            let rest = self.rest();
            let trimmed = rest.trim_start_matches([' ', '\t', '\r', '\n']);
            self.at += rest.len() - trimmed.len();
            if !trimmed.starts_with('#') {
                return;
            }
            self.at += trimmed.find('\n').unwrap_or(trimmed.len());
        }
    }

    /// Returns whether nothing but blanks is left.
    pub fn is_done(&mut self) -> bool {
        self.skip_blank();
        self.at >= self.end
    }

    /// Makes sure that nothing is left.
    ///
    /// # Errors
    /// The next piece, which does not belong there.
    pub fn expect_end(&mut self) -> Result<(), Fault> {
        if self.is_done() {
            return Ok(());
        }
        let at = self.next_piece();
        Err(Fault::new(at, Wrong::Trailing { found: self.text[at.range()].to_owned() }))
    }

    /// Takes `mark` if it stands next, after blanks.
    pub fn skip(&mut self, mark: &str) -> Option<Span> {
        self.skip_blank();
        self.rest().starts_with(mark).then(|| {
            self.at += mark.len();
            Span::new(self.at - mark.len(), self.at)
        })
    }

    /// Returns the word that stands next, without taking it.
    pub(super) fn at_word(&mut self) -> Option<(&'a str, Span)> {
        self.skip_blank();
        let rest = self.rest();
        let length = rest.find(|c: char| !is_of_name(c)).unwrap_or(rest.len());
        begins_name(rest).then(|| (&rest[..length], Span::new(self.at, self.at + length)))
    }

    /// Takes the word `word` if it stands next.
    pub fn skip_word(&mut self, word: &str) -> Option<Span> {
        let (found, at) = self.at_word()?;
        (found == word).then(|| {
            self.at = at.end;
            at
        })
    }

    /// Takes a name: lower-case letters, digits, `_`.
    ///
    /// # Errors
    /// [`Wrong::Expected`] or [`Wrong::BadName`] at what stands there.
    pub fn expect_name(&mut self, what: &'static str) -> Result<(String, Span), Fault> {
        match self.at_word() {
            Some((word, at)) if !self.text[at.end..self.end].starts_with(char::is_alphanumeric) => {
                self.at = at.end;
                Ok((word.to_owned(), at))
            }
            _ => {
                let at = self.next_piece();
                let found = self.text[at.range()].to_owned();
                let wrong = if found.starts_with(|c: char| c.is_alphabetic() || c == '_') {
                    Wrong::BadName { found }
                } else {
                    Wrong::Expected { what, found }
                };
                Err(Fault::new(at, wrong))
            }
        }
    }

    /// Takes a name with dots, its later parts also numbers or quoted: `cable.2.volts`.
    ///
    /// # Errors
    /// As [`Scan::expect_name`], at the part.
    pub fn expect_path(&mut self, what: &'static str) -> Result<(Path, Span), Fault> {
        let (first, at) = self.expect_name(what)?;
        let (mut parts, mut at) = (vec![first], at);
        while self.rest().starts_with('.') && !self.rest().starts_with("..") {
            self.at += 1;
            let rest = self.rest();
            if rest.starts_with('"') {
                let (text, span) = self.expect_quoted("a row's name")?;
                parts.push(text);
                at = at.to(span);
                continue;
            }
            // A row's name may begin with a capital letter.
            let length = rest.find(|c: char| !(c.is_alphanumeric() || c == '_')).unwrap_or(rest.len());
            if length == 0 {
                let (at, found) = (self.next_piece(), self.next_text());
                return Err(Fault::new(at, Wrong::Expected { what, found }));
            }
            parts.push(rest[..length].to_owned());
            self.at += length;
            at.end = self.at;
        }
        Ok((Path(parts), at))
    }

    /// Takes a quoted text without its quotes; the span has them.
    ///
    /// # Errors
    /// [`Wrong::Expected`] where none stands, [`Wrong::OpenQuote`] where it does not end on its line.
    pub fn expect_quoted(&mut self, what: &'static str) -> Result<(String, Span), Fault> {
        self.skip_blank();
        let rest = self.rest();
        if !rest.starts_with('"') {
            return Err(Fault::new(self.next_piece(), Wrong::Expected { what, found: self.next_text() }));
        }
        let inside = &rest[1..];
        match inside.find(['"', '\n']) {
            Some(n) if inside[n..].starts_with('"') => {
                let at = Span::new(self.at, self.at + n + 2);
                if inside[..n].trim().is_empty() {
                    return Err(Fault::new(at, Wrong::EmptyText));
                }
                self.at = at.end;
                Ok((inside[..n].to_owned(), at))
            }
            end => {
                let length = end.unwrap_or(inside.len());
                Err(Fault::new(Span::new(self.at, self.at + 1 + length), Wrong::OpenQuote))
            }
        }
    }

    /// Takes a quoted text whose `{name}` parts stand for values.
    ///
    /// # Errors
    /// As [`Scan::expect_quoted`]; [`Wrong::OpenBrace`] and [`Wrong::LoneBrace`] at a brace.
    pub(super) fn expect_template(&mut self, what: &'static str) -> Result<(Vec<Piece>, Span), Fault> {
        let (text, at) = self.expect_quoted(what)?;
        Ok((template(&text, at.start + 1)?, at))
    }

    /// Takes a number with its unit, a sign before it if one stands there.
    ///
    /// # Errors
    /// What the number or the unit has wrong with it, at its characters.
    pub(super) fn expect_quantity(&mut self) -> Result<(Quantity, Span), Fault> {
        self.skip_blank();
        let start = self.at;
        let negative = self.skip("-").or_else(|| self.skip("\u{2212}")).is_some();
        let mut quantity = self.expect_unsigned()?;
        if negative {
            quantity.number = -quantity.number;
        }
        Ok((quantity, Span::new(start, self.at)))
    }

    /// Takes a number with its unit; no sign.
    fn expect_unsigned(&mut self) -> Result<Quantity, Fault> {
        let start = self.at;
        if !self.peek().is_some_and(|c| c.is_ascii_digit() || c == '.') {
            let wrong = Wrong::Expected { what: "a number", found: self.next_text() };
            return Err(Fault::new(self.next_piece(), wrong));
        }
        let (number, length) = unit::read_number(self.rest()).map_err(|fault| fault.shifted(start))?;
        self.at += length;
        let unit = self.skip_unit_after_number()?;
        Ok(Quantity { number, unit })
    }

    /// Takes the unit that follows a number, or none.
    fn skip_unit_after_number(&mut self) -> Result<Unit, Fault> {
        let number_end = self.at;
        let rest = self.rest();
        let blanks = rest.len() - rest.trim_start_matches(' ').len();
        let after = &rest[blanks..];
        if !starts_unit(after) || is_word_of_formula(after) {
            return Ok(Unit::plain());
        }
        self.at += blanks;
        let unit = self.expect_unit();
        if unit.is_err() {
            self.at = number_end;
        }
        unit
    }

    /// Takes the unit that stands next, in a unit's place.
    ///
    /// # Errors
    /// What the unit has wrong with it, at its characters.
    pub fn expect_unit(&mut self) -> Result<Unit, Fault> {
        let start = self.at;
        let length = unit::unit_extent(self.rest());
        let text = &self.rest()[..length];
        let read = Unit::read(text).map_err(|fault| fault.shifted(start));
        self.at += length;
        read
    }

    fn next_text(&self) -> String {
        self.text[self.next_piece().range()].to_owned()
    }
}

/// Reads the `{name}` parts of a quoted text that begins at byte `start` of its page.
fn template(text: &str, start: usize) -> Result<Vec<Piece>, Fault> {
    let mut pieces = Vec::new();
    let mut plain = String::new();
    let mut at = 0;
    while let Some(c) = text[at..].chars().next() {
        let doubled = text[at + c.len_utf8()..].starts_with(c);
        match c {
            '{' | '}' if doubled => {
                plain.push(c);
                at += 2;
            }
            '{' => {
                let open = Span::new(start + at, start + at + 1);
                let length = text[at..].find('}').unwrap_or(text.len() - at);
                let mut scan = Scan::new(text, Span::new(at + 1, at + length));
                let read = scan.expect_path("a line's name");
                // A blank inside, or another brace, is past the end that was meant.
                if !text[at..].contains('}') || read.is_ok() && !scan.is_done() {
                    let name = read.ok().map(|(path, _)| path.to_string());
                    return Err(Fault::new(open, Wrong::OpenBrace { name }));
                }
                let (path, span) = read.map_err(|fault| fault.shifted(start))?;
                if !plain.is_empty() {
                    pieces.push(Piece::Plain(std::mem::take(&mut plain)));
                }
                pieces.push(Piece::Value(path, span.shifted(start)));
                at += length + 1;
            }
            '}' => return Err(Fault::new(Span::new(start + at, start + at + 1), Wrong::LoneBrace)),
            _ => {
                plain.push(c);
                at += c.len_utf8();
            }
        }
    }
    if !plain.is_empty() {
        pieces.push(Piece::Plain(plain));
    }
    Ok(pieces)
}

/// Returns whether a text begins like a unit.
fn starts_unit(text: &str) -> bool {
    text.starts_with(|c: char| c.is_alphabetic() || matches!(c, '%' | '\u{b0}'))
}

/// Returns whether a text begins with a word that goes on with the formula, and so is no unit.
fn is_word_of_formula(text: &str) -> bool {
    let length = text.find(|c: char| !c.is_ascii_lowercase()).unwrap_or(text.len());
    let alone = !text[length..].starts_with(|c: char| c.is_alphanumeric() || matches!(c, '/' | '*' | '^'));
    alone && matches!(&text[..length], "and" | "or" | "not" | "where" | "otherwise" | "from")
}
