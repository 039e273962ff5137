//! The statements of a sheet or a basis as written: names not yet settled.
//!
//! In: nothing. Out: the types that the reader makes and the check takes.
//! Never: knows what a name stands for.

use std::sync::Arc;

use crate::cite::Cite;
use crate::fault::{Span, Spanned};
use crate::sheet::formula::Formula;
use crate::sheet::token::{Path, Piece};
use crate::unit::{Quantity, Tolerance, Unit};

/// Most branches of one `find`.
pub const MOST_BRANCHES: usize = 100;

/// What a line is declared to be.
#[derive(Clone, Debug, PartialEq)]
pub enum Declared {
    /// A number in a unit; of a plain number, the plain one.
    Unit(Unit),
    /// `flag`: yes or no.
    Flag,
    /// `date`
    Date,
    /// `text`
    Text,
    /// The unit could not be read: agrees with anything, so that nothing after it complains.
    Unknown,
}

/// A value as written.
#[derive(Clone, Debug, PartialEq)]
pub enum Literal {
    /// A number with its unit.
    Quantity(Quantity),
    /// A quoted text, or a bare word where a choice is due.
    Text(String),
    /// Seconds since 1970 on the site's clock.
    Date(f64),
    /// `yes` or `no`.
    Flag(bool),
}

/// Returns whether a plain number stands for a line in %: 10 would be 1000 %. Zero is zero.
pub fn lacks_percent(value: &Quantity, line: &Unit) -> bool {
    line.is_percent() && value.is_bare()
}

/// `by SOURCE "clause" [unverified]`
#[derive(Clone, Debug, PartialEq)]
pub struct By {
    /// The source, or the name whose citation of the basis is taken over.
    pub source: Spanned<String>,
    /// `by basis NAME`
    pub from_basis: bool,
    /// The clause.
    pub clause: Option<String>,
    /// Nobody here has read it in the document.
    pub unverified: bool,
}

impl By {
    /// Returns common practice, not verified, in place of what could not be read or is not known.
    pub fn practice(at: Span) -> Self {
        let source = Spanned::new(Cite::PRACTICE_WORD.to_owned(), at);
        Self { source, from_basis: false, clause: None, unverified: true }
    }
}

/// What may be chosen.
#[derive(Clone, Debug, PartialEq)]
pub enum OneOf {
    /// The values listed.
    Values(Vec<Spanned<Literal>>),
    /// The cells of a table's column.
    Column(Spanned<Path>),
}

/// One way of working a line out.
#[derive(Clone, Debug, PartialEq)]
pub struct Branch {
    /// What is worked.
    pub formula: Arc<Formula>,
    /// When; the last branch has none.
    pub condition: Option<Arc<Formula>>,
}

/// What kind of line it is, with the details of its own.
#[derive(Clone, Debug, PartialEq)]
pub enum Body {
    /// A person enters it.
    Given {
        /// A default nobody has looked at yet.
        default: Option<Spanned<Literal>>,
        /// `within LOW .. HIGH`
        within: Option<(Quantity, Quantity)>,
        /// `tolerance 2 % + 5 mA`
        tolerance: Option<Tolerance>,
        /// `one of …`
        one_of: Option<OneOf>,
    },
    /// Adopted from a document, or fetched from the basis.
    Take {
        /// The value; `None`: it comes from the basis, or is not known.
        value: Option<Spanned<Literal>>,
        /// `from basis`
        from_basis: bool,
    },
    /// Worked out.
    Find(Vec<Branch>),
    /// A limit.
    Limit {
        /// `must`, else `should`.
        must: bool,
        /// What has to hold; `None`: it could not be read.
        that: Option<Arc<Formula>>,
        /// What to do when it does not.
        remedy: Option<Vec<Piece>>,
    },
}

/// `given`, `take`, `find`, `must` or `should`.
#[derive(Clone, Debug, PartialEq)]
pub struct LineDraft {
    /// The name.
    pub name: Spanned<String>,
    /// The label, for people.
    pub label: String,
    /// What it is declared to be.
    pub is: Declared,
    /// The details of its own.
    pub body: Body,
    /// Where it comes from.
    pub by: Option<By>,
    /// When it is needed.
    pub when: Option<Arc<Formula>>,
    /// A remark.
    pub note: Option<String>,
    /// Which schedule it is a column of.
    pub schedule: Option<usize>,
}

/// `schedule NAME "label" [from TABLE]`
#[derive(Clone, Debug, PartialEq)]
pub struct ScheduleDraft {
    /// The name.
    pub name: Spanned<String>,
    /// The label.
    pub label: String,
    /// The table whose rows are its rows.
    pub from: Option<Spanned<String>>,
    /// `may be empty`
    pub may_be_empty: bool,
    /// When it is needed.
    pub when: Option<Arc<Formula>>,
    /// A remark.
    pub note: Option<String>,
}

/// `table NAME "file"` or `table NAME from basis`
#[derive(Clone, Debug, PartialEq)]
pub struct TableDraft {
    /// The name.
    pub name: Spanned<String>,
    /// The file's name; `None`: it comes from the basis.
    pub file: Option<Spanned<String>>,
}

/// `chart NAME "label"`
#[derive(Clone, Debug, PartialEq)]
pub struct ChartDraft {
    /// The name.
    pub name: Spanned<String>,
    /// The label.
    pub label: String,
    /// The column across.
    pub across: Option<Spanned<Path>>,
    /// The column up.
    pub up: Option<Spanned<Path>>,
    /// Lines drawn across.
    pub lines: Vec<Formula>,
}

/// `expect NAME = VALUE +- SLACK`
#[derive(Clone, Debug, PartialEq)]
pub struct Expect {
    /// The line, or a row's: `cable.2.volts`.
    pub path: Spanned<Path>,
    /// What it must be.
    pub value: Spanned<Literal>,
    /// How far off it may be; `None`: 1e-9 of the value.
    pub slack: Option<Spanned<Quantity>>,
}

/// A name and its value in an example.
pub type Setting = (Spanned<String>, Spanned<Literal>);

/// `example "name"`
#[derive(Clone, Debug, PartialEq)]
pub struct Example {
    /// The name.
    pub name: Spanned<String>,
    /// The basis.
    pub basis: Option<Spanned<String>>,
    /// The day, in seconds since 1970.
    pub on: Option<f64>,
    /// `given NAME = VALUE`
    pub given: Vec<Setting>,
    /// `take NAME = VALUE`
    pub take: Vec<Setting>,
    /// `row SCHEDULE a = 1, b = 2 m`
    pub rows: Vec<(Spanned<String>, Vec<Setting>)>,
    /// Schedules with a row that could not be read.
    pub unread: Vec<String>,
    /// What must come out.
    pub expect: Vec<Expect>,
    /// Where it comes from.
    pub by: Option<By>,
    /// A remark.
    pub note: Option<String>,
}

impl Example {
    /// Returns every value that is given, those of its rows too.
    pub fn all_given(&self) -> impl Iterator<Item = &Setting> {
        self.given.iter().chain(self.rows.iter().flat_map(|(_, cells)| cells))
    }
}

/// `source ID "document"`
#[derive(Clone, Debug, PartialEq)]
pub struct SourceDraft {
    /// The word that lines cite.
    pub id: Spanned<String>,
    /// The document.
    pub document: String,
}

/// `cite NAME` of a basis.
#[derive(Clone, Debug, PartialEq)]
pub struct CiteDraft {
    /// The name.
    pub name: Spanned<String>,
    /// What it cites.
    pub by: Option<By>,
    /// A remark.
    pub note: Option<String>,
}

/// `without NAME "reason"` of a basis.
#[derive(Clone, Debug, PartialEq)]
pub struct WithoutDraft {
    /// The name.
    pub name: Spanned<String>,
    /// Why.
    pub reason: String,
}

/// All statements of a page, in text order within their kind.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Draft {
    /// `title`
    pub title: Option<Spanned<String>>,
    /// `revision`
    pub revision: Option<u32>,
    /// `about`
    pub about: Option<String>,
    /// `caution`
    pub cautions: Vec<String>,
    /// `source`
    pub sources: Vec<SourceDraft>,
    /// `given`, `take`, `find`, `must`, `should`; columns of schedules too.
    pub lines: Vec<LineDraft>,
    /// `schedule`
    pub schedules: Vec<ScheduleDraft>,
    /// `table`
    pub tables: Vec<TableDraft>,
    /// `chart`
    pub charts: Vec<ChartDraft>,
    /// `example`
    pub examples: Vec<Example>,
    /// `extends`, of a basis.
    pub extends: Option<Spanned<String>>,
    /// `cite`, of a basis.
    pub cites: Vec<CiteDraft>,
    /// `without`, of a basis.
    pub withouts: Vec<WithoutDraft>,
}
