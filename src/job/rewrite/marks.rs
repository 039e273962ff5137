//! Review marks written into a job.
//!
//! In: the text, and a mark. Out: the new text: the mark of that line by that person changed, or one more at the end.
//! Never: touches another mark.

use toml_edit::{ArrayOfTables, Document, Item, Table, Value};

use super::NotThere;
use super::new_entry::moment;
use super::splice::{Splice, line_break};
use crate::job::mark::Mark;

/// Returns the text with a mark set.
///
/// # Errors
/// [`NotThere`] where the text is no job, or has no place for it.
pub fn set_mark(text: &str, mark: &Mark) -> Result<String, NotThere> {
    let document = Document::parse(text).map_err(|_| NotThere)?;
    let marks = document.as_table().get("mark").and_then(Item::as_array_of_tables);
    let made = match marks.and_then(|marks| known(marks, mark)) {
        Some(old) => replaced(text, old, mark).ok_or(NotThere)?,
        None => added(text, mark),
    };
    Document::parse(made.as_str()).map_err(|_| NotThere)?;
    Ok(made)
}

/// A person has one mark on a line.
fn known<'t>(marks: &'t ArrayOfTables, mark: &Mark) -> Option<&'t Table> {
    marks.iter().find(|table| {
        let text = |key: &str| table.get(key).and_then(Item::as_str);
        text("line") == Some(&mark.line.value) && text("who") == mark.who.as_deref()
    })
}

fn keys(mark: &Mark) -> Vec<(&'static str, Value)> {
    let text = |key: &'static str, text: &str| (key, Value::from(text));
    let seen = &mark.seen;
    let mut keys = vec![text("line", &mark.line.value), text("says", mark.says.word())];
    keys.extend(mark.note.as_ref().map(|note| text("note", note)));
    keys.extend(mark.who.as_ref().map(|who| text("who", who)));
    keys.extend(mark.at.and_then(moment).map(|at| ("at", at)));
    keys.extend([
        text("seen_line", &seen.line),
        text("seen_formula", &seen.formula),
        text("seen_value", &seen.value),
        text("seen_source", &seen.source),
    ]);
    keys
}

fn added(text: &str, mark: &Mark) -> String {
    let end = line_break(text);
    let body = text.trim_end_matches(['\n', '\r']);
    let lines: String = keys(mark).iter().map(|(key, value)| format!("{key} = {value}{end}")).collect();
    format!("{body}{end}{end}[[mark]]{end}{lines}")
}

/// Sets the keys of a mark where they stand.
fn replaced(text: &str, old: &Table, mark: &Mark) -> Option<String> {
    let new = keys(mark);
    let mut splice = Splice::default();
    let key_start = |key: &str| old.key(key).and_then(|key| key.span()).map(|at| at.start);
    for (key, item) in old {
        let at = item.as_value().and_then(Value::span)?;
        match new.iter().find(|(new, _)| *new == key) {
            Some((_, value)) => splice.put(at, value.to_string()),
            None if key == "note" => splice.take_line(text, at, key_start(key)?),
            None => {}
        }
    }
    let last =
        old.iter().filter_map(|(_, item)| item.as_value().and_then(Value::span)).map(|at| at.end).max()?;
    for (key, value) in new.iter().filter(|(key, _)| !old.contains_key(key)) {
        splice.put_below(text, last, &format!("{key} = {value}"));
    }
    let ended = if text.ends_with('\n') { text.to_owned() } else { format!("{text}{}", line_break(text)) };
    Some(splice.made(&ended))
}
