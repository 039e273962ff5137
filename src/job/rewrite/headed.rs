//! Rows below headings of their own, `[[sheet.schedule.NAME]]`: one added, one dropped.
//!
//! In: the text, and the rows as TOML, with the places of their keys. Out: the pieces that make the change.
//! Never: takes a remark out: one that a dropped row had stays where it stood.

use toml_edit::{ArrayOfTables, Item, Key, Table, Value};

use super::NewEntry;
use super::splice::{Splice, indent, line_break, line_end, line_start};

/// Adds a row below the last; with its own blank line, where the last has one.
pub(super) fn added(
    text: &str,
    rows: &ArrayOfTables,
    cells: &[(String, NewEntry)],
    splice: &mut Splice,
) -> Option<()> {
    let last = rows.iter().last()?;
    let heading = last.span()?;
    below(text, last, text.get(heading)?, cells, splice)
}

/// Adds the first row of a schedule whose sheet has rows of another below headings.
pub(super) fn first(
    text: &str,
    others: &Table,
    schedule: &str,
    cells: &[(String, NewEntry)],
    splice: &mut Splice,
) -> Option<()> {
    let rows = others.iter().filter_map(|(_, item)| item.as_array_of_tables()?.iter().last());
    let last = rows.max_by_key(|row| end(row))?;
    below(text, last, &format!("[[sheet.schedule.{}]]", Key::new(schedule)), cells, splice)
}

fn below(
    text: &str,
    last: &Table,
    heading: &str,
    cells: &[(String, NewEntry)],
    splice: &mut Splice,
) -> Option<()> {
    let head = last.span()?;
    let keys = last.iter().filter_map(|(name, _)| last.key(name)?.span());
    let key_indent = indent(text, keys.map(|key| key.start).min().unwrap_or(head.start));
    let break_ = line_break(text);
    let blank = if blank_before(text, above_remarks(text, head.start)) { break_ } else { "" };
    let mut words = format!("{blank}{}{heading}", indent(text, head.start));
    for (name, entry) in cells {
        words += &format!("{break_}{key_indent}{} = {}", Key::new(name.as_str()), entry.written());
    }
    splice.put_below(text, with_remarks(text, end(last)?), &words);
    Some(())
}

/// Takes a row out: its heading, and each of its keys.
pub(super) fn dropped(text: &str, row: &Table, splice: &mut Splice) -> Option<()> {
    let start = line_start(text, row.span()?.start);
    let after = line_end(text, end(row)?);
    take(text, row, splice)?;
    let blank_after = text[after..line_end(text, after)].trim().is_empty();
    // A remark that stays keeps the blank line that it stands under.
    let remark = text[start..after].contains('#');
    if blank_before(text, start) && blank_after && !remark {
        splice.put(line_start(text, start - 1)..start, "");
    }
    Some(())
}

fn take(text: &str, table: &Table, splice: &mut Splice) -> Option<()> {
    if !table.is_dotted() {
        let heading = table.span()?;
        splice.take_line(text, heading.clone(), heading.start);
    }
    for (name, item) in table {
        match item {
            Item::Value(Value::InlineTable(keys)) if keys.is_dotted() => return None,
            Item::Value(value) => splice.take_line(text, value.span()?, table.key(name)?.span()?.start),
            Item::Table(inner) => take(text, inner, splice)?,
            Item::None => {}
            Item::ArrayOfTables(_) => return None,
        }
    }
    Some(())
}

/// Returns where the last heading or value of a row ends.
fn end(table: &Table) -> Option<usize> {
    let own = table.span().filter(|_| !table.is_dotted()).map(|at| at.end);
    let of = |item: &Item| match item {
        Item::Value(value) => value.span().map(|at| at.end),
        Item::Table(inner) => end(inner),
        Item::None | Item::ArrayOfTables(_) => None,
    };
    table.iter().filter_map(|(_, item)| of(item)).chain(own).max()
}

/// Passes over remarks right below a place that are not those of the next heading.
fn with_remarks(text: &str, from: usize) -> usize {
    let mut at = line_end(text, from);
    while text[at..line_end(text, at)].trim_start().starts_with('#') {
        at = line_end(text, at);
    }
    let own = text[at..].trim_start_matches([' ', '\t']).starts_with(['\n', '\r']) || at == text.len();
    if own { at.saturating_sub(1).max(from) } else { from }
}

/// Returns where the remarks begin that stand right above a line.
fn above_remarks(text: &str, at: usize) -> usize {
    let mut start = line_start(text, at);
    while start > 0 && text[line_start(text, start - 1)..start].trim_start().starts_with('#') {
        start = line_start(text, start - 1);
    }
    start
}

fn blank_before(text: &str, at: usize) -> bool {
    let start = line_start(text, at);
    start > 0 && text[line_start(text, start - 1)..start].trim().is_empty()
}
