//! The instructions of a plan once more, as steps that are quick to work: where everything that a line needs has a
//! value, no status is looked at.
//!
//! In: a plan in order. Out: for each line steps whose operands are all found in one place, or none.
//! Never: means anything else than the instructions; what a step cannot do is left to them.

use std::collections::HashMap;

use super::operator::{Arithmetic, Comparison};
use super::plan::{Code, Instruction, Operand, Plan, Work, place};
use crate::sheet::function::OfValues;

/// What a step does; the commonest operators have variants of their own, so that one jump finds them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Act {
    Same,
    Add,
    Subtract,
    Multiply,
    Divide,
    Power,
    Negate,
    Min,
    Max,
    Apply(OfValues),
    Compare(Comparison, bool),
    Not,
    And,
    Or,
    Choose,
    Gate,
}

/// One step. An operand is a place among the machine's values: a slot, a number, or the result of a step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Step {
    pub(super) act: Act,
    pub(super) from: [u32; 3],
}

/// Marks an operand that is a column: each row has its own.
pub(super) const COLUMN: u32 = 1 << 31;

/// The steps of all lines.
#[derive(Clone, Debug, Default)]
pub(super) struct Tape {
    steps: Vec<Step>,
    /// Where each line's steps begin.
    at: Vec<u32>,
    /// The numbers that formulas name; in a machine they stand after the slots.
    pub(super) numbers: Vec<f64>,
    /// Where in a machine the results of a line's steps stand.
    pub(super) results: u32,
    /// The most steps that a line has.
    pub(super) longest: usize,
}

impl Tape {
    /// Returns the steps of a line; none where its instructions have to be worked.
    #[inline]
    pub(super) fn of(&self, line: usize) -> &[Step] {
        &self.steps[self.at[line] as usize..self.at[line + 1] as usize]
    }

    /// Makes the steps of a plan.
    pub(super) fn new(plan: &Plan) -> Self {
        let mut numbers = Numbers::default();
        for operand in plan.code.iter().flat_map(|instruction| instruction.operands) {
            numbers.add(operand);
        }
        plan.lines.iter().for_each(|line| {
            if let Work::Coded { result, .. } = line.work {
                numbers.add(result);
            }
        });
        let results = plan.slots.saturating_add(place(numbers.list.len()));
        let mut made = Self { at: vec![0], results, ..Self::default() };
        // Below it the mark of a column is free.
        let fits = (results as usize).saturating_add(plan.code.len()) < COLUMN as usize;
        for line in &plan.lines {
            if let (Work::Coded { first, count, result }, true) = (&line.work, fits) {
                let code = &plan.code[*first as usize..(*first + *count) as usize];
                made.line(plan, &numbers, code, *result);
            }
            made.at.push(place(made.steps.len()));
        }
        made.numbers = numbers.list;
        made
    }

    fn line(&mut self, plan: &Plan, numbers: &Numbers, code: &[Instruction], result: Operand) {
        let before = self.steps.len();
        let found = |operand| found(plan, numbers, self.results, operand);
        let mut all = true;
        for instruction in code {
            let [a, b, c] = instruction.operands.map(found);
            match (act(instruction.code), a, b, c) {
                (Some(act), Some(a), Some(b), Some(c)) => self.steps.push(Step { act, from: [a, b, c] }),
                _ => all = false,
            }
        }
        let last = Operand::Result(place(code.len()).wrapping_sub(1));
        if let (true, Some(from)) = (result != last, found(result)) {
            self.steps.push(Step { act: Act::Same, from: [from; 3] });
        }
        if !all {
            self.steps.truncate(before);
        }
        self.longest = self.longest.max(self.steps.len() - before);
    }
}

#[derive(Default)]
struct Numbers {
    list: Vec<f64>,
    places: HashMap<u64, u32>,
}

impl Numbers {
    fn add(&mut self, operand: Operand) {
        if let Operand::Number(number) = operand {
            self.places.entry(number.to_bits()).or_insert_with(|| {
                self.list.push(number);
                place(self.list.len() - 1)
            });
        }
    }
}

fn found(plan: &Plan, numbers: &Numbers, results: u32, operand: Operand) -> Option<u32> {
    match operand {
        Operand::Result(n) => Some(results + n),
        Operand::Slot(slot) => Some(slot),
        Operand::Column(base) => Some(base | COLUMN),
        Operand::Number(number) => numbers.places.get(&number.to_bits()).map(|n| plan.slots + n),
    }
}

fn act(code: Code) -> Option<Act> {
    Some(match code {
        Code::Arithmetic(Arithmetic::Add) => Act::Add,
        Code::Arithmetic(Arithmetic::Subtract) => Act::Subtract,
        Code::Arithmetic(Arithmetic::Multiply) => Act::Multiply,
        Code::Arithmetic(Arithmetic::Divide) => Act::Divide,
        Code::Arithmetic(Arithmetic::Power) => Act::Power,
        Code::Negate => Act::Negate,
        Code::Not => Act::Not,
        Code::And => Act::And,
        Code::Or => Act::Or,
        Code::Compare(op, exact) => Act::Compare(op, exact),
        Code::Apply(OfValues::Min) => Act::Min,
        Code::Apply(OfValues::Max) => Act::Max,
        Code::Apply(function) => Act::Apply(function),
        Code::Choose => Act::Choose,
        Code::Gate => Act::Gate,
        Code::Within | Code::OneOf(_) | Code::InTable(_) | Code::Compose(_) => return None,
    })
}
