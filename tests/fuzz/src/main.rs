//! Texts that nobody would write, given to every reader of the program.
//!
//! In: bytes from the fuzzer, and in `WATTLE_FUZZ` which reader they go to. Out: nothing, or a crash that is a
//! defect. Never: writes outside a folder of its own.
#![no_main]

mod reader;

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| reader::chosen()(bytes));
