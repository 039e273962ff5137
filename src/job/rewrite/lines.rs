//! Where entries stand in a job: on lines of their own or within braces.
//!
//! In: a part of a sheet as TOML, with the places of its keys. Out: the pieces that set an entry.
//! Never: moves what it does not set.

use std::ops::Range;

use toml_edit::{InlineTable, Item, Table, TableLike, Value};

use super::NotThere;
use super::new_entry::{KEYS, NewEntry};
use super::splice::{Splice, indent, line_start};

/// The names and entries of one part of a sheet, or the cells of one row.
pub(super) struct Home<'t> {
    text: &'t str,
    kind: Kind<'t>,
}

enum Kind<'t> {
    /// `{ NAME = …, NAME = … }`
    Braces(&'t InlineTable),
    /// `NAME = …` on a line each, below a heading.
    Heading(&'t Table),
    /// `PART.NAME = …` on a line each, among the keys of the sheet.
    Dotted { part: &'static str, sheet: &'t Table, entries: Option<&'t Table> },
}

impl<'t> Home<'t> {
    /// Returns a part of a sheet, as it is written or would be.
    pub(super) fn of(text: &'t str, sheet: &'t Table, part: &'static str) -> Result<Self, NotThere> {
        let kind = match sheet.get(part) {
            None | Some(Item::None) => Kind::Dotted { part, sheet, entries: None },
            Some(Item::Value(Value::InlineTable(entries))) => Kind::Braces(entries),
            Some(Item::Table(entries)) if entries.is_dotted() || entries.is_implicit() => {
                Kind::Dotted { part, sheet, entries: Some(entries) }
            }
            Some(Item::Table(entries)) => Kind::Heading(entries),
            Some(Item::Value(_) | Item::ArrayOfTables(_)) => return Err(NotThere),
        };
        Ok(Self { text, kind })
    }

    /// Returns a row in braces.
    pub(super) const fn braces(text: &'t str, row: &'t InlineTable) -> Self {
        Self { text, kind: Kind::Braces(row) }
    }

    /// Returns a row below a heading.
    pub(super) const fn heading(text: &'t str, row: &'t Table) -> Self {
        Self { text, kind: Kind::Heading(row) }
    }

    /// Returns what stands under a name.
    pub(super) fn get(&self, name: &str) -> Option<&'t Item> {
        match self.kind {
            Kind::Braces(entries) => TableLike::get(entries, name),
            Kind::Heading(entries) => entries.get(name),
            Kind::Dotted { entries, .. } => entries.and_then(|entries| entries.get(name)),
        }
    }

    /// Adds `NAME = VALUE` below, or behind, the last that is there.
    pub(super) fn add(&self, words: &str, splice: &mut Splice) -> Result<(), NotThere> {
        match self.kind {
            Kind::Braces(entries) => return add_within(entries, words, splice),
            Kind::Heading(table) => below(self.text, table, words, splice),
            Kind::Dotted { part, sheet, entries } => {
                let words = format!("{part}.{words}");
                let last = entries.and_then(|entries| last_end(entries));
                match last {
                    Some(last) => add_below(self.text, last, &words, splice),
                    None => below(self.text, sheet, &words, splice),
                }
            }
        }
        .ok_or(NotThere)
    }

    /// Puts an entry in the place of another.
    pub(super) fn replace(
        &self,
        name: &str,
        old: &Item,
        entry: &NewEntry,
        splice: &mut Splice,
    ) -> Result<(), NotThere> {
        let done = match old {
            Item::Value(Value::InlineTable(keys)) if keys.is_dotted() => match self.kind {
                Kind::Braces(outer) => gathered(self.text, outer, name, keys, entry, splice),
                Kind::Heading(_) | Kind::Dotted { .. } => None,
            },
            Item::Value(Value::InlineTable(keys)) => within(keys, entry, splice),
            Item::Value(value) => value.span().map(|at| splice.put(at, entry.written().to_string())),
            Item::Table(keys) => on_lines(self.text, keys, entry, splice),
            Item::None | Item::ArrayOfTables(_) => None,
        };
        done.ok_or(NotThere)
    }
}

/// Returns where the last value ends that is written with these keys, not below a heading of its own.
fn last_end(table: &dyn TableLike) -> Option<usize> {
    table.iter().filter_map(|(_, item)| end(item)).max()
}

fn end(item: &Item) -> Option<usize> {
    match item {
        Item::Value(Value::InlineTable(keys)) if keys.is_dotted() => last_end(keys),
        Item::Value(value) => value.span().map(|at| at.end),
        Item::Table(table) if table.is_dotted() => last_end(table),
        Item::None | Item::Table(_) | Item::ArrayOfTables(_) => None,
    }
}

/// Adds a line below the last of a table, or below its heading.
fn below(text: &str, table: &Table, words: &str, splice: &mut Splice) -> Option<()> {
    match last_end(table) {
        Some(last) => add_below(text, last, words, splice),
        None => {
            splice.put_below(text, table.span()?.end, words);
            Some(())
        }
    }
}

fn add_below(text: &str, last: usize, words: &str, splice: &mut Splice) -> Option<()> {
    // The last line of a list closes it: its blanks are those of the line that opened it.
    splice.put_below(text, last, &format!("{}{words}", indent(text, last)));
    Some(())
}

fn add_within(entries: &InlineTable, words: &str, splice: &mut Splice) -> Result<(), NotThere> {
    let at = entries.span().ok_or(NotThere)?;
    match last_end(entries) {
        Some(last) => splice.put(last..last, format!(", {words}")),
        None => splice.put(at, format!("{{ {words} }}")),
    }
    Ok(())
}

/// Sets the keys of an entry in braces; where only its value is left, it becomes plain.
fn within(old: &InlineTable, entry: &NewEntry, splice: &mut Splice) -> Option<()> {
    let new = entry.keys();
    let kept = old.iter().any(|(key, _)| !KEYS.contains(&key));
    let value = old.iter().position(|(key, _)| key == "value");
    let Some(value) = value.filter(|_| kept || new.len() > 1) else {
        splice.put(old.span()?, entry.written().to_string());
        return Some(());
    };
    let start = |key: &str| old.key(key).and_then(|key| key.span()).map(|at| at.start);
    let parts: Vec<(&str, &Item)> = TableLike::iter(old).collect();
    for (index, (key, item)) in parts.iter().enumerate() {
        if let Some((_, new)) = new.iter().find(|(new, _)| new == key) {
            splice.put(item.span()?, new.to_string());
        } else if KEYS.contains(key) && index < value {
            splice.put(start(key)?..start(parts.get(index + 1)?.0)?, "");
        } else if KEYS.contains(key) {
            // A comma goes with what stands behind it; the value, which is never taken out, is before.
            let before = end(parts.get(index.checked_sub(1)?)?.1)?;
            let behind = end(item)?;
            // Dotted keys of one name may stand apart; then there is no telling which comma goes.
            splice.put((before < behind).then_some(before..behind)?, "");
        }
    }
    let last = last_end(old)?;
    for (key, value) in new.iter().filter(|(key, _)| !old.contains_key(key)) {
        splice.put(last..last, format!(", {key} = {value}"));
    }
    Some(())
}

/// Sets the keys of an entry that have lines of their own.
fn on_lines(text: &str, old: &Table, entry: &NewEntry, splice: &mut Splice) -> Option<()> {
    let new = entry.keys();
    for (key, item) in old {
        let at = end(item).and(item.span());
        match (new.iter().find(|(new, _)| *new == key), at) {
            (Some((_, new)), Some(at)) => splice.put(at, new.to_string()),
            (None, Some(at)) if KEYS.contains(&key) => splice.take_line(text, at, key_place(old, key)?.start),
            (None, _) => {}
            (Some(_), None) => return None,
        }
    }
    let value = key_place(old, "value")?.start;
    let path = &text[line_start(text, value)..value];
    let last = last_end(old)?;
    for (key, value) in new.iter().filter(|(key, _)| !old.contains_key(key)) {
        splice.put_below(text, last, &format!("{path}{key} = {value}"));
    }
    Some(())
}

fn key_place(table: &Table, key: &str) -> Option<Range<usize>> {
    table.key(key).and_then(|key| key.span())
}

/// Writes an entry with dotted keys within braces as one, in braces of its own where it has more keys.
fn gathered(
    text: &str,
    outer: &InlineTable,
    name: &str,
    old: &InlineTable,
    entry: &NewEntry,
    splice: &mut Splice,
) -> Option<()> {
    let at = outer.span()?;
    let mut made: Value = text.get(at.clone())?.parse().ok()?;
    let mut keys: InlineTable = entry.keys().into_iter().collect();
    for (key, value) in old.iter().filter(|(key, _)| !KEYS.contains(key)) {
        let value: Value = text.get(value.span()?)?.parse().ok()?;
        keys.insert(key, value);
    }
    let value = if keys.len() == 1 { entry.written() } else { Value::InlineTable(keys) };
    made.as_inline_table_mut()?.insert(name, value);
    splice.put(at, made.to_string());
    Some(())
}
