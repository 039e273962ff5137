//! What units are called in words, and what stands in a unit's place instead of one.
//!
//! In: a word that is no unit. Out: the symbol to write.
//! Never: takes the word for the unit: a fault says what to type.

/// A symbol, with the words it goes by elsewhere.
const NAMES: &[(&str, &[&str])] = &[
    ("m", &["metre", "meter"]),
    ("mm", &["millimetre", "millimeter"]),
    ("cm", &["centimetre", "centimeter"]),
    ("km", &["kilometre", "kilometer"]),
    ("in", &["inch", "inches"]),
    ("ft", &["foot", "feet"]),
    ("yd", &["yard"]),
    ("mm2", &["sq", "sqmm", "square"]),
    ("m2", &["sqm"]),
    ("l", &["litre", "liter"]),
    ("s", &["sec", "second"]),
    ("min", &["minute"]),
    ("h", &["hr", "hour"]),
    ("d", &["day"]),
    ("year", &["yr"]),
    ("Hz", &["hertz", "cps"]),
    ("K", &["kelvin"]),
    ("degC", &["celsius", "centigrade", "deg_c"]),
    ("degF", &["fahrenheit", "deg_f"]),
    ("A", &["amp", "ampere"]),
    ("mA", &["milliamp", "milliampere"]),
    ("V", &["volt", "vdc", "vac"]),
    ("mV", &["millivolt"]),
    ("kV", &["kilovolt"]),
    ("ohm", &["r", "\u{3c9}"]),
    ("S", &["siemens", "mho"]),
    ("W", &["watt"]),
    ("kW", &["kilowatt"]),
    ("Ah", &["amphour", "amp_hour"]),
    ("Wh", &["watthour", "watt_hour"]),
    ("F", &["farad"]),
    ("H", &["henry"]),
    ("g", &["gram", "gramme"]),
    ("kg", &["kilogram", "kilo"]),
    ("lb", &["pound"]),
    ("N", &["newton"]),
    ("N*m", &["nm"]),
    ("Pa", &["pascal"]),
    ("J", &["joule"]),
    ("lx", &["lux"]),
    ("lm", &["lumen"]),
    ("%", &["percent", "pct"]),
    ("flag", &["bool", "boolean", "yes", "no", "yesno"]),
    ("text", &["string", "str", "word"]),
    ("date", &["datetime", "time"]),
];

/// Words for what has no unit.
const PLAIN: &[&str] =
    &["number", "float", "int", "integer", "real", "ratio", "factor", "count", "db", "decibel", "none"];

/// Returns the symbol that a word stands for; in any letter case, also of several.
pub(super) fn symbol(word: &str) -> Option<&'static str> {
    let lower = word.to_lowercase();
    let one = lower.strip_suffix('s').filter(|one| one.len() > 1).unwrap_or(&lower);
    NAMES
        .iter()
        .find(|(_, words)| words.iter().any(|word| *word == lower || *word == one))
        .map(|(symbol, _)| *symbol)
}

/// Returns whether a word says that there is no unit.
pub(super) fn is_plain(word: &str) -> bool {
    PLAIN.contains(&word.to_lowercase().trim_end_matches('s'))
}

/// Returns the words that a symbol goes by elsewhere.
pub fn words_of(symbol: &str) -> &'static [&'static str] {
    NAMES.iter().find(|(known, _)| *known == symbol).map_or(&[], |(_, words)| *words)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::Unit;

    #[test]
    fn a_word_leads_to_a_unit_or_a_kind() {
        for (symbol, words) in NAMES {
            assert!(Unit::read(symbol).is_ok() || matches!(*symbol, "flag" | "text" | "date"), "{symbol}");
            for word in *words {
                // In capitals a word may be another one's: Nm is no nm.
                assert!(*word == "nm" || Unit::read(word).is_err(), "{word} is a unit itself");
            }
        }
        for (word, wanted) in [
            ("Volts", "V"),
            ("sec", "s"),
            ("hours", "h"),
            ("inch", "in"),
            ("metres", "m"),
            ("bool", "flag"),
            ("R", "ohm"),
        ] {
            assert_eq!(super::symbol(word), Some(wanted), "{word}");
        }
        assert!(is_plain("number") && is_plain("dB"));
    }
}
