//! A limit that the plain enclosure leaves open: proved after all, or turned by readings that are named.
//!
//! In: a worked book and a row of a limit. Out: numbers that a person can check, and which reading matters most.
//! Never: names a combination that does not turn the limit when it is worked with the digits that are shown.

use crate::engine::Purpose;
use crate::engine::prove::{Came, Machines, Proof, Reading, Trial};
use crate::notebook::book::Book;
use crate::notebook::judge::LimitRow;
use crate::notebook::judge::condition::compared_exactly;
use crate::notebook::record::Verdict;
use crate::unit::{Unit, show};

/// Why a limit is unsure.
pub(in crate::notebook) struct Turned {
    /// The combination that turns it.
    pub(in crate::notebook) witness: Option<String>,
    /// Why it is not settled.
    pub(in crate::notebook) reason: String,
    /// Which closer reading would settle it.
    pub(in crate::notebook) closer: Option<String>,
}

/// Readings of which a closer look is tried.
const TRIED: usize = 3;
/// Fewest and most digits that a witness is shown with.
const DIGITS: std::ops::RangeInclusive<usize> = 4..=17;

/// Returns a row of a limit to be tried with other readings, where a tolerance is behind it.
pub(in crate::notebook) fn trial(book: &mut Book, planned: usize, row: usize) -> Option<Trial<'_>> {
    let spread = book.spread.as_mut()?;
    let (point, slopes, reached) = (&mut book.point, &mut book.slopes, book.spread_reach.as_slice());
    Trial::new(Machines { point, spread, slopes, reached }, planned, row)
}

/// Returns what turns a row of a limit within tolerance; nothing where it is proved that nothing does.
pub(super) fn turned(book: &mut Book, limit: LimitRow<'_>) -> Option<Turned> {
    let LimitRow { s, n, row, .. } = limit;
    let planned = book.planned(s, n);
    let readings = trial(book, planned, row)?.readings().to_vec();
    let named =
        |reading: &Reading| named(book, s, reading.slot).map(|(name, unit)| (reading.slot, name, unit));
    let units: Vec<(u32, String, Unit)> = readings.iter().filter_map(named).collect();
    let mut tried = trial(book, planned, row)?;
    let proof = tried.prove();
    let (values, came) = match proof {
        Proof::Proved => return None,
        Proof::Turned(values) => told_values(&mut tried, &units, &values),
        Proof::NotSettled(values) => (shown_values(&readings, &units, &values, *DIGITS.start()), None),
    };
    let closer = closer(&mut tried, &units);
    drop(tried);
    let at = words(&readings, &values);
    let compared = compared_at(book, limit, &readings, &values, came);
    let compared = if compared.is_empty() { compared } else { format!(": {compared}") };
    Some(match came {
        Some(came) => {
            let verb = match came {
                Came::Holds => "passes",
                Came::Misses => "fails",
                Came::Unworkable => "cannot be worked out",
                Came::NotJudged => "is not needed",
            };
            Turned {
                witness: Some(format!("{verb} at {at}{compared}")),
                reason: "within the tolerances it may pass or fail".to_owned(),
                closer,
            }
        }
        None => {
            let closest = if at.is_empty() { String::new() } else { format!("; closest at {at}{compared}") };
            let reason = format!("not settled: no readings were found that turn it, and no proof{closest}");
            Turned { witness: None, reason, closer }
        }
    })
}

/// A value as a person reads it, with the number that these digits stand for.
type Told = (f64, String);

/// Returns values in as few digits as still turn the limit, with how it comes out then.
fn told_values(
    tried: &mut Trial<'_>,
    units: &[(u32, String, Unit)],
    values: &[f64],
) -> (Vec<Told>, Option<Came>) {
    let readings = tried.readings().to_vec();
    for digits in DIGITS {
        let told = shown_values(&readings, units, values, digits);
        let numbers: Vec<f64> = told.iter().map(|(number, _)| *number).collect();
        if tried.turns(&numbers) {
            let came = tried.try_values(&numbers);
            return (told, Some(came));
        }
    }
    let came = tried.try_values(values);
    (shown_values(&readings, units, values, *DIGITS.end()), Some(came))
}

fn shown_values(
    readings: &[Reading],
    units: &[(u32, String, Unit)],
    values: &[f64],
    digits: usize,
) -> Vec<Told> {
    let told = |(reading, value): (&Reading, &f64)| {
        let Some((_, name, unit)) = units.iter().find(|(slot, _, _)| *slot == reading.slot) else {
            return (*value, String::new());
        };
        if *value == reading.at {
            return (*value, String::new());
        }
        let (number, shown) = within(*value, (reading.low, reading.high), unit, digits);
        (number, format!("{name} {shown}"))
    };
    readings.iter().zip(values).map(told).collect()
}

/// Rounds a value so that it stays within its spread.
fn within(value: f64, (low, high): (f64, f64), unit: &Unit, digits: usize) -> Told {
    let read = |shown: &str| shown.parse::<f64>().map_or(value, |number| unit.to_si(number));
    let nearest = show::digits(unit.from_si(value), digits);
    let number = read(&nearest);
    // An end that reads as a short number is that number but for the noise of binary ones.
    let noise = 1e-12 * low.abs().max(high.abs());
    if number > high && number - high <= noise || number < low && low - number <= noise {
        let shown = if unit.is_plain() { nearest } else { format!("{nearest} {}", unit.symbol()) };
        return (number.clamp(low, high), shown);
    }
    let shown = if number > high {
        show::digits(next(unit.from_si(value), digits, -1.0), digits)
    } else if number < low {
        show::digits(next(unit.from_si(value), digits, 1.0), digits)
    } else {
        nearest
    };
    let number = read(&shown);
    if (low..=high).contains(&number) {
        let shown = if unit.is_plain() { shown } else { format!("{shown} {}", unit.symbol()) };
        return (number, shown);
    }
    (value, show::exact(value, unit))
}

/// Returns the number one step of the last digit on.
fn next(value: f64, digits: usize, way: f64) -> f64 {
    let power = value.abs().max(f64::MIN_POSITIVE).log10().floor() as i32;
    value + way * 10_f64.powi(power + 1 - i32::try_from(digits).unwrap_or(0))
}

/// "quiescent 188.7 mA with alarm_load 1.229 A"
fn words(readings: &[Reading], values: &[Told]) -> String {
    let named: Vec<&str> = readings
        .iter()
        .zip(values)
        .filter(|(_, (_, shown))| !shown.is_empty())
        .map(|(_, (_, shown))| shown.as_str())
        .collect();
    match named.split_first() {
        None => String::new(),
        Some((first, [])) => (*first).to_owned(),
        Some((first, rest)) => format!("{first} with {}", rest.join(", ")),
    }
}

/// What is compared there, in words.
fn compared_at(
    book: &mut Book,
    limit: LimitRow<'_>,
    readings: &[Reading],
    values: &[Told],
    came: Option<Came>,
) -> String {
    let verdict = match came {
        Some(Came::Misses) => Verdict::Fail,
        Some(Came::Unworkable | Came::NotJudged) => return String::new(),
        Some(Came::Holds) | None => Verdict::Pass,
    };
    for (reading, (value, _)) in readings.iter().zip(values) {
        book.point.set(reading.slot, Some(*value));
    }
    book.point.work();
    let compared = compared_exactly(book, limit, verdict).join("; ");
    for reading in readings {
        book.point.set(reading.slot, Some(reading.at));
    }
    book.point.work();
    compared
}

/// Returns the reading that, known twice as well, would settle the limit; else the one that matters most.
fn closer(tried: &mut Trial<'_>, units: &[(u32, String, Unit)]) -> Option<String> {
    let moves = tried.moves();
    let all: f64 = moves.iter().sum();
    let mut order: Vec<usize> = (0..moves.len()).filter(|n| moves[*n] > 0.0).collect();
    order.sort_by(|a, b| moves[*b].total_cmp(&moves[*a]));
    let slots: Vec<u32> = tried.readings().iter().map(|reading| reading.slot).collect();
    let name =
        |n: usize| units.iter().find(|(slot, _, _)| *slot == slots[n]).map(|(_, name, _)| name.clone());
    for &n in order.iter().take(TRIED) {
        if tried.prove_with_half(n) == Proof::Proved {
            return name(n).map(|name| format!("halving the tolerance of {name} would settle this"));
        }
    }
    let most = *order.first()?;
    let share = show::digits(100.0 * moves[most] / all, 2);
    name(most).map(|name| match order.len() {
        1 => format!("measure {name} more accurately: nothing else settles this"),
        _ => format!("{share} % of the uncertainty comes from {name}"),
    })
}

/// Readings of a limit that are told.
pub(in crate::notebook) const MOST_MATTERS: usize = 3;

/// How much a reading matters to a limit.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Matter {
    /// The reading.
    pub name: String,
    /// From where to where it may be: "0.428 ohm to 0.612 ohm".
    pub within: String,
    /// Its share of what the limit's margin may move by.
    pub of_doubt: f64,
    /// What it may move the margin by, as a share of the margin; nothing where there is no margin.
    pub of_margin: Option<f64>,
}

/// Returns the readings behind a limit that may be off, those that matter most first; of a limit on rows those of its
/// closest row.
pub(in crate::notebook) fn matters(book: &mut Book, (s, n): (usize, usize)) -> Vec<Matter> {
    let planned = book.planned(s, n);
    let rows = book.uses[s].rows_of(&book.uses[s].sheet.lines[n]);
    let margins = (0..rows).map(|row| trial(book, planned, row).map(|mut tried| tried.margin().abs()));
    let margins: Vec<Option<f64>> = margins.collect();
    let closest = margins.iter().enumerate().filter_map(|(row, margin)| Some((row, (*margin)?)));
    let Some((row, margin)) = closest.min_by(|a, b| a.1.total_cmp(&b.1)) else { return Vec::new() };
    let Some(mut tried) = trial(book, planned, row) else { return Vec::new() };
    let (moves, readings) = (tried.moves(), tried.readings().to_vec());
    drop(tried);
    let all: f64 = moves.iter().sum();
    let matter = |(reading, moved): (&Reading, &f64)| {
        let (name, unit) = named(book, s, reading.slot)?;
        let ends = [reading.low, reading.high].map(|end| show::short(end, &unit));
        Some(Matter {
            name,
            within: ends.join(" to "),
            of_doubt: moved / all,
            of_margin: Some(moved / 2.0 / margin).filter(|share| share.is_finite()),
        })
    };
    let mut found: Vec<Matter> =
        readings.iter().zip(&moves).filter(|(_, moved)| **moved > 0.0).filter_map(matter).collect();
    found.sort_by(|a, b| b.of_doubt.total_cmp(&a.of_doubt));
    found
}

/// Returns what the reading in a slot is called by somebody who looks at a sheet, and its unit.
pub(in crate::notebook) fn named(book: &Book, own: usize, slot: u32) -> Option<(String, Unit)> {
    let plan = book.point.plan();
    let (line, row) = plan.line_of(slot);
    let (Purpose::Line(s, n) | Purpose::Entry(s, n)) = plan.lines[line].purpose else { return None };
    Some((book.name_from(own, (s, n), row), book.uses[s].sheet.lines[n].unit.clone()))
}
