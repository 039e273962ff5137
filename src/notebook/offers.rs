//! What may be typed next: names, and the values that a line takes.
//!
//! In: an open job, and a name. Out: its label, its unit or kind, its choices.
//! Never: sets anything.

use super::change::Notebook;
use super::enter;
use super::names::{Named, named};
use crate::fault::{Span, Spanned};
use crate::sheet::model::{Is, Work};
use crate::sheet::scan::Scan;

/// What a line takes.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    /// Its label.
    pub label: String,
    /// Its unit; empty where it has none.
    pub unit: String,
    /// Its plausible range, in words; may be empty.
    pub range: String,
    /// What may be chosen, as it is typed.
    pub choices: Vec<String>,
}

impl Notebook {
    /// Returns what a line takes, if a text is the name of one that a person gives.
    pub fn offer(&self, name: &str) -> Option<Offer> {
        let mut scan = Scan::new(name, Span::new(0, name.len()));
        let (path, at) = scan.expect_path("a name").ok()?;
        if !scan.is_done() {
            return None;
        }
        let Named::Line(place) = named(&self.book, self.first, &Spanned::new(path, at)).ok()? else {
            return None;
        };
        let sheet = &self.book.uses[place.s].sheet;
        let line = &sheet.lines[place.n];
        let Work::Given { within, one_of, .. } = &line.work else { return None };
        let choices = match (line.is, one_of) {
            (Is::Flag, _) => vec!["yes".to_owned(), "no".to_owned()],
            (_, Some(choices)) => {
                let all = enter::choice_list(sheet, choices);
                all.iter().map(|choice| enter::words_of(choice, &line.unit)).collect()
            }
            (_, None) => Vec::new(),
        };
        Some(Offer {
            label: line.label.clone(),
            unit: line.unit.symbol().to_owned(),
            range: within.as_ref().map_or(String::new(), |(low, high)| format!("{low} .. {high}")),
            choices,
        })
    }
}
