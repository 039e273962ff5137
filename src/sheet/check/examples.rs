//! Worked examples checked: every name is one of the sheet, every value of its kind.
//!
//! In: the sheet. Out: faults.
//! Never: works an example (that is `wattle proof`).

use super::Check;
use super::wrong::Wrong;
use crate::fault::{Fault, Span, Spanned, near};
use crate::sheet::model::{Is, Line, Role, Sheet};
use crate::sheet::statement::{Example, Expect, Literal, Setting};
use crate::unit::{Dimension, Quantity};

/// What a limit may be expected to be.
pub(super) const VERDICTS: &[&str] =
    &["pass", "fail", "waiting", "unsure", "unworkable", "advice", "not_needed"];

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
        let entered = |line: &Line| matches!(line.role, Role::Given { .. });
        let adopted = |line: &Line| matches!(line.role, Role::Take { .. });
        for setting in &example.given {
            self.setting(sheet, None, setting, "a given of this sheet", entered);
        }
        for setting in &example.take {
            self.setting(sheet, None, setting, "a take of this sheet", adopted);
        }
        self.each_once(example.given.iter().chain(&example.take));
        for (_, cells) in &example.rows {
            self.each_once(cells);
        }
        for (schedule, cells) in &example.rows {
            match sheet.known_schedule(&schedule.value) {
                Some(n) => {
                    for cell in cells {
                        self.setting(sheet, Some(n), cell, "a given of this schedule", entered);
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
            self.expect(sheet, expect);
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
        what: &'static str,
        fits: impl Fn(&Line) -> bool,
    ) {
        let Some(line) = self.line_named(sheet, schedule, &name.value, name.at) else { return };
        if fits(line) {
            self.kind(line, value);
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

    fn expect(&mut self, sheet: &Sheet, expect: &Expect) {
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

    fn kind(&mut self, line: &Line, value: &Spanned<Literal>) {
        let found = Is::written(&value.value);
        if !found.agrees(line.is) {
            let what = format!("the value of '{}'", line.name.value);
            let wanted = match line.is {
                Is::Quantity(_) | Is::Unknown => "a quantity of the line's kind",
                Is::Point => "a temperature",
                Is::Flag => "yes or no",
                Is::Date => "a date",
                Is::Text => "a text",
            };
            self.faults.add(Fault::new(value.at, Wrong::Wanted { what, wanted, found }));
        }
    }
}
