//! Inputs of a size that nobody would write: each is worked, or refused for a limit that it names.

use super::run;
use super::site::{hall, put};
use std::fmt::Write;

/// Refuses a sheet for the words given.
fn sheet_refused(name: &str, sheet: &str, words: &str) {
    let folder = hall(name);
    put(&folder, "a.sheet", sheet);
    run(&folder, &["proof", "a.sheet"], b"").refused(words);
}

fn formula(formula: &str) -> String {
    format!("title A\nfind a \"B\"\n  = {formula}\n")
}

#[test]
fn a_million_operators_are_refused_for_their_number() {
    sheet_refused("operators", &formula(&format!("1{}", " + 1".repeat(1_000_000))), "more than 400 pieces");
    sheet_refused("signs", &formula(&format!("{}1", "- ".repeat(1_000_000))), "more than 8 signs in a row");
}

#[test]
fn deep_brackets_and_deep_lines_are_refused_for_their_depth() {
    let brackets = format!("{}1{}", "(".repeat(100_000), ")".repeat(100_000));
    sheet_refused("brackets", &formula(&brackets), "more than 64 brackets");
    let mut deep = "title A\nfind a \"B\"\n".to_owned();
    (1..3000).for_each(|n| writeln!(deep, "{:n$}note \"deeper\"", "").expect("a text"));
    sheet_refused("levels", &deep, "more than 16 lines indented under one another");
}

#[test]
fn a_job_nested_without_end_is_refused() {
    let folder = hall("nested");
    for deep in ["[".repeat(200_000), "{a=".repeat(100_000), "a.".repeat(200_000)] {
        put(&folder, "deep.toml", &format!("title = {deep}"));
        assert_eq!(run(&folder, &["check", "deep.toml"], b"").code, Some(2));
        put(&folder, "deep.toml", &format!("{deep}a = 1"));
        assert_eq!(run(&folder, &["check", "deep.toml"], b"").code, Some(2));
    }
}

#[test]
fn a_file_of_more_than_64_mib_is_refused_for_its_size() {
    let folder = hall("large");
    let long = format!("title A\ncaution {}\n", "y".repeat(100_000_000));
    put(&folder, "a.sheet", &long);
    run(&folder, &["proof", "a.sheet"], b"").refused("more than 64 MiB");
    put(&folder, "hall.toml", &long);
    run(&folder, &["check", "hall.toml"], b"").refused("more than 64 MiB");
}

#[test]
fn a_line_of_100_mb_at_the_prompt_is_refused_and_the_next_is_answered() {
    let folder = hall("typed");
    let mut typed = vec![b'9'; 100_000_000];
    typed.extend(b"\nload = 3 mA measured\n");
    let ended = run(&folder, &["hall.toml", "--carry-on"], &typed);
    assert!(ended.err.contains("a line longer than 64 KiB"), "{}", ended.err);
    assert!(ended.out.contains("pack.load"), "{}", ended.out);
}

#[test]
fn a_hundred_thousand_faults_are_told_up_to_a_limit() {
    let mut sheet = "title A\n".to_owned();
    (0..100_000).for_each(|n| writeln!(sheet, "foo{n} bar").expect("a text"));
    sheet_refused("faults", &sheet, "no more than 1000 faults of a file are told");
    let mut sheet = "title A\n".to_owned();
    (0..5000).for_each(|n| writeln!(sheet, "find a{n} A \"X\"\n  = b{n}").expect("a text"));
    sheet_refused("names", &sheet, "no more than 1000 faults of a file are told");
    sheet_refused("twice", &format!("title A\n{}", "given a ? mA \"X\"\n".repeat(20_000)), "a second 'a'");
}

#[test]
fn a_knot_of_many_loops_is_told_once_and_not_at_length() {
    let mut sheet = "title A\n".to_owned();
    let count = 5000;
    for n in 0..count {
        writeln!(sheet, "find a{n} \"X\"\n  = a{} + a0 + a{}", (n + 1) % count, n / 2).expect("a text");
    }
    let folder = hall("knot");
    put(&folder, "a.sheet", &sheet);
    let ended = run(&folder, &["proof", "a.sheet"], b"");
    ended.refused("these lines go round in a loop");
    assert!(ended.err.len() + ended.out.len() < 20_000, "{} bytes", ended.all().len());
}

#[test]
fn long_words_cost_no_time() {
    let (one, other) = ("x".repeat(200_000), "y".repeat(200_000));
    sheet_refused(
        "words",
        &format!("title A\ngiven {one} ? mA \"X\"\nfind b A \"B\"\n  = {other}\n"),
        "no line",
    );
    sheet_refused(
        "units",
        &format!("title A\ngiven a ? {} \"X\"\n", "mA*".repeat(1_000_000)),
        "longer than 64 bytes",
    );
    let many: String = (0..200_000).map(|n| format!("{n} A, ")).collect();
    sheet_refused("choices", &format!("title A\ngiven a ? A \"X\"\n  one of {many}0 W\n"), "current");
}

/// Slips of TOML without number, in a job and in a table.
#[test]
fn a_file_that_is_no_toml_at_all_is_refused_in_time() {
    let folder = hall("no-toml");
    let slips: String = (0..30_000).map(|n| format!("a{n} = = {n} ]\n")).collect();
    let strange: String = (0..30_000).map(|n| format!("a{n} = {n}\n")).collect();
    put(&folder, "pack.sheet", &format!("{}table t \"t\"\n", super::site::SHEET));
    for text in [&slips, &strange, &format!("{strange}{slips}")] {
        put(&folder, "job.toml", text);
        assert_eq!(run(&folder, &["check", "job.toml"], b"").code, Some(2));
        put(&folder, "t.toml", text);
        assert_eq!(run(&folder, &["check", "hall.toml"], b"").code, Some(2));
    }
}

/// A number that is not finite is never shown, whatever it comes from.
#[test]
fn huge_tiny_and_endless_numbers_are_refused_or_unworkable() {
    for (number, words) in [
        ("1e999999999999", "too large"),
        ("1e309", "too large"),
        ("1 A^99999999 / 1 A", "not a power of a unit"),
        ("inf", "no line 'inf'"),
        ("nan", "no line 'nan'"),
        ("0x10", "a digit in a unit"),
    ] {
        let folder = hall("numbers");
        put(&folder, "a.sheet", &formula(number));
        run(&folder, &["proof", "a.sheet"], b"").refused(words);
    }
    let folder = hall("finite");
    for (typed, words) in [
        ("1e308 * 1e308", "too large"),
        ("10^1e300", "too large"),
        ("exp(1e6)", "too large"),
        ("5e-324 / 2", "0"),
        ("1 / 5e-324", "too large"),
        ("0 / 0", "zero"),
        ("1e308 + 1e308 - 1e308", "too large"),
        ("(-8)^0.5", "no value"),
        ("sqrt(-1e-320)", "negative"),
        ("ln(0)", "logarithm of zero"),
        ("1e-320 * 1", "e-320"),
    ] {
        let ended = run(&folder, &["hall.toml", "--carry-on"], format!("{typed}\n").as_bytes());
        let all = ended.all();
        assert!(all.contains(words), "{typed}: {all}");
        assert!(!all.contains("inf") && !all.contains("NaN"), "{typed}: {all}");
    }
}

#[test]
fn a_table_of_a_million_rows_is_read_and_looked_up() {
    // Built without optimising, a tenth of it takes as long.
    let count = if cfg!(debug_assertions) { 100_000 } else { 1_000_000 };
    let folder = hall("table");
    let mut table = "title = \"T\"\nrevision = 1\n[source.x]\ndocument = \"Made for a test\"\n\
                     [columns.key]\nunit = \"A\"\nsource = \"x\"\n[columns.value]\nunit = \"V\"\nsource = \"x\"\n"
        .to_owned();
    (0..count).for_each(|n| write!(table, "[[row]]\nkey={n}\nvalue={n}\n").expect("a text"));
    assert!(table.len() < 64 << 20, "it is within the limit on size");
    put(&folder, "big.toml", &table);
    put(
        &folder,
        "a.sheet",
        "title A\ntable t \"big\"\nfind b V \"B\"\n  = lookup(t.key, 54321 A, t.value)\n\
         example \"One\"\n  by hand\n  expect b = 54321 V\n",
    );
    let ended = run(&folder, &["proof", "a.sheet"], b"");
    assert_eq!(ended.code, Some(0), "{}", ended.all());
}

#[test]
fn a_schedule_of_a_hundred_thousand_rows_is_worked() {
    let folder = hall("rows");
    put(
        &folder,
        "a.sheet",
        "title A\nschedule s \"S\"\n  given n ? text \"N\"\n  given v ? mA \"V\"\n  find sofar A \"F\"\n    \
         = running(v)\nfind all_of_it A \"B\"\n  = sum(s.v)\nmust some \"Some\"\n  that all_of_it > 0 A\n  by practice\n",
    );
    let mut rows = "n,v mA\n".to_owned();
    (0..100_000).for_each(|n| writeln!(rows, "Lamp {n},1").expect("a text"));
    put(&folder, "rows.csv", &rows);
    let job =
        "title = \"T\"\nbasis = \"uk\"\non = 2026-11-25\n[[sheet]]\nuse = \"a\"\nschedule.s = \"rows.csv\"\n";
    put(&folder, "big.toml", job);
    let ended = run(&folder, &["check", "big.toml"], b"");
    assert_eq!(ended.code, Some(0), "{}", ended.all());
    put(&folder, "rows.csv", &rows.replace(",1\n", ",1 W\n"));
    run(&folder, &["check", "big.toml"], b"").refused("no more than 1000 faults of a file are told");
}
