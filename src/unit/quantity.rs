//! A number with its unit, and how well it is known.
//!
//! In: text such as `185 mA ± 2 %`. Out: a quantity and its tolerance.
//! Never: rounds: what is printed reads back as the same number and unit.

use std::fmt::{self, Display, Formatter};

use super::number::read_number;
use super::tolerance::Tolerance;
use super::unit::{Unit, unit_extent};
use super::wrong::Wrong;
use crate::fault::{Fault, Span};

/// A number with its unit.
#[derive(Clone, Debug, PartialEq)]
pub struct Quantity {
    /// The number, in the unit.
    pub number: f64,
    /// The unit.
    pub unit: Unit,
}

impl Quantity {
    /// Returns whether it is written in per cent.
    pub fn is_percent(&self) -> bool {
        self.unit.is_percent()
    }

    /// Returns whether it has no unit where one could be missing: zero needs none.
    pub fn is_bare(&self) -> bool {
        self.unit.is_plain() && self.number != 0.0
    }

    /// Returns a number with its unit.
    pub fn new(number: f64, unit: Unit) -> Self {
        Self { number, unit }
    }

    /// Returns the value in SI.
    pub fn si(&self) -> f64 {
        self.unit.to_si(self.number)
    }

    /// Returns an SI value in a unit.
    pub fn from_si(si: f64, unit: &Unit) -> Self {
        Self { number: unit.from_si(si), unit: unit.clone() }
    }

    /// Reads a quantity, a sign before it if there is one; the text is the quantity and nothing else.
    ///
    /// # Errors
    /// What is wrong with it, with its place in the text.
    pub fn read(text: &str) -> Result<Self, Fault> {
        let (quantity, length) = Self::read_start(text)?;
        let rest = text[length..].trim();
        if rest.is_empty() {
            return Ok(quantity);
        }
        let start = length + (text.len() - length - text[length..].trim_start().len());
        let at = Span::new(start, start + rest.len());
        Err(Fault::new(at, Wrong::Trailing { found: rest.to_owned() }))
    }

    /// Reads the quantity that starts a text; returns it and its length.
    pub(super) fn read_start(text: &str) -> Result<(Self, usize), Fault> {
        let lead = text.len() - text.trim_start().len();
        let body = &text[lead..];
        let sign = ["-", "\u{2212}", "+"].into_iter().find(|sign| body.starts_with(sign)).unwrap_or("");
        let mut at = lead + sign.len();
        at += text[at..].len() - text[at..].trim_start().len();
        let (number, length) = read_number(&text[at..]).map_err(|fault| fault.shifted(at))?;
        at += length;
        let blank = text[at..].len() - text[at..].trim_start().len();
        let extent = unit_extent(&text[at + blank..]);
        let unit_at = at + blank;
        if let Some(whole) = blank_in_number(&text[at - length..at], &text[unit_at..unit_at + extent]) {
            return Err(Fault::new(at - length..unit_at + extent, Wrong::BlankInNumber { whole }));
        }
        let unit = Unit::read(&text[unit_at..unit_at + extent]).map_err(|fault| fault.shifted(unit_at))?;
        let end = if extent == 0 { at } else { unit_at + extent };
        let number = if matches!(sign, "" | "+") { number } else { -number };
        if !unit.to_si(number).is_finite() {
            return Err(Fault::new(lead..end, Wrong::TooLarge));
        }
        Ok((Self { number, unit }, end))
    }
}

/// Returns the number that `1 000` was probably meant to be: whole numbers with blanks between are refused.
pub fn blank_in_number(before: &str, after: &str) -> Option<String> {
    let whole = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    (whole(before) && whole(after)).then(|| format!("{before}{after}"))
}

impl Display for Quantity {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        // Zero has no sign; Rust writes the fewest digits that read back.
        let number = if self.number == 0.0 { 0.0 } else { self.number };
        if number == 0.0 || (1e-5..1e15).contains(&number.abs()) {
            write!(f, "{number}")?;
        } else {
            write!(f, "{number:e}")?;
        }
        if self.unit.is_plain() { Ok(()) } else { write!(f, " {}", self.unit.symbol()) }
    }
}

/// A quantity as it was read somewhere, with its tolerance if that was said.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// The value.
    pub value: Quantity,
    /// How well it is known.
    pub tolerance: Option<Tolerance>,
}

impl Reading {
    /// Reads `185 mA`, `185 mA ± 2 %` or `27.3 V +- 0.1 V`.
    ///
    /// # Errors
    /// What is wrong with it, with its place in the text.
    pub fn read(text: &str) -> Result<Self, Fault> {
        let (value, length) = Quantity::read_start(text)?;
        let rest = &text[length..];
        let start = length + rest.len() - rest.trim_start().len();
        let Some(mark) = ["\u{b1}", "+-"].into_iter().find(|mark| text[start..].starts_with(mark)) else {
            let value = Quantity::read(text)?;
            return Ok(Self { value, tolerance: None });
        };
        let at = start + mark.len();
        let tolerance = Tolerance::read(&text[at..], &value.unit).map_err(|fault| fault.shifted(at))?;
        Ok(Self { value, tolerance: Some(tolerance) })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantities_are_read_as_people_write_them() {
        for (text, shown) in [
            ("185 mA", "185 mA"),
            ("185mA", "185 mA"),
            ("5 %", "5 %"),
            ("-5 degC", "-5 degC"),
            ("\u{2212}5 \u{b0}C", "-5 degC"),
            ("+3", "3"),
            ("-0", "0"),
            ("0.00393 K^-1", "0.00393 K^-1"),
            ("1e20 V", "1e20 V"),
            ("0.000001 A", "1e-6 A"),
        ] {
            assert_eq!(
                Quantity::read(text).map(|quantity| quantity.to_string()).as_deref(),
                Ok(shown),
                "{text}"
            );
        }
    }

    #[test]
    fn what_is_left_over_is_met_at_its_place() {
        let fault = Quantity::read("12 V  dc").map_err(|fault| (fault.kind, fault.at.range()));
        assert_eq!(fault, Err((Wrong::Trailing { found: "dc".to_owned() }.into(), 6..8)));
        let fault = Quantity::read("  ten V").map_err(|fault| (fault.kind, fault.at.range()));
        assert_eq!(fault, Err((Wrong::NotANumber { found: "ten".to_owned() }.into(), 2..5)));
        let fault = Quantity::read("185 Ahr").map_err(|fault| fault.at.range());
        assert_eq!(fault, Err(4..7));
        let fault = Quantity::read("1e308 kV").map_err(|fault| fault.kind);
        assert_eq!(fault, Err(Wrong::TooLarge.into()), "finite as written, not in SI");
    }

    #[test]
    fn a_reading_has_the_tolerance_that_was_said() {
        let read = |text: &str| Reading::read(text).expect(text);
        assert_eq!(read("185 mA").tolerance, None);
        assert_eq!(read("185 mA \u{b1} 2 %").tolerance, Some(Tolerance { share: 0.02, fixed: 0.0 }));
        assert_eq!(read("27.3 V+-0.1 V").tolerance, Some(Tolerance { share: 0.0, fixed: 0.1 }));
        assert_eq!(Reading::read("185 mA +- 2 V").map_err(|fault| fault.at.range()), Err(10..13));
        assert!(Reading::read("185 mA +-").is_err());
    }
}
