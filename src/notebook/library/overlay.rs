//! A basis on top of another: what it changes there, and what it states that nobody takes.
//!
//! In: a basis of one's own, and the pages in reach. Out: a remark for each.
//! Never: refuses a name: a sheet to come may take it.

use std::collections::BTreeSet;
use std::path::PathBuf;
use std::sync::{Arc, LazyLock};

use super::builtin;
use super::shown;
use crate::fault::{Page, near};
use crate::job::disk;
use crate::notebook::load::enter::words_of;
use crate::sheet::Basis;
use crate::sheet::read::{PageKind, read};
use crate::sheet::statement::{Body, Draft};

/// Returns what a basis changes in the one that it extends: `mine on uk: drop_limit 5 % becomes 1 %`.
pub(super) fn changes(name: &str, draft: &Draft, made: &Basis, below: &Basis) -> Vec<String> {
    let mut changes = Vec::new();
    let mut say = |words: String| changes.push(format!("{name} on {}: {words}", below.name));
    for line in &draft.lines {
        let name = &line.name.value;
        let (Some(before), Some(now)) = (below.figure(name), made.figure(name)) else { continue };
        let value = |figure: &crate::sheet::basis::Figure| match &figure.value {
            Some(value) => words_of(value, &figure.unit),
            None => "not known".to_owned(),
        };
        say(format!("{name} {} becomes {}", value(before), value(now)));
    }
    for table in draft.tables.iter().map(|table| &table.name.value) {
        if below.table(table).is_some() {
            say(format!("another table {table}"));
        }
    }
    for without in draft.withouts.iter().map(|without| &without.name.value) {
        if names_of_basis(below).contains(without) && below.without(without).is_none() {
            say(format!("without {without}"));
        }
    }
    changes
}

/// Returns a remark for each name that a basis states, and neither the one below, a built-in one nor a sheet in
/// reach knows: a slip of one letter would leave the figure below in force.
pub(super) fn strays(page: &Page, draft: &Draft, below: &Basis, folders: &[PathBuf]) -> Vec<String> {
    let stated = stated(draft);
    let mut known = names_of_basis(below);
    let unknown = |known: &BTreeSet<String>| stated.iter().any(|name| !known.contains(name));
    if unknown(&known) {
        known.extend(BUILTIN.iter().cloned());
    }
    if unknown(&known) {
        let beside = sheets_beside(folders);
        known.extend(beside.iter().flat_map(|page| taken(&read(page, PageKind::Sheet).0)));
    }
    let remark = |name: &String| {
        let near = near(name, known.iter().map(String::as_str));
        let cure = near.map_or_else(String::new, |near| format!("; did you mean '{near}'?"));
        format!("{}: '{name}' is in no basis below, and no sheet here takes it{cure}", page.name)
    };
    stated.iter().filter(|name| !known.contains(*name)).map(remark).collect()
}

/// The names that the built-in bases state and the built-in sheets take.
static BUILTIN: LazyLock<Vec<String>> = LazyLock::new(|| {
    let draft = |(name, text): &(&str, &str), kind| read(&Page::new(*name, *text), kind).0;
    let bases = builtin::BASES.iter().flat_map(|page| stated(&draft(page, PageKind::Basis)));
    bases.chain(builtin::SHEETS.iter().flat_map(|page| taken(&draft(page, PageKind::Sheet)))).collect()
});

/// Returns the names that a basis's own page states something of.
fn stated(draft: &Draft) -> Vec<String> {
    let lines = draft.lines.iter().map(|line| &line.name);
    let tables = draft.tables.iter().map(|table| &table.name);
    let cites = draft.cites.iter().map(|cite| &cite.name);
    let withouts = draft.withouts.iter().map(|without| &without.name);
    lines.chain(tables).chain(cites).chain(withouts).map(|name| name.value.clone()).collect()
}

fn names_of_basis(basis: &Basis) -> BTreeSet<String> {
    let names = basis.figure_names().chain(basis.table_names()).chain(basis.cite_names());
    names.chain(basis.without_names()).map(str::to_owned).collect()
}

/// Returns the names that a sheet takes from its basis.
fn taken(draft: &Draft) -> Vec<String> {
    let fetched = |body: &Body| matches!(body, Body::Take { from_basis: true, .. });
    let takes = draft.lines.iter().filter(|line| fetched(&line.body)).map(|line| &line.name.value);
    let tables = draft.tables.iter().filter(|table| table.file.is_none()).map(|table| &table.name.value);
    let bys = draft.lines.iter().filter_map(|line| line.by.as_ref()).filter(|by| by.from_basis);
    takes.chain(tables).chain(bys.map(|by| &by.source.value)).cloned().collect()
}

/// Returns the sheets in some folders, those that can be read.
fn sheets_beside(folders: &[PathBuf]) -> Vec<Arc<Page>> {
    let entries = folders.iter().filter_map(|folder| std::fs::read_dir(folder).ok()).flatten().flatten();
    let paths = entries.map(|entry| entry.path());
    let sheets = paths.filter(|path| path.extension().is_some_and(|ending| ending == "sheet"));
    sheets.filter_map(|path| disk::read_inside(&path, &shown(&path), folders).ok()).collect()
}
