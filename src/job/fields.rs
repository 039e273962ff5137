//! The keys of one table of a job, taken out by kind.
//!
//! In: a spanned table of TOML and the part of a job that it is. Out: plain values with places.
//! Never: stops at the first fault; each goes to the collector, and the rest is read on.

use toml::de::{DeTable, DeValue};

use crate::fault::{Fault, Faults, Page, Span, near};

use super::date::{Moment, NoMoment, moment};
use super::wrong::{Found, Place, Takes, Wrong};
use super::{Spanned, is_name};

pub(super) type Value<'t> = toml::Spanned<DeValue<'t>>;

/// The keys of one part of a job.
pub(super) struct Fields<'t> {
    pub(super) page: &'t Page,
    pub(super) table: &'t DeTable<'t>,
    pub(super) place: Place,
    /// Where a missing key is told: the heading, or the table itself.
    pub(super) at: Span,
}

impl<'t> Fields<'t> {
    /// Takes a table as a part of a job; keys that the part does not have are faults.
    pub(super) fn new(
        page: &'t Page,
        table: &'t DeTable<'t>,
        place: Place,
        at: Span,
        faults: &mut Faults,
    ) -> Self {
        for (key, _) in table {
            let found = key.get_ref().as_ref();
            if !place.keys().contains(&found) {
                let near = near(found, place.keys().iter().copied());
                let wrong = Wrong::UnknownKey { found: found.to_owned(), place, near };
                faults.add(Fault::new(key.span(), wrong));
            }
        }
        Self { page, table, place, at }
    }

    /// Returns the value of a key, if it is there.
    pub(super) fn get(&self, key: &str) -> Option<&'t Value<'t>> {
        self.table.get(key)
    }

    /// Returns the value of a key that must be there.
    pub(super) fn need(&self, key: &'static str, faults: &mut Faults) -> Option<&'t Value<'t>> {
        let value = self.get(key);
        // A key that was probably meant has its own fault.
        let meant = || {
            let unknown = |found: &&str| !self.place.keys().contains(found);
            let mut found = self.table.keys().map(|key| key.get_ref().as_ref()).filter(unknown);
            found.any(|found| near(found, self.place.keys().iter().copied()) == Some(key))
        };
        if value.is_none() && !meant() {
            faults.add(Fault::new(self.at, Wrong::Missing { key, place: self.place }));
        }
        value
    }

    /// Returns a text that must be there.
    pub(super) fn need_text(&self, key: &'static str, faults: &mut Faults) -> Option<Spanned<String>> {
        let value = self.need(key, faults)?;
        faults.keep(text(self.page, key, value))
    }

    /// Returns a text that may be left out, but not be empty.
    pub(super) fn text(&self, key: &'static str, faults: &mut Faults) -> Option<Spanned<String>> {
        let value = self.get(key)?;
        faults.keep(text(self.page, key, value))
    }

    /// Returns plain words that may be left out, or be empty, which is the same.
    pub(super) fn words(&self, key: &'static str, faults: &mut Faults) -> Option<String> {
        let value = self.get(key)?;
        if value.get_ref().as_str() == Some("") {
            return None;
        }
        faults.keep(text(self.page, key, value)).map(|text| text.value)
    }

    /// Returns a name, if it is there and is one.
    pub(super) fn name(&self, key: &'static str, faults: &mut Faults) -> Option<Spanned<String>> {
        let text = self.text(key, faults)?;
        if is_name(&text.value) {
            return Some(text);
        }
        let fits = super::as_name(&text.value);
        faults.add(Fault::new(text.at, Wrong::NotName { found: text.value, fits }));
        None
    }

    /// Returns a day, in seconds since 1970-01-01.
    pub(super) fn day(&self, key: &'static str, faults: &mut Faults) -> Option<Spanned<f64>> {
        let value = self.get(key)?;
        match faults.keep(time(key, Takes::Day, value))? {
            Moment::Day(seconds) => Some(Spanned::new(seconds, value.span())),
            Moment::Time(_) => {
                faults.add(differs(key, Takes::Day, value));
                None
            }
        }
    }

    /// Returns a day or a day with a time, in seconds since 1970-01-01.
    pub(super) fn moment(&self, key: &'static str, faults: &mut Faults) -> Option<f64> {
        let value = self.get(key)?;
        faults.keep(time(key, Takes::Moment, value)).map(Moment::seconds)
    }

    /// Returns the tables under headings in double brackets, with the place of each heading.
    pub(super) fn headings(&self, key: &'static str, faults: &mut Faults) -> Vec<(&'t DeTable<'t>, Span)> {
        let Some(value) = self.get(key) else { return Vec::new() };
        let headed = |part: &Value<'_>| self.page.text.get(part.span()).is_some_and(|at| at.starts_with('['));
        let parts = value.get_ref().as_array().filter(|parts| parts.iter().all(headed));
        let tables = parts.and_then(|parts| {
            let one = |part: &'t Value<'t>| Some((part.get_ref().as_table()?, part.span().into()));
            parts.iter().map(one).collect::<Option<Vec<_>>>()
        });
        tables.unwrap_or_else(|| {
            faults.add(differs(key, Takes::Headings, value));
            Vec::new()
        })
    }
}

/// Returns the fault of a value that is not of the kind that its key takes.
pub(super) fn differs(key: &str, takes: Takes, value: &Value<'_>) -> Fault {
    Fault::new(value.span(), Wrong::Differs { key: key.to_owned(), takes, found: found(value.get_ref()) })
}

/// Returns a text that is not empty; its place is what stands between the quotes.
pub(super) fn text(page: &Page, key: &str, value: &Value<'_>) -> Result<Spanned<String>, Fault> {
    let Some(text) = value.get_ref().as_str() else {
        return Err(differs(key, Takes::Text, value));
    };
    if text.is_empty() {
        return Err(Fault::new(value.span(), Wrong::Empty { key: key.to_owned() }));
    }
    Ok(Spanned::new(text.to_owned(), content(page, text, value.span().into())))
}

/// Returns the place of a text within its quotes, or the whole place if it has escapes.
fn content(page: &Page, text: &str, whole: Span) -> Span {
    let written = page.text.get(whole.range()).unwrap_or_default();
    let quotes = if written.starts_with("\"\"\"") || written.starts_with("'''") { 3 } else { 1 };
    let start = whole.start + quotes;
    match whole.end.checked_sub(quotes) {
        Some(end) if page.text.get(start..end) == Some(text) => Span::new(start, end),
        _ => whole,
    }
}

/// Returns the moment that a value stands for.
pub(super) fn time(key: &str, takes: Takes, value: &Value<'_>) -> Result<Moment, Fault> {
    let Some(written) = value.get_ref().as_datetime() else {
        return Err(differs(key, takes, value));
    };
    moment(written).map_err(|reason| match reason {
        NoMoment::Zone => Fault::new(value.span(), Wrong::Zone),
        NoMoment::NoSuch => Fault::new(value.span(), Wrong::NoSuchDate),
        NoMoment::TimeAlone => differs(key, takes, value),
    })
}

fn found(value: &DeValue<'_>) -> Found {
    match value {
        DeValue::String(_) => Found::Text,
        DeValue::Integer(_) | DeValue::Float(_) => Found::Number,
        DeValue::Boolean(_) => Found::Flag,
        DeValue::Datetime(date) => match (date.date, date.time) {
            (Some(_), None) => Found::Day,
            (Some(_), Some(_)) => Found::Moment,
            (None, _) => Found::Time,
        },
        DeValue::Array(_) => Found::List,
        DeValue::Table(_) => Found::Table,
    }
}
