//! `wattle new`: a job with every given open.
//!
//! In: names of sheets and a basis. Out: a file that was not there before.
//! Never: writes over a file; writes a default as a value.

use std::path::Path;

use super::UNREADABLE;
use super::terminal::{put, tell, tell_refused};
use crate::job::skeleton::{self, SkeletonSheet};
use crate::job::{clock, disk};
use crate::notebook::{Day, Found, Library, Options, skeleton_of};
use crate::unit::date;
use crate::view::plain;

pub(super) fn new(job: &Path, sheets: &[String], basis: &str, title: Option<&str>, options: &Options) -> u8 {
    let library = Library::beside(job, &options.libraries);
    let made = match text(sheets, basis, title.unwrap_or("New job"), &library, options.day) {
        Ok(Ok(text)) => text,
        Ok(Err(words)) => {
            tell(&format!("{words}\n"));
            return UNREADABLE;
        }
        Err(refused) => {
            tell_refused(&refused);
            return UNREADABLE;
        }
    };
    match disk::write_new(job, &made) {
        Ok(()) => {
            library.remarks().iter().for_each(|remark| put(&format!("{remark}\n")));
            let name = plain(&job.display().to_string());
            put(&format!("{name} is written; fill it in, then: wattle check {name}\n"));
            0
        }
        Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => {
            tell(&format!("{} is there already, and stays as it is: choose another name\n", job.display()));
            UNREADABLE
        }
        Err(error) => {
            tell(&format!("{} cannot be written: {error}\n", job.display()));
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
    each_by_its_own_name(&mut made);
    let on = match day {
        Day::Fixed(on) | Day::Clock(on) => on,
        Day::Open => clock::now(),
    };
    Ok(Ok(skeleton::text(title, basis, &date::show(date::day(on)), &made)))
}

/// A sheet used again gets a number behind its name.
fn each_by_its_own_name(sheets: &mut [SkeletonSheet]) {
    let mut taken: Vec<String> = Vec::new();
    for sheet in sheets {
        let numbered = |n: usize| format!("{}_{n}", sheet.sheet);
        let free = |name: &String| !taken.contains(name);
        let name = std::iter::once(sheet.sheet.clone()).chain((2..).map(numbered)).find(free);
        sheet.name = name.unwrap_or_default();
        taken.push(sheet.name.clone());
    }
}
