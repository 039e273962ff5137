//! What a typed name stands for in an open job.
//!
//! In: a name as typed, and the sheet that is looked in first. Out: a sheet, a schedule, a row or a line.
//! Never: guesses: a name that several sheets have is told.

use super::Wrong;
use super::book::Book;
use crate::fault::{Fault, Spanned, near};
use crate::sheet::token::Path;

/// What a name stands for; sheets, schedules and lines by their places in the job and in their sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Named {
    /// A sheet of the job.
    Sheet(usize),
    /// A schedule of a sheet.
    Schedule(usize, usize),
    /// A row of a schedule.
    Row(usize, usize, usize),
    /// A line.
    Line(LinePlace),
}

/// A line of a sheet of the job, and of a column the row; none is all of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct LinePlace {
    pub(super) s: usize,
    pub(super) n: usize,
    pub(super) row: Option<usize>,
}

/// Returns what a name stands for.
///
/// # Errors
/// No such name, with the nearest; or one that several sheets have.
pub(super) fn named(book: &Book, first: Option<usize>, path: &Spanned<Path>) -> Result<Named, Fault> {
    let parts: Vec<&str> = path.value.0.iter().map(String::as_str).collect();
    let wrong = |wrong: Wrong| Fault::new(path.at, wrong);
    let sheet = book.uses.iter().position(|used| Some(&used.name.as_str()) == parts.first());
    if let Some(s) = sheet {
        match within(book, s, &parts[1..]) {
            Ok(Some(named)) => return Ok(named),
            Err(found) => return Err(wrong(found)),
            Ok(None) => {}
        }
    }
    if let Some(s) = first
        && let Some(named) = within(book, s, &parts).map_err(wrong)?
    {
        return Ok(named);
    }
    let mut found = Vec::new();
    for s in 0..book.uses.len() {
        found.extend(within(book, s, &parts).map_err(wrong)?.map(|named| (s, named)));
    }
    match found.as_slice() {
        [(_, only)] => Ok(*only),
        [(s, _), ..] => {
            let first = format!("{}.{}", book.uses[*s].name, path.value);
            Err(wrong(Wrong::SeveralLines { found: path.value.to_string(), first }))
        }
        [] if parts == ["on"] => Err(wrong(Wrong::DayOfJob)),
        [] => {
            let known = all_names(book);
            let full = path.value.to_string();
            // A short name is compared with short names.
            let whole = parts.len() > 1;
            let short = |name: &&String| whole || !name.contains('.');
            let near = near(&full, known.iter().filter(short).map(String::as_str)).map(str::to_owned);
            Err(wrong(Wrong::NoWord { found: full, near }))
        }
    }
}

/// Returns what a name stands for in one sheet; nothing for its own name is the sheet.
fn within(book: &Book, s: usize, parts: &[&str]) -> Result<Option<Named>, Wrong> {
    let sheet = &book.uses[s].sheet;
    let line = |n: usize, row| Named::Line(LinePlace { s, n, row });
    let Some((first, rest)) = parts.split_first() else { return Ok(Some(Named::Sheet(s))) };
    let Some(schedule) = sheet.known_schedule(first) else {
        return Ok(sheet.known_line(first).filter(|_| rest.is_empty()).map(|n| line(n, None)));
    };
    let row = |name: &str| {
        row_of(book, s, schedule, name)
            .ok_or_else(|| Wrong::NoSuchRow { found: name.to_owned(), schedule: (*first).to_owned() })
    };
    Ok(match rest {
        [] => Some(Named::Schedule(s, schedule)),
        [one] => match sheet.known_column(schedule, one) {
            Some(n) => Some(line(n, None)),
            None => Some(Named::Row(s, schedule, row(one)?)),
        },
        [name, column] => {
            let row = row(name)?;
            sheet.known_column(schedule, column).map(|n| line(n, Some(row)))
        }
        _ => None,
    })
}

/// A row goes by its number, from 1, or by its name.
fn row_of(book: &Book, s: usize, schedule: usize, name: &str) -> Option<usize> {
    let names = &book.uses[s].row_names[schedule];
    let by_name = names.iter().position(|known| known == name);
    by_name.or_else(|| name.parse::<usize>().ok()?.checked_sub(1).filter(|row| *row < names.len()))
}

/// Returns every name that may be typed: sheets, lines alone and in full, schedules, columns of each row.
pub(super) fn all_names(book: &Book) -> Vec<String> {
    let mut names = Vec::new();
    for used in &book.uses {
        names.push(used.name.clone());
        for (n, line) in used.sheet.lines.iter().enumerate() {
            names.push(used.plain_name(n));
            match line.schedule {
                None => names.push(line.name.value.clone()),
                Some(_) => names.extend((0..used.rows_of(line)).map(|row| used.full_name(n, row))),
            }
        }
        for schedule in &used.sheet.schedules {
            names.push(schedule.name.value.clone());
            names.push(format!("{}.{}", used.name, schedule.name.value));
        }
    }
    names
}
