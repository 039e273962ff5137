//! A book told as a record: every line, every limit, and the job's verdict.
//!
//! In: a worked book. Out: a [`Record`].
//! Never: decides how anything looks.

use std::sync::Arc;

use crate::cite::Cite;
use crate::engine::{Purpose, State};
use crate::notebook::book::words;
use crate::notebook::book::{Book, Known, Used};
use crate::notebook::change::marks::marks;
use crate::notebook::judge::Outcome;
use crate::notebook::judge::days::{LimitPlace, on_both_days};
use crate::notebook::judge::grounds::{add_grounds, doubts, linked_sheets};
use crate::notebook::record::chart::charts;
use crate::notebook::record::{
    LimitRecord, LineKind, LineRecord, NotNeeded, Origin, Record, RestsOn, ScheduleRecord, SheetRecord,
    Strength, Value, Verdict, plain_name,
};
use crate::sheet::model::{Line, Role};
use crate::unit::date;

/// Tells a book.
pub(in crate::notebook) fn tell(book: &mut Book, name: &str) -> Record {
    let mut sheets = Vec::new();
    for s in 0..book.uses.len() {
        let mut sheet = lines(book, s);
        let limits = limits_of(book, s);
        for (outcome, (_, n)) in on_both_days(book, &limits).into_iter().zip(limits) {
            match limit_record(book, s, outcome) {
                Ok(limit) => {
                    sheet.limits.push(limit);
                    sheet.limit_places.push(n);
                }
                Err(reason) => {
                    let line = &book.uses[s].sheet.lines[n];
                    sheet.not_needed.push(not_needed(&book.uses[s], line, reason));
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
pub(in crate::notebook) fn limit_record(
    book: &Book,
    s: usize,
    outcome: Outcome,
) -> Result<LimitRecord, String> {
    let mut limit = outcome.limit?;
    add_grounds(book, &outcome.grounds, &mut limit.behind.rests);
    limit.behind.doubts = doubts(book, &outcome.grounds);
    limit.behind.sheets = linked_sheets(book, s, &outcome.grounds);
    Ok(limit)
}

/// Tells what the limits make together: the job's verdict, what it rests on, and what is doubtful between sheets.
pub(in crate::notebook) fn as_a_whole(book: &Book, record: &mut Record) {
    let verdicts: Vec<Option<Verdict>> = record.sheets.iter().map(worst).collect();
    let names: Vec<String> = record.sheets.iter().map(|sheet| sheet.name.clone()).collect();
    let musts = record.limits().map(|(_, limit)| limit).filter(|limit| limit.strength == Strength::Must);
    record.rests_on = RestsOn::joined(musts.map(|limit| &limit.behind.rests));
    for limit in record.sheets.iter_mut().flat_map(|sheet| &mut sheet.limits) {
        limit.doubts.clone_from(&limit.behind.doubts);
        for &other in &limit.behind.sheets {
            if let Some(verdict) = verdicts[other].filter(|verdict| *verdict != Verdict::Pass) {
                limit.doubts.push(format!("rests on {}, which {}", names[other], verdict.as_verb()));
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
pub(in crate::notebook) fn overrides(sheets: &[SheetRecord]) -> Vec<String> {
    let of_sheet = |sheet: &SheetRecord| {
        let told = sheet.lines.iter().filter_map(|line| override_words(sheet, line));
        told.collect::<Vec<_>>()
    };
    sheets.iter().flat_map(of_sheet).collect()
}

/// Says that a line overrides a figure of the basis, with both sources, if it does.
pub(in crate::notebook) fn override_words(sheet: &SheetRecord, line: &LineRecord) -> Option<String> {
    let before = line.overrides.as_ref()?;
    let name = plain_name(&sheet.name, line.schedule.as_deref(), &line.name);
    if line.origin == Origin::Open {
        return Some(format!("{name} has no figure here; there is {before}"));
    }
    let cite = line.cite().map_or_else(String::new, |cite| cite.to_string());
    Some(format!("{name} is {} by {cite}; it overrides {before}", line.shown))
}

fn limits_of(book: &Book, s: usize) -> Vec<LimitPlace> {
    let lines = book.uses[s].sheet.lines.iter().enumerate();
    lines.filter(|(_, line)| matches!(line.role, Role::Limit { .. })).map(|(n, _)| (s, n)).collect()
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
            made.not_needed.push(not_needed(&book.uses[s], line, reason));
        } else {
            made.lines.push(line_record(book, s, n, line));
            made.places.push(n);
        }
    }
    made
}

fn not_needed(used: &Used, line: &Line, reason: String) -> NotNeeded {
    let limit = matches!(line.role, Role::Limit { .. });
    let schedule = used.schedule_name(line).map(str::to_owned);
    NotNeeded { name: line.name.value.clone(), reason, limit, schedule }
}

/// Returns why a line is not needed, if none of its rows is.
pub(in crate::notebook) fn skipped(book: &Book, s: usize, n: usize) -> Option<String> {
    let used = &book.uses[s];
    let rows = used.rows_of(&used.sheet.lines[n]);
    let status = |row: usize| book.point.at(book.slot(s, n, row)).1;
    let all = rows > 0 && (0..rows).all(|row| matches!(status(row).state(), State::NotNeeded(_)));
    all.then(|| words::reason(book, status(0)).unwrap_or_default())
}

pub(in crate::notebook) fn line_record(book: &mut Book, s: usize, n: usize, line: &Line) -> LineRecord {
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
        schedule: used.schedule_name(line).map(str::to_owned),
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

pub(in crate::notebook) fn shown(book: &Book, (s, n): (usize, usize), row: usize) -> String {
    let (value, status) = book.point.at(book.slot(s, n, row));
    match status.state() {
        State::Worked => words::of_line(book, (s, n), row, value),
        State::Open(_) => "?".to_owned(),
        State::Unworkable(..) => "cannot be worked out".to_owned(),
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
