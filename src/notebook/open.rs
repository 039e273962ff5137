//! A job opened: read as its journal leaves it, locked, held, and read again where somebody else changed it.
//!
//! In: the path of a job. Out: a [`Notebook`].
//! Never: changes a value (that is `change`).

use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::fault::{Page, Refused};
use crate::job::disk;
use crate::job::journal::{Act, Journal, Unkept};
use crate::notebook::Options;
use crate::notebook::book::Book;
use crate::notebook::book::names::all_names;
use crate::notebook::change::difference::{Change, change};
use crate::notebook::change::history::OUTSIDE;
use crate::notebook::change::{act, unkept_as};
use crate::notebook::compare::entered;
use crate::notebook::library::{Found, Library, shown};
use crate::notebook::load;
use crate::notebook::record::Record;
use crate::notebook::record::identity::stamps;
use crate::notebook::record::tell;

/// A job opened.
#[derive(Debug)]
pub struct Notebook {
    pub(super) path: PathBuf,
    pub(super) name: String,
    pub(super) options: Options,
    pub(super) who: Option<String>,
    /// Whether who is typing was said, and is not only the job's `prepared_by`.
    pub(super) who_said: bool,
    pub(super) page: Arc<Page>,
    pub(super) journal: Journal,
    /// What was found out of the ordinary when the job was opened, or since.
    pub(super) told: Vec<String>,
    pub(super) book: Book,
    pub(super) record: Record,
    /// The sheet that names are looked for in first.
    pub(super) first: Option<usize>,
}

/// A text worked as if it were the job's.
pub(super) type Worked = (Arc<Page>, Book, Record);

impl Notebook {
    /// Opens a job.
    ///
    /// # Errors
    /// Every page that was refused.
    pub fn open(path: &Path, options: &Options, who: Option<String>) -> Found<Self> {
        let name = shown(path);
        let mut page = crate::notebook::read_mended(path, &name)?;
        let mut book = load::beside(path, &page, options)?;
        let who_said = who.is_some();
        let who = who.or_else(|| book.job.prepared_by.clone());
        let act = Act { stamps: stamps(&book), ..act(who.as_deref(), "opened") };
        let opened = Journal::open(path, &act).map_err(|unkept| unkept_as(&page, unkept))?;
        if opened.journal.text() != page.text {
            // Somebody else was quicker: what is locked now is what is read.
            page = Page::new(name.clone(), opened.journal.text());
            book = load::beside(path, &page, options)?;
        }
        let record = tell::tell(&mut book, &name);
        let (path, options) = (path.to_owned(), options.clone());
        let (journal, told) = (opened.journal, opened.told);
        let mut made =
            Self { path, name, options, who, who_said, page, journal, told, book, record, first: None };
        let before = made.journal.before_outside().map(str::to_owned);
        if let Some(Ok((_, before, record))) = before.map(|before| made.worked(&before)) {
            let told = as_outside(&change(&record, &made.record, &[]), (&before, &made.book));
            made.told.extend(told);
        }
        Ok(made)
    }

    /// Opens a job for looking only: nothing is locked, nothing is written.
    ///
    /// # Errors
    /// Every page that was refused.
    pub fn look(path: &Path, options: &Options) -> Found<Self> {
        let name = shown(path);
        let page = crate::notebook::read_mended(path, &name)?;
        let mut book = load::beside(path, &page, options)?;
        let record = tell::tell(&mut book, &name);
        let journal = Journal::read(path, page.text.clone());
        let (path, options) = (path.to_owned(), options.clone());
        Ok(Self {
            path,
            name,
            options,
            who: None,
            who_said: false,
            page,
            journal,
            told: Vec::new(),
            book,
            record,
            first: None,
        })
    }

    /// Returns the job as it stands.
    pub fn record(&self) -> &Record {
        &self.record
    }

    /// Returns what was found out of the ordinary since the last time this was asked.
    pub fn told(&mut self) -> Vec<String> {
        std::mem::take(&mut self.told)
    }

    /// Returns every name that may be typed.
    pub fn names(&self) -> Vec<String> {
        all_names(&self.book)
    }

    /// Returns who is typing.
    pub(super) fn who(&self) -> Option<&str> {
        self.who.as_deref()
    }

    /// Returns the names of the job's instruments.
    pub fn instruments(&self) -> Vec<String> {
        self.book.job.instruments.iter().map(|instrument| instrument.name.value.clone()).collect()
    }

    /// Returns the library that the job is read with.
    pub(super) fn library(&self) -> crate::notebook::Library {
        Library::beside(&self.path, &self.options.libraries)
    }

    /// Returns the day that the job is judged on, as the command line says.
    pub(super) fn day(&self) -> crate::notebook::Day {
        self.options.day
    }

    /// Works a text as if it were the job's.
    pub(super) fn worked(&self, text: &str) -> Result<Worked, (Arc<Page>, Vec<Refused>)> {
        let page = Page::new(self.name.clone(), text);
        match load::load(&page, &self.library(), self.day()) {
            Ok(mut book) => {
                let record = tell::tell(&mut book, &self.name);
                Ok((page, book, record))
            }
            Err(refused) => Err((page, refused)),
        }
    }

    /// Looks whether the job's file, or one around it, was changed by somebody else; reads it again then, and
    /// returns that it was.
    ///
    /// # Errors
    /// It cannot be read any more.
    pub fn look_around(&mut self) -> Found<bool> {
        let found = disk::read_page(&self.path, &self.name).map_err(|refused| vec![refused])?;
        let same = found.text == self.page.text && self.book.around.is_as_it_was();
        if !same {
            self.read_again()?;
        }
        Ok(!same)
    }

    /// Tells that a change is not made before what was changed outside has been looked at.
    pub fn changed_outside(&self) -> Vec<Refused> {
        unkept_as(&self.page, Unkept::Changed)
    }

    /// Reads the job file as somebody else has left it, and tells what differs.
    pub(super) fn read_again(&mut self) -> Found<()> {
        let found = disk::read_page(&self.path, &self.name).map_err(|refused| vec![refused])?;
        let (page, book, record) = self.worked(&found.text).map_err(|(_, refused)| refused)?;
        let made = change(&self.record, &record, &[]);
        let act = Act { stamps: stamps(&book), ..act(self.who.as_deref(), OUTSIDE) };
        self.journal.take_outside(found.text.clone(), &act).map_err(|unkept| unkept_as(&page, unkept))?;
        self.told.extend(as_outside(&made, (&self.book, &book)));
        (self.page, self.book, self.record) = (page, book, record);
        Ok(())
    }
}

/// Tells what an edit from outside moved; where no value, what else was written otherwise.
fn as_outside(made: &Change, (before, after): (&Book, &Book)) -> Vec<String> {
    let moved = made.moved.iter().map(|one| format!("{}  {} \u{2192} {}", one.name, one.before, one.after));
    let mut told: Vec<String> = moved.collect();
    let differs = if told.is_empty() { entered::all(before, after) } else { entered::besides(before, after) };
    told.extend(differs.iter().map(|one| one.words()));
    if told.is_empty() {
        told.push("comments or layout alone".to_owned());
    }
    told.iter().map(|words| format!("outside: {words}")).collect()
}
