//! `wattle proof`: sheets, bases and tables checked, their worked examples run.
//!
//! In: files; none for all that is inside the program. Out: what came of each; exit code 0 where all holds.
//! Never: writes a file.

use std::path::PathBuf;

use super::UNREADABLE;
use super::terminal::{look, patiently, put};
use crate::notebook::{Library, Options, proof};
use crate::view;

pub(super) fn prove(files: &[PathBuf], options: &Options) -> u8 {
    let proof = patiently("running the worked examples", || {
        if files.is_empty() {
            proof::builtin_proof(&Library::new(Vec::new()))
        } else {
            proof::files_proof(files, &options.libraries)
        }
    });
    put(&view::proof::proof(&proof, look()));
    match (proof.refused.is_empty(), proof.holds()) {
        (false, _) => UNREADABLE,
        (true, true) => 0,
        (true, false) => 1,
    }
}
