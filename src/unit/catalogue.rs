//! The catalogue of units: symbols, factors and dimensions, one row each.
//!
//! In: nothing. Out: what a symbol stands for.
//! Never: holds a rounded factor. Factors and dimensions are read from `uom`; where that rounds or lacks a
//! unit, the factor is composed from exact ones here.

use std::collections::HashMap;
use std::sync::OnceLock;

use uom::ConstantOp;
use uom::Conversion;
use uom::si;
use uom::typenum::Integer;

use super::dimension::Dimension;

/// What a symbol stands for: `si = (value + zero) * factor`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Entry {
    pub(super) factor: f64,
    pub(super) zero: f64,
    pub(super) dimension: Dimension,
    /// A temperature on a scale with a zero of its own.
    pub(super) point: bool,
}

/// Reads a unit of `uom`: its factor, its zero and the dimension of its quantity.
fn of<D, U>() -> Entry
where
    D: si::Dimension + ?Sized,
    U: si::Unit + Conversion<f64, T = f64>,
{
    let exponents = [D::L::I8, D::M::I8, D::T::I8, D::I::I8, D::Th::I8, D::N::I8, D::J::I8];
    // uom gives -0.0 where there is no zero of its own.
    let zero = U::constant(ConstantOp::Add) + 0.0;
    Entry { factor: U::coefficient(), zero, dimension: Dimension::whole(exponents), point: false }
}

macro_rules! uom {
    ($quantity:ident :: $unit:ident) => {
        of::<si::$quantity::Dimension, si::$quantity::$unit>()
    };
}

fn scaled(entry: Entry, factor: f64) -> Entry {
    Entry { factor: entry.factor * factor, ..entry }
}

fn times(left: Entry, right: Entry) -> Entry {
    let dimension = left.dimension.times(right.dimension).unwrap_or(Dimension::NONE);
    Entry { factor: left.factor * right.factor, zero: 0.0, dimension, point: false }
}

fn over(left: Entry, right: Entry) -> Entry {
    let dimension = left.dimension.over(right.dimension).unwrap_or(Dimension::NONE);
    Entry { factor: left.factor / right.factor, zero: 0.0, dimension, point: false }
}

fn squared(entry: Entry) -> Entry {
    times(entry, entry)
}

fn number(factor: f64) -> Entry {
    Entry { factor, zero: 0.0, dimension: Dimension::NONE, point: false }
}

fn point(entry: Entry) -> Entry {
    Entry { point: true, ..entry }
}

/// A row: the symbol, other spellings, the prefixes it takes, what it stands for.
type Row = (&'static str, &'static [&'static str], &'static str, Entry);

fn lengths_and_times() -> Vec<Row> {
    let inch = uom!(length::inch);
    let foot = uom!(length::foot);
    let metre = uom!(length::meter);
    let circular_mil = scaled(squared(scaled(inch, 0.001)), std::f64::consts::FRAC_PI_4);
    let day = uom!(time::day);
    vec![
        ("m", &[], "nucdkm", metre),
        ("in", &[], "", inch),
        ("ft", &[], "k", foot),
        ("yd", &[], "", uom!(length::yard)),
        ("mil", &[], "", scaled(inch, 0.001)),
        ("cmil", &[], "k", circular_mil),
        ("l", &["L"], "m", uom!(volume::liter)),
        ("s", &[], "num", uom!(time::second)),
        ("min", &[], "", uom!(time::minute)),
        ("h", &[], "", uom!(time::hour)),
        ("d", &[], "", day),
        ("year", &[], "", scaled(day, 365.25)),
        ("Hz", &[], "kM", uom!(frequency::hertz)),
        ("K", &[], "", uom!(temperature_interval::kelvin)),
        ("degC", &["\u{b0}C"], "", point(uom!(thermodynamic_temperature::degree_celsius))),
        ("degF", &["\u{b0}F"], "", point(uom!(thermodynamic_temperature::degree_fahrenheit))),
    ]
}

fn electrical() -> Vec<Row> {
    let watt = uom!(power::watt);
    let hour = uom!(time::hour);
    let ampere = uom!(electric_current::ampere);
    vec![
        ("A", &[], "umk", ampere),
        ("V", &[], "umk", uom!(electric_potential::volt)),
        ("ohm", &["\u{3a9}", "\u{2126}"], "umkMG", uom!(electrical_resistance::ohm)),
        ("S", &[], "um", uom!(electrical_conductance::siemens)),
        ("W", &[], "mkM", watt),
        ("VA", &[], "k", watt),
        ("var", &[], "k", watt),
        ("Ah", &[], "mk", times(ampere, hour)),
        ("Wh", &[], "kM", times(watt, hour)),
        ("C", &[], "", uom!(electric_charge::coulomb)),
        ("F", &[], "pnum", uom!(capacitance::farad)),
        ("H", &[], "um", uom!(inductance::henry)),
    ]
}

fn mechanical_and_plain() -> Vec<Row> {
    let grain = uom!(mass::grain);
    let pound = scaled(grain, 7000.0);
    let gravity = Entry { factor: 9.806_65, ..uom!(acceleration::meter_per_second_squared) };
    let pound_force = times(pound, gravity);
    let candela = uom!(luminous_intensity::candela);
    vec![
        ("g", &[], "mk", uom!(mass::gram)),
        ("lb", &[], "", pound),
        ("N", &[], "k", uom!(force::newton)),
        ("lbf", &[], "", pound_force),
        ("Pa", &[], "kM", uom!(pressure::pascal)),
        ("bar", &[], "m", uom!(pressure::bar)),
        ("psi", &[], "", over(pound_force, squared(uom!(length::inch)))),
        ("J", &[], "kM", uom!(energy::joule)),
        ("cd", &[], "", candela),
        ("lm", &[], "", candela),
        ("lx", &[], "", over(candela, squared(uom!(length::meter)))),
        ("mol", &[], "", uom!(amount_of_substance::mole)),
        ("rad", &[], "", number(1.0)),
        ("deg", &["\u{b0}"], "", number(std::f64::consts::PI / 180.0)),
        ("%", &[], "", number(0.01)),
        ("ppm", &[], "", number(1e-6)),
    ]
}

/// The prefixes of the SI that a row may name, with their factors.
const PREFIXES: [(char, f64); 9] = [
    ('p', 1e-12),
    ('n', 1e-9),
    ('u', 1e-6),
    ('m', 1e-3),
    ('c', 1e-2),
    ('d', 1e-1),
    ('k', 1e3),
    ('M', 1e6),
    ('G', 1e9),
];

/// Returns the factor of a prefix; `None`: there is no such prefix.
fn prefix(letter: char) -> Option<f64> {
    PREFIXES.iter().find(|(known, _)| *known == letter).map(|(_, factor)| *factor)
}

fn rows() -> impl Iterator<Item = Row> {
    [lengths_and_times(), electrical(), mechanical_and_plain()].into_iter().flatten()
}

/// Every symbol with what it stands for, in the order of the rows, and the way in by symbol.
struct Catalogue {
    symbols: Vec<&'static str>,
    entries: HashMap<String, Entry>,
    /// Other spellings, by the spelling that is shown.
    shown: HashMap<String, String>,
}

fn catalogue() -> &'static Catalogue {
    static CATALOGUE: OnceLock<Catalogue> = OnceLock::new();
    CATALOGUE.get_or_init(|| {
        let mut made = Catalogue { symbols: Vec::new(), entries: HashMap::new(), shown: HashMap::new() };
        for (symbol, others, prefixes, entry) in rows() {
            let prefixed = prefixes.chars().filter_map(|letter| Some((letter.to_string(), prefix(letter)?)));
            for (lead, factor) in std::iter::once((String::new(), 1.0)).chain(prefixed) {
                let full = format!("{lead}{symbol}");
                made.entries.insert(full.clone(), scaled(entry, factor));
                for other in others {
                    made.shown.insert(format!("{lead}{other}"), full.clone());
                }
                made.symbols.push(Box::leak(full.into_boxed_str()));
            }
        }
        made
    })
}

/// Returns the spelling that is shown, and what it stands for.
pub(super) fn known(symbol: &str) -> Option<(&'static str, Entry)> {
    let catalogue = catalogue();
    let plain = symbol.replace(['\u{b5}', '\u{3bc}'], "u");
    let full = catalogue.shown.get(&plain).map_or(plain.as_str(), String::as_str);
    let (shown, entry) = catalogue.entries.get_key_value(full)?;
    Some((shown.as_str(), *entry))
}

/// Returns the other spellings of a symbol.
pub fn spellings(symbol: &str) -> Vec<&'static str> {
    let other =
        |(other, shown): (&'static String, &'static String)| (shown == symbol).then_some(other.as_str());
    let mut found: Vec<&str> = catalogue().shown.iter().filter_map(other).collect();
    found.sort_unstable();
    found
}

/// Returns every symbol of the catalogue, each with its usual prefixes.
pub fn symbols() -> impl Iterator<Item = &'static str> {
    catalogue().symbols.iter().copied()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Exact by definition: the international yard and pound agreement of 1959, and the SI brochure (litre, standard
    /// acceleration of free fall). Written from memory and worked by hand; nobody here had the documents open.
    #[test]
    fn nothing_rounded_slips_in() {
        let exact = [
            ("in", 0.0254),
            ("ft", 0.3048),
            ("kft", 304.8),
            ("lb", 0.453_592_37),
            ("lbf", 4.448_221_615_260_5),
            ("psi", 6_894.757_293_168_361),
            ("cmil", std::f64::consts::FRAC_PI_4 * 2.54e-5 * 2.54e-5),
            ("year", 31_557_600.0),
            ("Ah", 3600.0),
            ("kVA", 1000.0),
            ("l", 0.001),
        ];
        for (symbol, factor) in exact {
            let found = known(symbol).map(|(_, entry)| entry.factor).unwrap_or_default();
            assert!((found - factor).abs() <= 1e-15 * factor, "{symbol}: {found} is not {factor}");
        }
    }

    #[test]
    fn every_prefix_that_a_row_names_has_a_factor() {
        for (symbol, _, prefixes, _) in rows() {
            assert!(prefixes.chars().all(|letter| prefix(letter).is_some()), "{symbol}: {prefixes}");
        }
    }

    #[test]
    fn no_symbol_is_given_twice() {
        let mut all: Vec<_> = symbols().collect();
        all.sort_unstable();
        let count = all.len();
        all.dedup();
        assert_eq!(all.len(), count);
    }
}
