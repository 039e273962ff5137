//! Laws of dimensions, and readers of units that never give up on a text.

use proptest::prelude::*;
use wattle::unit::{
    Dimension, Quantity, Reading, Tolerance, Unit, date, near_unit, read_number, show, symbols, unit_extent,
};

fn dimension() -> impl Strategy<Value = Dimension> {
    prop::array::uniform7(-8..=8_i8).prop_map(Dimension::whole)
}

fn symbol() -> impl Strategy<Value = &'static str> {
    prop::sample::select(symbols().collect::<Vec<_>>())
}

proptest! {
    #[test]
    fn products_of_dimensions_keep_the_laws(a in dimension(), b in dimension(), c in dimension()) {
        prop_assert_eq!(a.times(b), b.times(a));
        let left = a.times(b).and_then(|ab| ab.times(c));
        prop_assert_eq!(left, b.times(c).and_then(|bc| a.times(bc)));
        prop_assert_eq!(a.times(Dimension::NONE), Some(a));
        prop_assert_eq!(a.over(b), a.times(b.inverse()));
        prop_assert_eq!(a.times(a.inverse()), Some(Dimension::NONE));
        prop_assert_eq!(a.inverse().inverse(), a);
    }

    #[test]
    fn powers_of_dimensions_are_products(a in dimension()) {
        prop_assert_eq!(a.to_power(4), a.times(a));
        prop_assert_eq!(a.to_power(2), Some(a));
        prop_assert_eq!(a.to_power(0), Some(Dimension::NONE));
        prop_assert_eq!(a.to_power(-2), Some(a.inverse()));
        let root = a.root().expect("whole exponents have a root in halves");
        prop_assert_eq!(root.times(root), Some(a));
    }

    #[test]
    fn a_dimension_in_base_units_is_a_unit_of_it(a in dimension()) {
        let unit = Unit::read(&a.in_base_units()).expect("a unit");
        prop_assert_eq!(unit.dimension(), a);
        prop_assert!((unit.factor() - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_symbol_reads_back_and_a_value_comes_back_from_si(symbol in symbol(), value in -1e6..1e6_f64) {
        let unit = Unit::read(symbol).expect(symbol);
        prop_assert_eq!(unit.symbol(), symbol);
        let back = unit.from_si(unit.to_si(value));
        let scale = value.abs().max(if unit.is_point() { 1000.0 } else { 0.0 });
        prop_assert!((back - value).abs() <= 1e-12 * scale, "{value} {symbol} came back as {back}");
    }

    #[test]
    fn a_compound_is_the_quotient_of_its_parts(a in symbol(), b in symbol()) {
        let (one, other) = (Unit::read(a).expect(a), Unit::read(b).expect(b));
        let read = Unit::read(&format!("{a}/{b}"));
        if one.is_point() || other.is_point() {
            prop_assert!(read.is_err());
        } else {
            let read = read.expect("a compound");
            prop_assert_eq!(Some(read.dimension()), one.dimension().over(other.dimension()));
            prop_assert!((read.factor() * other.factor() / one.factor() - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn no_text_makes_a_reader_panic(text in "(\\PC|[0-9.,eE+\\-±%/*^ µ²]|mA|V|K|deg[CF]){0,24}") {
        let volt = Unit::read("V").expect("a unit");
        let faults = [
            Unit::read(&text).err(),
            Quantity::read(&text).err(),
            Reading::read(&text).err(),
            Tolerance::read(&text, &volt).err(),
            date::read(&text).err(),
            read_number(&text).err(),
        ];
        for fault in faults.into_iter().flatten() {
            prop_assert!(text.get(fault.at.range()).is_some(), "{fault:?} lies outside {text:?}");
            prop_assert!(!fault.wording().title.is_empty() && !fault.wording().cure.is_empty());
        }
        prop_assert!(text.is_char_boundary(unit_extent(&text)));
        prop_assert!(date::extent(&text).is_none_or(|length| text.is_char_boundary(length)));
        let _ = near_unit(&text);
    }

    #[test]
    fn what_is_read_is_finite_and_prints_as_the_same(text in "[-+]?[0-9]{1,4}(\\.[0-9]{1,8})?(e[-+]?[0-9]{1,3})? ?(mA|V|degF|mm2|ohm/km|%|kcmil)?") {
        let quantity = Quantity::read(&text);
        prop_assume!(quantity.is_ok());
        let quantity = quantity.expect("it was read");
        prop_assert!(quantity.si().is_finite());
        prop_assert_eq!(Quantity::read(&quantity.to_string()), Ok(quantity.clone()));
    }

    #[test]
    fn a_quantity_printed_and_read_again_is_the_same(number in -1e12..1e12_f64, small in -1e-9..1e-9_f64, symbol in symbol()) {
        let unit = Unit::read(symbol).expect(symbol);
        for number in [number, small, number.round(), 0.0] {
            let quantity = Quantity { number, unit: unit.clone() };
            prop_assert_eq!(Quantity::read(&quantity.to_string()), Ok(quantity));
        }
    }

    #[test]
    fn a_compound_unit_reads_back_from_its_symbol(text in "(mA|V|ohm|m|mm2|s\\^0\\.5|K\\^-1|km|h|kcmil)([*/](mA|V|m|mm2|s\\^0\\.5|km|h|kft)){0,4}") {
        let unit = Unit::read(&text).expect("a unit");
        prop_assert_eq!(Unit::read(unit.symbol()), Ok(unit.clone()));
    }

    #[test]
    fn a_date_shown_reads_back(days in 0..40_000_i32, minutes in 0..1440_i32) {
        let seconds = f64::from(days) * 86_400.0 + f64::from(minutes) * 60.0;
        prop_assert_eq!(date::read(&date::show(seconds)), Ok(seconds));
    }

    #[test]
    fn any_number_can_be_shown(si in prop::num::f64::ANY, symbol in symbol(), n in 0..40_usize) {
        let unit = Unit::read(symbol).expect(symbol);
        for shown in [show::short(si, &unit), show::exact(si, &unit), show::precise(si, &unit, n)] {
            prop_assert!(!shown.starts_with("-0 ") && shown != "-0", "{shown}");
        }
        prop_assert!(!date::show(si).is_empty() && !date::in_words(si).is_empty());
    }
}
