//! One entry read against the line that it is for.
//!
//! In: what a job says for a line. Out: a value with its tolerance, a link, or open.
//! Never: keeps a value outside its range or choices, unless a reason is given.

use crate::fault::{Fault, Kind, Page, Span, near, typed_otherwise};
use crate::job::{Entry, How, Raw, Spanned};
use crate::notebook::Wrong;
use crate::sheet::formula::{Formula, Part};
use crate::sheet::model::{Choices, Is, Line, Role, Sheet};
use crate::sheet::scan::Scan;
use crate::sheet::statement::Literal;
use crate::table::Cell;
use crate::unit::{Quantity, Reading, Tolerance, Unit, date, show, symbols};

/// What an entry gives a line.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::notebook) enum Given {
    /// Nothing yet.
    Open,
    /// A formula over other sheets; where its text has escapes, the one place of all its faults.
    Link(Formula, Option<Span>),
    /// A value, and its own tolerance.
    Value(Literal, Option<Tolerance>),
}

/// Reads an entry, from a CSV file or from the job itself.
///
/// # Errors
/// What is wrong with it, in the page of the job.
pub(in crate::notebook) fn read(
    page: &Page,
    sheet: &Sheet,
    line: &Line,
    entry: &Entry,
    csv: bool,
) -> Result<Given, Fault> {
    let value = &entry.value;
    if matches!(&value.value, Raw::Text(text) if text.trim() == "?") {
        return Ok(Given::Open);
    }
    if entry.is_link() {
        return link(page, value);
    }
    let (literal, tolerance) = literal(line, value)?;
    check_range(line, &literal, value.at, entry.anyway.is_some(), csv)?;
    check_choice(sheet, line, &literal, value.at)?;
    Ok(Given::Value(literal, tolerance))
}

/// Reads the formula of a link, so that its faults point into the job's own text.
fn link(page: &Page, value: &Spanned<Raw>) -> Result<Given, Fault> {
    let Raw::Text(text) = &value.value else { return Err(Fault::new(value.at, Wrong::NoteFirst)) };
    let after = text.len() - text.trim_start().len() + 1;
    let exact = page.text.get(value.at.range()) == Some(text.as_str());
    let (source, region) = if exact {
        (page.text.as_str(), Span::new(value.at.start + after, value.at.end))
    } else {
        (text.as_str(), Span::new(after, text.len()))
    };
    let mut scan = Scan::new(source, region);
    let read = Formula::read(&mut scan).and_then(|formula| scan.expect_end().map(|()| formula));
    let formula = read.map_err(|fault| if exact { fault } else { Fault { at: value.at, ..fault } })?;
    if !formula.names_something() {
        let value_alone = text.trim_start().trim_start_matches('=').trim().to_owned();
        return Err(Fault::new(value.at, Wrong::LinkOfNothing { value: value_alone }));
    }
    Ok(Given::Link(formula, (!exact).then_some(value.at)))
}

/// Returns a typed value as a job keeps it: a bare number takes the declared unit, a formula that names a line of
/// a sheet links.
pub(in crate::notebook) fn new_value(line: &Line, typed: &str) -> Raw {
    if line.is == Is::Text && !typed.trim_start().starts_with('=') {
        return Raw::Text(typed.to_owned());
    }
    match typed.parse::<f64>() {
        Ok(number) if line.unit.is_plain() && number.is_finite() => return Raw::Number(number),
        Ok(_) | Err(_) => {}
    }
    let with_unit = crate::notebook::load::rows::with_unit(typed, line.unit.symbol());
    if Reading::read(&with_unit).is_ok() {
        return Raw::Text(with_unit);
    }
    if links(typed) { Raw::Text(format!("= {typed}")) } else { Raw::Text(typed.to_owned()) }
}

/// Returns whether a text is a formula that names a line of a sheet, in full.
pub(in crate::notebook) fn links(text: &str) -> bool {
    let mut scan = Scan::new(text, Span::new(0, text.len()));
    Formula::read(&mut scan)
        .is_ok_and(|formula| scan.is_done() && text.contains('.') && formula.names_something())
}

/// Returns whether a text is to be worked before it is a value: numbers with signs between them.
pub(in crate::notebook) fn is_sum(line: &Line, typed: &str) -> bool {
    let number = matches!(line.is, Is::Quantity(_) | Is::Point | Is::Unknown);
    let mut scan = Scan::new(typed, Span::new(0, typed.len()));
    let worked = |formula: Formula| !matches!(formula.part, Part::Leaf(_)) && !formula.names_something();
    let value = Reading::read(&crate::notebook::load::rows::with_unit(typed, line.unit.symbol())).is_ok();
    number && !value && Formula::read(&mut scan).is_ok_and(|formula| scan.is_done() && worked(formula))
}

/// Returns the fault of a word behind a value that was meant to say more of it: `7 Ah measurd`.
pub(in crate::notebook) fn slip(sheet: &Sheet, line: &Line, typed: &Spanned<String>) -> Option<Fault> {
    let text = &typed.value;
    let fits = match (&line.role, line.is) {
        (Role::Given { one_of: Some(choices), .. }, Is::Text) => {
            choice_list(sheet, choices).iter().any(|choice| words_of(choice, &line.unit) == *text)
        }
        (_, Is::Text) => true,
        (_, Is::Flag) => matches!(text.as_str(), "yes" | "no"),
        (_, Is::Date) => date::read(text).is_ok(),
        (_, Is::Quantity(_) | Is::Point | Is::Unknown) => {
            Reading::read(&crate::notebook::load::rows::with_unit(text, line.unit.symbol())).is_ok()
                || links(text)
        }
    };
    let words = text.match_indices(char::is_whitespace).map(|(at, _)| {
        let rest = text[at..].trim_start();
        (text.len() - rest.len(), rest.split_whitespace().next().unwrap_or_default())
    });
    let slip = |(at, word): (usize, &str)| Some((at, word.to_owned(), near_behind(word)?));
    let (at, found, near) = words.filter(|_| !fits && !text.starts_with('=')).find_map(slip)?;
    let place = typed.inner(at..at + found.len());
    Some(Fault::new(place, Wrong::BehindValue { found, near: Some(near) }))
}

/// Returns the word behind a value that was probably meant.
pub(in crate::notebook) fn near_behind(found: &str) -> Option<&'static str> {
    let hows = How::ALL.iter().map(|how| how.word());
    near(found, hows.chain(["with", "anyway", "by"]).filter(|word| *word != How::Linked.word()))
}

/// Only a flag, a text or a date is known by someone's word, and only a link is linked.
pub(in crate::notebook) fn check_how(line: &Line, entry: &Entry) -> Result<(), Fault> {
    let number = matches!(line.is, Is::Quantity(_) | Is::Point);
    match &entry.how {
        Some(how) if how.value == How::Linked => Err(Fault::new(how.at, Wrong::NotLinked)),
        Some(how) if how.value == How::Stated && number => {
            Err(Fault::new(how.at, Wrong::NumberStated { name: line.name.value.clone() }))
        }
        Some(_) | None => Ok(()),
    }
}

/// Reads a value of the kind that the line is.
fn literal(line: &Line, value: &Spanned<Raw>) -> Result<(Literal, Option<Tolerance>), Fault> {
    let at = value.at;
    let other = |found: &str| Fault::new(at, kind(line, found));
    match (line.is, &value.value) {
        (Is::Quantity(_) | Is::Point | Is::Unknown, Raw::Text(text)) => quantity(line, text, value),
        (Is::Quantity(_) | Is::Point | Is::Unknown, Raw::Number(number)) => {
            if line.unit.is_plain() {
                let quantity = Quantity { number: *number, unit: Unit::plain() };
                return Ok((Literal::Quantity(quantity), None));
            }
            Err(Fault::new(at, unit_wanted(line, *number)))
        }
        (Is::Flag, Raw::Flag(flag)) => Ok((Literal::Flag(*flag), None)),
        (Is::Flag, Raw::Text(text)) => match text.trim() {
            "yes" => Ok((Literal::Flag(true), None)),
            "no" => Ok((Literal::Flag(false), None)),
            _ => Err(other("a text")),
        },
        (Is::Date, Raw::Date(seconds)) => Ok((Literal::Date(*seconds), None)),
        (Is::Date, Raw::Text(text)) => match date::read(text.trim()) {
            Ok(seconds) => Ok((Literal::Date(seconds), None)),
            Err(fault) => Err(Fault { at: value.inner(fault.at.range()), ..fault }),
        },
        (Is::Text, Raw::Text(text)) => Ok((Literal::Text(text.clone()), None)),
        (_, Raw::Number(_)) => Err(other("a number")),
        (_, Raw::Flag(_)) => Err(other("yes or no")),
        (_, Raw::Date(_)) => Err(other("a date")),
    }
}

fn quantity(line: &Line, text: &str, value: &Spanned<Raw>) -> Result<(Literal, Option<Tolerance>), Fault> {
    let reading = Reading::read(text).map_err(|fault| Fault {
        at: value.inner(fault.at.range()),
        kind: number_wanted(line, fault.kind),
        ..fault
    })?;
    let found = &reading.value;
    if found.unit.is_plain() && !line.unit.is_plain() {
        return Err(Fault::new(value.at, unit_wanted(line, found.number)));
    }
    let is = Is::of(&found.unit);
    if !is.agrees(line.is) {
        return Err(Fault::new(value.at, kind(line, &is.name())));
    }
    Ok((Literal::Quantity(found.clone()), reading.tolerance))
}

/// What is no number is told with one in the unit of its line.
fn number_wanted(line: &Line, kind: Kind) -> Kind {
    match kind {
        Kind::Unit(crate::unit::Wrong::NotANumber { found })
            if !found.is_empty() && typed_otherwise(&found).is_none() =>
        {
            let example = Quantity { number: 18.0, unit: line.unit.clone() }.to_string();
            Wrong::NumberWanted { found, example }.into()
        }
        other => other,
    }
}

fn unit_wanted(line: &Line, number: f64) -> Wrong {
    let of = |unit: Unit, number: f64| Quantity { number, unit }.to_string();
    let (found, example) = (of(Unit::plain(), number), of(line.unit.clone(), number));
    // A share of one, or so many percent: which is meant nobody knows.
    if line.unit.is_percent() && number != 0.0 && number.abs() < 1.0 {
        let share = Quantity::from_si(number, &line.unit).to_string();
        return Wrong::UnitWanted { found, example: share, other: Some(example) };
    }
    Wrong::UnitWanted { found, example, other: None }
}

fn kind(line: &Line, found: &str) -> Wrong {
    let wanted = match line.is {
        Is::Quantity(dimension) if !line.unit.is_plain() => {
            format!("{} in {}", dimension.name(), line.unit.symbol())
        }
        Is::Text => "a text in quotes".to_owned(),
        Is::Date => "a date like 2026-11-25".to_owned(),
        is => is.name(),
    };
    Wrong::Kind { name: line.name.value.clone(), wanted, found: found.to_owned() }
}

fn check_range(line: &Line, literal: &Literal, at: Span, anyway: bool, csv: bool) -> Result<(), Fault> {
    let (Role::Given { within: Some((low, high)), .. }, Literal::Quantity(value)) = (&line.role, literal)
    else {
        return Ok(());
    };
    let inside = |si: f64| (low.si()..=high.si()).contains(&si);
    if anyway || inside(value.si()) {
        return Ok(());
    }
    let neighbour = neighbour(value, inside).map(|near| {
        let words = show::short(near.si(), &line.unit);
        if words == near.to_string() { format!("{near} would fit") } else { format!("{near} is {words}") }
    });
    let range = format!("{low} to {high}");
    Err(Fault::new(at, Wrong::Outside { value: value.to_string(), range, neighbour, csv }))
}

/// Returns the same number with the unit that would fit and is nearest in size: 1200 A was meant as 1200 mA.
fn neighbour(value: &Quantity, inside: impl Fn(f64) -> bool) -> Option<Quantity> {
    let written = value.unit.symbol();
    let fits = |symbol: &str| {
        let unit = Unit::read(symbol).ok()?;
        let same = unit.dimension() == value.unit.dimension() && !unit.is_point() && symbol != written;
        let meant = Quantity { number: value.number, unit };
        // An angle is a plain number too, and nobody leaves its unit out.
        let akin = if written.is_empty() {
            symbol == "%"
        } else {
            written.ends_with(symbol) || symbol.ends_with(written)
        };
        (same && akin && inside(meant.si())).then_some(meant)
    };
    let off = |meant: &Quantity| (meant.unit.factor() / value.unit.factor()).ln().abs();
    symbols().filter_map(fits).min_by(|left, right| off(left).total_cmp(&off(right)))
}

fn check_choice(sheet: &Sheet, line: &Line, literal: &Literal, at: Span) -> Result<(), Fault> {
    let Role::Given { one_of: Some(choices), .. } = &line.role else { return Ok(()) };
    let known = choice_list(sheet, choices);
    let fits = known.iter().any(|choice| same(choice, literal));
    if fits || known.is_empty() {
        return Ok(());
    }
    let words: Vec<String> = known.iter().map(|choice| words_of(choice, &line.unit)).collect();
    let found = words_of(literal, &line.unit);
    // One number is not a slip for another.
    let words_only = matches!(literal, Literal::Text(_));
    let near = near(&found, words.iter().map(String::as_str).filter(|_| words_only)).map(str::to_owned);
    // A part of one choice is that choice; a part of several is one of these.
    let lower = found.to_lowercase();
    let holding: Vec<String> =
        words.iter().filter(|word| words_only && word.to_lowercase().contains(&lower)).cloned().collect();
    let (known, near) = match (near, holding.as_slice()) {
        (None, [only]) => (words, Some(only.clone())),
        (None, [_, ..]) => (holding, None),
        (near, _) => (words, near),
    };
    Err(Fault::new(at, Wrong::NotAChoice { found, known, near }))
}

/// Returns what may be chosen, each once.
pub(in crate::notebook) fn choice_list(sheet: &Sheet, choices: &Choices) -> Vec<Literal> {
    let all = match choices {
        Choices::Values(values) => values.clone(),
        Choices::Column { table, column } => {
            let Some(table) = &sheet.tables[*table].table else { return Vec::new() };
            let Some(column) = column.map(|column| &table.columns[column]) else { return Vec::new() };
            let unit = column.unit.clone().unwrap_or_else(Unit::plain);
            let literal = |cell: &Cell| match cell {
                Cell::Number(si) => Literal::Quantity(Quantity::from_si(*si, &unit)),
                Cell::Text(text) => Literal::Text(text.clone()),
            };
            column.cells.iter().flatten().map(literal).collect()
        }
    };
    let mut once: Vec<Literal> = Vec::new();
    for choice in all {
        if !once.contains(&choice) {
            once.push(choice);
        }
    }
    once
}

/// Returns what may be chosen in words; where a choice has a comma, each in quotes.
pub(in crate::notebook) fn choice_words(sheet: &Sheet, choices: &Choices, unit: &Unit) -> String {
    let words: Vec<String> =
        choice_list(sheet, choices).iter().map(|choice| words_of(choice, unit)).collect();
    if words.iter().any(|word| word.contains(',')) {
        return words.iter().map(|word| format!("\"{word}\"")).collect::<Vec<_>>().join(", ");
    }
    words.join(", ")
}

/// Returns whether two values are the same within rounding noise, whatever their units.
pub(in crate::notebook) fn same(left: &Literal, right: &Literal) -> bool {
    match (left, right) {
        (Literal::Quantity(left), Literal::Quantity(right)) => {
            (left.si() - right.si()).abs() <= crate::engine::NOISE * left.si().abs().max(right.si().abs())
        }
        (left, right) => left == right,
    }
}

/// Returns a value as people read it, a quantity in a unit.
pub(in crate::notebook) fn words_of(literal: &Literal, unit: &Unit) -> String {
    match literal {
        Literal::Quantity(quantity) => show::exact(quantity.si(), unit),
        Literal::Text(text) => text.clone(),
        Literal::Date(seconds) => date::show(*seconds),
        Literal::Flag(flag) => if *flag { "yes" } else { "no" }.to_owned(),
    }
}
