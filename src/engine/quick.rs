//! Steps worked where everything that a line needs has a value: for one row, or for a strip of rows at a time,
//! each step over all rows of the strip before the next.
//!
//! In: a line with steps. Out: what its instructions would give.
//! Never: decides what a row without a value comes to: that is left to the instructions.

use super::machine::Machine;
use super::number::Number;
use super::operator::Arithmetic;
use super::plan::Plan;
use super::status::{Reason, Status};
use super::tape::{Act, COLUMN, Step};
use crate::sheet::function::OfValues;

/// Rows that one step is worked over at a time.
pub(super) const STRIP: usize = 256;

/// One side of an operator over a strip of rows.
#[derive(Clone, Copy, Debug)]
pub enum Side<'s, N> {
    /// Each row has its own.
    Many(&'s [N]),
    /// The same for all.
    One(N),
}

impl<N: Number> Side<'_, N> {
    /// Returns whether something holds of any row.
    #[inline]
    pub(super) fn any(self, holds: impl Fn(N) -> bool) -> bool {
        match self {
            Self::Many(values) => values.iter().fold(false, |any, value| any | holds(*value)),
            Self::One(value) => holds(value),
        }
    }

    #[inline]
    fn at(self, lane: usize) -> N {
        match self {
            Self::Many(values) => values[lane],
            Self::One(value) => value,
        }
    }
}

/// Works each row; a loop for each kind of side, so that the processor's wide registers can be used.
#[inline]
pub(super) fn each<N: Number>(
    left: Side<'_, N>,
    right: Side<'_, N>,
    out: &mut [N],
    work: impl Fn(N, N) -> N,
) {
    each_sound(left, right, out, |left, right| (work(left, right), true));
}

/// The same; returns whether what is told beside a result holds of all of them.
#[inline]
pub(super) fn each_sound<N: Number>(
    left: Side<'_, N>,
    right: Side<'_, N>,
    out: &mut [N],
    work: impl Fn(N, N) -> (N, bool),
) -> bool {
    let mut sound = true;
    let mut put = |out: &mut N, (made, holds): (N, bool)| {
        *out = made;
        sound &= holds;
    };
    match (left, right) {
        (Side::Many(left), Side::Many(right)) => {
            for ((out, left), right) in out.iter_mut().zip(left).zip(right) {
                put(out, work(*left, *right));
            }
        }
        (Side::Many(left), Side::One(right)) => {
            for (out, left) in out.iter_mut().zip(left) {
                put(out, work(*left, right));
            }
        }
        (Side::One(left), Side::Many(right)) => {
            for (out, right) in out.iter_mut().zip(right) {
                put(out, work(left, *right));
            }
        }
        (Side::One(left), Side::One(right)) => {
            let made = work(left, right);
            out.iter_mut().for_each(|out| put(out, made));
        }
    }
    sound
}

/// Works each row up to the first that has no value; returns whether all have one.
pub(super) fn try_each<N: Number>(
    left: Side<'_, N>,
    right: Side<'_, N>,
    out: &mut [N],
    work: impl Fn(N, N) -> Result<N, Reason>,
) -> bool {
    out.iter_mut().enumerate().all(|(lane, out)| match work(left.at(lane), right.at(lane)) {
        Ok(made) => {
            *out = made;
            true
        }
        Err(_) => false,
    })
}

impl<N: Number> Machine<N> {
    /// Works the steps of a line for its only row; nothing where it has no value.
    #[inline]
    pub(super) fn quick(&mut self, plan: &Plan, steps: &[Step]) -> Option<N> {
        let results = plan.tape.results as usize;
        let mut made = None;
        for (n, step) in steps.iter().enumerate() {
            let of = |operand: u32| self.values[(operand & !COLUMN) as usize];
            let [a, b, c] = step.from;
            let value = match step.act {
                Act::Add => N::arithmetic(Arithmetic::Add, of(a), of(b)).ok()?,
                Act::Subtract => N::arithmetic(Arithmetic::Subtract, of(a), of(b)).ok()?,
                Act::Multiply => N::arithmetic(Arithmetic::Multiply, of(a), of(b)).ok()?,
                Act::Divide => N::arithmetic(Arithmetic::Divide, of(a), of(b)).ok()?,
                Act::Power => N::arithmetic(Arithmetic::Power, of(a), of(b)).ok()?,
                Act::Min => N::function(OfValues::Min, of(a), of(b)).ok()?,
                Act::Max => N::function(OfValues::Max, of(a), of(b)).ok()?,
                Act::Apply(function) => N::function(function, of(a), of(b)).ok()?,
                Act::Negate => of(a).negated(),
                Act::Same => of(a),
                Act::Compare(op, exact) => N::flag(N::compare(op, exact, of(a), of(b))),
                Act::Not => N::flag(of(a).truth().map(|truth| !truth)),
                Act::And => both(of(a), of(b), false),
                Act::Or => both(of(a), of(b), true),
                Act::Choose => chosen(of(a), of(b), of(c)),
                Act::Gate => Some(of(b)).filter(|_| of(a).truth() == Some(true))?,
            };
            self.values[results + n] = value;
            made = Some(value);
        }
        made
    }

    /// Works the steps of a line for a strip of rows; returns false where a row has no value.
    pub(super) fn quick_strip(&mut self, plan: &Plan, steps: &[Step], first: usize, lanes: usize) -> bool {
        let wanted = steps.len() * STRIP;
        if self.strips.len() < wanted {
            self.strips.resize(wanted, N::exactly(0.0));
        }
        let results = plan.tape.results;
        for (n, step) in steps.iter().enumerate() {
            let (earlier, out) = self.strips.split_at_mut(n * STRIP);
            let strip = Strip { values: &self.values, earlier, results, first, lanes };
            if !strip.step(*step, &mut out[..lanes]) {
                return false;
            }
        }
        !steps.is_empty()
    }

    /// Keeps the strip of a line's last step in its slots; returns whether a value changed.
    pub(super) fn store_strip(
        &mut self,
        plan: &Plan,
        line: usize,
        n: usize,
        at: usize,
        lanes: usize,
    ) -> bool {
        let mut changed = false;
        if self.lacking[line] > 0 {
            let status = &mut self.status[at..at + lanes];
            let lacked = status.iter().filter(|status| !status.is_worked()).count();
            status.fill(Status::WORKED);
            self.set_lacking(plan, line, self.lacking[line] - lacked as u32);
            changed = lacked > 0;
        }
        let made = &self.strips[n * STRIP..][..lanes];
        for (value, made) in self.values[at..at + lanes].iter_mut().zip(made) {
            changed |= *value != *made;
            *value = *made;
        }
        changed
    }
}

/// What a step takes its operands from.
struct Strip<'m, N> {
    values: &'m [N],
    earlier: &'m [N],
    results: u32,
    first: usize,
    lanes: usize,
}

impl<'m, N: Number> Strip<'m, N> {
    #[inline]
    fn side(&self, operand: u32) -> Side<'m, N> {
        if operand & COLUMN != 0 {
            return Side::Many(&self.values[(operand & !COLUMN) as usize + self.first..][..self.lanes]);
        }
        match operand.checked_sub(self.results) {
            Some(n) => Side::Many(&self.earlier[n as usize * STRIP..][..self.lanes]),
            None => Side::One(self.values[operand as usize]),
        }
    }

    #[inline]
    fn step(&self, step: Step, out: &mut [N]) -> bool {
        let [a, b, c] = step.from;
        let (left, right) = (self.side(a), self.side(b));
        match step.act {
            Act::Add => return N::arithmetic_over(Arithmetic::Add, left, right, out),
            Act::Subtract => return N::arithmetic_over(Arithmetic::Subtract, left, right, out),
            Act::Multiply => return N::arithmetic_over(Arithmetic::Multiply, left, right, out),
            Act::Divide => return N::arithmetic_over(Arithmetic::Divide, left, right, out),
            Act::Power => return N::arithmetic_over(Arithmetic::Power, left, right, out),
            Act::Min => return N::function_over(OfValues::Min, left, right, out),
            Act::Max => return N::function_over(OfValues::Max, left, right, out),
            Act::Apply(function) => return N::function_over(function, left, right, out),
            Act::Compare(op, exact) => each(left, right, out, |a, b| N::flag(N::compare(op, exact, a, b))),
            Act::Negate => each(left, left, out, |a, _| a.negated()),
            Act::Same => each(left, left, out, |a, _| a),
            Act::Not => each(left, left, out, |a, _| N::flag(a.truth().map(|truth| !truth))),
            Act::And => each(left, right, out, |a, b| both(a, b, false)),
            Act::Or => each(left, right, out, |a, b| both(a, b, true)),
            Act::Choose => {
                let otherwise = self.side(c);
                for (lane, out) in out.iter_mut().enumerate() {
                    *out = chosen(left.at(lane), right.at(lane), otherwise.at(lane));
                }
            }
            Act::Gate if left.any(|when| when.truth() != Some(true)) => return false,
            Act::Gate => each(right, right, out, |value, _| value),
        }
        true
    }
}

/// `and` and `or` of two values: a side that decides does so whatever the other is.
#[inline]
fn both<N: Number>(a: N, b: N, decides: bool) -> N {
    N::flag(match (a.truth(), b.truth()) {
        (Some(truth), _) | (_, Some(truth)) if truth == decides => Some(decides),
        (Some(_), Some(_)) => Some(!decides),
        _ => None,
    })
}

#[inline]
fn chosen<N: Number>(condition: N, then: N, otherwise: N) -> N {
    match condition.truth() {
        Some(true) => then,
        Some(false) => otherwise,
        None => then.hull(otherwise),
    }
}
