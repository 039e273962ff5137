//! Dates and times on the site's clock, which has no zone.
//!
//! In: a date of TOML. Out: seconds since 1970-01-01 on the same clock, or why there are none.
//! Never: takes a zone; writes a date.

use jiff::civil::{Date, Time};
use toml::value::{self as toml_value, Datetime};

use crate::unit::date::seconds;

/// What of a date is written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Moment {
    /// A day alone, in seconds.
    Day(f64),
    /// A day with a time, in seconds.
    Time(f64),
}

impl Moment {
    /// Returns the seconds since 1970-01-01.
    pub(super) const fn seconds(self) -> f64 {
        match self {
            Self::Day(seconds) | Self::Time(seconds) => seconds,
        }
    }
}

/// Why a date of TOML is no date on the site's clock.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum NoMoment {
    /// It has a zone.
    Zone,
    /// It has no day.
    TimeAlone,
    /// There is no such day or time.
    NoSuch,
}

/// Returns the moment that a date of TOML stands for.
pub(super) fn moment(written: &Datetime) -> Result<Moment, NoMoment> {
    if written.offset.is_some() {
        return Err(NoMoment::Zone);
    }
    let day = day(written.date.ok_or(NoMoment::TimeAlone)?).ok_or(NoMoment::NoSuch)?;
    match written.time {
        None => Ok(Moment::Day(seconds(day.to_datetime(Time::midnight())))),
        Some(time) => {
            let time = clock(time).ok_or(NoMoment::NoSuch)?;
            Ok(Moment::Time(seconds(day.to_datetime(time))))
        }
    }
}

fn day(written: toml_value::Date) -> Option<Date> {
    let year = i16::try_from(written.year).ok()?;
    Date::new(year, written.month.cast_signed(), written.day.cast_signed()).ok()
}

fn clock(written: toml_value::Time) -> Option<Time> {
    let second = written.second.unwrap_or(0).cast_signed();
    let nano = i32::try_from(written.nanosecond.unwrap_or(0)).ok()?;
    Time::new(written.hour.cast_signed(), written.minute.cast_signed(), second, nano).ok()
}
