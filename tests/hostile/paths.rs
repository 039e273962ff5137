//! Names that lead out of the job's folder, and files that are none.

use super::run;
use super::site::{JOB, SHEET, hall, put};
use std::os::unix::fs::symlink;
use std::process::Command;

#[test]
fn a_name_with_a_path_is_refused_wherever_it_stands() {
    let folder = hall("leads-out");
    let inner = folder.join("inner");
    std::fs::create_dir_all(&inner).expect("a folder");
    put(&inner, "pack.sheet", SHEET);
    put(&folder, "x.csv", "n,v mA\nOne,1\n");
    put(&folder, "other.basis", "title X\nextends uk\n");
    let absolute = folder.join("pack.sheet").display().to_string();
    for job in [
        JOB.replace("\"pack\"", "\"../pack\""),
        JOB.replace("\"pack\"", "\"../../x\""),
        JOB.replace("\"pack\"", &format!("\"{absolute}\"")),
        JOB.replace("\"uk\"", "\"../other\""),
        JOB.replace("\"uk\"", &format!("\"{}\"", folder.join("other").display())),
        format!("{JOB}schedule.s = \"../x.csv\"\n"),
        format!("{JOB}schedule.s = {{ csv = \"../x.csv\" }}\n"),
        format!("{JOB}schedule.s = \"{}\"\n", folder.join("x.csv").display()),
        format!("{JOB}schedule.s = \"..\\\\\\\\x.csv\"\n"),
    ] {
        let with_rows = format!("{SHEET}schedule s \"S\"\n  given n ? text \"N\"\n  given v ? mA \"V\"\n");
        put(&inner, "pack.sheet", &with_rows);
        put(&inner, "hall.toml", &job);
        let ended = run(&inner, &["check", "hall.toml"], b"");
        assert_eq!(ended.code, Some(2), "{job}\n{}", ended.all());
        assert!(!ended.all().contains("One"), "nothing of the file is shown: {}", ended.all());
    }
    put(&inner, "pack.sheet", &format!("{SHEET}table t \"../x\"\n"));
    put(&inner, "hall.toml", JOB);
    assert_eq!(run(&inner, &["check", "hall.toml"], b"").code, Some(2));
}

#[test]
fn a_link_out_of_the_folder_is_refused_unless_its_folder_is_named() {
    let (folder, away) = (hall("links"), hall("links-away"));
    std::fs::remove_file(folder.join("pack.sheet")).expect("taken away");
    symlink(away.join("pack.sheet"), folder.join("pack.sheet")).expect("a link");
    run(&folder, &["check", "hall.toml"], b"").refused("a link that leads out of the job's folder");
    let library = away.display().to_string();
    let named = run(&folder, &["check", "hall.toml", "--library", &library], b"");
    assert_eq!(named.code, Some(0), "{}", named.all());
    std::fs::remove_file(folder.join("pack.sheet")).expect("taken away");
    put(&folder, "real.sheet", SHEET);
    symlink("real.sheet", folder.join("pack.sheet")).expect("a link");
    assert_eq!(run(&folder, &["check", "hall.toml"], b"").code, Some(0), "one inside the folder is followed");
}

/// Else a job would be judged on the built-in figures, and say nothing of it.
#[test]
fn a_link_to_nothing_is_told_and_nothing_is_read_in_its_place() {
    let folder = hall("link-to-nothing");
    for file in ["uk.basis", "battery.sheet"] {
        symlink("nowhere", folder.join(file)).expect("a link");
        put(
            &folder,
            "hall.toml",
            &JOB.replace("\"pack\"\n", "\"battery\"\n").replace("given.load", "# given.load"),
        );
        run(&folder, &["check", "hall.toml"], b"").refused("a link that leads to no file");
        std::fs::remove_file(folder.join(file)).expect("taken away");
        assert_ne!(run(&folder, &["check", "hall.toml"], b"").code, Some(2), "the built-in one");
    }
}

/// A job that was handed on may bring a link where the journal or the history is written.
#[test]
fn nothing_is_written_through_a_link_that_stands_in_the_journals_place() {
    let (folder, away) = (hall("journal-link"), hall("journal-away"));
    put(&away, "mine", "precious\n");
    symlink(away.join("mine"), folder.join("hall.journal")).expect("a link");
    let ended = run(&folder, &["hall.toml"], b"load = 3 mA measured\n");
    ended.refused("the journal cannot be written: not a plain file");
    assert_eq!(std::fs::read_to_string(away.join("mine")).expect("the file"), "precious\n");
    symlink(away.join("none"), folder.join("other.journal")).expect("a link to nothing");
    put(&folder, "other.toml", JOB);
    run(&folder, &["other.toml"], b"load = 3 mA measured\n").refused("not a plain file");
    assert!(!away.join("none").exists());
}

#[test]
fn a_pipe_or_a_device_is_refused_where_a_file_is_due() {
    let folder = hall("pipes");
    let pipe = |name: &str| {
        let _ = std::fs::remove_file(folder.join(name));
        let made = Command::new("mkfifo").arg(folder.join(name)).status().expect("mkfifo");
        assert!(made.success());
    };
    pipe("pipe.toml");
    run(&folder, &["check", "pipe.toml"], b"").refused("not a plain file");
    run(&folder, &["pipe.toml"], b"").refused("not a plain file");
    run(&folder, &["check", "/dev/zero"], b"").refused("not a plain file");
    run(&folder, &["proof", "/dev/zero"], b"").refused("not a plain file");
    run(&folder, &["report", "/dev/zero"], b"").refused("not a plain file");
    pipe("hall.journal");
    assert_eq!(
        run(&folder, &["check", "hall.toml"], b"").code,
        Some(0),
        "it is looked at without the journal"
    );
    run(&folder, &["hall.toml"], b"load = 3 mA measured\n").refused("not a plain file");
    pipe("pack.sheet");
    run(&folder, &["check", "hall.toml"], b"").refused("not a plain file");
    pipe("out.html");
    put(&folder, "pack.sheet.kept", "");
    std::fs::remove_file(folder.join("pack.sheet")).expect("taken away");
    put(&folder, "pack.sheet", SHEET);
    assert_eq!(run(&folder, &["report", "hall.toml", "-o", "out.html"], b"").code, Some(2));
    assert_eq!(run(&folder, &["report", "hall.toml", "-o", "/dev/full"], b"").code, Some(2));
}
