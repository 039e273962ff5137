//! The prompt of an open job: lines in, answers out.
//!
//! In: lines as typed or piped, one at a time. Out: the text of each answer, or what could not be read.
//! Never: calculates; writes to the terminal (that is `cli`).

pub mod command;
pub mod editor;
pub mod fill;
pub mod offers;

use command::{Command, WORDS, Word, near_word};
use fill::{Asked, Fill};

use crate::fault::{Fault, Refused, Span};
use crate::notebook::library::Found;
use crate::notebook::record::MarkKind;
use crate::notebook::{self, Notebook, Wrong};
use crate::view::report::{ENDINGS, Form};
use crate::view::{self, Look, answers, text, wrapped};

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

/// A job at the prompt, and the questions that are on their way.
#[derive(Debug, Default)]
pub struct Session {
    fill: Option<Fill>,
}

impl Session {
    /// Answers one line: a command, or the answer to a question of `fill`. Nothing is answered where the prompt
    /// is left.
    ///
    /// # Errors
    /// What is wrong with the line, or with the job that it would leave; a question is then asked again.
    pub fn answer(&mut self, notebook: &mut Notebook, line: &str, look: Look) -> Found<Option<String>> {
        let changed = notebook.look_around()?;
        if changed && (self.fill.is_some() || command::read(line).is_ok_and(Command::writes)) {
            return Err(notebook.changed_outside());
        }
        if self.fill.is_some() {
            return self.filled(notebook, line, look).map(Some);
        }
        match answer(notebook, line, look)? {
            Answer::Text(text) => Ok(Some(text)),
            Answer::Quit => Ok(None),
            Answer::Fill => {
                self.fill = Some(Fill::default());
                let how = "- leaves one open, back goes back, stop ends\n\n";
                Ok(Some(format!("{how}{}", self.question(notebook, look))))
            }
        }
    }

    /// Returns what would be typed at the prompt before the answer to the question that is asked, if one is.
    pub fn asked(&self, notebook: &Notebook) -> Option<String> {
        let name = self.fill.as_ref()?.next(notebook.record())?;
        let is_rows = notebook.record().schedule(&name).is_some();
        Some(if is_rows { format!("add {name} ") } else { format!("{name} = ") })
    }

    /// Returns the next question; with none left the questions end.
    pub fn question(&mut self, notebook: &Notebook, look: Look) -> String {
        let Some(fill) = &self.fill else { return String::new() };
        let record = notebook.record();
        match fill.next(record) {
            Some(name) if record.schedule(&name).is_some() => {
                fill::rows_wanted(&name, &notebook.columns(&name), record, look)
            }
            Some(name) => fill::question(&name, notebook.offer(&name).as_ref(), record, look),
            None => {
                self.fill = None;
                answers::left_open(record, look)
            }
        }
    }

    fn filled(&mut self, notebook: &mut Notebook, line: &str, look: Look) -> Found<String> {
        let Some(fill) = &mut self.fill else { return Ok(String::new()) };
        let name = fill.next(notebook.record());
        let change = match fill.answer(notebook.record(), line) {
            Asked::Stop => {
                self.fill = None;
                return Ok(String::new());
            }
            Asked::Next => return Ok(self.question(notebook, look)),
            Asked::Change(typed) => {
                notebook.set(&typed, 0).map_err(|refused| under_answer(line, &typed, refused))?
            }
            Asked::Row(typed) => {
                notebook.add(&typed, 0).map_err(|refused| under_answer(line, &typed, refused))?
            }
        };
        fill.taken(name.unwrap_or_default(), notebook.record());
        Ok(text::change(&change, look) + &self.question(notebook, look))
    }
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
        Command::Word(Word::Undo, _) => {
            text::change(&notebook.undo().map_err(|refused| under_word(line, refused))?, look)
        }
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
    notebook::report::write(path, &made, form.opening()).map_err(refuse)?;
    Ok(format!("{} is written: {}\n", view::plain(file), notebook.record().verdict.word()))
}

/// Shows why a line is what it is; of a row, each line of it that is worked out.
fn why(notebook: &mut Notebook, line: &str, from: usize, depth: usize, look: Look) -> Found<String> {
    let Some(row) = notebook.row(line, from).filter(|row| !row.worked.is_empty()) else {
        return Ok(answers::why(&notebook.why(line, from, depth)?, look));
    };
    let of = |name: &String| Ok(answers::why(&notebook.why(name, 0, depth.saturating_sub(1))?, look));
    Ok(row.worked.iter().map(of).collect::<Found<Vec<String>>>()?.join("\n"))
}

/// Tells what is wrong with an answer under what was answered; `typed` is what it stood for.
fn under_answer(line: &str, typed: &str, refused: Vec<Refused>) -> Vec<Refused> {
    let answer = line.trim();
    let Some(lead) = typed.strip_suffix(answer).map(str::len) else { return refused };
    let indent = line.len() - line.trim_start().len();
    let placed = |at: Span| {
        let place = |byte: usize| byte.saturating_sub(lead).min(answer.len()) + indent;
        if at.end <= lead {
            Span::new(indent, indent + answer.len())
        } else {
            Span::new(place(at.start), place(at.end))
        }
    };
    let told = |one: Refused| {
        if !one.page.is_typed() {
            return vec![one];
        }
        let faults = one.faults.into_iter().map(|fault| Fault { at: placed(fault.at), ..fault });
        Refused::typed(line, faults.collect())
    };
    refused.into_iter().flat_map(told).collect()
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

/// Returns what may be typed.
pub fn help(look: Look) -> String {
    let mut out = String::new();
    let indent = if look.width < 60 { 4 } else { 34 };
    let mut line = |form: &str, about: &str| {
        let about = wrapped(about, look.width, indent, indent);
        out +=
            &if look.width < 60 { format!("{form}\n    {about}\n") } else { format!("{form:<34}{about}\n") };
    };
    line("NAME", "shows a line; a sheet's name shows the sheet, and is looked in first from then on");
    line(
        "NAME = VALUE",
        "sets a given: fitted = 12 Ah. A number alone takes the line's unit; a formula links",
    );
    line(
        "  behind the value",
        "measured, nameplate, datasheet, drawing, stated or assumed; with INSTRUMENT; anyway \"reason\"; \"a remark\"",
    );
    line(
        "NAME = VALUE by \"document\"",
        "gives a figure of the basis, or overrides it; NAME = ? lets that of the basis hold again",
    );
    line("SCHEDULE.ROW.COLUMN = VALUE", "sets a row's value; a row goes by its number or its \"name\"");
    line(
        "how big must it be?",
        "room NAME, of an input that is open or given, tells from where to where every limit holds",
    );
    line("185 mA * 24 h in Ah", "any other formula is worked, and not kept");
    line("on", "shows the job's day");
    line("Tab", "offers what may stand at the cursor");
    for entry in WORDS {
        line(format!("{} {}", entry.name, entry.after).trim_end(), entry.about);
    }
    out
}
