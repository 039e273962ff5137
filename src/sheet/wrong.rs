//! What can be wrong with the text of a sheet or a basis, before any name is settled.
//!
//! In: nothing. Out: the kinds and their words.
//! Never: finds a fault; the reader does.

use crate::fault::{NAME_RULE, Wording, say, told, typed_otherwise, with_look_alike};
use crate::sheet::lex::{DEEPEST, MOST_SIGNS, MOST_TOKENS};
use crate::unit::{Quantity, Unit, date};

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
    Expected {
        what: &'static str,
        found: String,
    },
    Trailing {
        found: String,
    },
    Meant {
        found: String,
        near: &'static str,
    },
    BadName {
        found: String,
    },
    Hyphen {
        fits: String,
    },
    TakenName {
        name: String,
    },
    OpenQuote,
    OpenBrace {
        name: Option<String>,
    },
    LoneBrace,
    TooMuch(Limit),
    Tab,
    Tabs {
        lines: usize,
    },
    Empty,
    OtherFile {
        is: &'static str,
        fits: String,
    },
    NotUnder,
    NotInColumnOne,
    NotIndented,
    LeftSchedule {
        name: String,
    },
    UnknownStatement {
        found: String,
        near: Option<&'static str>,
        known: Vec<&'static str>,
    },
    NotInBasis {
        found: String,
        known: Vec<&'static str>,
    },
    UnknownDetail {
        found: String,
        of: &'static str,
        near: Option<&'static str>,
        known: Vec<&'static str>,
    },
    Twice {
        what: &'static str,
    },
    NoTitle,
    NothingStated,
    DetailWanted {
        of: &'static str,
        what: &'static str,
        cure: &'static str,
    },
    NoDetailsHere {
        of: &'static str,
    },
    GoesOn,
    FlagDefault,
    KindAlone {
        found: String,
    },
    CommaMissing,
    ClauseFirst,
    SecondFormula,
    OtherwiseLast,
    OtherwiseWanted,
    NotARevision {
        found: String,
    },
    Unquoted {
        found: String,
    },
    RowOfNothing {
        column: String,
    },
    EmptyText,
    OpenTake,
    TakeOfBasis,
    SourceOfBasis,
    RangeUpsideDown,
    NotWithin {
        value: String,
        range: String,
    },
    NotOneOf {
        value: String,
    },
    KindDiffers {
        what: &'static str,
        expected: String,
        found: String,
        unit: String,
    },
    OnlyOfNumbers {
        what: &'static str,
    },
    /// A plain number for a line in %; `basis` is where it stands, if not here.
    PercentWanted {
        number: f64,
        line: String,
        basis: Option<String>,
    },
}

impl Wrong {
    /// Returns what is wrong, what the place is, what to do.
    pub fn wording(&self) -> Wording {
        match self {
            Self::Expected { what, found } => expected(what, found),
            Self::Trailing { found } => trailing(found),
            Self::Meant { found, near } => told(not_here(found), format!("did you mean '{near}'?")),
            Self::BadName { found } => bad_name(found),
            Self::Hyphen { fits } => told("a name has no '-'", format!("write {fits}")),
            Self::TakenName { name } => told(a_word(name), "choose another name"),
            Self::OpenQuote => say(OPEN_QUOTE, OPENED, "close it with \""),
            Self::OpenBrace { name } => open_brace(name.as_deref()),
            Self::LoneBrace => told("a closing brace without its opening one", LONE),
            Self::TooMuch(limit) => too_much(*limit),
            Self::Tab => told("a tab in the indentation", "indent with spaces"),
            Self::Tabs { lines } => told(format!("tabs in the indentation, on {lines} lines"), TABS),
            Self::Empty => told("this file is empty", EMPTY),
            Self::OtherFile { is, fits } => told(format!("this is {is}"), format!("name the file {fits}")),
            Self::NotUnder => told("this line stands under no other", UNDER),
            Self::NotInColumnOne => told(NO_STATEMENT, COLUMN_ONE),
            Self::NotIndented => told("this line stands under the one above", "indent it by two spaces"),
            Self::LeftSchedule { name } => told(left(name), "indent it by two spaces"),
            Self::UnknownStatement { found, near, known } => unknown_statement(found, *near, known),
            Self::NotInBasis { found, known } => not_in_basis(found, known),
            Self::UnknownDetail { found, of, near, known } => unknown_detail(found, of, *near, known),
            Self::Twice { what: "by" } => told("a second 'by'", BY_TWICE),
            Self::Twice { what } => told(format!("a second '{what}'"), "keep one"),
            Self::NoTitle => told("no title", "write: title What it works out"),
            Self::NothingStated => say(NOTHING, "nothing below it", STATE),
            Self::DetailWanted { of, what, cure } => told(format!("{of} without '{what}'"), *cure),
            Self::NoDetailsHere { of } => told(format!("{of} has no details"), "take this line out"),
            Self::GoesOn => told("a formula stands on one line", GOES_ON),
            Self::FlagDefault => told("a flag has no default", FLAG),
            Self::KindAlone { found } => kind_alone(found),
            Self::CommaMissing => say(COMMA, "a comma is due", "write a comma between values"),
            Self::ClauseFirst => told("a clause after 'unverified'", CLAUSE),
            Self::SecondFormula => say("a second formula", "the one above has no condition", SECOND),
            Self::OtherwiseLast => {
                say("a branch after 'otherwise'", "never reached", "'otherwise' comes last")
            }
            Self::OtherwiseWanted => say("no branch for all other cases", "the last branch", OTHERWISE),
            Self::NotARevision { found } => told(no_revision(found), "write a whole number from 1"),
            Self::Unquoted { found } => told("a text without quotes", format!("write \"{found}\"")),
            Self::RowOfNothing { column } => told(
                "a row without the schedule that it is of",
                format!("write: row SCHEDULE {column} = VALUE, …"),
            ),
            Self::EmptyText => told("an empty text", "write something, or leave the line out"),
            Self::OpenTake => told("a figure with no value", TAKEN),
            Self::TakeOfBasis => told("a basis takes no figure from itself", OWN_TAKE),
            Self::SourceOfBasis => told(OWN_SOURCE, "take this 'by' out"),
            Self::RangeUpsideDown => told(UPSIDE_DOWN, "write within LOW .. HIGH"),
            Self::NotWithin { value, range } => not_within(value, range),
            Self::NotOneOf { value } => not_one_of(value),
            Self::KindDiffers { what, expected, found, unit } => kind_differs(what, expected, found, unit),
            Self::OnlyOfNumbers { what } => told(format!("{what} on what has none"), only_of_numbers(what)),
            Self::PercentWanted { number, line, basis } => percent(*number, line, basis.as_deref()),
        }
    }
}

const TABS: &str = "indent with spaces throughout";
const EMPTY: &str = "begin with: title What it works out; or take the file away";
const UNDER: &str = "lines of one block stand exactly under each other";
const COLUMN_ONE: &str = "a statement starts in column one";
const LONE: &str = "write }} for a brace";
const BY_TWICE: &str = "one to a line; a second document goes into the note";
const FLAG: &str = "write ? flag: a person must say yes or no";
const CLAUSE: &str = "write it before: by SOURCE \"clause\" unverified";
const OTHERWISE: &str = "end with a line: = … otherwise";
const TAKEN: &str = "in a sheet a take has a value, or comes from basis";
const OWN_TAKE: &str = "write the value, or ? UNIT where nobody knows it";
const OWN_SOURCE: &str = "a figure from the basis brings its own source";
const UPSIDE_DOWN: &str = "a range whose low end is above its high end";
const NO_STATEMENT: &str = "an indented line with no statement above it";
const COMMA: &str = "a comma is missing before this";
const NOTHING: &str = "this sheet has no given, take, find or must";
const OPEN_QUOTE: &str = "a quoted text that does not end on its line";
const OPENED: &str = "opened here";
const STATE: &str = "write what is given and what is worked out: 'wattle words' lists the statements";
const GOES_ON: &str =
    "for a long one write a find for each part, or put all of it in brackets, which may go on below";
const SECOND: &str = "keep one, or add 'where' to all but the last: = a where condition";

fn left(schedule: &str) -> String {
    format!("this line left the schedule '{schedule}'")
}

fn a_word(name: &str) -> String {
    format!("'{name}' is a word of the language")
}

fn no_revision(found: &str) -> String {
    format!("'{found}' is not a revision")
}

fn not_within(value: &str, range: &str) -> Wording {
    told(format!("the default {value} lies outside {range}"), "change the default or the range")
}

fn not_one_of(value: &str) -> Wording {
    told(
        format!("the default {value} is not one of the choices"),
        "add it to the choices, or choose one of them",
    )
}

fn not_here(found: &str) -> String {
    format!("'{found}' does not belong here")
}

fn expected(what: &str, found: &str) -> Wording {
    if let Some(day) = date::day_first(found) {
        return told(format!("'{found}' is not a date"), format!("write {day}"));
    }
    // A remark in the middle of a sentence stands between two commas.
    let closed =
        if what.contains(',') && !what.ends_with(',') { format!("{what},") } else { what.to_owned() };
    let (what, cure) = (closed.as_str(), format!("write {closed} here"));
    if let Some((shown, cure)) = typed_otherwise(found) {
        return told(format!("{shown} where {what} is due"), cure);
    }
    match found {
        "" => say(format!("{what} is missing"), "ends here", cure),
        "=" => told(format!("'=' where {what} is due"), "take the = out; where one belongs, it is one ="),
        "without" => told(
            format!("'without' where {what} is due"),
            "it is a statement of its own: without NAME \"reason\"",
        ),
        _ => told(format!("'{found}' where {what} is due"), cure),
    }
}

fn trailing(found: &str) -> Wording {
    if let Some((shown, cure)) = typed_otherwise(found) {
        return told(format!("{shown} does not belong here"), cure);
    }
    match found {
        "in" => told(
            "a line is shown in the unit that stands after its name",
            "take this out and write the unit there: find NAME UNIT \"label\"",
        )
        .at_prompt("take it out: a value is shown in one unit"),
        "/" => told(not_here(found), "take it out; a remark begins with #"),
        _ => told(not_here(found), "take it out, or put it on a line of its own")
            .at_prompt("take it out, or type it as a line of its own"),
    }
}

fn bad_name(found: &str) -> Wording {
    told(with_look_alike(format!("'{found}' is not a name"), found), NAME_RULE)
}

fn open_brace(name: Option<&str>) -> Wording {
    let cure = match name {
        Some(name) => format!("write {{{name}}}, or {{{{ for a brace"),
        None => "write {name}, or {{ for a brace".to_owned(),
    };
    say("a brace that is not closed", OPENED, cure)
}

fn too_much(limit: Limit) -> Wording {
    let (what, most) = match limit {
        Limit::Tokens => ("pieces in one formula", MOST_TOKENS),
        Limit::Brackets => ("brackets in one another", DEEPEST),
        Limit::Signs => ("signs in a row", MOST_SIGNS),
        Limit::Branches => ("branches of one line", super::statement::MOST_BRANCHES),
        Limit::Levels => ("lines indented under one another", super::layout::MOST_LEVELS),
    };
    let cure = match limit {
        Limit::Levels => "indent it less",
        Limit::Tokens | Limit::Brackets | Limit::Signs | Limit::Branches => "write a find for each part",
    };
    told(format!("more than {most} {what}"), cure)
}

const REMARK: &str = "a remark begins with #, any other line with its word";

fn is_word(found: &str) -> bool {
    found.starts_with(|c: char| c.is_alphanumeric() || c == '_' || c == '=')
}

fn unknown_statement(found: &str, near: Option<&str>, known: &[&str]) -> Wording {
    let cure = if is_word(found) { did_you_mean(near, known) } else { REMARK.to_owned() };
    say(format!("no statement '{found}'"), "not a statement", cure)
}

fn not_in_basis(found: &str, known: &[&str]) -> Wording {
    told(format!("'{found}' does not stand in a basis"), format!("a basis holds {}", known.join(", ")))
}

fn unknown_detail(found: &str, of: &str, near: Option<&str>, known: &[&str]) -> Wording {
    let cure = if is_word(found) { did_you_mean(near, known) } else { REMARK.to_owned() };
    told(format!("{of} has no detail '{found}'"), cure)
}

fn kind_alone(found: &str) -> Wording {
    let cure = match found {
        "flag" | "date" | "text" => format!("write ? {found}"),
        unit => format!("write ? {unit} (open), or a default such as 1 {unit}"),
    };
    told(format!("'{found}' without ? or a value before it"), cure)
}

fn kind_differs(what: &str, expected: &str, found: &str, unit: &str) -> Wording {
    let cure = match (unit, found) {
        ("C", "a temperature") => "C is coulomb: write degC in the line".to_owned(),
        ("", _) => format!("write {expected}"),
        (unit, _) => format!("write it in {unit}"),
    };
    told(format!("{what} is {found}, the line is {expected}"), cure)
}

fn only_of_numbers(what: &str) -> String {
    format!("only numbers, with or without a unit, have {what}: take it out, or write a limit")
}

fn percent(number: f64, line: &str, basis: Option<&str>) -> Wording {
    let plain = |number: f64| Quantity::new(number, Unit::plain()).to_string();
    let (as_share, whole) = (plain(number), plain(number * 100.0));
    // A share of one is more likely than some hundredths of a percent.
    let (likely, other) = if number.abs() < 1.0 { (&whole, &as_share) } else { (&as_share, &whole) };
    match basis {
        None => say(
            format!("'{as_share}' has no unit, and {line} is in %"),
            format!("this is {whole} %"),
            format!("write {likely} %, or {other} % if that is meant"),
        ),
        Some(basis) => say(
            format!("{line} is {as_share} without a unit in the basis '{basis}', and in % here"),
            "in % here",
            format!("in {basis}.basis write {likely} %, or {other} % if that is meant"),
        ),
    }
}

fn did_you_mean(near: Option<&str>, known: &[&str]) -> String {
    match near {
        Some(near) => format!("did you mean '{near}'?"),
        None if known.is_empty() => "take this line out".to_owned(),
        None => format!("known here: {}", known.join(", ")),
    }
}
