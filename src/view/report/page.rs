//! The page: the verdict first, then what to do, the sheets, what it all rests on, sign-off, identity.
//!
//! In: a job told for a reviewer. Out: HTML.
//! Never: lets a character that hides or turns text stand: one gate at the end shows it.

use maud::{Markup, PreEscaped, html};

use super::{code, limit, sheet, style, units};
use crate::notebook::record::{LimitRecord, MarkKind, Record, Strength, Verdict};
use crate::notebook::{Identity, Report};
use crate::unit::date;
use crate::view::{hidden, text};

/// What every page begins with.
pub(super) const OPENING: &str = "<!DOCTYPE html>\n<!-- a wattle report -->\n";

/// Returns the page.
pub(super) fn page(report: &Report) -> String {
    let record = &report.record;
    let made = html! {
        html lang="en-GB" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                meta name="referrer" content="no-referrer";
                title { (record.title) ": " (record.verdict.word()) }
                style { (PreEscaped(style::STYLE)) }
            }
            body {
                header { (head(report)) (verdict(report)) }
                (contents(record))
                main {
                    (to_do(report))
                    (at_a_glance(record))
                    @for (one, told) in record.sheets.iter().zip(&report.sheets) { (sheet::section(one, told, &record.heading(one))) }
                    (rests_on(report))
                    (cautions(record))
                    (marks(record))
                    (sign_off(report))
                    (identity(&report.identity))
                }
                footer {
                    p { "wattle informs a competent person; it approves nothing. Calculated or measured volts prove "
                        "nothing dead and nothing safe to touch. Local codes and licensed practice decide." }
                }
            }
        }
    };
    let shown = |c: char| if c != '\n' && hidden(c) { c.escape_unicode().to_string() } else { c.to_string() };
    let body: String = made.into_string().chars().map(shown).collect();
    format!("{OPENING}{body}\n")
}

fn day(text: &str) -> String {
    date::read(text).map_or_else(|_| text.to_owned(), date::in_words)
}

fn head(report: &Report) -> Markup {
    let record = &report.record;
    let (title, revision, _) = &report.basis;
    html! {
        p.kicker { "Record of calculation" }
        h1 { (record.title) }
        dl.facts {
            dt { "Job" } dd { (code(&record.job)) }
            dt { "Judged on" } dd { (day(&record.on)) }
            dt { "Basis" } dd { (title) " (" (code(&record.basis)) ", revision " (revision) ")" }
            @if let Some(who) = &report.prepared_by { dt { "Prepared by" } dd { (who) } }
        }
    }
}

fn verdict(report: &Report) -> Markup {
    let record = &report.record;
    let clear = to_clear(report);
    let musts: Vec<&LimitRecord> = musts(record).collect();
    let same = musts.iter().filter(|limit| limit.verdict == record.verdict).count();
    let rests = text::rests(record);
    html! {
        div.verdict.(record.verdict.word()) role="group" aria-label="Verdict" {
            p.word { (record.verdict.word().to_uppercase()) }
            p { (same) " of " (musts.len()) " limits " (ended(record.verdict)) (rests) "." }
            @if !record.rests_on.open.is_empty() {
                p { (record.rests_on.open.len()) " still open." }
            }
            @for remark in &record.remarks { p { (units::in_words(remark)) } }
            @if !clear.is_empty() {
                p { strong { "To be cleared before it is relied on" } }
                ul { @for words in clear { li { (units::in_words(&words)) } } }
            }
        }
    }
}

/// Assumptions that are named under the verdict.
const MOST_ASSUMED: usize = 6;

/// What stands against a verdict, whatever it is: what the journal speaks against, open questions, assumptions.
pub(super) fn to_clear(report: &Report) -> Vec<String> {
    let record = &report.record;
    let mut told = report.doubts.clone();
    for mark in record.marks.iter().filter(|mark| mark.kind == MarkKind::Query) {
        let who = mark.who.as_deref().unwrap_or("somebody");
        told.push(format!("{who} asks of {}: {}", mark.name, mark.note.as_deref().unwrap_or_default()));
    }
    for mark in record.marks.iter().filter(|mark| !mark.stale.is_empty()) {
        let who = mark.who.as_deref().unwrap_or("somebody");
        told.push(format!("the mark of {who} on {} is stale: {}", mark.name, mark.stale_words()));
    }
    let assumed = &record.rests_on.assumed;
    let shown =
        |name: &String| record.line(name).map_or(name.clone(), |line| format!("{name} {}", line.shown));
    let mut names: Vec<String> = assumed.iter().take(MOST_ASSUMED).map(shown).collect();
    if assumed.len() > MOST_ASSUMED {
        names.push(format!("and {} more, under what it rests on", assumed.len() - MOST_ASSUMED));
    }
    if !names.is_empty() {
        told.push(format!("assumed, or not said how: {}", names.join(", ")));
    }
    told
}

/// What the limits that came out like the job did.
fn ended(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Pass | Verdict::Advice => "hold",
        Verdict::Waiting => "wait",
        Verdict::Unsure => "are unsure",
        Verdict::Fail => "fail",
        Verdict::Unworkable => "cannot be worked out",
    }
}

fn musts(record: &Record) -> impl Iterator<Item = &LimitRecord> {
    record.limits().map(|(_, limit)| limit).filter(|limit| limit.strength == Strength::Must)
}

fn contents(record: &Record) -> Markup {
    let fixed = [
        ("to-do", "What to do"),
        ("all-limits", "Limits"),
        ("rests-on", "What it rests on"),
        ("all-cautions", "Cautions"),
    ];
    let last = [("review-marks", "Review marks"), ("sign-off", "Sign-off"), ("record-identity", "Identity")];
    html! {
        nav aria-label="Contents" {
            ul {
                @for (at, words) in &fixed[..2] { li { a href={ "#" (at) } { (words) } } }
                @for sheet in &record.sheets { li { a href={ "#" (sheet.name) } { (record.heading(sheet)) } } }
                @for (at, words) in fixed[2..].iter().chain(&last) { li { a href={ "#" (at) } { (words) } } }
            }
        }
    }
}

/// Said where the job's file is not as its journal left it.
pub(super) const EDITED: &str =
    "The job's file was edited outside the notebook since the last line of its journal: audit the job.";

/// What to do: what does not hold, the worst first; what is open; what is to be confirmed.
fn to_do(report: &Report) -> Markup {
    let record = &report.record;
    let missed = text::missed(record);
    let on = &record.rests_on;
    let nothing = missed.is_empty() && on.open.is_empty() && on.unconfirmed.is_empty();
    html! {
        section aria-labelledby="to-do" {
            h2 id="to-do" { "What to do" }
            @if nothing && !to_clear(report).is_empty() {
                p { "Every limit that must hold does. What stands under the verdict is to be cleared first." }
            } @else if nothing { p { "Nothing is left to do for these limits. Read the cautions, and what the verdict rests on." } }
            @if !missed.is_empty() {
                ol.steps {
                    @for (sheet, one) in missed {
                        li {
                            p {
                                (limit::tag(one.verdict)) " " a href={ "#" (one.full_name(sheet)) } { (one.label) }
                                @if let Some(own) = record.sheets.iter().find(|own| own.name == sheet) {
                                    span.soft { " \u{b7} " (record.heading(own)) }
                                }
                            }
                            @let why = if one.shown.is_empty() { one.reason.as_deref().unwrap_or("") } else { &one.shown };
                            p { (units::in_words(why)) @if let [row] = one.rows.as_slice() { ", at " (row.name) } }
                            @if let Some(closer) = &one.closer { p { (units::in_words(closer)) } }
                            @if let Some(remedy) = one.to_do() { p { strong { (units::in_words(&remedy)) } } }
                        }
                    }
                }
            }
            (names(record, "Find out", &on.open))
            (names(record, "Look at and confirm, a default nobody has looked at yet", &on.unconfirmed))
        }
    }
}

/// Names of lines with their labels and values.
fn names(record: &Record, title: &str, names: &[String]) -> Markup {
    html! {
        @if !names.is_empty() {
            h3 { (title) }
            ul { @for name in names { li { (named(record, name)) } } }
        }
    }
}

fn named(record: &Record, name: &str) -> Markup {
    let limit = record.limits().find(|(sheet, limit)| name == limit.full_name(sheet));
    html! {
        @match (record.line(name), limit) {
            (None, Some((_, limit))) => { a href={ "#" (name) } { (limit.label) } " " (code(name)) }
            (Some(line), _) => {
                a href={ "#" (name) } { (line.label) }
                @if line.shown == "?" { @if !line.unit.is_empty() { ", in " (units::set(&line.unit)) } }
                @else { ": " (units::in_words(&line.shown)) }
                " " (code(name))
            }
            (None, None) => { (code(name)) }
        }
    }
}

fn at_a_glance(record: &Record) -> Markup {
    html! {
        section aria-labelledby="all-limits" {
            h2 id="all-limits" { "Limits" }
            @if record.sheets.iter().all(|sheet| sheet.limits.is_empty()) { p { "No limit was judged." } }
            @else {
                table.glance {
                    caption { "Every limit that was judged; the bar is full, at its mark, where the limit is just kept" }
                    thead { tr { th scope="col" { "Verdict" } th scope="col" { "Limit" } th scope="col" { "How close" } } }
                    @for sheet in record.sheets.iter().filter(|sheet| !sheet.limits.is_empty()) {
                        tbody {
                            tr { th.soft colspan="3" scope="rowgroup" { (record.heading(sheet)) } }
                            @for one in &sheet.limits {
                                tr {
                                    td { (limit::tag(one.verdict)) }
                                    th scope="row" {
                                        a href={ "#" (one.full_name(&sheet.name)) } { (one.label) }
                                        div.from {
                                            @if one.strength == Strength::Should { "advice; " }
                                            (limit::source(one.cite()))
                                        }
                                    }
                                    td { (limit::closeness(one)) }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// What was assumed, and everything else that a reviewer would ask about.
fn rests_on(report: &Report) -> Markup {
    let record = &report.record;
    let on = &record.rests_on;
    let nothing = on.grounds().iter().all(|ground| ground.names.is_empty());
    html! {
        section aria-labelledby="rests-on" {
            h2 id="rests-on" { "What it rests on" }
            @if nothing { p { "No assumption, and nothing unverified: no limit that must hold rests on any." } }
            @for ground in on.grounds() { (names(record, ground.heading, ground.names)) }
            @if !report.instruments.is_empty() {
                h3 { "Instruments" }
                table.keep {
                    caption { "Instruments that readings were taken with" }
                    thead { tr {
                        th scope="col" { "Name" } th scope="col" { "What it is" } th scope="col" { "Reads to" }
                        th scope="col" { "Calibrated until" }
                    } }
                    tbody { @for one in &report.instruments { tr {
                        th scope="row" { (one.name) } td { (one.kind.as_deref().unwrap_or("not said")) }
                        td { (units::in_words(one.tolerance.as_deref().unwrap_or("not said"))) }
                        td { (one.calibrated_until.as_deref().unwrap_or("not said")) }
                    } } }
                }
            }
            @if !report.not_used.is_empty() {
                p { "Named in the job, and no reading was taken with: " (report.not_used.join(", ")) "." }
            }
            h3 { "Basis" }
            p { (report.basis.0) ". " (report.basis.2) }
        }
    }
}

fn cautions(record: &Record) -> Markup {
    let told = text::each_caution(record);
    html! {
        section aria-labelledby="all-cautions" {
            h2 id="all-cautions" { "Cautions" }
            @if told.is_empty() { p { "The sheets give none; the usual ones hold." } }
            @else { ul { @for caution in told { li { (caution) } } } }
        }
    }
}

fn marks(record: &Record) -> Markup {
    html! {
        section aria-labelledby="review-marks" {
            h2 id="review-marks" { "Review marks" }
            @if record.marks.is_empty() { p { "No line has been marked by a reviewer." } }
            @else {
                table {
                    caption { "What reviewers said of single lines; a stale mark was made of a line that has changed since" }
                    thead { tr {
                        th scope="col" { "Mark" } th scope="col" { "Line" } th scope="col" { "What was said" }
                        th scope="col" { "By" }
                    } }
                    tbody { @for mark in &record.marks { tr {
                        td {
                            span.tag { @match mark.kind { MarkKind::Agree => "AGREE", MarkKind::Query => "QUERY" } }
                            @if !mark.stale.is_empty() { " " strong { "stale" } ": " (mark.stale_words()) }
                        }
                        th scope="row" { (named(record, &mark.name)) }
                        td { (mark.note.as_deref().unwrap_or("")) }
                        td { (mark.who.as_deref().unwrap_or("not said")) @if let Some(at) = &mark.at { ", " (day(at)) } }
                    } } }
                }
            }
        }
    }
}

fn sign_off(report: &Report) -> Markup {
    let lines = [
        ("Prepared by", report.prepared_by.as_deref()),
        ("Checked by", None),
        ("Accepted for the site by", None),
    ];
    html! {
        section.keep aria-labelledby="sign-off" {
            h2 id="sign-off" { "Sign-off" }
            p { "Whoever signs has read this record, and says so for the part that is theirs." }
            table.sign {
                caption { "By name, role and date" }
                thead { tr {
                    td {} th scope="col" { "Name" } th scope="col" { "Role" } th scope="col" { "Signature" }
                    th scope="col" { "Date" }
                } }
                tbody { @for (line, name) in lines { tr {
                    th scope="row" { (line) } td { (name.unwrap_or("")) } td {} td {} td {}
                } } }
            }
        }
    }
}

fn identity(identity: &Identity) -> Markup {
    html! {
        section aria-labelledby="record-identity" {
            h2 id="record-identity" { "Identity of this record" }
            p { "Worked by " (identity.program) " from the files below; each hash is the SHA-256 of the file's text." }
            table.files.keep {
                caption { "The files that this record was worked from" }
                thead { tr {
                    th scope="col" { "File" } th scope="col" { "Kind" } th.n scope="col" { "Revision" }
                    th scope="col" { "SHA-256" }
                } }
                tbody { @for file in &identity.files { tr {
                    th scope="row" { (code(&file.name)) } td { (file.kind) }
                    td.n { (file.revision.map_or_else(String::new, |revision| revision.to_string())) }
                    td.hash { (file.sha256) }
                } } }
            }
            p {
                "Journal head: "
                @match &identity.journal_head {
                    Some(head) => span.hash { (head) },
                    None => "none recorded.",
                }
            }
            @if identity.edited_outside { p { strong { (EDITED) } } }
            p { "To hold this page against the job: " (code(&check(identity))) }
        }
    }
}

/// What is typed to hold a page against its job.
pub(super) fn check(identity: &Identity) -> String {
    let job = identity.files.first().map_or("JOB", |job| job.name.as_str());
    format!("wattle audit {job} --record THIS-FILE")
}
