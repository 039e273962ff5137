//! What may be typed next: names, the values that a line takes, units, the words behind a value.
//!
//! In: an open job, and what was typed so far. Out: what may follow.
//! Never: sets anything; offers what would be refused where it stands.

use crate::fault::{Span, Spanned};
use crate::job::{How, Rows};
use crate::notebook::book::names::{LinePlace, Named, named};
use crate::notebook::change::typed::Typed;
use crate::notebook::load::enter;
use crate::notebook::open::Notebook;
use crate::sheet::model::{Is, Line, Role};
use crate::sheet::scan::Scan;
use crate::unit::{Dimension, Unit, symbols};

/// What a line takes.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    /// Its label.
    pub label: String,
    /// Its unit; empty where it has none.
    pub unit: String,
    /// Its plausible range, in words; may be empty.
    pub range: String,
    /// What may be chosen, as it is typed.
    pub choices: Vec<String>,
    /// What kind of value it is, in words.
    pub kind: &'static str,
}

/// Which names fit a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fits {
    /// Sheets, lines, schedules, rows.
    All,
    /// What a value can be set for.
    Given,
    /// Defaults that nobody has confirmed.
    Default,
    /// Schedules that take a row.
    Schedule,
    /// Rows that may be dropped.
    Row,
}

impl Notebook {
    /// Returns what a line takes, if a text is the name of one that a person gives.
    pub fn offer(&self, name: &str) -> Option<Offer> {
        let place = self.place(name)?;
        let sheet = &self.book.uses[place.s].sheet;
        let line = &sheet.lines[place.n];
        let (within, one_of) = match &line.role {
            Role::Given { within, one_of, .. } => (within.as_ref(), one_of.as_ref()),
            Role::Take { .. } => (None, None),
            Role::Cell { .. } | Role::Find(_) | Role::Limit { .. } => return None,
        };
        let choices = match (line.is, one_of) {
            (Is::Flag, _) => vec!["yes".to_owned(), "no".to_owned()],
            (_, Some(choices)) => {
                let all = enter::choice_list(sheet, choices);
                all.iter().map(|choice| enter::words_of(choice, &line.unit)).collect()
            }
            (_, None) => Vec::new(),
        };
        Some(Offer {
            label: line.label.clone(),
            unit: line.unit.symbol().to_owned(),
            range: within.map_or(String::new(), |(low, high)| format!("{low} .. {high}")),
            choices,
            kind: kind(line.is),
        })
    }

    /// Returns whether a text names anything of the job.
    pub fn knows(&self, name: &str) -> bool {
        self.named_whole(name).is_some()
    }

    /// Returns whether a text, or its first part, is a name that the job has, perhaps in several sheets.
    pub fn has_name(&self, text: &str) -> bool {
        let first = text.split('.').next().unwrap_or_default();
        self.book.uses.iter().any(|used| {
            let sheet = &used.sheet;
            used.name == first
                || used.sheet_name == first
                || sheet.known_schedule(first).is_some()
                || sheet.lines.iter().any(|line| line.name.value == first)
        })
    }

    /// Returns the columns of a schedule that are entered, with what each takes.
    pub fn columns(&self, schedule: &str) -> Vec<(String, Offer)> {
        let Some(Named::Schedule(s, n)) = self.named_whole(schedule) else { return Vec::new() };
        let used = &self.book.uses[s];
        let columns = used.sheet.schedules[n].columns.iter().copied();
        let given = columns.filter(|line| is_given(&used.sheet.lines[*line]));
        given
            .filter_map(|line| {
                Some((used.sheet.lines[line].name.value.clone(), self.offer(&used.plain_name(line))?))
            })
            .collect()
    }

    /// Returns the names that fit a place: in full, without their sheet, and rows by their numbers.
    pub fn names_for(&self, fits: Fits) -> Vec<String> {
        match fits {
            Fits::Default => self.record().rests_on.unconfirmed.clone(),
            Fits::All | Fits::Given => self.lines(fits),
            Fits::Schedule | Fits::Row => self.schedules(fits),
        }
    }

    fn lines(&self, fits: Fits) -> Vec<String> {
        let mut names = Vec::new();
        let all = fits == Fits::All;
        for used in &self.book.uses {
            let mut both = |name: String| names.extend([format!("{}.{name}", used.name), name]);
            for line in used.sheet.lines.iter().filter(|line| all || line.role.is_entered()) {
                let name = &line.name.value;
                let Some(schedule) = line.schedule else {
                    both(name.clone());
                    continue;
                };
                let schedule = &used.sheet.schedules[schedule].name.value;
                (1..=used.rows_of(line)).for_each(|row| both(format!("{schedule}.{row}.{name}")));
                if all {
                    both(format!("{schedule}.{name}"));
                }
            }
            if all {
                used.sheet.schedules.iter().for_each(|schedule| both(schedule.name.value.clone()));
                names.push(used.name.clone());
            }
        }
        names
    }

    /// Returns the schedules that take a row, by their full names.
    pub(in crate::notebook) fn schedules_in_full(&self) -> Vec<String> {
        self.schedules(Fits::Schedule).into_iter().filter(|name| name.contains('.')).collect()
    }

    fn schedules(&self, fits: Fits) -> Vec<String> {
        let mut names = Vec::new();
        for (s, used) in self.book.uses.iter().enumerate() {
            for (n, schedule) in used.sheet.schedules.iter().enumerate() {
                let name = &schedule.name.value;
                let written =
                    self.book.job.sheets[s].schedules.iter().find(|(known, _)| known.value == *name);
                if schedule.from.is_some() || matches!(written, Some((_, Rows::Linked(_)))) {
                    continue;
                }
                let full = format!("{}.{name}", used.name);
                if fits == Fits::Schedule {
                    names.extend([full, name.clone()]);
                } else {
                    for row in 1..=used.row_names[n].len() {
                        names.extend([format!("{full}.{row}"), format!("{name}.{row}")]);
                    }
                }
            }
        }
        names
    }

    /// Returns the words that may follow what was typed so far of a line's value; none where it is none yet.
    pub fn behind(&self, name: &str, value: &str) -> Vec<String> {
        let line = format!("{name} = {value}");
        let Some(place) = self.place(name) else { return Vec::new() };
        let Ok(typed) = Typed::read(&line, 0, &self.instruments()) else { return Vec::new() };
        let found = &self.book.uses[place.s].sheet.lines[place.n];
        let text = typed.value.value.trim();
        let number = matches!(found.is, Is::Quantity(_) | Is::Point | Is::Unknown);
        if text.ends_with(['\u{b1}', '+', '-', '*', '/', '(', ',', '=', '<', '>']) || enter::links(text) {
            return Vec::new();
        }
        let figure = matches!(found.role, Role::Take { .. });
        let mut words: Vec<String> = Vec::new();
        if typed.how.is_none() && !figure {
            let fits = |how: &How| *how != How::Linked && !(number && *how == How::Stated);
            words.extend(How::ALL.iter().filter(|how| fits(how)).map(|how| how.word().to_owned()));
        }
        let measured = typed.how.is_none() || typed.how == Some(How::Measured);
        if typed.with.is_none() && number && measured && !figure && !self.instruments().is_empty() {
            words.push("with ".to_owned());
        }
        let ranged = matches!(&found.role, Role::Given { within: Some(_), .. });
        if typed.anyway.is_none() && ranged {
            words.push("anyway \"".to_owned());
        }
        if typed.by.is_none() && figure {
            words.push("by \"".to_owned());
        }
        words
    }

    /// Returns whether a value is followed by words that say more of it.
    pub fn is_said(&self, name: &str, value: &str) -> bool {
        let typed = Typed::read(&format!("{name} = {value}"), 0, &self.instruments());
        typed.is_ok_and(|typed| {
            typed.how.is_some() || typed.with.is_some() || typed.anyway.is_some() || typed.by.is_some()
        })
    }

    /// Returns all units.
    pub fn units(&self) -> Vec<String> {
        symbols().map(str::to_owned).collect()
    }

    /// Returns the units that a line may be typed in, its own first.
    pub fn units_for(&self, name: &str) -> Vec<String> {
        let Some(place) = self.place(name) else { return Vec::new() };
        let line = &self.book.uses[place.s].sheet.lines[place.n];
        match line.is {
            Is::Quantity(dimension) if !line.unit.is_plain() => units_of(dimension),
            Is::Point => vec!["degC".to_owned(), "degF".to_owned()],
            Is::Quantity(_) | Is::Flag | Is::Date | Is::Text | Is::Unknown => Vec::new(),
        }
    }

    /// Returns the units that a formula may be shown in.
    pub fn units_of_formula(&self, formula: &str) -> Vec<String> {
        match self.kind_of(formula) {
            Some(Is::Quantity(dimension)) => units_of(dimension),
            Some(Is::Point) => vec!["degC".to_owned(), "degF".to_owned()],
            Some(Is::Flag | Is::Date | Is::Text | Is::Unknown) | None => Vec::new(),
        }
    }

    /// Returns the line that a whole text names.
    pub(in crate::notebook) fn place(&self, name: &str) -> Option<LinePlace> {
        match self.named_whole(name)? {
            Named::Line(place) => Some(place),
            Named::Sheet(_) | Named::Schedule(..) | Named::Row(..) | Named::Chart(..) => None,
        }
    }

    fn named_whole(&self, name: &str) -> Option<Named> {
        let mut scan = Scan::new(name, Span::new(0, name.len()));
        let (path, at) = scan.expect_path("a name").ok().filter(|_| scan.is_done())?;
        named(&self.book, self.first, &Spanned::new(path, at)).ok()
    }
}

fn is_given(line: &Line) -> bool {
    matches!(line.role, Role::Given { .. })
}

fn units_of(dimension: Dimension) -> Vec<String> {
    let fits = |symbol: &&str| {
        Unit::read(symbol)
            .is_ok_and(|unit| unit.dimension() == dimension && !unit.is_point() && !unit.is_plain())
    };
    symbols().filter(fits).map(str::to_owned).collect()
}

/// Returns what is typed for a line of a kind.
const fn kind(is: Is) -> &'static str {
    match is {
        Is::Text => "in words",
        Is::Date => "a date: today, now, 2026-11-25 or 2026-11-25 10:40",
        Is::Flag => "yes or no",
        Is::Quantity(_) | Is::Point | Is::Unknown => "a number",
    }
}
