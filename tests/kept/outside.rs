//! The job, its journal or a file around it is used or changed by somebody else while the notebook is open.

use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::Stdio;

use wattle::job::journal::Journal;

use super::site::{Running, SHEET, hall, put, run, start, text, wattle};
use super::{answered, load};

/// The program with its input and output held open.
struct Held {
    child: std::process::Child,
    stdin: std::process::ChildStdin,
    stdout: BufReader<std::process::ChildStdout>,
}

impl Held {
    fn open(folder: &Path) -> Self {
        let mut child = wattle(folder)
            .args(["hall.toml", "--carry-on", "--who", "R. Field"])
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let (stdin, stdout) =
            (child.stdin.take().expect("its input"), child.stdout.take().expect("its output"));
        Self { child, stdin, stdout: BufReader::new(stdout) }
    }

    /// Types a line and reads on until a line of the answer begins with a text.
    fn ask(&mut self, typed: &str, text: &str) -> String {
        self.stdin.write_all(format!("{typed}\n").as_bytes()).expect("it reads");
        let mut line = String::new();
        while !line.starts_with(text) {
            line.clear();
            assert!(self.stdout.read_line(&mut line).expect("it answers") > 0, "it ended without '{text}'");
        }
        line
    }

    fn ends(self) -> String {
        drop(self.stdin);
        String::from_utf8_lossy(&self.child.wait_with_output().expect("it ends").stderr).into_owned()
    }
}

#[test]
fn an_edit_from_outside_is_read_again_and_shown_before_anything_is_written() {
    let folder = hall("outside");
    let job = folder.join("hall.toml");
    let mut held = Held::open(&folder);
    held.ask("load = 5 measured", "pack.load  0 mA \u{2192} 5 mA");
    let edited = text(&job).replace("\"5 mA\"", "\"7 mA\"");
    std::fs::write(&job, &edited).expect("an edit from outside");
    held.ask("load = 6 measured", "outside: pack.load  5 mA \u{2192} 7 mA");
    assert_eq!(text(&job), edited);
    held.ask("load = 6 measured", "pack.load  7 mA \u{2192} 6 mA");
    assert!(held.ends().contains("the job file was changed outside this notebook"));
    assert_eq!(load(&job), 6.0);
}

#[test]
fn a_second_notebook_is_refused_and_told_who_holds_it() {
    let folder = hall("second");
    let job = folder.join("hall.toml");
    let mut held = Held::open(&folder);
    held.ask("load = 5 measured", "pack.load");
    run(&folder, &["hall.toml"], b"").refused("the job is open in another notebook by R. Field, since ");
    assert_eq!(load(&job), 5.0, "it can be checked all the same");
    held.ask("load = 6 measured", "pack.load");
    held.ends();
}

#[test]
fn a_link_to_the_job_is_the_same_job() {
    let folder = hall("linked");
    let (job, link) = (folder.join("hall.toml"), folder.join("other.toml"));
    std::os::unix::fs::symlink(&job, &link).expect("a link");
    let mut held = Held::open(&folder);
    held.ask("load = 5 measured", "pack.load");
    run(&folder, &["other.toml"], b"").refused("open in another notebook");
    held.ends();
    assert!(!folder.join("other.journal").exists(), "the journal lies beside the file itself");
}

#[test]
fn a_journal_that_was_taken_away_is_told_at_the_change_which_is_then_not_made() {
    let folder = hall("taken-away");
    let job = folder.join("hall.toml");
    let mut held = Held::open(&folder);
    held.ask("load = 5 measured", "pack.load");
    std::fs::remove_file(folder.join("hall.journal")).expect("it is taken away");
    held.stdin.write_all(b"load = 6 measured\n").expect("it reads");
    assert!(held.ends().contains("the journal beside the job is not the one"));
    assert_eq!(load(&job), 5.0);
}

/// A file around the job is read again before the next answer: a list of devices may be kept by somebody else.
#[test]
fn a_sheet_edited_outside_is_read_again_before_the_next_answer() {
    let folder = hall("around");
    let mut held = Held::open(&folder);
    held.ask("load = 5 measured", "pack.load");
    put(&folder, "pack.sheet", &SHEET.replace("load >= 0 A", "load >= 1 A"));
    held.ask("limits", "FAIL");
    held.ends();
}

#[test]
fn of_notebooks_opened_at_once_one_writes_and_the_others_are_told() {
    let folder = hall("raced");
    let start = |n: usize| {
        let typed: String = (1..=5).map(|k| format!("load = {} mA measured\n", 100 * n + k)).collect();
        let who = format!("No. {n}");
        start(wattle(&folder).args(["hall.toml", "--who", &who]), typed.as_bytes())
    };
    let running: Vec<_> = (1..=6).map(start).collect();
    let mut all = 0;
    for ended in running.into_iter().map(Running::ended) {
        let own = answered(&ended.out);
        match ended.code {
            Some(0) => assert_eq!(own, 5, "{}", ended.all()),
            Some(2) => assert!(own == 0 && ended.err.contains("open in another notebook"), "{}", ended.all()),
            other => panic!("{other:?} {}", ended.all()),
        }
        all += own;
    }
    assert!(all >= 5);
    let path = folder.join("hall.toml");
    let text = text(&path);
    let read = Journal::read(&path, text);
    assert!(read.breaks().is_empty() && read.torn().is_none() && read.is_as_left(), "{:?}", read.breaks());
    assert_eq!(read.lines().iter().filter(|line| line.line == "pack.load").count(), all);
}
