//! The questions of `fill`: what is asked, what it takes, what was said before.
//!
//! In: an open job, the name of what is asked. Out: text; an answer as it would be typed at the prompt.
//! Never: decides what is asked next.

use crate::notebook::record::{LineKind, LineRecord, full_name};
use crate::notebook::{Notebook, Offer};
use crate::view::{Look, indented};

/// More columns than these are asked for one by one.
const FEW_COLUMNS: usize = 5;

/// Returns how to answer, shown once.
pub fn how(look: Look) -> String {
    indented(
        "- leaves one open, back goes back, stop ends; words of the prompt and NAME = VALUE work here too: why NAME shows a line, limits where it stands",
        look,
        0,
    ) + "\n"
}

/// Returns how much is left: in the sheet of what is asked, and in all.
pub fn left(notebook: &Notebook, name: &str, look: Look) -> String {
    let sheet = name.split('.').next().unwrap_or(name);
    let all = notebook.to_ask();
    let here = all.iter().filter(|open| open.split('.').next() == Some(sheet)).count();
    indented(&format!("{sheet} \u{b7} {here} left here, {} in all", all.len()), look, 0)
}

/// Returns the question for the rows of a schedule.
pub fn rows_wanted(notebook: &Notebook, name: &str, look: Look) -> String {
    let mut out = String::new();
    let mut line = |text: String, indent: usize| out += &indented(&text, look, indent);
    let Some((_, schedule)) = notebook.record().schedule(name) else { return out };
    let so_far = match schedule.rows.len() {
        0 => "no rows yet".to_owned(),
        1 => "1 row; another, or - to go on".to_owned(),
        n => format!("{n} rows; another, or - to go on"),
    };
    line(format!("{name}: {}, {so_far}", schedule.label), 0);
    let columns = notebook.columns(name);
    if let Some((first, offer)) = columns.first() {
        line(format!("answer with its {first} ({}): the rest is asked one by one", offer.label), 2);
    }
    if columns.len() <= FEW_COLUMNS {
        let form = columns.iter().map(|(column, _)| format!("{column} = \u{2026}")).collect::<Vec<_>>();
        line(format!("or with a whole row: {}", form.join(", ")), 2);
        for (column, offer) in columns.iter().skip(1).filter(|_| schedule.rows.is_empty()) {
            let takes = takes(offer);
            let takes = if takes.is_empty() { String::new() } else { format!(", {takes}") };
            line(format!("{column}: {}{takes}", offer.label), 2);
        }
    }
    out
}

/// What a line takes, in words.
fn takes(offer: &Offer) -> String {
    let unit = if offer.unit.is_empty() { String::new() } else { format!("in {}", offer.unit) };
    let takes = match offer.choices.as_slice() {
        [] => offer.range.clone(),
        [yes, no] if yes == "yes" && no == "no" => "yes or no".to_owned(),
        choices => format!("one of {}", choices.join(", ")),
    };
    let found = [unit, takes].into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ");
    if found.is_empty() { offer.kind.to_owned() } else { found }
}

/// Whether the choices are listed by their numbers: not where they begin with digits of their own.
fn is_numbered(choices: &[String]) -> bool {
    let digit = |choice: &String| choice.starts_with(|c: char| c.is_ascii_digit());
    let flag = choices.iter().map(String::as_str).eq(["yes", "no"]);
    choices.len() > 1 && !flag && !choices.iter().any(digit)
        || choices.iter().any(|choice| choice.contains(','))
}

/// Returns the question for a line; `back` where it was asked before.
pub fn question(notebook: &Notebook, name: &str, back: bool, look: Look) -> String {
    let mut out = String::new();
    let mut line = |text: String, indent: usize| out += &indented(&text, look, indent);
    let Some(offer) = notebook.offer(name) else { return out };
    line(format!("{name}: {}", offer.label), 0);
    if is_numbered(&offer.choices) {
        for (n, choice) in offer.choices.iter().enumerate() {
            line(format!("{} {choice}", n + 1), 2);
        }
    } else {
        line(takes(&offer), 2);
    }
    let Some(found) = line_of(notebook, name) else { return out };
    if let Some(source) = &found.source {
        line(source.clone(), 2);
    }
    if found.kind == LineKind::Take {
        line("a figure, with its document: VALUE by \"document and clause\"".to_owned(), 2);
    }
    let note = found.note.clone().filter(|_| found.schedule.is_none());
    let links = notebook.links_for(name);
    if !links.is_empty() {
        line(format!("a link: type {}", links.join(" or ")), 2);
    }
    // Which of several is meant stands in the note; of one, all but its name.
    let note = if links.len() == 1 { note.map(|note| beside_link(&note)) } else { note };
    note.into_iter().filter(|note| !note.is_empty()).for_each(|note| line(note, 2));
    let value = notebook.value_of(name).filter(|value| value != "?");
    match value {
        Some(value) if notebook.is_default(name) => {
            line(format!("default {value}: type it again, or confirm, to take it"), 2);
        }
        Some(value) if back => line(format!("{value}; Enter keeps it"), 2),
        _ => {}
    }
    out
}

/// Returns what a note says beside its link.
fn beside_link(note: &str) -> String {
    let (before, link) = note.split_once("A link: ").unwrap_or((note, ""));
    let after = link.split_once(". ").map_or("", |(_, after)| after);
    format!("{before}{after}").trim().to_owned()
}

/// Returns what is asked, short: after an answer that could not be taken, or none; with its choices only if `listed`.
pub fn again(notebook: &Notebook, name: &str, listed: bool, look: Look) -> String {
    let Some(offer) = notebook.offer(name) else {
        return indented(&format!("{name}: a row; - goes on"), look, 0);
    };
    let takes = if is_numbered(&offer.choices) {
        format!("a number from 1 to {}, or the words", offer.choices.len())
    } else if !listed && offer.choices.len() > 2 {
        "one of its choices".to_owned()
    } else {
        takes(&offer)
    };
    let confirm = if notebook.is_default(name) { "confirm takes the default, " } else { "" };
    indented(&format!("{name}: {takes}; {confirm}- leaves it open"), look, 0)
}

/// Returns an answer as it is typed behind the `=`: the number of a choice becomes the choice.
pub fn answer_of(notebook: &Notebook, name: &str, typed: &str) -> String {
    let choices = notebook.offer(name).map(|offer| offer.choices).unwrap_or_default();
    if !is_numbered(&choices) {
        return typed.to_owned();
    }
    let (first, rest) = typed.split_once(' ').map_or((typed, ""), |(first, rest)| (first, rest));
    let chosen = first.parse::<usize>().ok().and_then(|n| choices.get(n.checked_sub(1)?));
    match chosen {
        Some(choice) => format!("\"{choice}\" {rest}").trim_end().to_owned(),
        // One with a comma or a word of the prompt in it is taken whole.
        None if choices.iter().any(|choice| choice == typed) => format!("\"{typed}\""),
        None => typed.to_owned(),
    }
}

/// Returns the cells of the last row of a schedule that a person has given.
pub fn cells_of_last_row(notebook: &Notebook, name: &str) -> Vec<String> {
    let Some((sheet, schedule)) = notebook.record().schedule(name) else { return Vec::new() };
    let Some(row) = schedule.rows.last() else { return Vec::new() };
    let cells = notebook.columns(name).into_iter();
    let names = cells.map(|(column, _)| full_name(&sheet.name, Some((&schedule.name, row)), &column));
    names
        .filter(|name| notebook.value_of(name).is_some_and(|value| value != "?" && value != "not needed"))
        .collect()
}

/// Returns the record of a line, or of the column that a cell stands in.
fn line_of<'n>(notebook: &'n Notebook, name: &str) -> Option<&'n LineRecord> {
    let (sheet, rest) = name.split_once('.')?;
    let last = rest.rsplit('.').next()?;
    let sheet = notebook.record().sheets.iter().find(|known| known.name == sheet)?;
    let cell = rest != last;
    sheet.lines.iter().find(|line| line.name == last && line.schedule.is_some() == cell)
}
