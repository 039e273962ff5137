//! The prompt of an open job: lines in, answers out.
//!
//! In: lines as typed or piped, one at a time. Out: the text of each answer, or what could not be read.
//! Never: calculates; writes to the terminal (that is `cli`).

pub mod answer;
mod besides;
pub mod command;
pub mod editor;
pub mod fill;
pub mod help;
pub mod offers;
pub mod question;
pub mod session;

pub use session::Session;
