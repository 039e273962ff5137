//! The folders hold their layers: which of the crate's parts the code of a part may name.

mod site;

use std::path::Path;

/// A part, and the parts that it may name besides itself. A fault's `Kind` has a place for each stage.
const MAY_NAME: &[(&str, &[&str])] = &[
    ("cite", &[]),
    ("fault", &["unit", "sheet", "table", "notebook", "job"]),
    ("unit", &["fault"]),
    ("table", &["fault", "cite", "unit"]),
    ("sheet", &["fault", "cite", "unit", "table"]),
    ("engine", &["unit", "sheet", "table"]),
    ("job", &["fault", "unit"]),
    ("notebook", &["fault", "cite", "unit", "table", "sheet", "engine", "job"]),
    ("view", &["fault", "cite", "unit", "sheet", "notebook"]),
    ("repl", &["fault", "sheet", "notebook", "view"]),
    ("cli", &["repl", "fault", "unit", "job", "notebook", "view"]),
    ("main", &["wattle"]),
    ("lib", &[]),
];

/// The source by its files: the path of each, the part that it belongs to, its text.
fn source() -> Vec<(String, String, String)> {
    let part = |file: &str| file.split(['/', '.']).next().unwrap_or_default().to_owned();
    site::source::rust("src").into_iter().map(|(file, text)| (file.clone(), part(&file), text)).collect()
}

/// Returns the code of a file: without its remarks, and without the modules of its tests, wherever they stand.
fn code(text: &str) -> String {
    let mut code = String::new();
    let mut lines = text.lines().filter(|line| !line.trim_start().starts_with("//"));
    while let Some(line) = lines.next() {
        if line.trim() != "#[cfg(test)]" {
            code += line.split(" // ").next().unwrap_or_default();
            code.push('\n');
            continue;
        }
        let item = lines.find(|line| !line.trim_start().starts_with("#[")).unwrap_or_default();
        if item.trim_end().ends_with('{') {
            // As the formatter sets it, a module ends with a brace in its own column.
            let end = format!("{}}}", &item[..item.len() - item.trim_start().len()]);
            assert!(lines.any(|line| line == end), "a test module without an end: {item}");
        }
    }
    code
}

/// Returns the parts that a piece of code names behind `crate::`; of `crate::{a, b::c}`, each.
fn named(code: &str) -> Vec<String> {
    let word = |text: &str| -> String {
        text.chars().take_while(|c| c.is_ascii_alphanumeric() || *c == '_').collect()
    };
    let mut found = Vec::new();
    for after in code.split("crate::").skip(1) {
        let Some(list) = after.strip_prefix('{') else {
            found.push(word(after));
            continue;
        };
        let (mut depth, mut item) = (0, String::new());
        for c in list.chars() {
            match c {
                '}' if depth == 0 => break,
                ',' if depth == 0 => {
                    found.push(word(item.trim()));
                    item.clear();
                    continue;
                }
                '{' => depth += 1,
                '}' => depth -= 1,
                _ => {}
            }
            item.push(c);
        }
        found.push(word(item.trim()));
    }
    found.retain(|word: &String| !word.is_empty());
    found
}

#[test]
fn a_list_of_parts_and_code_below_tests_are_read() {
    let text = "use crate::{cite::Cite, sheet::{self, model}};\n#[cfg(test)]\nmod tests {\n    use crate::repl;\n}\nuse crate::view;\n";
    assert_eq!(named(&code(text)), ["cite", "sheet", "view"]);
}

#[test]
fn each_part_names_only_what_it_may() {
    let known: Vec<&str> = MAY_NAME.iter().map(|(part, _)| *part).collect();
    let mut wrong = Vec::new();
    for (file, part, text) in source() {
        let Some((_, may)) = MAY_NAME.iter().find(|(known, _)| *known == part) else {
            wrong.push(format!("{file} is of no part that has a row"));
            continue;
        };
        // What only tests are made of names what they need.
        if file.ends_with("/tests.rs") {
            continue;
        }
        for named in named(&code(&text)) {
            if named != part && !may.contains(&named.as_str()) {
                let what = if known.contains(&named.as_str()) { "" } else { ", which is no part" };
                wrong.push(format!("{file} names {named}{what}"));
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
