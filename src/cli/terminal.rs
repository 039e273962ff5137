//! The terminal: what is written, how wide it is, whether it may have colour.
//!
//! In: text. Out: the same on the standard output, or on the other for what went wrong.
//! Never: fails where the reader has gone away (`wattle check … | head`): there is nobody to tell.

use std::io::{IsTerminal, Write};

use crate::fault::Refused;
use crate::view::{Look, faults, plain};

/// Writes an answer.
pub(super) fn put(text: &str) {
    let _ = std::io::stdout().write_all(text.as_bytes());
    let _ = std::io::stdout().flush();
}

/// Writes what went wrong, in a line; a name in it may steer no terminal.
pub(super) fn tell(line: &str) {
    tell_whole(&format!("{}\n", plain(line.trim_end_matches('\n'))));
}

/// Writes what a view made of what went wrong.
pub(super) fn tell_whole(text: &str) {
    let _ = std::io::stderr().write_all(text.as_bytes());
}

/// Writes every fault of refused pages.
pub(super) fn tell_refused(refused: &[Refused]) {
    tell_whole(&faults::faults(refused, look()));
}

/// The width (`COLUMNS`, else the terminal's own, else 80) and whether colour may be used (a terminal, and no
/// `NO_COLOR`).
pub(super) fn look() -> Look {
    let asked = std::env::var("COLUMNS").ok().and_then(|columns| columns.parse().ok());
    let own = || terminal_size::terminal_size().map(|(width, _)| usize::from(width.0));
    let width = asked.or_else(own).unwrap_or(80).clamp(30, 200);
    let plain = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    Look { width, colour: std::io::stdout().is_terminal() && !plain }
}
