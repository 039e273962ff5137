//! `wattle new`: a job with every given open.
//!
//! In: names of sheets and a basis. Out: a file that was not there before.
//! Never: writes over a file; writes a default as a value.

use std::path::Path;

use super::UNREADABLE;
use super::terminal::{look, put, tell_refused, tell_whole};
use crate::fault::near;
use crate::job::skeleton::{self, SkeletonSheet};
use crate::job::{clock, disk};
use crate::notebook::{Day, Found, Library, Options, skeleton_of};
use crate::unit::date;
use crate::view::item;

pub(super) fn new(
    job: &Path,
    sheets: &[String],
    basis: Option<&str>,
    title: Option<&str>,
    options: &Options,
) -> u8 {
    let library = Library::beside(job, &options.libraries);
    let made = match text(sheets, basis, title.unwrap_or("New job"), &library, options.day) {
        Ok(Ok(text)) => text,
        Ok(Err(words)) => {
            tell_whole(&item(&words, look()));
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
            let open = format!("{0} is written; open it: wattle {0}, then type fill", job.display());
            put(&item(&open, look()));
            0
        }
        Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => {
            let words =
                format!("{} is there already, and stays as it is: choose another name", job.display());
            tell_whole(&item(&words, look()));
            UNREADABLE
        }
        Err(error) => {
            tell_whole(&item(&format!("{} cannot be written: {error}", job.display()), look()));
            UNREADABLE
        }
    }
}

fn text(
    sheets: &[String],
    basis: Option<&str>,
    title: &str,
    library: &Library,
    day: Day,
) -> Found<Result<String, String>> {
    let bases = library.basis_names();
    let Some(basis) = basis else {
        return Ok(Err(format!("no basis is named: add --basis with one of {}", bases.join(", "))));
    };
    let Some(found) = library.basis(basis)? else {
        return Ok(Err(format!("no basis '{basis}': {}", or_list(basis, ".basis", &bases))));
    };
    let mut made = Vec::new();
    for asked in sheets {
        let (sheet, name) = asked.split_once(':').unwrap_or((asked, ""));
        if asked.contains(':') && !crate::job::is_name(name) {
            return Ok(Err(format!("'{name}' is not a name for a sheet: lower-case letters, digits and _")));
        }
        let Some(page) = library.sheet(sheet, Some(&found))? else {
            return Ok(Err(format!(
                "no sheet '{sheet}': {}",
                or_list(sheet, ".sheet", &library.sheet_names())
            )));
        };
        made.push(SkeletonSheet { name: name.to_owned(), ..skeleton_of(sheet, &page, &found) });
    }
    each_by_its_own_name(&mut made);
    let twice = made.iter().find(|one| made.iter().filter(|other| other.name == one.name).count() > 1);
    if let Some(twice) = twice {
        return Ok(Err(format!("two sheets would be called '{}': name one otherwise", twice.name)));
    }
    let on = match day {
        Day::Fixed(on) | Day::Clock(on) => on,
        Day::Open => clock::now(),
    };
    Ok(Ok(skeleton::text(title, basis, &date::show(date::day(on)), &made)))
}

/// Says which name was probably meant, or which there are.
fn or_list(found: &str, ending: &str, known: &[String]) -> String {
    if found.strip_suffix(ending).is_some_and(|bare| known.iter().any(|name| name == bare)) {
        return format!("leave '{ending}' off");
    }
    match near(found, known.iter().map(String::as_str)) {
        Some(near) => format!("did you mean '{near}'?"),
        None => format!("there are {}", known.join(", ")),
    }
}

/// A sheet that was given no name goes by its own; used again, it gets a number behind it.
fn each_by_its_own_name(sheets: &mut [SkeletonSheet]) {
    let mut taken: Vec<String> = sheets.iter().map(|sheet| sheet.name.clone()).collect();
    for sheet in sheets.iter_mut().filter(|sheet| sheet.name.is_empty()) {
        let numbered = |n: usize| format!("{}_{n}", sheet.sheet);
        let free = |name: &String| !taken.contains(name);
        let name = std::iter::once(sheet.sheet.clone()).chain((2..).map(numbered)).find(free);
        sheet.name = name.unwrap_or_default();
        taken.push(sheet.name.clone());
    }
}
