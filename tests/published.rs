//! Published worked examples that are plain formulas: `tests/published/formulas.toml` names each source.

#![expect(clippy::print_stdout, reason = "the count of published figures is told")]

use wattle::fault::Page;
use wattle::notebook::{Library, proof};

#[derive(serde::Deserialize)]
struct Checks {
    check: Vec<Check>,
}

#[derive(serde::Deserialize)]
struct Check {
    id: String,
    document: String,
    formula: String,
    unit: String,
    printed: f64,
    slack: f64,
}

#[test]
fn every_published_figure_comes_out() {
    let text = include_str!("published/formulas.toml");
    let checks: Checks = toml::from_str(text).expect("the file of checks");
    let mut documents: Vec<&str> = checks.check.iter().map(|check| check.document.as_str()).collect();
    documents.sort_unstable();
    documents.dedup();
    let mut sheet = "title Published\n".to_owned();
    let mut expected = "example \"printed\"\n  by hand\n  basis uk\n".to_owned();
    for (n, check) in checks.check.iter().enumerate() {
        sheet += &format!("find f{n} {} \"{}\"\n  = {}\n", check.unit, check.id, check.formula);
        let unit = if check.unit.is_empty() { String::new() } else { format!(" {}", check.unit) };
        expected += &format!("  expect f{n} = {}{unit} +- {}{unit}\n", check.printed, check.slack);
    }
    let page = Page::new("published.sheet", sheet + &expected);
    let proof = proof::sheet_proof(&Library::new(Vec::new()), "published", &page);
    for refused in &proof.refused {
        for fault in &refused.faults {
            println!("{:?} {:?}", page.place(fault.at.start), fault.wording());
        }
    }
    let missed: Vec<&String> = proof.examples.iter().flat_map(|ran| &ran.missed).collect();
    assert!(proof.holds() && proof.examples.len() == 1, "{missed:#?}");
    println!("{} published figures from {} documents", checks.check.len(), documents.len());
}
