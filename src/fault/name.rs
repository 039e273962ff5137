//! What a name is: of a line, a schedule, a table's column, a sheet in a job.
//!
//! In: a word, or a character of one. Out: whether it may be a name.
//! Never: knows which names there are.

/// The rule, for a person.
pub const NAME_RULE: &str = "a name has lower-case letters, digits and _, and begins with a letter";

/// Returns whether a word is a name.
pub fn is_name(word: &str) -> bool {
    begins_name(word) && word.chars().all(is_of_name)
}

/// Returns whether a text begins as a name does.
pub fn begins_name(text: &str) -> bool {
    text.starts_with(|c: char| c.is_ascii_lowercase())
}

/// Returns whether a character may stand in a name.
pub fn is_of_name(c: char) -> bool {
    c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_'
}
