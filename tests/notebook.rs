//! One change in an open notebook gives what reading and working the whole job anew gives.

mod site;

use std::path::Path;

use proptest::prelude::*;
use wattle::notebook::{self, Notebook};

use site::options;

const SHEET: &str = r#"title Pack
source code "The code"
given load ? mA "Load"
  within 1 mA .. 20 A
  tolerance 2 %
given alarm ? A "Alarm load"
  within 0 A .. 40 A
  when sounded
given sounded ? flag "It sounds"
given strings 1 "Strings"
  one of 1, 2, 3
given kind ? text "Kind"
  one of "sealed", "vented", "dry"
given made ? date "Made on"
given fitted ? Ah "Capacity"
  within 1 Ah .. 300 Ah
take hold 24 h "To stand by"
  by code "4" unverified
find age d "Age"
  = on - made
find needed Ah "Needed"
  = load * hold + alarm * 30 min where sounded
  = load * hold otherwise
find each Ah "Of each string"
  = needed / strings
find word text "In words"
  = "{kind} of {fitted}" where fitted > 20 Ah
  = kind otherwise
schedule rows "Rows"
  given item ? text "Item"
  given draws ? mA "Draws"
    within 0 mA .. 5 A
  given late ? flag "Only later"
  find share A "Share"
    = draws * strings
    when not late or sounded
  must small "Small"
    that share < load + 1 A
    by practice
    remedy "{item} draws {share}"
find total A "Total"
  = sum(rows.share)
must enough "Enough"
  that fitted * strings >= needed
  by code "5"
  remedy "Fit {needed}, not {fitted}"
must listed "Listed"
  that total <= load or kind == "dry"
  by practice
  when sounded
chart drawn "Drawn"
  across rows.draws
  up rows.share
  line max(rows.share)
  line load
should young "Young"
  that age < 1000 d
  by practice
"#;

const JOB: &str = r#"title = "Hall"
basis = "uk"
on = 2026-11-25
prepared_by = "R. Field"

[[instrument]]
name = "clamp"
tolerance = "2 % + 5 mA"
calibrated_until = 2026-01-01

[[sheet]]
use = "pack"
schedule.rows = [
  { item = "A", draws = { value = "20 mA", how = "datasheet" }, late = { value = "no", how = "stated" } },
  { item = "B", draws = { value = "300 mA ± 1 %", how = "datasheet" }, late = { value = "yes", how = "stated" } },
]

[[sheet]]
use = "pack"
as = "other"
given.load = "= pack.load * 2"
given.sounded = "= pack.sounded"
given.strings = { value = 2, how = "nameplate" }
given.fitted = { value = "50 Ah", how = "nameplate" }
schedule.rows = "= pack.rows"
"#;

fn typed() -> impl Strategy<Value = String> {
    let sheet = prop_oneof![Just("pack"), Just("other")];
    let change = prop_oneof![
        (1..5000_u32).prop_map(|n| format!("load = {n} mA measured with clamp")),
        (1..5000_u32).prop_map(|n| format!("load = {n}")),
        (1..5000_u32).prop_map(|n| format!("load = {n} mA ± 3 % nameplate \"as found\"")),
        (0..40_u32).prop_map(|n| format!("alarm = {n} datasheet")),
        (1..200_u32).prop_map(|n| format!("fitted = {n} nameplate")),
        (300..900_u32).prop_map(|n| format!("fitted = {n} nameplate anyway \"two in one\"")),
        (1..4_u32).prop_map(|n| format!("strings = {n}")),
        prop_oneof![Just("sealed"), Just("vented"), Just("dry")]
            .prop_map(|kind| format!("kind = {kind} nameplate")),
        any::<bool>().prop_map(|yes| format!("sounded = {} stated", if yes { "yes" } else { "no" })),
        (2015..2027_u32).prop_map(|year| format!("made = {year}-06-01 nameplate")),
        (1..100_u32).prop_map(|n| format!("hold = {n} h by \"Another code\"")),
        (1..3_usize, 1..900_u32).prop_map(|(row, n)| format!("rows.{row}.draws = {n} mA datasheet")),
        Just("load = ?".to_owned()),
        Just("load = pack.fitted / 20 h".to_owned()),
    ];
    (sheet, change).prop_map(|(sheet, change)| format!("{sheet}.{change}"))
}

/// Types a line; what is refused changes nothing.
fn change(notebook: &mut Notebook, job: &Path, line: &str) -> Result<(), TestCaseError> {
    let tried = notebook.try_set(line, 0);
    let set = notebook.set(line, 0);
    let anew = notebook::check(job, &options()).expect("the job loads");
    prop_assert_eq!(notebook.record(), &anew, "after {}", line);
    match (tried, set) {
        (Ok(tried), Ok(set)) => {
            prop_assert_eq!(tried.moved, set.moved, "moved by {}", line);
            prop_assert_eq!(tried.turned, set.turned, "turned by {}", line);
        }
        (Err(tried), Err(set)) => prop_assert_eq!(tried, set, "refused: {}", line),
        (tried, set) => prop_assert!(false, "{line}: tried {tried:?}, set {set:?}"),
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]
    #[test]
    fn a_change_gives_what_the_whole_job_worked_anew_gives(lines in prop::collection::vec(typed(), 1..14)) {
        let folder = site::empty("notebook");
        site::put(&folder, "pack.sheet", SHEET);
        let job = site::put(&folder, "hall.toml", JOB);
        let mut notebook = Notebook::open(&job, &options(), None).expect("the job opens");
        for line in &lines {
            change(&mut notebook, &job, line)?;
        }
    }
}
