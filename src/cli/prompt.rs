//! The prompt of an open job: a given is set, and what moved is shown.
//!
//! In: lines as typed. Out: what moved, and each limit that turned.
//! Never: keeps a change that is not on disk yet.
#![expect(clippy::print_stdout, clippy::print_stderr, reason = "the prompt talks to the terminal")]

use std::io::{BufRead, IsTerminal, Write};
use std::path::Path;

use super::arguments::Arguments;
use super::{UNREADABLE, look};
use crate::notebook::{Notebook, Options};
use crate::view::{faults, text};

pub(super) fn open(job: &Path, arguments: &Arguments, options: &Options) -> u8 {
    let mut notebook = match Notebook::open(job, options, arguments.who.clone()) {
        Ok(notebook) => notebook,
        Err(refused) => {
            eprint!("{}", faults::faults(&refused, look()));
            return UNREADABLE;
        }
    };
    let asks = std::io::stdin().is_terminal();
    if asks {
        println!("{}", notebook.record().title);
        println!("SHEET.NAME = VALUE sets a given; limits shows how it stands; quit leaves");
    }
    for line in prompted(asks) {
        match line.trim() {
            "" => {}
            "quit" => break,
            "limits" => print!("{}", text::check(notebook.record(), look())),
            typed => match notebook.set(typed) {
                Ok(change) => print!("{}", text::change(&change, look())),
                Err(refused) => {
                    eprint!("{}", faults::faults(&refused, look()));
                    if !asks {
                        return UNREADABLE;
                    }
                }
            },
        }
    }
    notebook.record().verdict.exit_code()
}

/// Returns the lines typed, each after a prompt where a person types.
fn prompted(asks: bool) -> impl Iterator<Item = String> {
    let mut lines = std::io::stdin().lock().lines();
    std::iter::from_fn(move || {
        if asks {
            print!("> ");
            let _ = std::io::stdout().flush();
        }
        lines.next()?.ok()
    })
}
