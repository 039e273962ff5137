//! CSV files and what is read of them, or told.

use proptest::prelude::*;

use super::*;
use crate::fault::Kind;

fn read(text: &str) -> Result<Csv, Vec<Fault>> {
    Csv::read(&Page::new("equipment.csv", text))
}

/// Returns what is wrong with a CSV file, each with the characters it stands on.
fn told(text: &str) -> Vec<(CsvWrong, String)> {
    let faults = read(text).err().unwrap_or_default();
    let one = |fault: Fault| match fault.kind {
        Kind::Job(Wrong::Csv(grid)) => (grid, text[fault.at.range()].to_owned()),
        kind => panic!("{kind:?}"),
    };
    faults.into_iter().map(one).collect()
}

#[track_caller]
fn cells(text: &str) -> Vec<Vec<String>> {
    let csv = read(text).unwrap_or_else(|faults| panic!("{faults:?}"));
    for cell in csv.rows.iter().flatten().filter(|cell| !cell.value.contains('"')) {
        assert_eq!(text[cell.at.range()], cell.value, "the place of a cell is its text");
    }
    csv.rows.iter().map(|row| row.iter().map(|cell| cell.value.clone()).collect()).collect()
}

#[test]
fn a_heading_is_a_name_and_a_unit_each_with_its_place() {
    let text = "item, quiescent mA ,\"alarm  mA\"\n";
    let csv = read(text).expect("columns");
    let told: Vec<_> = csv
        .columns
        .iter()
        .map(|column| {
            let unit = column.unit.as_ref().map(|unit| &text[unit.at.range()]);
            (&text[column.name.at.range()], unit)
        })
        .collect();
    assert_eq!(told, [("item", None), ("quiescent", Some("mA")), ("alarm", Some("mA"))]);
    assert!(csv.rows.is_empty());
}

#[test]
fn cells_have_their_places_whatever_the_quotes_and_line_ends() {
    let rows = [vec!["Call, point", "0.5"], vec!["B \"two\"", ""]];
    for text in [
        "item,q mA\n\"Call, point\", 0.5 \n\"B \"\"two\"\"\",\n",
        "\u{feff}item,q mA\r\n\r\n\"Call, point\",0.5\r\n\"B \"\"two\"\"\",",
    ] {
        assert_eq!(cells(text), rows);
    }
    assert_eq!(cells("item\n\"two\nlines\"\nC\n"), [["two\nlines"], ["C"]]);
}

#[test]
fn each_slip_of_a_file_is_told_where_it_is() {
    assert_eq!(told(""), [(CsvWrong::Nothing, String::new())]);
    assert_eq!(told("item;q mA\nA;1\n"), [(CsvWrong::Parted(';'), ";".into())]);
    assert_eq!(told("item\tq\n"), [(CsvWrong::Parted('\t'), "\t".into())]);
    assert_eq!(told("item,,q\n"), [(CsvWrong::NoHeading(2), String::new())]);
    assert_eq!(told("item,item\n"), [(CsvWrong::ColumnTwice("item".into()), "item".into())]);
    let heading = CsvWrong::Heading("Call-Point".into(), Some("call_point".into()));
    assert_eq!(told("Call-Point\n"), [(heading, "Call-Point".into())]);
    let short = CsvWrong::Cells { row: 2, found: 1, expected: 2, number: None };
    assert_eq!(told("a,b\n1,2\n3\n"), [(short, "3".into())]);
    assert_eq!(told("a\n\"x\n"), [(CsvWrong::OpenQuote, "\"".into())]);
    assert_eq!(told("a\n\"x\"y\n"), [(CsvWrong::AfterQuote, "y".into())]);
}

#[test]
fn wrong_quotes_never_put_a_fault_inside_a_letter() {
    for text in ["\" \t\t\ta\"\"\u{e9}\"\u{e9}aa;\r", "\"\t\t\u{e9};\"\u{e9}\r"] {
        for fault in read(text).expect_err("refused") {
            assert!(text.get(fault.at.range()).is_some(), "{fault:?}");
        }
    }
}

#[test]
fn two_slips_are_both_told() {
    let told: Vec<_> = told("A,b\n1\n").into_iter().map(|(_, at)| at).collect();
    assert_eq!(told, ["A", "1"]);
}

#[test]
fn a_column_to_be_ignored_may_have_any_heading() {
    let page = Page::new("e.csv", "item,Price (net) EUR\nA,3\n");
    assert!(Csv::read(&page).is_err());
    let csv = Csv::read_ignoring(&page, &["Price (net) EUR"]).expect("ignored whole");
    assert_eq!(csv.columns[1].name.value, "Price (net) EUR");
    let csv = Csv::read_ignoring(&page, &["Price"]).expect("ignored by its first word");
    assert_eq!(csv.columns[1].name.value, "Price");
}

proptest! {
    #[test]
    fn any_text_is_read_or_refused_and_never_a_panic(
        text in prop_oneof![any::<String>(), "[a-c\", ;\t\n\r\u{e9}\u{feff}]{0,40}"],
    ) {
        match read(&text) {
            Ok(csv) => for row in &csv.rows {
                prop_assert_eq!(row.len(), csv.columns.len());
                for cell in row {
                    prop_assert!(text.get(cell.at.range()).is_some());
                }
            },
            Err(faults) => for fault in faults {
                prop_assert!(text.get(fault.at.range()).is_some(), "{:?}", fault);
            },
        }
    }

    #[test]
    fn cells_written_in_quotes_read_back(cells in prop::collection::vec("[^\u{0}-\u{8}]{0,6}", 1..5)) {
        let heading: Vec<String> = (0..cells.len()).map(|column| format!("c{column}")).collect();
        let row: Vec<String> = cells.iter().map(|cell| format!("\"{}\"", cell.replace('"', "\"\""))).collect();
        let csv = read(&format!("{}\n{}\n", heading.join(","), row.join(","))).expect("rows");
        let trimmed: Vec<&str> = cells.iter().map(|cell| cell.trim()).collect();
        let read: Vec<&str> = csv.rows[0].iter().map(|cell| cell.value.as_str()).collect();
        prop_assert_eq!(read, trimmed);
    }
}
