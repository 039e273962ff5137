//! One instruction worked for one row.
//!
//! In: the operands' values and statuses. Out: a value, or why there is none.
//! Never: lets a status pass as a value; only the branch taken may stop its line.

use super::machine::{Machine, Worked};
use super::number::Number;
use super::operator::Comparison;
use super::plan::{Code, Instruction, Plan};
use super::status::{Reason, Status};

impl<N: Number> Machine<N> {
    pub(super) fn instruction(&mut self, plan: &Plan, instruction: &Instruction, row: usize) -> Worked<N> {
        let [a, b, c] = instruction.operands;
        let of = |operand| self.fetch(operand, row);
        match instruction.code {
            Code::Negate => one(of(a), |a| Ok(a.negated())),
            Code::Not => denied(of(a)),
            Code::And => decided(of(a), of(b), false),
            Code::Or => decided(of(a), of(b), true),
            Code::Arithmetic(op) => two(of(a), of(b), |a, b| N::arithmetic(op, a, b)),
            Code::Compare(op, exact) => two(of(a), of(b), |a, b| Ok(N::flag(N::compare(op, exact, a, b)))),
            Code::Apply(function) => two(of(a), of(b), |a, b| N::function(function, a, b)),
            Code::Choose => choose(of(a), of(b), of(c)),
            Code::Gate => gate(of(a), of(b)),
            Code::Within => one(of(a), |value| within(value, of(b).0, of(c).0)),
            Code::OneOf(list) => one(of(a), |value| one_of(value, &plan.lists[list as usize])),
            Code::InTable(search) => self.search(&plan.searches[search as usize], row),
            Code::Compose(text) => self.compose(&plan.texts[text as usize], row),
        }
    }
}

fn made<N: Number>(result: Result<N, Reason>) -> Worked<N> {
    match result {
        Ok(value) => (value, Status::WORKED),
        Err(reason) => (N::exactly(0.0), Status::unworkable(reason)),
    }
}

fn one<N: Number>((a, status): Worked<N>, work: impl FnOnce(N) -> Result<N, Reason>) -> Worked<N> {
    if status.is_worked() { made(work(a)) } else { (a, status) }
}

fn two<N: Number>(
    (a, left): Worked<N>,
    (b, right): Worked<N>,
    work: impl FnOnce(N, N) -> Result<N, Reason>,
) -> Worked<N> {
    let status = left.or(right);
    if status.is_worked() { made(work(a, b)) } else { (a, status) }
}

/// `not`, in three states.
pub(super) fn denied<N: Number>(a: Worked<N>) -> Worked<N> {
    one(a, |a| Ok(N::flag(a.truth().map(|truth| !truth))))
}

/// `and` and `or`: a side that decides does so whatever the other is.
pub(super) fn decided<N: Number>(a: Worked<N>, b: Worked<N>, decides: bool) -> Worked<N> {
    let truth = |(value, status): Worked<N>| if status.is_worked() { value.truth() } else { None };
    if truth(a) == Some(decides) || truth(b) == Some(decides) {
        return (N::flag(Some(decides)), Status::WORKED);
    }
    let status = a.1.or(b.1);
    if !status.is_worked() {
        return (a.0, status);
    }
    let both = truth(a) == Some(!decides) && truth(b) == Some(!decides);
    (N::flag(both.then_some(!decides)), Status::WORKED)
}

fn choose<N: Number>(condition: Worked<N>, then: Worked<N>, otherwise: Worked<N>) -> Worked<N> {
    let (value, status) = condition;
    if !status.is_worked() {
        return condition;
    }
    match value.truth() {
        Some(true) => then,
        Some(false) => otherwise,
        // It may go either way within tolerance: both are followed.
        None => (then.0.hull(otherwise.0), then.1.or(otherwise.1)),
    }
}

fn gate<N: Number>(when: Worked<N>, value: Worked<N>) -> Worked<N> {
    if !when.1.is_worked() {
        return when;
    }
    match when.0.truth() {
        Some(false) => (N::exactly(0.0), Status::NOT_NEEDED_HERE),
        Some(true) => value,
        // Only a spread may be needed and not needed: what rests on it is not settled.
        None => (N::exactly(0.0), Status::unworkable(Reason::MayNotBeNeeded)),
    }
}

fn within<N: Number>(value: N, low: N, high: N) -> Result<N, Reason> {
    // The middle of a reading decides: a spread may reach past the range.
    let (from, to) = value.ends();
    let middle = N::exactly(from + (to - from) / 2.0);
    let inside = N::compare(Comparison::AtLeast, false, middle, low) == Some(true)
        && N::compare(Comparison::AtMost, false, middle, high) == Some(true);
    if inside { Ok(value) } else { Err(Reason::OutOfRange) }
}

fn one_of<N: Number>(value: N, list: &[f64]) -> Result<N, Reason> {
    let fits = |choice: &f64| N::compare(Comparison::Equal, false, value, N::exactly(*choice)) != Some(false);
    if list.iter().any(fits) { Ok(value) } else { Err(Reason::NotAChoice) }
}
