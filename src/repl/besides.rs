//! Whether a line typed at a question of `fill` is its answer, or is meant for the prompt.
//!
//! In: the question, a line as typed. Out: the line as it would be typed at the prompt, if it is meant for that.
//! Never: takes what stands in quotes, or a choice of the question, for a word of the prompt.

use super::command::{self, Command, Word};
use crate::notebook::{Notebook, TOP, hows};
use crate::view::report::Form;

/// Returns a line that is a word of the prompt with what it takes, or sets a line by its name, as it would be typed
/// there; what is wrong with the name is then told there too.
pub(super) fn of_prompt(notebook: &Notebook, name: &str, line: &str) -> Option<String> {
    let typed = line.trim();
    let offer = notebook.offer(name);
    if typed == "quit" || offer.is_some_and(|offer| offer.choices.iter().any(|choice| choice == typed)) {
        return None;
    }
    // What may be said of a value may stand behind it; the name is that of the question.
    let confirm = typed.strip_prefix("confirm").filter(|rest| rest.is_empty() || rest.starts_with(' '));
    if let Some(rest) = confirm.filter(|rest| !notebook.has_name(head(rest.trim()).0)) {
        return Some(format!("confirm {name}{rest}"));
    }
    let is_of_prompt = match command::read(typed) {
        // A word that lacks what it takes is told so; with something behind it that is none of it, it is a text.
        Err(_) => command::is_word(typed),
        Ok(Command::Word(word, from)) => {
            let after = &typed[from..];
            let own_rows = word == Word::Add
                && notebook.is_schedule(name)
                && !adds_sheet(after)
                && !is_other(notebook, name, after);
            !own_rows && takes(notebook, word, after)
        }
        Ok(Command::Set(_)) => {
            let (set, rest) = head(typed);
            let columns = notebook.columns(name);
            let column = columns.iter().any(|(column, _)| *column == set);
            !column && rest.starts_with('=') && (notebook.has_name(set) || TOP.contains(&set))
        }
        Ok(Command::Nothing | Command::Show(_) | Command::Formula(_)) => false,
    };
    is_of_prompt.then(|| typed.to_owned())
}

/// Returns whether what stands behind a word of the prompt is what it takes: a text may begin as such a word does.
fn takes(notebook: &Notebook, word: Word, after: &str) -> bool {
    let (name, rest) = head(after);
    let named = command::is_path(name);
    let known = notebook.has_name(name);
    let next = rest.split_whitespace().next().unwrap_or_default();
    match word {
        Word::Report => after.rsplit_once('.').is_some_and(|(_, ending)| Form::of_ending(ending).is_some()),
        Word::Log => after.is_empty() || after.parse::<usize>().is_ok(),
        Word::Undo => after.is_empty() || after == "anyway",
        Word::Limits | Word::Waiting | Word::Assumed | Word::Cautions => {
            known || after.is_empty() || named && rest.is_empty()
        }
        Word::Why => known || named && (next.is_empty() || next == "all" || next.parse::<usize>().is_ok()),
        Word::Room | Word::Drop | Word::Confirm => known || named && rest.is_empty(),
        Word::Agree | Word::Query => known || named && (rest.is_empty() || rest.starts_with('"')),
        Word::Try => known || named && rest.starts_with('='),
        Word::How => known || named && (next == "with" || hows().iter().any(|how| how == next)),
        Word::Add => known || adds_sheet(after) || named && rest.contains('='),
        Word::Instrument => ["kind", "tolerance", "until"]
            .iter()
            .any(|key| after.match_indices(&format!(" {key} ")).next().is_some()),
        Word::Fill | Word::Redo | Word::Help | Word::Quit => after.is_empty(),
    }
}

/// `sheet SHEET`, or `sheet SHEET as NAME`.
fn adds_sheet(after: &str) -> bool {
    let words: Vec<&str> = after.split_whitespace().collect();
    matches!(words.as_slice(), ["sheet", sheet] | ["sheet", sheet, "as", _] if !sheet.contains('='))
}

/// Returns the name that a text begins with, up to a blank or an `=` outside quotes, and what follows it.
fn head(text: &str) -> (&str, &str) {
    let mut quoted = false;
    let ends = |c: char| {
        quoted ^= c == '"';
        !quoted && (c.is_whitespace() || c == '=')
    };
    let (name, rest) = text.split_at(text.find(ends).unwrap_or(text.len()));
    (name, rest.trim_start())
}

/// Returns whether a row is for another schedule than the one that is asked for.
fn is_other(notebook: &Notebook, name: &str, row: &str) -> bool {
    let (first, rest) = head(row);
    let last = name.rsplit('.').next().unwrap_or_default();
    let column = notebook.columns(name).iter().any(|(column, _)| column == first);
    !column && first != name && first != last && !rest.starts_with('=') && notebook.has_name(first)
}
