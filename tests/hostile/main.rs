//! Hard use: inputs that nobody would write, folders that are not what they seem, files that are cut or changed.
#![cfg(unix)]
#![allow(clippy::disallowed_methods, reason = "a test writes files of its own")]

mod big;
mod matrix;
mod names;
mod outside;
mod paths;
#[path = "../site/mod.rs"]
mod site;

use std::path::Path;
use std::process::Command;

use site::{Ended, start};

/// Runs the program in a folder, by the clock of this machine, with 2 GB of memory at most.
fn run(folder: &Path, arguments: &[&str], typed: &[u8]) -> Ended {
    let mut shell = Command::new("sh");
    shell
        .args(["-c", "ulimit -v 2000000; exec \"$0\" \"$@\"", env!("CARGO_BIN_EXE_wattle")])
        .args(arguments)
        .current_dir(folder)
        .env_remove("COLUMNS");
    start(&mut shell, typed).ended()
}
