//! One value changed in an open book: only what it reaches is worked and told anew.
//!
//! In: a book with its record, and the new entry of a given. Out: the lines that moved, the limits that turned.
//! Never: takes a change that needs the job to be put together anew: a link, a first tolerance, a second day.

use crate::engine::Purpose;
use crate::fault::{Page, Span, Spanned};
use crate::job::Entry;
use crate::job::rewrite::NewEntry;
use crate::notebook::book::machines::SlotValue;
use crate::notebook::book::names::LinePlace;
use crate::notebook::book::words;
use crate::notebook::book::{Book, Known};
use crate::notebook::change::difference::{Change, Turned, beside_tolerance, differs, moved_of};
use crate::notebook::judge::judge;
use crate::notebook::load::assemble::Setting;
use crate::notebook::load::enter::{self, Given};
use crate::notebook::load::loader::{Loader, origin};
use crate::notebook::record::chart;
use crate::notebook::record::tell::{as_a_whole, limit_record, line_record, skipped, tell};
use crate::notebook::record::{LimitRecord, LineRecord, Origin, Record};
use crate::sheet::model::Role;
use crate::sheet::statement::Literal;

/// A value that may be set in an open book.
pub(in crate::notebook) struct Ready {
    place: LinePlace,
    setting: Setting,
    known: Known,
    entry: Entry,
}

/// Reads an entry against an open book; nothing where the job has to be put together anew.
pub(in crate::notebook) fn ready(book: &Book, place: LinePlace, new: &NewEntry) -> Option<Ready> {
    let used = &book.uses[place.s];
    let line = &used.sheet.lines[place.n];
    let known = used.known.get(&(place.n, 0));
    let given = matches!(line.role, Role::Given { .. }) && line.schedule.is_none();
    let linked = known.is_some_and(|known| known.link.is_some());
    if !given || linked || book.today.is_some() || used.without.contains_key(&place.n) {
        return None;
    }
    let entry = Entry::from(new);
    let page = Page::new("typed", "");
    let Ok(Given::Value(value, own)) = enter::read(&page, &used.sheet, line, &entry, false) else {
        return None;
    };
    enter::check_how(line, &entry).ok()?;
    let sheets: Vec<_> = book.uses.iter().map(|used| (used.name.clone(), used.sheet.clone())).collect();
    let mut loader = Loader::new(&book.job, &book.basis, &sheets);
    let tolerance = loader.tolerance(line, &entry, own, &page);
    if !loader.is_clean() {
        return None;
    }
    let spreads = tolerance.is_some_and(|tolerance| !tolerance.is_zero());
    let reached = book.spread_reach.get(book.planned(place.s, place.n)) == Some(&true);
    if spreads && !(reached && book.spread.is_some()) {
        return None;
    }
    let mut known = loader.known(origin(&entry), &entry);
    known.tolerance = tolerance;
    let setting = Setting { line: place.n, row: 0, value, tolerance };
    Some(Ready { place, setting, known, entry })
}

impl Ready {
    /// Returns the value as it will be shown.
    pub(in crate::notebook) fn shown(&self, book: &Book) -> String {
        let line = &book.uses[self.place.s].sheet.lines[self.place.n];
        let value = match &self.setting.value {
            Literal::Quantity(quantity) => words::as_entered(quantity.si(), &line.unit),
            other => enter::words_of(other, &line.unit),
        };
        let tolerance = self.setting.tolerance.filter(|one| !one.is_zero()).map(|one| one.show(&line.unit));
        beside_tolerance(&value, tolerance.as_deref())
    }

    /// Sets the value, works what it reaches, and tells that anew.
    pub(in crate::notebook) fn set(self, book: &mut Book, record: &mut Record) -> Change {
        let LinePlace { s, n, .. } = self.place;
        let name = book.uses[s].full_name(n, 0);
        let is_default = self.known.origin == Origin::Default;
        book.uses[s].known.insert((n, 0), self.known);
        let given = &mut book.job.sheets[s].given;
        let line_name = book.uses[s].sheet.lines[n].name.value.clone();
        match given.iter_mut().find(|(known, _)| known.value == line_name) {
            Some((_, entry)) => *entry = self.entry,
            None => given.push((Spanned::new(line_name, Span::default()), self.entry)),
        }
        if let Some(slot) = book.point.entry_slot(s, n) {
            let (value, tolerance) = (book.number_of(&self.setting.value), self.setting.tolerance);
            book.set(slot, SlotValue { value: Some(value), tolerance, is_default });
        }
        told_anew(book, record, (s, n), &[name])
    }
}

/// What was told before, by its place: sheets by theirs in the job, lines and limits by theirs in the record.
#[derive(Default)]
struct Before {
    lines: Vec<(usize, usize, LineRecord)>,
    limits: Vec<(usize, usize, LimitRecord)>,
}

/// Tells every line and limit that a line reaches; where one is needed now that was not, or is no more, all of it.
fn told_anew(book: &mut Book, record: &mut Record, (s, n): (usize, usize), set: &[String]) -> Change {
    let plan = std::sync::Arc::clone(book.point.plan());
    let starts = [Purpose::Entry(s, n), Purpose::Line(s, n)];
    let reach = plan.reach(starts.iter().filter_map(|purpose| plan.place.get(purpose).copied()));
    let reached =
        reach.iter().zip(&plan.lines).filter(|(reached, _)| **reached).map(|(_, line)| line.purpose);
    let mut before = Before::default();
    for purpose in reached {
        let Purpose::Line(s, n) = purpose else { continue };
        let done = match book.uses[s].sheet.lines[n].role {
            Role::Limit { .. } => before.limit(book, record, (s, n)),
            Role::Given { .. } | Role::Take { .. } | Role::Cell { .. } | Role::Find(_) => {
                before.line(book, record, (s, n))
            }
        };
        if done.is_none() {
            before.put_back(record);
            let name = record.job.clone();
            let was = std::mem::replace(record, tell(book, &name));
            return crate::notebook::change::difference::change(&was, record, set);
        }
    }
    for (s, sheet) in record.sheets.iter_mut().enumerate() {
        if chart::reached(book, s, &reach) {
            sheet.charts = chart::charts(book, s);
        }
    }
    as_a_whole(book, record);
    before.change(record, set)
}

impl Before {
    /// Tells a line anew; nothing where it is needed now and was not, or the other way round.
    fn line(&mut self, book: &mut Book, record: &mut Record, (s, n): (usize, usize)) -> Option<()> {
        match (record.sheets[s].places.binary_search(&n), skipped(book, s, n)) {
            (Ok(at), None) => {
                let sheet = std::sync::Arc::clone(&book.uses[s].sheet);
                let now = line_record(book, s, n, &sheet.lines[n]);
                self.lines.push((s, at, std::mem::replace(&mut record.sheets[s].lines[at], now)));
                Some(())
            }
            (Err(_), Some(_)) => Some(()),
            (Ok(_), Some(_)) | (Err(_), None) => None,
        }
    }

    /// Tells a limit anew, likewise.
    fn limit(&mut self, book: &mut Book, record: &mut Record, (s, n): (usize, usize)) -> Option<()> {
        let outcome = judge(book, s, n);
        let told = limit_record(book, s, outcome);
        match (record.sheets[s].limit_places.binary_search(&n), told) {
            (Ok(at), Ok(now)) => {
                self.limits.push((s, at, std::mem::replace(&mut record.sheets[s].limits[at], now)));
                Some(())
            }
            (Err(_), Err(_)) => Some(()),
            (Ok(_), Err(_)) | (Err(_), Ok(_)) => None,
        }
    }

    fn put_back(self, record: &mut Record) {
        for (s, at, line) in self.lines {
            record.sheets[s].lines[at] = line;
        }
        for (s, at, limit) in self.limits {
            record.sheets[s].limits[at] = limit;
        }
    }

    /// What differs, in the order of the sheets; what was set first.
    fn change(mut self, record: &Record, set: &[String]) -> Change {
        self.lines.sort_by_key(|(s, at, _)| (*s, *at));
        self.limits.sort_by_key(|(s, at, _)| (*s, *at));
        let of_line = |(s, at, was): &(usize, usize, LineRecord)| {
            moved_of(&record.sheets[*s], was, &record.sheets[*s].lines[*at], set)
        };
        let mut moved: Vec<_> = self.lines.iter().flat_map(of_line).collect();
        moved.sort_by_key(|one| !one.set);
        let of_limit = |of: fn(&LimitRecord, &LimitRecord) -> bool| {
            let one = |(s, at, was): &(usize, usize, LimitRecord)| {
                let (sheet, limit) = (&record.sheets[*s], &record.sheets[*s].limits[*at]);
                of(was, limit).then(|| Turned { sheet: sheet.name.clone(), limit: limit.clone() })
            };
            self.limits.iter().filter_map(one).collect::<Vec<_>>()
        };
        let turned = of_limit(|was, now| was.verdict != now.verdict);
        Change { moved, turned, touched: of_limit(differs), ..Change::default() }
    }
}
