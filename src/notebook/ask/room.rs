//! How far an input may move before a limit turns: found by bracketing on the engine.
//!
//! In: an open job, and the name of an input or of a limit. Out: the last values that keep every verdict, and what
//! turns beyond them.
//! Never: keeps what it tries: the book is left as it was found.

mod input;
mod spans;

use crate::engine::Purpose;
use crate::fault::Fault;
use crate::notebook::Wrong;
use crate::notebook::book::Book;
use crate::notebook::book::names::LinePlace;
use crate::notebook::change::refuse;
use crate::notebook::change::typed::Typed;
use crate::notebook::judge::days::LimitPlace;
use crate::notebook::library::Found;
use crate::notebook::open::Notebook;
use crate::notebook::record::{Origin, Verdict};
use crate::sheet::model::Role;
pub(in crate::notebook) use input::Input;

/// How far one input may move.
#[derive(Clone, Debug, PartialEq)]
pub struct Room {
    /// Its full name.
    pub name: String,
    /// What it is now; none is open.
    pub now: Option<String>,
    /// How far it may go, upwards and downwards; of an open one, what holds from where to where.
    pub spans: Vec<Span>,
    /// What may be chosen instead, each with what would turn.
    pub choices: Vec<(String, Vec<String>)>,
    /// How near the nearest turn is, as a share of the value: what `room LIMIT` is sorted by.
    pub(in crate::notebook) near: f64,
}

/// A part of the way that an input may go.
#[derive(Clone, Debug, PartialEq)]
pub enum Span {
    /// To the last value that keeps every verdict.
    Turns {
        /// Upwards, else downwards.
        up: bool,
        /// The last value.
        to: String,
        /// What turns beyond it.
        then: Vec<String>,
    },
    /// To the end of its plausible range; nothing turns.
    Range {
        /// Upwards, else downwards.
        up: bool,
        /// The end.
        to: String,
    },
    /// As far as was looked; nothing turns.
    Endless {
        /// Upwards, else downwards.
        up: bool,
    },
    /// Of an open input, a stretch in which every limit comes out the same.
    Stretch {
        /// Its first value.
        from: String,
        /// Its last value.
        to: String,
        /// What does not pass in it.
        misses: Vec<String>,
    },
}

/// Inputs of a limit that are told.
const MOST_INPUTS: usize = 12;

impl Notebook {
    /// Returns how far an input may move before a limit turns; of a limit, how far each of its inputs may move
    /// alone before it does.
    ///
    /// # Errors
    /// No such line, or one that is neither.
    pub fn room(&mut self, line: &str, from: usize) -> Found<Vec<Room>> {
        let path = Typed::read_path(line, from).map_err(refuse(line))?;
        let place = self.line_named(&path).map_err(refuse(line))?;
        let name = || path.value.to_string();
        let wrong = |wrong: Wrong| refuse(line)(Fault::new(path.at, wrong));
        let found = &self.book.uses[place.s].sheet.lines[place.n];
        if let Role::Limit { .. } = found.role {
            return Ok(room_of_limit(&mut self.book, (place.s, place.n)));
        }
        if let (Some(schedule), None) = (found.schedule, place.row) {
            let schedule = self.book.uses[place.s].sheet.schedules[schedule].name.value.clone();
            return Err(wrong(Wrong::RowWanted { schedule, column: found.name.value.clone() }));
        }
        let known = self.book.uses[place.s].known.get(&(place.n, place.row.unwrap_or(0)));
        let linked = known.is_some_and(|known| known.link.is_some());
        let input = if linked { None } else { Input::of(&mut self.book, place) };
        if let Some(input) = input {
            let limits = input.limits(&self.book);
            return Ok(vec![input.room(&mut self.book, &limits)]);
        }
        // What is linked or worked out moves with what is behind it: until a limit turns that it reaches.
        let limits = limits_reached(&self.book, self.book.planned(place.s, place.n));
        let rooms = rooms_behind(&mut self.book, place, &[place.row.unwrap_or(0)], &limits);
        if rooms.is_empty() { Err(wrong(Wrong::NoRoom { name: name() })) } else { Ok(rooms) }
    }
}

/// Returns how far each input of a limit may move alone before it turns, the nearest first.
fn room_of_limit(book: &mut Book, (s, n): LimitPlace) -> Vec<Room> {
    let rows: Vec<usize> = (0..book.uses[s].rows_of(&book.uses[s].sheet.lines[n])).collect();
    rooms_behind(book, LinePlace { s, n, row: None }, &rows, &[(s, n)])
}

/// Returns every limit that a line of the plan reaches.
fn limits_reached(book: &Book, planned: usize) -> Vec<LimitPlace> {
    let plan = book.point.plan();
    let reach = plan.reach([planned]);
    let reached = reach.iter().zip(&plan.lines).filter(|(reached, _)| **reached);
    let limit = |purpose| match purpose {
        Purpose::Line(s, n) => {
            matches!(book.uses[s].sheet.lines[n].role, Role::Limit { .. }).then_some((s, n))
        }
        _ => None,
    };
    let mut found: Vec<LimitPlace> = reached.map(|(_, line)| line.purpose).filter_map(limit).collect();
    found.sort_unstable();
    found
}

/// Returns how far each input behind some rows of a line may move alone before one of some limits turns, the nearest
/// first.
fn rooms_behind(book: &mut Book, place: LinePlace, rows: &[usize], limits: &[LimitPlace]) -> Vec<Room> {
    let planned = book.planned(place.s, place.n);
    let mut places: Vec<LinePlace> = Vec::new();
    for &row in rows {
        for (line, row) in book.point.grounds(planned, row) {
            let (Purpose::Line(s, n) | Purpose::Entry(s, n)) = book.point.plan().lines[line].purpose else {
                continue;
            };
            let found = &book.uses[s].sheet.lines[n];
            let row = found.schedule.map(|_| row);
            let place = LinePlace { s, n, row };
            let known = book.uses[s].known.get(&(n, row.unwrap_or(0)));
            let entered = known.is_some_and(|known| known.link.is_none() && known.origin != Origin::Adopted);
            if entered && matches!(found.role, Role::Given { .. }) && !places.contains(&place) {
                places.push(place);
            }
        }
    }
    let inputs: Vec<Input> = places.into_iter().filter_map(|place| Input::of(book, place)).collect();
    let mut rooms: Vec<Room> = inputs.iter().map(|input| input.room(book, limits)).collect();
    rooms.sort_by(|a, b| a.near.total_cmp(&b.near));
    rooms.truncate(MOST_INPUTS);
    rooms
}

/// Names each limit that comes out otherwise, with how.
fn turned(
    book: &Book,
    limits: &[LimitPlace],
    was: &[Option<Verdict>],
    now: &[Option<Verdict>],
) -> Vec<String> {
    let told = |((limit, was), now): ((&LimitPlace, &Option<Verdict>), &Option<Verdict>)| {
        (was != now).then(|| format!("{} {}", book.uses[limit.0].plain_name(limit.1), words(*now)))
    };
    limits.iter().zip(was).zip(now).filter_map(told).collect()
}

fn words(verdict: Option<Verdict>) -> &'static str {
    match verdict {
        None => "is not needed",
        Some(Verdict::Advice) => "is missed",
        Some(verdict) => verdict.as_verb(),
    }
}
