//! A job's text and what is read of it, or told.

use proptest::prelude::*;

use super::*;
use crate::job::{How, Raw};

const JOB: &str = r#"title = "Saltmarsh ferry hall"
on = 2026-11-25
basis = "uk"
prepared_by = "R. Field"
ignore = ["price"]

[[instrument]]
name = "clamp"
kind = "d.c. clamp meter"
calibrated_until = 2027-03-01
tolerance = "2 % + 5 mA"

[[sheet]]
use = "standby_load"
as = "standby"
schedule.equipment = "equipment.csv"
schedule.linked = "=  other.equipment "

[[sheet]]
use = "battery"
given.quiescent = "= standby.total"
given.strings = 2
given.sealed = true
given.made = 2024-05-01
given.alarm_load = { value = "1.2 A", how = "measured", with = "clamp", who = "R. Field", at = 2026-11-25T10:40:00 }
given.fitted.value = "18 Ah"
given.fitted.anyway = "as found"
take.hold = { value = "72 h", by = "Fire strategy, 4.2", note = "" }
schedule.rows = [ { item = "A", number = { value = 3, how = "drawing" } }, {} ]

[[mark]]
line = "battery.required"
says = "query"
note = "which edition?"
who = "A. Reader"
at = 2026-11-26T09:30:00
seen_value = "0123456789abcdef"
"#;

fn read(text: &str) -> Result<Job, Vec<Fault>> {
    Job::read(&Page::new("job", text))
}

/// Returns the faults of a job, each as the characters it stands on and its title.
fn told(text: &str) -> Vec<(String, String)> {
    let faults = read(text).err().unwrap_or_default();
    faults.iter().map(|fault| (text[fault.at.range()].to_owned(), fault.wording().title)).collect()
}

#[test]
fn everything_in_a_job_is_read_with_its_place() {
    let job = read(JOB).expect("a job");
    let under = |at: Span| &JOB[at.range()];
    assert_eq!(job.on.as_ref().map(|on| (on.value, under(on.at))), Some((1_795_564_800.0, "2026-11-25")));
    assert_eq!((job.basis.value.as_str(), under(job.basis.at)), ("uk", "uk"));
    assert_eq!(job.prepared_by.as_deref(), Some("R. Field"));
    assert_eq!(job.ignore.iter().map(|name| under(name.at)).collect::<Vec<_>>(), ["price"]);
    assert_eq!(job.marks.len(), 1);
    let clamp = &job.instruments[0];
    assert_eq!(clamp.calibrated_until, Some(1_803_859_200.0));
    assert_eq!(clamp.tolerance.as_ref().map(|tolerance| under(tolerance.inner(6..10))), Some("5 mA"));
    let [standby, battery] = job.sheets.as_slice() else { panic!("{:?}", job.sheets) };
    assert_eq!((standby.name.value.as_str(), under(standby.at)), ("standby", "[[sheet]]"));
    assert_eq!((battery.name.value.as_str(), under(battery.name.at)), ("battery", "battery"));
    assert!(matches!(&standby.schedules[0].1, Rows::Csv(file) if file.name.value == "equipment.csv"));
    let Rows::Linked(link) = &standby.schedules[1].1 else { panic!("{:?}", standby.schedules) };
    assert_eq!((link.value.as_str(), under(link.at)), ("other.equipment", "other.equipment"));
    let Rows::Listed(rows) = &battery.schedules[0].1 else { panic!("{:?}", battery.schedules) };
    assert_eq!(rows.iter().map(|row| row.cells.len()).collect::<Vec<_>>(), [2, 0]);
    assert_eq!(under(rows[1].at), "{}");
}

#[test]
fn an_entry_is_read_from_each_of_its_forms() {
    let job = read(JOB).expect("a job");
    let given = |name: &str| {
        let found = job.sheets[1].given.iter().find(|(known, _)| known.value == name);
        found.map(|(_, entry)| entry).expect("a given")
    };
    assert_eq!(given("quiescent").value.value, Raw::Text("= standby.total".into()));
    assert_eq!(given("strings").value.value, Raw::Number(2.0));
    assert_eq!(given("sealed").value.value, Raw::Flag(true));
    assert_eq!(given("made").value.value, Raw::Date(1_714_521_600.0));
    let alarm = given("alarm_load");
    assert_eq!(alarm.how.as_ref().map(|how| how.value), Some(How::Measured));
    assert_eq!(alarm.with.as_ref().map(|with| &JOB[with.at.range()]), Some("clamp"));
    assert_eq!(alarm.at, Some(1_795_603_200.0));
    let fitted = given("fitted");
    assert_eq!(&JOB[fitted.value.inner(3..5).range()], "Ah");
    assert_eq!(fitted.anyway.as_deref(), Some("as found"));
    let hold = &job.sheets[1].take[0].1;
    assert_eq!((hold.by.as_deref(), hold.note.as_deref()), (Some("Fire strategy, 4.2"), None));
}

#[test]
fn what_is_known_of_a_file_of_rows_is_known_of_each_cell() {
    let rows = "{ csv = \"e.csv\", how = \"datasheet\", who = \"R. Field\", note = \"as ordered\" }";
    let text = JOB.replace("\"equipment.csv\"", rows);
    let job = read(&text).expect("a job");
    let Rows::Csv(file) = &job.sheets[0].schedules[0].1 else { panic!("{:?}", job.sheets[0].schedules) };
    assert_eq!((file.name.value.as_str(), &text[file.name.at.range()]), ("e.csv", "e.csv"));
    let cell = file.cell(Spanned::new(Raw::Number(2.0), Span::default()));
    assert_eq!(cell.how.map(|how| how.value), Some(How::Datasheet));
    assert_eq!((cell.who.as_deref(), cell.note.as_deref()), (Some("R. Field"), Some("as ordered")));
    let slips = JOB.replace("\"equipment.csv\"", "{ cvs = \"e.csv\", how = \"guessed\" }");
    let titles: Vec<_> = told(&slips).into_iter().map(|(_, title)| title).collect();
    assert_eq!(titles, ["no key 'cvs' in a file of rows", "'guessed' does not say how a value is known"]);
}

#[test]
fn names_stand_in_the_order_of_the_file() {
    let job = read(JOB).expect("a job");
    let names: Vec<_> = job.sheets[1].given.iter().map(|(name, _)| name.value.as_str()).collect();
    assert_eq!(names, ["quiescent", "strings", "sealed", "made", "alarm_load", "fitted"]);
}

#[test]
fn all_faults_of_a_job_are_told_at_once_each_once() {
    let job = "titel = \"A\"\nbasis = 3\non = 2026-11-25T10:00:00\n\n[[sheet]]\nuse = \"The battery\"\n\
               given.a = { value = \"1\", how = \"mesured\", with = \"meter\" }\ngiven.b = [1]\ngiven.c = nan\n\
               given.d = { how = \"stated\" }\ngiven.e = \"\"\n";
    let titles: Vec<_> = told(job).into_iter().map(|(_, title)| title).collect();
    assert_eq!(
        titles,
        [
            "no key 'titel' in a job",
            "'basis' takes a text in quotes",
            "'on' takes a date, like 2026-11-25",
            "'The battery' is not a name",
            "'mesured' does not say how a value is known",
            "'b' takes a value, like \"18 Ah\" or { value = \"18 Ah\", how = \"nameplate\" }",
            "a number without an end",
            "an entry without 'value'",
            "'e' is empty",
        ]
    );
}

#[test]
fn a_name_used_twice_and_an_instrument_not_listed_are_told() {
    let job = "title = \"A\"\nbasis = \"uk\"\n[[instrument]]\nname = \"clamp\"\n[[sheet]]\nuse = \"battery\"\n\
               given.a = { value = 1, with = \"clmp\" }\n[[sheet]]\nuse = \"battery\"\n";
    assert_eq!(
        told(job),
        [
            ("clmp".to_owned(), "no instrument 'clmp' in this job".to_owned()),
            ("battery".to_owned(), "two sheets named 'battery'".to_owned()),
        ]
    );
}

#[test]
fn a_date_of_another_clock_or_no_calendar_is_told() {
    let job = "title = \"A\"\nbasis = \"uk\"\n[[sheet]]\nuse = \"b\"\n";
    let of = |date: &str| told(&format!("{job}given.a = {date}\n"));
    let one = |at: &str, title: &str| vec![(at.to_owned(), title.to_owned())];
    let zoned = "2026-11-25T10:00:00Z";
    assert_eq!(of(zoned), one(zoned, "a date with a zone"));
    assert_eq!(of("2025-02-29"), one("2025-02-29", "there is no 2025-02-29"));
    let time = of("10:40:00");
    assert!(matches!(time.as_slice(), [(at, _)] if at == "10:40:00"), "{time:?}");
}

proptest! {
    #[test]
    fn any_text_is_read_or_refused_with_a_place_and_never_a_panic(
        text in prop_oneof![
            any::<String>(),
            "[\\[\\]{}=#.\"'a-c1 \n\r,-]{0,60}",
            (0..JOB.len(), 0..JOB.len(), "[\\[\\]{}=\"'\u{e9}\n#, 1]{0,4}").prop_map(|(from, length, new)| {
                let end = JOB.len().min(from + length % 12);
                format!("{}{new}{}", &JOB[..from], &JOB[end..])
            }),
        ],
    ) {
        if let Err(faults) = read(&text) {
            prop_assert!(!faults.is_empty());
            for fault in faults {
                prop_assert!(text.get(fault.at.range()).is_some(), "{:?}", fault);
                prop_assert!(!fault.wording().title.is_empty());
            }
        }
    }
}

#[test]
fn each_key_that_a_job_must_have_is_missed_with_a_cure() {
    let bare = "[[sheet]]\n[[instrument]]\n[[mark]]\n";
    let parts =
        format!("{JOB}\n[[sheet]]\nuse = \"cable\"\ngiven.a = {{}}\nschedule.b = {{ how = \"measured\" }}\n");
    let faults: Vec<Fault> =
        [bare, &parts].into_iter().flat_map(|job| read(job).expect_err("faults")).collect();
    let missed = |fault: &Fault| match &fault.kind {
        Kind::Job(Wrong::Missing { key, .. }) => Some((*key, fault.wording().cure)),
        _ => None,
    };
    let missed: Vec<(&str, String)> = faults.iter().filter_map(missed).collect();
    for key in ["title", "basis", "use", "name", "line", "says", "value", "csv"] {
        assert!(missed.iter().any(|(found, _)| *found == key), "'{key}' is not missed: {missed:?}");
    }
    assert!(missed.iter().all(|(_, cure)| !cure.is_empty()), "{missed:?}");
}
