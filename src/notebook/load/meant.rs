//! What was probably meant in a job, where its own sheets tell.
//!
//! In: a fault, and what it stands in. Out: the same, or one in the job's own words.
//! Never: finds a fault.

use std::sync::Arc;

use super::enter;
use crate::fault::{Fault, Kind};
use crate::job::{Entry, Raw};
use crate::notebook::Wrong;
use crate::sheet::{Sheet, check};
use crate::unit;

/// A line of another sheet written without its `=` is told as the link that was meant.
pub(super) fn link(fault: Fault, entry: &Entry) -> Fault {
    let no_number = matches!(
        fault.kind,
        Kind::Unit(unit::Wrong::NotANumber { .. }) | Kind::Book(Wrong::NumberWanted { .. })
    );
    match &entry.value.value {
        Raw::Text(text) if no_number && enter::links(text) => {
            Fault::new(entry.value.at, Wrong::LinkMeant { found: text.clone() })
        }
        _ => fault,
    }
}

/// A name of no sheet of the job is told as that.
pub(super) fn job_sheet(fault: Fault, sheets: &[(String, Arc<Sheet>)]) -> Fault {
    let Kind::Check(check::Wrong::UnknownName { found, near: None, .. }) = &fault.kind else { return fault };
    let Some((sheet, _)) = found.split_once('.') else { return fault };
    if sheets.iter().any(|(name, _)| name == sheet) {
        return fault;
    }
    let known = sheets.iter().map(|(name, _)| name.clone()).collect();
    Fault::new(fault.at, Wrong::NoJobSheet { found: sheet.to_owned(), known })
}
