//! What can be wrong with a line typed at the prompt, before it is read against a value.
//!
//! In: nothing. Out: the words of these faults.
//! Never: finds a fault.

use super::{HOWS_OF_NUMBER, Wrong, or_else};
use crate::fault::{Wording, say};

/// What was typed in no form that can be read.
pub(super) fn of_form(wrong: &Wrong) -> Option<Wording> {
    Some(match wrong {
        Wrong::NothingToConfirm { name } => {
            say(format!("'{name}' has no default to confirm"), "", "'waiting' lists what is to be confirmed")
        }
        Wrong::WordAlone { form } => say("something is missing after this", "", format!("write: {form}")),
        Wrong::BehindValue { found, near: Some(near) } => {
            say(format!("'{found}' is not understood after a value"), "", format!("did you mean '{near}'?"))
        }
        Wrong::BehindValue { found, near: None } => say(
            format!("'{found}' is not understood after a value"),
            "",
            "put a text of several words in quotes; after it may stand measured (or nameplate, datasheet, drawing, assumed; stated of yes or no, a text, a date), with INSTRUMENT, anyway \"reason\", by \"document\", \"note\"",
        ),
        Wrong::DayOfJob => say(
            "'on' is the job's day",
            "",
            "it stands at the top of the job's file: change it there, or open the job with --on DATE",
        ),
        Wrong::SumEntered { formula } => say(
            "one number with its unit is entered, and this is to be worked first",
            "",
            format!("type {formula} alone, and enter what it gives"),
        ),
        Wrong::CommaMissing { found } => say(
            format!("'{found}' is not said of the value before it"),
            "",
            format!("put a comma before the next column: , {found} = …"),
        ),
        Wrong::CommaInText { text } => say(
            "a comma parts one column from the next, and no '=' follows it",
            "",
            format!("put a text that has a comma in quotes: \"{text}\""),
        ),
        Wrong::DateWanted { found, today } => say(
            format!("'{found}' is not a date"),
            "",
            format!("write it like {today}, or {today} 17:30; today and now will do"),
        ),
        Wrong::LinkMistyped { found, near } => say(
            format!("'{found}' is no line of the job"),
            "",
            format!("did you mean '{near}'? If these are only words, put them in quotes: \"{found}\""),
        ),
        Wrong::NoText { found } => say(
            format!("'{found}' alone is no text"),
            "",
            format!("if that is the text, put it in quotes: \"{found}\""),
        ),
        Wrong::NumberWanted { found, example } => {
            say(format!("'{found}' is not a number"), "", format!("write a number, such as {example}"))
        }
        Wrong::CellTwice { found } => say(format!("a second '{found}'"), "named again here", "keep one"),
        Wrong::EqualsMissing { form } => {
            say("a value after a name, with no '=' between", "", format!("write {form}"))
        }
        _ => return None,
    })
}

/// What was typed of the job as a whole: its sheets, its instruments, what stands at its top.
pub(super) fn of_top(wrong: &Wrong) -> Option<Wording> {
    Some(match wrong {
        Wrong::SeveralLines { found, names } => say(
            format!("several sheets have '{found}'"),
            "",
            format!("write it with its sheet: {}", names.join(" or ")),
        ),
        Wrong::NotASheet { found, near, known } => say(
            format!("the job has no sheet '{found}'"),
            "",
            or_else(near, &format!("its sheets are {}", known.join(", "))),
        ),
        Wrong::NameTaken { found } => say(
            format!("the job has a sheet '{found}' already"),
            "",
            "give it a name of its own: add sheet SHEET as NAME",
        ),
        Wrong::LinkNoText { found } => say(
            format!("'{found}' is a line, and no text"),
            "",
            format!("link a text, or put what are only words in quotes: \"{found}\""),
        ),
        Wrong::AddSheet => say("this cannot be read", "", "write: add sheet SHEET as NAME"),
        Wrong::NothingSaid { name } => say(
            format!("no value of '{name}' waits for that"),
            "",
            "it goes to numbers that are entered and not said how; of one, type its value again with the rest after it",
        ),
        Wrong::HowNotStated { name } => {
            say(format!("what waits of '{name}' are numbers, and a number is not stated"), "", HOWS_OF_NUMBER)
        }
        Wrong::TopText { name } => {
            say(format!("'{name}' is a text in quotes"), "", format!("write {name} = \"…\""))
        }
        Wrong::InstrumentForm => say(
            "this says nothing of an instrument",
            "",
            "write: instrument NAME kind \"…\" tolerance \"2 % + 5 mA\" until 2027-03-01",
        ),
        _ => return None,
    })
}
