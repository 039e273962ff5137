//! Many jobs checked in one run: in their order, each by its own files, none stopped by another.

mod site;

use std::path::{Path, PathBuf};

use wattle::notebook::{Options, Verdict, check, estate};

use site::{empty, options, put};

fn job(title: &str, sheet: &str) -> String {
    format!(
        "title = \"{title}\"\non = 2026-11-25\nbasis = \"uk\"\n[[sheet]]\nuse = \"{sheet}\"\n\
         given.load = {{ value = \"3 A\", how = \"nameplate\" }}\n"
    )
}

/// A sheet with one limit, which a load of 3 A keeps or not.
fn sheet(most: &str) -> String {
    format!(
        "title Own\ngiven load ? A \"Load\"\n  within 0 A .. 9 A\nmust small \"Small\"\n  that load <= {most}\n  by practice\n"
    )
}

fn verdict(path: &Path) -> Verdict {
    check(path, &options()).expect("the job loads").verdict
}

#[test]
fn jobs_are_told_in_their_order_each_by_the_sheet_beside_it() {
    let folder = empty("order");
    let mut expected = Vec::new();
    let jobs: Vec<PathBuf> = (0..60)
        .map(|n| {
            let site = n / 5;
            let (most, verdict) = if site % 3 == 0 { ("2 A", Verdict::Fail) } else { ("4 A", Verdict::Pass) };
            put(&folder, &format!("site-{site}/own.sheet"), &sheet(most));
            let missing = n % 7 == 3;
            expected.push((format!("fp-{n}"), Some(verdict).filter(|_| !missing)));
            let used = if missing { "nowhere" } else { "own" };
            put(&folder, &format!("site-{site}/fp-{n}.toml"), &job("Panel", used))
        })
        .collect();
    let mut told = Vec::new();
    let name = |path: &Path| path.file_stem().expect("a name").to_string_lossy().into_owned();
    estate::each(
        &jobs,
        &options(),
        |path, found| (name(path), found.ok().map(|record| record.verdict)),
        |one| told.push(one),
    );
    assert_eq!(told, expected);
}

#[test]
fn a_file_that_was_read_before_is_read_again_once_it_differs() {
    let folder = empty("again");
    let job = put(&folder, "fp.toml", &job("Panel", "own"));
    put(&folder, "own.sheet", &sheet("4 A"));
    assert_eq!(verdict(&job), Verdict::Pass);
    put(&folder, "own.sheet", &sheet("2 A"));
    assert_eq!(verdict(&job), Verdict::Fail);
    put(&folder, "own.sheet", &sheet("4 A"));
    assert_eq!(verdict(&job), Verdict::Pass);
}

#[test]
fn a_table_and_a_basis_beside_a_job_count_for_that_job_alone() {
    let folder = empty("beside");
    let text = "title Own\ntable sizes \"sizes\"\ntake most A from basis \"Most\"\ngiven load ? A \"Load\"\n  within 0 A .. 9 A\n\
                find size A \"Size\"\n  = next_size(sizes.size, load)\nmust small \"Small\"\n  that size <= most\n  by practice\n";
    let table = |size: &str| {
        format!(
            "title = \"Sizes\"\nrevision = 1\n[source.maker]\ndocument = \"Maker\"\n[columns.size]\nunit = \"A\"\nsource = \"maker\"\n\
             [[row]]\nsize = {size}\n"
        )
    };
    let basis =
        |most: &str| format!("title Own\nsource maker \"Maker\"\ntake most {most} \"Most\"\n  by maker\n");
    put(&folder, "shared/own.sheet", text);
    put(&folder, "shared/sizes.toml", &table("5"));
    put(&folder, "shared/ours.basis", &basis("6 A"));
    put(&folder, "b/sizes.toml", &table("7"));
    put(&folder, "c/sizes.toml", &table("7"));
    put(&folder, "c/ours.basis", &basis("8 A"));
    let options = Options { libraries: vec![folder.join("shared")], ..options() };
    let verdict = |site: &str| {
        let job = put(&folder, &format!("{site}/fp.toml"), &job("Panel", "own").replace("uk", "ours"));
        check(&job, &options).expect("the job loads").verdict
    };
    let verdicts = ["a", "b", "c", "a", "c", "b"].map(verdict);
    let [pass, fail] = [Verdict::Pass, Verdict::Fail];
    assert_eq!(verdicts, [pass, fail, pass, pass, pass, fail]);
}
