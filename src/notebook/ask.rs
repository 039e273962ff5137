//! What an open job answers: a line, a sheet, and why a line is what it is.
//!
//! In: names as typed. Out: the lines, their formulas with the numbers put in, and what stands behind them.
//! Never: changes anything.

pub(super) mod next;
pub(super) mod offers;
pub(super) mod room;
pub(super) mod row;
pub(super) mod scratch;

use crate::cite::Cite;
use crate::engine::{Purpose, State};
use crate::notebook::book::names::{LinePlace, Named, named};
use crate::notebook::book::words;
use crate::notebook::change::refuse;
use crate::notebook::change::typed::Typed;
use crate::notebook::judge::witness::{MOST_MATTERS, Matter, matters};
use crate::notebook::library::Found;
use crate::notebook::load::enter;
use crate::notebook::open::Notebook;
use crate::notebook::record::Origin;
use crate::sheet::formula::Formula;
use crate::sheet::model::{Is, Line, Role};
use crate::unit::Unit;

/// What a name alone shows.
#[derive(Clone, Debug, PartialEq)]
pub enum Shown {
    /// A line, or the rows of a column.
    Line(Box<Why>),
    /// A sheet, by its place in the record; names are looked for in it first from now on.
    Sheet(usize),
    /// A schedule: its sheet, by its place, and its name.
    Schedule(usize, String),
    /// A limit: its sheet, by its place, and its full name.
    Limit(usize, String),
    /// A chart: its sheet, by its place, and its own place there.
    Chart(usize, usize),
}

/// Rows of a column that are told.
const MOST_ROWS: usize = 12;

/// Why a line is what it is.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Why {
    /// Its full name.
    pub name: String,
    /// Its label.
    pub label: String,
    /// Its value, or why it has none.
    pub shown: String,
    /// The lowest and the highest that it may be within tolerance.
    pub spread: Option<(String, String)>,
    /// The formula that was worked, as written, and with its numbers.
    pub formula: Option<(String, String)>,
    /// The condition of the branch that was taken, as written, and with its numbers; none for the last.
    pub condition: Option<(String, String)>,
    /// The conditions that were tried before it and do not hold, likewise.
    pub otherwise: Vec<(String, String)>,
    /// Of a column, its rows: their names, each with what was worked in it.
    pub rows: Vec<(String, String)>,
    /// How many more rows there are.
    pub more_rows: usize,
    /// When it is needed.
    pub when: Option<String>,
    /// How it is known, by whom, when, with what, from which document.
    pub known: Vec<String>,
    /// What may be entered: its unit, its range or its choices.
    pub takes: Option<String>,
    /// A remark.
    pub note: Option<String>,
    /// Of a limit, the readings that matter most to it.
    pub matters: Vec<Matter>,
    /// What it rests on, directly.
    pub inputs: Vec<Why>,
}

impl Notebook {
    /// Returns what a name alone shows; a sheet is looked in first from then on.
    ///
    /// # Errors
    /// No such name.
    pub fn show(&mut self, line: &str, from: usize) -> Found<Shown> {
        let path = Typed::read_path(line, from).map_err(self.refuse_near(line))?;
        Ok(match named(&self.book, self.first, &path).map_err(refuse(line))? {
            Named::Sheet(s) => {
                self.first = Some(s);
                Shown::Sheet(s)
            }
            Named::Schedule(s, n) | Named::Row(s, n, _) => {
                Shown::Schedule(s, self.book.uses[s].sheet.schedules[n].name.value.clone())
            }
            Named::Chart(s, c) => Shown::Chart(s, c),
            Named::Line(place) => match self.line(place).role {
                Role::Limit { .. } => Shown::Limit(place.s, self.book.uses[place.s].plain_name(place.n)),
                Role::Given { .. } | Role::Take { .. } | Role::Cell { .. } | Role::Find(_) => {
                    Shown::Line(Box::new(self.why_of(place, 0)))
                }
            },
        })
    }

    /// Returns why a line is what it is, `depth` steps back.
    ///
    /// # Errors
    /// No such line.
    pub fn why(&mut self, line: &str, from: usize, depth: usize) -> Found<Why> {
        let path = Typed::read_path(line, from).map_err(self.refuse_near(line))?;
        let place = self.line_named(&path).map_err(refuse(line))?;
        let mut why = self.why_of(place, depth);
        if matches!(self.line(place).role, Role::Limit { .. }) {
            why.matters = matters(&mut self.book, (place.s, place.n));
            why.matters.truncate(MOST_MATTERS);
        }
        Ok(why)
    }

    fn line(&self, place: LinePlace) -> &Line {
        &self.book.uses[place.s].sheet.lines[place.n]
    }

    pub(super) fn why_of(&mut self, place: LinePlace, depth: usize) -> Why {
        let used = &self.book.uses[place.s];
        let line = used.sheet.lines[place.n].clone();
        let rows = used.rows_of(&line);
        let row = place.row.unwrap_or(0);
        let name = match place.row {
            None => used.plain_name(place.n),
            Some(row) => used.full_name(place.n, row),
        };
        let mut why = Why {
            name,
            label: line.label.clone(),
            shown: self.shown(place, rows),
            when: line.when_formula.as_ref().map(ToString::to_string),
            takes: self.takes(place, &line),
            note: line.note.clone(),
            ..Why::default()
        };
        if rows == 0 {
            return why;
        }
        let whole = line.schedule.is_some() && place.row.is_none();
        let named = if whole {
            self.rows(place, &line, rows, &mut why)
        } else {
            why.spread = self.spread(place, &line, row);
            why.known = self.book.known_words(place, &line, row);
            self.formulas(place, row, &mut why)
        };
        if depth > 0 {
            for input in self.inputs(place, row, named) {
                why.inputs.push(self.why_of(input, depth - 1));
            }
            why.inputs.extend(self.cells(place, row));
        }
        why
    }

    fn shown(&self, place: LinePlace, rows: usize) -> String {
        let at = |row: usize| self.book.point.at(self.book.slot(place.s, place.n, row));
        let one = |row: usize| {
            let (value, status) = at(row);
            match status.state() {
                State::Worked => words::of_line(&self.book, (place.s, place.n), row, value),
                State::Open(_) | State::Unworkable(..) | State::NotNeeded(_) => {
                    words::reason(&self.book, status).unwrap_or_default()
                }
            }
        };
        match place.row {
            Some(row) => one(row),
            None => (0..rows).map(one).collect::<Vec<_>>().join(", "),
        }
    }

    fn spread(&self, place: LinePlace, line: &Line, row: usize) -> Option<(String, String)> {
        let ((low, high), status) = self.book.spread_of(place.s, place.n, row)?;
        let words = |value: f64| words::shown(&self.book, line.is, &line.unit, value);
        // Rounding outwards is no spread that a person knows of.
        (status.is_worked() && words(low) != words(high)).then(|| (words(low), words(high)))
    }

    fn takes(&self, place: LinePlace, line: &Line) -> Option<String> {
        let Role::Given { within, one_of, .. } = &line.role else { return None };
        let sheet = &self.book.uses[place.s].sheet;
        let kind = match line.is {
            Is::Flag => "yes or no".to_owned(),
            Is::Date => "a date".to_owned(),
            Is::Text => "a text".to_owned(),
            Is::Quantity(_) | Is::Point | Is::Unknown if line.unit.is_plain() => "a number".to_owned(),
            Is::Quantity(_) | Is::Point | Is::Unknown => format!("in {}", line.unit.symbol()),
        };
        Some(match (within, one_of) {
            (Some((low, high)), _) => format!("{kind}, {low} to {high}"),
            (None, Some(choices)) => format!("one of {}", enter::choice_words(sheet, choices, &line.unit)),
            (None, None) => kind,
        })
    }

    /// Tells the formula of a row of a line, as written and in numbers, and why this branch; returns what it names.
    fn formulas(&mut self, place: LinePlace, row: usize, why: &mut Why) -> Vec<LinePlace> {
        let Some(working) = self.book.working(place, row) else { return Vec::new() };
        let both = |(written, numbers): &(Formula, Formula)| (written.to_string(), numbers.to_string());
        let several = matches!(&self.line(place).role, Role::Find(branches) if branches.len() > 1);
        // Which of several formulas holds is not known yet: none of them is shown as if it did.
        if working.numbers.is_some() || !several {
            let numbers = working.numbers.as_ref().map_or_else(String::new, ToString::to_string);
            why.formula = Some((working.formula.to_string(), numbers));
        }
        why.condition = working.condition.as_ref().map(both);
        why.otherwise = working.passed.iter().map(both).collect();
        working.named
    }

    /// Tells a column row by row, what was worked in numbers; returns what its rows name, as whole columns.
    fn rows(&mut self, place: LinePlace, line: &Line, rows: usize, why: &mut Why) -> Vec<LinePlace> {
        let mut named = Vec::new();
        for row in self.rows_told(place, line, rows) {
            let mut one = Why { formula: None, condition: None, otherwise: Vec::new(), ..why.clone() };
            let of_row = self.formulas(place, row, &mut one);
            let own = |found: LinePlace| match found.row {
                Some(_) => LinePlace { row: None, ..found },
                None => found,
            };
            named.extend(of_row.into_iter().map(own));
            let value = self.shown(LinePlace { row: Some(row), ..place }, rows);
            let told = match (&one.formula, &line.role) {
                (None, _) => value,
                (Some((_, numbers)), Role::Limit { .. }) => format!("{numbers}: {value}"),
                (Some((_, numbers)), _)
                    if numbers.is_empty() || *numbers == value || numbers.starts_with('"') =>
                {
                    value
                }
                (Some((_, numbers)), _) => format!("{numbers} = {value}"),
            };
            let known = self.book.known_words(LinePlace { row: Some(row), ..place }, line, row);
            let mut known = if line.source.is_some() { Vec::new() } else { known };
            let name = self.book.row_name(place.s, line, row);
            // What a row goes by needs no second word, and is no reading.
            let told = Some(told).filter(|told| *told != name);
            known.retain(|word| told.is_some() || word != Origin::NotSaid.words());
            why.rows.push((name, told.into_iter().chain(known).collect::<Vec<_>>().join(", ")));
            if let Some((written, _)) = one.formula {
                why.formula.get_or_insert((written, String::new()));
            }
        }
        why.more_rows = rows.saturating_sub(MOST_ROWS);
        named
    }

    /// Returns the rows of a column that are told: of many the first, but always those that are known otherwise than
    /// most, and the one that is closest to a limit.
    fn rows_told(&self, place: LinePlace, line: &Line, rows: usize) -> Vec<usize> {
        if rows <= MOST_ROWS {
            return (0..rows).collect();
        }
        let origins = &self.book.uses[place.s].known;
        let origin =
            |row: usize| origins.get(&(place.n, row)).map(|known| (known.origin, known.note.clone()));
        let mut kinds = Vec::new();
        for row in 0..rows {
            match kinds.iter().position(|(kind, _)| *kind == origin(row)) {
                Some(at) => kinds[at].1 += 1,
                None if kinds.len() < MOST_ROWS => kinds.push((origin(row), 1)),
                None => {}
            }
        }
        let most = kinds.into_iter().max_by_key(|(_, count)| *count).and_then(|(kind, _)| kind);
        let schedule = line.schedule.map(|n| &self.book.uses[place.s].sheet.schedules[n].name.value);
        let limits = self.record().sheets[place.s].limits.iter();
        let closest: Vec<usize> = limits
            .filter(|limit| limit.schedule.as_ref() == schedule)
            .filter_map(|limit| limit.closest)
            .filter(|row| *row < rows)
            .collect();
        let always = |row: &usize| closest.contains(row) || origin(*row) != most;
        let mut told: Vec<usize> = (0..rows).filter(always).take(MOST_ROWS).collect();
        told.extend((0..rows).filter(|row| !always(row)).take(MOST_ROWS - told.len()));
        told.sort_unstable();
        told
    }

    /// Returns the lines that a line rests on, each once, in reading order; those of a link are of other sheets.
    fn inputs(&self, place: LinePlace, row: usize, named_in: Vec<LinePlace>) -> Vec<LinePlace> {
        let mut found = named_in;
        let known = self.book.uses[place.s].known.get(&(place.n, row));
        if let Some(link) = known.and_then(|known| known.link.as_ref()) {
            let mut scan = crate::sheet::scan::Scan::new(link, crate::fault::Span::new(0, link.len()));
            if let Ok(formula) = Formula::read(&mut scan) {
                formula.each_name(&mut |path| {
                    let path = crate::fault::Spanned::new(path.clone(), crate::fault::Span::default());
                    if let Ok(Named::Line(place)) = named(&self.book, None, &path) {
                        found.push(place);
                    }
                });
            }
        }
        let mut once = Vec::new();
        for place in found {
            if !once.contains(&place) {
                once.push(place);
            }
        }
        once
    }

    /// Returns the cells of tables that a row of a line was worked from, each with its document.
    fn cells(&mut self, place: LinePlace, row: usize) -> Vec<Why> {
        let planned = self.book.planned(place.s, place.n);
        let plan = std::sync::Arc::clone(self.book.point.plan());
        let mut cells = Vec::new();
        for (used, row) in self.book.point.used_by(&plan, (planned, row)) {
            let Purpose::TableColumn(s, t, c) = plan.lines[used].purpose else { continue };
            let sheet = &self.book.uses[s].sheet;
            let Some(table) = &sheet.tables[t].table else { continue };
            let column = &table.columns[c];
            let slot = plan.slot(used, row);
            let (value, status) = self.book.point.at(slot);
            let is = column.unit.as_ref().map_or(Is::Text, Is::of);
            let unit = column.unit.clone().unwrap_or_else(Unit::plain);
            let unverified = table.row_unverified.get(row) == Some(&true);
            let cite = column.cite.clone();
            let cite = cite.map(|cite| Cite { unverified: cite.unverified || unverified, ..cite });
            let row = table.row_name(row).unwrap_or_default();
            cells.push(Why {
                name: format!(
                    "{}.{}.\"{row}\".{}",
                    self.book.uses[s].name, sheet.tables[t].name.value, column.name
                ),
                label: column.label.clone().unwrap_or_else(|| table.title.clone()),
                shown: words::reason(&self.book, status)
                    .unwrap_or_else(|| words::shown(&self.book, is, &unit, value)),
                known: cite.iter().map(|cite| cite.words(", ")).collect(),
                ..Why::default()
            });
        }
        cells
    }
}
