//! The program from outside: arguments in, output and exit code out.

mod site;

use site::{demo, empty, put, root, run, start, text, wattle};

/// Returns an empty folder with some files of the demo.
fn part_of_demo(name: &str, files: &[&str]) -> std::path::PathBuf {
    let folder = empty(name);
    for file in files {
        put(&folder, file, &text(root().join("examples/saltmarsh").join(file)));
    }
    folder
}

#[test]
fn the_three_demo_jobs_pass_fail_and_wait() {
    for (job, code, word) in
        [("fp1", 0, "PASS"), ("fp1-more-sounders", 1, "FAIL"), ("fp1-arrival", 3, "WAITING")]
    {
        let path = format!("examples/saltmarsh/{job}.toml");
        let output = run(&root(), &["check", &path], b"");
        assert_eq!(output.code, Some(code), "{job}: {}", output.err);
        assert!(output.out.contains(&format!("  {word} (")), "{job}: {}", output.out);
    }
}

#[test]
fn the_whole_job_fails_on_arrival_and_passes_when_it_is_left_resting_on_no_assumption() {
    let checked = |job: &str| {
        let path = format!("examples/saltmarsh/{job}.toml");
        let output = run(&root(), &["check", &path, "--on", "2026-11-25", "--format", "json"], b"");
        let job: serde_json::Value = serde_json::from_str(&output.out).expect("one object");
        (output.code, job)
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
    for (name, _) in wattle::notebook::library::builtin::SHEETS {
        assert!(used(&left).iter().any(|sheet| sheet == name), "the whole job leaves {name} out");
    }
    let (code, found) = checked("arrive");
    assert_eq!(code, Some(1), "{found}");
    assert_eq!(used(&found), used(&left), "one job at two hours");
    // On the day after the feed was to be gone, the same job fails.
    let late = run(&root(), &["check", "examples/saltmarsh/leave.toml", "--on", "2026-12-10"], b"");
    assert_eq!(late.code, Some(1));
    assert!(late.out.contains("borrowed.not_overdue"), "{}", late.out);
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
    let output = run(&root(), &jobs, b"");
    assert_eq!(output.code, Some(2));
    let lines: Vec<serde_json::Value> =
        output.out.lines().map(|line| serde_json::from_str(line).expect("one object a line")).collect();
    let verdicts: Vec<_> = lines.iter().map(|job| job["verdict"].clone()).collect();
    assert_eq!(verdicts, [serde_json::json!("pass"), serde_json::Value::Null, serde_json::json!("waiting")]);
    assert_eq!(lines[1]["faults"][0]["message"], "no such file");
}

#[test]
fn the_failing_job_says_by_how_much_from_which_document_and_what_to_do() {
    let output = run(&root(), &["check", "examples/saltmarsh/fp1-more-sounders.toml"], b"").out;
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
    let mut program = wattle(&root());
    program.args(["check", "examples/saltmarsh/fp1-more-sounders.toml"]).env("COLUMNS", "45");
    let ended = start(&mut program, b"").ended();
    assert!(ended.out.lines().count() > 10, "{}", ended.all());
    for line in ended.out.lines() {
        assert!(line.chars().count() <= 45, "{line}");
        assert!(!line.contains('\u{1b}'), "colour where there is no terminal: {line}");
    }
}

#[test]
fn all_builtin_examples_hold() {
    let output = run(&root(), &["proof"], b"");
    assert_eq!(output.code, Some(0), "{}{}", output.out, output.err);
    assert!(!output.out.contains("MISSED"));
}

#[test]
fn a_fault_in_a_job_points_into_the_job() {
    let folder = demo("fault_in_job");
    let job = text(folder.join("fp1.toml")).replace("\"7 Ah\"", "\"7 Ahr\"");
    put(&folder, "fp1.toml", &job);
    let (before, after) = job.split_once("Ahr").expect("the slip");
    let (line, start) =
        (before.lines().count(), before.lines().last().unwrap_or_default().chars().count() + 1);
    assert!(!after.contains("Ahr"));
    let output = run(&folder, &["check", "fp1.toml"], b"");
    assert_eq!(output.code, Some(2));
    let words = output.err;
    assert!(
        words.contains("no unit 'Ahr'")
            && words.contains(&format!("fp1.toml:{line}:{start}\n"))
            && words.contains("^^^"),
        "{words}"
    );
}

#[test]
fn a_change_shows_what_moved_and_is_on_disk() {
    let folder = demo("change");
    let output = run(&folder, &["fp1.toml"], b"battery.fitted = 5 nameplate\n");
    assert_eq!(output.code, Some(1), "{}", output.err);
    let shown = output.out;
    assert!(shown.contains("battery.fitted  7 Ah \u{2192} 5 Ah") && shown.contains("FAIL"), "{shown}");
    let text = text(folder.join("fp1.toml"));
    assert!(text.contains("value = \"5 Ah\", how = \"nameplate\""), "{text}");
    assert!(text.contains("# the panel's lowest output, battery discharged"), "comments stay");
}

#[test]
fn what_does_not_fit_is_refused_and_nothing_is_changed() {
    let folder = demo("refused");
    let before = std::fs::read(folder.join("fp1.toml")).expect("the job");
    let output = run(&folder, &["fp1.toml"], b"battery.fitted = 1200 Ah\n");
    assert_eq!(output.code, Some(2));
    assert!(output.err.contains("is outside 1 Ah to 300 Ah"), "{}", output.err);
    assert_eq!(std::fs::read(folder.join("fp1.toml")).expect("the job"), before);
}

#[test]
fn a_new_job_waits_for_everything_and_is_never_written_over() {
    let folder = demo("new");
    let arguments = ["new", "job.toml", "standby_load", "battery", "breaker", "--basis", "uk"];
    assert_eq!(run(&folder, &arguments, b"").code, Some(0));
    assert_eq!(run(&folder, &["check", "job.toml"], b"").code, Some(3));
    assert_eq!(run(&folder, &arguments, b"").code, Some(2), "never over a file");
}

#[test]
fn the_sheets_are_listed_and_shown() {
    let listed = run(&root(), &["sheets"], b"").out;
    let folder = std::fs::read_dir(root().join("sheets")).expect("the folder of sheets");
    let mut files: Vec<String> = folder
        .filter_map(|file| file.ok()?.file_name().to_str()?.strip_suffix(".sheet").map(str::to_owned))
        .collect();
    let first = |line: &str| line.split_whitespace().next().map(str::to_owned);
    let mut names: Vec<String> = listed.lines().map_while(first).collect();
    files.sort();
    names.sort();
    assert_eq!(names, files, "every sheet of the folder is built in, and listed");
    let shown = run(&root(), &["sheets", "battery"], b"").out;
    assert_eq!(shown, text(root().join("sheets/battery.sheet")));
    for (name, file) in [("uk", "basis/uk.basis"), ("conductors_nec", "tables/conductors_nec.toml")] {
        assert!(listed.lines().any(|line| line.starts_with(&format!("{name} "))), "{listed}");
        assert_eq!(run(&root(), &["sheets", name], b"").out, text(root().join("sheets").join(file)));
    }
    let output = run(&root(), &["sheets", "batery"], b"");
    assert!(output.err.contains("did you mean 'battery'?"));
}

#[test]
fn the_extras_are_written_over_ours_alone_and_know_every_option_and_name() {
    let folder = std::path::PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("extras");
    let _ = std::fs::remove_dir_all(&folder);
    let written = || run(&root(), &["extras", &folder.display().to_string()], b"");
    assert!(written().err.contains("make it first"), "a folder that is not there");
    std::fs::create_dir_all(&folder).expect("a folder for the test");
    for _ in 0..2 {
        let output = written();
        assert_eq!(output.code, Some(0), "{}", output.err);
    }
    let text = |name: &str| text(folder.join(name));
    let manual = text("wattle.1");
    for words in ["\\-\\-format", "\\-\\-head", "EXIT STATUS", "WATTLE_CLOCK", "CAUTIONS", "wattle sheets"] {
        assert!(manual.contains(words), "{words} is missing in\n{manual}");
    }
    assert!(!manual.contains("wattle-check(1)"), "pages that are not there");
    let bash = text("wattle.bash");
    assert!(bash.contains("sounder_circuit") && bash.contains("uk au nz us"), "{bash}");
    #[allow(clippy::disallowed_methods, reason = "a test writes files of its own")]
    std::fs::write(folder.join("wattle.fish"), "mine").expect("a file");
    assert!(written().err.contains("is not ours"));
    assert_eq!(text("wattle.fish"), "mine");
}

#[test]
fn the_assumption_that_decides_stands_on_the_first_screen_of_an_audit() {
    let folder = part_of_demo("far-sounder", &["fp1-far-sounder.toml", "equipment-more-sounders.csv"]);
    let audit = run(&folder, &["audit", "fp1-far-sounder.toml", "--on", "2026-11-25"], b"").out;
    let screen: Vec<&str> = audit.lines().take(24).collect();
    let screen = screen.join(" ");
    assert!(screen.contains("FAIL (1 of"), "{screen}");
    let words =
        "sounders.devices.\"Sounder 14\".length 60 m, assumed: sounders.devices.enough passes below 29.61 m";
    assert!(screen.split_whitespace().collect::<Vec<_>>().join(" ").contains(words), "{screen}");
    // It does decide: with another length the job passes.
    let typed = "sounders.devices.14.length = 29 m measured\n";
    let output = run(&folder, &["fp1-far-sounder.toml", "--on", "2026-11-25"], typed.as_bytes());
    assert_eq!(output.code, Some(0), "{}", output.out);
}

/// By hand: as read, 1.25 * (188 mA * 24 h + 1.75 * 1.2 A * 30 min) = 6.9525 Ah, less than the 7 Ah fitted; with a
/// clamp meter of 2 % the 188 mA may be 191.7 mA: 1.25 * (4.6008 Ah + 1.05 Ah) = 7.0635 Ah, which is more.
#[test]
fn a_clamp_meter_of_two_per_cent_turns_one_limit_of_the_demo_from_pass_to_unsure() {
    let folder = part_of_demo("clamp", &["equipment.csv"]);
    let demo = text(root().join("examples/saltmarsh/fp1.toml"));
    for (tolerance, verdict, code) in [("0.1 %", "PASS", 0), ("2 %", "UNSURE", 1)] {
        let job = demo.replacen("tolerance = \"2 % + 5 mA\"", &format!("tolerance = \"{tolerance}\""), 1);
        let name = format!("fp1-{code}.toml");
        put(&folder, &name, &job);
        let typed = "standby.measured = 188 mA measured with clamp\nbattery.large_enough\n";
        let output = run(&folder, &[&name, "--on", "2026-11-25"], typed.as_bytes());
        let told = output.out;
        assert!(told.contains(&format!("{verdict:<10} The fitted battery is large enough")), "{told}");
        assert_eq!(output.code, Some(code), "{told}");
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
    let folder = part_of_demo("head", &["fp1.toml", "equipment.csv"]);
    run(&folder, &["fp1.toml", "--on", "2026-11-25"], b"battery.fitted = 12 Ah nameplate\n");
    let json = run(&folder, &["report", "fp1.toml", "--format", "json", "--on", "2026-11-25"], b"").out;
    let record: serde_json::Value = serde_json::from_str(&json).expect("an object");
    let head = record["identity"]["journal_head"].as_str().expect("a head").to_owned();
    let audited = |head: &str| {
        let audit = run(&folder, &["audit", "fp1.toml", "--head", head, "--json", "--on", "2026-11-25"], b"");
        let audit: serde_json::Value = serde_json::from_str(&audit.out).expect("an object");
        audit["history"]["against"].clone()
    };
    assert_eq!(audited(&head), "last");
    run(&folder, &["fp1.toml", "--on", "2026-11-25"], b"battery.fitted = 17 Ah nameplate\n");
    assert_eq!(audited(&head), serde_json::json!({"added": 2}));
    std::fs::remove_file(folder.join("fp1.journal")).expect("the journal");
    run(&folder, &["fp1.toml", "--on", "2026-11-25"], b"battery.fitted = 18 Ah nameplate\n");
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
    let folder = part_of_demo("forged", &["fp1.toml", "equipment.csv"]);
    let typed = "battery.fitted = 12 Ah nameplate\nbattery.fitted = 17 Ah nameplate\n";
    run(&folder, &["fp1.toml", "--on", "2026-11-25"], typed.as_bytes());
    let own = text(folder.join("fp1.journal"));
    let audited = |text: &str| {
        put(&folder, "fp1.journal", text);
        let audit = run(&folder, &["audit", "fp1.toml", "--on", "2026-11-25"], b"").out;
        audit.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    assert!(audited(&own).contains("journal of 3 lines: no line was changed or removed"));
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
