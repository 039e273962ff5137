//! What turned a verdict: changes that do so together, none of which can be left out.
//!
//! In: a limit that came out otherwise, two jobs, the changes between them. Out: the limit with its cause.
//! Never: names a change that can be left out; calls a set the smallest where smaller ones were not tried.

use std::collections::HashSet;

use crate::engine::Purpose;
use crate::notebook::book::Book;
use crate::notebook::book::names::line_of;
use crate::notebook::compare::changes::{Change, with};
use crate::notebook::compare::{Loaded, TurnedLimit};
use crate::notebook::judge::days::verdicts;
use crate::notebook::record::Verdict;
use crate::notebook::{Options, load};

/// Jobs that are put together at most for one limit, and for all of them.
const MOST_TRIED: usize = 120;
const MOST_IN_ALL: usize = 1_200;
/// The largest set that smaller ones are tried against.
const LARGEST: usize = 3;

/// Looks for the causes of turned limits, one after another, within one work limit.
pub(super) struct Causes<'a> {
    pub(super) old: &'a Loaded,
    pub(super) new: &'a Loaded,
    pub(super) changes: &'a [Change],
    pub(super) options: &'a Options,
    /// Jobs that were put together so far.
    pub(super) tried: usize,
}

/// A limit that is looked for in jobs put together of both.
struct Trial<'c, 'a> {
    causes: &'c mut Causes<'a>,
    name: &'c str,
    now: Option<Verdict>,
    /// Jobs that may still be put together for it.
    left: usize,
}

impl<'a> Causes<'a> {
    /// Returns a turned limit with what turned it.
    pub(super) fn of(&mut self, limit: TurnedLimit) -> TurnedLimit {
        let behind: Vec<&'a Change> = self.behind(&limit.name);
        let left = MOST_TRIED.min(MOST_IN_ALL.saturating_sub(self.tried));
        let mut trial = Trial { causes: self, name: &limit.name, now: limit.new, left };
        // What turns with no change at all, no change has turned.
        if left == 0 || behind.is_empty() || trial.turns(&[]) || !trial.turns(&behind) {
            return limit;
        }
        let mut found = trial.smallest_of(&[], false, &behind);
        let mut fewest = found.len() == 1;
        for size in 1..found.len().min(LARGEST + 1) {
            match trial.more(&behind, size, &mut Vec::new()) {
                Some(smaller) => {
                    (found, fewest) = (smaller, true);
                    break;
                }
                None => fewest = trial.left > 0 && size + 1 >= found.len(),
            }
        }
        if trial.left == 0 && !trial.still_turns(&found) {
            return limit;
        }
        let because = found.iter().map(|change| change.words()).collect();
        TurnedLimit { because, fewest, ..limit }
    }

    /// The changes that the limit may rest on, in either job.
    fn behind(&self, name: &str) -> Vec<&'a Change> {
        let mut lines = HashSet::new();
        for book in [&self.old.book, &self.new.book] {
            lines.extend(lines_behind(book, name));
        }
        self.changes.iter().filter(|change| change.line().is_none_or(|line| lines.contains(&line))).collect()
    }
}

/// The names of the lines that a limit rests on in any row and branch.
fn lines_behind(book: &Book, name: &str) -> Vec<String> {
    let Some(place) = line_of(book, name) else { return Vec::new() };
    let plan = book.point.plan();
    let all = vec![true; plan.lines.len()];
    let behind = plan.behind(book.planned(place.s, place.n), &all);
    let schedule =
        |s: usize, n: usize| format!("{}.{}", book.uses[s].name, book.uses[s].sheet.schedules[n].name.value);
    // A column moves with its rows, and with their order.
    let named = |line: usize| match plan.lines[line].purpose {
        Purpose::Line(s, n) | Purpose::Entry(s, n) => {
            let of = book.uses[s].sheet.lines[n].schedule.map(|of| schedule(s, of));
            [Some(book.uses[s].plain_name(n)), of]
        }
        Purpose::RowsOf(s, n) => [Some(schedule(s, n)), None],
        _ => [None, None],
    };
    behind.into_iter().flat_map(named).flatten().collect()
}

impl Trial<'_, '_> {
    /// Whether the limit comes out as in the newer job once some changes are made; no where nothing more may be tried.
    fn turns(&mut self, changes: &[&Change]) -> bool {
        if self.left == 0 {
            return false;
        }
        self.left -= 1;
        self.causes.tried += 1;
        self.still_turns(changes)
    }

    fn still_turns(&self, changes: &[&Change]) -> bool {
        let (old, new) = (self.causes.old, self.causes.new);
        let job = with(old, new, changes);
        let files = changes.contains(&&Change::Files) || changes.contains(&&Change::Sheets);
        let library = if files { &new.library } else { &old.library };
        let day = self.causes.options.day;
        let Ok(mut book) = load::load_job(job, Vec::new(), library, day) else { return false };
        let limit: Vec<_> = line_of(&book, self.name).map(|place| (place.s, place.n)).into_iter().collect();
        verdicts(&mut book, &limit).pop().flatten() == self.now
    }

    /// Of changes that turn the limit beside some that are kept, those of which none can be left out: half by half.
    fn smallest_of<'c>(&mut self, kept: &[&'c Change], asked: bool, rest: &[&'c Change]) -> Vec<&'c Change> {
        if asked && self.turns(kept) {
            return Vec::new();
        }
        if rest.len() <= 1 {
            return rest.to_vec();
        }
        let (first, second) = rest.split_at(rest.len() / 2);
        let beside = |more: &[&'c Change]| kept.iter().chain(more).copied().collect::<Vec<_>>();
        let of_second = self.smallest_of(&beside(first), true, second);
        let of_first = self.smallest_of(&beside(&of_second), !of_second.is_empty(), first);
        of_first.into_iter().chain(of_second).collect()
    }

    /// Returns a set of a size that turns the limit, if there is one.
    fn more<'c>(
        &mut self,
        rest: &[&'c Change],
        size: usize,
        so_far: &mut Vec<&'c Change>,
    ) -> Option<Vec<&'c Change>> {
        if size == 0 {
            return self.turns(so_far).then(|| so_far.clone());
        }
        for (n, change) in rest.iter().enumerate() {
            if self.left == 0 {
                return None;
            }
            so_far.push(change);
            let found = self.more(&rest[n + 1..], size - 1, so_far);
            so_far.pop();
            if found.is_some() {
                return found;
            }
        }
        None
    }
}
