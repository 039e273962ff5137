//! What can be wrong with names, kinds and order.
//!
//! In: nothing. Out: the kinds of fault and their words.
//! Never: finds a fault; the files beside it do.

use crate::fault::{Wording, round_of, say};
use crate::sheet::model::Is;
use crate::sheet::token::Op;
use crate::unit::Unit;

/// What is wrong with names, kinds or order.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs, reason = "each variant's words stand in `wording`")]
pub enum Wrong {
    UnknownName { found: String, near: Option<String>, unit: bool },
    UnknownColumn { of: String, found: String, near: Option<String> },
    RowInLink { schedule: String, column: String, named_by: String, row: String },
    TableAtPrompt { table: String },
    ColumnAlone { name: String },
    DottedInside { schedule: String, column: String },
    ScheduleAlone { name: String },
    LimitAsValue { name: String },
    NotSameRows { rows: String, other: String },
    NoRows { function: &'static str },
    Differ { op: Op, left: Is, right: Is },
    Wanted { what: String, wanted: &'static str, found: Is },
    Formula { line: Is, unit: String, found: Is },
    ShownIn { unit: Unit, found: Is },
    Arguments { form: &'static str, found: usize },
    PowerKind,
    PowerOf { dimension: Is },
    RootOf { dimension: Is },
    TooLargeDimension,
    ExactText,
    NotAChoice { value: String, known: Vec<String> },
    TableWanted { form: &'static str },
    NotColumnOf { table: String, found: String, near: Option<String> },
    KeysDoNotRise { column: String, gap: bool },
    BetweenTexts,
    Twice { name: String },
    ColumnNamedAsLine { name: String },
    Loop { names: Vec<String> },
    UnknownSource { found: String, near: Option<String> },
    UnknownTable { found: String, near: Option<String> },
    UnknownSchedule { found: String, near: Option<String> },
    NoTableFile { name: String },
    TableUnnamed { name: String },
    ColumnTaken { table: String, column: String },
    GivenOfTable { schedule: String },
    NotInBasis { basis: String, name: String, what: &'static str, near: Option<String> },
    BasisKind { basis: String, name: String, there: Is, here: Is },
    NoCitation { basis: String, name: String },
    NotGiven { name: String, what: &'static str },
    RowWanted { schedule: String, column: String },
    NoSuchRow { found: String, schedule: String, known: Vec<String> },
    ChartColumns,
    ChartLine { up: Is, found: Is },
}

impl Wrong {
    /// Returns what is wrong, what the place is, what to do.
    pub fn wording(&self) -> Wording {
        self.of_name()
            .or_else(|| self.of_line())
            .or_else(|| self.of_kind())
            .or_else(|| self.of_choice())
            .or_else(|| self.of_basis())
            .or_else(|| self.of_page())
            .unwrap_or_default()
    }

    fn of_name(&self) -> Option<Wording> {
        Some(match self {
            Self::UnknownName { found, near, unit } => say(
                format!("no line '{found}'"),
                "not a line here",
                match (near, unit) {
                    (Some(near), _) => format!("did you mean '{near}'?"),
                    (None, true) => "a unit stands only after a number".to_owned(),
                    (None, false) => {
                        "write a given, take or find of that name, or correct this one".to_owned()
                    }
                },
            )
            .at_prompt(match (near, unit) {
                (Some(near), _) => format!("did you mean '{near}'?"),
                (None, true) => "a unit stands only after a number".to_owned(),
                (None, false) => "a sheet's name alone shows its lines".to_owned(),
            }),
            Self::TableAtPrompt { table } => say(
                format!("'{table}' is a table, and tables are read in sheets only"),
                "a table",
                "name the line that looks it up: its name alone shows its formula",
            ),
            Self::UnknownColumn { of, found, near } => say(
                format!("'{of}' has no column '{found}'"),
                "not a column",
                suggest(near, "write one, or correct this one"),
            )
            .at_prompt(suggest(near, "its own name alone shows its columns")),
            Self::RowInLink { schedule, column, named_by, row } => say(
                "a link cannot name a row",
                "",
                format!("say it as: first({schedule}.{column}, {schedule}.{named_by} == \"{row}\")"),
            ),
            Self::ColumnAlone { name } => say(
                format!("'{name}' is a column and has a value on every row"),
                "many values",
                format!("say which is meant: sum({name}), min({name}), first({name}, …)"),
            ),
            Self::DottedInside { schedule, column } => say(
                format!("inside the schedule '{schedule}' its columns go by their bare names"),
                "",
                format!("write {column} for this row's value"),
            ),
            Self::ScheduleAlone { name } => say(
                format!("'{name}' is rows, not a value"),
                "",
                format!("write {name}.column inside a function, or count({name})"),
            ),
            _ => return None,
        })
    }

    fn of_line(&self) -> Option<Wording> {
        Some(match self {
            Self::LimitAsValue { name } => say(
                format!("'{name}' is a limit, and a limit is not a value"),
                "a limit",
                "write its condition as a find with the unit 'flag', and use that in both",
            )
            .at_prompt("its name alone shows how it stands; write its condition out to use it"),
            Self::Twice { name } => {
                say(format!("a second '{name}'"), "named again here", "give one of them another name")
            }
            Self::ColumnNamedAsLine { name } => say(
                format!("the column '{name}' has the name of a line outside"),
                "reads two ways",
                "give one of them another name",
            ),
            Self::Loop { names } => say(
                format!("these lines go round in a loop: {}", round_of(names)),
                "the loop starts here",
                "break it: work one of them out from something else",
            ),
            _ => return None,
        })
    }

    fn of_kind(&self) -> Option<Wording> {
        Some(match self {
            Self::Differ { op, left, right } => differ(*op, *left, *right),
            Self::Wanted { what, wanted, found } => say(
                format!("{what} is {}, and {wanted} is due", found.name()),
                found.name(),
                format!("write {wanted}"),
            ),
            Self::Formula { line, unit, found } => formula_kind(*line, unit, *found),
            Self::ShownIn { unit, found } => {
                let title =
                    format!("this is {}, and '{}' is {}", found.name(), unit.symbol(), Is::of(unit).name());
                say(
                    title,
                    found.name(),
                    match found {
                        Is::Quantity(dimension) => {
                            format!("write a unit of it: in {}", Unit::usual(*dimension).symbol())
                        }
                        _ => "take 'in' and the unit out".to_owned(),
                    },
                )
            }
            Self::Arguments { form, found } => {
                say(format!("{} here", values(*found)), "", format!("write {form}"))
            }
            Self::NoRows { function } => say(
                format!("'{function}' works over rows, and here are none"),
                "no column in it",
                format!("write {function}(schedule.column)"),
            ),
            Self::NotSameRows { rows, other } => say(
                format!("columns of '{rows}' and of '{other}' in one function"),
                "other rows",
                "a function works over the rows of one schedule or table",
            ),
            Self::PowerKind => say(
                "the power of a quantity must be a number written out",
                "",
                "write a number, such as 2 or 0.5",
            ),
            Self::PowerOf { dimension } => say(
                format!("this power of {} is no quantity", dimension.name()),
                "",
                "powers go in halves: 2, 0.5, -1",
            ),
            Self::RootOf { dimension } => say(
                format!("the root of {} is no quantity", dimension.name()),
                "",
                "check what is under the root",
            ),
            Self::TooLargeDimension => {
                say("the unit of this result is out of all measure", "", "check the powers")
            }
            _ => return None,
        })
    }

    fn of_choice(&self) -> Option<Wording> {
        Some(match self {
            Self::ExactText => say("texts are compared with == and != only", "", "write == or !="),
            Self::NotAChoice { value, known } => say(
                format!("'{value}' is none of the choices"),
                "never so",
                if known.len() > 12 {
                    "write one of the choices as they are listed".to_owned()
                } else {
                    format!("choices are {}", known.join(", "))
                },
            ),
            Self::TableWanted { form } => say("a table's column is due here", "", format!("write {form}")),
            Self::NotColumnOf { table, found, near } => say(
                format!("the table '{table}' has no column '{found}'"),
                "not a column",
                suggest(near, "correct the name"),
            ),
            Self::BetweenTexts => {
                say("nothing lies between two texts", "a column of texts", "write lookup or next_size")
            }
            Self::KeysDoNotRise { column, gap: true } => say(
                format!("'{column}' has a cell that is missing"),
                "",
                "next_size and interpolate need a column with a number on every row",
            ),
            Self::KeysDoNotRise { column, gap: false } => say(
                format!("the values of '{column}' do not rise"),
                "",
                "next_size and interpolate need a column whose values rise from row to row",
            ),
            _ => return None,
        })
    }

    fn of_basis(&self) -> Option<Wording> {
        Some(match self {
            Self::NotInBasis { basis, name, what, near } => say(
                format!("the basis '{basis}' has no {what} '{name}'"),
                "not in the basis",
                suggest(near, "add it to the basis, or say there: without NAME \"reason\""),
            ),
            Self::BasisKind { basis, name, there, here } => say(
                format!("'{name}' is {} in the basis '{basis}' and {} here", there.name(), here.name()),
                here.name(),
                "make the two agree",
            ),
            Self::NoCitation { basis, name } => say(
                format!("the basis '{basis}' cites nothing for '{name}'"),
                "",
                "add to the basis: cite NAME, with a line 'by' under it",
            ),
            _ => return None,
        })
    }

    fn of_page(&self) -> Option<Wording> {
        Some(match self {
            Self::UnknownSource { found, near } => say(
                format!("no source '{found}'"),
                "not a source",
                suggest(near, "write: source NAME \"document\", or cite practice"),
            ),
            Self::UnknownTable { found, near } => say(
                format!("no table '{found}'"),
                "not a table",
                suggest(near, "write: table NAME \"file\", or: table NAME from basis"),
            ),
            Self::UnknownSchedule { found, near } => {
                say(format!("no schedule '{found}'"), "not a schedule", suggest(near, "correct the name"))
            }
            Self::NoTableFile { name } => say(
                format!("no table file '{name}'"),
                "no such file",
                "put it beside this one (its name ends in .toml), or correct its name",
            ),
            Self::TableUnnamed { name } => say(
                format!("the table '{name}' without its file"),
                "",
                format!("write: table {name} \"FILE\""),
            ),
            Self::ColumnTaken { table, column } => say(
                format!("the table '{table}' has a column '{column}', a word of the language"),
                "",
                "no formula could use it: give the column another name",
            ),
            Self::GivenOfTable { schedule } => say(
                "a given in rows that come from a table",
                "nobody could enter it",
                format!("write it as a given above, or take 'from' off the schedule '{schedule}'"),
            ),
            Self::NotGiven { name, what } => {
                say(format!("'{name}' is not {what}"), "", format!("write the name of {what}"))
            }
            Self::RowWanted { schedule, column } => say(
                format!("'{column}' has a value on every row"),
                "",
                format!("say which row: {schedule}.1.{column}"),
            ),
            Self::NoSuchRow { found, schedule, known } => no_such_row(found, schedule, known),
            Self::ChartLine { up, found } => say(
                format!("this line is {}, and what goes up is {}", found.name(), up.name()),
                found.name(),
                format!("write {}", up.name()),
            ),
            Self::ChartColumns => say(
                "a chart's two columns belong to one schedule",
                "",
                "write: across schedule.name and up schedule.name",
            ),
            _ => return None,
        })
    }
}

fn no_such_row(found: &str, schedule: &str, known: &[String]) -> Wording {
    const MOST_NAMED: usize = 6;
    let named: Vec<String> =
        known.iter().filter(|name| !name.is_empty()).map(|name| format!("\"{name}\"")).collect();
    let cure = match (known.len(), named.len()) {
        (0, _) => format!("the example has no row of it: write row {schedule} NAME = VALUE, …"),
        (rows, 0) => format!("write the row's number, 1 to {rows}"),
        (rows, 1..=MOST_NAMED) => {
            format!("write the row's number, 1 to {rows}, or its first text: {}", named.join(", "))
        }
        (rows, _) => format!("write the row's number, 1 to {rows}, or its first text in quotes"),
    };
    say(format!("no row '{found}' in '{schedule}' of this example"), "", cure)
}

fn suggest(near: &Option<String>, otherwise: &str) -> String {
    near.as_ref().map_or_else(|| otherwise.to_owned(), |near| format!("did you mean '{near}'?"))
}

fn values(count: usize) -> String {
    match count {
        0 => "no value".to_owned(),
        1 => "one value".to_owned(),
        n => format!("{n} values"),
    }
}

/// A mismatch names both sides, and says when one is the other's reciprocal.
fn differ(op: Op, left: Is, right: Is) -> Wording {
    let (l, r) = (left.name(), right.name());
    let (title, cure) = match op {
        Op::And | Op::Or => {
            (format!("{l} {} {r}", op.word()), "both sides of 'and' and 'or' are yes or no".to_owned())
        }
        Op::Add => (format!("{l} plus {r}"), sum_cure("+", left, right)),
        Op::Subtract => (format!("{l} minus {r}"), sum_cure("-", left, right)),
        Op::Multiply | Op::Divide => (
            format!("{l} {} {r}", if op == Op::Multiply { "times" } else { "divided by" }),
            "only quantities are multiplied and divided".to_owned(),
        ),
        Op::Power => (format!("{l} to the power of {r}"), "a power is a plain number".to_owned()),
        Op::Less | Op::AtMost | Op::More | Op::AtLeast | Op::Equal | Op::Differs => {
            (format!("{l} compared with {r}"), "compare things of one kind".to_owned())
        }
    };
    let cure = if reciprocal(left, right) {
        format!("one is the other's reciprocal: is one upside down? {cure}")
    } else {
        cure
    };
    Wording::new(title, r, cure)
}

fn sum_cure(sign: &str, left: Is, right: Is) -> String {
    match (left, right) {
        (Is::Text, Is::Text) => "write one text with {name} where a value belongs".to_owned(),
        (Is::Flag, Is::Flag) => "write 'and' or 'or'; count(…) counts rows where a flag holds".to_owned(),
        (Is::Point, _) | (_, Is::Point) => {
            "a temperature takes a difference in K, behind it; two temperatures are only subtracted"
                .to_owned()
        }
        (Is::Date, _) | (_, Is::Date) => {
            "a date takes a time, behind it; two dates are only subtracted".to_owned()
        }
        _ => format!("both sides of {sign} must be of one kind"),
    }
}

fn formula_kind(line: Is, unit: &str, found: Is) -> Wording {
    let declared = if unit.is_empty() { line.name() } else { format!("'{unit}', {}", line.name()) };
    let turned =
        if reciprocal(line, found) { "one is the other's reciprocal: is it upside down? " } else { "" };
    Wording::new(
        format!("the formula gives {}, and the line is {declared}", found.name()),
        found.name(),
        format!("{turned}change the formula, or the unit of the line"),
    )
    .at_prompt(format!("{turned}change the formula"))
}

fn reciprocal(left: Is, right: Is) -> bool {
    matches!((left, right), (Is::Quantity(a), Is::Quantity(b)) if a.inverse() == b && a != b)
}
