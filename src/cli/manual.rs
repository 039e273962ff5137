//! The manual page: one page, with the options of every command.
//!
//! In: the arguments as the program reads them. Out: roff.
//! Never: names an option of its own.

use clap::{Arg, Command};

/// How the page begins, by which one of ours is known.
pub(super) const OPENING: &str = ".\\\" wattle: its manual page\n";

/// What the page says beside the options.
const SECTIONS: &[(&str, &[(&str, &str)])] = &[
    (
        "EXIT STATUS",
        &[
            ("0", "pass; for a command that judges nothing, done"),
            ("1", "fail, unsure or unworkable; an example that does not hold"),
            ("2", "something could not be read or written"),
            ("3", "waiting for an input"),
        ],
    ),
    (
        "ENVIRONMENT",
        &[
            ("COLUMNS", "the width of the text; else that of the terminal, else 80"),
            ("NO_COLOR", "no colour where this is set to anything"),
            (
                "WATTLE_CLOCK",
                "the time of day, such as 2026-11-25T10:40, for tests and a machine whose clock is wrong",
            ),
        ],
    ),
    (
        "FILES",
        &[
            ("NAME.toml", "a job, or a published table"),
            ("NAME.csv", "the rows of a schedule"),
            (
                "NAME.sheet, NAME.basis",
                "sheets and bases, beside the job or in a folder named with --library",
            ),
            ("NAME.journal", "every change of a job, beside it"),
            (".NAME.history", "the lines typed at its prompt"),
        ],
    ),
    (
        "CAUTIONS",
        &[(
            "",
            "Mains may kill, and a battery delivers a very large current into a short circuit. Isolate, lock off, prove the \
             tester, prove dead, prove the tester again. Calculated or measured volts prove nothing dead and nothing safe \
             to touch. wattle informs a competent person; it approves nothing. Local codes and licensed practice decide.",
        )],
    ),
];

/// Returns the page.
pub(super) fn page(command: &Command) -> String {
    let about = |command: &Command| {
        let long = command.get_long_about().or(command.get_about());
        long.map(ToString::to_string).unwrap_or_default()
    };
    let short = command.get_about().map(ToString::to_string).unwrap_or_default();
    let mut out = OPENING.to_owned();
    out += &format!(".TH wattle 1\n.SH NAME\nwattle \\- {}\n", roff(short.trim_end_matches('.')));
    out += ".SH SYNOPSIS\n.B wattle\nJOB\n.br\n.B wattle\nCOMMAND\n";
    out += &format!(".SH DESCRIPTION\n{}\n", roff(&about(command)));
    out += &format!(".SH OPTIONS\n{}", options(command));
    out += ".SH COMMANDS\n";
    for sub in command.get_subcommands().filter(|sub| sub.get_name() != "help") {
        let positional = sub.get_positionals().map(form).collect::<Vec<_>>().join(" ");
        out += &format!(".SS \"wattle {} {}\"\n{}\n", sub.get_name(), roff(&positional), roff(&about(sub)));
        out += &options(sub);
    }
    for (heading, rows) in SECTIONS {
        out += &format!(".SH {heading}\n");
        for (word, words) in *rows {
            let head = if word.is_empty() { String::new() } else { format!(".TP\n\\fB{}\\fR\n", roff(word)) };
            out += &format!("{head}{}\n", roff(words));
        }
    }
    out
}

fn options(command: &Command) -> String {
    let seen = |arg: &&Arg| !arg.is_hide_set() && !matches!(arg.get_id().as_str(), "help" | "version");
    let one = |arg: &Arg| {
        let help = arg.get_help().map(ToString::to_string).unwrap_or_default();
        let values: Vec<String> =
            arg.get_possible_values().iter().map(|value| value.get_name().to_owned()).collect();
        let takes = arg.get_action().takes_values() && !values.is_empty();
        let among = if takes { format!(": {}", values.join(", ")) } else { String::new() };
        format!(
            ".TP\n\\fB{}\\fR\n{}\n",
            roff(&form(arg)),
            roff(&format!("{}{among}", help.trim_end_matches('.')))
        )
    };
    command.get_arguments().filter(seen).map(one).collect()
}

/// Returns how an argument is written.
fn form(arg: &Arg) -> String {
    let id = arg.get_id().as_str().to_uppercase();
    let named = arg.get_value_names().and_then(|names| names.first()).map_or(id, ToString::to_string);
    let value = if arg.get_action().takes_values() { named } else { String::new() };
    let short = arg.get_short().map_or_else(String::new, |short| format!("-{short}, "));
    match arg.get_long() {
        Some(long) => format!("{short}--{long} {value}").trim_end().to_owned(),
        None => {
            let many = arg.get_num_args().is_some_and(|count| count.max_values() > 1);
            format!("{value}{}", if many { "..." } else { "" })
        }
    }
}

/// Returns a text as roff takes it.
fn roff(text: &str) -> String {
    let text = text.replace('\\', "\\e").replace('-', "\\-");
    let line =
        |line: &str| if line.starts_with(['.', '\'']) { format!("\\&{line}") } else { line.to_owned() };
    text.lines().map(line).collect::<Vec<_>>().join("\n")
}
