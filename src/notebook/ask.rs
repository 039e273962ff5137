//! What an open job answers: a line, a sheet, and why a line is what it is.
//!
//! In: names as typed. Out: the lines, their formulas with the numbers put in, and what stands behind them.
//! Never: changes anything.

use super::book::Known;
use super::change::{Notebook, refuse};
use super::library::Found;
use super::names::{LinePlace, Named, named};
use super::record::Origin;
use super::typed::Typed;
use super::{enter, words};
use crate::cite::Cite;
use crate::engine::State;
use crate::sheet::formula::Formula;
use crate::sheet::model::{Is, Line, Work};
use crate::sheet::token::{Leaf, Path, Piece};
use crate::unit::{Quantity, date};

/// What a name alone shows.
#[derive(Clone, Debug, PartialEq)]
pub enum Shown {
    /// A line, or the rows of a column.
    Line(Box<Why>),
    /// A sheet, by its place in the record; names are looked for in it first from now on.
    Sheet(usize),
    /// A schedule: its sheet, by its place, and its name.
    Schedule(usize, String),
    /// A limit: its sheet, by its place, and its name.
    Limit(usize, String),
}

/// Why a line is what it is.
#[derive(Clone, Debug, PartialEq)]
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
    /// When it is needed.
    pub when: Option<String>,
    /// How it is known, by whom, when, with what, from which document.
    pub known: Vec<String>,
    /// What may be entered: its unit, its range or its choices.
    pub takes: Option<String>,
    /// A remark.
    pub note: Option<String>,
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
            Named::Line(place) => match self.line(place).work {
                Work::Limit { .. } => Shown::Limit(place.s, self.line(place).name.value.clone()),
                Work::Given { .. } | Work::Take { .. } | Work::Cell { .. } | Work::Find(_) => {
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
        Ok(self.why_of(place, depth))
    }

    fn line(&self, place: LinePlace) -> &Line {
        &self.book.uses[place.s].sheet.lines[place.n]
    }

    fn why_of(&mut self, place: LinePlace, depth: usize) -> Why {
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
            shown: self.shown(place, &line, rows),
            spread: None,
            formula: None,
            condition: None,
            when: line.when_formula.as_ref().map(ToString::to_string),
            known: Vec::new(),
            takes: self.takes(place, &line),
            note: line.note.clone(),
            inputs: Vec::new(),
        };
        if rows == 0 {
            return why;
        }
        why.spread = self.spread(place, &line, row);
        why.known = self.known(place, &line, row);
        let formulas = self.formulas(place, &line, row, &mut why);
        if depth > 0 {
            for input in self.inputs(place, row, &formulas) {
                why.inputs.push(self.why_of(input, depth - 1));
            }
        }
        why
    }

    fn shown(&self, place: LinePlace, line: &Line, rows: usize) -> String {
        let at = |row: usize| self.book.point.at(self.book.slot(place.s, place.n, row));
        let one = |row: usize| {
            let (value, status) = at(row);
            match status.state() {
                State::Worked => words::shown(&self.book, line.is, &line.unit, value),
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
        let Work::Given { within, one_of, .. } = &line.work else { return None };
        let sheet = &self.book.uses[place.s].sheet;
        let kind = match line.is {
            Is::Flag => "yes or no".to_owned(),
            Is::Date => "a date".to_owned(),
            Is::Text => "a text".to_owned(),
            Is::Quantity(_) | Is::Point | Is::Unknown if line.unit.is_plain() => "a number".to_owned(),
            Is::Quantity(_) | Is::Point | Is::Unknown => format!("in {}", line.unit.symbol()),
        };
        Some(match (within, one_of) {
            (Some((low, high)), _) => format!("{kind}, {low} .. {high}"),
            (None, Some(choices)) => format!("one of {}", enter::choice_words(sheet, choices, &line.unit)),
            (None, None) => kind,
        })
    }

    fn known(&self, place: LinePlace, line: &Line, row: usize) -> Vec<String> {
        let found = self.book.uses[place.s].known.get(&(place.n, row));
        let cite = found.and_then(|known| known.cite.clone()).or_else(|| self.book.cite(line));
        let mut told = found.map_or_else(Vec::new, |known| self.origin(known));
        told.extend(cite.map(|cite| cited(&cite)));
        told.extend(
            found.and_then(|known| known.overrides.as_ref()).map(|before| format!("overrides {before}")),
        );
        told
    }

    fn origin(&self, known: &Known) -> Vec<String> {
        let mut told = Vec::new();
        match (&known.link, known.origin) {
            (Some(link), _) => told.push(format!("linked: {link}")),
            (None, Origin::Open | Origin::Adopted | Origin::Worked) => {}
            (None, origin) => {
                let with = known.with.as_ref().map_or(String::new(), |with| format!(", {with}"));
                told.push(format!("{}{with}", origin.words()));
            }
        }
        let day = |seconds: f64| {
            let clock = date::show(seconds);
            match clock.split_once('T') {
                Some((_, time)) if Some(date::day(seconds)) == self.book.on => time.to_owned(),
                _ => clock.replace('T', " "),
            }
        };
        match (&known.who, known.at) {
            (Some(who), Some(at)) => told.push(format!("{who}, {}", day(at))),
            (Some(who), None) => told.push(who.clone()),
            (None, Some(at)) => told.push(day(at)),
            (None, None) => {}
        }
        told.extend(known.anyway.as_ref().map(|reason| format!("outside its range, taken anyway: {reason}")));
        told.extend(known.note.clone());
        told
    }

    /// Puts the formulas of a line in, as written and with their numbers; returns those that were used.
    fn formulas(&mut self, place: LinePlace, line: &Line, row: usize, why: &mut Why) -> Vec<Formula> {
        let planned = self.book.planned(place.s, place.n);
        let both = |this: &Self, formula: &Formula| {
            let leaf = |path: &Path| this.leaf(place, row, path);
            (formula.to_string(), formula.put_in(&leaf).to_string())
        };
        match &line.work {
            Work::Find(branches) => {
                let taken = self.book.point.branch(planned, row).and_then(|taken| branches.get(taken));
                let Some(taken) = taken else {
                    why.formula = branches.first().map(|branch| (branch.formula.to_string(), String::new()));
                    return branches
                        .iter()
                        .flat_map(|b| [Some(b.formula.clone()), b.where_formula.clone()])
                        .flatten()
                        .collect();
                };
                why.formula = Some(both(self, &taken.formula));
                why.condition = taken.where_formula.as_ref().map(|condition| both(self, condition));
                // Where the last branch was taken, the conditions before it say why.
                let asked =
                    if taken.where_formula.is_some() { vec![taken] } else { branches.iter().collect() };
                let conditions = asked.iter().filter_map(|branch| branch.where_formula.clone());
                std::iter::once(taken.formula.clone()).chain(conditions).collect()
            }
            Work::Limit { formula, .. } => {
                why.formula = Some(both(self, formula));
                vec![formula.clone()]
            }
            Work::Given { .. } | Work::Take { .. } | Work::Cell { .. } => Vec::new(),
        }
    }

    /// Returns the value of a name in a formula, for showing.
    fn leaf(&self, place: LinePlace, row: usize, path: &Path) -> Option<Leaf> {
        if path.0 == ["on"] {
            return self.book.day().map(Leaf::Date);
        }
        let found = self.place_of(place, row, path)?;
        let line = self.line(found);
        if line.schedule.is_some() && found.row.is_none() {
            return None;
        }
        let (value, status) = self.book.point.at(self.book.slot(found.s, found.n, found.row.unwrap_or(0)));
        if !status.is_worked() {
            return None;
        }
        let shown = words::shown(&self.book, line.is, &line.unit, value);
        Some(match line.is {
            Is::Flag => Leaf::Flag(value != 0.0),
            Is::Date => Leaf::Date(value),
            Is::Text => Leaf::Text(vec![Piece::Plain(shown)]),
            Is::Quantity(_) | Is::Point | Is::Unknown => Leaf::Quantity(Quantity::read(&shown).ok()?),
        })
    }

    /// Returns the line that a name in a formula of a sheet stands for.
    fn place_of(&self, place: LinePlace, row: usize, path: &Path) -> Option<LinePlace> {
        let sheet = &self.book.uses[place.s].sheet;
        let schedule = sheet.lines[place.n].schedule;
        match path.0.as_slice() {
            [name] => match schedule.and_then(|schedule| sheet.known_column(schedule, name)) {
                Some(n) => Some(LinePlace { s: place.s, n, row: Some(row) }),
                None => sheet.known_line(name).map(|n| LinePlace { s: place.s, n, row: None }),
            },
            [schedule, name] => {
                let n = sheet.known_column(sheet.known_schedule(schedule)?, name)?;
                Some(LinePlace { s: place.s, n, row: None })
            }
            _ => None,
        }
    }

    /// Returns the lines that a line rests on, each once, in reading order; those of a link are of other sheets.
    fn inputs(&self, place: LinePlace, row: usize, formulas: &[Formula]) -> Vec<LinePlace> {
        let mut found = Vec::new();
        for formula in formulas {
            formula.each_name(&mut |path| found.extend(self.place_of(place, row, path)));
        }
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
}

fn cited(cite: &Cite) -> String {
    let verified = match (cite.unverified, cite.document == Cite::PRACTICE) {
        (_, true) => "",
        (true, _) => ", not verified",
        (false, _) => ", verified",
    };
    format!("{cite}{verified}")
}
