//! A table read from TOML.
//!
//! In: the page. Out: the table, or every fault of it.
//! Never: stops at the first fault; tells one slip twice.

use std::collections::HashMap;
use std::sync::Arc;

use toml::de::{DeTable, DeValue};

use super::{Column, Table, Wrong};
use crate::cite::Cite;
use crate::fault::{Fault, Faults, MOST, Page, Span, is_name, near, part_of, with_line_ends};
use crate::unit::Unit;

pub(super) type Value<'t> = toml::Spanned<DeValue<'t>>;

pub(super) const OF_TABLE: &[&str] = &["title", "revision", "note", "source", "columns", "row"];
const OF_SOURCE: &[&str] = &["document"];
const OF_COLUMN: &[&str] = &["label", "unit", "text", "source", "clause", "unverified"];
pub(super) const TEXT: &str = "a text in quotes";
pub(super) const FLAG: &str = "true or false";

impl Table {
    /// Reads a table.
    ///
    /// # Errors
    /// All faults of the text, in text order. Where it is not TOML, what could follow from that is left out.
    pub fn read(page: &Arc<Page>) -> Result<Self, Vec<Fault>> {
        // A table is never written to: its lines may end as they will.
        let text = with_line_ends(&page.text);
        let (tree, errors) = DeTable::parse_recoverable(&text);
        let mut reader = Reader { page, faults: Faults::default(), broken: Vec::new(), unsure: Vec::new() };
        for error in &errors {
            reader.syntax(error);
        }
        let root = tree.get_ref();
        reader.known_keys(root, OF_TABLE, "a table");
        let sources = reader.sources(root);
        let mut columns = reader.columns(root, &sources);
        let row_unverified = reader.rows(root, &mut columns);
        let made = Self {
            title: reader.needed(root, OF_TABLE, "title", "a table", 0..0).unwrap_or_default(),
            revision: reader.revision(root),
            note: reader.text(root, "note"),
            rows: row_unverified.len(),
            columns,
            row_unverified,
            page: Arc::clone(page),
        };
        reader.faults.or(made)
    }
}

pub(super) struct Reader<'p> {
    pub(super) page: &'p Page,
    faults: Faults,
    /// The lines that are not TOML.
    broken: Vec<usize>,
    /// Columns that say neither a unit nor that they are texts: their cells are not judged.
    pub(super) unsure: Vec<String>,
}

impl Reader<'_> {
    fn syntax(&mut self, error: &toml::de::Error) {
        if self.broken.len() >= MOST {
            return;
        }
        let end = self.page.text.len();
        let at = error.span().map_or(Span::new(end, end), Span::from);
        let line = self.page.place(at.start).0;
        if !self.broken.contains(&line) {
            self.broken.push(line);
            self.faults.add(Fault::new(at, Wrong::Syntax { words: error.message().to_owned() }));
        }
    }

    pub(super) fn add(&mut self, at: impl Into<Span>, wrong: Wrong) {
        let at = at.into();
        // A value that TOML could not read stands for nothing written: it has no characters.
        let follows = wrong.may_follow() || at.start == at.end;
        if self.broken.is_empty() || !follows {
            self.keep(Fault::new(at, wrong));
        }
    }

    /// Keeps a fault, unless its line is not TOML at all.
    pub(super) fn keep(&mut self, fault: Fault) {
        // A place is found by reading along: not once for each of a million cells.
        let told = self.faults.count() >= MOST;
        if !told && (self.broken.is_empty() || !self.broken.contains(&self.page.place(fault.at.start).0)) {
            self.faults.add(fault);
        }
    }

    fn known_keys(&mut self, table: &DeTable<'_>, known: &[&str], of: &'static str) {
        for (key, _) in table {
            self.known_key(key.get_ref(), key.span().into(), known, of);
        }
    }

    /// Returns whether a key is known; one that is not is told.
    pub(super) fn known_key(&mut self, found: &str, at: Span, known: &[&str], of: &'static str) -> bool {
        let fits = known.contains(&found);
        if !fits {
            let near = near(found, known.iter().copied()).map(str::to_owned);
            let known = known.iter().map(|key| (*key).to_owned()).collect();
            self.add(at, Wrong::UnknownKey { found: found.to_owned(), of, known, near });
        }
        fits
    }

    /// Returns the value of a key, if it is there and of its kind.
    fn of_kind<T>(
        &mut self,
        table: &DeTable<'_>,
        key: &str,
        wanted: &'static str,
        read: impl Fn(&DeValue<'_>) -> Option<T>,
    ) -> Option<T> {
        let value = table.get(key)?;
        let found = read(value.get_ref());
        if found.is_none() {
            self.add(value.span(), Wrong::Kind { key: key.to_owned(), wanted });
        }
        found
    }

    fn text(&mut self, table: &DeTable<'_>, key: &str) -> Option<String> {
        self.of_kind(table, key, TEXT, |value| value.as_str().map(str::to_owned))
    }

    pub(super) fn flag(&mut self, table: &DeTable<'_>, key: &str) -> bool {
        self.of_kind(table, key, FLAG, |value| value.as_bool()).unwrap_or(false)
    }

    fn needed(
        &mut self,
        table: &DeTable<'_>,
        known: &[&str],
        key: &'static str,
        of: &'static str,
        at: impl Into<Span>,
    ) -> Option<String> {
        if is_missing(table, key, known) {
            self.add(at, Wrong::Missing { key, of });
        }
        self.text(table, key)
    }

    fn revision(&mut self, root: &DeTable<'_>) -> u32 {
        if is_missing(root, "revision", OF_TABLE) {
            self.add(0..0, Wrong::Missing { key: "revision", of: "a table" });
        }
        let whole = |value: &DeValue<'_>| {
            decimal(value).filter(|_| value.is_integer())?.parse::<u32>().ok().filter(|number| *number > 0)
        };
        self.of_kind(root, "revision", "a whole number from 1", whole).unwrap_or(1)
    }

    pub(super) fn table_of<'t>(&mut self, key: &str, value: &'t Value<'t>) -> Option<&'t DeTable<'t>> {
        let table = value.get_ref().as_table();
        if table.is_none() {
            self.add(value.span(), Wrong::Kind { key: key.to_owned(), wanted: "a table of keys" });
        }
        table
    }

    /// Returns the documents by the word that columns cite.
    fn sources(&mut self, root: &DeTable<'_>) -> HashMap<String, String> {
        let mut sources = HashMap::from([(Cite::PRACTICE_WORD.to_owned(), Cite::PRACTICE.to_owned())]);
        let Some(table) = root.get("source").and_then(|value| self.table_of("source", value)) else {
            return sources;
        };
        for (id, value) in table {
            let Some(source) = self.table_of(id.get_ref(), value) else { continue };
            if id.get_ref() == Cite::PRACTICE_WORD {
                self.add(id.span(), Wrong::SourceTaken);
            }
            self.known_keys(source, OF_SOURCE, "a source");
            let document = self.needed(source, OF_SOURCE, "document", "a source", id.span());
            sources.insert(id.get_ref().to_string(), document.unwrap_or_default());
        }
        sources
    }

    fn columns(&mut self, root: &DeTable<'_>, sources: &HashMap<String, String>) -> Vec<Column> {
        if is_missing(root, "columns", OF_TABLE) {
            self.add(0..0, Wrong::Missing { key: "columns", of: "a table" });
        }
        let Some(value) = root.get("columns") else { return Vec::new() };
        let Some(table) = self.table_of("columns", value) else { return Vec::new() };
        let mut columns = Vec::new();
        for (name, value) in table {
            let found = name.get_ref().to_string();
            if found == "unverified" {
                self.add(name.span(), Wrong::NameTaken { found: found.clone() });
            } else if !is_name(&found) {
                self.add(name.span(), Wrong::BadName { found: found.clone() });
            }
            if let Some(keys) = self.table_of(&found, value) {
                self.known_keys(keys, OF_COLUMN, "a column");
                let unit = self.column_unit(&found, keys, name.span().into());
                let all_sources = !is_misspelt(root, "source", OF_TABLE);
                let (label, cite) = (self.text(keys, "label"), self.cite(keys, sources, all_sources));
                columns.push(Column { name: found, label, unit, cite, cells: Vec::new() });
            }
        }
        columns
    }

    /// Returns the unit of a column; `None`: a column of texts.
    fn column_unit(&mut self, name: &str, keys: &DeTable<'_>, at: Span) -> Option<Unit> {
        let is_text = self.flag(keys, "text");
        match keys.get("unit") {
            Some(value) if is_text => {
                self.add(value.span(), Wrong::TextWithUnit);
                None
            }
            Some(value) => {
                let text = self.text(keys, "unit").unwrap_or_default();
                Some(self.unit(&text, value.span().into()))
            }
            None if is_text => None,
            None => {
                // A `text` that is no flag, or is misspelt, is told already.
                let flag = keys.get("text").is_none_or(|value| value.get_ref().is_bool());
                if flag && is_missing(keys, "unit", OF_COLUMN) && !is_misspelt(keys, "text", OF_COLUMN) {
                    self.add(at, Wrong::Missing { key: "unit", of: "a column" });
                }
                self.unsure.push(name.to_owned());
                Some(Unit::plain())
            }
        }
    }

    fn unit(&mut self, text: &str, value: Span) -> Unit {
        match Unit::read(if text == "1" { "" } else { text }) {
            Ok(unit) => unit,
            Err(fault) => {
                // A value that TOML could not read has no characters, and so no quotes.
                let quotes = usize::from(value.end >= value.start + 2);
                let inside = Span::new(value.start + quotes, value.end - quotes);
                self.keep(Fault { at: part_of(text, inside, fault.at.range()), ..fault });
                Unit::plain()
            }
        }
    }

    /// Returns what a column cites; where not all sources could be read, an unknown one may be among the rest.
    fn cite(&mut self, keys: &DeTable<'_>, sources: &HashMap<String, String>, all: bool) -> Option<Cite> {
        let (clause, unverified) = (self.text(keys, "clause"), self.flag(keys, "unverified"));
        let Some(value) = keys.get("source") else {
            let clause = keys.get_key_value("clause").filter(|_| is_missing(keys, "source", OF_COLUMN));
            if let Some((key, _)) = clause {
                self.add(key.span(), Wrong::Missing { key: "source", of: "a column with a clause" });
            }
            return None;
        };
        let found = self.text(keys, "source")?;
        let Some(document) = sources.get(&found) else {
            let near = near(&found, sources.keys().map(String::as_str)).map(str::to_owned);
            if all {
                self.add(value.span(), Wrong::UnknownSource { found, near });
            }
            return None;
        };
        Some(Cite { document: document.clone(), clause, unverified })
    }
}

/// Returns whether a key is neither there nor there under a wrong spelling, which is told already.
pub(super) fn is_missing(table: &DeTable<'_>, key: &str, known: &[&str]) -> bool {
    !table.contains_key(key) && !is_misspelt(table, key, known)
}

/// Returns whether an unknown key was probably meant to be this one.
pub(super) fn is_misspelt(table: &DeTable<'_>, key: &str, known: &[&str]) -> bool {
    // `[sourcebook]` has lost its point.
    let meant = |found: &str| {
        !known.contains(&found) && (found.starts_with(key) || near(found, known.iter().copied()) == Some(key))
    };
    table.keys().any(|found| meant(found.get_ref()))
}

/// Returns the digits of a number written in tens.
pub(super) fn decimal(value: &DeValue<'_>) -> Option<String> {
    match value {
        DeValue::Integer(number) if number.radix() == 10 => Some(number.as_str().replace('_', "")),
        DeValue::Float(number) => Some(number.as_str().replace('_', "")),
        DeValue::Integer(_)
        | DeValue::String(_)
        | DeValue::Boolean(_)
        | DeValue::Datetime(_)
        | DeValue::Array(_)
        | DeValue::Table(_) => None,
    }
}
