//! Published tables: columns of figures, each with its document.
//!
//! In: a TOML text. Out: a [`Table`] in SI, or every fault of the text.
//! Never: looks a value up (that is `engine`); fills in a missing cell.

mod read;
mod rows;
#[cfg(test)]
mod tests;
mod wrong;

use std::sync::Arc;

use crate::cite::Cite;
use crate::fault::Page;
use crate::unit::{Unit, show};

pub use wrong::Wrong;

/// A published table.
#[derive(Debug, PartialEq)]
pub struct Table {
    /// The title.
    pub title: String,
    /// The revision.
    pub revision: u32,
    /// A remark.
    pub note: Option<String>,
    /// The columns, in the file's order; the first names the row.
    pub columns: Vec<Column>,
    /// How many rows there are.
    pub rows: usize,
    /// Rows that nobody here has read in the document.
    pub row_unverified: Vec<bool>,
    /// The text it was read from.
    pub page: Arc<Page>,
}

/// A column of a table.
#[derive(Debug, PartialEq)]
pub struct Column {
    /// The name.
    pub name: String,
    /// The label, for people.
    pub label: Option<String>,
    /// The unit; `None`: a column of texts.
    pub unit: Option<Unit>,
    /// Where its figures come from.
    pub cite: Option<Cite>,
    /// The cells, one a row; `None`: a missing cell.
    pub cells: Vec<Option<Cell>>,
}

/// A cell of a table.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// A number, in SI.
    Number(f64),
    /// A text.
    Text(String),
}

impl Cell {
    /// Returns the number, in SI.
    fn known_number(&self) -> Option<f64> {
        match self {
            Self::Number(number) => Some(*number),
            Self::Text(_) => None,
        }
    }
}

impl Table {
    /// Returns the place of a column.
    pub fn column(&self, name: &str) -> Option<usize> {
        self.columns.iter().position(|column| column.name == name)
    }

    /// Returns the name of a row: what its first column says.
    pub fn row_name(&self, row: usize) -> Option<String> {
        let first = self.columns.first()?;
        match (first.cells.get(row)?.as_ref()?, &first.unit) {
            (Cell::Text(text), _) => Some(text.clone()),
            (Cell::Number(si), Some(unit)) => Some(show::short(*si, unit)),
            (Cell::Number(_), None) => None,
        }
    }

    /// Returns whether the numbers of a column rise from row to row, and none is missing.
    pub fn rising(&self, column: usize) -> bool {
        let Some(column) = self.columns.get(column) else { return false };
        let numbers: Option<Vec<f64>> =
            column.cells.iter().map(|cell| cell.as_ref().and_then(Cell::known_number)).collect();
        numbers.is_some_and(|numbers| numbers.windows(2).all(|pair| pair[0] < pair[1]))
    }
}
