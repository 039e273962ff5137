//! Where sheets, bases, tables and CSV files are found: the job's folder, the libraries named on the
//! command line, then the program itself.
//!
//! In: a name. Out: the text, read and checked, or all of its faults.
//! Never: leaves those folders: a name is a word, or a file's name without a path.

pub mod builtin;
mod overlay;
pub(super) mod shelf;

use std::cell::RefCell;
use std::collections::HashMap;
use std::io::ErrorKind;
use std::path::{Component, Path, PathBuf};
use std::sync::Arc;

use crate::fault::{Fault, Page, Refused};
use crate::job::disk;
use crate::notebook::library::shelf::{Reading, SHELF, Tables};
use crate::sheet::check::{self, Against, Fetched};
use crate::sheet::read::{PageKind, read};
use crate::sheet::statement::Draft;
use crate::sheet::{Basis, Sheet};
use crate::table::Table;

/// What was read, or every page that was refused.
pub type Found<T> = Result<T, Vec<Refused>>;

/// What was looked for on disk, with what was found.
#[derive(Clone, Debug, Default)]
pub(super) struct Around(Vec<(PathBuf, Option<Arc<Page>>)>);

impl Around {
    /// Returns whether every file is there as it was, and none has come in front of it.
    pub(super) fn is_as_it_was(&self) -> bool {
        self.0.iter().all(|(path, found)| match found {
            None => is_absent(path),
            Some(page) => disk::read_page(path, &page.name).is_ok_and(|now| now.text == page.text),
        })
    }
}

/// Returns whether nothing stands at a path: what is there and cannot be read, or leads nowhere, is told, and nothing
/// else is read in its place.
fn is_absent(path: &Path) -> bool {
    let no_name_of_a_file = [ErrorKind::NotFound, ErrorKind::InvalidInput, ErrorKind::InvalidFilename];
    std::fs::symlink_metadata(path).is_err_and(|error| no_name_of_a_file.contains(&error.kind()))
}

/// The basis that one extends, it itself, and the tables that it fetched.
type BasisRead = (Option<Arc<Basis>>, (Arc<Basis>, Tables));

/// What is said of a file that is read in place of a built-in one.
pub(in crate::notebook) const STANDS_IN: &str = " stands in for the built-in one";

/// The folders that names are looked for in.
#[derive(Debug, Default)]
pub struct Library {
    folders: Vec<PathBuf>,
    /// What was looked for on disk, with what was found.
    around: RefCell<Around>,
    /// Names of files that stand in for built-in ones.
    stands_in: RefCell<Vec<String>>,
    /// What is to be said of bases that are not built in.
    strays: RefCell<Vec<String>>,
    tables: RefCell<HashMap<String, Arc<Table>>>,
    bases: RefCell<HashMap<String, Arc<Basis>>>,
    sheets: RefCell<HashMap<(String, String), Arc<Sheet>>>,
}

impl Library {
    /// Returns a library of folders, the first looked in first.
    pub fn new(folders: Vec<PathBuf>) -> Self {
        Self { folders, ..Self::default() }
    }

    /// Returns what a file looks in: its own folder first.
    pub fn beside(file: &Path, libraries: &[PathBuf]) -> Self {
        let own = file.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
        Self::new(
            std::iter::once(own).chain(libraries.iter().map(PathBuf::as_path)).map(Path::to_owned).collect(),
        )
    }

    /// Returns what was looked for on disk.
    pub(super) fn around(&self) -> Around {
        self.around.borrow().clone()
    }

    /// Returns a remark for each file that was read in place of a built-in one.
    pub fn remarks(&self) -> Vec<String> {
        let remark = |file: &String| format!("{file}{STANDS_IN}");
        self.stands_in.borrow().iter().map(remark).chain(self.strays.borrow().iter().cloned()).collect()
    }

    /// Returns what a basis that is not built in changes in the one below, and keeps a remark for each name that
    /// nobody takes.
    pub(super) fn look_over(&self, name: &str, page: &Page, made: &Basis) -> Vec<String> {
        self.keep_strays(name, page)
            .map_or_else(Vec::new, |(draft, below)| overlay::changes(name, &draft, made, &below))
    }

    /// Keeps a remark for each name that a basis states and nobody takes; returns the basis as read, and the one
    /// below, where it is not built in and extends another.
    fn keep_strays(&self, name: &str, page: &Page) -> Option<(Draft, Arc<Basis>)> {
        if builtin::known(builtin::BASES, name) == Some(page.text.as_str()) {
            return None;
        }
        let (draft, _) = read(page, PageKind::Basis);
        let below = self.basis(&draft.extends.as_ref()?.value).ok().flatten()?;
        let mut strays = self.strays.borrow_mut();
        for remark in overlay::strays(page, &draft, &below, &self.folders) {
            if !strays.contains(&remark) {
                strays.push(remark);
            }
        }
        drop(strays);
        Some((draft, below))
    }

    /// Returns a file's page: one of the folders', else a built-in text.
    fn page(&self, file: &str, builtin: Option<&'static str>) -> Found<Option<Arc<Page>>> {
        let is_bare = Path::new(file).components().all(|part| matches!(part, Component::Normal(_)));
        if file.contains(['/', '\\']) || !is_bare {
            return Ok(None);
        }
        for folder in &self.folders {
            let path = folder.join(file);
            if is_absent(&path) {
                self.around.borrow_mut().0.push((path, None));
            } else {
                let page = disk::read_inside(&path, &shown(&path), &self.folders)
                    .map_err(|refused| vec![refused])?;
                self.around.borrow_mut().0.push((path, Some(Arc::clone(&page))));
                if builtin.is_some() && !self.stands_in.borrow().iter().any(|known| known == file) {
                    self.stands_in.borrow_mut().push(file.to_owned());
                }
                return Ok(Some(page));
            }
        }
        Ok(builtin.map(|text| Page::new(file, text)))
    }

    /// Returns a CSV file of the job's folder.
    ///
    /// # Errors
    /// The page, refused.
    pub fn csv(&self, file: &str) -> Found<Option<Arc<Page>>> {
        self.page(file, None)
    }

    /// Returns a table, by the name of its file with or without the ending; `None` where there is none.
    ///
    /// # Errors
    /// The page, refused.
    pub fn table(&self, name: &str) -> Found<Option<Arc<Table>>> {
        let word = name.strip_suffix(".toml").unwrap_or(name);
        if let Some(known) = self.tables.borrow().get(word) {
            return Ok(Some(Arc::clone(known)));
        }
        let Some(page) = self.page(&format!("{word}.toml"), builtin::known(builtin::TABLES, word))? else {
            return Ok(None);
        };
        let table = match SHELF.tables.known(word, &page, |_| true) {
            Some(known) => known,
            None => match Table::read(&page) {
                Ok(table) => {
                    SHELF.tables.keep(word, Reading::new(&page, None, (Arc::new(table), Vec::new())))
                }
                Err(faults) => return Err(vec![Refused { page, faults }]),
            },
        };
        self.tables.borrow_mut().insert(word.to_owned(), Arc::clone(&table));
        Ok(Some(table))
    }

    /// Returns whether the names of tables lead to the same tables here.
    fn fetches(&self, tables: &Tables) -> bool {
        tables.iter().all(|(name, before)| match (self.table(name), before) {
            (Ok(Some(now)), Some(before)) => Arc::ptr_eq(&now, before),
            (Ok(None), None) => true,
            _ => false,
        })
    }

    /// Builds what names tables; a table that is refused tells its faults on its own page.
    fn with_tables<T>(
        &self,
        page: &Arc<Page>,
        build: impl FnOnce(&dyn Fn(&str) -> Fetched) -> Result<T, Vec<Fault>>,
    ) -> Found<(Arc<T>, Tables)> {
        let refused = RefCell::new(Vec::new());
        let fetched = RefCell::new(Tables::new());
        let built = build(&|name| match self.table(name) {
            Ok(table) => {
                fetched.borrow_mut().push((name.to_owned(), table.clone()));
                table.map_or(Fetched::Absent, Fetched::Read)
            }
            Err(pages) => {
                let new = |page: &Refused| !refused.borrow().contains(page);
                let pages: Vec<Refused> = pages.into_iter().filter(new).collect();
                refused.borrow_mut().extend(pages);
                Fetched::Refused
            }
        });
        let mut refused = refused.into_inner();
        match built {
            Ok(built) if refused.is_empty() => Ok((Arc::new(built), fetched.into_inner())),
            Ok(_) => Err(refused),
            Err(faults) => {
                refused.insert(0, Refused { page: Arc::clone(page), faults });
                Err(refused)
            }
        }
    }

    /// Returns a basis, on top of those it extends; `None` where there is none of that name.
    ///
    /// # Errors
    /// Every page that was refused.
    pub fn basis(&self, name: &str) -> Found<Option<Arc<Basis>>> {
        self.basis_above(name, &mut Vec::new())
    }

    fn basis_above(&self, name: &str, above: &mut Vec<String>) -> Found<Option<Arc<Basis>>> {
        if let Some(known) = self.bases.borrow().get(name) {
            return Ok(Some(Arc::clone(known)));
        }
        let Some(page) = self.page(&format!("{name}.basis"), builtin::known(builtin::BASES, name))? else {
            return Ok(None);
        };
        let same = |reading: &Reading<Basis>| {
            let below = reading.basis.as_ref().map(|below| (below, self.basis(&below.name)));
            let below =
                below.is_none_or(|(before, now)| matches!(now, Ok(Some(now)) if Arc::ptr_eq(&now, before)));
            below && self.fetches(&reading.tables)
        };
        let basis = match SHELF.bases.known(name, &page, same) {
            Some(known) => known,
            None => {
                let (below, made) = self.basis_of(name, &page, above)?;
                SHELF.bases.keep(name, Reading::new(&page, below, made))
            }
        };
        self.bases.borrow_mut().insert(name.to_owned(), Arc::clone(&basis));
        self.keep_strays(name, &page);
        Ok(Some(basis))
    }

    /// Reads a basis from its page.
    ///
    /// # Errors
    /// Every page that was refused.
    pub fn read_basis(&self, name: &str, page: &Arc<Page>, above: &mut Vec<String>) -> Found<Arc<Basis>> {
        self.basis_of(name, page, above).map(|(_, (basis, _))| basis)
    }

    /// Reads a basis; with it, the one that it extends, and the tables that it fetched.
    fn basis_of(&self, name: &str, page: &Arc<Page>, above: &mut Vec<String>) -> Found<BasisRead> {
        let (draft, mut faults) = read(page, PageKind::Basis);
        above.push(name.to_owned());
        let mut below = None;
        if let Some(extends) = &draft.extends {
            let found =
                if above.contains(&extends.value) { None } else { self.basis_above(&extends.value, above)? };
            if found.is_none() {
                faults.add(Fault::new(
                    extends.at,
                    crate::notebook::Wrong::no_basis(&extends.value, above, &self.basis_names()),
                ));
            }
            below = found;
        }
        let build = |tables: &dyn Fn(&str) -> Fetched| {
            Basis::build(name, page, (&draft, faults), below.as_deref(), tables)
        };
        let made = self.with_tables(page, build)?;
        Ok((below, made))
    }

    /// Returns a sheet checked on a basis, or alone; `None` where there is none of that name.
    ///
    /// # Errors
    /// The page, refused.
    pub fn sheet(&self, name: &str, basis: Option<&Basis>) -> Found<Option<Arc<Sheet>>> {
        let key = (name.to_owned(), basis.map_or_else(String::new, |basis| basis.name.clone()));
        if let Some(known) = self.sheets.borrow().get(&key) {
            return Ok(Some(Arc::clone(known)));
        }
        let Some(page) = self.page(&format!("{name}.sheet"), builtin::known(builtin::SHEETS, name))? else {
            return Ok(None);
        };
        // One that was put together for the purpose is not known here; what is checked on it is not kept.
        let own = basis.and_then(|basis| self.bases.borrow().get(&basis.name).cloned());
        let own = own.filter(|own| basis.is_some_and(|basis| std::ptr::eq(basis, own.as_ref())));
        let shared = own.is_some() == basis.is_some();
        let same = |reading: &Reading<Sheet>| {
            let basis = match (&reading.basis, &own) {
                (Some(before), Some(now)) => Arc::ptr_eq(before, now),
                (before, now) => before.is_none() && now.is_none(),
            };
            basis && self.fetches(&reading.tables)
        };
        let sheet = match SHELF.sheets.known(name, &page, same).filter(|_| shared) {
            Some(known) => known,
            None => {
                let made = self.sheet_of(&page, basis)?;
                if shared { SHELF.sheets.keep(name, Reading::new(&page, own, made)) } else { made.0 }
            }
        };
        self.sheets.borrow_mut().insert(key, Arc::clone(&sheet));
        Ok(Some(sheet))
    }

    /// Keeps a sheet under a name, as if it had been read.
    pub(super) fn remember(&self, name: &str, basis: &Basis, sheet: Arc<Sheet>) {
        self.sheets.borrow_mut().insert((name.to_owned(), basis.name.clone()), sheet);
    }

    /// Reads a sheet from its page and checks it on a basis, or alone.
    ///
    /// # Errors
    /// The page, refused.
    pub fn read_sheet(&self, page: &Arc<Page>, basis: Option<&Basis>) -> Found<Arc<Sheet>> {
        self.sheet_of(page, basis).map(|(sheet, _)| sheet)
    }

    /// Reads a sheet; with it, the tables that it fetched.
    fn sheet_of(&self, page: &Arc<Page>, basis: Option<&Basis>) -> Found<(Arc<Sheet>, Tables)> {
        let (draft, faults) = read(page, PageKind::Sheet);
        self.with_tables(page, |tables| check::check(page, &draft, faults, &Against { basis, tables }))
    }

    /// Returns the names of the sheets in reach: built-in ones first, in the order of the work.
    pub fn sheet_names(&self) -> Vec<String> {
        self.names("sheet", builtin::SHEETS)
    }

    /// Returns the names of the bases in reach.
    pub fn basis_names(&self) -> Vec<String> {
        self.names("basis", builtin::BASES)
    }

    /// Returns the names of the tables in reach: of the files beside, those that have columns.
    pub fn table_names(&self) -> Vec<String> {
        let builtin = |name: &String| builtin::known(builtin::TABLES, name).is_some();
        let has_columns = |name: &String| {
            let paths = self.folders.iter().map(|folder| folder.join(format!("{name}.toml")));
            let texts = paths.filter_map(|path| disk::read_inside(&path, name, &self.folders).ok());
            texts.take(1).any(|page| page.text.contains("[columns"))
        };
        let mut names = self.names("toml", builtin::TABLES);
        names.retain(|name| builtin(name) || has_columns(name));
        names
    }

    fn names(&self, ending: &str, builtin: &[(&str, &str)]) -> Vec<String> {
        let mut names: Vec<String> = builtin.iter().map(|(name, _)| (*name).to_owned()).collect();
        for folder in &self.folders {
            let Ok(entries) = std::fs::read_dir(folder) else { continue };
            let mut own: Vec<String> = entries
                .flatten()
                .filter_map(|entry| {
                    Some(entry.file_name().to_str()?.strip_suffix(&format!(".{ending}"))?.to_owned())
                })
                .filter(|name| !names.contains(name))
                .collect();
            own.sort();
            names.extend(own);
        }
        names
    }
}

/// Returns a path as it is told to people: with forward slashes, and no `./` before it.
pub fn shown(path: &Path) -> String {
    let text = path.display().to_string().replace('\\', "/");
    text.strip_prefix("./").map_or(text.clone(), str::to_owned)
}
