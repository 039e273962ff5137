//! A folder of one test with the files of a job, and the program run in it.
//!
//! In: the name of a test, files, what is typed. Out: what the program said, and how it ended.
//! Never: shares a folder between two tests; waits without end.
#![allow(dead_code, reason = "each test uses its own part")]
#![allow(clippy::disallowed_methods, clippy::print_stderr, reason = "a test writes files of its own")]

pub(crate) mod random;
pub(crate) mod source;

use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use wattle::notebook::{Day, Options};

/// A sheet that takes a load of up to 20 A, and passes whatever it is.
pub(crate) const SHEET: &str = "title Pack\ngiven load ? mA \"Load\"\n  within 0 mA .. 20 A\ngiven hint ? text \"Hint\"\n\
                                must some \"Some\"\n  that load >= 0 A\n  by practice\n";
/// A job of that sheet.
pub(crate) const JOB: &str = "# the job of the hall\ntitle = \"Hall \u{b5}\"\nbasis = \"uk\"\non = 2026-11-25\n\n[[sheet]]\n\
                              use = \"pack\"\ngiven.load = { value = \"0 mA\", how = \"measured\" } # as found\n";
/// The job's day, 25 November 2026, in seconds since 1970.
pub(crate) const ON: f64 = 1_795_564_800.0;

/// Judges on the job's day alone.
pub(crate) fn options() -> Options {
    Options { libraries: Vec::new(), day: Day::Fixed(ON) }
}

/// Returns the folder of the repository.
pub(crate) fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// Returns an empty folder for one test.
pub(crate) fn empty(name: &str) -> PathBuf {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(env!("CARGO_CRATE_NAME")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("a folder for the test");
    folder
}

/// Returns a folder with a small job, `hall.toml`, and its sheet.
pub(crate) fn hall(name: &str) -> PathBuf {
    let folder = empty(name);
    put(&folder, "pack.sheet", SHEET);
    put(&folder, "hall.toml", JOB);
    folder
}

/// Returns a folder with a copy of the demo.
pub(crate) fn demo(name: &str) -> PathBuf {
    let folder = empty(name);
    for entry in std::fs::read_dir(root().join("examples/saltmarsh")).expect("the demo").flatten() {
        std::fs::copy(entry.path(), folder.join(entry.file_name())).expect("a copy of the demo");
    }
    folder
}

/// Writes a file of a test; returns its path.
pub(crate) fn put(folder: &Path, name: &str, text: &str) -> PathBuf {
    let path = folder.join(name);
    std::fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
    std::fs::write(&path, text).expect("a file of the test");
    path
}

/// Returns the text of a file.
pub(crate) fn text(path: impl AsRef<Path>) -> String {
    std::fs::read_to_string(path).expect("a file that is there")
}

/// What a run said, and how it ended.
pub(crate) struct Ended {
    pub(crate) code: Option<i32>,
    pub(crate) out: String,
    pub(crate) err: String,
}

impl Ended {
    /// All that it said.
    pub(crate) fn all(&self) -> String {
        format!("{}{}", self.out, self.err)
    }

    /// It could not be read, and says so; whatever it says, nothing steers a terminal.
    #[track_caller]
    pub(crate) fn refused(&self, words: &str) {
        let all = self.all();
        assert_eq!(self.code, Some(2), "{}", &all[..all.len().min(2000)]);
        assert!(all.contains(words), "no '{words}' in\n{}", &all[..all.len().min(2000)]);
        assert!(!all.contains(|c: char| c.is_control() && c != '\n'), "{all:?}");
    }
}

/// Returns the program, to be run in a folder, 80 columns wide, at 10:40 on the job's day.
pub(crate) fn wattle(folder: &Path) -> Command {
    let mut program = Command::new(env!("CARGO_BIN_EXE_wattle"));
    program.current_dir(folder).env("COLUMNS", "80").env("WATTLE_CLOCK", "2026-11-25T10:40:00");
    program
}

/// Runs the program in a folder.
pub(crate) fn run(folder: &Path, arguments: &[&str], typed: &[u8]) -> Ended {
    start(wattle(folder).args(arguments), typed).ended()
}

/// A program that was started and typed to.
pub(crate) struct Running {
    child: Child,
    typing: JoinHandle<()>,
    out: JoinHandle<String>,
    err: JoinHandle<String>,
}

/// Starts a program and types to it to the end; one that ends before it has read all closes its end: that is no
/// failure here.
pub(crate) fn start(program: &mut Command, typed: &[u8]) -> Running {
    let piped = program.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = piped.spawn().expect("the program starts");
    let mut stdin = child.stdin.take().expect("its input");
    let typed = typed.to_vec();
    let typing = std::thread::spawn(move || drop(stdin.write_all(&typed)));
    let (out, err) = (reading(child.stdout.take()), reading(child.stderr.take()));
    Running { child, typing, out, err }
}

/// The longest that any run may take; the machine may be busy, so that it tells only what never ends.
const WATCHDOG: Duration = Duration::from_secs(120);

impl Running {
    /// Waits for its end; one that does not end is killed, and fails.
    pub(crate) fn ended(mut self) -> Ended {
        let from = Instant::now();
        let status = loop {
            if let Some(status) = self.child.try_wait().expect("its end") {
                break status;
            }
            if from.elapsed() > WATCHDOG {
                let _ = self.child.kill();
                panic!("it did not end");
            }
            std::thread::sleep(Duration::from_millis(5));
        };
        self.typing.join().expect("typed");
        let (out, err) = (self.out.join().expect("read"), self.err.join().expect("read"));
        Ended { code: status.code(), out, err }
    }
}

fn reading(from: Option<impl Read + Send + 'static>) -> JoinHandle<String> {
    std::thread::spawn(move || {
        let mut bytes = Vec::new();
        let _ = from.expect("its output").read_to_end(&mut bytes);
        String::from_utf8_lossy(&bytes).into_owned()
    })
}

/// Says that a test cannot run here. Where `WATTLE_TESTS=all` asks for every test, it fails.
#[track_caller]
pub(crate) fn cannot_run(why: &str) {
    assert!(std::env::var_os("WATTLE_TESTS").is_none_or(|asked| asked != "all"), "not run: {why}");
    say_not_run(why);
}

/// Says that a test does not run here, past what catches the words of a test that passes.
pub(crate) fn say_not_run(why: &str) {
    let name = std::thread::current().name().unwrap_or("a test").to_owned();
    let _ = writeln!(std::io::stderr(), "not run: {name}: {why}");
}
