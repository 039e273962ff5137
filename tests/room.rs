//! How far an input may move: the value that is shown keeps every verdict, and one step of its last digit on turns one.

mod site;

use std::path::PathBuf;

use proptest::prelude::*;
use wattle::notebook::{Notebook, RoomSpan, Verdict};

use site::options;

/// A job of three inputs and some limits on a formula of them.
fn job(name: &str, formula: &str, bound: f64, values: [f64; 3]) -> PathBuf {
    let folder = site::empty(name);
    let mut sheet = "title Room\n".to_owned();
    let mut job = "title = \"Room\"\nbasis = \"uk\"\non = 2026-11-25\n[[sheet]]\nuse = \"room\"\n".to_owned();
    for (letter, value) in ["a", "b", "c"].iter().zip(values) {
        sheet += &format!("given {letter} ? A \"Input\"\n  within -50 A .. 50 A\n");
        job += &format!("given.{letter} = {{ value = \"{value} A\", how = \"nameplate\" }}\n");
    }
    sheet += &format!("find made A \"Made\"\n  {formula}\n");
    sheet += &format!("must high \"High\"\n  that made >= {bound} A\n  by practice\n");
    sheet += &format!("should low \"Low\"\n  that made < {} A\n  by practice\n", bound + 7.0);
    site::put(&folder, "room.sheet", &sheet);
    site::put(&folder, "room.toml", &job)
}

fn verdicts(notebook: &Notebook) -> Vec<Verdict> {
    notebook.record().limits().map(|(_, limit)| limit.verdict).collect()
}

fn step(shown: &str) -> f64 {
    let number = shown.split(' ').next().unwrap_or_default();
    let decimals = number.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    let whole =
        number.trim_start_matches('-').split('.').next().unwrap_or_default().trim_start_matches('0').len();
    // Four digits are shown at least; zeros at the end are left out.
    let digits = decimals.max(4_usize.saturating_sub(whole.max(1)));
    10_f64.powi(-i32::try_from(digits).unwrap_or(0))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 120, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn what_is_shown_keeps_every_verdict_and_the_next_step_does_not(
        kind in 0..6_usize, bound in -20..20_i32, values in prop::array::uniform3(-90..90_i32),
    ) {
        let formula = [
            "= a * 2 - b + c / 3",
            "= a where b > 1 A\n  = c - a otherwise",
            "= max(a, b) + c",
            "= round_up(a, 0.5 A) + b",
            "= a * b / 1 A - c",
            "= min(a, 3 A) - abs(b)",
        ][kind];
        let path = job("room", formula, f64::from(bound), values.map(|value| f64::from(value) / 10.0));
        let mut notebook = Notebook::open(&path, &options(), None).expect("the job opens");
        let as_is = verdicts(&notebook);
        let now = f64::from(values[0]) / 10.0;
        let room = notebook.room("room.a", 0).expect("an input").remove(0);
        prop_assert_eq!(room.spans.len(), 2);
        for span in &room.spans {
            let (up, to, then) = match span {
                RoomSpan::Turns { up, to, then } => (*up, to, then),
                RoomSpan::Range { up, to } => {
                    prop_assert_eq!(to, if *up { "50 A" } else { "-50 A" });
                    continue;
                }
                RoomSpan::Endless { .. } | RoomSpan::Stretch { .. } => panic!("{span:?}"),
            };
            prop_assert!(!then.is_empty());
            notebook.set(&format!("room.a = {to} nameplate"), 0).expect("it is set");
            prop_assert_eq!(&verdicts(&notebook), &as_is, "{:?} keeps {:?}", to, as_is);
            let last: f64 = to.split(' ').next().and_then(|number| number.parse().ok()).expect("a number");
            let beyond = if up { last + step(to) } else { last - step(to) };
            // A room of no digits at all is told as the value itself.
            if (-50.0..=50.0).contains(&beyond) {
                notebook.set(&format!("room.a = {beyond:.9} A nameplate"), 0).expect("it is set");
                prop_assert!(verdicts(&notebook) != as_is, "{} beyond {:?} turns none", beyond, to);
            }
            notebook.set(&format!("room.a = {now} A nameplate"), 0).expect("it is set");
        }
    }
}

/// The turn is at −2 A, where the value next to it in four digits rounds to −2 A itself.
#[test]
fn a_turn_at_a_short_number_is_shown_one_step_before_it() {
    let path = job("short", "= a where b > 1 A\n  = c - a otherwise", -2.0, [0.0, 0.0, -4.0]);
    let mut notebook = Notebook::open(&path, &options(), None).expect("the job opens");
    let room = notebook.room("room.a", 0).expect("an input").remove(0);
    let down = room.spans.iter().find_map(|span| match span {
        RoomSpan::Turns { up: false, to, .. } => Some(to.as_str()),
        _ => None,
    });
    assert_eq!(down, Some("-1.999 A"));
}
