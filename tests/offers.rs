//! What is offered at the cursor, for any line that may stand there.

mod site;

use proptest::prelude::*;
use wattle::notebook::Notebook;
use wattle::repl::offers::{complete, hint};

fn notebook(name: &str) -> Notebook {
    let job = site::demo(name).join("fp1-arrival.toml");
    Notebook::open(&job, &site::options(), None).expect("the demo opens")
}

/// Pieces of lines, whole and broken off.
fn lines() -> impl Strategy<Value = String> {
    let pieces = prop::sample::select(vec![
        "add ",
        "drop ",
        "confirm ",
        "try ",
        "why ",
        "undo ",
        "sounders.devices",
        "devices.2.",
        "standby.",
        "eq",
        "battery.fitted",
        "feed.size",
        "hold",
        " = ",
        "=",
        "12",
        " 12 Ah",
        " nameplate",
        " with cl",
        " with clamp ",
        "\"",
        "\"X\", ",
        "load = 3",
        "4 mm2",
        " in ",
        "mA",
        "\u{b1}",
        " * ",
        "(",
        "m\u{e4}",
        "\u{2126}",
        " ",
        ".",
    ]);
    prop::collection::vec(pieces, 0..7).prop_map(|pieces| pieces.concat())
}

#[test]
fn no_line_makes_it_panic_and_what_is_offered_goes_on_from_what_was_typed() {
    let notebook = notebook("offers");
    proptest!(|(line in lines(), room in 0..90_usize)| {
        for at in (0..=line.len()).filter(|at| line.is_char_boundary(*at)) {
            let (start, found) = complete(&notebook, &line, at);
            prop_assert!(start <= at, "{line}");
            for one in found {
                prop_assert!(one.starts_with(&line[start..at]), "{one} does not go on from {}", &line[start..at]);
            }
        }
        if let Some(hint) = hint(&notebook, &line, room) {
            prop_assert!(hint.chars().count() <= room, "'{hint}' is longer than {room}");
        }
    });
}

#[test]
fn what_is_offered_behind_a_value_is_taken_there() {
    let mut notebook = notebook("offers-taken");
    for value in [
        "battery.fitted = 12 Ah ",
        "feed.air = 25 degC ",
        "feed.method = clipped direct ",
        "feed.surrounded = no ",
    ] {
        let (_, found) = complete(&notebook, value, value.len());
        assert!(found.len() > 3, "{value}: {found:?}");
        for word in found {
            let rest = match word.as_str() {
                "with " => "clamp",
                word if word.ends_with('"') => "as found\"",
                _ => "",
            };
            // What an instrument may do to a value is told when it is tried, not when it is offered.
            let line = format!("{value}{word}{rest}");
            let taken = notebook.set(&line, 0);
            assert!(taken.is_ok() || word == "with ", "{line}: {taken:?}");
        }
    }
}

#[test]
fn a_sign_in_quotes_and_a_comma_in_brackets_end_nothing() {
    let mut notebook = notebook("offers-quotes");
    notebook.add("sounders.devices device = \"A=B\"", 0).expect("a row");
    let offered = |line: &str| complete(&notebook, line, line.len()).1;
    let name = "sounders.devices.\"A=B\".";
    assert!(offered(name).iter().all(|one| one.starts_with(name)) && !offered(name).is_empty());
    assert!(offered(&format!("try {name}")).iter().any(|one| one.starts_with(name)));
    let value = format!("{name}load = 2 mA ");
    assert!(offered(&value).contains(&"drawing".to_owned()), "{:?}", offered(&value));
    let within = offered("add sounders.devices device = \"C\", load = max(1 mA, ");
    assert!(!within.iter().any(|one| one.ends_with(" = ")), "{within:?}");
    let behind = offered("add sounders.devices device = \"C = D, E\", ");
    assert!(behind.iter().any(|one| one == "load = "), "{behind:?}");
}
