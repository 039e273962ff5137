//! One input, set to other values than its own and put back.
//!
//! In: the place of a given or a figure. Out: verdicts for any value of it.
//! Never: leaves another value behind.

use crate::engine::Status;
use crate::notebook::ask::room::{Room, turned};
use crate::notebook::book::machines::SlotValue;
use crate::notebook::book::names::LinePlace;
use crate::notebook::book::words;
use crate::notebook::book::{Book, Known};
use crate::notebook::judge::days::{LimitPlace, verdicts};
use crate::notebook::load::enter;
use crate::notebook::record::{Origin, Verdict};
use crate::sheet::model::{Is, Role};
use crate::unit::{Tolerance, Unit, date, show};

/// An input of the job.
pub(in crate::notebook) struct Input {
    place: LinePlace,
    slot: u32,
    pub(super) is: Is,
    pub(super) unit: Unit,
    tolerance: Option<Tolerance>,
    /// Its value now; none is open.
    pub(super) now: Option<f64>,
    /// Its plausible range.
    pub(super) within: Option<(f64, f64)>,
    /// What may be chosen.
    choices: Vec<f64>,
}

impl Input {
    /// Returns an input; nothing for a line that is not entered.
    pub(in crate::notebook) fn of(book: &mut Book, place: LinePlace) -> Option<Self> {
        let sheet = std::sync::Arc::clone(&book.uses[place.s].sheet);
        let line = &sheet.lines[place.n];
        let (within, one_of) = match &line.role {
            Role::Given { within, one_of, .. } => (within.as_ref(), one_of.as_ref()),
            Role::Take { .. } => (None, None),
            Role::Cell { .. } | Role::Find(_) | Role::Limit { .. } => return None,
        };
        let row = place.row.unwrap_or(0);
        let slot = book.point.entry_slot(place.s, place.n)? + u32::try_from(row).unwrap_or(u32::MAX);
        let (value, status) = book.point.at(slot);
        let choices = match (line.is, one_of) {
            (Is::Flag, _) => vec![1.0, 0.0],
            (_, None) => Vec::new(),
            (_, Some(choices)) => {
                enter::choice_list(&sheet, choices).iter().map(|choice| book.number_of(choice)).collect()
            }
        };
        Some(Self {
            place,
            slot,
            is: line.is,
            unit: line.unit.clone(),
            tolerance: book.uses[place.s].known.get(&(place.n, row)).and_then(|known| known.tolerance),
            now: (status == Status::WORKED).then_some(value),
            within: within.map(|(low, high)| (low.si(), high.si())),
            choices,
        })
    }

    /// Returns every limit that the input reaches.
    pub(in crate::notebook) fn limits(&self, book: &Book) -> Vec<LimitPlace> {
        let plan = book.point.plan();
        let reach = plan.reach([plan.line_of(self.slot).0]);
        let reached =
            reach.iter().zip(&plan.lines).filter(|(reached, _)| **reached).map(|(_, line)| line.purpose);
        let limit = |purpose| match purpose {
            crate::engine::Purpose::Line(s, n) => {
                matches!(book.uses[s].sheet.lines[n].role, Role::Limit { .. }).then_some((s, n))
            }
            _ => None,
        };
        let mut found: Vec<LimitPlace> = reached.filter_map(limit).collect();
        found.sort_unstable();
        found
    }

    /// Returns how far the input may move before one of some limits turns.
    pub(in crate::notebook) fn room(&self, book: &mut Book, limits: &[LimitPlace]) -> Room {
        let row = self.place.row.unwrap_or(0);
        let known = book.uses[self.place.s].known.get(&(self.place.n, row)).cloned();
        // Who tries a value stands by it: a default would wait whatever it is.
        if known.as_ref().is_none_or(|known| known.origin == Origin::Default) {
            let stated = Known::of(Origin::Stated);
            book.uses[self.place.s].known.insert((self.place.n, row), stated);
        }
        if let Some(now) = self.now {
            self.set(book, Some(now));
        }
        let mut made = Room {
            name: book.uses[self.place.s].full_name(self.place.n, row),
            now: self.now.map(|now| self.shown(book, now)),
            spans: Vec::new(),
            choices: Vec::new(),
            near: f64::INFINITY,
        };
        if !self.choices.is_empty() {
            made.choices = self.chosen(book, limits, &mut made.near);
        } else if self.is != Is::Text {
            (made.spans, made.near) = match self.now {
                Some(now) => self.both_ways(book, limits, now),
                None => (self.stretches(book, limits), f64::INFINITY),
            };
        }
        match known {
            Some(known) => book.uses[self.place.s].known.insert((self.place.n, row), known),
            None => book.uses[self.place.s].known.remove(&(self.place.n, row)),
        };
        let known = book.uses[self.place.s].known.get(&(self.place.n, row));
        let is_default = known.is_some_and(|known| known.origin == Origin::Default);
        book.set(self.slot, SlotValue { value: self.now, tolerance: self.tolerance, is_default });
        made
    }

    /// Returns what each other choice would turn.
    fn chosen(&self, book: &mut Book, limits: &[LimitPlace], near: &mut f64) -> Vec<(String, Vec<String>)> {
        let as_is = verdicts(book, limits);
        let mut told = Vec::new();
        for &choice in &self.choices {
            let found = self.at(book, limits, choice);
            let then = match self.now {
                Some(_) => turned(book, limits, &as_is, &found),
                None => missed(book, limits, &found),
            };
            if !then.is_empty() && Some(choice) != self.now {
                *near = 0.0;
            }
            told.push((self.shown(book, choice), then));
        }
        told
    }

    /// Returns the verdicts for a value.
    pub(super) fn at(&self, book: &mut Book, limits: &[LimitPlace], value: f64) -> Vec<Option<Verdict>> {
        self.set(book, Some(value));
        verdicts(book, limits)
    }

    fn set(&self, book: &mut Book, value: Option<f64>) {
        book.set(self.slot, SlotValue { value, tolerance: self.tolerance, is_default: false });
    }

    pub(super) fn shown(&self, book: &Book, value: f64) -> String {
        match self.is {
            Is::Quantity(_) | Is::Point => show::precise(value, &self.unit, 12),
            Is::Date => date::show(value),
            is => words::shown(book, is, &self.unit, value),
        }
    }
}

/// Names each limit that does not pass, with how it comes out.
pub(super) fn missed(book: &Book, limits: &[LimitPlace], found: &[Option<Verdict>]) -> Vec<String> {
    let passes: Vec<Option<Verdict>> =
        found.iter().map(|verdict| if verdict.is_none() { None } else { Some(Verdict::Pass) }).collect();
    turned(book, limits, &passes, found)
}
