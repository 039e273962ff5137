//! Many jobs checked in one run: in their order, each by its own files, none stopped by another.

use std::path::{Path, PathBuf};

use wattle::notebook::{Day, Options, Verdict, check, estate};

/// 25 November 2026.
const ON: f64 = 1_795_564_800.0;

struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("wattle-{name}-{}", std::process::id()));
        std::fs::create_dir_all(&path).expect("a folder");
        Self(path)
    }

    fn write(&self, name: &str, text: &str) -> PathBuf {
        let path = self.0.join(name);
        std::fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
        #[expect(clippy::disallowed_methods, reason = "a test writes files of its own")]
        std::fs::write(&path, text).expect("a file");
        path
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

fn options() -> Options {
    Options { libraries: Vec::new(), day: Day::Fixed(ON) }
}

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
    let folder = Folder::new("order");
    let mut expected = Vec::new();
    let jobs: Vec<PathBuf> = (0..60)
        .map(|n| {
            let site = n / 5;
            let (most, verdict) = if site % 3 == 0 { ("2 A", Verdict::Fail) } else { ("4 A", Verdict::Pass) };
            folder.write(&format!("site-{site}/own.sheet"), &sheet(most));
            let missing = n % 7 == 3;
            expected.push((format!("fp-{n}"), Some(verdict).filter(|_| !missing)));
            let used = if missing { "nowhere" } else { "own" };
            folder.write(&format!("site-{site}/fp-{n}.toml"), &job("Panel", used))
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
    let folder = Folder::new("again");
    let job = folder.write("fp.toml", &job("Panel", "own"));
    folder.write("own.sheet", &sheet("4 A"));
    assert_eq!(verdict(&job), Verdict::Pass);
    folder.write("own.sheet", &sheet("2 A"));
    assert_eq!(verdict(&job), Verdict::Fail);
    folder.write("own.sheet", &sheet("4 A"));
    assert_eq!(verdict(&job), Verdict::Pass);
}

#[test]
fn a_table_and_a_basis_beside_a_job_count_for_that_job_alone() {
    let folder = Folder::new("beside");
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
    folder.write("shared/own.sheet", text);
    folder.write("shared/sizes.toml", &table("5"));
    folder.write("shared/ours.basis", &basis("6 A"));
    folder.write("b/sizes.toml", &table("7"));
    folder.write("c/sizes.toml", &table("7"));
    folder.write("c/ours.basis", &basis("8 A"));
    let options = Options { libraries: vec![folder.0.join("shared")], ..options() };
    let verdict = |site: &str| {
        let job = folder.write(&format!("{site}/fp.toml"), &job("Panel", "own").replace("uk", "ours"));
        check(&job, &options).expect("the job loads").verdict
    };
    let verdicts = ["a", "b", "c", "a", "c", "b"].map(verdict);
    let [pass, fail] = [Verdict::Pass, Verdict::Fail];
    assert_eq!(verdicts, [pass, fail, pass, pass, pass, fail]);
}
