//! Units and quantities: read, converted, written.
//!
//! In: text such as `14.8 mV/A/m`. Out: numbers in SI with their dimension.
//! Never: knows of sheets; holds a factor that someone rounded.

mod catalogue;
pub mod date;
mod dimension;
mod names;
mod number;
mod quantity;
pub mod show;
mod tolerance;
#[allow(clippy::module_inception, reason = "the folder is the subject, the file is the type")]
mod unit;
mod wrong;

pub use catalogue::{spellings, symbols};
pub use dimension::Dimension;
pub use names::words_of;
pub use number::read_number;
pub use quantity::{Quantity, Reading, blank_in_number};
pub use tolerance::Tolerance;
pub use unit::{Unit, near_unit, unit_extent};
pub use wrong::Wrong;
