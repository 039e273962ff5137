//! Limits judged on the job's day, and those that depend on the day on the later one too.
//!
//! In: a worked book and limits. Out: the worse of both days, which says which one it is.
//! Never: leaves the book on another day than the job's.

use std::sync::Arc;

use crate::engine::Purpose;
use crate::notebook::book::Book;
use crate::notebook::judge::{Outcome, judge};
use crate::notebook::record::Verdict;
use crate::unit::date;

/// A limit of the job: its sheet's place and its own.
pub(in crate::notebook) type LimitPlace = (usize, usize);

/// Judges limits on both days; the worse holds.
pub(in crate::notebook) fn on_both_days(book: &mut Book, limits: &[LimitPlace]) -> Vec<Outcome> {
    let mut judged: Vec<Outcome> = limits.iter().map(|&(s, n)| judge(book, s, n)).collect();
    let (Some(on), Some(today)) = (book.on, book.today) else { return judged };
    let plan = Arc::clone(book.point.plan());
    let reach = plan.reach(plan.place.get(&Purpose::Today).copied());
    book.stand_on(today);
    for (own, &(s, n)) in judged.iter_mut().zip(limits) {
        if reach[book.planned(s, n)] {
            worse_of(own, judge(book, s, n), today);
        }
    }
    book.stand_on(on);
    judged
}

/// Returns how limits come out; nothing where one is not needed.
pub(in crate::notebook) fn verdicts(book: &mut Book, limits: &[LimitPlace]) -> Vec<Option<Verdict>> {
    on_both_days(book, limits).iter().map(Outcome::verdict).collect()
}

/// Puts the worse of two days into the first; where they differ, with which day it is of.
fn worse_of(own: &mut Outcome, later: Outcome, today: f64) {
    if own.verdict() == later.verdict() {
        return;
    }
    let today = date::in_words(today);
    let day = if later.verdict() < own.verdict() {
        format!("judged on the job's day; on {today} it would be better")
    } else {
        *own = later;
        format!("judged on {today}, later than the job's day")
    };
    if let Ok(limit) = &mut own.limit {
        limit.reason = Some(limit.reason.take().map_or(day.clone(), |reason| format!("{reason}; {day}")));
    }
}
