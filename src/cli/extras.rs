//! `wattle extras`: what goes beside the program: a manual page, completions for shells, the language for editors.
//!
//! In: a folder. Out: files in it, each made from what the program itself reads its arguments and sheets with.
//! Never: writes over a file.

use std::path::Path;

use clap::CommandFactory;
use clap_complete::Shell;

use super::UNREADABLE;
use super::arguments::Arguments;
use super::terminal::{put, tell};
use crate::job::disk::write_new;
use crate::view::grammar::grammar;
use crate::view::plain;

/// Writes the files; returns the exit code.
pub(super) fn extras(folder: &Path) -> u8 {
    let made = match files() {
        Ok(made) => made,
        Err(error) => {
            tell(&format!("the files cannot be made: {error}\n"));
            return UNREADABLE;
        }
    };
    for (name, text) in made {
        let path = folder.join(&name);
        match write_new(&path, &text) {
            Ok(()) => put(&format!("{}\n", plain(&path.display().to_string()))),
            Err(error) => {
                tell(&format!(
                    "{} is not written: {error}; name a folder that has none yet\n",
                    path.display()
                ));
                return UNREADABLE;
            }
        }
    }
    0
}

fn files() -> std::io::Result<Vec<(String, String)>> {
    let command = Arguments::command();
    let mut manual = Vec::new();
    clap_mangen::Man::new(command.clone()).render(&mut manual)?;
    let mut made = vec![("wattle.1".to_owned(), String::from_utf8_lossy(&manual).into_owned())];
    for (shell, name) in [
        (Shell::Bash, "wattle.bash"),
        (Shell::Zsh, "_wattle"),
        (Shell::Fish, "wattle.fish"),
        (Shell::PowerShell, "wattle.ps1"),
    ] {
        let mut script = Vec::new();
        clap_complete::generate(shell, &mut command.clone(), "wattle", &mut script);
        made.push((name.to_owned(), String::from_utf8_lossy(&script).into_owned()));
    }
    made.push(("wattle.tmLanguage.json".to_owned(), format!("{:#}\n", grammar())));
    Ok(made)
}
