//! Faults drawn: the place, the line, a caret under the exact characters, the cure.
//!
//! In: refused pages. Out: text.
//! Never: lets a span reach past its page, which the drawing library does not forgive.

use annotate_snippets::{AnnotationKind, Level, Origin, Renderer, Snippet};

use super::{Look, broken_where, hidden, plain, wrapped};
use crate::fault::{Fault, MOST, Page, Refused, Span, with_line_ends};
use crate::unit::Unit;

/// Columns that the drawing sets before a cure.
const CURE: usize = 12;

/// Columns that the drawing sets before a title.
const TITLE: usize = 7;

/// Returns all faults of all pages that were refused whole.
pub fn faults(refused: &[Refused], look: Look) -> String {
    ended(refused, look, "nothing was loaded")
}

/// Returns all faults of a change that was not made.
pub fn of_change(refused: &[Refused], look: Look) -> String {
    ended(refused, look, "nothing was changed")
}

fn ended(refused: &[Refused], look: Look, end: &str) -> String {
    let mut out = String::new();
    for refused in refused {
        for fault in &refused.faults {
            out += &one(&refused.page, fault, look);
            out += "\n\n";
        }
        if refused.faults.len() == MOST {
            out +=
                &format!("{}: no more than {MOST} faults of a file are told\n\n", plain(&refused.page.name));
        }
    }
    let count: usize = refused.iter().map(|refused| refused.faults.len()).sum();
    let pages = if refused.len() == 1 { String::new() } else { format!(" in {} files", refused.len()) };
    out + &format!("{count} fault{}{pages}; {end}\n", if count == 1 { "" } else { "s" })
}

/// Returns one fault.
pub fn one(page: &Page, fault: &Fault, look: Look) -> String {
    let words = fault.wording();
    let whole = with_line_ends(&page.text);
    let (text, first, cut) = lines_of(page, &whole, fault);
    let cure = words.cure_on(page);
    let renderer = if look.colour { Renderer::styled() } else { Renderer::plain() };
    let renderer = renderer.term_width(look.width);
    let beside = beside(page, fault, &words.label, look);
    let label = if beside { words.label.as_str() } else { "" };
    let name = plain(&page.name);
    let mut snippet = Snippet::source(shown(text))
        .path(name.as_str())
        .line_start(first)
        .fold(true)
        .annotation(AnnotationKind::Primary.span(inside(text, fault.at, cut)).label(plain(label)));
    for (at, words) in &fault.also {
        snippet =
            snippet.annotation(AnnotationKind::Context.span(inside(text, *at, cut)).label(plain(words)));
    }
    // The drawing indents what follows the first line.
    let title = wrapped(&plain(&words.title), look.width.saturating_sub(TITLE), 0, 0);
    let group = Level::ERROR.with_name("fault").primary_title(title);
    // A file that is not there has no line to show.
    let mut group = match page.text.is_empty() {
        true => group.element(Origin::path(name.as_str())),
        false => group.element(snippet),
    };
    if !beside {
        let label = wrapped(&plain(&words.label), look.width.saturating_sub(CURE), 0, 0);
        group = group.element(Level::NOTE.with_name("here").message(label));
    }
    if !cure.is_empty() {
        let cure = whole_words(&plain(cure), look.width.saturating_sub(CURE));
        group = group.element(Level::HELP.with_name("cure").message(cure));
    }
    let drawn = renderer.render(&[group]);
    // With no line to show the arrow would begin where faults do.
    if page.text.is_empty() { drawn.replacen("--> ", " --> ", 1) } else { drawn }
}

/// Returns whether what is said of the place fits behind its carets; else it stands on a line of its own.
fn beside(page: &Page, fault: &Fault, label: &str, look: Look) -> bool {
    let (line, _) = page.place(fault.at.start);
    let (_, end) = page.place(fault.at.end.max(fault.at.start + 1));
    let before = line.to_string().len() + " | ".len();
    let label = label.chars().count();
    label == 0 || label <= look.width / 3 && (end <= look.width || before + end + label < look.width)
}

/// Breaks a text into lines, never inside what is to be typed: a text in quotes or brackets, a number with its unit.
fn whole_words(text: &str, width: usize) -> String {
    broken_where(text, (width, 0, 0), |before, after| is_open(before) || number_goes_on(before, after))
}

/// Returns whether a quote or a bracket that was opened is not closed yet.
fn is_open(text: &str) -> bool {
    let mut closing = None;
    for c in text.chars() {
        closing = match (c, closing) {
            (c, Some(end)) if c == end => None,
            ('"', None) => Some('"'),
            ('{', None) => Some('}'),
            ('[', None) => Some(']'),
            (_, closing) => closing,
        };
    }
    closing.is_some()
}

/// Returns whether a blank parts a number from its unit, or from the rest of it.
fn number_goes_on(before: &str, after: &str) -> bool {
    let last = before.rsplit(' ').next().unwrap_or_default();
    let next =
        after.trim_start().split(' ').next().unwrap_or_default().trim_end_matches([',', ';', '.', ':', ')']);
    let number = last.trim_start_matches('(').starts_with(|c: char| c.is_ascii_digit());
    if last == "\u{b1}" || next == "\u{b1}" {
        return true;
    }
    number && !next.is_empty() && (next.starts_with(|c: char| c.is_ascii_digit()) || Unit::read(next).is_ok())
}

/// Returns the lines of a page that a fault speaks of, the number of the first, and the byte where it begins:
/// the drawing library goes through all that it is given, for each fault.
fn lines_of<'p>(page: &Page, text: &'p str, fault: &Fault) -> (&'p str, usize, usize) {
    let places = || std::iter::once(&fault.at).chain(fault.also.iter().map(|(at, _)| at));
    let start = floor(text, places().map(|at| at.start).min().unwrap_or_default());
    let end = floor(text, places().map(|at| at.end).max().unwrap_or_default()).max(start);
    let start = text[..start].rfind('\n').map_or(0, |at| at + 1);
    let end = text[end..].find('\n').map_or(text.len(), |at| end + at + 1);
    (&text[start..end], page.first + text[..start].matches('\n').count(), start)
}

/// Returns a span as a range inside the lines shown, which begin at a byte of their page.
fn inside(text: &str, at: Span, cut: usize) -> std::ops::Range<usize> {
    let to = |n: usize| shown(&text[..floor(text, n.saturating_sub(cut))]).len();
    let (start, end) = (to(at.start), to(at.end));
    start..end.max(start)
}

/// Returns the bound of a character at a byte, or before it.
fn floor(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

/// Returns a text in which a character that steers or hides is one that is seen, as wide as one column.
///
/// Those below a blank, and tabs, the drawing library knows.
fn shown(text: &str) -> String {
    let seen = |c: char| if hidden(c) && c >= '\u{7f}' { char::REPLACEMENT_CHARACTER } else { c };
    text.chars().map(seen).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_character_in_a_cure_is_taken_for_one_of_ours() {
        for own in ['\u{e000}', '\u{fdd0}', '\u{8}'] {
            assert!(whole_words(&format!("write 12 V * 0mi{own} or {own}"), 20).contains("12 V * 0mi"));
        }
    }

    #[test]
    fn what_is_to_be_typed_stays_whole() {
        assert_eq!(
            whole_words("between values a space stands after the comma: 22, 8", 50),
            "between values a space stands after the comma:\n22, 8"
        );
        assert_eq!(whole_words("write the whole of 21.1288 V", 25), "write the whole of\n21.1288 V");
        assert_eq!(whole_words("here write name = \"a b c d\" or", 20), "here write name =\n\"a b c d\" or");
        assert_eq!(
            whole_words("\"a text that is longer than a line\"", 12),
            "\"a text that\nis longer\nthan a line\""
        );
    }
}
