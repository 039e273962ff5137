//! What nobody entered: defaults, figures of the sheet and of the basis, and what the basis is without.
//!
//! In: what was entered for a sheet. Out: the same with the rest set.
//! Never: makes a figure up: one that is not known stays open.

use crate::notebook::book::Known;
use crate::notebook::load::assemble::Setting;
use crate::notebook::load::enter;
use crate::notebook::load::loader::Loader;
use crate::notebook::record::Origin;
use crate::sheet::Sheet;
use crate::sheet::model::{Line, Role, Source};
use crate::sheet::statement::Literal;

impl Loader<'_> {
    /// What nobody entered: defaults, figures of the sheet and of the basis, and what the basis is without.
    pub(in crate::notebook) fn rest(&mut self, sheet: &Sheet, names: &[Vec<String>]) {
        for (n, line) in sheet.lines.iter().enumerate() {
            let rows = line.schedule.map_or(1, |schedule| names[schedule].len());
            if let Some(Source::Basis(name)) = &line.source
                && let Some(reason) = self.basis.without(name)
            {
                self.made.without.insert(n, reason.to_owned());
            }
            match &line.role {
                Role::Given { default: Some(default), .. } => {
                    let linked = self.made.links.iter().any(|link| link.line == n && link.row.is_none());
                    for row in (0..rows).filter(|_| !linked) {
                        if self.made.known.contains_key(&(n, row)) {
                            continue;
                        }
                        self.made.known.insert((n, row), Known::of(Origin::Default));
                        self.made.settings.push(Setting {
                            line: n,
                            row,
                            value: default.clone(),
                            tolerance: None,
                        });
                    }
                }
                Role::Take { value } if !self.made.known.contains_key(&(n, 0)) => {
                    self.adopt(n, line, value.as_ref())
                }
                Role::Given { .. }
                | Role::Take { .. }
                | Role::Cell { .. }
                | Role::Find(_)
                | Role::Limit { .. } => {}
            }
        }
    }

    fn adopt(&mut self, n: usize, line: &Line, own: Option<&Literal>) {
        let name = &line.name.value;
        let mut known = Known::of(Origin::Adopted);
        let value = match own {
            Some(value) => {
                known.cite = line.source.as_ref().and_then(|source| self.basis.cited(source));
                Some(value.clone())
            }
            None => {
                if let Some(reason) = self.basis.without(name) {
                    self.made.without.insert(n, reason.to_owned());
                }
                let figure = self.basis.figure(name);
                known.cite = figure.and_then(|figure| figure.cite.clone());
                known.note = figure.and_then(|figure| figure.note.clone());
                known.overrides = figure.and_then(|figure| {
                    let (basis, below) = figure.overrides.as_deref()?;
                    let value = below
                        .value
                        .as_ref()
                        .map_or_else(|| "?".to_owned(), |v| enter::words_of(v, &below.unit));
                    Some(below.cite.as_ref().map_or(format!("{value} in {basis}"), |cite| {
                        format!("{value} by {cite}, in {basis}")
                    }))
                });
                figure.and_then(|figure| figure.value.clone())
            }
        };
        match value {
            Some(value) => self.made.settings.push(Setting { line: n, row: 0, value, tolerance: None }),
            None => known.origin = Origin::Open,
        }
        self.made.known.insert((n, 0), known);
    }
}
