//! What is shown, one file a form.
//!
//! In: records and refused pages. Out: text, ready to be written.
//! Never: changes anything; decides nothing but looks. Nothing is told by colour alone.

pub mod answers;
pub mod audit;
pub mod chart;
pub mod compare;
pub mod faults;
pub mod grammar;
pub mod json;
pub mod proof;
pub mod report;
pub mod sheets;
pub mod table;
pub mod text;
pub mod words;

use crate::unit::{Unit, date};

/// How wide the text is, and whether it may have colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Look {
    /// Columns.
    pub width: usize,
    /// Whether colour may underline meaning.
    pub colour: bool,
}

/// Breaks a text into lines, the first after `lead` columns, all others indented by `indent`.
pub(crate) fn wrapped(text: &str, width: usize, lead: usize, indent: usize) -> String {
    broken_where(text, (width, lead, indent), belongs)
}

/// The same, where the text that stands so far and what follows a blank may belong together.
fn broken_where(
    text: &str,
    (width, lead, indent): (usize, usize, usize),
    joins: fn(&str, &str) -> bool,
) -> String {
    let mut out = String::new();
    let mut column = lead;
    // Behind a break no blank is left of several that stood there.
    let mut broken = false;
    // What no line would hold is broken all the same.
    let pieces = |word| {
        let holds = str::chars(word).count() + indent <= width;
        word.split(if holds { '\n' } else { ' ' })
    };
    for (n, word) in unbroken(text, joins).flat_map(pieces).enumerate() {
        let length = word.chars().count();
        if n > 0 && column + 1 + length > width && column > indent {
            out.truncate(out.trim_end_matches(' ').len());
            out.push('\n');
            out.push_str(&" ".repeat(indent));
            column = indent;
            broken = true;
        } else if n > 0 && !broken {
            out.push(' ');
            column += 1;
        }
        broken &= word.is_empty();
        out.push_str(word);
        column += length;
    }
    out
}

/// Returns the words of a text, those that belong together as one.
fn unbroken(text: &str, joins: fn(&str, &str) -> bool) -> impl Iterator<Item = &str> {
    let mut rest = Some(text);
    std::iter::from_fn(move || {
        let whole = rest?;
        let mut end = whole.find(' ');
        while let Some(at) = end
            && joins(&whole[..at], &whole[at + 1..])
        {
            end = whole[at + 1..].find(' ').map(|next| at + 1 + next);
        }
        let (word, behind) = end.map_or((whole, None), |at| (&whole[..at], Some(&whole[at + 1..])));
        rest = behind;
        Some(word)
    })
}

/// A row's name of more letters is broken where it has a blank.
const LONGEST_ROW: usize = 28;

/// Whether the last word of one text and the first of another are read together: a number with its unit, a date, the
/// name of a row.
fn belongs(before: &str, after: &str) -> bool {
    let last = before.rsplit(' ').next().unwrap_or_default();
    let next =
        after.split(' ').next().unwrap_or_default().trim_end_matches([',', '.', ';', ':', ')', '\'', '"']);
    let number = last.ends_with(|c: char| c.is_ascii_digit());
    let sign = matches!(last, "\u{b1}" | "+-");
    // The name of a row stands in quotes behind a dot.
    let row = before.rfind(".\"").filter(|open| before.len() - open <= LONGEST_ROW);
    row.is_some_and(|open| !before[open + 2..].contains('"'))
        || sign
        || number && (date::is_month(next) || Unit::read(next).is_ok())
        || date::is_month(last) && next.len() == 4
}

/// Returns a text as a line, or several, indented alike.
pub(crate) fn indented(text: &str, look: Look, indent: usize) -> String {
    format!("{}{}\n", " ".repeat(indent), wrapped(&plain(text), look.width, indent, indent))
}

/// Returns a text as a line whose later lines stand behind its first.
pub fn item(text: &str, look: Look) -> String {
    format!("{}\n", wrapped(&plain(text), look.width, 0, 4))
}

/// Returns a text as a line, the lines that go on further in.
pub(crate) fn hanging(text: &str, look: Look, indent: usize) -> String {
    format!("{}{}\n", " ".repeat(indent), wrapped(&plain(text), look.width, indent, indent + 2))
}

/// Returns whether a character steers a terminal, turns the direction of text, cannot be seen, or stands for nothing.
pub(crate) fn hidden(c: char) -> bool {
    let nothing = u32::from(c) & 0xfffe == 0xfffe;
    c.is_control()
        || nothing
        || matches!(
            c,
            '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}'
                | '\u{feff}' | '\u{fdd0}'..='\u{fdef}' | '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e007f}'
        )
}

/// Returns a text in which control characters are shown as what they are, so that none reaches a terminal.
pub(crate) fn plain(text: &str) -> String {
    text.chars().map(|c| if hidden(c) { c.escape_unicode().to_string() } else { c.to_string() }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_break_at_blanks_and_stand_under_each_other() {
        assert_eq!(wrapped("one two three four", 12, 2, 2), "one two\n  three four");
        assert_eq!(wrapped("one two three  four", 13, 0, 0), "one two three\nfour");
        assert_eq!(wrapped("see a.b.\"C D\".e now", 14, 0, 2), "see\n  a.b.\"C D\".e\n  now");
        let long = wrapped("a.\"one two three four five six seven\" so", 24, 0, 2);
        assert_eq!(long, "a.\"one two three four\n  five six seven\" so");
    }

    #[test]
    fn no_number_is_parted_from_its_unit_and_no_date_breaks() {
        assert_eq!(wrapped("it takes 7.5 Ah, 3 more", 13, 0, 0), "it takes\n7.5 Ah, 3\nmore");
        assert_eq!(wrapped("read 25 Nov 2026 at", 12, 0, 0), "read\n25 Nov 2026\nat");
        assert_eq!(wrapped("about 185 mA \u{b1} 2 %", 14, 0, 0), "about 185 mA\n\u{b1} 2 %");
        assert_eq!(wrapped("7 rows", 4, 0, 0), "7\nrows");
    }

    #[test]
    fn no_escape_reaches_the_terminal() {
        assert_eq!(plain("a\u{1b}[31mb"), "a\\u{1b}[31mb");
        assert_eq!(plain("\u{202e}abc"), "\\u{202e}abc");
    }
}
