//! What every built-in sheet must have, whoever wrote it: sources, ranges, examples both ways, cautions.

use std::sync::Arc;

use wattle::cite::Cite;
use wattle::notebook::Library;
use wattle::notebook::library::builtin::{BASES, SHEETS};
use wattle::sheet::model::{Is, Line, Role, Schedule, Source};
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

/// Longer than this a label is not read at a glance; the rest of its sense stands in a note.
const LONGEST_LABEL: usize = 60;

#[test]
fn each_label_is_short_enough_to_be_read_at_a_glance() {
    let library = library();
    let lines = lines(&library).into_iter().map(|(name, line)| (name, line.label));
    let schedules = sheets(&library).into_iter().flat_map(|(sheet, is)| {
        let named =
            |schedule: &Schedule| (format!("{sheet}.{}", schedule.name.value), schedule.label.clone());
        is.schedules.iter().map(named).collect::<Vec<_>>()
    });
    let long: Vec<_> =
        lines.chain(schedules).filter(|(_, label)| label.chars().count() > LONGEST_LABEL).collect();
    assert!(long.is_empty(), "{long:#?}");
}

/// A name means one thing: a link goes to the line of its own name, where the other sheet has one.
#[test]
fn the_demo_links_no_given_past_a_line_of_its_own_name() {
    let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/examples/saltmarsh/leave.toml");
    let text = std::fs::read_to_string(demo).expect("the demo");
    let entry = |line: &str, key: &str| {
        line.strip_prefix(key).and_then(|rest| rest.strip_suffix('"')).map(str::to_owned)
    };
    let uses = text.lines().filter_map(|line| entry(line, "use = \""));
    let names = text.lines().filter_map(|line| entry(line, "as = \""));
    let used: Vec<(String, String)> = names.zip(uses).collect();
    let library = library();
    let (mut links, mut past) = (0, Vec::new());
    for line in text.lines() {
        let Some((given, formula)) = line.strip_prefix("given.").and_then(|rest| rest.split_once(" = \"= "))
        else {
            continue;
        };
        let Some((sheet, target)) = formula.trim_end_matches('"').split_once('.') else { continue };
        let Some((_, kind)) = used.iter().find(|(name, _)| name == sheet) else { continue };
        let has = library.sheet(kind, None).expect("it reads").expect("it is built in");
        links += 1;
        let of_a_row = |place| has.schedules.iter().any(|schedule| schedule.columns.contains(&place));
        let mut own = (0..has.lines.len()).filter(|&place| has.lines[place].name.value == given);
        if target != given && own.any(|place| !of_a_row(place)) {
            past.push(format!("{given} is linked to {sheet}.{target}, and there is a {sheet}.{given}"));
        }
    }
    assert!(links > 25, "only {links} links were found");
    assert!(past.is_empty(), "{past:#?}");
}
