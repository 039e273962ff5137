//! Entries: a value alone, or a value with what is known of it.
//!
//! In: what stands after the `=` of a name. Out: an [`Entry`].
//! Never: reads a quantity in a text.

use toml::de::{DeTable, DeValue};

use crate::fault::{Fault, Faults, Page, Span};

use super::Spanned;
use super::fields::{Fields, Value, differs, text, time};
use super::file::{Entry, Raw, RowFile};
use super::how::How;
use super::wrong::{Place, Takes, Wrong};

impl Entry {
    /// Returns an entry of which nothing is known but its value.
    pub fn bare(value: Spanned<Raw>) -> Self {
        Self { value, how: None, with: None, who: None, at: None, anyway: None, note: None, by: None }
    }
}

/// Returns the names and entries of a table, each in the order written.
pub(super) fn entries(
    page: &Page,
    table: &DeTable<'_>,
    faults: &mut Faults,
) -> Vec<(Spanned<String>, Entry)> {
    table
        .iter()
        .filter_map(|(key, value)| {
            let name = Spanned::new(key.get_ref().to_string(), key.span());
            entry(page, &name, value, faults).map(|entry| (name, entry))
        })
        .collect()
}

fn entry(page: &Page, name: &Spanned<String>, value: &Value<'_>, faults: &mut Faults) -> Option<Entry> {
    let Some(table) = value.get_ref().as_table() else {
        return faults.keep(raw(page, &name.value, Takes::Entry, value)).map(Entry::bare);
    };
    let fields = Fields::new(page, table, Place::Entry, place(page, name, value), faults);
    let value = fields.need("value", faults);
    let value = value.and_then(|value| faults.keep(raw(page, "value", Takes::Value, value)));
    let how = how(&fields, faults);
    let with = fields.text("with", faults);
    let who = fields.words("who", faults);
    let at = fields.moment("at", faults);
    let anyway = fields.text("anyway", faults).map(|text| text.value);
    let note = fields.words("note", faults);
    let by = fields.text("by", faults).map(|text| text.value);
    Some(Entry { value: value?, how, with, who, at, anyway, note, by })
}

/// Reads a CSV file named with what is known of every value in it.
pub(super) fn row_file(page: &Page, table: &DeTable<'_>, at: Span, faults: &mut Faults) -> Option<RowFile> {
    let fields = Fields::new(page, table, Place::RowFile, at, faults);
    let file = fields.need_text("csv", faults);
    let (how, who) = (how(&fields, faults), fields.words("who", faults));
    let (at, note) = (fields.moment("at", faults), fields.words("note", faults));
    Some(RowFile { name: file?, how, who, at, note })
}

/// Returns the place of a table in braces or of its heading; of dotted keys, that of the name.
pub(super) fn place(page: &Page, name: &Spanned<String>, value: &Value<'_>) -> Span {
    let at = Span::from(value.span());
    if page.text[at.range()].starts_with(['{', '[']) { at } else { name.at }
}

fn how(fields: &Fields<'_>, faults: &mut Faults) -> Option<Spanned<How>> {
    let word = fields.text("how", faults)?;
    let how = How::known(&word.value).ok_or_else(|| {
        let near = How::near(&word.value);
        Fault::new(word.at, Wrong::NoHow { found: word.value.clone(), near })
    });
    faults.keep(how).map(|how| word.with(how))
}

/// Returns a value as written.
fn raw(page: &Page, key: &str, takes: Takes, value: &Value<'_>) -> Result<Spanned<Raw>, Fault> {
    let number = |text: &str| match text.replace('_', "").parse::<f64>() {
        Ok(number) if number.is_finite() => Ok(Raw::Number(number)),
        _ => Err(Fault::new(value.span(), Wrong::NotFinite)),
    };
    let raw = match value.get_ref() {
        DeValue::String(_) => {
            let text = text(page, key, value)?;
            return Ok(Spanned::new(Raw::Text(text.value), text.at));
        }
        DeValue::Integer(whole) if whole.radix() == 10 => number(whole.as_str())?,
        DeValue::Integer(_) => return Err(differs(key, takes, value)),
        DeValue::Float(float) => number(float.as_str())?,
        DeValue::Boolean(flag) => Raw::Flag(*flag),
        DeValue::Datetime(_) => Raw::Date(time(key, takes, value)?.seconds()),
        DeValue::Array(_) | DeValue::Table(_) => return Err(differs(key, takes, value)),
    };
    Ok(Spanned::new(raw, value.span()))
}
