//! The names that the formulas of a sheet may use.
//!
//! In: a draft and its tables. Out: what a name stands for, or the nearest name.
//! Never: settles a formula.

use std::collections::{HashMap, HashSet};
use std::rc::Rc;

use crate::fault::{MOST, near};
use crate::sheet::check::settle::{Found, Scope};
use crate::sheet::check::wrong::Wrong;
use crate::sheet::model::{Is, LineRef, Rows, TableUse};
use crate::sheet::statement::{Body, Declared, Draft, LineDraft, Literal, OneOf};
use crate::sheet::token::Path;
use crate::table::{Cell, Table};
use crate::unit::Unit;

/// The names of a sheet.
pub(super) struct SheetScope<'a> {
    draft: &'a Draft,
    tables: &'a [TableUse],
    from: &'a [Option<usize>],
    outside: Rc<HashMap<&'a str, Name>>,
    columns: Rc<Vec<HashMap<&'a str, usize>>>,
    /// Columns that schedules have from tables: the schedule, the table's column.
    implied: Rc<Vec<(usize, usize)>>,
    /// Lines of which it is not known what they are, for a fault of their own.
    doubtful: Rc<HashSet<usize>>,
    inside: Option<usize>,
    /// How many names were not known: no more than can be told are compared with all that are.
    unknown: Rc<std::cell::Cell<usize>>,
}

#[derive(Clone, Copy)]
enum Name {
    Line(usize),
    Schedule(usize),
    Table(usize),
    Chart,
}

impl<'a> SheetScope<'a> {
    pub(super) fn new(
        draft: &'a Draft,
        tables: &'a [TableUse],
        from: &'a [Option<usize>],
        doubtful: HashSet<usize>,
    ) -> Self {
        let mut outside = HashMap::new();
        let mut columns = vec![HashMap::new(); draft.schedules.len()];
        for (n, line) in draft.lines.iter().enumerate() {
            let name = line.name.value.as_str();
            match line.schedule {
                Some(schedule) => drop(columns[schedule].insert(name, n)),
                None => drop(outside.insert(name, Name::Line(n))),
            }
        }
        outside.extend(
            draft.schedules.iter().enumerate().map(|(n, s)| (s.name.value.as_str(), Name::Schedule(n))),
        );
        outside.extend(draft.tables.iter().enumerate().map(|(n, t)| (t.name.value.as_str(), Name::Table(n))));
        outside.extend(draft.charts.iter().map(|c| (c.name.value.as_str(), Name::Chart)));
        let mut implied = Vec::new();
        for (schedule, table) in from.iter().enumerate() {
            let Some(table) = table.and_then(|table| tables[table].table.as_deref()) else { continue };
            for (n, column) in table.columns.iter().enumerate() {
                columns[schedule].entry(column.name.as_str()).or_insert(draft.lines.len() + implied.len());
                implied.push((schedule, n));
            }
        }
        let (outside, columns, implied) = (Rc::new(outside), Rc::new(columns), Rc::new(implied));
        let doubtful = Rc::new(doubtful);
        Self {
            draft,
            tables,
            from,
            outside,
            columns,
            implied,
            doubtful,
            inside: None,
            unknown: Rc::default(),
        }
    }

    /// Returns the names as they are inside a schedule.
    pub(super) fn within(&self, schedule: Option<usize>) -> Self {
        Self {
            outside: Rc::clone(&self.outside),
            columns: Rc::clone(&self.columns),
            implied: Rc::clone(&self.implied),
            doubtful: Rc::clone(&self.doubtful),
            unknown: Rc::clone(&self.unknown),
            inside: schedule,
            ..*self
        }
    }

    /// Returns the columns that schedules have from tables: schedule, table, its column.
    pub(super) fn implied(&self) -> impl Iterator<Item = (usize, usize, usize)> + '_ {
        self.implied.iter().filter_map(|&(schedule, column)| Some((schedule, self.from[schedule]?, column)))
    }

    /// Returns a table, where it is known.
    pub(super) fn table(&self, table: usize) -> Option<&'a Table> {
        self.tables[table].table.as_deref()
    }

    fn column(&self, schedule: usize, name: &str) -> Option<Found> {
        let rows = Rows::Schedule(None, schedule);
        if let Some(&n) = self.columns[schedule].get(name) {
            let line = LineRef { sheet: None, line: n };
            let is = match self.draft.lines.get(n) {
                Some(draft) if matches!(draft.body, Body::Limit { .. }) => return Some(Found::Limit),
                Some(_) => self.is_of(n),
                None => self.implied_is(n),
            };
            return Some(Found::Column { rows, line, is });
        }
        // Where the table is missed by mistake, that has its own fault.
        let table = self.from[schedule];
        let open = self.draft.schedules[schedule].from.is_some()
            && table.is_none_or(|table| self.tables[table].table.is_none());
        open.then_some(Found::Without { rows, table })
    }

    fn is_of(&self, line: usize) -> Is {
        if self.doubtful.contains(&line) { Is::Unknown } else { Is::declared(&self.draft.lines[line].is) }
    }

    fn implied_is(&self, line: usize) -> Is {
        let (schedule, column) = self.implied[line - self.draft.lines.len()];
        let table = self.from[schedule].and_then(|table| self.tables[table].table.as_deref());
        table.map_or(Is::Unknown, |table| Is::of_column(table.columns[column].unit.as_ref()))
    }

    fn cell(&self, table: usize, name: &str) -> Result<Found, Wrong> {
        let Some(found) = &self.tables[table].table else {
            return Ok(Found::Cell { table, column: None, is: Is::Unknown });
        };
        match found.column(name) {
            Some(column) => {
                let is = Is::of_column(found.columns[column].unit.as_ref());
                Ok(Found::Cell { table, column: Some(column), is })
            }
            None => {
                let known: Vec<String> = found.columns.iter().map(|column| column.name.clone()).collect();
                let near = near(name, known.iter().map(String::as_str)).map(str::to_owned);
                let table = self.tables[table].name.value.clone();
                Err(Wrong::NotColumnOf { table, found: name.to_owned(), near, known })
            }
        }
    }

    fn bare(&self, name: &str) -> Result<Found, Wrong> {
        if name == "on" {
            return Ok(Found::Today);
        }
        match self.outside.get(name) {
            Some(&Name::Line(n)) => Ok(self.line(n)),
            Some(&Name::Schedule(n)) => Ok(Found::Rows(Rows::Schedule(None, n))),
            Some(&Name::Table(n)) => Ok(Found::Rows(Rows::Table(n))),
            Some(Name::Chart) | None => match self.inside.and_then(|schedule| self.column(schedule, name)) {
                Some(found) => Ok(found),
                None => Err(self.unknown(name)),
            },
        }
    }

    fn line(&self, n: usize) -> Found {
        let draft = &self.draft.lines[n];
        match draft.body {
            Body::Limit { .. } => Found::Limit,
            Body::Given { .. } | Body::Take { .. } | Body::Find(_) => {
                Found::Line(LineRef { sheet: None, line: n }, self.is_of(n))
            }
        }
    }

    fn unknown_rows(&self, name: &str) -> Wrong {
        let schedules = self.draft.schedules.iter().map(|schedule| &schedule.name.value);
        let known: Vec<String> =
            schedules.chain(self.draft.tables.iter().map(|table| &table.name.value)).cloned().collect();
        let near = near(name, known.iter().map(String::as_str)).map(str::to_owned);
        Wrong::UnknownRows { found: name.to_owned(), near, known }
    }

    fn unknown(&self, name: &str) -> Wrong {
        self.unknown.set(self.unknown.get() + 1);
        if self.unknown.get() > MOST {
            return Wrong::UnknownName { found: name.to_owned(), near: None, unit: false };
        }
        // A column of a schedule, outside it: its name in full is meant.
        let column = |(n, columns): (usize, &HashMap<&str, usize>)| {
            columns.contains_key(name).then(|| format!("{}.{name}", self.draft.schedules[n].name.value))
        };
        if let Some(near) = self.columns.iter().enumerate().find_map(column) {
            return Wrong::UnknownName { found: name.to_owned(), near: Some(near), unit: false };
        }
        let inside = self.inside.into_iter().flat_map(|schedule| self.columns[schedule].keys().copied());
        let near = near(name, inside.chain(self.outside.keys().copied())).map(str::to_owned);
        Wrong::UnknownName { found: name.to_owned(), near, unit: Unit::read(name).is_ok() }
    }
}

impl Scope for SheetScope<'_> {
    fn find(&self, path: &Path) -> Result<Found, Wrong> {
        match path.0.as_slice() {
            [name] => self.bare(name),
            [of, name] => match self.outside.get(of.as_str()) {
                Some(&Name::Table(table)) => self.cell(table, name),
                Some(&Name::Schedule(schedule)) => self.column(schedule, name).ok_or_else(|| {
                    let near = near(name, self.columns[schedule].keys().copied()).map(str::to_owned);
                    Wrong::UnknownColumn { of: of.clone(), found: name.clone(), near }
                }),
                Some(Name::Line(_) | Name::Chart) | None => Err(self.unknown_rows(of)),
            },
            _ => Err(Wrong::UnknownName { found: path.to_string(), near: None, unit: false }),
        }
    }

    fn inside(&self) -> Option<Rows> {
        self.inside.map(|schedule| Rows::Schedule(None, schedule))
    }

    fn rows_name(&self, rows: Rows) -> String {
        match rows {
            Rows::Schedule(_, n) => self.draft.schedules[n].name.value.clone(),
            Rows::Table(n) => self.tables[n].name.value.clone(),
        }
    }

    fn choices(&self, line: LineRef) -> Option<Vec<String>> {
        let LineDraft { body: Body::Given { one_of: Some(one_of), .. }, is: Declared::Text, .. } =
            self.draft.lines.get(line.line)?
        else {
            return None;
        };
        match one_of {
            OneOf::Values(values) => {
                let text = |value: &crate::fault::Spanned<Literal>| match &value.value {
                    Literal::Text(text) => Some(text.clone()),
                    Literal::Quantity(_) | Literal::Date(_) | Literal::Flag(_) => None,
                };
                Some(values.iter().filter_map(text).collect())
            }
            OneOf::Column(path) => {
                let Ok(Found::Cell { table, column: Some(column), .. }) = self.find(&path.value) else {
                    return None;
                };
                let table = self.tables[table].table.as_deref()?;
                let text = |cell: &Option<Cell>| match cell {
                    Some(Cell::Text(text)) => Some(text.clone()),
                    Some(Cell::Number(_)) | None => None,
                };
                Some(table.columns[column].cells.iter().filter_map(text).collect())
            }
        }
    }

    fn in_percent(&self, line: LineRef) -> Option<String> {
        let draft = self.draft.lines.get(line.line)?;
        let is_percent = matches!(&draft.is, Declared::Unit(unit) if unit.is_percent());
        is_percent.then(|| draft.name.value.clone())
    }

    fn does_not_rise(&self, table: usize, column: usize) -> Option<bool> {
        let table = self.tables[table].table.as_deref()?;
        let gap = table.columns.get(column)?.cells.iter().any(Option::is_none);
        (!table.rising(column)).then_some(gap)
    }
}
