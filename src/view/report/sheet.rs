//! A sheet as a worked calculation: what was given and taken, what was worked out, charts, limits.
//!
//! In: a sheet of a record and what is behind it. Out: markup.
//! Never: leaves out a line: what is not needed is named with its reason.

use maud::{Markup, PreEscaped, html};

use super::{limit, math, plot, units};
use crate::notebook::record::{ChartRecord, LineKind, LineRecord, Origin, SheetRecord, Value};
use crate::notebook::report::{KnownTold, LineTold, SheetTold};
use crate::unit::show;
use crate::view::chart::titled;

/// How many columns of values stand beside each other.
const COLUMNS: usize = 8;

type Line<'a> = (&'a LineRecord, &'a LineTold);

/// Returns a sheet.
pub(super) fn section(record: &SheetRecord, told: &SheetTold) -> Markup {
    let lines: Vec<Line<'_>> = record.lines.iter().zip(&told.lines).collect();
    let outside = |kind: LineKind| {
        lines.iter().copied().filter(move |(line, _)| line.kind == kind && line.schedule.is_none())
    };
    let given: Vec<Line<'_>> = outside(LineKind::Given).collect();
    let taken: Vec<Line<'_>> = outside(LineKind::Take).collect();
    html! {
        section id=(record.name) aria-labelledby={ (record.name) "-title" } {
            h2 id={ (record.name) "-title" } { (record.title) }
            p { (told.about) }
            p.from { "Sheet " code { (record.sheet) } ", revision " (told.revision) ", in this job " code { (record.name) } }
            @if !given.is_empty() { h3 { "Given" } (entered(record, "Entered for this job", &given)) }
            @if !taken.is_empty() { h3 { "Taken from documents" } (entered(record, "Adopted", &taken)) }
            @for (schedule, label) in record.schedules.iter().zip(&told.schedules) {
                @let columns = lines.iter().copied().filter(|(line, _)| line.schedule.as_ref() == Some(&schedule.name));
                @let columns: Vec<Line<'_>> = columns.collect();
                @if !columns.is_empty() {
                    h3 { (label) " " code { (schedule.name) } }
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
                        li { code { (skipped.name) } @if skipped.limit { " (limit)" } ": " (skipped.reason) }
                    }
                }
            }
        }
    }
}

/// Lines that were entered or adopted.
fn entered(sheet: &SheetRecord, caption: &str, lines: &[Line<'_>]) -> Markup {
    html! {
        div.scroll {
            table {
                caption { (caption) " (" (sheet.title) ")" }
                thead { tr { th scope="col" { "What" } th scope="col" { "Value" } th scope="col" { "How it is known" } } }
                tbody {
                    @for (line, told) in lines {
                        tr id={ (sheet.name) "." (line.name) } {
                            th scope="row" { (line.label) " " code { (line.name) } }
                            td.v { (value(line, &line.shown)) }
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
        @if let (Value::Number(low), Value::Number(high)) = (&line.low, &line.high) {
            br; small { (spread(*low, *high)) }
        }
    }
}

fn spread(low: f64, high: f64) -> String {
    units::in_words(&format!("{} to {}", show::digits(low, 4), show::digits(high, 4)))
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
                (units::in_words(&one.words.join("; ")))
            }
        }
    }
}

/// A line that was worked out: its formula, the same with its numbers, the result.
fn calculation(sheet: &str, (line, told): Line<'_>) -> Markup {
    let name =
        line.schedule.as_ref().map_or(line.name.clone(), |schedule| format!("{schedule}.{}", line.name));
    let shown = if line.schedule.is_some() { &told.shown } else { &line.shown };
    html! {
        div.calc id={ (sheet) "." (name) } {
            h4 { (line.label) " " code { (line.name) } }
            @if let Some(working) = &told.working {
                div.eq {
                    span { (math::symbol(&line.name)) }
                    span { "= " (math::formula(&working.formula)) }
                    @if let Some(numbers) = working.numbers.as_ref().filter(|numbers| **numbers != working.formula) {
                        span.soft { @if let Some(row) = &told.row { "at " (row) } }
                        span { "= " (math::formula(numbers)) }
                    }
                    span {} span.result {
                        "= " (units::in_words(shown))
                        @if let (Value::Number(low), Value::Number(high)) = (&line.low, &line.high) {
                            span.soft { " (" (spread(*low, *high)) " within the tolerances)" }
                        }
                    }
                }
                @if let Some((written, numbers)) = &working.condition { p.from { "as " (held(written, numbers)) } }
                @else if !working.passed.is_empty() {
                    p.from { "as not " @for (n, (written, numbers)) in working.passed.iter().enumerate() {
                        @if n > 0 { ", nor " } (held(written, numbers))
                    } }
                }
            }
            @if let Some(reason) = &line.reason { p { (units::in_words(reason)) } }
            @let source = limit::source(line.source.as_ref(), line.clause.as_ref(), line.unverified);
            @if line.source.is_some() { p.from { (source) } }
            @if let Some(note) = &line.note { p.from { (note) } }
            @if let Some(when) = &told.when { p.from { "needed when " (math::formula(when)) } }
        }
    }
}

fn held(written: &crate::sheet::formula::Formula, numbers: &crate::sheet::formula::Formula) -> Markup {
    html! { (math::formula(written)) @if written != numbers { " (" (math::formula(numbers)) ")" } }
}

/// The rows of a schedule; where there are many columns, in several tables.
fn rows(names: &[String], label: &str, columns: &[Line<'_>]) -> Markup {
    let is_name = |line: &&Line<'_>| line.0.shown_rows == names && !names.is_empty();
    let values: Vec<&Line<'_>> = columns.iter().filter(|line| !is_name(line)).collect();
    html! {
        @if names.is_empty() { p { "No rows." } }
        @else {
            @for (n, part) in values.chunks(COLUMNS).enumerate() {
                div.scroll tabindex="0" role="region" aria-label={ (label) @if n > 0 { ", further columns " (n) } } {
                    table.rows {
                        caption { (label) @if n > 0 { " (further columns)" } }
                        thead { tr {
                            th scope="col" { "Row" }
                            @for (line, _) in part {
                                th.n scope="col" { (math::symbol(&line.name)) @if !line.unit.is_empty() { br; (units::set(&line.unit)) } }
                            }
                        } }
                        tbody {
                            @for (row, name) in names.iter().enumerate() {
                                tr {
                                    th scope="row" { (name) }
                                    @for (line, _) in part { td.n { (cell(line, row)) } }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
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

/// What the entered columns are, and how their values are known.
fn columns_known(columns: &[Line<'_>]) -> Markup {
    html! {
        ul.from {
            @for (line, told) in columns.iter().filter(|(line, _)| line.kind != LineKind::Find) {
                li { (math::symbol(&line.name)) ": " (line.label) ". " (known_of(line, told)) }
            }
        }
    }
}

fn picture(sheet: &str, chart: &ChartRecord) -> Markup {
    let told = format!("{}: {} over {}", chart.label, titled(&chart.up), titled(&chart.across));
    html! {
        figure.chart id={ (sheet) "." (chart.name) } {
            figcaption { strong { (chart.label) } " " code { (chart.name) } }
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
