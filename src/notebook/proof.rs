//! `wattle proof`: sheets, bases and tables checked, worked examples run.
//!
//! In: files, or the built-in ones. Out: what was checked, what an example expected and got.
//! Never: takes an example's own output for its expectation.

use std::path::Path;
use std::sync::Arc;

use crate::engine::{NOISE, State};
use crate::fault::{Fault, Page, Refused, Span, Spanned, refuse};
use crate::job::{Job, Use, disk};
use crate::notebook::book::words;
use crate::notebook::book::{Book, Known};
use crate::notebook::judge;
use crate::notebook::library::builtin;
use crate::notebook::library::{Found, Library, shown};
use crate::notebook::load::assemble::{Day, Entered, Setting, assemble};
use crate::notebook::load::fetch::Fetched;
use crate::notebook::load::loader::Loader;
use crate::notebook::record::Origin;
use crate::sheet::model::{Line, Role, Schedule};
use crate::sheet::statement::{Example, Expect, Literal};
use crate::sheet::{Basis, Sheet};
use crate::table::Table;
use crate::unit::{date, show};

/// What a worked example gave.
#[derive(Clone, Debug, PartialEq)]
pub struct Ran {
    /// The sheet.
    pub sheet: String,
    /// The example.
    pub example: String,
    /// Where it comes from.
    pub source: String,
    /// How many values it expects.
    pub expected: usize,
    /// What did not come out, in words.
    pub missed: Vec<String>,
}

/// What was checked.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Proof {
    /// How many sheets were checked, alone and on every built-in basis.
    pub sheets: usize,
    /// How many bases.
    pub bases: usize,
    /// How many tables.
    pub tables: usize,
    /// The examples.
    pub examples: Vec<Ran>,
    /// Limits that fall away on a basis: the sheet, the basis, the limit, the reason.
    pub fall_away: Vec<[String; 4]>,
    /// Pages that were refused.
    pub refused: Vec<Refused>,
}

impl Proof {
    /// Returns whether everything held.
    pub fn holds(&self) -> bool {
        self.refused.is_empty() && self.examples.iter().all(|ran| ran.missed.is_empty())
    }

    fn keep<T>(&mut self, found: Found<T>) -> Option<T> {
        found.map_err(|refused| self.refuse(refused)).ok()
    }

    /// A page is refused once; what is wrong on several bases is told of the first.
    fn refuse(&mut self, refused: Vec<Refused>) {
        for new in refused {
            let known = self.refused.iter().find(|known| known.page == new.page);
            let told =
                |fault: &Fault| known.is_some_and(|known| known.faults.iter().any(|k| k.at == fault.at));
            let faults: Vec<Fault> = new.faults.into_iter().filter(|fault| !told(fault)).collect();
            refuse(&mut self.refused, &new.page, faults);
        }
    }
}

/// Proves the built-in sheets, bases and tables.
pub fn builtin_proof(library: &Library) -> Proof {
    let mut proof = Proof::default();
    for (name, text) in builtin::TABLES {
        proof.tables += 1;
        let page = Page::new(format!("{name}.toml"), *text);
        proof.keep(table(&page));
    }
    for (name, _) in builtin::BASES {
        proof.bases += 1;
        proof.keep(library.basis(name));
    }
    for (name, text) in builtin::SHEETS {
        prove_sheet(&mut proof, library, name, &Page::new(format!("{name}.sheet"), *text));
    }
    proof
}

fn table(page: &Arc<Page>) -> Found<Table> {
    Table::read(page).map_err(|faults| vec![Refused { page: Arc::clone(page), faults }])
}

/// Proves files.
pub fn files_proof(paths: &[impl AsRef<Path>], libraries: &[std::path::PathBuf]) -> Proof {
    let mut proof = Proof::default();
    for path in paths {
        let path = path.as_ref();
        let library = Library::beside(path, libraries);
        let Some(page) = proof.keep(disk::read_page(path, &shown(path)).map_err(|refused| vec![refused]))
        else {
            continue;
        };
        let name = path.file_stem().and_then(|name| name.to_str()).unwrap_or_default();
        match path.extension().and_then(|ending| ending.to_str()) {
            Some("basis") => {
                proof.bases += 1;
                proof.keep(library.read_basis(name, &page, &mut Vec::new()));
            }
            Some("toml") => {
                proof.tables += 1;
                proof.keep(table(&page));
            }
            _ => prove_sheet(&mut proof, &library, name, &page),
        }
    }
    proof
}

/// Proves one sheet from its text.
pub fn sheet_proof(library: &Library, name: &str, page: &Arc<Page>) -> Proof {
    let mut proof = Proof::default();
    prove_sheet(&mut proof, library, name, page);
    proof
}

/// Checks a sheet alone and on every built-in basis, and runs its examples.
fn prove_sheet(proof: &mut Proof, library: &Library, name: &str, page: &Arc<Page>) {
    proof.sheets += 1;
    let Some(alone) = proof.keep(library.read_sheet(page, None)) else { return };
    for (basis, _) in builtin::BASES {
        let Some(basis) = proof.keep(library.basis(basis)).flatten() else { continue };
        let Some(sheet) = proof.keep(library.read_sheet(page, Some(&basis))) else { continue };
        fall_away(proof, name, &sheet, &basis);
    }
    for (example, source) in &alone.examples {
        let ran = run(library, name, page, example);
        match ran {
            Ok(missed) => proof.examples.push(Ran {
                sheet: name.to_owned(),
                example: example.name.value.clone(),
                source: source.to_string(),
                expected: example.expect.len(),
                missed,
            }),
            Err(refused) => proof.refuse(refused),
        }
    }
}

/// Lists the limits that are not needed on a basis whatever is entered, because of what it is without.
fn fall_away(proof: &mut Proof, name: &str, sheet: &Arc<Sheet>, basis: &Arc<Basis>) {
    // A limit on rows is looked at in a row of its schedule.
    let rows =
        |schedule: &Schedule| if schedule.from.is_none() { vec!["row 1".to_owned()] } else { Vec::new() };
    let names = sheet.schedules.iter().map(rows).collect();
    let Ok(mut book) = book(name, sheet, basis, None, (Entered::default(), names)) else { return };
    for (n, line) in sheet.lines.iter().enumerate() {
        if matches!(line.role, Role::Limit { .. })
            && let Err(reason) = judge::judge(&mut book, 0, n).limit
        {
            proof.fall_away.push([name.to_owned(), basis.name.clone(), line.name.value.clone(), reason]);
        }
    }
}

/// Runs one example; returns what did not come out.
fn run(library: &Library, name: &str, page: &Arc<Page>, example: &Example) -> Found<Vec<String>> {
    let wanted = example.basis.as_ref().map_or("uk", |basis| basis.value.as_str());
    let Some(basis) = library.basis(wanted)? else {
        let at = example.basis.as_ref().map_or(example.name.at, |basis| basis.at);
        let faults = vec![Fault::new(at, crate::notebook::Wrong::no_basis(wanted, &[]))];
        return Err(vec![Refused { page: Arc::clone(page), faults }]);
    };
    let sheet = library.read_sheet(page, Some(&basis))?;
    let (entered, names) = entered(&sheet, example);
    let mut book = match book(name, &sheet, &basis, example.on, (entered, names)) {
        Ok(book) => book,
        Err(around) => return Ok(vec![format!("goes round in a loop: {}", around.join(" needs "))]),
    };
    Ok(example.expect.iter().filter_map(|expect| missed(&mut book, &sheet, expect)).collect())
}

/// Puts what an example gives in the form of a job's entries.
fn entered(sheet: &Sheet, example: &Example) -> (Entered, Vec<Vec<String>>) {
    let mut made = Entered::default();
    let mut names: Vec<Vec<String>> = sheet.schedules.iter().map(|_| Vec::new()).collect();
    for (name, value) in example.given.iter().chain(&example.take) {
        if let Some(line) = sheet.known_line(&name.value) {
            set(&mut made, &sheet.lines[line], (line, 0), &value.value);
        }
    }
    for (schedule, cells) in &example.rows {
        let Some(n) = sheet.known_schedule(&schedule.value) else { continue };
        let row = names[n].len();
        names[n].push(format!("row {}", row + 1));
        for (name, value) in cells {
            if let Some(line) = sheet.known_column(n, &name.value) {
                set(&mut made, &sheet.lines[line], (line, row), &value.value);
            }
        }
    }
    (made, names)
}

/// In an example a value is as exact as it is printed.
fn set(made: &mut Entered, line: &Line, at: (usize, usize), value: &Literal) {
    let origin = if matches!(line.role, Role::Take { .. }) { Origin::Adopted } else { Origin::Stated };
    made.known.insert(at, Known::of(origin));
    made.settings.push(Setting { line: at.0, row: at.1, value: value.clone(), tolerance: None });
}

/// Works a sheet alone on a basis with what is entered.
fn book(
    name: &str,
    sheet: &Arc<Sheet>,
    basis: &Arc<Basis>,
    on: Option<f64>,
    (entered, mut names): (Entered, Vec<Vec<String>>),
) -> Result<Book, Vec<String>> {
    let at = Span::default();
    let used = Use {
        sheet: Spanned::new(name.to_owned(), at),
        name: Spanned::new(name.to_owned(), at),
        given: Vec::new(),
        take: Vec::new(),
        schedules: Vec::new(),
        at,
    };
    let job = Job {
        title: name.to_owned(),
        on: None,
        basis: Spanned::new(basis.name.clone(), at),
        prepared_by: None,
        ignore: Vec::new(),
        instruments: Vec::new(),
        sheets: vec![used],
        marks: Vec::new(),
        page: Arc::clone(&sheet.page),
    };
    let fetched = Fetched { basis: Arc::clone(basis), sheets: vec![(name.to_owned(), Arc::clone(sheet))] };
    names.resize(sheet.schedules.len(), Vec::new());
    crate::notebook::load::rows::name_table_rows(sheet, &mut names);
    let mut loader = Loader::new(&job, basis, &fetched.sheets);
    loader.made = entered;
    loader.rest(sheet, &names);
    let read = vec![loader.made];
    assemble(job.clone(), &fetched, vec![names], read, on.map_or(Day::Open, Day::Fixed))
}

/// Returns what an expectation missed, in words.
fn missed(book: &mut Book, sheet: &Sheet, expect: &Expect) -> Option<String> {
    let path = &expect.path.value;
    let (n, row) = match path.0.as_slice() {
        [name] => (sheet.known_line(name)?, Some(0)),
        [schedule, name] => (sheet.known_column(sheet.known_schedule(schedule)?, name)?, None),
        [schedule, row, name] => {
            let n = sheet.known_column(sheet.known_schedule(schedule)?, name)?;
            (n, Some(row.parse::<usize>().ok()?.checked_sub(1)?))
        }
        _ => return None,
    };
    let line = &sheet.lines[n];
    if let (Role::Limit { .. }, Literal::Text(word)) = (&line.role, &expect.value.value) {
        let found = verdict(book, n, row);
        return (found != *word).then(|| format!("{path}: {word} expected, {found} found"));
    }
    let row = row.unwrap_or(0);
    if row >= book.uses[0].rows_of(line) {
        return Some(format!("{path}: no such row"));
    }
    let (value, status) = book.point.at(book.slot(0, n, row));
    if !status.is_worked() {
        return Some(format!("{path}: {}", words::reason(book, status).unwrap_or_default()));
    }
    let found = words::shown(book, line.is, &line.unit, value);
    let fits = match &expect.value.value {
        Literal::Quantity(quantity) => {
            let slack = expect.slack.as_ref().map_or(NOISE * quantity.si().abs(), |slack| {
                let slack = &slack.value;
                let share = slack.is_percent() && slack.unit.dimension() != quantity.unit.dimension();
                slack.unit.factor() * slack.number * if share { quantity.si().abs() } else { 1.0 }
            });
            // The noise of binary numbers at the very edge of the slack is no miss.
            (value - quantity.si()).abs() <= slack * (1.0 + 1e-9) + NOISE * quantity.si().abs()
        }
        Literal::Text(text) => *text == found,
        Literal::Date(seconds) => *seconds == value,
        Literal::Flag(flag) => *flag == (value != 0.0),
    };
    let exact = if matches!(
        crate::sheet::model::Is::written(&expect.value.value),
        crate::sheet::model::Is::Quantity(_)
    ) {
        show::precise(value, &line.unit, 9)
    } else {
        found
    };
    let wanted = words_of(&expect.value.value);
    (!fits).then(|| format!("{path}: {wanted} expected, {exact} found"))
}

fn words_of(literal: &Literal) -> String {
    match literal {
        Literal::Quantity(quantity) => quantity.to_string(),
        Literal::Text(text) => format!("\"{text}\""),
        Literal::Date(seconds) => date::show(*seconds),
        Literal::Flag(flag) => if *flag { "yes" } else { "no" }.to_owned(),
    }
}

/// Returns the word of a limit's verdict; of one row, or of all.
fn verdict(book: &mut Book, n: usize, row: Option<usize>) -> String {
    let on_rows = book.uses[0].sheet.lines[n].schedule.is_some();
    let skipped = row.filter(|_| on_rows).is_some_and(|row| {
        let (_, status) = book.point.at(book.slot(0, n, row));
        matches!(status.state(), State::NotNeeded(_))
    });
    match judge::judge(book, 0, n).limit {
        _ if skipped => "not_needed".to_owned(),
        Err(_) => "not_needed".to_owned(),
        Ok(limit) => match row.filter(|_| on_rows) {
            Some(row) => limit
                .rows
                .iter()
                .find(|record| record.row == row + 1)
                .map_or("pass", |record| record.verdict.word())
                .to_owned(),
            None => limit.verdict.word().to_owned(),
        },
    }
}
