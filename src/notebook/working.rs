//! How a line was worked and how a value is known: formulas with their numbers, origins in words.
//!
//! In: a worked book and the place of a line. Out: formulas as trees, words for people.
//! Never: shows a branch that was not taken as if it had been.

use super::book::{Book, Known};
use super::names::LinePlace;
use super::record::Origin;
use super::words;
use crate::cite::Cite;
use crate::sheet::formula::Formula;
use crate::sheet::model::{Is, Line, SettledBranch, Work};
use crate::sheet::token::{Leaf, Path, Piece};
use crate::unit::{Quantity, date};

/// How a line was worked.
#[derive(Clone, Debug, PartialEq)]
pub struct Working {
    /// The formula that was worked; the first of several where it is open which.
    pub formula: Formula,
    /// The same with its numbers; none where it is open which formula applies.
    pub numbers: Option<Formula>,
    /// The condition of the branch that was taken, as written and with its numbers; none for the last.
    pub condition: Option<(Formula, Formula)>,
    /// The conditions that were tried before and do not hold.
    pub passed: Vec<(Formula, Formula)>,
}

impl Book {
    /// Returns how a row of a line was worked; nothing for what is entered.
    pub(super) fn working(&mut self, place: LinePlace, row: usize) -> Option<Working> {
        let sheet = std::sync::Arc::clone(&self.uses[place.s].sheet);
        match &sheet.lines[place.n].work {
            Work::Find(branches) => self.branch_worked(place, row, branches),
            Work::Limit { formula, .. } => {
                let (formula, numbers) = self.both(place, row, formula);
                Some(Working { formula, numbers: Some(numbers), condition: None, passed: Vec::new() })
            }
            Work::Given { .. } | Work::Take { .. } | Work::Cell { .. } => None,
        }
    }

    fn branch_worked(&mut self, place: LinePlace, row: usize, branches: &[SettledBranch]) -> Option<Working> {
        let planned = self.planned(place.s, place.n);
        let taken = self.point.branch(planned, row).filter(|taken| *taken < branches.len());
        let Some(taken) = taken else {
            let formula = branches.first()?.formula.clone();
            return Some(Working { formula, numbers: None, condition: None, passed: Vec::new() });
        };
        let (formula, numbers) = self.both(place, row, &branches[taken].formula);
        let condition = |branch: &SettledBranch| {
            branch.where_formula.as_ref().map(|condition| self.both(place, row, condition))
        };
        let passed = branches[..taken].iter().filter_map(condition).collect();
        Some(Working { formula, numbers: Some(numbers), condition: condition(&branches[taken]), passed })
    }

    /// Returns a formula as written and with its numbers.
    fn both(&self, place: LinePlace, row: usize, formula: &Formula) -> (Formula, Formula) {
        (formula.clone(), formula.put_in(&|path: &Path| self.leaf(place, row, path)))
    }

    /// Returns how a value is known: how, by whom, when, with what, from which document.
    pub(super) fn known_words(&self, place: LinePlace, line: &Line, row: usize) -> Vec<String> {
        let found = self.uses[place.s].known.get(&(place.n, row));
        let cite = found.and_then(|known| known.cite.clone()).or_else(|| self.cite(line));
        let mut told = found.map_or_else(Vec::new, |known| self.origin_words(known));
        told.extend(cite.map(|cite| cited(&cite)));
        told.extend(
            found.and_then(|known| known.overrides.as_ref()).map(|before| format!("overrides {before}")),
        );
        told
    }

    fn origin_words(&self, known: &Known) -> Vec<String> {
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
                Some((_, time)) if Some(date::day(seconds)) == self.on => time.to_owned(),
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

    /// Returns the value of a name in a formula, for showing.
    pub(super) fn leaf(&self, place: LinePlace, row: usize, path: &Path) -> Option<Leaf> {
        if path.0 == ["on"] {
            return self.day().map(Leaf::Date);
        }
        let found = self.place_of(place, row, path)?;
        let line = &self.uses[found.s].sheet.lines[found.n];
        if line.schedule.is_some() && found.row.is_none() {
            return None;
        }
        let (value, status) = self.point.at(self.slot(found.s, found.n, found.row.unwrap_or(0)));
        if !status.is_worked() {
            return None;
        }
        let shown = words::shown(self, line.is, &line.unit, value);
        Some(match line.is {
            Is::Flag => Leaf::Flag(value != 0.0),
            Is::Date => Leaf::Date(value),
            Is::Text => Leaf::Text(vec![Piece::Plain(shown)]),
            Is::Quantity(_) | Is::Point | Is::Unknown => Leaf::Quantity(Quantity::read(&shown).ok()?),
        })
    }

    /// Returns the line that a name in a formula of a sheet stands for.
    pub(super) fn place_of(&self, place: LinePlace, row: usize, path: &Path) -> Option<LinePlace> {
        let sheet = &self.uses[place.s].sheet;
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
}

fn cited(cite: &Cite) -> String {
    let verified = match (cite.unverified, cite.document == Cite::PRACTICE) {
        (_, true) => "",
        (true, _) => ", not verified",
        (false, _) => ", verified",
    };
    format!("{cite}{verified}")
}
