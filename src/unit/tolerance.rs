//! How well a value is known: a share of the reading, a fixed amount, or both.
//!
//! In: text such as `2 % + 5 mA`. Out: the lowest and highest that a reading may stand for.
//! Never: combines tolerances of several readings (that is `engine`).

use super::dimension::Dimension;
use super::quantity::Quantity;
use super::unit::Unit;
use super::wrong::Wrong;
use crate::fault::{Fault, Span};

/// How far a reading may be off.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Tolerance {
    /// The share of the reading; 0.02 is 2 %.
    pub share: f64,
    /// The fixed part, in SI.
    pub fixed: f64,
}

impl Tolerance {
    /// Reads `2 %`, `5 mA` or `2 % + 5 mA` for a reading in the unit `of`.
    ///
    /// # Errors
    /// A term of another kind, or one below zero, with its place in the text.
    pub fn read(text: &str, of: &Unit) -> Result<Self, Fault> {
        let mut made = Self::default();
        let mut start = 0;
        for term in text.split('+') {
            let at = start + term.len() - term.trim_start().len();
            start += term.len() + 1;
            let quantity = Quantity::read(term.trim()).map_err(|fault| fault.shifted(at))?;
            let span = Span::new(at, at + term.trim().len());
            if quantity.number < 0.0 {
                return Err(Fault::new(span, Wrong::NegativeTolerance));
            }
            made.add(&quantity, of).map_err(|wrong| Fault::new(span, wrong))?;
        }
        Ok(made)
    }

    fn add(&mut self, term: &Quantity, of: &Unit) -> Result<(), Wrong> {
        let difference = of.difference();
        if term.unit.symbol() == "%" {
            if of.is_point() {
                return Err(Wrong::ToleranceOfPoint);
            }
            self.share += term.si();
        } else if term.unit.dimension() == difference.dimension() && !term.unit.is_point() {
            self.fixed += term.si();
        } else {
            let of = if of.is_point() { "a temperature".to_owned() } else { of.dimension().name() };
            let found = if term.unit.dimension() == Dimension::NONE {
                "a plain number".to_owned()
            } else {
                term.unit.dimension().name()
            };
            return Err(Wrong::ToleranceKind { found, of });
        }
        Ok(())
    }

    /// Returns the lowest and the highest value, in SI, that a reading may stand for.
    pub fn spread(self, si: f64) -> (f64, f64) {
        let off = self.share * si.abs() + self.fixed;
        (si - off, si + off)
    }

    /// Returns whether it says that the reading is exact.
    pub fn is_zero(self) -> bool {
        self.share == 0.0 && self.fixed == 0.0
    }
}
