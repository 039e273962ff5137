//! Tables read and refused: each fault once, at its place.
//!
//! In: small TOML texts. Out: what they must give.
//! Never: a published figure; these are invented.

use std::sync::Arc;

use proptest::prelude::*;

use super::{Cell, Table, Wrong};
use crate::cite::Cite;
use crate::fault::{Fault, Kind, Page};

const WHOLE: &str = r#"
title = "Wires of the yard"
revision = 2
note = "Invented."

[source.book]
document = "A book, 2nd edition"

[columns.size]
text = true
label = "Size"

[columns.area]
unit = "mm2"
source = "book"
clause = "Table 1"

[columns.resistance]
unit = "ohm/km"
source = "practice"
unverified = true

[[row]]
size = "thin"
area = 1
resistance = 18.1

[[row]]
size = "thick"
area = 2.5
unverified = true
"#;

fn read(text: &str) -> Result<Table, Vec<Fault>> {
    Table::read(&Page::new("t.toml", text))
}

/// Returns each fault with the characters under its caret.
fn faults(text: &str) -> Vec<(Kind, String)> {
    let faults = read(text).expect_err("a text that is refused");
    faults.into_iter().map(|fault| (fault.kind, text[fault.at.range()].to_owned())).collect()
}

/// Returns the one fault of the whole table with a part of it changed.
fn slip(part: &str, changed: &str) -> (Kind, String) {
    assert_eq!(WHOLE.matches(part).count(), 1, "{part} stands once in the table");
    let mut met = faults(&WHOLE.replace(part, changed));
    assert_eq!(met.len(), 1, "one slip gives one fault: {met:#?}");
    met.remove(0)
}

fn at(wrong: Wrong, words: &str) -> (Kind, String) {
    (wrong.into(), words.to_owned())
}

fn kind(key: &str, wanted: &'static str) -> Wrong {
    Wrong::Kind { key: key.to_owned(), wanted }
}

#[test]
fn a_table_is_read_in_si_with_its_sources() {
    let table = read(WHOLE).expect("a table");
    assert_eq!((table.title.as_str(), table.revision, table.rows), ("Wires of the yard", 2, 2));
    assert_eq!(table.note.as_deref(), Some("Invented."));
    assert_eq!(table.row_unverified, [false, true]);
    let names: Vec<&str> = table.columns.iter().map(|column| column.name.as_str()).collect();
    assert_eq!(names, ["size", "area", "resistance"], "in the order of the file");
    assert_eq!((table.column("area"), table.column("weight")), (Some(1), None));
    assert_eq!(table.columns[0].cells, [Some(Cell::Text("thin".into())), Some(Cell::Text("thick".into()))]);
    assert_eq!(table.columns[2].cells, [Some(Cell::Number(18.1 * 1e-3)), None], "a missing cell is missing");
    let book =
        Cite { document: "A book, 2nd edition".into(), clause: Some("Table 1".into()), unverified: false };
    assert_eq!(table.columns[1].cite, Some(book));
    let practice = Cite { document: Cite::PRACTICE.into(), clause: None, unverified: true };
    assert_eq!(table.columns[2].cite, Some(practice));
}

#[test]
fn only_a_whole_column_of_numbers_rises() {
    let table = read(WHOLE).expect("a table");
    let rising: Vec<bool> = (0..4).map(|column| table.rising(column)).collect();
    assert_eq!(rising, [false, true, false, false], "texts, numbers, one missing, no such column");
    let level = read(&WHOLE.replace("area = 2.5", "area = 1.0")).expect("a table");
    assert!(!level.rising(1));
}

#[test]
fn a_text_that_is_not_toml_is_told_once_a_line() {
    let (found, _) = slip("revision = 2", "revision = = 2");
    assert!(matches!(found, Kind::Table(Wrong::Syntax { .. })), "{found:?}");
    let (found, _) = slip("[columns.area]", "[columns.area");
    assert!(matches!(found, Kind::Table(Wrong::Syntax { .. })), "{found:?}");
}

#[test]
fn a_character_too_few_is_one_slip() {
    // A heading that lost a bracket leaves `row` written twice: TOML itself tells both.
    for at in (0..WHOLE.len()).filter(|at| WHOLE.is_char_boundary(*at)) {
        let cut = format!("{}{}", &WHOLE[..at], &WHOLE[at + 1..]);
        let met = read(&cut).err().unwrap_or_default();
        let told: Vec<String> = met.iter().map(|fault| fault.wording().title).collect();
        let again = told.iter().any(|title| title.ends_with("duplicate key"));
        assert!(told.len() <= 1 || again, "without byte {at}: {told:#?}");
    }
}

#[test]
fn what_is_wrong_elsewhere_is_told_beside_what_is_not_toml() {
    let met = faults(&WHOLE.replace("revision = 2", "revision = = 2").replace("ohm/km", "ohm/kmm"));
    assert!(matches!(met[0].0, Kind::Table(Wrong::Syntax { .. })), "{met:?}");
    assert!(matches!(met[1].0, Kind::Unit(crate::unit::Wrong::UnknownUnit { .. })), "{met:?}");
    assert_eq!((met.len(), met[1].1.as_str()), (2, "kmm"));
}

#[test]
fn an_unknown_key_is_met_with_the_one_that_was_meant() {
    let near = |(kind, words): (Kind, String)| match kind {
        Kind::Table(Wrong::UnknownKey { near, .. }) => (words, near),
        other => panic!("{other:?}"),
    };
    let both = |found: &str, near: &str| (found.to_owned(), Some(near.to_owned()));
    assert_eq!(near(slip("note =", "notes =")), both("notes", "note"));
    assert_eq!(near(slip("label =", "lable =")), both("lable", "label"));
    assert_eq!(near(slip("area = 2.5", "aera = 2.5")), both("aera", "area"));
    assert_eq!(near(slip("area = 2.5", "xyzzy = 2.5")), ("xyzzy".to_owned(), None));
}

#[test]
fn a_value_of_the_wrong_kind_is_met_where_it_stands() {
    let (text, flag) = ("a text in quotes", "true or false");
    let number = "a number in the column's unit";
    for (part, changed, wrong, words) in [
        ("\"Wires of the yard\"", "7", kind("title", text), "7"),
        ("\"Invented.\"", "false", kind("note", text), "false"),
        ("revision = 2", "revision = 0", kind("revision", "a whole number from 1"), "0"),
        ("revision = 2", "revision = 0x10", kind("revision", "a whole number from 1"), "0x10"),
        ("revision = 2", "revision = 2.0", kind("revision", "a whole number from 1"), "2.0"),
        ("\"Size\"", "1", kind("label", text), "1"),
        ("\"Table 1\"", "1", kind("clause", text), "1"),
        ("\"ohm/km\"", "12", kind("unit", text), "12"),
        ("source = \"book\"", "source = 1", kind("source", text), "1"),
        ("\"A book, 2nd edition\"", "2", kind("document", text), "2"),
        ("text = true", "text = \"yes\"", kind("text", flag), "\"yes\""),
        ("text = true", "text = true\nunverified = 1\nsource = \"book\"", kind("unverified", flag), "1"),
        ("area = 2.5\nunverified = true", "unverified = \"yes\"", kind("unverified", flag), "\"yes\""),
        ("area = 2.5", "area = \"2.5\"", kind("area", number), "\"2.5\""),
        ("area = 2.5", "area = 0x10", kind("area", number), "0x10"),
        ("area = 2.5", "area = inf", kind("area", number), "inf"),
        ("area = 2.5", "area = nan", kind("area", number), "nan"),
        ("size = \"thick\"", "size = 3", kind("size", text), "3"),
    ] {
        assert_eq!(slip(part, changed), at(wrong, words), "{changed}");
    }
}

#[test]
fn what_must_be_there_is_missed() {
    let missing = |key, of| Wrong::Missing { key, of };
    for (part, changed, wrong, words) in [
        ("title = \"Wires of the yard\"", "", missing("title", "a table"), ""),
        ("revision = 2", "", missing("revision", "a table"), ""),
        ("unit = \"mm2\"", "", missing("unit", "a column"), "area"),
        ("document = \"A book, 2nd edition\"", "", missing("document", "a source"), "book"),
        ("source = \"book\"", "", missing("source", "a column with a clause"), "clause"),
    ] {
        assert_eq!(slip(part, changed), at(wrong, words), "{part}");
    }
    let head = "title = \"T\"\nrevision = 1\n";
    assert_eq!(faults(&format!("{head}[[row]]\na = 1\n")), [at(missing("columns", "a table"), "")]);
}

#[test]
fn a_table_without_rows_is_refused() {
    let head = &WHOLE[..WHOLE.find("[[row]]").expect("rows")];
    assert_eq!(faults(head), [at(Wrong::NoRows, "")]);
    let none = head.replace("revision = 2", "revision = 2\nrow = []");
    assert_eq!(faults(&none), [at(Wrong::NoRows, "[]")]);
    let one = head.replace("revision = 2", "revision = 2\nrow = 3");
    assert_eq!(faults(&one), [at(kind("row", "rows, each under [[row]]"), "3")]);
}

#[test]
fn a_source_that_is_not_in_the_table_is_unknown() {
    let wrong = Wrong::UnknownSource { found: "bok".to_owned(), near: Some("book".to_owned()) };
    assert_eq!(slip("source = \"book\"", "source = \"bok\""), at(wrong, "\"bok\""));
}

#[test]
fn a_bad_unit_is_met_inside_its_text() {
    let (found, words) = slip("\"ohm/km\"", "\"ohm/kmm\"");
    assert!(matches!(found, Kind::Unit(crate::unit::Wrong::UnknownUnit { .. })), "{found:?}");
    assert_eq!(words, "kmm");
    let (_, words) = slip("\"ohm/km\"", "\"ohm\\u002Fkmm\"");
    assert_eq!(words, "ohm\\u002Fkmm", "with an escape the whole text is shown");
}

#[test]
fn a_unit_of_1_or_nothing_is_a_plain_number() {
    for plain in ["\"\"", "\"1\""] {
        let table = read(&WHOLE.replace("\"mm2\"", plain)).expect("a table");
        assert!(table.columns[1].unit.as_ref().is_some_and(crate::unit::Unit::is_plain));
        assert_eq!(table.columns[1].cells[1], Some(Cell::Number(2.5)));
    }
}

#[test]
fn a_column_has_a_name_that_formulas_can_use() {
    let text = "title = \"T\"\nrevision = 1\n[columns.Size]\ntext = true\n[[row]]\nSize = \"a\"\n";
    assert_eq!(faults(text), [at(Wrong::BadName { found: "Size".to_owned() }, "Size")]);
    let text = text.replace("Size", "unverified").replace("= \"a\"", "= true");
    let met = faults(&text);
    assert_eq!(met[0], at(Wrong::NameTaken { found: "unverified".to_owned() }, "unverified"));
}

#[test]
fn a_column_of_texts_has_no_unit() {
    assert_eq!(slip("text = true", "text = true\nunit = \"V\""), at(Wrong::TextWithUnit, "\"V\""));
}

#[test]
fn the_first_column_names_each_row_once() {
    let missing = || Wrong::FirstColumnMissing { column: "size".to_owned() };
    let (found, _) = slip("size = \"thick\"\n", "");
    assert_eq!(found, missing().into());
    assert_eq!(slip("\"thick\"", "\"\""), at(missing(), "\"\""));
    assert_eq!(slip("\"thick\"", "\"thin\""), at(Wrong::SameRow { name: "thin".to_owned() }, "\"thin\""));
    let number =
        "title = \"T\"\nrevision = 1\n[columns.a]\nunit = \"mA\"\n[[row]]\na = 1\n[[row]]\na = 1.0\n";
    assert_eq!(faults(number), [at(Wrong::SameRow { name: "1.0".to_owned() }, "1.0")]);
}

#[test]
fn two_names_of_the_wrong_kind_are_not_told_as_the_same() {
    let met = faults(&WHOLE.replace("\"thin\"", "1").replace("\"thick\"", "2"));
    assert_eq!(met, [at(kind("size", "a text in quotes"), "1"), at(kind("size", "a text in quotes"), "2")]);
}

#[test]
fn all_faults_come_at_once_in_the_order_of_the_text() {
    let text = WHOLE
        .replace("revision = 2", "revision = 0")
        .replace("\"mm2\"", "\"mn2\"")
        .replace("\"practice\"", "\"practise\"")
        .replace("18.1", "true");
    let words: Vec<String> = faults(&text).into_iter().map(|(_, words)| words).collect();
    assert_eq!(words, ["0", "mn", "\"practise\"", "true"]);
}

proptest! {
    #[test]
    fn no_text_makes_the_reader_panic(text in "\\PC{0,60}", from in 0..400_usize, length in 0..40_usize) {
        let _ = read(&text);
        let cut: String = WHOLE.chars().take(from).chain(text.chars()).chain(WHOLE.chars().skip(from + length)).collect();
        let page: Arc<Page> = Page::new("t.toml", cut);
        if let Err(faults) = Table::read(&page) {
            prop_assert!(!faults.is_empty());
            for fault in faults {
                prop_assert!(page.text.get(fault.at.range()).is_some(), "{fault:?}");
                prop_assert!(!fault.wording().title.is_empty());
            }
        }
    }
}

/// Found by fuzzing: a value that TOML could not read has a place without characters.
#[test]
fn a_unit_that_is_no_toml_is_told_where_it_stands() {
    let page =
        Page::new("t.toml", "title = \"T\"\nrevision = 1\n[columns.a]\nunit =+ \"A\"\n[[row]]\na = 1\n");
    let faults = Table::read(&page).expect_err("refused");
    assert_eq!(page.place(faults[0].at.start).0, 4, "{faults:?}");
}
