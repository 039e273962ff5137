//! What turned a verdict: changes that do so together, none of which can be left out.
//!
//! In: a limit that came out otherwise, two jobs, the changes between them. Out: the limit with its cause.
//! Never: names a change that can be left out; calls a set the smallest where smaller ones were not tried.

use super::changes::{Change, with};
use super::{Loaded, TurnedLimit};
use crate::notebook::judge::judge;
use crate::notebook::names::{Named, named};
use crate::notebook::record::Verdict;
use crate::notebook::typed::Typed;
use crate::notebook::{Options, load};

/// Jobs that are put together at most for one limit.
const MOST_TRIED: usize = 600;
/// The largest set that smaller ones are tried against.
const LARGEST: usize = 3;

/// A limit with the jobs that it is looked for in.
struct Trial<'a> {
    name: &'a str,
    old: &'a Loaded,
    new: &'a Loaded,
    options: &'a Options,
    now: Option<Verdict>,
    tried: usize,
}

/// Returns a turned limit with what turned it.
pub(super) fn caused(
    limit: TurnedLimit,
    old: &mut Loaded,
    new: &mut Loaded,
    changes: &[Change],
    options: &Options,
) -> TurnedLimit {
    let mut trial = Trial { name: &limit.name, old, new, options, now: limit.new, tried: 0 };
    let all: Vec<&Change> = changes.iter().collect();
    if !trial.turns(&all) {
        return limit;
    }
    let mut found = trial.without_any(all.clone());
    let mut fewest = found.len() == 1;
    for size in 1..found.len().min(LARGEST + 1) {
        match trial.of_size(&all, size) {
            Some(smaller) => {
                (found, fewest) = (smaller, true);
                break;
            }
            None => fewest = trial.tried < MOST_TRIED && size + 1 >= found.len(),
        }
    }
    let because = found.iter().map(|change| change.words()).collect();
    TurnedLimit { because, fewest, ..limit }
}

impl Trial<'_> {
    /// Whether the limit comes out as in the newer job once some changes are made.
    fn turns(&mut self, changes: &[&Change]) -> bool {
        self.tried += 1;
        let job = with(self.old, self.new, changes);
        let files = changes.contains(&&Change::Files) || changes.contains(&&Change::Sheets);
        let library = if files { &self.new.library } else { &self.old.library };
        let Ok(mut book) = load::load_job(job, Vec::new(), library, self.options.day) else { return false };
        let place = Typed::read_path(self.name, 0).ok().and_then(|path| named(&book, None, &path).ok());
        let verdict = match place {
            Some(Named::Line(place)) => {
                judge(&mut book, place.s, place.n).limit.ok().map(|limit| limit.verdict)
            }
            Some(Named::Sheet(_) | Named::Schedule(..) | Named::Row(..) | Named::Chart(..)) | None => None,
        };
        verdict == self.now
    }

    /// Leaves out one change after another as long as the rest turns the limit.
    fn without_any<'c>(&mut self, mut changes: Vec<&'c Change>) -> Vec<&'c Change> {
        let mut at = 0;
        while at < changes.len() {
            let mut fewer = changes.clone();
            fewer.remove(at);
            if !fewer.is_empty() && self.turns(&fewer) {
                changes = fewer;
            } else {
                at += 1;
            }
        }
        changes
    }

    /// Returns a set of a size that turns the limit, if there is one.
    fn of_size<'c>(&mut self, all: &[&'c Change], size: usize) -> Option<Vec<&'c Change>> {
        self.more(all, size, &mut Vec::new())
    }

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
            if self.tried >= MOST_TRIED {
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
