//! A job's text with one value changed, every other byte as it was.
//!
//! In: the text, and what changes. Out: the new text.
//! Never: writes a file; loses a comment, an order, a line end, a key that it does not know.
//!
//! The places come from `toml_edit`; the text is spliced there and not printed anew, as printing
//! gathers dotted keys and changes line ends.

mod headed;
mod lines;
mod marks;
mod new_entry;
mod rows;
mod splice;

#[cfg(test)]
mod tests;

use toml_edit::{ArrayOfTables, Document, Item, Key, Table};

use crate::fault::BYTE_ORDER_MARK;
use lines::Home;
use splice::{Splice, line_break};

pub use marks::set_mark;
pub use new_entry::NewEntry;
pub use rows::{add_row, drop_row, list_rows, set_cell};

/// Which part of a sheet an entry belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// `given.NAME`
    Given,
    /// `take.NAME`
    Take,
}

impl Part {
    const fn key(self) -> &'static str {
        match self {
            Self::Given => "given",
            Self::Take => "take",
        }
    }
}

/// Why a text could not be changed: it is not the job that was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NotThere;

/// Returns the text with an entry of a sheet set; a new one goes below the last of its part.
///
/// A value of which nothing more is known is written plain, else in braces; where it has lines of
/// its own (`given.fitted.how = …`) it keeps them. Keys of an entry that are not ours are kept.
///
/// # Errors
/// [`NotThere`] where the text is no job, has no such sheet, or has no place for the entry.
pub fn set_entry(
    text: &str,
    sheet: &str,
    part: Part,
    name: &str,
    entry: &NewEntry,
) -> Result<String, NotThere> {
    edit(text, sheet, |text, table, splice| {
        let home = Home::of(text, table, part.key())?;
        match home.get(name) {
            Some(old) => home.replace(name, old, entry, splice),
            None => home.add(&format!("{} = {}", Key::new(name), entry.written()), splice),
        }
    })
}

/// Makes one change to the table of a sheet.
fn edit(
    text: &str,
    sheet: &str,
    change: impl FnOnce(&str, &Table, &mut Splice) -> Result<(), NotThere>,
) -> Result<String, NotThere> {
    edit_document(text, |whole, document, splice| {
        let sheets = document.as_table().get("sheet").and_then(Item::as_array_of_tables).ok_or(NotThere)?;
        change(whole, named(sheets, sheet).ok_or(NotThere)?, splice)
    })
}

/// Makes one change to a job, in a text whose last line ends as the others do.
fn edit_document(
    text: &str,
    change: impl FnOnce(&str, &Document<&str>, &mut Splice) -> Result<(), NotThere>,
) -> Result<String, NotThere> {
    let mark = if text.starts_with(BYTE_ORDER_MARK) { BYTE_ORDER_MARK.len_utf8() } else { 0 };
    let (mark, body) = text.split_at(mark);
    let end = if body.ends_with('\n') { "" } else { line_break(body) };
    let whole = format!("{body}{end}");
    let document = Document::parse(whole.as_str()).map_err(|_| NotThere)?;
    let mut splice = Splice::default();
    change(&whole, &document, &mut splice)?;
    let made = splice.made(&whole);
    // A place that TOML gives no second key to, such as a name with keys below it, is found here.
    Document::parse(made.as_str()).map_err(|_| NotThere)?;
    Ok(format!("{mark}{}", made.strip_suffix(end).unwrap_or(&made)))
}

/// A sheet goes by its `as`, or by its `use` where it has none.
fn named<'t>(sheets: &'t ArrayOfTables, name: &str) -> Option<&'t Table> {
    sheets.iter().find(|table| {
        let own = table.get("as").or_else(|| table.get("use"));
        own.and_then(Item::as_str) == Some(name)
    })
}
