//! The basis and the sheets of a job, fetched and checked.
//!
//! In: a job as written, and where files are found. Out: its basis and sheets, or what is wrong with each.
//! Never: fetches a part: where one cannot be had, all that is wrong is told.

use std::sync::Arc;

use crate::fault::{Fault, Faults, Refused, near};
use crate::job::Job;
use crate::notebook::Wrong;
use crate::notebook::library::{Found, Library};
use crate::sheet::{Basis, Sheet};

/// A sheet by its name in the job.
pub(in crate::notebook) type NamedSheet = (String, Arc<Sheet>);

/// What a job is put together from.
pub(in crate::notebook) struct Fetched {
    /// Its basis.
    pub(in crate::notebook) basis: Arc<Basis>,
    /// Its sheets, in its order.
    pub(in crate::notebook) sheets: Vec<NamedSheet>,
}

/// Fetches the basis and the sheets of a job, those that fail all told.
/// Where they cannot be had, what is told of the job already is told with it.
pub(super) fn fetch(job: &Job, library: &Library, told: &[Fault]) -> Found<Fetched> {
    let mut refused = Vec::new();
    let mut faults = Faults::default();
    let basis = match library.basis(&job.basis.value) {
        Ok(Some(basis)) => Some(basis),
        Ok(None) => {
            let wrong = Wrong::no_basis(&job.basis.value, &[], &library.basis_names());
            faults.add(Fault::new(job.basis.at, wrong));
            None
        }
        Err(found) => {
            refused.extend(found);
            None
        }
    };
    let mut sheets = Vec::new();
    for used in &job.sheets {
        match library.sheet(&used.sheet.value, basis.as_deref()) {
            Ok(Some(sheet)) => sheets.push((used.name.value.clone(), sheet)),
            Ok(None) => {
                let names = library.sheet_names();
                let near = near(&used.sheet.value, names.iter().map(String::as_str)).map(str::to_owned);
                faults
                    .add(Fault::new(used.sheet.at, Wrong::NoSheet { found: used.sheet.value.clone(), near }));
            }
            Err(found) => {
                refused.extend(found.into_iter().filter(|new| !refused.contains(new)).collect::<Vec<_>>());
            }
        }
    }
    if !faults.is_empty() || !refused.is_empty() {
        faults.extend(told.iter().cloned());
    }
    if let Err(faults) = faults.or(()) {
        refused.insert(0, Refused { page: Arc::clone(&job.page), faults });
    }
    match basis {
        Some(basis) if refused.is_empty() => Ok(Fetched { basis, sheets }),
        _ => Err(refused),
    }
}
