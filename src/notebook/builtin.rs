//! The sheets, bases and tables inside the program.
//!
//! In: a name. Out: the text.
//! Never: reads a disk.

/// The built-in sheets, in the order in which the work is done on site.
pub const SHEETS: &[(&str, &str)] = &[
    ("breaker", include_str!("../../sheets/breaker.sheet")),
    ("standby_load", include_str!("../../sheets/standby_load.sheet")),
    ("alarm_load", include_str!("../../sheets/alarm_load.sheet")),
    ("battery", include_str!("../../sheets/battery.sheet")),
    ("volt_drop", include_str!("../../sheets/volt_drop.sheet")),
];

/// The built-in bases.
pub const BASES: &[(&str, &str)] = &[
    ("uk", include_str!("../../sheets/basis/uk.basis")),
    ("au", include_str!("../../sheets/basis/au.basis")),
    ("nz", include_str!("../../sheets/basis/nz.basis")),
    ("us", include_str!("../../sheets/basis/us.basis")),
];

include!("builtin_tables.rs");

/// Returns the text of a built-in file.
pub fn known(list: &[(&str, &'static str)], name: &str) -> Option<&'static str> {
    list.iter().find(|(known, _)| *known == name).map(|(_, text)| *text)
}
