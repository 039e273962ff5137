//! Published worked examples that are plain formulas: `tests/published/formulas.toml` names each source.

#![expect(clippy::print_stdout, reason = "the count of published figures is told")]

use std::collections::BTreeSet;

use wattle::fault::Page;
use wattle::notebook::library::builtin::SHEETS;
use wattle::notebook::{Library, proof};
use wattle::sheet::statement::Literal;

/// The examples that were gathered and worked again, by the names that README.md beside the figures gives them.
const GATHERED: [&str; 49] = [
    "A2", "A3", "A4", "A5", "B1", "B2", "B3", "B4", "B7", "B10", "C2", "D1", "E2", "E4", "E5", "1", "2", "3",
    "4", "5", "6", "9", "10", "13", "14", "17", "19", "20", "22", "25", "30", "33", "34", "36", "37", "38",
    "45", "46", "48", "49", "50", "S1", "S2", "S3", "S4", "S5", "S6", "S7", "S8",
];

/// Those that only a sheet works: the sheet, and its example.
const BY_A_SHEET: [(&str, &str, &str); 10] = [
    ("A4", "battery", "Thirty hours and half an hour, no allowance"),
    ("13", "volt_drop", "Line with four loads"),
    ("25", "volt_drop", "Sixteen gauge, 100 feet"),
    ("33", "breaker", "Current the table must give, warm air"),
    ("37", "breaker", "Fault current and conductor"),
    ("38", "breaker", "Fault current and conductor"),
    ("48", "breaker", "Largest fault loop impedance, type B of 32 A"),
    ("S5", "volt_drop", "Thirty sounders, the thin conductor"),
    ("S5", "volt_drop", "Thirty sounders, the thick conductor"),
    ("S6", "breaker", "Current the table must give, three factors"),
];

/// What an example that nobody printed names as its source.
const BY_HAND: &str = "worked by hand";

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

fn formulas() -> Vec<Check> {
    let text = include_str!("published/formulas.toml");
    toml::from_str::<Checks>(text).expect("the file of checks").check
}

/// An example of a sheet that a document printed.
struct Printed {
    sheet: &'static str,
    example: String,
    document: String,
    figures: usize,
}

/// Every example of a built-in sheet that names a document; its verdicts are ours and no figures.
fn printed() -> Vec<Printed> {
    let library = Library::new(Vec::new());
    let mut printed = Vec::new();
    for (name, _) in SHEETS {
        let sheet = library.sheet(name, None).expect("it reads").expect("it is built in");
        for (example, source) in &sheet.examples {
            if source.document != BY_HAND {
                let figures =
                    example.expect.iter().filter(|expect| matches!(expect.value.value, Literal::Quantity(_)));
                printed.push(Printed {
                    sheet: name,
                    example: example.name.value.clone(),
                    document: source.document.clone(),
                    figures: figures.count(),
                });
            }
        }
    }
    printed
}

#[test]
fn every_gathered_example_is_checked_somewhere() {
    let (formulas, printed) = (formulas(), printed());
    for (_, sheet, example) in BY_A_SHEET {
        let found = printed.iter().any(|known| known.sheet == sheet && known.example == example);
        assert!(found, "{sheet} has no published example '{example}'");
    }
    for id in GATHERED {
        let part = format!("{id}-");
        let worked = formulas.iter().any(|check| check.id == id || check.id.starts_with(&part));
        assert!(worked || BY_A_SHEET.iter().any(|(known, ..)| *known == id), "{id} is checked nowhere");
    }
}

#[test]
fn the_count_of_published_figures_does_not_shrink() {
    let (formulas, printed) = (formulas(), printed());
    let in_sheets: usize = printed.iter().map(|known| known.figures).sum();
    let documents: BTreeSet<&str> = formulas
        .iter()
        .map(|check| check.document.as_str())
        .chain(printed.iter().map(|known| known.document.as_str()))
        .collect();
    println!(
        "{} published figures from {} documents: {} as formulas, {in_sheets} in {} examples of sheets",
        formulas.len() + in_sheets,
        documents.len(),
        formulas.len(),
        printed.len()
    );
    let counted = [formulas.len(), in_sheets, printed.len(), documents.len()];
    assert!(
        counted.iter().zip([93, 61, 35, 37]).all(|(now, once)| *now >= once),
        "fewer than once: {counted:?}"
    );
}

#[test]
fn every_published_formula_comes_out() {
    let checks = formulas();
    let mut sheet = "title Published\n".to_owned();
    let mut expected = "example \"printed\"\n  by hand\n  basis uk\n".to_owned();
    for (n, check) in checks.iter().enumerate() {
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
}
