//! The program from outside: arguments in, output and exit code out.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn wattle(folder: &Path, arguments: &[&str], typed: &str) -> Output {
    use std::io::Write;
    let mut child = Command::new(env!("CARGO_BIN_EXE_wattle"))
        .args(arguments)
        .current_dir(folder)
        .env("COLUMNS", "80")
        .env("WATTLE_CLOCK", "2026-11-25T10:40:00")
        .stdin(std::process::Stdio::piped())
        .stdout(std::process::Stdio::piped())
        .stderr(std::process::Stdio::piped())
        .spawn()
        .expect("the program starts");
    // A program that ends before it has read everything closes its end: that is no failure here.
    let _ = child.stdin.take().expect("its input is piped").write_all(typed.as_bytes());
    child.wait_with_output().expect("the program ends")
}

fn out(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned()
}

fn err(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// A folder of its own for one test, holding a copy of the demo.
fn site(name: &str) -> PathBuf {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("a folder for the test");
    for entry in std::fs::read_dir(root().join("examples/saltmarsh")).expect("the demo").flatten() {
        std::fs::copy(entry.path(), folder.join(entry.file_name())).expect("a copy of the demo");
    }
    folder
}

#[test]
fn the_three_demo_jobs_pass_fail_and_wait() {
    for (job, code, word) in
        [("fp1", 0, "PASS"), ("fp1-more-sounders", 1, "FAIL"), ("fp1-arrival", 3, "WAITING")]
    {
        let path = format!("examples/saltmarsh/{job}.toml");
        let output = wattle(&root(), &["check", &path], "");
        assert_eq!(output.status.code(), Some(code), "{job}: {}", err(&output));
        assert!(out(&output).contains(&format!("  {word} (")), "{job}: {}", out(&output));
    }
}

#[test]
fn the_whole_job_fails_on_arrival_and_passes_when_it_is_left_resting_on_no_assumption() {
    let checked = |job: &str| {
        let path = format!("examples/saltmarsh/{job}.toml");
        let output = wattle(&root(), &["check", &path, "--on", "2026-11-25", "--format", "json"], "");
        let job: serde_json::Value = serde_json::from_str(&out(&output)).expect("one object");
        (output.status.code(), job)
    };
    let (code, left) = checked("leave");
    assert_eq!(code, Some(0), "{left}");
    for doubt in ["assumed", "unconfirmed", "no_tolerance", "other_day"] {
        assert_eq!(left["rests_on"][doubt], serde_json::json!([]), "{doubt}");
    }
    let used = |job: &serde_json::Value| -> Vec<String> {
        let sheets = job["sheets"].as_array().expect("its sheets");
        sheets.iter().map(|sheet| sheet["use"].to_string().trim_matches('"').to_owned()).collect()
    };
    for (name, _) in wattle::notebook::builtin::SHEETS {
        assert!(used(&left).iter().any(|sheet| sheet == name), "the whole job leaves {name} out");
    }
    let (code, found) = checked("arrive");
    assert_eq!(code, Some(1), "{found}");
    assert_eq!(used(&found), used(&left), "one job at two hours");
    // On the day after the feed was to be gone, the same job fails.
    let late = wattle(&root(), &["check", "examples/saltmarsh/leave.toml", "--on", "2026-12-10"], "");
    assert_eq!(late.status.code(), Some(1));
    assert!(out(&late).contains("borrowed.not_overdue"), "{}", out(&late));
}

#[test]
fn of_many_jobs_the_worst_decides_and_none_stops_the_others() {
    let jobs = [
        "check",
        "examples/saltmarsh/fp1.toml",
        "missing.toml",
        "examples/saltmarsh/fp1-arrival.toml",
        "--format",
        "json",
    ];
    let output = wattle(&root(), &jobs, "");
    assert_eq!(output.status.code(), Some(2));
    let lines: Vec<serde_json::Value> =
        out(&output).lines().map(|line| serde_json::from_str(line).expect("one object a line")).collect();
    let verdicts: Vec<_> = lines.iter().map(|job| job["verdict"].clone()).collect();
    assert_eq!(verdicts, [serde_json::json!("pass"), serde_json::Value::Null, serde_json::json!("waiting")]);
    assert_eq!(lines[1]["faults"][0]["message"], "no such file");
}

#[test]
fn the_failing_job_says_by_how_much_from_which_document_and_what_to_do() {
    let output = out(&wattle(&root(), &["check", "examples/saltmarsh/fp1-more-sounders.toml"], ""));
    for words in [
        "7 Ah is not 7.624 Ah or more: 0.6238 Ah short",
        "BS 5839-1",
        "not verified",
        "Fit at least 7.624 Ah",
        "Sounder 14",
    ] {
        assert!(output.contains(words), "{words} is missing in\n{output}");
    }
}

#[test]
fn text_keeps_to_45_columns() {
    let output = Command::new(env!("CARGO_BIN_EXE_wattle"))
        .args(["check", "examples/saltmarsh/fp1-more-sounders.toml"])
        .current_dir(root())
        .env("COLUMNS", "45")
        .output()
        .expect("the program runs");
    for line in String::from_utf8_lossy(&output.stdout).lines() {
        assert!(line.chars().count() <= 45, "{line}");
        assert!(!line.contains('\u{1b}'), "colour where there is no terminal: {line}");
    }
}

#[test]
fn all_builtin_examples_hold() {
    let output = wattle(&root(), &["proof"], "");
    assert_eq!(output.status.code(), Some(0), "{}{}", out(&output), err(&output));
    assert!(!out(&output).contains("MISSED"));
}

#[test]
fn a_fault_in_a_job_points_into_the_job() {
    let site = site("fault_in_job");
    let path = site.join("fp1.toml");
    let text = std::fs::read_to_string(&path).expect("the job").replace("\"7 Ah\"", "\"7 Ahr\"");
    #[expect(clippy::disallowed_methods, reason = "a test sets its scene")]
    std::fs::write(&path, text).expect("the job is written");
    let output = wattle(&site, &["check", "fp1.toml"], "");
    assert_eq!(output.status.code(), Some(2));
    let words = err(&output);
    assert!(
        words.contains("no unit 'Ahr'") && words.contains("fp1.toml:45:29") && words.contains("^^^"),
        "{words}"
    );
}

#[test]
fn a_change_shows_what_moved_and_is_on_disk() {
    let site = site("change");
    let output = wattle(&site, &["fp1.toml"], "battery.fitted = 5 nameplate\n");
    assert_eq!(output.status.code(), Some(1), "{}", err(&output));
    let shown = out(&output);
    assert!(shown.contains("battery.fitted  7 Ah \u{2192} 5 Ah") && shown.contains("FAIL"), "{shown}");
    let text = std::fs::read_to_string(site.join("fp1.toml")).expect("the job");
    assert!(text.contains("value = \"5 Ah\", how = \"nameplate\""), "{text}");
    assert!(text.contains("# the panel's lowest output, battery spent"), "comments stay");
}

#[test]
fn what_does_not_fit_is_refused_and_nothing_is_changed() {
    let site = site("refused");
    let before = std::fs::read(site.join("fp1.toml")).expect("the job");
    let output = wattle(&site, &["fp1.toml"], "battery.fitted = 1200 Ah\n");
    assert_eq!(output.status.code(), Some(2));
    assert!(err(&output).contains("lies outside 1 Ah .. 300 Ah"), "{}", err(&output));
    assert_eq!(std::fs::read(site.join("fp1.toml")).expect("the job"), before);
}

#[test]
fn a_new_job_waits_for_everything_and_is_never_written_over() {
    let site = site("new");
    let arguments = ["new", "job.toml", "standby_load", "battery", "breaker", "--basis", "uk"];
    assert_eq!(wattle(&site, &arguments, "").status.code(), Some(0));
    assert_eq!(wattle(&site, &["check", "job.toml"], "").status.code(), Some(3));
    assert_eq!(wattle(&site, &arguments, "").status.code(), Some(2), "never over a file");
}

#[test]
fn the_sheets_are_listed_and_shown() {
    let listed = out(&wattle(&root(), &["sheets"], ""));
    let folder = std::fs::read_dir(root().join("sheets")).expect("the folder of sheets");
    let mut files: Vec<String> = folder
        .filter_map(|file| file.ok()?.file_name().to_str()?.strip_suffix(".sheet").map(str::to_owned))
        .collect();
    let first = |line: &str| line.split_whitespace().next().map(str::to_owned);
    let mut names: Vec<String> = listed.lines().map_while(first).collect();
    files.sort();
    names.sort();
    assert_eq!(names, files, "every sheet of the folder is built in, and listed");
    let shown = out(&wattle(&root(), &["sheets", "battery"], ""));
    assert_eq!(shown, std::fs::read_to_string(root().join("sheets/battery.sheet")).expect("the sheet"));
    for (name, file) in [("uk", "basis/uk.basis"), ("conductors_nec", "tables/conductors_nec.toml")] {
        assert!(listed.lines().any(|line| line.starts_with(&format!("{name} "))), "{listed}");
        let text = std::fs::read_to_string(root().join("sheets").join(file)).expect("the file");
        assert_eq!(out(&wattle(&root(), &["sheets", name], "")), text);
    }
    let output = wattle(&root(), &["sheets", "batery"], "");
    assert!(err(&output).contains("did you mean 'battery'?"));
}

#[test]
fn the_extras_are_written_over_ours_alone_and_know_every_option_and_name() {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("extras");
    let _ = std::fs::remove_dir_all(&folder);
    let run = || wattle(&root(), &["extras", &folder.display().to_string()], "");
    assert!(err(&run()).contains("make it first"), "a folder that is not there");
    std::fs::create_dir_all(&folder).expect("a folder for the test");
    for _ in 0..2 {
        let output = run();
        assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    }
    let text = |name: &str| std::fs::read_to_string(folder.join(name)).expect("an extra");
    let manual = text("wattle.1");
    for words in ["\\-\\-format", "\\-\\-head", "EXIT STATUS", "WATTLE_CLOCK", "CAUTIONS", "wattle sheets"] {
        assert!(manual.contains(words), "{words} is missing in\n{manual}");
    }
    assert!(!manual.contains("wattle-check(1)"), "pages that are not there");
    let bash = text("wattle.bash");
    assert!(bash.contains("sounder_circuit") && bash.contains("uk au nz us"), "{bash}");
    #[allow(clippy::disallowed_methods, reason = "a test writes files of its own")]
    std::fs::write(folder.join("wattle.fish"), "mine").expect("a file");
    assert!(err(&run()).contains("is not ours"));
    assert_eq!(text("wattle.fish"), "mine");
}

#[test]
fn the_assumption_that_decides_stands_on_the_first_screen_of_an_audit() {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("far-sounder");
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("a folder for the test");
    for file in ["fp1-far-sounder.toml", "equipment-more-sounders.csv"] {
        std::fs::copy(root().join("examples/saltmarsh").join(file), folder.join(file))
            .expect("a file of the demo");
    }
    let audit = out(&wattle(&folder, &["audit", "fp1-far-sounder.toml", "--on", "2026-11-25"], ""));
    let screen: Vec<&str> = audit.lines().take(24).collect();
    let screen = screen.join(" ");
    assert!(screen.contains("FAIL (1 of"), "{screen}");
    let words =
        "sounders.devices.\"Sounder 14\".length 60 m, assumed: sounders.devices.enough passes below 29.61 m";
    assert!(screen.split_whitespace().collect::<Vec<_>>().join(" ").contains(words), "{screen}");
    // It does decide: with another length the job passes.
    let typed = "sounders.devices.14.length = 29 m measured\n";
    let output = wattle(&folder, &["fp1-far-sounder.toml", "--on", "2026-11-25"], typed);
    assert_eq!(output.status.code(), Some(0), "{}", out(&output));
}

/// By hand: as read, 1.25 * (188 mA * 24 h + 1.75 * 1.2 A * 30 min) = 6.9525 Ah, less than the 7 Ah fitted; with a
/// clamp meter of 2 % the 188 mA may be 191.7 mA: 1.25 * (4.6008 Ah + 1.05 Ah) = 7.0635 Ah, which is more.
#[test]
fn a_clamp_meter_of_two_per_cent_turns_one_limit_of_the_demo_from_pass_to_unsure() {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("clamp");
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("a folder for the test");
    std::fs::copy(root().join("examples/saltmarsh/equipment.csv"), folder.join("equipment.csv"))
        .expect("the list");
    let demo = std::fs::read_to_string(root().join("examples/saltmarsh/fp1.toml")).expect("the demo");
    for (tolerance, verdict, code) in [("0.1 %", "PASS", 0), ("2 %", "UNSURE", 1)] {
        let job = demo.replacen("tolerance = \"2 % + 5 mA\"", &format!("tolerance = \"{tolerance}\""), 1);
        let name = format!("fp1-{code}.toml");
        #[allow(clippy::disallowed_methods, reason = "a test writes files of its own")]
        std::fs::write(folder.join(&name), job).expect("the job");
        let typed = "standby.measured = 188 mA measured with clamp\nbattery.large_enough\n";
        let output = wattle(&folder, &[&name, "--on", "2026-11-25"], typed);
        let told = out(&output);
        assert!(told.contains(&format!("{verdict:<10} The fitted battery is large enough")), "{told}");
        assert_eq!(output.status.code(), Some(code), "{told}");
        if code == 1 {
            assert!(
                told.contains("fails at standby.measured 191.7 mA: 7 Ah is not 7.064 Ah or more"),
                "{told}"
            );
        }
    }
}

#[test]
fn the_head_that_a_report_prints_is_the_one_that_an_audit_compares() {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("head");
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("a folder for the test");
    for file in ["fp1.toml", "equipment.csv"] {
        std::fs::copy(root().join("examples/saltmarsh").join(file), folder.join(file))
            .expect("a file of the demo");
    }
    wattle(&folder, &["fp1.toml", "--on", "2026-11-25"], "battery.fitted = 12 Ah nameplate\n");
    let json = out(&wattle(&folder, &["report", "fp1.toml", "--format", "json", "--on", "2026-11-25"], ""));
    let record: serde_json::Value = serde_json::from_str(&json).expect("an object");
    let head = record["identity"]["journal_head"].as_str().expect("a head").to_owned();
    let audited = |head: &str| {
        let audit =
            wattle(&folder, &["audit", "fp1.toml", "--head", head, "--json", "--on", "2026-11-25"], "");
        let audit: serde_json::Value = serde_json::from_str(&out(&audit)).expect("an object");
        audit["history"]["against"].clone()
    };
    assert_eq!(audited(&head), "last");
    wattle(&folder, &["fp1.toml", "--on", "2026-11-25"], "battery.fitted = 17 Ah nameplate\n");
    assert_eq!(audited(&head), serde_json::json!({"added": 2}));
    std::fs::remove_file(folder.join("fp1.journal")).expect("the journal");
    wattle(&folder, &["fp1.toml", "--on", "2026-11-25"], "battery.fitted = 18 Ah nameplate\n");
    assert_eq!(audited(&head), "not_there", "a journal begun anew");
}

/// Rewrites a journal from a line on: what is replaced in it, and every seal and hash behind it made to fit.
fn forged(journal: &str, old: &str, new: &str) -> String {
    let mut made = String::new();
    let mut before = String::new();
    for line in journal.replacen(old, new, 1).lines() {
        let (bare, _) = line.rsplit_once(",\"sha\":\"").expect("a sealed line");
        let (head, tail) = bare.split_once("\"prev\":\"").expect("the seal before");
        let (_, rest) = tail.split_once('"').expect("its end");
        let bare = format!("{head}\"prev\":\"{before}\"{rest}");
        before = wattle::job::disk::hash(format!("{bare}}}").as_bytes());
        made += &format!("{bare},\"sha\":\"{before}\"}}\n");
    }
    made
}

#[test]
fn a_journal_that_was_written_anew_is_told_where_its_lines_speak_against_each_other() {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("forged");
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("a folder for the test");
    for file in ["fp1.toml", "equipment.csv"] {
        std::fs::copy(root().join("examples/saltmarsh").join(file), folder.join(file))
            .expect("a file of the demo");
    }
    let typed = "battery.fitted = 12 Ah nameplate\nbattery.fitted = 17 Ah nameplate\n";
    wattle(&folder, &["fp1.toml", "--on", "2026-11-25"], typed);
    let journal = folder.join("fp1.journal");
    let own = std::fs::read_to_string(&journal).expect("the journal");
    let audited = |text: &str| {
        #[allow(clippy::disallowed_methods, reason = "a test writes files of its own")]
        std::fs::write(&journal, text).expect("the journal");
        let audit = out(&wattle(&folder, &["audit", "fp1.toml", "--on", "2026-11-25"], ""));
        audit.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    assert!(audited(&own).contains("journal of 3 lines, its chain is whole"));
    assert_eq!(forged(&own, "nothing of it", ""), own, "the forger knows the form");
    // The forger writes another capacity into the first change, and seals all that follows.
    let told = audited(&forged(&own, ",\"12", ",\"13"));
    assert!(told.contains("line 2 of the journal does not leave the job that it says it leaves"));
    let told = audited(&forged(
        &own,
        "\"time\":\"2026-11-25T10:40\",\"who\":\"R. Field\",\"line\":\"battery.fitted\"",
        "\"time\":\"2020-11-25T10:40\",\"who\":\"R. Field\",\"line\":\"battery.fitted\"",
    ));
    assert!(told.contains("line 2 of the journal is of an earlier time than the line before it"));
}
