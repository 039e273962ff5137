//! How far a condition is from turning, as one number: at zero or above it holds.
//!
//! In: a machine of figures and a line that is a yes or no. Out: the relative margin of its closest comparison.
//! Never: decides: it only shows a search the way.

use std::sync::Arc;

use crate::engine::machine::Machine;
use crate::engine::number::Number;
use crate::engine::operator::Comparison;
use crate::engine::plan::{Code, Operand, Plan, Work, place};
use crate::sheet::function::OfRows;

/// What has no value is further from holding than anything that has.
const NO_VALUE: f64 = -2.0;

/// Flags are followed no deeper than this.
const DEEPEST: usize = 24;

/// Returns the margin of a row of a line.
pub(super) fn margin(machine: &mut Machine<f64>, line: usize, row: usize) -> f64 {
    let plan = Arc::clone(machine.plan());
    Margin { machine, plan: &plan }.of_line(line, row, 0)
}

struct Margin<'m> {
    machine: &'m mut Machine<f64>,
    plan: &'m Plan,
}

/// The instructions of one line with their results, for one row.
struct Line<'l> {
    first: u32,
    row: usize,
    depth: usize,
    results: &'l [(f64, crate::engine::Status)],
}

impl Margin<'_> {
    fn of_line(&mut self, line: usize, row: usize, depth: usize) -> f64 {
        let planned = &self.plan.lines[line];
        match planned.work {
            Work::Coded { first, result, .. } if depth < DEEPEST => {
                let results = self.machine.results(line, row);
                self.of_operand(&Line { first, row, depth, results: &results }, result)
            }
            Work::Folded(fold) if depth < DEEPEST => match (fold.function, fold.of) {
                (OfRows::Any | OfRows::All, Some(of)) => {
                    let any = fold.function == OfRows::Any;
                    let meant = |machine: &Machine<f64>, row: u32| {
                        fold.only
                            .is_none_or(|only| machine.at(only + row) == (1.0, crate::engine::Status::WORKED))
                    };
                    let rows: Vec<u32> = (0..fold.rows).filter(|row| meant(self.machine, *row)).collect();
                    let margins = rows.into_iter().map(|row| {
                        let (line, row) = self.plan.line_of(of + row);
                        self.of_line(line, row, depth + 1)
                    });
                    let start = if any { -1.0 } else { 1.0 };
                    margins
                        .fold(start, |found: f64, next| if any { found.max(next) } else { found.min(next) })
                }
                _ => self.settled(line, row),
            },
            _ => self.settled(line, row),
        }
    }

    fn settled(&self, line: usize, row: usize) -> f64 {
        flag(self.machine.at(self.plan.slot(line, row)))
    }

    fn of_operand(&mut self, line: &Line<'_>, operand: Operand) -> f64 {
        match operand {
            Operand::Result(n) => self.of_result(line, n),
            Operand::Slot(slot) => self.of_slot(slot, line.depth),
            Operand::Column(base) => self.of_slot(base + place(line.row), line.depth),
            Operand::Number(number) => flag((number, crate::engine::Status::WORKED)),
        }
    }

    fn of_slot(&mut self, slot: u32, depth: usize) -> f64 {
        let (line, row) = self.plan.line_of(slot);
        self.of_line(line, row, depth + 1)
    }

    fn of_result(&mut self, line: &Line<'_>, n: u32) -> f64 {
        let instruction = self.plan.code[(line.first + n) as usize];
        let [a, b, c] = instruction.operands;
        let value = |margin: &Self, operand| margin.machine.operand(operand, line.row, line.results);
        match instruction.code {
            Code::Compare(op, _) => compared(op, value(self, a), value(self, b)),
            Code::Not => -self.of_operand(line, a),
            Code::And => self.of_operand(line, a).min(self.of_operand(line, b)),
            Code::Or => self.of_operand(line, a).max(self.of_operand(line, b)),
            Code::Choose => match value(self, a) {
                (_, status) if !status.is_worked() => NO_VALUE,
                (0.0, _) => self.of_operand(line, c),
                _ => self.of_operand(line, b),
            },
            Code::Gate => match value(self, a) {
                (condition, status) if status.is_worked() && condition != 0.0 => self.of_operand(line, b),
                _ => flag(line.results[n as usize]),
            },
            _ => flag(line.results[n as usize]),
        }
    }
}

fn flag((value, status): (f64, crate::engine::Status)) -> f64 {
    match (status.is_worked(), value.truth()) {
        (false, _) => NO_VALUE,
        (true, Some(true)) => 1.0,
        (true, _) => -1.0,
    }
}

fn compared(
    op: Comparison,
    (left, a): (f64, crate::engine::Status),
    (right, b): (f64, crate::engine::Status),
) -> f64 {
    if !a.is_worked() || !b.is_worked() {
        return NO_VALUE;
    }
    let over = (left - right) / left.abs().max(right.abs()).max(f64::MIN_POSITIVE);
    match op {
        Comparison::AtLeast | Comparison::More => over,
        Comparison::AtMost | Comparison::Less => -over,
        Comparison::Equal => -over.abs(),
        Comparison::Differs => over.abs(),
    }
}
