//! The lines of a sheet settled, one by one.
//!
//! In: the draft's lines and the names in reach. Out: checked lines, columns from tables included.
//! Never: stops at the first fault.

use super::Check;
use super::scope::SheetScope;
use super::settle::{Found, Scope, lacking_percent, settle, settle_condition, settle_text};
use super::wrong::Wrong;
use crate::fault::{Fault, Spanned, near};
use crate::sheet::Wrong as Text;
use crate::sheet::formula::Formula;
use crate::sheet::model::{Choices, Expr, ExprPart, Is, Line, Role, SettledBranch, Source};
use crate::sheet::statement::{Body, Branch, Declared, LineDraft, Literal, OneOf, lacks_percent};
use crate::unit::Unit;

impl Check<'_> {
    /// Returns the lines, and the condition of each schedule that has one.
    pub(super) fn lines(&mut self, scope: &SheetScope<'_>) -> (Vec<Line>, Vec<Option<Expr>>) {
        let inside: Vec<SheetScope<'_>> =
            (0..self.draft.schedules.len()).map(|schedule| scope.within(Some(schedule))).collect();
        let draft = self.draft;
        let mut lines: Vec<Line> = draft
            .lines
            .iter()
            .map(|line| self.line(line, line.schedule.map_or(scope, |schedule| &inside[schedule])))
            .collect();
        let conditions = self.schedule_conditions(scope, &mut lines);
        for (schedule, table, column) in scope.implied() {
            lines.extend(self.implied_line(schedule, table, column, scope));
        }
        (lines, conditions)
    }

    fn line(&mut self, draft: &LineDraft, scope: &SheetScope<'_>) -> Line {
        let is = Is::declared(&draft.is);
        let unit = match &draft.is {
            Declared::Unit(unit) => unit.clone(),
            Declared::Flag | Declared::Date | Declared::Text | Declared::Unknown => Unit::plain(),
        };
        if let (Some(schedule), Body::Given { .. }) = (draft.schedule, &draft.body)
            && self.draft.schedules[schedule].from.is_some()
        {
            let schedule = self.draft.schedules[schedule].name.value.clone();
            self.faults.add(Fault::new(draft.name.at, Wrong::GivenOfTable { schedule }));
        }
        let when = draft.when.as_ref().map(|when| settle_condition(when, scope, &mut self.faults));
        let role = self.role(draft, is, &unit, scope);
        let source = self.source(draft.by.as_ref());
        Line {
            name: draft.name.clone(),
            label: draft.label.clone(),
            is,
            unit,
            role,
            source,
            when,
            when_formula: draft.when.clone(),
            note: draft.note.clone(),
            schedule: draft.schedule,
        }
    }

    fn role(&mut self, draft: &LineDraft, is: Is, unit: &Unit, scope: &SheetScope<'_>) -> Role {
        match &draft.body {
            Body::Given { default, within, tolerance, one_of } => Role::Given {
                default: default.as_ref().map(|default| default.value.clone()),
                within: within.clone(),
                tolerance: *tolerance,
                one_of: one_of.as_ref().and_then(|one_of| self.choices(one_of, is, scope)),
            },
            Body::Take { value, from_basis } => {
                if *from_basis {
                    self.fetched(&draft.name, is, unit);
                }
                Role::Take { value: value.as_ref().map(|value| value.value.clone()) }
            }
            Body::Find(branches) => {
                Role::Find(branches.iter().map(|branch| self.branch(branch, is, unit, scope)).collect())
            }
            Body::Limit { must, that, remedy } => {
                let remedy = remedy.as_ref().map(|remedy| settle_text(remedy, scope, &mut self.faults));
                match that {
                    Some(that) => {
                        let expr = settle_condition(that, scope, &mut self.faults);
                        Role::Limit { must: *must, that: expr, formula: that.clone(), remedy }
                    }
                    None => Role::Limit {
                        must: *must,
                        that: broken(draft),
                        formula: missing(draft).into(),
                        remedy,
                    },
                }
            }
        }
    }

    fn branch(&mut self, branch: &Branch, is: Is, unit: &Unit, scope: &SheetScope<'_>) -> SettledBranch {
        let expr = settle(&branch.formula, scope, &mut self.faults);
        if !expr.is.agrees(is) {
            let wrong = Wrong::Formula { line: is, unit: unit.symbol().to_owned(), found: expr.is };
            self.faults.add(Fault::new(expr.at, wrong));
        } else if unit.is_percent()
            && let Some(number) = lacking_percent(&expr)
        {
            let line = "the line".to_owned();
            self.faults.add(Fault::new(expr.at, Text::PercentWanted { number, line, basis: None }));
        }
        let condition =
            branch.condition.as_ref().map(|condition| settle_condition(condition, scope, &mut self.faults));
        SettledBranch {
            expr,
            condition,
            formula: branch.formula.clone(),
            where_formula: branch.condition.clone(),
        }
    }

    fn choices(&mut self, one_of: &OneOf, is: Is, scope: &SheetScope<'_>) -> Option<Choices> {
        match one_of {
            OneOf::Values(values) => Some(Choices::Values(values.iter().map(|v| v.value.clone()).collect())),
            OneOf::Column(path) => match scope.find(&path.value) {
                Ok(Found::Cell { table, column, is: found }) => {
                    if !found.agrees(is) {
                        let what = "this column".to_owned();
                        let wanted =
                            if is == Is::Text { "a column of texts" } else { "a column of the line's kind" };
                        self.faults.add(Fault::new(path.at, Wrong::Wanted { what, wanted, found }));
                    }
                    Some(Choices::Column { table, column })
                }
                Ok(_) => {
                    self.faults.add(Fault::new(path.at, Wrong::TableWanted { form: "one of table.column" }));
                    None
                }
                Err(wrong) => {
                    self.faults.add(Fault::new(path.at, wrong));
                    None
                }
            },
        }
    }

    /// A figure that comes from the basis must be there, in the same kind, or be one it is without.
    fn fetched(&mut self, name: &Spanned<String>, is: Is, unit: &Unit) {
        let Some(basis) = self.against.basis else { return };
        // A line whose head could not be read has its own fault.
        if basis.without(&name.value).is_some() || is == Is::Unknown {
            return;
        }
        match basis.figure(&name.value) {
            Some(figure) if figure.is.agrees(is) => {
                if let Some(Literal::Quantity(value)) = &figure.value
                    && lacks_percent(value, unit)
                {
                    let (line, basis) = (format!("'{}'", name.value), Some(basis.name.clone()));
                    let wrong = Text::PercentWanted { number: value.number, line, basis };
                    self.faults.add(Fault::new(name.at, wrong));
                }
            }
            Some(figure) => {
                let (basis, name_of) = (basis.name.clone(), name.value.clone());
                let wrong = Wrong::BasisKind { basis, name: name_of, there: figure.is, here: is };
                self.faults.add(Fault::new(name.at, wrong));
            }
            None => {
                let near = near(&name.value, basis.figure_names()).map(str::to_owned);
                let (basis, name_of) = (basis.name.clone(), name.value.clone());
                let wrong = Wrong::NotInBasis { basis, name: name_of, what: "figure", near };
                self.faults.add(Fault::new(name.at, wrong));
            }
        }
    }

    /// The `when` of a schedule holds for each of its columns, beside their own.
    fn schedule_conditions(&mut self, scope: &SheetScope<'_>, lines: &mut [Line]) -> Vec<Option<Expr>> {
        let mut conditions = Vec::new();
        for (n, schedule) in self.draft.schedules.iter().enumerate() {
            let when = schedule.when.as_ref().map(|when| settle_condition(when, scope, &mut self.faults));
            conditions.push(when.clone());
            let (Some(formula), Some(when)) = (&schedule.when, when) else { continue };
            for line in lines.iter_mut().filter(|line| line.schedule == Some(n)) {
                line.when = Some(match line.when.take() {
                    None => when.clone(),
                    Some(own) => Expr {
                        at: own.at,
                        is: Is::Flag,
                        part: ExprPart::Binary(crate::sheet::token::Op::And, when.clone().into(), own.into()),
                    },
                });
                line.when_formula.get_or_insert_with(|| formula.clone());
            }
        }
        conditions
    }

    /// The column that a schedule has from a table, unless it has one of that name itself.
    fn implied_line(
        &self,
        schedule: usize,
        table: usize,
        column: usize,
        scope: &SheetScope<'_>,
    ) -> Option<Line> {
        let draft = &self.draft.schedules[schedule];
        let found = scope.table(table)?;
        let cell = &found.columns[column];
        let unit = cell.unit.clone().unwrap_or_else(Unit::plain);
        Some(Line {
            name: Spanned::new(cell.name.clone(), draft.name.at),
            label: cell.label.clone().unwrap_or_else(|| cell.name.clone()),
            is: Is::of_column(cell.unit.as_ref()),
            unit,
            role: Role::Cell { table, column },
            source: cell.cite.clone().map(Source::Document),
            when: None,
            when_formula: None,
            note: None,
            schedule: Some(schedule),
        })
    }
}

/// A condition that could not be read; a fault says why.
fn broken(draft: &LineDraft) -> Expr {
    Expr { part: ExprPart::Broken, at: draft.name.at, is: Is::Flag }
}

fn missing(draft: &LineDraft) -> Formula {
    let leaf = crate::sheet::token::Leaf::Flag(false);
    Formula { part: crate::sheet::formula::Part::Leaf(leaf), at: draft.name.at, word: draft.name.at }
}
