//! The prompt on the terminal, or fed from a pipe.
//!
//! In: lines. Out: the answers, written; an exit code.
//! Never: keeps a change that is not on disk yet; understands a line (that is `repl`).

use std::io::{BufRead, IsTerminal};
use std::path::Path;

use super::UNREADABLE;
use super::arguments::Arguments;
use super::terminal::{look, put, tell, tell_refused};
use crate::notebook::{Notebook, Options};
use crate::repl::{self, Answer};
use crate::view::faults;

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
        put("cautions: read them first; help; quit\n");
    }
    put(&told(&mut notebook));
    for line in prompted(asks) {
        let answer = repl::answer(&mut notebook, &line, look());
        put(&told(&mut notebook));
        match answer {
            Ok(Answer::Text(text)) => put(&text),
            Ok(Answer::Fill) => {}
            Ok(Answer::Quit) => break,
            Err(refused) => {
                tell(&faults::of_change(&refused, look()));
                if !asks && !arguments.carry_on {
                    return UNREADABLE;
                }
            }
        }
    }
    notebook.record().verdict.exit_code()
}

/// What was found out of the ordinary.
fn told(notebook: &mut Notebook) -> String {
    notebook.told().iter().map(|words| format!("{words}\n")).collect()
}

/// Returns the lines typed, each after a prompt where a person types.
fn prompted(asks: bool) -> impl Iterator<Item = String> {
    let mut lines = std::io::stdin().lock().lines();
    let mut first = true;
    std::iter::from_fn(move || {
        if asks {
            put("> ");
        }
        let line = lines.next()?.ok()?;
        let line =
            if std::mem::take(&mut first) { line.trim_start_matches('\u{feff}').to_owned() } else { line };
        Some(line)
    })
}
