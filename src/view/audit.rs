//! An audit as a reviewer reads it: the verdict and what to look at, worst first, then every line, the journal, the record.
//!
//! In: an audit. Out: text no wider than the look asks.
//! Never: hides a line; tells anything by colour alone.

use super::{Look, answers, hanging, indented, text};
use crate::notebook::Why;
use crate::notebook::audit::{Audit, Looked, Step};
use crate::notebook::record::{LimitRecord, SheetRecord};

/// Which part of an audit is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part<'a> {
    /// All of it.
    Whole,
    /// The verdict, what to look at, and the record.
    Brief,
    /// The lines of one sheet.
    Sheet(&'a str),
}

/// Returns an audit, or a part of it.
pub fn audit(audit: &Audit, part: Part<'_>, look: Look) -> String {
    let mut out = text::heading(&audit.record, look);
    let brief = part == Part::Brief;
    if brief || part == Part::Whole {
        out += "\nlook at first\n";
        out += &audit
            .look_at
            .iter()
            .map(|point| hanging(&format!("- {}", point.words), look, 2))
            .collect::<String>();
        if audit.look_at.is_empty() {
            out += "  nothing stands out: read each line all the same\n";
        }
    }
    for (sheet, lines) in audit.record.sheets.iter().zip(&audit.sheets) {
        if part == Part::Whole || part == Part::Sheet(&sheet.name) {
            out += &of_sheet(audit, sheet, lines, look);
        }
    }
    if part == Part::Whole && audit.history.lines > 0 {
        out += "\nthe journal, worked with today's sheets\n";
        out += &audit
            .history
            .steps
            .iter()
            .map(|step| of_step(step, audit.history.lines, look))
            .collect::<String>();
    }
    if brief || part == Part::Whole {
        out += "\nthe record\n";
        out += &record(audit, look);
    }
    out
}

/// A line of the journal; what was edited outside the notebook, with what that changed.
fn of_step(step: &Step, lines: usize, look: Look) -> String {
    if step.line > lines {
        let words = format!("since then the job file was edited outside the notebook: {}", step.words());
        return hanging(&words, look, 2);
    }
    let who = step.who.as_ref().map_or(String::new(), |who| format!("  {who}"));
    let changed = if step.outside { format!(": {}", step.words()) } else { String::new() };
    hanging(&format!("{}  {}{who}  {}{changed}", step.line, step.time.replace('T', " "), step.says), look, 2)
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
        if let Some(comment) = &looked.comment {
            out += &indented(&format!("the job's file says beside it: {comment}"), look, 2);
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
    // A flag alone needs no second line.
    if matches!(numbers.as_str(), "yes" | "no") {
        return hanging(&format!("condition: {written} = {numbers}"), look, 2);
    }
    let mut out = hanging(&format!("condition: {written}"), look, 2);
    if numbers != written && !numbers.is_empty() {
        out += &hanging(&format!("in numbers: {numbers}"), look, 2);
    }
    out
}

/// The journal's state and the files, each with its hash.
fn record(audit: &Audit, look: Look) -> String {
    let history = &audit.history;
    let mut out = String::new();
    let mut told = |words: &str| out += &hanging(words, look, 2);
    let count = if history.lines == 1 { "1 line".to_owned() } else { format!("{} lines", history.lines) };
    match (history.lines, history.breaks.is_empty()) {
        (0, _) => told("no journal"),
        (_, true) => told(&format!("journal of {count}: no line was changed or removed")),
        (_, false) => {
            told(&format!("journal of {count}, which do not fit together:"));
            history.breaks.iter().for_each(|words| told(words));
        }
    }
    match (history.against, &audit.printed) {
        (Some(against), _) => told(&against.words()),
        (None, None) if history.lines > 0 => told(
            "a journal rewritten as a whole, or cut at its end, is caught by an earlier record alone: audit JOB --record \
             FILE, or --head HASH",
        ),
        (None, _) => {}
    }
    if let Some(printed) = &audit.printed {
        let of = audit.files.len() + 1;
        told(&format!("{}: {} of {of} files are those that it was made from", printed.file, printed.same));
        printed.differs.iter().for_each(|words| told(words));
        told("the record's own words are not checked: print it again from the job to compare");
    }
    if let Some(head) = &history.head {
        out += &hashed("head", head, look);
    }
    let left = match (history.lines, history.as_left) {
        (0, _) => String::new(),
        (line, true) => format!(", as line {line} of the journal left it"),
        (line, false) => format!(", not as line {line} of the journal left it"),
    };
    out += &hashed(&format!("{}{left}", audit.record.job), &audit.job_hash, look);
    for file in &audit.files {
        let revision = file.revision.map_or(String::new(), |revision| format!(", revision {revision}"));
        out += &hashed(&format!("{}{revision}", file.file), &file.hash, look);
    }
    out
}

/// A name with its hash below; where that is too long for the line, in two halves.
fn hashed(name: &str, hash: &str, look: Look) -> String {
    let half = if hash.len() + 4 > look.width { hash.len() / 2 } else { hash.len() };
    let (first, second) = hash.split_at(half.min(hash.len()));
    let halves = [first, second].into_iter().filter(|half| !half.is_empty());
    hanging(name, look, 2) + &halves.map(|half| indented(half, look, 4)).collect::<String>()
}
