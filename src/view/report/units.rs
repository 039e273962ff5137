//! Units as a person writes them: mm², Ω/km, °C.
//!
//! In: a unit as the program writes it, or a sentence with such units behind numbers. Out: the same, set.
//! Never: changes a number, or a word that is no unit behind one.

use crate::unit::Unit;

/// Returns a unit, set.
pub(super) fn set(symbol: &str) -> String {
    let mut out = String::new();
    for piece in symbol.split_inclusive(['*', '/']) {
        let (piece, between) = match piece.strip_suffix(['*', '/']) {
            Some(bare) => (bare, if piece.ends_with('*') { "\u{b7}" } else { "/" }),
            None => (piece, ""),
        };
        let end = piece.find(|c: char| c == '^' || c.is_ascii_digit()).unwrap_or(piece.len());
        let (word, power) = piece.split_at(end);
        out += &named(word);
        match raised(power.trim_start_matches('^')) {
            Some(raised) => out += &raised,
            None => out += power,
        }
        out += between;
    }
    out
}

fn named(word: &str) -> String {
    match word {
        "degC" => return "\u{b0}C".to_owned(),
        "degF" => return "\u{b0}F".to_owned(),
        "deg" => return "\u{b0}".to_owned(),
        _ => {}
    }
    let word = word.replace("ohm", "\u{3a9}");
    match word.strip_prefix('u') {
        Some(rest) if !rest.is_empty() => format!("\u{b5}{rest}"),
        _ => word,
    }
}

/// A whole power; another has no such letters.
fn raised(power: &str) -> Option<String> {
    let letter = |c: char| {
        Some(match c {
            '-' => '\u{207b}',
            '0' => '\u{2070}',
            '1' => '\u{b9}',
            '2' => '\u{b2}',
            '3' => '\u{b3}',
            '4'..='9' => char::from_u32(0x2070 + c.to_digit(10)?)?,
            _ => return None,
        })
    };
    power.chars().map(letter).collect()
}

/// Returns a sentence with the units behind its numbers set, each on the line of its number.
pub(super) fn in_words(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut behind_number = false;
    for (n, token) in text.split(' ').enumerate() {
        let bare = token.trim_end_matches([';', ':', ',', '.', ')']);
        let is_unit =
            behind_number && !bare.is_empty() && bare.parse::<f64>().is_err() && Unit::read(bare).is_ok();
        if n > 0 {
            out.push(if is_unit { '\u{a0}' } else { ' ' });
        }
        if is_unit {
            out += &set(bare);
            out += &token[bare.len()..];
        } else if token.starts_with('-') && bare.parse::<f64>().is_ok() {
            out.push('\u{2212}');
            out += &token[1..];
        } else {
            out += token;
        }
        behind_number = token.trim_start_matches(['(', '\u{b1}']).parse::<f64>().is_ok();
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_are_set_as_a_person_writes_them() {
        for (symbol, shown) in [
            ("mm2", "mm\u{b2}"),
            ("mm^2", "mm\u{b2}"),
            ("ohm/km", "\u{3a9}/km"),
            ("K^-1", "K\u{207b}\u{b9}"),
            ("A^2*s", "A\u{b2}\u{b7}s"),
            ("A*s^0.5/mm2", "A\u{b7}s^0.5/mm\u{b2}"),
            ("degC", "\u{b0}C"),
            ("uA", "\u{b5}A"),
            ("mV/A/m", "mV/A/m"),
            ("", ""),
        ] {
            assert_eq!(set(symbol), shown);
        }
    }

    #[test]
    fn only_what_stands_behind_a_number_is_a_unit() {
        assert_eq!(in_words("14.5 ohm/km is 0 or more"), "14.5\u{a0}\u{3a9}/km is 0 or more");
        assert_eq!(in_words("an ohm of 2 mm2; all 7 rows"), "an ohm of 2\u{a0}mm\u{b2}; all 7 rows");
        assert_eq!(in_words("-8.182 % is not 10 % or more"), "\u{2212}8.182\u{a0}% is not 10\u{a0}% or more");
    }
}
