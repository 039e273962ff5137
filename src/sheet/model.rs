//! A sheet that has been checked: every name is a line, every formula has a kind.
//!
//! In: nothing. Out: the types that the check makes and the engine compiles.
//! Never: holds a value that a person entered (that is the job), or works one out (that is `engine`).

use std::sync::Arc;

use crate::cite::Cite;
use crate::fault::{Page, Span, Spanned};
use crate::sheet::formula::Formula;
use crate::sheet::function::{OfTable, OfValues, OverRows};
use crate::sheet::statement::{Example, Literal};
use crate::sheet::token::Op;
use crate::table::Table;
use crate::unit::{Quantity, Tolerance, Unit};

pub use super::kind::Is;

/// A line of this sheet, or of a sheet of the same job.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct LineRef {
    /// The place of the other sheet in the job; `None`: this sheet.
    pub sheet: Option<usize>,
    /// The place of the line in its sheet.
    pub line: usize,
}

/// Rows that a function works over.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Rows {
    /// A schedule of this sheet, or of another of the job.
    Schedule(Option<usize>, usize),
    /// A table of this sheet.
    Table(usize),
}

/// A formula whose names and kinds are settled.
#[derive(Clone, Debug)]
pub struct Expr {
    /// What it is.
    pub part: ExprPart,
    /// Its characters.
    pub at: Span,
    /// The kind of its value.
    pub is: Is,
}

/// Two are the same wherever they stand: what is compiled from them is.
impl PartialEq for Expr {
    fn eq(&self, other: &Self) -> bool {
        self.part == other.part && self.is == other.is
    }
}

impl Expr {
    /// Returns the parts right under it, in the order in which they are compiled.
    pub fn parts(&self) -> Vec<&Self> {
        match &self.part {
            ExprPart::Text(parts) => parts.iter().filter_map(TextPart::value).collect(),
            ExprPart::Negate(inner) | ExprPart::Not(inner) => vec![inner],
            ExprPart::Binary(_, left, right) => vec![left, right],
            ExprPart::OverRows { of, only, .. } => of.iter().chain(only).map(AsRef::as_ref).collect(),
            ExprPart::OfValues(_, values) => values.iter().collect(),
            ExprPart::InTable { keys, .. } => keys.iter().map(|(_, value)| value).collect(),
            ExprPart::Quantity(_)
            | ExprPart::Date(_)
            | ExprPart::Flag(_)
            | ExprPart::Today
            | ExprPart::Line(_)
            | ExprPart::Cell { .. }
            | ExprPart::Without { .. }
            | ExprPart::Broken => Vec::new(),
        }
    }
}

/// A part of a settled text.
#[derive(Clone, Debug, PartialEq)]
pub enum TextPart {
    /// Characters as they stand.
    Plain(String),
    /// The value of a line, in its own unit.
    Value(Expr),
}

impl TextPart {
    fn value(&self) -> Option<&Expr> {
        match self {
            Self::Value(expr) => Some(expr),
            Self::Plain(_) => None,
        }
    }
}

/// What a part of a settled formula is.
#[derive(Clone, Debug, PartialEq)]
pub enum ExprPart {
    /// A number with its unit.
    Quantity(Quantity),
    /// A text, joined from parts.
    Text(Vec<TextPart>),
    /// Seconds since 1970.
    Date(f64),
    /// Yes or no.
    Flag(bool),
    /// `on`: the job's day.
    Today,
    /// The value of a line; of a column, this row's.
    Line(LineRef),
    /// The cell of a table's column, of the row that is worked.
    Cell {
        /// The table.
        table: usize,
        /// Its column.
        column: usize,
    },
    /// A column that a schedule would have from a table that is not there: not needed, for the table's reason.
    Without {
        /// The table.
        table: usize,
    },
    /// `-x`
    Negate(Box<Expr>),
    /// `not x`
    Not(Box<Expr>),
    /// Two parts with an operator between them.
    Binary(Op, Box<Expr>, Box<Expr>),
    /// A function worked over rows.
    OverRows {
        /// Which.
        function: OverRows,
        /// The rows.
        rows: Rows,
        /// What is worked for every row; `None`: `count(schedule)`.
        of: Option<Box<Expr>>,
        /// Which rows are meant.
        only: Option<Box<Expr>>,
    },
    /// A function of values.
    OfValues(OfValues, Vec<Expr>),
    /// A function on a table.
    InTable {
        /// Which.
        function: OfTable,
        /// The table.
        table: usize,
        /// Key columns and the values sought in them.
        keys: Vec<(usize, Expr)>,
        /// The column whose cell is wanted.
        column: usize,
    },
    /// What could not be settled; a fault says why. Never in a sheet that loads.
    Broken,
}

/// Where a line comes from.
#[derive(Clone, Debug, PartialEq)]
pub enum Source {
    /// A document.
    Document(Cite),
    /// What the basis cites for a name.
    Basis(String),
}

/// What may be chosen.
#[derive(Clone, Debug, PartialEq)]
pub enum Choices {
    /// These values.
    Values(Vec<Literal>),
    /// The cells of a table's column.
    Column {
        /// The table.
        table: usize,
        /// Its column; `None`: the table is not known yet.
        column: Option<usize>,
    },
}

/// A way of working a line out.
#[derive(Clone, Debug, PartialEq)]
pub struct SettledBranch {
    /// What is worked.
    pub expr: Expr,
    /// When; the last has none.
    pub condition: Option<Expr>,
    /// The formula as written, for showing.
    pub formula: Arc<Formula>,
    /// The condition as written, for showing.
    pub where_formula: Option<Arc<Formula>>,
}

/// What kind of line it is.
#[derive(Clone, Debug, PartialEq)]
pub enum Role {
    /// A person enters it.
    Given {
        /// A default nobody has looked at yet.
        default: Option<Literal>,
        /// The plausible range.
        within: Option<(Quantity, Quantity)>,
        /// How well such a reading is known.
        tolerance: Option<Tolerance>,
        /// What may be chosen.
        one_of: Option<Choices>,
    },
    /// Adopted from a document.
    Take {
        /// The value; `None`: it comes from the basis.
        value: Option<Literal>,
    },
    /// A column that its schedule has from a table.
    Cell {
        /// The table.
        table: usize,
        /// Its column.
        column: usize,
    },
    /// Worked out.
    Find(Vec<SettledBranch>),
    /// A limit.
    Limit {
        /// `must`, else `should`.
        must: bool,
        /// What has to hold.
        that: Expr,
        /// The same as written, for showing.
        formula: Arc<Formula>,
        /// What to do when it does not.
        remedy: Option<Vec<TextPart>>,
    },
}

impl Role {
    /// Returns whether a person may enter it: a given, or a figure that may be overridden.
    pub fn is_entered(&self) -> bool {
        matches!(self, Self::Given { .. } | Self::Take { .. })
    }
}

/// A line of a sheet; a column of a schedule is one too.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// The name, and where it is given.
    pub name: Spanned<String>,
    /// The label, for people.
    pub label: String,
    /// The kind of its value.
    pub is: Is,
    /// The unit it is shown in.
    pub unit: Unit,
    /// What kind of line it is.
    pub role: Role,
    /// Where it comes from.
    pub source: Option<Source>,
    /// When it is needed.
    pub when: Option<Expr>,
    /// The same as written, for showing.
    pub when_formula: Option<Arc<Formula>>,
    /// A remark.
    pub note: Option<String>,
    /// Which schedule it is a column of.
    pub schedule: Option<usize>,
}

/// Rows.
#[derive(Clone, Debug, PartialEq)]
pub struct Schedule {
    /// The name.
    pub name: Spanned<String>,
    /// The label.
    pub label: String,
    /// The table whose rows are its rows.
    pub from: Option<usize>,
    /// Whether it may have no rows.
    pub may_be_empty: bool,
    /// Where this does not hold, none of it is needed.
    pub when: Option<Expr>,
    /// The same as written.
    pub when_formula: Option<Arc<Formula>>,
    /// Its columns, in order.
    pub columns: Vec<usize>,
    /// A remark.
    pub note: Option<String>,
}

/// A table that a sheet uses.
#[derive(Clone, Debug, PartialEq)]
pub struct TableUse {
    /// The name.
    pub name: Spanned<String>,
    /// Whether it comes from the basis.
    pub from_basis: bool,
    /// The table; `None`: the sheet is checked without its basis.
    pub table: Option<Arc<Table>>,
    /// Why the basis is without it.
    pub without: Option<String>,
}

/// A picture for the report.
#[derive(Clone, Debug, PartialEq)]
pub struct Chart {
    /// The name.
    pub name: Spanned<String>,
    /// The label.
    pub label: String,
    /// The column across.
    pub across: usize,
    /// The column up.
    pub up: usize,
    /// Lines drawn across.
    pub lines: Vec<ChartLine>,
}

/// A line drawn across a chart.
#[derive(Clone, Debug, PartialEq)]
pub struct ChartLine {
    /// How high it lies.
    pub expr: Expr,
    /// The same as written, for showing.
    pub formula: Formula,
}

/// A checked sheet.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// The text it was read from.
    pub page: Arc<Page>,
    /// The title.
    pub title: String,
    /// The revision.
    pub revision: u32,
    /// What it is about.
    pub about: String,
    /// What may hurt.
    pub cautions: Vec<String>,
    /// The lines, columns included, in text order.
    pub lines: Vec<Line>,
    /// The schedules.
    pub schedules: Vec<Schedule>,
    /// The tables.
    pub tables: Vec<TableUse>,
    /// The charts.
    pub charts: Vec<Chart>,
    /// The worked examples, each with where it comes from.
    pub examples: Vec<(Example, Cite)>,
    /// The lines by schedule and name.
    pub(super) by_name: ByName,
}

/// Places of lines in the order of their schedules and names.
#[derive(Clone, Debug)]
pub(super) struct ByName(Vec<u32>);

impl ByName {
    /// Orders lines.
    pub(super) fn of(lines: &[Line]) -> Self {
        let mut places: Vec<u32> = (0..).take(lines.len()).collect();
        places.sort_by_key(|place| Self::key(&lines[*place as usize]));
        Self(places)
    }

    fn key(line: &Line) -> (Option<usize>, &str) {
        (line.schedule, &line.name.value)
    }

    fn known(&self, lines: &[Line], key: (Option<usize>, &str)) -> Option<usize> {
        let first = self.0.partition_point(|place| Self::key(&lines[*place as usize]) < key);
        let place = *self.0.get(first)? as usize;
        (Self::key(&lines[place]) == key).then_some(place)
    }
}

impl Sheet {
    /// Returns the place of the line, not a column, that has a name.
    pub fn known_line(&self, name: &str) -> Option<usize> {
        self.by_name.known(&self.lines, (None, name))
    }

    /// Returns the place of a column.
    pub fn known_column(&self, schedule: usize, name: &str) -> Option<usize> {
        self.by_name.known(&self.lines, (Some(schedule), name))
    }

    /// Returns the place of a chart.
    pub fn known_chart(&self, name: &str) -> Option<usize> {
        self.charts.iter().position(|chart| chart.name.value == name)
    }

    /// Returns the place of a schedule.
    pub fn known_schedule(&self, name: &str) -> Option<usize> {
        self.schedules.iter().position(|schedule| schedule.name.value == name)
    }
}
