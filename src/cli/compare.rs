//! `wattle compare`: two jobs, or one at two moments, side by side.
//!
//! In: two jobs. Out: what differs, on the standard output; exit code 0 where both could be read.
//! Never: writes a file.

use super::UNREADABLE;
use super::terminal::{look, patiently, put, tell_refused};
use crate::notebook::{self, Options};
use crate::view;

/// Compares two jobs; exits 0 where both could be read.
pub(super) fn compare(old: &str, new: &str, json: bool, options: &Options) -> u8 {
    let work = || notebook::compare::compare(old, new, options);
    match patiently("looking for what changed each verdict", work) {
        Ok(made) => {
            if json {
                put(&format!("{:#}\n", serde_json::to_value(&made).unwrap_or_default()));
            } else {
                put(&view::compare::comparison(&made, look()));
            }
            0
        }
        Err(refused) => {
            tell_refused(&refused);
            UNREADABLE
        }
    }
}
