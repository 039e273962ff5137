//! Entries to be written, as TOML.
//!
//! In: a value and what is known of it. Out: its keys and values, or the text after an `=`.
//! Never: says where it goes.

use toml_edit::{InlineTable, Value};

use crate::fault::{Span, Spanned};
use crate::job::{Entry, How, Raw};
use crate::unit::date;

/// The keys of an entry that are ours to write; any other is kept as it is.
pub(super) const KEYS: [&str; 8] = ["value", "how", "with", "who", "at", "by", "anyway", "note"];

/// An entry to be written.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct NewEntry {
    /// The value.
    pub value: Raw,
    /// How it came to be known.
    pub how: Option<How>,
    /// The instrument.
    pub with: Option<String>,
    /// Who entered it.
    pub who: Option<String>,
    /// When, in whole seconds since 1970-01-01 on the site's clock.
    pub at: Option<f64>,
    /// Why a value outside its range is taken anyway.
    pub anyway: Option<String>,
    /// A remark.
    pub note: Option<String>,
    /// The document that a figure is taken from.
    pub by: Option<String>,
}

impl From<&Entry> for NewEntry {
    fn from(entry: &Entry) -> Self {
        Self {
            value: entry.value.value.clone(),
            how: entry.how.as_ref().map(|how| how.value),
            with: entry.with.as_ref().map(|with| with.value.clone()),
            who: entry.who.clone(),
            at: entry.at,
            anyway: entry.anyway.clone(),
            note: entry.note.clone(),
            by: entry.by.clone(),
        }
    }
}

impl From<&NewEntry> for Entry {
    /// An entry that stands in no text yet has no place.
    fn from(new: &NewEntry) -> Self {
        let at = Span::default();
        Self {
            value: Spanned::new(new.value.clone(), at),
            how: new.how.map(|how| Spanned::new(how, at)),
            with: new.with.clone().map(|with| Spanned::new(with, at)),
            who: new.who.clone(),
            at: new.at,
            anyway: new.anyway.clone(),
            note: new.note.clone(),
            by: new.by.clone(),
        }
    }
}

impl NewEntry {
    /// Returns its keys with their values, in the order of [`KEYS`]; `value` is the first.
    pub(super) fn keys(&self) -> Vec<(&'static str, Value)> {
        let text = |key, text: &Option<String>| text.as_ref().map(|text| (key, Value::from(text.as_str())));
        let rest = [
            self.how.map(|how| ("how", Value::from(how.word()))),
            text("with", &self.with),
            text("who", &self.who),
            self.at.and_then(moment).map(|at| ("at", at)),
            text("by", &self.by),
            text("anyway", &self.anyway),
            text("note", &self.note),
        ];
        std::iter::once(("value", written(&self.value))).chain(rest.into_iter().flatten()).collect()
    }

    /// Returns what stands after the `=`: the value alone, or, with more known, a table in braces.
    pub(super) fn written(&self) -> Value {
        let keys = self.keys();
        if let [(_, value)] = keys.as_slice() {
            return value.clone();
        }
        Value::InlineTable(keys.into_iter().collect::<InlineTable>())
    }
}

/// Returns a value as it is written.
fn written(value: &Raw) -> Value {
    match value {
        Raw::Text(text) => Value::from(text.as_str()),
        // Below 2^53 every whole number of an `f64` is the same number as an `i64`.
        Raw::Number(number) if number.fract() == 0.0 && number.abs() < 9e15 => Value::from(*number as i64),
        Raw::Number(number) => Value::from(*number),
        Raw::Flag(flag) => Value::from(*flag),
        Raw::Date(seconds) => moment(*seconds).unwrap_or_else(|| Value::from(date::show(*seconds))),
    }
}

/// Returns a date as TOML writes it, where a time has its seconds.
pub(super) fn moment(seconds: f64) -> Option<Value> {
    let shown = date::show(seconds);
    let whole = if shown.len() == "2026-11-25T10:40".len() { format!("{shown}:00") } else { shown };
    whole.parse::<toml_edit::Datetime>().ok().map(Value::from)
}
