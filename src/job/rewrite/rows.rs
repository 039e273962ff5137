//! Rows of a schedule that are written in a job: a cell set, all of them listed, one added, one dropped.
//!
//! In: the text, and what changes. Out: the new text.
//! Never: lists rows that stand below headings of their own anew.

use std::ops::Range;

use toml_edit::{Array, Item, Key, Table, Value};

use super::lines::Home;
use super::splice::{Splice, indent, line_break, line_end, line_start};
use super::{NewEntry, NotThere, edit, headed};

/// Returns the text with a cell of a row that is written in the job set; `row` counts from 0.
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
    edit(text, sheet, |text, table, splice| {
        let schedules = table.get("schedule").and_then(Item::as_table_like).ok_or(NotThere)?;
        let home = match schedules.get(schedule).ok_or(NotThere)? {
            Item::Value(Value::Array(rows)) => {
                let row = rows.get(row).and_then(Value::as_inline_table).ok_or(NotThere)?;
                Home::braces(text, row)
            }
            Item::ArrayOfTables(rows) => Home::heading(text, rows.get(row).ok_or(NotThere)?),
            Item::None | Item::Value(_) | Item::Table(_) => return Err(NotThere),
        };
        match home.get(column) {
            Some(old) => home.replace(column, old, entry, splice),
            None => home.add(&format!("{} = {}", Key::new(column), entry.written()), splice),
        }
    })
}

/// Returns the text with the rows of a schedule written in the job, a line each, in place of the name
/// of a file, a link, or a list.
///
/// # Errors
/// [`NotThere`] where there is no such sheet, or the rows stand under headings of their own.
pub fn list_rows(
    text: &str,
    sheet: &str,
    schedule: &str,
    rows: &[Vec<(String, NewEntry)>],
) -> Result<String, NotThere> {
    edit(text, sheet, |text, table, splice| {
        let home = Home::of(text, table, "schedule")?;
        let list = list(rows, line_break(text));
        match home.get(schedule) {
            Some(Item::Value(old)) => {
                splice.put(old.span().ok_or(NotThere)?, list);
                Ok(())
            }
            Some(Item::None | Item::Table(_) | Item::ArrayOfTables(_)) => Err(NotThere),
            None => home.add(&format!("{} = {list}", Key::new(schedule)), splice),
        }
    })
}

/// Returns rows as a list, a line each.
fn list(rows: &[Vec<(String, NewEntry)>], line_break: &str) -> String {
    if rows.is_empty() {
        return "[]".to_owned();
    }
    let row = |cells: &Vec<(String, NewEntry)>| format!("  {},{line_break}", braced(cells));
    format!("[{line_break}{}]", rows.iter().map(row).collect::<String>())
}

/// Returns a row in braces.
fn braced(cells: &[(String, NewEntry)]) -> String {
    if cells.is_empty() {
        return "{}".to_owned();
    }
    let cell =
        |(name, entry): &(String, NewEntry)| format!("{} = {}", Key::new(name.as_str()), entry.written());
    format!("{{ {} }}", cells.iter().map(cell).collect::<Vec<_>>().join(", "))
}

/// Returns the text with a row added below the last that is written in the job.
///
/// # Errors
/// [`NotThere`] where there is no such sheet, or the rows are none that can be written.
pub fn add_row(
    text: &str,
    sheet: &str,
    schedule: &str,
    cells: &[(String, NewEntry)],
) -> Result<String, NotThere> {
    edit(text, sheet, |text, table, splice| {
        let home = Home::of(text, table, "schedule")?;
        match home.get(schedule) {
            Some(Item::Value(Value::Array(rows))) => added(text, rows, cells, splice).ok_or(NotThere),
            Some(Item::ArrayOfTables(rows)) => headed::added(text, rows, cells, splice).ok_or(NotThere),
            Some(Item::None | Item::Value(_) | Item::Table(_)) => Err(NotThere),
            None if let Some(others) = others_headed(table) => {
                headed::first(text, others, schedule, cells, splice).ok_or(NotThere)
            }
            None => {
                let list = list(&[cells.to_vec()], line_break(text));
                home.add(&format!("{} = {list}", Key::new(schedule)), splice)
            }
        }
    })
}

/// Returns the schedules of a sheet where some have rows below headings: TOML takes no list beside those.
fn others_headed(sheet: &Table) -> Option<&Table> {
    let schedules = sheet.get("schedule")?.as_table()?;
    schedules.iter().any(|(_, item)| item.is_array_of_tables()).then_some(schedules)
}

fn added(text: &str, rows: &Array, cells: &[(String, NewEntry)], splice: &mut Splice) -> Option<()> {
    let Some(last) = rows.iter().last() else {
        // A remark in an empty list stays above its first row.
        let whole = rows.span()?;
        let inside = text[whole.start + 1..whole.end - 1].trim_end_matches([' ', '\t', '\r', '\n']);
        let end = line_break(text);
        splice.put(whole, format!("[{inside}{end}  {},{end}]", braced(cells)));
        return Some(());
    };
    let at = last.span()?;
    let alone = text[line_start(text, at.start)..at.start].trim().is_empty();
    let comma = comma_after(text, at.end);
    let row = braced(cells);
    match (comma, alone) {
        (Some(comma), true) => {
            splice.put_below(text, comma, &format!("{}{row},", indent(text, at.start)));
        }
        (None, true) => {
            splice.put(at.end..at.end, ",");
            splice.put_below(text, at.end, &format!("{}{row},", indent(text, at.start)));
        }
        (Some(comma), false) => splice.put(comma + 1..comma + 1, format!(" {row}")),
        (None, false) => splice.put(at.end..at.end, format!(", {row}")),
    }
    Some(())
}

/// Returns where the comma stands that follows a place, blanks and remarks passed over.
fn comma_after(text: &str, from: usize) -> Option<usize> {
    let mut at = from;
    loop {
        let rest = &text[at..];
        let next = rest.find(|c: char| !c.is_whitespace())?;
        match rest[next..].chars().next() {
            Some(',') => return Some(at + next),
            Some('#') => at = line_end(text, at + next),
            Some(_) | None => return None,
        }
    }
}

/// Returns the text without a row that is written in the job; `row` counts from 0.
///
/// # Errors
/// [`NotThere`] where there is no such sheet, schedule or row.
pub fn drop_row(text: &str, sheet: &str, schedule: &str, row: usize) -> Result<String, NotThere> {
    edit(text, sheet, |text, table, splice| {
        let schedules = table.get("schedule").and_then(Item::as_table_like).ok_or(NotThere)?;
        let rows = match schedules.get(schedule) {
            Some(Item::Value(Value::Array(rows))) => rows,
            Some(Item::ArrayOfTables(rows)) => {
                return headed::dropped(text, rows.get(row).ok_or(NotThere)?, splice).ok_or(NotThere);
            }
            Some(Item::None | Item::Value(_) | Item::Table(_)) | None => return Err(NotThere),
        };
        let places: Vec<Range<usize>> = rows.iter().filter_map(Value::span).collect();
        let at = places.get(row).cloned().ok_or(NotThere)?;
        let comma = comma_after(text, at.end);
        let end = comma.map_or(at.end, |comma| comma + 1);
        let alone = text[line_start(text, at.start)..at.start].trim().is_empty()
            && text[end..line_end(text, end)].trim().is_empty();
        match (alone, comma, row.checked_sub(1).and_then(|before| places.get(before))) {
            (true, _, _) => splice.put(line_start(text, at.start)..line_end(text, end), ""),
            (false, Some(_), _) => {
                let blanks = text[end..].len() - text[end..].trim_start_matches([' ', '\t']).len();
                splice.put(at.start..end + blanks, "");
            }
            (false, None, Some(before)) => splice.put(before.end..at.end, ""),
            (false, None, None) => splice.put(at, ""),
        }
        Ok(())
    })
}
