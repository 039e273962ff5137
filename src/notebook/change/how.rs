//! How values are known, said of many at once: `how path measured with tester`.
//!
//! In: a line as typed. Out: the job with that said of each value of which nobody had said it.
//! Never: changes a value, or what was said of one before.

use crate::fault::Fault;
use crate::job::How;
use crate::job::rewrite::{NewEntry, Part};
use crate::notebook::Wrong;
use crate::notebook::book::names::{LinePlace, Named, named};
use crate::notebook::change::difference::Change;
use crate::notebook::change::draft::Draft;
use crate::notebook::change::refuse;
use crate::notebook::change::typed::Typed;
use crate::notebook::library::Found;
use crate::notebook::open::Notebook;
use crate::notebook::record::Origin;
use crate::sheet::model::{Is, Role};

impl Notebook {
    /// Says how values are known of which nobody has said it: of a line, a row, a column, a schedule, a sheet.
    ///
    /// # Errors
    /// As [`Notebook::set`]; also where no such value is there.
    pub fn say_how(&mut self, line: &str, from: usize) -> Found<Change> {
        let typed = Typed::read_name(line, from, &self.instruments()).map_err(self.refuse_near(line))?;
        let wrong = |wrong: Wrong| refuse(line)(Fault::new(typed.path.at, wrong));
        let name = typed.path.value.to_string();
        let how = typed.how.or(typed.with.as_ref().map(|_| How::Measured));
        let Some(how) = how else { return Err(wrong(Wrong::NoteFirst)) };
        let found = named(&self.book, self.first, &typed.path).map_err(refuse(line))?;
        let mut draft = self.draft();
        let mut count = 0;
        for place in self.unsaid(found, how) {
            let Some(entry) = self.entry_of(place) else { continue };
            let note = typed.note.clone().or(entry.note.clone());
            let entry = NewEntry { how: Some(how), with: typed.with.clone(), note, ..entry };
            self.write(&mut draft, place, Part::Given, &entry).map_err(wrong)?;
            count += 1;
        }
        if count == 0 && how == How::Stated && !self.unsaid(found, How::Assumed).is_empty() {
            return Err(wrong(Wrong::HowNotStated { name }));
        }
        if count == 0 {
            return Err(wrong(Wrong::NothingSaid { name }));
        }
        let with = typed.with.as_ref().map_or(String::new(), |with| format!(" with {with}"));
        let values = if count == 1 { "1 value".to_owned() } else { format!("{count} values") };
        draft.notes.push(format!("{values} of {name}: {}{with}", how.word()));
        let act = format!("how {name} {}{with}", how.word());
        self.kept(Draft { act, set: Vec::new(), ..draft })
    }

    /// Returns the entered values behind a name that nobody said it of.
    fn unsaid(&self, found: Named, how: How) -> Vec<LinePlace> {
        let (s, lines, row): (usize, Vec<usize>, Option<usize>) = match found {
            Named::Line(place) => (place.s, vec![place.n], place.row),
            Named::Schedule(s, n) => (s, self.book.uses[s].sheet.schedules[n].columns.clone(), None),
            Named::Row(s, n, row) => (s, self.book.uses[s].sheet.schedules[n].columns.clone(), Some(row)),
            Named::Sheet(s) => (s, (0..self.book.uses[s].sheet.lines.len()).collect(), None),
            Named::Chart(..) => return Vec::new(),
        };
        let used = &self.book.uses[s];
        let mut places = Vec::new();
        for n in lines {
            let line = &used.sheet.lines[n];
            let number = matches!(line.is, Is::Quantity(_) | Is::Point);
            // Only a number is measured, and no number is stated.
            let fits = if number { how != How::Stated } else { how != How::Measured };
            if !fits || !matches!(line.role, Role::Given { .. }) {
                continue;
            }
            let rows = row.map_or(0..used.rows_of(line), |row| row..row + 1);
            let unsaid = |row: &usize| {
                let known = used.known.get(&(n, *row));
                known.is_some_and(|known| known.origin == Origin::NotSaid && known.link.is_none())
            };
            let place = |row: usize| LinePlace { s, n, row: line.schedule.map(|_| row) };
            places.extend(rows.filter(unsaid).map(place));
        }
        places
    }

    /// Returns what the job says of a value.
    fn entry_of(&self, place: LinePlace) -> Option<NewEntry> {
        let line = &self.book.uses[place.s].sheet.lines[place.n];
        let own = &line.name.value;
        let entry = match (line.schedule, place.row) {
            (Some(schedule), Some(row)) => {
                let rows = &self.book.grids[place.s][schedule].as_ref()?.rows;
                &rows.get(row)?.iter().find(|(name, _)| name.value == *own)?.1
            }
            _ => &self.book.job.sheets[place.s].given.iter().find(|(name, _)| name.value == *own)?.1,
        };
        Some(NewEntry::from(entry))
    }
}
