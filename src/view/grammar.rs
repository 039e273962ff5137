//! The language for editors: a TextMate grammar, which most of them read, made from the words that the reader knows.
//!
//! In: nothing. Out: the grammar as JSON.
//! Never: knows a word of its own: a keyword or function that is added is in it.

use serde_json::{Value, json};

use crate::sheet::check::VERDICTS;
use crate::sheet::function::FUNCTIONS;
use crate::sheet::words::KEYWORDS;
use crate::unit::{spellings, symbols};

/// Statements whose text goes to the end of the line.
const PLAIN: &str = "title|about|caution";

/// Statements that give a name.
const NAMING: &str = "given|take|find|must|should|schedule|table|chart|source|cite|without";

/// Returns what a unit looks like: the symbols, the longest first, but for what is a word of the language.
fn unit() -> String {
    let mut symbols: Vec<&str> =
        symbols().flat_map(|symbol| spellings(symbol).into_iter().chain([symbol])).collect();
    symbols.retain(|symbol| !KEYWORDS.contains(symbol));
    symbols.sort_by_key(|symbol| (std::cmp::Reverse(symbol.len()), *symbol));
    let symbols = symbols.join("|");
    let one = format!("(?:{symbols})(?:[23]|\\^-?[0-9.]+)?(?![A-Za-z_])");
    format!("{one}(?:[*/\u{b7}]{one})*")
}

/// Returns the grammar.
pub fn grammar() -> Value {
    let keywords = KEYWORDS.join("|");
    let functions: Vec<&str> = FUNCTIONS.iter().map(|entry| entry.name).collect();
    let functions = functions.join("|");
    let constants = ["yes", "no", "on", "practice", "hand"].iter().chain(VERDICTS).copied();
    let constants = constants.collect::<Vec<_>>().join("|");
    let unit = unit();
    json!({
        "name": "wattle",
        "scopeName": "source.wattle",
        "fileTypes": ["sheet", "basis"],
        "patterns": [
            {
                "comment": "text to the end of the line: no quotes, no remarks in it",
                "match": format!("^({PLAIN})\\b(.*)$"),
                "captures": {
                    "1": { "name": "keyword.control.wattle" },
                    "2": { "name": "string.unquoted.wattle" }
                }
            },
            { "name": "comment.line.number-sign.wattle", "match": "#.*$" },
            {
                "name": "string.quoted.double.wattle",
                "begin": "\"",
                "end": "\"|$",
                "patterns": [
                    { "match": "\\{\\{|\\}\\}" },
                    { "name": "variable.other.wattle", "match": "\\{[a-z0-9_.]+\\}" }
                ]
            },
            {
                "comment": "a statement with the name that it gives",
                "match": format!("^\\s*({NAMING})\\s+([a-z_][a-z0-9_]*)(?:\\s+(\\?\\s*)?({unit})(?=\\s))?"),
                "captures": {
                    "1": { "name": "keyword.control.wattle" },
                    "2": { "name": "entity.name.wattle" },
                    "4": { "name": "keyword.other.unit.wattle" }
                }
            },
            { "name": "constant.numeric.date.wattle", "match": "\\b\\d{4}-\\d{2}-\\d{2}(T\\d{2}:\\d{2}(:\\d{2})?)?\\b" },
            {
                "comment": "a number with its unit",
                "match": format!("(?<![a-z_\\d.])(\\d+(?:\\.\\d+)?(?:e[+-]?\\d+)?)(?: ?({unit})(?![A-Za-z0-9_]))?"),
                "captures": {
                    "1": { "name": "constant.numeric.wattle" },
                    "2": { "name": "keyword.other.unit.wattle" }
                }
            },
            { "name": "support.function.wattle", "match": format!("\\b({functions})(?=\\()") },
            { "name": "constant.language.wattle", "match": format!("\\b({constants})\\b") },
            { "name": "keyword.control.wattle", "match": format!("\\b({keywords})\\b") },
            { "name": "keyword.operator.wattle", "match": "<=|>=|==|!=|\\+-|[-+*/^<>=\u{b1}\u{d7}\u{b7}\u{f7}\u{2212}\u{2264}\u{2265}\u{2260}]" }
        ]
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_that_the_reader_knows_is_in_it() {
        let text = grammar().to_string();
        let words = KEYWORDS.iter().chain(VERDICTS).chain(&["practice", "hand", "mA", "degC"]).copied();
        for word in words.chain(FUNCTIONS.iter().map(|entry| entry.name)) {
            assert!(
                text.contains(&format!("|{word}|"))
                    || text.contains(&format!("({word}|"))
                    || text.contains(&format!("|{word})")),
                "{word}"
            );
        }
    }
}
