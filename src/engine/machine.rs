//! The machine: a plan with values, worked whole or only where a change reaches.
//!
//! In: a plan, and values set in its slots. Out: every slot's value, or why it has none.
//! Never: looks a name up; leaves a number that is not finite in a slot.

use std::ops::Range;
use std::sync::Arc;

use super::number::Number;
use super::plan::{Instruction, Operand, Part, Plan, Planned, Purpose, Shown, Work};
use super::quick::STRIP;
use super::status::Status;
use super::texts::Texts;
use crate::unit::{date, show};

/// A value, or why there is none.
pub type Worked<N> = (N, Status);

/// A plan at work.
#[derive(Clone, Debug)]
pub struct Machine<N> {
    pub(super) plan: Arc<Plan>,
    /// Of every slot; then the numbers that formulas name, then the results of the line that is worked.
    pub(super) values: Vec<N>,
    pub(super) status: Vec<Status>,
    /// How many slots of each line have no value.
    pub(super) lacking: Vec<u32>,
    /// How many of the lines that each line needs lack a value.
    short: Vec<u32>,
    /// Lines to be worked, one bit each.
    dirty: Vec<u64>,
    texts: Texts,
    /// Results of the instructions of the line that is worked, for one row.
    pub(super) results: Vec<Worked<N>>,
    /// The same for a strip of rows, where all of them have a value.
    pub(super) strips: Vec<N>,
}

impl<N: Number> Machine<N> {
    /// Returns a machine with every input open, nothing worked yet.
    pub fn new(plan: Arc<Plan>) -> Self {
        let slots = plan.slots as usize;
        let mut made = Self {
            values: vec![N::exactly(0.0); slots],
            status: vec![Status::WORKED; slots],
            lacking: Vec::new(),
            short: Vec::new(),
            dirty: vec![u64::MAX; plan.lines.len().div_ceil(64)],
            texts: plan.known_texts.clone(),
            results: Vec::new(),
            strips: Vec::new(),
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
        made.values.extend(plan.tape.numbers.iter().map(|number| N::exactly(*number)));
        made.values.resize(made.values.len() + plan.tape.longest, N::exactly(0.0));
        let lacking = |base: u32, rows: u32| {
            let status = &made.status[base as usize..(base + rows) as usize];
            status.iter().filter(|status| !status.is_worked()).count() as u32
        };
        made.lacking = plan.lines.iter().map(|line| lacking(line.base, line.rows)).collect();
        let lacks = |need: &&u32| made.lacking[**need as usize] > 0;
        let short = |line| plan.needs_of(line).iter().filter(lacks).count() as u32;
        made.short = (0..plan.lines.len()).map(short).collect();
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
        let (line, _) = self.plan.line_of(slot);
        let plan = Arc::clone(&self.plan);
        self.lack(&plan, line, at, status);
        (self.values[at], self.status[at]) = (value, status);
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
            lacking: self.lacking.clone(),
            short: self.short.clone(),
            dirty: self.dirty.clone(),
            texts: self.texts.clone(),
            results: Vec::new(),
            strips: Vec::new(),
        }
    }

    /// Works a line; returns whether its value changed.
    fn work_line(&mut self, plan: &Plan, line: usize) -> bool {
        let planned = &plan.lines[line];
        match &planned.work {
            Work::Entered => true,
            Work::Coded { .. } if planned.rows == 1 => {
                match if self.short[line] == 0 { self.quick(plan, plan.tape.of(line)) } else { None } {
                    Some(value) => self.store(plan, line, planned.base, (value, Status::WORKED)),
                    None => self.work_one_by_one(plan, line, 0..1),
                }
            }
            Work::Coded { .. } => self.work_rows(plan, line),
            Work::Folded(fold) => {
                let made = self.fold(fold);
                self.store(plan, line, planned.base, made)
            }
            Work::Scanned { function, of } => {
                let made = self.scan(*function, *of, planned.rows);
                self.store_all(plan, line, planned.base, made)
            }
            Work::Gathered(operands) => {
                let made = operands.iter().map(|operand| self.fetch(*operand, 0)).collect();
                self.store_all(plan, line, planned.base, made)
            }
        }
    }

    /// Returns whether everything that some rows of a line need has a value.
    fn rows_have_needs(&self, plan: &Plan, line: usize, rows: Range<usize>) -> bool {
        plan.needs_of(line).iter().all(|need| {
            let (lacks, needed) = (self.lacking[*need as usize] > 0, &plan.lines[*need as usize]);
            let base = needed.base as usize;
            let column = needed.rows == plan.lines[line].rows;
            !lacks || column && Status::all_worked(&self.status[base + rows.start..base + rows.end])
        })
    }

    /// Works a line of a schedule, a strip of rows at a time; a strip in which a value is missing row by row.
    fn work_rows(&mut self, plan: &Plan, line: usize) -> bool {
        let (steps, planned) = (plan.tape.of(line), &plan.lines[line]);
        let whole = self.short[line] == 0;
        let mut changed = false;
        for first in (0..planned.rows as usize).step_by(STRIP) {
            let rows = first..planned.rows.min((first + STRIP) as u32) as usize;
            let quick = whole || self.rows_have_needs(plan, line, rows.clone());
            changed |= if quick && self.quick_strip(plan, steps, first, rows.len()) {
                self.store_strip(plan, line, steps.len() - 1, planned.base as usize + first, rows.len())
            } else {
                self.work_one_by_one(plan, line, rows)
            };
        }
        changed
    }

    /// Works rows of a line by its instructions, which know of missing values.
    fn work_one_by_one(&mut self, plan: &Plan, line: usize, rows: Range<usize>) -> bool {
        let Planned { base, work: Work::Coded { first, count, result }, .. } = plan.lines[line] else {
            return false;
        };
        let code = &plan.code[first as usize..(first + count) as usize];
        let mut changed = false;
        for row in rows {
            self.run(plan, code, row);
            changed |= self.store(plan, line, base + row as u32, self.fetch(result, row));
        }
        changed
    }

    fn store_all(&mut self, plan: &Plan, line: usize, base: u32, made: Vec<Worked<N>>) -> bool {
        (base..).zip(made).fold(false, |changed, (slot, made)| self.store(plan, line, slot, made) | changed)
    }

    #[inline]
    fn store(&mut self, plan: &Plan, line: usize, slot: u32, (value, status): Worked<N>) -> bool {
        let status = status.stored(slot);
        let value = if status.is_worked() { value } else { N::exactly(0.0) };
        let at = slot as usize;
        let changed = self.values[at] != value || self.status[at] != status;
        self.lack(plan, line, at, status);
        (self.values[at], self.status[at]) = (value, status);
        changed
    }

    /// Counts what a line lacks after a slot of it has come to another status.
    #[inline]
    fn lack(&mut self, plan: &Plan, line: usize, at: usize, status: Status) {
        let lacks = |status: Status| u32::from(!status.is_worked());
        let (was, is) = (lacks(self.status[at]), lacks(status));
        if was != is {
            self.set_lacking(plan, line, self.lacking[line] + is - was);
        }
    }

    /// Sets how many slots of a line lack a value; tells its users where that is none now, or was.
    pub(super) fn set_lacking(&mut self, plan: &Plan, line: usize, lacking: u32) {
        let before = std::mem::replace(&mut self.lacking[line], lacking);
        for user in plan.users_of(line) {
            let short = &mut self.short[*user as usize];
            *short = *short + u32::from(lacking > 0) - u32::from(before > 0);
        }
    }

    /// Runs the instructions of a line for one row.
    pub(super) fn run(&mut self, plan: &Plan, code: &[Instruction], row: usize) {
        self.results.clear();
        for instruction in code {
            let made = self.instruction(plan, instruction, row);
            self.results.push(made);
        }
    }

    /// Returns the result of every instruction of a line, for one row.
    pub fn results(&mut self, line: usize, row: usize) -> Vec<Worked<N>> {
        let plan = Arc::clone(&self.plan);
        let Work::Coded { first, count, .. } = plan.lines[line].work else { return Vec::new() };
        self.run(&plan, &plan.code[first as usize..(first + count) as usize], row);
        self.results.clone()
    }

    pub(super) fn fetch(&self, operand: Operand, row: usize) -> Worked<N> {
        self.operand(operand, row, &self.results)
    }

    /// Returns an operand of a line whose results for one row are at hand.
    pub fn operand(&self, operand: Operand, row: usize, results: &[Worked<N>]) -> Worked<N> {
        match operand {
            Operand::Result(n) => results[n as usize],
            Operand::Slot(slot) => self.at(slot),
            Operand::Column(base) => self.at(base + row as u32),
            Operand::Number(number) => (N::exactly(number), Status::WORKED),
        }
    }

    /// Returns what is in a slot.
    pub fn at(&self, slot: u32) -> Worked<N> {
        (self.values[slot as usize], self.status[slot as usize])
    }

    /// Joins a text; what has no value passes its status on.
    pub(super) fn compose(&mut self, parts: &[Part], row: usize) -> Worked<N> {
        let mut text = String::new();
        for part in parts {
            match part {
                Part::Plain(plain) => text.push_str(plain),
                Part::Value(operand, shown) => {
                    let (value, status) = self.fetch(*operand, row);
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
