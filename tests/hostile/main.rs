//! Hard use: inputs that nobody would write, folders that are not what they seem, files that are cut or changed.
#![cfg(unix)]
#![allow(
    clippy::disallowed_methods,
    clippy::print_stderr,
    reason = "a test writes files of its own, and says where it did not run"
)]

mod big;
mod kept;
mod matrix;
mod names;
mod outside;
mod paths;

use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const SHEET: &str = "title Pack\ngiven load ? mA \"Load\"\n  within 0 mA .. 20 A\ngiven hint ? text \"Hint\"\n\
                     must some \"Some\"\n  that load >= 0 A\n  by practice\n";
const JOB: &str = "# the job of the hall\ntitle = \"Hall \u{b5}\"\nbasis = \"uk\"\non = 2026-11-25\n\n[[sheet]]\n\
                   use = \"pack\"\ngiven.load = { value = \"0 mA\", how = \"measured\" } # as found\n";

/// Returns a folder of one test with a job and its sheet.
fn site(name: &str) -> PathBuf {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(format!("hostile-{name}"));
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("a folder for the test");
    put(&folder, "pack.sheet", SHEET);
    put(&folder, "hall.toml", JOB);
    folder
}

fn put(folder: &Path, name: &str, text: &str) {
    std::fs::write(folder.join(name), text).expect("a file of the test");
}

/// What a run said, and how it ended.
struct Ended {
    code: Option<i32>,
    out: String,
    err: String,
}

impl Ended {
    fn all(&self) -> String {
        format!("{}{}", self.out, self.err)
    }

    /// It could not be read, and says so; whatever it says, nothing steers a terminal.
    fn refused(&self, words: &str) {
        let all = self.all();
        assert_eq!(self.code, Some(2), "{}", &all[..all.len().min(2000)]);
        assert!(all.contains(words), "no '{words}' in\n{}", &all[..all.len().min(2000)]);
        assert!(!all.contains(|c: char| c.is_control() && c != '\n'), "{all:?}");
    }
}

/// The longest that any run may take; the machine may be busy, so that it tells only what never ends.
const WATCHDOG: Duration = Duration::from_secs(120);

/// Runs the program in a folder with 2 GB of memory at most; one that does not end is killed, and fails.
fn run(folder: &Path, arguments: &[&str], typed: &[u8]) -> Ended {
    let mut child = Command::new("sh")
        .args(["-c", "ulimit -v 2000000; exec \"$0\" \"$@\"", env!("CARGO_BIN_EXE_wattle")])
        .args(arguments)
        .current_dir(folder)
        .env_remove("COLUMNS")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("a shell");
    let mut stdin = child.stdin.take().expect("its input");
    let typed = typed.to_vec();
    let typing = std::thread::spawn(move || drop(stdin.write_all(&typed)));
    let (out, err) = (reading(child.stdout.take()), reading(child.stderr.take()));
    let from = Instant::now();
    let status = loop {
        if let Some(status) = child.try_wait().expect("its end") {
            break status;
        }
        if from.elapsed() > WATCHDOG {
            let _ = child.kill();
            panic!("it did not end: {arguments:?}");
        }
        std::thread::sleep(Duration::from_millis(5));
    };
    typing.join().expect("typed");
    Ended { code: status.code(), out: out.join().expect("read"), err: err.join().expect("read") }
}

fn reading(from: Option<impl Read + Send + 'static>) -> std::thread::JoinHandle<String> {
    std::thread::spawn(move || {
        let mut bytes = Vec::new();
        let _ = from.expect("its output").read_to_end(&mut bytes);
        String::from_utf8_lossy(&bytes).into_owned()
    })
}
