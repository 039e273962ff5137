//! A basis: the set of figures that one jurisdiction's documents fix.
//!
//! In: a draft, the basis it extends, the tables it names. Out: figures, tables and citations by name.
//! Never: invents a figure: one that is not known stays open, and the job must give it.

use std::collections::{BTreeMap, HashMap};
use std::sync::Arc;

use crate::cite::Cite;
use crate::fault::{Fault, Faults, Page};
use crate::sheet::Wrong as Text;
use crate::sheet::check::{self, Fetched, Wrong};
use crate::sheet::model::{Is, Source};
use crate::sheet::statement::{Body, Declared, Draft, LineDraft, Literal, lacks_percent};
use crate::table::Table;
use crate::unit::Unit;

/// A figure of a basis.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// The label.
    pub label: String,
    /// Its kind.
    pub is: Is,
    /// Its unit.
    pub unit: Unit,
    /// Its value; `None`: not known, the job must give it.
    pub value: Option<Literal>,
    /// Where it comes from.
    pub cite: Option<Cite>,
    /// A remark.
    pub note: Option<String>,
    /// The line of the basis below that this one overrides.
    pub overrides: Option<Box<(String, Figure)>>,
}

/// A set of figures with their documents.
#[derive(Clone, Debug)]
pub struct Basis {
    /// The word it goes by.
    pub name: String,
    /// The title.
    pub title: String,
    /// The revision.
    pub revision: u32,
    /// What it is about.
    pub about: String,
    /// What may hurt.
    pub cautions: Vec<String>,
    /// The page and those of the bases it extends, the nearest first, each with its revision.
    pub pages: Vec<(u32, Arc<Page>)>,
    figures: BTreeMap<String, Figure>,
    tables: BTreeMap<String, Arc<Table>>,
    cites: BTreeMap<String, Cite>,
    withouts: BTreeMap<String, String>,
}

impl Basis {
    /// Builds a basis from its draft, on top of the one it extends.
    ///
    /// # Errors
    /// All faults of the page, those of reading it (`faults`) included.
    pub fn build(
        name: &str,
        page: &Arc<Page>,
        (draft, mut faults): (&Draft, Faults),
        below: Option<&Self>,
        tables: &dyn Fn(&str) -> Fetched,
    ) -> Result<Self, Vec<Fault>> {
        let mut made = Self {
            name: name.to_owned(),
            title: draft.title.as_ref().map_or_else(String::new, |title| title.value.clone()),
            revision: draft.revision.unwrap_or(1),
            about: draft.about.clone().unwrap_or_default(),
            cautions: draft.cautions.clone(),
            pages: std::iter::once((draft.revision.unwrap_or(1), Arc::clone(page)))
                .chain(below.iter().flat_map(|b| b.pages.clone()))
                .collect(),
            figures: below.map(|b| b.figures.clone()).unwrap_or_default(),
            tables: below.map(|b| b.tables.clone()).unwrap_or_default(),
            cites: below.map(|b| b.cites.clone()).unwrap_or_default(),
            withouts: below.map(|b| b.withouts.clone()).unwrap_or_default(),
        };
        if let Some(below) = below {
            let cautions = below.cautions.iter().filter(|caution| !draft.cautions.contains(caution));
            made.cautions.extend(cautions.cloned());
        }
        let sources = check::sources(&draft.sources, &mut faults);
        unique(draft, &mut faults);
        for line in &draft.lines {
            made.adopt(line, below, &sources, &mut faults);
        }
        for cite in &draft.cites {
            let by = cite.by.as_ref().map(|by| check::cite(by, &sources));
            if let Some(found) = by.and_then(|by| faults.keep(by)) {
                made.withouts.remove(&cite.name.value);
                made.cites.insert(cite.name.value.clone(), found);
            }
        }
        made.take_tables(draft, tables, &mut faults);
        for without in &draft.withouts {
            let name = &without.name.value;
            made.figures.remove(name);
            made.tables.remove(name);
            made.cites.remove(name);
            made.withouts.insert(name.clone(), without.reason.clone());
        }
        faults.or(made)
    }

    /// Fetches the tables that the page names.
    fn take_tables(&mut self, draft: &Draft, tables: &dyn Fn(&str) -> Fetched, faults: &mut Faults) {
        for table in &draft.tables {
            let Some(file) = &table.file else {
                let wrong = Wrong::TableUnnamed { name: table.name.value.clone() };
                faults.add(Fault::new(table.name.at, wrong));
                continue;
            };
            match tables(&file.value) {
                Fetched::Read(found) => {
                    self.withouts.remove(&table.name.value);
                    self.tables.insert(table.name.value.clone(), found);
                }
                Fetched::Refused => {}
                Fetched::Absent => {
                    faults.add(Fault::new(file.at, Wrong::NoTableFile { name: file.value.clone() }));
                }
            }
        }
    }

    fn adopt(
        &mut self,
        line: &LineDraft,
        below: Option<&Self>,
        sources: &HashMap<String, String>,
        faults: &mut Faults,
    ) {
        let name = &line.name.value;
        let Body::Take { value, .. } = &line.body else { return };
        let by = line.by.as_ref().filter(|_| value.is_some()).map(|by| check::cite(by, sources));
        let unit = match &line.is {
            Declared::Unit(unit) => unit.clone(),
            Declared::Flag | Declared::Date | Declared::Text | Declared::Unknown => Unit::plain(),
        };
        let overrides = below.and_then(|below| {
            let figure = below.figure(name)?.clone();
            Some(Box::new((below.name.clone(), figure)))
        });
        self.withouts.remove(name);
        let figure = Figure {
            label: line.label.clone(),
            is: Is::declared(&line.is),
            unit,
            value: value.as_ref().map(|value| value.value.clone()),
            cite: by.and_then(|by| faults.keep(by)),
            note: line.note.clone(),
            overrides,
        };
        if let (Some((_, below)), Some(written)) = (figure.overrides.as_deref(), value)
            && let Literal::Quantity(number) = &written.value
            && lacks_percent(number, &below.unit)
        {
            let line = format!("'{name}'");
            let wrong = Text::PercentWanted { number: number.number, line, basis: None };
            faults.add(Fault::new(written.at, wrong));
        }
        if let Some((basis, below)) = figure.overrides.as_deref()
            && !below.is.agrees(figure.is)
        {
            let wrong = Wrong::BasisKind {
                basis: basis.clone(),
                name: name.clone(),
                there: below.is,
                here: figure.is,
            };
            faults.add(Fault::new(line.name.at, wrong));
        }
        self.figures.insert(name.clone(), figure);
    }

    /// Returns the text of its own page.
    pub fn text(&self) -> &str {
        self.pages.first().map_or("", |(_, page)| &page.text)
    }

    /// Returns a figure.
    pub fn figure(&self, name: &str) -> Option<&Figure> {
        self.figures.get(name)
    }

    /// Returns a table.
    pub fn table(&self, name: &str) -> Option<&Arc<Table>> {
        self.tables.get(name)
    }

    /// Returns what is cited for a name: by a `cite`, or by the figure of that name.
    pub fn cite(&self, name: &str) -> Option<&Cite> {
        self.cites.get(name).or_else(|| self.figures.get(name)?.cite.as_ref())
    }

    /// Returns what a source comes to, through the basis where it says so.
    pub fn cited(&self, source: &Source) -> Option<Cite> {
        match source {
            Source::Document(cite) => Some(cite.clone()),
            Source::Basis(name) => self.cite(name).cloned(),
        }
    }

    /// Returns why the basis is without a name.
    pub fn without(&self, name: &str) -> Option<&str> {
        self.withouts.get(name).map(String::as_str)
    }

    /// Returns the names that the basis is without.
    pub fn without_names(&self) -> impl Iterator<Item = &str> {
        self.withouts.keys().map(String::as_str)
    }

    /// Returns the names of the figures, in order.
    pub fn figure_names(&self) -> impl Iterator<Item = &str> {
        self.figures.keys().map(String::as_str)
    }

    /// Returns the names of the tables, in order.
    pub fn table_names(&self) -> impl Iterator<Item = &str> {
        self.tables.keys().map(String::as_str)
    }

    /// Returns the names that something is cited for.
    pub fn cite_names(&self) -> impl Iterator<Item = &str> {
        self.cites.keys().map(String::as_str)
    }
}

/// A basis names each thing once.
fn unique(draft: &Draft, faults: &mut Faults) {
    let mut seen = HashMap::new();
    let names = draft.lines.iter().map(|l| &l.name);
    let names = names.chain(draft.tables.iter().map(|t| &t.name)).chain(draft.cites.iter().map(|c| &c.name));
    for name in names.chain(draft.withouts.iter().map(|w| &w.name)) {
        if let Some(first) = seen.insert(name.value.as_str(), name.at) {
            let fault = Fault::new(name.at, Wrong::Twice { name: name.value.clone() });
            faults.add(fault.with_also(first, "first named here"));
        }
    }
}
