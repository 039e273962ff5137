//! The program from outside: files, what is typed, what is shown, in `tests/cases/*.case`.
//!
//! A case starts with `== NAME`, gives its files under `-- FILE` (`\xNN` is that byte), then runs
//! `$ wattle …` with the lines typed at its prompt behind `> `, what is shown below, and `exit N`.
//! `% FILE: OLD => NEW` edits a file before the next run, as somebody outside the notebook would.
//! The clock stands at 10:40 on 25 November 2026.
//! `WATTLE_CASES=write cargo test --test sessions` writes what is shown now into the cases: read the difference.

#![allow(clippy::disallowed_methods, reason = "a test writes files of its own")]

use std::fmt::Write as _;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

#[derive(Default)]
struct Case {
    name: String,
    files: Vec<(String, String)>,
    runs: Vec<Run>,
}

#[derive(Default)]
struct Run {
    edits: Vec<String>,
    arguments: String,
    typed: Vec<String>,
    shown: String,
}

fn cases(text: &str) -> Vec<Case> {
    let mut cases: Vec<Case> = Vec::new();
    let mut edits = Vec::new();
    for line in text.lines() {
        if let Some(edit) = line.strip_prefix("% ") {
            edits.push(edit.to_owned());
            continue;
        }
        if let Some(name) = line.strip_prefix("== ") {
            cases.push(Case { name: name.to_owned(), ..Case::default() });
            continue;
        }
        let Some(case) = cases.last_mut() else { continue };
        if let Some(name) = line.strip_prefix("-- ") {
            case.files.push((name.to_owned(), String::new()));
        } else if let Some(arguments) = line.strip_prefix("$ wattle ") {
            let (arguments, edits) = (arguments.to_owned(), std::mem::take(&mut edits));
            case.runs.push(Run { edits, arguments, ..Run::default() });
        } else if let Some(run) = case.runs.last_mut() {
            match line.strip_prefix("> ") {
                Some(typed) => run.typed.push(typed.to_owned()),
                None => run.shown += &format!("{line}\n"),
            }
        } else if let Some((_, content)) = case.files.last_mut() {
            *content += &format!("{line}\n");
        }
    }
    cases
}

/// Returns the bytes of a file, each `\xNN` as that byte.
fn bytes(content: &str) -> Vec<u8> {
    let mut parts = content.split("\\x");
    let mut bytes = parts.next().unwrap_or_default().as_bytes().to_vec();
    for part in parts {
        bytes.push(u8::from_str_radix(&part[..2], 16).expect("two digits of sixteen behind \\x"));
        bytes.extend(&part.as_bytes()[2..]);
    }
    bytes
}

fn edit(folder: &Path, edit: &str) {
    let (file, change) = edit.split_once(": ").expect("FILE: OLD => NEW");
    let (old, new) = change.split_once(" => ").expect("OLD => NEW");
    let text = std::fs::read_to_string(folder.join(file)).expect("the file");
    assert!(text.contains(old), "{file} has no {old}");
    std::fs::write(folder.join(file), text.replacen(old, new, 1)).expect("the file is written");
}

fn shown(folder: &Path, run: &Run) -> String {
    run.edits.iter().for_each(|change| edit(folder, change));
    let mut words = run.arguments.split(' ').filter(|word| !word.is_empty()).peekable();
    let columns = words.next_if(|word| word.starts_with("--columns="));
    let columns = columns.map_or("80", |word| &word["--columns=".len()..]);
    let mut child = Command::new(env!("CARGO_BIN_EXE_wattle"))
        .args(words)
        .current_dir(folder)
        .env("COLUMNS", columns)
        .env("WATTLE_CLOCK", "2026-11-25T10:40:00")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let typed: String = run.typed.iter().map(|line| format!("{line}\n")).collect();
    // A program that ends before it has read everything closes its end: that is no failure here.
    let _ = child.stdin.take().expect("its input is piped").write_all(&bytes(&typed));
    let output = child.wait_with_output().expect("the program ends");
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).expect("what is shown is UTF-8");
    let mut shown = text(&output.stdout) + &text(&output.stderr);
    writeln!(shown, "exit {}", output.status.code().expect("it ends by itself")).expect("a text takes it");
    shown
}

/// Works every case of a file; returns the file as it would read now, and the cases that differ.
fn worked(file: &Path) -> (String, Vec<String>) {
    let text = std::fs::read_to_string(file).expect("the cases");
    let head: String =
        text.lines().take_while(|line| !line.starts_with("== ")).map(|l| format!("{l}\n")).collect();
    let (mut now, mut differ) = (head, Vec::new());
    for (n, case) in cases(&text).iter().enumerate() {
        let stem = file.file_stem().unwrap_or_default().to_string_lossy();
        let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(format!("session-{stem}-{n}"));
        let _ = std::fs::remove_dir_all(&folder);
        std::fs::create_dir_all(&folder).expect("a folder for the case");
        now += &format!("== {}\n", case.name);
        for (name, content) in &case.files {
            std::fs::write(folder.join(name), bytes(content.trim_end_matches('\n'))).expect("a file");
            now += &format!("-- {name}\n{content}");
        }
        for run in &case.runs {
            let found = shown(&folder, run);
            let typed: String = run.typed.iter().map(|line| format!("> {line}\n")).collect();
            let edits: String = run.edits.iter().map(|edit| format!("% {edit}\n")).collect();
            now += &format!("{edits}$ wattle {}\n{typed}{found}\n", run.arguments);
            if found.trim_end() != run.shown.trim_end() {
                differ.push(format!("{}\n$ wattle {}\n{found}", case.name, run.arguments));
            }
        }
    }
    (now, differ)
}

#[test]
fn every_session_shows_what_its_case_says() {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/cases");
    let write = std::env::var_os("WATTLE_CASES").is_some_and(|value| value == "write");
    let mut differ = Vec::new();
    let mut runs = 0;
    for entry in std::fs::read_dir(folder).expect("the cases").flatten() {
        let file = entry.path();
        if file.extension().is_some_and(|ending| ending == "case") {
            let (now, found) = worked(&file);
            runs += now.matches("\n$ wattle ").count();
            if write {
                std::fs::write(&file, now).expect("the cases are written");
            }
            differ.extend(found);
        }
    }
    assert!(runs > 20, "only {runs} runs were found");
    assert!(write || differ.is_empty(), "shown otherwise than its case says:\n\n{}", differ.join("\n"));
}
