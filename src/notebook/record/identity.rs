//! What a record is a record of: the program and the very texts that it was worked from.
//!
//! In: a book and its journal. Out: an [`Identity`]; the stamps that a journal keeps of the files.
//! Never: reads a file again: the texts are those that were worked.

use serde::Serialize;

use crate::fault::Page;
use crate::job::disk;
use crate::job::journal::{Journal, Stamp};
use crate::notebook::book::Book;

/// A text that a record rests on.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FileRecord {
    /// `job`, `sheet`, `basis`, `table` or `rows`.
    pub kind: &'static str,
    /// The file's name.
    pub name: String,
    /// The revision that it gives itself.
    pub revision: Option<u32>,
    /// The SHA-256 of its text.
    pub sha256: String,
}

/// What a record is a record of.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Identity {
    /// The program and its version.
    pub program: String,
    /// The job and every sheet, basis, table and file of rows, each once.
    pub files: Vec<FileRecord>,
    /// The hash of the last line of the job's journal: whoever rewrites the whole chain is caught by it.
    pub journal_head: Option<String>,
    /// Whether the job's file is not as the last line of its journal left it.
    pub edited_outside: bool,
}

/// Tells what a book was worked from.
pub(in crate::notebook) fn identity(book: &Book, journal: &Journal) -> Identity {
    let program = format!("wattle {}", env!("CARGO_PKG_VERSION"));
    let job = file("job", &book.job.page, None);
    let files = std::iter::once(job).chain(around(book)).collect();
    Identity {
        program,
        files,
        journal_head: journal.head().map(str::to_owned),
        edited_outside: !journal.is_as_left(),
    }
}

/// Returns a stamp for each file behind a book, but for the job itself.
pub(in crate::notebook) fn stamps(book: &Book) -> Vec<Stamp> {
    let stamp = |file: FileRecord| Stamp {
        file: file.name.rsplit('/').next().unwrap_or_default().to_owned(),
        revision: file.revision,
        hash: file.sha256,
    };
    around(book).into_iter().map(stamp).collect()
}

/// Every sheet, basis, table and file of rows, each once.
fn around(book: &Book) -> Vec<FileRecord> {
    let mut files = Vec::new();
    for used in &book.uses {
        let sheet = &used.sheet;
        add(&mut files, file("sheet", &sheet.page, Some(sheet.revision)));
    }
    for (revision, page) in &book.basis.pages {
        add(&mut files, file("basis", page, Some(*revision)));
    }
    for table in book.uses.iter().flat_map(|used| &used.sheet.tables).filter_map(|used| used.table.as_ref()) {
        add(&mut files, file("table", &table.page, Some(table.revision)));
    }
    for grid in book.grids.iter().flatten().flatten().filter(|grid| grid.page != book.job.page) {
        add(&mut files, file("rows", &grid.page, None));
    }
    files
}

fn file(kind: &'static str, page: &Page, revision: Option<u32>) -> FileRecord {
    FileRecord { kind, name: page.name.clone(), revision, sha256: disk::hash(page.text.as_bytes()) }
}

fn add(files: &mut Vec<FileRecord>, file: FileRecord) {
    if !files.contains(&file) {
        files.push(file);
    }
}
