//! Limits judged.
//!
//! In: a worked book and a limit. Out: its verdict, what was compared, and what it rests on.
//! Never: passes a limit that rests on a default nobody confirmed, or that its spread may turn.

pub(super) mod condition;
pub(super) mod days;
pub(super) mod grounds;
pub(super) mod witness;

use crate::engine::{Number, Place, Purpose, State, Status};
use crate::notebook::book::Book;
use crate::notebook::book::words;
use crate::notebook::judge::condition::{Close, compared};
use crate::notebook::record::{Behind, LimitRecord, Origin, RowRecord, Strength, Verdict};
use crate::sheet::formula::Formula;
use crate::sheet::model::{Expr, Line, Role, TextPart};

/// A row of a limit, or the whole of one outside schedules, with what must hold there.
#[derive(Clone, Copy)]
struct LimitRow<'e> {
    /// Its sheet, and its own place there.
    s: usize,
    n: usize,
    row: usize,
    that: &'e Expr,
}

/// One limit, or one row of it, as it came out.
struct Judged {
    verdict: Option<Verdict>,
    compared: Vec<String>,
    close: Close,
    reason: Option<String>,
    witness: Option<String>,
    closer: Option<String>,
    remedy: Option<String>,
    grounds: Vec<Place>,
}

/// How a limit came out, or why it is not needed.
pub(super) struct Outcome {
    /// The limit, or why it is not needed.
    pub limit: Result<LimitRecord, String>,
    /// The places of the plan that it rests on.
    pub grounds: Vec<Place>,
}

impl Outcome {
    /// Returns how the limit came out; nothing where it is not needed.
    pub(super) fn verdict(&self) -> Option<Verdict> {
        self.limit.as_ref().ok().map(|limit| limit.verdict)
    }
}

/// Judges one limit of a sheet on the day that the book stands on.
pub(super) fn judge(book: &mut Book, s: usize, n: usize) -> Outcome {
    let sheet = std::sync::Arc::clone(&book.uses[s].sheet);
    let line = &sheet.lines[n];
    let Role::Limit { must, that, formula, remedy } = &line.role else {
        return Outcome { limit: Err(String::new()), grounds: Vec::new() };
    };
    let mut limit = record(book, s, line, *must, formula);
    let remedy = remedy.as_deref();
    let rows = book.uses[s].rows_of(line);
    let mut grounds = Vec::new();
    let mut judged = Vec::new();
    for row in 0..rows {
        let mut one = judge_row(book, LimitRow { s, n, row, that }, remedy);
        if let Some(verdict) = &mut one.verdict
            && !must
            && *verdict == Verdict::Fail
        {
            *verdict = Verdict::Advice;
        }
        if one.verdict.is_some() {
            grounds.append(&mut one.grounds);
        }
        judged.push(one);
    }
    let limit = match line.schedule {
        None => single(limit, judged.pop()),
        Some(schedule) if rows == 0 && book.skips(s, schedule) => {
            Err(words::reason(book, book.rows_status(s, schedule)).unwrap_or_default())
        }
        Some(n) if rows == 0 => {
            let schedule = &sheet.schedules[n];
            if book.uses[s].may_be_empty(n) {
                let reason = format!("no rows in {}.{}", book.uses[s].name, schedule.name.value);
                return Outcome { limit: Err(reason), grounds };
            } else {
                limit.verdict = Verdict::Waiting;
                limit.reason = Some(format!("no rows yet in {}.{}", book.uses[s].name, schedule.name.value));
                grounds.extend(book.rows_place(s, n));
            }
            Ok(limit)
        }
        Some(schedule) => on_rows(limit, &judged, &book.uses[s].row_names[schedule]),
    };
    Outcome { limit, grounds }
}

/// Returns a limit before it is judged.
fn record(book: &Book, s: usize, line: &Line, must: bool, formula: &Formula) -> LimitRecord {
    let cite = book.cite(line);
    LimitRecord {
        name: line.name.value.clone(),
        label: line.label.clone(),
        strength: if must { Strength::Must } else { Strength::Should },
        verdict: Verdict::Pass,
        condition: formula.to_string(),
        shown: String::new(),
        compared: Vec::new(),
        uses: None,
        at_least: false,
        left: None,
        source: cite.as_ref().map(|cite| cite.document.clone()),
        clause: cite.as_ref().and_then(|cite| cite.clause.clone()),
        unverified: cite.as_ref().is_some_and(|cite| cite.unverified),
        remedy: None,
        witness: None,
        closer: None,
        reason: None,
        doubts: Vec::new(),
        behind: Behind::default(),
        rows: Vec::new(),
        closest: None,
        schedule: book.uses[s].schedule_name(line).map(str::to_owned),
    }
}

fn single(mut limit: LimitRecord, judged: Option<Judged>) -> Result<LimitRecord, String> {
    let Some(judged) = judged else { return Err(String::new()) };
    let Some(verdict) = judged.verdict else { return Err(judged.reason.unwrap_or_default()) };
    (limit.verdict, limit.reason, limit.remedy) = (verdict, judged.reason, judged.remedy);
    (limit.witness, limit.closer) = (judged.witness, judged.closer);
    (limit.uses, limit.left, limit.at_least) = (judged.close.uses, judged.close.left, judged.close.at_least);
    (limit.shown, limit.compared) = (judged.compared.join("; "), judged.compared);
    Ok(limit)
}

/// One limit with its worst row's verdict, and each row that does not pass.
fn on_rows(mut limit: LimitRecord, judged: &[Judged], names: &[String]) -> Result<LimitRecord, String> {
    let needed: Vec<(usize, &Judged, Verdict)> =
        judged.iter().enumerate().filter_map(|(row, one)| Some((row, one, one.verdict?))).collect();
    // The worst, and of those that came out alike the one with the least to spare, the first of several.
    let order = |a: &&(usize, &Judged, Verdict), b: &&(usize, &Judged, Verdict)| {
        a.2.cmp(&b.2).then_with(|| a.1.close.cmp(&b.1.close))
    };
    let worst = needed.iter().rev().max_by(order);
    let Some((at, first, verdict)) = worst else {
        return Err(judged.first().and_then(|one| one.reason.clone()).unwrap_or_default());
    };
    limit.verdict = *verdict;
    limit.closest = Some(*at);
    limit.reason = first.reason.clone();
    (limit.witness, limit.closer) = (first.witness.clone(), first.closer.clone());
    limit.remedy = first.remedy.clone();
    let close = &first.close;
    (limit.uses, limit.left, limit.at_least) = (close.uses, close.left.clone(), close.at_least);
    limit.compared = first.compared.clone();
    if let Some(shown) = limit.compared.first_mut()
        && *verdict == Verdict::Pass
        && needed.len() > 1
    {
        let name = names.get(*at).map_or("", String::as_str);
        let told = first.close.uses.is_some() || first.close.left.is_some();
        let which = if told { "the closest" } else { "such as" };
        *shown = format!("all {} rows, {which} {name}: {shown}", needed.len());
    }
    limit.shown = limit.compared.join("; ");
    let row = |&(row, one, verdict): &(usize, &Judged, Verdict)| RowRecord {
        row: row + 1,
        name: names.get(row).cloned().unwrap_or_default(),
        verdict,
        shown: one.compared.join("; "),
        witness: one.witness.clone(),
        reason: one.reason.clone(),
        remedy: one.remedy.clone(),
    };
    limit.rows = needed.iter().filter(|(_, _, verdict)| *verdict != Verdict::Pass).map(row).collect();
    Ok(limit)
}

fn judge_row(book: &mut Book, limit: LimitRow<'_>, remedy: Option<&[TextPart]>) -> Judged {
    let LimitRow { s, n, row, .. } = limit;
    let slot = book.slot(s, n, row);
    let planned = book.planned(s, n);
    let (value, status) = book.point.at(slot);
    let grounds = book.point.grounds(planned, row);
    let mut made = Judged {
        verdict: None,
        compared: Vec::new(),
        close: Close::default(),
        reason: words::reason(book, status),
        witness: None,
        closer: None,
        remedy: None,
        grounds,
    };
    let verdict = match status.state() {
        State::NotNeeded(_) => return skipped(book, s, planned, slot, made),
        State::Open(_) => Verdict::Waiting,
        State::Unworkable(..) => Verdict::Unworkable,
        State::Worked if value != 0.0 => Verdict::Pass,
        State::Worked => Verdict::Fail,
    };
    made.verdict = Some(verdict);
    let turned = if status == Status::WORKED && turned_by_spread(book, planned, slot, value) {
        witness::turned(book, limit)
    } else {
        None
    };
    if verdict != Verdict::Waiting {
        (made.compared, made.close) = compared(book, limit, verdict, turned.is_none());
    }
    if let Some(turned) = turned {
        made.verdict = Some(Verdict::Unsure);
        (made.witness, made.reason, made.closer) = (turned.witness, Some(turned.reason), turned.closer);
    } else if verdict == Verdict::Pass {
        if let Some(grounds) = without_defaults(book, planned, row, slot) {
            made.grounds = grounds;
        }
        let open = unconfirmed(book, s, &made.grounds);
        if !open.is_empty() {
            made.verdict = Some(Verdict::Waiting);
            made.reason = Some(format!("to confirm: {}", open.join(", ")));
        }
    }
    let missed = matches!(made.verdict, Some(Verdict::Fail | Verdict::Unsure | Verdict::Unworkable));
    if missed {
        made.remedy = remedy.map(|parts| words::filled(book, s, parts, row, &made.close.needs));
    }
    made
}

/// A limit that is not needed only by an unconfirmed default waits; one that a tolerance may bring back is unsure.
fn skipped(book: &mut Book, s: usize, planned: usize, slot: u32, made: Judged) -> Judged {
    let needed = |status: Status| !matches!(status.state(), State::NotNeeded(_));
    if book.spread.as_ref().is_some_and(|spread| book.spread_reach[planned] && needed(spread.at(slot).1)) {
        let reason = "within the tolerances of the readings it may be needed".to_owned();
        return Judged { verdict: Some(Verdict::Unsure), reason: Some(reason), ..made };
    }
    let waits = book.confirmed.as_ref().is_some_and(|confirmed| needed(confirmed.at(slot).1));
    let open = if waits { unconfirmed(book, s, &made.grounds) } else { Vec::new() };
    if open.is_empty() {
        return made;
    }
    let reason = format!("to confirm: {}", open.join(", "));
    Judged { verdict: Some(Verdict::Waiting), reason: Some(reason), ..made }
}

/// Returns whether the verdict on the figures is not that of every combination within tolerance.
fn turned_by_spread(book: &Book, planned: usize, slot: u32, value: f64) -> bool {
    let Some(spread) = book.spread.as_ref().filter(|_| book.spread_reach[planned]) else { return false };
    let (whole, status) = spread.at(slot);
    !status.is_worked() || whole.truth() != Some(value != 0.0)
}

/// Returns what a limit rests on that passes whatever its defaults are.
fn without_defaults(book: &mut Book, planned: usize, row: usize, slot: u32) -> Option<Vec<Place>> {
    let confirmed = book.confirmed.as_mut()?;
    let (value, status) = confirmed.at(slot);
    (status.is_worked() && value != 0.0).then(|| confirmed.grounds(planned, row))
}

/// Returns the defaults that a limit of a sheet rests on, with their values: "strings 1".
fn unconfirmed(book: &Book, own: usize, grounds: &[Place]) -> Vec<String> {
    let mut open = Vec::new();
    for &(planned, row) in grounds {
        let (Purpose::Line(s, n) | Purpose::Entry(s, n)) = book.point.plan().lines[planned].purpose else {
            continue;
        };
        let used = &book.uses[s];
        if used.known.get(&(n, row)).is_some_and(|known| known.origin == Origin::Default) {
            let line = &used.sheet.lines[n];
            let (value, _) = book.point.at(book.point.plan().slot(planned, row));
            let name = book.name_from(own, (s, n), row);
            let words = format!("{name} {}", words::shown(book, line.is, &line.unit, value));
            if !open.contains(&words) {
                open.push(words);
            }
        }
    }
    open
}
