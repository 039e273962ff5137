//! A job loaded: its sheets fetched and checked on its basis, its entries read, everything worked.
//!
//! In: the text of a job, and the folders around it. Out: a [`Book`], or every fault of every page.
//! Never: loads a part of a job; never writes.

pub(super) mod adopt;
pub(super) mod assemble;
pub(super) mod enter;
mod meant;
mod round;
pub(super) mod rows;
pub(super) mod scope;

use std::sync::Arc;

use crate::engine::Link;
use crate::fault::{Fault, Faults, Page, Refused, Span, Spanned, near, refuse};
use crate::job::{Entry, How, Job, Use};
use crate::notebook::Wrong;
use crate::notebook::book::{Book, Known};
use crate::notebook::library::{Found, Library};
use crate::notebook::load::assemble::{Day, Entered, Setting, assemble};
use crate::notebook::load::scope::JobScope;
use crate::notebook::record::Origin;
use crate::sheet::check::{self, Wrong as CheckWrong};
use crate::sheet::formula::Formula;
use crate::sheet::model::{Expr, ExprPart, Line, LineRef, Role};
use crate::sheet::{Basis, Sheet};
use crate::unit::{Tolerance, date};
use enter::Given;
use rows::RowSource;

/// Loads a job.
///
/// # Errors
/// Every page that was refused, each with all of its faults.
pub(super) fn load(page: &Arc<Page>, library: &Library, day: Day) -> Found<Book> {
    let (job, told) = Job::read_part(page);
    match job {
        Some(job) => load_job(job, told, library, day),
        None => Err(vec![Refused { page: Arc::clone(page), faults: told }]),
    }
}

/// Loads a job of which some faults are told already.
///
/// # Errors
/// As [`load`].
pub(super) fn load_job(job: Job, told: Vec<Fault>, library: &Library, day: Day) -> Found<Book> {
    let (basis, sheets) = fetch(&job, library, &told)?;
    let mut loader = Loader::new(&job, &basis, &sheets);
    loader.faults.extend(told);
    let sources = rows::sources(&job, &sheets, library, &mut loader.refused);
    let names = rows::names(&sheets, &sources);
    if loader.refused.is_empty() {
        rows::check(&job, &sheets, &sources, &names, &mut loader.refused);
    }
    loader.instruments();
    let mut read: Vec<Entered> = Vec::new();
    for s in 0..sheets.len() {
        read.push(loader.sheet(s, &sources, &names));
    }
    loader.ended()?;
    let book = assemble(job.clone(), &basis, &sheets, names, read, day)
        .map_err(|names| vec![round::of_lines(&job, names)])?;
    let of_sheet = |s: usize| (0..sources[s].len()).map(|n| rows::grid(&sources, s, n)).collect();
    let grids = (0..sources.len()).map(of_sheet).collect();
    Ok(Book { remarks: library.remarks(), around: library.around(), grids, ..book })
}

/// The basis of a job, and its sheets by their names in it.
type Fetched = (Arc<Basis>, Vec<(String, Arc<Sheet>)>);

/// Fetches the basis and the sheets of a job, those that fail all told.
/// Where they cannot be had, what is told of the job already is told with it.
fn fetch(job: &Job, library: &Library, told: &[Fault]) -> Found<Fetched> {
    let mut refused = Vec::new();
    let mut faults = Faults::default();
    let basis = match library.basis(&job.basis.value) {
        Ok(Some(basis)) => Some(basis),
        Ok(None) => {
            let wrong = Wrong::no_basis(&job.basis.value, &[], &library.basis_names());
            faults.add(Fault::new(job.basis.at, wrong));
            None
        }
        Err(found) => {
            refused.extend(found);
            None
        }
    };
    let mut sheets = Vec::new();
    for used in &job.sheets {
        match library.sheet(&used.sheet.value, basis.as_deref()) {
            Ok(Some(sheet)) => sheets.push((used.name.value.clone(), sheet)),
            Ok(None) => {
                let names = library.sheet_names();
                let near = near(&used.sheet.value, names.iter().map(String::as_str)).map(str::to_owned);
                faults
                    .add(Fault::new(used.sheet.at, Wrong::NoSheet { found: used.sheet.value.clone(), near }));
            }
            Err(found) => {
                refused.extend(found.into_iter().filter(|new| !refused.contains(new)).collect::<Vec<_>>());
            }
        }
    }
    if !faults.is_empty() || !refused.is_empty() {
        faults.extend(told.iter().cloned());
    }
    if let Err(faults) = faults.or(()) {
        refused.insert(0, Refused { page: Arc::clone(&job.page), faults });
    }
    match basis {
        Some(basis) if refused.is_empty() => Ok((basis, sheets)),
        _ => Err(refused),
    }
}

pub(super) struct Loader<'a> {
    job: &'a Job,
    pub(super) basis: &'a Basis,
    sheets: &'a [(String, Arc<Sheet>)],
    faults: Faults,
    refused: Vec<Refused>,
}

impl<'a> Loader<'a> {
    pub(super) fn new(job: &'a Job, basis: &'a Basis, sheets: &'a [(String, Arc<Sheet>)]) -> Self {
        Self { job, basis, sheets, faults: Faults::default(), refused: Vec::new() }
    }

    /// What an instrument says of itself is read, whether a value names it or not.
    fn instruments(&mut self) {
        for text in self.job.instruments.iter().filter_map(|instrument| instrument.tolerance.as_ref()) {
            if let Err(fault) = Tolerance::check(&text.value) {
                self.faults.add(Fault { at: text.inner(fault.at.range()), ..fault });
            }
        }
    }

    /// Returns whether nothing was found wrong so far.
    pub(super) fn is_clean(&self) -> bool {
        self.faults.is_empty() && self.refused.is_empty()
    }

    fn ended(self) -> Found<()> {
        let mut refused = self.refused;
        if let Err(faults) = self.faults.or(()) {
            refuse(&mut refused, &self.job.page, faults);
            if let Some(own) = refused.iter_mut().find(|refused| refused.page == self.job.page) {
                own.faults.sort_by_key(|fault| fault.at);
            }
        }
        if refused.is_empty() { Ok(()) } else { Err(refused) }
    }

    /// Keeps a fault in the page that it belongs to.
    fn fault(&mut self, page: &Arc<Page>, fault: Fault) {
        if *page == self.job.page {
            self.faults.add(fault);
        } else {
            refuse(&mut self.refused, page, [fault]);
        }
    }

    fn sheet(&mut self, s: usize, sources: &[Vec<RowSource>], names: &[Vec<Vec<String>>]) -> Entered {
        let sheet = Arc::clone(&self.sheets[s].1);
        let used = &self.job.sheets[s];
        let mut made = Entered::default();
        for (name, entry) in &used.given {
            if let Some(line) =
                self.line(used, &sheet, name, "given", |work| matches!(work, Role::Given { .. }))
            {
                self.entry(&mut made, &sheet, (line, 0), entry, &self.job.page.clone());
            }
        }
        for (name, entry) in &used.take {
            if let Some(line) =
                self.line(used, &sheet, name, "figure", |work| matches!(work, Role::Take { .. }))
            {
                self.figure(&mut made, &sheet, line, entry);
            }
        }
        for n in 0..sheet.schedules.len() {
            self.rows(&mut made, s, n, sources, names);
        }
        self.rest(&mut made, &sheet, &names[s]);
        made
    }

    fn line(
        &mut self,
        used: &Use,
        sheet: &Sheet,
        name: &Spanned<String>,
        what: &'static str,
        fits: impl Fn(&Role) -> bool,
    ) -> Option<usize> {
        match sheet.known_line(&name.value) {
            Some(line) if fits(&sheet.lines[line].role) => Some(line),
            Some(line) => {
                let name_of = name.value.clone();
                let wrong = match (&sheet.lines[line].role, what) {
                    (Role::Take { .. }, _) => Wrong::OtherKey { name: name_of, is: "a figure", key: "take" },
                    (Role::Given { .. }, _) => Wrong::OtherKey { name: name_of, is: "a given", key: "given" },
                    (_, "given") => Wrong::NotGiven { name: name_of, what: "a given" },
                    (_, _) => Wrong::NotGiven { name: name_of, what: "a figure" },
                };
                self.faults.add(Fault::new(name.at, wrong));
                None
            }
            None => {
                let known = sheet.lines.iter().filter(|line| line.schedule.is_none() && fits(&line.role));
                let near = near(&name.value, known.map(|line| line.name.value.as_str())).map(str::to_owned);
                let (sheet, found) = (used.name.value.clone(), name.value.clone());
                self.faults.add(Fault::new(name.at, Wrong::NoLine { sheet, found, near, what }));
                None
            }
        }
    }

    /// Reads one entry for a given.
    fn entry(
        &mut self,
        made: &mut Entered,
        sheet: &Sheet,
        at: (usize, usize),
        entry: &Entry,
        page: &Arc<Page>,
    ) {
        let line = &sheet.lines[at.0];
        let csv = *page != self.job.page;
        match enter::read(page, sheet, line, entry, csv) {
            Err(fault) => self.fault(page, meant::link(fault, entry)),
            Ok(Given::Link(..)) if csv => {
                self.fault(page, Fault::new(entry.value.at, Wrong::FormulaInCsv));
            }
            // As if left out: a default stands again.
            Ok(Given::Open) if matches!(line.role, Role::Given { default: Some(_), .. }) => {}
            Ok(Given::Open) => {
                made.known.insert(at, Known::of(Origin::Open));
            }
            Ok(Given::Link(formula, whole)) => {
                let row = line.schedule.map(|_| at.1);
                if let Some(link) = self.link(line, (&formula, whole), at.0, row, entry) {
                    let known =
                        Known { link: Some(formula.to_string()), ..self.known(Origin::Linked, entry) };
                    made.links.push(link);
                    made.known.insert(at, known);
                }
            }
            Ok(Given::Value(value, own)) => {
                if let Err(fault) = enter::check_how(line, entry) {
                    self.faults.add(fault);
                }
                let tolerance = self.tolerance(line, entry, own, page);
                let mut known = self.known(origin(entry), entry);
                known.tolerance = tolerance;
                made.known.insert(at, known);
                made.settings.push(Setting { line: at.0, row: at.1, value, tolerance });
            }
        }
    }

    fn link(
        &mut self,
        line: &Line,
        (formula, whole): (&Formula, Option<Span>),
        n: usize,
        row: Option<usize>,
        entry: &Entry,
    ) -> Option<Link> {
        let mut faults = Faults::default();
        let expr = check::settle(formula, &JobScope { sheets: self.sheets }, &mut faults);
        if faults.is_empty() && !expr.is.agrees(line.is) {
            let unit = line.unit.symbol().to_owned();
            faults.add(Fault::new(expr.at, CheckWrong::Formula { line: line.is, unit, found: expr.is }));
        }
        match faults.or(Link { line: n, row, expr, anyway: entry.anyway.is_some() }) {
            Ok(link) => Some(link),
            Err(found) => {
                let placed = |fault: Fault| match whole {
                    Some(at) => Fault { at, ..fault },
                    None => fault,
                };
                let found: Vec<Fault> =
                    found.into_iter().map(|fault| meant::job_sheet(fault, self.sheets)).collect();
                self.faults.extend(found.into_iter().map(placed));
                None
            }
        }
    }

    pub(super) fn known(&self, origin: Origin, entry: &Entry) -> Known {
        let instrument = entry.with.as_ref().and_then(|with| {
            self.job.instruments.iter().find(|instrument| instrument.name.value == with.value)
        });
        let on = self.job.on.as_ref().map(|on| on.value);
        let other_day = matches!((entry.at, on), (Some(at), Some(on)) if date::day(at) != date::day(on));
        let read_at = entry.at.or(on);
        let until = instrument.and_then(|instrument| instrument.calibrated_until);
        let past = until.filter(|until| read_at.is_some_and(|read| date::day(read) > *until));
        let measured = origin == Origin::Measured;
        Known {
            who: entry.who.clone(),
            at: entry.at,
            with: entry.with.as_ref().map(|with| with.value.clone()),
            other_day: measured && other_day,
            past_calibration: past.filter(|_| measured),
            anyway: entry.anyway.clone(),
            note: entry.note.clone(),
            ..Known::of(origin)
        }
    }

    /// The value's own tolerance counts first, then its instrument's, then the sheet's.
    pub(super) fn tolerance(
        &mut self,
        line: &Line,
        entry: &Entry,
        own: Option<Tolerance>,
        page: &Arc<Page>,
    ) -> Option<Tolerance> {
        if own.is_some() {
            return own;
        }
        let instrument = entry.with.as_ref().and_then(|with| {
            let found = self.job.instruments.iter().find(|instrument| instrument.name.value == with.value)?;
            Some((with, found.tolerance.as_ref()?))
        });
        if let Some((with, text)) = instrument {
            match Tolerance::read(&text.value, &line.unit) {
                Ok(tolerance) => return Some(tolerance),
                // One that cannot be read is told where it stands.
                Err(_) if Tolerance::check(&text.value).is_err() => {}
                Err(_) => {
                    let (instrument, name) = (with.value.clone(), line.name.value.clone());
                    self.fault(page, Fault::new(with.at, Wrong::InstrumentKind { instrument, name }));
                }
            }
        }
        let Role::Given { tolerance, .. } = &line.role else { return None };
        let read = matches!(entry.how.as_ref().map(|how| how.value), None | Some(How::Measured));
        tolerance.filter(|_| read)
    }

    /// A figure of the basis given or overridden, with its document.
    fn figure(&mut self, made: &mut Entered, sheet: &Sheet, n: usize, entry: &Entry) {
        let line = &sheet.lines[n];
        let page = Arc::clone(&self.job.page);
        if matches!(enter::read(&page, sheet, line, entry, false), Ok(Given::Open)) {
            return;
        }
        let Some(by) = &entry.by else {
            self.faults
                .add(Fault::new(entry.value.at, Wrong::DocumentWanted { name: line.name.value.clone() }));
            return;
        };
        if let Some(how) = &entry.how {
            self.faults.add(Fault::new(how.at, Wrong::FigureHow { name: line.name.value.clone() }));
        }
        match enter::read(&page, sheet, line, entry, false) {
            Err(fault) => self.faults.add(fault),
            Ok(Given::Value(value, tolerance)) => {
                let overrides = self.before(line);
                let cite = crate::cite::Cite { document: by.clone(), clause: None, unverified: false };
                let known = Known { cite: Some(cite), overrides, ..self.known(Origin::Adopted, entry) };
                made.known.insert((n, 0), known);
                made.settings.push(Setting { line: n, row: 0, value, tolerance });
            }
            Ok(Given::Open) => {}
            Ok(Given::Link(..)) => {
                let what = "a given";
                self.faults
                    .add(Fault::new(entry.value.at, Wrong::NotGiven { name: line.name.value.clone(), what }));
            }
        }
    }

    /// Returns the figure that a job overrides, the sheet's own or the basis's, in words with its source.
    fn before(&self, line: &Line) -> Option<String> {
        let (value, unit, cite) = match &line.role {
            Role::Take { value: Some(own) } => {
                (own, &line.unit, line.source.as_ref().and_then(|source| self.basis.cited(source)))
            }
            _ => {
                let figure = self.basis.figure(&line.name.value)?;
                (figure.value.as_ref()?, &figure.unit, figure.cite.clone())
            }
        };
        let words = enter::words_of(value, unit);
        Some(cite.map_or(words.clone(), |cite| format!("{words} by {cite}")))
    }

    /// The cells of a schedule's rows, or the links of a schedule that is linked whole.
    fn rows(
        &mut self,
        made: &mut Entered,
        s: usize,
        n: usize,
        sources: &[Vec<RowSource>],
        names: &[Vec<Vec<String>>],
    ) {
        let sheet = Arc::clone(&self.sheets[s].1);
        let linked = match &sources[s][n] {
            RowSource::Linked(other, schedule, at) => Some((*other, *schedule, *at)),
            RowSource::None | RowSource::Written(_) | RowSource::Table(_) => None,
        };
        if linked.is_some() && names[s][n].is_empty() && rows::waits(self.sheets, sources, s, n) {
            made.waiting.push(n);
        }
        let grid = rows::grid(sources, s, n);
        for &column in &sheet.schedules[n].columns {
            let line = &sheet.lines[column];
            if !matches!(line.role, Role::Given { .. }) {
                continue;
            }
            if let Some((other, schedule, at)) = linked
                && let Some(link) = self.linked_column(line, column, (other, schedule), at)
            {
                let from = &self.sheets[other];
                let full =
                    format!("{}.{}.{}", from.0, from.1.schedules[schedule].name.value, line.name.value);
                for row in 0..names[s][n].len() {
                    let known = Known { link: Some(full.clone()), ..Known::of(Origin::Linked) };
                    made.known.insert((column, row), known);
                }
                made.links.push(link);
                continue;
            }
            let Some(grid) = &grid else { continue };
            if let Some(fault) = rows::heading_fault(grid, line) {
                self.fault(&grid.page, fault);
                continue;
            }
            for (row, cells) in grid.rows.iter().enumerate() {
                let cell = cells.iter().find(|(name, _)| name.value == line.name.value);
                if let Some((_, entry)) = cell {
                    self.entry(made, &sheet, (column, row), entry, &grid.page);
                }
            }
        }
    }

    /// A column of a schedule linked whole is the column of the same name there, if there is one.
    fn linked_column(
        &mut self,
        line: &Line,
        n: usize,
        (other, schedule): (usize, usize),
        at: Span,
    ) -> Option<Link> {
        let from = &self.sheets[other].1;
        let place = from.known_column(schedule, &line.name.value)?;
        if matches!(from.lines[place].role, Role::Limit { .. }) {
            return None;
        }
        let is = from.lines[place].is;
        if !is.agrees(line.is) {
            let unit = line.unit.symbol().to_owned();
            self.faults.add(Fault::new(at, CheckWrong::Formula { line: line.is, unit, found: is }));
        }
        let expr = Expr { part: ExprPart::Line(LineRef { sheet: Some(other), line: place }), at, is };
        Some(Link { line: n, row: None, expr, anyway: false })
    }
}

pub(super) fn origin(entry: &Entry) -> Origin {
    match entry.how.as_ref().map(|how| how.value) {
        None if entry.with.is_some() => Origin::Measured,
        None => Origin::NotSaid,
        Some(How::Measured) => Origin::Measured,
        Some(How::Nameplate) => Origin::Nameplate,
        Some(How::Datasheet) => Origin::Datasheet,
        Some(How::Drawing) => Origin::Drawing,
        Some(How::Stated) => Origin::Stated,
        Some(How::Assumed) => Origin::Assumed,
        Some(How::Linked) => Origin::Linked,
    }
}
