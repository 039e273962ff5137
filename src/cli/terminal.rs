//! The terminal: what is written, how wide it is, whether it may have colour.
//!
//! In: text. Out: the same on the standard output, or on the other for what went wrong.
//! Never: fails where the reader has gone away (`wattle check … | head`): there is nobody to tell.

use std::io::{IsTerminal, Write};
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::time::Duration;

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

/// How long something may take before the terminal says what is being done, and how often it says so again.
const PATIENCE: Duration = Duration::from_secs(1);

/// Does what may take a while; says so on a terminal, beside the answer.
pub(super) fn patiently<T>(what: &str, work: impl FnOnce() -> T) -> T {
    if !std::io::stderr().is_terminal() {
        return work();
    }
    told_while(PATIENCE, tell_whole, what, work)
}

fn told_while<T>(every: Duration, say: impl Fn(&str) + Send, what: &str, work: impl FnOnce() -> T) -> T {
    std::thread::scope(|scope| {
        let (done, waits) = channel::<()>();
        scope.spawn(move || {
            let mut told = false;
            while waits.recv_timeout(every) == Err(RecvTimeoutError::Timeout) {
                say(if told { "." } else { what });
                told = true;
            }
            if told {
                say("\n");
            }
        });
        let made = work();
        drop(done);
        made
    })
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

/// Returns how many rows the terminal has; as many as anything needs where that is not known.
pub(super) fn rows() -> usize {
    terminal_size::terminal_size().map_or(usize::MAX, |(_, height)| usize::from(height.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::Mutex;

    #[test]
    fn what_takes_long_says_what_it_does_and_what_does_not_says_nothing() {
        let said = Mutex::new(String::new());
        let say = |text: &str| said.lock().expect("nobody panics").push_str(text);
        assert_eq!(told_while(Duration::from_secs(60), say, "working", || 2), 2);
        assert_eq!(*said.lock().expect("nobody panics"), "");
        let slow = || std::thread::sleep(Duration::from_millis(200));
        told_while(Duration::from_millis(20), say, "working", slow);
        let said = said.lock().expect("nobody panics");
        assert!(said.starts_with("working.") && said.ends_with(".\n"), "{said}");
    }
}
