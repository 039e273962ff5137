//! An audit as a reviewer reads it: the verdict and the worst first, then every line, then all that is to be looked at.
//!
//! In: an audit. Out: text no wider than the look asks.
//! Never: hides a line; tells anything by colour alone.

use super::{Look, answers, indented, text};
use crate::notebook::Why;
use crate::notebook::audit::{Audit, Looked, Point};
use crate::notebook::record::{LimitRecord, SheetRecord};

/// Points that stand on the first screen.
const FIRST: usize = 7;

/// Returns an audit.
pub fn audit(audit: &Audit, look: Look) -> String {
    let mut out = text::heading(&audit.record, look);
    out += "\nlook at first\n";
    out += &points(&audit.look_at[..audit.look_at.len().min(FIRST)], look);
    if audit.look_at.is_empty() {
        out += "  nothing stands out: read each line all the same\n";
    }
    if let Some(more) = audit.look_at.len().checked_sub(FIRST).filter(|more| *more > 0) {
        out += &indented(&format!("and {more} more at the end"), look, 2);
    }
    for (sheet, lines) in audit.record.sheets.iter().zip(&audit.sheets) {
        out += &of_sheet(audit, sheet, lines, look);
    }
    out += "\nthe record\n";
    out += &record(audit, look);
    if !audit.unmarked.is_empty() {
        out += "\nnot marked yet\n";
        out += &indented(&audit.unmarked.join(", "), look, 2);
    }
    out += "\nwhat a reviewer must look at, worst first\n";
    out + &points(&audit.look_at, look)
}

fn points(points: &[Point], look: Look) -> String {
    points.iter().map(|point| indented(&format!("- {}", point.words), look, 2)).collect()
}

fn of_sheet(audit: &Audit, sheet: &SheetRecord, lines: &[Looked], look: Look) -> String {
    let mut out =
        format!("\n{}", indented(&format!("{}: {} ({})", sheet.name, sheet.title, sheet.sheet), look, 0));
    for looked in lines {
        out.push('\n');
        match sheet
            .limits
            .iter()
            .find(|limit| looked.limit && limit.full_name(&sheet.name) == looked.why.name)
        {
            Some(limit) => out += &of_limit(&sheet.name, limit, looked, look),
            None => out += &answers::looked_through(&looked.why, look),
        }
        out += &answers::marked(&looked.why.name, &audit.record, look);
    }
    for skipped in &sheet.not_needed {
        let name = skipped.full_name(&sheet.name);
        out += &indented(&format!("{name} is not needed: {}", skipped.reason), look, 0);
    }
    out
}

fn of_limit(sheet: &str, limit: &LimitRecord, looked: &Looked, look: Look) -> String {
    let mut out = text::one(sheet, limit, look);
    out.truncate(out.trim_end().len());
    out.push('\n');
    out += &numbers(&looked.why, look);
    out + &answers::matters(&looked.matters, look)
}

fn numbers(why: &Why, look: Look) -> String {
    let Some((written, numbers)) = &why.formula else { return String::new() };
    let mut out = indented(&format!("that {written}"), look, 2);
    if numbers != written && !numbers.is_empty() {
        out += &indented(&format!("that {numbers}"), look, 2);
    }
    out
}

/// The journal's state and the files, each with its hash.
fn record(audit: &Audit, look: Look) -> String {
    let history = &audit.history;
    let mut lines = vec![match (history.lines, history.breaks.is_empty()) {
        (0, _) => "no journal".to_owned(),
        (1, true) => "journal of 1 line, its chain is whole".to_owned(),
        (lines, true) => format!("journal of {lines} lines, its chain is whole"),
        (lines, false) => format!("journal of {lines} lines, its chain is broken"),
    }];
    lines.extend(history.breaks.iter().cloned());
    lines.extend(history.head.iter().map(|head| format!("head {head}")));
    lines.extend(history.against.map(|against| against.words()));
    if history.against.is_none() {
        lines.push(
            "a chain written anew as a whole is caught by the head of an earlier record alone: audit --head HASH"
                .to_owned(),
        );
    }
    for file in &audit.files {
        let revision = file.revision.map_or(String::new(), |revision| format!(", revision {revision}"));
        lines.push(format!("{}{revision}: {}", file.file, file.hash));
    }
    lines.iter().map(|line| indented(line, look, 2)).collect()
}
