//! The notebook: a job opened, checked, changed; the one way in for the command line and the prompt.
//!
//! In: the path of a job, changes as typed. Out: records, what a change moved, or refused pages.
//! Never: prints.

mod adopt;
mod anew;
mod ask;
mod assemble;
pub mod audit;
pub mod between;
mod book;
pub mod builtin;
mod change;
mod chart;
mod compare;
mod difference;
mod draft;
mod enter;
pub mod estate;
mod grounds;
mod history;
mod identity;
mod judge;
pub mod library;
mod load;
mod marks;
mod meant;
mod names;
mod offers;
mod overlay;
pub mod proof;
mod put_in;
mod quick;
pub mod record;
pub mod report;
mod room;
mod row;
mod rows;
mod scope;
mod scratch;
mod shelf;
mod skeleton;
mod tell;
mod typed;
mod witness;
mod words;
mod working;
mod wrong;

use std::path::{Path, PathBuf};
use std::sync::Arc;

pub use ask::{Shown, Why};
pub use assemble::Day;
pub use change::Notebook;
pub use difference::{Change, Moved, Turned};
pub use history::Past;
pub use identity::{FileRecord, Identity};
pub use library::{Found, Library};
pub use offers::{Fits, Offer};
pub use record::{Record, Verdict};
pub use report::{Report, report};
pub use room::{Room, Span as RoomSpan};
pub use row::Row;
pub use skeleton::skeleton_of;
pub use witness::Matter;
pub use working::Working;
pub use wrong::Wrong;

use crate::fault::Page;
use crate::job::{disk, journal};

/// Where a job is looked for and on what day it is judged.
#[derive(Clone, Debug)]
pub struct Options {
    /// Folders to look in after the job's own.
    pub libraries: Vec<PathBuf>,
    /// The day.
    pub day: Day,
}

/// Checks one job.
///
/// # Errors
/// Every page that was refused.
pub fn check(path: &Path, options: &Options) -> Found<Record> {
    let name = library::shown(path);
    let page = read_mended(path, &name)?;
    let mut book = load::load(&page, &library_of(path, options), options.day)?;
    Ok(tell::tell(&mut book, &name))
}

/// Reads a job as its journal leaves it; writes nothing.
fn read_mended(path: &Path, name: &str) -> Found<Arc<Page>> {
    let page = disk::read_page(path, name).map_err(|refused| vec![refused])?;
    let text = journal::mended(path, page.text.clone());
    Ok(if text == page.text { page } else { Page::new(name, text) })
}

/// Returns the library of a job: its own folder first.
fn library_of(path: &Path, options: &Options) -> Library {
    let own = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    Library::new(std::iter::once(own.to_owned()).chain(options.libraries.clone()).collect())
}
