//! The sheets, bases and tables in reach, and one of them in its own text.
//!
//! In: titles and texts. Out: text.
//! Never: shows more than a line each in the list.

use super::{Look, plain, wrapped};
use crate::sheet::Sheet;
use crate::sheet::model::{Choices, Role};
use crate::sheet::statement::Literal;

/// The columns that a name takes; a longer one puts its title further on.
const LEAD: usize = 19;

/// Returns one line of the list.
pub fn line(name: &str, title: &str, look: Look) -> String {
    let name = format!("{:<width$} ", plain(name), width = LEAD - 1);
    let title = wrapped(&plain(title), look.width, name.chars().count(), LEAD);
    format!("{name}{title}\n")
}

/// Returns a sheet's title, with whether a job needs it twice.
pub fn title(sheet: &Sheet) -> String {
    format!("{}{}", sheet.title, if is_twice(sheet) { TWICE } else { "" })
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

/// Returns a page whole: its text is what it says, with what steers a terminal shown as what it is.
pub fn whole(text: &str) -> String {
    text.lines().map(|line| format!("{}\n", plain(line))).collect()
}
