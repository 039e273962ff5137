//! The report: one page that stands alone, its other forms, and what it is never written over.

#[path = "report/page.rs"]
mod page;
mod site;

use std::path::Path;

use proptest::prelude::*;
use serde_json::Value;
use wattle::notebook::{self, Report};
use wattle::view::report::{Form, report};

use site::{put, root, run};

const DEMOS: [&str; 3] = ["fp1", "fp1-more-sounders", "fp1-arrival"];

fn told(path: &Path) -> Report {
    notebook::report(path, &site::options()).expect("a job that loads")
}

fn demo(job: &str) -> Report {
    told(&root().join(format!("examples/saltmarsh/{job}.toml")))
}

#[test]
fn the_page_stands_alone_and_is_well_formed() {
    for job in DEMOS {
        let text = report(&demo(job), Form::Html);
        for fetches in
            ["<script", "http:", "https:", "//", "src=", "url(", "@import", "<link", "<iframe", "onload"]
        {
            assert!(!text.contains(fetches), "{job}: {fetches}");
        }
        page::well_formed(&text).unwrap_or_else(|wrong| panic!("{job}: {wrong}"));
        for landmark in
            ["<html lang=\"en-GB\">", "<title>", "<header>", "<main>", "<nav ", "<footer>", "<h1>", "@page"]
        {
            assert!(text.contains(landmark), "{job}: {landmark}");
        }
    }
}

#[test]
fn the_page_says_the_verdict_first_and_every_limit_with_its_own() {
    for job in DEMOS {
        let told = demo(job);
        let text = report(&told, Form::Html);
        let verdict = text.find("class=\"word\"").expect("the verdict");
        let to_do = text.find("id=\"to-do\"").expect("what to do");
        let first = told.record.sheets.first().expect("a sheet");
        let sheet = text.find(&format!("<section id=\"{}\"", first.name)).expect("the first sheet");
        let identity = text.find("id=\"record-identity\"").expect("the identity");
        assert!(verdict < to_do && to_do < sheet && sheet < identity, "{job}");
        for (sheet, limit) in told.record.limits() {
            let at =
                text.find(&format!("id=\"{}\"", limit.full_name(sheet))).expect("a block for each limit");
            let block = &text[at..text.len().min(at + 200)];
            assert!(
                block.contains(&limit.verdict.word().to_uppercase()),
                "{job}: {}: {block}",
                limit.full_name(sheet)
            );
        }
        for line in told.record.sheets.iter().flat_map(|sheet| &sheet.lines) {
            let name = format!("<code>{}</code>", line.name.replace('_', "_<wbr>"));
            assert!(text.contains(&name) || line.schedule.is_some(), "{}", line.name);
        }
    }
}

/// The heights of the short level strokes of a page's charts; a limit is many of them at one height.
fn dashes(page: &str) -> Vec<&str> {
    let strokes = page.split("<polyline").skip(1).filter_map(|after| after.split('>').next());
    let thick = strokes.filter(|stroke| stroke.contains("stroke-width=\"2\""));
    let points = thick.filter_map(|stroke| stroke.split_once("points=\"")?.1.split('"').next());
    let ends = points.map(|points| points.split_whitespace().collect::<Vec<_>>());
    let level = ends.filter_map(|ends| match ends.as_slice() {
        [from, to] => {
            let ((left, height), (right, other)) = (from.split_once(',')?, to.split_once(',')?);
            let long = right.parse::<f64>().ok()? - left.parse::<f64>().ok()?;
            (height == other && long < 10.0).then_some(height)
        }
        _ => None,
    });
    level.collect()
}

#[test]
fn what_fails_says_what_to_do_and_a_formula_is_set_with_its_numbers() {
    let text = report(&demo("fp1-more-sounders"), Form::Html);
    assert!(text.contains("<strong>Fit at least 7.624\u{a0}Ah, or find out what draws the current</strong>"));
    assert!(text.contains("aria-label=\"(available - required) / required\"") && text.contains("<mfrac>"));
    assert!(text.contains("aria-label=\"(7 Ah - 7.624 Ah) / 7.624 Ah\""));
    assert!(text.contains("<msub><mi>alarm</mi><mtext>load</mtext></msub>"));
    assert!(text.contains("<msqrt>") && text.contains("109\u{a0}%"));
    let heights = dashes(&text);
    assert!(
        heights.iter().any(|height| heights.iter().filter(|other| *other == height).count() > 10),
        "{heights:?}"
    );
}

#[test]
fn limits_of_one_name_on_two_schedules_have_a_place_each() {
    let folder = site::empty("same-name");
    let schedule = |name: &str| {
        format!(
            "schedule {name} \"Rows\"\n  given amps ? A \"Current\"\n    within 0 A .. 100 A\n  must ok \"Small\"\n    that amps <= 9 A\n    by practice\n"
        )
    };
    let sheet = format!("title Two\n{}{}", schedule("late"), schedule("early"));
    put(&folder, "two.sheet", &sheet);
    let rows = |name: &str, amps: &str| format!("schedule.{name} = [{{ amps = \"{amps}\" }}]\n");
    let job = "title = \"Two\"\nbasis = \"uk\"\non = 2026-11-25\n[[sheet]]\nuse = \"two\"\nas = \"two\"\n";
    put(&folder, "two.toml", &format!("{job}{}{}", rows("late", "5 A"), rows("early", "12 A")));
    let text = report(&told(&folder.join("two.toml")), Form::Html);
    page::well_formed(&text).expect("every id once");
    for limit in ["two.late.ok", "two.early.ok"] {
        assert!(text.contains(&format!("id=\"{limit}\"")), "{limit}");
        assert!(text.contains(&format!("href=\"#{limit}\"")), "{limit} is linked to");
    }
}

#[test]
fn the_identity_names_the_hash_of_every_file() {
    let told = demo("fp1");
    let hash = |name: &str| {
        let file = told.identity.files.iter().find(|file| file.name.ends_with(name)).expect("the file");
        file.sha256.clone()
    };
    let of = |path: &str| {
        let bytes = std::fs::read(root().join(path)).expect("the file");
        wattle::job::disk::hash(&bytes)
    };
    assert_eq!(hash("fp1.toml"), of("examples/saltmarsh/fp1.toml"));
    assert_eq!(hash("equipment.csv"), of("examples/saltmarsh/equipment.csv"));
    assert_eq!(hash("battery.sheet"), of("sheets/battery.sheet"));
    assert_eq!(hash("uk.basis"), of("sheets/basis/uk.basis"));
    let kinds = ["job", "sheet", "basis", "table", "rows"];
    assert!(kinds.iter().all(|kind| told.identity.files.iter().any(|file| file.kind == *kind)));
    let text = report(&told, Form::Html);
    assert!(told.identity.files.iter().all(|file| text.contains(&file.sha256)));
}

#[test]
fn the_json_follows_its_schema() {
    let mut schemas = boon::Schemas::new();
    let schema = boon::Compiler::new()
        .compile(root().join("tests/schema/record.json").to_str().expect("a path"), &mut schemas)
        .expect("a schema");
    let follows = |text: &str| {
        let value: Value = serde_json::from_str(text).expect("JSON");
        schemas.validate(&value, schema).map_err(|error| format!("{error:#}"))
    };
    for job in DEMOS {
        let path = format!("examples/saltmarsh/{job}.toml");
        let checked = run(&root(), &["check", "--format", "json", &path], b"");
        follows(&checked.out).unwrap_or_else(|wrong| panic!("{job}: {wrong}"));
        follows(&report(&demo(job), Form::Json)).unwrap_or_else(|wrong| panic!("{job}: {wrong}"));
    }
    let refused = run(&root(), &["check", "--format", "json", "missing.toml"], b"");
    follows(&refused.out).expect("a job that cannot be read");
    let broken = report(&demo("fp1"), Form::Json).replace("\"shown\"", "\"showed\"");
    assert!(follows(&broken).is_err(), "a key that is renamed is met");
}

#[test]
fn a_report_is_written_by_its_ending_and_only_over_an_earlier_one() {
    let folder = site::demo("over");
    let said = |arguments: &[&str]| {
        let output = run(&folder, arguments, b"");
        (output.code, output.err)
    };
    for ending in ["html", "md", "csv", "json"] {
        let file = format!("out.{ending}");
        assert_eq!(said(&["report", "fp1-arrival.toml", "-o", &file]), (Some(0), String::new()));
        let waiting = std::fs::read_to_string(folder.join(&file)).expect("the report");
        assert_eq!(
            said(&["report", "fp1.toml", "-o", &file]),
            (Some(0), String::new()),
            "over an earlier one"
        );
        let now = std::fs::read_to_string(folder.join(&file)).expect("the report");
        assert_ne!(waiting, now);
        let form = Form::of_ending(ending).expect("a form");
        assert!(now.starts_with(form.opening()), "{ending}");
    }
    put(&folder, "own.md", "# Notes of my own\n");
    put(&folder, "own.html", "<!DOCTYPE html>\n<title>mine</title>\n");
    let kept =
        ["own.md", "own.html", "equipment.csv", "fp1.toml", "fp1.journal", "battery.sheet", "out", "."];
    for file in kept {
        let before = std::fs::read(folder.join(file)).ok();
        let (code, words) = said(&["report", "fp1.toml", "-o", file]);
        assert_eq!(code, Some(2), "{file}: {words}");
        assert!(words.contains("stays as it is") || words.contains("let the file end in"), "{file}: {words}");
        assert_eq!(std::fs::read(folder.join(file)).ok(), before, "{file}");
    }
    let (code, words) = said(&["report", "fp1.toml", "-o", "x.md", "--format", "csv"]);
    assert!(code == Some(2) && words.contains("two things"), "{words}");
    assert!(!folder.join("x.md").exists());
    let (code, words) = said(&["report", "fp1.toml", "-o", "no/such/folder.md"]);
    assert!(code == Some(2) && words.contains("cannot be written"), "{words}");
    assert_eq!(said(&["report", "missing.toml", "-o", "x.md"]).0, Some(2));
    assert!(!folder.join("x.md").exists());
}

#[cfg(unix)]
#[test]
fn a_link_to_the_job_is_no_way_to_write_over_it() {
    let folder = site::demo("link");
    std::os::unix::fs::symlink(folder.join("fp1.toml"), folder.join("out.html")).expect("a link");
    let before = std::fs::read(folder.join("fp1.toml")).expect("the job");
    assert_eq!(run(&folder, &["report", "fp1.toml", "-o", "out.html"], b"").code, Some(2));
    assert_eq!(std::fs::read(folder.join("fp1.toml")).expect("the job"), before);
}

#[test]
fn without_a_file_the_report_goes_to_the_standard_output() {
    let path = "examples/saltmarsh/fp1.toml";
    let html = run(&root(), &["report", path], b"");
    assert!(html.out.starts_with(Form::Html.opening()));
    let text = run(&root(), &["report", path, "--format", "markdown"], b"");
    assert!(text.out.starts_with(Form::Markdown.opening()));
}

/// Texts that somebody might try.
const HOSTILE: [&str; 12] = [
    "<script>alert(1)</script>",
    "</title></style><img src=x onerror=alert(1)>",
    "\"onload=\"alert(1)",
    "' onmouseover='alert(1)",
    "]]><!-- --> <!--",
    "\u{1b}[2J\u{1b}]0;owned\u{7}",
    "\u{202e}gpj.exe\u{2066}",
    "=cmd|' /C calc'!A0",
    "@SUM(1+1)",
    "| a | b |\n# not a heading\n```",
    "[click](javascript:alert(1)) ![x](y) <http://example.com>",
    "&lt;b&gt; &#0; \u{0} \u{fffe}",
];

/// Puts a text in every place of a report that a person may write in.
fn with(report: &Report, text: &str) -> Report {
    let mut told = report.clone();
    let one = || text.to_owned();
    let some = || Some(text.to_owned());
    (told.prepared_by, told.basis.0, told.basis.2) = (some(), one(), one());
    told.record.title = one();
    told.record.cautions.push(one());
    told.record.remarks.push(one());
    for instrument in &mut told.instruments {
        (instrument.name, instrument.kind, instrument.tolerance) = (one(), some(), some());
    }
    for sheet in &mut told.record.sheets {
        sheet.title = one();
        sheet.cautions.push(one());
        sheet.schedules.iter_mut().flat_map(|schedule| &mut schedule.rows).for_each(|row| *row = one());
        for line in &mut sheet.lines {
            (line.label, line.note, line.source, line.clause, line.who) =
                (one(), some(), some(), some(), some());
        }
        for limit in &mut sheet.limits {
            (limit.label, limit.shown, limit.source, limit.clause) = (one(), one(), some(), some());
            (limit.remedy, limit.reason, limit.doubts) = (some(), some(), vec![one()]);
            limit.rows.iter_mut().for_each(|row| (row.name, row.shown, row.reason) = (one(), one(), some()));
        }
        for chart in &mut sheet.charts {
            (chart.label, chart.across.label, chart.up.label) = (one(), one(), one());
            chart.lines.iter_mut().for_each(|line| line.label = one());
        }
    }
    for sheet in &mut told.sheets {
        sheet.about = one();
        sheet.schedules.iter_mut().for_each(|label| *label = one());
        sheet.limits.iter_mut().for_each(|limit| limit.note = some());
        for line in &mut sheet.lines {
            line.row = line.row.as_ref().map(|_| one());
            line.known.iter_mut().for_each(|known| known.words = vec![one(), one()]);
        }
    }
    told
}

/// What gives a Markdown text its form: how each line begins, and the bars that part its cells.
fn form_of(markdown: &str) -> Vec<(String, usize)> {
    let bars = |line: &str| {
        let mut before = ' ';
        let unescaped = line.chars().filter(|c| {
            let is = *c == '|' && before != '\\';
            before = if before == '\\' { ' ' } else { *c };
            is
        });
        unescaped.count()
    };
    let begins =
        |line: &str| line.chars().take_while(|c| matches!(c, '#' | '|' | '`' | '<' | '-' | '>')).collect();
    markdown.lines().filter(|line| !line.starts_with("    ")).map(|line| (begins(line), bars(line))).collect()
}

fn holds_together(base: &Report, text: &str) -> Result<(), String> {
    let told = with(base, text);
    let html = report(&told, Form::Html);
    page::well_formed(&html)?;
    let plain = report(&with(base, "x"), Form::Html);
    if page::tags(&html) != page::tags(&plain) {
        return Err("the text made a tag of its own".to_owned());
    }
    let markdown = report(&told, Form::Markdown);
    if form_of(&markdown) != form_of(&report(&with(base, "x"), Form::Markdown)) {
        return Err(format!("the text changed the form of the Markdown:\n{markdown}"));
    }
    let csv = report(&told, Form::Csv);
    let mut rows = csv::Reader::from_reader(csv.as_bytes());
    for row in rows.records() {
        let row = row.map_err(|error| error.to_string())?;
        for cell in row.iter() {
            let is_number = cell.parse::<f64>().is_ok();
            if cell.starts_with(['=', '+', '-', '@', '\t', '\r']) && !is_number {
                return Err(format!("a spreadsheet would work {cell:?}"));
            }
        }
    }
    for text in [markdown, csv] {
        if let Some(c) = text.chars().find(|c| page::is_hidden(*c) && *c != '\n') {
            return Err(format!("{c:?} gets through"));
        }
    }
    Ok(())
}

#[test]
fn no_text_breaks_out_of_its_place() {
    for job in DEMOS {
        let base = demo(job);
        for text in HOSTILE {
            holds_together(&base, text).unwrap_or_else(|wrong| panic!("{job}, {text:?}: {wrong}"));
        }
    }
}

#[test]
fn a_hostile_job_is_told_safely_from_file_to_page() {
    let folder = site::demo("hostile");
    put(
        &folder,
        "lamp.sheet",
        "title Lamp </title><script>alert(1)</script>\nrevision 1\nabout 1. =cmd\n\
         given draws ? W \"<img src=x onerror='a'> {{ & \u{202e}\"\n  within 0 W .. 9 W\n\
         must low \"=cmd|' /C calc'!A0\"\n  that draws < 5 W\n  by practice\n  remedy \"]]> <!-- \u{1b}[31m\"\n",
    );
    put(
        &folder,
        "lamp.toml",
        "title = \"\\\"onload=alert(1) \\u001b[2J </h1>\"\non = 2026-11-25\nbasis = \"uk\"\n\
         [[sheet]]\nuse = \"lamp\"\nas = \"lamp\"\n\
         given.draws = { value = \"7 W\", how = \"assumed\", note = \"=1+1\\n</td>\" }\n",
    );
    let told = told(&folder.join("lamp.toml"));
    let html = report(&told, Form::Html);
    page::well_formed(&html).expect("well formed");
    assert!(!html.contains("<script") && !html.contains("<img") && !html.contains('\u{1b}'));
    let check = run(&folder, &["check", "lamp.toml"], b"");
    let shown = &check.out;
    assert_eq!(check.code, Some(1), "{}", check.err);
    assert!(!shown.contains('\u{1b}') && !shown.contains('\u{202e}'), "{shown}");
    for form in [Form::Csv, Form::Markdown] {
        let text = report(&told, form);
        assert!(
            !text.contains('\u{1b}') && !text.contains("\n=cmd") && !text.contains("\n1. =cmd"),
            "{text}"
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn any_text_leaves_the_page_well_formed(text in "\\PC{1,12}|[<>&\"'=/!\\-|#*_`\\[\\] a]{1,16}|.{1,8}|[\\x00-\\x2f\u{80}-\u{a0}\u{2000}-\u{2070}]{1,12}") {
        let base = demo("fp1-arrival");
        prop_assert_eq!(holds_together(&base, &text), Ok(()));
    }
}

#[test]
fn a_negative_number_stays_a_number_in_csv() {
    let csv = report(&demo("fp1-more-sounders"), Form::Csv);
    let row = csv.lines().find(|line| line.starts_with("battery,,,spare,")).expect("the line");
    assert!(row.contains(",-8.18"), "{row}");
    let advice = csv.lines().find(|line| line.starts_with("battery,,,room_to_grow,")).expect("the limit");
    assert!(advice.contains(",'-8.182 % is not"), "a sentence is no number: {advice}");
}

#[test]
fn a_chart_is_shown_as_text_in_markdown_and_by_its_name() {
    let text = report(&demo("fp1-more-sounders"), Form::Markdown);
    assert!(text.contains("    sounders.along  Voltage along the circuit"), "{text}");
    let told = demo("fp1-more-sounders");
    let chart =
        &told.record.sheets.iter().find(|sheet| sheet.name == "sounders").expect("the sheet").charts[0];
    assert_eq!(chart.points.len(), 14);
    assert_eq!((chart.across.unit.as_str(), chart.up.unit.as_str()), ("m", "V"));
    let drawn: Vec<&str> = chart.lines.iter().map(|line| line.shown.as_str()).collect();
    assert_eq!(drawn, ["21 V", "18 V"], "what it is fed with, and the lowest that a device works at");
    let waiting = demo("fp1-arrival");
    let chart =
        &waiting.record.sheets.iter().find(|sheet| sheet.name == "sounders").expect("the sheet").charts[0];
    assert!(
        chart.points.iter().all(|point| point.up == notebook::record::Value::None),
        "not known, not drawn"
    );
    assert!(report(&waiting, Form::Html).contains("Nothing to draw yet"));
}
