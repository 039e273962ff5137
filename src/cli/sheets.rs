//! `wattle sheets`: the sheets, bases and tables in reach, or one of them in its own text.
//!
//! In: a name, or none. Out: a list, or a text; the exit code.
//! Never: changes a file.

use std::path::Path;

use super::UNREADABLE;
use super::terminal::{look, put, tell, tell_refused};
use crate::notebook::{Found, Library, Options};
use crate::view::sheets::{line, title, whole};

/// Reads one by its name: its title and its text.
type ReadOne<'l> = Box<dyn Fn(&str) -> Found<Option<(String, String)>> + 'l>;

/// What may be listed: the names, and how one is read: its title and its text.
struct Shelf<'l> {
    heading: &'static str,
    names: Vec<String>,
    read: ReadOne<'l>,
}

/// Returns the sheets, the bases and the tables in reach.
fn shelves(library: &Library) -> [Shelf<'_>; 3] {
    [
        Shelf {
            heading: "",
            names: library.sheet_names(),
            read: Box::new(|name| {
                let sheet = library.sheet(name, None)?;
                Ok(sheet.map(|sheet| (title(&sheet), sheet.page.text.clone())))
            }),
        },
        Shelf {
            heading: "\nBases\n",
            names: library.basis_names(),
            read: Box::new(|name| {
                Ok(library.basis(name)?.map(|basis| (basis.title.clone(), basis.text().to_owned())))
            }),
        },
        Shelf {
            heading: "\nTables\n",
            names: library.table_names(),
            read: Box::new(|name| {
                Ok(library.table(name)?.map(|table| (table.title.clone(), table.page.text.clone())))
            }),
        },
    ]
}

/// Lists what is in reach, or shows one of it; returns the exit code.
pub(super) fn sheets(name: Option<&str>, options: &Options) -> u8 {
    let folders = std::iter::once(Path::new(".").to_owned()).chain(options.libraries.clone()).collect();
    let library = Library::new(folders);
    let shelves = shelves(&library);
    let code = match name {
        Some(name) => show(name, &shelves),
        None => list(&shelves),
    };
    library.remarks().iter().for_each(|remark| tell(&format!("{remark}\n")));
    code
}

fn show(name: &str, shelves: &[Shelf<'_>]) -> u8 {
    let bare = [".sheet", ".basis", ".toml"].iter().find_map(|ending| name.strip_suffix(ending));
    let bare = bare.unwrap_or(name);
    let Some(shelf) = shelves.iter().find(|shelf| shelf.names.iter().any(|known| known == bare)) else {
        let names = shelves.iter().flat_map(|shelf| &shelf.names).map(String::as_str);
        let cure = match crate::fault::near(bare, names) {
            Some(near) => format!("did you mean '{near}'?"),
            None => "'wattle sheets' lists them".to_owned(),
        };
        tell(&format!("no sheet '{name}': {cure}\n"));
        return UNREADABLE;
    };
    match (shelf.read)(bare) {
        Ok(found) => {
            found.iter().for_each(|(_, text)| put(&whole(text)));
            0
        }
        Err(refused) => {
            tell_refused(&refused);
            UNREADABLE
        }
    }
}

fn list(shelves: &[Shelf<'_>]) -> u8 {
    let mut code = 0;
    for shelf in shelves {
        put(shelf.heading);
        for name in &shelf.names {
            match (shelf.read)(name) {
                Ok(found) => found.iter().for_each(|(title, _)| put(&line(name, title, look()))),
                Err(refused) => {
                    tell_refused(&refused);
                    code = UNREADABLE;
                }
            }
        }
    }
    code
}
