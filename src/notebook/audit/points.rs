//! What a reviewer must look at, worst first.
//!
//! In: all that an audit found. Out: points, each a sentence.
//! Never: leaves a ground of the verdict out; decides for the reviewer.

use serde::Serialize;

use crate::fault::{as_it_looks, only_looks_like};
use crate::job::journal::file_of;
use crate::notebook::audit::history::{Against, History};
use crate::notebook::audit::replay::{Step, from_to};
use crate::notebook::audit::{Assumed, Audit};
use crate::notebook::compare::TurnedLimit;
use crate::notebook::library::STANDS_IN;
use crate::notebook::record::tell::overrides;
use crate::notebook::record::{LimitRecord, MarkKind, MarkRecord, Strength, Verdict};

/// How grave a point is, the gravest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Grade {
    /// A limit does not hold, or cannot be worked.
    Fails,
    /// The record may not be what was worked with.
    Record,
    /// A limit hangs on an assumption.
    Assumed,
    /// A limit may go either way, or waits.
    Open,
    /// A value is doubtful.
    Doubtful,
    /// Nobody has read a figure or clause in its document.
    Unverified,
    /// A mark is open or stale, or a line has none.
    Marks,
}

/// One thing to look at.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Point {
    /// How grave it is.
    pub grade: Grade,
    /// What it is, in words.
    pub words: String,
}

/// Names of people that are drawn like another's of the job, and are not the same: each with where it stands.
fn alike(audit: &Audit) -> Vec<String> {
    let marks = audit.record.marks.iter().filter_map(|mark| Some((mark.who.clone()?, mark.name.clone())));
    let lines = audit.history.steps.iter();
    let lines =
        lines.filter_map(|step| Some((step.who.clone()?, format!("line {} of the journal", step.line))));
    let said: Vec<(String, String)> = marks.chain(lines).collect();
    let others: Vec<&String> = said.iter().map(|(who, _)| who).chain(&audit.people).collect();
    let mut told: Vec<(&String, &String, Vec<&str>)> = Vec::new();
    for (who, at) in &said {
        let other = others.iter().find(|other| ***other != *who && ***other == as_it_looks(who));
        let Some(other) = other else { continue };
        match told.iter_mut().find(|(known, ..)| *known == who) {
            Some((.., places)) => places.push(at),
            None => told.push((who, other, vec![at])),
        }
    }
    let words = |(who, other, places): (&String, &String, Vec<&str>)| {
        let letter = only_looks_like(who).unwrap_or_default();
        format!("'{who}' is another name than {other}: {letter}; it stands with {}", places.join(", "))
    };
    told.into_iter().map(words).collect()
}

/// Returns what a reviewer must look at, worst first.
pub(super) fn points(audit: &Audit) -> Vec<Point> {
    let mut made = Vec::new();
    let mut add = |grade: Grade, words: Vec<String>| {
        made.extend(words.into_iter().map(|words| Point { grade, words }));
    };
    let limits = |verdicts: &[Verdict]| {
        let wanted = |(_, limit): &(&str, &LimitRecord)| verdicts.contains(&limit.verdict);
        audit.record.limits().filter(wanted).map(|(sheet, limit)| told(sheet, limit)).collect::<Vec<_>>()
    };
    add(Grade::Fails, limits(&[Verdict::Unworkable]));
    add(Grade::Fails, limits(&[Verdict::Fail]));
    add(Grade::Record, record(audit));
    add(Grade::Record, turned(audit));
    let (turning, idle): (Vec<&Assumed>, Vec<&Assumed>) =
        audit.assumed.iter().partition(|one| one.away.is_some());
    let (first, more) = turning.split_at(turning.len().min(MOST_ASSUMED));
    add(Grade::Assumed, first.iter().map(|one| assumption(one)).collect());
    add(Grade::Assumed, together(more, "more assumptions that a limit turns on, further away"));
    add(Grade::Open, limits(&[Verdict::Unsure]));
    add(Grade::Open, limits(&[Verdict::Waiting]));
    add(Grade::Doubtful, audit.outside_range.clone());
    add(Grade::Doubtful, audit.overridden.clone());
    add(Grade::Doubtful, remarks(audit));
    add(Grade::Doubtful, doubts(audit));
    match idle.as_slice() {
        few if few.len() <= MOST_ASSUMED => {
            add(Grade::Assumed, few.iter().map(|one| assumption(one)).collect());
        }
        many => add(Grade::Assumed, together(many, "assumptions that no limit turns on alone")),
    }
    add(Grade::Unverified, unverified(audit));
    add(Grade::Marks, marks(audit));
    made
}

fn told(sheet: &str, limit: &LimitRecord) -> String {
    let strength = if limit.strength == Strength::Must { "" } else { " (advice)" };
    let what = match (&limit.witness, &limit.reason, limit.shown.is_empty()) {
        (Some(witness), _, _) => witness.clone(),
        (None, Some(reason), _) => reason.clone(),
        (None, None, false) => limit.shown.clone(),
        (None, None, true) => limit.condition.clone(),
    };
    format!("{} {}{strength}: {what}", limit.verdict.word().to_uppercase(), limit.full_name(sheet))
}

fn assumption(one: &Assumed) -> String {
    let Assumed { name, shown, origin, turns, .. } = one;
    match turns {
        Some(turns) => format!("{name} {shown}, {origin}: {turns}"),
        None => format!("{name} {shown}, {origin}: nothing turns on it alone"),
    }
}

/// Assumptions that are told each for itself.
const MOST_ASSUMED: usize = 7;

/// Assumptions told together, by their names.
fn together(list: &[&Assumed], what: &str) -> Vec<String> {
    let names: Vec<&str> = list.iter().map(|one| one.name.as_str()).collect();
    if names.is_empty() { Vec::new() } else { vec![format!("{} {what}: {}", names.len(), names.join(", "))] }
}

/// What speaks against the record being what was worked with.
fn record(audit: &Audit) -> Vec<String> {
    let mut told = of_history(&audit.history);
    if let Some(printed) = &audit.printed {
        // What the journal tells of a file need not be told twice.
        let known =
            |words: &&String| audit.history.since_record.iter().any(|known| file_of(known) == file_of(words));
        let differs: Vec<String> = printed.differs.iter().filter(|words| !known(words)).cloned().collect();
        told.extend(files(&differs, "", &format!("are not those that {} was made from", printed.file)));
        if printed.head.is_none() {
            told.push(format!("{} prints no head: no journal was kept when it was written", printed.file));
        }
    }
    told.extend(audit.stand_ins.iter().cloned());
    told.extend(alike(audit));
    told
}

/// What the journal speaks against, the gravest first.
pub(super) fn of_history(history: &History) -> Vec<String> {
    let mut told = history.breaks.clone();
    told.extend(missing(history).map(str::to_owned));
    if history.against == Some(Against::NotThere) {
        told.push(format!(
            "{}: the journal was rewritten since, or is another job's",
            Against::NotThere.words()
        ));
    }
    told.extend(history.steps.iter().filter(|step| step.outside).map(|step| edited(step, history.lines)));
    let from = history.against.map(|_| history.record_at()).filter(|from| *from > 0);
    let added =
        |step: &&Step| from.is_some_and(|from| step.line > from) && !step.outside && !step.is_opened();
    told.extend(history.steps.iter().filter(added).map(|step| format!("added since, {}", line(step))));
    told.extend(files(&history.files, "", "were changed between two lines of the journal"));
    told.extend(files(&history.since_record, "since the earlier record, ", "differ from those of then"));
    let new = |words: &&String| !history.since_record.contains(words);
    let since: Vec<String> = history.differs.iter().filter(new).cloned().collect();
    told.extend(files(&since, "since the job was last worked with, ", "differ from those of then"));
    if history.torn {
        told.push("the journal's last line was cut short".to_owned());
    }
    told
}

/// Files that are told each for itself.
const MOST_FILES: usize = 3;

/// Files that differ, each in words; of more than a few their names: the hashes at the end tell the rest.
fn files(words: &[String], since: &str, differ: &str) -> Vec<String> {
    if words.len() <= MOST_FILES {
        return words.iter().map(|words| format!("{since}{words}")).collect();
    }
    let mut names: Vec<&str> = words.iter().map(|words| file_of(words)).collect();
    names.sort_unstable();
    names.dedup();
    vec![format!("{since}{} files {differ}: {}", names.len(), names.join(", "))]
}

/// What a journal cannot tell because it is not there, or does not say it.
fn missing(history: &History) -> Option<&'static str> {
    match (history.lines, history.names_files) {
        (0, _) => Some(
            "no journal: who entered what and when cannot be followed, nor whether a sheet or CSV file was changed",
        ),
        (_, false) => Some(
            "the journal does not say which sheets, tables and CSV files the job was worked with: whether they were \
             changed cannot be told",
        ),
        (_, true) => None,
    }
}

/// An edit outside the notebook: what it changed, and who found it where.
fn edited(step: &Step, lines: usize) -> String {
    let found = if step.line > lines {
        format!("since line {lines}")
    } else {
        let by = step.who.as_ref().map_or(String::new(), |who| format!(" by {who}"));
        format!("before line {}, found{by} {}", step.line, step.time.replace('T', " "))
    };
    format!("the job file was edited outside the notebook {found}: {}", step.words())
}

/// A line of the journal: "line 3, 2026-11-25 15:40, R. Field: sounders.lowest_output  21 V → 21.5 V".
fn line(step: &Step) -> String {
    let who = step.who.as_ref().map_or(String::new(), |who| format!(", {who}"));
    format!("line {}, {}{who}: {}", step.line, step.time.replace('T', " "), step.says)
}

/// Lines that turned a limit to pass which passes still: the last of each limit.
fn turned(audit: &Audit) -> Vec<String> {
    let passes = |name: &str| {
        let limits = audit.record.limits();
        let mut named = limits.filter(|(sheet, limit)| limit.full_name(sheet) == name);
        named.any(|(_, limit)| limit.verdict == Verdict::Pass && limit.strength == Strength::Must)
    };
    let bad = |verdict: Option<Verdict>| {
        matches!(verdict, Some(Verdict::Fail | Verdict::Unsure | Verdict::Unworkable))
    };
    let mut told = Vec::new();
    let mut seen: Vec<&str> = Vec::new();
    for step in audit.history.steps.iter().rev().filter(|step| !step.outside) {
        let to_pass = |limit: &&TurnedLimit| bad(limit.old) && limit.new == Some(Verdict::Pass);
        let limits: Vec<&TurnedLimit> = step
            .turned
            .iter()
            .filter(to_pass)
            .filter(|limit| passes(&limit.name) && !seen.contains(&limit.name.as_str()))
            .collect();
        seen.extend(limits.iter().map(|limit| limit.name.as_str()));
        let words: Vec<String> =
            limits.iter().map(|limit| format!("{} {}", limit.name, from_to(limit))).collect();
        if !words.is_empty() {
            told.push(format!("{}, turned {}", line(step), words.join(", ")));
        }
    }
    told.reverse();
    told
}

/// Readings that are doubtful, of any limit, each once.
fn doubts(audit: &Audit) -> Vec<String> {
    let mut told: Vec<String> = Vec::new();
    for doubt in audit.record.limits().flat_map(|(_, limit)| &limit.behind.doubts) {
        if !told.contains(doubt) {
            told.push(doubt.clone());
        }
    }
    told
}

/// Remarks on the job that no other point tells: a name in a basis that nobody takes.
fn remarks(audit: &Audit) -> Vec<String> {
    let overridden = overrides(&audit.record.sheets);
    let told = |remark: &String| overridden.contains(remark) || remark.contains(STANDS_IN);
    audit.record.remarks.iter().filter(|remark| !told(remark)).cloned().collect()
}

/// Common practice has no document to be read in.
fn is_practice(limit: &LimitRecord) -> bool {
    limit.source.as_deref() == Some(crate::cite::Cite::PRACTICE)
}

/// Each clause with the limits that go by it, then all figures together.
fn unverified(audit: &Audit) -> Vec<String> {
    let mut clauses: Vec<(String, Vec<String>)> = Vec::new();
    for (sheet, limit) in audit.record.limits().filter(|(_, limit)| limit.unverified && !is_practice(limit)) {
        let source = limit.source.as_deref().unwrap_or_default();
        let clause = limit.clause.as_ref().map_or(String::new(), |clause| format!(", {clause}"));
        let (cite, name) = (format!("{source}{clause}"), limit.full_name(sheet));
        match clauses.iter_mut().find(|(known, _)| *known == cite) {
            Some((_, names)) => names.push(name),
            None => clauses.push((cite, vec![name])),
        }
    }
    let mut told: Vec<String> = clauses
        .iter()
        .map(|(cite, names)| format!("not verified: {cite}, used by {}", names.join(", ")))
        .collect();
    let limits: Vec<&String> = clauses.iter().flat_map(|(_, names)| names).collect();
    let figures = audit.record.rests_on.unverified.iter().filter(|name| !limits.contains(name));
    let figures: Vec<&str> = figures.map(String::as_str).collect();
    if !figures.is_empty() {
        let words = format!("figures not verified, {}: ", figures.len());
        told.push(words + &figures.join(", "));
    }
    told
}

fn marks(audit: &Audit) -> Vec<String> {
    let mut told = Vec::new();
    for mark in &audit.record.marks {
        let who = mark.who.as_deref().unwrap_or("somebody");
        if mark.kind == MarkKind::Query {
            let asked = format!("{who} asks of {}: {}", mark.name, mark.note.as_deref().unwrap_or_default());
            told.push(asked + &answers(mark, &audit.record.marks));
        }
        if !mark.stale.is_empty() {
            told.push(format!("the mark of {who} on {} is stale: {}", mark.name, mark.stale_words()));
        }
    }
    if !audit.unmarked.is_empty() {
        let of = |sheet: &str| {
            let prefix = format!("{sheet}.");
            audit.unmarked.iter().filter(|name| name.starts_with(&prefix)).count()
        };
        let sheets = audit.record.sheets.iter().map(|sheet| (&sheet.name, of(&sheet.name)));
        let counts: Vec<String> =
            sheets.filter(|(_, count)| *count > 0).map(|(name, count)| format!("{name} {count}")).collect();
        let words = match audit.unmarked.len() {
            1 => "1 line or limit is not marked yet".to_owned(),
            lines => format!("{lines} lines and limits are not marked yet"),
        };
        told.push(format!("{words}: {}", counts.join(", ")));
    }
    told
}

/// What others say, since, of a line that is asked about.
fn answers(asked: &MarkRecord, marks: &[MarkRecord]) -> String {
    let answer = |mark: &&MarkRecord| {
        let of_another = mark.name == asked.name && mark.who != asked.who && mark.at >= asked.at;
        of_another && mark.kind == MarkKind::Agree && mark.note.is_some()
    };
    let told = marks.iter().filter(answer).map(|mark| {
        let who = mark.who.as_deref().unwrap_or("somebody");
        format!("; {who} answers: {}", mark.note.as_deref().unwrap_or_default())
    });
    told.collect()
}
