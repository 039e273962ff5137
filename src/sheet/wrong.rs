//! What can be wrong with the text of a sheet or a basis, before any name is settled.
//!
//! In: nothing. Out: the kinds and their words.
//! Never: finds a fault; the reader does.

use crate::fault::{Wording, near, only_looks_like, say};
use crate::sheet::function::{FUNCTIONS, Function};
use crate::sheet::lex::{DEEPEST, MOST_SIGNS, MOST_TOKENS};

/// What a text may not be larger than.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Limit {
    /// Pieces in a formula.
    Tokens,
    /// Open brackets.
    Brackets,
    /// Signs in a row.
    Signs,
    /// Branches of one line.
    Branches,
    /// Lines indented under one another.
    Levels,
}

/// What is wrong with a text.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs, reason = "each variant's words stand in `wording`")]
pub enum Wrong {
    Expected { what: &'static str, found: String },
    Trailing { found: String },
    BadName { found: String },
    TakenName { name: String },
    OpenQuote,
    OpenBrace,
    LoneBrace,
    ValueBefore,
    ValueAfter,
    OperatorBefore,
    InchBefore { number: String, unit: String },
    NoOperator { found: String },
    SingleEquals,
    NeverClosed,
    NeverOpened,
    CommaAlone,
    UnitGlued { name: String, cure: String },
    UnitAlone { found: String },
    PowerOfUnit,
    FunctionAlone { form: &'static str },
    UnknownFunction { found: String, near: Option<&'static str> },
    BracketsWanted { what: &'static str },
    TooMuch(Limit),
    Misread,
    Tab,
    NotUnder,
    NotInColumnOne,
    UnknownStatement { found: String, near: Option<&'static str> },
    NotInBasis { found: String },
    UnknownDetail { found: String, of: &'static str, near: Option<&'static str>, known: Vec<&'static str> },
    Twice { what: &'static str },
    NoTitle,
    DetailWanted { of: &'static str, what: &'static str, cure: &'static str },
    NoDetailsHere { of: &'static str },
    FlagDefault,
    OtherwiseLast,
    OtherwiseWanted,
    NotARevision { found: String },
    EmptyText,
    OpenTake,
    SourceOfBasis,
    RangeUpsideDown,
    NotWithin { value: String, range: String },
    NotOneOf { value: String },
    KindDiffers { what: &'static str, expected: String, found: String, unit: String },
    OnlyOfNumbers { what: &'static str },
}

impl Wrong {
    /// Returns the fault of a word that is no function, with the nearest that is.
    pub fn unknown_function(found: &str) -> Self {
        let near = near(found, FUNCTIONS.iter().map(|entry| entry.name));
        Self::UnknownFunction {
            found: found.to_owned(),
            near: near.and_then(Function::known).map(|e| e.name),
        }
    }

    /// Returns what is wrong, what the place is, what to do.
    pub fn wording(&self) -> Wording {
        self.of_formula()
            .or_else(|| self.of_word())
            .or_else(|| self.of_statement())
            .or_else(|| self.of_detail())
            .unwrap_or_default()
    }

    fn of_formula(&self) -> Option<Wording> {
        Some(match self {
            Self::OpenQuote => {
                say("a quoted text that does not end on its line", "opened here", "close it with \"")
            }
            Self::OpenBrace => {
                say("a brace that is not closed", "opened here", "write {name}, or {{ for a brace")
            }
            Self::LoneBrace => say("a closing brace without its opening one", "", "write }} for a brace"),
            Self::ValueBefore => say(
                "a value is missing before this",
                "a value is due",
                "write a number, a name or a function",
            ),
            Self::ValueAfter => {
                say("a value is missing after this", "ends here", "write what it is worked with")
            }
            Self::OperatorBefore => say(
                "an operator is missing before this",
                "an operator is due",
                "write + - * / or a comparison",
            ),
            Self::InchBefore { number, unit } => say(
                "'in' right behind a number is inches",
                "",
                format!("put brackets round what is to be shown in {unit}: (… * {number}) in {unit}"),
            ),
            Self::NoOperator { found } => say(
                format!("'{found}' is no operator"),
                "an operator is due",
                "operators are + - * / ^ < <= > >= == != and or",
            ),
            Self::SingleEquals => say("a single = compares nothing", "", "write == to compare"),
            Self::NeverClosed => say("a bracket that is never closed", "opened here", "close it with )"),
            Self::NeverOpened => {
                say("a closing bracket without its opening one", "", "take it out, or open one before")
            }
            Self::CommaAlone => say(
                "a comma belongs between a function's values",
                "",
                "a decimal is written with a point: 1.5",
            ),
            _ => return None,
        })
    }

    fn of_word(&self) -> Option<Wording> {
        Some(match self {
            Self::UnitGlued { name, cure } => say(
                format!("'{name}' is glued to a unit"),
                "read as part of the unit",
                format!("a unit runs to the next space; to divide by {name} write {cure}"),
            ),
            Self::UnitAlone { found } => say(
                format!("'{found}' is a unit, and a unit stands only after a number"),
                "no number before it",
                "take it out: a name brings its own unit with it",
            ),
            Self::PowerOfUnit => say(
                "a number with a unit may not be followed by ^",
                "reads two ways",
                "write (2 m)^2 for the power of all of it, or 2 m^2 for a unit's own",
            ),
            Self::FunctionAlone { form } => say("a function without its values", "", format!("write {form}")),
            Self::UnknownFunction { found, near } => say(
                format!("no function '{found}'"),
                "not a function",
                match near {
                    Some(near) => format!("did you mean '{near}'?"),
                    None => format!("functions are {}", names_of_functions()),
                },
            ),
            Self::BracketsWanted { what } => {
                say(*what, "reads two ways", "write brackets to say which is worked first")
            }
            Self::TooMuch(limit) => {
                let (what, most) = match limit {
                    Limit::Tokens => ("pieces in one formula", MOST_TOKENS),
                    Limit::Brackets => ("brackets in one another", DEEPEST),
                    Limit::Signs => ("signs in a row", MOST_SIGNS),
                    Limit::Branches => ("branches of one line", super::statement::MOST_BRANCHES),
                    Limit::Levels => ("lines indented under one another", super::layout::MOST_LEVELS),
                };
                let cure = match limit {
                    Limit::Levels => "indent it less",
                    Limit::Tokens | Limit::Brackets | Limit::Signs | Limit::Branches => {
                        "split it over several lines"
                    }
                };
                say(format!("more than {most} {what}"), "", cure)
            }
            Self::Misread => say(
                "this formula could not be read",
                "",
                "write it more simply, and report it: this is our fault",
            ),
            _ => return None,
        })
    }

    fn of_statement(&self) -> Option<Wording> {
        Some(match self {
            Self::Expected { what, found } if found.is_empty() => {
                say(format!("{what} is missing"), "ends here", format!("write {what} here"))
            }
            Self::Expected { what, found } => {
                say(format!("'{found}' where {what} is due"), "", format!("write {what} here"))
            }
            Self::Trailing { found } if found == "in" => say(
                "a line is shown in the unit that stands after its name",
                "",
                "take this out and write the unit there: find NAME UNIT \"label\"",
            )
            .at_prompt("take it out: a value is shown in one unit"),
            Self::Trailing { found } => say(
                format!("'{found}' does not belong here"),
                "",
                "take it out, or put it on a line of its own",
            )
            .at_prompt("take it out, or type it as a line of its own"),
            Self::BadName { found } => say(
                match only_looks_like(found) {
                    Some(letter) => format!("'{found}' is not a name: {letter}"),
                    None => format!("'{found}' is not a name"),
                },
                "",
                "a name has lower-case letters, digits and _, and begins with a letter",
            ),
            Self::TakenName { name } => {
                say(format!("'{name}' is a word of the language"), "", "choose another name")
            }
            Self::Tab => say("a tab in the indentation", "", "indent with spaces"),
            Self::NotUnder => say(
                "this line stands under no other",
                "",
                "lines of one block stand exactly under each other",
            ),
            Self::NotInColumnOne => {
                say("an indented line with no statement above it", "", "a statement starts in column one")
            }
            Self::UnknownStatement { found, near } => {
                say(format!("no statement '{found}'"), "not a statement", did_you_mean(*near, STATEMENTS))
            }
            Self::NotInBasis { found } => say(
                format!("'{found}' does not stand in a basis"),
                "",
                "a basis holds extends, title, revision, about, caution, source, take, table, cite and without",
            ),
            Self::UnknownDetail { found, of, near, known } => {
                say(format!("{of} has no detail '{found}'"), "", did_you_mean(*near, known))
            }
            _ => return None,
        })
    }

    fn of_detail(&self) -> Option<Wording> {
        Some(match self {
            Self::Twice { what: "by" } => {
                say("a second 'by'", "", "one to a line; a second document goes into the note")
            }
            Self::Twice { what } => say(format!("a second '{what}'"), "", "keep one"),
            Self::NoTitle => say("no title", "", "write: title What it works out"),
            Self::DetailWanted { of, what, cure } => say(format!("{of} without '{what}'"), "", *cure),
            Self::NoDetailsHere { of } => say(format!("{of} has no details"), "", "take this line out"),
            Self::FlagDefault => {
                say("a flag has no default", "", "write ? flag: a person must say yes or no")
            }
            Self::OtherwiseLast => {
                say("a branch after 'otherwise'", "never reached", "'otherwise' comes last")
            }
            Self::OtherwiseWanted => {
                say("no branch for all other cases", "the last branch", "end with a line: = … otherwise")
            }
            Self::NotARevision { found } => {
                say(format!("'{found}' is not a revision"), "", "write a whole number from 1")
            }
            Self::EmptyText => say("an empty text", "", "write something, or leave the line out"),
            Self::OpenTake => {
                say("a figure with no value", "", "in a sheet a take has a value, or comes from basis")
            }
            Self::SourceOfBasis => {
                say("a figure from the basis brings its own source", "", "take this 'by' out")
            }
            Self::RangeUpsideDown => {
                say("a range whose low end is above its high end", "", "write within LOW .. HIGH")
            }
            Self::NotWithin { value, range } => say(
                format!("the default {value} lies outside {range}"),
                "",
                "change the default or the range",
            ),
            Self::NotOneOf { value } => say(
                format!("the default {value} is none of the choices"),
                "",
                "add it to the choices, or choose one of them",
            ),
            Self::KindDiffers { what, expected, found, unit } => say(
                format!("{what} is {found}, the line is {expected}"),
                "",
                if unit.is_empty() { format!("write {expected}") } else { format!("write it in {unit}") },
            ),
            Self::OnlyOfNumbers { what } => say(
                format!("{what} on what has none"),
                "",
                format!("only numbers, with or without a unit, have {what}: take it out, or write a limit"),
            ),
            _ => return None,
        })
    }
}

/// The statements of a sheet.
pub(super) const STATEMENTS: &[&str] = &[
    "title", "revision", "about", "caution", "source", "given", "take", "find", "must", "should", "schedule",
    "table", "chart", "example",
];

fn names_of_functions() -> String {
    FUNCTIONS.iter().map(|entry| entry.name).collect::<Vec<_>>().join(", ")
}

fn did_you_mean(near: Option<&str>, known: &[&str]) -> String {
    match near {
        Some(near) => format!("did you mean '{near}'?"),
        None if known.is_empty() => "take this line out".to_owned(),
        None => format!("known here: {}", known.join(", ")),
    }
}
