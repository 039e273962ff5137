//! What a line rests on: only what was used, so that a branch not taken is no ground of a verdict.
//!
//! In: a worked machine and a line. Out: the lines and tables behind it.
//! Never: works anything anew but the line that is looked at.

use std::collections::HashSet;
use std::sync::Arc;

use super::machine::{Machine, Worked};
use super::number::Number;
use super::plan::{Code, Operand, Part, Plan, Work};

/// A slot's line of the plan, and its row.
pub type Place = (usize, usize);

impl<N: Number> Machine<N> {
    /// Returns every place that the value of a row of a line rests on, itself included.
    pub fn grounds(&mut self, line: usize, row: usize) -> Vec<Place> {
        let plan = Arc::clone(&self.plan);
        let mut seen = HashSet::new();
        let mut next = vec![(line, row)];
        while let Some(place) = next.pop() {
            if seen.insert(place) {
                next.extend(self.used_by(&plan, place));
            }
        }
        let mut found: Vec<Place> = seen.into_iter().collect();
        found.sort_unstable();
        found
    }

    /// Returns which branch of a line was taken in a row, the first counted as 0; nothing where that is open.
    pub fn branch(&mut self, line: usize, row: usize) -> Option<usize> {
        let plan = Arc::clone(&self.plan);
        let Work::Coded { first, mut result, .. } = plan.lines[line].work else { return None };
        let results = self.results(line, row);
        let mut branch = 0;
        while let Operand::Result(n) = result {
            let instruction = plan.code[(first + n) as usize];
            let [a, b, c] = instruction.operands;
            result = match instruction.code {
                Code::Gate => b,
                Code::Choose => {
                    let (value, status) = self.operand(a, row, &results);
                    match value.truth().filter(|_| status.is_worked())? {
                        true => return Some(branch),
                        false => branch += 1,
                    }
                    c
                }
                _ => return Some(branch),
            };
        }
        Some(branch)
    }

    /// Returns the places that the value of a place was worked from, directly.
    pub fn used_by(&mut self, plan: &Plan, (line, row): Place) -> Vec<Place> {
        let mut used = Vec::new();
        let planned = &plan.lines[line];
        let column = |base: u32, rows: std::ops::Range<u32>| rows.map(move |row| plan.line_of(base + row));
        match &planned.work {
            Work::Entered => {}
            Work::Coded { first, result, .. } => {
                let results = self.results(line, row);
                let machine = &*self;
                let mut walk = Walk { machine, plan, first: *first, row, results: &results, used: &mut used };
                walk.operand(*result);
            }
            Work::Folded(fold) => {
                for base in [fold.of, fold.only].into_iter().flatten() {
                    used.extend(column(base, 0..fold.rows));
                }
                used.push(plan.line_of(fold.counted));
            }
            Work::Scanned { function, of } => {
                let row = row as u32;
                let onward = *function == crate::sheet::function::Along::Onward;
                used.extend(column(*of, if onward { row..planned.rows } else { 0..row + 1 }));
            }
            Work::Gathered(operands) => {
                if let Some(Operand::Slot(slot)) = operands.get(row) {
                    used.push(plan.line_of(*slot));
                }
            }
        }
        used
    }
}

/// Walks the instructions of one line back from its result.
struct Walk<'w, N> {
    machine: &'w Machine<N>,
    plan: &'w Plan,
    first: u32,
    row: usize,
    results: &'w [Worked<N>],
    used: &'w mut Vec<Place>,
}

impl<N: Number> Walk<'_, N> {
    fn operand(&mut self, operand: Operand) {
        match operand {
            Operand::Result(n) => self.result(n),
            Operand::Slot(slot) => self.used.push(self.plan.line_of(slot)),
            Operand::Column(base) => self.used.push(self.plan.line_of(base + self.row as u32)),
            Operand::Number(_) => {}
        }
    }

    fn truth(&self, operand: Operand) -> Option<bool> {
        let (value, status) = self.machine.operand(operand, self.row, self.results);
        if status.is_worked() { value.truth() } else { None }
    }

    fn result(&mut self, n: u32) {
        let instruction = self.plan.code[(self.first + n) as usize];
        let [a, b, c] = instruction.operands;
        match instruction.code {
            Code::And | Code::Or => self.either(a, b, instruction.code == Code::Or),
            Code::Choose => {
                self.operand(a);
                match self.truth(a) {
                    Some(true) => self.operand(b),
                    Some(false) => self.operand(c),
                    None => [b, c].into_iter().for_each(|operand| self.operand(operand)),
                }
            }
            Code::Gate => {
                self.operand(a);
                if self.truth(a) == Some(true) {
                    self.operand(b);
                }
            }
            Code::InTable(search) => {
                let search = &self.plan.searches[search as usize];
                for (_, value) in &search.keys {
                    self.operand(*value);
                }
                let key = |&(column, value)| (column, self.machine.operand(value, self.row, self.results));
                let keys: Vec<_> = search.keys.iter().map(key).collect();
                if keys.iter().all(|(_, (_, status))| status.is_worked())
                    && let Some((first, last)) = self.machine.rows_taken(search, &keys)
                {
                    self.used.extend((first..=last).map(|row| self.plan.line_of(search.column + row)));
                }
            }
            Code::Compose(text) => {
                for part in &self.plan.texts[text as usize] {
                    if let Part::Value(operand, _) = part {
                        self.operand(*operand);
                    }
                }
            }
            Code::Negate
            | Code::Not
            | Code::Arithmetic(_)
            | Code::Compare(..)
            | Code::Apply(_)
            | Code::Within
            | Code::OneOf(_) => [a, b, c].into_iter().for_each(|operand| self.operand(operand)),
        }
    }

    /// A side that decides stands alone.
    fn either(&mut self, a: Operand, b: Operand, decides: bool) {
        for side in [a, b] {
            if self.truth(side) == Some(decides) {
                return self.operand(side);
            }
        }
        self.operand(a);
        self.operand(b);
    }
}
