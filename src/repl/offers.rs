//! What may stand at the cursor: names, words, units, choices; and a hint of what a line takes.
//!
//! In: an open job, a line as typed so far, the cursor. Out: where the word begins and what it may become.
//! Never: changes the line; offers what would be refused where it stands.

use super::command::{WORDS, Word, equals};
use crate::notebook::{Fits, Notebook, cell_end};

/// Returns where the word at the cursor begins, and what it may become.
pub fn complete(notebook: &Notebook, line: &str, at: usize) -> (usize, Vec<String>) {
    let before = line.get(..at).unwrap_or(line);
    let start = before.len() - before.trim_start().len();
    let (first, after) = first_word(before, start);
    let Some(after) = after else {
        // Nothing but the first word is there yet.
        let words = WORDS.iter().map(|entry| entry.name.to_owned());
        let names = names(notebook, Fits::All, first);
        return (start, matching(words.chain(names), first));
    };
    let change = before[after..].starts_with('=');
    let word = WORDS.iter().find(|entry| entry.name == first && !change).map(|entry| entry.word);
    match word {
        Some(Word::Add) => new_row(notebook, before, after),
        Some(Word::Drop) => in_name(notebook, Fits::Row, before, after),
        Some(Word::Confirm) => confirmed(notebook, before, after),
        Some(Word::Why | Word::Room | Word::Agree | Word::Query) => {
            in_name(notebook, Fits::All, before, after)
        }
        Some(Word::Try) => match equals(&before[after..]).is_some() {
            true => set(notebook, before, after),
            false => in_name(notebook, Fits::Given, before, after),
        },
        Some(
            Word::Limits
            | Word::Waiting
            | Word::Assumed
            | Word::Fill
            | Word::Undo
            | Word::Redo
            | Word::Log
            | Word::Cautions
            | Word::Help
            | Word::Report
            | Word::Quit,
        ) => (at, Vec::new()),
        None if equals(before).is_some() => set(notebook, before, start),
        None => in_formula(notebook, before, start),
    }
}

/// Returns the first word, and where what follows it begins; nothing while it is being typed.
fn first_word(before: &str, start: usize) -> (&str, Option<usize>) {
    let end = word_end(&before[start..]).map(|end| start + end);
    let Some(end) = end else { return (&before[start..], None) };
    (&before[start..end], Some(before.len() - before[end..].trim_start().len()))
}

/// A blank, or the sign of a change or a formula, ends a word; one in quotes is part of it.
fn word_end(text: &str) -> Option<usize> {
    let mut quoted = false;
    let ends = |(_, c): &(usize, char)| {
        quoted ^= *c == '"';
        !quoted && (c.is_whitespace() || "=+-*/()<>,\u{b1}^".contains(*c))
    };
    text.char_indices().find(ends).map(|(at, _)| at)
}

/// Returns where the last word begins.
fn word_start(text: &str) -> usize {
    let mut start = 0;
    while let Some(end) = word_end(&text[start..]) {
        start += end + text[start + end..].chars().next().map_or(1, char::len_utf8);
    }
    start
}

/// A name, and nothing behind it.
fn in_name(notebook: &Notebook, fits: Fits, before: &str, from: usize) -> (usize, Vec<String>) {
    let word = &before[from..];
    if word_end(word).is_some() {
        return (before.len(), Vec::new());
    }
    (from, names(notebook, fits, word))
}

/// The name of a default, and what may be said of its value.
fn confirmed(notebook: &Notebook, before: &str, from: usize) -> (usize, Vec<String>) {
    match word_end(&before[from..]) {
        None => in_name(notebook, Fits::Default, before, from),
        Some(end) => {
            let name = &before[from..from + end];
            let start = from + end + word_start(&before[from + end..]);
            let value = format!("? {}", before[from + end..start].trim());
            (start, matching(notebook.behind(name, value.trim()).into_iter(), &before[start..]))
        }
    }
}

/// The name of a schedule, then its columns and their values.
fn new_row(notebook: &Notebook, before: &str, from: usize) -> (usize, Vec<String>) {
    let Some(end) = word_end(&before[from..]) else { return in_name(notebook, Fits::Schedule, before, from) };
    let (schedule, cells) = (&before[from..from + end], from + end);
    let cell = cells + last_cell(&before[cells..]);
    let cell = before.len() - before[cell..].trim_start().len();
    let Some(at) = equals(&before[cell..]) else {
        let used = |column: &String| before[cells..cell].split([',', ' ', '=']).any(|word| word == column);
        let columns = notebook.columns(schedule).into_iter().map(|(column, _)| column);
        let columns = columns.filter(|column| !used(column)).map(|column| format!("{column} = "));
        return (cell, matching(columns, &before[cell..]));
    };
    let name = format!("{schedule}.{}", before[cell..cell + at].trim());
    let value = before.len() - before[cell + at + 1..].trim_start().len();
    in_value(notebook, &name, before, value)
}

/// Returns where the last cell of a row begins.
fn last_cell(cells: &str) -> usize {
    let (mut start, mut end) = (0, cell_end(cells, 0));
    while end < cells.len() {
        start = end + 1;
        end = cell_end(cells, start);
    }
    start
}

/// `NAME = VALUE`, from a byte on.
fn set(notebook: &Notebook, before: &str, from: usize) -> (usize, Vec<String>) {
    let Some((name, value)) = value_part(before, from) else { return (before.len(), Vec::new()) };
    in_value(notebook, name, before, value)
}

/// Splits at the `=` of a change: the name, and where the value begins.
fn value_part(before: &str, from: usize) -> Option<(&str, usize)> {
    let at = from + equals(&before[from..])?;
    Some((before[from..at].trim(), before.len() - before[at + 1..].trim_start().len()))
}

/// Returns what may stand in the value of a line, or behind it.
pub fn in_value(notebook: &Notebook, name: &str, before: &str, value: usize) -> (usize, Vec<String>) {
    let typed = &before[value..];
    let quoted = typed.matches('"').count() % 2 == 1;
    let Some(offer) = notebook.offer(name).filter(|_| !quoted) else { return (before.len(), Vec::new()) };
    if let Some(with) = open_instrument(notebook, typed) {
        return (value + with, matching(notebook.instruments().into_iter(), &typed[with..]));
    }
    // A choice may have blanks in it: all that is typed of the value is compared.
    let choices = matching(offer.choices.iter().cloned(), typed);
    if !choices.is_empty() && !offer.choices.iter().any(|choice| *choice == typed.trim_end()) {
        return (value, choices);
    }
    let start = value + word_start(typed);
    let (head, word) = (before[value..start].trim_end(), &before[start..]);
    if head.is_empty() || head.ends_with(['=', '+', '-', '*', '/', '(', ',']) {
        let link =
            !word.is_empty() && offer.choices.is_empty() && !word.starts_with(|c: char| c.is_ascii_digit());
        return (start, if link { names(notebook, Fits::All, word) } else { Vec::new() });
    }
    let number = head.rsplit([' ', '\u{b1}']).next().is_some_and(|last| last.parse::<f64>().is_ok());
    let units = if number { notebook.units_for(name) } else { Vec::new() };
    let own = units.iter().filter(|unit| !word.is_empty() || **unit == offer.unit).cloned();
    let mut found = matching(own, word);
    found.extend(matching(notebook.behind(name, head).into_iter(), word));
    (start, found)
}

/// Returns where the name of an instrument begins that is not whole yet.
fn open_instrument(notebook: &Notebook, typed: &str) -> Option<usize> {
    let at = typed.rfind("with ").filter(|at| *at == 0 || typed[..*at].ends_with(' '))? + "with ".len();
    let whole = notebook.instruments().iter().any(|known| {
        typed[at..].strip_prefix(known.as_str()).is_some_and(|rest| rest.starts_with(char::is_whitespace))
    });
    (!whole).then_some(at)
}

/// A formula to be worked: names where a value is due, units behind a number or `in`.
fn in_formula(notebook: &Notebook, before: &str, from: usize) -> (usize, Vec<String>) {
    let start = from + word_start(&before[from..]);
    let (head, word) = (before[from..start].trim_end(), &before[start..]);
    let last = head.rsplit(|c: char| c.is_whitespace() || c == '(').next().unwrap_or_default();
    if last == "in" {
        let formula = head[..head.len() - "in".len()].trim();
        return (start, matching(notebook.units_of_formula(formula).into_iter(), word));
    }
    if last.parse::<f64>().is_ok() {
        let units = if word.is_empty() { Vec::new() } else { notebook.units() };
        return (start, matching(units.into_iter().chain(["in ".to_owned()]), word));
    }
    if head.ends_with(['+', '-', '*', '/', '(', ',', '<', '>', '=', '^'])
        || ["and", "or", "not"].contains(&last)
    {
        return (start, names(notebook, Fits::All, word));
    }
    (start, matching(["in ".to_owned(), "and ".to_owned(), "or ".to_owned()].into_iter(), word))
}

/// Returns the names that fit a place and begin with a word; rows by their names where a quote is typed.
fn names(notebook: &Notebook, fits: Fits, word: &str) -> Vec<String> {
    let quoted = if word.contains('"') { notebook.names() } else { Vec::new() };
    let sheets = &notebook.record().sheets;
    // Where nothing is typed yet, each is named once: in full.
    let full = |name: &str| {
        sheets.iter().any(|sheet| name.split_once('.').is_some_and(|(lead, _)| lead == sheet.name))
    };
    let known = notebook.names_for(fits).into_iter().chain(quoted);
    staged(known.filter(|name| name.starts_with(word) && (!word.is_empty() || full(name))).collect(), word)
}

/// So many names are read at one glance.
const FEW: usize = 12;

/// Returns names that begin with a word; of many, each up to its next dot.
fn staged(fitting: Vec<String>, word: &str) -> Vec<String> {
    let cut = |name: &String, from: usize| {
        let dot = name.get(from..).and_then(|rest| rest.find('.')).map_or(name.len(), |dot| from + dot + 1);
        name[..dot].to_owned()
    };
    let whole = matching(fitting.iter().cloned(), word);
    if whole.len() <= FEW {
        return whole;
    }
    let mut from = word.len();
    loop {
        let found = matching(fitting.iter().map(|name| cut(name, from)), word);
        match found.as_slice() {
            // One way on is gone at once.
            [only] if only.ends_with('.') => from = only.len(),
            _ => return found,
        }
    }
}

fn matching(all: impl Iterator<Item = String>, word: &str) -> Vec<String> {
    let mut found: Vec<String> = all.filter(|one| one.starts_with(word) && one != word).collect();
    found.sort();
    found.dedup();
    found
}

/// Returns what a line takes, to be shown behind the cursor while its value is typed, within some columns.
pub fn hint(notebook: &Notebook, line: &str, room: usize) -> Option<String> {
    let line = line.strip_prefix("try ").unwrap_or(line);
    if let Some(cells) = line.strip_prefix("add ") {
        let (schedule, cells) = cells.split_once(' ')?;
        let cell = &cells[last_cell(cells)..];
        let (name, value) = value_part(cell, 0)?;
        return hint_of(notebook, &format!("{schedule}.{name}"), &cell[value..], room);
    }
    let (name, value) = value_part(line, 0)?;
    hint_of(notebook, name, &line[value..], room)
}

/// The unit of a bare number, then what the line takes, as much of it as there is room for.
pub fn hint_of(notebook: &Notebook, name: &str, value: &str, room: usize) -> Option<String> {
    let offer = notebook.offer(name)?;
    if !value.is_empty() && notebook.is_said(name, value) {
        return None;
    }
    let bare = value.trim().parse::<f64>().is_ok() && !value.ends_with(' ') && !offer.unit.is_empty();
    let unit = if bare { format!(" {}", offer.unit) } else { String::new() };
    let lead = if bare || offer.unit.is_empty() { String::new() } else { format!("in {}", offer.unit) };
    let choices = offer.choices.join(", ");
    let fits = |takes: &String| takes.chars().count() + 2 <= room;
    let choices = Some(choices)
        .filter(fits)
        .unwrap_or_else(|| format!("{} choices, Tab lists them", offer.choices.len()));
    let takes = if offer.choices.is_empty() { offer.range } else { choices };
    let takes = [lead, takes].into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ");
    let short = if takes.is_empty() { unit.clone() } else { format!("{unit}  {takes}") };
    let whole = if takes.is_empty() {
        format!("{unit}  {}", offer.label)
    } else {
        format!("{short}: {}", offer.label)
    };
    let cut = || {
        let left = room.checked_sub(short.chars().count() + LEAST_OF_LABEL)?;
        let kept: String = offer.label.chars().take(left + LEAST_OF_LABEL - 3).collect();
        Some(format!("{short}: {}\u{2026}", kept.trim_end())).filter(|_| !takes.is_empty())
    };
    let fits = |hint: &String| hint.chars().count() <= room;
    let found = Some(whole).filter(fits).or_else(|| cut().filter(fits));
    found
        .or_else(|| Some(short).filter(fits))
        .or_else(|| Some(unit).filter(fits))
        .filter(|hint| !hint.is_empty())
}

/// A label of fewer characters tells nothing.
const LEAST_OF_LABEL: usize = 12;
