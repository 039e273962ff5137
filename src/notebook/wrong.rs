//! What can be wrong between a job and its sheets.
//!
//! In: nothing. Out: the kinds of fault and their words.
//! Never: finds a fault; loading does.

mod review;
pub(super) mod then;
mod typed;

use crate::fault::{Wording, near, only_looks_like, round_of, say};
use crate::job::Place;
use crate::notebook::library::builtin;

/// What is wrong with a job, seen against its sheets.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs, reason = "each variant's words stand in `wording`")]
pub enum Wrong {
    NoBasis { found: String, near: Option<String>, around: bool },
    NoSheet { found: String, near: Option<String> },
    NoLine { sheet: String, found: String, near: Option<String>, what: &'static str, of: then::Revision },
    NotGiven { name: String, what: &'static str },
    OtherKey { name: String, is: &'static str, key: &'static str },
    NoJobSheet { found: String, known: Vec<String> },
    LinkMeant { found: String },
    HeadingBare { name: String, unit: String },
    UnitWanted { found: String, example: String, other: Option<String> },
    Kind { name: String, wanted: String, found: String },
    Outside { value: String, range: String, neighbour: Option<String>, csv: bool },
    NotAChoice { found: String, known: Vec<String>, near: Option<String> },
    DocumentWanted { name: String },
    InstrumentKind { instrument: String, name: String },
    NoCsv { found: String },
    CsvColumn { found: String, near: Option<String> },
    CsvLacks { name: String, schedule: String },
    RowName { found: String },
    LinkedRows { found: String },
    LinkedToItself { name: String },
    LinkOfNothing { value: String },
    FormulaInCsv,
    NotLinked,
    NumberStated { name: String },
    HowNotStated { name: String },
    FigureHow { name: String },
    HeadingScale { name: String, range: String, unit: String },
    HeadingUnit { name: String, wanted: String, unit: String },
    Loop { names: Vec<String> },
    RowsOfTable { name: String },
    NoteFirst,
    BehindValue { found: String, near: Option<&'static str> },
    NotALine { found: String },
    NotASchedule { found: String, known: Vec<String> },
    NotARow { found: String },
    NoColumn { schedule: String, found: String, known: Vec<String> },
    RowWanted { schedule: String, column: String },
    RowsLinked { name: String, link: String },
    NothingToConfirm { name: String },
    NoPlace,
    NothingToUndo,
    NothingToRedo,
    CannotGoBack { line: String },
    NoRoom { name: String },
    QuestionWanted,
    NoMoment { found: String },
    BeforeJournal { first: Option<String> },
    LostMoment { line: usize },
    MomentHere { job: String },
    NoSuchLine { line: usize, lines: usize },
    WhoWanted { who: Option<String> },
    AnothersChange { line: String, who: String, at: String },
    AllMarked { sheet: String },
    NoHashes { file: String },
    BehindMark { found: String },
    WordAlone { form: String },
    SeveralLines { found: String, names: Vec<String> },
    NoWord { found: String, near: Option<String> },
    UsedAs { found: String, names: Vec<String> },
    NoReport { why: String, cure: &'static str },
    NoSuchRow { found: String, schedule: String, near: Option<String>, rows: usize },
    DayOfJob,
    SumEntered { formula: String },
    EqualsMissing { form: String },
    CommaMissing { found: String },
    CellTwice { found: String },
    CommaInText { text: String },
    NotASheet { found: String, near: Option<String>, known: Vec<String> },
    NameTaken { found: String },
    AddSheet,
    LinkNoText { found: String },
    LinkMistyped { found: String, near: String },
    NoText { found: String },
    NumberWanted { found: String, example: String },
    NothingSaid { name: String },
    TopText { name: String },
    InstrumentForm,
    DateWanted { found: String, today: String },
}

impl Wrong {
    /// Returns the fault of a basis that cannot be had; `around` are those that extend it, `known` those in reach.
    pub fn no_basis(found: &str, around: &[String], known: &[String]) -> Self {
        let near = near(found, known.iter().map(String::as_str));
        let near = near.or_else(|| found.strip_suffix(".basis")).map(str::to_owned);
        Self::NoBasis { found: found.to_owned(), near, around: around.iter().any(|name| name == found) }
    }

    /// Returns what is wrong, what the place is, what to do.
    pub fn wording(&self) -> Wording {
        self.of_names()
            .or_else(|| self.of_files())
            .or_else(|| self.of_links())
            .or_else(|| self.of_rows())
            .or_else(|| self.of_headings())
            .or_else(|| self.of_typed())
            .or_else(|| self.of_asked())
            .or_else(|| self.of_history())
            .or_else(|| review::wording(self))
            .or_else(|| typed::of_form(self))
            .or_else(|| typed::of_top(self))
            .unwrap_or_else(|| self.of_values())
    }

    fn of_names(&self) -> Option<Wording> {
        Some(match self {
            Self::NoWord { found, near } => say(
                format!("nothing here is called '{found}'"),
                "",
                or_else(near, "a sheet's name alone shows its lines; help lists the words"),
            ),
            Self::UsedAs { found, names } => say(
                format!("the job has the sheet '{found}' under a name of its own"),
                "",
                format!("write {}", names.join(" or ")),
            ),
            Self::NoLine { sheet, found, near, what, of } => say(
                match only_looks_like(found) {
                    Some(letter) => format!("'{sheet}' has no {what} '{found}': {letter}"),
                    None => format!("'{sheet}' has no {what} '{found}'"),
                },
                "",
                of.then_or(or_else(near, &format!("'wattle sheets {}' shows the sheet's lines", of.name))),
            ),
            Self::NotGiven { name, what } => {
                say(format!("'{name}' is not {what}"), "", "only what a person gives can be entered")
            }
            Self::OtherKey { name, is, key: key @ "take" } => say(
                format!("'{name}' is {is}"),
                "",
                format!("write {key}.{name} = {{ value = \"VALUE\", by = \"the document\" }}"),
            ),
            Self::OtherKey { name, is, key } => {
                say(format!("'{name}' is {is}"), "", format!("write {key}.{name} = \"VALUE\""))
            }
            Self::NoJobSheet { found, known } => {
                say(format!("the job has no sheet '{found}'"), "", format!("it has {}", known.join(", ")))
            }
            _ => return None,
        })
    }

    fn of_files(&self) -> Option<Wording> {
        Some(match self {
            Self::NoBasis { found, around: true, .. } => say(
                format!("'{found}' extends itself"),
                "",
                match builtin::known(builtin::BASES, found) {
                    Some(_) => {
                        format!(
                            "a {found}.basis stands in for the built-in one: give it a name of its own, such as local.basis"
                        )
                    }
                    None => "extend another basis".to_owned(),
                },
            ),
            Self::NoBasis { found, near, .. } => say(
                format!("no basis '{found}'"),
                "not a basis",
                or_else(near, "built in are uk, au, nz and us; or put a file NAME.basis beside the job"),
            ),
            Self::NoSheet { found, near } => say(
                format!("no sheet '{found}'"),
                "not a sheet",
                or_else(near, "'wattle sheets' lists them; or put a file NAME.sheet beside the job"),
            ),
            _ => return None,
        })
    }

    fn of_links(&self) -> Option<Wording> {
        Some(match self {
            Self::LinkedRows { found } => say(
                format!("'{found}' is not a schedule of this job"),
                "",
                "write \"= SHEET.SCHEDULE\", with the sheet's 'as' name",
            ),
            Self::LinkedToItself { name } => say(
                format!("'{name}' is linked to itself"),
                "",
                "link the rows of another sheet, or write them",
            ),
            Self::LinkOfNothing { value } => say(
                "a link names a line of another sheet, and this names none",
                "",
                format!("write the value without '=': \"{value}\""),
            )
            .at_prompt(format!("write the value without a second '=': {value}")),
            Self::NotLinked => {
                say("only a link is linked", "", "write how the value is known, or a link: \"= SHEET.LINE\"")
                    .at_prompt("write how the value is known, or a link: NAME = SHEET.LINE")
            }
            Self::LinkMeant { found } => {
                say(format!("'{found}' is not a number"), "", format!("for a link write: \"= {found}\""))
            }
            Self::FormulaInCsv => say(
                "a formula in a CSV file",
                "not worked here",
                "write its value, or write the rows in the job, where a cell may link",
            ),
            Self::Loop { names } => say(
                format!("these lines go round in a loop: {}", round_of(names)),
                "",
                "break it: enter one of them instead of linking it",
            ),
            _ => return None,
        })
    }

    fn of_rows(&self) -> Option<Wording> {
        Some(match self {
            Self::NoCsv { found } => say(
                format!("no file '{found}'"),
                "",
                "put the file beside the job, and write its name without a path",
            ),
            Self::CsvColumn { found, .. } if Place::Entry.keys().contains(&found.as_str()) => of_value(found),
            Self::CsvColumn { found, near } => say(
                format!("no sheet of the job uses the column '{found}'"),
                "not used",
                near.as_ref().map_or_else(
                    || format!("take it out, or add to the job: ignore = [\"{found}\"]"),
                    |near| format!("did you mean '{near}'? Else add to the job: ignore = [\"{found}\"]"),
                ),
            ),
            Self::CsvLacks { name, schedule } => say(
                format!("the column '{name}' of '{schedule}' is missing"),
                "",
                format!("add a column with the heading {name}"),
            ),
            Self::RowName { found } => say(
                format!("a second row '{found}'"),
                "named again here",
                "a row is known by its first text: make it unique",
            ),
            Self::RowsOfTable { name } => {
                say(format!("the rows of '{name}' come from a table"), "", "take this out")
            }
            Self::NoSuchRow { found, schedule, near, rows } => say(
                format!("'{schedule}' has no row '{found}'"),
                "",
                match (near, rows) {
                    (Some(near), _) => format!("did you mean '{near}'?"),
                    (None, 0) => format!("it has no rows yet: add {schedule} COLUMN = VALUE, …"),
                    (None, 1) => "its one row goes by 1, or by its first text in quotes".to_owned(),
                    (None, _) => {
                        format!("a row goes by its number, 1 to {rows}, or its first text in quotes")
                    }
                },
            ),
            Self::NoteFirst => say(
                "this cannot be read",
                "",
                "write NAME = VALUE; after it may stand measured (or nameplate, datasheet, drawing, stated, assumed), with INSTRUMENT, anyway \"reason\", by \"document\", \"note\"",
            ),
            _ => return None,
        })
    }

    fn of_headings(&self) -> Option<Wording> {
        Some(match self {
            Self::HeadingScale { name, range, unit } => say(
                format!("no number under '{name}' is within {range}"),
                "",
                format!("is this unit meant? in {unit} all would fit: write {name} {unit}"),
            ),
            Self::HeadingUnit { name, wanted, unit } => say(
                format!("'{name}' takes {wanted}"),
                "",
                match unit.as_str() {
                    "" => format!("write the heading without a unit: {name}"),
                    unit => format!("write the heading with a unit of that kind: {name} {unit}"),
                },
            ),
            Self::HeadingBare { name, unit } => say(
                format!("the numbers under '{name}' have no unit"),
                "",
                format!("write the heading {name} {unit}, or a unit with each number"),
            ),
            _ => return None,
        })
    }

    fn of_typed(&self) -> Option<Wording> {
        Some(match self {
            Self::NotALine { found } => say(
                format!("'{found}' is not a line"),
                "",
                "name one of its lines: its own name alone shows them",
            ),
            Self::NotASchedule { found, known } => say(
                format!("'{found}' is not a schedule"),
                "",
                if known.is_empty() {
                    "no sheet of this job takes a row".to_owned()
                } else {
                    format!("write: add SCHEDULE COLUMN = VALUE, …; schedules are {}", known.join(", "))
                },
            ),
            Self::NotARow { found } => {
                say(format!("'{found}' is not a row"), "", "write: drop SCHEDULE.2 or drop SCHEDULE.\"NAME\"")
            }
            Self::NoColumn { schedule, found, known } => say(
                format!("'{schedule}' has no column '{found}' to enter"),
                "",
                match near(found, known.iter().map(String::as_str)) {
                    Some(near) => format!("did you mean '{near}'?"),
                    None => format!("its columns are {}", known.join(", ")),
                },
            ),
            Self::RowWanted { schedule, column } => say(
                format!("'{column}' has a value on every row"),
                "",
                format!("say which row: {schedule}.1.{column} or {schedule}.\"NAME\".{column}"),
            ),
            Self::RowsLinked { name, link } => say(
                format!("the rows of '{name}' are linked"),
                "",
                format!("change them where they are: {link}"),
            ),
            Self::NoPlace => say(
                "the job's file has no place for this that keeps the rest as it is",
                "",
                "change it in the file by hand",
            ),
            _ => return None,
        })
    }

    /// What a word of the prompt was asked that it has no answer to.
    fn of_asked(&self) -> Option<Wording> {
        Some(match self {
            Self::NoReport { why, cure } => say(why, "", *cure),
            Self::BehindMark { found } => {
                say(format!("'{found}' is not a remark"), "", "put what you say of the line in quotes")
            }
            Self::QuestionWanted => {
                say("the question is missing".to_owned(), "", "put the question after the name, in quotes")
            }
            Self::NoRoom { name } => say(
                format!("'{name}' depends on nothing that a person gives"),
                "",
                "ask for the room of a given, of a figure, or of a limit",
            ),
            _ => return None,
        })
    }

    /// What the journal does not hold, or cannot go back to.
    fn of_history(&self) -> Option<Wording> {
        Some(match self {
            Self::NothingToUndo => say(
                "there is no change to take back",
                "",
                "'log' lists what was done; what was done outside the notebook is not taken back here",
            ),
            Self::CannotGoBack { line } => say(
                format!("the job was edited outside where {line} was changed"),
                "",
                "'log' shows what it was: type that value",
            ),
            Self::NothingToRedo => {
                say("nothing was taken back since the last change", "", "'log' lists what was done")
            }
            _ => return None,
        })
    }

    fn of_values(&self) -> Wording {
        match self {
            Self::UnitWanted { found, example, other } => {
                let or = |mark| {
                    other.as_ref().map_or_else(String::new, |other| format!(", or {mark}{other}{mark}"))
                };
                let file = format!("in a file a quantity carries its unit: \"{example}\"{}", or("\""));
                say(format!("'{found}' has no unit"), "", file)
                    .at_prompt(format!("write its unit: {example}{}", or("")))
            }
            Self::Kind { name, wanted, found } => {
                say(format!("'{name}' takes {wanted}, and this is {found}"), "", kind_cure(wanted, found))
            }
            Self::Outside { value, range, neighbour, csv } => {
                let anyway = if *csv {
                    "if it is right as it stands, write the rows in the job, and there anyway = \"reason\""
                } else {
                    "if it is right as it stands, add anyway = \"reason\""
                };
                let cure = match neighbour {
                    Some(neighbour) => format!("{value}? {neighbour}; {anyway}"),
                    None => format!("correct it; {anyway}"),
                };
                let typed = cure.replace("anyway = ", "anyway ");
                say(format!("{value} is outside {range}"), "", cure).at_prompt(typed)
            }
            Self::NotAChoice { found, known, near } => say(
                format!("'{found}' is not one of the choices"),
                "",
                match near {
                    Some(near) => format!("did you mean '{near}'?"),
                    None if known.iter().any(|choice| choice.contains(',')) => {
                        format!("choices are \"{}\"", known.join("\", \""))
                    }
                    None => format!("choices are {}", known.join(", ")),
                },
            ),
            Self::NumberStated { name } => {
                say(format!("'{name}' is a number, and a number is not stated"), "", HOWS_OF_NUMBER)
            }
            Self::FigureHow { name } => {
                let title = format!("'{name}' is a figure: it comes from its document");
                say(title, "", "take 'how' out").at_prompt("take the word for how it is known out")
            }
            Self::DocumentWanted { name } => say(
                format!("'{name}' is a figure, and has no document"),
                "",
                "add by = \"the document and clause\"",
            )
            .at_prompt("add by \"the document and clause\" after the value"),
            Self::InstrumentKind { instrument, name } => say(
                format!("the tolerance of '{instrument}' does not fit '{name}'"),
                "",
                "write the tolerance with the value: \"12.6 V ± 0.1 V\"",
            )
            .at_prompt("write the tolerance with the value: 12.6 V ± 0.1 V"),
            _ => Wording::default(),
        }
    }
}

/// How a number may be known, as it is typed.
const HOWS_OF_NUMBER: &str = "write measured, nameplate, datasheet, drawing or assumed";

/// What is known of a value stands with it, or once for a whole file.
fn of_value(key: &str) -> Wording {
    let (one, all) =
        (format!("{{ value = \"VALUE\", {key} = … }}"), format!("{{ csv = \"FILE.csv\", {key} = … }}"));
    say(
        format!("'{key}' is not a column: it stands with each value"),
        "",
        format!("write COLUMN = {one}; for a whole CSV file {all}"),
    )
}

fn or_else(near: &Option<String>, otherwise: &str) -> String {
    near.as_ref().map_or_else(|| otherwise.to_owned(), |near| format!("did you mean '{near}'?"))
}

fn kind_cure(wanted: &str, found: &str) -> String {
    match found {
        "charge" if wanted == "a temperature" => "C is coulomb: for a temperature write degC".to_owned(),
        _ => format!("write {wanted}"),
    }
}
