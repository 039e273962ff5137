//! What can be wrong with a number, a unit or a date.
//!
//! In: nothing. Out: the kinds of fault and their words.
//! Never: finds a fault; the readers beside it do.

use super::unit::near_unit;
use crate::fault::{Wording, say};

/// What is wrong with a number, a unit or a date.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs, reason = "each variant's words stand in `wording`")]
pub enum Wrong {
    UnknownUnit { found: String, near: Option<String> },
    Awg,
    UnitMissing,
    UnitTooLong { most: usize },
    UnitOutOfMeasure,
    DigitInUnit,
    BadPower { found: String },
    PointInUnit { found: String },
    NotANumber { found: String },
    Comma { with_point: String, without: Option<String> },
    PointWithoutDigits { cure: String },
    TwoPoints,
    TooLarge,
    Trailing { found: String },
    ToleranceKind { found: String, of: String },
    ToleranceOfPoint,
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

    /// Returns what is wrong, what the place is, what to do.
    pub fn wording(&self) -> Wording {
        self.of_unit().unwrap_or_else(|| self.of_number())
    }

    fn of_unit(&self) -> Option<Wording> {
        Some(match self {
            Self::UnknownUnit { found, near } => say(
                format!("no unit '{found}'"),
                "not a unit",
                near.as_ref().map_or_else(
                    || "write a unit such as mA, V, Ah, ohm/km, mm2".to_owned(),
                    |near| format!("did you mean '{near}'?"),
                ),
            ),
            Self::Awg => say(
                "AWG is no unit: a gauge number is not an amount",
                "",
                "an AWG size is a row of a table: look it up by its name, \"14 AWG\"",
            ),
            Self::UnitMissing => say("a unit is missing here", "", "write a unit, or take the sign out"),
            Self::UnitTooLong { most } => {
                say(format!("a unit longer than {most} characters"), "", "write it shorter")
            }
            Self::UnitOutOfMeasure => say("a unit out of all measure", "", "check the powers"),
            Self::DigitInUnit => say(
                "a digit in a unit that is no power",
                "",
                "write a power as mm2, mm^2 or K^-1; to divide by a number, put spaces round the /",
            ),
            Self::BadPower { found } => {
                say(format!("'{found}' is no power of a unit"), "", "powers go in halves up to 8: 2, 0.5, -1")
            }
            Self::PointInUnit { found } => {
                say(format!("'{found}' is a temperature, not a difference of two"), "", "write K: V/K, K^-1")
            }
            _ => return None,
        })
    }

    fn of_number(&self) -> Wording {
        match self {
            Self::NotANumber { found } if found.is_empty() => {
                say("a number is missing", "", "write a number with its unit, such as 18 Ah")
            }
            Self::NotANumber { found } => {
                say(format!("'{found}' is not a number"), "", "write a number with its unit, such as 18 Ah")
            }
            Self::Comma { with_point, without } => say(
                "a comma in a number",
                "reads two ways",
                match without {
                    Some(without) => format!(
                        "write {without} or {with_point}; between two values a space follows the comma"
                    ),
                    None => format!("write {with_point}; between two values a space follows the comma"),
                },
            ),
            Self::PointWithoutDigits { cure } => {
                say("a decimal point with digits on one side only", "", format!("write {cure}"))
            }
            Self::TwoPoints => say("a number with two decimal points", "", "write one"),
            Self::TooLarge => say("a number too large to work with", "", "the largest is about 1e308"),
            Self::Trailing { found } => say(
                format!("'{found}' does not belong to a quantity"),
                "",
                "write a number and its unit, such as 18 Ah",
            ),
            Self::ToleranceKind { found, of } => say(
                format!("a tolerance in {found}, for {of}"),
                "",
                "write a share in %, an amount in the line's own kind, or both: 2 % + 5 mA",
            ),
            Self::ToleranceOfPoint => {
                say("a share of a temperature means nothing", "", "write an amount in K: 2 K")
            }
            Self::NegativeTolerance => {
                say("a tolerance below zero", "", "write how far the value may be off, without a sign")
            }
            Self::NotADate { found } => {
                say(format!("'{found}' is not a date"), "", "write 2026-11-25, or 2026-11-25T10:40")
            }
            Self::NoSuchDay { found, why } => {
                say(format!("there is no {found}"), why.as_str(), "correct the day, the month or the time")
            }
            _ => Wording::default(),
        }
    }
}
