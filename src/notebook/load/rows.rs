//! The rows of schedules: from a CSV file, from the job, from a table, or linked whole.
//!
//! In: what a job says of a schedule. Out: rows of entries with the page each stands in.
//! Never: reads a value (that is `enter`).

use std::collections::HashSet;
use std::sync::Arc;

use crate::fault::{Fault, Page, Refused, Span, Spanned, near, refuse};
use crate::job::{Csv, CsvColumn, Entry, Job, Raw, RowFile, Rows, Use};
use crate::notebook::Wrong;
use crate::notebook::library::Library;
use crate::notebook::load::round::of_schedules;
use crate::sheet::Sheet;
use crate::sheet::model::{Is, Line, Role};
use crate::unit::{Quantity, Unit};

/// Rows as written.
#[derive(Clone, Debug)]
pub(in crate::notebook) struct Grid {
    /// The page they stand in.
    pub page: Arc<Page>,
    /// The rows: cells by the names of their columns.
    pub rows: Vec<Vec<(Spanned<String>, Entry)>>,
    /// The headings, of a CSV file.
    pub headings: Option<Vec<Spanned<String>>>,
    /// The units that stand in headings, beside the names of their columns.
    pub units: Vec<(String, Spanned<String>)>,
}

/// Where the rows of a schedule come from.
#[derive(Clone, Debug)]
pub(in crate::notebook) enum RowSource {
    /// The job says nothing of them.
    None,
    /// Rows as written.
    Written(Arc<Grid>),
    /// Another schedule: its sheet, itself, and where the job says so.
    Linked(usize, usize, Span),
    /// The rows of a table.
    Table(usize),
}

/// Returns where the rows of each schedule of each sheet come from.
pub(in crate::notebook) fn sources(
    job: &Job,
    sheets: &[(String, Arc<Sheet>)],
    library: &Library,
    refused: &mut Vec<Refused>,
) -> Vec<Vec<RowSource>> {
    let mut faults = Vec::new();
    let mut made = Vec::new();
    for (used, (_, sheet)) in job.sheets.iter().zip(sheets) {
        let mut of_sheet: Vec<RowSource> =
            sheet.schedules.iter().map(|s| s.from.map_or(RowSource::None, RowSource::Table)).collect();
        for (name, rows) in &used.schedules {
            match place_of(used, sheet, name) {
                Ok(n) => match source(job, rows, sheets, library, refused) {
                    Ok(source) => of_sheet[n] = source,
                    Err(fault) => faults.extend(fault),
                },
                Err(fault) => faults.push(fault),
            }
        }
        made.push(of_sheet);
    }
    faults.extend(of_schedules(sheets, &made));
    if !faults.is_empty() {
        refused.push(Refused { page: Arc::clone(&job.page), faults });
    }
    made
}

fn place_of(used: &Use, sheet: &Sheet, name: &Spanned<String>) -> Result<usize, Fault> {
    let Some(n) = sheet.known_schedule(&name.value) else {
        let near =
            near(&name.value, sheet.schedules.iter().map(|s| s.name.value.as_str())).map(str::to_owned);
        return Err(Fault::new(name.at, Wrong::no_line(used, sheet, ("schedule", &name.value), near)));
    };
    match sheet.schedules[n].from {
        Some(_) => Err(Fault::new(name.at, Wrong::RowsOfTable { name: name.value.clone() })),
        None => Ok(n),
    }
}

fn source(
    job: &Job,
    rows: &Rows,
    sheets: &[(String, Arc<Sheet>)],
    library: &Library,
    refused: &mut Vec<Refused>,
) -> Result<RowSource, Option<Fault>> {
    match rows {
        Rows::Listed(rows) => {
            let rows = rows.iter().map(|row| row.cells.clone()).collect();
            Ok(RowSource::Written(Arc::new(Grid {
                page: Arc::clone(&job.page),
                rows,
                headings: None,
                units: Vec::new(),
            })))
        }
        Rows::Linked(link) => {
            let found = link.value.split_once('.').and_then(|(sheet, schedule)| {
                let s = sheets.iter().position(|(name, _)| name == sheet)?;
                Some((s, sheets[s].1.known_schedule(schedule)?))
            });
            let wrong = || Some(Fault::new(link.at, Wrong::LinkedRows { found: link.value.clone() }));
            found.map(|(s, n)| RowSource::Linked(s, n, link.at)).ok_or_else(wrong)
        }
        Rows::Csv(file) => match library.csv(&file.name.value) {
            Ok(Some(page)) => {
                let ignore: Vec<&str> = job.ignore.iter().map(|name| name.value.as_str()).collect();
                match Csv::read_ignoring(&page, &ignore) {
                    Ok(csv) => Ok(RowSource::Written(Arc::new(of_csv(&csv, file)))),
                    Err(faults) => {
                        refused.push(Refused { page, faults });
                        Err(None)
                    }
                }
            }
            Ok(None) => Err(Some(Fault::new(file.name.at, Wrong::NoCsv { found: file.name.value.clone() }))),
            Err(found) => {
                refused.extend(found);
                Err(None)
            }
        },
    }
}

/// Turns the cells of a CSV file into entries; a unit in the heading goes to each bare number under it.
fn of_csv(csv: &Csv, file: &RowFile) -> Grid {
    let row = |row: &Vec<Spanned<String>>| {
        let cells = csv.columns.iter().zip(row);
        cells.map(|(column, cell)| (column.name.clone(), file.cell(value_of(column, cell)))).collect()
    };
    let unit = |column: &CsvColumn| Some((column.name.value.clone(), column.unit.clone()?));
    Grid {
        page: Arc::clone(&csv.page),
        rows: csv.rows.iter().map(row).collect(),
        headings: Some(csv.columns.iter().map(|column| column.name.clone()).collect()),
        units: csv.columns.iter().filter_map(unit).collect(),
    }
}

fn value_of(column: &CsvColumn, cell: &Spanned<String>) -> Spanned<Raw> {
    let text = match (&column.unit, cell.value.trim()) {
        (_, "") => "?".to_owned(),
        (Some(unit), text) => with_unit(text, &unit.value),
        (None, text) => text.to_owned(),
    };
    let raw = match text.parse::<f64>() {
        Ok(number) if number.is_finite() => Raw::Number(number),
        _ => Raw::Text(text),
    };
    Spanned::new(raw, cell.at)
}

/// Gives each bare number of `2`, `2 ± 0.1` or `2 ± 5 %` the unit of its heading.
pub(in crate::notebook) fn with_unit(text: &str, unit: &str) -> String {
    let one = |part: &str| match part.trim() {
        bare if bare.parse::<f64>().is_ok() => format!("{bare} {unit}"),
        other => other.to_owned(),
    };
    match text.split_once('\u{b1}').or_else(|| text.split_once("+-")) {
        Some((value, tolerance)) => format!("{} \u{b1} {}", one(value), one(tolerance)),
        None => one(text),
    }
}

/// Returns what is wrong with the unit in a heading, for the line that its column is for: also that it is missing,
/// over several numbers without one.
pub(in crate::notebook) fn heading_fault(grid: &Grid, line: &Line) -> Option<Fault> {
    let Some((_, unit)) = grid.units.iter().find(|(name, _)| *name == line.name.value) else {
        let heading = grid.headings.iter().flatten().find(|heading| heading.value == line.name.value)?;
        let cells = grid.rows.iter().flatten().filter(|(name, _)| name.value == line.name.value);
        let bare = cells.filter(|(_, entry)| matches!(entry.value.value, Raw::Number(_))).count();
        let (name, unit) = (line.name.value.clone(), line.unit.symbol().to_owned());
        let missing = bare > 1 && !line.unit.is_plain();
        return missing.then(|| Fault::new(heading.at, Wrong::HeadingBare { name, unit }));
    };
    match Unit::read(&unit.value) {
        Err(fault) => Some(Fault { at: unit.inner(fault.at.range()), ..fault }),
        Ok(found) if Is::of(&found).agrees(line.is) => heading_scale(grid, line, unit, &found),
        Ok(_) => {
            let wanted = match line.is {
                Is::Quantity(dimension) => dimension.name(),
                is => is.name(),
            };
            let (name, unit_of) = (line.name.value.clone(), line.unit.symbol().to_owned());
            Some(Fault::new(unit.at, Wrong::HeadingUnit { name, wanted, unit: unit_of }))
        }
    }
}

/// Returns the fault of a heading in a larger or smaller unit, under which no number fits and all would in the
/// line's own.
fn heading_scale(grid: &Grid, line: &Line, unit: &Spanned<String>, found: &Unit) -> Option<Fault> {
    let Role::Given { within: Some((low, high)), .. } = &line.role else { return None };
    let text = |entry: &Entry| match &entry.value.value {
        Raw::Text(text) => Quantity::read(text).ok().filter(|read| read.unit == *found),
        _ => None,
    };
    let cells = grid.rows.iter().flatten().filter(|(name, _)| name.value == line.name.value);
    let numbers: Vec<f64> = cells.filter_map(|(_, entry)| text(entry)).map(|read| read.number).collect();
    let fits = |unit: &Unit| {
        numbers.iter().filter(|number| (low.si()..=high.si()).contains(&unit.to_si(**number))).count()
    };
    let meant = numbers.len() > 1 && fits(found) == 0 && fits(&line.unit) == numbers.len();
    let (name, unit_of) = (line.name.value.clone(), line.unit.symbol().to_owned());
    let wrong = Wrong::HeadingScale { name, range: format!("{low} to {high}"), unit: unit_of };
    meant.then(|| Fault::new(unit.at, wrong))
}

/// Returns a schedule and those that it is linked to, one after another; of links that go round, each at least once.
pub(super) fn chain(sources: &[Vec<RowSource>], s: usize, n: usize) -> impl Iterator<Item = (usize, usize)> {
    let next = |&(s, n): &(usize, usize)| match &sources[s][n] {
        RowSource::Linked(other, schedule, _) => Some((*other, *schedule)),
        RowSource::None | RowSource::Written(_) | RowSource::Table(_) => None,
    };
    // A chain that does not come back meets each schedule once.
    std::iter::successors(Some((s, n)), next).take(sources.iter().map(Vec::len).sum())
}

/// Returns where the rows of a schedule first come from, through its links, and the schedule that has them; nothing
/// where its links come back to one of themselves.
fn source_behind(sources: &[Vec<RowSource>], s: usize, n: usize) -> Option<((usize, usize), &RowSource)> {
    let (s, n) = chain(sources, s, n).last()?;
    let found = &sources[s][n];
    (!matches!(found, RowSource::Linked(..))).then_some(((s, n), found))
}

/// Returns whether a schedule that has no rows waits for some: it, or one that it is linked to, may not be empty.
pub(in crate::notebook) fn waits(
    sheets: &[(String, Arc<Sheet>)],
    sources: &[Vec<RowSource>],
    s: usize,
    n: usize,
) -> bool {
    chain(sources, s, n).any(|(s, n)| !sheets[s].1.schedules[n].may_be_empty)
}

/// Returns the rows behind a schedule, through its links, where they are written.
pub(in crate::notebook) fn grid(sources: &[Vec<RowSource>], s: usize, n: usize) -> Option<Arc<Grid>> {
    match source_behind(sources, s, n)? {
        (_, RowSource::Written(grid)) => Some(Arc::clone(grid)),
        (_, RowSource::None | RowSource::Linked(..) | RowSource::Table(_)) => None,
    }
}

/// Returns the names of the rows of each schedule of each sheet.
pub(in crate::notebook) fn names(
    sheets: &[(String, Arc<Sheet>)],
    sources: &[Vec<RowSource>],
) -> Vec<Vec<Vec<String>>> {
    let of = |s: usize, n: usize| {
        let sheet = &sheets[s].1;
        if let Some(grid) = grid(sources, s, n) {
            let first =
                sheet.schedules[n].columns.iter().map(|line| &sheet.lines[*line]).find(|line| is_name(line));
            return grid.rows.iter().enumerate().map(|(at, row)| row_name(at, row, first)).collect();
        }
        match table_of(sources, s, n) {
            Some((s, t)) => table_rows(&sheets[s].1, t),
            None => Vec::new(),
        }
    };
    (0..sheets.len()).map(|s| (0..sheets[s].1.schedules.len()).map(|n| of(s, n)).collect()).collect()
}

/// Returns the table behind a schedule, through its links, and the sheet that has it.
fn table_of(sources: &[Vec<RowSource>], s: usize, n: usize) -> Option<(usize, usize)> {
    match source_behind(sources, s, n)? {
        ((s, _), RowSource::Table(table)) => Some((s, *table)),
        (_, RowSource::None | RowSource::Linked(..) | RowSource::Written(_)) => None,
    }
}

/// A row is known by its first text column.
fn is_name(line: &Line) -> bool {
    matches!(line.role, Role::Given { .. }) && line.is == Is::Text
}

fn row_name(at: usize, row: &[(Spanned<String>, Entry)], first: Option<&Line>) -> String {
    let cell = first.and_then(|line| row.iter().find(|(name, _)| name.value == line.name.value));
    match cell.map(|(_, entry)| &entry.value.value) {
        Some(Raw::Text(text)) if text != "?" => text.clone(),
        _ => format!("row {}", at + 1),
    }
}

fn table_rows(sheet: &Sheet, t: usize) -> Vec<String> {
    let Some(table) = &sheet.tables[t].table else { return Vec::new() };
    let name = |row: usize| table.row_name(row).unwrap_or_else(|| format!("row {}", row + 1));
    (0..table.rows).map(name).collect()
}

/// Gives the schedules of a sheet that have their rows from a table the names of those rows.
pub(in crate::notebook) fn name_table_rows(sheet: &Sheet, names: &mut [Vec<String>]) {
    for (schedule, names) in sheet.schedules.iter().zip(names) {
        if let Some(table) = schedule.from {
            *names = table_rows(sheet, table);
        }
    }
}

/// Tells rows of the same name, and columns that are missing or that no sheet uses.
pub(in crate::notebook) fn check(
    job: &Job,
    sheets: &[(String, Arc<Sheet>)],
    sources: &[Vec<RowSource>],
    names: &[Vec<Vec<String>>],
    refused: &mut Vec<Refused>,
) {
    let mut told: HashSet<(String, Span)> = HashSet::new();
    let mut add = |page: &Arc<Page>, fault: Fault| {
        if told.insert((page.name.clone(), fault.at)) {
            refuse(refused, page, [fault]);
        }
    };
    for (s, (_, sheet)) in sheets.iter().enumerate() {
        for (n, names) in names[s].iter().enumerate() {
            let Some(grid) = grid(sources, s, n) else { continue };
            missing_columns(sheet, n, &grid, &mut add);
            same_names(sheet, n, &grid, names, &mut add);
            unused_columns(job, sheets, sources, &grid, &mut add);
        }
    }
}

fn missing_columns(sheet: &Sheet, n: usize, grid: &Grid, add: &mut impl FnMut(&Arc<Page>, Fault)) {
    let Some(headings) = &grid.headings else { return };
    let columns = sheet.schedules[n].columns.iter().map(|line| &sheet.lines[*line]);
    for line in columns.filter(|line| matches!(line.role, Role::Given { default: None, .. })) {
        let (name, schedule) = (&line.name.value, &sheet.schedules[n].name.value);
        // One that was probably meant has its own fault.
        let meant = |heading: &Spanned<String>| {
            let is_other = sheet.known_column(n, &heading.value).is_some();
            heading.value == *name || !is_other && near(&heading.value, [name.as_str()]).is_some()
        };
        if line.when.is_none() && !headings.iter().any(meant) {
            let wrong = Wrong::CsvLacks { name: name.clone(), schedule: schedule.clone() };
            let end = headings.last().map_or(Span::default(), |heading| heading.at);
            add(&grid.page, Fault::new(Span::new(end.end, end.end), wrong));
        }
    }
}

fn same_names(
    sheet: &Sheet,
    n: usize,
    grid: &Grid,
    names: &[String],
    add: &mut impl FnMut(&Arc<Page>, Fault),
) {
    let columns = sheet.schedules[n].columns.iter().map(|line| &sheet.lines[*line]);
    let Some(first) = columns.into_iter().find(|line| is_name(line)) else { return };
    let mut seen = HashSet::new();
    for (row, name) in grid.rows.iter().zip(names) {
        if !seen.insert(name) {
            let cell = row.iter().find(|(column, _)| column.value == first.name.value);
            let at = cell.map_or(Span::default(), |(_, entry)| entry.value.at);
            add(&grid.page, Fault::new(at, Wrong::RowName { found: name.clone() }));
        }
    }
}

/// A column must be one of some schedule that reads the same rows; of a file, also one of a schedule of the same
/// name that has its rows written out by now.
fn unused_columns(
    job: &Job,
    sheets: &[(String, Arc<Sheet>)],
    sources: &[Vec<RowSource>],
    grid_of: &Arc<Grid>,
    add: &mut impl FnMut(&Arc<Page>, Fault),
) {
    let is_file = grid_of.headings.is_some();
    let all = || {
        sheets.iter().enumerate().flat_map(|(s, (_, sheet))| (0..sheet.schedules.len()).map(move |n| (s, n)))
    };
    let reads = |&(s, n): &(usize, usize)| {
        grid(sources, s, n).is_some_and(|other| {
            Arc::ptr_eq(&other, grid_of) || is_file && other.headings.is_some() && other.page == grid_of.page
        })
    };
    let name_of = |(s, n): (usize, usize)| sheets[s].1.schedules[n].name.value.as_str();
    let readers: Vec<&str> = all().filter(reads).map(name_of).collect();
    let mut known: Vec<&str> = job.ignore.iter().map(|name| name.value.as_str()).collect();
    for (s, n) in all().filter(|place| reads(place) || is_file && readers.contains(&name_of(*place))) {
        let columns = sheets[s].1.schedules[n].columns.iter().map(|line| &sheets[s].1.lines[*line]);
        let given = columns.filter(|line| matches!(line.role, Role::Given { .. }));
        known.extend(given.map(|line| line.name.value.as_str()));
    }
    let cells = grid_of.rows.iter().flatten().map(|(name, _)| name).filter(|_| grid_of.headings.is_none());
    for name in grid_of.headings.iter().flatten().chain(cells) {
        if !known.contains(&name.value.as_str()) {
            let near = near(&name.value, known.iter().copied()).map(str::to_owned);
            add(&grid_of.page, Fault::new(name.at, Wrong::CsvColumn { found: name.value.clone(), near }));
        }
    }
}
