//! A book told as a record: every line, every limit, and the job's verdict.
//!
//! In: a worked book. Out: a [`Record`].
//! Never: decides how anything looks.

use std::sync::Arc;

use super::assemble::set_day;
use super::book::{Book, Known};
use super::chart::charts;
use super::grounds::{add_grounds, doubts, linked_sheets};
use super::judge::{Outcome, judge};
use super::marks::marks;
use super::record::{
    LimitRecord, LineKind, LineRecord, NotNeeded, Origin, Record, RestsOn, ScheduleRecord, SheetRecord,
    Strength, Value, Verdict,
};
use super::words;
use crate::cite::Cite;
use crate::engine::{Purpose, State};
use crate::sheet::model::{Line, Role};
use crate::unit::date;

/// Tells a book.
pub(super) fn tell(book: &mut Book, name: &str) -> Record {
    let mut sheets = Vec::new();
    let mut later = later_day(book);
    for s in 0..book.uses.len() {
        let mut sheet = lines(book, s);
        for n in limits_of(book, s) {
            match limit_record(book, s, n, later.as_mut()) {
                Ok(limit) => {
                    sheet.limits.push(limit);
                    sheet.limit_places.push(n);
                }
                Err(reason) => {
                    let name = book.uses[s].sheet.lines[n].name.value.clone();
                    sheet.not_needed.push(NotNeeded { name, reason, limit: true });
                }
            }
        }
        sheets.push(sheet);
    }
    let mut record = Record {
        job: name.to_owned(),
        title: book.job.title.clone(),
        basis: book.basis.name.clone(),
        cautions: book.basis.cautions.clone(),
        on: book.on.map_or_else(String::new, date::show),
        verdict: Verdict::Waiting,
        rests_on: RestsOn::default(),
        remarks: Vec::new(),
        sheets,
        marks: Vec::new(),
    };
    as_a_whole(book, &mut record);
    record
}

/// Tells one limit with what stands behind it, or why it is not needed.
pub(super) fn limit_record(
    book: &mut Book,
    s: usize,
    n: usize,
    later: Option<&mut Later>,
) -> Result<LimitRecord, String> {
    let outcome = on_both_days(book, s, n, later);
    let mut limit = outcome.limit?;
    add_grounds(book, &outcome.grounds, &mut limit.behind.rests);
    limit.behind.doubts = doubts(book, &outcome.grounds);
    limit.behind.sheets = linked_sheets(book, s, &outcome.grounds);
    Ok(limit)
}

/// Tells what the limits make together: the job's verdict, what it rests on, and what is doubtful between sheets.
pub(super) fn as_a_whole(book: &Book, record: &mut Record) {
    let verdicts: Vec<Option<Verdict>> = record.sheets.iter().map(worst).collect();
    let names: Vec<String> = record.sheets.iter().map(|sheet| sheet.name.clone()).collect();
    let musts = record.limits().map(|(_, limit)| limit).filter(|limit| limit.strength == Strength::Must);
    record.rests_on = RestsOn::joined(musts.map(|limit| &limit.behind.rests));
    for limit in record.sheets.iter_mut().flat_map(|sheet| &mut sheet.limits) {
        limit.doubts.clone_from(&limit.behind.doubts);
        for &other in &limit.behind.sheets {
            if let Some(verdict) = verdicts[other].filter(|verdict| *verdict != Verdict::Pass) {
                limit.doubts.push(format!(
                    "rests on {}, whose own verdict is {}",
                    names[other],
                    verdict.word()
                ));
            }
        }
    }
    let verdict = verdicts.into_iter().flatten().max();
    record.remarks.clone_from(&book.remarks);
    record.remarks.extend(overrides(&record.sheets));
    if verdict.is_none() {
        record.remarks.push("nothing judged".to_owned());
    }
    record.verdict = verdict.unwrap_or(Verdict::Waiting);
    record.marks = marks(book, record);
}

/// Returns the worst verdict of a sheet's `must` limits.
fn worst(sheet: &SheetRecord) -> Option<Verdict> {
    let musts = sheet.limits.iter().filter(|limit| limit.strength == Strength::Must);
    musts.map(|limit| limit.verdict).max()
}

/// Says which figures of the basis are overridden, with both sources.
fn overrides(sheets: &[SheetRecord]) -> Vec<String> {
    let of_sheet = |sheet: &SheetRecord| {
        let told = sheet.lines.iter().filter_map(|line| {
            let before = line.overrides.as_ref()?;
            if line.origin == Origin::Open {
                return Some(format!("{}.{} has no figure here; there is {before}", sheet.name, line.name));
            }
            let source = line.source.as_deref().unwrap_or("");
            let clause = line.clause.as_ref().map_or(String::new(), |clause| format!(", {clause}"));
            Some(format!(
                "{}.{} is {} by {source}{clause}; it overrides {before}",
                sheet.name, line.name, line.shown
            ))
        });
        told.collect::<Vec<_>>()
    };
    sheets.iter().flat_map(of_sheet).collect()
}

fn limits_of(book: &Book, s: usize) -> Vec<usize> {
    let lines = &book.uses[s].sheet.lines;
    (0..lines.len()).filter(|n| matches!(lines[*n].role, Role::Limit { .. })).collect()
}

/// The machines of the later day, and which lines of the plan depend on the day.
pub(super) struct Later {
    point: crate::engine::Machine<f64>,
    confirmed: Option<crate::engine::Machine<f64>>,
    spread: Option<crate::engine::Machine<crate::engine::Interval>>,
    reach: Vec<bool>,
    today: f64,
}

impl Later {
    /// Puts the machines of the other day into the book, and takes out those that are in it.
    fn change_places(&mut self, book: &mut Book) {
        std::mem::swap(&mut book.point, &mut self.point);
        std::mem::swap(&mut book.confirmed, &mut self.confirmed);
        std::mem::swap(&mut book.spread, &mut self.spread);
        book.slopes = None;
    }
}

fn later_day(book: &Book) -> Option<Later> {
    let today = book.today?;
    let plan = Arc::clone(book.point.plan());
    let reach = plan.reach(plan.place.get(&Purpose::Today).copied());
    let mut point = book.point.clone();
    set_day(&mut point, today);
    point.work();
    let confirmed = book.confirmed.clone().map(|mut confirmed| {
        set_day(&mut confirmed, today);
        confirmed.work();
        confirmed
    });
    let spread = book.spread.clone().map(|mut spread| {
        set_day(&mut spread, today);
        spread.work();
        spread
    });
    Some(Later { point, confirmed, spread, reach, today })
}

/// A limit that depends on the day is judged on the job's day and on the later one; the worse holds.
fn on_both_days(book: &mut Book, s: usize, n: usize, later: Option<&mut Later>) -> Outcome {
    let own = judge(book, s, n);
    let Some(later) = later.filter(|later| later.reach[book.planned(s, n)]) else { return own };
    later.change_places(book);
    let other = judge(book, s, n);
    later.change_places(book);
    let rank = |outcome: &Outcome| outcome.limit.as_ref().ok().map(|limit| limit.verdict);
    if rank(&other) == rank(&own) {
        return own;
    }
    let (mut worse, day) = if rank(&other) < rank(&own) {
        (own, format!("judged on the job's day; on {} it would be better", date::in_words(later.today)))
    } else {
        (other, format!("judged on {}, later than the job's day", date::in_words(later.today)))
    };
    if let Ok(limit) = &mut worse.limit {
        limit.reason = Some(limit.reason.take().map_or(day.clone(), |reason| format!("{reason}; {day}")));
    }
    worse
}

/// Tells the lines of a sheet, limits left out.
fn lines(book: &mut Book, s: usize) -> SheetRecord {
    let sheet = Arc::clone(&book.uses[s].sheet);
    let used = &book.uses[s];
    let mut made = SheetRecord {
        name: used.name.clone(),
        sheet: used.sheet_name.clone(),
        title: used.sheet.title.clone(),
        cautions: used.sheet.cautions.clone(),
        schedules: sheet
            .schedules
            .iter()
            .zip(&used.row_names)
            .map(|(schedule, rows)| ScheduleRecord {
                name: schedule.name.value.clone(),
                label: schedule.label.clone(),
                rows: rows.clone(),
            })
            .collect(),
        lines: Vec::new(),
        places: Vec::new(),
        limits: Vec::new(),
        limit_places: Vec::new(),
        not_needed: Vec::new(),
        charts: charts(book, s),
    };
    for (n, line) in sheet.lines.iter().enumerate() {
        if matches!(line.role, Role::Limit { .. }) {
            continue;
        }
        if let Some(reason) = skipped(book, s, n) {
            made.not_needed.push(NotNeeded { name: line.name.value.clone(), reason, limit: false });
        } else {
            made.lines.push(line_record(book, s, n, line));
            made.places.push(n);
        }
    }
    made
}

/// Returns why a line is not needed, if none of its rows is.
pub(super) fn skipped(book: &Book, s: usize, n: usize) -> Option<String> {
    let used = &book.uses[s];
    let rows = used.rows_of(&used.sheet.lines[n]);
    let status = |row: usize| book.point.at(book.slot(s, n, row)).1;
    let all = rows > 0 && (0..rows).all(|row| matches!(status(row).state(), State::NotNeeded(_)));
    all.then(|| words::reason(book, status(0)).unwrap_or_default())
}

pub(super) fn line_record(book: &mut Book, s: usize, n: usize, line: &Line) -> LineRecord {
    let table = looked_up(book, s, n, line);
    let book = &*book;
    let used = &book.uses[s];
    let rows = used.rows_of(line);
    let at = |row: usize| book.point.at(book.slot(s, n, row));
    let values: Vec<Value> = (0..rows).map(|row| words::value(book, line, at(row))).collect();
    let shown: Vec<String> = (0..rows).map(|row| shown(book, (s, n), row)).collect();
    let spreads: Vec<(Value, Value)> = (0..rows).map(|row| spread(book, s, n, line, row)).collect();
    let (low, high): (Vec<Value>, Vec<Value>) = spreads.into_iter().unzip();
    let reason = (0..rows).find_map(|row| words::reason(book, at(row).1));
    let (kind, origin) = match &line.role {
        Role::Given { .. } => (LineKind::Given, Origin::Open),
        Role::Take { .. } | Role::Cell { .. } => (LineKind::Take, Origin::Adopted),
        Role::Find(_) | Role::Limit { .. } => (LineKind::Find, Origin::Worked),
    };
    let known = (0..rows).filter_map(|row| used.known.get(&(n, row))).min_by_key(|known| trust(known.origin));
    let known = known.cloned().unwrap_or_else(|| Known::of(origin));
    let cite = known.cite.clone().or_else(|| book.cite(line)).or(table);
    let one = |mut list: Vec<Value>| match line.schedule {
        Some(_) => Value::Rows(list),
        None => list.pop().unwrap_or(Value::None),
    };
    LineRecord {
        name: line.name.value.clone(),
        label: line.label.clone(),
        kind,
        value: one(values),
        unit: line.unit.symbol().to_owned(),
        shown: shown.join(", "),
        shown_rows: if line.schedule.is_some() { shown } else { Vec::new() },
        low: one(low),
        high: one(high),
        tolerance: known.tolerance.filter(|one| !one.is_zero()).map(|one| one.show(&line.unit)),
        origin: known.origin,
        who: known.who,
        at: known.at.map(date::show),
        source: cite.as_ref().map(|cite| cite.document.clone()),
        clause: cite.as_ref().and_then(|cite| cite.clause.clone()),
        unverified: cite.is_some_and(|cite| cite.unverified),
        reason,
        schedule: line.schedule.map(|schedule| used.sheet.schedules[schedule].name.value.clone()),
        anyway: known.anyway,
        overrides: known.overrides,
        note: known.note.or_else(|| line.note.clone()),
    }
}

/// A column is only as well known as its least known row.
fn trust(origin: Origin) -> u8 {
    match origin {
        Origin::Open => 0,
        Origin::Default => 1,
        Origin::Assumed => 2,
        Origin::NotSaid => 3,
        Origin::Measured
        | Origin::Nameplate
        | Origin::Datasheet
        | Origin::Drawing
        | Origin::Stated
        | Origin::Linked
        | Origin::Adopted
        | Origin::Worked => 4,
    }
}

/// A value that is looked up carries the source of its table.
fn looked_up(book: &mut Book, s: usize, n: usize, line: &Line) -> Option<Cite> {
    let rows = book.uses[s].rows_of(line);
    let planned = book.planned(s, n);
    if rows == 0 || !matches!(line.role, Role::Find(_)) || line.source.is_some() {
        return None;
    }
    let plan = Arc::clone(book.point.plan());
    let mut used = (0..rows).flat_map(|row| book.point.used_by(&plan, (planned, row))).collect::<Vec<_>>();
    used.sort_unstable();
    used.iter().find_map(|&(place, row)| {
        let Purpose::TableColumn(s, t, c) = plan.lines[place].purpose else { return None };
        let table = book.uses[s].sheet.tables[t].table.as_ref()?;
        let cite = table.columns[c].cite.clone()?;
        let unverified = cite.unverified || table.row_unverified.get(row) == Some(&true);
        Some(Cite { unverified, ..cite })
    })
}

pub(super) fn shown(book: &Book, (s, n): (usize, usize), row: usize) -> String {
    let (value, status) = book.point.at(book.slot(s, n, row));
    match status.state() {
        State::Worked => words::of_line(book, (s, n), row, value),
        State::Open(_) => "?".to_owned(),
        State::Unworkable(..) => "not workable".to_owned(),
        State::NotNeeded(_) => "not needed".to_owned(),
    }
}

/// The lowest and highest that a quantity may be; nothing where no tolerance reaches it.
fn spread(book: &Book, s: usize, n: usize, line: &Line, row: usize) -> (Value, Value) {
    match book.spread_of(s, n, row) {
        Some(((low, high), status)) if low != high => {
            (words::value(book, line, (low, status)), words::value(book, line, (high, status)))
        }
        Some(_) | None => (Value::None, Value::None),
    }
}
