//! What was read, checked and compiled before, for all jobs: sheets that many use alike are compiled once.
//!
//! In: a page, and what reading it fetched; sheets, rows and links. Out: what was made of them, where all of it is
//! the same again.
//! Never: takes one job's file for another's: pages count by name and text, and what they fetch by what it was.

use std::collections::HashMap;
use std::sync::{Arc, LazyLock, Mutex, PoisonError};

use crate::engine::{Link, Placed, Plan, compile};
use crate::fault::Page;
use crate::sheet::{Basis, Sheet};
use crate::table::Table;

/// Of one name so many readings are kept, the latest.
const OF_A_NAME: usize = 8;
/// And of so many names; then it begins anew, so that jobs with sheets of their own do not fill the memory.
const NAMES: usize = 256;

/// Tables by name, as a page fetched them.
pub(in crate::notebook) type Tables = Vec<(String, Option<Arc<Table>>)>;

/// What was made of a page.
#[derive(Debug)]
pub(in crate::notebook) struct Reading<T> {
    /// The page.
    pub(in crate::notebook) page: Arc<Page>,
    /// The basis that it extends or was checked on.
    pub(in crate::notebook) basis: Option<Arc<Basis>>,
    /// The tables that it fetched.
    pub(in crate::notebook) tables: Tables,
    /// What it made.
    pub(in crate::notebook) made: Arc<T>,
}

impl<T> Reading<T> {
    /// Returns what was made of a page on a basis, with the tables that were fetched.
    pub(in crate::notebook) fn new(
        page: &Arc<Page>,
        basis: Option<Arc<Basis>>,
        (made, tables): (Arc<T>, Tables),
    ) -> Self {
        Self { page: Arc::clone(page), basis, tables, made }
    }
}

impl<T> Clone for Reading<T> {
    fn clone(&self) -> Self {
        let (page, basis) = (Arc::clone(&self.page), self.basis.clone());
        Self { page, basis, tables: self.tables.clone(), made: Arc::clone(&self.made) }
    }
}

/// Readings by name.
#[derive(Debug)]
pub(in crate::notebook) struct Readings<T>(Mutex<HashMap<String, Vec<Reading<T>>>>);

impl<T> Default for Readings<T> {
    fn default() -> Self {
        Self(Mutex::default())
    }
}

impl<T> Readings<T> {
    /// Returns what a page made before, where what it fetched then is fetched again.
    pub(in crate::notebook) fn known(
        &self,
        name: &str,
        page: &Page,
        fits: impl Fn(&Reading<T>) -> bool,
    ) -> Option<Arc<T>> {
        let kept = self.0.lock().unwrap_or_else(PoisonError::into_inner).get(name)?.clone();
        let same = kept.iter().rev().find(|reading| *reading.page == *page && fits(reading))?;
        Some(Arc::clone(&same.made))
    }

    /// Keeps a reading; returns what it made.
    pub(in crate::notebook) fn keep(&self, name: &str, reading: Reading<T>) -> Arc<T> {
        let made = Arc::clone(&reading.made);
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if kept.len() >= NAMES && !kept.contains_key(name) {
            kept.clear();
        }
        let of_name = kept.entry(name.to_owned()).or_default();
        if of_name.len() >= OF_A_NAME {
            of_name.remove(0);
        }
        of_name.push(reading);
        made
    }
}

/// So many plans are kept, the latest.
const PLANS: usize = 32;
/// And none with more slots than this: a schedule of very many rows is not likely to come again.
const SLOTS: u32 = 1 << 16;

/// A sheet with all that a plan takes from its job.
#[derive(Debug)]
struct Shape {
    sheet: Arc<Sheet>,
    rows: Vec<usize>,
    links: Vec<Link>,
    without: Vec<usize>,
    waiting: Vec<usize>,
}

impl Shape {
    fn is(&self, placed: &Placed<'_>) -> bool {
        std::ptr::eq(self.sheet.as_ref(), placed.sheet)
            && self.rows == placed.rows
            && self.without == placed.without
            && self.waiting == placed.waiting
            && self.links == placed.links
    }
}

/// Plans with what they were compiled from.
#[derive(Debug, Default)]
pub(in crate::notebook) struct Plans(Mutex<Vec<(Vec<Shape>, Arc<Plan>)>>);

impl Plans {
    /// Compiles sheets as a job places them, unless another job did.
    ///
    /// # Errors
    /// As [`compile`].
    pub(in crate::notebook) fn of(
        &self,
        sheets: &[(String, Arc<Sheet>)],
        placed: Vec<Placed<'_>>,
    ) -> Result<Arc<Plan>, Vec<(usize, usize)>> {
        let same = |shapes: &[Shape]| {
            shapes.len() == placed.len() && shapes.iter().zip(&placed).all(|(shape, placed)| shape.is(placed))
        };
        let kept = || self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, plan)) = kept().iter().rev().find(|(shapes, _)| same(shapes)) {
            return Ok(Arc::clone(plan));
        }
        let plan = Arc::new(compile(&placed)?);
        if plan.slots <= SLOTS {
            let shapes = sheets.iter().zip(placed).map(|((_, sheet), placed)| {
                let Placed { rows, links, without, waiting, .. } = placed;
                Shape { sheet: Arc::clone(sheet), rows, links, without, waiting }
            });
            let shapes = shapes.collect();
            let mut kept = kept();
            if kept.len() >= PLANS {
                kept.remove(0);
            }
            kept.push((shapes, Arc::clone(&plan)));
        }
        Ok(plan)
    }
}

/// Everything that is kept.
#[derive(Debug, Default)]
pub(in crate::notebook) struct Shelf {
    pub(in crate::notebook) tables: Readings<Table>,
    pub(in crate::notebook) bases: Readings<Basis>,
    pub(in crate::notebook) sheets: Readings<Sheet>,
    pub(in crate::notebook) plans: Plans,
}

/// The shelf of the program.
pub(in crate::notebook) static SHELF: LazyLock<Shelf> = LazyLock::new(Shelf::default);

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fault::Span;
    use crate::notebook::Library;
    use crate::sheet::model::{Expr, ExprPart, Is, LineRef};

    #[test]
    fn jobs_with_the_same_sheets_rows_and_links_share_a_plan_wherever_their_links_stand() {
        let library = Library::new(Vec::new());
        let sheet = |text: &str| {
            library.read_sheet(&Page::new("x.sheet", text.to_owned()), None).expect("the sheet loads")
        };
        let sheets = [
            (
                "a".to_owned(),
                sheet(
                    "title A\ngiven x ? A \"X\"\n  within 0 A .. 1 A\ngiven y ? A \"Y\"\n  within 0 A .. 1 A\n",
                ),
            ),
            ("b".to_owned(), sheet("title B\ngiven z ? A \"Z\"\n  within 0 A .. 1 A\n")),
        ];
        let plans = Plans::default();
        let plan = |to: usize, at: usize, without: &[usize]| {
            let part = ExprPart::Line(LineRef { sheet: Some(0), line: to });
            let expr = Expr { part, at: Span::new(at, at + 3), is: Is::Unknown };
            let link = Link { line: 0, row: None, expr, anyway: false };
            let placed = |s: usize, links| Placed {
                sheet: &sheets[s].1,
                rows: Vec::new(),
                links,
                without: without.to_vec(),
                waiting: Vec::new(),
            };
            plans.of(&sheets, vec![placed(0, Vec::new()), placed(1, vec![link])]).expect("no loop")
        };
        let one = plan(0, 40, &[]);
        assert!(Arc::ptr_eq(&one, &plan(0, 44, &[])), "the same link further on");
        assert!(!Arc::ptr_eq(&one, &plan(1, 40, &[])), "a link to another line");
        assert!(!Arc::ptr_eq(&one, &plan(0, 40, &[0])), "a line that is not needed");
    }
}
