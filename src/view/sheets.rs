//! The sheets, bases and tables in reach, and one of them in its own text.
//!
//! In: titles and texts. Out: text.
//! Never: shows more than a line each in the list.

use super::{Look, plain, wrapped};

/// The columns that a name takes; a longer one puts its title further on.
const LEAD: usize = 19;

/// Returns one line of the list.
pub fn line(name: &str, title: &str, look: Look) -> String {
    let name = format!("{:<width$} ", plain(name), width = LEAD - 1);
    let title = wrapped(&plain(title), look.width, name.chars().count(), LEAD);
    format!("{name}{title}\n")
}

/// Returns a page whole: its text is what it says, with what steers a terminal shown as what it is.
pub fn whole(text: &str) -> String {
    text.lines().map(|line| format!("{}\n", plain(line))).collect()
}
