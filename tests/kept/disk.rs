//! The disk is full, the folder cannot be written, the job file cannot be replaced.

use std::process::Command;

use wattle::job::journal::{Act, Journal};

use super::site::{JOB, cannot_run, hall, put, run, say_not_run, start, text};
use super::{answered, load};

/// A limit on the size of files stands in for a disk that is full.
#[test]
fn a_full_disk_is_told_at_the_change_which_is_then_not_made() {
    let folder = hall("full");
    let script = "trap '' XFSZ; ulimit -f 6; exec \"$0\" --carry-on hall.toml";
    let typed: String = (1..=40).map(|n| format!("load = {n} measured\n")).collect();
    let mut shell = Command::new("sh");
    shell.args(["-c", script, env!("CARGO_BIN_EXE_wattle")]).current_dir(&folder);
    let ended = start(&mut shell, typed.as_bytes()).ended();
    assert!(ended.err.contains("the journal cannot be written"), "{}", ended.err);
    assert!(ended.err.contains("nothing was changed"), "{}", ended.err);
    let answered = answered(&ended.out);
    assert!((1..40).contains(&answered), "{answered} changes were answered");
    assert_eq!(load(&folder.join("hall.toml")), answered as f64);
    let opened = Journal::open(&folder.join("hall.toml"), &Act::default()).expect("the journal");
    assert!(opened.told.is_empty(), "{:?}", opened.told);
}

/// A disk of a few pages that fills while the job is worked; whoever may not mount one is told that it did not run.
#[test]
fn a_disk_that_fills_loses_nothing_that_was_answered() {
    let folder = hall("small-disk");
    let disk = folder.join("disk");
    std::fs::create_dir_all(&disk).expect("a folder");
    let script = "mount -t tmpfs -o size=24k none disk || exit 77; cp hall.toml pack.sheet disk && cd disk && \
                  { \"$0\" --carry-on hall.toml; cp hall.* pack.sheet ..; }";
    let typed: String = (1..=60).map(|n| format!("load = {n} mA measured\n")).collect();
    let mut shell = Command::new("unshare");
    shell.args(["-m", "sh", "-c", script, env!("CARGO_BIN_EXE_wattle")]).current_dir(&folder);
    let ended = start(&mut shell, typed.as_bytes()).ended();
    if !ended.out.contains("pack.load") {
        return cannot_run(&format!("no disk of its own can be mounted here: {}", ended.err));
    }
    assert!(
        ended.err.contains("cannot be written") && ended.err.contains("nothing was changed"),
        "{}",
        ended.err
    );
    let answered = answered(&ended.out);
    assert!((1..60).contains(&answered), "{answered}");
    let path = folder.join("hall.toml");
    assert_eq!(load(&path), answered as f64);
    let read = Journal::read(&path, text(&path));
    assert!(read.breaks().is_empty() && read.torn().is_none() && read.is_as_left(), "{:?}", read.breaks());
}

/// A mode bit does not stop root: then this says that it does not run, and `a_disk_that_fills` stands in for it.
#[test]
fn a_folder_that_cannot_be_written_is_told_at_the_change() {
    use std::os::unix::fs::PermissionsExt;
    let folder = hall("read-only");
    std::fs::set_permissions(&folder, std::fs::Permissions::from_mode(0o555)).expect("the mode");
    if std::fs::write(folder.join("probe"), "").is_ok() {
        std::fs::set_permissions(&folder, std::fs::Permissions::from_mode(0o755)).expect("the mode");
        return say_not_run("who runs this may write everywhere, as root may");
    }
    let ended = run(&folder, &["hall.toml"], b"pack\nload = 3 measured\n");
    std::fs::set_permissions(&folder, std::fs::Permissions::from_mode(0o755)).expect("the mode");
    assert!(ended.out.contains("pack: Pack"), "it opens all the same");
    assert!(ended.err.contains("the journal cannot be written"), "{}", ended.err);
    assert_eq!(text(folder.join("hall.toml")), JOB);
}

/// The journal takes the line, and then there is no room for the new job file: here its name is too long for the
/// file that is renamed over it.
#[test]
fn a_job_that_cannot_be_replaced_once_its_journal_is_written_is_told_and_not_changed() {
    let folder = hall("no-room");
    let name = format!("{}.toml", "h".repeat(245));
    put(&folder, &name, JOB);
    let ended = run(&folder, &[&name, "--carry-on"], b"load = 5 mA measured\nload\nload = 6 mA measured\n");
    assert!(ended.err.contains("the job file cannot be written"), "{}", ended.all());
    assert!(ended.err.contains("nothing is changed"), "{}", ended.err);
    let path = folder.join(&name);
    assert_eq!(text(&path), JOB);
    let read = Journal::read(&path, JOB.to_owned());
    assert!(read.breaks().is_empty() && read.torn().is_none() && read.is_as_left());
    assert_eq!(read.lines().iter().filter(|line| line.line == "pack.load").count(), 0, "it is cut back");
}
