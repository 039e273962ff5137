//! Slips of TOML in plain words.
//!
//! In: what the TOML reader says, and where. Out: one fault a line, in words for people.
//! Never: the reader's own words, unless it has met something that is not listed here.

use crate::fault::{Fault, Kind, MOST, Page, Span, Wording, lone_return, say};
use crate::unit::date;

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
    /// A value whose closing quote is missing, so that it swallows what stands behind it.
    QuoteMissing(String),
    /// A second `=`: a formula without its quotes.
    SecondEquals(String),
    /// A line that ends inside its braces.
    BraceMissing,
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
    /// A day written in another order, and as it is written here.
    DayFirst(String),
    /// A number that cannot be read.
    Number,
    /// Brackets within brackets, too deep.
    Deep,
    /// Lines that end with a carriage return alone.
    LineEnds,
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
            Self::QuoteMissing(value) => {
                return say("the quotes do not close", "", format!("a quote is missing after {value}"));
            }
            Self::SecondEquals(link) => {
                return say("a second '='", "", format!("put a link in quotes: \"= {link}\""));
            }
            Self::DayFirst(day) => return say("not a date", "", format!("write {day}")),
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
            Self::BraceMissing => ("the braces do not close on this line", "ends here", "write } at its end"),
            Self::After => {
                ("more than one value on a line", "not expected", "end the line, or begin the rest with #")
            }
            Self::ExtraComma => ("a comma too many", "", "take it out"),
            Self::NoEquals => ("a key without a value", "", "write key = \"value\""),
            Self::NoValue => ("no value after '='", "", "write one, or \"?\" if it is open"),
            Self::NoKey => ("no key here", "", "write key = \"value\"; a key is letters, digits and _"),
            Self::Date => ("not a date", "", "write it like 2026-11-25 or 2026-11-25T10:40:00"),
            Self::Number => ("not a number", "", "write it like 12 or 0.5, or put it in quotes: \"12 mA\""),
            Self::LineEnds => {
                ("the lines end with a carriage return alone", "", "save the file with line ends LF or CRLF")
            }
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
    if let Some(slip) = (!found.is_empty()).then(|| open_line(&page.text)).flatten() {
        // All below it is read as if it stood in its braces.
        found.retain(|fault| fault.at.start < slip.at.start);
        found.push(slip);
    }
    let line = |fault: &Fault| page.place(fault.at.start).0;
    found.sort_by_cached_key(line); // stable
    found.dedup_by_key(|fault| line(fault));
    found
}

/// Returns the fault of a text whose lines end as TOML's never do.
pub(super) fn line_ends(page: &Page) -> Option<Fault> {
    let at = lone_return(&page.text)?;
    Some(Fault::new(Span::new(at, at), Wrong::Syntax(Syntax::LineEnds)))
}

/// Returns the fault of the first line that ends inside its braces where the next begins a key or a heading.
fn open_line(text: &str) -> Option<Fault> {
    let mut start = 0;
    let lines: Vec<(usize, &str)> = text
        .split_inclusive('\n')
        .map(|line| {
            start += line.len();
            (start - line.len(), line.trim_end())
        })
        .collect();
    let n = (0..lines.len()).find(|&n| {
        let next = lines[n + 1..].iter().map(|(_, line)| line.trim()).find(|line| !line.is_empty());
        let begins = next
            .is_none_or(|next| next.starts_with('[') || key_of(next).is_some_and(|key| key.contains('.')));
        key_of(lines[n].1).is_some() && braces_open(lines[n].1) && begins
    })?;
    let end = lines[n].0 + lines[n].1.len();
    Some(Fault::new(Span::new(end.saturating_sub(1), end), Wrong::Syntax(Syntax::BraceMissing)))
}

/// Returns the key that begins a line.
fn key_of(line: &str) -> Option<&str> {
    let (key, _) = line.split_once('=')?;
    let key = key.trim();
    let is_key = |c: char| c.is_ascii_alphanumeric() || matches!(c, '_' | '-' | '.');
    (!key.is_empty() && key.chars().all(is_key)).then_some(key)
}

/// Returns whether more braces open on a line than close, outside quotes and remarks.
fn braces_open(line: &str) -> bool {
    let (mut quoted, mut depth) = (false, 0);
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            '#' if !quoted => break,
            '{' if !quoted => depth += 1,
            '}' if !quoted => depth -= 1,
            _ => {}
        }
    }
    depth > 0 && !quoted
}

fn fault(page: &Page, error: &toml::de::Error) -> Fault {
    let length = page.text.len();
    let at = error.span().map_or_else(|| Span::new(length, length), Span::from);
    let words = page.text.get(at.range()).unwrap_or_default();
    let start = page.text.get(..at.start).and_then(|before| before.rfind('\n')).map_or(0, |n| n + 1);
    let line = page.text.get(start..).and_then(|rest| rest.lines().next()).unwrap_or_default();
    if let Some((place, value)) = swallowed(line) {
        return Fault::new(place.shifted(start), Wrong::Syntax(Syntax::QuoteMissing(value)));
    }
    match kind(error.message(), words) {
        Syntax::Date => no_such_day(line)
            .map_or_else(|| Fault::new(at, Wrong::Syntax(Syntax::Date)), |fault| fault.shifted(start)),
        Syntax::SecondEquals(_) => {
            let rest = line.get(at.start.saturating_sub(start)..).unwrap_or_default();
            let link = rest.trim_start_matches(['=', ' ']).trim_end().to_owned();
            Fault::new(at, Wrong::Syntax(Syntax::SecondEquals(link)))
        }
        kind => Fault::new(at, Wrong::Syntax(kind)),
    }
}

/// Returns a value in quotes that swallows the key behind it: `value = "22.8 V, how = "datasheet"`.
fn swallowed(line: &str) -> Option<(Span, String)> {
    if line.matches('"').count().is_multiple_of(2) {
        return None;
    }
    let mut at = 0;
    line.split('"').enumerate().find_map(|(n, part)| {
        let start = at;
        at += part.len() + 1;
        let (value, key) = part.split_once(',')?;
        let key = key.trim_end().strip_suffix('=')?.trim();
        let is_key = !key.is_empty() && key.chars().all(|c| c.is_ascii_alphanumeric() || c == '_');
        (n % 2 == 1 && is_key).then(|| (Span::new(start, start + value.len()), value.to_owned()))
    })
}

/// Returns the fault of a day on a line that no calendar has.
fn no_such_day(line: &str) -> Option<Fault> {
    let begins = |(at, _): &(usize, char)| date::extent(&line[*at..]).is_some();
    let (at, _) = line.char_indices().find(begins)?;
    let text = &line[at..at + date::extent(&line[at..])?];
    date::read(text).err().filter(|fault| matches!(fault.kind, Kind::Unit(_))).map(|fault| fault.shifted(at))
}

/// Returns the kind of a slip; `words` are the characters under the caret.
fn kind(message: &str, words: &str) -> Syntax {
    let has = |part: &str| message.contains(part);
    match () {
        () if has("duplicate key") => Syntax::KeyTwice(words.to_owned()),
        () if has("cannot extend value") => Syntax::HasValue(words.to_owned()),
        () if has("values must be quoted") && words.is_empty() => Syntax::NoValue,
        () if has("values must be quoted") || has("invalid boolean") => {
            date::day_first(words).map_or(Syntax::Unquoted, Syntax::DayFirst)
        }
        () if has("escape") => Syntax::Escape,
        () if has("basic string") || has("literal string") => Syntax::OpenQuote,
        () if has("unclosed array table") || has("unclosed table") => Syntax::OpenHeading,
        () if has("extra `=`") => Syntax::SecondEquals(String::new()),
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
            ("on = { b = 1", Syntax::BraceMissing),
            ("on = = a.b", Syntax::SecondEquals("a.b".to_owned())),
            ("on = { b = \"1 V, how = \"x\" }", Syntax::QuoteMissing("1 V".to_owned())),
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
            ("on = 2026-11-5", Syntax::Date),
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
    fn a_day_that_no_calendar_has_says_why() {
        for (line, why) in [
            ("on = 2026-11-31", "November 2026 has 30 days"),
            ("on = 2026-13-45", "months go from 01 to 12"),
            ("on = 2026-11-25T99:00:00", "times go from 00:00 to 23:59"),
        ] {
            let page = Page::new("job", format!("title = \"A\"\nbasis = \"uk\"\n{line}\n"));
            let told = Job::read(&page).err().unwrap_or_default();
            assert!(matches!(told.as_slice(), [fault] if fault.wording().label == why), "{line}: {told:?}");
        }
    }

    #[test]
    fn line_ends_that_are_none_are_told_once() {
        let page = Page::new("job", "title = \"A\"\rbasis = \"uk\"\r[[sheet]]\ruse = \"b\"\r");
        let told = Job::read(&page).err().unwrap_or_default();
        assert!(
            matches!(told.as_slice(), [fault] if fault.kind == Kind::Job(Wrong::Syntax(Syntax::LineEnds)))
        );
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
