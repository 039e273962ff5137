//! A formula settled: each name is a line, each part has a kind.
//!
//! In: a formula as written, and the names in reach. Out: an expression, and every fault met.
//! Never: works a value out. What cannot be settled has an unknown kind, so that nothing after it complains.

use crate::fault::{Fault, Faults, Kind, Span};
use crate::sheet::Wrong as Text;
use crate::sheet::check::wrong::Wrong;
use crate::sheet::formula::{Formula, Part};
use crate::sheet::model::{Expr, ExprPart, Is, LineRef, Rows, TextPart};
use crate::sheet::token::{Leaf, Op, Path, Piece};

/// What a name stands for.
#[derive(Clone, Debug, PartialEq)]
pub enum Found {
    /// A line with one value.
    Line(LineRef, Is),
    /// A column of a schedule.
    Column {
        /// Its rows.
        rows: Rows,
        /// The column.
        line: LineRef,
        /// Its kind.
        is: Is,
    },
    /// A column that a schedule would have from a table that is not there.
    Without {
        /// Its rows.
        rows: Rows,
        /// The table; `None`: it has no such table, which is a fault of its own.
        table: Option<usize>,
    },
    /// A column of a table.
    Cell {
        /// The table.
        table: usize,
        /// The column; `None`: the table is not known yet.
        column: Option<usize>,
        /// Its kind.
        is: Is,
    },
    /// A schedule or a table itself.
    Rows(Rows),
    /// A limit.
    Limit,
    /// The job's day.
    Today,
}

/// The names that a formula may use.
pub trait Scope {
    /// Returns what a name stands for.
    ///
    /// # Errors
    /// Why it stands for nothing, with the nearest name.
    fn find(&self, path: &Path) -> Result<Found, Wrong>;

    /// Returns the rows inside which the formula stands.
    fn inside(&self) -> Option<Rows>;

    /// Returns what rows are called.
    fn rows_name(&self, rows: Rows) -> String;

    /// Returns the texts that a line may be chosen from, if it is a choice of texts.
    fn choices(&self, line: LineRef) -> Option<Vec<String>>;

    /// Returns what a line in % is called; `None` of any other.
    fn in_percent(&self, _line: LineRef) -> Option<String> {
        None
    }

    /// Where the values of a table's column do not rise, returns whether that is for a missing cell; those of an
    /// unknown table are taken to rise.
    fn does_not_rise(&self, table: usize, column: usize) -> Option<bool>;
}

/// Settles one formula.
pub fn settle(formula: &Formula, scope: &dyn Scope, faults: &mut Faults) -> Expr {
    Settler { scope, faults, over: Over::Nothing }.formula(formula)
}

/// Settles a formula that must be yes or no.
pub(super) fn settle_condition(formula: &Formula, scope: &dyn Scope, faults: &mut Faults) -> Expr {
    let expr = settle(formula, scope, faults);
    if !expr.is.agrees(Is::Flag) {
        let wrong =
            Wrong::Wanted { what: "this".to_owned(), wanted: "a comparison, or yes or no", found: expr.is };
        faults.add(Fault::new(expr.at, wrong));
    }
    expr
}

/// Settles the parts of a text.
pub(super) fn settle_text(pieces: &[Piece], scope: &dyn Scope, faults: &mut Faults) -> Vec<TextPart> {
    Settler { scope, faults, over: Over::Nothing }.text(pieces)
}

pub(super) struct Settler<'s> {
    pub(super) scope: &'s dyn Scope,
    pub(super) faults: &'s mut Faults,
    pub(super) over: Over,
}

/// Whether a formula stands in a function of rows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Over {
    /// In none.
    Nothing,
    /// In one, and no rows were met yet.
    Open,
    /// In one of these rows.
    Rows(Rows),
}

impl Settler<'_> {
    pub(super) fn broken(&mut self, at: Span, wrong: impl Into<Kind>) -> Expr {
        self.faults.add(Fault::new(at, wrong));
        Expr { part: ExprPart::Broken, at, is: Is::Unknown }
    }

    pub(super) fn formula(&mut self, formula: &Formula) -> Expr {
        let at = formula.at;
        match &formula.part {
            Part::Leaf(leaf) => self.leaf(leaf, at),
            Part::Negate(inner) => self.negate(inner, at),
            Part::Not(inner) => {
                let inner = self.formula(inner);
                self.want(&inner, Is::Flag, "what 'not' turns", "yes or no");
                Expr { part: ExprPart::Not(inner.into()), at, is: Is::Flag }
            }
            Part::Binary(op, left, right) => self.binary(*op, left, right, at),
            Part::Call(function, values) => self.call(*function, values, formula),
        }
    }

    fn leaf(&mut self, leaf: &Leaf, at: Span) -> Expr {
        match leaf {
            Leaf::Quantity(quantity) => {
                Expr { is: Is::of(&quantity.unit), part: ExprPart::Quantity(quantity.clone()), at }
            }
            Leaf::Date(seconds) => Expr { part: ExprPart::Date(*seconds), at, is: Is::Date },
            Leaf::Flag(flag) => Expr { part: ExprPart::Flag(*flag), at, is: Is::Flag },
            Leaf::Text(pieces) => Expr { part: ExprPart::Text(self.text(pieces)), at, is: Is::Text },
            Leaf::Name(path) => self.name(path, at),
        }
    }

    fn text(&mut self, pieces: &[Piece]) -> Vec<TextPart> {
        pieces
            .iter()
            .map(|piece| match piece {
                Piece::Plain(text) => TextPart::Plain(text.clone()),
                Piece::Value(path, at) => TextPart::Value(self.name(path, *at)),
            })
            .collect()
    }

    fn name(&mut self, path: &Path, at: Span) -> Expr {
        let found = match self.scope.find(path) {
            Ok(found) => found,
            Err(wrong) => return self.broken(at, wrong),
        };
        match found {
            Found::Line(line, is) => Expr { part: ExprPart::Line(line), at, is },
            Found::Today => Expr { part: ExprPart::Today, at, is: Is::Date },
            Found::Limit => self.broken(at, Wrong::LimitAsValue { name: path.to_string() }),
            Found::Rows(_) => self.broken(at, Wrong::ScheduleAlone { name: path.to_string() }),
            Found::Column { rows, line, is } => {
                let expr = Expr { part: ExprPart::Line(line), at, is };
                self.of_row(expr, rows, path)
            }
            Found::Without { rows, table } => {
                let part = table.map_or(ExprPart::Broken, |table| ExprPart::Without { table });
                self.of_row(Expr { part, at, is: Is::Unknown }, rows, path)
            }
            Found::Cell { table, column, is } => {
                let part = column.map_or(ExprPart::Broken, |column| ExprPart::Cell { table, column });
                self.of_row(Expr { part, at, is }, Rows::Table(table), path)
            }
        }
    }

    /// A column may stand inside its own schedule by its bare name, or inside a function of rows.
    fn of_row(&mut self, expr: Expr, rows: Rows, path: &Path) -> Expr {
        let dotted = self.over == Over::Nothing && self.scope.inside() == Some(rows) && path.0.len() > 1;
        if dotted {
            let column = path.0.last().cloned().unwrap_or_default();
            let schedule = self.scope.rows_name(rows);
            return self.broken(expr.at, Wrong::DottedInside { schedule, column });
        }
        self.on_rows(expr, rows, &path.to_string())
    }

    /// What has a value on every row stands inside its own schedule, or in a function of the same rows.
    pub(super) fn on_rows(&mut self, expr: Expr, rows: Rows, name: &str) -> Expr {
        match self.over {
            Over::Open => {
                self.over = Over::Rows(rows);
                expr
            }
            Over::Rows(other) if other == rows => expr,
            Over::Rows(other) => {
                let (rows, other) = (self.scope.rows_name(rows), self.scope.rows_name(other));
                self.broken(expr.at, Wrong::NotSameRows { rows, other })
            }
            Over::Nothing if self.scope.inside() == Some(rows) => expr,
            Over::Nothing => self.broken(expr.at, Wrong::ColumnAlone { name: name.to_owned() }),
        }
    }

    /// Tells a value that is not of the kind that is due.
    pub(super) fn want(&mut self, expr: &Expr, is: Is, what: &str, wanted: &'static str) -> bool {
        let fits = expr.is.agrees(is);
        if !fits {
            self.faults
                .add(Fault::new(expr.at, Wrong::Wanted { what: what.to_owned(), wanted, found: expr.is }));
        }
        fits
    }

    fn negate(&mut self, inner: &Formula, at: Span) -> Expr {
        let inner = self.formula(inner);
        let is = match inner.is {
            Is::Quantity(_) | Is::Unknown => inner.is,
            Is::Point | Is::Flag | Is::Date | Is::Text => {
                let what = "what the sign turns".to_owned();
                return self.broken(inner.at, Wrong::Wanted { what, wanted: "a quantity", found: inner.is });
            }
        };
        Expr { part: ExprPart::Negate(inner.into()), at, is }
    }

    fn binary(&mut self, op: Op, left: &Formula, right: &Formula, at: Span) -> Expr {
        if let Some(wrong) = self.hyphen(op, left, right) {
            return self.broken(at, wrong);
        }
        let (left, right) = (self.formula(left), self.formula(right));
        if op.compares() {
            self.check_choice(&left, &right);
            self.check_choice(&right, &left);
            self.check_percent(&left, &right);
            self.check_percent(&right, &left);
        }
        match kind_of(op, &left, &right) {
            Ok(is) => Expr { part: ExprPart::Binary(op, left.into(), right.into()), at, is },
            Err(wrong) => self.broken(left.at.to(right.at), wrong),
        }
    }

    /// Returns the fault of a name written with a hyphen: neither part is one, both together are.
    fn hyphen(&self, op: Op, left: &Formula, right: &Formula) -> Option<Text> {
        let (Part::Leaf(Leaf::Name(l)), Part::Leaf(Leaf::Name(r))) = (&left.part, &right.part) else {
            return None;
        };
        let glued = op == Op::Subtract && left.at.end + 1 == right.at.start && r.0.len() == 1;
        let fits = format!("{l}_{r}");
        let path = Path(fits.split('.').map(str::to_owned).collect());
        let is_name = glued && self.scope.find(&path).is_ok();
        let missed = is_name && (self.scope.find(l).is_err() || self.scope.find(r).is_err());
        missed.then_some(Text::Hyphen { fits })
    }

    /// A plain number beside a line in % would be a hundred times too large.
    fn check_percent(&mut self, line: &Expr, literal: &Expr) {
        let (ExprPart::Line(line), Some(number)) = (&line.part, lacking_percent(literal)) else { return };
        if let Some(name) = self.scope.in_percent(*line) {
            let wrong = Text::PercentWanted { number, line: format!("'{name}'"), basis: None };
            self.faults.add(Fault::new(literal.at, wrong));
        }
    }

    /// A literal compared with a choice must be one of it.
    fn check_choice(&mut self, line: &Expr, literal: &Expr) {
        let (ExprPart::Line(line), ExprPart::Text(parts)) = (&line.part, &literal.part) else { return };
        let [TextPart::Plain(value)] = parts.as_slice() else { return };
        if let Some(known) = self.scope.choices(*line)
            && !known.contains(value)
        {
            self.faults.add(Fault::new(literal.at, Wrong::NotAChoice { value: value.clone(), known }));
        }
    }
}

/// Returns the number that an expression is, where that is all of it and it has no unit. Zero is zero.
pub(super) fn lacking_percent(expr: &Expr) -> Option<f64> {
    match &expr.part {
        ExprPart::Quantity(quantity) => quantity.is_bare().then_some(quantity.number),
        ExprPart::Negate(inner) => lacking_percent(inner).map(|number| -number),
        _ => None,
    }
}

/// Returns the kind of two values worked together.
fn kind_of(op: Op, left: &Expr, right: &Expr) -> Result<Is, Wrong> {
    let (l, r) = (left.is, right.is);
    let differ = Wrong::Differ { op, left: l, right: r };
    let unknown = l == Is::Unknown || r == Is::Unknown;
    match op {
        Op::And | Op::Or => {
            if l.agrees(Is::Flag) && r.agrees(Is::Flag) {
                Ok(Is::Flag)
            } else {
                Err(differ)
            }
        }
        Op::Equal | Op::Differs => {
            if l.agrees(r) {
                Ok(Is::Flag)
            } else {
                Err(differ)
            }
        }
        Op::Less | Op::AtMost | Op::More | Op::AtLeast => match (l, r) {
            (Is::Text, Is::Text) | (Is::Flag, Is::Flag) => Err(Wrong::ExactText),
            _ if l.agrees(r) => Ok(Is::Flag),
            _ => Err(differ),
        },
        _ if unknown => Ok(Is::Unknown),
        Op::Add | Op::Subtract => sum_kind(op, l, r).ok_or(differ),
        Op::Multiply | Op::Divide => match (l, r) {
            (Is::Quantity(l), Is::Quantity(r)) => {
                let made = if op == Op::Multiply { l.times(r) } else { l.over(r) };
                made.map(Is::Quantity).ok_or(Wrong::TooLargeDimension)
            }
            _ => Err(differ),
        },
        Op::Power => power_kind(l, right).unwrap_or(Err(differ)),
    }
}

fn sum_kind(op: Op, left: Is, right: Is) -> Option<Is> {
    use crate::unit::Dimension;
    match (left, right) {
        (Is::Quantity(l), Is::Quantity(r)) if l == r => Some(left),
        (Is::Point, Is::Point) if op == Op::Subtract => Some(Is::Quantity(Dimension::TEMPERATURE)),
        (Is::Point, Is::Quantity(Dimension::TEMPERATURE)) => Some(Is::Point),
        (Is::Quantity(Dimension::TEMPERATURE), Is::Point) if op == Op::Add => Some(Is::Point),
        (Is::Date, Is::Date) if op == Op::Subtract => Some(Is::Quantity(Dimension::TIME)),
        (Is::Date, Is::Quantity(Dimension::TIME)) => Some(Is::Date),
        (Is::Quantity(Dimension::TIME), Is::Date) if op == Op::Add => Some(Is::Date),
        _ => None,
    }
}

/// The power of a quantity is a number written out, in halves; that of a plain number is any.
fn power_kind(base: Is, power: &Expr) -> Option<Result<Is, Wrong>> {
    let (Is::Quantity(dimension), Is::Quantity(plain)) = (base, power.is) else { return None };
    if !plain.is_none() {
        return None;
    }
    if dimension.is_none() {
        return Some(Ok(Is::NUMBER));
    }
    let Some(number) = literal_number(power) else { return Some(Err(Wrong::PowerKind)) };
    let halves = number * 2.0;
    let made =
        (halves.fract() == 0.0 && halves.abs() < 100.0).then(|| dimension.to_power(halves as i32)).flatten();
    Some(made.map(Is::Quantity).ok_or(Wrong::PowerOf { dimension: base }))
}

fn literal_number(expr: &Expr) -> Option<f64> {
    match &expr.part {
        ExprPart::Quantity(quantity) => Some(quantity.si()),
        ExprPart::Negate(inner) => literal_number(inner).map(|number| -number),
        _ => None,
    }
}
