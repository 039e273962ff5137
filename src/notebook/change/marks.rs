//! Review marks: a line agreed or asked about, and whether it is still what was looked at.
//!
//! In: a book, its record, and the marks of the job. Out: what each part of a line reads now; marks with what changed.
//! Never: takes a mark back by itself: one that is stale stays, and says why.

use crate::engine::State;
use crate::fault::{Fault, Span, Spanned};
use crate::job::disk::hash;
use crate::job::rewrite::set_mark;
use crate::job::{Mark, Says, Seen};
use crate::notebook::Wrong;
use crate::notebook::book::Book;
use crate::notebook::book::names::{LinePlace, Named, line_of, named};
use crate::notebook::book::words;
use crate::notebook::change::difference::Change;
use crate::notebook::change::refuse;
use crate::notebook::change::typed::Typed;
use crate::notebook::library::Found;
use crate::notebook::load::enter;
use crate::notebook::open::Notebook;
use crate::notebook::record::{GONE, MarkRecord, Record};
use crate::sheet::model::{Line, Role};
use crate::unit::date;

/// Digits of a hash that are kept: enough to tell what was changed from what was not.
const KEPT: usize = 16;

impl Notebook {
    /// Marks a line: `NAME ["note"]`, a query with what is asked; a sheet's name agrees to every line of it that is not
    /// marked yet.
    ///
    /// # Errors
    /// Who marks is not said; no such line; a query without a question.
    pub fn mark(&mut self, line: &str, from: usize, says: Says) -> Found<Change> {
        let (path, note) = Typed::read_marked(line, from).map_err(refuse(line))?;
        let at = |wrong: Wrong| refuse(line)(Fault::new(path.at, wrong));
        let found = named(&self.book, self.first, &path).map_err(refuse(line))?;
        let (name, places) = match (found, says) {
            (Named::Sheet(s), Says::Agree) => {
                let name = self.book.uses[s].name.clone();
                let places = self.unmarked(s);
                if places.is_empty() {
                    return Err(at(Wrong::AllMarked { sheet: name }));
                }
                (name, places)
            }
            _ => {
                let place = self.line_named(&path).map_err(refuse(line))?;
                (full_name(&self.book, place), vec![place])
            }
        };
        if says == Says::Query && note.is_none() {
            return Err(refuse(line)(Fault::new(Span::new(line.len(), line.len()), Wrong::QuestionWanted)));
        }
        if !self.who_said {
            return Err(at(Wrong::WhoWanted { who: self.who().map(str::to_owned) }));
        }
        let mut text = self.page.text.clone();
        for place in &places {
            let mark = self.mark_of(*place, says, note.clone());
            text = set_mark(&text, &mark).map_err(|_| at(Wrong::NoPlace))?;
        }
        let told = match (says, places.len()) {
            (Says::Query, _) => format!("{name} is asked about"),
            (Says::Agree, 1) => format!("{} is agreed", full_name(&self.book, places[0])),
            (Says::Agree, lines) => format!("{lines} lines and limits of {name} are agreed"),
        };
        self.keep_mark(text, format!("{} {name}", says.word()), note, told)
    }

    fn mark_of(&self, place: LinePlace, says: Says, note: Option<String>) -> Mark {
        Mark {
            line: Spanned::new(full_name(&self.book, place), Span::default()),
            says,
            note,
            who: self.who().map(str::to_owned),
            at: Some(crate::job::clock::minute()),
            seen: seen(&self.book, self.record(), place),
        }
    }

    /// The lines and limits of a sheet that are needed and that nobody has marked.
    fn unmarked(&self, s: usize) -> Vec<LinePlace> {
        let record = &self.record().sheets[s];
        let mut places: Vec<usize> = record.places.iter().chain(&record.limit_places).copied().collect();
        places.sort_unstable();
        let places = places.into_iter().map(|n| LinePlace { s, n, row: None });
        let marked = |name: &str| self.book.job.marks.iter().any(|mark| mark.line.value == name);
        places.filter(|place| !marked(&full_name(&self.book, *place))).collect()
    }
}

fn full_name(book: &Book, place: LinePlace) -> String {
    match place.row {
        None => book.uses[place.s].plain_name(place.n),
        Some(row) => book.uses[place.s].full_name(place.n, row),
    }
}

/// Returns the marks of a job with what changed of each line since.
pub(in crate::notebook) fn marks(book: &Book, record: &Record) -> Vec<MarkRecord> {
    let told = |mark: &Mark| MarkRecord {
        name: mark.line.value.clone(),
        kind: mark.says,
        note: mark.note.clone(),
        who: mark.who.clone(),
        at: mark.at.map(date::show),
        stale: match line_of(book, &mark.line.value) {
            Some(place) => {
                mark.seen.differs(&seen(book, record, place)).into_iter().map(str::to_owned).collect()
            }
            None => vec![GONE.to_owned()],
        },
    };
    book.job.marks.iter().map(told).collect()
}

/// Returns what each part of a line reads now.
fn seen(book: &Book, record: &Record, place: LinePlace) -> Seen {
    let used = &book.uses[place.s];
    let line = &used.sheet.lines[place.n];
    let rows: Vec<usize> = match place.row {
        Some(row) => vec![row],
        None => (0..used.rows_of(line)).collect(),
    };
    let short = |parts: &[String]| hash(parts.join("\n").as_bytes())[..KEPT].to_owned();
    Seen {
        line: short(&[as_declared(book, place, line)]),
        formula: short(&formulas(book, place, line, &rows)),
        value: short(&values(book, record, place, line, &rows)),
        source: short(&sources(book, place, line, &rows)),
    }
}

fn as_declared(book: &Book, place: LinePlace, line: &Line) -> String {
    let range = match &line.role {
        Role::Given { within, one_of, .. } => {
            let within = within.as_ref().map_or(String::new(), |(low, high)| format!("{low} .. {high}"));
            let sheet = &book.uses[place.s].sheet;
            let choices = one_of.as_ref().map(|choices| enter::choice_words(sheet, choices, &line.unit));
            format!("{within} {}", choices.unwrap_or_default())
        }
        Role::Take { .. } | Role::Cell { .. } | Role::Find(_) | Role::Limit { .. } => String::new(),
    };
    let limit = match &line.role {
        Role::Limit { must, remedy, .. } => format!("{must} {remedy:?}"),
        Role::Given { .. } | Role::Take { .. } | Role::Cell { .. } | Role::Find(_) => String::new(),
    };
    let when = line.when_formula.as_ref().map_or(String::new(), ToString::to_string);
    let note = line.note.as_deref().unwrap_or_default();
    let name = &line.name.value;
    format!("{name}\n{}\n{}\n{range}\n{limit}\n{when}\n{note}", line.label, line.unit.symbol())
}

fn formulas(book: &Book, place: LinePlace, line: &Line, rows: &[usize]) -> Vec<String> {
    match &line.role {
        Role::Find(branches) => branches
            .iter()
            .map(|branch| {
                let condition = branch.where_formula.as_ref().map_or(String::new(), ToString::to_string);
                format!("{} where {condition}", branch.formula)
            })
            .collect(),
        Role::Limit { formula, .. } => vec![formula.to_string()],
        Role::Given { .. } | Role::Take { .. } | Role::Cell { .. } => {
            let known = |row: &usize| book.uses[place.s].known.get(&(place.n, *row));
            rows.iter().filter_map(|row| known(row)?.link.clone()).collect()
        }
    }
}

fn values(book: &Book, record: &Record, place: LinePlace, line: &Line, rows: &[usize]) -> Vec<String> {
    if let Role::Limit { .. } = line.role {
        let sheet = &record.sheets[place.s];
        let limit = sheet.limit_places.binary_search(&place.n).map(|at| &sheet.limits[at]);
        return limit.map_or_else(
            |_| vec!["not needed".to_owned()],
            |limit| {
                let rows = limit.rows.iter().map(|row| format!("{} {}", row.name, row.verdict.word()));
                [limit.verdict.word().to_owned(), limit.shown.clone()].into_iter().chain(rows).collect()
            },
        );
    }
    let told = |row: &usize| {
        let (value, status) = book.point.at(book.slot(place.s, place.n, *row));
        let tolerance = book.uses[place.s].known.get(&(place.n, *row)).and_then(|known| known.tolerance);
        let tolerance = tolerance.map_or(String::new(), |tolerance| tolerance.show(&line.unit));
        match status.state() {
            State::Worked => format!("{} {tolerance}", words::told(book, (place.s, place.n), value)),
            State::Open(_) | State::Unworkable(..) | State::NotNeeded(_) => {
                words::reason(book, status).unwrap_or_default()
            }
        }
    };
    rows.iter().map(told).collect()
}

fn sources(book: &Book, place: LinePlace, line: &Line, rows: &[usize]) -> Vec<String> {
    let cited = |cite: crate::cite::Cite| format!("{cite} {}", cite.unverified);
    let mut made: Vec<String> = book.cite(line).map(cited).into_iter().collect();
    for row in rows {
        let Some(known) = book.uses[place.s].known.get(&(place.n, *row)) else { continue };
        let parts = [
            Some(known.origin.words().to_owned()),
            known.with.clone(),
            known.who.clone(),
            known.at.map(date::show),
            known.cite.clone().map(cited),
            known.overrides.clone(),
            known.anyway.clone(),
            known.note.clone(),
        ];
        made.push(parts.map(Option::unwrap_or_default).join("\n"));
    }
    made
}
