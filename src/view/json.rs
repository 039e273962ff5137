//! Records and refused pages as JSON, with the keys of the contract.
//!
//! In: records. Out: one object a job.
//! Never: renames a key.

use serde_json::{Value, json};

use crate::fault::Refused;
use crate::notebook::Record;

/// Returns a job's record as an object.
pub fn record(record: &Record) -> Value {
    serde_json::to_value(record).unwrap_or(Value::Null)
}

/// Returns a job's record as text, on one line or, for people, on several.
pub fn text(record: &Record, one_line: bool) -> String {
    let text = if one_line { serde_json::to_string(record) } else { serde_json::to_string_pretty(record) };
    text.unwrap_or_default()
}

/// Returns a job that could not be read as an object.
pub fn refused(job: &str, refused: &[Refused]) -> Value {
    let faults: Vec<Value> = refused
        .iter()
        .flat_map(|refused| refused.faults.iter().map(move |fault| (refused, fault)))
        .map(|(refused, fault)| {
            let (line, column) = refused.page.place(fault.at.start);
            let words = fault.wording();
            json!({"file": refused.page.name, "line": line, "column": column, "message": words.title, "cure": words.cure})
        })
        .collect();
    json!({"job": job, "verdict": null, "faults": faults})
}
