//! What every built-in sheet must have, whoever wrote it: sources, ranges, examples both ways, cautions.

use std::sync::Arc;

use wattle::cite::Cite;
use wattle::notebook::Library;
use wattle::notebook::builtin::{BASES, SHEETS};
use wattle::sheet::model::{Is, Line, Role, Source};
use wattle::sheet::statement::{Expect, Literal};
use wattle::sheet::{Basis, Sheet};

/// Sheets that send somebody to live conductors, or to circuits that are worked on after isolating.
const TOUCH_LIVE_WORK: [&str; 5] = ["supply_path", "circuit_tests", "temporary_feed", "breaker", "volt_drop"];

fn library() -> Library {
    Library::new(Vec::new())
}

fn bases(library: &Library) -> Vec<Arc<Basis>> {
    BASES.iter().map(|(name, _)| library.basis(name).expect("it reads").expect("it is built in")).collect()
}

fn sheets(library: &Library) -> Vec<(&'static str, Arc<Sheet>)> {
    let read = |name| library.sheet(name, None).expect("it reads").expect("it is built in");
    SHEETS.iter().map(|(name, _)| (*name, read(name))).collect()
}

/// Every line of every built-in sheet, by its full name.
fn lines(library: &Library) -> Vec<(String, Line)> {
    let of = |(name, sheet): (&str, Arc<Sheet>)| -> Vec<(String, Line)> {
        sheet.lines.iter().map(|line| (format!("{name}.{}", line.name.value), line.clone())).collect()
    };
    sheets(library).into_iter().flat_map(of).collect()
}

fn limits(library: &Library) -> Vec<(String, Line)> {
    lines(library).into_iter().filter(|(_, line)| matches!(line.role, Role::Limit { .. })).collect()
}

/// What is missing in a citation: its document, or a clause that somebody can open where it is said to be verified.
fn lacks(cite: &Cite) -> Option<String> {
    let practice = cite.document == Cite::PRACTICE;
    let traced = practice || cite.unverified || cite.clause.is_some();
    (cite.document.is_empty() || !traced).then(|| format!("{cite:?}"))
}

#[test]
fn each_limit_has_a_source_on_every_basis_or_says_common_practice() {
    let library = library();
    let bases = bases(&library);
    let limits = limits(&library);
    assert!(limits.len() > 150, "only {} limits were found", limits.len());
    let mut bare = Vec::new();
    for (name, line) in limits {
        match &line.source {
            None => bare.push(format!("{name}: no source")),
            Some(Source::Document(cite)) => bare.extend(lacks(cite).map(|why| format!("{name}: {why}"))),
            Some(Source::Basis(cited)) => bare.extend(bases.iter().filter_map(|basis| {
                let why = match (basis.cite(cited), basis.without(cited)) {
                    (Some(cite), _) => lacks(cite),
                    (None, Some(_)) => None,
                    (None, None) => Some(format!("nothing is cited for {cited}")),
                };
                why.map(|why| format!("{name} on {}: {why}", basis.name))
            })),
        }
    }
    assert!(bare.is_empty(), "{bare:#?}");
}

#[test]
fn each_figure_that_is_adopted_has_a_source() {
    let library = library();
    let mut bare = Vec::new();
    for (name, line) in lines(&library) {
        if let (Role::Take { value: Some(_) }, source) = (&line.role, &line.source) {
            match source {
                Some(Source::Document(cite)) => bare.extend(lacks(cite).map(|why| format!("{name}: {why}"))),
                Some(Source::Basis(_)) => {}
                None => bare.push(name),
            }
        }
    }
    for basis in bases(&library) {
        for name in basis.figure_names() {
            let figure = basis.figure(name).expect("it was just named");
            let why = figure.cite.as_ref().map_or(Some("no source".to_owned()), lacks);
            let known = figure.value.is_some();
            bare.extend(why.filter(|_| known).map(|why| format!("{}: {name}: {why}", basis.name)));
        }
    }
    assert!(bare.is_empty(), "{bare:#?}");
}

#[test]
fn each_limit_passes_in_one_example_and_is_missed_in_another() {
    let mut missing = Vec::new();
    for (name, sheet) in sheets(&library()) {
        for line in &sheet.lines {
            let Role::Limit { must, .. } = line.role else { continue };
            for verdict in ["pass", if must { "fail" } else { "advice" }] {
                let shown = |expect: &Expect| {
                    expect.path.value.0.last() == Some(&line.name.value)
                        && expect.value.value == Literal::Text(verdict.to_owned())
                };
                if !sheet.examples.iter().any(|(example, _)| example.expect.iter().any(shown)) {
                    missing.push(format!(
                        "{name}.{} has no example in which it is a {verdict}",
                        line.name.value
                    ));
                }
            }
        }
    }
    assert!(missing.is_empty(), "{missing:#?}");
}

#[test]
fn each_number_given_has_a_range_or_choices() {
    let numbers =
        lines(&library()).into_iter().filter(|(_, line)| matches!(line.is, Is::Quantity(_) | Is::Point));
    let bare = |line: &Line| matches!(&line.role, Role::Given { within: None, one_of: None, .. });
    let bare: Vec<String> = numbers.filter(|(_, line)| bare(line)).map(|(name, _)| name).collect();
    assert!(bare.is_empty(), "{bare:#?}");
}

#[test]
fn each_sheet_says_what_may_hurt_and_defers_to_local_codes() {
    for (name, sheet) in sheets(&library()) {
        let said = sheet.cautions.join(" ").to_lowercase();
        assert!(!sheet.cautions.is_empty(), "{name} has no caution");
        assert!(said.contains("local codes"), "{name} does not defer to local codes");
        if TOUCH_LIVE_WORK.contains(&name) {
            assert!(said.contains("live") || said.contains("mains"), "{name} does not speak of live work");
            assert!(said.contains("dead"), "{name} does not ask for anything to be proved dead");
            assert!(said.contains("licensed"), "{name} does not say who may");
        }
    }
}
