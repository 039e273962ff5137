//! A job with its sheets, compiled and worked.
//!
//! In: nothing of its own; `load` makes it. Out: the machines, and what is known of every entered value.
//! Never: reads a file.

pub(super) mod machines;
pub(super) mod names;
pub(super) mod put_in;
pub(super) mod words;
pub(super) mod working;

use std::collections::HashMap;
use std::sync::Arc;

use crate::cite::Cite;
use crate::engine::{Interval, Machine, Number, Place, Purpose, Sloped, State, Status};
use crate::job::Job;
use crate::notebook::library::Around;
use crate::notebook::load::rows::Grid;
use crate::notebook::record::{Origin, full_name, plain_name};
use crate::sheet::model::{Is, Line};
use crate::sheet::{Basis, Sheet};
use crate::unit::Tolerance;

/// What is known of an entered or adopted value.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Known {
    /// How it came to be known.
    pub origin: Origin,
    /// Who entered it.
    pub who: Option<String>,
    /// When, in seconds since 1970.
    pub at: Option<f64>,
    /// The instrument.
    pub with: Option<String>,
    /// How well it is known.
    pub tolerance: Option<Tolerance>,
    /// Measured on another day than the job's.
    pub other_day: bool,
    /// Measured with an instrument whose calibration had ended: on that day, in seconds since 1970.
    pub past_calibration: Option<f64>,
    /// Why a value outside its range was taken.
    pub anyway: Option<String>,
    /// A remark.
    pub note: Option<String>,
    /// The document that a figure was taken from.
    pub cite: Option<Cite>,
    /// The figure of the basis that it overrides, in words.
    pub overrides: Option<String>,
    /// What it is linked to, as written.
    pub link: Option<String>,
}

impl Known {
    /// Returns what is known of a value of which only the origin is said.
    pub(super) fn of(origin: Origin) -> Self {
        Self {
            origin,
            who: None,
            at: None,
            with: None,
            tolerance: None,
            other_day: false,
            past_calibration: None,
            anyway: None,
            note: None,
            cite: None,
            overrides: None,
            link: None,
        }
    }
}

/// A sheet as a job uses it.
#[derive(Debug)]
pub(super) struct Used {
    /// Its name in the job.
    pub name: String,
    /// The sheet's own name.
    pub sheet_name: String,
    /// The sheet.
    pub sheet: Arc<Sheet>,
    /// The names of the rows of each schedule.
    pub row_names: Vec<Vec<String>>,
    /// What is known of each entered value, by line and row.
    pub known: HashMap<(usize, usize), Known>,
    /// Lines that are not needed because of the basis, with the reason.
    pub without: HashMap<usize, String>,
    /// Schedules that may be empty and wait for rows all the same: what they are linked to does.
    pub waiting: Vec<usize>,
}

impl Used {
    /// Returns how many rows a line has; 1 outside schedules.
    pub(super) fn rows_of(&self, line: &Line) -> usize {
        line.schedule.map_or(1, |schedule| self.row_names[schedule].len())
    }

    /// Returns whether a schedule waits for its rows.
    pub(super) fn lacks_rows(&self, schedule: usize) -> bool {
        self.row_names[schedule].is_empty() && !self.may_be_empty(schedule)
    }

    /// Returns whether a schedule may have no rows.
    pub(super) fn may_be_empty(&self, schedule: usize) -> bool {
        self.sheet.schedules[schedule].may_be_empty && !self.waiting.contains(&schedule)
    }

    /// Returns a line's name, a column's with that of its schedule.
    pub(super) fn plain_name(&self, line: usize) -> String {
        let line = &self.sheet.lines[line];
        plain_name(&self.name, self.schedule_name(line), &line.name.value)
    }

    /// Returns the name of the schedule that a line is a column of, or a limit on whose rows.
    pub(super) fn schedule_name(&self, line: &Line) -> Option<&str> {
        line.schedule.map(|schedule| self.sheet.schedules[schedule].name.value.as_str())
    }

    /// Returns a line's name, with that of its schedule and row.
    pub(super) fn full_name(&self, line: usize, row: usize) -> String {
        let line = &self.sheet.lines[line];
        let cell = line.schedule.map(|schedule| {
            let row = self.row_names[schedule].get(row).map_or("", String::as_str);
            (self.sheet.schedules[schedule].name.value.as_str(), row)
        });
        full_name(&self.name, cell, &line.name.value)
    }
}

/// A job with its sheets, worked.
#[derive(Debug)]
pub(super) struct Book {
    /// The job.
    pub job: Job,
    /// Its basis.
    pub basis: Arc<Basis>,
    /// Its sheets.
    pub uses: Vec<Used>,
    /// The rows as written, of each schedule of each sheet, where they are.
    pub grids: Vec<Vec<Option<Arc<Grid>>>>,
    /// The figures.
    pub point: Machine<f64>,
    /// The figures with every default still open, where nobody confirmed some.
    pub confirmed: Option<Machine<f64>>,
    /// The spreads, where any value has a tolerance.
    pub spread: Option<Machine<Interval>>,
    /// How each value moves with one reading; made when a proof wants it.
    pub slopes: Option<Machine<Sloped>>,
    /// Which lines of the plan a tolerance reaches.
    pub spread_reach: Vec<bool>,
    /// The day it is judged on, in seconds since 1970.
    pub on: Option<f64>,
    /// Today, where the clock is later than the job's day and `--on` does not say otherwise.
    pub today: Option<f64>,
    /// Remarks for the views.
    pub remarks: Vec<String>,
    /// The files that were looked for around the job.
    pub around: Around,
}

impl Book {
    /// Returns the place of a line in the plan.
    pub(super) fn planned(&self, s: usize, n: usize) -> usize {
        self.point.plan().place.get(&Purpose::Line(s, n)).copied().unwrap_or(0)
    }

    /// Returns the slot of a row of a line.
    pub(super) fn slot(&self, s: usize, n: usize, row: usize) -> u32 {
        let plan = self.point.plan();
        plan.slot(self.planned(s, n), row)
    }

    /// Returns the lowest and the highest that a number may be, in SI, where a tolerance reaches it, with whether
    /// that can be told.
    pub(super) fn spread_of(&self, s: usize, n: usize, row: usize) -> Option<((f64, f64), Status)> {
        let number = matches!(self.uses[s].sheet.lines[n].is, Is::Quantity(_) | Is::Point);
        let reached = self.spread_reach.get(self.planned(s, n)) == Some(&true);
        let (whole, status) = self.spread.as_ref().filter(|_| number && reached)?.at(self.slot(s, n, row));
        Some((whole.ends(), status))
    }

    /// Returns what a line is called by somebody who looks at a sheet: its bare name where it is one of that sheet,
    /// outside schedules.
    pub(super) fn name_from(&self, own: usize, (s, n): (usize, usize), row: usize) -> String {
        let line = &self.uses[s].sheet.lines[n];
        if s == own && line.schedule.is_none() {
            line.name.value.clone()
        } else {
            self.uses[s].full_name(n, row)
        }
    }

    /// Returns the name of a row of the schedule that a line is a column of.
    pub(super) fn row_name(&self, s: usize, line: &Line, row: usize) -> String {
        let names = line.schedule.and_then(|schedule| self.uses[s].row_names.get(schedule));
        names.and_then(|names| names.get(row)).cloned().unwrap_or_default()
    }

    /// Returns the day that the machines stand on.
    pub(super) fn day(&self) -> Option<f64> {
        let plan = self.point.plan();
        let place = *plan.place.get(&Purpose::Today)?;
        let (value, status) = self.point.at(plan.lines[place].base);
        status.is_worked().then_some(value)
    }

    /// Returns whether a schedule is needed, as the status of its count of rows.
    pub(super) fn rows_status(&self, s: usize, schedule: usize) -> Status {
        let plan = self.point.plan();
        let place = self.rows_place(s, schedule);
        place.map_or(Status::WORKED, |(place, _)| self.point.at(plan.lines[place].base).1)
    }

    /// Returns the place of a schedule's count of rows.
    pub(super) fn rows_place(&self, s: usize, schedule: usize) -> Option<Place> {
        let place = self.point.plan().place.get(&Purpose::RowsOf(s, schedule)).copied();
        place.map(|place| (place, 0))
    }

    /// Returns whether a schedule is not needed as a whole.
    pub(super) fn skips(&self, s: usize, schedule: usize) -> bool {
        matches!(self.rows_status(s, schedule).state(), State::NotNeeded(_))
    }

    /// Returns what a line cites, through the basis where it says so.
    pub(super) fn cite(&self, line: &Line) -> Option<Cite> {
        self.basis.cited(line.source.as_ref()?)
    }
}
