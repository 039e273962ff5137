//! The prompt of an open job: a given is set, and what moved is shown.
//!
//! In: lines as typed. Out: what moved, and each limit that turned.
//! Never: keeps a change that is not on disk yet.

use std::io::{BufRead, IsTerminal};
use std::path::Path;

use super::UNREADABLE;
use super::arguments::Arguments;
use super::terminal::{look, put, tell, tell_refused};
use crate::notebook::{Notebook, Options};
use crate::view::{faults, text};

const HELP: &str = "\
NAME = VALUE   sets a given:
    fitted = 12 Ah
    battery.fitted = 12
  A number alone takes the line's unit.
  A formula that names a line links:
    battery.quiescent = standby.total
  Behind the value may stand, in any order,
    measured, nameplate, datasheet,
    drawing, stated, assumed,
    with INSTRUMENT, anyway \"reason\",
    \"a remark\"
NAME = VALUE by \"document\"
               gives a figure, or overrides it
limits         shows how every limit stands
cautions       shows what may hurt
help           shows this
quit           leaves; all is on disk already
";

pub(super) fn open(job: &Path, arguments: &Arguments, options: &Options) -> u8 {
    let mut notebook = match Notebook::open(job, options, arguments.who.clone()) {
        Ok(notebook) => notebook,
        Err(refused) => {
            tell_refused(&refused);
            return UNREADABLE;
        }
    };
    let asks = std::io::stdin().is_terminal();
    if asks {
        put(&format!("{}\n", notebook.record().title));
        put("NAME = VALUE sets a given; limits,\ncautions (read them first), help, quit\n");
    }
    for line in prompted(asks) {
        match line.trim() {
            "" => {}
            "quit" => break,
            "help" => put(HELP),
            "cautions" => put(&text::cautions(notebook.record(), look())),
            "limits" => put(&text::check(notebook.record(), look())),
            typed => match notebook.set(typed, 0) {
                Ok(change) => put(&text::change(&change, look())),
                Err(refused) => {
                    tell(&faults::of_change(&refused, look()));
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
            put("> ");
        }
        lines.next()?.ok()
    })
}
