//! What can be wrong with names, kinds and order.
//!
//! In: nothing. Out: the kinds of fault and their words.
//! Never: finds a fault; the files beside it do.

use crate::fault::{Wording, round_of, say, told};
use crate::sheet::model::Is;
use crate::sheet::token::Op;
use crate::unit::Unit;

/// What is wrong with names, kinds or order.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs, reason = "each variant's words stand in `wording`")]
pub enum Wrong {
    UnknownName { found: String, near: Option<String>, unit: bool },
    UnknownRows { found: String, near: Option<String>, known: Vec<String> },
    UnknownColumn { of: String, found: String, near: Option<String> },
    RowInLink { schedule: String, column: String, named_by: String, row: String },
    TableAtPrompt { table: String },
    ColumnAlone { name: String },
    DottedInside { schedule: String, column: String },
    ScheduleAlone { name: String },
    LimitAsValue { name: String },
    NotSameRows { rows: String, other: String },
    NoRows { function: &'static str },
    OnRowsOnly { function: &'static str, schedule: Option<String> },
    Differ { op: Op, left: Is, right: Is },
    Wanted { what: String, wanted: &'static str, found: Is },
    ValueKind { name: String, wanted: Is, found: Is, cure: String },
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
    NotColumnOf { table: String, found: String, near: Option<String>, known: Vec<String> },
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
        match self {
            Self::UnknownName { found, near, unit } => unknown_name(found, near.as_deref(), *unit),
            Self::UnknownRows { found, near, known } => unknown_rows(found, near, known),
            Self::UnknownColumn { of, found, near } => unknown_column(of, found, near),
            Self::RowInLink { schedule, column, named_by, row } => {
                row_in_link(schedule, column, named_by, row)
            }
            Self::TableAtPrompt { table } => table_at_prompt(table),
            Self::ColumnAlone { name } => column_alone(name),
            Self::DottedInside { schedule, column } => dotted_inside(schedule, column),
            Self::ScheduleAlone { name } => schedule_alone(name),
            Self::LimitAsValue { name } => limit_as_value(name),
            Self::NotSameRows { rows, other } => not_same_rows(rows, other),
            Self::NoRows { function } => no_rows(function),
            Self::OnRowsOnly { function, schedule } => on_rows_only(function, schedule.as_deref()),
            Self::Differ { op, left, right } => differ(*op, *left, *right),
            Self::Wanted { what, wanted, found } => self::wanted(what, wanted, *found),
            Self::ValueKind { name, wanted, found, cure } => value_kind(name, *wanted, *found, cure),
            Self::Formula { line, unit, found } => formula_kind(*line, unit, *found),
            Self::ShownIn { unit, found } => shown_in(unit, *found),
            Self::Arguments { form, found } => {
                told(format!("{} here", values(*found)), format!("write {form}"))
            }
            Self::PowerKind => told("the power of a quantity must be a number written out", NUMBER),
            Self::PowerOf { dimension } => told(no_quantity("this power", *dimension), HALVES),
            Self::RootOf { dimension } => told(no_quantity("the root", *dimension), ROOT),
            Self::TooLargeDimension => {
                told("the unit of this result is out of all measure", "check the powers")
            }
            Self::ExactText => told("texts are compared with == and != only", "write == or !="),
            Self::NotAChoice { value, known } => not_a_choice(value, known),
            Self::TableWanted { form } => told("a table's column is due here", format!("write {form}")),
            Self::NotColumnOf { table, found, near, known } => not_column_of(table, found, near, known),
            Self::KeysDoNotRise { column, gap } => keys_do_not_rise(column, *gap),
            Self::BetweenTexts => say("nothing lies between two texts", "a column of texts", BETWEEN),
            Self::Twice { name } => say(format!("a second '{name}'"), "named again here", ANOTHER_NAME),
            Self::ColumnNamedAsLine { name } => column_named_as_line(name),
            Self::Loop { names } => say(round(names), "the loop starts here", BREAK_IT),
            Self::UnknownSource { found, near } => unknown("source", found, near, SOURCE),
            Self::UnknownTable { found, near } => unknown("table", found, near, TABLE),
            Self::UnknownSchedule { found, near } => unknown("schedule", found, near, "correct the name"),
            Self::NoTableFile { name } => say(format!("no table file '{name}'"), "no such file", FILE),
            Self::TableUnnamed { name } => table_unnamed(name),
            Self::ColumnTaken { table, column } => column_taken(table, column),
            Self::GivenOfTable { schedule } => given_of_table(schedule),
            Self::NotInBasis { basis, name, what, near } => not_in_basis(basis, name, what, near),
            Self::BasisKind { basis, name, there, here } => basis_kind(basis, name, *there, *here),
            Self::NoCitation { basis, name } => no_citation(basis, name),
            Self::NotGiven { name, what } => told(format!("'{name}' is not {what}"), name_of(what)),
            Self::RowWanted { schedule, column } => row_wanted(schedule, column),
            Self::NoSuchRow { found, schedule, known } => no_such_row(found, schedule, known),
            Self::ChartColumns => told("a chart's two columns belong to one schedule", CHART),
            Self::ChartLine { up, found } => chart_line(*up, *found),
        }
    }
}

const NUMBER: &str = "write a number, such as 2 or 0.5";
const HALVES: &str = "powers go in halves: 2, 0.5, -1";
const ROOT: &str = "check what is under the root";
const BETWEEN: &str = "write lookup or next_size";
const ANOTHER_NAME: &str = "give one of them another name";
const BREAK_IT: &str = "break it: work one of them out from something else";
const SOURCE: &str = "write: source NAME \"document\", or cite practice";
const TABLE: &str = "write: table NAME \"file\", or: table NAME from basis";
const FILE: &str = "put it beside this one (its name ends in .toml), or correct its name";
const CHART: &str = "write: across schedule.name and up schedule.name";

fn unknown_name(found: &str, near: Option<&str>, unit: bool) -> Wording {
    let meant = near.map(|near| format!("did you mean '{near}'?"));
    let meant = meant.or_else(|| unit.then(|| "a unit stands only after a number".to_owned()));
    let or = |otherwise: &str| meant.clone().unwrap_or_else(|| otherwise.to_owned());
    say(
        format!("no line '{found}'"),
        "not a line here",
        or("write a given, take or find of that name, or correct this one"),
    )
    .at_prompt(or("a sheet's name alone shows its lines"))
}

fn unknown_rows(found: &str, near: &Option<String>, known: &[String]) -> Wording {
    let otherwise = match known {
        [] => "this sheet has no table and no schedule".to_owned(),
        [one] => format!("here is {one}"),
        known => format!("here are {}", known.join(", ")),
    };
    say(format!("no table or schedule '{found}'"), "neither of them", suggest(near, &otherwise))
}

fn unknown_column(of: &str, found: &str, near: &Option<String>) -> Wording {
    say(
        format!("'{of}' has no column '{found}'"),
        "not a column",
        suggest(near, "write one, or correct this one"),
    )
    .at_prompt(suggest(near, "its own name alone shows its columns"))
}

fn row_in_link(schedule: &str, column: &str, named_by: &str, row: &str) -> Wording {
    let cure = format!("say it as: first({schedule}.{column}, {schedule}.{named_by} == \"{row}\")");
    told("a link cannot name a row", cure)
}

fn table_at_prompt(table: &str) -> Wording {
    say(
        format!("'{table}' is a table, and tables are read in sheets only"),
        "a table",
        "name the line that looks it up: its name alone shows its formula",
    )
}

fn column_alone(name: &str) -> Wording {
    say(
        format!("'{name}' is a column and has a value on every row"),
        "many values",
        format!("say which is meant: sum({name}), min({name}), first({name}, …)"),
    )
}

fn dotted_inside(schedule: &str, column: &str) -> Wording {
    told(
        format!("inside the schedule '{schedule}' its columns go by their bare names"),
        format!("write {column} for this row's value"),
    )
}

fn schedule_alone(name: &str) -> Wording {
    told(
        format!("'{name}' is rows, not a value"),
        format!("write {name}.column inside a function, or count({name})"),
    )
}

fn limit_as_value(name: &str) -> Wording {
    say(
        format!("'{name}' is a limit, and a limit is not a value"),
        "a limit",
        "write its condition as a find with the unit 'flag', and use that in both",
    )
    .at_prompt("its name alone shows how it stands; write its condition out to use it")
}

fn not_same_rows(rows: &str, other: &str) -> Wording {
    say(
        format!("columns of '{rows}' and of '{other}' in one function"),
        "other rows",
        "a function works over the rows of one schedule or table",
    )
}

fn no_rows(function: &str) -> Wording {
    say(
        format!("'{function}' works over rows, and here are none"),
        "no column in it",
        format!("write {function}(schedule.column)"),
    )
}

fn on_rows_only(function: &str, schedule: Option<&str>) -> Wording {
    let cure = match schedule {
        Some(schedule) => format!("write it as a find inside the schedule '{schedule}'"),
        None => "write it as a find in the schedule, of one of its columns".to_owned(),
    };
    say(format!("'{function}' works inside a schedule, and has a value on every row"), "many values", cure)
}

fn wanted(what: &str, wanted: &str, found: Is) -> Wording {
    let found = found.name();
    say(format!("{what} is {found}, and {wanted} is due"), found, format!("write {wanted}"))
}

fn value_kind(name: &str, wanted: Is, found: Is, cure: &str) -> Wording {
    let found = found.name();
    say(format!("the value of '{name}' is {found}, and {} is due", wanted.name()), found, cure)
}

fn shown_in(unit: &Unit, found: Is) -> Wording {
    let title = format!("this is {}, and '{}' is {}", found.name(), unit.symbol(), Is::of(unit).name());
    let cure = match found {
        Is::Quantity(dimension) => format!("write a unit of it: in {}", Unit::usual(dimension).symbol()),
        Is::Point | Is::Flag | Is::Date | Is::Text | Is::Unknown => "take 'in' and the unit out".to_owned(),
    };
    say(title, found.name(), cure)
}

fn no_quantity(what: &str, dimension: Is) -> String {
    format!("{what} of {} is no quantity", dimension.name())
}

fn not_a_choice(value: &str, known: &[String]) -> Wording {
    let bare = |text: &str| text.to_lowercase().replace(' ', "");
    let same = known.iter().find(|choice| bare(choice) == bare(value));
    let cure = match known.len() {
        _ if same.is_some() => suggest(&same.cloned(), ""),
        0..=12 => format!("choices are {}", known.join(", ")),
        _ => "write one of the choices as they are listed".to_owned(),
    };
    say(format!("'{value}' is not one of the choices"), "never so", cure)
}

fn not_column_of(table: &str, found: &str, near: &Option<String>, known: &[String]) -> Wording {
    say(
        format!("the table '{table}' has no column '{found}'"),
        "not a column",
        suggest(near, &format!("its columns are {}", known.join(", "))),
    )
}

fn keys_do_not_rise(column: &str, gap: bool) -> Wording {
    let need = "next_size and interpolate need a column";
    if gap {
        return told(
            format!("'{column}' has a cell that is missing"),
            format!("{need} with a number on every row"),
        );
    }
    told(format!("the values of '{column}' do not rise"), format!("{need} whose values rise from row to row"))
}

fn column_named_as_line(name: &str) -> Wording {
    say(format!("the column '{name}' has the name of a line outside"), "reads two ways", ANOTHER_NAME)
}

fn round(names: &[String]) -> String {
    format!("these lines go round in a loop: {}", round_of(names))
}

fn unknown(what: &str, found: &str, near: &Option<String>, otherwise: &str) -> Wording {
    say(format!("no {what} '{found}'"), format!("not a {what}"), suggest(near, otherwise))
}

fn table_unnamed(name: &str) -> Wording {
    told(format!("the table '{name}' without its file"), format!("write: table {name} \"FILE\""))
}

fn column_taken(table: &str, column: &str) -> Wording {
    told(
        format!("the table '{table}' has a column '{column}', a word of the language"),
        "no formula could use it: give the column another name",
    )
}

fn given_of_table(schedule: &str) -> Wording {
    say(
        "a given in rows that come from a table",
        "nobody could enter it",
        format!("write it as a given above, or take 'from' off the schedule '{schedule}'"),
    )
}

fn not_in_basis(basis: &str, name: &str, what: &str, near: &Option<String>) -> Wording {
    say(
        format!("the basis '{basis}' has no {what} '{name}'"),
        "not in the basis",
        suggest(near, "add it to the basis, or say there: without NAME \"reason\""),
    )
}

fn basis_kind(basis: &str, name: &str, there: Is, here: Is) -> Wording {
    say(
        format!("'{name}' is {} in the basis '{basis}' and {} here", there.name(), here.name()),
        here.name(),
        "make the two agree",
    )
}

fn no_citation(basis: &str, name: &str) -> Wording {
    told(
        format!("the basis '{basis}' cites nothing for '{name}'"),
        "add to the basis: cite NAME, with a line 'by' under it",
    )
}

fn name_of(what: &str) -> String {
    format!("write the name of {what}")
}

fn row_wanted(schedule: &str, column: &str) -> Wording {
    told(format!("'{column}' has a value on every row"), format!("say which row: {schedule}.1.{column}"))
}

fn chart_line(up: Is, found: Is) -> Wording {
    say(
        format!("this line is {}, and what goes up is {}", found.name(), up.name()),
        found.name(),
        format!("write {}", up.name()),
    )
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
    let cure = if is_coulomb(left, right) || is_coulomb(right, left) {
        COULOMB.to_owned()
    } else if reciprocal(left, right) {
        format!("one is the other's reciprocal: is one upside down? {cure}")
    } else {
        cure
    };
    say(title, r, cure)
}

fn sum_cure(sign: &str, left: Is, right: Is) -> String {
    match (left, right) {
        (Is::Text, Is::Text) => "write one text with {name} where a value belongs".to_owned(),
        (Is::Flag, Is::Flag) => "write 'and' or 'or'; count(…) counts rows where a flag holds".to_owned(),
        (Is::Point, _) | (_, Is::Point) => {
            "a temperature takes a difference in K, after it; two temperatures are only subtracted".to_owned()
        }
        (Is::Date, _) | (_, Is::Date) => {
            "a date takes a time, after it; two dates are only subtracted".to_owned()
        }
        _ => format!("both sides of {sign} must be of one kind"),
    }
}

fn formula_kind(line: Is, unit: &str, found: Is) -> Wording {
    let declared = if unit.is_empty() { line.name() } else { format!("'{unit}', {}", line.name()) };
    let turned =
        if reciprocal(line, found) { "one is the other's reciprocal: is it upside down? " } else { "" };
    if is_coulomb(line, found) {
        return say(
            format!("the formula gives {}, and the line is {declared}", found.name()),
            found.name(),
            COULOMB,
        );
    }
    say(
        format!("the formula gives {}, and the line is {declared}", found.name()),
        found.name(),
        format!("{turned}change the formula, or the unit of the line"),
    )
    .at_prompt(format!("{turned}change the formula"))
}

const COULOMB: &str = "C is coulomb: for a temperature write degC";

fn is_coulomb(line: Is, found: Is) -> bool {
    line == Is::Point && found.name() == "charge"
}

fn reciprocal(left: Is, right: Is) -> bool {
    matches!((left, right), (Is::Quantity(a), Is::Quantity(b)) if a.inverse() == b && a != b)
}
