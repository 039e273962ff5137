//! A formula with its numbers put in: each name by its value, each function of rows or of tables by what it gave.
//!
//! In: a worked book, a row of a line, and a formula of it, as written and as settled. Out: the formula in numbers,
//! and the lines that it names.
//! Never: puts the number of one row where all of them were worked.

use crate::engine::{Purpose, Status, Worked};
use crate::notebook::book::Book;
use crate::notebook::book::names::LinePlace;
use crate::notebook::book::words;
use crate::sheet::formula::{Formula, Part};
use crate::sheet::model::{Expr, ExprPart, Is, Line};
use crate::sheet::token::{Leaf, Path, Piece};
use crate::unit::{Quantity, Unit};

/// A formula of one row of a line on its way into numbers.
pub(in crate::notebook) struct Numbers<'b> {
    book: &'b Book,
    place: LinePlace,
    row: usize,
    /// What each function of rows or of tables gave, in reading order.
    calls: Vec<Worked<f64>>,
    next: usize,
    /// The lines that were named, in reading order.
    pub(in crate::notebook) named: Vec<LinePlace>,
}

impl<'b> Numbers<'b> {
    /// Returns a row of a line, ready for its formulas.
    pub(in crate::notebook) fn of(book: &'b mut Book, place: LinePlace, row: usize) -> Self {
        let planned = book.planned(place.s, place.n);
        let results = book.point.results(planned, row);
        let calls = book.point.plan().calls.get(&Purpose::Line(place.s, place.n));
        let value = |operand: &crate::engine::Operand| book.point.operand(*operand, row, &results);
        let calls = calls.map_or_else(Vec::new, |calls| calls.iter().map(value).collect());
        Self { book, place, row, calls, next: 0, named: Vec::new() }
    }

    /// Passes over a formula that is not shown.
    pub(in crate::notebook) fn pass(&mut self, expr: &Expr) {
        self.next += calls_in(expr);
    }

    /// Returns a formula in numbers.
    pub(in crate::notebook) fn put_in(&mut self, formula: &Formula, expr: &Expr) -> Formula {
        let part = match (&formula.part, &expr.part) {
            (Part::Leaf(leaf), _) => Part::Leaf(self.leaf(leaf)),
            (Part::Negate(inner), ExprPart::Negate(settled)) => {
                Part::Negate(self.put_in(inner, settled).into())
            }
            (Part::Not(inner), ExprPart::Not(settled)) => Part::Not(self.put_in(inner, settled).into()),
            (Part::Binary(op, left, right), ExprPart::Binary(_, l, r)) => {
                let left = self.put_in(left, l);
                Part::Binary(*op, left.into(), self.put_in(right, r).into())
            }
            (Part::Call(function, values), ExprPart::OfValues(_, settled)) => {
                let values = values.iter().zip(settled).map(|(value, settled)| self.put_in(value, settled));
                Part::Call(*function, values.collect())
            }
            (Part::Call(_, values), ExprPart::OverRows { .. }) => {
                let made = self.call(expr);
                values.iter().for_each(|value| value.each_name(&mut |path| self.name_all(path)));
                made.unwrap_or_else(|| formula.part.clone())
            }
            (Part::Call(_, values), ExprPart::InTable { keys, .. }) => {
                let made = self.call(expr);
                // Keys and the values sought in them stand in turn.
                for (value, (_, settled)) in values.iter().skip(1).step_by(2).zip(keys) {
                    self.put_in(value, settled);
                }
                made.unwrap_or_else(|| formula.part.clone())
            }
            _ => formula.part.clone(),
        };
        Formula { part, at: formula.at, word: formula.word }
    }

    /// What the next function gave.
    fn call(&mut self, expr: &Expr) -> Option<Part> {
        let worked = self.calls.get(self.next).copied();
        self.next += 1;
        let unit = words::unit_of(self.book, self.place.s, expr).unwrap_or_else(|| match expr.is {
            Is::Quantity(dimension) => Unit::usual(dimension),
            Is::Point | Is::Flag | Is::Date | Is::Text | Is::Unknown => Unit::plain(),
        });
        self.value(expr.is, &unit, worked?).map(Part::Leaf)
    }

    fn value(&self, is: Is, unit: &Unit, (value, status): (f64, Status)) -> Option<Leaf> {
        if !status.is_worked() {
            return None;
        }
        let shown = words::shown(self.book, is, unit, value);
        Some(match is {
            Is::Flag => Leaf::Flag(value != 0.0),
            Is::Date => Leaf::Date(value),
            Is::Text => Leaf::Text(vec![Piece::Plain(shown)]),
            Is::Quantity(_) | Is::Point | Is::Unknown => Leaf::Quantity(Quantity::read(&shown).ok()?),
        })
    }

    fn leaf(&mut self, leaf: &Leaf) -> Leaf {
        match leaf {
            Leaf::Name(path) if path.0 == ["on"] => self.book.day().map_or_else(|| leaf.clone(), Leaf::Date),
            Leaf::Name(path) => {
                let Some(found) = self.place_of(path) else { return leaf.clone() };
                self.named.push(found);
                let line = self.line(found);
                if line.schedule.is_some() && found.row.is_none() {
                    return leaf.clone();
                }
                let worked = self.book.point.at(self.book.slot(found.s, found.n, found.row.unwrap_or(0)));
                self.value(line.is, &line.unit, worked).unwrap_or_else(|| leaf.clone())
            }
            Leaf::Text(pieces) => {
                let names = pieces.iter().filter_map(|piece| match piece {
                    Piece::Value(path, _) => Some(path),
                    Piece::Plain(_) => None,
                });
                let found: Vec<LinePlace> = names.filter_map(|path| self.place_of(path)).collect();
                self.named.extend(found);
                leaf.clone()
            }
            Leaf::Quantity(_) | Leaf::Date(_) | Leaf::Flag(_) => leaf.clone(),
        }
    }

    fn line(&self, place: LinePlace) -> &Line {
        &self.book.uses[place.s].sheet.lines[place.n]
    }

    /// A column in a function of rows is all of it.
    fn name_all(&mut self, path: &Path) {
        let found = self.place_of(path);
        self.named.extend(found.map(|place| LinePlace { row: None, ..place }));
    }

    /// Returns the line that a name in a formula of the sheet stands for.
    fn place_of(&self, path: &Path) -> Option<LinePlace> {
        let (s, sheet) = (self.place.s, &self.book.uses[self.place.s].sheet);
        let schedule = sheet.lines[self.place.n].schedule;
        match path.0.as_slice() {
            [name] => {
                let own = schedule.and_then(|schedule| sheet.known_column(schedule, name));
                let any = || sheet.lines.iter().position(|line| line.name.value == *name);
                match own {
                    Some(n) => Some(LinePlace { s, n, row: Some(self.row) }),
                    // A bare name in a function of rows is a column of the schedule that it works over.
                    None => sheet.known_line(name).or_else(any).map(|n| LinePlace { s, n, row: None }),
                }
            }
            [schedule, name] => {
                let n = sheet.known_column(sheet.known_schedule(schedule)?, name)?;
                Some(LinePlace { s, n, row: None })
            }
            _ => None,
        }
    }
}

/// Returns how many functions of rows or of tables a formula has that are worked for its own line.
fn calls_in(expr: &Expr) -> usize {
    let under = || expr.parts().into_iter().map(calls_in).sum::<usize>();
    match &expr.part {
        // What is worked for each row is not worked for the line.
        ExprPart::OverRows { .. } => 1,
        ExprPart::InTable { .. } => 1 + under(),
        _ => under(),
    }
}
