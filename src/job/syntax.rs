//! Slips of TOML in plain words.
//!
//! In: what the TOML reader says, and where. Out: one fault a line, in words for people.
//! Never: the reader's own words, unless it has met something that is not listed here.

use crate::fault::{Fault, MOST, Page, Span, Wording, say};

use super::Wrong;

/// What stops a text from being TOML.
#[derive(Clone, Debug, PartialEq)]
pub enum Syntax {
    /// A key is written twice.
    KeyTwice(String),
    /// A key has a value already, and part of it is written again.
    HasValue(String),
    /// A text stands without quotes.
    Unquoted,
    /// A text's quotes do not close on its line.
    OpenQuote,
    /// A character after `\` that means nothing.
    Escape,
    /// A heading's bracket does not close.
    OpenHeading,
    /// A list does not close, or misses a comma.
    OpenList,
    /// A table in braces does not close, or misses a comma.
    OpenBraces,
    /// Something stands after the end of a value.
    After,
    /// A comma too many.
    ExtraComma,
    /// A key without `=` after it.
    NoEquals,
    /// Nothing stands after `=`.
    NoValue,
    /// No key stands before `=`, or it has characters that a key cannot have.
    NoKey,
    /// A date that cannot be read.
    Date,
    /// A number that cannot be read.
    Number,
    /// Brackets within brackets, too deep.
    Deep,
    /// Anything else, in the reader's words.
    Other(String),
}

impl Syntax {
    /// Returns what is wrong, what the place is, what to do.
    pub fn wording(&self) -> Wording {
        let (title, label, cure) = match self {
            Self::KeyTwice(key) => {
                return say(
                    format!("'{key}' is written twice"),
                    "again here",
                    "keep one, or write all its parts the same way",
                );
            }
            Self::HasValue(key) => {
                return say(
                    format!("'{key}' has a value already"),
                    "again here",
                    format!("write {key} = {{ value = …, how = … }}"),
                );
            }
            Self::Other(words) => return say(format!("not TOML: {words}"), "", ""),
            Self::Unquoted => ("a text without quotes", "", "put it in quotes: \"18 Ah\""),
            Self::OpenQuote => ("the quotes do not close", "", "write the closing quote on the same line"),
            Self::Escape => {
                ("a \\ that means nothing", "", "write \\\\ for a backslash, or use single quotes")
            }
            Self::OpenHeading => ("the heading does not close", "", "write [[sheet]], alone on its line"),
            Self::OpenList => {
                ("the list does not close here", "", "write a comma between its parts, ] at its end")
            }
            Self::OpenBraces => {
                ("the braces do not close here", "", "write a comma between its parts, } at its end")
            }
            Self::After => {
                ("more than one value on a line", "not expected", "end the line, or begin the rest with #")
            }
            Self::ExtraComma => ("a comma too many", "", "take it out"),
            Self::NoEquals => ("a key without a value", "", "write key = \"value\""),
            Self::NoValue => ("no value after '='", "", "write one, or \"?\" if it is open"),
            Self::NoKey => ("no key here", "", "write key = \"value\"; a key is letters, digits and _"),
            Self::Date => ("not a date", "", "write it like 2026-11-25 or 2026-11-25T10:40:00"),
            Self::Number => ("not a number", "", "write it like 12 or 0.5, or put it in quotes: \"12 mA\""),
            Self::Deep => ("too many brackets within brackets", "", "write it flatter"),
        };
        say(title, label, cure)
    }
}

/// Returns the faults for what the TOML reader met: the first that it met on each line.
///
/// It reads the marks before the values, so that what it meets first is the slip itself: of
/// `a = 1 b = 2`, the second key, and only then that `1 b` is no value.
pub(super) fn faults(page: &Page, met: &[toml::de::Error]) -> Vec<Fault> {
    let mut found: Vec<Fault> = met.iter().take(MOST).map(|error| fault(page, error)).collect();
    let line = |fault: &Fault| page.place(fault.at.start).0;
    found.sort_by_cached_key(line); // stable
    found.dedup_by_key(|fault| line(fault));
    found
}

fn fault(page: &Page, error: &toml::de::Error) -> Fault {
    let length = page.text.len();
    let at = error.span().map_or_else(|| Span::new(length, length), Span::from);
    let words = page.text.get(at.range()).unwrap_or_default();
    Fault::new(at, Wrong::Syntax(kind(error.message(), words)))
}

/// Returns the kind of a slip; `words` are the characters under the caret.
fn kind(message: &str, words: &str) -> Syntax {
    let has = |part: &str| message.contains(part);
    match () {
        () if has("duplicate key") => Syntax::KeyTwice(words.to_owned()),
        () if has("cannot extend value") => Syntax::HasValue(words.to_owned()),
        () if has("values must be quoted") && words.is_empty() => Syntax::NoValue,
        () if has("values must be quoted") || has("invalid boolean") => Syntax::Unquoted,
        () if has("escape") => Syntax::Escape,
        () if has("basic string") || has("literal string") => Syntax::OpenQuote,
        () if has("unclosed array table") || has("unclosed table") => Syntax::OpenHeading,
        () if has("extra comma") => Syntax::ExtraComma,
        () if has("unclosed array") || has("missing comma between array") => Syntax::OpenList,
        () if has("inline table") || has("between key-value pairs") => Syntax::OpenBraces,
        () if has("unexpected key or value") => Syntax::After,
        () if has("key with no value") => Syntax::NoEquals,
        () if has("unquoted key") => Syntax::NoKey,
        () if has("invalid date") || has("invalid time") || has("invalid offset") => Syntax::Date,
        () if has("float") || has("integer") || has("leading zero") || has("may only go between") => {
            Syntax::Number
        }
        () if has("recurse") => Syntax::Deep,
        () => Syntax::Other(message.to_owned()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fault::Kind;
    use crate::job::Job;

    /// Returns the slips of a job with these lines, each with the characters under its caret.
    fn slips(lines: &str) -> Vec<(Syntax, String)> {
        let head = "title = \"A\"\nbasis = \"uk\"\n";
        let page = Page::new("job", format!("{head}{lines}\n"));
        let slip = |fault: Fault| match fault.kind {
            Kind::Job(Wrong::Syntax(slip)) => Some((slip, page.text[fault.at.range()].to_owned())),
            _ => panic!("{fault:?}"),
        };
        Job::read(&page).err().unwrap_or_default().into_iter().filter_map(slip).collect()
    }

    #[test]
    fn each_slip_is_told_once_in_our_words() {
        let deep = format!("on = {}", "[".repeat(300));
        for (lines, expected) in [
            ("on = 12 mA", Syntax::Unquoted),
            ("on = tru", Syntax::Unquoted),
            ("on = \"x", Syntax::OpenQuote),
            ("on = 'x", Syntax::OpenQuote),
            ("on = \"\"\"x", Syntax::OpenQuote),
            ("on = \"\\q\"", Syntax::Escape),
            ("[[sheet", Syntax::OpenHeading),
            ("[[sheet]", Syntax::OpenHeading),
            ("[sheet", Syntax::OpenHeading),
            ("on = [1, 2", Syntax::OpenList),
            ("on = [\"a\" \"b\"]", Syntax::OpenList),
            ("on = { b = 1", Syntax::OpenBraces),
            ("on = { b = 1 c = 2 }", Syntax::OpenBraces),
            ("on = \"a\" \"b\"", Syntax::After),
            ("on = 1 b = 2", Syntax::After),
            ("on = 1,", Syntax::After),
            ("on = { b = 1,, }", Syntax::ExtraComma),
            ("on = [1,,2]", Syntax::ExtraComma),
            ("on", Syntax::NoEquals),
            ("on =", Syntax::NoValue),
            ("= 1", Syntax::NoKey),
            ("\u{e9} = 1", Syntax::NoKey),
            ("on = 2026-13-45", Syntax::Date),
            ("on = 2026-11-5", Syntax::Date),
            ("on = 2026-11-25T99:00:00", Syntax::Date),
            ("on = 1.2.3", Syntax::Number),
            ("on = 01", Syntax::Number),
            ("on = 1__2", Syntax::Number),
            (&deep, Syntax::Deep),
            ("title = \"B\"", Syntax::KeyTwice("title".to_owned())),
        ] {
            let told: Vec<_> = slips(lines).into_iter().map(|(slip, _)| slip).collect();
            assert_eq!(told, [expected], "{lines}");
        }
    }

    #[test]
    fn slips_on_two_lines_are_both_told() {
        let told = slips("on = 12 mA\nprepared_by = \"R");
        assert_eq!(told, [(Syntax::Unquoted, "12 mA".to_owned()), (Syntax::OpenQuote, String::new())]);
    }

    #[test]
    fn keys_below_a_value_are_told_at_the_name_that_has_it() {
        let told = slips("[[sheet]]\nuse = \"b\"\ngiven.x = 1\ngiven.x.how = \"stated\"");
        assert!(matches!(told.as_slice(), [(Syntax::HasValue(_), _)]), "{told:?}");
    }
}
