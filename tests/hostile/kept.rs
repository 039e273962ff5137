//! What was answered is kept: a journal that is cut, changed, raced for, or whose job cannot be written.

use super::{JOB, put, run, site};
use std::io::Write as _;
use std::path::Path;
use std::process::{Child, Command, Stdio};

use wattle::job::journal::{Act, Journal, Opened, Unkept};
use wattle::notebook::{self, Day, Notebook, Options, record::Value};

fn options() -> Options {
    Options { libraries: Vec::new(), day: Day::Fixed(1_795_564_800.0) }
}

/// The load that the job gives, in mA.
fn load(job: &Path) -> f64 {
    let record = notebook::check(job, &options()).expect("the job loads");
    match record.sheets[0].lines.iter().find(|line| line.name == "load").expect("the load").value {
        Value::Number(load) => load,
        ref other => panic!("{other:?}"),
    }
}

/// Starts a program and types to it to the end; one that refuses what is typed does not read it.
fn started(program: &mut Command, typed: &str) -> Child {
    let piped = program.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = piped.spawn().expect("the program starts");
    let _ = child.stdin.take().expect("its input").write_all(typed.as_bytes());
    child
}

/// A job with a journal of a few changes, one of them with letters of more than one byte.
fn changed(name: &str) -> (std::path::PathBuf, Vec<u8>, String) {
    let folder = site(name);
    let typed = "load = 5 mA measured\nhint = \"caf\u{e9} \u{1f6a8}\"\nload = 7 mA measured\n";
    let ended = run(&folder, &["hall.toml"], typed.as_bytes());
    assert_eq!(ended.code, Some(0), "{}", ended.all());
    let journal = std::fs::read(folder.join("hall.journal")).expect("the journal");
    let job = std::fs::read_to_string(folder.join("hall.toml")).expect("the job");
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
fn of_notebooks_opened_at_once_one_writes_and_the_others_are_told() {
    let folder = site("raced");
    let start = |n: usize| {
        let typed: String = (1..=5).map(|k| format!("load = {} mA measured\n", 100 * n + k)).collect();
        let who = format!("No. {n}");
        let mut program = Command::new(env!("CARGO_BIN_EXE_wattle"));
        started(program.args(["hall.toml", "--who", &who]).current_dir(&folder), &typed)
    };
    let running: Vec<_> = (1..=6).map(start).collect();
    let mut answered = 0;
    for child in running {
        let ended = child.wait_with_output().expect("it ends");
        let (out, err) = (String::from_utf8_lossy(&ended.stdout), String::from_utf8_lossy(&ended.stderr));
        let own = out.lines().filter(|line| line.starts_with("pack.load")).count();
        match ended.status.code() {
            Some(0) => assert_eq!(own, 5, "{out}{err}"),
            Some(2) => assert!(own == 0 && err.contains("open in another notebook"), "{out}{err}"),
            other => panic!("{other:?} {out}{err}"),
        }
        answered += own;
    }
    assert!(answered >= 5);
    let path = folder.join("hall.toml");
    let text = std::fs::read_to_string(&path).expect("the job");
    let read = Journal::read(&path, text);
    assert!(read.breaks().is_empty() && read.torn().is_none() && read.is_as_left(), "{:?}", read.breaks());
    assert_eq!(read.lines().iter().filter(|line| line.line == "pack.load").count(), answered);
}

#[test]
fn a_clock_that_goes_back_breaks_no_chain() {
    let folder = site("clock");
    for (clock, typed) in [
        ("2026-11-25T10:40", "load = 5 mA measured\n"),
        ("2026-11-24T09:00", "load = 6 mA measured\n"),
        ("1969-12-31T23:59", "load = 7 mA measured\nlog\nundo\nundo\nredo\n"),
    ] {
        let mut program = Command::new(env!("CARGO_BIN_EXE_wattle"));
        let program = program.arg("hall.toml").current_dir(&folder).env("WATTLE_CLOCK", clock);
        let ended = started(program, typed).wait_with_output().expect("it ends");
        assert_eq!(ended.status.code(), Some(0), "{clock}: {}", String::from_utf8_lossy(&ended.stderr));
    }
    assert_eq!(load(&folder.join("hall.toml")), 6.0, "undone twice, done once again");
    let audit = run(&folder, &["audit", "hall.toml"], b"");
    assert!(!audit.out.contains("does not follow"), "{}", audit.out);
}

/// The journal takes the line, and then there is no room for the new job file: here its name is too long for the
/// file that is renamed over it.
#[test]
fn a_job_that_cannot_be_replaced_once_its_journal_is_written_is_told_and_not_changed() {
    let folder = site("no-room");
    let name = format!("{}.toml", "h".repeat(245));
    put(&folder, &name, JOB);
    let ended = run(&folder, &[&name, "--carry-on"], b"load = 5 mA measured\nload\nload = 6 mA measured\n");
    assert!(ended.err.contains("the job file cannot be written"), "{}", ended.all());
    assert!(ended.err.contains("nothing is changed"), "{}", ended.err);
    let path = folder.join(&name);
    assert_eq!(std::fs::read_to_string(&path).expect("the job"), JOB);
    let read = Journal::read(&path, JOB.to_owned());
    assert!(read.breaks().is_empty() && read.torn().is_none() && read.is_as_left());
    assert_eq!(read.lines().iter().filter(|line| line.line == "pack.load").count(), 0, "it is cut back");
}

/// A disk of a few pages that fills while the job is worked; whoever may not mount one is told that it did not run.
#[test]
fn a_disk_that_fills_loses_nothing_that_was_answered() {
    let folder = site("small-disk");
    let disk = folder.join("disk");
    std::fs::create_dir_all(&disk).expect("a folder");
    let script = "mount -t tmpfs -o size=24k none disk || exit 77; cp hall.toml pack.sheet disk && cd disk && \
                  { \"$0\" --carry-on hall.toml; cp hall.* pack.sheet ..; }";
    let typed: String = (1..=60).map(|n| format!("load = {n} mA measured\n")).collect();
    let mut shell = Command::new("unshare");
    let shell = shell.args(["-m", "sh", "-c", script, env!("CARGO_BIN_EXE_wattle")]).current_dir(&folder);
    let ended = started(shell, &typed).wait_with_output().expect("it ends");
    let (out, err) = (String::from_utf8_lossy(&ended.stdout), String::from_utf8_lossy(&ended.stderr));
    if !out.contains("pack.load") {
        eprintln!("not run: no disk of its own can be mounted here: {err}");
        return;
    }
    assert!(err.contains("cannot be written") && err.contains("nothing was changed"), "{err}");
    let answered = out.lines().filter(|line| line.starts_with("pack.load")).count();
    assert!((1..60).contains(&answered), "{answered}");
    let path = folder.join("hall.toml");
    assert_eq!(load(&path), answered as f64);
    let read = Journal::read(&path, std::fs::read_to_string(&path).expect("the job"));
    assert!(read.breaks().is_empty() && read.torn().is_none() && read.is_as_left(), "{:?}", read.breaks());
}
