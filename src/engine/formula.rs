//! One formula compiled into instructions.
//!
//! In: a settled expression. Out: instructions, each known by its place, and where the result is.
//! Never: orders lines; a function of rows becomes lines of its own.

use super::compile::{Builder, Compiled, Counted, Placed, choices, counted, has_values, instruction};
use super::operator;
use super::plan::{Code, Fold, Instruction, Operand, Part, Purpose, Search, Shown, Work, place};
use crate::sheet::function::{OfTable, OfValues, OverRows};
use crate::sheet::model::{Expr, ExprPart, Is, LineRef, Role, Rows, SettledBranch, Sheet, TextPart};

const NOTHING: Operand = Operand::Number(0.0);

pub(super) struct FormulaCompiler<'b, 'a> {
    builder: &'b mut Builder,
    /// The sheet that the formula stands in.
    s: usize,
    all: &'a [Placed<'a>],
    code: Vec<Instruction>,
    /// The value of each function of rows or of tables, in reading order.
    calls: Vec<Operand>,
}

impl<'b, 'a> FormulaCompiler<'b, 'a> {
    pub(super) fn new(builder: &'b mut Builder, s: usize, all: &'a [Placed<'a>]) -> Self {
        Self { builder, s, all, code: Vec::new(), calls: Vec::new() }
    }

    fn push(&mut self, code: Code, a: Operand, b: Operand, c: Operand) -> Operand {
        self.code.push(instruction(code, a, b, c));
        Operand::Result(place(self.code.len() - 1))
    }

    /// Ends the line: where `when` does not hold it is not needed.
    pub(super) fn gate(mut self, when: Option<&Expr>, result: Operand) -> Compiled {
        let result = match when {
            Some(when) => {
                let when = self.expr(when);
                self.push(Code::Gate, when, result, NOTHING)
            }
            None => result,
        };
        (self.builder.coded(self.code, result), self.calls)
    }

    /// Branches are tried in order: the first whose condition holds is taken.
    pub(super) fn branches(&mut self, branches: &[SettledBranch]) -> Operand {
        let worked: Vec<(Option<Operand>, Operand)> = branches
            .iter()
            .map(|branch| {
                (branch.condition.as_ref().map(|condition| self.expr(condition)), self.expr(&branch.expr))
            })
            .collect();
        let mut result = worked.last().map_or(NOTHING, |(_, value)| *value);
        for (condition, value) in worked.into_iter().rev().skip(1) {
            if let Some(condition) = condition {
                result = self.push(Code::Choose, condition, value, result);
            }
        }
        result
    }

    /// A linked value outside the plausible range is unworkable, unless that was accepted.
    pub(super) fn plausible(&mut self, role: &Role, sheet: &Sheet, value: Operand, anyway: bool) -> Operand {
        let Role::Given { within, one_of, .. } = role else { return value };
        let mut value = value;
        if let Some((low, high)) = within
            && !anyway
        {
            value = self.push(Code::Within, value, Operand::Number(low.si()), Operand::Number(high.si()));
        }
        if let Some(one_of) = one_of
            && let Some(list) = choices(one_of, sheet, self.builder.texts())
        {
            self.builder.plan.lists.push(list);
            let list = place(self.builder.plan.lists.len() - 1);
            value = self.push(Code::OneOf(list), value, NOTHING, NOTHING);
        }
        value
    }

    pub(super) fn expr(&mut self, expr: &Expr) -> Operand {
        match &expr.part {
            ExprPart::Quantity(quantity) => Operand::Number(quantity.si()),
            ExprPart::Date(seconds) => Operand::Number(*seconds),
            ExprPart::Flag(flag) => Operand::Number(f64::from(u8::from(*flag))),
            ExprPart::Today => Operand::Slot(self.builder.base(Purpose::Today)),
            ExprPart::Text(parts) => self.text(parts),
            ExprPart::Line(line) => self.line(*line),
            ExprPart::Cell { table, column } => self.cell(*table, *column),
            ExprPart::Without { table } => {
                Operand::Slot(self.builder.base(Purpose::TableRows(self.s, *table)))
            }
            ExprPart::Negate(inner) => {
                let inner = self.expr(inner);
                self.push(Code::Negate, inner, NOTHING, NOTHING)
            }
            ExprPart::Not(inner) => {
                let inner = self.expr(inner);
                self.push(Code::Not, inner, NOTHING, NOTHING)
            }
            ExprPart::Binary(op, left, right) => {
                let exact = !matches!(left.is, Is::Quantity(_) | Is::Point);
                let (left, right) = (self.expr(left), self.expr(right));
                self.push(operator::code(*op, exact), left, right, NOTHING)
            }
            ExprPart::OfValues(function, values) => self.of_values(*function, values),
            ExprPart::OverRows { function, rows, of, only } => {
                self.call(|compiler| compiler.over_rows(*function, *rows, of.as_deref(), only.as_deref()))
            }
            ExprPart::InTable { function, table, keys, column } => {
                self.call(|compiler| compiler.in_table(*function, *table, keys, *column))
            }
            ExprPart::Broken => NOTHING,
        }
    }

    fn call(&mut self, compile: impl FnOnce(&mut Self) -> Operand) -> Operand {
        let at = self.calls.len();
        self.calls.push(NOTHING);
        let result = compile(self);
        self.calls[at] = result;
        result
    }

    fn line(&self, line: LineRef) -> Operand {
        let s = line.sheet.unwrap_or(self.s);
        let base = self.builder.base(Purpose::Line(s, line.line));
        let is_column = self.all[s].sheet.lines[line.line].schedule.is_some();
        if is_column { Operand::Column(base) } else { Operand::Slot(base) }
    }

    fn cell(&self, table: usize, column: usize) -> Operand {
        match self.all[self.s].sheet.tables[table].table {
            Some(_) => Operand::Column(self.builder.base(Purpose::TableColumn(self.s, table, column))),
            None => Operand::Slot(self.builder.base(Purpose::TableRows(self.s, table))),
        }
    }

    fn of_values(&mut self, function: OfValues, values: &[Expr]) -> Operand {
        let operands: Vec<Operand> = values.iter().map(|value| self.expr(value)).collect();
        let Some((&first, rest)) = operands.split_first() else { return NOTHING };
        if rest.is_empty() {
            return self.push(Code::Apply(function), first, first, NOTHING);
        }
        rest.iter().fold(first, |left, right| self.push(Code::Apply(function), left, *right, NOTHING))
    }

    fn text(&mut self, parts: &[TextPart]) -> Operand {
        if !has_values(parts) {
            let text: String = parts
                .iter()
                .map(|part| match part {
                    TextPart::Plain(text) => text.as_str(),
                    TextPart::Value(_) => "",
                })
                .collect();
            return Operand::Number(self.builder.texts().number(&text));
        }
        let parts = parts
            .iter()
            .map(|part| match part {
                TextPart::Plain(text) => Part::Plain(text.clone()),
                TextPart::Value(expr) => Part::Value(self.expr(expr), self.shown(expr)),
            })
            .collect();
        let text = self.builder.text_of_parts(parts);
        self.push(Code::Compose(text), NOTHING, NOTHING, NOTHING)
    }

    fn shown(&self, expr: &Expr) -> Shown {
        let unit = match expr.part {
            ExprPart::Line(line) => {
                let sheet = self.all[line.sheet.unwrap_or(self.s)].sheet;
                sheet.lines.get(line.line).map(|line| line.unit.clone())
            }
            _ => None,
        };
        match expr.is {
            Is::Flag => Shown::Flag,
            Is::Date => Shown::Date,
            Is::Text => Shown::Text,
            Is::Quantity(_) | Is::Point | Is::Unknown => {
                Shown::In(unit.unwrap_or_else(crate::unit::Unit::plain))
            }
        }
    }

    /// Returns the column of a row formula: itself if it is one, else a line of its own.
    fn column(&mut self, expr: &Expr, rows: usize) -> u32 {
        let mut inner = FormulaCompiler::new(self.builder, self.s, self.all);
        let result = inner.expr(expr);
        if let (Operand::Column(base), true) = (result, inner.code.is_empty()) {
            return base;
        }
        let (work, _) = inner.gate(None, result);
        self.builder.add(rows, work, Purpose::Part)
    }

    /// Returns the table whose rows these are, with its sheet.
    fn table_behind(&self, rows: Rows) -> Option<(usize, usize)> {
        match rows {
            Rows::Table(t) => Some((self.s, t)),
            Rows::Schedule(sheet, n) => {
                let s = sheet.unwrap_or(self.s);
                self.all[s].sheet.schedules[n].from.map(|t| (s, t))
            }
        }
    }

    fn over_rows(
        &mut self,
        function: OverRows,
        rows: Rows,
        of: Option<&Expr>,
        only: Option<&Expr>,
    ) -> Operand {
        let counted = counted(self.builder, self.s, rows, self.all);
        if let Some((s, t)) = self.table_behind(rows)
            && self.all[s].sheet.tables[t].table.is_none()
        {
            return Operand::Slot(self.builder.base(Purpose::TableRows(s, t)));
        }
        let of = of.map(|of| self.column(of, counted.rows));
        let only = only.map(|only| self.column(only, counted.rows));
        match function {
            OverRows::Each(function) => {
                let Some(of) = of else { return NOTHING };
                Operand::Column(self.builder.add(counted.rows, Work::Scanned { function, of }, Purpose::Part))
            }
            OverRows::One(function) => {
                let Counted { slot, rows, may_be_empty } = counted;
                let fold = Fold { function, of, only, rows: place(rows), counted: slot, may_be_empty };
                Operand::Slot(self.builder.add(1, Work::Folded(fold), Purpose::Part))
            }
        }
    }

    fn in_table(&mut self, function: OfTable, t: usize, keys: &[(usize, Expr)], column: usize) -> Operand {
        let Some(table) = self.all[self.s].sheet.tables[t].table.clone() else {
            return Operand::Slot(self.builder.base(Purpose::TableRows(self.s, t)));
        };
        let exact = keys.iter().all(|(_, value)| !matches!(value.is, Is::Quantity(_) | Is::Point));
        let keys = keys
            .iter()
            .map(|(key, value)| (self.builder.base(Purpose::TableColumn(self.s, t, *key)), self.expr(value)))
            .collect();
        let column = self.builder.base(Purpose::TableColumn(self.s, t, column));
        let rows = place(table.rows);
        let search = self.builder.search(Search { function, keys, column, rows, exact });
        self.push(Code::InTable(search), NOTHING, NOTHING, NOTHING)
    }
}
