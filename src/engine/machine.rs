//! The machine: a plan with values, worked whole or only where a change reaches.
//!
//! In: a plan, and values set in its slots. Out: every slot's value, or why it has none.
//! Never: looks a name up; leaves a number that is not finite in a slot.

use std::sync::Arc;

use super::number::Number;
use super::plan::{Operand, Part, Plan, Purpose, Shown, Work};
use super::status::Status;
use super::texts::Texts;
use crate::unit::{date, show};

/// Rows that one instruction is worked over at a time.
const STRIP: usize = 64;

/// A value, or why there is none.
pub type Worked<N> = (N, Status);

/// A plan at work.
#[derive(Clone, Debug)]
pub struct Machine<N> {
    pub(super) plan: Arc<Plan>,
    pub(super) values: Vec<N>,
    pub(super) status: Vec<Status>,
    /// Lines to be worked, one bit each.
    dirty: Vec<u64>,
    texts: Texts,
    /// Results of the instructions of the line that is worked, a strip each.
    results: Vec<Worked<N>>,
}

impl<N: Number> Machine<N> {
    /// Returns a machine with every input open, nothing worked yet.
    pub fn new(plan: Arc<Plan>) -> Self {
        let slots = plan.slots as usize;
        let mut made = Self {
            values: vec![N::exactly(0.0); slots],
            status: vec![Status::WORKED; slots],
            dirty: vec![u64::MAX; plan.lines.len().div_ceil(64)],
            texts: plan.known_texts.clone(),
            results: Vec::new(),
            plan: Arc::clone(&plan),
        };
        for line in plan.lines.iter().filter(|line| line.work == Work::Entered) {
            for slot in line.base..line.base + line.rows {
                made.status[slot as usize] = Status::open(slot);
            }
        }
        for (slot, value) in &plan.constants {
            let missing = Status::unworkable(super::status::Reason::MissingCell).stored(*slot);
            made.status[*slot as usize] = if value.is_some() { Status::WORKED } else { missing };
            made.values[*slot as usize] = N::exactly(value.unwrap_or(0.0));
        }
        for slot in &plan.not_needed {
            made.status[*slot as usize] = Status::not_needed(*slot);
        }
        made
    }

    /// Returns the plan.
    pub fn plan(&self) -> &Arc<Plan> {
        &self.plan
    }

    /// Returns the number of a text, a new one for a new text.
    pub fn text_number(&mut self, text: &str) -> f64 {
        self.texts.number(text)
    }

    /// Returns the text of a number.
    pub fn text(&self, number: f64) -> &str {
        self.texts.text(number)
    }

    /// Returns the first slot of what is entered for a line, if the line is one that is entered.
    pub fn entry_slot(&self, sheet: usize, line: usize) -> Option<u32> {
        let place = |purpose| self.plan.place.get(&purpose).map(|line| &self.plan.lines[*line]);
        let planned = place(Purpose::Entry(sheet, line)).or_else(|| place(Purpose::Line(sheet, line)))?;
        (planned.work == Work::Entered).then_some(planned.base)
    }

    /// Sets a slot; `None` leaves it open. What uses it is worked at the next [`Machine::work`].
    pub fn set(&mut self, slot: u32, value: Option<N>) {
        let status = if value.is_some() { Status::WORKED } else { Status::open(slot) };
        let value = value.unwrap_or_else(|| N::exactly(0.0));
        let at = slot as usize;
        if self.status[at] == status && self.values[at] == value {
            return;
        }
        (self.values[at], self.status[at]) = (value, status);
        let (line, _) = self.plan.line_of(slot);
        self.mark(line);
        self.mark_users(line);
    }

    fn mark(&mut self, line: usize) {
        self.dirty[line / 64] |= 1 << (line % 64);
    }

    fn mark_users(&mut self, line: usize) {
        let plan = Arc::clone(&self.plan);
        for user in plan.users_of(line) {
            self.mark(*user as usize);
        }
    }

    /// Works every line that a change reaches, in order; returns those whose value changed.
    pub fn work(&mut self) -> Vec<usize> {
        let plan = Arc::clone(&self.plan);
        let mut changed = Vec::new();
        for word in 0..self.dirty.len() {
            while self.dirty[word] != 0 {
                let line = word * 64 + self.dirty[word].trailing_zeros() as usize;
                self.dirty[word] &= self.dirty[word] - 1;
                if line < plan.lines.len() && self.work_line(&plan, line) {
                    changed.push(line);
                    for user in plan.users_of(line) {
                        self.mark(*user as usize);
                    }
                }
            }
        }
        changed
    }

    /// Puts a value where there is one already; nothing that uses it is worked.
    pub(super) fn put(&mut self, slot: u32, value: N) {
        self.values[slot as usize] = value;
    }

    /// Works some lines, which must stand in the order of the plan.
    pub(super) fn work_only(&mut self, lines: &[usize]) {
        let plan = Arc::clone(&self.plan);
        for line in lines {
            self.work_line(&plan, *line);
        }
    }

    /// Returns a machine that holds the same in another kind of number.
    pub(super) fn like<M: Number>(&self, as_other: impl Fn(N) -> M) -> Machine<M> {
        Machine {
            plan: Arc::clone(&self.plan),
            values: self.values.iter().map(|value| as_other(*value)).collect(),
            status: self.status.clone(),
            dirty: self.dirty.clone(),
            texts: self.texts.clone(),
            results: Vec::new(),
        }
    }

    /// Works a line; returns whether its value changed.
    fn work_line(&mut self, plan: &Plan, line: usize) -> bool {
        let planned = &plan.lines[line];
        match &planned.work {
            Work::Entered => true,
            Work::Coded { result, .. } => {
                let mut changed = false;
                for first in (0..planned.rows as usize).step_by(STRIP) {
                    let lanes = STRIP.min(planned.rows as usize - first);
                    self.run(plan, line, first, lanes);
                    for lane in 0..lanes {
                        let made = self.fetch(*result, first + lane, lane);
                        changed |= self.store(planned.base + (first + lane) as u32, made);
                    }
                }
                changed
            }
            Work::Folded(fold) => {
                let made = self.fold(fold);
                self.store(planned.base, made)
            }
            Work::Scanned { function, of } => {
                let made = self.scan(*function, *of, planned.rows);
                self.store_all(planned.base, made)
            }
            Work::Gathered(operands) => {
                let made = operands.iter().map(|operand| self.fetch(*operand, 0, 0)).collect();
                self.store_all(planned.base, made)
            }
        }
    }

    fn store_all(&mut self, base: u32, made: Vec<Worked<N>>) -> bool {
        (base..).zip(made).fold(false, |changed, (slot, made)| self.store(slot, made) | changed)
    }

    fn store(&mut self, slot: u32, (value, status): Worked<N>) -> bool {
        let status = status.stored(slot);
        let value = if status.is_worked() { value } else { N::exactly(0.0) };
        let at = slot as usize;
        let changed = self.values[at] != value || self.status[at] != status;
        (self.values[at], self.status[at]) = (value, status);
        changed
    }

    /// Runs the instructions of a line over a strip of rows.
    fn run(&mut self, plan: &Plan, line: usize, first_row: usize, lanes: usize) {
        let Work::Coded { first, count, .. } = plan.lines[line].work else { return };
        let code = &plan.code[first as usize..(first + count) as usize];
        let wanted = code.len() * STRIP;
        if self.results.len() < wanted {
            self.results.resize(wanted, (N::exactly(0.0), Status::WORKED));
        }
        for (n, instruction) in code.iter().enumerate() {
            for lane in 0..lanes {
                let made = self.instruction(plan, instruction, first_row + lane, lane);
                self.results[n * STRIP + lane] = made;
            }
        }
    }

    /// Returns the result of every instruction of a line, for one row.
    pub fn results(&mut self, line: usize, row: usize) -> Vec<Worked<N>> {
        let plan = Arc::clone(&self.plan);
        self.run(&plan, line, row, 1);
        let Work::Coded { count, .. } = plan.lines[line].work else { return Vec::new() };
        (0..count as usize).map(|n| self.results[n * STRIP]).collect()
    }

    pub(super) fn fetch(&self, operand: Operand, row: usize, lane: usize) -> Worked<N> {
        match operand {
            Operand::Result(n) => self.results[n as usize * STRIP + lane],
            Operand::Slot(slot) => self.at(slot),
            Operand::Column(base) => self.at(base + row as u32),
            Operand::Number(number) => (N::exactly(number), Status::WORKED),
        }
    }

    /// Returns an operand of a line whose results for one row are at hand.
    pub fn operand(&self, operand: Operand, row: usize, results: &[Worked<N>]) -> Worked<N> {
        match operand {
            Operand::Result(n) => results[n as usize],
            Operand::Slot(_) | Operand::Column(_) | Operand::Number(_) => self.fetch(operand, row, 0),
        }
    }

    /// Returns what is in a slot.
    pub fn at(&self, slot: u32) -> Worked<N> {
        (self.values[slot as usize], self.status[slot as usize])
    }

    /// Joins a text; what has no value passes its status on.
    pub(super) fn compose(&mut self, parts: &[Part], row: usize, lane: usize) -> Worked<N> {
        let mut text = String::new();
        for part in parts {
            match part {
                Part::Plain(plain) => text.push_str(plain),
                Part::Value(operand, shown) => {
                    let (value, status) = self.fetch(*operand, row, lane);
                    if !status.is_worked() {
                        return (value, status);
                    }
                    let (low, high) = value.ends();
                    text.push_str(&self.shown(low, shown));
                    if low != high {
                        // Any text it may be: told apart from every other, and equal to none for sure.
                        text.push_str(" to ");
                        text.push_str(&self.shown(high, shown));
                    }
                }
            }
        }
        (N::exactly(self.texts.number(&text)), Status::WORKED)
    }

    fn shown(&self, value: f64, shown: &Shown) -> String {
        match shown {
            Shown::In(unit) => show::short(value, unit),
            Shown::Flag => if value == 0.0 { "no" } else { "yes" }.to_owned(),
            Shown::Date => date::show(value),
            Shown::Text => self.texts.text(value).to_owned(),
        }
    }
}
