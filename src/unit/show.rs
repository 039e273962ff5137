//! Values as people read them.
//!
//! In: an SI value and a unit. Out: text with as many digits as are wanted.
//! Never: rounds two different values into looking equal where they are compared ([`apart`]).

use super::unit::Unit;

/// Digits that a value is shown with.
const DIGITS: usize = 4;
/// Digits at which the noise of binary numbers is gone.
const QUIET: usize = 14;

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

/// Returns a value as it reads back, but for the noise of binary numbers, with its unit.
pub fn exact(si: f64, unit: &Unit) -> String {
    precise(si, unit, QUIET)
}

/// Returns two values with as many digits as keep them apart if they differ; at least four.
pub fn apart(left: f64, right: f64, unit: &Unit) -> (String, String) {
    let (l, r) = (unit.from_si(left), unit.from_si(right));
    let enough =
        (DIGITS..=17).find(|significant| left == right || digits(l, *significant) != digits(r, *significant));
    let significant = enough.unwrap_or(17);
    (with_unit(&digits(l, significant), unit), with_unit(&digits(r, significant), unit))
}

fn with_unit(number: &str, unit: &Unit) -> String {
    if unit.is_plain() { number.to_owned() } else { format!("{number} {}", unit.symbol()) }
}

/// Returns a number with a number of significant digits; digits before the point are all shown, zeros at
/// the end of decimals are not.
pub fn digits(value: f64, significant: usize) -> String {
    if value == 0.0 || !value.is_finite() {
        return "0".to_owned();
    }
    let scientific = format!("{value:.*e}", significant.saturating_sub(1));
    let (mantissa, exponent) = scientific.split_once('e').unwrap_or((&scientific, "0"));
    let exponent: i32 = exponent.parse().unwrap_or(0);
    if !(-5..15).contains(&exponent) {
        return format!("{}e{exponent}", trimmed(mantissa));
    }
    let places = (i32::try_from(significant).unwrap_or(17) - 1 - exponent).max(0);
    let fixed = format!("{value:.*}", usize::try_from(places).unwrap_or(0));
    let shown = trimmed(&fixed);
    if shown == "-0" { "0".to_owned() } else { shown.to_owned() }
}

fn trimmed(number: &str) -> &str {
    if number.contains('.') { number.trim_end_matches('0').trim_end_matches('.') } else { number }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn four_digits_and_no_zeros_behind() {
        for (value, shown) in [
            (6.8625, "6.862"),
            (7.3, "7.3"),
            (-4.109_589, "-4.11"),
            (116_035.2, "116035"),
            (24.0, "24"),
            (0.0, "0"),
            (-0.000_000_1, "-1e-7"),
            (0.000_123_456, "0.0001235"),
            (1.5e20, "1.5e20"),
            (999.96, "1000"),
        ] {
            assert_eq!(digits(value, 4), shown);
        }
    }

    #[test]
    fn values_that_differ_look_different() {
        let unit = Unit::plain();
        assert_eq!(apart(7.0, 7.000_001, &unit), ("7".to_owned(), "7.000001".to_owned()));
        assert_eq!(apart(7.0, 7.0, &unit), ("7".to_owned(), "7".to_owned()));
    }
}
