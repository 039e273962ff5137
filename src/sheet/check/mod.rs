//! A page checked: its statements become a [`Sheet`] that can never meet a unit error, an unknown name
//! or a loop while it is in use.
//!
//! In: a draft, and a basis where one is known. Out: the sheet, or every fault of the page.
//! Never: stops at the first fault; never works a value out.

mod calls;
mod examples;
mod lines;
mod order;
mod scope;
mod settle;
mod wrong;

use std::collections::{HashMap, HashSet};
use std::sync::Arc;

use crate::cite::Cite;
use crate::fault::{Fault, Faults, Kind, Page, Spanned, near};
use crate::sheet::basis::Basis;
use crate::sheet::model::{
    ByName, Chart, ChartLine, Expr, Is, Line, Role, Rows, Schedule, Sheet, Source, TableUse,
};
use crate::sheet::statement::{Body, By, ChartDraft, Draft, LineDraft, ScheduleDraft, SourceDraft};
use crate::sheet::words::is_taken;
use crate::table::Table;

pub use examples::{VERDICTS, known_row};
pub use order::loops;
pub use settle::{Found, Scope, settle};
pub use wrong::Wrong;

use scope::SheetScope;

/// What a sheet is checked against.
pub struct Against<'a> {
    /// The job's basis; without one, what comes from the basis fits anything.
    pub basis: Option<&'a Basis>,
    /// Finds a table by its file's name.
    pub tables: &'a dyn Fn(&str) -> Fetched,
}

/// A table that a page names.
#[derive(Debug)]
pub enum Fetched {
    /// It was read.
    Read(Arc<Table>),
    /// There is no such file.
    Absent,
    /// Its own page was refused, and tells why.
    Refused,
}

/// Checks a draft.
///
/// # Errors
/// All faults of the page, those of reading it (`faults`) included.
pub fn check(
    page: &Arc<Page>,
    draft: &Draft,
    faults: Faults,
    against: &Against<'_>,
) -> Result<Sheet, Vec<Fault>> {
    let mut check = Check { draft, against, faults, sources: HashMap::new() };
    check.sources = sources(&draft.sources, &mut check.faults);
    check.unique_names();
    let tables = check.tables();
    let from = check.schedule_tables(&tables);
    let twice = named_twice(draft);
    let mut doubtful = twice.clone();
    doubtful.extend(differs_from_basis(draft, against.basis));
    let names = |doubtful: &HashSet<usize>| SheetScope::new(draft, &tables, &from, doubtful.clone());
    let (before, mut scope) = (check.faults.clone(), names(&doubtful));
    let (mut lines, mut conditions) = check.lines(&scope);
    // A line that is not what it is declared to be is told once: what rests on it is looked at anew, and agrees.
    let unlike: Vec<usize> = unlike_declared(&lines).filter(|line| !doubtful.contains(line)).collect();
    if !unlike.is_empty() {
        doubtful.extend(unlike);
        (check.faults, scope) = (before, names(&doubtful));
        (lines, conditions) = check.lines(&scope);
    }
    for &line in &doubtful {
        lines[line].is = Is::Unknown;
    }
    let schedules = schedules(draft, conditions, &from, &lines);
    let charts = check.charts(&scope);
    let mut examples = Vec::new();
    for example in &draft.examples {
        let source = check.source_of_example(example.by.as_ref());
        examples.extend(source.map(|source| (example.clone(), source)));
    }
    let sheet = Sheet {
        page: Arc::clone(page),
        title: draft.title.as_ref().map_or_else(String::new, |title| title.value.clone()),
        revision: draft.revision.unwrap_or(1),
        about: draft.about.clone().unwrap_or_default(),
        by_name: ByName::of(&lines),
        cautions: draft.cautions.clone(),
        lines,
        schedules,
        tables: tables.clone(),
        charts,
        examples,
    };
    order::check(&sheet, &twice, &mut check.faults);
    check.examples(&sheet);
    check.without_followers();
    check.faults.or(sheet)
}

/// Returns the schedules, each with its columns.
fn schedules(
    draft: &Draft,
    conditions: Vec<Option<Expr>>,
    from: &[Option<usize>],
    lines: &[Line],
) -> Vec<Schedule> {
    let columns = |n: usize| (0..lines.len()).filter(|&line| lines[line].schedule == Some(n)).collect();
    let made = |(n, (schedule, when)): (usize, (&ScheduleDraft, Option<Expr>))| Schedule {
        name: schedule.name.clone(),
        label: schedule.label.clone(),
        from: from[n],
        may_be_empty: schedule.may_be_empty,
        when,
        when_formula: schedule.when.clone(),
        columns: columns(n),
        note: schedule.note.clone(),
    };
    draft.schedules.iter().zip(conditions).enumerate().map(made).collect()
}

/// Returns the lines whose name another has too: which is meant where it is used nobody knows.
fn named_twice(draft: &Draft) -> HashSet<usize> {
    let mut seen: HashMap<(Option<usize>, &str), usize> = HashMap::new();
    let mut twice = HashSet::new();
    for (n, line) in draft.lines.iter().enumerate() {
        if let Some(first) = seen.insert((line.schedule, &line.name.value), n) {
            twice.extend([first, n]);
        }
    }
    twice
}

/// Returns the figures that are of another kind in the basis than here.
fn differs_from_basis<'d>(draft: &'d Draft, basis: Option<&'d Basis>) -> impl Iterator<Item = usize> + 'd {
    let differs = move |line: &LineDraft| {
        let figure = basis?.figure(&line.name.value)?;
        let fetched = matches!(line.body, Body::Take { from_basis: true, .. });
        (fetched && !figure.is.agrees(Is::declared(&line.is))).then_some(())
    };
    draft.lines.iter().enumerate().filter_map(move |(n, line)| differs(line).map(|()| n))
}

/// Returns the lines of which a formula gives another kind than they are declared to be.
fn unlike_declared(lines: &[Line]) -> impl Iterator<Item = usize> + '_ {
    let unlike = |line: &Line| match &line.role {
        Role::Find(branches) => branches.iter().any(|branch| !branch.expr.is.agrees(line.is)),
        Role::Given { .. } | Role::Take { .. } | Role::Cell { .. } | Role::Limit { .. } => false,
    };
    lines.iter().enumerate().filter(move |(_, line)| unlike(line)).map(|(n, _)| n)
}

/// Returns the documents by the word that lines cite.
pub(super) fn sources(drafts: &[SourceDraft], faults: &mut Faults) -> HashMap<String, String> {
    let mut sources = HashMap::from([(Cite::PRACTICE_WORD.to_owned(), Cite::PRACTICE.to_owned())]);
    for source in drafts {
        let name = source.id.value.clone();
        if sources.insert(name.clone(), source.document.clone()).is_some() {
            faults.add(Fault::new(source.id.at, Wrong::Twice { name }));
        }
    }
    sources
}

/// Returns what a `by` cites, by a page's own sources.
pub(super) fn cite(by: &By, sources: &HashMap<String, String>) -> Result<Cite, Fault> {
    let id = &by.source.value;
    let Some(document) = sources.get(id) else {
        let near = near(id, sources.keys().map(String::as_str)).map(str::to_owned);
        return Err(Fault::new(by.source.at, Wrong::UnknownSource { found: id.clone(), near }));
    };
    Ok(Cite { document: document.clone(), clause: by.clause.clone(), unverified: by.unverified })
}

/// Returns a column whose name is a word of the language, so that no formula could use it.
fn taken_column(table: &Table) -> Option<&str> {
    table.columns.iter().map(|column| column.name.as_str()).find(|name| is_taken(name))
}

struct Check<'a> {
    draft: &'a Draft,
    against: &'a Against<'a>,
    faults: Faults,
    sources: HashMap<String, String>,
}

impl Check<'_> {
    /// Where a name is misspelt as it is fetched from the basis, its uses by the right one are no slips of their own.
    fn without_followers(&mut self) {
        let meant = |fault: &Fault| match &fault.kind {
            Kind::Check(Wrong::NotInBasis { near: Some(near), .. }) => Some(near.clone()),
            _ => None,
        };
        let meant: Vec<String> = self.faults.all().filter_map(meant).collect();
        self.faults.retain(|fault| match &fault.kind {
            Kind::Check(Wrong::UnknownName { found, .. } | Wrong::UnknownRows { found, .. }) => {
                !meant.contains(found)
            }
            _ => true,
        });
    }

    /// A name outside schedules is given once; a column's is given once and not outside.
    fn unique_names(&mut self) {
        let draft = self.draft;
        let mut outside: HashMap<&str, &Spanned<String>> = HashMap::new();
        let lines = draft.lines.iter().filter(|line| line.schedule.is_none()).map(|line| &line.name);
        let rest = draft.schedules.iter().map(|s| &s.name).chain(draft.tables.iter().map(|t| &t.name));
        for name in lines.chain(rest).chain(draft.charts.iter().map(|c| &c.name)) {
            if let Some(first) = outside.insert(&name.value, name) {
                self.twice(first, name);
            }
        }
        let mut columns: HashMap<(usize, &str), &Spanned<String>> = HashMap::new();
        for line in &draft.lines {
            let (Some(schedule), name) = (line.schedule, &line.name) else { continue };
            if let Some(first) = columns.insert((schedule, &name.value), name) {
                self.twice(first, name);
            }
            if let Some(first) = outside.get(name.value.as_str()) {
                let wrong = Wrong::ColumnNamedAsLine { name: name.value.clone() };
                self.faults.add(Fault::new(name.at, wrong).with_also(first.at, "the line outside"));
            }
        }
    }

    fn twice(&mut self, first: &Spanned<String>, second: &Spanned<String>) {
        let (first, second) = if first.at < second.at { (first, second) } else { (second, first) };
        let fault = Fault::new(second.at, Wrong::Twice { name: second.value.clone() });
        self.faults.add(fault.with_also(first.at, "first named here"));
    }

    /// Fetches the tables, from files or from the basis.
    fn tables(&mut self) -> Vec<TableUse> {
        let mut tables = Vec::new();
        for draft in &self.draft.tables {
            let name = &draft.name;
            let mut made =
                TableUse { name: name.clone(), from_basis: draft.file.is_none(), table: None, without: None };
            match (&draft.file, self.against.basis) {
                (Some(file), _) => match (self.against.tables)(&file.value) {
                    Fetched::Read(table) => made.table = Some(table),
                    Fetched::Refused => {}
                    Fetched::Absent => {
                        self.faults.add(Fault::new(file.at, Wrong::NoTableFile { name: file.value.clone() }));
                    }
                },
                (None, None) => {}
                (None, Some(basis)) => {
                    made.table = basis.table(&name.value).cloned();
                    made.without = basis.without(&name.value).map(str::to_owned);
                    if made.table.is_none() && made.without.is_none() {
                        let near = near(&name.value, basis.table_names()).map(str::to_owned);
                        let (basis, name_of) = (basis.name.clone(), name.value.clone());
                        let wrong = Wrong::NotInBasis { basis, name: name_of, what: "table", near };
                        self.faults.add(Fault::new(name.at, wrong));
                    }
                }
            }
            if let Some(column) = made.table.as_deref().and_then(taken_column) {
                let wrong = Wrong::ColumnTaken { table: name.value.clone(), column: column.to_owned() };
                self.faults.add(Fault::new(name.at, wrong));
            }
            tables.push(made);
        }
        tables
    }

    /// Returns the table behind each schedule that has one.
    fn schedule_tables(&mut self, tables: &[TableUse]) -> Vec<Option<usize>> {
        let mut from = Vec::new();
        for schedule in &self.draft.schedules {
            from.push(schedule.from.as_ref().and_then(|name| {
                let place = tables.iter().position(|table| table.name.value == name.value);
                if place.is_none() {
                    let near =
                        near(&name.value, tables.iter().map(|t| t.name.value.as_str())).map(str::to_owned);
                    self.faults
                        .add(Fault::new(name.at, Wrong::UnknownTable { found: name.value.clone(), near }));
                }
                place
            }));
        }
        from
    }

    fn charts(&mut self, scope: &SheetScope<'_>) -> Vec<Chart> {
        let mut charts = Vec::new();
        for draft in &self.draft.charts {
            let mut column = |path: &Option<Spanned<crate::sheet::token::Path>>| {
                let path = path.as_ref()?;
                match scope.find(&path.value) {
                    Ok(Found::Column { rows: Rows::Schedule(None, schedule), line, .. }) => {
                        Some((schedule, line.line))
                    }
                    // There is nothing to draw, and no fault of the sheet.
                    Ok(Found::Without { .. }) => None,
                    Ok(_) => {
                        self.faults.add(Fault::new(path.at, Wrong::ChartColumns));
                        None
                    }
                    Err(wrong) => {
                        self.faults.add(Fault::new(path.at, wrong));
                        None
                    }
                }
            };
            let (across, up) = (column(&draft.across), column(&draft.up));
            let lines = draft.lines.iter().map(|formula| ChartLine {
                expr: settle(formula, scope, &mut self.faults),
                formula: formula.clone(),
            });
            let lines: Vec<ChartLine> = lines.collect();
            let (Some((left, across)), Some((right, up))) = (across, up) else { continue };
            if !self.goes_up(draft, up) {
                continue;
            }
            self.drawn_together(&lines, up);
            if left != right {
                self.faults.add(Fault::new(draft.name.at, Wrong::ChartColumns));
            }
            charts.push(Chart { name: draft.name.clone(), label: draft.label.clone(), across, up, lines });
        }
        charts
    }

    /// What goes up a chart is a number; what goes across may be a text.
    fn goes_up(&mut self, draft: &ChartDraft, up: usize) -> bool {
        let (Some(line), Some(path)) = (self.draft.lines.get(up), &draft.up) else { return true };
        let found = Is::declared(&line.is);
        let fits = matches!(found, Is::Quantity(_) | Is::Point | Is::Unknown);
        if !fits {
            let what = "what goes up a chart".to_owned();
            self.faults.add(Fault::new(path.at, Wrong::Wanted { what, wanted: "a quantity", found }));
        }
        fits
    }

    /// What is drawn across a chart is of the kind that goes up.
    fn drawn_together(&mut self, lines: &[ChartLine], up: usize) {
        let Some(up) = self.draft.lines.get(up) else { return };
        let is = Is::declared(&up.is);
        for line in lines.iter().map(|line| &line.expr).filter(|line| !line.is.agrees(is)) {
            self.faults.add(Fault::new(line.at, Wrong::ChartLine { up: is, found: line.is }));
        }
    }

    /// Returns what a line cites.
    fn source(&mut self, by: Option<&By>) -> Option<Source> {
        let by = by?;
        if by.from_basis {
            let name = &by.source.value;
            if let Some(basis) = self.against.basis
                && basis.cite(name).is_none()
                && basis.without(name).is_none()
            {
                let wrong = if basis.figure(name).is_some() {
                    Wrong::NoCitation { basis: basis.name.clone(), name: name.clone() }
                } else {
                    let near = near(name, basis.cite_names()).map(str::to_owned);
                    Wrong::NotInBasis {
                        basis: basis.name.clone(),
                        name: name.clone(),
                        what: "citation",
                        near,
                    }
                };
                self.faults.add(Fault::new(by.source.at, wrong));
            }
            return Some(Source::Basis(name.clone()));
        }
        let made = cite(by, &self.sources);
        self.faults.keep(made).map(Source::Document)
    }

    fn source_of_example(&mut self, by: Option<&By>) -> Option<Cite> {
        let by = by?;
        if by.source.value == "hand" && !self.sources.contains_key("hand") {
            let document = "worked by hand".to_owned();
            return Some(Cite { document, clause: by.clause.clone(), unverified: by.unverified });
        }
        let made = cite(by, &self.sources);
        self.faults.keep(made)
    }
}
