//! Rows added to a schedule, and dropped.
//!
//! In: a line as typed. Out: what moved.
//! Never: changes a row that another sheet holds: those of a linked schedule are made the job's own first.

use crate::fault::Fault;
use crate::job::rewrite::{add_row, drop_row};
use crate::notebook::Wrong;
use crate::notebook::book::Book;
use crate::notebook::book::names::{LinePlace, Named, named};
use crate::notebook::change::difference::Change;
use crate::notebook::change::refuse;
use crate::notebook::change::typed::Typed;
use crate::notebook::library::Found;
use crate::notebook::open::Notebook;
use crate::notebook::record::{Origin, row_name};
use crate::sheet::model::{Is, Role};

impl Notebook {
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
        draft.text = add_row(&draft.text, &used.name, schedule, &row).map_err(|_| wrong(Wrong::NoPlace))?;
        let worked =
            self.worked(&draft.text).map_err(|(page, refused)| self.under(&page, refused, line, &places))?;
        let name = worked.1.uses[s].row_names[n].last().map(|row| row_name(&used.name, schedule, row));
        draft.act = name.as_ref().map_or("add".to_owned(), |name| format!("add {name}"));
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
