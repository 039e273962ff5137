//! What was changed between two jobs, each change on its own, and the older job with some of them made.
//!
//! In: two loaded jobs. Out: changes; a job put together of both.
//! Never: makes half a change: rows that do not match are changed as a whole.

use std::collections::BTreeSet;

use crate::engine::Status;
use crate::fault::{Span, Spanned};
use crate::job::{Entry, Job, Row, Rows, Use};
use crate::notebook::book::Book;
use crate::notebook::compare::Loaded;
use crate::notebook::record::identity::stamps;
use crate::sheet::model::Role;

/// One change.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Change {
    /// A given or a figure of a sheet.
    Line { sheet: String, name: String, figure: bool },
    /// A cell of a row.
    Cell { sheet: String, schedule: String, row: usize, name: String, label: String },
    /// All rows of a schedule; of the very same rows only their order.
    Rows { sheet: String, schedule: String, order: bool },
    /// The day of the work.
    Day,
    /// Another basis.
    Basis,
    /// What the instruments say of themselves.
    Instruments,
    /// Sheets used in only one of the two.
    Sheets,
    /// The sheets, bases, tables and CSV files themselves.
    Files,
}

impl Change {
    /// Returns the line or schedule that is changed, by its name; nothing where all of the job is.
    pub(super) fn line(&self) -> Option<String> {
        match self {
            Self::Line { sheet, name, .. } => Some(format!("{sheet}.{name}")),
            Self::Cell { sheet, schedule, name, .. } => Some(format!("{sheet}.{schedule}.{name}")),
            Self::Rows { sheet, schedule, .. } => Some(format!("{sheet}.{schedule}")),
            Self::Day | Self::Basis | Self::Instruments | Self::Sheets | Self::Files => None,
        }
    }

    /// Returns the change in words.
    pub(super) fn words(&self) -> String {
        match self {
            Self::Line { sheet, name, .. } => format!("{sheet}.{name}"),
            Self::Cell { label, .. } => label.clone(),
            Self::Rows { sheet, schedule, order: true } => format!("the order of {sheet}.{schedule}"),
            Self::Rows { sheet, schedule, order: false } => format!("the rows of {sheet}.{schedule}"),
            Self::Day => "the day of the work".to_owned(),
            Self::Basis => "the basis".to_owned(),
            Self::Instruments => "the instruments".to_owned(),
            Self::Sheets => "the sheets that are used".to_owned(),
            Self::Files => "the text of a sheet, basis or table".to_owned(),
        }
    }
}

/// Returns every change between two jobs.
pub(super) fn changes(old: &Loaded, new: &Loaded) -> Vec<Change> {
    let (a, b) = (&old.book, &new.book);
    let mut made = Vec::new();
    let whole = [
        (a.on != b.on, Change::Day),
        (a.basis.name != b.basis.name, Change::Basis),
        (a.job.instruments != b.job.instruments, Change::Instruments),
        (names(a) != names(b), Change::Sheets),
        (files_differ(a, b), Change::Files),
    ];
    made.extend(whole.into_iter().filter(|(differs, _)| *differs).map(|(_, change)| change));
    for (s, used) in a.uses.iter().enumerate() {
        let Some(other) = b.uses.iter().position(|other| other.name == used.name) else { continue };
        if b.uses[other].sheet_name == used.sheet_name {
            of_sheet(a, b, (s, other), &mut made);
        }
    }
    made
}

fn names(book: &Book) -> BTreeSet<(&str, &str)> {
    book.uses.iter().map(|used| (used.name.as_str(), used.sheet_name.as_str())).collect()
}

/// Files of one name that read differently; those that only one of the two uses are no change of a file.
fn files_differ(a: &Book, b: &Book) -> bool {
    let other = stamps(b);
    let csv = |file: &str| file.ends_with(".csv");
    stamps(a).iter().any(|file| {
        other.iter().any(|other| other.file == file.file && other.hash != file.hash && !csv(&file.file))
    })
}

fn of_sheet(a: &Book, b: &Book, (s, other): (usize, usize), made: &mut Vec<Change>) {
    let (used, new) = (&a.uses[s], &b.uses[other]);
    for (n, line) in used.sheet.lines.iter().enumerate() {
        let figure = matches!(line.role, Role::Take { .. });
        if line.schedule.is_some() || !(figure || matches!(line.role, Role::Given { .. })) {
            continue;
        }
        let Some(m) = new.sheet.known_line(&line.name.value) else { continue };
        if differs(a, b, (s, n, 0), (other, m, 0)) {
            made.push(Change::Line { sheet: used.name.clone(), name: line.name.value.clone(), figure });
        }
    }
    for (n, schedule) in used.sheet.schedules.iter().enumerate() {
        let Some(m) = new.sheet.known_schedule(&schedule.name.value) else { continue };
        if schedule.from.is_some() {
            continue;
        }
        let name = &schedule.name.value;
        if used.row_names[n] != new.row_names[m] {
            let order = only_order(a, b, (s, n), (other, m));
            made.push(Change::Rows { sheet: used.name.clone(), schedule: name.clone(), order });
            continue;
        }
        // Rows that are linked whole change where they are written.
        let linked = |book: &Book, s: usize| {
            let found = book.job.sheets[s].schedules.iter().find(|(known, _)| known.value == *name);
            found.is_some_and(|(_, rows)| matches!(rows, Rows::Linked(_)))
        };
        if linked(a, s) || linked(b, other) {
            continue;
        }
        for &column in &schedule.columns {
            let line = &used.sheet.lines[column];
            let Some(to) = new.sheet.known_column(m, &line.name.value) else { continue };
            for row in 0..used.row_names[n].len() {
                let given = matches!(line.role, Role::Given { .. });
                if given && differs(a, b, (s, column, row), (other, to, row)) {
                    made.push(Change::Cell {
                        sheet: used.name.clone(),
                        schedule: name.clone(),
                        row,
                        name: line.name.value.clone(),
                        label: used.full_name(column, row),
                    });
                }
            }
        }
    }
}

/// Whether two schedules have the very same rows, each name once, in another order.
fn only_order(a: &Book, b: &Book, (s, n): (usize, usize), (t, m): (usize, usize)) -> bool {
    let (was, is) = (&a.uses[s].row_names[n], &b.uses[t].row_names[m]);
    let once: BTreeSet<&String> = was.iter().collect();
    if once.len() != was.len() || was.len() != is.len() {
        return false;
    }
    let sheet = &a.uses[s].sheet;
    let given = |column: &&usize| matches!(sheet.lines[**column].role, Role::Given { .. });
    was.iter().enumerate().all(|(row, name)| {
        let Some(to) = is.iter().position(|other| other == name) else { return false };
        sheet.schedules[n].columns.iter().filter(given).all(|&column| {
            let other = b.uses[t].sheet.known_column(m, &sheet.lines[column].name.value);
            other.is_some_and(|other| !differs(a, b, (s, column, row), (t, other, to)))
        })
    })
}

/// Whether what was entered differs: its value, its tolerance, its link, whether it is confirmed.
fn differs(
    a: &Book,
    b: &Book,
    (s, n, row): (usize, usize, usize),
    (t, m, other): (usize, usize, usize),
) -> bool {
    let known = |book: &Book, s: usize, n: usize, row: usize| {
        let known = book.uses[s].known.get(&(n, row));
        known.map(|known| (known.link.clone(), known.tolerance, known.origin))
    };
    let (was, is) = (known(a, s, n, row), known(b, t, m, other));
    if was != is {
        return true;
    }
    if was.is_some_and(|(link, _, _)| link.is_some()) {
        return false;
    }
    let at = |book: &Book, s: usize, n: usize, row: usize| {
        let slot = book.point.entry_slot(s, n)? + u32::try_from(row).ok()?;
        let (value, status) = book.point.at(slot);
        let text = book.uses[s].sheet.lines[n].is == crate::sheet::model::Is::Text;
        let value = if text { book.point.text(value).to_owned() } else { format!("{value:.12e}") };
        Some(if status == Status::WORKED { value } else { String::new() })
    };
    at(a, s, n, row) != at(b, t, m, other)
}

/// Returns the older job with some changes made.
pub(super) fn with(old: &Loaded, new: &Loaded, changes: &[&Change]) -> Job {
    let has = |change: &Change| changes.contains(&change);
    let (a, b) = (&old.book.job, &new.book.job);
    let mut job = a.clone();
    if has(&Change::Day) {
        job.on.clone_from(&b.on);
    }
    if has(&Change::Basis) {
        job.basis = b.basis.clone();
    }
    if has(&Change::Instruments) {
        job.instruments.clone_from(&b.instruments);
    }
    let known = |name: &str| a.instruments.iter().any(|own| own.name.value == name);
    job.instruments.extend(b.instruments.iter().filter(|other| !known(&other.name.value)).cloned());
    listed(&mut job.sheets, &old.book);
    if has(&Change::Sheets) {
        job.sheets.retain(|used| b.sheets.iter().any(|other| other.name.value == used.name.value));
        let mut others = b.sheets.clone();
        listed(&mut others, &new.book);
        others.retain(|other| !a.sheets.iter().any(|used| used.name.value == other.name.value));
        job.sheets.extend(others);
    }
    for change in changes {
        make(&mut job, &new.book, change);
    }
    job
}

/// Rows of a CSV file are written out: the other job may have another file of that name.
fn listed(sheets: &mut [Use], book: &Book) {
    for (s, used) in sheets.iter_mut().enumerate() {
        for (name, rows) in &mut used.schedules {
            let sheet = &book.uses[s].sheet;
            let Some(n) = sheet.known_schedule(&name.value) else { continue };
            let (Rows::Csv(_), Some(grid)) = (&*rows, book.grids[s][n].as_ref()) else { continue };
            // A file may have columns for other sheets.
            let own = |(name, _): &&(Spanned<String>, Entry)| sheet.known_column(n, &name.value).is_some();
            let row = |cells: &Vec<(Spanned<String>, Entry)>| Row {
                cells: cells.iter().filter(own).cloned().collect(),
                at: Span::default(),
            };
            *rows = Rows::Listed(grid.rows.iter().map(row).collect());
        }
    }
}

fn make(job: &mut Job, new: &Book, change: &Change) {
    let (sheet, name) = match change {
        Change::Line { sheet, name, .. } => (sheet, name),
        Change::Cell { sheet, schedule, .. } | Change::Rows { sheet, schedule, .. } => (sheet, schedule),
        Change::Day | Change::Basis | Change::Instruments | Change::Sheets | Change::Files => return,
    };
    let Some(used) = job.sheets.iter_mut().find(|used| used.name.value == *sheet) else { return };
    let Some(at) = new.job.sheets.iter().position(|other| other.name.value == *sheet) else { return };
    let mut others = new.job.sheets.clone();
    listed(&mut others, new);
    let other = &others[at];
    match change {
        Change::Line { figure, .. } => {
            let (to, from) =
                if *figure { (&mut used.take, &other.take) } else { (&mut used.given, &other.given) };
            to.retain(|(known, _)| known.value != *name);
            to.extend(from.iter().filter(|(known, _)| known.value == *name).cloned());
        }
        Change::Rows { .. } => {
            used.schedules.retain(|(known, _)| known.value != *name);
            used.schedules.extend(other.schedules.iter().filter(|(known, _)| known.value == *name).cloned());
        }
        Change::Cell { row, name: column, .. } => {
            let cells = |schedules: &[(Spanned<String>, Rows)]| {
                let found = schedules.iter().find(|(known, _)| known.value == *name);
                match found.map(|(_, rows)| rows) {
                    Some(Rows::Listed(rows)) => rows.get(*row).map(|row| row.cells.clone()),
                    Some(Rows::Csv(_) | Rows::Linked(_)) | None => None,
                }
            };
            let from = cells(&other.schedules).unwrap_or_default();
            let to = used.schedules.iter_mut().find(|(known, _)| known.value == *name);
            if let Some((_, Rows::Listed(rows))) = to
                && let Some(row) = rows.get_mut(*row)
            {
                row.cells.retain(|(known, _)| known.value != *column);
                row.cells.extend(from.into_iter().filter(|(known, _)| known.value == *column));
            }
        }
        Change::Day | Change::Basis | Change::Instruments | Change::Sheets | Change::Files => {}
    }
}
