//! The text of a new job: every given listed as open.
//!
//! In: the sheets and their lines, in words. Out: a text to be filled in by hand or at the prompt.
//! Never: writes a default as a value: it would count as confirmed.

use toml_edit::{Key, Value};

/// A sheet of a new job.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SkeletonSheet {
    /// The sheet's own name.
    pub sheet: String,
    /// Its name in the job.
    pub name: String,
    /// Its title.
    pub title: String,
    /// What may hurt.
    pub cautions: Vec<String>,
    /// Its givens.
    pub lines: Vec<SkeletonLine>,
    /// Figures that the basis leaves open.
    pub figures: Vec<SkeletonLine>,
    /// Its schedules.
    pub schedules: Vec<SkeletonSchedule>,
}

/// A given of a new job.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SkeletonLine {
    /// The name.
    pub name: String,
    /// The label.
    pub label: String,
    /// The unit, or the kind of value.
    pub unit: String,
    /// The plausible range or the choices, in words; may be empty.
    pub range: String,
    /// The default, in words; may be empty.
    pub default: String,
    /// When it is needed, in words; may be empty.
    pub when: String,
}

/// A schedule of a new job.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SkeletonSchedule {
    /// The name.
    pub name: String,
    /// The label.
    pub label: String,
    /// Its columns.
    pub columns: Vec<SkeletonLine>,
}

/// Returns the text of a new job on the day `on` (`2026-11-25`), every given open.
///
/// A schedule is an empty list below a row to copy: it waits for rows, and none is made up. A figure
/// that the basis leaves open is a line to be uncommented, as it needs its document too.
pub fn text(title: &str, basis: &str, on: &str, sheets: &[SkeletonSheet]) -> String {
    let mut out = format!(
        "# Every \"?\" is open: write the value in its place, with its unit.\n\
         # A default counts only once somebody has written it here.\n\
         title = {}\non = {on}\nbasis = {}\nprepared_by = \"\"\n",
        Value::from(title),
        Value::from(basis)
    );
    sheets.iter().for_each(|sheet| out += &format!("\n{}", sheet_text(sheet)));
    out
}

/// Returns the text of one sheet of a job, every given open.
pub fn sheet_text(sheet: &SkeletonSheet) -> String {
    let mut out = format!(
        "# {}\n{}[[sheet]]\nuse = {}\nas = {}\n",
        one_line(&sheet.title),
        sheet.cautions.iter().map(|text| format!("# Caution: {}\n", one_line(text))).collect::<String>(),
        Value::from(sheet.sheet.as_str()),
        Value::from(sheet.name.as_str())
    );
    for line in &sheet.lines {
        out += &format!("given.{} = \"?\"   # {}\n", Key::new(line.name.as_str()), remark(line));
    }
    for line in &sheet.figures {
        out += &format!("# The basis leaves this open: {}\n", remark(line));
        let name = Key::new(line.name.as_str());
        out += &format!("# take.{name} = {{ value = \"?\", by = \"document and clause\" }}\n");
    }
    sheet.schedules.iter().for_each(|schedule| out += &rows(schedule));
    out
}

/// Returns an empty list below what its rows hold and a row to copy.
fn rows(schedule: &SkeletonSchedule) -> String {
    let mut out = format!("# {}: rows here, or the name of a CSV file\n", one_line(&schedule.label));
    for column in &schedule.columns {
        out += &format!("#   {}: {}\n", one_line(&column.name), remark(column));
    }
    let cell = |column: &SkeletonLine| format!("{} = \"?\"", Key::new(column.name.as_str()));
    let cells: Vec<String> = schedule.columns.iter().map(cell).collect();
    if !cells.is_empty() {
        out += &format!("# a row:  {{ {} }},\n", cells.join(", "));
    }
    out + &format!("schedule.{} = [\n]\n", Key::new(schedule.name.as_str()))
}

fn remark(line: &SkeletonLine) -> String {
    let mut parts = vec![line.label.clone(), line.unit.clone(), line.range.clone()];
    if !line.default.is_empty() {
        parts.push(format!("default {}", line.default));
    }
    if !line.when.is_empty() {
        parts.push(format!("only when {}", line.when));
    }
    parts.retain(|part| !part.is_empty());
    one_line(&parts.join("; "))
}

/// Returns words as they may stand in a comment: on one line, without the characters TOML forbids there.
fn one_line(words: &str) -> String {
    words.split(char::is_control).filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::fault::Page;
    use crate::job::{Job, Raw, Rows};

    fn line(name: &str, label: &str, unit: &str) -> SkeletonLine {
        SkeletonLine { name: name.into(), label: label.into(), unit: unit.into(), ..Default::default() }
    }

    fn battery() -> SkeletonSheet {
        SkeletonSheet {
            sheet: "battery".into(),
            name: "battery".into(),
            cautions: vec!["Isolate first.\nProve dead.".to_owned()],
            title: "The standby battery".into(),
            lines: vec![
                line("fitted", "Capacity fitted", "Ah"),
                SkeletonLine {
                    range: "1 .. 4".into(),
                    default: "1".into(),
                    when: "paired".into(),
                    ..line("strings", "Strings side by side", "")
                },
            ],
            figures: vec![line("hold", "How long it must stand by", "h")],
            schedules: vec![SkeletonSchedule {
                name: "equipment".into(),
                label: "What it feeds".into(),
                columns: vec![line("item", "What it is", "text"), line("quiescent", "At rest", "mA")],
            }],
        }
    }

    const BATTERY: &str = r#"# Every "?" is open: write the value in its place, with its unit.
# A default counts only once somebody has written it here.
title = "Ferry hall"
on = 2026-11-25
basis = "uk"
prepared_by = ""

# The standby battery
# Caution: Isolate first. Prove dead.
[[sheet]]
use = "battery"
as = "battery"
given.fitted = "?"   # Capacity fitted; Ah
given.strings = "?"   # Strings side by side; 1 .. 4; default 1; only when paired
# The basis leaves this open: How long it must stand by; h
# take.hold = { value = "?", by = "document and clause" }
# What it feeds: rows here, or the name of a CSV file
#   item: What it is; text
#   quiescent: At rest; mA
# a row:  { item = "?", quiescent = "?" },
schedule.equipment = [
]
"#;

    #[test]
    fn a_new_job_lists_every_line_as_open_with_its_words_in_a_comment() {
        assert_eq!(text("Ferry hall", "uk", "2026-11-25", &[battery()]), BATTERY);
    }

    #[test]
    fn the_figure_and_the_row_are_toml_once_their_hash_is_taken_off() {
        let filled = BATTERY.replace("# take", "take").replace("equipment = [\n", "equipment = [\n  ROW\n");
        let filled = filled.replace("  ROW", "  { item = \"?\", quiescent = \"?\" },");
        let job = Job::read(&Page::new("job", filled)).unwrap_or_else(|faults| panic!("{faults:?}"));
        assert_eq!(job.sheets[0].take[0].1.by.as_deref(), Some("document and clause"));
        assert!(matches!(&job.sheets[0].schedules[0].1, Rows::Listed(rows) if rows[0].cells.len() == 2));
    }

    proptest! {
        #[test]
        fn whatever_its_words_a_new_job_reads_and_has_no_value(
            title in ".{1,12}", label in any::<String>(), default in any::<String>(),
        ) {
            let mut sheet = battery();
            sheet.title.clone_from(&label);
            sheet.schedules[0].label.clone_from(&label);
            for line in sheet.lines.iter_mut().chain(&mut sheet.figures) {
                line.label.clone_from(&label);
                line.default.clone_from(&default);
            }
            let made = text(&title, "uk", "2026-11-25", &[sheet]);
            let job = Job::read(&Page::new("job", made.as_str()));
            let Ok(job) = job else { return Err(TestCaseError::fail(format!("{job:?}\n{made}"))) };
            prop_assert_eq!(&job.title, &title);
            let given = &job.sheets[0].given;
            prop_assert_eq!(given.len(), 2);
            for (_, entry) in given {
                prop_assert_eq!(&entry.value.value, &Raw::Text("?".to_owned()));
            }
            prop_assert!(job.sheets[0].take.is_empty());
            prop_assert_eq!(&job.sheets[0].schedules[0].1, &Rows::Listed(Vec::new()));
        }
    }
}
