//! wattle: a calculation notebook for bringing a fire panel's power supply back into service.
//!
//! Data flows one way, and a folder is one stage of it:
//!
//! ```text
//!  .sheet, .basis text ─▶ sheet ─▶ engine ─▶ notebook ─▶ view  (terminal, html, markdown, csv, json)
//!                          ▲  ▲                 ▲
//!                       unit  table         job (.toml, .csv)  repl and cli drive the notebook
//! ```
//!
//! [`fault`] (what is wrong, where, what to do) and [`cite`] (where a figure comes from) serve every stage.
//!
//! # The way of a sheet
//!
//! 1. [`sheet::read::read`] takes the statements of a page as they are written.
//! 2. [`sheet::check::check`] settles their names, kinds and order: a [`sheet::Sheet`].
//! 3. [`engine::compile`] makes one plan of all sheets of a job: slots and instructions, no names.
//! 4. [`engine::Machine`] works the plan, whole or only where a change reaches.
//! 5. [`notebook::Notebook`] opens a job, puts in what it says, judges the limits, and keeps each change.
//! 6. [`view`] shows what the notebook tells. The program starts at [`cli::run`].
//!
//! ```
//! use std::sync::Arc;
//! use wattle::engine::{Machine, Placed, Purpose, compile};
//! use wattle::fault::Page;
//! use wattle::notebook::Library;
//!
//! let page = Page::new(
//!     "spare.sheet",
//!     "title  What is left over\n\
//!      given  fitted    ? Ah  \"Capacity fitted\"\n\
//!      given  required  ? Ah  \"Capacity required\"\n\
//!      find   spare     Ah    \"Capacity left over\"\n  = fitted - required\n",
//! );
//! let sheet = Library::new(Vec::new()).read_sheet(&page, None).expect("a sheet without a fault");
//! let plan = compile(&[Placed::new(&sheet, Vec::new())]).expect("no loop");
//! let mut machine = Machine::<f64>::new(Arc::new(plan));
//!
//! let slot = |machine: &Machine<f64>, name: &str| {
//!     machine.plan().slot_of(Purpose::Line(0, sheet.known_line(name)?))
//! };
//! for (name, amp_hours) in [("fitted", 12.0), ("required", 6.8)] {
//!     let slot = slot(&machine, name).expect("a line");
//!     machine.set(slot, Some(amp_hours * 3600.0)); // the engine works in SI: coulombs
//! }
//! machine.work();
//! let (coulombs, status) = machine.at(slot(&machine, "spare").expect("a line"));
//! assert!(status.is_worked() && (coulombs / 3600.0 - 5.2).abs() < 1e-9);
//! ```
//!
//! The tool informs a competent person; local codes and licensed practice decide.

pub mod cite;
pub mod cli;
pub mod engine;
pub mod fault;
pub mod job;
pub mod notebook;
pub mod repl;
pub mod sheet;
pub mod table;
pub mod unit;
pub mod view;
