//! What was assumed and never confirmed, ranked by how much the nearest limit depends on it.
//!
//! In: a book. Out: each assumption with the limit that turns first, and how far away that is.
//! Never: takes an assumption for harmless where no end of its range is known.

use serde::Serialize;

use crate::notebook::ask::room::{Input, Room, Span as RoomSpan};
use crate::notebook::book::Book;
use crate::notebook::book::names::line_of;
use crate::notebook::book::words;
use crate::notebook::record::{Record, RestsOn};
use crate::unit::show;

/// An assumption.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Assumed {
    /// The full name of the line.
    pub name: String,
    /// Its value.
    pub shown: String,
    /// How it came to be known: assumed, not said, a default.
    pub origin: &'static str,
    /// What turns first, and where: "battery.large_enough passes below 1.1 A; 0.1 A less"; nothing where nothing turns.
    pub turns: Option<String>,
    /// How far away that is, as a share of the value: 0 where another choice turns it.
    pub away: Option<f64>,
}

/// More assumptions than this are not ranked: each is tried with some hundred values.
const MOST_RANKED: usize = 200;

/// Returns what was assumed anywhere behind a limit, what matters most first.
pub(super) fn assumed(book: &mut Book, record: &Record) -> Vec<Assumed> {
    let rests = RestsOn::joined(record.limits().map(|(_, limit)| &limit.behind.rests));
    let names: Vec<String> = rests.assumed.into_iter().chain(rests.unconfirmed).collect();
    let mut found: Vec<Assumed> =
        names.into_iter().enumerate().filter_map(|(n, name)| one(book, name, n < MOST_RANKED)).collect();
    let rank = |one: &Assumed| one.away.unwrap_or(f64::INFINITY);
    found.sort_by(|a, b| rank(a).total_cmp(&rank(b)));
    found
}

fn one(book: &mut Book, name: String, ranked: bool) -> Option<Assumed> {
    let place = line_of(book, &name)?;
    let row = place.row.unwrap_or(0);
    let (value, status) = book.point.at(book.slot(place.s, place.n, row));
    let shown = if status.is_worked() {
        words::of_line(book, (place.s, place.n), row, value)
    } else {
        words::reason(book, status).unwrap_or_default()
    };
    let origin = book.uses[place.s].known.get(&(place.n, row))?.origin.words();
    let input = Input::of(book, place).filter(|_| ranked);
    let room = input.map(|input| {
        let limits = input.limits(book);
        input.room(book, &limits)
    });
    let turns = room.as_ref().and_then(|room| nearest(room, &shown));
    let away = room.map(|room| room.near).filter(|near| near.is_finite());
    Some(Assumed { name, shown, origin, turns, away })
}

/// What turns first, in words.
fn nearest(room: &Room, shown: &str) -> Option<String> {
    let choices = room.choices.iter().filter(|(_, then)| !then.is_empty());
    if let Some((choice, then)) = choices.into_iter().next() {
        return Some(format!("{} if it were {choice}", then.join(", ")));
    }
    let turning = room.spans.iter().filter_map(|span| match span {
        RoomSpan::Turns { up, to, then } => Some((up, to, then)),
        RoomSpan::Range { .. } | RoomSpan::Endless { .. } | RoomSpan::Stretch { .. } => None,
    });
    let told: Vec<String> = turning
        .clone()
        .map(|(up, to, then)| format!("{} {} {to}", then.join(", "), if *up { "above" } else { "below" }))
        .collect();
    let near = nearest_end(shown, turning.map(|(_, to, _)| to.as_str()));
    (!told.is_empty()).then(|| told.join("; ") + &near)
}

/// How far away the nearest end is, where value and end are numbers of one unit: "; 447.8 m more".
fn nearest_end<'t>(shown: &str, ends: impl Iterator<Item = &'t str>) -> String {
    let parts = |text: &str| {
        let (number, unit) = text.split_once(' ').unwrap_or((text, ""));
        Some((number.parse::<f64>().ok()?, unit.to_owned()))
    };
    let Some((now, unit)) = parts(shown) else { return String::new() };
    let away = ends.filter_map(parts).filter(|(_, of)| *of == unit).map(|(end, _)| end - now);
    let Some(away) = away.min_by(|a, b| a.abs().total_cmp(&b.abs())) else { return String::new() };
    let word = if away < 0.0 { "less" } else { "more" };
    format!("; {} {word}", format!("{} {unit}", show::digits(away.abs(), 4)).trim_end())
}
