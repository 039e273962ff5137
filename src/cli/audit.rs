//! `wattle audit`: a job looked through for a reviewer.
//!
//! In: a job, and what an earlier record says of it. Out: the audit, on the standard output; an exit code.
//! Never: writes a file.

use std::path::Path;

use super::UNREADABLE;
use super::check::graver;
use super::terminal::{look, patiently, put, tell, tell_refused};
use crate::notebook::audit::{Audit, Earlier, is_head};
use crate::notebook::{self, Options};
use crate::view;
use crate::view::audit::Part;

/// What is shown of an audit.
pub(super) struct Asked<'a> {
    /// Only the verdict, what to look at first, and the record.
    pub brief: bool,
    /// Only the lines of one sheet.
    pub sheet: Option<&'a str>,
    /// As one JSON object.
    pub json: bool,
}

/// Looks a job through; exits as a check of it would, and with 1 where the record is in doubt.
pub(super) fn audit(job: &Path, earlier: Earlier<'_>, asked: Asked<'_>, options: &Options) -> u8 {
    if let Some(head) = earlier.head.filter(|head| !is_head(head)) {
        let cure = "a record prints 64 digits 0-9 and a-f; its first 8 will do";
        tell(&format!("--head '{}' is not a head of a journal: {cure}\n", view::plain(head)));
        return UNREADABLE;
    }
    let work = || notebook::audit::audit(job, options, &earlier);
    let audit = match patiently("working the job through, line by line of its journal", work) {
        Ok(audit) => audit,
        Err(refused) => {
            tell_refused(&refused);
            return UNREADABLE;
        }
    };
    let part = match (asked.sheet, asked.brief) {
        (Some(name), _) if !audit.record.sheets.iter().any(|sheet| sheet.name == name) => {
            tell(&no_sheet(&audit, name));
            return UNREADABLE;
        }
        (Some(name), _) => Part::Sheet(name),
        (None, true) => Part::Brief,
        (None, false) => Part::Whole,
    };
    if asked.json {
        put(&format!("{:#}\n", serde_json::to_value(&audit).unwrap_or_default()));
    } else {
        put(&view::audit::audit(&audit, part, look()));
    }
    graver(audit.record.verdict.exit_code(), u8::from(audit.is_in_doubt()))
}

fn no_sheet(audit: &Audit, name: &str) -> String {
    let names: Vec<&str> = audit.record.sheets.iter().map(|sheet| sheet.name.as_str()).collect();
    let cure = match crate::fault::near(name, names.iter().copied()) {
        Some(near) => format!("did you mean '{near}'?"),
        None => format!("it has {}", names.join(", ")),
    };
    format!("--sheet: the job has no sheet '{}': {cure}\n", view::plain(name))
}
