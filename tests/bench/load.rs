//! Loading: read, checked and compiled, up to 100,000 lines of text, in time and in memory at its peak.
//!
//! `cargo bench --bench load`; each time is the shortest of several, each ratio within one run.
#![allow(clippy::print_stdout, reason = "a bench tells")]

use std::hint::black_box;
use std::time::{Duration, Instant};

use peak_alloc::PeakAlloc;
use wattle::engine::{Placed, compile};
use wattle::fault::Page;
use wattle::notebook::Library;

#[global_allocator]
static MEMORY: PeakAlloc = PeakAlloc;

/// A sheet of so many lines of text, each kind of statement among them.
fn sheet(lines: usize) -> String {
    let mut text = "title Lines\n".to_owned();
    for n in 0..lines / 10 {
        let before = if n == 0 { "g0".to_owned() } else { format!("c{}", n - 1) };
        text += &format!("given g{n} ? A \"Current that part {n} draws\"\n  within 0 A .. 900 A\n");
        text += &format!(
            "find c{n} A \"Current of parts up to {n}\"\n  = 0.9 * {before} + max(g{n}, 1 mA) * 1.1\n"
        );
        text += &format!(
            "find v{n} V \"Drop in part {n}\"\n  = c{n} * 0.4 ohm where c{n} > 2 A\n  = g{n} * 0.2 ohm otherwise\n"
        );
        text += &format!("must m{n} \"It is not too much\"\n  that v{n} <= 12 V\n  by practice\n");
    }
    text
}

/// Returns the shortest time, and the most memory that was in use beyond the text.
fn loaded(text: &str, rounds: usize) -> (Duration, usize) {
    let mut shortest = Duration::MAX;
    let mut peak = 0;
    for _ in 0..rounds {
        let page = Page::new("bench.sheet", text);
        let before = MEMORY.current_usage();
        MEMORY.reset_peak_usage();
        let start = Instant::now();
        let sheet = Library::new(Vec::new()).read_sheet(&page, None).expect("the sheet loads");
        let placed = Placed::new(&sheet, Vec::new());
        black_box(compile(&[placed]).expect("no loop"));
        shortest = shortest.min(start.elapsed());
        peak = MEMORY.peak_usage().saturating_sub(before);
    }
    (shortest, peak)
}

fn main() {
    let mut before: Option<Duration> = None;
    for (lines, rounds) in [(12_500, 9), (25_000, 7), (50_000, 5), (100_000, 5)] {
        let text = sheet(lines);
        let (time, peak) = loaded(&text, rounds);
        let per_byte = time.as_secs_f64() * 1e9 / text.len() as f64;
        let growth = before.map_or_else(String::new, |before| {
            format!(", {:.2} times the half", time.as_secs_f64() / before.as_secs_f64())
        });
        println!(
            "{lines} lines, {} bytes: {time:?}, {per_byte:.0} ns a byte{growth}; at most {:.1} bytes of memory a byte",
            text.len(),
            peak as f64 / text.len() as f64
        );
        before = Some(time);
    }
}
