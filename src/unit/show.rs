//! Values as people read them.
//!
//! In: an SI value and a unit. Out: text with as many digits as are wanted.
//! Never: rounds two different values into looking equal where they are compared ([`apart`]); shows a
//! number that is not finite.

use std::cmp::Ordering;

use super::unit::Unit;

/// Digits that a value is shown with.
const DIGITS: usize = 4;
/// Digits at which the noise of binary numbers is gone; a half is told from less than a half there.
const QUIET: usize = 12;
/// Digits that tell every number from every other.
const ALL: usize = 17;

/// Returns a value with four significant digits and its unit: "6.863 Ah".
pub fn short(si: f64, unit: &Unit) -> String {
    precise(si, unit, DIGITS)
}

/// Returns a value with four significant digits, without its unit.
pub fn number(si: f64, unit: &Unit) -> String {
    digits(unit.from_si(si), DIGITS)
}

/// Returns a value with a number of significant digits and its unit.
pub fn precise(si: f64, unit: &Unit, significant: usize) -> String {
    with_unit(&digits(unit.from_si(si), significant), unit)
}

/// Returns a value with its unit, in the fewest digits (15 to 17, zeros at the end dropped) that read back
/// as the same SI value.
pub fn exact(si: f64, unit: &Unit) -> String {
    let value = unit.from_si(si);
    // Where the way to the unit rounds, a neighbour may be the number that comes back.
    let near = [value, value.next_up(), value.next_down()];
    let mut tries = near.into_iter().flat_map(|value| (15..=ALL).map(move |n| digits(value, n)));
    let back = |shown: &String| shown.parse::<f64>().is_ok_and(|read| unit.to_si(read) == si);
    with_unit(&tries.find(back).unwrap_or_else(|| digits(value, ALL)), unit)
}

/// Returns two values with as many digits as keep them apart if they differ; at least four.
pub fn apart(left: f64, right: f64, unit: &Unit) -> (String, String) {
    let (l, r) = (unit.from_si(left), unit.from_si(right));
    let enough = (DIGITS..=ALL)
        .find(|significant| left == right || digits(l, *significant) != digits(r, *significant));
    let significant = enough.unwrap_or(ALL);
    (with_unit(&digits(l, significant), unit), with_unit(&digits(r, significant), unit))
}

/// Returns a value with as many digits as tell it from those of others that differ from it; at least four.
pub fn among(si: f64, unit: &Unit, others: &[(f64, Unit)]) -> String {
    precise(si, unit, enough(si, unit, others))
}

/// Returns a value as [`among`], rounded up or down and never to the nearest.
pub fn towards(si: f64, unit: &Unit, up: bool, others: &[(f64, Unit)]) -> String {
    directed(si, unit, up, enough(si, unit, others))
}

/// Returns how many digits tell a value from others that differ from it; at least four.
fn enough(si: f64, unit: &Unit, others: &[(f64, Unit)]) -> usize {
    let differs = |significant: usize| {
        let own = precise(si, unit, significant);
        let other =
            |(other, in_unit): &(f64, Unit)| *other != si && precise(*other, in_unit, significant) == own;
        !others.iter().any(other)
    };
    (DIGITS..=ALL).find(|significant| differs(*significant)).unwrap_or(ALL)
}

/// Returns a value with a number of significant digits and its unit, rounded up or down and never to the nearest.
pub fn directed(si: f64, unit: &Unit, up: bool, significant: usize) -> String {
    let value = unit.from_si(si);
    let nearest = digits(value, significant);
    let read = nearest.parse().unwrap_or(value);
    let off = (value - read) / value.abs().max(f64::MIN_POSITIVE);
    let missed = if up { off > CERTAIN } else { off < -CERTAIN };
    if !missed {
        return with_unit(&nearest, unit);
    }
    let (count, exponent) = rounded(value.abs(), significant.clamp(1, ALL));
    let (count, exponent) = neighbour(&count, exponent, up == (value > 0.0));
    with_unit(&written(value, &count, exponent), unit)
}

/// Returns the next digits above or below some, as many, with the power of ten of the first one.
fn neighbour(count: &str, exponent: i32, above: bool) -> (String, i32) {
    let number: u64 = count.parse().unwrap_or(0);
    let next = if above { number + 1 } else { number.saturating_sub(1) }.to_string();
    match next.len().cmp(&count.len()) {
        Ordering::Greater => (next[..count.len()].to_owned(), exponent + 1),
        Ordering::Equal => (next, exponent),
        Ordering::Less => ("9".repeat(count.len()), exponent - 1),
    }
}

/// A share below which a value is the number it is shown as.
const CERTAIN: f64 = 1e-9;

fn with_unit(number: &str, unit: &Unit) -> String {
    if unit.is_plain() { number.to_owned() } else { format!("{number} {}", unit.symbol()) }
}

/// Returns a number with a number of significant digits, a half rounded away from zero; digits before the
/// point are all shown, zeros at the end of decimals are not.
pub fn digits(value: f64, significant: usize) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    if !value.is_finite() {
        return "out of range".to_owned();
    }
    let (count, exponent) = rounded(value.abs(), significant.clamp(1, ALL));
    written(value, &count, exponent)
}

/// Writes digits, the first of which stands for a power of ten, with the sign of a value.
fn written(value: f64, count: &str, exponent: i32) -> String {
    let shown = if (-5..15).contains(&exponent) {
        trimmed(&placed(count, exponent)).to_owned()
    } else {
        let (first, rest) = count.split_at(1);
        format!("{}e{exponent}", trimmed(&format!("{first}.{rest}")))
    };
    if value < 0.0 { format!("-{shown}") } else { shown }
}

/// Returns the digits of a number above zero, and the power of ten of the first one.
fn rounded(value: f64, significant: usize) -> (String, i32) {
    let (quiet, exponent) = split(value, QUIET);
    let before_point = if exponent < 15 { usize::try_from(exponent + 1).unwrap_or(0) } else { 0 };
    let wanted = significant.max(before_point);
    if wanted >= QUIET {
        return split(value, wanted);
    }
    let count: u64 = quiet.parse().unwrap_or(0);
    let step = 10_u64.pow(u32::try_from(QUIET - wanted).unwrap_or(0));
    let count = ((count + step / 2) / step).to_string();
    if count.len() > wanted { (count[..wanted].to_owned(), exponent + 1) } else { (count, exponent) }
}

fn split(value: f64, significant: usize) -> (String, i32) {
    let scientific = format!("{value:.*e}", significant - 1);
    let (mantissa, exponent) = scientific.split_once('e').unwrap_or((&scientific, "0"));
    (mantissa.replace('.', ""), exponent.parse().unwrap_or(0))
}

/// Sets the decimal point among digits, the first of which stands for this power of ten.
fn placed(count: &str, exponent: i32) -> String {
    match usize::try_from(exponent) {
        Ok(before) if before + 1 < count.len() => {
            format!("{}.{}", &count[..=before], &count[before + 1..])
        }
        Ok(before) => format!("{count:0<width$}", width = before + 1),
        Err(_) => {
            let zeros = usize::try_from(-exponent - 1).unwrap_or(0);
            format!("0.{}{count}", "0".repeat(zeros))
        }
    }
}

fn trimmed(number: &str) -> &str {
    if number.contains('.') { number.trim_end_matches('0').trim_end_matches('.') } else { number }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::{Quantity, symbols};
    use super::*;

    fn unit(symbol: &str) -> Unit {
        Unit::read(symbol).expect("a unit")
    }

    #[test]
    fn what_must_be_reached_is_rounded_up_and_what_must_be_kept_to_down() {
        let ah = unit("A");
        for (value, up, down) in [
            (12.344_49, "12.35 A", "12.34 A"),
            (6.8625, "6.863 A", "6.862 A"),
            (7.3, "7.3 A", "7.3 A"),
            (7.300_01, "7.301 A", "7.3 A"),
            (0.1 + 0.2, "0.3 A", "0.3 A"),
            (1234.56, "1235 A", "1234 A"),
            (9.9996, "10 A", "9.999 A"),
        ] {
            assert_eq!(towards(value, &ah, true, &[]), up);
            assert_eq!(towards(value, &ah, false, &[]), down);
        }
    }

    #[test]
    fn a_value_is_rounded_one_way_at_any_digit() {
        let ah = unit("A");
        for (value, significant, up, down) in [
            (12.344_49, 4, "12.35 A", "12.34 A"),
            (12.344_49, 6, "12.3445 A", "12.3444 A"),
            (1234.56, 3, "1235 A", "1234 A"),
            (-6.8625, 4, "-6.862 A", "-6.863 A"),
            (0.1 + 0.2, 4, "0.3 A", "0.3 A"),
            (9.9996, 4, "10 A", "9.999 A"),
            (0.0, 4, "0 A", "0 A"),
            (999.96, 3, "1000 A", "999 A"),
            (-9.9996, 4, "-9.999 A", "-10 A"),
            (0.000_123_456, 4, "0.0001235 A", "0.0001234 A"),
            (1.234_44e20, 4, "1.235e20 A", "1.234e20 A"),
            (9.9996e20, 4, "1e21 A", "9.999e20 A"),
            (1.2345e-9, 3, "1.24e-9 A", "1.23e-9 A"),
        ] {
            assert_eq!(directed(value, &ah, true, significant), up);
            assert_eq!(directed(value, &ah, false, significant), down);
        }
    }

    #[test]
    fn four_digits_and_no_zeros_behind() {
        for (value, shown) in [
            (6.8625, "6.863"),
            (6.862_499_999_999_999, "6.863"),
            (-6.8625, "-6.863"),
            (6.8624, "6.862"),
            (0.1 + 0.2, "0.3"),
            (7.3, "7.3"),
            (-4.109_589, "-4.11"),
            (116_035.2, "116035"),
            (116_035.5, "116036"),
            (123_456_789_012_345.6, "123456789012346"),
            (24.0, "24"),
            (0.0, "0"),
            (-0.0, "0"),
            (-0.000_000_1, "-1e-7"),
            (1.234e-7, "1.234e-7"),
            (0.000_123_456, "0.0001235"),
            (0.000_009_999_99, "0.00001"),
            (1.5e20, "1.5e20"),
            (999.96, "1000"),
            (999_999_999_999_999.9, "1e15"),
        ] {
            assert_eq!(digits(value, 4), shown, "{value:e}");
        }
    }

    #[test]
    fn a_number_that_is_not_finite_is_never_shown() {
        for value in [f64::INFINITY, f64::NEG_INFINITY, f64::NAN] {
            assert_eq!(digits(value, 4), "out of range");
        }
    }

    #[test]
    fn values_are_shown_in_their_unit() {
        assert_eq!(short(24.0 * 3600.0, &unit("h")), "24 h");
        assert_eq!(short(6.8625 * 3600.0, &unit("Ah")), "6.863 Ah");
        assert_eq!(short(-0.041_095_89, &unit("%")), "-4.11 %");
        assert_eq!(number(0.185, &unit("mA")), "185");
        assert_eq!(precise(1.0 / 3.0, &Unit::plain(), 9), "0.333333333");
    }

    #[test]
    fn values_that_differ_look_different() {
        let unit = Unit::plain();
        assert_eq!(apart(7.0, 7.000_001, &unit), ("7".to_owned(), "7.000001".to_owned()));
        assert_eq!(apart(7.0, 7.0, &unit), ("7".to_owned(), "7".to_owned()));
    }

    #[test]
    fn an_exact_value_has_no_noise_of_its_unit() {
        assert_eq!(exact(0.185, &unit("mA")), "185 mA");
        assert_eq!(exact(0.3, &Unit::plain()), "0.3");
        assert_eq!(exact(0.1 + 0.2, &Unit::plain()), "0.30000000000000004");
        assert_eq!(exact(273.15 - 5.0, &unit("degC")), "-5 degC");
    }

    proptest! {
        #[test]
        fn an_exact_value_reads_back(value in -1e9..1e9_f64, n in 0..1000_usize) {
            let all: Vec<&str> = symbols().collect();
            let unit = unit(all[n % all.len()]);
            let si = unit.to_si(value);
            let back = Quantity::read(&exact(si, &unit)).expect("a quantity").si();
            prop_assert_eq!(back, si);
        }

        #[test]
        fn a_value_rounded_one_way_lies_on_that_side(value in proptest::num::f64::NORMAL, n in 1..17_usize) {
            prop_assume!((1e-300..1e300).contains(&value.abs()));
            let side = |up| directed(value, &Unit::plain(), up, n).parse::<f64>().expect("a number");
            let (above, below, certain) = (side(true), side(false), CERTAIN * value.abs());
            prop_assert!(above >= value - certain && below <= value + certain, "{below} {value} {above}");
        }

        #[test]
        fn two_values_shown_apart_stand_in_order(a in -1e6..1e6_f64, off in 1e-13..1e-2_f64) {
            let (low, high) = (a, a + off);
            let (l, h) = apart(low, high, &Unit::plain());
            let (l, h): (f64, f64) = (l.parse().expect("a number"), h.parse().expect("a number"));
            prop_assert!(if low == high { l == h } else { l < h }, "{l} {h}");
        }

        #[test]
        fn more_digits_are_never_further_off(value in proptest::num::f64::NORMAL, n in 1..17_usize) {
            // The largest numbers round up to one that is none.
            prop_assume!(value.abs() < 1e300);
            let off = |n| (digits(value, n).parse::<f64>().expect("a number") - value).abs();
            prop_assert!(off(n) <= value.abs() * 10_f64.powi(1 - i32::try_from(n).expect("small")));
        }
    }
}
