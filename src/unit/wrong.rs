//! What can be wrong with a number, a unit or a date.
//!
//! In: nothing. Out: the kinds of fault and their words.
//! Never: finds a fault; the readers beside it do.

use super::names::is_plain;
use super::unit::near_unit;
use crate::fault::{Wording, only_looks_like, say, told, typed_otherwise};

/// What is wrong with a number, a unit or a date.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs, reason = "each variant's words stand in `wording`")]
pub enum Wrong {
    UnknownUnit { found: String, near: Option<String> },
    Awg,
    UnitMissing,
    UnitTooLong { most: usize },
    UnitOutOfMeasure,
    OneOver { cure: String },
    DigitInUnit { cure: String },
    BlankInNumber { whole: String },
    BadPower { found: String },
    PointInUnit { found: String },
    NotANumber { found: String },
    Comma { with_point: Option<String>, without: Option<String>, spaced: String },
    PointWithoutDigits { cure: String },
    TwoPoints,
    TooLarge,
    Trailing { found: String },
    ToleranceKind { found: String, of: String },
    ToleranceOfPoint,
    ToleranceAtPoint { found: String, cure: String },
    NegativeTolerance,
    NotADate { found: String },
    NoSuchDay { found: String, why: String },
}

impl Wrong {
    /// Returns the fault of a symbol that is no unit.
    pub(super) fn unknown(found: &str) -> Self {
        if found.eq_ignore_ascii_case("awg") {
            return Self::Awg;
        }
        Self::UnknownUnit { found: found.to_owned(), near: near_unit(found) }
    }

    /// Returns the fault of a unit written as one over another.
    pub(super) fn one_over(under: &str) -> Self {
        let bare = !under.is_empty() && under.chars().all(char::is_alphabetic);
        let cure = if bare { format!("{under}^-1") } else { "K^-1 for 1/K, m^-1*K^-1 for 1/m/K".to_owned() };
        Self::OneOver { cure }
    }

    /// Returns the fault of a digit that is no power.
    ///
    /// `joint` is the sign before it, if one is there.
    pub(super) fn digit(found: &str, joint: Option<char>) -> Self {
        let cure = match joint {
            Some('/') => format!("to divide by a number put spaces round the sign: 12 V / {found}"),
            Some(_) => format!("to multiply by a number put spaces round the sign: 12 V * {found}"),
            None => "write a power as mm2, mm^2 or K^-1".to_owned(),
        };
        Self::DigitInUnit { cure }
    }

    /// Returns what is wrong, what the place is, what to do.
    pub fn wording(&self) -> Wording {
        match self {
            Self::UnknownUnit { found, near } => unknown_unit(found, near.as_deref()),
            Self::Awg => told("AWG is a row of a table, not a unit", GAUGE),
            Self::UnitMissing => told("a unit is missing here", "write a unit, or take the sign out"),
            Self::UnitTooLong { most } => {
                told(format!("a unit longer than {most} bytes"), "write it shorter")
            }
            Self::UnitOutOfMeasure => told("a unit out of all measure", "check the powers"),
            Self::OneOver { cure } => told("a unit written as 1 over another", format!("write {cure}")),
            Self::DigitInUnit { cure } => told("a digit in a unit that is not a power", cure.as_str()),
            Self::BlankInNumber { whole } => told("a blank in a number", format!("write {whole}")),
            Self::BadPower { found } => told(format!("'{found}' is not a power of a unit"), POWERS),
            Self::PointInUnit { found } => told(no_difference(found), "write K: V/K, K^-1"),
            Self::NotANumber { found } if found.is_empty() => told("a number is missing", QUANTITY),
            Self::NotANumber { found } => not_a_number(found),
            Self::Comma { with_point, without, spaced } => {
                comma(with_point.as_deref(), without.as_deref(), spaced)
            }
            Self::PointWithoutDigits { cure } => told(HALF_A_POINT, format!("write {cure}")),
            Self::TwoPoints => told("a number with two decimal points", "write one"),
            Self::TooLarge => told("a number too large to work with", "the largest is about 1e308"),
            Self::Trailing { found } if found.starts_with("+/-") => {
                told("'+/-' does not belong to a quantity", "write +- or \u{b1}")
            }
            Self::Trailing { found } => told(format!("'{found}' does not belong to a quantity"), QUANTITY),
            Self::ToleranceKind { found, of } => told(format!("a tolerance in {found}, for {of}"), TOLERANCE),
            Self::ToleranceOfPoint => told("a share of a temperature means nothing", "write an amount: 2 K"),
            Self::ToleranceAtPoint { found, cure } => told(no_difference(found), format!("write {cure}")),
            Self::NegativeTolerance => told("a tolerance below zero", NO_SIGN),
            Self::NotADate { found } => told(format!("'{found}' is not a date"), DATE),
            Self::NoSuchDay { found, why } => say(format!("there is no {found}"), why.as_str(), NO_DAY),
        }
    }
}

const GAUGE: &str = "look the size up by its name in the table, such as \"14 AWG\"";
const POWERS: &str = "powers go in halves up to 8: 2, 0.5, -1";
const QUANTITY: &str = "write a number with its unit, such as 18 Ah";
const HALF_A_POINT: &str = "a decimal point with digits on one side only";
const TOLERANCE: &str = "write a share in %, an amount in the line's own kind, or both: 2 % + 5 mA";
const NO_SIGN: &str = "write how far the value may be off, without a sign";
const DATE: &str = "write 2026-11-25, or 2026-11-25T10:40";
const NO_DAY: &str = "correct the day, the month or the time";

fn not_a_number(found: &str) -> Wording {
    match typed_otherwise(found) {
        Some((shown, cure)) => told(format!("{shown} where a number is due"), cure),
        None => told(format!("'{found}' is not a number"), QUANTITY),
    }
}

fn no_difference(found: &str) -> String {
    format!("'{found}' is a temperature, not a difference of two")
}

fn unknown_unit(found: &str, near: Option<&str>) -> Wording {
    if let Some(letter) = only_looks_like(found) {
        return say(format!("no unit '{found}': {letter}"), "not a unit", "type it again");
    }
    if ["week", "weeks", "month", "months", "day", "days", "hour", "hours"].contains(&found) {
        return say(format!("no unit '{found}'"), "not a unit", "write days as d, hours as h: 21 d, 36 h");
    }
    if found.trim_end_matches('s') == "digit" {
        let cure = "write what they come to: 2 digits of a display that ends in 0.01 V are 0.02 V";
        return say(format!("no unit '{found}'"), "not a unit", cure);
    }
    let cure = match near {
        _ if is_plain(found) => "leave it out: a plain number has no unit".to_owned(),
        Some(near) => format!("did you mean '{near}'?"),
        None => "write a unit such as mA, V, Ah, ohm/km, mm2; 'wattle words' lists them".to_owned(),
    };
    say(format!("no unit '{found}'"), "not a unit", cure)
}

fn comma(with_point: Option<&str>, without: Option<&str>, spaced: &str) -> Wording {
    let one: Vec<&str> = [without, with_point].into_iter().flatten().collect();
    let cure = match one.as_slice() {
        [] => format!("a space stands after the comma between values: write {spaced}"),
        one => format!("write {}; between values a space stands after the comma: {spaced}", one.join(" or ")),
    };
    say("a comma in a number", "reads two ways", cure)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_unit_is_told_with_what_to_write_for_it() {
        assert_eq!(unknown_unit("weeks", None).cure, "write days as d, hours as h: 21 d, 36 h");
        assert!(unknown_unit("digits", None).cure.contains("2 digits of a display"));
        assert!(unknown_unit("number", None).cure.contains("leave it out"));
    }
}
