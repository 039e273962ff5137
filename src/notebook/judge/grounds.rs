//! What a limit rests on: what was assumed, what nobody has verified, what is still open, what is doubtful.
//!
//! In: a worked book, and the places of the plan behind a limit. Out: full names, and doubts in words.
//! Never: judges.

use crate::engine::{Place, Purpose, Status};
use crate::notebook::book::{Book, Known};
use crate::notebook::record::{Origin, RestsOn, keep_first};
use crate::sheet::model::{Is, Line};
use crate::unit::date;

/// Adds what a limit rests on to what its job rests on.
pub(in crate::notebook) fn add_grounds(book: &Book, grounds: &[Place], rests: &mut RestsOn) {
    for &(planned, row) in grounds {
        let slot = book.point.plan().slot(planned, row);
        let open = book.point.at(slot).1 == Status::open(slot);
        match book.point.plan().lines[planned].purpose {
            Purpose::Line(s, n) | Purpose::Entry(s, n) => {
                let used = &book.uses[s];
                let name = used.full_name(n, row);
                if open {
                    add(&mut rests.open, &name);
                }
                match used.known.get(&(n, row)) {
                    Some(known) => {
                        if !is_row_name(used, n) {
                            add_known(&used.sheet.lines[n], known, &name, rests);
                        }
                        if known.cite.is_none()
                            && book.cite(&used.sheet.lines[n]).is_some_and(|cite| cite.unverified)
                        {
                            add(&mut rests.unverified, &name);
                        }
                    }
                    None if book.cite(&used.sheet.lines[n]).is_some_and(|cite| cite.unverified) => {
                        add(
                            &mut rests.unverified,
                            &format!("{}.{}", used.name, used.sheet.lines[n].name.value),
                        );
                    }
                    None => {}
                }
            }
            Purpose::TableColumn(s, t, c) => {
                let used = &book.uses[s].sheet.tables[t];
                let Some(table) = &used.table else { continue };
                let column = &table.columns[c];
                let full = format!("{}.{}", book.uses[s].name, used.name.value);
                if column.cite.as_ref().is_some_and(|cite| cite.unverified) {
                    add(&mut rests.unverified, &format!("{full}.{}", column.name));
                } else if table.row_unverified.get(row) == Some(&true) {
                    let row = table.row_name(row).unwrap_or_default();
                    add(&mut rests.unverified, &format!("{full}.\"{row}\".{}", column.name));
                }
            }
            Purpose::RowsOf(s, n) if book.uses[s].lacks_rows(n) => {
                let schedule = &book.uses[s].sheet.schedules[n].name.value;
                add(&mut rests.open, &format!("{}.{schedule}", book.uses[s].name));
            }
            Purpose::RowsOf(..)
            | Purpose::TableRows(..)
            | Purpose::ChartLine(..)
            | Purpose::Part
            | Purpose::Today => {}
        }
    }
    rests.keep_first();
}

/// What a row goes by is what it is called: nobody measured it.
fn is_row_name(used: &crate::notebook::book::Used, n: usize) -> bool {
    let line = &used.sheet.lines[n];
    let first = line.schedule.and_then(|schedule| {
        let columns = used.sheet.schedules[schedule].columns.iter();
        columns.copied().find(|column| used.sheet.lines[*column].is == Is::Text)
    });
    first == Some(n)
}

fn add(list: &mut Vec<String>, name: &str) {
    list.push(name.to_owned());
}

fn add_known(line: &Line, known: &Known, name: &str, rests: &mut RestsOn) {
    match known.origin {
        Origin::Assumed | Origin::NotSaid => add(&mut rests.assumed, name),
        Origin::Default => add(&mut rests.unconfirmed, name),
        Origin::Measured
        | Origin::Nameplate
        | Origin::Datasheet
        | Origin::Drawing
        | Origin::Stated
        | Origin::Linked
        | Origin::Adopted
        | Origin::Open
        | Origin::Worked => {}
    }
    if lacks_tolerance(line, known) {
        add(&mut rests.no_tolerance, name);
    }
    if known.other_day {
        add(&mut rests.other_day, name);
    }
    if known.past_calibration.is_some() {
        add(&mut rests.past_calibration, name);
    }
    if known.cite.as_ref().is_some_and(|cite| cite.unverified) {
        add(&mut rests.unverified, name);
    }
}

/// Returns whether a reading of a number says nothing of how well it is known.
fn lacks_tolerance(line: &Line, known: &Known) -> bool {
    let number = matches!(line.is, Is::Quantity(_) | Is::Point);
    known.origin == Origin::Measured && known.tolerance.is_none() && number
}

/// Returns what makes the readings behind a limit doubtful, each in words.
pub(in crate::notebook) fn doubts(book: &Book, grounds: &[Place]) -> Vec<String> {
    let mut told = Vec::new();
    for &(planned, row) in grounds {
        let (Purpose::Line(s, n) | Purpose::Entry(s, n)) = book.point.plan().lines[planned].purpose else {
            continue;
        };
        let used = &book.uses[s];
        let Some(known) = used.known.get(&(n, row)) else { continue };
        let name = used.full_name(n, row);
        if lacks_tolerance(&used.sheet.lines[n], known) {
            add(&mut told, &format!("{name} was measured, its tolerance is not known"));
        }
        if let (true, Some(at)) = (known.other_day, known.at) {
            add(&mut told, &format!("{name} was measured on another day, {}", date::in_words(date::day(at))));
        }
        if let Some(until) = known.past_calibration {
            let instrument = known.with.as_deref().unwrap_or("the instrument");
            let until = date::in_words(until);
            add(&mut told, &format!("{name} was measured with {instrument}, calibrated until {until}"));
        }
        if let Some(reason) = &known.anyway {
            add(&mut told, &format!("{name} is outside its range, taken anyway: {reason}"));
        }
    }
    keep_first(&mut told);
    told
}

/// Returns the sheets, other than its own, that a limit rests on.
pub(in crate::notebook) fn linked_sheets(book: &Book, own: usize, grounds: &[Place]) -> Vec<usize> {
    let mut sheets: Vec<usize> = grounds
        .iter()
        .filter_map(|&(planned, _)| match book.point.plan().lines[planned].purpose {
            Purpose::Line(s, _) | Purpose::Entry(s, _) | Purpose::RowsOf(s, _) => Some(s),
            Purpose::TableColumn(..)
            | Purpose::TableRows(..)
            | Purpose::ChartLine(..)
            | Purpose::Part
            | Purpose::Today => None,
        })
        .filter(|s| *s != own)
        .collect();
    sheets.sort_unstable();
    sheets.dedup();
    sheets
}
