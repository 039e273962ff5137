//! Nothing entered is lost: the program is killed, its disk is full, its folder cannot be written.
#![cfg(unix)]
#![allow(
    clippy::disallowed_methods,
    clippy::print_stderr,
    reason = "a test writes files of its own, and says where it did not run"
)]

use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

use wattle::job::journal::{Act, Journal};
use wattle::notebook::{self, Day, Options};

const SHEET: &str = "title Pack\ngiven load ? mA \"Load\"\n  within 0 mA .. 20 A\ngiven hint ? text \"Hint\"\n\
                     must some \"Some\"\n  that load >= 0 A\n  by practice\n";
const JOB: &str = "# the job of the hall\ntitle = \"Hall\"\nbasis = \"uk\"\non = 2026-11-25\n\n[[sheet]]\n\
                   use = \"pack\"\ngiven.load = { value = \"0 mA\", how = \"measured\" } # as found\n";

fn site(name: &str) -> PathBuf {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("a folder for the test");
    std::fs::write(folder.join("pack.sheet"), SHEET).expect("the sheet");
    std::fs::write(folder.join("hall.toml"), JOB).expect("the job");
    folder
}

fn options() -> Options {
    Options { libraries: Vec::new(), day: Day::Fixed(1_795_564_800.0) }
}

/// The load that the job gives, in mA, and the verdict that it loads at all.
fn load(job: &Path) -> f64 {
    let record = notebook::check(job, &options()).expect("the job loads");
    let line = record.sheets[0].lines.iter().find(|line| line.name == "load").expect("the load");
    match line.value {
        notebook::record::Value::Number(load) => load,
        ref other => panic!("{other:?}"),
    }
}

/// A row of numbers that looks random and is the same on every run.
fn next(seed: &mut u64) -> u64 {
    *seed ^= *seed << 13;
    *seed ^= *seed >> 7;
    *seed ^= *seed << 17;
    *seed
}

/// Enters values until it is killed; returns the last that was answered, and the last that was typed.
fn killed(job: &Path, from: u64, wait: Duration) -> (u64, u64) {
    let mut child = Command::new(env!("CARGO_BIN_EXE_wattle"))
        .arg(job)
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
    let folder = site("kills");
    let job = folder.join("hall.toml");
    let mut seed = 0x5bd1_e995_u64;
    let (mut value, mut entered) = (0, 0);
    for n in 0..200 {
        let wait = Duration::from_micros(20_000 + next(&mut seed) % 120_000);
        let (answered, typed) = killed(&job, value, wait);
        let found = load(&job);
        assert!(found >= answered as f64, "kill {n}: {answered} was answered, {found} is there");
        assert!(found <= (typed + 1) as f64, "kill {n}: {found} was never typed");
        entered += found as u64 - value;
        value = found as u64;
        if n % 20 == 19 {
            let text = std::fs::read_to_string(&job).expect("the job file");
            // Reading takes no lock, which a program that another test starts would hold for a moment.
            let broken = Journal::read(&job, text.clone()).breaks().to_vec();
            assert!(broken.is_empty(), "kill {n}: {broken:?}");
            assert!(text.starts_with("# the job of the hall\n") && text.ends_with(" # as found\n"), "{text}");
        }
    }
    assert!(entered > 20, "only {entered} changes were entered in all");
}

#[test]
fn fifty_mixed_changes_undone_leave_the_job_file_byte_for_byte() {
    let folder = site("undone");
    let job = folder.join("hall.toml");
    let typed: Vec<String> = (1..=50)
        .map(|n| match n % 4 {
            0 => format!("hint = \"note {n}\""),
            1 => format!("load = {n} measured"),
            2 => format!("load = {n} nameplate \"again\""),
            _ => format!("pack.load = {n} A anyway \"as found\""),
        })
        .collect();
    let run = |lines: &[String]| {
        let mut child = Command::new(env!("CARGO_BIN_EXE_wattle"))
            .arg(&job)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let text = lines.join("\n") + "\n";
        child.stdin.take().expect("its input").write_all(text.as_bytes()).expect("it reads");
        let output = child.wait_with_output().expect("it ends");
        assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stdout));
    };
    run(&typed);
    let after = std::fs::read_to_string(&job).expect("the job file");
    assert_ne!(after, JOB);
    // Half of them on another day.
    run(&vec!["undo".to_owned(); 25]);
    run(&vec!["undo".to_owned(); 25]);
    assert_eq!(std::fs::read_to_string(&job).expect("the job file"), JOB);
    run(&vec!["redo".to_owned(); 50]);
    assert_eq!(std::fs::read_to_string(&job).expect("the job file"), after);
}

/// A limit on the size of files stands in for a disk that is full.
#[test]
fn a_full_disk_is_told_at_the_change_which_is_then_not_made() {
    let folder = site("full");
    let script = "trap '' XFSZ; ulimit -f 6; exec \"$0\" --carry-on hall.toml";
    let mut child = Command::new("sh")
        .args(["-c", script, env!("CARGO_BIN_EXE_wattle")])
        .current_dir(&folder)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("a shell");
    let typed: String = (1..=40).map(|n| format!("load = {n} measured\n")).collect();
    child.stdin.take().expect("its input").write_all(typed.as_bytes()).expect("it reads");
    let output = child.wait_with_output().expect("it ends");
    let (shown, told) = (String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    assert!(told.contains("the journal cannot be written"), "{told}");
    assert!(told.contains("nothing was changed"), "{told}");
    let answered = shown.lines().filter(|line| line.starts_with("pack.load")).count();
    assert!((1..40).contains(&answered), "{answered} changes were answered");
    assert_eq!(load(&folder.join("hall.toml")), answered as f64);
    let opened = Journal::open(&folder.join("hall.toml"), &Act::default()).expect("the journal");
    assert!(opened.told.is_empty(), "{:?}", opened.told);
}

/// A mode bit does not stop root: then this says that it did not run.
#[test]
fn a_folder_that_cannot_be_written_is_told_at_the_change() {
    use std::os::unix::fs::PermissionsExt;
    let folder = site("read-only");
    std::fs::set_permissions(&folder, std::fs::Permissions::from_mode(0o555)).expect("the mode");
    if std::fs::write(folder.join("probe"), "").is_ok() {
        std::fs::set_permissions(&folder, std::fs::Permissions::from_mode(0o755)).expect("the mode");
        eprintln!("not run: whoever runs this may write everywhere");
        return;
    }
    let mut child = Command::new(env!("CARGO_BIN_EXE_wattle"))
        .arg(folder.join("hall.toml"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    child.stdin.take().expect("its input").write_all(b"pack\nload = 3 measured\n").expect("it reads");
    let output = child.wait_with_output().expect("it ends");
    std::fs::set_permissions(&folder, std::fs::Permissions::from_mode(0o755)).expect("the mode");
    assert!(String::from_utf8_lossy(&output.stdout).contains("pack: Pack"), "it opens all the same");
    assert!(String::from_utf8_lossy(&output.stderr).contains("the journal cannot be written"));
    assert_eq!(std::fs::read_to_string(folder.join("hall.toml")).expect("the job file"), JOB);
}

/// The program with its input and output held open.
struct Held {
    child: std::process::Child,
    stdin: std::process::ChildStdin,
    stdout: BufReader<std::process::ChildStdout>,
}

impl Held {
    fn open(job: &Path) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_wattle"))
            .args([job.as_os_str(), "--carry-on".as_ref(), "--who".as_ref(), "R. Field".as_ref()])
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
    let folder = site("outside");
    let job = folder.join("hall.toml");
    let mut held = Held::open(&job);
    held.ask("load = 5 measured", "pack.load  0 mA \u{2192} 5 mA");
    let edited = std::fs::read_to_string(&job).expect("the job file").replace("\"5 mA\"", "\"7 mA\"");
    std::fs::write(&job, &edited).expect("an edit from outside");
    held.ask("load = 6 measured", "outside: pack.load  5 mA \u{2192} 7 mA");
    assert_eq!(std::fs::read_to_string(&job).expect("the job file"), edited);
    held.ask("load = 6 measured", "pack.load  7 mA \u{2192} 6 mA");
    assert!(held.ends().contains("the job file was changed outside this notebook"));
    assert_eq!(load(&job), 6.0);
}

#[test]
fn a_second_notebook_is_refused_and_told_who_holds_it() {
    let folder = site("second");
    let job = folder.join("hall.toml");
    let mut held = Held::open(&job);
    held.ask("load = 5 measured", "pack.load");
    let second =
        Command::new(env!("CARGO_BIN_EXE_wattle")).arg(&job).stdin(Stdio::null()).output().expect("it ends");
    assert_eq!(second.status.code(), Some(2));
    let told = String::from_utf8_lossy(&second.stderr).into_owned();
    assert!(told.contains("the job is open in another notebook by R. Field, since "), "{told}");
    assert_eq!(load(&job), 5.0, "it can be checked all the same");
    held.ask("load = 6 measured", "pack.load");
    held.ends();
}

#[test]
fn a_link_to_the_job_is_the_same_job() {
    let folder = site("linked");
    let (job, link) = (folder.join("hall.toml"), folder.join("other.toml"));
    std::os::unix::fs::symlink(&job, &link).expect("a link");
    let mut held = Held::open(&job);
    held.ask("load = 5 measured", "pack.load");
    let second =
        Command::new(env!("CARGO_BIN_EXE_wattle")).arg(&link).stdin(Stdio::null()).output().expect("it ends");
    assert!(String::from_utf8_lossy(&second.stderr).contains("open in another notebook"));
    held.ends();
    assert!(!folder.join("other.journal").exists(), "the journal lies beside the file itself");
}

#[test]
fn a_journal_that_was_taken_away_is_told_at_the_change_which_is_then_not_made() {
    let folder = site("taken-away");
    let job = folder.join("hall.toml");
    let mut held = Held::open(&job);
    held.ask("load = 5 measured", "pack.load");
    std::fs::remove_file(folder.join("hall.journal")).expect("it is taken away");
    held.stdin.write_all(b"load = 6 measured\n").expect("it reads");
    assert!(held.ends().contains("the journal beside the job is not the one"));
    assert_eq!(load(&job), 5.0);
}

/// A file around the job is read again before the next answer: a list of devices may be kept by somebody else.
#[test]
fn a_sheet_edited_outside_is_read_again_before_the_next_answer() {
    let folder = site("around");
    let job = folder.join("hall.toml");
    let mut held = Held::open(&job);
    held.ask("load = 5 measured", "pack.load");
    std::fs::write(folder.join("pack.sheet"), SHEET.replace("load >= 0 A", "load >= 1 A")).expect("an edit");
    held.ask("limits", "FAIL");
    held.ends();
}

#[test]
fn what_a_crash_left_of_replacing_the_job_is_swept_up() {
    let folder = site("swept");
    let left =
        [folder.join(".hall.toml.a1B2c3"), folder.join(".hall.toml.kept"), folder.join(".other.toml.a1B2c3")];
    left.iter().for_each(|path| std::fs::write(path, "half").expect("a file"));
    Held::open(&folder.join("hall.toml")).ends();
    assert_eq!(left.map(|path| path.exists()), [false, true, true], "only its own, and only such names");
}
