//! What stands at the top of a job, its instruments and its sheets, changed at the prompt.
//!
//! In: lines as typed. Out: what was done, in words.
//! Never: touches a value that is entered, or a link.

use toml_edit::Value;

use crate::fault::{Fault, Span, near};
use crate::job::rewrite::{NotThere, at_end, set_instrument, set_top};
use crate::job::skeleton;
use crate::notebook::change::difference::Change;
use crate::notebook::change::draft::Draft;
use crate::notebook::change::refuse;
use crate::notebook::library::Found;
use crate::notebook::open::Notebook;
use crate::notebook::{Wrong, skeleton_of};
use crate::sheet::scan::Scan;
use crate::unit::{Tolerance, date};

/// The texts at the top of a job that are set at the prompt.
pub const TOP: [&str; 2] = ["title", "prepared_by"];

impl Notebook {
    /// Sets a text at the top of the job: `title = "…"`.
    ///
    /// # Errors
    /// As [`Notebook::set`].
    pub fn set_top(&mut self, key: &str, line: &str, from: usize) -> Found<Change> {
        let at = line[from..].find('=').map_or(line.len(), |at| from + at + 1);
        let typed = line[at..].trim();
        let value = typed.strip_prefix('"').and_then(|rest| rest.strip_suffix('"')).unwrap_or(typed);
        if value.trim().is_empty() || value.contains('"') {
            let wrong = Wrong::TopText { name: key.to_owned() };
            return Err(refuse(line)(Fault::new(Span::new(from, line.trim_end().len()), wrong)));
        }
        let text = set_top(&self.page.text, key, value);
        let old = if key == "title" {
            self.book.job.title.clone()
        } else {
            self.book.job.prepared_by.clone().unwrap_or_default()
        };
        let made = self.at_top(line, from, text, key, &format!("{key}: {old} \u{2192} {value}"))?;
        // Who prepares a job is who types, where the command line does not say otherwise.
        if key == "prepared_by" && self.who.as_ref().is_none_or(|who| *who == old) {
            self.who = Some(value.to_owned());
        }
        Ok(made)
    }

    /// Enters an instrument: `NAME kind "…" tolerance "…" until DATE`, of which each may be left out.
    ///
    /// # Errors
    /// As [`Notebook::set`].
    pub fn set_instrument(&mut self, line: &str, from: usize) -> Found<Change> {
        let (name, keys) = instrument(line, from).map_err(refuse(line))?;
        let text = set_instrument(&self.page.text, &name, &keys);
        let told: Vec<String> = keys.iter().map(|(key, value)| format!("{key} {value}")).collect();
        let told = format!("instrument {name}: {}", told.join(", "));
        self.at_top(line, from, text, &format!("instrument {name}"), &told)
    }

    /// Adds a sheet at the end of the job, every given open: `sheet SHEET as NAME`.
    ///
    /// # Errors
    /// As [`Notebook::set`]; also where there is no such sheet, or the name is taken.
    pub fn add_sheet(&mut self, line: &str, from: usize) -> Found<Change> {
        let words: Vec<&str> = line[from..].split_whitespace().collect();
        let at = |word: &str| {
            let start = line.rfind(word).unwrap_or(from);
            Span::new(start, start + word.len())
        };
        let wrong = |word: &str, wrong: Wrong| refuse(line)(Fault::new(at(word), wrong));
        let (sheet, name) = match words.as_slice() {
            [_, sheet] => (*sheet, *sheet),
            [_, sheet, "as", name] if crate::job::is_name(name) => (*sheet, *name),
            _ => return Err(wrong(line[from..].trim(), Wrong::AddSheet)),
        };
        if self.sheet_names().iter().any(|known| known == name) {
            return Err(wrong(name, Wrong::NameTaken { found: name.to_owned() }));
        }
        let library = self.library();
        let Some(found) = library.sheet(sheet, Some(&self.book.basis))? else {
            let names = library.sheet_names();
            let near = near(sheet, names.iter().map(String::as_str)).map(str::to_owned);
            return Err(wrong(sheet, Wrong::NoSheet { found: sheet.to_owned(), near }));
        };
        let mut made = skeleton_of(sheet, &found, &self.book.basis);
        made.name = name.to_owned();
        let text = at_end(&self.page.text, &skeleton::sheet_text(&made));
        let told = format!("{name} is added, every given open: fill asks for them");
        self.at_top(line, from, text, &format!("add sheet {name}"), &told)
    }

    /// Keeps a text that differs outside the values.
    fn at_top(
        &mut self,
        line: &str,
        from: usize,
        text: Result<String, NotThere>,
        act: &str,
        told: &str,
    ) -> Found<Change> {
        let all = Span::new(from, line.trim_end().len());
        let text = text.map_err(|_| refuse(line)(Fault::new(all, Wrong::NoPlace)))?;
        let (act, notes) = (act.to_owned(), vec![told.to_owned()]);
        let said = told.split_once(": ").map(|(_, said)| said.to_owned());
        let made = self.kept(Draft { text, act, notes, said, ..Draft::default() })?;
        // Every line of a new sheet is new: that is no news.
        Ok(Change { notes: made.notes, turned: Vec::new(), ..Change::default() })
    }

    /// Returns the names of the job's sheets.
    pub fn sheet_names(&self) -> Vec<String> {
        self.book.uses.iter().map(|used| used.name.clone()).collect()
    }

    /// Returns whether it is known who is typing.
    pub fn is_who_known(&self) -> bool {
        self.who.as_ref().is_some_and(|who| !who.trim().is_empty())
    }
}

/// The name of an instrument, and the keys that were typed.
type Told = (String, Vec<(&'static str, Value)>);

fn instrument(line: &str, from: usize) -> Result<Told, Fault> {
    let body = &line[from..];
    let ends = ["kind \"", "tolerance \"", "until "].map(|word| body.find(&format!(" {word}")));
    let end = ends.into_iter().flatten().min().unwrap_or(body.len());
    let name = body[..end].trim().trim_matches('"').to_owned();
    let mut scan = Scan::new(line, Span::new(from + end, line.len()));
    let mut keys = Vec::new();
    while !scan.is_done() {
        let at = scan.next_piece();
        scan.go(at.end);
        match &line[at.range()] {
            "kind" => keys.push(("kind", Value::from(scan.expect_quoted("what it is, in quotes")?.0))),
            "tolerance" => {
                let (text, place) = scan.expect_quoted("its tolerance, in quotes")?;
                Tolerance::check(&text).map_err(|fault| Fault { at: place, ..fault })?;
                keys.push(("tolerance", Value::from(text)));
            }
            "until" => {
                scan.skip_blank();
                let start = scan.at();
                let rest = scan.rest();
                let length = rest.find(char::is_whitespace).unwrap_or(rest.len());
                let day = rest[..length].trim();
                let place = Span::new(start, start + day.len());
                date::read(day).map_err(|fault| Fault { at: place, ..fault })?;
                let value = day.parse().map_err(|_| Fault::new(place, Wrong::InstrumentForm))?;
                keys.push(("calibrated_until", value));
                scan.go(start + length);
            }
            _ => return Err(Fault::new(at, Wrong::InstrumentForm)),
        }
    }
    // `meter kind multimeter` lacks the quotes, and is no name.
    let key = |word: &str| ["kind", "tolerance", "until"].contains(&word);
    let quoted = body[..end].trim().starts_with('"');
    if name.is_empty() || name.contains('"') || !quoted && name.split_whitespace().any(key) {
        return Err(Fault::new(Span::new(from, from + end), Wrong::InstrumentForm));
    }
    Ok((name, keys))
}

/// Returns the words for how a value is known, as they are typed.
pub fn hows() -> Vec<String> {
    let all = crate::job::How::ALL.iter().filter(|how| **how != crate::job::How::Linked);
    all.map(|how| how.word().to_owned()).collect()
}
