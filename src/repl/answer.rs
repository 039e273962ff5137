//! One line of the prompt answered: each word, each change, each name.
//!
//! In: an open job, a line. Out: the text of its answer, or what is wrong with it.
//! Never: calculates; knows whether a question is on its way.

use super::command::{self, Command, Word, near_word};
use super::help::help;
use crate::fault::{Fault, Refused, Span};
use crate::notebook::library::Found;
use crate::notebook::record::MarkKind;
use crate::notebook::{self, Notebook, Wrong};
use crate::view::report::{ENDINGS, Form};
use crate::view::{self, Look, answers, text};

/// What a line was answered with.
#[derive(Debug, PartialEq)]
pub enum Answer {
    /// A text.
    Text(String),
    /// The list of what is open is to be asked for, one by one.
    Fill,
    /// The prompt is left.
    Quit,
}

/// Answers one line.
///
/// # Errors
/// What is wrong with the line, or with the job that it would leave.
pub fn answer(notebook: &mut Notebook, line: &str, look: Look) -> Found<Answer> {
    let read = command::read(line).map_err(|fault| Refused::typed(line, vec![fault]))?;
    let text = match read {
        Command::Nothing => String::new(),
        Command::Set(from) => text::change(&notebook.set(line, from)?, look),
        Command::Show(from) => show(notebook, line, from, look)?,
        Command::Formula(from) => format!("{}\n", scratch(notebook, line, from)?),
        Command::Word(Word::Why, from) => {
            let (end, depth) = depth(line, from);
            why(notebook, &line[..end], from, depth, look)?
        }
        Command::Word(Word::Limits, _) => text::check(notebook.record(), look),
        Command::Word(Word::Waiting, _) => answers::waiting(notebook.record(), look),
        Command::Word(Word::Assumed, _) => answers::assumed(notebook.record(), look),
        Command::Word(Word::Confirm, from) => text::change(&notebook.confirm(line, from)?, look),
        Command::Word(Word::Add, from) => text::change(&notebook.add(line, from)?, look),
        Command::Word(Word::Drop, from) => text::change(&notebook.drop_row(line, from)?, look),
        Command::Word(Word::Try, from) => {
            text::change(&notebook.try_set(line, from)?, look) + "nothing is kept: this was tried\n"
        }
        Command::Word(Word::Agree, from) => text::change(&notebook.mark(line, from, MarkKind::Agree)?, look),
        Command::Word(Word::Query, from) => text::change(&notebook.mark(line, from, MarkKind::Query)?, look),
        Command::Word(Word::Room, from) => answers::room(&notebook.room(line, from)?, look),
        Command::Word(Word::Undo, from) => text::change(&undo(notebook, line, from)?, look),
        Command::Word(Word::Redo, _) => {
            text::change(&notebook.redo().map_err(|refused| under_word(line, refused))?, look)
        }
        Command::Word(Word::Log, _) => answers::log(&notebook.log(), look),
        Command::Word(Word::Cautions, _) => text::cautions(notebook.record(), look),
        Command::Word(Word::Report, from) => report(notebook, line, from)?,
        Command::Word(Word::Help, _) => help(look),
        Command::Word(Word::Fill, _) => return Ok(Answer::Fill),
        Command::Word(Word::Quit, _) => return Ok(Answer::Quit),
    };
    Ok(Answer::Text(text))
}

/// Writes a report of the job as it stands.
fn report(notebook: &mut Notebook, line: &str, from: usize) -> Found<String> {
    let file = line[from..].trim();
    let refuse = |wrong: Wrong| {
        let fault = Fault::new(Span::new(from, from + file.len()), wrong);
        Refused::typed(line, vec![fault])
    };
    let path = std::path::Path::new(file);
    let form = path.extension().and_then(|ending| Form::of_ending(ending.to_str()?));
    let form = form.ok_or_else(|| {
        refuse(Wrong::NoReport { why: "no such form of a report".to_owned(), cure: ENDINGS })
    })?;
    let made = view::report::report(&notebook.report(), form);
    notebook::report::write(path, &made, form.opening(), false).map_err(refuse)?;
    Ok(format!("{} is written: {}\n", view::plain(file), notebook.record().verdict.word()))
}

/// Takes the last change back; that of somebody else only with `anyway` behind the word.
fn undo(notebook: &mut Notebook, line: &str, from: usize) -> Found<notebook::Change> {
    let word = line[..from].trim_end();
    match line[from..].trim() {
        "" => notebook.undo().map_err(|refused| under_word(word, refused)),
        "anyway" => notebook.undo_anyway().map_err(|refused| under_word(word, refused)),
        found => {
            let wrong = crate::sheet::Wrong::Trailing { found: found.to_owned() };
            Err(Refused::typed(line, vec![Fault::new(Span::new(from, line.trim_end().len()), wrong)]))
        }
    }
}

/// Shows why a line is what it is; of a row, each line of it that is worked out.
fn why(notebook: &mut Notebook, line: &str, from: usize, depth: usize, look: Look) -> Found<String> {
    let Some(row) = notebook.row(line, from).filter(|row| !row.worked.is_empty()) else {
        return Ok(answers::why(&notebook.why(line, from, depth)?, look));
    };
    let of = |name: &String| Ok(answers::why(&notebook.why(name, 0, depth.saturating_sub(1))?, look));
    Ok(row.worked.iter().map(of).collect::<Found<Vec<String>>>()?.join("\n"))
}

/// Tells what a word of the prompt could not do under that word.
fn under_word(line: &str, refused: Vec<Refused>) -> Vec<Refused> {
    let word = Span::new(line.len() - line.trim_start().len(), line.trim_end().len());
    let placed = |one: Refused| {
        if !one.page.is_typed() {
            return vec![one];
        }
        Refused::typed(line, one.faults.into_iter().map(|fault| Fault { at: word, ..fault }).collect())
    };
    refused.into_iter().flat_map(placed).collect()
}

/// Works a formula; two words in a row that are none may begin with a word of the prompt mistyped.
fn scratch(notebook: &Notebook, line: &str, from: usize) -> Found<String> {
    notebook.scratch(line, from).map_err(|refused| {
        let first = line[from..].split_whitespace().next().unwrap_or_default();
        if let Some(form) = equals_missing(notebook, line[from..].trim_end(), first) {
            let at = Span::new(from, line.trim_end().len());
            return Refused::typed(line, vec![Fault::new(at, Wrong::EqualsMissing { form })]);
        }
        let known = notebook.names().iter().any(|name| name == first);
        if known { refused } else { mistyped(line, from, first).unwrap_or(refused) }
    })
}

/// Returns what `fitted 7` was meant as: the name of what a person gives, and then no operator.
fn equals_missing(notebook: &Notebook, typed: &str, first: &str) -> Option<String> {
    let value = typed.strip_prefix(first)?.trim_start();
    let operator = value.starts_with(|c: char| !c.is_alphanumeric() && !matches!(c, '"' | '.' | '?'));
    let word = ["and", "or", "in"].contains(&value.split_whitespace().next().unwrap_or_default());
    let offer = notebook.offer(first)?;
    let choice = offer.choices.iter().any(|choice| choice.starts_with(value));
    (!value.is_empty() && !operator && (!word || choice)).then(|| format!("{first} = {value}"))
}

/// Shows what a name stands for; a word that is no name may be a word of the prompt mistyped.
fn show(notebook: &mut Notebook, line: &str, from: usize, look: Look) -> Found<String> {
    if line[from..].trim() == "on" {
        return Ok(answers::day(notebook.record(), look));
    }
    if let Some(row) = notebook.row(line, from) {
        return Ok(answers::row(&row, notebook.record(), look));
    }
    match notebook.show(line, from) {
        Ok(shown) => Ok(answers::shown(&shown, notebook.record(), look)),
        Err(refused) => Err(mistyped(line, from, line[from..].trim()).unwrap_or(refused)),
    }
}

/// Returns the fault of a word that was probably meant to be one of the prompt.
fn mistyped(line: &str, from: usize, found: &str) -> Option<Vec<Refused>> {
    let near = near_word(found).filter(|_| !found.contains('.'))?;
    let wrong = Wrong::NoWord { found: found.to_owned(), near: Some(near.to_owned()) };
    let fault = Fault::new(Span::new(from, from + found.len()), wrong);
    Some(Refused::typed(line, vec![fault]))
}

/// `why NAME 3` goes three steps back, `why NAME all` to the inputs; returns where the name ends, and the steps.
fn depth(line: &str, from: usize) -> (usize, usize) {
    let body = line[from..].trim_end();
    if let Some((name, last)) = body.rsplit_once(char::is_whitespace) {
        let steps = if last == "all" { Some(usize::MAX) } else { last.parse().ok() };
        if let Some(steps) = steps {
            return (from + name.len(), steps.min(50));
        }
    }
    (from + body.len(), 1)
}
