//! Comparisons settled at the worst end of every reading that moves them one way only.
//!
//! In: a trial and a box. Out: whether the limit holds in all of it, or in none, where that is settled.
//! Never: trusts a slope of an exact comparison, or a margin that is no more than rounding noise.

use super::{Interval, Sloped, Trial};
use crate::engine::instruction::{decided, denied};
use crate::engine::machine::Worked;
use crate::engine::number::{NOISE, Number};
use crate::engine::operator::{Arithmetic, Comparison};
use crate::engine::plan::{Code, Instruction, Operand, Work};
use crate::engine::slope::Slope;
use crate::engine::status::Status;

/// More comparisons than this are not pinned one by one.
const MOST_COMPARISONS: usize = 16;

/// A comparison of the limit: its place among the instructions, and all that its sides may be.
struct ComparisonAt {
    n: usize,
    op: Comparison,
    sides: [Operand; 2],
    /// How the left side less the right moves with each reading.
    moves: Vec<Slope>,
    /// The least that the larger of its sides may be, and the most.
    size: (f64, f64),
}

impl Trial<'_> {
    /// Returns whether the limit holds in all of a box, or in none, where that is settled.
    pub(super) fn pinned(&mut self, sides: &[(f64, f64)]) -> Option<bool> {
        let Work::Coded { first, count, result } = self.plan.lines[self.place.0].work else { return None };
        let plan = std::sync::Arc::clone(&self.plan);
        let code = &plan.code[first as usize..(first + count) as usize];
        let mut comparisons = self.comparisons(code, sides)?;
        self.slopes_of(&mut comparisons, sides);
        self.try_box(sides);
        let mut results = self.machines.spread.results(self.place.0, self.place.1);
        for comparison in &comparisons {
            if let Some(truth) = self.at_worst(comparison, sides) {
                results[comparison.n] = (Interval::flag(Some(truth)), Status::WORKED);
            }
        }
        self.try_box(sides);
        let (whole, status) = self.combined(code, result, &results);
        if status.is_worked() { whole.truth() } else { None }
    }

    fn comparisons(&mut self, code: &[Instruction], sides: &[(f64, f64)]) -> Option<Vec<ComparisonAt>> {
        self.try_box(sides);
        let results = self.machines.spread.results(self.place.0, self.place.1);
        let mut found = Vec::new();
        for (n, instruction) in code.iter().enumerate() {
            let Code::Compare(op, false) = instruction.code else { continue };
            let [left, right, _] = instruction.operands;
            let side = |operand| self.machines.spread.operand(operand, self.place.1, &results);
            let ((l, a), (r, b)) = (side(left), side(right));
            let ordered =
                matches!(op, Comparison::Less | Comparison::AtMost | Comparison::More | Comparison::AtLeast);
            if ordered && a.is_worked() && b.is_worked() {
                let size = (nearest(l).max(nearest(r)), furthest(l).max(furthest(r)));
                found.push(ComparisonAt { n, op, sides: [left, right], moves: Vec::new(), size });
            }
        }
        (!found.is_empty() && found.len() <= MOST_COMPARISONS).then_some(found)
    }

    /// Works the limit once for each reading, to see how the comparisons move with it.
    fn slopes_of(&mut self, comparisons: &mut [ComparisonAt], sides: &[(f64, f64)]) {
        let (line, row) = self.place;
        let spread = &*self.machines.spread;
        let exactly = |whole| Sloped { whole, slope: Slope::NONE };
        let machine = self.machines.slopes.get_or_insert_with(|| spread.like(exactly));
        for moved in 0..self.readings.len() {
            for (n, (reading, (low, high))) in self.readings.iter().zip(sides).enumerate() {
                let slope = if n == moved { Slope::ONE } else { Slope::NONE };
                machine.put(reading.slot, Sloped { whole: Interval::between(*low, *high), slope });
            }
            self.worked += 1;
            machine.work_only(&self.lines);
            let results = machine.results(line, row);
            for comparison in comparisons.iter_mut() {
                let [left, right] = comparison.sides.map(|side| machine.operand(side, row, &results).0);
                let over = Sloped::arithmetic(Arithmetic::Subtract, left, right);
                comparison.moves.push(over.map_or(Slope::ANY, |over| over.slope));
            }
        }
    }

    /// Settles a comparison where it is closest to holding and to missing.
    fn at_worst(&mut self, comparison: &ComparisonAt, sides: &[(f64, f64)]) -> Option<bool> {
        let rises_to_hold = matches!(comparison.op, Comparison::More | Comparison::AtLeast);
        let (least, most) = comparison.size;
        let lowest = self.end_of(comparison, sides, false)?;
        let highest = self.end_of(comparison, sides, true)?;
        // For `a >= b`: it holds everywhere if it does where a - b is least. For the others likewise.
        let (worst, best) = if rises_to_hold { (lowest, highest) } else { (-highest, -lowest) };
        let strict = matches!(comparison.op, Comparison::More | Comparison::Less);
        let (allowed, needed) = (NOISE / 2.0 * least, NOISE * 2.0 * most);
        let (holds, misses) = if strict { (needed, allowed) } else { (-allowed, -needed) };
        if worst >= holds && (!strict || worst > 0.0) {
            Some(true)
        } else if best <= misses && (strict || best < 0.0) {
            Some(false)
        } else {
            None
        }
    }

    /// Returns what the left side less the right is at least, or at most, over a box: every reading that moves it one
    /// way only is pinned to an end; the others go their whole way, or stand in the middle with what their slopes may
    /// add, whichever says more.
    fn end_of(&mut self, comparison: &ComparisonAt, sides: &[(f64, f64)], at_most: bool) -> Option<f64> {
        let pinned = |side: &(f64, f64), moves: &Slope| {
            let end = if moves.never_falls() == at_most { side.1 } else { side.0 };
            (moves.never_falls() || moves.never_rises()).then_some((end, end))
        };
        let middle = |side: &(f64, f64)| side.0 + (side.1 - side.0) / 2.0;
        let pairs = || sides.iter().zip(&comparison.moves);
        let whole = pairs().map(|(side, moves)| pinned(side, moves).unwrap_or(*side)).collect::<Vec<_>>();
        let first = self.over(comparison, &whole, at_most);
        let off: f64 = pairs()
            .filter(|(side, moves)| pinned(side, moves).is_none())
            .map(|(side, moves)| moves.steepest() * (side.1 - side.0) / 2.0 * (1.0 + 1e-12))
            .sum();
        if off == 0.0 || !off.is_finite() {
            return first;
        }
        let in_middle = pairs()
            .map(|(side, moves)| pinned(side, moves).unwrap_or((middle(side), middle(side))))
            .collect::<Vec<_>>();
        let second = self.over(comparison, &in_middle, at_most);
        match (first, second) {
            (Some(first), Some(second)) if at_most => Some(first.min(second + off)),
            (Some(first), Some(second)) => Some(first.max(second - off)),
            (first, _) => first,
        }
    }

    /// The left side less the right over a box: its highest, or its lowest.
    fn over(&mut self, comparison: &ComparisonAt, sides: &[(f64, f64)], at_most: bool) -> Option<f64> {
        self.try_box(sides);
        let results = self.machines.spread.results(self.place.0, self.place.1);
        let [left, right] =
            comparison.sides.map(|side| self.machines.spread.operand(side, self.place.1, &results));
        if !left.1.is_worked() || !right.1.is_worked() {
            return None;
        }
        let (low, high) = Interval::arithmetic(Arithmetic::Subtract, left.0, right.0).ok()?.ends();
        Some(if at_most { high } else { low })
    }

    /// Works the yes-or-no part of the limit again, from comparisons that are settled by now.
    fn combined(
        &self,
        code: &[Instruction],
        result: Operand,
        results: &[Worked<Interval>],
    ) -> Worked<Interval> {
        let mut made: Vec<Worked<Interval>> = results.to_vec();
        for (n, instruction) in code.iter().enumerate() {
            let [a, b, _] = instruction.operands;
            let of = |operand: Operand| self.machines.spread.operand(operand, self.place.1, &made);
            let again = match instruction.code {
                Code::Not => Some(denied(of(a))),
                Code::And => Some(decided(of(a), of(b), false)),
                Code::Or => Some(decided(of(a), of(b), true)),
                Code::Gate if of(a).1.is_worked() && of(a).0.truth() == Some(true) => Some(of(b)),
                _ => None,
            };
            if let Some(again) = again {
                made[n] = again;
            }
        }
        self.machines.spread.operand(result, self.place.1, &made)
    }
}

/// Returns the least size of all the numbers of an interval.
fn nearest(whole: Interval) -> f64 {
    let (low, high) = whole.ends();
    if low <= 0.0 && high >= 0.0 { 0.0 } else { low.abs().min(high.abs()) }
}

/// Returns the greatest size of all the numbers of an interval.
fn furthest(whole: Interval) -> f64 {
    let (low, high) = whole.ends();
    low.abs().max(high.abs())
}
