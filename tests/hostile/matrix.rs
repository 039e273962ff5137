//! The table of what goes wrong, in DEVELOPERS.md, held to the program's own words and to its tests.

use wattle::job::Unread;
use wattle::job::journal::Unkept;

use super::site::source::rust;

struct Row {
    seen: String,
    test: String,
}

fn rows() -> Vec<Row> {
    let text = include_str!("../../DEVELOPERS.md");
    let (_, after) = text.split_once("## What goes wrong, what is seen, what is kept").expect("the table");
    let (table, _) = after.split_once("\n## ").expect("the next heading");
    let rows = table.lines().filter(|line| line.starts_with("| ")).skip(2);
    rows.map(|line| {
        let cells: Vec<&str> = line.trim_matches('|').split('|').map(str::trim).collect();
        assert_eq!(cells.len(), 4, "{line}");
        Row { seen: cells[1].to_owned(), test: cells[3].trim_matches('`').to_owned() }
    })
    .collect()
}

/// Returns whether a function of this name is run as a test.
fn is_test(source: &str, name: &str) -> bool {
    source.split("#[test]").skip(1).any(|after| {
        let head = after.split_once('{').map_or(after, |(head, _)| head);
        let function = head.lines().map(str::trim).find(|line| !line.is_empty() && !line.starts_with("#["));
        function.is_some_and(|line| line.starts_with(&format!("fn {name}(")))
    })
}

#[test]
fn what_is_seen_stands_in_the_program_and_each_row_has_its_test() {
    let all = |folder: &str| rust(folder).into_iter().map(|(_, text)| text).collect::<String>();
    let (program, tests) = (all("src"), all("tests"));
    let rows = rows();
    assert!(rows.len() >= 20, "{} rows", rows.len());
    for Row { seen, test } in &rows {
        for words in seen.split('`').skip(1).step_by(2).filter(|words| !words.starts_with('\\')) {
            assert!(program.contains(words), "nothing in the program says '{words}'");
        }
        assert!(is_test(&program, test) || is_test(&tests, test), "no test '{test}'");
    }
}

#[test]
fn each_reason_that_a_file_or_a_change_is_refused_for_has_its_row() {
    let system = || "the disk is gone".to_owned();
    let unread = [
        Unread::Absent,
        Unread::Ending("a.sheet".to_owned()),
        Unread::Folder,
        Unread::Ending("hall.toml".to_owned()),
        Unread::NotPlain,
        Unread::Outside,
        Unread::Nowhere,
        Unread::TooLarge,
        Unread::LongLine,
        Unread::NotText,
        Unread::System(system()),
    ];
    let unkept =
        [Unkept::Held(None), Unkept::Journal(system()), Unkept::Job(system()), Unkept::Changed, Unkept::Gone];
    // The compiler names a reason that is added and not listed here.
    let listed = |reason: &Unread| match reason {
        Unread::Absent | Unread::Ending(_) | Unread::Folder | Unread::NotPlain => true,
        Unread::Outside | Unread::Nowhere => true,
        Unread::TooLarge | Unread::LongLine | Unread::NotText | Unread::System(_) => true,
    };
    assert!(unread.iter().all(listed));
    let kept = |reason: &Unkept| match reason {
        Unkept::Held(_) | Unkept::Journal(_) | Unkept::Job(_) | Unkept::Changed | Unkept::Gone => true,
    };
    assert!(unkept.iter().all(kept));
    let seen: Vec<String> = rows().into_iter().map(|row| row.seen).collect();
    let titles = unread.iter().map(Unread::wording).chain(unkept.iter().map(Unkept::wording));
    for title in titles.map(|words| words.title) {
        let (words, _) = title.split_once(": the disk").unwrap_or((&title, ""));
        assert!(seen.iter().any(|seen| seen.contains(&format!("`{words}`"))), "no row for '{words}'");
    }
}
