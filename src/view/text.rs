//! A check as a person reads it on a terminal: the worst first, then what it rests on.
//!
//! In: a record. Out: text no wider than the look asks.
//! Never: tells anything by colour alone.

mod brief;
mod moved;

use super::{Look, indented, plain, wrapped};
use crate::notebook::record::{LimitRecord, MarkKind, Record, Strength, Verdict};
use crate::unit::{date, show};

pub use moved::change;

/// Returns a job's check: in full what does not pass, in a line what waits or passes.
pub fn check(record: &Record, look: Look) -> String {
    limits(record, |_, _| true, look) + &foot(record, look)
}

/// Returns how some of the limits stand, the worst first.
pub fn limits(record: &Record, keep: impl Fn(&str, &LimitRecord) -> bool, look: Look) -> String {
    let mut limits: Vec<(&str, &LimitRecord)> =
        record.limits().filter(|(sheet, limit)| keep(sheet, limit)).collect();
    limits.sort_by_key(|(_, limit)| std::cmp::Reverse(rank(limit)));
    let mut out = String::new();
    let of = |verdict: Verdict| {
        let found: Vec<(&str, &LimitRecord)> =
            limits.iter().filter(|(_, limit)| limit.verdict == verdict).copied().collect();
        found
    };
    for verdict in [Verdict::Unworkable, Verdict::Fail, Verdict::Unsure] {
        out += &of(verdict).into_iter().map(|(sheet, limit)| one(sheet, limit, look)).collect::<String>();
    }
    out += &brief::waiting(&of(Verdict::Waiting), look);
    out += &of(Verdict::Advice).into_iter().map(|(sheet, limit)| one(sheet, limit, look)).collect::<String>();
    out + &brief::passing(&of(Verdict::Pass), look)
}

/// Returns what may hurt, each caution once; of one sheet, or of all and the basis.
pub fn cautions(record: &Record, sheet: Option<&str>, look: Look) -> String {
    let told = match record.sheets.iter().find(|known| Some(known.name.as_str()) == sheet) {
        Some(own) => own.cautions.iter().collect(),
        None => each_caution(record),
    };
    told.iter().map(|caution| format!("- {}\n", wrapped(&plain(caution), look.width, 2, 2))).collect()
}

/// Returns what may hurt, each caution once.
pub(super) fn each_caution(record: &Record) -> Vec<&String> {
    let mut told: Vec<&String> = Vec::new();
    let of_sheets = record.sheets.iter().flat_map(|sheet| &sheet.cautions);
    for caution in record.cautions.iter().chain(of_sheets) {
        if !told.contains(&caution) {
            told.push(caution);
        }
    }
    told
}

/// Advice stands after what waits, before what passes.
pub(super) fn rank(limit: &LimitRecord) -> (u8, bool) {
    let rank = match limit.verdict {
        Verdict::Unworkable => 5,
        Verdict::Fail => 4,
        Verdict::Unsure => 3,
        Verdict::Waiting => 2,
        Verdict::Advice => 1,
        Verdict::Pass => 0,
    };
    (rank, limit.strength == Strength::Must)
}

/// Returns what there is to do something about: each limit that neither passes nor waits, the worst first.
pub(super) fn missed(record: &Record) -> Vec<(&str, &LimitRecord)> {
    let limits = record.limits();
    let mut missed: Vec<_> =
        limits.filter(|(_, limit)| !matches!(limit.verdict, Verdict::Pass | Verdict::Waiting)).collect();
    missed.sort_by_key(|(_, limit)| std::cmp::Reverse(rank(limit)));
    missed
}

/// The word in capitals is the verdict; colour only underlines it.
pub(super) fn word(verdict: Verdict, look: Look) -> String {
    let word = format!("{:<10}", verdict.word().to_uppercase());
    let code = match verdict {
        Verdict::Fail | Verdict::Unworkable => "31",
        Verdict::Unsure | Verdict::Waiting | Verdict::Advice => "33",
        Verdict::Pass => "32",
    };
    if look.colour { format!("\u{1b}[{code}m{word}\u{1b}[0m") } else { word }
}

/// Returns how close a limit is, in words and, where there is room, as a bar of ten.
fn closeness(limit: &LimitRecord, look: Look) -> String {
    let words = closeness_words(limit);
    let Some(uses) = limit.uses else { return words };
    if look.width < 60 {
        return words;
    }
    let full = (uses * 10.0).floor().clamp(0.0, 10.0) as usize;
    format!("[{}{}] {words}", "#".repeat(full), ".".repeat(10 - full))
}

/// Returns how close a limit is, in words.
pub(super) fn closeness_words(limit: &LimitRecord) -> String {
    match (limit.uses, &limit.left) {
        (Some(uses), _) => format!("{} {} % {}", limit.measure().0, share(uses), limit.measure().1),
        (None, Some(left)) if left.starts_with("0 ") || left == "0" => "nothing to spare".to_owned(),
        (None, Some(left)) if left.starts_with('-') => format!("missed by {}", left.trim_start_matches('-')),
        (None, Some(left)) => format!("{left} to spare"),
        (None, None) => String::new(),
    }
}

/// Returns a share in per cent, never rounded to the whole that it is not.
pub(super) fn share(uses: f64) -> String {
    let tells = |shown: &String| uses == 1.0 || shown != "100";
    let shown = (3..=12).map(|digits| show::digits(uses * 100.0, digits)).find(tells);
    shown.unwrap_or_else(|| "100".to_owned())
}

/// Returns one limit.
pub fn one(sheet: &str, limit: &LimitRecord, look: Look) -> String {
    let indent = if look.width < 60 { 4 } else { 11 };
    let line = |text: &str| if text.is_empty() { String::new() } else { indented(text, look, indent) };
    let mut out =
        format!("{} {}\n", word(limit.verdict, look), wrapped(&plain(&limit.label), look.width, 11, 11));
    out += &line(&compared(limit));
    if let Some(reason) = shared_reason(limit) {
        out += &line(&format!("all {} rows: {reason}", limit.rows.len()));
    } else if limit.rows.len() > 1 || limit.rows.iter().any(|row| row.shown != limit.shown) {
        for row in &limit.rows {
            // A row that came out as the whole did needs no word for it.
            let verdict = if row.verdict == limit.verdict {
                String::new()
            } else {
                format!("{}: ", row.verdict.word())
            };
            let shown = row.reason.as_ref().filter(|_| row.shown.is_empty()).unwrap_or(&row.shown);
            out += &line(&format!("{}: {verdict}{shown}", row.name));
        }
    } else if let [row] = limit.rows.as_slice() {
        out += &line(&format!("at {}", row.name));
    }
    out += &line(&closeness(limit, look));
    let told = limit.rows.len() > 1 && limit.rows.iter().any(|row| row.shown.is_empty());
    match &limit.witness {
        Some(witness) => out += &line(witness),
        None => out += &line(limit.reason.as_deref().filter(|_| !told).unwrap_or("")),
    }
    out += &line(limit.closer.as_deref().unwrap_or(""));
    out += &line(&limit.cite().map_or_else(String::new, |cite| cite.words(" \u{b7} ")));
    for doubt in &limit.doubts {
        out += &line(doubt);
    }
    out += &line(&limit.to_do().unwrap_or_default());
    out += &line(&limit.full_name(sheet));
    out + "\n"
}

/// What was compared; of many comparisons that all hold, two.
fn compared(limit: &LimitRecord) -> String {
    match limit.compared.as_slice() {
        [first, second, rest @ ..] if limit.verdict == Verdict::Pass && rest.len() > 1 => {
            format!("{first}; {second}; and {} more that hold", rest.len())
        }
        _ => limit.shown.clone(),
    }
}

/// The reason why rows were not judged, where it is one for all of several.
fn shared_reason(limit: &LimitRecord) -> Option<&str> {
    let [first, rest @ ..] = limit.rows.as_slice() else { return None };
    let reason = first.reason.as_deref().filter(|_| !rest.is_empty() && first.shown.is_empty())?;
    rest.iter().all(|row| row.shown.is_empty() && row.reason.as_deref() == Some(reason)).then_some(reason)
}

/// Returns the job, its day and basis, how it came out and what that rests on.
pub fn heading(record: &Record, look: Look) -> String {
    let day = date::read(&record.on).map_or_else(|_| record.on.clone(), date::in_words);
    let mut out = format!(
        "{}\n",
        wrapped(
            &plain(&format!("{} \u{b7} {day} \u{b7} basis {}", record.title, record.basis)),
            look.width,
            0,
            2
        )
    );
    out += &format!("  {}\n", wrapped(&outcome(record), look.width, 2, 2));
    out
}

/// Returns how a job came out and what that rests on, in words.
pub fn outcome(record: &Record) -> String {
    let musts: Vec<&LimitRecord> =
        record.limits().map(|(_, limit)| limit).filter(|limit| limit.strength == Strength::Must).collect();
    let same = musts.iter().filter(|limit| limit.verdict == record.verdict).count();
    let rests = rests(record);
    let advice = record.limits().filter(|(_, limit)| limit.verdict == Verdict::Advice).count();
    let advice = match advice {
        0 => String::new(),
        1 => ", with 1 piece of advice".to_owned(),
        several => format!(", with {several} pieces of advice"),
    };
    format!("{} ({same} of {} limits){advice}{rests}", record.verdict.word().to_uppercase(), musts.len())
}

/// The foot says how the job came out and what that rests on.
fn foot(record: &Record, look: Look) -> String {
    let mut out = heading(record, look);
    if !record.rests_on.open.is_empty() {
        let open = format!("still open: {}", record.rests_on.open.join(", "));
        out += &format!("  {}\n", wrapped(&plain(&open), look.width, 2, 4));
    }
    if !record.marks.is_empty() {
        out += &format!("  {}\n", wrapped(&marks(record), look.width, 2, 4));
    }
    for caution in &record.cautions {
        out += &format!("  {}\n", wrapped(&plain(&format!("caution: {caution}")), look.width, 2, 4));
    }
    for remark in &record.remarks {
        out += &format!("  {}\n", wrapped(&plain(remark), look.width, 2, 2));
    }
    out
}

/// How many lines were marked, and how many of these marks are stale.
fn marks(record: &Record) -> String {
    let count = |kind: MarkKind| record.marks.iter().filter(|mark| mark.kind == kind).count();
    let stale = record.marks.iter().filter(|mark| !mark.stale.is_empty()).count();
    let mut told = format!("reviewed: {} agreed, {} asked", count(MarkKind::Agree), count(MarkKind::Query));
    if stale > 0 {
        told += &format!(", {stale} of them stale");
    }
    told
}

/// Returns what a verdict rests on, in words.
pub(super) fn rests(record: &Record) -> String {
    let on = &record.rests_on;
    let count = |n: usize, one: &str, many: &str| match n {
        0 => None,
        1 => Some(format!("1 {one}")),
        n => Some(format!("{n} {many}")),
    };
    let told = on.grounds().map(|ground| count(ground.names.len(), ground.one, ground.several));
    let parts: Vec<String> = told.into_iter().flatten().collect();
    let mut out = match parts.split_last() {
        None => String::new(),
        Some((last, [])) => format!(", on {last}"),
        Some((last, rest)) => format!(", on {} and {last}", rest.join(", ")),
    };
    if let Some(words) = count(record.limits_not_needed(), "limit not needed", "limits not needed") {
        out += &format!("; {words}");
    }
    out
}
