//! The sheets, bases and tables inside the program.
//!
//! In: a name. Out: the text.
//! Never: reads a disk.

/// The built-in sheets, in the order in which the work is done on site.
pub const SHEETS: &[(&str, &str)] = &[
    ("supply_path", include_str!("../../../sheets/supply_path.sheet")),
    ("circuit_tests", include_str!("../../../sheets/circuit_tests.sheet")),
    ("temporary_feed", include_str!("../../../sheets/temporary_feed.sheet")),
    ("breaker", include_str!("../../../sheets/breaker.sheet")),
    ("battery_condition", include_str!("../../../sheets/battery_condition.sheet")),
    ("standby_load", include_str!("../../../sheets/standby_load.sheet")),
    ("alarm_load", include_str!("../../../sheets/alarm_load.sheet")),
    ("battery", include_str!("../../../sheets/battery.sheet")),
    ("power_unit", include_str!("../../../sheets/power_unit.sheet")),
    ("charger", include_str!("../../../sheets/charger.sheet")),
    ("volt_drop", include_str!("../../../sheets/volt_drop.sheet")),
    ("sounder_circuit", include_str!("../../../sheets/sounder_circuit.sheet")),
    ("detection_circuit", include_str!("../../../sheets/detection_circuit.sheet")),
    ("enclosure_air", include_str!("../../../sheets/enclosure_air.sheet")),
    ("impairment", include_str!("../../../sheets/impairment.sheet")),
    ("handover", include_str!("../../../sheets/handover.sheet")),
];

/// The built-in bases.
pub const BASES: &[(&str, &str)] = &[
    ("uk", include_str!("../../../sheets/basis/uk.basis")),
    ("au", include_str!("../../../sheets/basis/au.basis")),
    ("nz", include_str!("../../../sheets/basis/nz.basis")),
    ("us", include_str!("../../../sheets/basis/us.basis")),
];

/// The built-in tables.
pub const TABLES: &[(&str, &str)] = &[
    ("ambient_bs7671", include_str!("../../../sheets/tables/ambient_bs7671.toml")),
    ("breaker_ratings_iec60898", include_str!("../../../sheets/tables/breaker_ratings_iec60898.toml")),
    ("breaker_ratings_nec", include_str!("../../../sheets/tables/breaker_ratings_nec.toml")),
    ("cable_capacity_bs7671", include_str!("../../../sheets/tables/cable_capacity_bs7671.toml")),
    ("conductors_asnzs", include_str!("../../../sheets/tables/conductors_asnzs.toml")),
    ("conductors_iec60228", include_str!("../../../sheets/tables/conductors_iec60228.toml")),
    ("conductors_nec", include_str!("../../../sheets/tables/conductors_nec.toml")),
    ("gassing_en50272", include_str!("../../../sheets/tables/gassing_en50272.toml")),
    ("grouping_bs7671", include_str!("../../../sheets/tables/grouping_bs7671.toml")),
    ("largest_breaker_nec", include_str!("../../../sheets/tables/largest_breaker_nec.toml")),
    ("loop_limits_asnzs3000", include_str!("../../../sheets/tables/loop_limits_asnzs3000.toml")),
    ("loop_limits_bs7671", include_str!("../../../sheets/tables/loop_limits_bs7671.toml")),
    ("trip_bands_asnzs3000", include_str!("../../../sheets/tables/trip_bands_asnzs3000.toml")),
    ("trip_bands_iec60898", include_str!("../../../sheets/tables/trip_bands_iec60898.toml")),
];

/// Returns the text of a built-in file.
pub fn known(list: &[(&str, &'static str)], name: &str) -> Option<&'static str> {
    list.iter().find(|(known, _)| *known == name).map(|(_, text)| *text)
}
