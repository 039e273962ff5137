//! A box of readings split in halves until every part is settled.
//!
//! In: a trial and a box. Out: a proof, a combination that turns the limit, or neither within the work limit.
//! Never: leaves a part out.

use super::{MOST_WORK, Proof, Trial};

/// A part of the box: from where to where each reading goes in it.
type Part = Vec<(f64, f64)>;

impl Trial<'_> {
    /// Splits a box until in every part the limit comes out as it did for the readings as read.
    pub(super) fn split(&mut self, whole: Part, holds: bool) -> Proof {
        self.worked = 0;
        let moves = self.moves();
        let mut open = vec![whole];
        while let Some(part) = open.pop() {
            if self.try_box(&part) == Some(holds) {
                continue;
            }
            let middle: Vec<f64> = part.iter().map(|(low, high)| low + (high - low) / 2.0).collect();
            if self.turns(&middle) {
                return Proof::Turned(self.fewest(middle));
            }
            let side = (self.worked < MOST_WORK).then(|| self.longest(&part, &moves)).flatten();
            let Some(side) = side else { return Proof::NotSettled(self.closest.clone()) };
            for half in [(part[side].0, middle[side]), (middle[side], part[side].1)] {
                let mut half_part = part.clone();
                half_part[side] = half;
                open.push(half_part);
            }
        }
        Proof::Proved
    }

    /// The side along which the limit moves most; nothing where no side can be split further.
    fn longest(&self, part: &Part, moves: &[f64]) -> Option<usize> {
        let weight = |n: usize| {
            let (reading, (low, high)) = (self.readings[n], part[n]);
            let middle = low + (high - low) / 2.0;
            let splits = low < middle && middle < high;
            // A reading that moves nothing by itself may still do so beside another.
            let share = (high - low) / (reading.high - reading.low);
            if splits { share * (moves[n] + 1e-6) } else { 0.0 }
        };
        let sides = (0..part.len()).filter(|n| weight(*n) > 0.0);
        sides.max_by(|a, b| weight(*a).total_cmp(&weight(*b)))
    }
}
