//! The sheets in reach, and one of them in its own text.
//!
//! In: sheets. Out: text.
//! Never: shows more than a line each in the list.

use super::{Look, plain, wrapped};
use crate::sheet::Sheet;
use crate::sheet::model::{Choices, Role};
use crate::sheet::statement::Literal;

/// Returns one line of the list.
pub fn line(name: &str, sheet: &Sheet, look: Look) -> String {
    let lead = 19;
    let title = format!("{}{}", sheet.title, if is_twice(sheet) { TWICE } else { "" });
    format!("{:<lead$}{}\n", plain(name), wrapped(&plain(&title), look.width, lead, lead))
}

/// Said of a sheet that a job needs twice.
const TWICE: &str = "; twice: as found, as left";

/// Returns whether a sheet asks whether its readings are as found: a job has another for what was left.
fn is_twice(sheet: &Sheet) -> bool {
    let found = |choice: &Literal| *choice == Literal::Text("as found".to_owned());
    sheet.lines.iter().any(|line| match &line.role {
        Role::Given { one_of: Some(Choices::Values(choices)), .. } => choices.iter().any(found),
        _ => false,
    })
}

/// Returns a sheet whole: its text is what it says, with what steers a terminal shown as what it is.
pub fn whole(sheet: &Sheet) -> String {
    sheet.page.text.lines().map(|line| format!("{}\n", plain(line))).collect()
}
