//! The plan: the lines of all sheets of a job in the order in which they are worked.
//!
//! In: nothing. Out: the types that the compiler makes and the machine works.
//! Never: holds a value; a name is never looked up in it.

use std::collections::{HashMap, HashSet};

use super::operator::{Arithmetic, Comparison};
use crate::sheet::function::{Along, OfRows, OfTable, OfValues};
use crate::unit::Unit;

/// Returns a count, or a place in a list, as a plan keeps it.
///
/// A plan has fewer than 2^32 of anything, as its slots alone would take 64 GiB. Past that it is the largest number:
/// nothing comes round to the place of something else.
pub(super) fn place(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

/// Where an instruction takes a value from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Operand {
    /// The result of an earlier instruction of the same line.
    Result(u32),
    /// A slot.
    Slot(u32),
    /// A column: the slot of the first row.
    Column(u32),
    /// A number.
    Number(f64),
}

/// What an instruction does with its operands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Code {
    /// `-a`
    Negate,
    /// `not a`
    Not,
    /// `a and b`, in three states.
    And,
    /// `a or b`, in three states.
    Or,
    /// Arithmetic.
    Arithmetic(Arithmetic),
    /// A comparison; exact for texts, dates and flags.
    Compare(Comparison, bool),
    /// A function of one or two values.
    Apply(OfValues),
    /// `b` where `a` holds, else `c`.
    Choose,
    /// `b` where `a` holds, else not needed.
    Gate,
    /// `a` if it lies from `b` to `c`, else unworkable.
    Within,
    /// `a` if it is one of a list of values.
    OneOf(u32),
    /// A look-up in a table.
    InTable(u32),
    /// A text joined from parts.
    Compose(u32),
}

/// One instruction; its result is known by its place in its line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Instruction {
    /// What is done.
    pub code: Code,
    /// With what.
    pub operands: [Operand; 3],
}

/// A look-up in a table.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Search {
    /// `lookup`, `next_size` or `interpolate`.
    pub function: OfTable,
    /// The first slot of each key column, and the value sought in it.
    pub keys: Vec<(u32, Operand)>,
    /// The first slot of the column whose cell is wanted.
    pub column: u32,
    /// How many rows the table has.
    pub rows: u32,
    /// Whether each key is a text.
    pub exact: bool,
}

/// A part of a text that is joined.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Part {
    /// Characters as they stand.
    Plain(String),
    /// A value, shown as its kind is.
    Value(Operand, Shown),
}

/// How a value is shown.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Shown {
    /// In a unit.
    In(Unit),
    /// `yes` or `no`.
    Flag,
    /// As a date.
    Date,
    /// As the text that it stands for.
    Text,
}

/// How a line gets its value.
#[derive(Clone, Debug, PartialEq)]
pub enum Work {
    /// It is entered.
    Entered,
    /// Instructions, and where the result is.
    Coded {
        /// The first instruction.
        first: u32,
        /// How many there are.
        count: u32,
        /// The result.
        result: Operand,
    },
    /// One value of many rows.
    Folded(Fold),
    /// A total so far, or of this row and all after it.
    Scanned {
        /// `running` or `onward`.
        function: Along,
        /// The column.
        of: u32,
    },
    /// Each row's value from somewhere of its own.
    Gathered(Vec<Operand>),
}

/// One value of many rows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fold {
    /// Which.
    pub function: OfRows,
    /// The column; `None`: `count(schedule)`.
    pub of: Option<u32>,
    /// Which rows are meant.
    pub only: Option<u32>,
    /// How many rows there are.
    pub rows: u32,
    /// The slot that holds how many rows there are.
    pub counted: u32,
    /// Whether no rows at all are a case of its own.
    pub may_be_empty: bool,
}

/// What a planned line is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Purpose {
    /// A line of a sheet: the sheet's place in the job, the line's in the sheet.
    Line(usize, usize),
    /// What is entered for a line that has a `when`, or is linked on some rows.
    Entry(usize, usize),
    /// A column of a table of a sheet.
    TableColumn(usize, usize, usize),
    /// How many rows a schedule of a sheet has.
    RowsOf(usize, usize),
    /// How many rows a table of a sheet has; not needed where the basis is without it.
    TableRows(usize, usize),
    /// A line drawn across a chart: the sheet's place, the chart's, the line's.
    ChartLine(usize, usize, usize),
    /// A part of another line.
    Part,
    /// The job's day.
    Today,
}

/// A line of the plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Planned {
    /// Its first slot.
    pub base: u32,
    /// How many rows it has; 1 outside schedules.
    pub rows: u32,
    /// How it gets its value.
    pub work: Work,
    /// What it is for.
    pub purpose: Purpose,
}

/// The lines of all sheets of a job, in the order in which they are worked.
#[derive(Clone, Debug, Default)]
pub struct Plan {
    /// The lines.
    pub lines: Vec<Planned>,
    /// The instructions of all of them.
    pub(crate) code: Vec<Instruction>,
    /// Look-ups.
    pub(crate) searches: Vec<Search>,
    /// Texts that are joined.
    pub(crate) texts: Vec<Vec<Part>>,
    /// Lists of values that may be chosen.
    pub(crate) lists: Vec<Vec<f64>>,
    /// How many slots there are.
    pub slots: u32,
    /// Which lines use each line: places in `users`.
    pub(crate) users_at: Vec<u32>,
    /// Lines, one user after another.
    pub(crate) users: Vec<u32>,
    /// Which lines each line needs: places in `needs`.
    pub(crate) needs_at: Vec<u32>,
    /// Lines, one after another that is needed.
    pub(crate) needs: Vec<u32>,
    /// Slots known from the start: tables and counts of rows.
    pub(crate) constants: Vec<(u32, Option<f64>)>,
    /// Slots that are not needed, for a reason that the basis gives.
    pub(crate) not_needed: Vec<u32>,
    /// Every text that has a number.
    pub(crate) known_texts: super::texts::Texts,
    /// Where the value of each function of rows or of tables in a line is, in reading order.
    pub(crate) calls: HashMap<Purpose, Vec<Operand>>,
    /// The line of each purpose.
    pub place: HashMap<Purpose, usize>,
    /// Lines by first slot, for the way back from a slot.
    pub(crate) by_slot: Vec<(u32, u32)>,
    /// The instructions once more, quick to work.
    pub(super) tape: super::tape::Tape,
}

impl Plan {
    /// Returns the first slot of what is there for a purpose.
    pub fn slot_of(&self, purpose: Purpose) -> Option<u32> {
        self.place.get(&purpose).map(|line| self.lines[*line].base)
    }

    /// Returns the slot of a row of a line.
    pub fn slot(&self, line: usize, row: usize) -> u32 {
        self.lines[line].base + place(row)
    }

    /// Returns the line that a slot belongs to, and the row.
    pub fn line_of(&self, slot: u32) -> (usize, usize) {
        let after = self.by_slot.partition_point(|(base, _)| *base <= slot);
        let (base, line) = self.by_slot[after.saturating_sub(1)];
        (line as usize, (slot - base) as usize)
    }

    /// Returns the lines that use a line.
    pub fn users_of(&self, line: usize) -> &[u32] {
        &self.users[self.users_at[line] as usize..self.users_at[line + 1] as usize]
    }

    /// Returns the lines that a line needs, each once.
    #[inline]
    pub fn needs_of(&self, line: usize) -> &[u32] {
        &self.needs[self.needs_at[line] as usize..self.needs_at[line + 1] as usize]
    }

    /// Returns the lines among some that a line rests on, itself included, in the order in which they are worked.
    pub fn behind(&self, line: usize, among: &[bool]) -> Vec<usize> {
        let mut found = vec![line];
        let mut seen: HashSet<usize> = found.iter().copied().collect();
        let mut at = 0;
        while let Some(&line) = found.get(at) {
            at += 1;
            let new = self.needs_of(line).iter().map(|need| *need as usize).filter(|need| among[*need]);
            found.extend(new.filter(|need| seen.insert(*need)));
        }
        found.sort_unstable();
        found
    }

    /// Returns every line that a set of lines reaches, themselves included.
    pub fn reach(&self, from: impl IntoIterator<Item = usize>) -> Vec<bool> {
        let mut reached = vec![false; self.lines.len()];
        let mut next: Vec<usize> = from.into_iter().collect();
        while let Some(line) = next.pop() {
            if !std::mem::replace(&mut reached[line], true) {
                next.extend(self.users_of(line).iter().map(|user| *user as usize));
            }
        }
        reached
    }
}
