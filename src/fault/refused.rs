//! Faults gathered: pages refused whole, each with all of its faults.
//!
//! In: faults as they are met. Out: a value where there were none, else a [`Refused`] page.
//! Never: stops at the first fault, or tells one twice.

use std::sync::Arc;

use super::page::TYPED;
use super::{Fault, Page};

/// A page that was refused whole, with every fault of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Refused {
    /// The text.
    pub page: Arc<Page>,
    /// Its faults, in text order; never empty.
    pub faults: Vec<Fault>,
}

impl Refused {
    /// Returns a line that was typed, refused for its faults.
    pub fn typed(line: &str, faults: Vec<Fault>) -> Vec<Self> {
        vec![Self { page: Page::new(TYPED, line), faults }]
    }

    /// Returns it as a line of a script, where it was typed, by its number from 1.
    pub fn of_script(self, line: usize) -> Self {
        if !self.page.is_typed() {
            return self;
        }
        let Page { name, text, .. } = self.page.as_ref().clone();
        Self { page: Arc::new(Page { name, text, first: line }), ..self }
    }
}

/// The most faults of one page that are told: nobody mends more at once.
pub const MOST: usize = 1000;

/// Adds faults of a page to the refused pages, each once; a page is refused once, with all of its faults.
pub fn refuse(refused: &mut Vec<Refused>, page: &Arc<Page>, faults: impl IntoIterator<Item = Fault>) {
    let at = refused.iter().position(|known| known.page == *page).unwrap_or_else(|| {
        refused.push(Refused { page: Arc::clone(page), faults: Vec::new() });
        refused.len() - 1
    });
    for fault in faults {
        if refused[at].faults.len() < MOST && !refused[at].faults.contains(&fault) {
            refused[at].faults.push(fault);
        }
    }
}

/// Keeps faults and goes on; the end is all or nothing.
#[derive(Clone, Debug, Default)]
pub struct Faults(Vec<Fault>);

impl Faults {
    /// Keeps one fault.
    pub fn add(&mut self, fault: Fault) {
        self.0.push(fault);
    }

    /// Keeps several faults.
    pub fn extend(&mut self, faults: impl IntoIterator<Item = Fault>) {
        self.0.extend(faults);
    }

    /// Keeps the fault of a result, or hands its value on.
    pub fn keep<T>(&mut self, result: Result<T, Fault>) -> Option<T> {
        result.map_err(|fault| self.0.push(fault)).ok()
    }

    /// Returns those that were kept.
    pub fn all(&self) -> impl Iterator<Item = &Fault> {
        self.0.iter()
    }

    /// Drops those that do not fit.
    pub fn retain(&mut self, fits: impl FnMut(&Fault) -> bool) {
        self.0.retain(fits);
    }

    /// Returns how many were kept.
    pub fn count(&self) -> usize {
        self.0.len()
    }

    /// Returns whether nothing was kept.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Returns the value if nothing was kept.
    ///
    /// # Errors
    /// The faults that were kept, in text order, each once, [`MOST`] of them at most.
    pub fn or<T>(mut self, value: T) -> Result<T, Vec<Fault>> {
        if self.0.is_empty() {
            return Ok(value);
        }
        self.0.sort_by_key(|fault| fault.at);
        self.0.dedup();
        self.0.truncate(MOST);
        Err(self.0)
    }
}
