//! Files that are not those inside the program: where one stands in for a built-in one, and what a sheet's examples give.
//!
//! In: a job, opened. Out: each such file in words, with the lines that differ.
//! Never: says which of two texts is right.

use std::sync::Arc;

use crate::notebook::library::{STANDS_IN, builtin};
use crate::notebook::open::Notebook;
use crate::notebook::proof;

/// Lines that are told of one file.
const MOST_LINES: usize = 3;

/// Returns what is to be said of each file that stands in for a built-in one, and of sheets whose examples fail.
pub(super) fn stand_ins(notebook: &Notebook) -> Vec<String> {
    let library = notebook.library();
    let mut told: Vec<String> = Vec::new();
    let mut seen: Vec<&str> = Vec::new();
    for used in &notebook.book.uses {
        let own = &used.sheet.page;
        let built_in = builtin::known(builtin::SHEETS, &used.sheet_name);
        if seen.contains(&used.sheet_name.as_str()) || built_in == Some(own.text.as_str()) {
            continue;
        }
        seen.push(&used.sheet_name);
        let examples = proof::sheet_proof(&library, &used.sheet_name, &Arc::clone(own)).examples;
        let missed = examples.iter().filter(|ran| !ran.missed.is_empty()).count();
        let failing = match missed {
            0 => String::new(),
            missed => format!("; {missed} of its {} examples do not come out", examples.len()),
        };
        match built_in {
            Some(built_in) => told.push(format!(
                "{}.sheet{STANDS_IN}: {}{failing}",
                used.sheet_name,
                lines(built_in, &own.text)
            )),
            None if missed > 0 => {
                told.push(format!("{}.sheet{failing}", used.sheet_name).replacen("; ", ": ", 1))
            }
            None => {}
        }
    }
    told.extend(others(notebook));
    told
}

/// Bases and tables that stand in for built-in ones.
fn others(notebook: &Notebook) -> Vec<String> {
    let book = &notebook.book;
    let bases = book.basis.pages.iter().map(|(_, page)| (builtin::BASES, page));
    let tables = book.uses.iter().flat_map(|used| &used.sheet.tables);
    let tables = tables.filter_map(|used| used.table.as_ref()).map(|table| (builtin::TABLES, &table.page));
    let mut told: Vec<String> = Vec::new();
    for (list, page) in bases.chain(tables) {
        let file = page.name.rsplit('/').next().unwrap_or_default();
        let name = file.rsplit_once('.').map_or(file, |(name, _)| name);
        let Some(built_in) = builtin::known(list, name).filter(|built_in| *built_in != page.text) else {
            continue;
        };
        let words = format!("{file}{STANDS_IN}: {}", lines(built_in, &page.text));
        if !told.contains(&words) {
            told.push(words);
        }
    }
    told
}

/// The lines that only one of two texts has, in pairs where there are as many in both.
fn lines(before: &str, after: &str) -> String {
    let read = |text: &str| -> Vec<String> {
        let lines = text.lines().map(|line| line.split_whitespace().collect::<Vec<_>>().join(" "));
        lines.filter(|line| !line.is_empty()).collect()
    };
    let (old, new) = (read(before), read(after));
    let only = |own: &[String], other: &[String]| -> Vec<String> {
        let mut left: Vec<&String> = other.iter().collect();
        let is_own = |line: &&String| match left.iter().position(|known| known == line) {
            Some(at) => {
                left.swap_remove(at);
                false
            }
            None => true,
        };
        own.iter().filter(is_own).cloned().collect()
    };
    let (gone, come) = (only(&old, &new), only(&new, &old));
    let told: Vec<String> = if gone.len() == come.len() {
        gone.iter().zip(&come).map(|(gone, come)| format!("'{gone}' \u{2192} '{come}'")).collect()
    } else {
        let gone = gone.iter().map(|line| format!("without '{line}'"));
        gone.chain(come.iter().map(|line| format!("with '{line}'"))).collect()
    };
    match told.len() {
        0 => "it differs in layout alone".to_owned(),
        few if few <= MOST_LINES => told.join("; "),
        many => format!("{}; and {} more lines", told[..MOST_LINES].join("; "), many - MOST_LINES),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_that_differ_are_told_in_pairs() {
        assert_eq!(lines("a  1\nb 2\n", "a 1\n\n b 3\n"), "'b 2' \u{2192} 'b 3'");
        assert_eq!(lines("a\n", "a\nb\n"), "with 'b'");
        assert_eq!(lines("a\nb\n", "a\n"), "without 'b'");
        assert_eq!(lines("a\n", "  a\n"), "it differs in layout alone");
    }
}
