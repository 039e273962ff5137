//! The engine: the checked sheets of a job compiled into one ordered plan of slots, and worked.
//!
//! In: sheets, rows, links and values in SI. Out: a value in every slot, or why there is none.
//! Never: sees the text of a sheet; looks a name up while it works.

mod compile;
mod formula;
mod instruction;
mod interval;
mod machine;
mod number;
mod operator;
mod order;
mod plan;
pub mod prove;
mod quick;
mod rows;
mod slope;
mod status;
mod tables;
mod tape;
mod texts;
mod trace;

pub use compile::{Link, Placed, compile, literal};
pub use interval::Interval;
pub use machine::{Machine, Worked};
pub use number::{NOISE, Number};
pub use operator::{Arithmetic, Comparison};
pub use plan::{Code, Operand, Plan, Planned, Purpose, Work};
pub use slope::{Slope, Sloped};
pub use status::{Reason, State, Status};
pub use texts::Texts;
pub use trace::Place;
