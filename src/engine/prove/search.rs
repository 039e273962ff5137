//! A search for a combination of readings that turns a limit.
//!
//! In: a trial. Out: values that turn it, as few of them as possible off what was read.
//! Never: says that there are none.

use super::margin::margin;
use super::{Came, MOST_WORK, Proof, Trial};

/// Combinations of ends that are tried beside the one the slopes point to.
const CORNERS: usize = 24;

impl Trial<'_> {
    /// Returns how far a combination is from turning the limit: below zero it does.
    fn distance(&mut self, values: &[f64]) -> f64 {
        if self.turns(values) {
            return f64::NEG_INFINITY;
        }
        let far = margin(self.machines.point, self.place.0, self.place.1);
        if self.came == Came::Misses { -far } else { far }
    }

    /// Returns the limit's margin for the readings as read: its distance from turning, as a share.
    pub fn margin(&mut self) -> f64 {
        let read = self.as_read();
        self.try_values(&read);
        margin(self.machines.point, self.place.0, self.place.1)
    }

    /// Returns how far each reading alone moves the limit's margin over its spread, the others as read.
    pub fn moves(&mut self) -> Vec<f64> {
        let read = self.as_read();
        (0..self.readings.len())
            .map(|n| {
                let mut ends = [self.readings[n].low, self.readings[n].high].map(|end| {
                    let mut values = read.clone();
                    values[n] = end;
                    self.try_values(&values);
                    margin(self.machines.point, self.place.0, self.place.1)
                });
                ends.sort_by(f64::total_cmp);
                ends[1] - ends[0]
            })
            .collect()
    }

    /// Returns values that turn the limit, if they lie at the end that each reading alone brings closer to turning.
    pub(super) fn at_corner(&mut self) -> Option<Proof> {
        self.worked = 0;
        let read = self.as_read();
        let corner: Vec<f64> = (0..read.len()).map(|n| self.worse_end(&read, n)).collect();
        self.closest.clone_from(&corner);
        self.turns(&corner).then(|| Proof::Turned(self.fewest(corner)))
    }

    /// Returns values that turn the limit, if some are found from that corner and from others.
    pub(super) fn searched(&mut self) -> Option<Proof> {
        self.worked = 0;
        let corner = self.closest.clone();
        let mut best = (self.distance(&corner), corner.clone());
        self.improve(&mut best, corner);
        let mut seed = 0x9e37_79b9_7f4a_7c15_u64;
        for _ in 0..CORNERS.min(1 << self.readings.len().min(16)) {
            if best.0 == f64::NEG_INFINITY || self.worked > MOST_WORK {
                break;
            }
            let random = (0..self.readings.len()).map(|n| self.some_end(n, &mut seed)).collect();
            self.improve(&mut best, random);
        }
        if best.0 == f64::NEG_INFINITY {
            return Some(Proof::Turned(self.fewest(best.1)));
        }
        self.closest = best.1;
        None
    }

    /// The end of a reading that brings the limit closer to turning, the others as they are.
    fn worse_end(&mut self, values: &[f64], n: usize) -> f64 {
        let with = |end: f64| {
            let mut values = values.to_vec();
            values[n] = end;
            values
        };
        let (low, high) = (self.readings[n].low, self.readings[n].high);
        if self.distance(&with(low)) <= self.distance(&with(high)) { low } else { high }
    }

    fn some_end(&self, n: usize, seed: &mut u64) -> f64 {
        *seed ^= *seed << 13;
        *seed ^= *seed >> 7;
        *seed ^= *seed << 17;
        let (low, high) = (self.readings[n].low, self.readings[n].high);
        match *seed >> 61 {
            0..3 => low,
            3..6 => high,
            _ => low + (high - low) * ((*seed >> 11) & 0xffff) as f64 / 65_536.0,
        }
    }

    /// Moves one reading after another to where the limit is closer to turning, until none helps.
    fn improve(&mut self, best: &mut (f64, Vec<f64>), from: Vec<f64>) {
        let mut here = (self.distance(&from), from);
        let mut better = true;
        while better && here.0 > f64::NEG_INFINITY && self.worked <= MOST_WORK {
            better = false;
            for n in 0..self.readings.len() {
                let reading = self.readings[n];
                let middle = reading.low + (reading.high - reading.low) / 2.0;
                for value in [reading.low, reading.high, middle] {
                    let mut values = here.1.clone();
                    values[n] = value;
                    let distance = self.distance(&values);
                    if distance < here.0 {
                        (here, better) = ((distance, values), true);
                    }
                }
            }
        }
        if here.0 < best.0 {
            *best = here;
        }
    }

    /// Puts back to what was read every value that is not wanted to turn the limit.
    pub(super) fn fewest(&mut self, mut values: Vec<f64>) -> Vec<f64> {
        for n in 0..values.len() {
            let moved = std::mem::replace(&mut values[n], self.readings[n].at);
            if moved != values[n] && !self.turns(&values) {
                values[n] = moved;
            }
        }
        values
    }
}
