//! A row named alone, and the columns of it that are worked out.
//!
//! In: a name as typed. Out: the row, and the full names of its lines.
//! Never: guesses what a name that is no row was meant to be.

use crate::notebook::book::names::{Named, named};
use crate::notebook::change::typed::Typed;
use crate::notebook::open::Notebook;
use crate::sheet::model::Role;

/// A row of a schedule.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Its sheet, by its place in the record.
    pub sheet: usize,
    /// Its schedule.
    pub schedule: String,
    /// Its place, from 0.
    pub row: usize,
    /// The full names of the lines in it that are worked out.
    pub worked: Vec<String>,
}

impl Notebook {
    /// Returns the row that a text names, if it is the name of one.
    pub fn row(&self, line: &str, from: usize) -> Option<Row> {
        let path = Typed::read_path(line, from).ok()?;
        let Named::Row(s, n, row) = named(&self.book, self.first, &path).ok()? else { return None };
        let used = &self.book.uses[s];
        let schedule = &used.sheet.schedules[n];
        let is_worked =
            |line: &&usize| matches!(used.sheet.lines[**line].role, Role::Find(_) | Role::Limit { .. });
        let worked = schedule.columns.iter().filter(is_worked).map(|line| used.full_name(*line, row));
        Some(Row { sheet: s, schedule: schedule.name.value.clone(), row, worked: worked.collect() })
    }
}
