//! The words of the language: the statements of sheets and bases, their details, what stands within a line.
//!
//! In: nothing. Out: a row each, as the reader tells them apart, `wattle words` lists them and faults name them.
//! Never: reads a text; the reader does, and a test holds the two together.

use std::sync::LazyLock;

use super::function::Function;
use crate::sheet::read::PageKind;

/// A statement.
#[derive(Debug)]
pub struct Statement {
    /// Its first word.
    pub word: &'static str,
    /// How it is written.
    pub form: &'static str,
    /// What it says.
    pub about: &'static str,
    /// Where it stands.
    pub stands: &'static [PageKind],
    /// The words of its details.
    pub details: &'static [&'static str],
}

const SHEET: &[PageKind] = &[PageKind::Sheet];
const BASIS: &[PageKind] = &[PageKind::Basis];
const BOTH: &[PageKind] = &[PageKind::Sheet, PageKind::Basis];

const fn row(
    word: &'static str,
    form: &'static str,
    about: &'static str,
    stands: &'static [PageKind],
    details: &'static [&'static str],
) -> Statement {
    Statement { word, form, about, stands, details }
}

/// Every statement.
pub const STATEMENTS: &[Statement] = &[
    row("extends", "extends NAME", "takes over another basis; the lines below override its own", BASIS, &[]),
    row("title", "title TEXT", "what the page is called, to the end of the line", BOTH, &[]),
    row("revision", "revision 2", "a whole number, one more for each change", BOTH, &[]),
    row("about", "about TEXT", "what it is for", BOTH, &[]),
    row("caution", "caution TEXT", "what may hurt", BOTH, &[]),
    row("source", "source NAME \"document\"", "a document, by the word that lines cite", BOTH, &[]),
    row(
        "given",
        "given NAME ? UNIT \"label\", given NAME 12 V \"label\"",
        "a person enters it; with a value, that is a default to be confirmed",
        SHEET,
        &["within", "tolerance", "one", "by", "when", "note"],
    ),
    row(
        "take",
        "take NAME 25 % \"label\", take NAME % from basis \"label\"",
        "a figure with its document, or that of the basis; in a basis ? UNIT is a figure that nobody knows",
        BOTH,
        &["by", "when", "note"],
    ),
    row("find", "find NAME UNIT \"label\"", "a line that is worked out", SHEET, &["=", "by", "when", "note"]),
    row("must", "must NAME \"label\"", "a limit", SHEET, &["that", "remedy", "by", "when", "note"]),
    row(
        "should",
        "should NAME \"label\"",
        "a limit that only advises",
        SHEET,
        &["that", "remedy", "by", "when", "note"],
    ),
    row(
        "schedule",
        "schedule NAME \"label\", … from TABLE, … may be empty",
        "rows; its columns are given, find, must and should indented under it",
        SHEET,
        &["may", "when", "note"],
    ),
    row("table", "table NAME \"file\", table NAME from basis", "a published table", BOTH, &[]),
    row("chart", "chart NAME \"label\"", "a picture for the report", SHEET, &["across", "up", "line"]),
    row(
        "example",
        "example \"name\"",
        "a worked example that proves the sheet",
        SHEET,
        &["basis", "on", "given", "take", "row", "expect", "by", "note"],
    ),
    row("cite", "cite NAME", "the document that sheets cite with 'by basis NAME'", BASIS, &["by", "note"]),
    row(
        "without",
        "without NAME \"reason\"",
        "what does not apply: limits that rest on it fall away",
        BASIS,
        &[],
    ),
];

/// Every detail: its word, how it is written, what it says.
pub const DETAILS: &[(&str, &str, &str)] = &[
    ("=", "= FORMULA, = FORMULA where CONDITION, = FORMULA otherwise", "how a find is worked out"),
    ("that", "that CONDITION", "what has to hold"),
    ("remedy", "remedy \"what to do, with {name} for a value\"", "what to do where it does not"),
    ("by", "by SOURCE \"clause\" unverified, by basis NAME, by practice", "where a line comes from"),
    ("when", "when CONDITION", "when a line is needed"),
    ("note", "note \"text\"", "a remark"),
    ("within", "within 1 V .. 48 V", "the plausible range of a given"),
    ("tolerance", "tolerance 2 % + 5 mA", "how well such a reading is known"),
    ("one", "one of 12 V, 24 V; one of TABLE.COLUMN", "what may be chosen"),
    ("may", "may be empty", "a schedule that may have no rows"),
    ("across", "across SCHEDULE.NAME", "the column across a chart"),
    ("up", "up SCHEDULE.NAME", "the column up a chart"),
    ("line", "line FORMULA", "a line drawn across a chart"),
    ("basis", "basis NAME", "the basis of an example; uk where none is named"),
    ("on", "on 2026-11-25", "the day of an example"),
    ("given", "given NAME = VALUE", "in an example: what is entered"),
    ("take", "take NAME = VALUE", "in an example: a figure overridden"),
    ("row", "row SCHEDULE NAME = VALUE, NAME = VALUE", "in an example: a row"),
    (
        "expect",
        "expect NAME = VALUE +- SLACK, expect SCHEDULE.1.NAME = VALUE, expect LIMIT = pass",
        "what must come out",
    ),
];

/// What a line may be in a unit's place.
pub const KINDS: &[(&str, &str)] = &[
    ("flag", "yes or no"),
    ("date", "a day, such as 2026-11-25"),
    ("text", "a text in quotes"),
    ("(nothing)", "a plain number"),
];

/// Statements that are columns inside a schedule.
pub(super) const COLUMNS: &[&str] = &["given", "find", "must", "should"];

/// Words that begin nothing.
const WITHIN_A_LINE: &[&str] = &[
    "of",
    "from",
    "be",
    "empty",
    "where",
    "otherwise",
    "and",
    "or",
    "not",
    "in",
    "yes",
    "no",
    "flag",
    "date",
    "text",
    "unverified",
];

/// The words, each once, none of which may be a line's name.
pub static KEYWORDS: LazyLock<Vec<&'static str>> = LazyLock::new(|| {
    let statements = STATEMENTS.iter().map(|row| row.word);
    let details = DETAILS.iter().map(|(word, ..)| *word).filter(|word| *word != "=");
    let mut words: Vec<&str> = Vec::new();
    for word in statements.chain(details).chain(WITHIN_A_LINE.iter().copied()) {
        if !words.contains(&word) {
            words.push(word);
        }
    }
    words
});

/// Returns whether a word begins a statement, of a sheet or of a basis.
pub(super) fn begins_statement(word: &str) -> bool {
    STATEMENTS.iter().any(|row| row.word == word)
}

/// Returns whether a word may begin a detail, or a column.
pub(super) fn opens_detail(word: &str) -> bool {
    COLUMNS.contains(&word) || DETAILS.iter().any(|(detail, ..)| *detail == word)
}

/// Returns whether a word is taken by the language: a keyword or a function.
pub(super) fn is_taken(word: &str) -> bool {
    KEYWORDS.contains(&word) || Function::known(word).is_some()
}

/// Returns the words that begin a statement of a kind of page.
pub fn statements(kind: PageKind) -> Vec<&'static str> {
    STATEMENTS.iter().filter(|row| row.stands.contains(&kind)).map(|row| row.word).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fault::{Kind, Page};
    use crate::sheet::Wrong;
    use crate::sheet::read::read;

    #[test]
    fn each_detail_is_one_that_its_statement_has() {
        for row in STATEMENTS {
            for detail in row.details {
                assert!(DETAILS.iter().any(|(word, ..)| word == detail), "{detail}");
                let kind = row.stands[0];
                let head = match row.word {
                    "example" => "example \"x\"".to_owned(),
                    word => format!("{word} x \"X\""),
                };
                let page = Page::new("a", format!("title A\n{head}\n  {detail}\n"));
                let (_, faults) = read(&page, kind);
                let told = faults.or(()).err().unwrap_or_default();
                let unknown = |fault: &crate::fault::Fault| {
                    matches!(
                        fault.kind,
                        Kind::Text(Wrong::UnknownDetail { .. } | Wrong::NoDetailsHere { .. })
                    )
                };
                assert!(!told.iter().any(unknown), "{} {detail}: {told:?}", row.word);
            }
        }
    }
}
