//! Numbers as people write them.
//!
//! In: a text that starts with a number. Out: the number and how far it runs.
//! Never: takes a sign or a unit; never gives an infinite number.

use super::wrong::Wrong;
use crate::fault::{Fault, Span};

/// Reads the number that starts a text; returns it and its length in bytes.
///
/// # Errors
/// A comma in it, a decimal point without digits on both sides or a second one, or a number that is too
/// large.
pub fn read_number(text: &str) -> Result<(f64, usize), Fault> {
    let bytes = text.as_bytes();
    let digits = |from: usize| bytes[from..].iter().take_while(|b| b.is_ascii_digit()).count();
    let whole = digits(0);
    if whole == 0 && !text.starts_with('.') {
        let start = text.len() - text.trim_start().len();
        let word = text.split_whitespace().next().unwrap_or("");
        return Err(Fault::new(start..start + word.len(), Wrong::NotANumber { found: word.to_owned() }));
    }
    let mut at = whole;
    if text[at..].starts_with('.') && !text[at..].starts_with("..") {
        let decimals = digits(at + 1);
        if whole == 0 || decimals == 0 {
            let cure =
                if whole == 0 { format!("0.{}", &text[1..=decimals]) } else { text[..whole].to_owned() };
            return Err(Fault::new(0..at + 1 + decimals, Wrong::PointWithoutDigits { cure }));
        }
        at += 1 + decimals;
        if text[at..].starts_with('.') && !text[at..].starts_with("..") {
            return Err(Fault::new(0..at + 1, Wrong::TwoPoints));
        }
    }
    at += exponent_length(&text[at..]);
    if text[at..].starts_with(',') && digits(at + 1) > 0 {
        return Err(comma(text, at));
    }
    let number: f64 = text[..at].parse().unwrap_or(f64::INFINITY);
    if number.is_finite() { Ok((number, at)) } else { Err(Fault::new(0..at, Wrong::TooLarge)) }
}

/// Returns the length of an exponent, `e6` or `E-3`; an `e` with no digits after it is none.
fn exponent_length(text: &str) -> usize {
    if !text.starts_with(['e', 'E']) {
        return 0;
    }
    let sign = usize::from(text[1..].starts_with(['+', '-']));
    match text[1 + sign..].bytes().take_while(u8::is_ascii_digit).count() {
        0 => 0,
        digits => 1 + sign + digits,
    }
}

fn comma(text: &str, first: usize) -> Fault {
    let run = text[first..].find(|c: char| !(c.is_ascii_digit() || c == ',')).unwrap_or(text.len() - first);
    let written = text[..first + run].trim_end_matches(',');
    let mut parts = written.split(',');
    let (whole, rest) = (parts.next().unwrap_or_default(), parts.collect::<Vec<_>>());
    // What has a point or a power of ten already, and what has two commas, is no decimal.
    let plain = !whole.contains(['e', 'E', '.']);
    let with_point = match rest.as_slice() {
        [decimals] if plain => Some(format!("{whole}.{decimals}")),
        _ => None,
    };
    let groups = plain && rest.iter().all(|group| group.len() == 3);
    let without = groups.then(|| written.replace(',', ""));
    let spaced = written.replace(',', ", ");
    Fault::new(Span::new(0, written.len()), Wrong::Comma { with_point, without, spaced })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wrong(text: &str) -> crate::fault::Kind {
        match read_number(text) {
            Err(fault) => fault.kind,
            Ok(found) => panic!("{text} was read as {found:?}"),
        }
    }

    #[test]
    fn numbers_run_as_far_as_they_can() {
        for (text, number, length) in
            [("185 mA", 185.0, 3), ("1.5e3x", 1500.0, 5), ("2e", 2.0, 1), ("1..5", 1.0, 1), ("3E-2", 0.03, 4)]
        {
            assert_eq!(read_number(text), Ok((number, length)), "{text}");
        }
    }

    #[test]
    fn a_comma_is_met_with_what_may_have_been_meant() {
        let comma = |text: &str| match wrong(text) {
            crate::fault::Kind::Unit(Wrong::Comma { with_point, without, spaced }) => {
                (with_point, without, spaced)
            }
            other => panic!("{other:?}"),
        };
        let some = |text: &str| Some(text.to_owned());
        assert_eq!(comma("1,500 V"), (some("1.500"), some("1500"), "1, 500".to_owned()));
        assert_eq!(comma("1,5"), (some("1.5"), None, "1, 5".to_owned()));
        assert_eq!(comma("1e3,5"), (None, None, "1e3, 5".to_owned()));
        assert_eq!(comma("1.2,1)"), (None, None, "1.2, 1".to_owned()));
        assert_eq!(comma("1,2,3"), (None, None, "1, 2, 3".to_owned()));
        assert_eq!(comma("1,000,000"), (None, some("1000000"), "1, 000, 000".to_owned()));
    }

    #[test]
    fn half_a_decimal_point_and_an_infinite_number_are_refused() {
        assert_eq!(wrong(".5"), Wrong::PointWithoutDigits { cure: "0.5".to_owned() }.into());
        assert_eq!(wrong("5. "), Wrong::PointWithoutDigits { cure: "5".to_owned() }.into());
        assert_eq!(wrong("1.2.3"), Wrong::TwoPoints.into());
        assert_eq!(wrong("1e999"), Wrong::TooLarge.into());
    }
}
