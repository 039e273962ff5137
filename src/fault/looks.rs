//! What a text is, by how its lines begin.
//!
//! In: a text. Out: the kind of file that only such a text is.
//! Never: reads it; what may be of two kinds is of none.

/// Returns what the lines of a text begin like, where no other kind has such: `sheet`, `basis`, `job` or `rows`.
pub fn looks_like(text: &str) -> Option<&'static str> {
    let lines = text.lines().filter(|line| !line.contains(" = \""));
    let words: Vec<&str> = lines.filter_map(|line| line.split([' ', '\t']).next()).collect();
    let count = |known: &[&str]| words.iter().filter(|word| known.contains(word)).count();
    let of_sheet = count(&["given", "find", "must", "should", "schedule", "chart", "example"]);
    let of_basis = count(&["extends", "cite", "without"]);
    let is_job = text.lines().any(|line| line.trim_end() == "[[sheet]]" || line.starts_with("basis = \""));
    let is_toml =
        text.lines().any(|line| line.contains(" = ") && !line.starts_with(' ') || line.starts_with('['));
    match (of_sheet, of_basis) {
        (0 | 1, 0) if is_job => Some("job"),
        (2.., 0) => Some("sheet"),
        (0, 1..) => Some("basis"),
        (0, 0) if !is_toml && text.lines().next().is_some_and(|line| line.contains(',')) => Some("rows"),
        _ => None,
    }
}
