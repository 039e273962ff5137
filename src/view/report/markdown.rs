//! The report as Markdown: plain enough to be read as it is.
//!
//! In: a job told for a reviewer. Out: text.
//! Never: lets a text of a job be read as more than text.

use crate::notebook::record::{LineKind, LineRecord, Record, SheetRecord};
use crate::notebook::report::{LineTold, SheetTold};
use crate::notebook::{Identity, Report};
use crate::sheet::formula::Part;
use crate::view::table::escaped;
use crate::view::{Look, chart, text};

/// What every report of this form begins with.
pub(super) const OPENING: &str = "<!-- a wattle report -->\n";

const LOOK: Look = Look { width: 72, colour: false };

/// Returns the report.
pub(super) fn markdown(report: &Report) -> String {
    let record = &report.record;
    let mut out = format!("{OPENING}\n# {}\n\n", escaped(&record.title));
    out += &format!("{} on {}, basis {}", escaped(&record.job), record.on, escaped(&report.basis.0));
    if let Some(who) = &report.prepared_by {
        out += &format!(", prepared by {}", escaped(who));
    }
    out += &format!("\n\n**{}**{}\n\n", record.verdict.word().to_uppercase(), text::rests(record));
    for remark in &record.remarks {
        out += &format!("- {}\n", escaped(remark));
    }
    let clear = super::page::to_clear(report);
    if !clear.is_empty() {
        out += "\nTo be cleared before it is relied on:\n\n";
        out += &clear.iter().map(|words| format!("- {}\n", escaped(words))).collect::<String>();
    }
    out += &to_do(record);
    for (sheet, told) in record.sheets.iter().zip(&report.sheets) {
        out += &section(sheet, told, &record.heading(sheet));
    }
    out += &rests_on(report);
    out += "\n## Cautions\n\n";
    for caution in text::each_caution(record) {
        out += &format!("- {}\n", escaped(caution));
    }
    out += &marks(record);
    out += &sign_off(report);
    out + &identity(&report.identity)
}

/// Returns a text that begins a paragraph, and neither a list nor a rule.
fn paragraph(text: &str) -> String {
    let text = text.trim_start();
    let digits = text.len() - text.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    match text[digits..].chars().next() {
        Some('.' | ')') if digits > 0 => format!("{}\\{}", &text[..digits], escaped(&text[digits..])),
        Some('-' | '+' | '=') if digits == 0 => format!("\\{}", escaped(text)),
        _ => escaped(text),
    }
}

fn row(cells: &[String]) -> String {
    format!("| {} |\n", cells.join(" | "))
}

fn heading(cells: &[&str]) -> String {
    format!("| {} |\n|{}\n", cells.join(" | "), " --- |".repeat(cells.len()))
}

fn to_do(record: &Record) -> String {
    let mut out = "\n## What to do\n\n".to_owned();
    let missed = text::missed(record);
    for (sheet, one) in &missed {
        let closer = one.closer.as_ref().map_or_else(String::new, |closer| format!(" {}.", escaped(closer)));
        let remedy =
            one.to_do().map_or_else(String::new, |remedy| format!("{closer} **{}**", escaped(&remedy)));
        let why = if one.shown.is_empty() { one.reason.as_deref().unwrap_or("") } else { &one.shown };
        let name = one.full_name(sheet);
        out += &format!(
            "1. {}: {} ({}): {}.{remedy}\n",
            one.verdict.word().to_uppercase(),
            escaped(&one.label),
            escaped(&name),
            escaped(why)
        );
    }
    let on = &record.rests_on;
    if missed.is_empty() && on.open.is_empty() && on.unconfirmed.is_empty() {
        return out + "Nothing is left to do for these limits.\n";
    }
    out + &names("Find out", &on.open) + &names("Look at and confirm", &on.unconfirmed)
}

fn names(title: &str, names: &[String]) -> String {
    if names.is_empty() {
        return String::new();
    }
    format!("\n{title}: {}\n", escaped(&names.join(", ")))
}

fn section(record: &SheetRecord, told: &SheetTold, title: &str) -> String {
    let mut out = format!("\n## {}\n\n{}\n\n", escaped(title), paragraph(&told.about));
    out += &format!(
        "Sheet {}, revision {}, in this job {}\n\n",
        escaped(&record.sheet),
        told.revision,
        escaped(&record.name)
    );
    let lines: Vec<(&LineRecord, &LineTold)> = record.lines.iter().zip(&told.lines).collect();
    let entered = |line: &LineRecord| line.kind != LineKind::Find && line.schedule.is_none();
    if lines.iter().any(|(line, _)| entered(line)) {
        out += &heading(&["given or taken", "value", "how it is known"]);
        for (line, told) in lines.iter().filter(|(line, _)| entered(line)) {
            let label = format!("{} ({})", line.label, line.name);
            out += &row(&[label, line.shown.clone(), known(told)].map(|cell| escaped(&cell)));
        }
    }
    for schedule in &record.schedules {
        out += &rows(record, &schedule.name, &schedule.rows);
    }
    out.push('\n');
    for (line, told) in lines.iter().filter(|(line, _)| line.kind == LineKind::Find) {
        out += &calculation(line, told);
    }
    for one in &record.charts {
        // Set in by four, so that nothing in it can end it.
        let drawn = chart::text(&record.name, one, LOOK);
        out += "\n";
        out += &drawn.lines().map(|line| format!("    {line}\n")).collect::<String>();
    }
    if !record.limits.is_empty() {
        out += "\n";
        out += &heading(&["verdict", "limit", "compared", "how close", "source"]);
    }
    for limit in &record.limits {
        let verified = if limit.unverified { ", not verified" } else { "" };
        let source = limit.cite().map_or_else(String::new, |cite| format!("{cite}{verified}"));
        let shown = if limit.shown.is_empty() {
            limit.reason.clone().unwrap_or_default()
        } else {
            limit.shown.clone()
        };
        let label = format!("{} ({})", limit.label, limit.own_name());
        let verdict = limit.verdict.word().to_uppercase();
        out +=
            &row(&[verdict, label, shown, text::closeness_words(limit), source].map(|cell| escaped(&cell)));
    }
    for skipped in &record.not_needed {
        out += &format!("\nNot needed: {}: {}\n", escaped(&skipped.name), escaped(&skipped.reason));
    }
    out
}

fn known(told: &LineTold) -> String {
    let words = |known: &crate::notebook::report::KnownTold| match known.rows.as_slice() {
        [] => known.words.join("; "),
        rows => format!("{}: {}", rows.join(", "), known.words.join("; ")),
    };
    told.known.iter().map(words).collect::<Vec<_>>().join(". ")
}

fn rows(record: &SheetRecord, name: &str, rows: &[String]) -> String {
    let of_schedule = record.lines.iter().filter(|line| line.schedule.as_deref() == Some(name));
    let columns: Vec<&LineRecord> = of_schedule.filter(|line| !super::names_rows(line, rows)).collect();
    if columns.is_empty() || rows.is_empty() {
        return String::new();
    }
    let names: Vec<String> = columns.iter().map(|line| escaped(&line.name)).collect();
    let titles: Vec<&str> = std::iter::once("row").chain(names.iter().map(String::as_str)).collect();
    let mut out = "\n".to_owned() + &heading(&titles);
    for (n, title) in rows.iter().enumerate() {
        let cell = |line: &&LineRecord| escaped(line.shown_rows.get(n).map_or("", String::as_str));
        let cells: Vec<String> = std::iter::once(escaped(title)).chain(columns.iter().map(cell)).collect();
        out += &row(&cells);
    }
    out
}

fn calculation(line: &LineRecord, told: &LineTold) -> String {
    let mut out = format!("\n{} ({})", paragraph(&line.label), escaped(&line.name));
    let mut step = |text: &str| out += &format!("  \n= {}", escaped(text));
    if let Some(working) = &told.working {
        let written = working.formula.to_string();
        step(&written);
        let bare = matches!(working.formula.part, Part::Leaf(_));
        let numbers = working.numbers.as_ref().filter(|_| !bare).map(ToString::to_string);
        if let Some(numbers) = numbers.filter(|numbers| *numbers != written) {
            step(&told.row.as_ref().map_or(numbers.clone(), |row| format!("{numbers} (at {row})")));
        }
    }
    step(if line.schedule.is_some() { &told.shown } else { &line.shown });
    let reason = line.reason.as_ref().map_or_else(String::new, |reason| format!("  \n{}", escaped(reason)));
    out + &reason + "\n"
}

fn rests_on(report: &Report) -> String {
    let on = &report.record.rests_on;
    let mut out = "\n## What it rests on\n".to_owned();
    for ground in on.grounds() {
        out += &names(ground.heading, ground.names);
    }
    for one in &report.instruments {
        let told = [
            Some(one.name.clone()),
            one.kind.clone(),
            one.tolerance.clone(),
            one.calibrated_until.as_ref().map(|until| format!("calibrated until {until}")),
        ];
        out += &format!(
            "\nInstrument: {}\n",
            escaped(&told.into_iter().flatten().collect::<Vec<_>>().join(", "))
        );
    }
    out
}

fn marks(record: &Record) -> String {
    if record.marks.is_empty() {
        return "\n## Review marks\n\nNo line has been marked by a reviewer.\n".to_owned();
    }
    let mut out = "\n## Review marks\n\n".to_owned() + &heading(&["mark", "line", "what was said", "by"]);
    for mark in &record.marks {
        let kind = format!("{}{}", mark.kind.word(), if mark.stale.is_empty() { "" } else { ", stale" });
        let by = [mark.who.clone(), mark.at.clone()].into_iter().flatten().collect::<Vec<_>>().join(", ");
        out +=
            &row(&[kind, mark.name.clone(), mark.note.clone().unwrap_or_default(), by]
                .map(|cell| escaped(&cell)));
    }
    out
}

fn sign_off(report: &Report) -> String {
    let blank = || String::from("&nbsp;");
    let mut out = "\n## Sign-off\n\n".to_owned() + &heading(&["", "name", "role", "signature", "date"]);
    let who = report.prepared_by.as_deref().map_or_else(blank, escaped);
    for (line, name) in [("prepared by", who), ("checked by", blank()), ("accepted for the site by", blank())]
    {
        out += &row(&[line.to_owned(), name, blank(), blank(), blank()]);
    }
    out
}

fn identity(identity: &Identity) -> String {
    let mut out = format!("\n## Identity of this record\n\nWorked by {}\n\n", escaped(&identity.program));
    out += &heading(&["file", "kind", "revision", "SHA-256"]);
    for file in &identity.files {
        let revision = file.revision.map_or_else(String::new, |revision| revision.to_string());
        out += &row(&[escaped(&file.name), file.kind.to_owned(), revision, file.sha256.clone()]);
    }
    let head = identity.journal_head.as_deref().unwrap_or("none recorded");
    if identity.edited_outside {
        out += &format!("\n**{}**\n", super::page::EDITED);
    }
    out + &format!(
        "\nJournal head: {}\n\nTo hold this file against the job: {}\n\nwattle informs a competent person; it approves nothing. Local codes and licensed practice decide.\n",
        escaped(head),
        escaped(&super::page::check(identity))
    )
}
