//! A unit as written: `mA`, `mV/A/m`, `A*s^0.5/mm2`.
//!
//! In: the text of a unit. Out: its factor and dimension.
//! Never: reads the number before it.

use std::sync::Arc;

use super::catalogue::{self, known};
use super::dimension::Dimension;
use super::wrong::Wrong;
use crate::fault::{Fault, Span, near};

/// The longest text of a unit, in bytes.
const LONGEST: usize = 64;
/// The largest power in a unit.
const LARGEST_POWER: f64 = 8.0;

/// A unit: what it is called, and how a value in it becomes one in SI.
#[derive(Clone, Debug, PartialEq)]
pub struct Unit {
    symbol: Arc<str>,
    factor: f64,
    zero: f64,
    dimension: Dimension,
    point: bool,
}

impl Unit {
    /// Returns the unit of a plain number.
    pub fn plain() -> Self {
        Self { symbol: "".into(), factor: 1.0, zero: 0.0, dimension: Dimension::NONE, point: false }
    }

    /// Reads a unit; the text is the unit and nothing else.
    ///
    /// # Errors
    /// What is wrong with it, with its place in the text.
    pub fn read(text: &str) -> Result<Self, Fault> {
        if text.is_empty() {
            return Ok(Self::plain());
        }
        if text.len() > LONGEST {
            return Err(Fault::new(0..text.len(), Wrong::UnitTooLong { most: LONGEST }));
        }
        if let Some(under) = text.strip_prefix("1/") {
            return Err(Fault::new(0..text.len(), Wrong::one_over(under)));
        }
        let pieces = pieces(text)?;
        let alone = pieces.len() == 1;
        let mut made = Self::plain();
        let mut symbol = String::new();
        for piece in &pieces {
            let one = piece.read(alone)?;
            let joined = if piece.divides {
                made.dimension.over(one.dimension)
            } else {
                made.dimension.times(one.dimension)
            };
            made.dimension = joined.ok_or_else(|| Fault::new(piece.at, Wrong::UnitOutOfMeasure))?;
            made.factor = if piece.divides { made.factor / one.factor } else { made.factor * one.factor };
            if !made.factor.is_normal() {
                return Err(Fault::new(piece.at, Wrong::UnitOutOfMeasure));
            }
            (made.zero, made.point) = (one.zero, one.point);
            if !symbol.is_empty() {
                symbol.push(if piece.divides { '/' } else { '*' });
            }
            symbol.push_str(&one.symbol);
        }
        made.symbol = symbol.into();
        Ok(made)
    }

    /// Returns how the unit is written; it reads back as the same unit.
    pub fn symbol(&self) -> &str {
        &self.symbol
    }

    /// Returns whether it is per cent.
    pub fn is_percent(&self) -> bool {
        self.symbol() == "%"
    }

    /// Returns the unit's dimension.
    pub fn dimension(&self) -> Dimension {
        self.dimension
    }

    /// Returns whether the unit is a temperature scale with a zero of its own.
    pub fn is_point(&self) -> bool {
        self.point
    }

    /// Returns whether there is no unit at all.
    pub fn is_plain(&self) -> bool {
        self.symbol.is_empty()
    }

    /// Returns how much one of the unit is in SI.
    pub fn factor(&self) -> f64 {
        self.factor
    }

    /// Returns a value of this unit in SI.
    pub fn to_si(&self, value: f64) -> f64 {
        (value + self.zero) * self.factor
    }

    /// Returns an SI value in this unit.
    pub fn from_si(&self, si: f64) -> f64 {
        si / self.factor - self.zero
    }

    /// Returns the unit that a dimension is shown in where nobody says: Ah for a charge, as batteries are; else that
    /// of SI, by its name if it has one.
    pub fn usual(dimension: Dimension) -> Self {
        if dimension.is_none() {
            return Self::plain();
        }
        let trade = ["Ah"].into_iter().filter_map(|symbol| Self::read(symbol).ok());
        let named = catalogue::symbols().filter_map(|symbol| Self::read(symbol).ok());
        let mut known = trade.chain(named.filter(|unit| unit.factor == 1.0 && !unit.point));
        let found = known.find(|unit| unit.dimension == dimension);
        found.or_else(|| Self::read(&dimension.in_base_units()).ok()).unwrap_or_else(Self::plain)
    }

    /// Returns the unit that a difference of two values is shown in: kelvin for a temperature.
    pub fn difference(&self) -> Self {
        if self.point { Self::read("K").unwrap_or_else(|_| Self::plain()) } else { self.clone() }
    }
}

/// Returns the unit that was probably meant.
pub fn near_unit(text: &str) -> Option<String> {
    super::names::symbol(text).or_else(|| near(text, catalogue::symbols())).map(str::to_owned)
}

/// Returns the length in bytes of the unit that starts a text: it runs to the next space, bracket or comma.
pub fn unit_extent(text: &str) -> usize {
    let stop = |c: char| c.is_whitespace() || matches!(c, '(' | ')' | ',' | '"' | '?' | '=' | '\u{b1}' | '#');
    let text = &text[..text.find(stop).unwrap_or(text.len())];
    [text.find(".."), text.find("+-")].into_iter().flatten().fold(text.len(), usize::min)
}

/// A piece of a compound unit: a symbol, its power, and whether it divides.
struct Piece<'a> {
    symbol: &'a str,
    power: Option<(&'a str, Span)>,
    at: Span,
    divides: bool,
}

/// Splits a unit at `*`, `·` and `/`; each `/` divides by the next piece only.
fn pieces(text: &str) -> Result<Vec<Piece<'_>>, Fault> {
    let mut made = Vec::new();
    let mut start = 0;
    let mut before = None;
    loop {
        let rest = &text[start..];
        let length = rest.find(['*', '/', '\u{b7}']).unwrap_or(rest.len());
        let at = Span::new(start, start + length);
        made.push(piece(&rest[..length], at, before)?);
        let Some(joint) = rest[length..].chars().next() else { return Ok(made) };
        before = Some(joint);
        start += length + joint.len_utf8();
    }
}

fn piece(text: &str, at: Span, joint: Option<char>) -> Result<Piece<'_>, Fault> {
    let power_at = text.find(|c: char| c.is_ascii_digit() || matches!(c, '^' | '\u{b2}' | '\u{b3}'));
    let length = power_at.unwrap_or(text.len());
    let symbol = &text[..length];
    if symbol.is_empty() {
        return Err(Fault::new(
            at,
            if text.is_empty() { Wrong::UnitMissing } else { Wrong::digit(text, joint) },
        ));
    }
    let written = &text[length..];
    let place = Span::new(at.start + length, at.end);
    let power = match written {
        "" => None,
        "\u{b2}" => Some(("2", place)),
        "\u{b3}" => Some(("3", place)),
        "2" | "3" => Some((written, place)),
        _ => match written.strip_prefix('^') {
            Some(power) => Some((power, place)),
            None => return Err(Fault::new(place, Wrong::digit(written, None))),
        },
    };
    Ok(Piece { symbol, power, at, divides: joint == Some('/') })
}

impl Piece<'_> {
    /// Reads the piece; a temperature scale may only stand alone.
    fn read(&self, alone: bool) -> Result<Unit, Fault> {
        let at = Span::new(self.at.start, self.at.start + self.symbol.len());
        let Some((shown, entry)) = known(self.symbol) else {
            return Err(Fault::new(at, Wrong::unknown(self.symbol)));
        };
        let mut unit = Unit {
            symbol: shown.into(),
            factor: entry.factor,
            zero: entry.zero,
            dimension: entry.dimension,
            point: entry.point,
        };
        if unit.point && (!alone || self.power.is_some()) {
            return Err(Fault::new(at, Wrong::PointInUnit { found: self.symbol.to_owned() }));
        }
        if let Some((written, place)) = self.power {
            let power = power(written)
                .ok_or_else(|| Fault::new(place, Wrong::BadPower { found: written.to_owned() }))?;
            let halves = (power * 2.0) as i32;
            unit.dimension =
                unit.dimension.to_power(halves).ok_or_else(|| Fault::new(place, Wrong::UnitOutOfMeasure))?;
            unit.factor =
                if halves % 2 == 0 { unit.factor.powi(halves / 2) } else { unit.factor.powf(power) };
            unit.symbol = match power {
                1.0 => shown.to_owned(),
                2.0 => format!("{shown}2"),
                3.0 => format!("{shown}3"),
                _ => format!("{shown}^{power}"),
            }
            .into();
        }
        Ok(unit)
    }
}

/// Reads a power: a whole number or a half, signed.
fn power(written: &str) -> Option<f64> {
    let digits = written.strip_prefix('-').unwrap_or(written);
    let plain = digits.starts_with(|c: char| c.is_ascii_digit())
        && digits.ends_with(|c: char| c.is_ascii_digit())
        && digits.chars().all(|c| c.is_ascii_digit() || c == '.');
    let power: f64 = if plain { written.parse().ok()? } else { return None };
    (power.abs() <= LARGEST_POWER && power != 0.0 && (power * 2.0).fract() == 0.0).then_some(power)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fault::Kind;

    fn wrong(text: &str) -> (Kind, Span) {
        match Unit::read(text) {
            Err(fault) => (fault.kind, fault.at),
            Ok(unit) => panic!("{text} was read as {unit:?}"),
        }
    }

    #[test]
    fn compounds_have_the_factor_and_the_dimension_of_their_parts() {
        for (text, shown, factor, name) in [
            ("ohm/km", "ohm/km", 1e-3, "resistance per length"),
            ("mV/A/m", "mV/A/m", 1e-3, "resistance per length"),
            ("A*s^0.5/mm2", "A*s^0.5/mm2", 1e6, "s^0.5*A/m^2"),
            ("mm\u{b2}", "mm2", 1e-6, "area"),
            ("mm^2", "mm2", 1e-6, "area"),
            ("m3/h", "m3/h", 1.0 / 3600.0, "flow"),
            ("K^-1", "K^-1", 1.0, "change per kelvin"),
            ("V\u{b7}A", "V*A", 1.0, "power"),
            ("\u{b5}A", "uA", 1e-6, "current"),
            ("\u{3bc}A", "uA", 1e-6, "current"),
            ("k\u{3a9}", "kohm", 1e3, "resistance"),
            ("m^1", "m", 1.0, "length"),
            ("", "", 1.0, "a plain number"),
        ] {
            let unit = Unit::read(text).expect(text);
            assert_eq!((unit.symbol(), unit.dimension().name().as_str()), (shown, name), "{text}");
            assert!((unit.factor() / factor - 1.0).abs() < 1e-14, "{text}: {}", unit.factor());
            assert_eq!(Unit::read(unit.symbol()), Ok(unit));
        }
    }

    #[test]
    fn every_slip_of_a_unit_has_its_own_fault_at_its_own_place() {
        let unknown = |found: &str, near: &str| Wrong::UnknownUnit {
            found: found.to_owned(),
            near: Some(near.to_owned()),
        };
        for (text, kind, at) in [
            ("Ahr", unknown("Ahr", "Ah"), 0..3),
            ("mV/Ahr2/m", unknown("Ahr", "Ah"), 3..6),
            ("AWG", Wrong::Awg, 0..3),
            ("V/2", Wrong::digit("2", Some('/')), 2..3),
            ("mm4", Wrong::digit("4", None), 2..3),
            ("1/K", Wrong::OneOver { cure: "K^-1".to_owned() }, 0..3),
            ("V/", Wrong::UnitMissing, 2..2),
            ("m^0.3", Wrong::BadPower { found: "0.3".to_owned() }, 1..5),
            ("m^9", Wrong::BadPower { found: "9".to_owned() }, 1..3),
            ("V/degC", Wrong::PointInUnit { found: "degC".to_owned() }, 2..6),
            ("degC2", Wrong::PointInUnit { found: "degC".to_owned() }, 0..4),
            ("nm^-8*m^8*nm^-8*m^8*nm^-8*m^8*nm^-8*m^8*nm^-8", Wrong::UnitOutOfMeasure, 40..45),
        ] {
            let (found, place) = wrong(text);
            assert_eq!(found, kind.into(), "{text}");
            assert_eq!(place.range(), at, "{text}");
        }
        let long = "m*".repeat(33);
        assert_eq!(wrong(&long).0, Wrong::UnitTooLong { most: LONGEST }.into());
    }

    #[test]
    fn a_fault_of_a_unit_says_what_to_write() {
        let cure = |text: &str| wrong(text).0.wording().cure;
        assert_eq!(wrong("Ahr").0.wording().title, "no unit 'Ahr'");
        assert_eq!(cure("Ahr"), "did you mean 'Ah'?");
        assert!(cure("V/2").ends_with("12 V / 2"));
        assert_eq!(cure("1/K"), "write K^-1");
        assert!(cure("V/degC").contains("V/K"));
    }

    #[test]
    fn temperatures_are_points_and_their_differences_are_kelvin() {
        let (celsius, fahrenheit) =
            (Unit::read("\u{b0}C").expect("a unit"), Unit::read("degF").expect("a unit"));
        assert!(celsius.is_point() && fahrenheit.is_point());
        assert!((celsius.to_si(20.0) - 293.15).abs() < 1e-9);
        assert!((fahrenheit.to_si(68.0) - 293.15).abs() < 1e-9);
        assert!((fahrenheit.from_si(373.15) - 212.0).abs() < 1e-9);
        assert_eq!(celsius.difference().symbol(), "K");
        assert!(!celsius.difference().is_point());
    }

    #[test]
    fn a_unit_ends_where_the_next_thing_begins() {
        for (text, length) in [
            ("mA, 2", 2),
            ("V)", 1),
            ("mA..5", 2),
            ("mA \u{b1} 2 %", 2),
            ("mA\u{b1}2", 2),
            ("V+-0.1 V", 1),
            ("Ah\"label\"", 2),
            ("A*s^0.5/mm2 x", 11),
            ("", 0),
        ] {
            assert_eq!(unit_extent(text), length, "{text}");
        }
    }
}
