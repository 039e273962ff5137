//! wattle: a calculation notebook for bringing a fire panel's power supply back into service.
//!
//! Data flows one way, and a folder is one stage of it:
//!
//! ```text
//!  .sheet, .basis text ─▶ sheet ─▶ engine ─▶ notebook ─▶ view  (terminal, html, markdown, csv, json)
//!                          ▲  ▲                 ▲
//!                       unit  table         job (.toml)      repl and cli drive the notebook
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
