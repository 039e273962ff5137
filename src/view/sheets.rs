//! The sheets in reach, and one of them in its own text.
//!
//! In: sheets. Out: text.
//! Never: shows more than a line each in the list.

use super::{Look, plain, wrapped};
use crate::sheet::Sheet;

/// Returns one line of the list.
pub fn line(name: &str, sheet: &Sheet, look: Look) -> String {
    let lead = 19;
    format!("{:<lead$}{}\n", plain(name), wrapped(&plain(&sheet.title), look.width, lead, lead))
}

/// Returns a sheet whole: its text is what it says, with what steers a terminal shown as what it is.
pub fn whole(sheet: &Sheet) -> String {
    sheet.page.text.lines().map(|line| format!("{}\n", plain(line))).collect()
}
