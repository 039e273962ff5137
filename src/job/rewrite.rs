//! A job's text with one value changed, every other byte as it was.
//!
//! In: the text, and what changes. Out: the new text.
//! Never: writes a file; loses a comment, an order, a line end.

use toml_edit::{Array, ArrayOfTables, DocumentMut, InlineTable, Item, Table, Value};

use super::how::How;
use crate::unit::date;

/// An entry to be written.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct NewEntry {
    /// The value as it stands in quotes: `18 Ah`, `= standby.total`, `?`; or a bare number.
    pub value: NewValue,
    /// How it came to be known.
    pub how: Option<How>,
    /// The instrument.
    pub with: Option<String>,
    /// Who entered it.
    pub who: Option<String>,
    /// When, in seconds since 1970.
    pub at: Option<f64>,
    /// Why a value outside its range is taken anyway.
    pub anyway: Option<String>,
    /// A remark.
    pub note: Option<String>,
    /// The document that a figure is taken from.
    pub by: Option<String>,
}

/// A value to be written.
#[derive(Clone, Debug, PartialEq)]
pub enum NewValue {
    /// A text in quotes.
    Text(String),
    /// A bare number.
    Number(f64),
}

impl Default for NewValue {
    fn default() -> Self {
        Self::Text("?".to_owned())
    }
}

/// Which part of a sheet an entry belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// `given.NAME`
    Given,
    /// `take.NAME`
    Take,
}

impl Part {
    fn key(self) -> &'static str {
        match self {
            Self::Given => "given",
            Self::Take => "take",
        }
    }
}

/// Why a text could not be changed: it is not the job that was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NotThere;

/// Returns the text with an entry of a sheet set.
///
/// # Errors
/// [`NotThere`] where the text is no job, or has no such sheet.
pub fn set_entry(
    text: &str,
    sheet: &str,
    part: Part,
    name: &str,
    entry: &NewEntry,
) -> Result<String, NotThere> {
    edit(text, sheet, |table| {
        let group = table.entry(part.key()).or_insert_with(dotted).as_table_like_mut().ok_or(NotThere)?;
        place(group.get_mut(name), entry).map_or_else(
            || {
                group.insert(name, Item::Value(written(entry)));
                Ok(())
            },
            |()| Ok(()),
        )
    })
}

/// Returns the text with a cell of a row that is written in the job set.
///
/// # Errors
/// [`NotThere`] where there is no such sheet, schedule or row.
pub fn set_cell(
    text: &str,
    sheet: &str,
    schedule: &str,
    row: usize,
    column: &str,
    entry: &NewEntry,
) -> Result<String, NotThere> {
    edit(text, sheet, |table| {
        let group = table.get_mut("schedule").and_then(Item::as_table_like_mut).ok_or(NotThere)?;
        let rows = group.get_mut(schedule).ok_or(NotThere)?;
        let cells: &mut dyn toml_edit::TableLike = match rows {
            Item::Value(Value::Array(rows)) => {
                rows.get_mut(row).and_then(Value::as_inline_table_mut).ok_or(NotThere)?
            }
            Item::ArrayOfTables(rows) => rows.get_mut(row).ok_or(NotThere)?,
            Item::None | Item::Value(_) | Item::Table(_) => return Err(NotThere),
        };
        if place(cells.get_mut(column), entry).is_none() {
            cells.insert(column, Item::Value(written(entry)));
        }
        Ok(())
    })
}

/// Returns the text with the rows of a schedule written in the job, in place of a file.
///
/// # Errors
/// [`NotThere`] where there is no such sheet.
pub fn list_rows(
    text: &str,
    sheet: &str,
    schedule: &str,
    rows: &[Vec<(String, NewEntry)>],
) -> Result<String, NotThere> {
    let mut list = Array::new();
    for row in rows {
        let mut cells = InlineTable::new();
        for (name, entry) in row {
            cells.insert(name, written(entry));
        }
        let mut value = Value::InlineTable(cells);
        value.decor_mut().set_prefix("\n  ");
        list.push_formatted(value);
    }
    list.set_trailing_comma(true);
    list.set_trailing("\n");
    edit(text, sheet, |table| {
        let group = table.entry("schedule").or_insert_with(dotted).as_table_like_mut().ok_or(NotThere)?;
        group.insert(schedule, Item::Value(Value::Array(list.clone())));
        Ok(())
    })
}

fn edit(
    text: &str,
    sheet: &str,
    change: impl FnOnce(&mut Table) -> Result<(), NotThere>,
) -> Result<String, NotThere> {
    let crlf = text.contains("\r\n");
    let mut document: DocumentMut = text.parse().map_err(|_| NotThere)?;
    let sheets = document.get_mut("sheet").and_then(Item::as_array_of_tables_mut).ok_or(NotThere)?;
    change(named(sheets, sheet).ok_or(NotThere)?)?;
    let made = document.to_string();
    Ok(if crlf { made.replace("\r\n", "\n").replace('\n', "\r\n") } else { made })
}

/// A sheet goes by its `as`, or by its `use` where it has none.
fn named<'t>(sheets: &'t mut ArrayOfTables, name: &str) -> Option<&'t mut Table> {
    sheets.iter_mut().find(|table| {
        let own = table.get("as").or_else(|| table.get("use"));
        own.and_then(Item::as_str) == Some(name)
    })
}

fn dotted() -> Item {
    let mut table = Table::new();
    table.set_dotted(true);
    Item::Table(table)
}

/// Puts an entry in the place of another; the comment at the end of its line stays.
fn place(old: Option<&mut Item>, entry: &NewEntry) -> Option<()> {
    let old = old?;
    match old {
        Item::Value(value) => {
            let decor = value.decor().clone();
            *value = written(entry);
            *value.decor_mut() = decor;
        }
        Item::Table(table) => fill(table, entry),
        Item::None | Item::ArrayOfTables(_) => *old = Item::Value(written(entry)),
    }
    Some(())
}

/// Sets the keys of an entry that is written as a table of its own.
fn fill(table: &mut Table, entry: &NewEntry) {
    let keys = keys(entry);
    for known in ["how", "with", "who", "at", "anyway", "note", "by"] {
        if !keys.iter().any(|(key, _)| *key == known) {
            table.remove(known);
        }
    }
    for (key, value) in keys {
        match table.get_mut(key).and_then(Item::as_value_mut) {
            Some(old) => {
                let decor = old.decor().clone();
                *old = value;
                *old.decor_mut() = decor;
            }
            None => {
                table.insert(key, Item::Value(value));
            }
        }
    }
}

/// An entry of which nothing is known but its value is a plain value; else a table in braces.
fn written(entry: &NewEntry) -> Value {
    let keys = keys(entry);
    if let [(_, value)] = keys.as_slice() {
        return value.clone();
    }
    let mut table = InlineTable::new();
    for (key, value) in keys {
        table.insert(key, value);
    }
    Value::InlineTable(table)
}

fn keys(entry: &NewEntry) -> Vec<(&'static str, Value)> {
    let value = match &entry.value {
        NewValue::Text(text) => Value::from(text.as_str()),
        NewValue::Number(number) if number.fract() == 0.0 && number.abs() < 1e15 => {
            Value::from(*number as i64)
        }
        NewValue::Number(number) => Value::from(*number),
    };
    let text = |key, text: &Option<String>| text.as_ref().map(|text| (key, Value::from(text.as_str())));
    let at = entry.at.and_then(|at| {
        let written = date::show(at);
        let seconds = if written.len() == 16 { format!("{written}:00") } else { written };
        seconds.parse::<toml_edit::Datetime>().ok().map(|at| ("at", Value::from(at)))
    });
    let how = entry.how.map(|how| ("how", Value::from(how.word())));
    let rest = [
        how,
        text("with", &entry.with),
        text("who", &entry.who),
        at,
        text("by", &entry.by),
        text("anyway", &entry.anyway),
        text("note", &entry.note),
    ];
    std::iter::once(("value", value)).chain(rest.into_iter().flatten()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const JOB: &str = "# a job\ntitle = \"A\"   # its title\nbasis = \"uk\"\n\n[[sheet]]\nuse = \"battery\"\ngiven.fitted = \"7 Ah\"   # read on the label\ngiven.strings = 1\n\n[[sheet]]\nuse = \"battery\"\nas = \"spare\"\n";

    fn text(value: &str) -> NewEntry {
        NewEntry { value: NewValue::Text(value.to_owned()), ..NewEntry::default() }
    }

    #[test]
    fn one_value_changes_and_nothing_else() {
        let made = set_entry(JOB, "battery", Part::Given, "fitted", &text("12 Ah"));
        assert_eq!(made, Ok(JOB.replace("7 Ah", "12 Ah")));
    }

    #[test]
    fn a_new_entry_goes_after_the_others_of_its_sheet() {
        let made = set_entry(JOB, "battery", Part::Given, "alarm_load", &text("1.2 A"));
        let expected =
            JOB.replace("given.strings = 1\n", "given.strings = 1\ngiven.alarm_load = \"1.2 A\"\n");
        assert_eq!(made, Ok(expected));
    }

    #[test]
    fn a_sheet_without_givens_gets_its_first() {
        let made = set_entry(JOB, "spare", Part::Given, "fitted", &text("7 Ah"));
        assert_eq!(made, Ok(format!("{JOB}given.fitted = \"7 Ah\"\n")));
    }

    #[test]
    fn line_ends_stay_as_they_were() {
        let job = JOB.replace('\n', "\r\n");
        let made = set_entry(&job, "battery", Part::Given, "fitted", &text("12 Ah"));
        assert_eq!(made, Ok(job.replace("7 Ah", "12 Ah")));
    }

    #[test]
    fn what_is_known_of_a_value_stands_in_braces() {
        let entry = NewEntry {
            how: Some(How::Measured),
            who: Some("R. Field".to_owned()),
            at: Some(1_795_689_600.0 + 38_400.0),
            ..text("1.2 A")
        };
        let made = set_entry(JOB, "spare", Part::Given, "alarm_load", &entry).unwrap_or_default();
        let line = "given.alarm_load = { value = \"1.2 A\", how = \"measured\", who = \"R. Field\", at = ";
        assert!(made.contains(line), "{made}");
        assert!(crate::job::Job::read(&crate::fault::Page::new("job", made)).is_ok());
    }

    #[test]
    fn a_sheet_that_is_not_there_is_told() {
        assert_eq!(set_entry(JOB, "charger", Part::Given, "x", &text("1")), Err(NotThere));
        assert_eq!(set_entry("not toml [", "battery", Part::Given, "x", &text("1")), Err(NotThere));
    }
}
