//! Fault cases: a sheet and what is wrong with it, in one file that needs no Rust to extend.

use wattle::fault::Page;
use wattle::notebook::Library;

/// A fault as a case draws it: the line, its first and last column from 1, and how its title begins, or the whole
/// title and, behind a semicolon, how its cure begins.
type Drawn = (usize, usize, usize, String);

struct Case {
    name: String,
    sheet: String,
    expected: Vec<Drawn>,
}

fn cases(text: &str) -> Vec<Case> {
    let mut cases: Vec<Case> = Vec::new();
    for line in text.lines().filter(|line| !line.starts_with('#')) {
        if let Some(sheet) = line.strip_prefix("    ") {
            if let Some(case) = cases.last_mut() {
                case.sheet += &format!("{sheet}\n");
            }
        } else if let Some(drawn) = line.strip_prefix('~') {
            let case = cases.last_mut().expect("a ~ line stands under a sheet");
            let start = drawn.find('^').expect("a caret");
            let end = start + drawn[start..].chars().take_while(|c| *c == '^').count() - 1;
            // The ~ takes one column of the four that a sheet stands in.
            let column = |at: usize| at - 3 + 1;
            let words = drawn[end + 1..].trim().to_owned();
            case.expected.push((case.sheet.lines().count(), column(start), column(end), words));
        } else if !line.trim().is_empty() {
            cases.push(Case { name: line.to_owned(), sheet: String::new(), expected: Vec::new() });
        }
    }
    cases
}

fn found(sheet: &str) -> Vec<Drawn> {
    let page = Page::new("case.sheet", sheet);
    let Err(refused) = Library::new(Vec::new()).read_sheet(&page, None) else { return Vec::new() };
    let faults = refused.iter().flat_map(|refused| &refused.faults);
    let drawn = |fault: &wattle::fault::Fault| {
        let (line, start) = page.place(fault.at.start);
        let (_, end) = page.place(fault.at.end);
        let words = fault.wording();
        (line, start, end.saturating_sub(1).max(start), format!("{}; {}", words.title, words.cure))
    };
    faults.map(drawn).collect()
}

#[test]
fn every_case_is_met_at_its_characters() {
    let text = include_str!("cases/faults.txt");
    let (cases, mut missed) = (cases(text), Vec::new());
    // Each case stands under a line of its own name, and draws its faults: one that is not read is no case.
    let drawn: usize = cases.iter().map(|case| case.expected.len()).sum();
    assert!(cases.len() >= 23 && drawn >= 25, "only {} cases of {drawn} faults were read", cases.len());
    for case in cases {
        let found = found(&case.sheet);
        let fits = found.len() == case.expected.len()
            && found.iter().zip(&case.expected).all(|(found, expected)| {
                (found.0, found.1, found.2) == (expected.0, expected.1, expected.2)
                    && found.3.starts_with(&expected.3)
            });
        if !fits {
            missed.push(format!("{}\n  expected {:?}\n  found    {found:?}", case.name, case.expected));
        }
    }
    assert!(missed.is_empty(), "{}", missed.join("\n"));
}

#[test]
fn any_text_is_refused_or_loaded_and_never_a_panic() {
    use proptest::prelude::*;
    proptest!(ProptestConfig::with_cases(2000), |(text in "([a-z]{1,6}|[0-9]{1,3}|[ \n]|  |\\PC|[-+*/^()<>=.,\"{}#?%]){0,60}")| {
        let _ = found(&text);
        let _ = found(&format!("title x\nfind a \"b\"\n  = {text}\n"));
    });
}
