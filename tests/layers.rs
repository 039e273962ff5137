//! The folders hold their layers: which of the crate's parts the code of a part may name.

use std::path::{Path, PathBuf};

/// A part, and the parts that it may name besides itself.
const MAY_NAME: &[(&str, &[&str])] = &[
    ("cite", &[]),
    ("unit", &["fault"]),
    ("table", &["fault", "cite", "unit"]),
    ("sheet", &["fault", "cite", "unit", "table"]),
    ("engine", &["unit", "sheet", "table"]),
    ("job", &["fault", "unit"]),
    ("notebook", &["fault", "cite", "unit", "table", "sheet", "engine", "job"]),
    ("view", &["fault", "cite", "unit", "sheet", "notebook"]),
    ("repl", &["fault", "sheet", "notebook", "view"]),
    ("cli", &["repl", "fault", "unit", "job", "notebook", "view"]),
];

fn files(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).expect("a folder of the source").flatten() {
        let path = entry.path();
        if path.is_dir() { files(&path, found) } else { found.push(path) }
    }
}

fn source() -> Vec<(String, String, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut found = Vec::new();
    files(&root, &mut found);
    found
        .into_iter()
        .map(|path| {
            let inside = path.strip_prefix(&root).expect("below src").to_string_lossy().replace('\\', "/");
            let part = inside.split(['/', '.']).next().unwrap_or_default().to_owned();
            let text = std::fs::read_to_string(&path).expect("a source file");
            (inside, part, text)
        })
        .collect()
}

#[test]
fn each_part_names_only_what_it_may() {
    let mut wrong = Vec::new();
    for (file, part, text) in source() {
        let Some((_, may)) = MAY_NAME.iter().find(|(known, _)| *known == part) else { continue };
        let code = text.split("#[cfg(test)]").next().unwrap_or_default();
        for named in code.split("crate::").skip(1) {
            let named = named.split(|c: char| !c.is_ascii_lowercase()).next().unwrap_or_default();
            if !named.is_empty() && named != part && !may.contains(&named) {
                wrong.push(format!("{file} names {named}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn every_file_opens_with_what_it_is_for_and_none_is_long() {
    for (file, _, text) in source() {
        assert!(text.starts_with("//!"), "{file} does not open with what it is for");
        assert!(text.lines().count() <= 500, "{file} is longer than 500 lines");
    }
}

#[test]
fn every_builtin_file_is_in_the_program() {
    use wattle::notebook::library::builtin::{BASES, SHEETS, TABLES};
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("sheets");
    for (folder, ending, list) in
        [("", "sheet", SHEETS), ("basis", "basis", BASES), ("tables", "toml", TABLES)]
    {
        let names =
            std::fs::read_dir(root.join(folder)).expect("a folder of sheets").flatten().filter_map(|entry| {
                Some(entry.file_name().to_str()?.strip_suffix(&format!(".{ending}"))?.to_owned())
            });
        let mut found: Vec<String> = names.collect();
        let mut known: Vec<String> = list.iter().map(|(name, _)| (*name).to_owned()).collect();
        found.sort();
        known.sort();
        assert_eq!(found, known);
    }
}
