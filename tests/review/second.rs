//! A second reading of a record under review: what moves a verdict without a value, and what only looks the same.

use super::*;

#[test]
fn rows_moved_outside_the_notebook_are_a_change_and_a_cause() {
    let folder = printed("order");
    let job = folder.join(JOB);
    let text = std::fs::read_to_string(&job).expect("the job");
    let last = text.lines().find(|line| line.contains("\"Sounder 14\"")).expect("the last row").to_owned();
    let first = text.lines().find(|line| line.contains("\"Sounder 1\"")).expect("the first row").to_owned();
    let moved = text.replacen(&format!("{last}\n"), "", 1);
    std::fs::write(&job, moved.replacen(&first, &format!("{}\n{first}", last.trim_end()), 1))
        .expect("written");
    let audit = said(&folder, &["audit", JOB, "--brief"], "");
    tells(
        &audit,
        &["since line 5: order of sounders.devices changed; sounders.devices.enough from pass to fail"],
    );
    assert!(!audit.contains("comments or layout alone"), "{audit}");
    let told = said(&folder, &["compare", "hall.toml@line5", JOB], "");
    tells(
        &told,
        &[
            "order of sounders.devices changed",
            "PASS \u{2192} FAIL changed by the order of sounders.devices alone",
        ],
    );
}

#[test]
fn a_csv_file_edited_since_is_named_where_its_rows_of_then_are_not_kept() {
    let folder = printed("csv-then");
    let rows = "equipment-more-sounders.csv";
    edit(&folder.join(rows), "Call point,8", "Call point,9");
    let not_kept = format!("{rows} reads differently; what it was is not kept, so which figure changed");
    let (audit, code) = run(&folder, 80, &["audit", JOB, "--brief"], "");
    tells(&audit, &[&not_kept]);
    assert_eq!(code, Some(1), "it passes, with another file than it was worked with");
    let told = said(&folder, &["compare", "hall.toml@line5", JOB], "");
    tells(&told, &[&format!("{rows} does not read as it did then"), "cannot be told", "files that differ"]);
    assert!(!told.contains("nothing differs"), "{told}");
}

#[test]
fn a_name_that_no_sheet_takes_and_the_lines_of_a_table_of_ones_own_are_looked_at_first() {
    let folder = printed("own");
    let own = "title Own\nrevision 1\nextends uk\nsource house \"House rule\"\ntake drop_limt 3 % \"Drop\"\n  by house \
               \"1\"\n";
    std::fs::write(folder.join("own.basis"), own).expect("the basis");
    edit(&folder.join(JOB), "basis = \"uk\"", "basis = \"own\"");
    for (file, old, new) in [
        ("tables/conductors_iec60228.toml", "revision = ", "revision = 1"),
        ("basis/uk.basis", "\nrevision ", "\nrevision 1"),
    ] {
        let text = sheet(file);
        assert!(text.contains(old), "{text}");
        let name = file.rsplit('/').next().expect("a name");
        std::fs::write(folder.join(name), text.replacen(old, new, 1)).expect("written");
    }
    let (audit, _) = run(&folder, 80, &["audit", JOB, "--brief"], "");
    let first = audit.split("the record").next().expect("a first part");
    tells(
        first,
        &[
            "'drop_limt' is in no basis below, and no sheet here takes it; did you mean 'drop_limit'?",
            "conductors_iec60228.toml stands in for the built-in one: 'revision = ",
            "uk.basis stands in for the built-in one: 'revision ",
        ],
    );
    said(&folder, &["report", JOB, "-o", "own.md"], "");
    let page = std::fs::read_to_string(folder.join("own.md")).expect("the page").replace('\\', "");
    tells(&page, &["did you mean 'drop_limit'?"]);
}

#[test]
fn a_line_that_a_sheet_has_not_is_told_with_the_revision_of_then() {
    let folder = printed("revision");
    let own = sheet("breaker.sheet");
    let now = revision(&own);
    let raised = own.replacen(&format!("revision {now}"), &format!("revision {}", now + 1), 1);
    edit(&folder.join(JOB), "given.loop = ", "given.stands = true\ngiven.loop = ");
    tells(
        &said(&folder, &["audit", JOB], ""),
        &["'feed' has no given 'stands'", "cure: 'wattle sheets breaker' shows the sheet's lines"],
    );
    std::fs::write(folder.join("breaker.sheet"), raised).expect("the sheet");
    let then = format!(
        "the job was last worked with breaker.sheet revision {now}; this is revision {}: lines may have other names",
        now + 1
    );
    for command in [&["audit", JOB][..], &["check", JOB], &[JOB]] {
        tells(&said(&folder, command, ""), &[&then]);
    }
}

#[test]
fn a_value_edited_outside_says_whose_name_still_stands_beside_it_and_the_log_tells_it() {
    let folder = printed("carried");
    edit(&folder.join(JOB), "given.loop = { value = \"0.62 ohm\"", "given.loop = { value = \"0.52 ohm\"");
    let still = "feed.loop still carries R. Field, 2026-11-25 09:25, as the value before it did";
    tells(&said(&folder, &["audit", JOB, "--brief"], ""), &[still]);
    let log = said(&folder, &["--who", "A. Reader", JOB], "log\n");
    let found = "A. Reader found that the job file was edited outside the notebook: feed.loop 0.62 ohm \u{2192} 0.52 ohm";
    tells(&log, &[found]);
    tells(&said(&folder, &["audit", JOB, "--brief"], ""), &[still]);
}

#[test]
fn many_files_that_differ_take_one_point() {
    let folder = printed("many-files");
    for name in ["breaker", "battery", "standby_load", "alarm_load"] {
        let file = format!("{name}.sheet");
        std::fs::write(folder.join(&file), sheet(&file).replacen('\n', "\n\n", 1)).expect("the sheet");
    }
    let audit = said(&folder, &["audit", JOB, "--brief", "--record", "record.html"], "");
    let four = "4 files differ from those of then: alarm_load.sheet, battery.sheet, breaker.sheet, standby_load.sheet";
    tells(&audit, &[&format!("since the earlier record, {four}")]);
    let first = words(audit.split("the record\n").next().expect("a first part"));
    assert!(!first.contains("battery.sheet is not the file"), "told once: {first}");
    said(&folder, &[JOB], "");
    tells(
        &said(&folder, &["audit", JOB, "--brief"], ""),
        &["4 files were changed between two lines of the journal"],
    );
}

#[test]
fn a_name_that_only_looks_like_anothers_is_told() {
    let folder = printed("alike");
    said(&folder, &["--who", "R. Fi\u{435}ld", JOB], "agree feed.let_through \"curve B\"\n");
    let audit = said(&folder, &["audit", JOB, "--brief"], "");
    let other = "'R. Fi\u{435}ld' is another name than R. Field: '\u{435}' (U+0435) only looks like 'e'; it stands with \
                 feed.let_through, line 6 of the journal";
    tells(&audit, &[other]);
}
