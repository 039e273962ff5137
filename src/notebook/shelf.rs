//! What was read and checked before, for the libraries of all jobs: a sheet that many use is read once.
//!
//! In: a page, and what reading it fetched. Out: what that reading made, where all of it is the same again.
//! Never: takes one job's file for another's: pages count by name and text, and what they fetch by what it was.

use std::collections::HashMap;
use std::sync::{Arc, LazyLock, Mutex, PoisonError};

use crate::fault::Page;
use crate::sheet::{Basis, Sheet};
use crate::table::Table;

/// Of one name so many readings are kept, the latest.
const OF_A_NAME: usize = 8;
/// And of so many names; then it begins anew, so that jobs with sheets of their own do not fill the memory.
const NAMES: usize = 256;

/// Tables by name, as a page fetched them.
pub(super) type Tables = Vec<(String, Option<Arc<Table>>)>;

/// What was made of a page.
#[derive(Debug)]
pub(super) struct Reading<T> {
    /// The page.
    pub(super) page: Arc<Page>,
    /// The basis that it extends or was checked on.
    pub(super) basis: Option<Arc<Basis>>,
    /// The tables that it fetched.
    pub(super) tables: Tables,
    /// What it made.
    pub(super) made: Arc<T>,
}

impl<T> Reading<T> {
    /// Returns what was made of a page on a basis, with the tables that were fetched.
    pub(super) fn new(page: &Arc<Page>, basis: Option<Arc<Basis>>, (made, tables): (Arc<T>, Tables)) -> Self {
        Self { page: Arc::clone(page), basis, tables, made }
    }
}

impl<T> Clone for Reading<T> {
    fn clone(&self) -> Self {
        let (page, basis) = (Arc::clone(&self.page), self.basis.clone());
        Self { page, basis, tables: self.tables.clone(), made: Arc::clone(&self.made) }
    }
}

/// Readings by name.
#[derive(Debug)]
pub(super) struct Readings<T>(Mutex<HashMap<String, Vec<Reading<T>>>>);

impl<T> Default for Readings<T> {
    fn default() -> Self {
        Self(Mutex::default())
    }
}

impl<T> Readings<T> {
    /// Returns what a page made before, where what it fetched then is fetched again.
    pub(super) fn known(
        &self,
        name: &str,
        page: &Page,
        fits: impl Fn(&Reading<T>) -> bool,
    ) -> Option<Arc<T>> {
        let kept = self.0.lock().unwrap_or_else(PoisonError::into_inner).get(name)?.clone();
        let same = kept.iter().rev().find(|reading| *reading.page == *page && fits(reading))?;
        Some(Arc::clone(&same.made))
    }

    /// Keeps a reading; returns what it made.
    pub(super) fn keep(&self, name: &str, reading: Reading<T>) -> Arc<T> {
        let made = Arc::clone(&reading.made);
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if kept.len() >= NAMES && !kept.contains_key(name) {
            kept.clear();
        }
        let of_name = kept.entry(name.to_owned()).or_default();
        if of_name.len() >= OF_A_NAME {
            of_name.remove(0);
        }
        of_name.push(reading);
        made
    }
}

/// Everything that is kept.
#[derive(Debug, Default)]
pub(super) struct Shelf {
    pub(super) tables: Readings<Table>,
    pub(super) bases: Readings<Basis>,
    pub(super) sheets: Readings<Sheet>,
}

/// The shelf of the program.
pub(super) static SHELF: LazyLock<Shelf> = LazyLock::new(Shelf::default);
