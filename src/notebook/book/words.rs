//! Words for values, and for why there is none.
//!
//! In: a book and a slot. Out: text for people.
//! Never: judges.

use crate::engine::{Purpose, Reason, State, Status};
use crate::notebook::book::Book;
use crate::notebook::record::Value;
use crate::sheet::model::{Expr, ExprPart, Is, Line, TextPart};
use crate::unit::{Unit, date, show};

/// Returns a value as people read it.
pub(in crate::notebook) fn shown(book: &Book, is: Is, unit: &Unit, value: f64) -> String {
    match is {
        Is::Flag => if value == 0.0 { "no" } else { "yes" }.to_owned(),
        Is::Date => date::show(value),
        Is::Text => book.point.text(value).to_owned(),
        Is::Quantity(_) | Is::Point | Is::Unknown => show::short(value, unit),
    }
}

/// Digits that no reading on site goes past, and that the noise of binary numbers stays behind.
const AS_ENTERED: usize = 12;

/// Returns a number as it was entered.
pub(in crate::notebook) fn as_entered(value: f64, unit: &Unit) -> String {
    show::precise(value, unit, AS_ENTERED)
}

/// Returns the value of a row of a line: one that was entered in all of its digits.
pub(in crate::notebook) fn of_line(book: &Book, (s, n): (usize, usize), row: usize, value: f64) -> String {
    let line = &book.uses[s].sheet.lines[n];
    let known = book.uses[s].known.get(&(n, row));
    let entered = known.is_some_and(|known| known.link.is_none());
    match line.is {
        Is::Quantity(_) | Is::Point if entered => as_entered(value, &line.unit),
        is => shown(book, is, &line.unit, value),
    }
}

/// Returns the value of a line in all of its digits, for comparing.
pub(in crate::notebook) fn told(book: &Book, (s, n): (usize, usize), value: f64) -> String {
    let line = &book.uses[s].sheet.lines[n];
    match line.is {
        Is::Quantity(_) | Is::Point => as_entered(value, &line.unit),
        is => shown(book, is, &line.unit, value),
    }
}

/// Returns a time in the unit that people would say it in.
pub(in crate::notebook) fn time(seconds: f64) -> String {
    let (unit, size) = match seconds.abs() {
        0.0 => ("d", 86_400.0),
        size if size < 60.0 => ("s", 1.0),
        size if size < 7_200.0 => ("min", 60.0),
        size if size < 172_800.0 => ("h", 3_600.0),
        _ => ("d", 86_400.0),
    };
    format!("{} {unit}", show::digits(seconds / size, 4))
}

/// Returns a value in its line's own unit, without the noise of binary numbers.
pub(in crate::notebook) fn value(book: &Book, line: &Line, (value, status): (f64, Status)) -> Value {
    if !status.is_worked() {
        return Value::None;
    }
    match line.is {
        Is::Flag => Value::Flag(value != 0.0),
        Is::Date => Value::Text(date::show(value)),
        Is::Text => Value::Text(book.point.text(value).to_owned()),
        Is::Quantity(_) | Is::Point | Is::Unknown => Value::Number(quiet(line.unit.from_si(value))),
    }
}

/// Returns a number without the noise of binary numbers: 0.3, not 0.30000000000000004.
fn quiet(value: f64) -> f64 {
    format!("{value:.14e}").parse().unwrap_or(value)
}

/// Returns why a slot has no value.
pub(in crate::notebook) fn reason(book: &Book, status: Status) -> Option<String> {
    Some(match status.state() {
        State::Worked => return None,
        State::Open(slot) => {
            let plan = book.point.plan();
            if let Purpose::RowsOf(s, n) = plan.lines[plan.line_of(slot).0].purpose {
                let schedule = &book.uses[s].sheet.schedules[n].name.value;
                return Some(format!("no rows yet in {}.{schedule}", book.uses[s].name));
            }
            format!("waiting for {}", name_of(book, slot))
        }
        State::Unworkable(reason, slot) => {
            format!("{}: {}", name_of(book, slot), of_reason(book, reason, slot))
        }
        State::NotNeeded(slot) => not_needed(book, slot),
    })
}

/// Returns the full name of the line that a slot belongs to; of a part, that of the line it is a part of.
fn name_of(book: &Book, slot: u32) -> String {
    let plan = book.point.plan();
    let (mut line, row) = plan.line_of(slot);
    loop {
        match plan.lines[line].purpose {
            Purpose::Line(s, n) | Purpose::Entry(s, n) => return book.uses[s].full_name(n, row),
            Purpose::TableColumn(s, t, c) => {
                let used = &book.uses[s];
                let column =
                    used.sheet.tables[t].table.as_ref().map_or("", |table| table.columns[c].name.as_str());
                return format!("{}.{}.{column}", used.name, used.sheet.tables[t].name.value);
            }
            Purpose::RowsOf(s, n) => {
                return format!("{}.{}", book.uses[s].name, book.uses[s].sheet.schedules[n].name.value);
            }
            Purpose::TableRows(s, t) => {
                return format!("{}.{}", book.uses[s].name, book.uses[s].sheet.tables[t].name.value);
            }
            Purpose::ChartLine(s, c, _) => {
                return format!("{}.{}", book.uses[s].name, book.uses[s].sheet.charts[c].name.value);
            }
            Purpose::Today => return "on".to_owned(),
            Purpose::Part => match plan.users_of(line).first() {
                Some(user) => line = *user as usize,
                None => return String::new(),
            },
        }
    }
}

fn of_reason(book: &Book, reason: Reason, slot: u32) -> String {
    let plan = book.point.plan();
    let range = match plan.lines[plan.line_of(slot).0].purpose {
        Purpose::Line(s, n) => match &book.uses[s].sheet.lines[n].role {
            crate::sheet::model::Role::Given { within: Some((low, high)), .. } => format!(" {low} to {high}"),
            _ => String::new(),
        },
        _ => String::new(),
    };
    match reason {
        Reason::DivisionByZero => "division by zero".to_owned(),
        Reason::RootOfNegative => "the root of a negative number".to_owned(),
        Reason::LogarithmOfNotPositive => "the logarithm of zero or less".to_owned(),
        Reason::NoPower => "this power has no value".to_owned(),
        Reason::NoAngle => "no angle has that cosine".to_owned(),
        Reason::NoStep => "a step of zero or less".to_owned(),
        Reason::NotFinite => "too large to be a number".to_owned(),
        Reason::NoSuchRow => "no such row".to_owned(),
        Reason::TwoRows => "two rows of the table fit: neither can be chosen".to_owned(),
        Reason::BeyondTable => "outside the table".to_owned(),
        Reason::MayNotBeNeeded => "within tolerance it may not be needed".to_owned(),
        Reason::MissingCell => "the table has no figure there: find one in another document".to_owned(),
        Reason::OutOfRange => format!("the linked value is outside{range}"),
        Reason::NotAChoice => "the linked value is not one of the choices".to_owned(),
    }
}

/// A condition as a person reads it: the language writes `==`.
fn needed_only(when: &crate::sheet::formula::Formula) -> String {
    format!("needed only when {when}").replace(" == ", " is ").replace(" != ", " is not ")
}

fn not_needed(book: &Book, slot: u32) -> String {
    let plan = book.point.plan();
    match plan.lines[plan.line_of(slot).0].purpose {
        Purpose::Line(s, n) | Purpose::Entry(s, n) => {
            let used = &book.uses[s];
            match (used.without.get(&n), &used.sheet.lines[n].when_formula) {
                (Some(reason), _) => reason.clone(),
                (None, Some(when)) => needed_only(when),
                (None, None) => "not needed".to_owned(),
            }
        }
        Purpose::TableRows(s, t) => {
            book.uses[s].sheet.tables[t].without.clone().unwrap_or_else(|| "no such table".to_owned())
        }
        Purpose::RowsOf(s, n) => match &book.uses[s].sheet.schedules[n].when_formula {
            Some(when) => needed_only(when),
            None => "not needed".to_owned(),
        },
        Purpose::TableColumn(..) | Purpose::ChartLine(..) | Purpose::Part | Purpose::Today => {
            "not needed".to_owned()
        }
    }
}

/// Returns the unit in which an expression is best shown: that of the first line or number of its kind.
pub(in crate::notebook) fn unit_of(book: &Book, s: usize, expr: &Expr) -> Option<Unit> {
    let fits = |unit: &Unit| Is::of(unit) == expr.is;
    match &expr.part {
        ExprPart::Line(line) => {
            let sheet = &book.uses[line.sheet.unwrap_or(s)].sheet;
            sheet.lines.get(line.line).map(|line| line.unit.clone())
        }
        ExprPart::Quantity(quantity) => Some(quantity.unit.clone()),
        ExprPart::InTable { table, column, .. } => book.uses[s].sheet.tables[*table]
            .table
            .as_ref()
            .and_then(|table| table.columns[*column].unit.clone()),
        ExprPart::Negate(inner) => unit_of(book, s, inner).filter(fits),
        ExprPart::Binary(_, left, right) => {
            unit_of(book, s, left).filter(fits).or_else(|| unit_of(book, s, right).filter(fits))
        }
        ExprPart::OfValues(_, values) => values.iter().find_map(|value| unit_of(book, s, value).filter(fits)),
        ExprPart::OverRows { of, .. } => of.as_ref().and_then(|of| unit_of(book, s, of)).filter(fits),
        ExprPart::Text(_)
        | ExprPart::Date(_)
        | ExprPart::Flag(_)
        | ExprPart::Today
        | ExprPart::Cell { .. }
        | ExprPart::Without { .. }
        | ExprPart::Not(_)
        | ExprPart::Broken => None,
    }
}

/// Returns a text with its values put in, for one row.
///
/// Values that differ are told apart, however near they are to each other; a value of `needs` is rounded so that
/// who does what is written has done enough: up where it must be reached, from the worst that it may be.
pub(in crate::notebook) fn filled(
    book: &Book,
    s: usize,
    parts: &[TextPart],
    row: usize,
    needs: &[(f64, bool)],
) -> String {
    let found = |part: &TextPart| match part {
        TextPart::Plain(_) => None,
        TextPart::Value(expr) => value_of(book, s, expr, row),
    };
    let values: Vec<(f64, Unit)> = parts
        .iter()
        .filter_map(found)
        .filter(|(is, _, _)| matches!(is, Is::Quantity(_) | Is::Point))
        .map(|(_, value, unit)| (value, unit))
        .collect();
    let value = |part: &TextPart, expr: &Expr| match found(part) {
        Some((Is::Quantity(_) | Is::Point, value, unit)) => {
            match needs.iter().find(|(need, _)| *need == value) {
                Some((_, up)) => {
                    let worst = worst_of(book, s, expr, row, *up).unwrap_or(value);
                    show::towards(worst, &unit, *up, &values)
                }
                None => show::among(value, &unit, &values),
            }
        }
        Some((is, value, unit)) => shown(book, is, &unit, value),
        None => named(book, s, expr)
            .map_or("what is not known yet".to_owned(), |name| format!("({name}: not known yet)")),
    };
    // A sentence that says little but what is not known yet is left out, where another says what to do.
    let mut sentences = vec![Sentence::default()];
    for part in parts {
        let (words, known) = match part {
            TextPart::Plain(text) => (text.clone(), true),
            TextPart::Value(expr) => (value(part, expr), found(part).is_some()),
        };
        let plain = matches!(part, TextPart::Plain(_));
        let whole: Vec<&str> = if plain { words.split_inclusive(". ").collect() } else { vec![&words] };
        for (n, words) in whole.into_iter().enumerate() {
            if n > 0 {
                sentences.push(Sentence::default());
            }
            if let Some(sentence) = sentences.last_mut() {
                sentence.words += words;
                sentence.unknown |= !known;
                sentence.says += if plain { words.trim().len() } else { 0 };
            }
        }
    }
    let empty = |one: &Sentence| one.unknown && one.says <= LITTLE;
    let all_empty = sentences.iter().all(|one| empty(one) || one.words.trim().is_empty());
    let told = sentences.into_iter().filter(|one| all_empty || !empty(one));
    told.map(|one| one.words).collect::<String>().trim_end().to_owned()
}

/// A sentence of what is to be done.
#[derive(Default)]
struct Sentence {
    words: String,
    /// Whether it names what is not known yet.
    unknown: bool,
    /// How many letters it has besides values.
    says: usize,
}

/// So few letters beside a value say nothing by themselves: "First: ".
const LITTLE: usize = 12;

/// Returns the name of the line that an expression is.
pub(in crate::notebook) fn named(book: &Book, s: usize, expr: &Expr) -> Option<String> {
    let ExprPart::Line(line) = &expr.part else { return None };
    Some(book.uses[line.sheet.unwrap_or(s)].sheet.lines.get(line.line)?.name.value.clone())
}

/// The end of a line's spread that asks for more.
fn worst_of(book: &Book, s: usize, expr: &Expr, row: usize, up: bool) -> Option<f64> {
    let ExprPart::Line(line) = &expr.part else { return None };
    let other = line.sheet.unwrap_or(s);
    let row = if book.uses[other].sheet.lines[line.line].schedule.is_some() { row } else { 0 };
    let ((low, high), status) = book.spread_of(other, line.line, row)?;
    let unit = &book.uses[other].sheet.lines[line.line].unit;
    // Rounding outwards is no spread that a person knows of.
    let differ = show::short(low, unit) != show::short(high, unit);
    (status.is_worked() && differ).then_some(if up { high } else { low })
}

/// Returns the value of a name in a text, and the unit it is shown in.
fn value_of(book: &Book, s: usize, expr: &Expr, row: usize) -> Option<(Is, f64, Unit)> {
    match &expr.part {
        ExprPart::Today => Some((Is::Date, book.day()?, Unit::plain())),
        ExprPart::Line(line) => {
            let other = line.sheet.unwrap_or(s);
            let found = book.uses[other].sheet.lines.get(line.line)?;
            let row = if found.schedule.is_some() { row } else { 0 };
            let (value, status) = book.point.at(book.slot(other, line.line, row));
            status.is_worked().then(|| (expr.is, value, found.unit.clone()))
        }
        _ => None,
    }
}
