//! The language in one list: statements with their details, functions, kinds, units.
//!
//! In: nothing. Out: text, made of the tables that the reader itself uses.
//! Never: knows a word of its own.

use super::{Look, wrapped};
use crate::sheet::function::FUNCTIONS;
use crate::sheet::model::Is;
use crate::sheet::read::PageKind;
use crate::sheet::words::{DETAILS, KINDS, STATEMENTS, statements};
use crate::unit::{Unit, spellings, symbols, words_of};

/// Returns the list.
pub fn words(look: Look) -> String {
    let mut out = String::new();
    let sheet = statements(PageKind::Sheet).join(", ");
    let basis = statements(PageKind::Basis).join(", ");
    out += &section("Pages", [("A sheet holds", sheet), ("A basis holds", basis)], look);
    let statement = |row: &crate::sheet::words::Statement| {
        let details = match row.details {
            [] => String::new(),
            details => format!("; under it: {}", details.join(" ")),
        };
        (row.form, format!("{}{details}", row.about))
    };
    out += &section("Statements", STATEMENTS.iter().map(statement), look);
    out += &section("Details", DETAILS.iter().map(|(_, form, about)| (*form, (*about).to_owned())), look);
    out +=
        &section("Kinds, in a unit's place", KINDS.iter().map(|(w, about)| (*w, (*about).to_owned())), look);
    let function = |entry: &'static crate::sheet::function::Entry| (entry.form, entry.about.to_owned());
    out += &section("Functions", FUNCTIONS.iter().map(function), look);
    out += &section("Operators", OPERATORS.iter().map(|(w, about)| (*w, (*about).to_owned())), look);
    out + &section("Units", units(), look)
}

/// How operators are written, the loosest first.
const OPERATORS: &[(&str, &str)] = &[
    ("or, and, not", "of yes and no"),
    ("== != < <= > >=", "compare; 1 < x and x < 2 for both ends"),
    ("+ - * /", "in the usual order"),
    ("x^2", "a power; of a quantity a number in halves"),
    ("FORMULA in UNIT", "at the prompt: shown in that unit"),
];

/// Returns the units by what they measure, each with its other spellings.
fn units() -> Vec<(&'static str, String)> {
    let mut kinds: Vec<(String, String)> = Vec::new();
    for symbol in symbols() {
        let Ok(unit) = Unit::read(symbol) else { continue };
        let kind = Is::of(&unit).name();
        let others: Vec<&str> =
            spellings(symbol).into_iter().chain(words_of(symbol).iter().copied()).collect();
        let words = match others.as_slice() {
            [] => symbol.to_owned(),
            others => format!("{symbol} ({})", others.join(", ")),
        };
        match kinds.iter_mut().find(|(known, _)| *known == kind) {
            Some((_, units)) => *units += &format!("  {words}"),
            None => kinds.push((kind, words)),
        }
    }
    let lines = kinds.into_iter().map(|(kind, units)| ("", format!("{kind}: {units}")));
    let joined = "joined by * and /, each / dividing by the next; powers as mm2, K^-1: ohm/km, mV/A/m";
    lines.chain([("", joined.to_owned())]).collect()
}

/// Returns a section: each row's form on one line, what it says below it.
fn section(heading: &str, rows: impl IntoIterator<Item = (&'static str, String)>, look: Look) -> String {
    let mut out = format!("{heading}\n");
    for (form, about) in rows {
        if !form.is_empty() {
            out += &format!("  {}\n", wrapped(form, look.width, 2, 4));
        }
        let indent = if form.is_empty() { 2 } else { 6 };
        out += &format!("{}{}\n", " ".repeat(indent), wrapped(&about, look.width, indent, indent));
    }
    out + "\n"
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::words::KEYWORDS;

    #[test]
    fn every_word_of_the_language_is_in_it_and_no_line_is_too_wide() {
        let text = words(Look { width: 45, colour: false });
        for &word in KEYWORDS.iter() {
            let is_it = |found: &str| found.trim_matches(|c: char| !c.is_alphabetic()) == word;
            assert!(text.split_whitespace().any(is_it), "{word}");
        }
        assert!(symbols().all(|symbol| text.contains(symbol)));
        let wide: Vec<&str> = text.lines().filter(|line| line.chars().count() > 45).collect();
        assert!(wide.is_empty(), "{wide:?}");
    }
}
