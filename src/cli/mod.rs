//! The command line: arguments, output, exit codes.
//!
//! In: the program's arguments. Out: text on the standard output, remarks on the other, an exit code.
//! Never: calculates; the notebook does.

mod arguments;
mod extras;
mod manual;
mod new;
mod prompt;
mod report;
mod sheets;
mod terminal;

use std::path::{Path, PathBuf};

use clap::{CommandFactory, Parser};

use self::arguments::{Arguments, Command, Format};
use self::terminal::{look, put, tell, tell_refused};
use crate::notebook::{self, Day, Found, Library, Options, Record, proof};
use crate::unit::date;
use crate::view;

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
        tell(&format!("{} stands before the command: name what it is for behind it\n", job.display()));
        return UNREADABLE;
    }
    let options = Options { libraries: arguments.library.clone(), day };
    match (&arguments.command, &arguments.job) {
        (Some(Command::Check { jobs, format }), _) => check(jobs, *format, &options),
        (Some(Command::Compare { old, new, json }), _) => compare(old, new, *json, &options),
        (Some(Command::Audit { job, head, json }), _) => audit(job, head.as_deref(), *json, &options),
        (Some(Command::Report { job, output, format }), _) => {
            report::report(job, output.as_deref(), *format, &options)
        }
        (Some(Command::Extras { folder }), _) => extras::extras(folder),
        (Some(Command::Proof { files }), _) => prove(files, &options),
        (Some(Command::Sheets { name }), _) => sheets::sheets(name.as_deref(), &options),
        (Some(Command::Words), _) => {
            put(&view::words::words(look()));
            0
        }
        (Some(Command::New { job, sheets, basis, title }), _) => {
            new::new(job, sheets, basis, title.as_deref(), &options)
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
        None => Ok(Day::Clock(date::now())),
        Some(text) if text.contains('T') => {
            Err(format!("--on {text}: a day has no time; write it like 2026-11-25"))
        }
        Some(text) => date::read(text).map(Day::Fixed).map_err(|fault| {
            let words = fault.wording();
            format!("--on {text}: {}; {}", words.title, words.cure)
        }),
    }
}

/// The graver of two exit codes: 2, 1, 3, 0.
fn graver(one: u8, other: u8) -> u8 {
    [2, 1, 3].into_iter().find(|code| [one, other].contains(code)).unwrap_or(0)
}

/// What is said of one job, on the standard output and on the other, and its exit code.
type Said = (String, String, u8);

fn check(jobs: &[PathBuf], format: Format, options: &Options) -> u8 {
    if format == Format::Csv {
        put(&view::table::csv_head());
    }
    let one = jobs.len() == 1;
    let mut code = 0;
    let told = |job: &Path, found: Found<Record>| said(job, found, (format, one));
    notebook::estate::each(jobs, options, told, |(answer, wrong, own)| {
        put(&answer);
        tell(&wrong);
        code = graver(code, own);
    });
    code
}

fn said(job: &Path, found: Found<Record>, (format, one): (Format, bool)) -> Said {
    let in_lines = |value: serde_json::Value| if one { format!("{value:#}\n") } else { format!("{value}\n") };
    match found {
        Err(refused) if format == Format::Json => {
            let job = notebook::library::shown(job);
            (in_lines(view::json::refused(&job, &refused)), String::new(), UNREADABLE)
        }
        Err(refused) => (String::new(), view::faults::faults(&refused, look()), UNREADABLE),
        Ok(record) => {
            let answer = match format {
                Format::Json => view::json::text(&record, !one) + "\n",
                Format::Csv => view::table::csv(&record),
                Format::Markdown => format!("{}\n", view::table::markdown(&record)),
                Format::Text => view::text::check(&record, look()),
            };
            (answer, String::new(), record.verdict.exit_code())
        }
    }
}

/// Compares two jobs; exits 0 where both could be read.
fn compare(old: &str, new: &str, json: bool, options: &Options) -> u8 {
    match notebook::between::between(old, new, options) {
        Ok(between) => {
            if json {
                put(&format!("{:#}\n", serde_json::to_value(&between).unwrap_or_default()));
            } else {
                put(&view::between::between(&between, look()));
            }
            0
        }
        Err(refused) => {
            tell_refused(&refused);
            UNREADABLE
        }
    }
}

/// Looks a job through; exits as a check of it would.
fn audit(job: &Path, head: Option<&str>, json: bool, options: &Options) -> u8 {
    match notebook::audit::audit(job, options, head) {
        Ok(audit) => {
            if json {
                put(&format!("{:#}\n", serde_json::to_value(&audit).unwrap_or_default()));
            } else {
                put(&view::audit::audit(&audit, look()));
            }
            audit.record.verdict.exit_code()
        }
        Err(refused) => {
            tell_refused(&refused);
            UNREADABLE
        }
    }
}

fn prove(files: &[PathBuf], options: &Options) -> u8 {
    let proof = if files.is_empty() {
        proof::builtin_proof(&Library::new(Vec::new()))
    } else {
        proof::files_proof(files, &options.libraries)
    };
    put(&view::proof::proof(&proof, look()));
    match (proof.refused.is_empty(), proof.holds()) {
        (false, _) => UNREADABLE,
        (true, true) => 0,
        (true, false) => 1,
    }
}
