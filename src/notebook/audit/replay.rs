//! The job worked again after each line of its journal: what every line did, and whether it says so.
//!
//! In: an open job and its journal. Out: a step for each line, and one for what was edited since the last.
//! Never: takes a line's word for what it did; uses other sheets than those of today.

use std::collections::BTreeMap;
use std::rc::Rc;

use serde::Serialize;

use crate::fault::Page;
use crate::job::journal::{Line, Stamp, UNREAD};
use crate::notebook::change::difference::{change, limit_as};
use crate::notebook::change::history::{OPENED, OUTSIDE, REDO, UNDO, what};
use crate::notebook::compare::{Differs, Loaded, TurnedLimit, entered, turned};
use crate::notebook::library::Library;
use crate::notebook::open::Notebook;
use crate::notebook::record::{Record, Verdict};
use crate::unit::show;

/// Texts that are worked at most, the last ones: each takes as long as a check.
const MOST_WORKED: usize = 1_000;
/// Changes that are told of one step.
const MOST_TOLD: usize = 6;

/// Edits outside the notebook, the last ones, that the history tells in full.
const MOST_OUTSIDE: usize = 30;

/// What a line of the journal did.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Step {
    /// Its number, from 1; of what was done since the last line, one more.
    pub line: usize,
    /// When; nothing where nobody knows.
    pub time: String,
    /// Who.
    pub who: Option<String>,
    /// What it says it did.
    pub says: String,
    /// Whether the job was edited outside the notebook there.
    pub outside: bool,
    /// What it changed of what was entered; nothing where the job before or after it cannot be worked.
    pub changed: Option<Vec<Differs>>,
    /// Limits with another verdict.
    pub turned: Vec<TurnedLimit>,
    /// The limit that it moved most, where none turned.
    pub moved: Option<String>,
    /// Of an edit outside the notebook, values that still carry who and when of the value before.
    pub carried: Vec<String>,
    /// Where its words are not what it did.
    pub wrong: Option<String>,
}

impl Step {
    /// Returns what it changed and what came of it, in words.
    pub fn words(&self) -> String {
        let Some(changed) = &self.changed else {
            return "what was changed cannot be told: the job before it is lost, or does not load with the \
                    sheets of today"
                .to_owned();
        };
        let mut told: Vec<String> = changed.iter().take(MOST_TOLD).map(Differs::words).collect();
        if changed.len() > MOST_TOLD {
            told.push(format!("and {} more", changed.len() - MOST_TOLD));
        }
        if told.is_empty() {
            told.push("comments or layout alone".to_owned());
        }
        told.extend(self.turned.iter().map(|limit| format!("{} {}", limit.name, from_to(limit))));
        told.extend(self.moved.clone());
        told.extend(self.carried.iter().take(MOST_TOLD).cloned());
        told.join("; ")
    }

    /// Returns whether it only says that the job was opened.
    pub fn is_opened(&self) -> bool {
        self.says == OPENED
    }
}

/// "from fail to pass"
pub(super) fn from_to(limit: &TurnedLimit) -> String {
    let word = |verdict: Option<Verdict>| verdict.map_or("not judged", Verdict::word);
    format!("from {} to {}", word(limit.old), word(limit.new))
}

/// Texts of a job, each worked once while it is the last or the last but one.
struct Works<'n> {
    notebook: &'n Notebook,
    /// The files that the job is worked with today.
    files: &'n [Stamp],
    library: Rc<Library>,
    held: Option<(String, Option<Rc<Loaded>>)>,
}

impl Works<'_> {
    fn of(&mut self, text: &str) -> Option<Rc<Loaded>> {
        if let Some((held, loaded)) = &self.held
            && held == text
        {
            return loaded.clone();
        }
        let page = Page::new(self.notebook.name.clone(), text);
        let loaded = Loaded::of(&page, &self.notebook.name, &self.library, &self.notebook.options);
        let loaded = loaded.ok().map(Rc::new);
        self.held = Some((text.to_owned(), loaded.clone()));
        loaded
    }

    /// What was done between two texts of the job.
    fn between(&mut self, before: Option<&str>, after: Option<&str>) -> (Step, Option<[Rc<Loaded>; 2]>) {
        let (Some(before), Some(after)) = (before, after) else { return (Step::default(), None) };
        if before == after {
            return (Step { changed: Some(Vec::new()), ..Step::default() }, None);
        }
        let (before, after) = (self.of(before), self.of(after));
        let (Some(before), Some(after)) = (before, after) else { return (Step::default(), None) };
        let changed = entered::all(&before.book, &after.book);
        let turned = turned(&before.record, &after.record);
        let moved = if turned.is_empty() { moved(&before.record, &after.record) } else { None };
        let step = Step { changed: Some(changed), turned, moved, ..Step::default() };
        (step, Some([before, after]))
    }
}

/// Returns what each line of the journal did, and as a last step what was edited since.
pub(super) fn replay(notebook: &Notebook, files: &[Stamp], texts: &[Option<String>]) -> Vec<Step> {
    let lines = notebook.journal.lines();
    let mut works = Works { notebook, files, library: Rc::new(notebook.library()), held: None };
    let mut steps: Vec<Step> = Vec::new();
    let skipped = lines.len().saturating_sub(MOST_WORKED);
    for (n, line) in lines.iter().enumerate() {
        let before = n.checked_sub(1).and_then(|before| texts[before].as_deref());
        // The first line, and one behind a gap, hold the whole job: they changed nothing.
        let before = if n == 0 { texts[0].as_deref() } else { before };
        let (step, jobs) =
            if n < skipped { (Step::default(), None) } else { works.between(before, texts[n].as_deref()) };
        let mut step = Step {
            line: n + 1,
            time: line.time.clone(),
            who: line.who.clone(),
            says: what(line),
            outside: line.line == OUTSIDE,
            ..step
        };
        step.carried.extend(jobs.iter().filter(|_| step.outside).flat_map(carried));
        step.wrong = not_as_said(&works, line, &step, &steps, jobs.as_ref());
        steps.push(step);
    }
    if !notebook.journal.is_as_left() {
        let last = texts.last().and_then(Option::as_deref);
        let (step, jobs) = works.between(last, Some(notebook.journal.text()));
        let carried = jobs.iter().flat_map(carried).collect();
        steps.push(Step { line: lines.len() + 1, outside: true, carried, ..step });
    }
    steps
}

fn carried([before, after]: &[Rc<Loaded>; 2]) -> Vec<String> {
    entered::carried(&before.book, &after.book)
}

/// Returns what each edit outside the notebook changed, by the place of the journal's line that found it.
pub(in crate::notebook) fn outside(notebook: &Notebook) -> BTreeMap<usize, String> {
    let (lines, texts) = (notebook.journal.lines(), notebook.journal.texts());
    let mut works = Works { notebook, files: &[], library: Rc::new(notebook.library()), held: None };
    let found = (1..lines.len()).rev().filter(|&n| lines[n].line == OUTSIDE).take(MOST_OUTSIDE);
    let mut told = |n: usize| works.between(texts[n - 1].as_deref(), texts[n].as_deref()).0.words();
    found.map(|n| (n, told(n))).collect()
}

/// The limit that uses another share of what is allowed, by most.
fn moved(before: &Record, after: &Record) -> Option<String> {
    let mut most: Option<(f64, String)> = None;
    for (sheet, limit) in after.limits() {
        let was = limit_as(before, sheet, limit).and_then(|was| was.uses);
        let (Some(was), Some(now)) = (was, limit.uses) else { continue };
        let by = (now - was).abs();
        let percent = |share: f64| show::digits(share * 100.0, 3);
        if percent(was) != percent(now) && most.as_ref().is_none_or(|(most, _)| by > *most) {
            let (verb, of) = limit.measure();
            let (name, now, was) = (limit.full_name(sheet), percent(now), percent(was));
            let words = format!("{name} {verb} {now} % {of}, before {was} %");
            most = Some((by, words));
        }
    }
    most.map(|(_, words)| words)
}

/// Returns where a line does not say what it did.
fn not_as_said(
    works: &Works<'_>,
    line: &Line,
    step: &Step,
    before: &[Step],
    jobs: Option<&[Rc<Loaded>; 2]>,
) -> Option<String> {
    let changed = step.changed.as_ref()?;
    let says = line.line.as_str();
    let undone = || before.get(line.of?.checked_sub(1)?)?.changed.as_ref();
    let is_said = |differs: &&Differs| match says {
        OUTSIDE | UNREAD => true,
        OPENED => false,
        // Of a line that cannot be worked it is not known what it did.
        UNDO | REDO => {
            undone().is_none_or(|undone| undone.iter().any(|one| is_same_line(&one.name, &differs.name)))
        }
        // Another tolerance of an instrument is one of every reading taken with it.
        _ if says.starts_with("instrument ") => differs.name == says || is_same_value(differs),
        _ => is_said(says, line.who.as_deref(), &differs.name),
    };
    let number = step.line;
    if let Some(other) = changed.iter().find(|differs| !is_said(differs)) {
        return Some(format!("line {number} of the journal says '{says}', and changed {}", other.words()));
    }
    let [one] = changed.as_slice() else { return None };
    let [before, after] = jobs.filter(|_| one.name == says && is_sheet_as_then(works, step, says))?;
    let made = change(&before.record, &after.record, std::slice::from_ref(&one.name));
    let moved = made.moved.iter().find(|moved| moved.set && moved.name == says)?;
    let told = |value: &Option<String>| value.clone().unwrap_or_else(|| "nothing".to_owned());
    let (old, new) = (told(&line.old), told(&line.new));
    // Where a value shows as before, the line says what else of it was said, in its own words.
    let said = new == moved.after || moved.before == moved.after;
    (old != moved.before || !said).then(|| {
        format!(
            "line {number} of the journal says {says} went from {} to {}, and it went from {} to {}",
            told(&line.old),
            told(&line.new),
            moved.before,
            moved.after
        )
    })
}

/// Whether the sheet of a line reads today as it did when the journal's line was written: values are shown by it.
fn is_sheet_as_then(works: &Works<'_>, step: &Step, name: &str) -> bool {
    let used = works.notebook.book.uses.iter().find(|used| name.starts_with(&format!("{}.", used.name)));
    let Some(used) = used else { return false };
    let file = format!("{}.sheet", used.sheet_name);
    let then = works.notebook.journal.stamps_at(step.line).iter().find(|stamp| stamp.file == file);
    then.is_some() && then == works.files.iter().find(|stamp| stamp.file == file)
}

/// Whether what a line says names what was changed: the line itself, its whole row, or the line that a mark is on.
fn is_said(says: &str, who: Option<&str>, name: &str) -> bool {
    if let Some(schedule) = entered::ordered(name) {
        return names(says, schedule);
    }
    let marked = says.strip_prefix("agree ").or_else(|| says.strip_prefix("query "));
    if let Some(of) = marked {
        let own = format!("mark of {} on ", who.unwrap_or("somebody"));
        let on = name.strip_prefix(&own);
        return on
            .is_some_and(|on| on == of || on.strip_prefix(of).is_some_and(|rest| rest.starts_with('.')));
    }
    if let Some(of) = says.strip_prefix("how ").and_then(|rest| rest.split_once(' ')).map(|(of, _)| of) {
        let (_, own) = name.split_once('.').unwrap_or(("", name));
        let within =
            |whole: &str| whole.strip_prefix(of).is_some_and(|rest| rest.is_empty() || rest.starts_with('.'));
        return within(name) || within(own);
    }
    if let Some(added) = says.strip_prefix("add sheet ") {
        let own = added.rsplit(' ').next().unwrap_or(added);
        return name == format!("sheet {own}") || name.starts_with(&format!("{own}."));
    }
    let row = says.strip_prefix("add ").or_else(|| says.strip_prefix("drop "));
    match (row, name.rsplit_once('.')) {
        (Some(row), Some((of, _))) => row == of,
        (Some(_), None) => false,
        (None, _) => names(says, name) || of_schedule(name).is_some_and(|schedule| names(says, schedule)),
    }
}

/// Whether a value is the same, and only what is known of it is not.
fn is_same_value(differs: &Differs) -> bool {
    let value =
        |told: &Option<String>| told.as_deref().and_then(|told| told.split(", ").next()).map(str::to_owned);
    value(&differs.old) == value(&differs.new)
}

/// Whether two names are of one line, or of one column whose row may have been given another name.
fn is_same_line(one: &str, other: &str) -> bool {
    let column = |name: &str| Some((of_schedule(name)?.to_owned(), name.rsplit_once('.')?.1.to_owned()));
    one == other || column(one).is_some_and(|of| column(other) == Some(of))
}

/// The schedule of a cell by its full name.
fn of_schedule(name: &str) -> Option<&str> {
    let (row, _) = name.rsplit_once('.')?;
    let sheet = row.find('.')?;
    row[sheet + 1..].find('.').map(|at| &row[..sheet + 1 + at])
}

/// Whether a list of names holds a name; a row's own name may hold commas and dots.
fn names(list: &str, name: &str) -> bool {
    let part = |c: char| c.is_alphanumeric() || matches!(c, '_' | '.' | '"');
    list.match_indices(name)
        .any(|(at, _)| !list[..at].ends_with(part) && !list[at + name.len()..].starts_with(part))
}

#[cfg(test)]
mod tests {
    use super::*;

    const WHO: Option<&str> = Some("A. Reader");

    #[test]
    fn a_line_names_what_it_changed() {
        assert!(is_said("feed.loop", WHO, "feed.loop"));
        assert!(is_said("pack.a, pack.b", WHO, "pack.b"));
        assert!(!is_said("feed.loop_rule", WHO, "feed.loop"), "another line that begins alike");
        assert!(is_said("s.rows.\"a, b\".load", WHO, "s.rows.\"a, b\".load"));
        assert!(!is_said("s.rows.\"a, b\".load", WHO, "s.rows.\"a, b\".length"));
        assert!(is_said("add s.rows.\"Call point\"", WHO, "s.rows.\"Call point\".load"));
        assert!(!is_said("add s.rows.\"Call point\"", WHO, "s.rows.Sounder.load"));
        assert!(is_said("s.rows", WHO, "s.rows.\"a.b\".load"), "all rows of a schedule");
        assert!(is_said("s.rows", WHO, "order of s.rows changed"));
        assert!(!is_said("s.other", WHO, "order of s.rows changed"));
        assert!(!is_said("s", WHO, "s.rows.\"a.b\".load"));
        assert!(is_said("add sheet supply_path as left", WHO, "left.found"));
        assert!(is_said("how feed datasheet", WHO, "feed.power"), "a whole sheet");
        assert!(is_said("how path measured with tester", WHO, "as_left.path.\"DB1\".line_earth"));
        assert!(!is_said("how feed datasheet", WHO, "feeder.power"));
        assert!(is_said("query feed.loop", WHO, "mark of A. Reader on feed.loop"));
        assert!(is_said("agree feed", WHO, "mark of A. Reader on feed.loop"), "a whole sheet");
        assert!(!is_said("query battery.strings", WHO, "feed.loop"), "a mark changes no value");
        assert!(!is_said("query feed.loop", WHO, "mark of S. Brook on feed.loop"), "in another's name");
        assert!(!is_said("agree feed.loop", WHO, "mark of A. Reader on feed.loop_rule"));
    }
}
