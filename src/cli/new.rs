//! `wattle new`: a job with every given open.
//!
//! In: names of sheets and a basis. Out: a file that was not there before.
//! Never: writes over a file; writes a default as a value.
#![expect(clippy::print_stdout, clippy::print_stderr, reason = "a command's answer goes to the terminal")]

use std::path::{Path, PathBuf};

use super::{UNREADABLE, look};
use crate::job::disk;
use crate::job::skeleton;
use crate::notebook::{Day, Found, Library, Options, skeleton_of};
use crate::unit::date;
use crate::view::faults;

pub(super) fn new(job: &Path, sheets: &[String], basis: &str, title: Option<&str>, options: &Options) -> u8 {
    let own = job.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let folders: Vec<PathBuf> = std::iter::once(own.to_owned()).chain(options.libraries.clone()).collect();
    let made = match text(sheets, basis, title.unwrap_or("New job"), &Library::new(folders), options.day) {
        Ok(Ok(text)) => text,
        Ok(Err(words)) => {
            eprintln!("{words}");
            return UNREADABLE;
        }
        Err(refused) => {
            eprint!("{}", faults::faults(&refused, look()));
            return UNREADABLE;
        }
    };
    match disk::write_new(job, &made) {
        Ok(()) => {
            println!("{} is written; fill it in, then: wattle check {}", job.display(), job.display());
            0
        }
        Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => {
            eprintln!("{} is there already, and stays as it is: choose another name", job.display());
            UNREADABLE
        }
        Err(error) => {
            eprintln!("{} cannot be written: {error}", job.display());
            UNREADABLE
        }
    }
}

fn text(
    sheets: &[String],
    basis: &str,
    title: &str,
    library: &Library,
    day: Day,
) -> Found<Result<String, String>> {
    let Some(found) = library.basis(basis)? else {
        return Ok(Err(format!("no basis '{basis}': there are {}", library.basis_names().join(", "))));
    };
    let mut made = Vec::new();
    for name in sheets {
        match library.sheet(name, Some(&found))? {
            Some(sheet) => made.push(skeleton_of(name, &sheet, &found)),
            None => {
                return Ok(Err(format!("no sheet '{name}': there are {}", library.sheet_names().join(", "))));
            }
        }
    }
    let (Day::Fixed(on) | Day::Clock(on)) = day;
    let title = title.replace(['"', '\\'], "'");
    Ok(Ok(skeleton::text(&title, basis, &date::show(date::day(on)), &made)))
}
