//! The rows of a table.
//!
//! In: the TOML rows and the columns. Out: the columns filled, and which rows are unverified.
//! Never: fills in a cell that is missing.

use std::collections::{HashMap, HashSet};

use toml::de::DeTable;

use super::read::{OF_TABLE, Reader, TEXT, Value, decimal, is_missing, is_misspelt};
use super::{Cell, Column, Wrong};
use crate::fault::{Fault, Span};

const ROW: &str = "a row of this table";

impl Reader<'_> {
    /// Fills the columns; returns which rows are unverified.
    pub(super) fn rows(&mut self, root: &DeTable<'_>, columns: &mut [Column]) -> Vec<bool> {
        if is_missing(root, "row", OF_TABLE) {
            self.add(0..0, Wrong::NoRows);
        }
        let Some(value) = root.get("row") else { return Vec::new() };
        let Some(rows) = value.get_ref().as_array() else {
            let key = "row".to_owned();
            self.add(value.span(), Wrong::Kind { key, wanted: "rows, each under [[row]]" });
            return Vec::new();
        };
        if rows.is_empty() {
            self.add(value.span(), Wrong::NoRows);
        }
        let names: Vec<String> = columns.iter().map(|column| column.name.clone()).collect();
        let known: Vec<&str> = names.iter().map(String::as_str).chain(["unverified"]).collect();
        let all_columns = !columns.is_empty() && !is_misspelt(root, "columns", OF_TABLE);
        let (mut seen, mut told) = (HashMap::new(), HashSet::new());
        let mut unverified = Vec::new();
        for row in rows.iter() {
            let Some(cells) = self.table_of("row", row) else { continue };
            for (key, _) in cells.iter().filter(|_| all_columns) {
                let found = key.get_ref().as_ref();
                // A column of another name gives one fault, not one in each row.
                if !told.contains(found) && !self.known_key(found, key.span().into(), &known, ROW) {
                    told.insert(found.to_owned());
                }
            }
            unverified.push(self.flag(cells, "unverified"));
            for (n, column) in columns.iter_mut().enumerate() {
                let cell = cells.get(column.name.as_str()).and_then(|value| self.cell(n, column, value));
                column.cells.push(cell);
            }
            if let Some(first) = columns.first().filter(|first| !is_misspelt(cells, &first.name, &known)) {
                self.row_name(first, row.span().into(), cells, &mut seen);
            }
        }
        unverified
    }

    /// Checks that the first column names the row, and names it alone.
    fn row_name(&mut self, first: &Column, row: Span, cells: &DeTable<'_>, seen: &mut HashMap<String, Span>) {
        let missing = || Wrong::FirstColumnMissing { column: first.name.clone() };
        let Some(value) = cells.get(first.name.as_str()) else { return self.add(row, missing()) };
        let at = Span::from(value.span());
        let name = match first.cells.last().and_then(Option::as_ref) {
            Some(Cell::Text(text)) if text.is_empty() => return self.add(at, missing()),
            Some(Cell::Text(text)) => text.clone(),
            // Zero is one number, with or without its sign.
            Some(Cell::Number(number)) => (number + 0.0).to_string(),
            // Its fault is told already: it is of another kind.
            None => return,
        };
        match seen.get(&name) {
            None => {
                seen.insert(name, at);
            }
            Some(before) => {
                let name = self.page.text.get(at.range()).unwrap_or(&name).trim_matches('"').to_owned();
                self.keep(Fault::new(at, Wrong::SameRow { name }).with_also(*before, "first here"));
            }
        }
    }

    fn cell(&mut self, n: usize, column: &Column, value: &Value<'_>) -> Option<Cell> {
        let found = value.get_ref();
        let (cell, wanted) = match &column.unit {
            // The first column names the row: there, that is told.
            None if found.as_str() == Some("") && n > 0 => {
                (None, "a text that is not empty; a missing cell is left out")
            }
            None => (found.as_str().map(|text| Cell::Text(text.to_owned())), TEXT),
            Some(unit) => {
                let number = decimal(found).and_then(|digits| digits.parse::<f64>().ok());
                let si = number.map(|number| unit.to_si(number)).filter(|si| si.is_finite());
                (si.map(Cell::Number), "a number in the column's unit")
            }
        };
        if cell.is_none() && !self.unsure.contains(&column.name) {
            self.add(value.span(), Wrong::Kind { key: column.name.clone(), wanted });
        }
        cell
    }
}
