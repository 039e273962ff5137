//! An open job, and the changes that a person types.
//!
//! In: lines as typed. Out: what moved, and each limit that turned.
//! Never: writes a text that does not load: the job is read anew as a whole, and only then written.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::book::Book;
use super::difference::{Change, change, with_tolerance};
use super::draft::{Draft, Set};
use super::history::OUTSIDE;
use super::identity::stamps;
use super::library::{Found, shown};
use super::names::{LinePlace, Named, all_names, named, near_name};
use super::quick::ready;
use super::record::{Origin, Record, row_name};
use super::typed::{Goes, Typed, under_typed};
use super::{Options, Wrong, enter, load, tell};
use crate::fault::{Fault, Kind, Page, Refused, Span, Spanned};
use crate::job::disk;
use crate::job::journal::{Act, Journal, Unkept};
use crate::job::rewrite::{NewEntry, Part, add_row, drop_row};
use crate::sheet::model::{Is, Role};
use crate::sheet::token::Path as Name;
use crate::unit::date;

/// A job opened.
#[derive(Debug)]
pub struct Notebook {
    path: PathBuf,
    name: String,
    options: Options,
    who: Option<String>,
    pub(super) page: Arc<Page>,
    pub(super) journal: Journal,
    /// What was found out of the ordinary when the job was opened, or since.
    told: Vec<String>,
    pub(super) book: Book,
    record: Record,
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
        let mut page = super::read_mended(path, &name)?;
        let mut book = load::load(&page, &super::library_of(path, options), options.day)?;
        let who = who.or_else(|| book.job.prepared_by.clone());
        let act = Act { stamps: stamps(&book), ..act(who.as_deref(), "opened") };
        let opened = Journal::open(path, &act).map_err(|unkept| unkept_as(&page, unkept))?;
        if opened.journal.text() != page.text {
            // Somebody else was quicker: what is locked now is what is read.
            page = Page::new(name.clone(), opened.journal.text());
            book = load::load(&page, &super::library_of(path, options), options.day)?;
        }
        let record = tell::tell(&mut book, &name);
        let (path, options) = (path.to_owned(), options.clone());
        let (journal, told) = (opened.journal, opened.told);
        let mut made = Self { path, name, options, who, page, journal, told, book, record, first: None };
        let before = made.journal.before_outside().map(str::to_owned);
        if let Some(Ok((_, _, before))) = before.map(|before| made.worked(&before)) {
            let told = as_outside(&change(&before, &made.record, &[]));
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
        let page = super::read_mended(path, &name)?;
        let mut book = load::load(&page, &super::library_of(path, options), options.day)?;
        let record = tell::tell(&mut book, &name);
        let journal = Journal::read(path, page.text.clone());
        let (path, options) = (path.to_owned(), options.clone());
        Ok(Self {
            path,
            name,
            options,
            who: None,
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

    /// Sets a given, or with `by` a figure: `NAME = VALUE` and what may follow, from a byte of the line on.
    ///
    /// # Errors
    /// What is wrong with what was typed, or with the job it would leave; nothing is changed then.
    pub fn set(&mut self, line: &str, from: usize) -> Found<Change> {
        let mut set = self.drafted(line, from)?;
        if let Some(change) = self.quickly(&set)? {
            return Ok(change);
        }
        let worked = self
            .worked(&set.draft.text)
            .map_err(|(page, refused)| self.under(&page, refused, line, &[(set.place, &set.typed)]))?;
        set.draft.notes.extend(self.past_calibration(&worked.1, set.place));
        let origin = origin_in_row(&worked.1, set.place);
        Ok(said(self.keep(set.draft, worked)?, origin))
    }

    /// Sets a value that the job need not be put together anew for.
    fn quickly(&mut self, set: &Set) -> Found<Option<Change>> {
        let (place, draft) = (set.place, &set.draft);
        let Some(ready) = ready(&self.book, place, &set.entry) else { return Ok(None) };
        let name = self.book.uses[place.s].full_name(place.n, 0);
        let places = &self.record.sheets[place.s];
        let found = places.places.binary_search(&place.n).ok().map(|at| &places.lines[at]);
        let old = found.map_or("not needed".to_owned(), with_tolerance);
        let (old, new) = (Some(old), Some(ready.shown(&self.book)));
        let act = Act { old, new, ..act(self.who.as_deref(), &name) };
        match self.journal.keep(&act, &draft.text) {
            Ok(()) => {}
            // What was changed outside is read again on the way that does so.
            Err(Unkept::Changed) => return Ok(None),
            Err(unkept) => return Err(unkept_as(&self.page, unkept)),
        }
        self.page = Page::new(self.name.clone(), draft.text.as_str());
        let mut made = ready.set(&mut self.book, &mut self.record);
        made.notes.clone_from(&draft.notes);
        made.notes.extend(self.past_calibration(&self.book, place));
        Ok(Some(made))
    }

    /// Says that a reading was taken with an instrument whose calibration had ended.
    fn past_calibration(&self, book: &Book, place: LinePlace) -> Option<String> {
        let known = book.uses[place.s].known.get(&(place.n, place.row.unwrap_or(0)))?;
        let until = date::in_words(known.past_calibration?);
        let with = known.with.as_deref().unwrap_or("the instrument");
        Some(format!("{with} was calibrated until {until}: the reading is doubtful"))
    }

    /// Returns what setting a value would change; nothing is kept.
    ///
    /// # Errors
    /// As [`Notebook::set`].
    pub fn try_set(&self, line: &str, from: usize) -> Found<Change> {
        let set = self.drafted(line, from)?;
        let (_, book, record) = self
            .worked(&set.draft.text)
            .map_err(|(page, refused)| self.under(&page, refused, line, &[(set.place, &set.typed)]))?;
        let made = Change { notes: set.draft.notes, ..change(&self.record, &record, &set.draft.set) };
        Ok(said(made, origin_in_row(&book, set.place)))
    }

    /// Confirms a default as it stands; of a column, on every row. What may follow a value may follow the name.
    ///
    /// # Errors
    /// As [`Notebook::set`]; also where there is no default to confirm.
    pub fn confirm(&mut self, line: &str, from: usize) -> Found<Change> {
        let typed = Typed::read_name(line, from, &self.instruments()).map_err(self.refuse_near(line))?;
        let place = self.line_named(&typed.path).map_err(refuse(line))?;
        let used = &self.book.uses[place.s];
        let found = &used.sheet.lines[place.n];
        let rows = place.row.map_or(0..used.rows_of(found), |row| row..row + 1);
        let is_default = |row: &usize| {
            used.known.get(&(place.n, *row)).is_some_and(|known| known.origin == Origin::Default)
        };
        let rows: Vec<usize> = rows.filter(is_default).collect();
        let default = match &found.role {
            Role::Given { default: Some(default), .. } if !rows.is_empty() => default,
            _ => {
                let name = typed.path.value.to_string();
                return Err(refuse(line)(Fault::new(typed.path.at, Wrong::NothingToConfirm { name })));
            }
        };
        let value = enter::words_of(default, &found.unit);
        let entry = NewEntry { value: enter::new_value(found, &value), ..self.entry(&typed) };
        let mut draft = self.draft();
        let mut places = Vec::new();
        for row in rows {
            let place = LinePlace { row: found.schedule.map(|_| row), ..place };
            self.write(&mut draft, place, Part::Given, &entry)
                .map_err(|wrong| refuse(line)(Fault::new(typed.path.at, wrong)))?;
            places.push((place, &typed));
        }
        let worked =
            self.worked(&draft.text).map_err(|(page, refused)| self.under(&page, refused, line, &places))?;
        self.keep(draft, worked)
    }

    /// Adds a row: `SCHEDULE COLUMN = VALUE, COLUMN = VALUE`; what is left out is open.
    ///
    /// # Errors
    /// As [`Notebook::set`].
    pub fn add(&mut self, line: &str, from: usize) -> Found<Change> {
        let (path, cells) =
            Typed::read_row(line, from, &self.instruments()).map_err(self.refuse_near(line))?;
        let at = path.at;
        let wrong = |wrong: Wrong| refuse(line)(Fault::new(at, wrong));
        let Named::Schedule(s, n) = named(&self.book, self.first, &path).map_err(refuse(line))? else {
            let (found, known) = (path.value.to_string(), self.schedules_in_full());
            return Err(wrong(Wrong::NotASchedule { found, known }));
        };
        let mut row = Vec::new();
        let mut places = Vec::new();
        let number = self.book.uses[s].row_names[n].len();
        for cell in &cells {
            let place = self.column_named(s, n, cell).map_err(refuse(line))?;
            let entry = self.entry_for(place, cell).map_err(refuse(line))?;
            row.push((cell.path.value.to_string(), entry));
            places.push((LinePlace { row: Some(number), ..place }, cell));
        }
        let mut draft = self.draft();
        self.own_rows(&mut draft, s, n).map_err(wrong)?;
        let used = &self.book.uses[s];
        let schedule = &used.sheet.schedules[n].name.value;
        draft.act = format!("add {}.{schedule}", used.name);
        draft.text = add_row(&draft.text, &used.name, schedule, &row).map_err(|_| wrong(Wrong::NoPlace))?;
        let worked =
            self.worked(&draft.text).map_err(|(page, refused)| self.under(&page, refused, line, &places))?;
        let name = worked.1.uses[s].row_names[n].last().map(|row| row_name(&used.name, schedule, row));
        draft.act = name.iter().fold("add".to_owned(), |act, name| format!("{act} {name}"));
        draft.set.extend(name);
        draft.notes.extend(places.iter().filter_map(|(place, _)| self.past_calibration(&worked.1, *place)));
        let unsaid: Vec<String> = not_said(&worked.1, &places).collect();
        if !unsaid.is_empty() {
            draft.notes.push(format!("not said how: {}", unsaid.join(", ")));
        }
        self.keep(draft, worked)
    }

    /// Returns the column of a schedule that a cell as typed is for.
    fn column_named(&self, s: usize, n: usize, cell: &Typed) -> Result<LinePlace, Fault> {
        let sheet = &self.book.uses[s].sheet;
        let given = |line: &usize| matches!(sheet.lines[*line].role, Role::Given { .. });
        let name = cell.path.value.to_string();
        if let Some(column) = sheet.known_column(n, &name).filter(given) {
            return Ok(LinePlace { s, n: column, row: None });
        }
        let columns = sheet.schedules[n].columns.iter().copied().filter(given);
        let known: Vec<String> = columns.map(|line| sheet.lines[line].name.value.clone()).collect();
        let schedule = sheet.schedules[n].name.value.clone();
        Err(Fault::new(cell.path.at, Wrong::NoColumn { schedule, found: name, known }))
    }

    /// Drops a row: `SCHEDULE.ROW`.
    ///
    /// # Errors
    /// As [`Notebook::set`].
    pub fn drop_row(&mut self, line: &str, from: usize) -> Found<Change> {
        let path = Typed::read_path(line, from).map_err(self.refuse_near(line))?;
        let wrong = |wrong: Wrong| refuse(line)(Fault::new(path.at, wrong));
        let Named::Row(s, n, row) = named(&self.book, self.first, &path).map_err(refuse(line))? else {
            return Err(wrong(Wrong::NotARow { found: path.value.to_string() }));
        };
        let mut draft = self.draft();
        self.own_rows(&mut draft, s, n).map_err(wrong)?;
        let used = &self.book.uses[s];
        let schedule = &used.sheet.schedules[n].name.value;
        let name = row_name(&used.name, schedule, &used.row_names[n][row]);
        draft.act = format!("drop {name}");
        draft.set.push(name);
        draft.text = drop_row(&draft.text, &used.name, schedule, row).map_err(|_| wrong(Wrong::NoPlace))?;
        self.kept(draft)
    }

    /// Returns the library that the job is read with.
    pub(super) fn library(&self) -> super::Library {
        super::library_of(&self.path, &self.options)
    }

    /// Returns the day that the job is judged on, as the command line says.
    pub(super) fn day(&self) -> super::Day {
        self.options.day
    }

    /// Tells a fault under what was typed; what is no name may be one in other letters.
    pub(super) fn refuse_near<'l>(&'l self, line: &'l str) -> impl Fn(Fault) -> Vec<Refused> + 'l {
        move |fault| {
            let near =
                |found: &String| near_name(&self.book, found).filter(|near| near.eq_ignore_ascii_case(found));
            let fault = match &fault.kind {
                Kind::Text(crate::sheet::Wrong::BadName { found }) if near(found).is_some() => {
                    Fault::new(fault.at, Wrong::NoWord { found: found.clone(), near: near(found) })
                }
                _ => fault,
            };
            refuse(line)(fault)
        }
    }

    /// Returns the line that a name stands for.
    pub(super) fn line_named(&self, path: &Spanned<Name>) -> Result<LinePlace, Fault> {
        match named(&self.book, self.first, path)? {
            Named::Line(place) => Ok(place),
            Named::Sheet(_) | Named::Schedule(..) | Named::Row(..) | Named::Chart(..) => {
                Err(Fault::new(path.at, Wrong::NotALine { found: path.value.to_string() }))
            }
        }
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

    /// Works a change and keeps it.
    fn kept(&mut self, draft: Draft) -> Found<Change> {
        let worked = self.worked(&draft.text).map_err(|(_, refused)| refused)?;
        self.keep(draft, worked)
    }

    /// Keeps a text that differs by a mark.
    pub(super) fn keep_mark(&mut self, text: String, act: String, note: String) -> Found<Change> {
        self.kept(Draft { text, act, notes: vec![note], ..self.draft() })
    }

    /// Writes a change through, and only then holds it.
    fn keep(&mut self, draft: Draft, worked: Worked) -> Found<Change> {
        let made = Change { notes: draft.notes, ..change(&self.record, &worked.2, &draft.set) };
        let set: Vec<&super::Moved> = made.moved.iter().filter(|moved| moved.set).collect();
        let line = if draft.act.is_empty() { draft.set.join(", ") } else { draft.act };
        let values = |value: fn(&super::Moved) -> &str| {
            let values: Vec<&str> = set.iter().map(|moved| value(moved)).collect();
            (!values.is_empty()).then(|| values.join(", "))
        };
        let (old, new) = (values(|moved| &moved.before), values(|moved| &moved.after));
        let act = Act { old, new, ..act(self.who.as_deref(), &line) };
        self.through(act, worked)?;
        Ok(made)
    }

    /// Writes a text through, and only then holds it; a job file that somebody else changed is read again first.
    pub(super) fn through(&mut self, act: Act, (page, book, record): Worked) -> Found<()> {
        match self.journal.keep(&Act { stamps: stamps(&book), ..act }, &page.text) {
            Ok(()) => {
                (self.page, self.book, self.record) = (page, book, record);
                Ok(())
            }
            Err(Unkept::Changed) => {
                self.read_again()?;
                Err(unkept_as(&self.page, Unkept::Changed))
            }
            Err(unkept) => Err(unkept_as(&page, unkept)),
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
    fn read_again(&mut self) -> Found<()> {
        let found = disk::read_page(&self.path, &self.name).map_err(|refused| vec![refused])?;
        let (page, book, record) = self.worked(&found.text).map_err(|(_, refused)| refused)?;
        let made = change(&self.record, &record, &[]);
        let act = Act { stamps: stamps(&book), ..act(self.who.as_deref(), OUTSIDE) };
        self.journal.take_outside(found.text.clone(), &act).map_err(|unkept| unkept_as(&page, unkept))?;
        self.told.extend(as_outside(&made));
        (self.page, self.book, self.record) = (page, book, record);
        Ok(())
    }

    /// Tells what is wrong with a typed value under what was typed.
    fn under(
        &self,
        page: &Arc<Page>,
        refused: Vec<Refused>,
        line: &str,
        typed: &[(LinePlace, &Typed)],
    ) -> Vec<Refused> {
        let goes: Vec<Goes<'_>> = typed.iter().map(|(place, typed)| self.goes(*place, typed)).collect();
        under_typed(refused, page, line, &goes)
    }

    fn goes<'t>(&'t self, place: LinePlace, typed: &'t Typed) -> Goes<'t> {
        let used = &self.book.uses[place.s];
        let found = &used.sheet.lines[place.n];
        let schedule = found.schedule.map(|schedule| used.sheet.schedules[schedule].name.value.as_str());
        (typed, (used.name.as_str(), schedule.zip(place.row), found.name.value.as_str()))
    }
}

/// Returns the columns of a new row that nobody said how they are known.
fn not_said<'a>(book: &'a Book, places: &'a [(LinePlace, &Typed)]) -> impl Iterator<Item = String> + 'a {
    let unsaid = |place: &LinePlace| {
        let known = book.uses[place.s].known.get(&(place.n, place.row.unwrap_or(0)));
        known.is_some_and(|known| known.origin == Origin::NotSaid)
    };
    // A name is what it is.
    let number = |place: &LinePlace| book.uses[place.s].sheet.lines[place.n].is != Is::Text;
    let found = places.iter().filter(move |(place, _)| unsaid(place) && number(place));
    found.map(|(_, typed)| typed.path.value.to_string())
}

/// Returns how the value of a row is known.
fn origin_in_row(book: &Book, place: LinePlace) -> Option<&'static str> {
    let known = book.uses[place.s].known.get(&(place.n, place.row?))?;
    Some(known.origin.words())
}

/// Says of the value that was set how it is known.
fn said(mut made: Change, origin: Option<&'static str>) -> Change {
    if let Some(moved) = made.moved.iter_mut().find(|moved| moved.set) {
        moved.origin = moved.origin.or(origin);
    }
    made
}

/// Tells what an edit from outside moved.
fn as_outside(made: &Change) -> Vec<String> {
    if made.moved.is_empty() {
        return vec!["outside: no value differs".to_owned()];
    }
    let told =
        |moved: &super::Moved| format!("outside: {}  {} \u{2192} {}", moved.name, moved.before, moved.after);
    made.moved.iter().map(told).collect()
}

/// Returns an act of now.
pub(super) fn act(who: Option<&str>, line: &str) -> Act {
    let time = date::show(crate::job::clock::now().floor());
    Act { time, who: who.map(str::to_owned), line: line.to_owned(), ..Act::default() }
}

/// Tells why a change was not kept, at the job file as a whole.
pub(super) fn unkept_as(page: &Arc<Page>, unkept: Unkept) -> Vec<Refused> {
    let page = Page::new(page.name.clone(), "");
    vec![Refused { page, faults: vec![Fault::new(Span::default(), crate::job::Wrong::Unkept(unkept))] }]
}

/// Tells a fault under what was typed.
pub(super) fn refuse(line: &str) -> impl Fn(Fault) -> Vec<Refused> + '_ {
    move |fault| Refused::typed(line, vec![fault])
}
