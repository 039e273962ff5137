//! What the program touches: no network, no environment but what the README names, no file but its own.

use super::run;
use super::site::{cannot_run, hall, put, source, text};
use std::collections::BTreeSet;
use std::path::Path;
use std::process::Command;

const TYPED: &str = "load = 5 mA measured\nhint = \"x\"\nundo\nredo\nreport out.html\nagree load\n";

#[test]
fn nothing_is_written_but_the_job_its_journal_and_what_was_named() {
    let folder = hall("written");
    run(&folder, &["check", "hall.toml"], b"");
    run(&folder, &["audit", "hall.toml"], b"");
    run(&folder, &["compare", "hall.toml", "hall.toml"], b"");
    run(&folder, &["report", "hall.toml"], b"");
    run(&folder, &["proof", "pack.sheet"], b"");
    assert_eq!(names(&folder), ["hall.toml", "pack.sheet"], "what only looks writes nothing");
    assert_eq!(run(&folder, &["--who", "A. Reader", "hall.toml"], TYPED.as_bytes()).code, Some(0));
    assert_eq!(names(&folder), ["hall.journal", "hall.toml", "out.html", "pack.sheet"]);
}

fn names(folder: &Path) -> Vec<String> {
    let found = std::fs::read_dir(folder).expect("the folder").flatten();
    let mut names: Vec<String> = found.map(|file| file.file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

/// Every call that reaches the network or opens a file to be written, as the system saw it.
#[test]
fn the_system_sees_no_network_and_no_other_file_written() {
    if Command::new("strace").arg("-V").output().is_err() {
        return cannot_run("no strace here; the folder is looked at instead");
    }
    let folder = hall("traced");
    put(&folder, "typed", TYPED);
    let calls = "trace=%network,open,openat,creat,rename,renameat,renameat2,unlink,unlinkat,execve,mkdir,link,symlink";
    let status = Command::new("sh")
        .args([
            "-c",
            "strace -f -o calls -e \"$1\" \"$0\" --who Reader hall.toml < typed > shown",
            env!("CARGO_BIN_EXE_wattle"),
            calls,
        ])
        .current_dir(&folder)
        .status()
        .expect("a shell");
    let seen = std::fs::read_to_string(folder.join("calls")).unwrap_or_default();
    if !seen.contains("execve(") {
        return cannot_run(&format!("strace may not look at a program here: {status}"));
    }
    assert!(status.success(), "{status}");
    assert!(!seen.contains("socket(") && !seen.contains("connect("), "{seen}");
    let programs = seen.lines().filter(|line| line.contains("execve(")).count();
    assert_eq!(programs, 1, "it starts no other program");
    let writes = |line: &&str| {
        ["O_WRONLY", "O_RDWR", "O_CREAT", "creat(", "rename", "unlink", "mkdir", "link("]
            .iter()
            .any(|w| line.contains(w))
    };
    let written: Vec<&str> = seen.lines().filter(writes).collect();
    assert!(written.len() > 5, "{written:?}");
    for line in written {
        let mut named = line.split('"').skip(1).step_by(2);
        let ours = |name: &str| {
            let name = name.rsplit('/').next().unwrap_or(name);
            name.starts_with("hall.")
                || name.starts_with(".hall.toml.")
                || name.starts_with("out.html")
                || name.starts_with(".out.html.")
        };
        assert!(named.all(ours), "{line}");
    }
}

#[test]
fn every_word_read_from_the_environment_is_in_the_readme() {
    let program: String = source::rust("src").into_iter().map(|(_, text)| text).collect();
    let readme = text(super::site::root().join("README.md"));
    let reads = program.matches("env::var").count() + program.matches("env::vars").count();
    let named: BTreeSet<&str> = program
        .split("env::var")
        .skip(1)
        .filter_map(|after| after.strip_prefix("_os").unwrap_or(after).strip_prefix("(\"")?.split('"').next())
        .collect();
    assert_eq!(named.len(), reads, "each is read once, by a name that stands there: {named:?}");
    assert!(named.iter().all(|name| readme.contains(&format!("`{name}`"))), "{named:?}");
    for other in ["std::net", "process::Command", "TcpStream", "UdpSocket", "UnixStream"] {
        assert!(!program.contains(other), "the program has no business with {other}");
    }
}
