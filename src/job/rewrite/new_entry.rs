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
    pub value: NewValue,
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

/// A value to be written.
#[derive(Clone, Debug, PartialEq)]
pub enum NewValue {
    /// A text in quotes: `18 Ah`, `= standby.total`, `?`.
    Text(String),
    /// A bare number; a job takes none without an end.
    Number(f64),
    /// `true` or `false`.
    Flag(bool),
    /// A bare date, with its time unless that is midnight: whole seconds since 1970-01-01.
    Date(f64),
}

impl Default for NewValue {
    fn default() -> Self {
        Self::Text("?".to_owned())
    }
}

impl From<&Entry> for NewEntry {
    fn from(entry: &Entry) -> Self {
        Self {
            value: NewValue::from(&entry.value.value),
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
        let value = match &new.value {
            NewValue::Text(text) => Raw::Text(text.clone()),
            NewValue::Number(number) => Raw::Number(*number),
            NewValue::Flag(flag) => Raw::Flag(*flag),
            NewValue::Date(seconds) => Raw::Date(*seconds),
        };
        Self {
            value: Spanned::new(value, at),
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

impl From<&Raw> for NewValue {
    fn from(raw: &Raw) -> Self {
        match raw {
            Raw::Text(text) => Self::Text(text.clone()),
            Raw::Number(number) => Self::Number(*number),
            Raw::Flag(flag) => Self::Flag(*flag),
            Raw::Date(seconds) => Self::Date(*seconds),
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
        std::iter::once(("value", self.value.written())).chain(rest.into_iter().flatten()).collect()
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

impl NewValue {
    fn written(&self) -> Value {
        match self {
            Self::Text(text) => Value::from(text.as_str()),
            // Below 2^53 every whole number of an `f64` is the same number as an `i64`.
            Self::Number(number) if number.fract() == 0.0 && number.abs() < 9e15 => {
                Value::from(*number as i64)
            }
            Self::Number(number) => Value::from(*number),
            Self::Flag(flag) => Value::from(*flag),
            Self::Date(seconds) => moment(*seconds).unwrap_or_else(|| Value::from(date::show(*seconds))),
        }
    }
}

/// Returns a date as TOML writes it, where a time has its seconds.
pub(super) fn moment(seconds: f64) -> Option<Value> {
    let shown = date::show(seconds);
    let whole = if shown.len() == "2026-11-25T10:40".len() { format!("{shown}:00") } else { shown };
    whole.parse::<toml_edit::Datetime>().ok().map(Value::from)
}
