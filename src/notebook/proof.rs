//! `wattle proof`: sheets, bases and tables checked, worked examples run.
//!
//! In: files, or the built-in ones. Out: what was checked, what an example expected and got.
//! Never: takes an example's own output for its expectation.

mod remark;

use std::path::Path;
use std::sync::Arc;

use crate::engine::{NOISE, State};
use crate::fault::{Fault, Kind, Page, Refused, Span, Spanned, refuse};
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
use crate::sheet::check::{self, known_row};
use crate::sheet::model::{Line, Role, Schedule};
use crate::sheet::read::{PageKind, read};
use crate::sheet::statement::{Example, Expect, Literal};
use crate::sheet::{Basis, Sheet};
use crate::table::Table;
use crate::unit::{date, show};
use remark::{outside, quoted};

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
    /// What else is to be known: what a basis changes, where a sheet is not offered.
    pub remarks: Vec<String>,
    /// Pages that were refused.
    pub refused: Vec<Refused>,
}

impl Proof {
    /// Returns whether everything held.
    pub fn holds(&self) -> bool {
        self.refused.is_empty() && self.examples.iter().all(|ran| ran.missed.is_empty())
    }

    fn remark(&mut self, remarks: Vec<String>) {
        for remark in remarks {
            if !self.remarks.contains(&remark) {
                self.remarks.push(remark);
            }
        }
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
        let page = Page::new(format!("{name}.sheet"), *text);
        let all = builtin::BASES.iter().map(|(name, _)| (*name).to_owned()).collect();
        prove_sheet(&mut proof, library, (name, &page), all);
    }
    proof
}

fn table(page: &Arc<Page>) -> Found<Table> {
    Table::read(page).map_err(|faults| vec![Refused { page: Arc::clone(page), faults }])
}

/// Proves files.
pub fn files_proof(paths: &[impl AsRef<Path>], libraries: &[std::path::PathBuf]) -> Proof {
    let mut proof = Proof::default();
    let folder = |path: &Path| {
        let own = path.parent().filter(|folder| !folder.as_os_str().is_empty());
        own.unwrap_or(Path::new(".")).to_owned()
    };
    let stem = |path: &Path| path.file_stem().and_then(|name| name.to_str()).unwrap_or_default().to_owned();
    for path in paths {
        let path = path.as_ref();
        let library = Library::beside(path, libraries);
        let Some(page) = proof.keep(disk::read_page(path, &shown(path)).map_err(|refused| vec![refused]))
        else {
            continue;
        };
        if let Some(wrong) = crate::job::Wrong::other_file(&page.name, &page.text, false) {
            let faults = vec![Fault::new(Span::default(), wrong)];
            proof.refuse(vec![Refused { page, faults }]);
            continue;
        }
        let name = stem(path);
        match path.extension().and_then(|ending| ending.to_str()) {
            Some("basis") => {
                proof.bases += 1;
                if let Some(basis) = proof.keep(library.read_basis(&name, &page, &mut Vec::new())) {
                    proof.remark(quoted(&name, &basis.title, &basis.cautions));
                    proof.remark(library.look_over(&name, &page, &basis));
                }
            }
            Some("toml") => {
                proof.tables += 1;
                proof.keep(table(&page));
            }
            _ => {
                let beside = |other: &&Path| {
                    folder(other) == folder(path) && other.extension().is_some_and(|e| e == "basis")
                };
                let given = paths.iter().map(AsRef::as_ref).filter(beside).map(stem).collect();
                prove_sheet(&mut proof, &library, (&name, &page), given);
                proof.remark(outside(&library, &name, &page).into_iter().collect());
            }
        }
        // Beside a fault they would be a second word on the same slip.
        if proof.refused.is_empty() {
            proof.remark(library.remarks());
        }
    }
    proof
}

/// Proves one sheet from its text.
pub fn sheet_proof(library: &Library, name: &str, page: &Arc<Page>) -> Proof {
    let mut proof = Proof::default();
    prove_sheet(&mut proof, library, (name, page), Vec::new());
    proof
}

/// Returns the faults of a sheet, those on its own basis where a slip in fetching from that is the reason.
fn at_its_line(library: &Library, page: &Arc<Page>, alone: Vec<Refused>) -> Vec<Refused> {
    let (draft, _) = read(page, PageKind::Sheet);
    let named = draft.examples.first().map_or("uk", basis_of);
    let Ok(Some(basis)) = library.basis(named) else { return alone };
    let fetching = |fault: &Fault| {
        matches!(fault.kind, Kind::Check(check::Wrong::NotInBasis { .. } | check::Wrong::BasisKind { .. }))
    };
    match library.read_sheet(page, Some(&basis)) {
        Err(on) if on.iter().flat_map(|refused| &refused.faults).any(fetching) => on,
        Err(_) | Ok(_) => alone,
    }
}

/// Checks a sheet alone, on some bases and on those that its examples name, and runs its examples. Of the other
/// built-in bases it is only said where the sheet is not offered.
fn prove_sheet(
    proof: &mut Proof,
    library: &Library,
    (name, page): (&str, &Arc<Page>),
    mut bases: Vec<String>,
) {
    proof.sheets += 1;
    let alone = match library.read_sheet(page, None) {
        Ok(alone) => alone,
        Err(refused) => return proof.refuse(at_its_line(library, page, refused)),
    };
    bases.extend(alone.examples.iter().map(|(example, _)| basis_of(example).to_owned()));
    proof.remark(quoted(name, &alone.title, &alone.cautions));
    let offered = on_bases(proof, library, (name, page), &bases);
    if !offered {
        return;
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

/// Checks a sheet on the bases that it is for, then on the other built-in ones; returns whether it loads on one.
fn on_bases(
    proof: &mut Proof,
    library: &Library,
    (name, page): (&str, &Arc<Page>),
    bases: &[String],
) -> bool {
    let mut all: Vec<&str> = Vec::new();
    for basis in bases.iter().map(String::as_str).chain(builtin::BASES.iter().map(|(name, _)| *name)) {
        if !all.contains(&basis) {
            all.push(basis);
        }
    }
    let mut declined: Vec<(String, Vec<&str>)> = Vec::new();
    let (mut first, mut loads) = (None, false);
    for basis_name in all {
        let is_for = bases.iter().any(|basis| basis == basis_name);
        let Some(basis) = proof.keep(library.basis(basis_name)).flatten() else { continue };
        match library.read_sheet(page, Some(&basis)) {
            Ok(sheet) => {
                loads = true;
                fall_away(proof, name, &sheet, &basis);
            }
            Err(refused) if is_for => proof.refuse(refused),
            Err(refused) => {
                let reason = reason(&refused);
                first.get_or_insert(refused);
                match declined.iter_mut().find(|(known, _)| *known == reason) {
                    Some((_, bases)) => bases.push(basis_name),
                    None => declined.push((reason, vec![basis_name])),
                }
            }
        }
    }
    // What no basis at all offers is a slip of the sheet.
    if let (false, true, Some(first)) = (loads, bases.is_empty(), first) {
        proof.refuse(first);
    } else if proof.refused.is_empty() {
        let words = |(reason, bases): (String, Vec<&str>)| {
            format!("{name} is not offered on {}: {reason}", bases.join(", "))
        };
        proof.remark(declined.into_iter().map(words).collect());
    }
    loads || !bases.is_empty()
}

/// Returns in a few words why a sheet does not load on a basis.
fn reason(refused: &[Refused]) -> String {
    let faults = || refused.iter().flat_map(|refused| &refused.faults);
    let missing = |fault: &Fault| match &fault.kind {
        Kind::Check(check::Wrong::NotInBasis { name, .. }) => Some(name.clone()),
        _ => None,
    };
    let names: Option<Vec<String>> = faults().map(missing).collect();
    match (names, faults().next()) {
        (Some(mut names), _) => {
            let mut seen = std::collections::HashSet::new();
            names.retain(|name| seen.insert(name.clone()));
            format!("the basis has no {}", names.join(", "))
        }
        (None, first) => first.map_or_else(String::new, |fault| fault.wording().title),
    }
}

/// Returns the basis that an example is worked on.
fn basis_of(example: &Example) -> &str {
    example.basis.as_ref().map_or("uk", |basis| basis.value.as_str())
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
    let wanted = basis_of(example);
    let Some(basis) = library.basis(wanted)? else {
        let at = example.basis.as_ref().map_or(example.name.at, |basis| basis.at);
        let faults =
            vec![Fault::new(at, crate::notebook::Wrong::no_basis(wanted, &[], &library.basis_names()))];
        return Err(vec![Refused { page: Arc::clone(page), faults }]);
    };
    let sheet = library.read_sheet(page, Some(&basis))?;
    let (entered, names) = entered(&sheet, example);
    let mut book = match book(name, &sheet, &basis, example.on, (entered, names)) {
        Ok(book) => book,
        Err(around) => return Ok(vec![format!("goes round in a loop: {}", around.join(" needs "))]),
    };
    Ok(example.expect.iter().filter_map(|expect| missed(&mut book, (&sheet, example), expect)).collect())
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

/// Returns the line that an expectation is of, and its row; of a limit on all rows, none.
fn place(sheet: &Sheet, example: &Example, path: &[String]) -> Option<(usize, Option<usize>)> {
    match path {
        [name] => Some((sheet.known_line(name)?, Some(0))),
        [schedule, name] => Some((sheet.known_column(sheet.known_schedule(schedule)?, name)?, None)),
        [schedule, row, name] => {
            let schedule = sheet.known_schedule(schedule)?;
            Some((sheet.known_column(schedule, name)?, Some(known_row(sheet, example, schedule, row)?)))
        }
        _ => None,
    }
}

/// Returns what an expectation missed, in words.
fn missed(book: &mut Book, (sheet, example): (&Sheet, &Example), expect: &Expect) -> Option<String> {
    let path = &expect.path.value;
    // What is expected of nothing that is there is never taken for met.
    let Some((n, row)) = place(sheet, example, &path.0) else { return Some(format!("{path}: no such row")) };
    let line = &sheet.lines[n];
    if row.unwrap_or(0) >= book.uses[0].rows_of(line) && row.is_some() {
        return Some(format!("{path}: no such row"));
    }
    if let (Role::Limit { .. }, Literal::Text(word)) = (&line.role, &expect.value.value) {
        let found = verdict(book, n, row);
        return (found != *word).then(|| format!("{path}: {word} expected, {found} found"));
    }
    let Some(row) = row else { return Some(format!("{path}: no such row")) };
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
