//! `wattle audit`: a job looked through for a reviewer.
//!
//! In: a job, and what an earlier record says of it. Out: the audit, on the standard output; an exit code.
//! Never: writes a file.

use std::path::Path;

use super::UNREADABLE;
use super::terminal::{look, put, tell_refused};
use crate::notebook::{self, Options};
use crate::view;

/// Looks a job through; exits as a check of it would.
pub(super) fn audit(job: &Path, head: Option<&str>, json: bool, options: &Options) -> u8 {
    match notebook::audit::audit(job, options, head) {
        Ok(audit) => {
            if json {
                put(&format!("{:#}\n", serde_json::to_value(&audit).unwrap_or_default()));
            } else {
                put(&view::audit::audit(&audit, look()));
            }
            audit.record.verdict.exit_code()
        }
        Err(refused) => {
            tell_refused(&refused);
            UNREADABLE
        }
    }
}
