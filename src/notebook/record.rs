//! A job as it was worked: every line, every limit, and what the verdict rests on.
//!
//! In: nothing. Out: the types that the notebook fills and the views show; their names are the keys of
//! `check --format json`, which may be added to and are not renamed.
//! Never: decides how anything looks.

pub(super) mod chart;
pub(super) mod identity;
mod rests;
pub(super) mod tell;
mod verdict;

use serde::Serialize;

use crate::cite::Cite;

pub use crate::job::Says as MarkKind;
pub use chart::{AxisRecord, ChartLineRecord, ChartRecord, PointRecord};
pub(super) use rests::keep_first;
pub use rests::{Behind, Ground, RestsOn};
pub use verdict::Verdict;

/// What kind of line it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum LineKind {
    /// Entered.
    Given,
    /// Adopted from a document.
    Take,
    /// Worked out.
    Find,
}

impl LineKind {
    /// Returns its word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Given => "given",
            Self::Take => "take",
            Self::Find => "find",
        }
    }
}

/// `must` or `should`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Strength {
    /// It decides the verdict.
    Must,
    /// It advises.
    Should,
}

impl Strength {
    /// Returns its word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Must => "must",
            Self::Should => "should",
        }
    }
}

/// How an entered value came to be known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Origin {
    /// Read with an instrument.
    Measured,
    /// From a nameplate.
    Nameplate,
    /// From a data sheet.
    Datasheet,
    /// From a drawing.
    Drawing,
    /// Said by a person.
    Stated,
    /// Assumed.
    Assumed,
    /// Linked to other sheets.
    Linked,
    /// Entered without saying how.
    NotSaid,
    /// A default nobody has confirmed.
    Default,
    /// Adopted from a document.
    Adopted,
    /// Nothing is entered.
    Open,
    /// Worked out.
    Worked,
}

impl Origin {
    /// Returns what a person calls it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Measured => "measured",
            Self::Nameplate => "nameplate",
            Self::Datasheet => "datasheet",
            Self::Drawing => "drawing",
            Self::Stated => "stated",
            Self::Assumed => "assumed",
            Self::Linked => "linked",
            Self::NotSaid => "not said how",
            Self::Default => "default, not confirmed",
            Self::Adopted => "adopted",
            Self::Open => "open",
            Self::Worked => "worked out",
        }
    }
}

/// A value in its line's own unit.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Value {
    /// It cannot be had.
    None,
    /// A number.
    Number(f64),
    /// Yes or no.
    Flag(bool),
    /// A text, or a date as written.
    Text(String),
    /// A column's, row by row.
    Rows(Vec<Value>),
}

/// A line as it was worked.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LineRecord {
    /// The name.
    pub name: String,
    /// The label.
    pub label: String,
    /// What kind of line it is.
    pub kind: LineKind,
    /// The value.
    pub value: Value,
    /// The unit; empty for a plain number.
    pub unit: String,
    /// The value as people read it; of a column, row by row, joined.
    pub shown: String,
    /// The same row by row, of a column.
    #[serde(skip)]
    pub shown_rows: Vec<String>,
    /// The lowest that it may be within tolerance.
    pub low: Value,
    /// The highest that it may be within tolerance.
    pub high: Value,
    /// How well a reading is known: "2 % + 5 mA".
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tolerance: Option<String>,
    /// How it came to be known.
    pub origin: Origin,
    /// Who entered it.
    pub who: Option<String>,
    /// When.
    pub at: Option<String>,
    /// The document.
    pub source: Option<String>,
    /// The clause.
    pub clause: Option<String>,
    /// Nobody here has read it in the document.
    pub unverified: bool,
    /// Why it waits or cannot be worked.
    pub reason: Option<String>,
    /// The schedule that it is a column of.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub schedule: Option<String>,
    /// Why a value outside its range was taken.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub anyway: Option<String>,
    /// The figure of the basis that it overrides, with its document.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub overrides: Option<String>,
    /// A remark.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

impl LineRecord {
    /// Returns what it cites.
    pub fn cite(&self) -> Option<Cite> {
        cite(self.source.as_ref(), self.clause.as_ref(), self.unverified)
    }
}

/// Puts together what a record holds apart, for the sake of its keys.
fn cite(document: Option<&String>, clause: Option<&String>, unverified: bool) -> Option<Cite> {
    Some(Cite { document: document?.clone(), clause: clause.cloned(), unverified })
}

/// A row of a limit that does not pass.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RowRecord {
    /// The row's number, from 1.
    pub row: usize,
    /// The row's name.
    pub name: String,
    /// How it came out.
    pub verdict: Verdict,
    /// What was compared.
    pub shown: String,
    /// A combination within tolerance that turns it.
    pub witness: Option<String>,
    /// Why it waits or cannot be worked.
    pub reason: Option<String>,
    /// What to do.
    pub remedy: Option<String>,
}

/// A limit as it was judged.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LimitRecord {
    /// The name.
    pub name: String,
    /// The label.
    pub label: String,
    /// `must` or `should`.
    pub strength: Strength,
    /// How it came out.
    pub verdict: Verdict,
    /// The condition as written.
    pub condition: String,
    /// What was compared, with numbers and units.
    pub shown: String,
    /// The same, each comparison for itself.
    pub compared: Vec<String>,
    /// The share of what is allowed that is used, or of what is there that is needed; nothing where a ratio says
    /// nothing.
    pub uses: Option<f64>,
    /// Whether it asks for something at least: the share is then of what is there.
    pub at_least: bool,
    /// What is left until it turns, in words, where a ratio says nothing: between dates and temperatures.
    pub left: Option<String>,
    /// The document.
    pub source: Option<String>,
    /// The clause.
    pub clause: Option<String>,
    /// Nobody here has read it in the document.
    pub unverified: bool,
    /// What to do when it does not hold.
    pub remedy: Option<String>,
    /// A combination within tolerance that turns it.
    pub witness: Option<String>,
    /// Which closer reading would settle it, or settle most of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub closer: Option<String>,
    /// Why it waits or cannot be worked.
    pub reason: Option<String>,
    /// What makes its readings doubtful: no tolerance, another day, a calibration that had ended, a value outside
    /// its range, a sheet that is linked to and does not pass.
    pub doubts: Vec<String>,
    /// What it rests on, and the sheets behind it: kept to tell the job anew when a part of it changes.
    #[serde(skip)]
    pub behind: Behind,
    /// Rows that do not pass.
    pub rows: Vec<RowRecord>,
    /// Of a limit on rows, the place of the worst, or of the one closest to turning.
    #[serde(skip)]
    pub closest: Option<usize>,
    /// The schedule whose rows it is judged on.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub schedule: Option<String>,
}

impl LimitRecord {
    /// Returns the words before and after the share that tells how close it is.
    pub fn measure(&self) -> (&'static str, &'static str) {
        if self.at_least { ("needs", "of what is there") } else { ("uses", "of what is allowed") }
    }

    /// Returns what it cites.
    pub fn cite(&self) -> Option<Cite> {
        cite(self.source.as_ref(), self.clause.as_ref(), self.unverified)
    }

    /// Returns its full name; of a limit on rows, with its schedule.
    pub fn full_name(&self, sheet: &str) -> String {
        plain_name(sheet, self.schedule.as_deref(), &self.name)
    }

    /// Returns its name in its sheet; of a limit on rows, with its schedule.
    pub fn own_name(&self) -> String {
        self.schedule
            .as_ref()
            .map_or_else(|| self.name.clone(), |schedule| format!("{schedule}.{}", self.name))
    }

    /// Returns what to do; of what is unsure, when a closer look shows that it fails.
    pub fn to_do(&self) -> Option<String> {
        match (&self.remedy, self.verdict) {
            // What waits may yet hold: there is nothing to do but to answer.
            (None, _) | (_, Verdict::Pass | Verdict::Waiting) => None,
            (Some(remedy), Verdict::Unsure) => Some(format!("if it does fail: {remedy}")),
            (Some(remedy), _) => Some(remedy.clone()),
        }
    }
}

/// A line or limit that is not needed.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NotNeeded {
    /// The name.
    pub name: String,
    /// Why.
    pub reason: String,
    /// Whether it is a limit.
    pub limit: bool,
    /// The schedule that it is a column of, or whose rows it would be judged on.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub schedule: Option<String>,
}

impl NotNeeded {
    /// Returns its full name; of a column or a limit on rows, with its schedule.
    pub fn full_name(&self, sheet: &str) -> String {
        plain_name(sheet, self.schedule.as_deref(), &self.name)
    }
}

/// The rows of a schedule.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ScheduleRecord {
    /// The schedule.
    pub name: String,
    /// Its label.
    pub label: String,
    /// What its rows go by.
    pub rows: Vec<String>,
}

/// A sheet as it was worked.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SheetRecord {
    /// Its name in the job.
    #[serde(rename = "as")]
    pub name: String,
    /// The sheet's own name.
    #[serde(rename = "use")]
    pub sheet: String,
    /// Its title.
    pub title: String,
    /// What may hurt.
    pub cautions: Vec<String>,
    /// The schedules, with the names of their rows.
    pub schedules: Vec<ScheduleRecord>,
    /// The lines.
    pub lines: Vec<LineRecord>,
    /// The places of the lines in their sheet, rising.
    #[serde(skip)]
    pub places: Vec<usize>,
    /// The limits.
    pub limits: Vec<LimitRecord>,
    /// The places of the limits in their sheet, rising.
    #[serde(skip)]
    pub limit_places: Vec<usize>,
    /// What is not needed.
    pub not_needed: Vec<NotNeeded>,
    /// The charts.
    pub charts: Vec<ChartRecord>,
}

/// A review mark on a line or a limit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MarkRecord {
    /// The full name of the line or limit.
    pub name: String,
    /// What is said.
    pub kind: MarkKind,
    /// The question or the remark.
    pub note: Option<String>,
    /// Who made the mark.
    pub who: Option<String>,
    /// When.
    pub at: Option<String>,
    /// What changed since: `line`, `formula`, `value`, `source`; nothing where it is as it was looked at.
    pub stale: Vec<String>,
}

/// Said of a mark whose line is gone.
pub(super) const GONE: &str = "gone";

impl MarkRecord {
    /// Returns what changed since it was made, in words.
    pub fn stale_words(&self) -> String {
        match self.stale.as_slice() {
            [] => String::new(),
            [gone] if gone == GONE => "the line is not there any more".to_owned(),
            parts => format!("{} changed since", parts.join(", ")),
        }
    }
}

/// A job as it was worked.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Record {
    /// The job's file.
    pub job: String,
    /// Its title.
    pub title: String,
    /// The basis.
    pub basis: String,
    /// The day it was judged on.
    pub on: String,
    /// How it came out.
    pub verdict: Verdict,
    /// What the basis warns of.
    pub cautions: Vec<String>,
    /// What the verdict rests on.
    pub rests_on: RestsOn,
    /// Remarks: files that stand in for built-in ones, a second day it was judged on.
    pub remarks: Vec<String>,
    /// The sheets, in the job's order.
    pub sheets: Vec<SheetRecord>,
    /// What reviewers marked.
    pub marks: Vec<MarkRecord>,
}

impl Record {
    /// Returns every limit, with the name of its sheet.
    pub fn limits(&self) -> impl Iterator<Item = (&str, &LimitRecord)> {
        self.sheets.iter().flat_map(|sheet| sheet.limits.iter().map(|limit| (sheet.name.as_str(), limit)))
    }

    /// Returns a line outside schedules by its full name.
    pub fn line(&self, full: &str) -> Option<&LineRecord> {
        let lines = self.sheets.iter().flat_map(|sheet| sheet.lines.iter().map(move |line| (sheet, line)));
        let mut outside = lines.filter(|(_, line)| line.schedule.is_none());
        outside.find(|(sheet, line)| full_name(&sheet.name, None, &line.name) == full).map(|(_, line)| line)
    }

    /// Returns a schedule by its full name.
    pub fn schedule(&self, full: &str) -> Option<(&SheetRecord, &ScheduleRecord)> {
        let (sheet, name) = full.split_once('.')?;
        let sheet = self.sheets.iter().find(|known| known.name == sheet)?;
        Some((sheet, sheet.schedules.iter().find(|known| known.name == name)?))
    }

    /// Returns what a sheet is headed with: its title; where the job uses the sheet twice, with its name in it.
    pub fn heading(&self, sheet: &SheetRecord) -> String {
        let twice = self.sheets.iter().any(|other| other.title == sheet.title && other.name != sheet.name);
        let name = if twice { format!(": {}", sheet.name.replace('_', " ")) } else { String::new() };
        sheet.title.clone() + &name
    }

    /// Returns how many limits are not needed.
    pub fn limits_not_needed(&self) -> usize {
        self.sheets.iter().flat_map(|sheet| &sheet.not_needed).filter(|line| line.limit).count()
    }
}

/// Returns the full name of a line; of a column, or a limit on rows, with its schedule.
pub fn plain_name(sheet: &str, schedule: Option<&str>, line: &str) -> String {
    schedule.map_or_else(|| format!("{sheet}.{line}"), |schedule| format!("{sheet}.{schedule}.{line}"))
}

/// Returns the full name of a line; of a cell, with its schedule and row.
pub fn full_name(sheet: &str, cell: Option<(&str, &str)>, line: &str) -> String {
    match cell {
        None => format!("{sheet}.{line}"),
        Some((schedule, row)) => format!("{}.{line}", row_name(sheet, schedule, row)),
    }
}

/// Returns the full name of a row.
pub fn row_name(sheet: &str, schedule: &str, row: &str) -> String {
    if crate::job::is_name(row) {
        format!("{sheet}.{schedule}.{row}")
    } else {
        format!("{sheet}.{schedule}.\"{row}\"")
    }
}
