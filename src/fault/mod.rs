//! Faults: what is wrong in a text that a person wrote, where, and what to do.
//!
//! In: places and kinds from every stage. Out: a [`Refused`] page with all of its faults.
//! Never: prints, or decides how a fault looks (that is `view`).

mod alike;
mod kind;
mod looks;
mod name;
mod near;
mod page;
mod refused;
mod span;
mod wording;

pub use alike::{as_it_looks, only_looks_like, typed_otherwise, with_look_alike};
pub use kind::{Fault, Kind};
pub use looks::looks_like;
pub use name::{NAME_RULE, begins_name, is_name, is_of_name};
pub use near::near;
pub use page::{BYTE_ORDER_MARK, Page, lone_return, with_line_ends};
pub use refused::{Faults, MOST, Refused, refuse};
pub use span::{Span, Spanned, part_of};
pub use wording::{Wording, round_of, say, told};
