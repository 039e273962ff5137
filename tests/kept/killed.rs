//! The program is killed at any moment, and what was typed is taken back.

use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::Stdio;
use std::time::Duration;

use wattle::job::journal::Journal;

use super::load;
use super::site::{JOB, hall, random::next, run, text, wattle};

/// Enters values until it is killed; returns the last that was answered, and the last that was typed.
fn killed(folder: &Path, from: u64, wait: Duration) -> (u64, u64) {
    let mut child = wattle(folder)
        .arg("hall.toml")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("the program starts");
    let mut stdin = child.stdin.take().expect("its input");
    let typing = std::thread::spawn(move || {
        let mut typed = from;
        while stdin.write_all(format!("load = {} measured\n", typed + 1).as_bytes()).is_ok()
            && typed < from + 500
        {
            typed += 1;
        }
        typed
    });
    let stdout = BufReader::new(child.stdout.take().expect("its output"));
    let reading = std::thread::spawn(move || {
        let mut answered = from;
        for line in stdout.lines().map_while(Result::ok) {
            let value = line
                .split_once('\u{2192}')
                .and_then(|(_, after)| after.split_whitespace().next()?.parse().ok());
            if let (true, Some(value)) = (line.starts_with("pack.load"), value) {
                answered = value;
            }
        }
        answered
    });
    std::thread::sleep(wait);
    child.kill().expect("it is killed");
    child.wait().expect("it has ended");
    (reading.join().expect("the answers"), typing.join().expect("the lines"))
}

#[test]
fn two_hundred_kills_lose_no_answered_change() {
    let folder = hall("kills");
    let job = folder.join("hall.toml");
    let mut seed = 0x5bd1_e995_u64;
    let (mut value, mut entered) = (0, 0);
    for n in 0..200 {
        let wait = Duration::from_micros(20_000 + next(&mut seed) % 120_000);
        let (answered, typed) = killed(&folder, value, wait);
        let found = load(&job);
        assert!(found >= answered as f64, "kill {n}: {answered} was answered, {found} is there");
        assert!(found <= (typed + 1) as f64, "kill {n}: {found} was never typed");
        entered += found as u64 - value;
        value = found as u64;
        if n % 20 == 19 {
            let text = text(&job);
            // Reading takes no lock, which a program that another test starts would hold for a moment.
            let broken = Journal::read(&job, text.clone()).breaks().to_vec();
            assert!(broken.is_empty(), "kill {n}: {broken:?}");
            assert!(text.starts_with("# the job of the hall\n") && text.ends_with(" # as found\n"), "{text}");
        }
    }
    assert!(entered > 20, "only {entered} changes were entered in all");
}

#[test]
fn what_a_crash_left_of_replacing_the_job_is_swept_up() {
    let folder = hall("swept");
    let left =
        [folder.join(".hall.toml.a1B2c3"), folder.join(".hall.toml.kept"), folder.join(".other.toml.a1B2c3")];
    left.iter().for_each(|path| std::fs::write(path, "half").expect("a file"));
    run(&folder, &["hall.toml"], b"load = 5 measured\n");
    assert_eq!(left.map(|path| path.exists()), [false, true, true], "only its own, and only such names");
}

#[test]
fn fifty_mixed_changes_undone_leave_the_job_file_byte_for_byte() {
    let folder = hall("undone");
    let job = folder.join("hall.toml");
    let typed: Vec<String> = (1..=50)
        .map(|n| match n % 4 {
            0 => format!("hint = \"note {n}\""),
            1 => format!("load = {n} measured"),
            2 => format!("load = {n} nameplate \"again\""),
            _ => format!("pack.load = {n} A anyway \"as found\""),
        })
        .collect();
    let types = |lines: &[String]| {
        let ended = run(&folder, &["hall.toml"], (lines.join("\n") + "\n").as_bytes());
        assert_eq!(ended.code, Some(0), "{}", ended.all());
    };
    types(&typed);
    let after = text(&job);
    assert_ne!(after, JOB);
    // Half of them on another day.
    types(&vec!["undo".to_owned(); 25]);
    types(&vec!["undo".to_owned(); 25]);
    assert_eq!(text(&job), JOB);
    types(&vec!["redo".to_owned(); 50]);
    assert_eq!(text(&job), after);
}
