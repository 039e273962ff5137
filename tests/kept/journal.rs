//! The journal, or the job beside it, is cut or changed while nothing is open; the clock goes back.

use std::path::{Path, PathBuf};

use wattle::job::journal::{Act, Journal, Opened, Unkept};
use wattle::notebook::Notebook;

use super::load;
use super::site::{hall, options, put, run, start, text, wattle};

/// A job with a journal of a few changes, one of them with letters of more than one byte.
fn changed(name: &str) -> (PathBuf, Vec<u8>, String) {
    let folder = hall(name);
    let typed = "load = 5 mA measured\nhint = \"caf\u{e9} \u{1f6a8}\"\nload = 7 mA measured\n";
    let ended = run(&folder, &["hall.toml"], typed.as_bytes());
    assert_eq!(ended.code, Some(0), "{}", ended.all());
    let journal = std::fs::read(folder.join("hall.journal")).expect("the journal");
    let job = text(folder.join("hall.toml"));
    (folder, journal, job)
}

#[test]
fn each_bit_of_a_journal_that_is_turned_is_noticed() {
    let (folder, journal, job) = changed("bits");
    let path = folder.join("hall.toml");
    let noticed = |bytes: &[u8]| {
        std::fs::write(folder.join("hall.journal"), bytes).expect("the journal");
        let read = Journal::read(&path, job.clone());
        !read.breaks().is_empty() || read.torn().is_some()
    };
    assert!(!noticed(&journal), "it is whole as it was written");
    let missed: Vec<usize> = (0..journal.len() * 8)
        .filter(|bit| {
            let mut turned = journal.clone();
            turned[bit / 8] ^= 1 << (bit % 8);
            !noticed(&turned)
        })
        .collect();
    assert!(missed.is_empty(), "not noticed: {missed:?}");
}

/// Opens a journal. Another test may be starting a program just now, which for a moment holds the lock of all that
/// is open here.
fn opened(path: &Path) -> Opened {
    for _ in 0..500 {
        match Journal::open(path, &Act::default()) {
            Err(Unkept::Held(_)) => std::thread::sleep(std::time::Duration::from_millis(10)),
            opened => return opened.expect("it opens"),
        }
    }
    panic!("it is held for long")
}

#[test]
fn a_journal_cut_at_any_byte_loses_no_whole_line_and_says_so() {
    let (folder, journal, job) = changed("cut-journal");
    let path = folder.join("hall.toml");
    let written = Journal::read(&path, job.clone()).lines().to_vec();
    for at in 0..journal.len() {
        std::fs::write(folder.join("hall.journal"), &journal[..at]).expect("the journal");
        put(&folder, "hall.toml", &job);
        let opened = opened(&path);
        let whole = journal[..at].iter().filter(|byte| **byte == b'\n').count();
        let torn = at > 0 && journal[at - 1] != b'\n';
        assert_eq!(opened.journal.lines()[..whole], written[..whole], "cut at {at}");
        assert_eq!(opened.journal.text(), job, "cut at {at}: the job file is as it was");
        let told = opened.told.join("\n");
        assert_eq!(told.contains("was cut short"), torn, "cut at {at}: {told}");
        drop(opened);
        let again = self::opened(&path);
        assert!(again.told.is_empty(), "cut at {at}: {:?}", again.told);
        assert_eq!(again.journal.lines()[..whole], written[..whole], "cut at {at}, opened twice");
    }
}

#[test]
fn a_job_cut_at_any_byte_is_told_and_its_text_can_be_had_again() {
    let (folder, journal, job) = changed("cut-job");
    let path = folder.join("hall.toml");
    for at in (0..job.len()).filter(|at| job.is_char_boundary(*at)) {
        std::fs::write(folder.join("hall.journal"), &journal).expect("the journal");
        let read = Journal::read(&path, job[..at].to_owned());
        assert!(!read.is_as_left(), "cut at {at}");
        assert_eq!(read.texts().last(), Some(&Some(job.clone())), "cut at {at}");
        put(&folder, "hall.toml", &job[..at]);
        if let Ok(mut opened) = Notebook::open(&path, &options(), None) {
            let told = opened.told().join("\n");
            assert!(told.contains("edited outside"), "cut at {at}: {told}");
        }
        assert!(std::fs::read(folder.join("hall.journal")).expect("the journal").starts_with(&journal));
    }
}

#[test]
fn a_clock_that_goes_back_breaks_no_chain() {
    let folder = hall("clock");
    for (clock, typed) in [
        ("2026-11-25T10:40", "load = 5 mA measured\n"),
        ("2026-11-24T09:00", "load = 6 mA measured\n"),
        ("1969-12-31T23:59", "load = 7 mA measured\nlog\nundo\nundo\nredo\n"),
    ] {
        let ended =
            start(wattle(&folder).arg("hall.toml").env("WATTLE_CLOCK", clock), typed.as_bytes()).ended();
        assert_eq!(ended.code, Some(0), "{clock}: {}", ended.err);
    }
    assert_eq!(load(&folder.join("hall.toml")), 6.0, "undone twice, done once again");
    let audit = run(&folder, &["audit", "hall.toml"], b"");
    assert!(!audit.out.contains("does not follow"), "{}", audit.out);
}
