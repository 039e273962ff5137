//! The changes that a person types into an open job.
//!
//! In: lines as typed. Out: what moved, and each limit that turned.
//! Never: writes a text that does not load: the job is read anew as a whole, and only then written.

pub(super) mod difference;
pub(super) mod draft;
pub(super) mod history;
mod how;
pub(super) mod marks;
pub(super) mod meant;
pub(super) mod quick;
mod rows;
pub(super) mod top;
pub(super) mod typed;

use std::sync::Arc;

use crate::engine::State;
use crate::fault::{Fault, Kind, Page, Refused, Span, Spanned};
use crate::job::journal::{Act, Unkept};
use crate::job::rewrite::{NewEntry, Part};
use crate::notebook::Wrong;
use crate::notebook::book::names::{LinePlace, Named, named, near_name};
use crate::notebook::book::{Book, words};
use crate::notebook::change::difference::{Change, change, with_tolerance};
use crate::notebook::change::draft::{Draft, Set, words_of};
use crate::notebook::change::quick::ready;
use crate::notebook::change::typed::{Goes, Typed, under_typed};
use crate::notebook::library::Found;
use crate::notebook::load::enter;
use crate::notebook::open::{Notebook, Worked};
use crate::notebook::record::Origin;
use crate::notebook::record::identity::stamps;
use crate::sheet::model::Role;
use crate::sheet::token::Path as Name;
use crate::unit::date;

impl Notebook {
    /// Sets a given, or with `by` a figure: `NAME = VALUE` and what may follow, from a byte of the line on.
    ///
    /// # Errors
    /// What is wrong with what was typed, or with the job it would leave; nothing is changed then.
    pub fn set(&mut self, line: &str, from: usize) -> Found<Change> {
        let mut set = self.drafted(line, from, false)?;
        if let Some(change) = self.quickly(&set)? {
            return Ok(kept_for_later(&self.book, set.place, (&set.entry, ", kept"), change));
        }
        let worked = self
            .worked(&set.draft.text)
            .map_err(|(page, refused)| self.under(&page, refused, line, &[(set.place, &set.typed)]))?;
        set.draft.notes.extend(self.past_calibration(&worked.1, set.place));
        let origin = origin_in_row(&worked.1, set.place);
        let made = linked(said(self.keep(set.draft, worked)?, origin), &set.entry);
        Ok(kept_for_later(&self.book, set.place, (&set.entry, ", kept"), made))
    }

    /// Sets a value that the job need not be put together anew for.
    fn quickly(&mut self, set: &Set) -> Found<Option<Change>> {
        let (place, draft) = (set.place, &set.draft);
        let Some(ready) = ready(&self.book, place, &set.entry) else { return Ok(None) };
        let name = self.book.uses[place.s].full_name(place.n, 0);
        let places = &self.record.sheets[place.s];
        let found = places.places.binary_search(&place.n).ok().map(|at| &places.lines[at]);
        let old = found.map_or("not needed".to_owned(), with_tolerance);
        let new = ready.shown(&self.book);
        let new = if new == old { draft.said.clone() } else { Some(new) };
        let old = Some(old);
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
        let set = self.drafted(line, from, true)?;
        let (_, book, record) = self
            .worked(&set.draft.text)
            .map_err(|(page, refused)| self.under(&page, refused, line, &[(set.place, &set.typed)]))?;
        let made = Change { notes: set.draft.notes, ..change(&self.record, &record, &set.draft.set) };
        let made = linked(said(made, origin_in_row(&book, set.place)), &set.entry);
        Ok(kept_for_later(&book, set.place, (&set.entry, ""), made))
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
        let value = enter::new_value(found, &value);
        let how = self.how_typed(place, &typed, &value);
        let entry = NewEntry { value, how, ..self.entry(&typed) };
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

    /// Works a change and keeps it.
    pub(super) fn kept(&mut self, draft: Draft) -> Found<Change> {
        let worked = self.worked(&draft.text).map_err(|(_, refused)| refused)?;
        self.keep(draft, worked)
    }

    /// Keeps a text that differs by marks, with the question or remark as what is new.
    pub(super) fn keep_mark(
        &mut self,
        text: String,
        line: String,
        note: Option<String>,
        told: String,
    ) -> Found<Change> {
        let worked = self.worked(&text).map_err(|(_, refused)| refused)?;
        let made = Change { notes: vec![told], ..Change::default() };
        let new = note.map(|note| format!("\"{note}\""));
        self.through(Act { new, ..act(self.who.as_deref(), &line) }, worked)?;
        Ok(made)
    }

    /// Writes a change through, and only then holds it.
    fn keep(&mut self, draft: Draft, worked: Worked) -> Found<Change> {
        let made = Change { notes: draft.notes, ..change(&self.record, &worked.2, &draft.set) };
        let set: Vec<&crate::notebook::Moved> = made.moved.iter().filter(|moved| moved.set).collect();
        let line = if draft.act.is_empty() { draft.set.join(", ") } else { draft.act };
        let values = |value: fn(&crate::notebook::Moved) -> &str| {
            let values: Vec<&str> = set.iter().map(|moved| value(moved)).collect();
            (!values.is_empty()).then(|| values.join(", "))
        };
        let (old, new) = (values(|moved| &moved.before), values(|moved| &moved.after));
        let new = if old == new { draft.said.or(new) } else { new };
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

/// Says of a value that is not used, or not yet, that it is kept all the same, and what it waits for.
fn kept_for_later(
    book: &Book,
    place: LinePlace,
    (entry, kept): (&NewEntry, &str),
    mut made: Change,
) -> Change {
    let value = words_of(&entry.value);
    if value == "?" || value.starts_with('=') {
        return made;
    }
    let row = place.row.unwrap_or(0);
    let status = book.point.at(book.slot(place.s, place.n, row)).1;
    let Some(reason) = words::reason(book, status) else { return made };
    let then = match (status.state(), reason.strip_prefix("waiting for ")) {
        (State::Open(_), Some(other)) => format!("used once {other} is known"),
        (State::Open(_) | State::NotNeeded(_), _) => reason,
        (State::Worked | State::Unworkable(..), _) => return made,
    };
    let name = book.uses[place.s].full_name(place.n, row);
    made.moved.retain(|moved| moved.name != name);
    made.notes.push(format!("{name}  {value}{kept}; {then}"));
    made
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

/// Says of a line that was linked, and has no value by that, where the link leads.
fn linked(mut made: Change, entry: &NewEntry) -> Change {
    let value = words_of(&entry.value);
    if let (Some(link), Some(moved)) =
        (value.strip_prefix('='), made.moved.iter_mut().find(|moved| moved.set))
        && moved.after == "?"
    {
        moved.link = Some(link.trim().to_owned());
    }
    made
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
