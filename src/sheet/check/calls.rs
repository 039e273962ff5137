//! Functions settled: what each may be given, and the kind of what it gives.
//!
//! In: a function and the formulas of its values. Out: an expression.
//! Never: works one out.

use crate::fault::Fault;
use crate::sheet::check::settle::{Found, Settler};
use crate::sheet::check::wrong::Wrong;
use crate::sheet::formula::{Formula, Part};
use crate::sheet::function::{Function, Takes};
use crate::sheet::model::{Expr, ExprPart, Is, Rows};
use crate::sheet::token::{Leaf, Op};

impl Settler<'_> {
    pub(super) fn call(&mut self, function: Function, values: &[Formula], whole: &Formula) -> Expr {
        match function.entry().takes {
            Takes::Rows { .. } => self.over_rows(function, values, whole),
            Takes::ValuesOrRows => self.min_max(function, values, whole),
            Takes::Values(count) => self.of_values(function, count, values, whole),
            Takes::Table => self.in_table(function, values, whole),
        }
    }

    fn arguments(&mut self, function: Function, values: &[Formula], whole: &Formula) -> Expr {
        let wrong = Wrong::Arguments { form: function.entry().form, found: values.len() };
        self.broken(whole.at, wrong)
    }

    /// `min` and `max` of two or more values, or of rows: with one value, or a flag second.
    fn min_max(&mut self, function: Function, values: &[Formula], whole: &Formula) -> Expr {
        match values {
            [] => self.arguments(function, values, whole),
            [_] => self.over_rows(function, values, whole),
            [_, second] if self.is_flag(second) => self.over_rows(function, values, whole),
            _ => {
                let settled: Vec<Expr> = values.iter().map(|value| self.formula(value)).collect();
                self.same_kinds(function, settled, whole)
            }
        }
    }

    /// Returns whether a formula is plainly yes or no, by its outermost part alone: settling it twice
    /// would double the work at every depth.
    fn is_flag(&self, formula: &Formula) -> bool {
        match &formula.part {
            Part::Leaf(Leaf::Flag(_)) | Part::Not(_) => true,
            Part::Leaf(Leaf::Name(path)) => match self.scope.find(path) {
                Ok(Found::Line(_, is) | Found::Column { is, .. }) => is == Is::Flag,
                Ok(Found::Cell { .. } | Found::Rows(_) | Found::Limit | Found::Today) | Err(_) => false,
            },
            Part::Leaf(Leaf::Quantity(_) | Leaf::Text(_) | Leaf::Date(_)) | Part::Negate(_) => false,
            Part::Binary(op, ..) => op.compares() || matches!(op, Op::And | Op::Or),
            Part::Call(Function::Any | Function::All, _) => true,
            Part::Call(Function::First | Function::Last, values) => {
                values.first().is_some_and(|of| self.is_flag(of))
            }
            Part::Call(..) => false,
        }
    }

    fn same_kinds(&mut self, function: Function, values: Vec<Expr>, whole: &Formula) -> Expr {
        let mut is = Is::Unknown;
        for value in &values {
            if matches!(value.is, Is::Flag | Is::Text) {
                self.want(value, Is::NUMBER, "this value", "a quantity");
            } else if !value.is.agrees(is) {
                let wrong = Wrong::Differ { op: Op::Less, left: is, right: value.is };
                self.faults.add(Fault::new(value.at, wrong));
            } else if is == Is::Unknown {
                is = value.is;
            }
        }
        Expr { part: ExprPart::OfValues(function, values), at: whole.at, is }
    }

    fn over_rows(&mut self, function: Function, values: &[Formula], whole: &Formula) -> Expr {
        let picks = function.entry().takes != Takes::Rows { picked: false };
        let (of, only) = match values {
            [of] => (of, None),
            [of, only] if picks => (of, Some(only)),
            _ => return self.arguments(function, values, whole),
        };
        if let Some(expr) = self.count_of_rows(function, of, whole) {
            return expr;
        }
        let before = self.over.replace(None);
        let of = self.formula(of);
        let only = only.map(|only| {
            let only = self.formula(only);
            self.want(&only, Is::Flag, "what picks the rows", "yes or no");
            only
        });
        let rows = self.over.take().flatten();
        self.over = before;
        let broken = of.part == ExprPart::Broken || of.is == Is::Unknown;
        match rows {
            Some(rows) => {
                let is = self.rows_kind(function, &of);
                let part =
                    ExprPart::OverRows { function, rows, of: Some(of.into()), only: only.map(Box::new) };
                let expr = Expr { part, at: whole.at, is };
                // A running or onward total has a value on every row, and so stands where a column may.
                let on_every_row = matches!(function, Function::Running | Function::Onward);
                if on_every_row && self.over.is_none() && self.scope.inside() != Some(rows) {
                    let (function, schedule) = (function.name(), Some(self.scope.rows_name(rows)));
                    return self.broken(whole.word, Wrong::OnRowsOnly { function, schedule });
                }
                if on_every_row { self.on_rows(expr, rows, function.name()) } else { expr }
            }
            None if broken => Expr { part: ExprPart::Broken, at: whole.at, is: Is::Unknown },
            None if matches!(function, Function::Running | Function::Onward) => {
                let function = function.name();
                self.broken(whole.word, Wrong::OnRowsOnly { function, schedule: None })
            }
            None => self.broken(whole.word, Wrong::NoRows { function: function.name() }),
        }
    }

    /// `count(schedule)`
    fn count_of_rows(&mut self, function: Function, of: &Formula, whole: &Formula) -> Option<Expr> {
        let Part::Leaf(Leaf::Name(path)) = &of.part else { return None };
        let Ok(Found::Rows(rows)) = self.scope.find(path) else { return None };
        if function != Function::Count {
            return None;
        }
        let part = ExprPart::OverRows { function, rows, of: None, only: None };
        Some(Expr { part, at: whole.at, is: Is::NUMBER })
    }

    fn rows_kind(&mut self, function: Function, of: &Expr) -> Is {
        match function {
            Function::Any | Function::All => {
                self.want(of, Is::Flag, "this", "yes or no");
                Is::Flag
            }
            Function::Count => {
                self.want(of, Is::Flag, "what is counted", "yes or no, or the name of a schedule");
                Is::NUMBER
            }
            Function::Sum | Function::Running | Function::Onward => match of.is {
                Is::Flag => Is::NUMBER,
                Is::Quantity(_) | Is::Unknown => of.is,
                Is::Point | Is::Date | Is::Text => {
                    self.want(of, Is::NUMBER, "what is added up", "a quantity, or yes or no");
                    Is::Unknown
                }
            },
            Function::Min | Function::Max if matches!(of.is, Is::Flag | Is::Text) => {
                self.want(of, Is::NUMBER, "this", "a quantity");
                Is::Unknown
            }
            _ => of.is,
        }
    }

    fn of_values(&mut self, function: Function, count: usize, values: &[Formula], whole: &Formula) -> Expr {
        if values.len() != count {
            return self.arguments(function, values, whole);
        }
        let values: Vec<Expr> = values.iter().map(|value| self.formula(value)).collect();
        if matches!(function, Function::RoundUp | Function::RoundDown) {
            for value in &values {
                if matches!(value.is, Is::Point | Is::Date) {
                    self.want(value, Is::NUMBER, "this value", "a quantity");
                }
            }
            return self.same_kinds(function, values, whole);
        }
        let Some(value) = values.first() else { return self.arguments(function, &[], whole) };
        let is = match (function, value.is) {
            (_, Is::Unknown) => Is::Unknown,
            (Function::Abs, Is::Quantity(_)) => value.is,
            (Function::Sqrt, Is::Quantity(dimension)) => match dimension.root() {
                Some(root) => Is::Quantity(root),
                None => return self.broken(value.at, Wrong::RootOf { dimension: value.is }),
            },
            (Function::Abs | Function::Sqrt, _) => {
                self.want(value, Is::NUMBER, "this value", "a quantity");
                Is::Unknown
            }
            _ => {
                self.want(value, Is::NUMBER, "this value", "a plain number");
                Is::NUMBER
            }
        };
        Expr { part: ExprPart::OfValues(function, values), at: whole.at, is }
    }

    /// `lookup`, `next_size`, `interpolate`: pairs of a key column and a value, then a column.
    fn in_table(&mut self, function: Function, values: &[Formula], whole: &Formula) -> Expr {
        let count = values.len();
        let fits = match function {
            Function::Lookup => count >= 3 && count % 2 == 1,
            Function::NextSize => count == 2 || count == 3,
            _ => count == 3,
        };
        if !fits {
            return self.arguments(function, values, whole);
        }
        let form = function.entry().form;
        let pairs = &values[..count - count % 2];
        let mut keys = Vec::new();
        let mut table = None;
        let mut faulty = false;
        for pair in pairs.chunks(2) {
            let value = self.formula(&pair[1]);
            match self.column(&pair[0], &mut table, form) {
                Some((Some(column), is)) => {
                    if !value.is.agrees(is) {
                        let wrong = Wrong::Differ { op: Op::Equal, left: is, right: value.is };
                        self.faults.add(Fault::new(value.at, wrong));
                    }
                    self.check_rises(function, table, column, &pair[0]);
                    keys.push((column, value));
                }
                Some((None, _)) => {}
                None => faulty = true,
            }
        }
        let wanted = if count % 2 == 1 { &values[count - 1] } else { &values[0] };
        let column = self.column(wanted, &mut table, form);
        match (table, column) {
            // In a table that is not known, or that the basis is without, any column stands for it.
            (Some(_), Some((_, Is::Text))) if function == Function::Interpolate => {
                self.broken(wanted.at, Wrong::BetweenTexts)
            }
            (Some(table), Some((column, is))) if !faulty => {
                let column = column.unwrap_or(0);
                Expr { part: ExprPart::InTable { function, table, keys, column }, at: whole.at, is }
            }
            _ => Expr { part: ExprPart::Broken, at: whole.at, is: Is::Unknown },
        }
    }

    fn check_rises(&mut self, function: Function, table: Option<usize>, column: usize, key: &Formula) {
        if let Some(table) = table
            && function != Function::Lookup
            && let Some(gap) = self.scope.does_not_rise(table, column)
        {
            self.faults.add(Fault::new(key.at, Wrong::KeysDoNotRise { column: key.to_string(), gap }));
        }
    }

    /// Returns a table's column and its kind; `None` after a fault. All must be of one table.
    fn column(
        &mut self,
        formula: &Formula,
        table: &mut Option<usize>,
        form: &'static str,
    ) -> Option<(Option<usize>, Is)> {
        let Part::Leaf(Leaf::Name(path)) = &formula.part else {
            self.faults.add(Fault::new(formula.at, Wrong::TableWanted { form }));
            return None;
        };
        match self.scope.find(path) {
            Ok(Found::Cell { table: found, column, is }) => {
                if let Some(other) = table.replace(found).filter(|other| *other != found) {
                    let rows = self.scope.rows_name(Rows::Table(found));
                    let other = self.scope.rows_name(Rows::Table(other));
                    self.faults.add(Fault::new(formula.at, Wrong::NotSameRows { rows, other }));
                    return None;
                }
                Some((column, is))
            }
            Ok(_) => {
                self.faults.add(Fault::new(formula.at, Wrong::TableWanted { form }));
                None
            }
            Err(wrong) => {
                self.faults.add(Fault::new(formula.at, wrong));
                None
            }
        }
    }
}
