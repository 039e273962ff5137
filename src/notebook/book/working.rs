//! How a line was worked and how a value is known: formulas with their numbers, origins in words.
//!
//! In: a worked book and the place of a line. Out: formulas as trees, words for people.
//! Never: shows a branch that was not taken as if it had been.

use crate::job::Raw;
use crate::notebook::book::names::LinePlace;
use crate::notebook::book::put_in::Numbers;
use crate::notebook::book::{Book, Known};
use crate::notebook::record::Origin;
use crate::sheet::formula::Formula;
use crate::sheet::model::{Expr, Line, Role, SettledBranch};
use crate::unit::{Unit, date};

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
    /// The lines that were named in what was worked, in reading order.
    pub(in crate::notebook) named: Vec<LinePlace>,
}

impl Book {
    /// Returns how a row of a line was worked; nothing for what is entered.
    pub(in crate::notebook) fn working(&mut self, place: LinePlace, row: usize) -> Option<Working> {
        let sheet = std::sync::Arc::clone(&self.uses[place.s].sheet);
        match &sheet.lines[place.n].role {
            Role::Find(branches) => self.branch_worked(place, row, branches),
            Role::Limit { formula, that, .. } => {
                let mut numbers = Numbers::of(self, place, row);
                let (formula, made) = both(&mut numbers, formula, that);
                let named = numbers.named;
                Some(Working { formula, numbers: Some(made), condition: None, passed: Vec::new(), named })
            }
            Role::Given { .. } | Role::Take { .. } | Role::Cell { .. } => None,
        }
    }

    fn branch_worked(&mut self, place: LinePlace, row: usize, branches: &[SettledBranch]) -> Option<Working> {
        let planned = self.planned(place.s, place.n);
        let taken = self.point.branch(planned, row).filter(|taken| *taken < branches.len());
        let mut numbers = Numbers::of(self, place, row);
        let mut passed = Vec::new();
        for (n, branch) in branches.iter().enumerate() {
            let condition = branch.where_formula.as_ref().zip(branch.condition.as_ref());
            let condition = condition.map(|(formula, settled)| both(&mut numbers, formula, settled));
            if taken == Some(n) {
                let (formula, made) = both(&mut numbers, &branch.formula, &branch.expr);
                let named = numbers.named;
                return Some(Working { formula, numbers: Some(made), condition, passed, named });
            }
            match taken {
                Some(_) => {
                    numbers.pass(&branch.expr);
                    passed.extend(condition);
                }
                // Which branch is taken is not known yet: all of them may be.
                None => drop(both(&mut numbers, &branch.formula, &branch.expr)),
            }
        }
        let (formula, named) = (Formula::clone(&branches.first()?.formula), numbers.named);
        Some(Working { formula, numbers: None, condition: None, passed: Vec::new(), named })
    }

    /// Returns how a value is known: how, by whom, when, with what, from which document.
    pub(in crate::notebook) fn known_words(&self, place: LinePlace, line: &Line, row: usize) -> Vec<String> {
        let found = self.uses[place.s].known.get(&(place.n, row));
        let mut told = found.map_or_else(Vec::new, |known| self.origin_words(known, &line.unit));
        let open = |raw: &Raw| *raw == Raw::Text("?".to_owned());
        let mut taken = self.job.sheets[place.s].take.iter();
        let typed = taken.any(|(name, entry)| name.value == line.name.value && !open(&entry.value.value));
        match found.and_then(|known| known.cite.as_ref()).filter(|_| typed) {
            // Who overrides a figure names a document; whether it says so is for the reviewer to see.
            Some(own) => told.push(format!("{own}, given in the job")),
            None => {
                let own = found.and_then(|known| known.cite.clone());
                told.extend(own.or_else(|| self.cite(line)).map(|cite| cite.words(", ")));
            }
        }
        told.extend(
            found.and_then(|known| known.overrides.as_ref()).map(|before| format!("overrides {before}")),
        );
        told
    }

    fn origin_words(&self, known: &Known, unit: &Unit) -> Vec<String> {
        let mut told = Vec::new();
        match (&known.link, known.origin) {
            (Some(link), _) => told.push(format!("linked: {link}")),
            (None, Origin::Open | Origin::Adopted | Origin::Worked) => {}
            (None, origin) => {
                let with = known.with.as_ref().map_or(String::new(), |with| format!(", {with}"));
                told.push(format!("{}{with}", origin.words()));
            }
        }
        told.extend(
            known.tolerance.filter(|one| !one.is_zero()).map(|one| format!("\u{b1} {}", one.show(unit))),
        );
        let day = |seconds: f64| date::show(seconds).replace('T', " ");
        match (&known.who, known.at) {
            (Some(who), Some(at)) => told.push(format!("{who}, {}", day(at))),
            (Some(who), None) => told.push(who.clone()),
            (None, Some(at)) => told.push(day(at)),
            (None, None) => {}
        }
        told.extend(
            known.past_calibration.map(|until| {
                format!("past its calibration, which ended {}: doubtful", date::in_words(until))
            }),
        );
        told.extend(known.anyway.as_ref().map(|reason| format!("outside its range, taken anyway: {reason}")));
        told.extend(known.note.clone());
        told
    }
}

/// Returns a formula as written and with its numbers.
fn both(numbers: &mut Numbers<'_>, formula: &Formula, settled: &Expr) -> (Formula, Formula) {
    (formula.clone(), numbers.put_in(formula, settled))
}
