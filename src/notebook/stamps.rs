//! The files that a job is worked with, each with its revision and hash.
//!
//! In: a book. Out: a stamp for its basis, sheets, tables and CSV files.
//! Never: reads a file.

use std::sync::Arc;

use super::book::Book;
use crate::fault::Page;
use crate::job::disk::hash;
use crate::job::journal::Stamp;

/// Returns a stamp for each file behind a book, but for the job itself.
pub(super) fn stamps(book: &Book) -> Vec<Stamp> {
    let mut made: Vec<Stamp> = Vec::new();
    let mut add = |page: &Arc<Page>, revision: Option<u32>| {
        let file = page.name.rsplit('/').next().unwrap_or_default().to_owned();
        if !made.iter().any(|stamp| stamp.file == file) {
            made.push(Stamp { file, revision, hash: hash(page.text.as_bytes()) });
        }
    };
    for (revision, page) in &book.basis.pages {
        add(page, Some(*revision));
    }
    for used in &book.uses {
        add(&used.sheet.page, Some(used.sheet.revision));
        for table in used.sheet.tables.iter().filter_map(|table| table.table.as_ref()) {
            add(&table.page, Some(table.revision));
        }
    }
    for grid in book.grids.iter().flatten().flatten().filter(|grid| grid.page != book.job.page) {
        add(&grid.page, None);
    }
    made
}
