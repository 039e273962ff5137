//! A job loaded: its sheets fetched and checked on its basis, its entries read, everything worked.
//!
//! In: the text of a job, and the folders around it. Out: a [`Book`], or every fault of every page.
//! Never: loads a part of a job; never writes.

mod adopt;
pub(super) mod assemble;
pub(super) mod enter;
pub(super) mod fetch;
pub(super) mod loader;
mod meant;
mod round;
pub(super) mod rows;
mod scope;

use std::path::Path;
use std::sync::Arc;

use crate::fault::{Fault, Page, Refused};
use crate::job::Job;
use crate::notebook::Options;
use crate::notebook::book::Book;
use crate::notebook::library::{Found, Library};
use crate::notebook::load::assemble::{Day, assemble};
use crate::notebook::load::fetch::fetch;
use crate::notebook::load::loader::Loader;
use crate::notebook::wrong::then::with_revisions;

/// Loads a job with the files beside it; a line that is not there is told with the sheet's revision of then.
///
/// # Errors
/// As [`load`].
pub(super) fn beside(path: &Path, page: &Arc<Page>, options: &Options) -> Found<Book> {
    let library = Library::beside(path, &options.libraries);
    load(page, &library, options.day).map_err(|refused| with_revisions(path, page, refused))
}

/// Loads a job.
///
/// # Errors
/// Every page that was refused, each with all of its faults.
pub(super) fn load(page: &Arc<Page>, library: &Library, day: Day) -> Found<Book> {
    let (job, told) = Job::read_part(page);
    match job {
        Some(job) => load_job(job, told, library, day),
        None => Err(vec![Refused { page: Arc::clone(page), faults: told }]),
    }
}

/// Loads a job of which some faults are told already.
///
/// # Errors
/// As [`load`].
pub(super) fn load_job(job: Job, told: Vec<Fault>, library: &Library, day: Day) -> Found<Book> {
    let fetched = fetch(&job, library, &told)?;
    let sheets = &fetched.sheets;
    let mut loader = Loader::new(&job, &fetched.basis, sheets);
    loader.faults.extend(told);
    let sources = rows::sources(&job, sheets, library, &mut loader.refused);
    let names = rows::names(sheets, &sources);
    if loader.refused.is_empty() {
        rows::check(&job, sheets, &sources, &names, &mut loader.refused);
    }
    loader.instruments();
    let read = (0..sheets.len()).map(|s| loader.sheet(s, &sources, &names)).collect();
    loader.ended()?;
    let book = assemble(job.clone(), &fetched, names, read, day)
        .map_err(|names| vec![round::of_lines(&job, names)])?;
    let of_sheet = |s: usize| (0..sources[s].len()).map(|n| rows::grid(&sources, s, n)).collect();
    let grids = (0..sources.len()).map(of_sheet).collect();
    Ok(Book { remarks: library.remarks(), around: library.around(), grids, ..book })
}
