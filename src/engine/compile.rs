//! Sheets compiled into a plan: each line is given slots, each formula becomes instructions.
//!
//! In: the checked sheets of a job, how many rows each schedule has, and what is linked. Out: a [`Plan`].
//! Never: looks at a value; names are gone after this.

use std::collections::HashMap;

use super::formula::FormulaCompiler;
use super::order::in_order;
use super::plan::{Code, Instruction, Operand, Part, Plan, Planned, Purpose, Search, Work, place};
use super::texts::Texts;
use crate::sheet::model::{Choices, Expr, Role, Rows, Sheet, TextPart};
use crate::sheet::statement::Literal;
use crate::table::Cell;

/// A sheet with its place in a job.
#[derive(Debug)]
pub struct Placed<'a> {
    /// The sheet.
    pub sheet: &'a Sheet,
    /// How many rows each of its schedules has.
    pub rows: Vec<usize>,
    /// Givens that are linked to other sheets of the job.
    pub links: Vec<Link>,
    /// Lines that are not needed because the basis is without what they rest on.
    pub without: Vec<usize>,
    /// Schedules that may be empty and wait for rows all the same: what they are linked to does.
    pub waiting: Vec<usize>,
}

impl<'a> Placed<'a> {
    /// Returns a sheet with the rows of its schedules, linked to nothing, and nothing of it missing or waiting.
    pub fn new(sheet: &'a Sheet, rows: Vec<usize>) -> Self {
        Self { sheet, rows, links: Vec::new(), without: Vec::new(), waiting: Vec::new() }
    }
}

/// A given linked to other sheets.
#[derive(Clone, Debug, PartialEq)]
pub struct Link {
    /// The given.
    pub line: usize,
    /// The row, of a column; `None`: the whole line.
    pub row: Option<usize>,
    /// What it is linked to.
    pub expr: Expr,
    /// Whether a value outside the plausible range was accepted.
    pub anyway: bool,
}

/// Compiles the sheets of a job.
///
/// # Errors
/// The lines of a loop that runs through links, each as its sheet's place and its own.
pub fn compile(placed: &[Placed<'_>]) -> Result<Plan, Vec<(usize, usize)>> {
    let mut builder = Builder::default();
    builder.add(1, Work::Entered, Purpose::Today);
    for (s, sheet) in placed.iter().enumerate() {
        builder.tables(s, sheet);
        builder.slots_of(s, sheet);
    }
    for s in 0..placed.len() {
        builder.lines_of(s, placed);
    }
    in_order(builder.plan)
}

/// The plan while it grows.
#[derive(Default)]
pub(super) struct Builder {
    pub(super) plan: Plan,
}

/// How a line is worked, and the value of each function of rows or of tables in it, in reading order.
pub(super) type Compiled = (Work, Vec<Operand>);

impl Builder {
    /// Adds a line; returns its first slot.
    pub(super) fn add(&mut self, rows: usize, work: Work, purpose: Purpose) -> u32 {
        let base = self.plan.slots;
        let rows = place(rows);
        let line = self.plan.lines.len();
        if purpose != Purpose::Part {
            self.plan.place.insert(purpose, line);
        }
        self.plan.by_slot.push((base, place(line)));
        self.plan.lines.push(Planned { base, rows, work, purpose });
        // A line without rows has a slot all the same: a slot must tell its line.
        self.plan.slots = self.plan.slots.saturating_add(rows.max(1));
        base
    }

    pub(super) fn base(&self, purpose: Purpose) -> u32 {
        self.plan.slot_of(purpose).unwrap_or(0)
    }

    pub(super) fn texts(&mut self) -> &mut Texts {
        &mut self.plan.known_texts
    }

    /// Keeps instructions; returns how a line is worked by them.
    pub(super) fn coded(&mut self, code: Vec<Instruction>, result: Operand) -> Work {
        let first = place(self.plan.code.len());
        let count = place(code.len());
        self.plan.code.extend(code);
        Work::Coded { first, count, result }
    }

    pub(super) fn search(&mut self, search: Search) -> u32 {
        self.plan.searches.push(search);
        place(self.plan.searches.len() - 1)
    }

    pub(super) fn text_of_parts(&mut self, parts: Vec<Part>) -> u32 {
        self.plan.texts.push(parts);
        place(self.plan.texts.len() - 1)
    }

    /// Places the tables of a sheet: every cell is a slot known from the start.
    fn tables(&mut self, s: usize, placed: &Placed<'_>) {
        for (t, used) in placed.sheet.tables.iter().enumerate() {
            let counted = self.add(1, Work::Entered, Purpose::TableRows(s, t));
            let Some(table) = &used.table else {
                self.plan.not_needed.push(counted);
                continue;
            };
            self.plan.constants.push((counted, Some(table.rows as f64)));
            for (c, column) in table.columns.iter().enumerate() {
                let base = self.add(table.rows, Work::Entered, Purpose::TableColumn(s, t, c));
                for (slot, cell) in (base..).zip(&column.cells) {
                    let value = cell.as_ref().map(|cell| match cell {
                        Cell::Number(number) => *number,
                        Cell::Text(text) => self.plan.known_texts.number(text),
                    });
                    self.plan.constants.push((slot, value));
                }
            }
        }
    }

    /// Gives every line of a sheet its slots, so that formulas can name them in any order.
    fn slots_of(&mut self, s: usize, placed: &Placed<'_>) {
        for (n, rows) in placed.rows.iter().enumerate() {
            let counted = self.add(1, Work::Entered, Purpose::RowsOf(s, n));
            self.plan.constants.push((counted, Some(*rows as f64)));
        }
        for (n, line) in placed.sheet.lines.iter().enumerate() {
            let rows = line.schedule.map_or(1, |schedule| placed.rows[schedule]);
            self.add(rows, Work::Entered, Purpose::Line(s, n));
        }
    }

    fn lines_of(&mut self, s: usize, all: &[Placed<'_>]) {
        let placed = &all[s];
        let mut links: HashMap<usize, Vec<&Link>> = HashMap::new();
        for link in &placed.links {
            links.entry(link.line).or_default().push(link);
        }
        for (n, schedule) in placed.sheet.schedules.iter().enumerate() {
            if let (Some(when), Some(&at)) = (&schedule.when, self.plan.place.get(&Purpose::RowsOf(s, n))) {
                let compiler = FormulaCompiler::new(self, s, all);
                let (work, _) = compiler.gate(Some(when), Operand::Number(placed.rows[n] as f64));
                self.plan.lines[at].work = work;
            }
        }
        for (n, line) in placed.sheet.lines.iter().enumerate() {
            let purpose = Purpose::Line(s, n);
            if placed.without.contains(&n) {
                let base = self.base(purpose);
                let rows = line.schedule.map_or(1, |schedule| placed.rows[schedule]);
                self.plan.not_needed.extend((base..).take(rows));
                continue;
            }
            let compiled = match &line.role {
                Role::Given { .. } => self.given(s, n, all, links.get(&n).map_or(&[], Vec::as_slice)),
                Role::Take { .. } => self.gated_entry(s, n, all),
                Role::Cell { table, column } => {
                    let base = self.base(Purpose::TableColumn(s, *table, *column));
                    Some((self.coded(Vec::new(), Operand::Column(base)), Vec::new()))
                }
                Role::Find(branches) => {
                    let mut compiler = FormulaCompiler::new(self, s, all);
                    let result = compiler.branches(branches);
                    Some(compiler.gate(line.when.as_ref(), result))
                }
                Role::Limit { that, .. } => {
                    let mut compiler = FormulaCompiler::new(self, s, all);
                    let result = compiler.expr(that);
                    Some(compiler.gate(line.when.as_ref(), result))
                }
            };
            if let (Some((work, calls)), Some(&at)) = (compiled, self.plan.place.get(&purpose)) {
                self.plan.lines[at].work = work;
                if !calls.is_empty() {
                    self.plan.calls.insert(purpose, calls);
                }
            }
        }
        for (c, chart) in placed.sheet.charts.iter().enumerate() {
            for (k, line) in chart.lines.iter().enumerate() {
                let mut compiler = FormulaCompiler::new(self, s, all);
                let result = compiler.expr(&line.expr);
                let (work, _) = compiler.gate(None, result);
                self.add(1, work, Purpose::ChartLine(s, c, k));
            }
        }
    }

    /// A given is entered, or linked; a `when` stands between.
    fn given(&mut self, s: usize, n: usize, all: &[Placed<'_>], links: &[&Link]) -> Option<Compiled> {
        let placed = &all[s];
        let line = &placed.sheet.lines[n];
        if let Some(whole) = links.iter().find(|link| link.row.is_none()) {
            let mut compiler = FormulaCompiler::new(self, s, all);
            let value = compiler.expr(&whole.expr);
            let value = compiler.plausible(&line.role, placed.sheet, value, whole.anyway);
            return Some(compiler.gate(line.when.as_ref(), value));
        }
        if links.is_empty() {
            return self.gated_entry(s, n, all);
        }
        let rows = line.schedule.map_or(1, |schedule| placed.rows[schedule]);
        let entry = self.add(rows, Work::Entered, Purpose::Entry(s, n));
        let mut each: Vec<Operand> = (entry..).take(rows).map(Operand::Slot).collect();
        for link in links {
            let mut compiler = FormulaCompiler::new(self, s, all);
            let value = compiler.expr(&link.expr);
            let value = compiler.plausible(&line.role, placed.sheet, value, link.anyway);
            let (work, _) = compiler.gate(None, value);
            let slot = self.add(1, work, Purpose::Part);
            if let Some(place) = link.row.and_then(|row| each.get_mut(row)) {
                *place = Operand::Slot(slot);
            }
        }
        let gathered = self.add(rows, Work::Gathered(each), Purpose::Part);
        let compiler = FormulaCompiler::new(self, s, all);
        let from = if line.schedule.is_some() { Operand::Column(gathered) } else { Operand::Slot(gathered) };
        Some(compiler.gate(line.when.as_ref(), from))
    }

    /// What is entered for a line with a `when` has slots of its own.
    fn gated_entry(&mut self, s: usize, n: usize, all: &[Placed<'_>]) -> Option<Compiled> {
        let placed = &all[s];
        let line = &placed.sheet.lines[n];
        let when = line.when.as_ref()?;
        let rows = line.schedule.map_or(1, |schedule| placed.rows[schedule]);
        let entry = self.add(rows, Work::Entered, Purpose::Entry(s, n));
        let compiler = FormulaCompiler::new(self, s, all);
        let from = if line.schedule.is_some() { Operand::Column(entry) } else { Operand::Slot(entry) };
        Some(compiler.gate(Some(when), from))
    }
}

/// The values that may be chosen, as the engine compares them.
pub(super) fn choices(choices: &Choices, sheet: &Sheet, texts: &mut Texts) -> Option<Vec<f64>> {
    match choices {
        Choices::Values(values) => Some(values.iter().map(|value| literal(value, texts)).collect()),
        Choices::Column { table, column } => {
            let table = sheet.tables[*table].table.as_deref()?;
            let cells = table.columns[(*column)?].cells.iter().flatten();
            Some(
                cells
                    .map(|cell| match cell {
                        Cell::Number(number) => *number,
                        Cell::Text(text) => texts.number(text),
                    })
                    .collect(),
            )
        }
    }
}

/// Returns a value as written as the engine holds it.
pub fn literal(literal: &Literal, texts: &mut Texts) -> f64 {
    match literal {
        Literal::Quantity(quantity) => quantity.si(),
        Literal::Text(text) => texts.number(text),
        Literal::Date(seconds) => *seconds,
        Literal::Flag(flag) => f64::from(u8::from(*flag)),
    }
}

/// The rows that a function works over.
pub(super) struct Counted {
    /// The slot that holds how many there are.
    pub(super) slot: u32,
    /// How many there are.
    pub(super) rows: usize,
    /// Whether there may be none.
    pub(super) may_be_empty: bool,
}

pub(super) fn counted(builder: &Builder, s: usize, rows: Rows, all: &[Placed<'_>]) -> Counted {
    match rows {
        Rows::Schedule(sheet, n) => {
            let sheet = sheet.unwrap_or(s);
            let may_be_empty = all[sheet].sheet.schedules[n].may_be_empty && !all[sheet].waiting.contains(&n);
            Counted { slot: builder.base(Purpose::RowsOf(sheet, n)), rows: all[sheet].rows[n], may_be_empty }
        }
        Rows::Table(t) => {
            let rows = all[s].sheet.tables[t].table.as_deref().map_or(0, |table| table.rows);
            Counted { slot: builder.base(Purpose::TableRows(s, t)), rows, may_be_empty: false }
        }
    }
}

/// The parts of a joined text that are values.
pub(super) fn has_values(parts: &[TextPart]) -> bool {
    parts.iter().any(|part| matches!(part, TextPart::Value(_)))
}

/// Shorthand for an instruction.
pub(super) fn instruction(code: Code, a: Operand, b: Operand, c: Operand) -> Instruction {
    Instruction { code, operands: [a, b, c] }
}
