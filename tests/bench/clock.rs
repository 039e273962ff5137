//! The shortest of several runs, which others at work on the machine disturb least.

use std::time::{Duration, Instant};

/// Returns the shortest time that one of several runs takes.
pub(crate) fn shortest(rounds: usize, mut one: impl FnMut()) -> Duration {
    (0..rounds)
        .map(|_| {
            let start = Instant::now();
            one();
            start.elapsed()
        })
        .min()
        .unwrap_or_default()
}
