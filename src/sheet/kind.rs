//! Kinds: what a value is, and what a person calls it.
//!
//! In: a unit, a declaration, a value as written. Out: its kind.
//! Never: looks at what a value amounts to.

use super::statement::{Declared, Literal};
use crate::unit::{Dimension, Unit};

/// What a value is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Is {
    /// A number with its dimension; a plain number has none.
    Quantity(Dimension),
    /// A temperature; a difference of two is a quantity.
    Point,
    /// Yes or no.
    Flag,
    /// A day, with or without a time.
    Date,
    /// A text.
    Text,
    /// Not settled here: agrees with anything.
    Unknown,
}

impl Is {
    /// A plain number.
    pub const NUMBER: Self = Self::Quantity(Dimension::NONE);

    /// Returns what a person calls it.
    pub fn name(self) -> String {
        match self {
            Self::Quantity(dimension) => dimension.name(),
            Self::Point => "a temperature".to_owned(),
            Self::Flag => "yes or no".to_owned(),
            Self::Date => "a date".to_owned(),
            Self::Text => "a text".to_owned(),
            Self::Unknown => "a value".to_owned(),
        }
    }

    /// Returns the kind of a value in a unit.
    pub fn of(unit: &Unit) -> Self {
        if unit.is_point() { Self::Point } else { Self::Quantity(unit.dimension()) }
    }

    /// Returns the kind that a line is declared to be.
    pub fn declared(declared: &Declared) -> Self {
        match declared {
            Declared::Unit(unit) => Self::of(unit),
            Declared::Flag => Self::Flag,
            Declared::Date => Self::Date,
            Declared::Text => Self::Text,
            Declared::Unknown => Self::Unknown,
        }
    }

    /// Returns the kind of a value as written.
    pub fn written(literal: &Literal) -> Self {
        match literal {
            Literal::Quantity(quantity) => Self::of(&quantity.unit),
            Literal::Text(_) => Self::Text,
            Literal::Date(_) => Self::Date,
            Literal::Flag(_) => Self::Flag,
        }
    }

    /// Returns the kind of a table's column, by its unit; one without holds texts.
    pub fn of_column(unit: Option<&Unit>) -> Self {
        unit.map_or(Self::Text, Self::of)
    }

    /// Returns whether two kinds are the same, as far as is known.
    pub fn agrees(self, other: Self) -> bool {
        self == other || self == Self::Unknown || other == Self::Unknown
    }
}
