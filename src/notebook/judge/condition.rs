//! What a condition compared, in words, and how close it came.
//!
//! In: a worked book and a condition. Out: "7 Ah is not 7.3 Ah or more: 0.3 Ah short".
//! Never: decides a verdict.

use crate::engine::{Code, Comparison, Interval, Number, Operand, Status, Work, Worked};
use crate::notebook::book::words;
use crate::notebook::book::{Book, Known};
use crate::notebook::judge::LimitRow;
use crate::notebook::record::{Origin, Verdict};
use crate::sheet::model::{Expr, ExprPart, Is, LineRef, Role};
use crate::sheet::token::Op;
use crate::unit::{Unit, date, show};

/// One comparison of a condition, in words.
struct Compared {
    words: String,
    holds: bool,
    close: Close,
}

/// How close a comparison is to turning.
#[derive(Clone, Debug, Default)]
pub(in crate::notebook) struct Close {
    /// The share of what is allowed that is used, or of what is there that is needed.
    pub(in crate::notebook) uses: Option<f64>,
    /// Whether something is asked for at least.
    pub(in crate::notebook) at_least: bool,
    /// What is left, where a ratio says nothing.
    pub(in crate::notebook) left: Option<String>,
    /// The same as a share of the larger side, so that what is left can be held against what else is.
    gap: Option<f64>,
    /// What is left where a ratio says more.
    difference: Option<String>,
    /// Of one that is missed, what the other side must reach, in SI, and whether from below.
    pub(in crate::notebook) needs: Vec<(f64, bool)>,
}

impl Close {
    /// The closer is the larger; one that says nothing is the smallest. A share counts before what is only left.
    pub(in crate::notebook) fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        let rank = |close: &Self| match (close.uses, close.gap) {
            (Some(uses), _) => uses,
            (None, Some(gap)) => -1.0 - gap / (1.0 + gap.abs()),
            (None, None) => -3.0,
        };
        rank(self).total_cmp(&rank(other))
    }
}

/// Returns what was compared, in words: "7 Ah is not 7.3 Ah or more: 0.3 Ah short", with the spread of what is not
/// known exactly: "7 Ah is 6.863 Ah (6.72 to 7.005) or more".
///
/// Where a condition of many parts fails, the parts that hold are left out; else the closest stands first. Where no
/// combination of readings turns it, it is `proved`.
pub(super) fn compared(
    book: &mut Book,
    limit: LimitRow<'_>,
    verdict: Verdict,
    proved: bool,
) -> (Vec<String>, Close) {
    let planned = book.planned(limit.s, limit.n);
    let reached = book.spread_reach.get(planned) == Some(&true);
    let spreads = book.spread.as_mut().filter(|_| reached).map(|spread| spread.results(planned, limit.row));
    of_results(book, limit, (verdict, proved), spreads.as_deref())
}

/// Returns the same of values that are known exactly.
pub(super) fn compared_exactly(book: &mut Book, limit: LimitRow<'_>, verdict: Verdict) -> Vec<String> {
    of_results(book, limit, (verdict, true), None).0
}

fn of_results(
    book: &mut Book,
    LimitRow { s, n, row, that }: LimitRow<'_>,
    (verdict, proved): (Verdict, bool),
    spreads: Option<&[Worked<Interval>]>,
) -> (Vec<String>, Close) {
    let planned = book.planned(s, n);
    let results = book.point.results(planned, row);
    let plan = std::sync::Arc::clone(book.point.plan());
    let Work::Coded { first, count, result } = plan.lines[planned].work else { return Default::default() };
    let code = &plan.code[first as usize..(first + count) as usize];
    let value = |operand: Operand| book.point.operand(operand, row, &results);
    let ends = |operand: Operand| {
        let (whole, status) = book.spread.as_ref()?.operand(operand, row, spreads?);
        status.is_worked().then(|| whole.ends())
    };
    let side = |operand: Operand| Side { worked: value(operand), ends: ends(operand) };
    let mut shown = Vec::new();
    let mut parts = Vec::new();
    parts_of(that, &mut parts);
    let misses = verdict == Verdict::Fail && !negates(that);
    let mut compared = code.iter().filter(|instruction| matches!(instruction.code, Code::Compare(..)));
    for part in parts {
        match &part.part {
            ExprPart::Binary(op, left, right) => {
                if let (Some(instruction), Some(by)) = (compared.next(), Comparison::known(*op)) {
                    let [l, r, _] = instruction.operands;
                    let written = Written { s, by, left, right, proved };
                    shown.extend(comparison(book, written, (side(l), side(r)), misses));
                }
            }
            ExprPart::Line(line) => shown.extend(flag(book, s, *line, row)),
            _ => {}
        }
    }
    if verdict == Verdict::Pass && !negates(that) {
        // Of an `or` that holds, the half that does not hold is of no matter.
        shown.retain(|part| part.holds);
    }
    if shown.is_empty() {
        let (value, status) = value(result);
        let flag = status.is_worked().then(|| words::shown(book, Is::Flag, &Unit::plain(), value));
        let written = match &book.uses[s].sheet.lines[n].role {
            Role::Limit { formula, .. } => format!("{formula}: "),
            _ => String::new(),
        };
        return (flag.map(|flag| written + &flag).into_iter().collect(), Close::default());
    }
    in_words(shown, that, misses)
}

/// Returns the words of what was compared, each once, and how close the closest came.
fn in_words(mut shown: Vec<Compared>, that: &Expr, misses: bool) -> (Vec<String>, Close) {
    let closest =
        shown.iter().rev().map(|part| &part.close).max_by(|a, b| a.cmp(b)).cloned().unwrap_or_default();
    let needs = shown.iter().flat_map(|part| part.close.needs.clone()).collect();
    let closest = if negates(that) { Close::default() } else { Close { needs, ..closest } };
    let missed = |part: &Compared| !part.holds;
    if misses && shown.iter().any(missed) {
        shown.retain(missed);
    }
    if !negates(that) {
        shown.sort_by(|a, b| b.close.cmp(&a.close));
    }
    let mut words: Vec<String> = Vec::new();
    for part in shown {
        if !words.contains(&part.words) {
            words.push(part.words);
        }
    }
    (words, closest)
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
        | ExprPart::Without { .. }
        | ExprPart::Broken => false,
    }
}

/// Collects what a condition is made of: its comparisons, in the order in which they are compiled, and the flags
/// that stand in it for themselves.
fn parts_of<'e>(expr: &'e Expr, found: &mut Vec<&'e Expr>) {
    match &expr.part {
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
        ExprPart::Line(_) if expr.is == Is::Flag => found.push(expr),
        ExprPart::OverRows { .. } | ExprPart::Text(_) => {}
        _ => expr.parts().into_iter().for_each(|part| parts_of(part, found)),
    }
}

/// A confirmation is shown as said by somebody, and when: it is no finding.
fn stated(known: &Known) -> Option<String> {
    let by = known.who.as_ref().map_or(String::new(), |who| format!(" by {who}"));
    let at = known.at.map_or(String::new(), |at| format!(", {}", date::show(at).replace('T', " ")));
    (known.origin == Origin::Stated).then(|| format!(", stated{by}{at}"))
}

/// Returns a flag in words, and whether it is a yes.
fn flag(book: &Book, own: usize, line: LineRef, row: usize) -> Option<Compared> {
    let s = line.sheet.unwrap_or(own);
    let found = book.uses[s].sheet.lines.get(line.line)?;
    let row = if found.schedule.is_some() { row } else { 0 };
    let (value, status) = book.point.at(book.slot(s, line.line, row));
    let stated = book.uses[s].known.get(&(line.line, row)).and_then(stated).unwrap_or_default();
    let flag = words::shown(book, Is::Flag, &Unit::plain(), value);
    let words = || format!("{} is {flag}{stated}", found.name.value);
    status.is_worked().then(|| Compared { words: words(), holds: value != 0.0, close: Close::default() })
}

/// One side of a comparison: its value, and from where to where it may be.
#[derive(Clone, Copy)]
struct Side {
    worked: (f64, Status),
    ends: Option<(f64, f64)>,
}

impl Side {
    /// Returns all that it may be.
    fn whole(&self) -> Interval {
        self.ends.map_or_else(|| Interval::exactly(self.worked.0), |(low, high)| Interval::between(low, high))
    }

    /// " (6.72 to 7.005)"; nothing where that shows no more than the value.
    fn spread(&self, unit: &Unit) -> String {
        let Some((low, high)) = self.ends else { return String::new() };
        let (low, high) = (show::number(low, unit), show::number(high, unit));
        if low == high { String::new() } else { format!(" ({low} to {high})") }
    }
}

/// A comparison of a sheet as it is written.
#[derive(Clone, Copy)]
struct Written<'e> {
    s: usize,
    by: Comparison,
    left: &'e Expr,
    right: &'e Expr,
    /// Whether no combination of readings turns what it is a part of.
    proved: bool,
}

fn comparison(
    book: &Book,
    written: Written<'_>,
    (of_left, of_right): (Side, Side),
    misses: bool,
) -> Option<Compared> {
    let Written { s, by, left, right, proved } = written;
    let ((l, ls), (r, rs)) = (of_left.worked, of_right.worked);
    if !ls.is_worked() || !rs.is_worked() {
        return None;
    }
    let unit =
        words::unit_of(book, s, left).or_else(|| words::unit_of(book, s, right)).unwrap_or_else(Unit::plain);
    let is = left.is;
    let number = matches!(is, Is::Quantity(_) | Is::Point);
    let holds = f64::compare(by, !number, l, r) == Some(true);
    if !number {
        let words = without_number(book, written, (l, r), holds);
        return Some(Compared { words, holds, close: close(by, is, (l, r), &unit) });
    }
    let same = f64::compare(Comparison::Equal, false, l, r) == Some(true);
    // Two values that the comparison takes as one may not look different, nor two others the same.
    let (a, b) = if same { (show::short(r, &unit), show::short(r, &unit)) } else { show::apart(l, r, &unit) };
    // A spread holds more than what can be where a reading counts on both sides: one that would speak against what is
    // proved is left out.
    let told = !proved || Interval::compare(by, false, of_left.whole(), of_right.whole()) == Some(holds);
    let spread = |side: &Side| if told { side.spread(&unit) } else { String::new() };
    let (a, b) = (a + &spread(&of_left), b + &spread(&of_right));
    let named = words::named(book, s, left).filter(|_| unit.is_plain());
    let a = named.map_or(a.clone(), |name| format!("{name} {a}"));
    let tail = match by {
        Comparison::AtLeast | Comparison::More if !holds && misses && !same => {
            format!(": {} short", show::short(r - l, &unit.difference()))
        }
        Comparison::AtMost | Comparison::Less if !holds && misses && !same => {
            format!(": {} too much", show::short(l - r, &unit.difference()))
        }
        Comparison::AtLeast | Comparison::More | Comparison::AtMost | Comparison::Less => String::new(),
        Comparison::Equal | Comparison::Differs => String::new(),
    };
    let is_or_not = if holds { "is" } else { "is not" };
    let words = match by {
        Comparison::AtLeast => format!("{a} {is_or_not} {b} or more{tail}"),
        Comparison::AtMost => format!("{a} {is_or_not} {b} or less{tail}"),
        Comparison::More | Comparison::Less | Comparison::Equal | Comparison::Differs => {
            format!("{a} {} {b}{tail}", phrase(by, holds))
        }
    };
    let mut close = close(by, is, (l, r), &unit);
    // A count, or a share held against a number, has no share of what is allowed: 2 % of 10 % or more is not a fifth.
    if is == Is::NUMBER && [left, right].iter().any(|side| matches!(side.part, ExprPart::Quantity(_))) {
        close = Close { left: close.difference.clone(), uses: None, ..close };
    }
    // What is on the right must be reached from below, or kept to from above.
    close.needs = match by {
        Comparison::AtLeast | Comparison::More => vec![(r, true)],
        Comparison::AtMost | Comparison::Less => vec![(r, false)],
        Comparison::Equal | Comparison::Differs => Vec::new(),
    };
    Some(Compared { words, holds, close })
}

/// Texts, dates or flags, in words.
fn without_number(book: &Book, written: Written<'_>, (l, r): (f64, f64), holds: bool) -> String {
    let Written { s, by, left, right, .. } = written;
    let side = |is: Is, value: f64| match is {
        Is::Text => format!("\"{}\"", words::shown(book, is, &Unit::plain(), value)),
        _ => words::shown(book, is, &Unit::plain(), value),
    };
    let (a, b) = (side(left.is, l), side(right.is, r));
    match (words::named(book, s, left), by, holds) {
        // A word alone says nothing of what it is a word for.
        (Some(name), Comparison::Equal, true) | (Some(name), Comparison::Differs, false) => {
            format!("{name} is {a}")
        }
        (Some(name), Comparison::Equal, false) | (Some(name), Comparison::Differs, true) => {
            format!("{name} is {a}, not {b}")
        }
        (Some(name), _, _) => format!("{name} {a} {} {b}", phrase(by, holds)),
        (None, _, _) => format!("{a} {} {b}", phrase(by, holds)),
    }
}

/// A time that what is left between two dates is held against, in seconds.
const YEAR: f64 = 365.25 * 86_400.0;

/// A ratio where both sides are above zero; between dates and temperatures, what is left.
fn close(by: Comparison, is: Is, (l, r): (f64, f64), unit: &Unit) -> Close {
    let (used, allowed, at_least) = match by {
        Comparison::AtMost | Comparison::Less => (l, r, false),
        Comparison::AtLeast | Comparison::More => (r, l, true),
        Comparison::Equal | Comparison::Differs => return Close::default(),
    };
    match is {
        Is::Quantity(_) | Is::Point => {
            let same = f64::compare(Comparison::Equal, false, used, allowed) == Some(true);
            let left = if same { 0.0 } else { allowed - used };
            let difference = Some(show::short(left, &unit.difference()));
            let size = used.abs().max(allowed.abs());
            let gap = Some(if size > 0.0 { left / size } else { 0.0 });
            if is != Is::Point && allowed > 0.0 && used > 0.0 {
                let uses = Some(if same { 1.0 } else { used / allowed });
                return Close { uses, at_least, gap, difference, ..Close::default() };
            }
            Close { left: difference, gap, ..Close::default() }
        }
        Is::Date => {
            let left = allowed - used;
            Close { left: Some(words::time(left)), gap: Some(left / YEAR), ..Close::default() }
        }
        Is::Flag | Is::Text | Is::Unknown => Close::default(),
    }
}

fn phrase(by: Comparison, holds: bool) -> &'static str {
    match (by, holds) {
        (Comparison::Less, true) => "is less than",
        (Comparison::Less, false) => "is not less than",
        (Comparison::More, true) => "is more than",
        (Comparison::More, false) => "is not more than",
        (Comparison::AtMost, true) => "is no later than",
        (Comparison::AtMost, false) => "is later than",
        (Comparison::AtLeast, true) => "is no earlier than",
        (Comparison::AtLeast, false) => "is earlier than",
        (Comparison::Differs, true) | (Comparison::Equal, false) => "is not",
        (Comparison::Differs, false) | (Comparison::Equal, true) => "is",
    }
}
