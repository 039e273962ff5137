//! `wattle extras`: what goes beside the program: a manual page, completions for shells, the language for editors.
//!
//! In: a folder. Out: files in it, each made from what the program itself reads its arguments and sheets with.
//! Never: writes over a file, but for one of ours, which is known by how it begins.

use std::path::Path;

use clap::builder::PossibleValuesParser;
use clap::{Command, CommandFactory};
use clap_complete::Shell;

use super::arguments::Arguments;
use super::terminal::{put, tell};
use super::{UNREADABLE, manual};
use crate::job::disk::write_ours;
use crate::notebook::library::builtin::{BASES, SHEETS, TABLES};
use crate::view::grammar::grammar;
use crate::view::plain;

/// A file: its name, its text, and how one of ours begins.
type Extra = (&'static str, String, &'static str);

/// Writes the files; returns the exit code.
pub(super) fn extras(folder: &Path) -> u8 {
    if !folder.is_dir() {
        tell(&format!("there is no folder '{}': make it first\n", folder.display()));
        return UNREADABLE;
    }
    for (name, text, opening) in files() {
        let path = folder.join(name);
        if let Err(error) = write_ours(&path, &text, opening) {
            let path = path.display();
            tell(&match error.kind() {
                std::io::ErrorKind::AlreadyExists => {
                    format!("{path} is there already and is not ours: take it away, or name another folder\n")
                }
                _ => format!("{path} is not written: {error}\n"),
            });
            return UNREADABLE;
        }
        put(&format!("{}\n", plain(&path.display().to_string())));
    }
    0
}

/// How a script begins; that of zsh must begin with the name of what it completes.
const REMARK: &str = "# wattle: completions\n";

fn files() -> Vec<Extra> {
    let command = Arguments::command();
    let mut made = vec![("wattle.1", manual::page(&command), manual::OPENING)];
    for (shell, name, opening) in [
        (Shell::Bash, "wattle.bash", REMARK),
        (Shell::Zsh, "_wattle", "#compdef wattle\n"),
        (Shell::Fish, "wattle.fish", REMARK),
        (Shell::PowerShell, "wattle.ps1", REMARK),
    ] {
        let mut script = Vec::new();
        clap_complete::generate(shell, &mut with_names(command.clone()), "wattle", &mut script);
        let script = String::from_utf8_lossy(&script);
        let remark = if opening == REMARK { REMARK } else { "" };
        made.push((name, format!("{remark}{script}"), opening));
    }
    made.push(("wattle.tmLanguage.json", format!("{:#}\n", grammar()), "{\n  \"name\": \"wattle\",\n"));
    made
}

/// Returns the arguments with the names that a shell may offer. The program itself takes others too.
fn with_names(command: Command) -> Command {
    let names = |of: &[(&'static str, &str)]| of.iter().map(|(name, _)| *name).collect::<Vec<_>>();
    let all: Vec<&str> = [SHEETS, BASES, TABLES].into_iter().flat_map(names).collect();
    let among = |names: Vec<&'static str>| PossibleValuesParser::new(names);
    command
        .mut_subcommand("sheets", |sub| sub.mut_arg("name", |arg| arg.value_parser(among(all))))
        .mut_subcommand("new", |sub| {
            let sub = sub.mut_arg("sheets", |arg| arg.value_parser(among(names(SHEETS))));
            sub.mut_arg("basis", |arg| arg.value_parser(among(names(BASES))))
        })
}
