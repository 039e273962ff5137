//! The source of the program and of its tests, as files.

use std::path::Path;

/// Returns the Rust files below a folder of the repository, each by its path in that folder with its text; the fuzz
/// targets are a package of their own.
pub(crate) fn rust(folder: &str) -> Vec<(String, String)> {
    let root = super::root().join(folder);
    let mut found = Vec::new();
    walk(&root, &root, &mut found);
    assert!(!found.is_empty(), "no source in {folder}");
    found.sort();
    found
}

fn walk(root: &Path, folder: &Path, found: &mut Vec<(String, String)>) {
    for entry in std::fs::read_dir(folder).expect("a folder of the source").flatten() {
        let path = entry.path();
        if path.is_dir() {
            if !path.ends_with("tests/fuzz") {
                walk(root, &path, found);
            }
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            let name = path.strip_prefix(root).expect("below it").to_string_lossy().replace('\\', "/");
            found.push((name, super::text(&path)));
        }
    }
}
