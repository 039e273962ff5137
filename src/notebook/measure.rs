//! An open job worked and proved again, for the benches, which measure what either costs.
//!
//! In: an open job. Out: the same job, worked again.
//! Never: changes a value.

use crate::engine::{Machine, Number, Work};
use crate::notebook::judge::witness::trial;
use crate::notebook::open::Notebook;
use crate::sheet::model::Role;

impl Notebook {
    /// Works every line of the job once, from its inputs.
    pub fn work_anew(&mut self) {
        worked_anew(&self.book.point);
    }

    /// Encloses every line of the job once, then proves each limit that the plain enclosure leaves open.
    pub fn judge_anew(&mut self) {
        if let Some(spread) = &self.book.spread {
            worked_anew(spread);
        }
        for (planned, row) in self.uncertain_limits() {
            if self.is_open(planned, row)
                && let Some(mut trial) = trial(&mut self.book, planned, row)
            {
                trial.prove();
            }
        }
    }

    /// Returns how many limits have readings behind them, row by row, and how many of these the plain enclosure leaves
    /// open.
    pub fn proofs(&self) -> (usize, usize) {
        let limits = self.uncertain_limits();
        let open = limits.iter().filter(|(planned, row)| self.is_open(*planned, *row)).count();
        (limits.len(), open)
    }

    fn uncertain_limits(&self) -> Vec<(usize, usize)> {
        let mut found = Vec::new();
        for (s, used) in self.book.uses.iter().enumerate() {
            for (n, line) in used.sheet.lines.iter().enumerate() {
                let planned = self.book.planned(s, n);
                if matches!(line.role, Role::Limit { .. })
                    && self.book.spread_reach.get(planned) == Some(&true)
                {
                    found.extend((0..used.rows_of(line)).map(|row| (planned, row)));
                }
            }
        }
        found
    }

    fn is_open(&self, planned: usize, row: usize) -> bool {
        let slot = self.book.point.plan().slot(planned, row);
        let (value, status) = self.book.point.at(slot);
        let whole = self.book.spread.as_ref().map(|spread| spread.at(slot));
        let settled =
            whole.is_some_and(|(whole, status)| status.is_worked() && whole.truth() == Some(value != 0.0));
        status.is_worked() && !settled
    }
}

/// Works every line of a plan once, from the inputs of a machine.
fn worked_anew<N: Number>(machine: &Machine<N>) {
    let mut fresh = Machine::<N>::new(std::sync::Arc::clone(machine.plan()));
    for line in machine.plan().lines.iter().filter(|line| line.work == Work::Entered) {
        for slot in line.base..line.base + line.rows {
            let (value, status) = machine.at(slot);
            fresh.set(slot, status.is_worked().then_some(value));
        }
    }
    fresh.work();
}
