//! `wattle sheets`: the sheets in reach listed, or one shown.
//!
//! In: a sheet's name, or none. Out: its text, or a line for each.
//! Never: writes a file.

use std::path::Path;

use super::UNREADABLE;
use super::terminal::{look, put, tell, tell_refused};
use crate::notebook::{Library, Options};
use crate::view;

pub(super) fn sheets(name: Option<&str>, options: &Options) -> u8 {
    let folders = std::iter::once(Path::new(".").to_owned()).chain(options.libraries.clone()).collect();
    let library = Library::new(folders);
    let names = library.sheet_names();
    let wanted: Vec<&String> = names.iter().filter(|known| name.is_none_or(|name| name == *known)).collect();
    if let (Some(name), true) = (name, wanted.is_empty()) {
        let near = crate::fault::near(name, names.iter().map(String::as_str));
        let cure = near.map_or_else(
            || "'wattle sheets' lists them".to_owned(),
            |near| format!("did you mean '{near}'?"),
        );
        tell(&format!("no sheet '{name}': {cure}\n"));
        return UNREADABLE;
    }
    let mut code = 0;
    for known in wanted {
        match library.sheet(known, None) {
            Ok(Some(sheet)) if name.is_some() => put(&view::sheets::whole(&sheet)),
            Ok(Some(sheet)) => put(&view::sheets::line(known, &sheet, look())),
            Ok(None) => {}
            Err(refused) => {
                tell_refused(&refused);
                code = UNREADABLE;
            }
        }
    }
    library.remarks().iter().for_each(|remark| tell(&format!("{remark}\n")));
    code
}
