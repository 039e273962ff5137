//! Limits judged.
//!
//! In: a worked book and a limit. Out: its verdict, what was compared, and what it rests on.
//! Never: passes a limit that rests on a default nobody confirmed, or that its spread may turn.

use super::book::Book;
use super::record::{LimitRecord, Origin, RowRecord, Strength, Verdict};
use super::words;
use crate::engine::{Code, Number, Operand, Place, Purpose, State, Status, Work};
use crate::sheet::model::{Expr, ExprPart, Is, LineRef, TextPart, Work as SheetWork};
use crate::sheet::token::Op;
use crate::unit::{Unit, show};

/// One limit, or one row of it, as it came out.
struct Judged {
    verdict: Option<Verdict>,
    compared: Vec<String>,
    close: Close,
    reason: Option<String>,
    remedy: Option<String>,
    grounds: Vec<Place>,
}

/// One comparison of a condition, in words.
struct Compared {
    words: String,
    holds: bool,
    close: Close,
}

/// How close a comparison is to turning.
#[derive(Clone, Debug, Default)]
struct Close {
    uses: Option<f64>,
    left: Option<String>,
    /// Of one that is missed, what the other side must reach, in SI, and whether from below.
    needs: Vec<(f64, bool)>,
}

impl Close {
    /// The closer is the larger; one that says nothing is the smallest.
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        let rank = |close: &Self| close.uses.unwrap_or(if close.left.is_some() { -1.0 } else { -2.0 });
        rank(self).total_cmp(&rank(other))
    }
}

/// How a limit came out, or why it is not needed.
pub(super) struct Outcome {
    /// The limit, or why it is not needed.
    pub limit: Result<LimitRecord, String>,
    /// The places of the plan that it rests on.
    pub grounds: Vec<Place>,
}

/// Judges one limit of a sheet.
pub(super) fn judge(book: &mut Book, s: usize, n: usize) -> Outcome {
    let sheet = std::sync::Arc::clone(&book.uses[s].sheet);
    let line = &sheet.lines[n];
    let SheetWork::Limit { must, that, formula, remedy } = &line.work else {
        return Outcome { limit: Err(String::new()), grounds: Vec::new() };
    };
    let cite = book.cite(line);
    let mut limit = LimitRecord {
        name: line.name.value.clone(),
        label: line.label.clone(),
        strength: if *must { Strength::Must } else { Strength::Should },
        verdict: Verdict::Pass,
        condition: formula.to_string(),
        shown: String::new(),
        compared: Vec::new(),
        uses: None,
        left: None,
        source: cite.as_ref().map(|cite| cite.document.clone()),
        clause: cite.as_ref().and_then(|cite| cite.clause.clone()),
        unverified: cite.as_ref().is_some_and(|cite| cite.unverified),
        remedy: None,
        witness: None,
        reason: None,
        doubts: Vec::new(),
        rows: Vec::new(),
        schedule: line.schedule.map(|schedule| sheet.schedules[schedule].name.value.clone()),
    };
    let remedy = remedy.as_deref();
    let rows = book.uses[s].rows_of(line);
    let mut grounds = Vec::new();
    let mut judged = Vec::new();
    for row in 0..rows {
        let mut one = judge_row(book, (s, n), row, that, remedy);
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
            if schedule.may_be_empty {
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

fn single(mut limit: LimitRecord, judged: Option<Judged>) -> Result<LimitRecord, String> {
    let Some(judged) = judged else { return Err(String::new()) };
    let Some(verdict) = judged.verdict else { return Err(judged.reason.unwrap_or_default()) };
    (limit.verdict, limit.reason, limit.remedy) = (verdict, judged.reason, judged.remedy);
    (limit.uses, limit.left) = (judged.close.uses, judged.close.left);
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
    limit.reason = first.reason.clone();
    limit.remedy = first.remedy.clone();
    let closest = needed.iter().map(|(_, one, _)| &one.close).max_by(|a, b| a.cmp(b));
    (limit.uses, limit.left) = closest.map_or((None, None), |close| (close.uses, close.left.clone()));
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
        witness: None,
        reason: one.reason.clone(),
        remedy: one.remedy.clone(),
    };
    limit.rows = needed.iter().filter(|(_, _, verdict)| *verdict != Verdict::Pass).map(row).collect();
    Ok(limit)
}

fn judge_row(
    book: &mut Book,
    (s, n): (usize, usize),
    row: usize,
    that: &Expr,
    remedy: Option<&[TextPart]>,
) -> Judged {
    let slot = book.slot(s, n, row);
    let planned = book.planned(s, n);
    let (value, status) = book.point.at(slot);
    let grounds = book.point.grounds(planned, row);
    let mut made = Judged {
        verdict: None,
        compared: Vec::new(),
        close: Close::default(),
        reason: words::reason(book, status),
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
    if verdict != Verdict::Waiting {
        (made.compared, made.close) = compared(book, (s, n), row, that, verdict);
    }
    made.verdict = Some(verdict);
    if status == Status::WORKED && turned_by_spread(book, planned, slot, value) {
        made.verdict = Some(Verdict::Unsure);
        made.reason = Some("within the tolerances of the readings it may go either way".to_owned());
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
            let (value, _) = book.point.at(book.point.plan().lines[planned].base + row as u32);
            let name = match line.schedule {
                None if s == own => line.name.value.clone(),
                None | Some(_) => used.full_name(n, row),
            };
            let words = format!("{name} {}", words::shown(book, line.is, &line.unit, value));
            if !open.contains(&words) {
                open.push(words);
            }
        }
    }
    open
}

/// Returns what was compared, in words: "7 Ah is not 7.3 Ah or more: 0.3 Ah short".
///
/// Where a condition of many parts fails, the parts that hold are left out.
fn compared(
    book: &mut Book,
    (s, n): (usize, usize),
    row: usize,
    that: &Expr,
    verdict: Verdict,
) -> (Vec<String>, Close) {
    let planned = book.planned(s, n);
    let results = book.point.results(planned, row);
    let plan = std::sync::Arc::clone(book.point.plan());
    let Work::Coded { first, count, result } = plan.lines[planned].work else { return Default::default() };
    let code = &plan.code[first as usize..(first + count) as usize];
    let value = |operand: Operand| book.point.operand(operand, row, &results);
    let mut shown = Vec::new();
    let mut parts = Vec::new();
    parts_of(that, &mut parts);
    let misses = verdict == Verdict::Fail && !negates(that);
    let mut compared = code.iter().filter(|instruction| matches!(instruction.code, Code::Compare(..)));
    for part in parts {
        match &part.part {
            ExprPart::Binary(op, l, r) => {
                if let Some(instruction) = compared.next() {
                    let [left, right, _] = instruction.operands;
                    shown.extend(comparison(book, s, *op, (l, value(left)), (r, value(right)), misses));
                }
            }
            ExprPart::Line(line) => shown.extend(flag(book, s, *line, row)),
            _ => {}
        }
    }
    if shown.is_empty() {
        let (value, status) = value(result);
        let flag = status.is_worked().then(|| words::shown(book, Is::Flag, &Unit::plain(), value));
        return (flag.into_iter().collect(), Close::default());
    }
    let closest = shown.iter().map(|part| &part.close).max_by(|a, b| a.cmp(b)).cloned().unwrap_or_default();
    let needs = shown.iter().flat_map(|part| part.close.needs.clone()).collect();
    let closest = if negates(that) { Close::default() } else { Close { needs, ..closest } };
    let missed = |part: &Compared| !part.holds;
    if misses && shown.iter().any(missed) {
        shown.retain(missed);
    }
    (shown.into_iter().map(|part| part.words).collect(), closest)
}

/// Returns whether a part of a condition must not hold for the whole to hold.
fn negates(that: &Expr) -> bool {
    match &that.part {
        ExprPart::Not(_) => true,
        ExprPart::Binary(Op::And | Op::Or, left, right) => negates(left) || negates(right),
        // A flag compared with another may have to be a no.
        ExprPart::Binary(_, left, right) => left.is == Is::Flag || right.is == Is::Flag,
        ExprPart::Negate(_)
        | ExprPart::OfValues(..)
        | ExprPart::InTable { .. }
        | ExprPart::OverRows { .. }
        | ExprPart::Quantity(_)
        | ExprPart::Text(_)
        | ExprPart::Date(_)
        | ExprPart::Flag(_)
        | ExprPart::Today
        | ExprPart::Line(_)
        | ExprPart::Cell { .. }
        | ExprPart::Broken => false,
    }
}

/// Collects what a condition is made of: its comparisons, in the order in which they are compiled, and the flags
/// that stand in it for themselves.
fn parts_of<'e>(expr: &'e Expr, found: &mut Vec<&'e Expr>) {
    match &expr.part {
        ExprPart::Negate(inner) | ExprPart::Not(inner) => parts_of(inner, found),
        ExprPart::Binary(op, left, right) => {
            let flags = |side: &Expr| op.compares() && matches!(side.part, ExprPart::Line(_));
            for side in [left, right] {
                if !flags(side) {
                    parts_of(side, found);
                }
            }
            if op.compares() {
                found.push(expr);
            }
        }
        ExprPart::OfValues(_, values) => values.iter().for_each(|value| parts_of(value, found)),
        ExprPart::InTable { keys, .. } => keys.iter().for_each(|(_, value)| parts_of(value, found)),
        ExprPart::Line(_) if expr.is == Is::Flag => found.push(expr),
        ExprPart::OverRows { .. }
        | ExprPart::Quantity(_)
        | ExprPart::Text(_)
        | ExprPart::Date(_)
        | ExprPart::Flag(_)
        | ExprPart::Today
        | ExprPart::Line(_)
        | ExprPart::Cell { .. }
        | ExprPart::Broken => {}
    }
}

/// Returns a flag in words, and whether it is a yes.
fn flag(book: &Book, own: usize, line: LineRef, row: usize) -> Option<Compared> {
    let s = line.sheet.unwrap_or(own);
    let found = book.uses[s].sheet.lines.get(line.line)?;
    let row = if found.schedule.is_some() { row } else { 0 };
    let (value, status) = book.point.at(book.slot(s, line.line, row));
    let words = || format!("{} is {}", found.name.value, words::shown(book, Is::Flag, &Unit::plain(), value));
    status.is_worked().then(|| Compared { words: words(), holds: value != 0.0, close: Close::default() })
}

type Side<'e> = (&'e Expr, (f64, Status));

fn comparison(
    book: &Book,
    s: usize,
    op: Op,
    (left, (l, ls)): Side<'_>,
    (right, (r, rs)): Side<'_>,
    misses: bool,
) -> Option<Compared> {
    if !ls.is_worked() || !rs.is_worked() {
        return None;
    }
    let unit =
        words::unit_of(book, s, left).or_else(|| words::unit_of(book, s, right)).unwrap_or_else(Unit::plain);
    let is = left.is;
    let holds = f64::compare(op, !matches!(left.is, Is::Quantity(_) | Is::Point), l, r) == Some(true);
    if !matches!(left.is, Is::Quantity(_) | Is::Point) {
        let (left, right) = (words::shown(book, left.is, &unit, l), words::shown(book, right.is, &unit, r));
        let words = format!("{left} {} {right}", phrase(op, holds));
        return Some(Compared { words, holds, close: close(op, is, (l, r), &unit) });
    }
    let same = f64::compare(Op::Equal, false, l, r) == Some(true);
    // Two values that the comparison takes as one may not look different, nor two others the same.
    let (a, b) = if same { (show::short(r, &unit), show::short(r, &unit)) } else { show::apart(l, r, &unit) };
    let tail = match (op, holds) {
        (Op::AtLeast | Op::More, false) if misses && !same => {
            format!(": {} short", show::short(r - l, &unit.difference()))
        }
        (Op::AtMost | Op::Less, false) if misses && !same => {
            format!(": {} too much", show::short(l - r, &unit.difference()))
        }
        _ => String::new(),
    };
    let words = match op {
        Op::AtLeast | Op::AtMost => {
            let end = if op == Op::AtLeast { "or more" } else { "or less" };
            format!("{a} {} {b} {end}{tail}", if holds { "is" } else { "is not" })
        }
        _ => format!("{a} {} {b}{tail}", phrase(op, holds)),
    };
    // That a count is one or more says nothing of how close anything is.
    let sense =
        is == Is::NUMBER && [left, right].iter().any(|side| matches!(side.part, ExprPart::Quantity(_)));
    let mut close = if sense { Close::default() } else { close(op, is, (l, r), &unit) };
    if !holds {
        // What is on the right must be reached from below, or kept to from above; the left is the other way round.
        close.needs = match op {
            Op::AtLeast | Op::More => vec![(r, true), (l, false)],
            Op::AtMost | Op::Less => vec![(r, false), (l, true)],
            _ => Vec::new(),
        };
    }
    Some(Compared { words, holds, close })
}

/// A ratio where both sides are above zero; between dates and temperatures, what is left.
fn close(op: Op, is: Is, (l, r): (f64, f64), unit: &Unit) -> Close {
    let (used, allowed) = match op {
        Op::AtMost | Op::Less => (l, r),
        Op::AtLeast | Op::More => (r, l),
        _ => return Close::default(),
    };
    match is {
        Is::Quantity(_) if allowed > 0.0 && used > 0.0 => {
            let same = f64::compare(Op::Equal, false, used, allowed) == Some(true);
            Close { uses: Some(if same { 1.0 } else { used / allowed }), ..Close::default() }
        }
        Is::Point => {
            let left = show::short(allowed - used, &unit.difference());
            Close { left: Some(left), ..Close::default() }
        }
        Is::Date => {
            let days = Unit::read("d").unwrap_or_else(|_| Unit::plain());
            Close { left: Some(show::short(allowed - used, &days)), ..Close::default() }
        }
        Is::Quantity(_) | Is::Flag | Is::Text | Is::Unknown => Close::default(),
    }
}

fn phrase(op: Op, holds: bool) -> &'static str {
    match (op, holds) {
        (Op::Less, true) => "is less than",
        (Op::Less, false) => "is not less than",
        (Op::More, true) => "is more than",
        (Op::More, false) => "is not more than",
        (Op::AtMost, true) => "is no later than",
        (Op::AtMost, false) => "is later than",
        (Op::AtLeast, true) => "is no earlier than",
        (Op::AtLeast, false) => "is earlier than",
        (Op::Differs, true) | (Op::Equal, false) => "is not",
        _ => "is",
    }
}
