//! The prompt on the terminal, or fed from a pipe.
//!
//! In: lines. Out: the answers, written; an exit code.
//! Never: keeps a change that is not on disk yet; understands a line (that is `repl`).

use std::cell::RefCell;
use std::io::{BufRead, IsTerminal, Read};
use std::path::Path;
use std::rc::Rc;

use super::UNREADABLE;
use super::arguments::Arguments;
use super::terminal::{self, look, put, tell_refused, tell_whole};
use crate::fault::{BYTE_ORDER_MARK, Fault, Refused, Span};
use crate::job::Wrong;
use crate::job::disk::{LONGEST, Unread};
use crate::notebook::{Notebook, Options};
use crate::repl::Session;
use crate::repl::editor::{Editor, Entered};
use crate::view::{self, answers, faults};

pub(super) fn open(job: &Path, arguments: &Arguments, options: &Options) -> u8 {
    let notebook = match Notebook::open(job, options, arguments.who.clone()) {
        Ok(notebook) => Rc::new(RefCell::new(notebook)),
        Err(refused) => {
            tell_refused(&refused);
            return UNREADABLE;
        }
    };
    put(&told(&notebook));
    let terminal = std::io::stdin().is_terminal() && std::io::stdout().is_terminal();
    let session = Rc::new(RefCell::new(Session::default()));
    let editor =
        if terminal { Editor::new(job, Rc::clone(&notebook), Rc::clone(&session)).ok() } else { None };
    match editor {
        Some(mut editor) => {
            put(&format!(
                "{}\ncautions: read them first; help; quit\n",
                view::plain(&notebook.borrow().record().title)
            ));
            put(&answers::standing(notebook.borrow().record(), &notebook.borrow().to_ask(), look()));
            if !notebook.borrow().is_who_known() {
                let words = "who is typing is not known: prepared_by = \"NAME\" says it";
                put(&view::item(words, look()));
            }
            on_terminal(&notebook, &session, &mut editor);
        }
        None if !of_script(&notebook, &session, piped(), arguments.carry_on) => return UNREADABLE,
        None => {}
    }
    let verdict = notebook.borrow().record().verdict;
    verdict.exit_code()
}

/// Answers what is typed on a terminal until the prompt is left.
fn on_terminal(notebook: &RefCell<Notebook>, session: &RefCell<Session>, editor: &mut Editor) {
    loop {
        let prompt = session.borrow().prompt(&notebook.borrow());
        let line = match editor.next(&prompt) {
            Some(Entered::Line(line)) => line,
            Some(Entered::GivenUp) if session.borrow().asks() => "stop".to_owned(),
            Some(Entered::GivenUp) => continue,
            None => {
                put("goodbye; every change is on disk\n");
                return;
            }
        };
        match answered(notebook, session, &line) {
            // In fill the question stands at the end: it is never behind a page.
            Ok(Some(text)) if session.borrow().asks() => put(&text),
            Ok(Some(text)) => paged(editor, &text),
            Ok(None) => return,
            Err(refused) => {
                // The line stands just above.
                let refused: Vec<_> = refused.into_iter().map(|one| one.of_script(1)).collect();
                tell_whole(&faults::of_change(&refused, look()));
                put(&session.borrow().after_fault(&notebook.borrow(), look()));
            }
        }
    }
}

/// Answers the lines of a pipe until they end or the prompt is left; returns whether none was given up at. A script
/// may go on behind a line that was refused.
fn of_script(
    notebook: &RefCell<Notebook>,
    session: &RefCell<Session>,
    lines: impl Iterator<Item = Result<String, Vec<Refused>>>,
    carry_on: bool,
) -> bool {
    for (n, line) in lines.enumerate() {
        match line.and_then(|line| answered(notebook, session, &line)) {
            Ok(Some(text)) => put(&text),
            Ok(None) => return true,
            Err(refused) => {
                let refused: Vec<_> = refused.into_iter().map(|one| one.of_script(n + 1)).collect();
                tell_whole(&faults::of_change(&refused, look()));
                if !carry_on {
                    return false;
                }
                put(&session.borrow().after_fault(&notebook.borrow(), look()));
            }
        }
    }
    true
}

/// Answers a line; what was found out of the ordinary is told before its answer.
fn answered(
    notebook: &RefCell<Notebook>,
    session: &RefCell<Session>,
    line: &str,
) -> Result<Option<String>, Vec<Refused>> {
    let answer = session.borrow_mut().answer(&mut notebook.borrow_mut(), line, look());
    put(&told(notebook));
    answer
}

/// Writes an answer, a screen at a time; a line that is typed in between is kept for the prompt.
fn paged(editor: &mut Editor, text: &str) {
    let most = terminal::rows().saturating_sub(2);
    let lines: Vec<&str> = text.split_inclusive('\n').collect();
    let mut left = lines.as_slice();
    while left.len() > most && most > 2 && !editor.has_more() {
        let (now, later) = left.split_at(most);
        put(&now.concat());
        left = later;
        match editor.next(&format!("-- {} more lines: Enter, or q -- ", left.len())) {
            Some(Entered::Line(line)) if line.trim().is_empty() => {}
            Some(Entered::Line(line)) => {
                if line.trim() != "q" {
                    editor.keep(line);
                }
                return;
            }
            Some(Entered::GivenUp) | None => return,
        }
    }
    put(&left.concat());
}

/// What was found out of the ordinary.
fn told(notebook: &RefCell<Notebook>) -> String {
    notebook.borrow_mut().told().iter().map(|words| view::item(words, look())).collect()
}

/// Returns the lines of a pipe; a byte-order mark before the first is no part of it.
fn piped() -> impl Iterator<Item = Result<String, Vec<Refused>>> {
    let mut input = std::io::stdin().lock();
    let lines = std::iter::from_fn(move || line_of(&mut input));
    lines.enumerate().map(|(n, bytes)| {
        if bytes.len() > LONGEST {
            let shown = String::from_utf8_lossy(&bytes[..40]).into_owned();
            let fault = Fault::new(0..shown.len(), Wrong::Unread(Unread::LongLine));
            return Err(Refused::typed(&shown, vec![fault]));
        }
        let bytes = bytes.strip_suffix(b"\r").unwrap_or(&bytes);
        let text = as_text(bytes)?;
        Ok(if n == 0 { text.trim_start_matches(BYTE_ORDER_MARK).to_owned() } else { text })
    })
}

/// Returns the next line without its end; of one that is too long, no more than tells that it is.
fn line_of(input: &mut impl BufRead) -> Option<Vec<u8>> {
    let mut line = Vec::new();
    input.take(LONGEST as u64 + 1).read_until(b'\n', &mut line).ok()?;
    match line.last() {
        None => return None,
        Some(b'\n') => drop(line.pop()),
        Some(_) if line.len() > LONGEST => drop(input.skip_until(b'\n')),
        Some(_) => {}
    }
    Some(line)
}

/// Reads a line as text, or tells the byte that is none.
fn as_text(bytes: &[u8]) -> Result<String, Vec<Refused>> {
    String::from_utf8(bytes.to_vec()).map_err(|error| {
        let start = error.utf8_error().valid_up_to();
        let at = Span::new(start, start + char::REPLACEMENT_CHARACTER.len_utf8());
        let fault = Fault::new(at, Wrong::Unread(Unread::NotText));
        Refused::typed(&String::from_utf8_lossy(bytes), vec![fault])
    })
}
