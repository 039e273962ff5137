//! Units against a library that is not ours: what `pint` 0.25 says each quantity is in SI.
//!
//! `tests/published/units/conversions.py` wrote the figures and says how.

use std::collections::HashSet;

use wattle::unit::{Quantity, symbols};

const FIGURES: &str = include_str!("published/units/conversions.csv");

#[test]
fn every_quantity_is_in_si_what_an_outside_library_says() {
    let mut met = HashSet::new();
    let mut wrong = Vec::new();
    for row in csv::Reader::from_reader(FIGURES.as_bytes()).records() {
        let row = row.expect("a row");
        let number = |n: usize| row[n].parse::<f64>().expect("a number");
        let quantity = match Quantity::read(&row[0]) {
            Ok(quantity) => quantity,
            Err(fault) => panic!("{}: {}", &row[0], fault.wording().title),
        };
        let exponents = quantity.unit.dimension().halves().map(|half| f64::from(half) / 2.0);
        if (0..7).any(|n| exponents[n] != number(2 + n)) {
            wrong.push(format!("{}: a dimension of {exponents:?}", &row[0]));
        }
        let (ours, theirs) = (quantity.si(), number(1));
        if (ours - theirs).abs() > 1e-12 * theirs.abs() {
            wrong.push(format!("{}: {ours:e} and not {theirs:e}", &row[0]));
        }
        met.insert(quantity.unit.symbol().to_owned());
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    let unmet: Vec<&str> = symbols().filter(|symbol| !met.contains(*symbol)).collect();
    assert!(unmet.is_empty(), "the figures leave out {unmet:?}");
}
