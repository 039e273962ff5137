//! What may stand at the cursor: names, words, units, choices; and a hint of what a line takes.
//!
//! In: an open job, a line as typed so far, the cursor. Out: where the word begins and what it may become.
//! Never: changes the line.

use super::command::WORDS;
use crate::notebook::Notebook;

/// Words that may stand behind a value.
const BEHIND: [&str; 9] =
    ["measured", "nameplate", "datasheet", "drawing", "stated", "assumed", "with ", "anyway \"", "by \""];

/// Returns where the word at the cursor begins, and what it may become.
pub fn complete(notebook: &Notebook, line: &str, at: usize) -> (usize, Vec<String>) {
    let before = line.get(..at).unwrap_or(line);
    match value_part(before) {
        Some((name, value)) => in_value(notebook, name, before, value),
        None => in_name(notebook, before),
    }
}

/// Splits at the `=` of a change: the name, and where the value begins.
fn value_part(before: &str) -> Option<(&str, usize)> {
    let equals = before.find('=')?;
    let name = before[..equals].trim();
    let name = name.strip_prefix("try ").unwrap_or(name).trim();
    let value = equals + 1 + before[equals + 1..].len() - before[equals + 1..].trim_start().len();
    Some((name, value))
}

fn in_name(notebook: &Notebook, before: &str) -> (usize, Vec<String>) {
    let start = before.rfind(char::is_whitespace).map_or(0, |at| at + 1);
    let word = &before[start..];
    let words = WORDS.iter().map(|entry| entry.name.to_owned()).filter(|_| start == 0);
    (start, matching(words.chain(notebook.names()), word))
}

fn in_value(notebook: &Notebook, name: &str, before: &str, value: usize) -> (usize, Vec<String>) {
    let typed = &before[value..];
    let start = typed.rfind(char::is_whitespace).map_or(value, |at| value + at + 1);
    let word = &before[start..];
    if let Some(with) = typed.rfind("with ").filter(|at| *at == 0 || typed[..*at].ends_with(' ')) {
        let from = value + with + "with ".len();
        return (from, matching(notebook.instruments().into_iter(), &before[from..]));
    }
    let offer = notebook.offer(name);
    let choices = offer.iter().flat_map(|offer| offer.choices.clone());
    // A choice may have blanks in it: all that is typed of the value is compared.
    let whole = matching(choices, typed);
    if !whole.is_empty() && !typed.ends_with(' ') {
        return (value, whole);
    }
    if start == value {
        return (start, matching(notebook.names().into_iter(), word));
    }
    let number = before[value..start].trim().parse::<f64>().is_ok();
    let unit = offer.map(|offer| offer.unit).filter(|unit| number && !unit.is_empty());
    (start, matching(unit.into_iter().chain(BEHIND.map(str::to_owned)), word))
}

fn matching(all: impl Iterator<Item = String>, word: &str) -> Vec<String> {
    let mut found: Vec<String> = all.filter(|one| one.starts_with(word) && one != word).collect();
    found.sort();
    found.dedup();
    found
}

/// Returns what a line takes, to be shown behind the cursor while its value is typed.
pub fn hint(notebook: &Notebook, line: &str) -> Option<String> {
    let (name, value) = value_part(line)?;
    let offer = notebook.offer(name)?;
    if line[value..].is_empty() {
        let takes = if offer.choices.is_empty() { offer.range } else { offer.choices.join(", ") };
        let parts = [offer.label, offer.unit, takes];
        let parts: Vec<String> = parts.into_iter().filter(|part| !part.is_empty()).collect();
        return Some(format!("  {}", parts.join("; ")));
    }
    let bare = line[value..].trim().parse::<f64>().is_ok() && !line.ends_with(' ');
    (bare && !offer.unit.is_empty()).then(|| format!(" {}", offer.unit))
}
