//! The entries of a job, read against its sheets.
//!
//! In: a job, its basis and its sheets, where its rows come from. Out: what was entered for each sheet.
//! Never: stops at the first fault; each is kept in the page that it belongs to.

use std::sync::Arc;

use crate::cite::Cite;
use crate::engine::Link;
use crate::fault::{Fault, Faults, Page, Refused, Span, Spanned, near, refuse};
use crate::job::{Entry, How, Job, Use};
use crate::notebook::Wrong;
use crate::notebook::book::Known;
use crate::notebook::library::Found;
use crate::notebook::load::assemble::{Entered, Setting};
use crate::notebook::load::enter::{self, Given};
use crate::notebook::load::fetch::NamedSheet;
use crate::notebook::load::meant;
use crate::notebook::load::rows::{self, RowSource};
use crate::notebook::load::scope::JobScope;
use crate::notebook::record::Origin;
use crate::sheet::check::{self, Wrong as CheckWrong};
use crate::sheet::formula::Formula;
use crate::sheet::model::{Expr, ExprPart, Line, LineRef, Role};
use crate::sheet::{Basis, Sheet};
use crate::unit::{Tolerance, date};

/// Reads the entries of a job, one sheet after another.
pub(in crate::notebook) struct Loader<'a> {
    job: &'a Job,
    pub(super) basis: &'a Basis,
    sheets: &'a [NamedSheet],
    pub(super) faults: Faults,
    pub(super) refused: Vec<Refused>,
    /// What was entered for the sheet that is read.
    pub(in crate::notebook) made: Entered,
}

/// The givens of a sheet, or its figures.
#[derive(Clone, Copy)]
enum Part {
    Given,
    Figure,
}

impl Part {
    fn has(self, role: &Role) -> bool {
        match self {
            Self::Given => matches!(role, Role::Given { .. }),
            Self::Figure => matches!(role, Role::Take { .. }),
        }
    }

    /// What one is called, and the same with its article.
    fn words(self) -> (&'static str, &'static str) {
        match self {
            Self::Given => ("given", "a given"),
            Self::Figure => ("figure", "a figure"),
        }
    }
}

impl<'a> Loader<'a> {
    pub(in crate::notebook) fn new(job: &'a Job, basis: &'a Basis, sheets: &'a [NamedSheet]) -> Self {
        let made = Entered::default();
        Self { job, basis, sheets, faults: Faults::default(), refused: Vec::new(), made }
    }

    /// What an instrument says of itself is read, whether a value names it or not.
    pub(super) fn instruments(&mut self) {
        for text in self.job.instruments.iter().filter_map(|instrument| instrument.tolerance.as_ref()) {
            if let Err(fault) = Tolerance::check(&text.value) {
                self.faults.add(Fault { at: text.inner(fault.at.range()), ..fault });
            }
        }
    }

    /// Returns whether nothing was found wrong so far.
    pub(in crate::notebook) fn is_clean(&self) -> bool {
        self.faults.is_empty() && self.refused.is_empty()
    }

    /// Ends the reading.
    ///
    /// # Errors
    /// Every page that something was found wrong in.
    pub(super) fn ended(self) -> Found<()> {
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

    /// Reads what a job says of one sheet.
    pub(super) fn sheet(
        &mut self,
        s: usize,
        sources: &[Vec<RowSource>],
        names: &[Vec<Vec<String>>],
    ) -> Entered {
        let sheet = Arc::clone(&self.sheets[s].1);
        let used = &self.job.sheets[s];
        for (name, entry) in &used.given {
            if let Some(line) = self.line(used, &sheet, name, Part::Given) {
                self.entry(&sheet, (line, 0), entry, &self.job.page.clone());
            }
        }
        for (name, entry) in &used.take {
            if let Some(line) = self.line(used, &sheet, name, Part::Figure) {
                self.figure(&sheet, line, entry);
            }
        }
        for n in 0..sheet.schedules.len() {
            self.rows(s, n, sources, names);
        }
        self.rest(&sheet, &names[s]);
        std::mem::take(&mut self.made)
    }

    fn line(&mut self, used: &Use, sheet: &Sheet, name: &Spanned<String>, part: Part) -> Option<usize> {
        let (what, one) = part.words();
        match sheet.known_line(&name.value) {
            Some(line) if part.has(&sheet.lines[line].role) => Some(line),
            Some(line) => {
                let name_of = name.value.clone();
                let wrong = match sheet.lines[line].role {
                    Role::Take { .. } => Wrong::OtherKey { name: name_of, is: "a figure", key: "take" },
                    Role::Given { .. } => Wrong::OtherKey { name: name_of, is: "a given", key: "given" },
                    Role::Cell { .. } | Role::Find(_) | Role::Limit { .. } => {
                        Wrong::NotGiven { name: name_of, what: one }
                    }
                };
                self.faults.add(Fault::new(name.at, wrong));
                None
            }
            None => {
                let known = sheet.lines.iter().filter(|line| line.schedule.is_none() && part.has(&line.role));
                let near = near(&name.value, known.map(|line| line.name.value.as_str())).map(str::to_owned);
                let wrong = Wrong::no_line(used, sheet, (what, &name.value), near);
                self.faults.add(Fault::new(name.at, wrong));
                None
            }
        }
    }

    /// Reads one entry for a given.
    fn entry(&mut self, sheet: &Sheet, at: (usize, usize), entry: &Entry, page: &Arc<Page>) {
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
                self.made.known.insert(at, Known::of(Origin::Open));
            }
            Ok(Given::Link(formula, whole)) => {
                let row = line.schedule.map(|_| at.1);
                if let Some(link) = self.link(line, (&formula, whole), (at.0, row), entry) {
                    let known =
                        Known { link: Some(formula.to_string()), ..self.known(Origin::Linked, entry) };
                    self.made.links.push(link);
                    self.made.known.insert(at, known);
                }
            }
            Ok(Given::Value(value, own)) => {
                if let Err(fault) = enter::check_how(line, entry) {
                    self.faults.add(fault);
                }
                let tolerance = self.tolerance(line, entry, own, page);
                let mut known = self.known(origin(entry), entry);
                known.tolerance = tolerance;
                self.made.known.insert(at, known);
                self.made.settings.push(Setting { line: at.0, row: at.1, value, tolerance });
            }
        }
    }

    fn link(
        &mut self,
        line: &Line,
        (formula, whole): (&Formula, Option<Span>),
        (n, row): (usize, Option<usize>),
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
                let named = found.into_iter().map(|fault| meant::job_sheet(fault, self.sheets));
                self.faults.extend(named.map(placed).collect::<Vec<_>>());
                None
            }
        }
    }

    /// Returns what an entry says of its value.
    pub(in crate::notebook) fn known(&self, origin: Origin, entry: &Entry) -> Known {
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
    pub(in crate::notebook) fn tolerance(
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
    fn figure(&mut self, sheet: &Sheet, n: usize, entry: &Entry) {
        let line = &sheet.lines[n];
        let name = || line.name.value.clone();
        let read = enter::read(&self.job.page, sheet, line, entry, false);
        if read == Ok(Given::Open) {
            return;
        }
        let Some(by) = &entry.by else {
            self.faults.add(Fault::new(entry.value.at, Wrong::DocumentWanted { name: name() }));
            return;
        };
        if let Some(how) = &entry.how {
            self.faults.add(Fault::new(how.at, Wrong::FigureHow { name: name() }));
        }
        match read {
            Err(fault) => self.faults.add(fault),
            Ok(Given::Value(value, tolerance)) => {
                let overrides = self.before(line);
                let cite = Cite { document: by.clone(), clause: None, unverified: false };
                let known = Known { cite: Some(cite), overrides, ..self.known(Origin::Adopted, entry) };
                self.made.known.insert((n, 0), known);
                self.made.settings.push(Setting { line: n, row: 0, value, tolerance });
            }
            Ok(Given::Open) => {}
            Ok(Given::Link(..)) => {
                let (_, what) = Part::Given.words();
                self.faults.add(Fault::new(entry.value.at, Wrong::NotGiven { name: name(), what }));
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
    fn rows(&mut self, s: usize, n: usize, sources: &[Vec<RowSource>], names: &[Vec<Vec<String>>]) {
        let sheet = Arc::clone(&self.sheets[s].1);
        let linked = match &sources[s][n] {
            RowSource::Linked(other, schedule, at) => Some((*other, *schedule, *at)),
            RowSource::None | RowSource::Written(_) | RowSource::Table(_) => None,
        };
        if linked.is_some() && names[s][n].is_empty() && rows::waits(self.sheets, sources, s, n) {
            self.made.waiting.push(n);
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
                    self.made.known.insert((column, row), known);
                }
                self.made.links.push(link);
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
                    self.entry(&sheet, (column, row), entry, &grid.page);
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

/// Returns how an entry says that its value is known.
pub(in crate::notebook) fn origin(entry: &Entry) -> Origin {
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
