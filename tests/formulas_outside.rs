//! Formulas against a library that is not ours: what `pint` 0.25 makes of each of them.
//!
//! `tests/published/units/formulas.py` wrote the rows and says how.

use std::sync::Arc;

use wattle::engine::{Interval, Machine, Number, Placed, Purpose, compile};
use wattle::fault::{Fault, Kind, Page};
use wattle::notebook::Library;
use wattle::sheet::Sheet;
use wattle::unit::Unit;

const ROWS: &str = include_str!("published/units/formulas.csv");

#[derive(serde::Deserialize)]
struct Row {
    formula: String,
    unit: String,
    expected: String,
}

/// The rows that have a value, or those that must be refused.
fn rows(refused: bool) -> Vec<Row> {
    let all = csv::Reader::from_reader(ROWS.as_bytes()).into_deserialize().map(|row| row.expect("a row"));
    all.filter(|row: &Row| (row.expected == "refused") == refused).collect()
}

/// Loads one sheet with a line for each row.
fn sheet<'a>(rows: impl IntoIterator<Item = &'a Row>) -> Result<Arc<Sheet>, Vec<Fault>> {
    let find = |(n, row): (usize, &Row)| format!("find f{n} {} \"Row\"\n  = {}\n", row.unit, row.formula);
    let text: String = rows.into_iter().enumerate().map(find).collect();
    let page = Page::new("formulas.sheet", format!("title Formulas\n{text}"));
    let loaded = Library::new(Vec::new()).read_sheet(&page, None);
    loaded.map_err(|refused| refused.into_iter().flat_map(|refused| refused.faults).collect())
}

/// Tells how a line differs from its row.
fn differs<N: Number>(machine: &Machine<N>, line: usize, row: &Row) -> Option<String> {
    let planned = &machine.plan().lines[machine.plan().place[&Purpose::Line(0, line)]];
    let (value, status) = machine.at(planned.base);
    let fits = match row.expected.as_str() {
        told @ ("yes" | "no") => value.truth() == Some(told == "yes"),
        number => {
            let unit = Unit::read(&row.unit).expect(&row.unit);
            let theirs = unit.to_si(number.parse().expect("a number"));
            let (low, high) = value.ends();
            [low, high].iter().all(|ours| (ours - theirs).abs() <= 1e-9 * theirs.abs())
        }
    };
    (!fits || !status.is_worked()).then(|| {
        let Row { formula, unit, expected } = row;
        format!("{formula}: {value:?} in SI, {status:?}, and not {expected} {unit}")
    })
}

fn every_row_comes_out<N: Number>() {
    let rows = rows(false);
    let shown = |wanted: &dyn Fn(&Row) -> bool| rows.iter().filter(|row| wanted(row)).count();
    assert!(shown(&|row| row.unit != "flag") >= 500);
    assert!(shown(&|row| row.expected == "yes") >= 30 && shown(&|row| row.expected == "no") >= 30);
    let sheet = match sheet(&rows) {
        Ok(sheet) => sheet,
        Err(faults) => panic!("{:#?}", faults.iter().map(Fault::wording).collect::<Vec<_>>()),
    };
    let placed = Placed::new(&sheet, Vec::new());
    let mut machine = Machine::<N>::new(Arc::new(compile(&[placed]).expect("no loop")));
    machine.work();
    let wrong: Vec<String> =
        rows.iter().enumerate().filter_map(|(n, row)| differs(&machine, n, row)).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn every_formula_comes_to_what_an_outside_library_says() {
    every_row_comes_out::<f64>();
}

#[test]
fn every_formula_worked_with_spreads_comes_to_the_same() {
    every_row_comes_out::<Interval>();
}

#[test]
fn what_an_outside_library_refuses_is_refused_for_its_dimension() {
    let rows = rows(true);
    assert!(rows.len() >= 60);
    let mut wrong = Vec::new();
    for row in &rows {
        let faults = sheet([row]).err().unwrap_or_default();
        if faults.is_empty() || !faults.iter().all(|fault| matches!(fault.kind, Kind::Check(_))) {
            wrong.push(format!("{} in {}: {faults:?}", row.formula, row.unit));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}
