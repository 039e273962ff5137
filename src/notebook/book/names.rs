//! What a typed name stands for in an open job.
//!
//! In: a name as typed, and the sheet that is looked in first. Out: a sheet, a schedule, a row or a line.
//! Never: guesses: a name that several sheets have is told.

use crate::fault::{Fault, Span, Spanned, near};
use crate::notebook::Wrong;
use crate::notebook::book::Book;
use crate::sheet::model::Line;
use crate::sheet::scan::Scan;
use crate::sheet::token::Path;

/// What a name stands for; sheets, schedules and lines by their places in the job and in their sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::notebook) enum Named {
    /// A sheet of the job.
    Sheet(usize),
    /// A schedule of a sheet.
    Schedule(usize, usize),
    /// A row of a schedule.
    Row(usize, usize, usize),
    /// A line.
    Line(LinePlace),
    /// A chart of a sheet.
    Chart(usize, usize),
}

/// A line of a sheet of the job, and of a column the row; none is all of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::notebook) struct LinePlace {
    pub(in crate::notebook) s: usize,
    pub(in crate::notebook) n: usize,
    pub(in crate::notebook) row: Option<usize>,
}

/// Returns what a name stands for.
///
/// # Errors
/// No such name, with the nearest; or one that several sheets have.
pub(in crate::notebook) fn named(
    book: &Book,
    first: Option<usize>,
    path: &Spanned<Path>,
) -> Result<Named, Fault> {
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
        && let Ok(Some(named)) = within(book, s, &parts)
    {
        return Ok(named);
    }
    let (mut found, mut lacking) = (Vec::new(), None);
    for s in 0..book.uses.len() {
        match within(book, s, &parts) {
            Ok(named) => found.extend(named.map(|named| (s, named))),
            // A row that this sheet lacks may be one of another.
            Err(wrong) => lacking = lacking.or(Some(wrong)),
        }
    }
    if let (true, Some(lacking)) = (found.is_empty(), lacking) {
        return Err(wrong(lacking));
    }
    match found.as_slice() {
        [(_, only)] => Ok(*only),
        [(s, _), ..] => {
            let first = format!("{}.{}", book.uses[*s].name, path.value);
            Err(wrong(Wrong::SeveralLines { found: path.value.to_string(), first }))
        }
        [] if parts == ["on"] => Err(wrong(Wrong::DayOfJob)),
        [] => on_rows(book, first, &parts).map_err(wrong),
    }
}

/// Returns the line that a full name stands for, if it is one.
pub(in crate::notebook) fn line_of(book: &Book, name: &str) -> Option<LinePlace> {
    let mut scan = Scan::new(name, Span::new(0, name.len()));
    let (path, at) = scan.expect_path("a name").ok().filter(|_| scan.is_done())?;
    match named(book, None, &Spanned::new(path, at)).ok()? {
        Named::Line(place) => Some(place),
        Named::Sheet(_) | Named::Schedule(..) | Named::Row(..) | Named::Chart(..) => None,
    }
}

/// Returns the column, or the limit on rows, that a name stands for without its schedule.
fn on_rows(book: &Book, first: Option<usize>, parts: &[&str]) -> Result<Named, Wrong> {
    let full = parts.join(".");
    let unknown = || {
        let names = names_of(book, parts[0]);
        match names.is_empty() {
            true => Wrong::NoWord { found: full.clone(), near: near_name(book, &full) },
            false => Wrong::UsedAs { found: parts[0].to_owned(), names },
        }
    };
    let (sheet, name) = match parts {
        [name] => (None, *name),
        [sheet, name] => (Some(*sheet), *name),
        _ => return Err(unknown()),
    };
    let mut found = Vec::new();
    for (s, used) in book.uses.iter().enumerate() {
        let columns = used.sheet.lines.iter().enumerate();
        let fits = |line: &Line| line.schedule.is_some() && line.name.value == name;
        let asked = sheet.is_none_or(|sheet| sheet == used.name);
        found.extend(columns.filter(|(_, line)| asked && fits(line)).map(|(n, _)| LinePlace {
            s,
            n,
            row: None,
        }));
    }
    if let Some(own) = found.iter().find(|place| Some(place.s) == first) {
        return Ok(Named::Line(*own));
    }
    match found.as_slice() {
        [only] => Ok(Named::Line(*only)),
        [one, ..] => {
            let first = book.uses[one.s].plain_name(one.n);
            Err(Wrong::SeveralLines { found: full, first })
        }
        [] => Err(unknown()),
    }
}

/// Returns what the job calls a sheet that it does not call by the sheet's own name.
fn names_of(book: &Book, sheet: &str) -> Vec<String> {
    let named = book.uses.iter().filter(|used| used.sheet_name == sheet && used.name != sheet);
    named.map(|used| used.name.clone()).collect()
}

/// Returns the name that was probably meant: a near one, or that of a line of another sheet.
pub(in crate::notebook) fn near_name(book: &Book, found: &str) -> Option<String> {
    let known = all_names(book);
    let last = |name: &'_ str| name.rsplit('.').next().unwrap_or_default().to_owned();
    let Some((_, line)) = found.rsplit_once('.') else {
        let all: Vec<String> = known.iter().map(|name| last(name)).chain(known.iter().cloned()).collect();
        return near(found, all.iter().map(String::as_str).filter(|name| !name.contains('.')))
            .map(str::to_owned);
    };
    let without_sheet = known.iter().filter_map(|name| name.split_once('.')).map(|(_, rest)| rest);
    let near = near(found, known.iter().map(String::as_str).chain(without_sheet)).map(str::to_owned);
    near.or_else(|| known.iter().find(|name| name.contains('.') && last(name) == line).cloned())
}

/// Returns what a name stands for in one sheet; nothing for its own name is the sheet.
fn within(book: &Book, s: usize, parts: &[&str]) -> Result<Option<Named>, Wrong> {
    let sheet = &book.uses[s].sheet;
    let line = |n: usize, row| Named::Line(LinePlace { s, n, row });
    let Some((first, rest)) = parts.split_first() else { return Ok(Some(Named::Sheet(s))) };
    let Some(schedule) = sheet.known_schedule(first) else {
        let chart = || sheet.known_chart(first).map(|c| Named::Chart(s, c));
        let found = sheet.known_line(first).map(|n| line(n, None)).or_else(chart);
        return Ok(found.filter(|_| rest.is_empty()));
    };
    let row = |name: &str| {
        let columns = sheet.schedules[schedule].columns.iter().map(|n| sheet.lines[*n].name.value.as_str());
        let names = &book.uses[s].row_names[schedule];
        // One word behind a schedule may have been meant as a column.
        let column = near(name, columns.filter(|_| rest.len() == 1)).map(|near| format!("{first}.{near}"));
        row_of(book, s, schedule, name).ok_or_else(|| Wrong::NoSuchRow {
            found: name.to_owned(),
            schedule: (*first).to_owned(),
            near: column.or_else(|| {
                near(name, names.iter().map(String::as_str)).map(|row| format!("{first}.\"{row}\""))
            }),
            rows: names.len(),
        })
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
pub(in crate::notebook) fn all_names(book: &Book) -> Vec<String> {
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
        for chart in &used.sheet.charts {
            names.push(chart.name.value.clone());
            names.push(format!("{}.{}", used.name, chart.name.value));
        }
    }
    names
}
