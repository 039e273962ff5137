//! Functions settled: what each may be given, and the kind of what it gives.
//!
//! In: a function and the formulas of its values. Out: an expression.
//! Never: works one out.

use crate::fault::Fault;
use crate::sheet::check::settle::{Found, Over, Settler};
use crate::sheet::check::wrong::Wrong;
use crate::sheet::formula::{Formula, Part};
use crate::sheet::function::{Along, Function, OfRows, OfTable, OfValues, OverRows, Takes};
use crate::sheet::model::{Expr, ExprPart, Is, Rows};
use crate::sheet::token::{Leaf, Op};

impl Settler<'_> {
    pub(super) fn call(&mut self, function: Function, values: &[Formula], whole: &Formula) -> Expr {
        match function.entry().takes {
            Takes::Rows { of, picked } => self.over_rows(function, OverRows::One(of), picked, values, whole),
            Takes::EachRow(along) => self.over_rows(function, OverRows::Each(along), false, values, whole),
            Takes::ValuesOrRows(of_values, of_rows) => match values {
                [_, second, ..] if values.len() > 2 || !self.is_flag(second) => {
                    let settled: Vec<Expr> = values.iter().map(|value| self.formula(value)).collect();
                    self.same_kinds(of_values, settled, whole)
                }
                // With one value, or a flag second, it is of rows.
                _ => self.over_rows(function, OverRows::One(of_rows), true, values, whole),
            },
            Takes::Values(of, count) if values.len() == count => self.of_values(of, values, whole),
            Takes::Values(..) => self.arguments(function, values, whole),
            Takes::Table(of) => self.in_table(function, of, values, whole),
        }
    }

    fn arguments(&mut self, function: Function, values: &[Formula], whole: &Formula) -> Expr {
        let wrong = Wrong::Arguments { form: function.entry().form, found: values.len() };
        self.broken(whole.at, wrong)
    }

    /// Returns whether a formula is plainly yes or no, by its outermost part alone: settling it twice
    /// would double the work at every depth.
    fn is_flag(&self, formula: &Formula) -> bool {
        match &formula.part {
            Part::Leaf(Leaf::Flag(_)) | Part::Not(_) => true,
            Part::Leaf(Leaf::Name(path)) => match self.scope.find(path) {
                Ok(Found::Line(_, is) | Found::Column { is, .. }) => is == Is::Flag,
                Ok(
                    Found::Cell { .. } | Found::Without { .. } | Found::Rows(_) | Found::Limit | Found::Today,
                )
                | Err(_) => false,
            },
            Part::Leaf(Leaf::Quantity(_) | Leaf::Text(_) | Leaf::Date(_)) | Part::Negate(_) => false,
            Part::Binary(op, ..) => op.compares() || matches!(op, Op::And | Op::Or),
            Part::Call(function, values) => match function.entry().takes {
                Takes::Rows { of: OfRows::Any | OfRows::All, .. } => true,
                Takes::Rows { of: OfRows::First | OfRows::Last, .. } => {
                    values.first().is_some_and(|of| self.is_flag(of))
                }
                Takes::Rows { of: OfRows::Min | OfRows::Max | OfRows::Sum | OfRows::Count, .. }
                | Takes::EachRow(_)
                | Takes::ValuesOrRows(..)
                | Takes::Values(..)
                | Takes::Table(_) => false,
            },
        }
    }

    fn same_kinds(&mut self, function: OfValues, values: Vec<Expr>, whole: &Formula) -> Expr {
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

    fn over_rows(
        &mut self,
        named: Function,
        function: OverRows,
        picks: bool,
        values: &[Formula],
        whole: &Formula,
    ) -> Expr {
        let (of, only) = match values {
            [of] => (of, None),
            [of, only] if picks => (of, Some(only)),
            _ => return self.arguments(named, values, whole),
        };
        if let Some(expr) = self.count_of_rows(function, of, whole) {
            return expr;
        }
        let before = std::mem::replace(&mut self.over, Over::Open);
        let of = self.formula(of);
        let only = only.map(|only| {
            let only = self.formula(only);
            self.want(&only, Is::Flag, "what picks the rows", "yes or no");
            only
        });
        let met = std::mem::replace(&mut self.over, before);
        let broken = of.part == ExprPart::Broken || of.is == Is::Unknown;
        match met {
            Over::Rows(rows) => {
                let is = self.rows_kind(function, &of);
                let part =
                    ExprPart::OverRows { function, rows, of: Some(of.into()), only: only.map(Box::new) };
                let expr = Expr { part, at: whole.at, is };
                match function {
                    OverRows::Each(_) if self.over == Over::Nothing && self.scope.inside() != Some(rows) => {
                        let (function, schedule) = (named.name(), Some(self.scope.rows_name(rows)));
                        self.broken(whole.word, Wrong::OnRowsOnly { function, schedule })
                    }
                    // It has a value on every row, and so stands where a column may.
                    OverRows::Each(_) => self.on_rows(expr, rows, named.name()),
                    OverRows::One(_) => expr,
                }
            }
            Over::Open | Over::Nothing if broken => {
                Expr { part: ExprPart::Broken, at: whole.at, is: Is::Unknown }
            }
            Over::Open | Over::Nothing => {
                let name = named.name();
                let wrong = match function {
                    OverRows::Each(_) => Wrong::OnRowsOnly { function: name, schedule: None },
                    OverRows::One(_) => Wrong::NoRows { function: name },
                };
                self.broken(whole.word, wrong)
            }
        }
    }

    /// `count(schedule)`
    fn count_of_rows(&mut self, function: OverRows, of: &Formula, whole: &Formula) -> Option<Expr> {
        let Part::Leaf(Leaf::Name(path)) = &of.part else { return None };
        let Ok(Found::Rows(rows)) = self.scope.find(path) else { return None };
        if function != OverRows::One(OfRows::Count) {
            return None;
        }
        let part = ExprPart::OverRows { function, rows, of: None, only: None };
        Some(Expr { part, at: whole.at, is: Is::NUMBER })
    }

    fn rows_kind(&mut self, function: OverRows, of: &Expr) -> Is {
        match function {
            OverRows::One(OfRows::Any | OfRows::All) => {
                self.want(of, Is::Flag, "this", "yes or no");
                Is::Flag
            }
            OverRows::One(OfRows::Count) => {
                self.want(of, Is::Flag, "what is counted", "yes or no, or the name of a schedule");
                Is::NUMBER
            }
            OverRows::One(OfRows::Sum) | OverRows::Each(Along::Running | Along::Onward) => match of.is {
                Is::Flag => Is::NUMBER,
                Is::Quantity(_) | Is::Unknown => of.is,
                Is::Point | Is::Date | Is::Text => {
                    self.want(of, Is::NUMBER, "what is added up", "a quantity, or yes or no");
                    Is::Unknown
                }
            },
            OverRows::One(OfRows::Min | OfRows::Max) if matches!(of.is, Is::Flag | Is::Text) => {
                self.want(of, Is::NUMBER, "this", "a quantity");
                Is::Unknown
            }
            OverRows::One(OfRows::Min | OfRows::Max | OfRows::First | OfRows::Last) => of.is,
        }
    }

    fn of_values(&mut self, function: OfValues, values: &[Formula], whole: &Formula) -> Expr {
        let values: Vec<Expr> = values.iter().map(|value| self.formula(value)).collect();
        let Some(value) = values.first() else {
            return Expr { part: ExprPart::Broken, at: whole.at, is: Is::Unknown };
        };
        let is = match function {
            OfValues::Min | OfValues::Max => return self.same_kinds(function, values, whole),
            OfValues::RoundUp | OfValues::RoundDown => {
                for value in values.iter().filter(|value| matches!(value.is, Is::Point | Is::Date)) {
                    self.want(value, Is::NUMBER, "this value", "a quantity");
                }
                return self.same_kinds(function, values, whole);
            }
            OfValues::Abs => match value.is {
                Is::Quantity(_) | Is::Unknown => value.is,
                Is::Point | Is::Date | Is::Flag | Is::Text => self.not_a_quantity(value),
            },
            OfValues::Sqrt => match value.is {
                Is::Quantity(dimension) => match dimension.root() {
                    Some(root) => Is::Quantity(root),
                    None => return self.broken(value.at, Wrong::RootOf { dimension: value.is }),
                },
                Is::Unknown => Is::Unknown,
                Is::Point | Is::Date | Is::Flag | Is::Text => self.not_a_quantity(value),
            },
            OfValues::Exp
            | OfValues::Ln
            | OfValues::Log10
            | OfValues::Sin
            | OfValues::Cos
            | OfValues::Acos => {
                self.want(value, Is::NUMBER, "this value", "a plain number");
                if value.is == Is::Unknown { Is::Unknown } else { Is::NUMBER }
            }
        };
        Expr { part: ExprPart::OfValues(function, values), at: whole.at, is }
    }

    fn not_a_quantity(&mut self, value: &Expr) -> Is {
        self.want(value, Is::NUMBER, "this value", "a quantity");
        Is::Unknown
    }

    /// `lookup`, `next_size`, `interpolate`: pairs of a key column and a value, then a column.
    fn in_table(&mut self, named: Function, function: OfTable, values: &[Formula], whole: &Formula) -> Expr {
        let count = values.len();
        let fits = match function {
            OfTable::Lookup => count >= 3 && count % 2 == 1,
            OfTable::NextSize => count == 2 || count == 3,
            OfTable::Interpolate => count == 3,
        };
        if !fits {
            return self.arguments(named, values, whole);
        }
        let form = named.entry().form;
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
            (Some(_), Some((_, Is::Text))) if function == OfTable::Interpolate => {
                self.broken(wanted.at, Wrong::BetweenTexts)
            }
            (Some(table), Some((column, is))) if !faulty => {
                let column = column.unwrap_or(0);
                Expr { part: ExprPart::InTable { function, table, keys, column }, at: whole.at, is }
            }
            _ => Expr { part: ExprPart::Broken, at: whole.at, is: Is::Unknown },
        }
    }

    fn check_rises(&mut self, function: OfTable, table: Option<usize>, column: usize, key: &Formula) {
        if let Some(table) = table
            && function != OfTable::Lookup
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
