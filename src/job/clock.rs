//! The clock that entries and changes are dated by.
//!
//! In: nothing. Out: the time, without zone. Only here is the machine's clock looked at.
//! Never: sets it.

use crate::unit::date;

/// Returns the minute that the clock shows, by which entries are dated.
pub fn minute() -> f64 {
    (now() / 60.0).floor() * 60.0
}

/// Returns the time on this machine's clock, in whole seconds since 1970 without zone.
///
/// `WATTLE_CLOCK` may say it instead, so that a session can be shown again as it was.
pub fn now() -> f64 {
    let said = std::env::var("WATTLE_CLOCK").ok().and_then(|text| date::read(&text).ok());
    said.unwrap_or_else(|| date::seconds(jiff::ZonedDateTime::now().datetime()).floor())
}
