//! The notebook: a job opened, checked, changed; the one way in for the command line and the prompt.
//!
//! In: the path of a job, changes as typed. Out: records, what a change moved, or refused pages.
//! Never: prints.

mod ask;
pub mod audit;
mod book;
mod change;
pub mod compare;
pub mod estate;
mod judge;
pub mod library;
mod load;
mod measure;
mod new_job;
mod open;
pub mod proof;
pub mod record;
pub mod report;
mod wrong;

use std::path::{Path, PathBuf};
use std::sync::Arc;

pub use ask::offers::{Fits, Offer};
pub use ask::room::{Room, Span as RoomSpan};
pub use ask::row::Row;
pub use ask::{Shown, Why};
pub use book::working::Working;
pub use change::difference::{Change, Moved, Turned};
pub use change::history::Past;
pub use change::top::{TOP, hows};
pub use change::typed::cell_end;
pub use judge::witness::Matter;
pub use library::{Found, Library};
pub use load::assemble::Day;
pub use new_job::skeleton_of;
pub use open::Notebook;
pub use record::identity::{FileRecord, Identity};
pub use record::{Record, Verdict};
pub use report::{Report, report};
pub use wrong::Wrong;

use crate::fault::{Fault, Page, Refused, Span};
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
    let mut book = load::beside(path, &page, options)?;
    Ok(record::tell::tell(&mut book, &name))
}

/// Reads a job as its journal leaves it; writes nothing.
fn read_mended(path: &Path, name: &str) -> Found<Arc<Page>> {
    let page = disk::read_page(path, name).map_err(|refused| vec![moment_or(path, refused)])?;
    let text = journal::mended(path, page.text.clone());
    Ok(if text == page.text { page } else { Page::new(name, text) })
}

/// A name that is no file, but is one up to its `@`, was meant as a moment of that job.
fn moment_or(path: &Path, refused: Refused) -> Refused {
    let named = path.to_string_lossy();
    match named.rsplit_once('@') {
        Some((job, _)) if !path.exists() && Path::new(job).is_file() => {
            let fault =
                Fault::new(Span::default(), Wrong::MomentHere { job: library::shown(Path::new(job)) });
            Refused { page: refused.page, faults: vec![fault] }
        }
        Some(_) | None => refused,
    }
}
