//! Numbers that look random and are the same on every run.

/// Returns the next number.
pub(crate) fn next(seed: &mut u64) -> u64 {
    *seed ^= *seed << 13;
    *seed ^= *seed >> 7;
    *seed ^= *seed << 17;
    *seed
}
