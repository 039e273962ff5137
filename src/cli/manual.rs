//! The manual page: one page, with the options of every command.
//!
//! In: the arguments as the program reads them. Out: roff, the commands in it by `clap_mangen`.
//! Never: names an option of its own.

use std::io::Write;

use clap::Command;
use clap_mangen::Man;
use clap_mangen::roff::{Roff, bold, roman};

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
    let mut out = OPENING.as_bytes().to_vec();
    // What is written into memory is always written.
    let _ = written(command, &mut out);
    String::from_utf8_lossy(&out).into_owned()
}

fn written(command: &Command, out: &mut Vec<u8>) -> std::io::Result<()> {
    let man = Man::new(command.clone().disable_help_flag(true).disable_help_subcommand(true));
    man.render_title(out)?;
    man.render_name_section(out)?;
    man.render_synopsis_section(out)?;
    man.render_description_section(out)?;
    man.render_options_section(out)?;
    let mut heading = Roff::default();
    heading.control("SH", ["COMMANDS"]);
    heading.to_writer(out)?;
    for sub in command.get_subcommands() {
        let name = format!("{} {}", command.get_name(), sub.get_name());
        let mut heading = Roff::default();
        heading.control("SS", [name.as_str()]);
        heading.to_writer(out)?;
        out.write_all(&part(sub.clone().bin_name(name).disable_help_flag(true))?)?;
    }
    let mut rest = Roff::default();
    for (heading, rows) in SECTIONS {
        rest.control("SH", [*heading]);
        for (word, words) in *rows {
            if !word.is_empty() {
                rest.control("TP", []).text([bold(*word)]);
            }
            rest.text([roman(*words)]);
        }
    }
    rest.to_writer(out)
}

/// Returns a command as a part of the page: what stands under headings of its own elsewhere follows one another.
fn part(command: Command) -> std::io::Result<Vec<u8>> {
    let man = Man::new(command);
    let mut out = Vec::new();
    man.render_synopsis_section(&mut out)?;
    out.write_all(b".PP\n")?;
    man.render_description_section(&mut out)?;
    man.render_options_section(&mut out)?;
    let lines = out.split_inclusive(|byte| *byte == b'\n');
    Ok(lines.filter(|line| !line.starts_with(b".SH ")).flatten().copied().collect())
}
