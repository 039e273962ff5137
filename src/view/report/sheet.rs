//! A sheet as a worked calculation: what was given and taken, what was worked out, charts, limits.
//!
//! In: a sheet of a record and what is behind it. Out: markup.
//! Never: leaves out a line: what is not needed is named with its reason.

use maud::{Markup, PreEscaped, html};

use super::{code, limit, math, plot, units};
use crate::notebook::Working;
use crate::notebook::record::{ChartRecord, LineKind, LineRecord, Origin, SheetRecord, Value};
use crate::notebook::report::{KnownTold, LineTold, SheetTold};
use crate::sheet::formula::{Formula, Part};
use crate::unit::show;
use crate::view::chart::{DIGITS, titled};

/// How many columns of values stand beside each other.
const COLUMNS: usize = 10;
/// How many rows are kept on one page of paper.
const KEPT: usize = 14;

type Line<'a> = (&'a LineRecord, &'a LineTold);

/// Returns a sheet.
pub(super) fn section(record: &SheetRecord, told: &SheetTold, heading: &str) -> Markup {
    let lines: Vec<Line<'_>> = record.lines.iter().zip(&told.lines).collect();
    let outside = |kind: LineKind| {
        lines.iter().copied().filter(move |(line, _)| line.kind == kind && line.schedule.is_none())
    };
    let given: Vec<Line<'_>> = outside(LineKind::Given).collect();
    let taken: Vec<Line<'_>> = outside(LineKind::Take).collect();
    html! {
        section id=(record.name) aria-labelledby={ (record.name) "-title" } {
            h2 id={ (record.name) "-title" } { (heading) }
            p { (told.about) }
            p.from { "Sheet " (code(&record.sheet)) ", revision " (told.revision) ", in this job " (code(&record.name)) }
            @if !given.is_empty() { h3 { "Given" } (entered(record, "Entered for this job", &given)) }
            @if !taken.is_empty() { h3 { "Taken from documents" } (entered(record, "Adopted", &taken)) }
            @for (schedule, label) in record.schedules.iter().zip(&told.schedules) {
                @let columns = lines.iter().copied().filter(|(line, _)| line.schedule.as_ref() == Some(&schedule.name));
                @let columns: Vec<Line<'_>> = columns.collect();
                @if !columns.is_empty() {
                    h3 { (label) " " (code(&schedule.name)) }
                    (rows(&schedule.rows, label, &columns))
                    (columns_known(&columns))
                    @for line in columns.iter().filter(|(line, _)| line.kind == LineKind::Find) {
                        (calculation(&record.name, *line))
                    }
                }
            }
            @if outside(LineKind::Find).next().is_some() {
                h3 { "Worked out" }
                @for line in outside(LineKind::Find) { (calculation(&record.name, line)) }
            }
            @for chart in &record.charts { (picture(&record.name, chart)) }
            @if !record.limits.is_empty() {
                h3 { "Limits" }
                @for (one, told) in record.limits.iter().zip(&told.limits) { (limit::block(&record.name, one, told)) }
            }
            @if !record.not_needed.is_empty() {
                h3 { "Not needed here" }
                ul.from {
                    @for skipped in &record.not_needed {
                        li { (code(&skipped.name)) @if skipped.limit { " (limit)" } ": " (skipped.reason) }
                    }
                }
            }
        }
    }
}

/// A value of more characters than this may break over lines.
const LONG: usize = 28;

/// Lines that were entered or adopted.
fn entered(sheet: &SheetRecord, caption: &str, lines: &[Line<'_>]) -> Markup {
    html! {
        div.scroll tabindex="0" role="region" aria-label={ (caption) ", " (sheet.title) } {
            table.keep[lines.len() <= KEPT] {
                caption.sr { (caption) " (" (sheet.title) ")" }
                thead { tr { th scope="col" { "What" } th scope="col" { "Value" } th scope="col" { "How it is known" } } }
                tbody {
                    @for (line, told) in lines {
                        tr id={ (sheet.name) "." (line.name) } {
                            th scope="row" { (line.label) " " (code(&line.name)) }
                            td class={ @if line.shown.chars().count() > LONG { "words" } @else { "v" } } { (value(line, &line.shown)) }
                            td { (known_of(line, told)) }
                        }
                    }
                }
            }
        }
    }
}

fn value(line: &LineRecord, shown: &str) -> Markup {
    html! {
        @if line.origin == Origin::Open { strong { "open" } @if !line.unit.is_empty() { ", in " (units::set(&line.unit)) } }
        @else { (units::in_words(shown)) }
        @if line.shown == "?" && line.origin != Origin::Open {
            @if let Some(reason) = &line.reason { div.from { (units::in_words(reason)) } }
        }
        @if let Some(spread) = spread(line) { br; small { (spread) } }
    }
}

/// From where to where it may be; rounding outwards is no spread that a person knows of.
fn spread(line: &LineRecord) -> Option<String> {
    let (Value::Number(low), Value::Number(high)) = (&line.low, &line.high) else { return None };
    let (low, high) = (show::digits(*low, DIGITS), show::digits(*high, DIGITS));
    (low != high).then(|| units::in_words(&format!("{low} to {high}")))
}

fn known_of(line: &LineRecord, told: &LineTold) -> Markup {
    let said = |note: &String| told.known.iter().any(|known| known.words.contains(note));
    html! {
        (known(&told.known))
        @if let Some(note) = line.note.as_ref().filter(|note| !said(note)) { div.from { (note) } }
        @if let Some(when) = &told.when { div.from { "needed when " (math::formula(when)) } }
    }
}

fn known(told: &[KnownTold]) -> Markup {
    html! {
        @for one in told {
            div {
                @if !one.rows.is_empty() { (one.rows.join(", ")) ": " }
                (units::in_words(&in_a_row(&one.words)))
            }
        }
    }
}

/// Joins what is said; after a full stop as sentences.
fn in_a_row(words: &[String]) -> String {
    let mut out = String::new();
    for words in words {
        if !out.is_empty() {
            out += if out.ends_with('.') { " " } else { "; " };
        }
        out += words;
    }
    out
}

/// A line that was worked out: its formula, the same with its numbers, the result.
fn calculation(sheet: &str, (line, told): Line<'_>) -> Markup {
    let name =
        line.schedule.as_ref().map_or(line.name.clone(), |schedule| format!("{schedule}.{}", line.name));
    html! {
        div.calc id={ (sheet) "." (name) } {
            h4 { (line.label) " " (code(&line.name)) }
            @if let Some(working) = &told.working { (equation(line, told, working)) }
            @if let Some(reason) = &line.reason { p { (units::in_words(reason)) } }
            p.from { (joined(remarks(line, told))) }
        }
    }
}

fn equation(line: &LineRecord, told: &LineTold, working: &Working) -> Markup {
    let shown = if line.schedule.is_some() { &told.shown } else { &line.shown };
    let bare = matches!(working.formula.part, Part::Leaf(_));
    let numbers = working.numbers.as_ref().filter(|numbers| !bare && **numbers != working.formula);
    let result = html! {
        " " span.result { "= " (units::in_words(shown)) }
        @if let Some(spread) = spread(line) { span.soft { " (" (spread) " within the tolerances)" } }
    };
    let at = told.row.as_ref().map_or_else(String::new, |row| format!("at {row}"));
    html! {
        div.eq tabindex="0" role="group" aria-label={ "How " (line.name) " was worked" } {
            span { (math::symbol(&line.name)) }
            @if numbers.is_some() || !at.is_empty() {
                span { "= " (math::formula(&working.formula)) }
                span.soft { (at) }
                span { @if let Some(numbers) = numbers { "= " (math::formula(numbers)) } (result) }
            } @else {
                span { "= " (math::formula(&working.formula)) (result) }
            }
        }
    }
}

/// What stands under a line that was worked out: why this way, from which document, when it is needed.
fn remarks(line: &LineRecord, told: &LineTold) -> Vec<Markup> {
    let working = told.working.as_ref();
    let condition = working.and_then(|working| working.condition.as_ref());
    let passed = working.filter(|working| working.condition.is_none() && !working.passed.is_empty());
    let passed = passed.map(|working| {
        html! {
            "as not " @for (n, (written, numbers)) in working.passed.iter().enumerate() {
                @if n > 0 { ", nor " } (held(written, numbers))
            }
        }
    });
    let source = || limit::source(line.cite());
    [
        condition.map(|(written, numbers)| html! { "as " (held(written, numbers)) }),
        passed,
        line.source.is_some().then(source),
        told.when.as_ref().map(|when| html! { "needed when " (math::formula(when)) }),
        line.note.as_ref().map(|note| html! { (note) }),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn joined(parts: Vec<Markup>) -> Markup {
    html! { @for (n, part) in parts.into_iter().enumerate() { @if n > 0 { " \u{b7} " } (part) } }
}

fn held(written: &Formula, numbers: &Formula) -> Markup {
    html! { (math::formula(written)) @if written != numbers { " (" (math::formula(numbers)) ")" } }
}

/// The rows of a schedule; where there are many columns, in several tables.
fn rows(names: &[String], label: &str, columns: &[Line<'_>]) -> Markup {
    let values: Vec<&Line<'_>> = columns.iter().filter(|(line, _)| !super::names_rows(line, names)).collect();
    // Where there must be several tables, they are alike.
    let alike = values.len().div_ceil(values.len().div_ceil(COLUMNS).max(1)).max(1);
    html! {
        @if names.is_empty() { p { "No rows." } }
        @else {
            @for (n, part) in values.chunks(alike).enumerate() {
                @let cells: Vec<Vec<String>> = part.iter().map(|(line, _)| aligned(line)).collect();
                div.scroll tabindex="0" role="region" aria-label={ (label) @if n > 0 { ", further columns " (n) } } {
                    table.rows.keep[names.len() <= KEPT] {
                        caption.sr[n == 0] { (label) @if n > 0 { " (further columns)" } }
                        thead { tr {
                            th scope="col" { "Row" }
                            @for (line, _) in part {
                                th class=(kind(line)) scope="col" { (math::symbol(&line.name)) @if !line.unit.is_empty() { br; span.u { (units::set(&line.unit)) } } }
                            }
                        } }
                        tbody {
                            @for (row, name) in names.iter().enumerate() {
                                tr {
                                    th scope="row" { (name) }
                                    @for ((line, _), column) in part.iter().zip(&cells) { td class=(kind(line)) { (column.get(row).map_or("", String::as_str)) } }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// Numbers stand under each other on one line; words break where they must.
fn kind(line: &LineRecord) -> &'static str {
    let words = line.unit.is_empty() && line.shown_rows.iter().any(|shown| shown.contains(' '));
    if words { "words" } else { "n" }
}

/// The cells of a column, their decimal points under each other.
fn aligned(line: &LineRecord) -> Vec<String> {
    let decimals = |shown: &str| {
        let is_number = shown.replace('\u{2212}', "-").parse::<f64>().is_ok();
        is_number.then(|| shown.split_once('.').map_or(0, |(_, decimals)| decimals.chars().count()))
    };
    let cells: Vec<String> = (0..line.shown_rows.len()).map(|row| cell(line, row)).collect();
    let most = cells.iter().filter_map(|shown| decimals(shown)).max().unwrap_or(0);
    let padded = |shown: String| match decimals(&shown) {
        Some(own) => {
            let point = if own == 0 && most > 0 { "\u{2008}" } else { "" };
            format!("{shown}{point}{}", "\u{2007}".repeat(most - own))
        }
        None => shown,
    };
    cells.into_iter().map(padded).collect()
}

/// A cell: the unit stands in the heading.
fn cell(line: &LineRecord, row: usize) -> String {
    let shown = line.shown_rows.get(row).map_or("", String::as_str);
    if shown == "not needed" {
        return "\u{2013}".to_owned();
    }
    let bare = if line.unit.is_empty() { None } else { shown.strip_suffix(&line.unit) };
    units::in_words(bare.map_or(shown, str::trim_end))
}

/// What the entered columns are, and how their values are known; those that are known alike together.
fn columns_known(columns: &[Line<'_>]) -> Markup {
    let entered = columns.iter().filter(|(line, _)| line.kind != LineKind::Find);
    let mut alike: Vec<Vec<&Line<'_>>> = Vec::new();
    for line in entered {
        let same = |one: &&mut Vec<&Line<'_>>| {
            one[0].1.known == line.1.known && one[0].0.note == line.0.note && one[0].1.when == line.1.when
        };
        match alike.iter_mut().find(same) {
            Some(one) => one.push(line),
            None => alike.push(vec![line]),
        }
    }
    html! {
        ul.from {
            @for group in alike {
                li {
                    @for (n, (line, _)) in group.iter().enumerate() {
                        @if n > 0 { "; " } (math::symbol(&line.name)) ": " (line.label)
                    }
                    (known_of(group[0].0, group[0].1))
                }
            }
        }
    }
}

fn picture(sheet: &str, chart: &ChartRecord) -> Markup {
    let told = format!("{}: {} over {}", chart.label, titled(&chart.up), titled(&chart.across));
    html! {
        figure.chart id={ (sheet) "." (chart.name) } {
            figcaption { strong { (chart.label) } " " (code(&chart.name)) }
            @match plot::svg(chart) {
                Some(svg) => div role="img" aria-label=(told) { (PreEscaped(svg)) },
                None => p { "Nothing to draw yet: no point of it is known." },
            }
            @for line in &chart.lines {
                p.key { "Dashed: " (line.label) ", " (units::in_words(&line.shown)) " (" (line.formula) ")" }
            }
        }
    }
}
