//! A change on paper: the text that the job would have.
//!
//! In: what was typed. Out: a draft, with the names of what it sets.
//! Never: writes a file; touches the open book.

use crate::fault::{Fault, Spanned};
use crate::job::rewrite::{NewEntry, Part, list_rows, set_cell, set_entry};
use crate::job::{Raw, Rows};
use crate::notebook::Wrong;
use crate::notebook::book::names::LinePlace;
use crate::notebook::change::refuse;
use crate::notebook::change::typed::Typed;
use crate::notebook::library::Found;
use crate::notebook::load::enter;
use crate::notebook::open::Notebook;
use crate::sheet::model::Role;
use crate::unit::date;

/// A change that is made on paper: the text it would leave, and what it sets.
#[derive(Default)]
pub(in crate::notebook) struct Draft {
    pub(in crate::notebook) text: String,
    pub(in crate::notebook) set: Vec<String>,
    pub(in crate::notebook) notes: Vec<String>,
    /// What the value is and how it is known, where no more than that is new.
    pub(in crate::notebook) said: Option<String>,
    /// What is done, where no line is set.
    pub(in crate::notebook) act: String,
    /// The schedules whose rows it has made the job's own, each by its sheet's place and its own.
    pub(in crate::notebook) owned: Vec<(usize, usize)>,
}

/// A value as typed, on its way into the job.
pub(in crate::notebook) struct Set {
    pub(in crate::notebook) draft: Draft,
    pub(in crate::notebook) typed: Typed,
    pub(in crate::notebook) place: LinePlace,
    pub(in crate::notebook) entry: NewEntry,
}

impl Notebook {
    pub(in crate::notebook) fn draft(&self) -> Draft {
        Draft { text: self.page.text.clone(), ..Draft::default() }
    }

    /// Makes a change on paper; a trial keeps nothing, and a figure needs no document in it.
    pub(in crate::notebook) fn drafted(&self, line: &str, from: usize, trial: bool) -> Found<Set> {
        let mut typed = Typed::read(line, from, &self.instruments()).map_err(self.refuse_near(line))?;
        let place = self.line_named(&typed.path).map_err(refuse(line))?;
        if trial && matches!(self.book.uses[place.s].sheet.lines[place.n].role, Role::Take { .. }) {
            typed.by.get_or_insert_with(|| "a trial".to_owned());
        }
        let found = &self.book.uses[place.s].sheet.lines[place.n];
        let part = if matches!(found.role, Role::Take { .. }) { Part::Take } else { Part::Given };
        let name = || typed.path.value.to_string();
        let wrong = match (&found.role, &typed.by) {
            (Role::Given { .. }, None) if found.schedule.is_some() && place.row.is_none() => {
                let schedule = &self.book.uses[place.s].sheet.schedules[found.schedule.unwrap_or(0)].name;
                Some(Wrong::RowWanted { schedule: schedule.value.clone(), column: found.name.value.clone() })
            }
            (Role::Given { .. }, None) | (Role::Take { .. }, Some(_)) => None,
            (Role::Take { .. }, None) if typed.value.value == "?" => None,
            (Role::Take { .. }, None) => Some(Wrong::DocumentWanted { name: name() }),
            (Role::Given { .. }, Some(_)) => Some(Wrong::NotGiven { name: name(), what: "a figure" }),
            (Role::Cell { .. } | Role::Find(_) | Role::Limit { .. }, _) => {
                Some(Wrong::NotGiven { name: name(), what: "a given" })
            }
        };
        if let Some(wrong) = wrong {
            return Err(refuse(line)(Fault::new(typed.path.at, wrong)));
        }
        let entry = self.entry_for(place, &typed).map_err(refuse(line))?;
        let mut draft = self.draft();
        self.write(&mut draft, place, part, &entry)
            .map_err(|wrong| refuse(line)(Fault::new(typed.path.at, wrong)))?;
        draft.said = Some(said_of(&entry));
        draft.notes.extend(self.instrument_dropped(place, &entry));
        Ok(Set { draft, typed, place, entry })
    }

    /// Says that a reading was taken with an instrument, and the new one is not said to be.
    fn instrument_dropped(&self, place: LinePlace, entry: &NewEntry) -> Option<String> {
        let known = self.book.uses[place.s].known.get(&(place.n, place.row.unwrap_or(0)))?;
        // A link takes what is known of the line that it leads to.
        let link = matches!(&entry.value, Raw::Text(text) if text.starts_with('='));
        let with = known.with.as_ref().filter(|_| entry.with.is_none() && !link)?;
        Some(format!("no instrument is said; before it was {with}: add with {with} if it was that"))
    }

    /// Returns what was typed for a line as a job keeps it.
    ///
    /// # Errors
    /// What can be told before the job is read with it.
    pub(in crate::notebook) fn entry_for(&self, place: LinePlace, typed: &Typed) -> Result<NewEntry, Fault> {
        let sheet = &self.book.uses[place.s].sheet;
        let found = &sheet.lines[place.n];
        let meant = self.meant(place, typed);
        let as_typed = meant.as_ref().map_or(true, |meant| *meant == typed.value.value);
        if let Some(slip) = enter::slip(sheet, found, &typed.value).filter(|_| as_typed) {
            return Err(slip);
        }
        let text = &meant?;
        if enter::is_sum(found, text) {
            return Err(Fault::new(typed.value.at, Wrong::SumEntered { formula: text.clone() }));
        }
        let given = matches!(found.role, Role::Given { .. });
        if given && typed.by.is_some() {
            let name = typed.path.value.to_string();
            return Err(Fault::new(typed.path.at, Wrong::NotGiven { name, what: "a figure" }));
        }
        let value = enter::new_value(found, text);
        if !given && text == "?" {
            // The figure of the basis holds again: nobody entered it.
            return Ok(NewEntry { value, ..NewEntry::default() });
        }
        let how = self.how_typed(place, typed, &value);
        Ok(NewEntry { value, how, ..self.entry(typed) })
    }

    pub(in crate::notebook) fn entry(&self, typed: &Typed) -> NewEntry {
        NewEntry {
            value: Raw::default(),
            how: typed.how,
            with: typed.with.clone(),
            who: self.who().map(str::to_owned),
            at: Some(crate::job::clock::minute()),
            anyway: typed.anyway.clone(),
            note: typed.note.clone(),
            by: typed.by.clone(),
        }
    }

    /// Writes one entry into a draft.
    pub(in crate::notebook) fn write(
        &self,
        draft: &mut Draft,
        place: LinePlace,
        part: Part,
        entry: &NewEntry,
    ) -> Result<(), Wrong> {
        let used = &self.book.uses[place.s];
        let line = &used.sheet.lines[place.n];
        let made = match (line.schedule, place.row) {
            (Some(schedule), Some(row)) => {
                self.own_rows(draft, place.s, schedule)?;
                let schedule = &used.sheet.schedules[schedule].name.value;
                set_cell(&draft.text, &used.name, schedule, row, &line.name.value, entry)
            }
            _ => set_entry(&draft.text, &used.name, part, &line.name.value, entry),
        };
        draft.text = made.map_err(|_| Wrong::NoPlace)?;
        draft.set.push(used.full_name(place.n, place.row.unwrap_or(0)));
        Ok(())
    }

    /// Makes the rows of a schedule the job's own: those of a file are copied into the job.
    pub(in crate::notebook) fn own_rows(&self, draft: &mut Draft, s: usize, n: usize) -> Result<(), Wrong> {
        let used = &self.book.uses[s];
        let schedule = &used.sheet.schedules[n];
        let name = &schedule.name.value;
        if schedule.from.is_some() {
            return Err(Wrong::RowsOfTable { name: name.clone() });
        }
        let written = self.book.job.sheets[s].schedules.iter().find(|(known, _)| known.value == *name);
        let file = match written.map(|(_, rows)| rows) {
            Some(Rows::Listed(_)) => return Ok(()),
            Some(Rows::Linked(link)) => {
                return Err(Wrong::RowsLinked { name: name.clone(), link: link.value.clone() });
            }
            Some(Rows::Csv(file)) => Some(file),
            None => None,
        };
        if draft.owned.contains(&(s, n)) {
            return Ok(());
        }
        draft.owned.push((s, n));
        let columns: Vec<&str> =
            schedule.columns.iter().map(|line| used.sheet.lines[*line].name.value.as_str()).collect();
        let grid = self.book.grids[s][n].as_ref();
        let rows: Vec<Vec<(String, NewEntry)>> = grid.map_or_else(Vec::new, |grid| {
            let own = |row: &Vec<(Spanned<String>, crate::job::Entry)>| {
                let cells = row.iter().filter(|(name, _)| columns.contains(&name.value.as_str()));
                cells.map(|(name, entry)| (name.value.clone(), NewEntry::from(entry))).collect()
            };
            grid.rows.iter().map(own).collect()
        });
        draft.text = list_rows(&draft.text, &used.name, name, &rows).map_err(|_| Wrong::NoPlace)?;
        if let Some(file) = file {
            draft.notes.push(format!(
                "the rows of {} are copied into the job; the file stays as it is",
                file.name.value
            ));
        }
        Ok(())
    }
}

/// Returns an entry in words: "238 V, measured with tester".
fn said_of(entry: &NewEntry) -> String {
    let value = words_of(&entry.value);
    let how = entry.how.map_or(String::new(), |how| format!(", {}", how.word()));
    let with = entry.with.as_ref().map_or(String::new(), |with| format!(" with {with}"));
    format!("{value}{how}{}{with}", if how.is_empty() && !with.is_empty() { "," } else { "" })
}

/// Returns a value in words, as it is kept.
pub(in crate::notebook) fn words_of(value: &Raw) -> String {
    match value {
        Raw::Number(number) => number.to_string(),
        Raw::Text(text) => text.clone(),
        Raw::Flag(flag) => if *flag { "yes" } else { "no" }.to_owned(),
        Raw::Date(seconds) => date::show(*seconds),
    }
}
