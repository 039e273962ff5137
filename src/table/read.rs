//! A table read from TOML.
//!
//! In: the page. Out: the table, or every fault of it.
//! Never: stops at the first fault.

use std::collections::HashMap;
use std::sync::Arc;

use toml::de::{DeTable, DeValue};

use super::{Cell, Column, Table, Wrong};
use crate::cite::Cite;
use crate::fault::{Fault, Faults, Page, Span, near};
use crate::unit::Unit;

type Value<'t> = toml::Spanned<DeValue<'t>>;

const OF_TABLE: &[&str] = &["title", "revision", "note", "source", "columns", "row"];
const OF_COLUMN: &[&str] = &["label", "unit", "text", "source", "clause", "unverified"];

impl Table {
    /// Reads a table.
    ///
    /// # Errors
    /// All faults of the text, in text order.
    pub fn read(page: &Arc<Page>) -> Result<Self, Vec<Fault>> {
        let (tree, errors) = DeTable::parse_recoverable(&page.text);
        let mut reader = Reader { faults: Faults::default() };
        for error in &errors {
            let at = error.span().map_or(Span::new(page.text.len(), page.text.len()), Span::from);
            reader.faults.add(Fault::new(at, Wrong::Syntax { words: error.message().to_owned() }));
        }
        if !errors.is_empty() {
            reader.faults.or(())?;
            return Err(Vec::new());
        }
        let root = tree.get_ref();
        reader.known_keys(root, OF_TABLE, "a table");
        let sources = reader.sources(root);
        let mut columns = reader.columns(root, &sources);
        let row_unverified = reader.rows(root, &mut columns);
        let made = Self {
            title: reader.text(root, "title").unwrap_or_default(),
            revision: reader.revision(root),
            note: root.get("note").and_then(|note| note.get_ref().as_str()).map(str::to_owned),
            rows: row_unverified.len(),
            columns,
            row_unverified,
            page: Arc::clone(page),
        };
        reader.faults.or(made)
    }
}

struct Reader {
    faults: Faults,
}

impl Reader {
    fn add(&mut self, at: impl Into<Span>, wrong: Wrong) {
        self.faults.add(Fault::new(at, wrong));
    }

    fn known_keys(&mut self, table: &DeTable<'_>, known: &[&str], of: &'static str) {
        for (key, _) in table {
            let found = key.get_ref().as_ref();
            if !known.contains(&found) {
                let near = near(found, known.iter().copied()).map(str::to_owned);
                let known = known.iter().map(|key| (*key).to_owned()).collect();
                self.add(key.span(), Wrong::UnknownKey { found: found.to_owned(), of, known, near });
            }
        }
    }

    fn text(&mut self, table: &DeTable<'_>, key: &'static str) -> Option<String> {
        match table.get(key) {
            None => {
                self.add(0..0, Wrong::Missing { key, of: "a table" });
                None
            }
            Some(value) => self.text_of(key, value).map(|(text, _)| text),
        }
    }

    /// Returns a text and the place of its first character.
    fn text_of(&mut self, key: &str, value: &Value<'_>) -> Option<(String, usize)> {
        match value.get_ref().as_str() {
            Some(text) => Some((text.to_owned(), value.span().start + 1)),
            None => {
                self.add(value.span(), Wrong::Kind { key: key.to_owned(), wanted: "a text in quotes" });
                None
            }
        }
    }

    fn revision(&mut self, root: &DeTable<'_>) -> u32 {
        let Some(value) = root.get("revision") else {
            self.add(0..0, Wrong::Missing { key: "revision", of: "a table" });
            return 1;
        };
        let found = value.get_ref().as_integer().and_then(|number| number.as_str().parse::<u32>().ok());
        if found.is_none() {
            self.add(
                value.span(),
                Wrong::Kind { key: "revision".to_owned(), wanted: "a whole number from 1" },
            );
        }
        found.unwrap_or(1)
    }

    fn table_of<'t>(&mut self, key: &str, value: &'t Value<'t>) -> Option<&'t DeTable<'t>> {
        let table = value.get_ref().as_table();
        if table.is_none() {
            self.add(value.span(), Wrong::Kind { key: key.to_owned(), wanted: "a table of keys" });
        }
        table
    }

    /// Returns the documents by the word that columns cite.
    fn sources(&mut self, root: &DeTable<'_>) -> HashMap<String, String> {
        let mut sources = HashMap::from([("practice".to_owned(), Cite::PRACTICE.to_owned())]);
        let Some(table) = root.get("source").and_then(|value| self.table_of("source", value)) else {
            return sources;
        };
        for (id, value) in table {
            let Some(source) = self.table_of(id.get_ref(), value) else { continue };
            self.known_keys(source, &["document"], "a source");
            match source.get("document") {
                Some(document) => {
                    let document = self.text_of("document", document).map(|(text, _)| text);
                    sources.insert(id.get_ref().to_string(), document.unwrap_or_default());
                }
                None => self.add(id.span(), Wrong::Missing { key: "document", of: "a source" }),
            }
        }
        sources
    }

    fn columns(&mut self, root: &DeTable<'_>, sources: &HashMap<String, String>) -> Vec<Column> {
        let Some(value) = root.get("columns") else {
            self.add(0..0, Wrong::Missing { key: "columns", of: "a table" });
            return Vec::new();
        };
        let Some(table) = self.table_of("columns", value) else { return Vec::new() };
        let mut columns = Vec::new();
        for (name, value) in table {
            let word = name.get_ref().as_ref();
            let fits = word.starts_with(|c: char| c.is_ascii_lowercase())
                && word.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_');
            if !fits {
                self.add(name.span(), Wrong::BadName { found: word.to_owned() });
            }
            if let Some(keys) = self.table_of(word, value) {
                columns.push(self.column(word, name.span().into(), keys, sources));
            }
        }
        columns
    }

    fn column(
        &mut self,
        name: &str,
        at: Span,
        keys: &DeTable<'_>,
        sources: &HashMap<String, String>,
    ) -> Column {
        self.known_keys(keys, OF_COLUMN, "a column");
        let flag = |key: &str| keys.get(key).is_some_and(|value| value.get_ref().as_bool() == Some(true));
        let words = |key: &str| keys.get(key).and_then(|value| value.get_ref().as_str()).map(str::to_owned);
        let unit = match keys.get("unit") {
            Some(_) if flag("text") => None,
            Some(value) => self.text_of("unit", value).map(|(text, start)| self.unit(&text, start)),
            None if flag("text") => None,
            None => {
                self.add(at, Wrong::Missing { key: "unit", of: "a column" });
                Some(Unit::plain())
            }
        };
        let cite = keys.get("source").and_then(|value| {
            let (id, _) = self.text_of("source", value)?;
            let Some(document) = sources.get(&id) else {
                let near = near(&id, sources.keys().map(String::as_str)).map(str::to_owned);
                self.add(value.span(), Wrong::UnknownSource { found: id, near });
                return None;
            };
            Some(Cite { document: document.clone(), clause: words("clause"), unverified: flag("unverified") })
        });
        Column { name: name.to_owned(), label: words("label"), unit, cite, cells: Vec::new() }
    }

    fn unit(&mut self, text: &str, start: usize) -> Unit {
        let text = if text == "1" { "" } else { text };
        let read = Unit::read(text).map_err(|fault| fault.shifted(start));
        self.faults.keep(read).unwrap_or_else(Unit::plain)
    }

    /// Fills the columns; returns which rows are unverified.
    fn rows(&mut self, root: &DeTable<'_>, columns: &mut [Column]) -> Vec<bool> {
        let rows = root.get("row").and_then(|value| value.get_ref().as_array());
        let Some(rows) = rows.filter(|rows| !rows.is_empty()) else {
            self.add(0..0, Wrong::NoRows);
            return Vec::new();
        };
        let known: Vec<String> =
            columns.iter().map(|column| column.name.clone()).chain(["unverified".to_owned()]).collect();
        let known: Vec<&str> = known.iter().map(String::as_str).collect();
        let mut seen = HashMap::new();
        let mut unverified = Vec::new();
        for row in rows.iter() {
            let Some(cells) = self.table_of("row", row) else { continue };
            self.known_keys(cells, &known, "a row of this table");
            unverified
                .push(cells.get("unverified").is_some_and(|value| value.get_ref().as_bool() == Some(true)));
            for column in columns.iter_mut() {
                let cell = cells.get(column.name.as_str()).and_then(|value| self.cell(column, value));
                column.cells.push(cell);
            }
            let Some(first) = columns.first() else { continue };
            match cells.get(first.name.as_str()) {
                None => self.add(row.span(), Wrong::FirstColumnMissing { column: first.name.clone() }),
                Some(value) => {
                    let name = format!("{:?}", first.cells.last());
                    if seen.insert(name, ()).is_some() {
                        let text =
                            value.get_ref().as_str().map_or_else(|| "of this key".to_owned(), str::to_owned);
                        self.add(value.span(), Wrong::SameRow { name: text });
                    }
                }
            }
        }
        unverified
    }

    fn cell(&mut self, column: &Column, value: &Value<'_>) -> Option<Cell> {
        let key = column.name.clone();
        match (&column.unit, value.get_ref()) {
            (None, DeValue::String(text)) => Some(Cell::Text(text.to_string())),
            (None, _) => {
                self.add(value.span(), Wrong::Kind { key, wanted: "a text in quotes" });
                None
            }
            (Some(unit), found) => {
                let number = match found {
                    DeValue::Integer(number) => number.as_str().replace('_', "").parse::<f64>().ok(),
                    DeValue::Float(number) => number.as_str().replace('_', "").parse::<f64>().ok(),
                    _ => None,
                };
                match number.filter(|number| number.is_finite()) {
                    Some(number) => Some(Cell::Number(unit.to_si(number))),
                    None => {
                        self.add(value.span(), Wrong::Kind { key, wanted: "a number in the column's unit" });
                        None
                    }
                }
            }
        }
    }
}
