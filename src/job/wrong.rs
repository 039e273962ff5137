//! What can be wrong in a job, and the words for it.
//!
//! In: nothing. Out: the kinds and their words; TOML slips, CSV files and files that cannot be read keep their own
//! lists beside their code.
//! Never: finds a fault; the readers do.

use crate::fault::{NAME_RULE, Wording, say, told, with_look_alike};

use super::journal::Unkept;
use super::{CsvWrong, How, Syntax, Unread};

/// What is wrong in a job or in a CSV file of it.
#[derive(Clone, Debug, PartialEq)]
pub enum Wrong {
    /// The text is not TOML.
    Syntax(Syntax),
    /// The rows of a CSV file.
    Csv(CsvWrong),
    /// The file cannot be read at all.
    Unread(Unread),
    /// A change cannot be kept.
    Unkept(Unkept),
    /// A file of another kind than the command takes.
    OtherFile {
        /// What it is.
        is: &'static str,
        /// What to do with it.
        cure: String,
    },
    /// A key that means nothing where it stands.
    UnknownKey {
        /// The key as written.
        found: String,
        /// Where it stands.
        place: Place,
        /// The key that was probably meant.
        near: Option<&'static str>,
    },
    /// A key that must be there is not.
    Missing {
        /// The key.
        key: &'static str,
        /// Where it belongs.
        place: Place,
    },
    /// A value of another kind than its key takes.
    Differs {
        /// The key.
        key: String,
        /// What it takes.
        takes: Takes,
        /// What was written.
        found: Found,
    },
    /// A text without a character.
    Empty {
        /// Its key.
        key: String,
    },
    /// A number without an end.
    NotFinite,
    /// A date with a zone.
    Zone,
    /// A day or time that no calendar or clock has.
    NoSuchDate,
    /// A mark that neither agrees nor asks.
    Says {
        /// The word.
        found: String,
    },
    /// A word that says no way of knowing.
    NoHow {
        /// The word.
        found: String,
        /// The way that was probably meant.
        near: Option<How>,
    },
    /// A word that cannot name a sheet.
    NotName {
        /// The word.
        found: String,
        /// A name made of it.
        fits: Option<String>,
    },
    /// Two sheets or two instruments of one name.
    Twice {
        /// What they are.
        place: Place,
        /// The name.
        name: String,
    },
    /// An instrument that the job does not list.
    NoInstrument {
        /// The name.
        found: String,
        /// The one that was probably meant.
        near: Option<String>,
        /// Those of the job.
        known: Vec<String>,
    },
}

/// A part of a job that has keys of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// The top of the file.
    Job,
    /// `[[instrument]]`.
    Instrument,
    /// `[[sheet]]`.
    Sheet,
    /// A value with what is known of it.
    Entry,
    /// A CSV file with what is known of its values.
    RowFile,
    /// A review mark.
    Mark,
}

impl Place {
    /// Returns its name in a sentence.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Job => "a job",
            Self::Instrument => "an instrument",
            Self::Sheet => "a sheet of a job",
            Self::Entry => "an entry",
            Self::RowFile => "a file of rows",
            Self::Mark => "a mark",
        }
    }

    /// Returns the keys that it may have.
    pub const fn keys(self) -> &'static [&'static str] {
        match self {
            Self::Job => &["title", "on", "basis", "prepared_by", "ignore", "instrument", "sheet", "mark"],
            Self::Instrument => &["name", "kind", "calibrated_until", "tolerance"],
            Self::Sheet => &["use", "as", "given", "take", "schedule"],
            Self::Entry => &["value", "how", "with", "who", "at", "anyway", "note", "by"],
            Self::RowFile => &["csv", "how", "who", "at", "note"],
            Self::Mark => &[
                "line",
                "says",
                "note",
                "who",
                "at",
                "seen_line",
                "seen_formula",
                "seen_value",
                "seen_source",
            ],
        }
    }
}

/// What a key takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Takes {
    /// A text in quotes.
    Text,
    /// A list of texts.
    Texts,
    /// A date.
    Day,
    /// A date, with its time if it is known.
    Moment,
    /// A value, alone or with what is known of it.
    Entry,
    /// A value alone.
    Value,
    /// A name and an entry on each line.
    Entries,
    /// The rows of a schedule.
    Rows,
    /// Headings in double brackets, each with its keys below.
    Headings,
}

impl Takes {
    const fn words(self) -> &'static str {
        match self {
            Self::Text => "a text in quotes",
            Self::Texts => "a list of texts, like [\"price\"]",
            Self::Day => "a date, like 2026-11-25",
            Self::Moment => "a date and time, like 2026-11-25T10:40:00",
            Self::Entry => "a value, like \"18 Ah\" or { value = \"18 Ah\", how = \"nameplate\" }",
            Self::Value => "a value, like \"18 Ah\"",
            Self::Entries => "names with values",
            Self::Rows => "a CSV file, rows, or a link",
            Self::Headings => "headings",
        }
    }

    fn cure(self, key: &str, found: Found) -> String {
        match self {
            Self::Text if found.is_bare() => "put it in quotes".into(),
            Self::Day if found == Found::Moment => "leave out the time".into(),
            Self::Day | Self::Moment if found == Found::Text => "write it without quotes".into(),
            Self::Entries => format!("write {key}.NAME = \"VALUE\""),
            Self::Rows => {
                "write \"FILE.csv\", \"= SHEET.SCHEDULE\", or a list of { COLUMN = \"VALUE\" }".into()
            }
            Self::Headings => format!("write a line [[{key}]] for each, its keys below it"),
            Self::Text | Self::Texts | Self::Day | Self::Moment | Self::Entry | Self::Value => String::new(),
        }
    }
}

/// What was written in place of what a key takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Found {
    /// A text in quotes.
    Text,
    /// A number.
    Number,
    /// `true` or `false`.
    Flag,
    /// A date.
    Day,
    /// A date with a time.
    Moment,
    /// A time alone.
    Time,
    /// A list.
    List,
    /// Keys with values.
    Table,
}

impl Found {
    const fn words(self) -> &'static str {
        match self {
            Self::Text => "a text",
            Self::Number => "a number",
            Self::Flag => "true or false",
            Self::Day => "a date",
            Self::Moment => "a date and time",
            Self::Time => "a time without its day",
            Self::List => "a list",
            Self::Table => "keys with values",
        }
    }

    const fn is_bare(self) -> bool {
        matches!(self, Self::Number | Self::Flag | Self::Day | Self::Moment | Self::Time)
    }
}

impl Wrong {
    /// Returns the fault of a file that is not what its ending makes of it: a job, or with `job` false a sheet, a
    /// basis or a table.
    pub fn other_file(name: &str, text: &str, job: bool) -> Option<Self> {
        let (stem, ending) = name.rsplit_once('.')?;
        let (is, cure) = match ending {
            "sheet" if job => ("a sheet, not a job", format!("to check it: wattle proof {name}")),
            "basis" if job => ("a basis, not a job", format!("to check it: wattle proof {name}")),
            "toml" if !job && (text.contains("[[sheet]]") || text.contains("\nbasis =")) => {
                ("a job", format!("to judge it: wattle check {name}"))
            }
            "toml" => match crate::fault::looks_like(text)? {
                is @ ("sheet" | "basis") => {
                    let is_what = if is == "sheet" { "a sheet" } else { "a basis" };
                    (is_what, format!("name the file {stem}.{is}, then: wattle proof {stem}.{is}"))
                }
                "rows" => ("a file of rows", format!("name the file {stem}.csv")),
                _ => return None,
            },
            "csv" => ("a file of rows", format!("a job names it: schedule.NAME = \"{name}\"")),
            "html" | "md" | "json" => ("a report", "name what it was made from".to_owned()),
            "journal" => ("a job's journal", "name the job beside it".to_owned()),
            _ => return None,
        };
        Some(Self::OtherFile { is, cure })
    }

    /// Returns what is wrong, what the place is, what to do.
    pub fn wording(&self) -> Wording {
        match self {
            Self::Syntax(wrong) => wrong.wording(),
            Self::Csv(wrong) => wrong.wording(),
            Self::Unread(wrong) => wrong.wording(),
            Self::Unkept(wrong) => wrong.wording(),
            Self::OtherFile { is, cure } => say(format!("this is {is}"), "", cure.as_str()),
            Self::UnknownKey { found, place, near } => unknown_key(found, *place, *near),
            Self::Missing { key, place } => missing(key, *place),
            Self::Differs { key, takes, found } => {
                say(format!("'{key}' takes {}", takes.words()), found.words(), takes.cure(key, *found))
            }
            Self::Empty { key } => empty(key),
            Self::NotFinite => say("a number without an end", "not finite", "write a plain number"),
            Self::Zone => say(
                "a date with a zone",
                "",
                "leave out what stands after the time: the site's clock has no zone",
            ),
            Self::NoSuchDate => say("no such date", "", "write it like 2026-11-25 or 2026-11-25T10:40:00"),
            Self::Says { found } => {
                say(format!("'{found}' is not what a mark says"), "", "write \"agree\" or \"query\"")
            }
            Self::NoHow { found, near } => no_how(found, *near),
            Self::NotName { found, fits } => not_name(found, fits.as_deref()),
            Self::Twice { place, name } => twice(*place, name),
            Self::NoInstrument { found, near, known } => say(
                format!("no instrument '{found}' in this job"),
                "",
                near.as_ref().map_or_else(
                    || format!("add [[instrument]] with name = \"{found}\" below it"),
                    |near| format!("did you mean '{near}'?"),
                ),
            )
            .at_prompt(match (near, known.as_slice()) {
                (Some(near), _) => format!("did you mean '{near}'?"),
                (None, []) => {
                    "the job's file lists none; say the tolerance with the value: 2 A ± 3 %".to_owned()
                }
                (None, known) => format!("instruments of this job are {}", known.join(", ")),
            }),
        }
    }
}

fn unknown_key(found: &str, place: Place, near: Option<&str>) -> Wording {
    let cure = near.map_or_else(
        || format!("{} has {}", place.name(), place.keys().join(", ")),
        |near| format!("did you mean '{near}'?"),
    );
    say(format!("no key '{found}' in {}", place.name()), "", cure)
}

fn missing(key: &str, place: Place) -> Wording {
    let cure = match key {
        "title" => "write title = \"SITE, PANEL\" at the top",
        "basis" => "write basis = \"uk\" (or au, nz, us, or a .basis file beside the job) at the top",
        "use" => "write use = \"SHEET\" below the heading; 'wattle sheets' lists them",
        "value" => "write value = \"VALUE\"; \"?\" if it is open",
        "csv" => "write csv = \"FILE.csv\"",
        "line" => "write line = \"SHEET.NAME\" below the heading",
        "says" => "write says = \"agree\" or \"query\"",
        "name" => "write name = \"NAME\" below the heading",
        _ => "",
    };
    say(format!("{} without '{key}'", place.name()), format!("no '{key}'"), cure)
}

fn empty(key: &str) -> Wording {
    let cure = match key {
        "title" | "basis" | "use" | "as" | "name" | "csv" => "write something between the quotes",
        "anyway" => "say why the value is taken, or leave 'anyway' out",
        "by" => "name the document",
        "how" | "with" | "tolerance" | "note" | "who" | "kind" | "prepared_by" => {
            "leave it out if there is none"
        }
        _ => "write \"?\" if it is open",
    };
    say(format!("'{key}' is empty"), "", cure)
}

fn no_how(found: &str, near: Option<How>) -> Wording {
    let cure = near.map_or_else(
        || format!("write one of {}", How::ALL.map(How::word).join(", ")),
        |near| format!("did you mean '{}'?", near.word()),
    );
    say(format!("'{found}' does not say how a value is known"), "", cure)
}

fn not_name(found: &str, fits: Option<&str>) -> Wording {
    let cure = fits.map_or_else(|| NAME_RULE.to_owned(), |fits| format!("{NAME_RULE}: '{fits}'"));
    told(with_look_alike(format!("'{found}' is not a name"), found), cure)
}

fn twice(place: Place, name: &str) -> Wording {
    let (what, cure) = match place {
        Place::Sheet => ("sheets", "write as = \"OTHER_NAME\" below one of them"),
        Place::Instrument => ("instruments", "give one of them another name"),
        Place::Job | Place::Entry | Place::RowFile | Place::Mark => {
            ("parts", "give one of them another name")
        }
    };
    say(format!("two {what} named '{name}'"), "", cure)
}
