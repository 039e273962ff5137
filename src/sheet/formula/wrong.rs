//! What can be wrong in a formula, before any name is settled.
//!
//! In: nothing. Out: the kinds and their words.
//! Never: finds a fault; the lexer and the walk do.

use crate::fault::{Wording, near, say, typed_otherwise};
use crate::sheet::function::FUNCTIONS;

/// What is wrong with a formula.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs, reason = "each variant's words stand in `wording`")]
pub enum Wrong {
    ValueBefore { found: String },
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
    NotAUnit { found: String, number: String },
    PowerOfUnit,
    FunctionAlone { form: &'static str },
    UnknownFunction { found: String, near: Option<&'static str> },
    NotOurs { found: String, cure: &'static str },
    BracketsWanted { what: &'static str, cure: String },
    Misread,
}

impl Wrong {
    /// Returns the fault of a word that is no function, with the nearest that is.
    pub fn unknown_function(found: &str) -> Self {
        let near = near(found, FUNCTIONS.iter().map(|entry| entry.name));
        Self::UnknownFunction { found: found.to_owned(), near }
    }

    /// Returns what is wrong, what the place is, what to do.
    pub fn wording(&self) -> Wording {
        match self {
            Self::ValueBefore { found } => value_before(found),
            Self::ValueAfter => say("a value is missing after this", "ends here", WORKED_WITH),
            Self::OperatorBefore => say("an operator is missing before this", "an operator is due", OPERATOR),
            Self::InchBefore { number, unit } => {
                say("'in' right after a number is inches", "", inch(number, unit))
            }
            Self::NoOperator { found } => no_operator(found),
            Self::SingleEquals => say("a single = compares nothing", "", "write == to compare"),
            Self::NeverClosed => say("a bracket that is never closed", "opened here", "close it with )"),
            Self::NeverOpened => say("a closing bracket without its opening one", "", NEVER_OPENED),
            Self::CommaAlone => say("a comma belongs between a function's values", "", DECIMAL),
            Self::UnitGlued { name, cure } => glued(name, cure),
            Self::UnitAlone { found } => unit_alone(found),
            Self::NotAUnit { found, number } => not_a_unit(found, number),
            Self::PowerOfUnit => {
                say("a number with a unit may not be followed by ^", "reads two ways", POWER)
            }
            Self::FunctionAlone { form } => say("a function without its values", "", format!("write {form}")),
            Self::UnknownFunction { found, near } => unknown_function(found, *near),
            Self::NotOurs { found, cure } => say(format!("'{found}' means nothing in a formula"), "", *cure),
            Self::BracketsWanted { what, cure } => say(*what, "reads two ways", cure.as_str()),
            Self::Misread => say("this formula could not be read", "", MISREAD),
        }
    }
}

const WORKED_WITH: &str = "write what it is worked with";
const OPERATOR: &str = "write + - * / or a comparison";
const NEVER_OPENED: &str = "take it out, or open one before";
const DECIMAL: &str = "a decimal is written with a point: 1.5";
const POWER: &str = "write (2 m)^2 for the power of all of it, or 2 m^2 for a unit's own";
const MISREAD: &str = "write it more simply, and report it: this is our fault";

fn value_before(found: &str) -> Wording {
    match typed_otherwise(found) {
        Some((shown, cure)) => say(format!("{shown} where a value is due"), "", cure),
        None => {
            say("a value is missing before this", "a value is due", "write a number, a name or a function")
        }
    }
}

fn inch(number: &str, unit: &str) -> String {
    format!("put brackets round what is to be shown in {unit}: (… * {number}) in {unit}")
}

fn no_operator(found: &str) -> Wording {
    match typed_otherwise(found) {
        Some((shown, cure)) => say(format!("{shown} where an operator is due"), "", cure),
        None => say(
            format!("'{found}' is not an operator"),
            "an operator is due",
            "operators are + - * / ^ < <= > >= == != and or",
        ),
    }
}

fn glued(name: &str, cure: &str) -> Wording {
    say(
        format!("'{name}' is glued to a unit"),
        "read as part of the unit",
        format!("a unit runs to the next space; to divide by {name} write {cure}"),
    )
}

fn unit_alone(found: &str) -> Wording {
    say(
        format!("'{found}' is a unit, and a unit stands only after a number"),
        "no number before it",
        "take it out: a name brings its own unit with it",
    )
}

fn not_a_unit(found: &str, number: &str) -> Wording {
    say(
        format!("no unit '{found}'"),
        "not a unit",
        format!("to multiply by a line write * between: {number} * {found}; 'wattle words' lists the units"),
    )
}

fn unknown_function(found: &str, near: Option<&str>) -> Wording {
    let names = || FUNCTIONS.iter().map(|entry| entry.name).collect::<Vec<_>>().join(", ");
    let cure = match near {
        Some(near) => format!("did you mean '{near}'?"),
        None => format!("functions are {}", names()),
    };
    say(format!("no function '{found}'"), "not a function", cure)
}
