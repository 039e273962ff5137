//! The sheet of a line that it has not: its revision now, and the one that the job was last worked with.
//!
//! In: a job that does not load, and its journal. Out: its faults, with the revisions where they differ.
//! Never: takes another revision for the cause: it says that it may be.

use std::path::Path;

use super::Wrong;
use crate::fault::{Kind, Page, Refused};
use crate::job::Use;
use crate::job::journal::Journal;
use crate::sheet::Sheet;

/// A sheet, its revision, and the one that the job was last worked with, where a journal says.
#[derive(Clone, Debug, PartialEq)]
pub struct Revision {
    pub(super) name: String,
    now: u32,
    then: Option<u32>,
}

impl Revision {
    /// Returns a cure, with the revisions before it where they differ.
    pub(super) fn then_or(&self, cure: String) -> String {
        let Self { name, now, .. } = self;
        match self.then.filter(|then| then != now) {
            Some(then) => format!(
                "the job was last worked with {name}.sheet revision {then}; this is revision {now}: lines may have other \
                 names; {cure}"
            ),
            None => cure,
        }
    }
}

impl Wrong {
    /// Returns the fault of a name that a sheet has not.
    pub fn no_line(
        used: &Use,
        sheet: &Sheet,
        (what, found): (&'static str, &str),
        near: Option<String>,
    ) -> Self {
        let of = Revision { name: used.sheet.value.clone(), now: sheet.revision, then: None };
        Self::NoLine { sheet: used.name.value.clone(), found: found.to_owned(), near, what, of }
    }
}

/// Returns the faults of a job, each line that a sheet has not with the revision that the job's journal names.
pub(in crate::notebook) fn with_revisions(
    path: &Path,
    page: &Page,
    mut refused: Vec<Refused>,
) -> Vec<Refused> {
    let journal = Journal::read(path, page.text.clone());
    for fault in refused.iter_mut().flat_map(|refused| &mut refused.faults) {
        if let Kind::Book(Wrong::NoLine { of, .. }) = &mut fault.kind {
            let file = format!("{}.sheet", of.name);
            of.then = journal.stamps().iter().find(|then| then.file == file).and_then(|then| then.revision);
        }
    }
    refused
}
