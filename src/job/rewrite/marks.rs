//! Review marks written into a job.
//!
//! In: the text, and a mark. Out: the new text: the mark of that line by that person changed, or one more at the end.
//! Never: touches another mark.

use toml_edit::{ArrayOfTables, Item, Table, Value};

use super::new_entry::moment;
use super::splice::{Splice, line_break};
use super::{NotThere, edit_document};
use crate::job::mark::Mark;

/// Returns the text with a mark set.
///
/// # Errors
/// [`NotThere`] where the text is no job, or has no place for it.
pub fn set_mark(text: &str, mark: &Mark) -> Result<String, NotThere> {
    edit_document(text, |text, document, splice| {
        let marks = document.as_table().get("mark").and_then(Item::as_array_of_tables);
        match marks.and_then(|marks| known(marks, mark)) {
            Some(old) => replace(text, old, mark, splice).ok_or(NotThere),
            None => {
                splice.put_at_end(text, &written(mark, line_break(text)));
                Ok(())
            }
        }
    })
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

/// Returns a mark as it stands in a job whose lines end so.
fn written(mark: &Mark, end: &str) -> String {
    let lines: String = keys(mark).iter().map(|(key, value)| format!("{key} = {value}{end}")).collect();
    format!("[[mark]]{end}{lines}")
}

/// Sets the keys of a mark where they stand.
fn replace(text: &str, old: &Table, mark: &Mark, splice: &mut Splice) -> Option<()> {
    let new = keys(mark);
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
    Some(())
}
