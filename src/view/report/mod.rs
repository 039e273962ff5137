//! A report: one page of its own, for those who check it later and elsewhere; also as Markdown, CSV and JSON.
//!
//! In: a job told for a reviewer. Out: a text that begins with what its form always begins with.
//! Never: runs a script or fetches anything; lets a text of a job break out of its place.

mod csv;
mod limit;
mod markdown;
mod math;
mod page;
mod plot;
mod sheet;
mod style;
mod units;

use maud::{Markup, html};
use serde_json::{Value, json};

use crate::notebook::Report;
use crate::notebook::record::{LineRecord, Value as Cells};

/// A form of a report.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// A page for a browser or a printer.
    Html,
    /// Text with tables.
    Markdown,
    /// A row a line, a cell or a limit.
    Csv,
    /// The object of `check`, with what it was worked from.
    Json,
}

/// What to do about a file whose ending asks for no form.
pub const ENDINGS: &str = "let the file end in .html, .md, .csv or .json";

impl Form {
    /// Every form, with the endings of its files.
    pub const ALL: [(Self, &[&str]); 4] = [
        (Self::Html, &["html", "htm"]),
        (Self::Markdown, &["md"]),
        (Self::Csv, &["csv"]),
        (Self::Json, &["json"]),
    ];

    /// Returns the form that a file's ending asks for.
    pub fn of_ending(ending: &str) -> Option<Self> {
        let ending = ending.to_lowercase();
        Self::ALL.iter().find(|(_, endings)| endings.contains(&ending.as_str())).map(|(form, _)| *form)
    }

    /// Returns what a report of this form begins with, and no other file: an earlier one is known by it.
    pub fn opening(self) -> &'static str {
        match self {
            Self::Html => page::OPENING,
            Self::Markdown => markdown::OPENING,
            Self::Csv => csv::OPENING,
            Self::Json => "{\n  \"written_by\": \"wattle report\",\n",
        }
    }
}

/// Returns a report.
pub fn report(report: &Report, form: Form) -> String {
    match form {
        Form::Html => page::page(report),
        Form::Markdown => markdown::markdown(report),
        Form::Csv => csv::csv(report),
        Form::Json => json(report),
    }
}

fn json(report: &Report) -> String {
    let mut made = json!({"written_by": "wattle report"});
    if let (Some(made), Value::Object(record)) = (made.as_object_mut(), super::json::record(&report.record)) {
        made.extend(record);
        made.insert("identity".to_owned(), serde_json::to_value(&report.identity).unwrap_or(Value::Null));
    }
    format!("{made:#}\n")
}

/// Returns a name as it is typed; a line may break behind its dots and strokes.
fn code(name: &str) -> Markup {
    let pieces = name.split_inclusive(['_', '.', '/']);
    html! { code { @for (n, piece) in pieces.enumerate() { @if n > 0 { wbr; } (piece) } } }
}

/// Returns whether a column is the one that its rows go by.
fn names_rows(line: &LineRecord, names: &[String]) -> bool {
    let is_text =
        matches!(&line.value, Cells::Rows(cells) if cells.iter().all(|cell| matches!(cell, Cells::Text(_))));
    is_text && line.shown_rows == names && !names.is_empty()
}
