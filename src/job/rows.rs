//! The rows of a CSV file, each cell with its place.
//!
//! In: a page of comma-separated rows under a heading. Out: columns (`quiescent mA` is a name and a
//! unit) and rows of cells, or every fault at once. Never: reads a quantity; an empty cell is open.

use std::sync::Arc;

use crate::fault::{BYTE_ORDER_MARK, Fault, Faults, Page, Span, Wording, say, with_look_alike};

use super::{Spanned, Wrong, as_name, is_name};

/// The rows of a CSV file.
#[derive(Clone, Debug, PartialEq)]
pub struct Csv {
    /// The columns, each name once.
    pub columns: Vec<CsvColumn>,
    /// The rows, each with one cell a column; an empty text is an open cell.
    pub rows: Vec<Vec<Spanned<String>>>,
    /// The file.
    pub page: Arc<Page>,
}

/// A column of a CSV file.
#[derive(Clone, Debug, PartialEq)]
pub struct CsvColumn {
    /// Its name.
    pub name: Spanned<String>,
    /// The unit of its bare numbers, as written after the name.
    pub unit: Option<Spanned<String>>,
}

/// What is wrong with the rows of a CSV file.
#[derive(Clone, Debug, PartialEq)]
pub enum CsvWrong {
    /// Not one row.
    Nothing,
    /// A column without a heading; its number, from 1.
    NoHeading(usize),
    /// A heading that is not a name, and a name made of it.
    Heading(String, Option<String>),
    /// Two columns of one name.
    ColumnTwice(String),
    /// Columns parted by another character than a comma.
    Parted(char),
    /// A row with too few or too many cells.
    Cells {
        /// Its number, from 1, the heading not counted.
        row: usize,
        /// The cells it has.
        found: usize,
        /// The cells it must have.
        expected: usize,
        /// A number that was parted by its comma, as it is written with a point.
        number: Option<String>,
    },
    /// A heading with another number of names than every row has cells.
    HeadingCells {
        /// The names it has.
        found: usize,
        /// The cells of the rows.
        expected: usize,
        /// A number of the first row that its comma may have parted.
        number: Option<String>,
    },
    /// A unit in brackets, and the heading without them.
    Brackets(String),
    /// Quotes that do not close.
    OpenQuote,
    /// Something between a closing quote and the next comma.
    AfterQuote,
}

impl CsvWrong {
    /// Returns what is wrong, what the place is, what to do.
    pub fn wording(&self) -> Wording {
        let rule = "write lower-case letters, digits and _, then the unit: 'quiescent mA'";
        match self {
            Self::Nothing => {
                say("the file has no rows", "", "write the names of the columns on its first line")
            }
            Self::NoHeading(column) => say(format!("column {column} has no heading"), "", rule),
            Self::Heading(found, fits) => say(
                with_look_alike(format!("the heading '{found}' is not a name"), found),
                "",
                fits.as_ref().map_or_else(|| rule.to_owned(), |fits| format!("{rule}; here '{fits}'")),
            ),
            Self::ColumnTwice(name) => {
                say(format!("two columns named '{name}'"), "again here", "give one of them another name")
            }
            Self::Parted(by) => {
                let by = if *by == '\t' { "tabs".to_owned() } else { format!("'{by}'") };
                say(format!("the columns are parted by {by}"), "", "save the file with commas")
            }
            Self::Cells { row, found, expected, number } => say(
                format!("row {row} has {}, the heading has {expected}", cells(*found)),
                format!("{} expected", cells(*expected)),
                match number {
                    Some(number) => {
                        format!("is {} one number? write {number}", number.replace('.', ","))
                    }
                    None => "leave an open cell empty between its commas; put a text with a comma in quotes"
                        .to_owned(),
                },
            ),
            Self::HeadingCells { found, expected, number } => say(
                format!("the heading has {}, each row has {expected}", cells(*found)),
                format!("{} expected", cells(*expected)),
                match number {
                    Some(number) => format!(
                        "write a name for each column; if {} is one number, write {number}",
                        number.replace('.', ",")
                    ),
                    None if found > expected => {
                        "take out a name that has no cells, or end each row with a comma for an open one"
                            .to_owned()
                    }
                    None => "write a name for each column".to_owned(),
                },
            ),
            Self::Brackets(fits) => say("a unit in brackets", "", format!("write it without them: {fits}")),
            Self::OpenQuote => say("the quotes do not close", "opened here", "write the closing quote"),
            Self::AfterQuote => say(
                "text after the closing quote",
                "",
                "write the whole cell in quotes; a quote inside is written twice",
            ),
        }
    }
}

fn cells(count: usize) -> String {
    if count == 1 { "1 cell".into() } else { format!("{count} cells") }
}

impl Csv {
    /// Reads a CSV file whose headings are all names.
    ///
    /// # Errors
    /// Every fault of the page, in text order.
    pub fn read(page: &Arc<Page>) -> Result<Self, Vec<Fault>> {
        Self::read_ignoring(page, &[])
    }

    /// Reads a CSV file of which some columns are not to be used: their headings may be anything.
    ///
    /// A column is ignored by its whole heading or by its first word; its name is then that.
    ///
    /// # Errors
    /// Every fault of the page, in text order.
    pub fn read_ignoring(page: &Arc<Page>, ignore: &[&str]) -> Result<Self, Vec<Fault>> {
        let mut faults = Faults::default();
        let mut records = records(page, &mut faults).into_iter();
        let Some(heading) = records.next() else {
            faults.add(Fault::new(Span::new(0, 0), Wrong::Csv(CsvWrong::Nothing)));
            return faults.or(Self { columns: Vec::new(), rows: Vec::new(), page: Arc::clone(page) });
        };
        let columns = columns(&heading, ignore, &mut faults);
        let mut records: Vec<Record> = records.collect();
        // A spreadsheet leaves lines of bare commas below the last row.
        let bare = |c: char| c == ',' || c.is_whitespace();
        let is_bare = |row: &Record| row.cells.len() > 1 && page.text[row.at.range()].chars().all(bare);
        while records.last().is_some_and(is_bare) {
            records.pop();
        }
        let expected = heading.cells.len();
        let other = records.first().map_or(expected, |record| record.cells.len());
        let all = records.len() > 1 && records.iter().all(|record| record.cells.len() == other);
        // Where every row has as many, it is the heading that has not.
        if all && other != expected && !records[0].is_broken {
            let number = number_parted(&records[0]).filter(|_| other == expected + 1);
            let wrong = CsvWrong::HeadingCells { found: expected, expected: other, number };
            faults.add(Fault::new(heading.at, Wrong::Csv(wrong)));
        }
        let mut rows = Vec::new();
        for (index, record) in records.into_iter().enumerate() {
            let found = record.cells.len();
            let number = number_parted(&record).filter(|_| found == expected + 1);
            if found != expected && !record.is_broken && !all {
                let wrong = CsvWrong::Cells { row: index + 1, found, expected, number };
                faults.add(Fault::new(record.at, Wrong::Csv(wrong)));
            }
            rows.push(record.cells);
        }
        faults.or(Self { columns, rows, page: Arc::clone(page) })
    }
}

/// One row of the file, the heading or another.
struct Record {
    cells: Vec<Spanned<String>>,
    at: Span,
    /// A cell of it is told already.
    is_broken: bool,
}

/// Returns the first number of a row that its comma may have parted, written with a point: `20,4` is `20.4`.
fn number_parted(record: &Record) -> Option<String> {
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let parted = |pair: &&[Spanned<String>]| {
        let glued = pair[0].at.end + 1 == pair[1].at.start;
        glued && digits(&pair[0].value) && digits(&pair[1].value)
    };
    let pair = record.cells.windows(2).find(parted)?;
    Some(format!("{}.{}", pair[0].value, pair[1].value))
}

/// Returns the columns that the heading names.
fn columns(heading: &Record, ignore: &[&str], faults: &mut Faults) -> Vec<CsvColumn> {
    if let [only] = heading.cells.as_slice()
        && let Some(at) = only.value.find([';', '\t'])
    {
        let by = if only.value[at..].starts_with(';') { ';' } else { '\t' };
        faults.add(Fault::new(only.inner(at..at + 1), Wrong::Csv(CsvWrong::Parted(by))));
        return Vec::new();
    }
    let mut columns: Vec<CsvColumn> = Vec::new();
    for (index, cell) in heading.cells.iter().enumerate() {
        let Some(column) = faults.keep(column(index, cell, ignore)) else { continue };
        match columns.iter().find(|first| first.name.value == column.name.value) {
            Some(first) => {
                let wrong = Wrong::Csv(CsvWrong::ColumnTwice(column.name.value.clone()));
                faults.add(Fault::new(column.name.at, wrong).with_also(first.name.at, "first named here"));
            }
            None => columns.push(column),
        }
    }
    columns
}

fn column(index: usize, cell: &Spanned<String>, ignore: &[&str]) -> Result<CsvColumn, Fault> {
    let text = cell.value.as_str();
    if text.is_empty() {
        return Err(Fault::new(cell.at, Wrong::Csv(CsvWrong::NoHeading(index + 1))));
    }
    if ignore.contains(&text) {
        return Ok(CsvColumn { name: cell.clone(), unit: None });
    }
    let end = text.find(char::is_whitespace).unwrap_or(text.len());
    let rest = text[end..].trim_start();
    let part = |from: usize, to: usize| Spanned::new(text[from..to].to_owned(), cell.inner(from..to));
    let name = part(0, end);
    if !is_name(&name.value) && !ignore.contains(&name.value.as_str()) {
        let wrong = CsvWrong::Heading(name.value.clone(), as_name(&name.value));
        return Err(Fault::new(name.at, Wrong::Csv(wrong)));
    }
    let unit = (!rest.is_empty()).then(|| part(text.len() - rest.len(), text.len()));
    let bracketed = rest.strip_prefix(['(', '[']).and_then(|rest| rest.strip_suffix([')', ']']));
    if let (Some(unit), Some(inside)) = (&unit, bracketed) {
        let fits = format!("{} {}", name.value, inside.trim());
        return Err(Fault::new(unit.at, Wrong::Csv(CsvWrong::Brackets(fits))));
    }
    Ok(CsvColumn { name, unit })
}

/// Returns the rows of a page, the heading first; lines without a character are passed over.
fn records(page: &Page, faults: &mut Faults) -> Vec<Record> {
    let start = if page.text.starts_with(BYTE_ORDER_MARK) { BYTE_ORDER_MARK.len_utf8() } else { 0 };
    let text = &page.text[start..];
    let mut reader = csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(text.as_bytes());
    let mut records = Vec::new();
    // Of a text that is UTF-8, read with rows of any length, no row is an error.
    for record in reader.records().map_while(Result::ok) {
        let from = record.position().map_or(0, |position| position.byte());
        let from = start + usize::try_from(from).unwrap_or(usize::MAX);
        records.push(placed(&page.text, from, &record, faults));
    }
    records
}

/// Returns a row with the place of each of its cells, found by reading along in the text.
fn placed(text: &str, from: usize, record: &csv::StringRecord, faults: &mut Faults) -> Record {
    let skipped = text.get(from..).unwrap_or_default();
    let mut at = text.len() - skipped.trim_start_matches(['\r', '\n']).len();
    let start = at;
    let told = faults.count();
    let mut cells = Vec::new();
    for (index, value) in record.iter().enumerate() {
        if index > 0 {
            at += 1; // the comma
        }
        let (content, end) = cell(text, at, faults);
        let written = text.get(content.range()).unwrap_or_default();
        // Quotes written twice make the place longer than the value. Where it is not longer it is the
        // value itself, or its quotes are wrong, which has been told.
        let value = if written.len() <= value.len() { written } else { value };
        cells.push(trimmed(value, content));
        at = end;
    }
    Record { cells, at: Span::new(start, at), is_broken: faults.count() > told }
}

/// Returns the place of a cell's text and where the cell ends.
fn cell(text: &str, start: usize, faults: &mut Faults) -> (Span, usize) {
    let rest = text.get(start..).unwrap_or_default();
    let ends = |c: char| matches!(c, ',' | '\r' | '\n');
    let Some(quoted) = rest.strip_prefix('"') else {
        let end = start + rest.find(ends).unwrap_or(rest.len());
        return (Span::new(start, end), end);
    };
    let Some(length) = closing_quote(quoted) else {
        faults.add(Fault::new(Span::new(start, start + 1), Wrong::Csv(CsvWrong::OpenQuote)));
        return (Span::new(start + 1, text.len()), text.len());
    };
    let close = start + 1 + length;
    let after = &text[close + 1..];
    let tail = after.find(ends).unwrap_or(after.len());
    if tail > 0 {
        faults.add(Fault::new(Span::new(close + 1, close + 1 + tail), Wrong::Csv(CsvWrong::AfterQuote)));
    }
    (Span::new(start + 1, close), close + 1 + tail)
}

/// Returns where the quotes close; a quote written twice is one of the text.
fn closing_quote(quoted: &str) -> Option<usize> {
    let mut from = 0;
    loop {
        let at = from + quoted[from..].find('"')?;
        if !quoted[at + 1..].starts_with('"') {
            return Some(at);
        }
        from = at + 2;
    }
}

/// Returns a cell without the blanks around it.
fn trimmed(value: &str, at: Span) -> Spanned<String> {
    let cell = Spanned::new(value.to_owned(), at);
    let start = value.len() - value.trim_start().len();
    let end = start + value.trim().len();
    cell.part(start..end).unwrap_or(cell)
}

#[cfg(test)]
mod tests;
