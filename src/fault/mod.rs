//! Faults: what is wrong in a text that a person wrote, where, and what to do.
//!
//! In: places and kinds from every stage. Out: a [`Refused`] page with all of its faults.
//! Never: prints, or decides how a fault looks (that is `view`).

mod alike;
mod near;

use std::borrow::Cow;
use std::ops::Range;
use std::sync::Arc;

pub use alike::{only_looks_like, typed_otherwise};
pub use near::near;

/// Characters of a [`Page`], as byte offsets; the end is not part of it.
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

/// What some editors put before a text; it is no part of it.
pub const BYTE_ORDER_MARK: char = '\u{feff}';

/// Returns a text in which each line ends with `\n`, every place as it was: a lone `\r` ends a line too.
pub fn with_line_ends(text: &str) -> Cow<'_, str> {
    let lone = |(at, _): &(usize, &str)| !text[at + 1..].starts_with('\n');
    if !text.contains('\r') || text.match_indices('\r').find(lone).is_none() {
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
const TYPED: &str = "typed";

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

/// The words of a fault: the fact, what the place is, what to do.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wording {
    /// What is wrong, with the person's own word.
    pub title: String,
    /// A word or two for under the caret; may be empty.
    pub label: String,
    /// What to do, with the text to type; may be empty.
    pub cure: String,
    /// What to do at the prompt, where that is typed otherwise than in a file.
    pub at_prompt: Option<String>,
}

impl Wording {
    /// Returns a wording of all three parts.
    pub fn new(title: impl Into<String>, label: impl Into<String>, cure: impl Into<String>) -> Self {
        Self { title: title.into(), label: label.into(), cure: cure.into(), at_prompt: None }
    }

    /// Returns the wording with another cure for who is at the prompt.
    pub fn at_prompt(mut self, cure: impl Into<String>) -> Self {
        self.at_prompt = Some(cure.into());
        self
    }

    /// Returns what to do where a page is being written: in its file, or at the prompt.
    pub fn cure_on(&self, page: &Page) -> &str {
        self.at_prompt.as_deref().filter(|_| page.is_typed()).unwrap_or(&self.cure)
    }
}

/// Returns a round of names, the first of them where there are too many to read: `a needs b needs a`.
pub fn round_of(names: &[String]) -> String {
    const MOST_NAMED: usize = 20;
    let (named, rest) = names.split_at(names.len().min(MOST_NAMED));
    let more = if rest.is_empty() { String::new() } else { format!(" needs {} more", rest.len()) };
    named.join(" needs ") + &more
}

/// Returns a wording of all three parts: the fact, the place, the cure.
pub fn say(title: impl Into<String>, label: impl Into<String>, cure: impl Into<String>) -> Wording {
    Wording::new(title, label, cure)
}

/// Something wrong in a text that a person wrote.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// The characters under the caret.
    pub at: Span,
    /// What is wrong with them.
    pub kind: Kind,
    /// Places of the same page that explain: "first given here".
    pub also: Vec<(Span, String)>,
}

impl Fault {
    /// Returns a fault at a place.
    pub fn new(at: impl Into<Span>, kind: impl Into<Kind>) -> Self {
        Self { at: at.into(), kind: kind.into(), also: Vec::new() }
    }

    /// Returns the fault with one more place that explains it.
    pub fn with_also(mut self, at: Span, words: impl Into<String>) -> Self {
        self.also.push((at, words.into()));
        self
    }

    /// Returns the fault moved into a text that begins `offset` bytes earlier.
    pub fn shifted(mut self, offset: usize) -> Self {
        self.at = self.at.shifted(offset);
        for (at, _) in &mut self.also {
            *at = at.shifted(offset);
        }
        self
    }

    /// Returns the fault's words.
    pub fn wording(&self) -> Wording {
        self.kind.wording()
    }
}

/// Gives each stage its place in [`Kind`]: its own list of faults, with the words beside it.
macro_rules! kinds {
    ($($(#[$doc:meta])* $name:ident($wrong:path),)*) => {
        /// What is wrong, by the stage that met it.
        #[derive(Clone, Debug, PartialEq)]
        pub enum Kind { $($(#[$doc])* $name($wrong),)* }

        impl Kind {
            /// Returns what is wrong, what the place is, what to do.
            pub fn wording(&self) -> Wording {
                match self { $(Self::$name(wrong) => wrong.wording(),)* }
            }
        }

        $(impl From<$wrong> for Kind {
            fn from(wrong: $wrong) -> Self {
                Self::$name(wrong)
            }
        })*
    };
}

kinds! {
    /// A number, a unit or a date.
    Unit(crate::unit::Wrong),
    /// The text of a sheet or a basis.
    Text(crate::sheet::Wrong),
    /// A formula.
    Formula(crate::sheet::formula::Wrong),
    /// A name, a kind, or the order of working.
    Check(crate::sheet::check::Wrong),
    /// A published table.
    Table(crate::table::Wrong),
    /// A job seen against its sheets.
    Book(crate::notebook::Wrong),
    /// A job file, or the rows of a CSV file.
    Job(crate::job::Wrong),
}

/// A page that was refused whole, with every fault of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Refused {
    /// The text.
    pub page: Arc<Page>,
    /// Its faults, in text order; never empty.
    pub faults: Vec<Fault>,
}

impl Refused {
    /// Returns a line that was typed, refused for its faults.
    pub fn typed(line: &str, faults: Vec<Fault>) -> Vec<Self> {
        vec![Self { page: Page::new(TYPED, line), faults }]
    }

    /// Returns it as a line of a script, where it was typed, by its number from 1.
    pub fn of_script(self, line: usize) -> Self {
        if !self.page.is_typed() {
            return self;
        }
        let Page { name, text, .. } = self.page.as_ref().clone();
        Self { page: Arc::new(Page { name, text, first: line }), ..self }
    }
}

/// The most faults of one page that are told: nobody mends more at once.
pub const MOST: usize = 1000;

/// Adds faults of a page to the refused pages, each once; a page is refused once, with all of its faults.
pub fn refuse(refused: &mut Vec<Refused>, page: &Arc<Page>, faults: impl IntoIterator<Item = Fault>) {
    let at = refused.iter().position(|known| known.page == *page).unwrap_or_else(|| {
        refused.push(Refused { page: Arc::clone(page), faults: Vec::new() });
        refused.len() - 1
    });
    for fault in faults {
        if refused[at].faults.len() < MOST && !refused[at].faults.contains(&fault) {
            refused[at].faults.push(fault);
        }
    }
}

/// Keeps faults and goes on; the end is all or nothing.
#[derive(Clone, Debug, Default)]
pub struct Faults(Vec<Fault>);

impl Faults {
    /// Keeps one fault.
    pub fn add(&mut self, fault: Fault) {
        self.0.push(fault);
    }

    /// Keeps several faults.
    pub fn extend(&mut self, faults: impl IntoIterator<Item = Fault>) {
        self.0.extend(faults);
    }

    /// Keeps the fault of a result, or hands its value on.
    pub fn keep<T>(&mut self, result: Result<T, Fault>) -> Option<T> {
        result.map_err(|fault| self.0.push(fault)).ok()
    }

    /// Returns those that were kept.
    pub fn all(&self) -> impl Iterator<Item = &Fault> {
        self.0.iter()
    }

    /// Drops those that do not fit.
    pub fn retain(&mut self, fits: impl FnMut(&Fault) -> bool) {
        self.0.retain(fits);
    }

    /// Returns how many were kept.
    pub fn count(&self) -> usize {
        self.0.len()
    }

    /// Returns whether nothing was kept.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Returns the value if nothing was kept.
    ///
    /// # Errors
    /// The faults that were kept, in text order, each once, [`MOST`] of them at most.
    pub fn or<T>(mut self, value: T) -> Result<T, Vec<Fault>> {
        if self.0.is_empty() {
            return Ok(value);
        }
        self.0.sort_by_key(|fault| fault.at);
        self.0.dedup();
        self.0.truncate(MOST);
        Err(self.0)
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
