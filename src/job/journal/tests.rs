//! A journal after changes, cuts, edits from outside and a second notebook.

use proptest::prelude::*;

use super::*;

/// A folder of one test, taken away at its end.
struct Site(PathBuf);

impl Site {
    fn new(test: &str) -> Self {
        let path = std::env::temp_dir().join(format!("wattle-journal-{test}-{}", std::process::id()));
        let _ = std::fs::remove_dir_all(&path);
        std::fs::create_dir_all(&path).expect("a folder for the test");
        Self(path)
    }

    fn job(&self) -> PathBuf {
        self.0.join("hall.toml")
    }

    fn put(&self, text: &str) {
        write_whole(&self.job(), text).expect("written");
    }

    fn text(&self) -> String {
        std::fs::read_to_string(self.job()).expect("the job file")
    }

    fn open(&self) -> Opened {
        Journal::open(&self.job(), &act("opened")).expect("a journal")
    }
}

impl Drop for Site {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

fn act(line: &str) -> Act {
    Act {
        time: "2026-11-25T10:40:00".to_owned(),
        who: Some("R. Field".to_owned()),
        line: line.to_owned(),
        ..Act::default()
    }
}

#[test]
fn a_change_is_in_the_journal_and_in_the_job_file() {
    let site = Site::new("change");
    site.put("a = 1\n");
    let mut opened = site.open();
    assert!(opened.told.is_empty(), "{:?}", opened.told);
    opened.journal.keep(&act("s.a"), "a = 2\n").expect("kept");
    opened.journal.keep(&act("s.a"), "a = 3 # µ\n").expect("kept");
    assert_eq!(site.text(), "a = 3 # µ\n");
    drop(opened);
    let again = site.open();
    assert!(again.told.is_empty(), "{:?}", again.told);
    let lines: Vec<&str> = again.journal.lines().iter().map(|line| line.line.as_str()).collect();
    assert_eq!(lines, ["opened", "s.a", "s.a", "opened"]);
    let texts: Vec<_> = again.journal.texts().into_iter().map(Option::unwrap_or_default).collect();
    assert_eq!(texts, ["a = 1\n", "a = 2\n", "a = 3 # µ\n", "a = 3 # µ\n"]);
}

#[test]
fn a_second_notebook_is_refused_and_told_who_holds_it() {
    let site = Site::new("second");
    site.put("a = 1\n");
    let opened = site.open();
    let second = Journal::open(&site.job(), &act("opened"));
    let held = Unkept::Held(Some("R. Field, since 2026-11-25 10:40:00".to_owned()));
    assert_eq!(second.err(), Some(held));
    drop(opened);
    site.open();
}

#[test]
fn a_job_file_one_step_behind_is_mended_and_a_reader_takes_it_as_mended() {
    let site = Site::new("behind");
    site.put("a = 1\n");
    let mut opened = site.open();
    opened.journal.keep(&act("s.a"), "a = 2\n").expect("kept");
    opened.journal.keep(&act("s.a"), "a = 3\n").expect("kept");
    drop(opened);
    site.put("a = 2\n");
    assert_eq!(mended(&site.job(), site.text()), "a = 3\n");
    assert_eq!(site.text(), "a = 2\n", "a reader writes nothing");
    let again = site.open();
    assert_eq!((again.journal.text(), site.text().as_str()), ("a = 3\n", "a = 3\n"));
    assert_eq!(again.told.len(), 1);
}

#[test]
fn an_edit_from_outside_is_kept_whole_and_told() {
    let site = Site::new("outside");
    site.put("a = 1\n");
    let mut opened = site.open();
    opened.journal.keep(&act("s.a"), "a = 2\n").expect("kept");
    site.put("a = 7\n");
    assert_eq!(opened.journal.keep(&act("s.a"), "a = 3\n"), Err(Unkept::Changed));
    assert_eq!(site.text(), "a = 7\n", "nothing is written over it");
    drop(opened);
    let again = site.open();
    assert_eq!(again.journal.text(), "a = 7\n");
    assert!(again.told[0].contains("edited outside"), "{:?}", again.told);
    let outside = again.journal.lines().iter().find(|line| line.line == "outside").expect("a line of it");
    assert_eq!(outside.text.as_deref(), Some("a = 7\n"));
}

#[test]
fn a_line_that_was_changed_is_told_by_its_number() {
    let site = Site::new("tampered");
    site.put("a = 1\n");
    let mut opened = site.open();
    opened.journal.keep(&act("s.a"), "a = 2\n").expect("kept");
    opened.journal.keep(&act("s.b"), "a = 3\n").expect("kept");
    drop(opened);
    let path = place(&site.job());
    let text = std::fs::read_to_string(&path).expect("the journal").replacen("s.a", "s.c", 1);
    write_whole(&path, &text).expect("written");
    let told = site.open().told;
    assert!(told.iter().any(|words| words.contains("line 2")), "{told:?}");
}

#[test]
fn a_journal_that_cannot_be_written_is_told_at_the_change_and_nothing_is_changed() {
    let site = Site::new("unwritable");
    site.put("a = 1\n");
    std::fs::create_dir_all(place(&site.job())).expect("a folder where the journal should be");
    let mut opened = site.open();
    assert!(matches!(opened.journal.keep(&act("s.a"), "a = 2\n"), Err(Unkept::Journal(_))));
    assert_eq!((opened.journal.text(), site.text().as_str()), ("a = 1\n", "a = 1\n"));
}

#[cfg(unix)]
#[test]
fn a_device_in_the_journal_s_place_is_not_read() {
    let site = Site::new("device");
    site.put("a = 1\n");
    std::os::unix::fs::symlink("/dev/zero", place(&site.job())).expect("a link");
    let mut opened = site.open();
    assert!(matches!(opened.journal.keep(&act("s.a"), "a = 2\n"), Err(Unkept::Journal(_))));
    assert_eq!((opened.journal.text(), site.text().as_str()), ("a = 1\n", "a = 1\n"));
    assert_eq!(mended(&site.job(), site.text()), "a = 1\n");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]
    #[test]
    fn cut_at_any_byte_a_journal_opens_at_its_last_whole_line(
        values in prop::collection::vec("[a-zµ\n]{0,12}", 1..6), share in 0.0..1.0_f64,
    ) {
        let site = Site::new("cut");
        site.put("start\n");
        let mut opened = site.open();
        // No two alike: a job that reads as it did two lines ago cannot be told from one that is a step behind.
        let values: Vec<String> = values.iter().enumerate().map(|(n, value)| format!("{n}{value}")).collect();
        for value in &values {
            opened.journal.keep(&act("s.a"), value).expect("kept");
        }
        drop(opened);
        let path = place(&site.job());
        let whole = std::fs::read(&path).expect("the journal");
        let at = (share * whole.len() as f64) as usize;
        let file = OpenOptions::new().write(true).open(&path).expect("the journal");
        file.set_len(at as u64).expect("cut");
        drop(file);
        let again = site.open();
        let lines = again.journal.lines();
        let kept = whole[..at].iter().filter(|byte| **byte == b'\n').count();
        prop_assert!(lines.len() > kept, "{} lines of {kept}", lines.len());
        prop_assert_eq!(&again.journal.text(), &values[values.len() - 1].as_str());
        let torn = &whole[whole[..at].iter().rposition(|byte| *byte == b'\n').map_or(0, |end| end + 1)..at];
        let found = lines.iter().find_map(|line| line.torn.clone()).unwrap_or_default();
        prop_assert_eq!(found, String::from_utf8_lossy(torn).into_owned());
    }

    #[test]
    fn a_patch_makes_one_text_of_another(before in "\\PC{0,20}", after in "\\PC{0,20}") {
        prop_assert_eq!(Patch::between(&before, &after).applied(&before), Some(after));
    }
}
