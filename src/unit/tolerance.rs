//! How well a value is known: a share of the reading, a fixed amount, or both.
//!
//! In: text such as `2 % + 5 mA`. Out: the lowest and highest that a reading may stand for.
//! Never: combines tolerances of several readings (that is `engine`).

use super::quantity::Quantity;
use super::show;
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
        each_term(text, |term| made.add(term, of))?;
        if made.share.is_finite() && made.fixed.is_finite() {
            Ok(made)
        } else {
            Err(Fault::new(0..text.len(), Wrong::TooLarge))
        }
    }

    /// Makes sure that a text is a tolerance of something.
    ///
    /// # Errors
    /// A term that is no quantity, or one below zero, with its place in the text.
    pub fn check(text: &str) -> Result<(), Fault> {
        each_term(text, |term| if term.number < 0.0 { Err(Wrong::NegativeTolerance) } else { Ok(()) })
    }

    fn add(&mut self, term: &Quantity, of: &Unit) -> Result<(), Wrong> {
        let difference = of.difference();
        if term.number < 0.0 {
            return Err(Wrong::NegativeTolerance);
        }
        if term.is_percent() {
            if of.is_point() {
                return Err(Wrong::ToleranceOfPoint);
            }
            self.share += term.si();
        } else if term.unit.is_point() && of.is_point() {
            let kelvin = show::digits(term.number * term.unit.factor(), 6);
            return Err(Wrong::ToleranceAtPoint { found: term.to_string(), cure: format!("{kelvin} K") });
        } else if term.unit.dimension() == difference.dimension() && !term.unit.is_point() {
            self.fixed += term.si();
        } else {
            let of = if of.is_point() { "a temperature".to_owned() } else { of.dimension().name() };
            return Err(Wrong::ToleranceKind { found: term.unit.dimension().name(), of });
        }
        Ok(())
    }

    /// Returns the tolerance of a reading in the unit `of` as it is written; it reads back as the same.
    pub fn show(self, of: &Unit) -> String {
        // Next to a value in %, a fixed amount in % would read as a share.
        let fixed_in = if of.is_percent() { Unit::plain() } else { of.difference() };
        let share = (self.share != 0.0).then(|| show::exact(self.share, &percent()));
        let fixed = (self.fixed != 0.0 || share.is_none()).then(|| show::exact(self.fixed, &fixed_in));
        share.into_iter().chain(fixed).collect::<Vec<_>>().join(" + ")
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

fn each_term(text: &str, mut take: impl FnMut(&Quantity) -> Result<(), Wrong>) -> Result<(), Fault> {
    let mut start = 0;
    for term in terms(text) {
        let lead = start + term.len() - term.trim_start().len();
        start += term.len() + 1;
        let quantity = Quantity::read(term.trim()).map_err(|fault| fault.shifted(lead))?;
        let at = Span::new(lead, lead + term.trim().len());
        take(&quantity).map_err(|wrong| Fault::new(at, wrong))?;
    }
    Ok(())
}

fn percent() -> Unit {
    Unit::read("%").unwrap_or_else(|_| Unit::plain())
}

/// Splits a text at each `+` that is not the sign of a power of ten.
fn terms(text: &str) -> impl Iterator<Item = &str> {
    let bytes = text.as_bytes();
    let of_power = |at: usize| {
        at >= 2
            && matches!(bytes[at - 1], b'e' | b'E')
            && bytes[at - 2].is_ascii_digit()
            && bytes.get(at + 1).is_some_and(u8::is_ascii_digit)
    };
    let joints: Vec<usize> = text.match_indices('+').map(|(at, _)| at).filter(|at| !of_power(*at)).collect();
    let starts = std::iter::once(0).chain(joints.clone().into_iter().map(|at| at + 1));
    starts.zip(joints.into_iter().chain([text.len()])).map(|(from, to)| &text[from..to])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn unit(symbol: &str) -> Unit {
        Unit::read(symbol).expect("a unit")
    }

    #[test]
    fn terms_come_in_any_order_and_read_back() {
        for (text, of, shown) in [
            ("2 % + 5 mA", "A", "2 % + 0.005 A"),
            ("5 mA+2 %", "mA", "2 % + 5 mA"),
            ("0.1 V", "V", "0.1 V"),
            ("1e-3 V + 2e+0 %", "mV", "2 % + 1 mV"),
            ("0.5 K", "degC", "0.5 K"),
            ("0 %", "V", "0 V"),
            ("1 % + 0.02", "%", "1 % + 0.02"),
        ] {
            let tolerance = Tolerance::read(text, &unit(of)).expect(text);
            assert_eq!(tolerance.show(&unit(of)), shown);
            assert_eq!(Tolerance::read(shown, &unit(of)), Ok(tolerance), "{shown}");
        }
    }

    #[test]
    fn what_is_no_tolerance_is_refused_at_its_place() {
        let point = Wrong::ToleranceAtPoint { found: "1.8 degF".to_owned(), cure: "1 K".to_owned() };
        let kind =
            |found: &str, of: &str| Wrong::ToleranceKind { found: found.to_owned(), of: of.to_owned() };
        for (text, of, wrong, at) in [
            ("2 % + 5 mA", "V", kind("current", "voltage"), 6..10),
            ("5", "V", kind("a plain number", "voltage"), 0..1),
            ("1 V", "degC", kind("voltage", "a temperature"), 0..3),
            ("2 %", "degC", Wrong::ToleranceOfPoint, 0..3),
            ("1.8 degF", "degC", point, 0..8),
            (" -2 %", "V", Wrong::NegativeTolerance, 1..5),
            ("2 % +", "V", Wrong::NotANumber { found: String::new() }, 5..5),
        ] {
            let fault = Tolerance::read(text, &unit(of)).map_err(|fault| (fault.kind, fault.at.range()));
            assert_eq!(fault, Err((wrong.into(), at)), "{text} of {of}");
        }
    }

    #[test]
    fn the_spread_holds_both_parts_and_a_share_is_of_the_size() {
        let (low, high) = Tolerance { share: 0.02, fixed: 0.005 }.spread(-1.0);
        assert!((low + 1.025).abs() < 1e-12 && (high + 0.975).abs() < 1e-12);
    }
}
