//! The language: text becomes a checked sheet, or all of its faults.
//!
//! In: the text of a `.sheet` or `.basis` file. Out: a [`Sheet`] or a [`Basis`].
//! Never: evaluates.
//!
//! The way of a text: `layout` (blocks) → `read` (statements, with `scan`, `lex` and `formula`) →
//! `check` (names, kinds, order) → `model`.

pub mod basis;
pub mod check;
mod elsewhere;
pub mod formula;
pub mod function;
mod kind;
mod layout;
pub mod lex;
pub mod model;
pub mod read;
pub mod scan;
pub mod statement;
pub mod token;
pub mod words;
mod wrong;

pub use basis::Basis;
pub use model::Sheet;
pub use wrong::{Limit, Wrong};
