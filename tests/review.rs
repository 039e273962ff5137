//! A record under review: what a reviewer must be told of a job that was changed since, on the first screen.
//!
//! The job is made here, by the program: an assumption that nobody confirmed, a reading edited outside the notebook, a
//! sheet of another revision beside it, and a page printed before.
#![allow(clippy::disallowed_methods, reason = "a test writes files of its own")]

#[path = "review/second.rs"]
mod second;
mod site;

use std::path::{Path, PathBuf};

use wattle::job::journal::{Act, Journal};

const JOB: &str = "hall.toml";

/// Runs the program in a folder at 16:00 on the job's day; returns what it said, on both outputs, and its code.
fn run(folder: &Path, width: usize, arguments: &[&str], typed: &str) -> (String, Option<i32>) {
    let mut program = site::wattle(folder);
    program.args(arguments).env("WATTLE_CLOCK", "2026-11-25T16:00").env("COLUMNS", width.to_string());
    let ended = site::start(&mut program, typed.as_bytes()).ended();
    (ended.all(), ended.code)
}

fn said(folder: &Path, arguments: &[&str], typed: &str) -> String {
    run(folder, 80, arguments, typed).0
}

/// The words of a text, however its lines are broken.
fn words(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[track_caller]
fn tells(text: &str, wanted: &[&str]) {
    let text = words(text);
    for wanted in wanted {
        assert!(text.contains(wanted), "no '{wanted}' in\n{text}");
    }
}

fn edit(file: &Path, old: &str, new: &str) {
    let text = std::fs::read_to_string(file).expect("the file");
    assert!(text.contains(old), "{} has no {old}", file.display());
    std::fs::write(file, text.replacen(old, new, 1)).expect("written");
}

fn sheet(name: &str) -> String {
    site::text(site::root().join("sheets").join(name))
}

/// The revision that a sheet gives itself.
fn revision(sheet: &str) -> u32 {
    let line = sheet.lines().find_map(|line| line.strip_prefix("revision ")).expect("a revision");
    line.trim().parse().expect("a number")
}

/// A job worked in the notebook and printed; nothing is wrong with it yet but its assumption.
fn printed(name: &str) -> PathBuf {
    let folder = site::empty(name);
    let demo = site::root().join("examples/saltmarsh");
    std::fs::copy(demo.join("fp1-far-sounder.toml"), folder.join(JOB)).expect("the job");
    let rows = "equipment-more-sounders.csv";
    std::fs::copy(demo.join(rows), folder.join(rows)).expect("its rows");
    let typed = "battery.coldest = 14 degC drawing\nsounders.lowest_output = 21.5 V datasheet\n";
    said(&folder, &[JOB], typed);
    said(&folder, &["--who", "A. Reader", JOB], "query feed.let_through \"which curve?\"\n");
    said(&folder, &["report", JOB, "-o", "record.html"], "");
    folder
}

/// The same with a reading edited outside, and a sheet of another revision in the job's folder.
fn planted(name: &str) -> PathBuf {
    let folder = printed(name);
    edit(&folder.join(JOB), "given.loop = { value = \"0.62 ohm\"", "given.loop = { value = \"0.52 ohm\"");
    let own = sheet("sounder_circuit.sheet");
    let now = revision(&own);
    let raised = own.replacen(&format!("revision {now}"), &format!("revision {}", now + 1), 1);
    let raised = raised.replacen("end_cell 1.75 V", "end_cell 1.80 V", 1);
    assert_ne!(own, raised);
    std::fs::write(folder.join("sounder_circuit.sheet"), raised).expect("the sheet");
    folder
}

#[test]
fn the_first_screen_of_an_audit_tells_what_was_planted() {
    let folder = planted("screen");
    let was = revision(&sheet("sounder_circuit.sheet"));
    for (width, lines) in [(80, 24), (45, 40)] {
        let (audit, code) = run(&folder, width, &["audit", JOB, "--record", "record.html"], "");
        let screen = audit.lines().take(lines).collect::<Vec<_>>().join("\n");
        tells(
            &screen,
            &[
                "PASS (26 of 26 limits), on 1 assumption",
                "edited outside the notebook since line 5: feed.loop 0.62 ohm \u{2192} 0.52 ohm",
                "feed.conductors_survive needs 81.1 % of what is there, before 68 %",
                &format!("sounder_circuit.sheet is revision {}, it was revision {was}", was + 1),
                "sounder_circuit.sheet stands in for the built-in one",
                "\u{2192} 'take end_cell 1.80 V \"End voltage of a cell\"'",
                "of its 14 examples do not come out",
                "hall.toml is not the file that record.html was made from",
                "line 3, 2026-11-25 16:00, R. Field: sounders.lowest_output 21 V \u{2192} 21.5 V, turned \
                 sounders.devices.enough from fail to pass",
                "sounders.devices.\"Sounder 14\".length 60 m, assumed: sounders.devices.enough fails above 507.8 m; \
                 447.8 m more",
            ],
        );
        assert_eq!(code, Some(1), "it passes, and the record is in doubt");
        let brief = run(&folder, width, &["audit", JOB, "--brief"], "").0;
        assert!(brief.lines().all(|line| line.chars().count() <= width), "{brief}");
        assert!(brief.lines().count() < audit.lines().count() / 5, "{brief}");
    }
}

#[test]
fn what_was_planted_is_told_still_once_somebody_has_opened_the_job() {
    let folder = planted("opened");
    let was = revision(&sheet("sounder_circuit.sheet"));
    said(&folder, &["--who", "A. Reader", JOB], "");
    let between =
        format!("sounder_circuit.sheet went from revision {was} to {} between line 5 and line 7", was + 1);
    let outside = "edited outside the notebook before line 6, found by A. Reader 2026-11-25 16:00: feed.loop 0.62 ohm \
                   \u{2192} 0.52 ohm";
    for more in [&["--brief"][..], &["--brief", "--record", "record.html"]] {
        let (audit, code) = run(&folder, 80, &[&["audit", JOB], more].concat(), "");
        tells(&audit, &[&between, outside]);
        assert_eq!(code, Some(1));
    }
    let since = format!("since the earlier record, sounder_circuit.sheet is revision {}", was + 1);
    tells(&said(&folder, &["audit", JOB, "--brief", "--record", "record.html"], ""), &[&since]);
    tells(
        &said(&folder, &[JOB], "log\n"),
        &["A. Reader found that the job file was edited outside the notebook"],
    );
}

#[test]
fn a_csv_file_and_a_sheet_that_keeps_its_revision_are_told_when_they_change() {
    let folder = printed("files");
    edit(&folder.join("equipment-more-sounders.csv"), "Call point,8", "Call point,9");
    let weak = sheet("breaker.sheet").replacen("\nmust ", "\nshould ", 1);
    std::fs::write(folder.join("breaker.sheet"), weak).expect("the sheet");
    said(&folder, &[JOB], "");
    let audit = said(&folder, &["audit", JOB, "--brief"], "");
    let kept = format!("breaker.sheet was changed, and is still called revision {}, between line", {
        revision(&sheet("breaker.sheet"))
    });
    tells(&audit, &["equipment-more-sounders.csv was changed between line 5 and line 6", &kept]);
}

#[test]
fn a_journal_that_lost_its_first_line_or_is_not_there_says_what_cannot_be_told() {
    let folder = planted("first");
    let journal = folder.join("hall.journal");
    let text = std::fs::read_to_string(&journal).expect("the journal");
    std::fs::write(&journal, &text[text.find('\n').expect("a line") + 1..]).expect("written");
    let (audit, code) = run(&folder, 80, &["audit", JOB, "--brief"], "");
    tells(
        &audit,
        &[
            "line 1 of the journal does not follow the line before",
            "the journal does not say which sheets, tables and CSV files the job was worked with",
        ],
    );
    assert_eq!(code, Some(1));
    std::fs::remove_file(&journal).expect("taken away");
    tells(&said(&folder, &["audit", JOB, "--brief"], ""), &["nor whether a sheet or CSV file was changed"]);
    let (audit, code) = run(&folder, 80, &["audit", JOB, "--brief", "--record", "record.html"], "");
    tells(&audit, &["the head of the earlier record is not in this journal"]);
    assert_eq!(code, Some(1));
}

/// A line that is chained as it must be, but says something else than it did.
fn forge(folder: &Path, line: &str, time: &str, (old, new): (&str, &str)) {
    let act = |line: &str| Act {
        time: time.to_owned(),
        who: Some("A. Reader".to_owned()),
        line: line.to_owned(),
        ..Act::default()
    };
    let mut opened = Journal::open(&folder.join(JOB), &act("opened")).expect("the journal");
    let text = opened.journal.text().to_owned();
    assert!(text.contains(old), "the job has no {old}");
    let values = (Some("0.62 ohm \u{b1} 10 % + 0.03 ohm".to_owned()), Some("0.6 ohm".to_owned()));
    let act = Act { old: values.0, new: values.1, ..act(line) };
    opened.journal.keep(&act, &text.replacen(old, new, 1)).expect("kept");
}

#[test]
fn a_forged_line_of_a_whole_chain_is_told_by_what_it_did() {
    let change = ("value = \"0.62 ohm\"", "value = \"0.52 ohm\"");
    let folder = printed("forged");
    forge(&folder, "query battery.strings", "2027-01-24T09:00", change);
    let (audit, code) = run(&folder, 80, &["audit", JOB, "--brief", "--record", "record.html"], "");
    tells(
        &audit,
        &[
            "line 7 of the journal says 'query battery.strings', and changed feed.loop 0.62 ohm \u{2192} 0.52 ohm",
            "line 7 of the journal is of 2027-01-24 09:00, which is still to come",
            "added since, line 7, 2027-01-24 09:00, A. Reader: query battery.strings",
        ],
    );
    assert_eq!(code, Some(1));

    let folder = printed("forged-value");
    forge(&folder, "feed.loop", "2026-11-25T16:00", change);
    let wrong = "line 7 of the journal says feed.loop went from 0.62 ohm \u{b1} 10 % + 0.03 ohm to 0.6 ohm, and it went \
                 from 0.62 ohm \u{b1} 10 % + 0.03 ohm to 0.52 ohm \u{b1} 10 % + 0.03 ohm";
    tells(&said(&folder, &["audit", JOB, "--brief"], ""), &[wrong]);
}

#[test]
fn a_journal_that_says_what_it_did_is_not_called_false() {
    let folder = printed("true");
    let typed = "sounders.devices.2.length = 31 m drawing\nstandby.equipment.2.number = 49 datasheet\n\
                 drop sounders.devices.1\nadd sounders.devices device = \"Sounder, old\", length = 9 m, load = 36 mA, \
                 lowest = 18 V\nundo\nredo\nbattery.ageing = 1.3 by \"our own rule\"\nbattery.ageing = ?\n\
                 sounders.devices.3.device = Sounder three\nundo\nfeed.loop = 0.6 ohm measured with \"loop tester\"\n\
                 agree feed\nagree battery.fitted \"seen\"\nquery battery.fitted \"sure?\"\nconfirm feed.mains_volts\n";
    said(&folder, &["--carry-on", "--who", "A. Reader", JOB], typed);
    let (audit, code) = run(&folder, 80, &["audit", JOB, "--brief"], "");
    tells(&audit, &["no line was changed or removed"]);
    assert_eq!(code, Some(0), "{audit}");
}

/// Every kind of line that the prompt writes beside a plain value.
#[test]
fn what_the_prompt_wrote_itself_is_never_called_false() {
    let folder = printed("own-lines");
    let typed = "feed.rating = ?\ninstrument clamp tolerance \"3 % + 5 mA\"\nfeed.fault_current = ?\n\
                 battery.strings = 1\nstandby.measured_here = n\ntitle = \"Another hall\"\n\
                 prepared_by = \"S. Brook\"\nbattery.fitted = 12\nhow battery nameplate\nfeed.loop = ?\n\
                 feed.breaking = feed.loop * 1 kA / 1 ohm\nhow standby.equipment datasheet\n\
                 add sheet volt_drop as way\nway.size = feed.size\nundo\nredo\n\
                 add standby.equipment item = \"Relay\", number = 2, quiescent = 1 mA\n\
                 standby.equipment.Relay.number = 3\ndrop standby.equipment.Relay\nconfirm way.kind\n\
                 hold = 30 h by \"Fire strategy, 4.2\"\nhold = ?\nagree battery.fitted\nquery battery.fitted \"sure?\"\n";
    said(&folder, &["--who", "R. Field", "--carry-on", JOB], typed);
    let audit = words(&said(&folder, &["audit", JOB, "--brief"], ""));
    assert!(audit.contains("no line was changed or removed"), "{audit}");
    assert!(!audit.contains("of the journal says"), "{audit}");
    let log = said(&folder, &["--who", "R. Field", JOB], "log 40\n");
    let made =
        ["instrument clamp", "how battery nameplate", "add sheet way", "redo of", "drop", "agree", "title"];
    tells(&log, &made);
}

#[test]
fn compare_tells_what_is_not_a_value_and_the_lines_of_a_journal_are_moments() {
    let folder = planted("compare");
    let job = folder.join(JOB);
    std::fs::copy(&job, folder.join("old.toml")).expect("a copy");
    let assumed = "how = \"assumed\", note = \"the run to the stage was not paced out\"";
    edit(&job, assumed, "how = \"drawing\"");
    edit(&job, "serial 0417", "serial 0471");
    edit(&job, "calibrated_until = 2027-06-30", "calibrated_until = 2028-06-30");
    edit(&job, "prepared_by = \"R. Field\"", "prepared_by = \"S. Brook\"");
    edit(&job, "at = 2026-11-25T09:20:00", "at = 2026-11-24T09:20:00");
    edit(&job, "which curve?", "which?");
    let text = std::fs::read_to_string(folder.join("old.toml")).expect("the job");
    let told = said(&folder, &["compare", "old.toml", JOB], "");
    tells(
        &told,
        &[
            "sounders.devices.\"Sounder 14\".length 60 m, assumed, the run to the stage was not paced out \u{2192} 60 m, \
             drawing",
            "instrument clamp d.c. clamp meter, serial 0417",
            "calibrated until 30 Jun 2028",
            "prepared_by R. Field \u{2192} S. Brook",
            "feed.fault_current 1.1 kA, R. Field, 2026-11-25 09:20 \u{2192} 1.1 kA, R. Field, 2026-11-24 09:20",
            "mark of A. Reader on feed.let_through asked \"which curve?\"",
        ],
    );
    assert!(!told.contains("nothing differs"), "{told}");
    std::fs::write(&job, text.replacen('#', "# A", 1)).expect("a comment changed");
    tells(&said(&folder, &["compare", "old.toml", JOB], ""), &["differ in comments or layout alone"]);
    let told = said(&folder, &["compare", "hall.toml@line2", "hall.toml@line3"], "");
    tells(&told, &["FAIL \u{2192} PASS", "changed by sounders.lowest_output alone"]);
    tells(
        &said(&folder, &["compare", "hall.toml@line99", JOB], ""),
        &["the journal has no line 99", "it has 5 lines"],
    );
}

#[test]
fn what_takes_no_moment_says_so_and_an_instrument_left_out_is_told() {
    let folder = printed("moment");
    for command in
        [&["check", "hall.toml@line2"][..], &["audit", "hall.toml@2026-11-25"], &["hall.toml@line2"]]
    {
        tells(&said(&folder, command, ""), &["only compare takes a moment", "name hall.toml itself"]);
    }
    let told = said(&folder, &[JOB], "try feed.loop = 0.62 ohm\n");
    tells(&told, &["no instrument is said; before it was loop tester"]);
}

#[test]
fn files_of_another_revision_are_told_by_compare() {
    let (old, new) = (printed("compare-old"), planted("compare-new"));
    let (old, new) = (old.join(JOB).display().to_string(), new.join(JOB).display().to_string());
    let was = revision(&sheet("sounder_circuit.sheet"));
    let told = said(Path::new("."), &["compare", &old, &new], "");
    tells(
        &told,
        &[&format!("sounder_circuit.sheet revision {was}, SHA-256"), &format!("revision {},", was + 1)],
    );
}

#[test]
fn marks_are_made_in_a_name_that_is_said_and_one_persons_never_replace_anothers() {
    let folder = printed("marks");
    let (told, code) = run(&folder, 80, &[JOB], "agree feed.let_through\n");
    tells(&told, &["who marks is not said: R. Field only prepared the job", "--who"]);
    assert_eq!(code, Some(2));
    said(&folder, &["--who", "R. Field", JOB], "agree feed.let_through \"curve B, page 4\"\n");
    let audit = said(&folder, &["audit", JOB, "--brief"], "");
    tells(&audit, &["A. Reader asks of feed.let_through: which curve?; R. Field answers: curve B, page 4"]);
    let told = said(&folder, &["--who", "A. Reader", JOB], "agree sounders\nagree sounders\nlog\n");
    tells(&told, &["lines and limits of sounders are agreed", "every line of 'sounders' is marked already"]);
    let audit = said(&folder, &["audit", JOB, "--brief"], "");
    let unmarked = audit.lines().find(|line| line.contains("not marked yet")).expect("some are not");
    assert!(unmarked.contains("battery") && !words(&audit).contains("sounders 38"), "{audit}");
}

#[test]
fn undo_takes_back_another_persons_change_only_when_told_to() {
    let folder = printed("undo");
    let told = said(&folder, &["--carry-on", "--who", "S. Brook", JOB], "undo\nundo anyway\n");
    tells(
        &told,
        &[
            "the last change is not yours: query feed.let_through, by A. Reader, 2026-11-25 16:00",
            "'undo anyway' takes it back all the same",
            "undo: query feed.let_through, by A. Reader, 2026-11-25 16:00",
        ],
    );
}

#[test]
fn a_record_of_another_state_of_the_job_is_not_written_over_by_chance() {
    let folder = planted("over");
    let before = std::fs::read_to_string(folder.join("record.html")).expect("the record");
    let (told, code) = run(&folder, 80, &["report", JOB, "-o", "record.html"], "");
    tells(&told, &["record.html is the record of another state of the job, so it stays as it is", "--over"]);
    assert_eq!(code, Some(2));
    said(&folder, &["--carry-on", JOB], "report record.html\n");
    assert_eq!(std::fs::read_to_string(folder.join("record.html")).expect("the record"), before);
    assert_eq!(run(&folder, 80, &["report", JOB, "-o", "new.html"], "").1, Some(0));
    assert_eq!(
        run(&folder, 80, &["report", JOB, "-o", "new.html"], "").1,
        Some(0),
        "the very same once more"
    );
    assert_eq!(run(&folder, 80, &["report", JOB, "-o", "record.html", "--over"], "").1, Some(0));
    assert_ne!(std::fs::read_to_string(folder.join("record.html")).expect("the record"), before);
}

#[test]
fn a_page_is_held_against_its_job_file_by_file() {
    let folder = printed("page");
    for file in ["record.html", "record.md", "record.json"] {
        said(&folder, &["report", JOB, "-o", file], "");
        let (audit, code) = run(&folder, 80, &["audit", JOB, "--brief", "--record", file], "");
        tells(
            &audit,
            &[
                "the head of the earlier record is the last line: nothing was added since",
                "15 of 15 files are those that it was made from",
                "the record's own words are not checked: print it again from the job to compare",
                "hall.toml, as line 5 of the journal left it",
            ],
        );
        assert_eq!(code, Some(0), "{audit}");
    }
    said(&folder, &["report", JOB, "-o", "record.csv"], "");
    tells(
        &said(&folder, &["audit", JOB, "--record", "record.csv"], ""),
        &["record.csv holds no hash to compare"],
    );
    tells(&said(&folder, &["audit", JOB, "--head", ""], ""), &["--head '' is not a head of a journal"]);
    let page = std::fs::read_to_string(folder.join("record.html")).expect("the page");
    assert!(page.replace("<wbr>", "").contains("wattle audit hall.toml --record THIS-FILE"));
}

#[test]
fn a_new_page_of_the_edited_job_says_so_under_its_verdict() {
    let folder = planted("clean");
    said(&folder, &["report", JOB, "-o", "new.html"], "");
    let page = std::fs::read_to_string(folder.join("new.html")).expect("the page").replace("<wbr>", "");
    let from = page.find("aria-label=\"Verdict\"").expect("the verdict");
    let verdict = &page[from..from + page[from..].find("</header>").expect("its end")];
    for words in [
        "edited outside the notebook since line 5",
        "sounder_circuit.sheet is revision",
        "A. Reader asks of feed.let_through: which curve?",
        "not said how: sounders.devices.",
    ] {
        assert!(verdict.contains(words), "no '{words}' in {verdict}");
    }
    assert!(!page.contains("Nothing is left to do"));
    assert!(page.contains("no reading was taken with: clamp"), "an instrument that was not used");
}

#[test]
fn many_assumptions_take_one_point_and_do_not_push_the_rest_off_the_screen() {
    let folder = printed("many");
    let job = folder.join(JOB);
    let text = std::fs::read_to_string(&job).expect("the job").replace(", how = \"nameplate\"", "");
    std::fs::write(&job, text.replace(", how = \"stated\"", "")).expect("written");
    let audit = said(&folder, &["audit", JOB, "--brief"], "");
    tells(
        &audit,
        &["more assumptions that a limit turns on, further away: ", "A. Reader asks of feed.let_through"],
    );
    let points = audit.lines().filter(|line| line.starts_with("  - ")).count();
    assert!(points < 22, "{audit}");
}

#[test]
fn a_row_that_is_known_otherwise_and_the_nearest_are_shown_of_many() {
    let folder = printed("rows");
    let audit = said(&folder, &["audit", JOB, "--sheet", "sounders"], "");
    tells(
        &audit,
        &[
            "Sounder 14: 60 m, assumed, the run to the stage was not paced out",
            "Sounder 14: 18.47 V - 18 V = 0.4682 V",
            "the job's file says beside it: the panel's lowest output",
        ],
    );
    assert!(!audit.contains("standby."), "one sheet alone");
    let (told, code) = run(&folder, 80, &["audit", JOB, "--sheet", "sounder"], "");
    tells(&told, &["the job has no sheet 'sounder': did you mean 'sounders'?"]);
    assert_eq!(code, Some(2));
}
