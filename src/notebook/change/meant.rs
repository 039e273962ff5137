//! What was typed, as the line that it is for takes it: `y` for yes, the beginning of a choice, `today`.
//!
//! In: a value as typed, and its line. Out: the text that a job keeps, and how it is known.
//! Never: guesses between two choices; turns a text in quotes into anything else.

use crate::fault::{Fault, near};
use crate::job::{How, Raw, clock};
use crate::notebook::Wrong;
use crate::notebook::book::names::LinePlace;
use crate::notebook::change::typed::Typed;
use crate::notebook::load::enter;
use crate::notebook::open::Notebook;
use crate::sheet::model::{Is, Line, Role};
use crate::unit::{Unit, date};

impl Notebook {
    /// Returns the value that was meant.
    ///
    /// # Errors
    /// A date that can be read in no way.
    pub(in crate::notebook) fn meant(&self, place: LinePlace, typed: &Typed) -> Result<String, Fault> {
        let used = &self.book.uses[place.s];
        let line = &used.sheet.lines[place.n];
        let text = typed.value.value.as_str();
        let own = || text.to_owned();
        if typed.quoted || text == "?" {
            return Ok(own());
        }
        let choices = match &line.role {
            Role::Given { one_of: Some(choices), .. } => enter::choice_list(&used.sheet, choices),
            _ => Vec::new(),
        };
        let choices: Vec<String> = choices.iter().map(|choice| enter::words_of(choice, &line.unit)).collect();
        Ok(match line.is {
            Is::Flag => yes_or_no(text).map_or_else(own, str::to_owned),
            Is::Date => the_date(text).ok_or_else(|| {
                let (found, today) = (own(), date::show(date::day(clock::now())));
                Fault::new(typed.value.at, Wrong::DateWanted { found, today })
            })?,
            Is::Text if !choices.is_empty() => begun(&choices, text).map_or_else(own, str::to_owned),
            Is::Text => match self.line_in_full(text) {
                Some(Is::Text) => format!("= {text}"),
                Some(_) => return Err(Fault::new(typed.value.at, Wrong::LinkNoText { found: own() })),
                None if ["y", "n"].contains(&text.to_lowercase().as_str()) => {
                    return Err(Fault::new(typed.value.at, Wrong::NoText { found: own() }));
                }
                None => match self.near_link(text) {
                    Some(near) => {
                        let wrong = Wrong::LinkMistyped { found: own(), near };
                        return Err(Fault::new(typed.value.at, wrong));
                    }
                    None => own(),
                },
            },
            Is::Quantity(_) | Is::Point | Is::Unknown => own(),
        })
    }

    /// Returns the kind of the line outside schedules whose full name a text is: it links.
    fn line_in_full(&self, text: &str) -> Option<Is> {
        let (sheet, name) = text.split_once('.')?;
        let used = self.book.uses.iter().find(|used| used.name == sheet)?;
        let line = &used.sheet.lines[used.sheet.known_line(name)?];
        (!matches!(line.role, Role::Limit { .. })).then_some(line.is)
    }

    /// Returns the full name of a line that a text of two names with a point between was probably meant to be.
    fn near_link(&self, text: &str) -> Option<String> {
        let (sheet, name) = text.split_once('.')?;
        if !crate::job::is_name(sheet) || !crate::job::is_name(name) {
            return None;
        }
        let all = self.book.uses.iter().flat_map(|used| {
            let plain = |n: &usize| used.sheet.lines[*n].schedule.is_none();
            (0..used.sheet.lines.len()).filter(plain).map(|n| used.plain_name(n))
        });
        let lines: Vec<String> = all.filter(|line| self.line_in_full(line).is_some()).collect();
        near(text, lines.iter().map(String::as_str)).map(str::to_owned)
    }

    /// Returns how a value is known that nobody said more of: what is no number is stated by who types it.
    pub(in crate::notebook) fn how_typed(&self, place: LinePlace, typed: &Typed, value: &Raw) -> Option<How> {
        let line = &self.book.uses[place.s].sheet.lines[place.n];
        let is_value = match value {
            Raw::Text(text) => text != "?" && !text.starts_with('='),
            Raw::Number(_) | Raw::Flag(_) | Raw::Date(_) => true,
        };
        let stated = is_value && typed.with.is_none() && is_stated(line);
        typed.how.or(stated.then_some(How::Stated))
    }
}

/// What is no number is known by someone's word.
fn is_stated(line: &Line) -> bool {
    matches!(line.role, Role::Given { .. }) && matches!(line.is, Is::Flag | Is::Text | Is::Date)
}

/// Returns the answer to a question that takes yes or no.
fn yes_or_no(text: &str) -> Option<&'static str> {
    let is = |words: [&str; 2]| words.iter().any(|word| text.eq_ignore_ascii_case(word));
    if is(["y", "yes"]) {
        return Some("yes");
    }
    is(["n", "no"]).then_some("no")
}

/// Returns the one choice that begins with a text; where several do, the one of which it is a whole word.
pub(in crate::notebook) fn begun<'c>(choices: &'c [String], text: &str) -> Option<&'c str> {
    let lower = text.to_lowercase();
    if let Some(whole) = choices.iter().find(|choice| choice.to_lowercase() == lower) {
        return Some(whole);
    }
    let begins: Vec<&String> =
        choices.iter().filter(|choice| choice.to_lowercase().starts_with(&lower)).collect();
    let word = |choice: &&&String| choice[..].get(text.len()..).is_some_and(|rest| rest.starts_with(' '));
    let whole: Vec<&&String> = begins.iter().filter(word).collect();
    // All of it but its unit.
    let unit = |choice: &&&&String| {
        choice[..].get(text.len()..).is_some_and(|rest| Unit::read(rest.trim_start()).is_ok())
    };
    if let Some(only) = whole.iter().find(unit) {
        return Some(only);
    }
    // A number is not the beginning of another one.
    let number = text.parse::<f64>().is_ok();
    match (begins.as_slice(), whole.as_slice()) {
        (_, [only]) => Some(only),
        ([only], []) if !number => Some(only),
        _ => None,
    }
}

/// Returns a date as a job keeps it: `today`, `now`, a blank for the `T` before the time.
fn the_date(text: &str) -> Option<String> {
    let now = clock::minute();
    match text {
        "today" => return Some(date::show(date::day(now))),
        "now" => return Some(date::show(now)),
        _ => {}
    }
    let joined = text.split_whitespace().collect::<Vec<_>>().join("T");
    let own = [joined.as_str(), text].into_iter().find(|text| date::read(text).is_ok());
    // A day that does not exist, or a link, is told or read further on.
    let other = || date::extent(text).is_some() || enter::links(text) || text.starts_with('=');
    own.map(str::to_owned).or_else(|| other().then(|| text.to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_choice_is_known_by_its_beginning_where_one_begins_so() {
        let choices = ["one, kept", "one, replaced", "two"].map(str::to_owned);
        assert_eq!(begun(&choices, "t"), Some("two"));
        assert_eq!(begun(&choices, "one, r"), Some("one, replaced"));
        assert_eq!(begun(&choices, "one"), None);
        let sizes = ["1 mm2", "1.5 mm2", "2.5 mm2", "25 mm2"].map(str::to_owned);
        assert_eq!(begun(&sizes, "2.5"), Some("2.5 mm2"));
        assert_eq!(begun(&sizes, "1"), Some("1 mm2"));
        assert_eq!(begun(&sizes, "2"), None, "neither 2.5 nor 25");
        let sizes = ["1.5 mm2", "1.5 mm2 flexible"].map(str::to_owned);
        assert_eq!(begun(&sizes, "1.5"), Some("1.5 mm2"), "whole but for its unit");
    }

    #[test]
    fn a_date_is_taken_as_people_type_it() {
        assert_eq!(the_date("2026-11-26 17:30").as_deref(), Some("2026-11-26T17:30"));
        assert_eq!(the_date("2026-11-26").as_deref(), Some("2026-11-26"));
        assert_eq!(the_date("tomorrow"), None);
        assert!(the_date("today").is_some_and(|today| today.len() == 10));
    }
}
