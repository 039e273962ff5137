//! A job as it stands in its file: plain values, each with its place.
//!
//! In: nothing. Out: the types that the reader makes.
//! Never: holds a quantity or a sheet: the notebook reads the texts against the sheets.

use std::sync::Arc;

use crate::fault::{Page, Span};

use super::mark::Mark;
use super::{How, Spanned};

/// One site's numbers for several sheets on one basis.
#[derive(Clone, Debug, PartialEq)]
pub struct Job {
    /// The job's title.
    pub title: String,
    /// The day of the work, in seconds since 1970-01-01 on the site's clock.
    pub on: Option<Spanned<f64>>,
    /// The name of a built-in basis, or of a `.basis` file beside the job.
    pub basis: Spanned<String>,
    /// Who prepared it.
    pub prepared_by: Option<String>,
    /// Columns of CSV files that no sheet of the job is to use.
    pub ignore: Vec<Spanned<String>>,
    /// The instruments that were used, each name once.
    pub instruments: Vec<Instrument>,
    /// The sheets, each name once, in the order of the file.
    pub sheets: Vec<Use>,
    /// The review marks.
    pub marks: Vec<Mark>,
    /// The file.
    pub page: Arc<Page>,
}

/// An instrument that readings were taken with.
#[derive(Clone, Debug, PartialEq)]
pub struct Instrument {
    /// The name that entries call it by.
    pub name: Spanned<String>,
    /// What it is, with its serial number.
    pub kind: Option<String>,
    /// The last day of its calibration, in seconds since 1970-01-01 on the site's clock.
    pub calibrated_until: Option<f64>,
    /// How well it reads, as written: `2 % + 5 mA`.
    pub tolerance: Option<Spanned<String>>,
    /// Its heading.
    pub at: Span,
}

/// A sheet as used in a job.
#[derive(Clone, Debug, PartialEq)]
pub struct Use {
    /// The sheet's own name (`use`).
    pub sheet: Spanned<String>,
    /// Its name in this job (`as`); left out, the same, in the same place.
    pub name: Spanned<String>,
    /// What was entered, in the order of the file.
    pub given: Vec<(Spanned<String>, Entry)>,
    /// Figures of the basis given or overridden.
    pub take: Vec<(Spanned<String>, Entry)>,
    /// The rows of its schedules.
    pub schedules: Vec<(Spanned<String>, Rows)>,
    /// Its heading.
    pub at: Span,
}

/// A value entered, with what is known of where it came from.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// The value; never an empty text.
    pub value: Spanned<Raw>,
    /// How it came to be known.
    pub how: Option<Spanned<How>>,
    /// The instrument; one of the job's.
    pub with: Option<Spanned<String>>,
    /// Who entered it.
    pub who: Option<String>,
    /// When, in seconds since 1970-01-01 on the site's clock.
    pub at: Option<f64>,
    /// Why a value outside its range is taken anyway.
    pub anyway: Option<String>,
    /// A remark.
    pub note: Option<String>,
    /// The document that a figure is taken from.
    pub by: Option<String>,
}

impl Entry {
    /// Returns whether it is a formula over lines of other sheets: `= standby.total`.
    pub fn is_link(&self) -> bool {
        matches!(&self.value.value, Raw::Text(text) if text.trim_start().starts_with('='))
    }
}

/// A value as written.
#[derive(Clone, Debug, PartialEq)]
pub enum Raw {
    /// A text in quotes: `18 Ah`, `= standby.total`, `?`.
    Text(String),
    /// A bare number, whole or not; finite.
    Number(f64),
    /// `true` or `false`.
    Flag(bool),
    /// A bare date, with or without a time, in seconds since 1970-01-01 on the site's clock.
    Date(f64),
}

/// Not known yet.
impl Default for Raw {
    fn default() -> Self {
        Self::Text("?".to_owned())
    }
}

/// The rows of a schedule.
#[derive(Clone, Debug, PartialEq)]
pub enum Rows {
    /// A CSV file beside the job.
    Csv(RowFile),
    /// Rows written in the job.
    Listed(Vec<Row>),
    /// Another sheet's schedule, linked whole: what stands after the `=`.
    Linked(Spanned<String>),
}

/// A CSV file with the rows of a schedule, and what is known of every value in it.
#[derive(Clone, Debug, PartialEq)]
pub struct RowFile {
    /// Its name.
    pub name: Spanned<String>,
    /// How the values came to be known.
    pub how: Option<Spanned<How>>,
    /// Who entered them.
    pub who: Option<String>,
    /// When, in seconds since 1970-01-01 on the site's clock.
    pub at: Option<f64>,
    /// A remark.
    pub note: Option<String>,
}

impl RowFile {
    /// Returns a file of whose values nothing more is known.
    pub fn bare(name: Spanned<String>) -> Self {
        Self { name, how: None, who: None, at: None, note: None }
    }

    /// Returns one cell as an entry.
    pub fn cell(&self, value: Spanned<Raw>) -> Entry {
        let (how, who, note) = (self.how.clone(), self.who.clone(), self.note.clone());
        Entry { how, who, at: self.at, note, ..Entry::bare(value) }
    }
}

/// A row written in the job.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Its cells, by the names of their columns, in the order written.
    pub cells: Vec<(Spanned<String>, Entry)>,
    /// The row, or its heading.
    pub at: Span,
}
