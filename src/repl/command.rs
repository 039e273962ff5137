//! What a line typed at the prompt asks for.
//!
//! In: a line, and the words of the prompt. Out: a command, with the byte that its name or value starts at.
//! Never: knows which names there are.

use crate::fault::{Fault, Span, near};
use crate::notebook::Wrong;

/// A word of the prompt.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Word {
    /// `why NAME`
    Why,
    /// `limits`
    Limits,
    /// `waiting`
    Waiting,
    /// `assumed`
    Assumed,
    /// `how NAME HOW`
    How,
    /// `fill`
    Fill,
    /// `confirm NAME`
    Confirm,
    /// `add SCHEDULE`
    Add,
    /// `instrument NAME ...`
    Instrument,
    /// `drop SCHEDULE.ROW`
    Drop,
    /// `try NAME = VALUE`
    Try,
    /// `room NAME`
    Room,
    /// `agree NAME`
    Agree,
    /// `query NAME "question"`
    Query,
    /// `undo`
    Undo,
    /// `redo`
    Redo,
    /// `log`
    Log,
    /// `cautions`
    Cautions,
    /// `report FILE`
    Report,
    /// `help`
    Help,
    /// `quit`
    Quit,
}

/// A word with the form that it is typed in and what it does.
#[derive(Debug)]
pub struct Entry {
    /// The word.
    pub word: Word,
    /// As typed.
    pub name: &'static str,
    /// What follows it.
    pub after: &'static str,
    /// What it does.
    pub about: &'static str,
}

const fn entry(word: Word, name: &'static str, after: &'static str, about: &'static str) -> Entry {
    Entry { word, name, after, about }
}

/// Every word, in the order in which help lists them.
pub const WORDS: &[Entry] = &[
    entry(Word::Fill, "fill", "", "asks for all that is open, in the order of the work"),
    entry(Word::Waiting, "waiting", "[SHEET]", "lists what is open or to be confirmed"),
    entry(Word::Limits, "limits", "[SHEET, fail]", "shows how every limit stands, the worst first; or some"),
    entry(
        Word::Why,
        "why",
        "NAME [STEPS]",
        "shows a formula with its numbers, and what they depend on; also a row's",
    ),
    entry(Word::Assumed, "assumed", "[SHEET]", "lists what was assumed, or not said how"),
    entry(
        Word::How,
        "how",
        "NAME measured with INSTRUMENT",
        "says how values are known that nobody said it of: of a line, a column, a schedule, a sheet",
    ),
    entry(Word::Confirm, "confirm", "NAME", "confirms a default as it stands"),
    entry(
        Word::Add,
        "add",
        "SCHEDULE COLUMN = VALUE, ...",
        "adds a row; each value takes the same words after it as any other",
    ),
    entry(
        Word::Add,
        "add",
        "sheet SHEET as NAME",
        "adds a sheet to the job, every given open: the same one again for what was left",
    ),
    entry(
        Word::Instrument,
        "instrument",
        "NAME kind \"…\" tolerance \"2 % + 5 mA\" until 2027-03-01",
        "enters an instrument, or changes it; what is left out is not known; undo takes it out again",
    ),
    entry(Word::Drop, "drop", "SCHEDULE.ROW", "takes a row out"),
    entry(Word::Try, "try", "NAME = VALUE", "shows what would change, and keeps nothing"),
    entry(
        Word::Room,
        "room",
        "NAME",
        "how far an input may move before a limit turns; of a limit, each of its inputs",
    ),
    entry(
        Word::Agree,
        "agree",
        "NAME [\"note\"]",
        "marks a line as looked at and found right; of a sheet, every line not marked yet; a note answers a query",
    ),
    entry(Word::Query, "query", "NAME \"question\"", "marks a line with a question"),
    entry(
        Word::Undo,
        "undo",
        "[anyway]",
        "takes back the last change, also one of an earlier day; anyway, that of somebody else",
    ),
    entry(Word::Redo, "redo", "", "does again what was taken back"),
    entry(Word::Log, "log", "[COUNT]", "lists what was done, by whom and when"),
    entry(Word::Cautions, "cautions", "[SHEET]", "shows what may hurt: read them first"),
    entry(Word::Report, "report", "FILE", "writes a page to print and sign: .html, or .md, .csv, .json"),
    entry(Word::Help, "help", "", "shows this"),
    entry(Word::Quit, "quit", "", "leaves; every change is on disk already"),
];

/// What a line asks for; each with the byte that what follows starts at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Command {
    /// Nothing.
    Nothing,
    /// A word, with what follows it.
    Word(Word, usize),
    /// `NAME = VALUE`
    Set(usize),
    /// A name alone.
    Show(usize),
    /// A formula to be worked.
    Formula(usize),
}

impl Command {
    /// Returns whether it would change the job.
    pub fn writes(self) -> bool {
        let words = [
            Word::Confirm,
            Word::How,
            Word::Add,
            Word::Instrument,
            Word::Drop,
            Word::Agree,
            Word::Query,
            Word::Undo,
            Word::Redo,
        ];
        match self {
            Self::Set(_) => true,
            Self::Word(word, _) => words.contains(&word),
            Self::Nothing | Self::Show(_) | Self::Formula(_) => false,
        }
    }
}

/// Reads a line.
///
/// # Errors
/// Something behind a word that takes nothing.
pub fn read(line: &str) -> Result<Command, Fault> {
    let start = line.len() - line.trim_start().len();
    let body = line[start..].trim_end();
    if body.is_empty() || body.starts_with('#') {
        return Ok(Command::Nothing);
    }
    let end = body.find(char::is_whitespace).unwrap_or(body.len());
    let after = body[end..].trim_start();
    if equals(body).is_some()
        && !WORDS.iter().any(|entry| entry.name == &body[..end] && !after.starts_with('='))
    {
        return Ok(Command::Set(start));
    }
    if let Some(entry) = WORDS.iter().find(|entry| entry.name == &body[..end]) {
        let from = start + body.len() - after.len();
        if entry.after.is_empty() && !after.is_empty() {
            let found = after.to_owned();
            return Err(Fault::new(
                Span::new(from, start + body.len()),
                crate::sheet::Wrong::Trailing { found },
            ));
        }
        if !entry.after.is_empty() && !entry.after.starts_with('[') && after.is_empty() {
            let form = format!("{} {}", entry.name, entry.after);
            return Err(Fault::new(Span::new(start, start + end), Wrong::WordAlone { form }));
        }
        return Ok(Command::Word(entry.word, from));
    }
    Ok(if is_path(body) { Command::Show(start) } else { Command::Formula(start) })
}

/// Returns whether a text is a word of the prompt and nothing more.
pub(super) fn is_word(text: &str) -> bool {
    WORDS.iter().any(|entry| entry.name == text)
}

/// Returns the word that was probably meant.
pub fn near_word(found: &str) -> Option<&'static str> {
    near(found, WORDS.iter().map(|entry| entry.name))
}

/// Returns where the `=` of a change stands: the first outside quotes, where it is no comparison.
pub(super) fn equals(body: &str) -> Option<usize> {
    let mut quoted = false;
    let outside = |(_, c): &(usize, char)| {
        quoted ^= *c == '"';
        !quoted && *c == '='
    };
    let (at, _) = body.char_indices().find(outside)?;
    let comparison = body[..at].ends_with(['<', '>', '!']) || body[at + 1..].starts_with('=');
    (!comparison).then_some(at)
}

/// A name with dots, later parts also numbers or in quotes.
pub(super) fn is_path(body: &str) -> bool {
    let mut quoted = false;
    body.starts_with(|c: char| c.is_ascii_lowercase() || c == '_')
        && body.chars().all(|c| {
            quoted ^= c == '"';
            quoted || matches!(c, '"' | '_' | '.') || c.is_alphanumeric()
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_a_word_a_change_a_name_or_a_formula() {
        for (line, command) in [
            ("", Command::Nothing),
            ("  # a remark", Command::Nothing),
            ("limits", Command::Word(Word::Limits, 6)),
            (" why battery.required", Command::Word(Word::Why, 5)),
            ("try a = 2 A", Command::Word(Word::Try, 4)),
            ("add e item = \"Bell\"", Command::Word(Word::Add, 4)),
            ("why = 3", Command::Set(0)),
            ("a = 2 A", Command::Set(0)),
            ("a = = s.b", Command::Set(0)),
            ("s.e.\"Call = point\".a = 2", Command::Set(0)),
            ("s.e.\"Call point\".a", Command::Show(0)),
            ("battery", Command::Show(0)),
            ("185 mA * 24 h in Ah", Command::Formula(0)),
            ("a == 2 A", Command::Formula(0)),
            ("a >= 2 A", Command::Formula(0)),
        ] {
            assert_eq!(read(line), Ok(command), "{line}");
        }
    }

    #[test]
    fn a_word_that_lacks_its_name_or_has_too_much_is_told() {
        assert!(read("why").is_err_and(|fault| fault.at == Span::new(0, 3)));
        assert!(read("redo all").is_err_and(|fault| fault.at == Span::new(5, 8)));
        assert_eq!(read("limits battery"), Ok(Command::Word(Word::Limits, 7)));
        assert_eq!(near_word("limts"), Some("limits"));
    }
}
