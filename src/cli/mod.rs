//! The command line: arguments, output, exit codes.
//!
//! In: the program's arguments. Out: text on the standard output, remarks on the other, an exit code.
//! Never: calculates; the notebook does.

mod arguments;
mod audit;
mod check;
mod compare;
mod extras;
mod manual;
mod new;
mod prompt;
mod proof;
mod report;
mod sheets;
mod terminal;

use std::path::Path;

use clap::{CommandFactory, Parser};

use self::arguments::{Arguments, Command};
use self::terminal::tell;
use crate::job::clock;
use crate::notebook::audit::Earlier;
use crate::notebook::{Day, Options};
use crate::unit::date;

/// Something could not be read.
const UNREADABLE: u8 = 2;

/// Runs the program; returns its exit code.
pub fn run() -> u8 {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            let _ = error.print();
            if let Some(words) = mistyped_command() {
                tell(&format!("{words}\n"));
            }
            return if error.use_stderr() { UNREADABLE } else { 0 };
        }
    };
    let day = match day(arguments.on.as_deref()) {
        Ok(day) => day,
        Err(words) => {
            tell(&format!("{words}\n"));
            return UNREADABLE;
        }
    };
    if let Some(folder) = arguments.library.iter().find(|folder| !folder.is_dir()) {
        tell(&format!("--library {}: there is no such folder\n", folder.display()));
        return UNREADABLE;
    }
    if let (Some(_), Some(job)) = (&arguments.command, &arguments.job) {
        tell(&format!("{} stands before the command: name what it is for after it\n", job.display()));
        return UNREADABLE;
    }
    let options = Options { libraries: arguments.library.clone(), day };
    match (&arguments.command, &arguments.job) {
        (Some(Command::Check { jobs, format }), _) => check::check(jobs, *format, &options),
        (Some(Command::Compare { old, new, json }), _) => compare::compare(old, new, *json, &options),
        (Some(Command::Audit { job, head, record, brief, sheet, json }), _) => {
            let (head, record, sheet) = (head.as_deref(), record.as_deref(), sheet.as_deref());
            audit::audit(
                job,
                Earlier { head, record },
                audit::Asked { brief: *brief, sheet, json: *json },
                &options,
            )
        }
        (Some(Command::Report { job, output, format, over }), _) => {
            report::report(job, output.as_deref(), *format, *over, &options)
        }
        (Some(Command::Extras { folder }), _) => extras::extras(folder),
        (Some(Command::Proof { files }), _) => proof::prove(files, &options),
        (Some(Command::Sheets { name }), _) => sheets::sheets(name.as_deref(), &options),
        (Some(Command::Words), _) => {
            terminal::put(&crate::view::words::words(terminal::look()));
            0
        }
        (Some(Command::New { job, sheets, basis, title }), _) => {
            new::new(job, sheets, basis.as_deref(), title.as_deref(), &options)
        }
        (None, Some(job)) => prompt::open(job, &arguments, &options),
        (None, None) => {
            tell("name a job, or a command: wattle --help lists them\n");
            UNREADABLE
        }
    }
}

/// A word that is no file may have been meant as a command.
fn mistyped_command() -> Option<String> {
    let first = std::env::args().skip(1).find(|word| !word.starts_with('-'))?;
    let command = Arguments::command();
    let names: Vec<&str> = command.get_subcommands().map(clap::Command::get_name).collect();
    let near = crate::fault::near(&first, names.iter().copied()).filter(|near| *near != first)?;
    (!Path::new(&first).exists()).then(|| format!("there is no command '{first}': did you mean '{near}'?"))
}

fn day(on: Option<&str>) -> Result<Day, String> {
    match on {
        None => Ok(Day::Clock(clock::now())),
        Some(text) if text.contains('T') => {
            Err(format!("--on {text}: a day has no time; write it like 2026-11-25"))
        }
        Some(text) => date::read(text).map(Day::Fixed).map_err(|fault| {
            let words = fault.wording();
            format!("--on {text}: {}; {}", words.title, words.cure)
        }),
    }
}
