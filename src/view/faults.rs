//! Faults drawn: the place, the line, a caret under the exact characters, the cure.
//!
//! In: refused pages. Out: text.
//! Never: lets a span reach past its page, which the drawing library does not forgive.

use annotate_snippets::{AnnotationKind, Level, Origin, Renderer, Snippet};

use super::{Look, plain, wrapped};
use crate::fault::{Fault, Page, Refused, Span};

/// Columns that the drawing sets before a cure.
const CURE: usize = 12;

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
    }
    let count: usize = refused.iter().map(|refused| refused.faults.len()).sum();
    let pages = if refused.len() == 1 { String::new() } else { format!(" in {} files", refused.len()) };
    out + &format!("{count} fault{}{pages}; {end}\n", if count == 1 { "" } else { "s" })
}

/// Returns one fault.
pub fn one(page: &Page, fault: &Fault, look: Look) -> String {
    let words = fault.wording();
    let text = page.text.as_str();
    let cure = words.cure_on(page);
    let renderer = if look.colour { Renderer::styled() } else { Renderer::plain() };
    let renderer = renderer.term_width(look.width);
    let label = if words.label.chars().count() <= look.width / 3 { words.label.as_str() } else { "" };
    let mut snippet = Snippet::source(text)
        .path(page.name.as_str())
        .line_start(page.first)
        .fold(true)
        .annotation(AnnotationKind::Primary.span(inside(text, fault.at)).label(label));
    for (at, words) in &fault.also {
        snippet = snippet.annotation(AnnotationKind::Context.span(inside(text, *at)).label(words.clone()));
    }
    let title = wrapped(&plain(&words.title), look.width, 7, 7);
    let group = Level::ERROR.with_name("fault").primary_title(title);
    // A file that is not there has no line to show.
    let mut group = match text.is_empty() {
        true => group.element(Origin::path(page.name.as_str())),
        false => group.element(snippet),
    };
    if !cure.is_empty() {
        let cure = wrapped(&plain(cure), look.width.saturating_sub(CURE), 0, 0);
        group = group.element(Level::HELP.with_name("cure").message(cure));
    }
    let drawn = renderer.render(&[group]);
    // With no line to show the arrow would begin where faults do.
    if text.is_empty() { drawn.replacen("--> ", " --> ", 1) } else { drawn }
}

/// Returns a span as a range inside a text, at the bounds of characters.
fn inside(text: &str, at: Span) -> std::ops::Range<usize> {
    let floor = |mut n: usize| {
        n = n.min(text.len());
        while !text.is_char_boundary(n) {
            n -= 1;
        }
        n
    };
    let (start, end) = (floor(at.start), floor(at.end));
    start..end.max(start)
}
