//! Whether a limit holds for every combination of its readings within tolerance.
//!
//! In: a worked machine of figures and one of spreads, and a row of a limit. Out: a proof, or a combination that
//! turns the limit, or neither within the work limit.
//! Never: takes samples for a proof; leaves the machines otherwise than it found them.
//!
//! What the plain enclosure leaves open is tried in four steps, the cheapest first: the corner that each reading alone
//! points to; the slope of each comparison, which pins every reading that moves it one way only to its worst end; a
//! search from that corner and others for a combination that turns the limit; the box split in halves until every part
//! is settled.

mod margin;
mod pinned;
mod search;
mod split;

use std::sync::Arc;

use super::interval::Interval;
use super::machine::Machine;
use super::number::Number;
use super::plan::{Plan, Work};
use super::slope::Sloped;
use super::status::{State, Status};

/// Most workings of what lies between the readings and a limit, for each of the three steps.
const MOST_WORK: usize = 2_000;

/// A reading that may be off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// Its slot.
    pub slot: u32,
    /// As it was read.
    pub at: f64,
    /// The lowest that it may be.
    pub low: f64,
    /// The highest that it may be.
    pub high: f64,
}

/// What was found of a limit.
#[derive(Clone, Debug, PartialEq)]
pub enum Proof {
    /// No combination turns it; or it is unworkable as read, and none was tried.
    Proved,
    /// These values turn it, one for each reading.
    Turned(Vec<f64>),
    /// Neither was reached; of all that was tried, these came closest.
    NotSettled(Vec<f64>),
}

/// How a limit comes out for one combination.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Came {
    /// It holds.
    Holds,
    /// It does not hold.
    Misses,
    /// It cannot be worked.
    Unworkable,
    /// It is not needed, or waits.
    NotJudged,
}

/// The machines that a trial works with, as they stand for the readings as read.
#[derive(Debug)]
pub struct Machines<'m> {
    /// The figures.
    pub point: &'m mut Machine<f64>,
    /// The spreads.
    pub spread: &'m mut Machine<Interval>,
    /// How each value moves with one reading; made when it is wanted first.
    pub slopes: &'m mut Option<Machine<Sloped>>,
    /// Which lines of the plan a tolerance reaches.
    pub reached: &'m [bool],
}

/// A row of a limit, tried with other values of its readings.
#[derive(Debug)]
pub struct Trial<'m> {
    machines: Machines<'m>,
    plan: Arc<Plan>,
    /// The limit's line and row.
    place: (usize, usize),
    /// The lines between the readings and the limit, in order.
    lines: Vec<usize>,
    readings: Vec<Reading>,
    /// How it comes out for the readings as read.
    came: Came,
    /// The combination that came closest to turning it, of those tried.
    closest: Vec<f64>,
    /// How often `lines` was worked.
    worked: usize,
}

impl<'m> Trial<'m> {
    /// Returns a row of a limit, ready to be tried; nothing where no reading of a tolerance is behind it.
    pub fn new(machines: Machines<'m>, line: usize, row: usize) -> Option<Self> {
        let plan = Arc::clone(machines.point.plan());
        let lines = plan.behind(line, machines.reached);
        let mut readings = Vec::new();
        for entered in lines.iter().map(|line| &plan.lines[*line]).filter(|line| line.work == Work::Entered) {
            for slot in entered.base..entered.base + entered.rows {
                let ((at, status), (whole, _)) = (machines.point.at(slot), machines.spread.at(slot));
                let (low, high) = whole.ends();
                if status.is_worked() && low < high {
                    readings.push(Reading { slot, at, low, high });
                }
            }
        }
        if readings.is_empty() {
            return None;
        }
        let (came, closest) = (Came::NotJudged, readings.iter().map(|reading| reading.at).collect());
        let mut made = Self { machines, plan, place: (line, row), lines, readings, came, closest, worked: 0 };
        made.came = made.came();
        Some(made)
    }

    /// Returns the readings behind the limit.
    pub fn readings(&self) -> &[Reading] {
        &self.readings
    }

    fn slot(&self) -> u32 {
        self.plan.slot(self.place.0, self.place.1)
    }

    fn came(&self) -> Came {
        let (value, status) = self.machines.point.at(self.slot());
        match status.state() {
            State::Worked if value != 0.0 => Came::Holds,
            State::Worked => Came::Misses,
            State::Unworkable(..) => Came::Unworkable,
            State::Open(_) | State::NotNeeded(_) => Came::NotJudged,
        }
    }

    /// Works the limit for one combination; returns how it comes out.
    pub fn try_values(&mut self, values: &[f64]) -> Came {
        for (reading, value) in self.readings.iter().zip(values) {
            self.machines.point.put(reading.slot, *value);
        }
        self.worked += 1;
        self.machines.point.work_only(&self.lines);
        self.came()
    }

    /// Returns whether a combination turns the limit.
    pub fn turns(&mut self, values: &[f64]) -> bool {
        let came = self.try_values(values);
        came != self.came && !(self.came == Came::Holds && came == Came::NotJudged)
    }

    /// Works the limit over a box; returns whether it holds in all of it, or in none, where that is settled.
    fn try_box(&mut self, sides: &[(f64, f64)]) -> Option<bool> {
        for (reading, (low, high)) in self.readings.iter().zip(sides) {
            self.machines.spread.put(reading.slot, Interval::between(*low, *high));
        }
        self.worked += 1;
        self.machines.spread.work_only(&self.lines);
        let (whole, status) = self.machines.spread.at(self.slot());
        if status == Status::WORKED { whole.truth() } else { None }
    }

    /// Returns every reading at its whole spread.
    fn whole_box(&self) -> Vec<(f64, f64)> {
        self.readings.iter().map(|reading| (reading.low, reading.high)).collect()
    }

    fn as_read(&self) -> Vec<f64> {
        self.readings.iter().map(|reading| reading.at).collect()
    }

    /// Returns what can be proved of the limit.
    pub fn prove(&mut self) -> Proof {
        let holds = match self.came {
            Came::Holds => true,
            Came::Misses => false,
            Came::Unworkable => return Proof::Proved,
            Came::NotJudged => {
                let found = self.at_corner().or_else(|| self.searched());
                return found.unwrap_or_else(|| Proof::NotSettled(self.as_read()));
            }
        };
        let whole = self.whole_box();
        if self.try_box(&whole) == Some(holds) {
            return Proof::Proved;
        }
        if let Some(turned) = self.at_corner() {
            return turned;
        }
        if self.pinned(&whole) == Some(holds) {
            return Proof::Proved;
        }
        self.searched().unwrap_or_else(|| self.split(whole, holds))
    }

    /// Returns what could be proved if one reading were known twice as well.
    pub fn prove_with_half(&mut self, reading: usize) -> Proof {
        let whole = self.readings[reading];
        let half = |end: f64| whole.at + (end - whole.at) / 2.0;
        self.readings[reading] = Reading { low: half(whole.low), high: half(whole.high), ..whole };
        let proof = self.prove();
        self.readings[reading] = whole;
        proof
    }
}

impl Drop for Trial<'_> {
    fn drop(&mut self) {
        let (values, sides) = (self.as_read(), self.whole_box());
        self.try_values(&values);
        self.try_box(&sides);
    }
}
