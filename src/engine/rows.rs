//! Functions of rows: one value of many, and totals along a column.
//!
//! In: columns. Out: a value, or a column.
//! Never: counts a row that is not needed.

use super::machine::{Machine, Worked};
use super::number::Number;
use super::operator::Arithmetic;
use super::plan::Fold;
use super::status::{Reason, State, Status};
use crate::sheet::function::{Along, OfRows, OfValues};

impl<N: Number> Machine<N> {
    pub(super) fn fold(&self, fold: &Fold) -> Worked<N> {
        let counted = self.at(fold.counted);
        if !counted.1.is_worked() {
            return counted;
        }
        let Some(of) = fold.of else { return self.count_rows(fold) };
        if fold.rows == 0 {
            return empty(fold);
        }
        let mut worker =
            Folding { fold, total: None, sure: None, settled: None, status: Status::WORKED, passed: None };
        let rows: Box<dyn Iterator<Item = u32>> = if fold.function == OfRows::Last {
            Box::new((0..fold.rows).rev())
        } else {
            Box::new(0..fold.rows)
        };
        for row in rows {
            let only = fold.only.map(|only| self.at(only + row));
            if worker.row(self.at(of + row), only) {
                break;
            }
        }
        worker.ended()
    }

    /// `count(schedule)`
    fn count_rows(&self, fold: &Fold) -> Worked<N> {
        if fold.rows == 0 && !fold.may_be_empty {
            return (N::exactly(0.0), Status::open(fold.counted));
        }
        (N::exactly(f64::from(fold.rows)), Status::WORKED)
    }

    /// `running` and `onward`: a total along a column.
    pub(super) fn scan(&self, function: Along, of: u32, rows: u32) -> Vec<Worked<N>> {
        let mut total = (N::exactly(0.0), Status::WORKED);
        let step = |row: u32| {
            let (value, status) = self.at(of + row);
            if !matches!(status.state(), State::NotNeeded(_)) {
                total = added(total, (value, status));
            }
            total
        };
        if function == Along::Onward {
            let mut made: Vec<_> = (0..rows).rev().map(step).collect();
            made.reverse();
            made
        } else {
            (0..rows).map(step).collect()
        }
    }
}

fn added<N: Number>((total, before): Worked<N>, (value, status): Worked<N>) -> Worked<N> {
    let status = before.or(status);
    if !status.is_worked() {
        return (total, status);
    }
    match N::arithmetic(Arithmetic::Add, total, value) {
        Ok(total) => (total, Status::WORKED),
        Err(reason) => (total, Status::unworkable(reason)),
    }
}

/// What a function gives over no rows at all.
fn empty<N: Number>(fold: &Fold) -> Worked<N> {
    let open = (N::exactly(0.0), Status::open(fold.counted));
    match fold.function {
        _ if !fold.may_be_empty => open,
        OfRows::Sum | OfRows::Count | OfRows::Any => (N::exactly(0.0), Status::WORKED),
        OfRows::All => (N::exactly(1.0), Status::WORKED),
        OfRows::Min | OfRows::Max | OfRows::First | OfRows::Last => {
            (N::exactly(0.0), Status::unworkable(Reason::NoSuchRow))
        }
    }
}

/// A fold on its way from row to row.
struct Folding<'f, N> {
    fold: &'f Fold,
    total: Option<N>,
    /// The same, of rows that are surely meant.
    sure: Option<N>,
    /// `any` and `all`: decided whatever the other rows are.
    settled: Option<bool>,
    status: Status,
    /// The status of a row that was passed over.
    passed: Option<Status>,
}

impl<N: Number> Folding<'_, N> {
    /// Takes one row; returns whether the rest need not be looked at.
    fn row(&mut self, (value, status): Worked<N>, only: Option<Worked<N>>) -> bool {
        let sure = match only {
            None => true,
            Some((_, status)) if matches!(status.state(), State::NotNeeded(_)) => {
                self.passed = Some(status);
                return false;
            }
            Some((_, status)) if !status.is_worked() => {
                self.status = self.status.or(status);
                return false;
            }
            Some((flag, _)) => match flag.truth() {
                Some(false) => return false,
                Some(true) => true,
                None => false,
            },
        };
        if matches!(status.state(), State::NotNeeded(_)) {
            self.passed = Some(status);
            return false;
        }
        if matches!(self.fold.function, OfRows::Any | OfRows::All) {
            return self.decide(value, status);
        }
        // For `first`, what stands after the row that is taken is of no matter.
        if matches!(self.fold.function, OfRows::First | OfRows::Last) && !self.status.is_worked() {
            return true;
        }
        self.status = self.status.or(status);
        if status.is_worked() {
            self.take(value, sure);
        }
        sure && matches!(self.fold.function, OfRows::First | OfRows::Last)
    }

    fn decide(&mut self, value: N, status: Status) -> bool {
        let decides = self.fold.function == OfRows::Any;
        if !status.is_worked() {
            self.status = self.status.or(status);
            return false;
        }
        match value.truth() {
            Some(truth) if truth == decides => self.settled = Some(decides),
            Some(_) => {}
            None => self.total = Some(N::flag(None)),
        }
        self.settled.is_some()
    }

    fn take(&mut self, value: N, sure: bool) {
        let zero = N::exactly(0.0);
        let function = self.fold.function;
        let with = |total: Option<N>| match (function, total) {
            (OfRows::Sum | OfRows::Count, total) => {
                let value = if sure { value } else { value.hull(zero) };
                N::arithmetic(Arithmetic::Add, total.unwrap_or(zero), value)
            }
            (OfRows::Min, Some(total)) => N::function(OfValues::Min, total, value),
            (OfRows::Max, Some(total)) => N::function(OfValues::Max, total, value),
            (OfRows::First | OfRows::Last | OfRows::Any | OfRows::All, Some(total)) => Ok(total.hull(value)),
            (_, None) => Ok(value),
        };
        match with(self.total) {
            Ok(total) => self.total = Some(total),
            Err(reason) => self.status = self.status.or(Status::unworkable(reason)),
        }
        if sure {
            self.sure = with(self.sure).ok();
        }
    }

    /// What is between all rows that may be meant and those that surely are; with none of these there may be none.
    fn whole(&self, total: N) -> Worked<N> {
        match (self.fold.function, self.sure) {
            (OfRows::Sum | OfRows::Count, _) => (total, Status::WORKED),
            (_, Some(sure)) => (total.hull(sure), Status::WORKED),
            (_, None) => (total, Status::unworkable(Reason::MayNotBeNeeded)),
        }
    }

    fn ended(self) -> Worked<N> {
        let flags = matches!(self.fold.function, OfRows::Any | OfRows::All);
        if let Some(settled) = self.settled {
            return (N::flag(Some(settled)), Status::WORKED);
        }
        if !self.status.is_worked() {
            return (N::exactly(0.0), self.status);
        }
        match (self.total, self.fold.function) {
            (Some(total), _) => self.whole(total),
            (None, function) if flags => (N::flag(Some(function == OfRows::All)), Status::WORKED),
            (None, OfRows::Sum | OfRows::Count) => (N::exactly(0.0), Status::WORKED),
            (None, _) => match self.passed {
                Some(passed) => (N::exactly(0.0), passed),
                None => (N::exactly(0.0), Status::unworkable(Reason::NoSuchRow)),
            },
        }
    }
}
