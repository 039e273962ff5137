//! Worked examples checked: every name is one of the sheet, every value of its kind.
//!
//! In: the sheet. Out: faults.
//! Never: works an example (that is `wattle proof`).

use super::Check;
use super::wrong::Wrong;
use crate::fault::{Fault, Span, Spanned, near};
use crate::sheet::Wrong as Text;
use crate::sheet::model::{Choices, Is, Line, Role, Sheet};
use crate::sheet::statement::{Example, Expect, Literal, Setting, lacks_percent};
use crate::sheet::token::Path;
use crate::table::Cell;
use crate::unit::{Dimension, Quantity, Unit, date, show};

/// What a limit may be expected to be.
pub const VERDICTS: &[&str] = &["pass", "fail", "waiting", "unsure", "unworkable", "advice", "not_needed"];

impl Check<'_> {
    pub(super) fn examples(&mut self, sheet: &Sheet) {
        let examples = &self.draft.examples;
        for (n, example) in examples.iter().enumerate() {
            if let Some(first) = examples[..n].iter().find(|first| first.name.value == example.name.value) {
                self.twice(&first.name, &example.name);
            }
            self.example(sheet, example);
        }
    }

    fn example(&mut self, sheet: &Sheet, example: &Example) {
        // On another basis than its own, its sizes and rows may not be there.
        let own = example.basis.as_ref().map_or("uk", |basis| basis.value.as_str());
        let is_for = self.against.basis.is_some_and(|basis| basis.name == own);
        let entered = |line: &Line| matches!(line.role, Role::Given { .. });
        let adopted = |line: &Line| matches!(line.role, Role::Take { .. });
        for setting in &example.given {
            self.setting(sheet, None, setting, ("a given of this sheet", is_for), entered);
        }
        for setting in &example.take {
            self.setting(sheet, None, setting, ("a take of this sheet", is_for), adopted);
        }
        self.each_once(example.given.iter().chain(&example.take));
        for (_, cells) in &example.rows {
            self.each_once(cells);
        }
        for (schedule, cells) in &example.rows {
            match sheet.known_schedule(&schedule.value) {
                Some(n) => {
                    for cell in cells {
                        self.setting(sheet, Some(n), cell, ("a given of this schedule", is_for), entered);
                    }
                }
                None => {
                    let known = sheet.schedules.iter().map(|s| s.name.value.as_str());
                    let near = near(&schedule.value, known).map(str::to_owned);
                    let wrong = Wrong::UnknownSchedule { found: schedule.value.clone(), near };
                    self.faults.add(Fault::new(schedule.at, wrong));
                }
            }
        }
        for expect in &example.expect {
            self.expect(sheet, (example, is_for), expect);
        }
    }

    fn each_once<'s>(&mut self, settings: impl IntoIterator<Item = &'s Setting>) {
        let mut seen: Vec<&Spanned<String>> = Vec::new();
        for (name, _) in settings {
            match seen.iter().find(|first| first.value == name.value) {
                Some(first) => self.twice(first, name),
                None => seen.push(name),
            }
        }
    }

    fn setting(
        &mut self,
        sheet: &Sheet,
        schedule: Option<usize>,
        (name, value): &Setting,
        (what, is_for): (&'static str, bool),
        fits: impl Fn(&Line) -> bool,
    ) {
        let Some(line) = self.line_named(sheet, schedule, &name.value, name.at) else { return };
        if fits(line) {
            if self.kind(line, value) {
                self.choice(sheet, line, value, is_for);
            }
        } else {
            self.faults.add(Fault::new(name.at, Wrong::NotGiven { name: name.value.clone(), what }));
        }
    }

    fn line_named<'s>(
        &mut self,
        sheet: &'s Sheet,
        schedule: Option<usize>,
        name: &str,
        at: Span,
    ) -> Option<&'s Line> {
        let found = match schedule {
            Some(schedule) => sheet.known_column(schedule, name),
            None => sheet.known_line(name),
        };
        if found.is_none() {
            let known = sheet.lines.iter().filter(|l| l.schedule == schedule).map(|l| l.name.value.as_str());
            let near = near(name, known).map(str::to_owned);
            let found = name.to_owned();
            let wrong = match schedule {
                Some(n) => Wrong::UnknownColumn { of: sheet.schedules[n].name.value.clone(), found, near },
                None => Wrong::UnknownName { found, near, unit: false },
            };
            self.faults.add(Fault::new(at, wrong));
        }
        found.map(|line| &sheet.lines[line])
    }

    fn expect(&mut self, sheet: &Sheet, (example, is_for): (&Example, bool), expect: &Expect) {
        let at = expect.path.at;
        let (schedule, name) = match expect.path.value.0.as_slice() {
            [name] => (None, name),
            [schedule, name] | [schedule, _, name] if sheet.known_schedule(schedule).is_some() => {
                (sheet.known_schedule(schedule), name)
            }
            _ => {
                let what = "a line, or SCHEDULE.ROW.NAME";
                self.faults
                    .add(Fault::new(at, Wrong::NotGiven { name: expect.path.value.to_string(), what }));
                return;
            }
        };
        let Some(line) = self.line_named(sheet, schedule, name, at) else { return };
        if let Some(schedule) = schedule
            && let Err(wrong) = row_wanted(sheet, (example, is_for), (schedule, line), &expect.path.value)
        {
            self.faults.add(Fault::new(at, wrong));
        }
        match (&line.role, &expect.value.value) {
            (Role::Limit { .. }, Literal::Text(word)) if VERDICTS.contains(&word.as_str()) => {}
            (Role::Limit { .. }, literal) => {
                let value = match literal {
                    Literal::Text(word) => word.clone(),
                    Literal::Quantity(quantity) => quantity.to_string(),
                    Literal::Date(_) => "a date".to_owned(),
                    Literal::Flag(flag) => if *flag { "yes" } else { "no" }.to_owned(),
                };
                let known = VERDICTS.iter().map(|word| (*word).to_owned()).collect();
                self.faults.add(Fault::new(expect.value.at, Wrong::NotAChoice { value, known }));
            }
            _ => {
                self.kind(line, &expect.value);
                if let Some(slack) = &expect.slack {
                    self.slack(line, slack);
                }
            }
        }
    }

    /// A slack is a difference of the line's own kind, or a share of the value.
    fn slack(&mut self, line: &Line, slack: &Spanned<Quantity>) {
        let quantity = &slack.value;
        if lacks_percent(quantity, &line.unit) {
            return self.percent_wanted(line, slack.at, quantity.number);
        }
        let own = match line.is {
            Is::Quantity(dimension) => Some(dimension),
            Is::Point => Some(Dimension::TEMPERATURE),
            Is::Unknown => return,
            Is::Flag | Is::Date | Is::Text => None,
        };
        let fits = own.is_some() && (own == Some(quantity.unit.dimension()) || quantity.is_percent());
        if !fits || quantity.unit.is_point() || quantity.number < 0.0 {
            let what = format!("the slack of '{}'", line.name.value);
            let found = Is::of(&quantity.unit);
            let wanted = match own {
                Some(_) if quantity.number < 0.0 => "a number that is not below zero",
                Some(_) => "a difference of the line's kind, or a share in %",
                None => "no slack at all",
            };
            self.faults.add(Fault::new(slack.at, Wrong::Wanted { what, wanted, found }));
        }
    }

    fn percent_wanted(&mut self, line: &Line, at: Span, number: f64) {
        let line = format!("'{}'", line.name.value);
        self.faults.add(Fault::new(at, Text::PercentWanted { number, line, basis: None }));
    }

    /// Returns whether a value is of its line's kind.
    fn kind(&mut self, line: &Line, value: &Spanned<Literal>) -> bool {
        if let Literal::Quantity(quantity) = &value.value
            && lacks_percent(quantity, &line.unit)
        {
            self.percent_wanted(line, value.at, quantity.number);
            return false;
        }
        let found = Is::written(&value.value);
        if found.agrees(line.is) {
            return true;
        }
        let (name, wanted) = (line.name.value.clone(), line.is);
        let cure = value_cure(line, &value.value);
        self.faults.add(Fault::new(value.at, Wrong::ValueKind { name, wanted, found, cure }));
        false
    }

    /// A choice is one of those that are listed.
    fn choice(&mut self, sheet: &Sheet, line: &Line, value: &Spanned<Literal>, is_for: bool) {
        let Role::Given { one_of: Some(choices), .. } = &line.role else { return };
        let known: Vec<Literal> = match choices {
            Choices::Values(values) => values.clone(),
            Choices::Column { table, column } => {
                let used = &sheet.tables[*table];
                let Some(table) = used.table.as_ref().filter(|_| is_for || !used.from_basis) else { return };
                let Some(column) = column.and_then(|column| table.columns.get(column)) else { return };
                let unit = column.unit.clone().unwrap_or_else(Unit::plain);
                let literal = |cell: &Cell| match cell {
                    Cell::Number(si) => Literal::Quantity(Quantity::from_si(*si, &unit)),
                    Cell::Text(text) => Literal::Text(text.clone()),
                };
                column.cells.iter().flatten().map(literal).collect()
            }
        };
        let near = |left: f64, right: f64| (left - right).abs() <= 1e-9 * left.abs();
        let same = |choice: &Literal| match (choice, &value.value) {
            (Literal::Quantity(left), Literal::Quantity(right)) => near(left.si(), right.si()),
            (left, right) => left == right,
        };
        if !known.is_empty() && !known.iter().any(same) {
            let words = |literal: &Literal| match literal {
                Literal::Text(text) => text.clone(),
                Literal::Quantity(quantity) => show::short(quantity.si(), &line.unit),
                Literal::Date(seconds) => date::show(*seconds),
                Literal::Flag(flag) => if *flag { "yes" } else { "no" }.to_owned(),
            };
            let known = known.iter().map(words).collect();
            self.faults.add(Fault::new(value.at, Wrong::NotAChoice { value: words(&value.value), known }));
        }
    }
}

/// Returns how a value of a line is written.
fn value_cure(line: &Line, found: &Literal) -> String {
    let read =
        |text: &str| Quantity::read(text).ok().filter(|quantity| Is::of(&quantity.unit).agrees(line.is));
    let symbol = line.unit.symbol();
    match (line.is, found) {
        (Is::Quantity(_) | Is::Point, Literal::Text(text)) if read(text).is_some() => {
            format!("take the quotes out: {text}")
        }
        (Is::Quantity(_) | Is::Point, Literal::Quantity(quantity)) if quantity.unit.is_plain() => {
            format!("write it in {symbol}: {quantity} {symbol}")
        }
        (Is::Quantity(_) | Is::Point, _) if line.unit.is_plain() => "write a plain number".to_owned(),
        (Is::Quantity(_) | Is::Point, _) => format!("write a value in {symbol}"),
        (Is::Flag, _) => "write yes or no".to_owned(),
        (Is::Date, _) => "write a date, such as 2026-11-25".to_owned(),
        (Is::Text | Is::Unknown, _) => "write a text in quotes".to_owned(),
    }
}

/// Of a column, which row is meant must be said, and be there; a limit without one is that on all rows.
fn row_wanted(
    sheet: &Sheet,
    (example, is_for): (&Example, bool),
    (schedule, line): (usize, &Line),
    path: &Path,
) -> Result<(), Wrong> {
    let name = sheet.schedules[schedule].name.value.clone();
    match path.0.as_slice() {
        [_, _] if matches!(line.role, Role::Limit { .. }) => Ok(()),
        [_, column] => Err(Wrong::RowWanted { schedule: name, column: column.clone() }),
        [_, row, _] => {
            let Some(rows) = rows_of(sheet, example, schedule) else { return Ok(()) };
            // The rows of a table that is not known yet, or is another's, are seen where the example runs.
            let of_table = sheet.schedules[schedule].from.is_some() && !is_for;
            let unread = example.unread.contains(&name);
            if of_table || unread || row_of(&rows, row).is_some() {
                return Ok(());
            }
            Err(Wrong::NoSuchRow { found: row.clone(), schedule: name, known: rows })
        }
        _ => Ok(()),
    }
}

/// Returns what the rows of a schedule of an example are called, each by its first text, an empty one where it
/// has none; `None` where they are those of a table that is not known.
fn rows_of(sheet: &Sheet, example: &Example, schedule: usize) -> Option<Vec<String>> {
    let made = &sheet.schedules[schedule];
    if let Some(table) = made.from {
        let table = sheet.tables[table].table.as_ref()?;
        return Some((0..table.rows).map(|row| table.row_name(row).unwrap_or_default()).collect());
    }
    let is_name = |line: &&Line| matches!(line.role, Role::Given { .. }) && line.is == Is::Text;
    let first = made.columns.iter().map(|line| &sheet.lines[*line]).find(is_name);
    let rows = example.rows.iter().filter(|(name, _)| name.value == made.name.value);
    let called = |cells: &[Setting]| {
        let cell = first.and_then(|first| cells.iter().find(|(name, _)| name.value == first.name.value));
        match cell.map(|(_, value)| &value.value) {
            Some(Literal::Text(text)) => text.clone(),
            _ => String::new(),
        }
    };
    Some(rows.map(|(_, cells)| called(cells)).collect())
}

/// Returns the row of an example, from 0, that goes by a number from 1 or by its first text.
pub fn known_row(sheet: &Sheet, example: &Example, schedule: usize, word: &str) -> Option<usize> {
    row_of(&rows_of(sheet, example, schedule)?, word)
}

fn row_of(rows: &[String], word: &str) -> Option<usize> {
    let by_number = word.parse::<usize>().ok().and_then(|n| n.checked_sub(1)).filter(|n| *n < rows.len());
    let mut by_name = (0..rows.len()).filter(|n| rows[*n] == word);
    by_number.or_else(|| by_name.next().filter(|_| by_name.next().is_none()))
}
