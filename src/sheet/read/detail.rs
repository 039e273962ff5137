//! Details: the lines indented under a statement.
//!
//! In: the blocks under a statement and the words it takes. Out: what statements share (`by`, `when`, `note`);
//! the statement's own details go to the closure it brings.
//! Never: stops at the first fault.

use std::sync::Arc;

use super::Reader;
use crate::fault::{Fault, Span, Spanned, near};
use crate::sheet::formula::Formula;
use crate::sheet::kind::Is;
use crate::sheet::layout::Block;
use crate::sheet::scan::Scan;
use crate::sheet::statement::{By, Declared, Literal, OneOf, lacks_percent};
use crate::sheet::wrong::Wrong;
use crate::unit::{Quantity, Tolerance, date};

/// The word of a detail that is there a second time.
pub(super) type Twice = Option<&'static str>;

/// A statement that has details.
pub(super) struct Owner {
    /// What a person calls it.
    pub(super) name: &'static str,
    /// The details of its own.
    pub(super) own: &'static [&'static str],
    /// Those that it shares with other statements: of `by`, `when` and `note` the ones that it keeps.
    pub(super) shared: &'static [&'static str],
}

/// What any line of a worked example on paper may have.
const OF_LINES: &[&str] = &["by", "note", "when"];

pub(super) const GIVEN: Owner =
    Owner { name: "a given", own: &["within", "tolerance", "one"], shared: OF_LINES };
pub(super) const TAKE: Owner = Owner { name: "a take", own: &[], shared: OF_LINES };
pub(super) const FIND: Owner = Owner { name: "a find", own: &["="], shared: OF_LINES };
pub(super) const LIMIT: Owner = Owner { name: "a limit", own: &["that", "remedy"], shared: OF_LINES };
pub(super) const SCHEDULE: Owner = Owner { name: "a schedule", own: &["may"], shared: &["note", "when"] };
pub(super) const TABLE: Owner = Owner { name: "a table", own: &[], shared: &[] };
pub(super) const CHART: Owner = Owner { name: "a chart", own: &["across", "up", "line"], shared: &[] };
pub(super) const CITATION: Owner = Owner { name: "a citation", own: &[], shared: &["by", "note"] };
pub(super) const EXAMPLE: Owner = Owner {
    name: "an example",
    own: &["basis", "on", "given", "take", "row", "expect"],
    shared: &["by", "note"],
};

/// The details that statements share.
#[derive(Default)]
pub(super) struct Common {
    pub(super) by: Option<By>,
    pub(super) when: Option<Arc<Formula>>,
    pub(super) note: Option<String>,
}

impl<'a> Reader<'a> {
    /// Reads all details of a statement.
    pub(super) fn details(
        &mut self,
        block: &Block,
        of: &Owner,
        own: impl FnMut(&mut Self, &str, &mut Scan<'a>) -> Result<Twice, Fault>,
    ) -> Common {
        self.details_of(&block.inner.iter().collect::<Vec<_>>(), of, own)
    }

    /// Reads the details that stand in some blocks.
    pub(super) fn details_of(
        &mut self,
        blocks: &[&Block],
        of: &Owner,
        mut own: impl FnMut(&mut Self, &str, &mut Scan<'a>) -> Result<Twice, Fault>,
    ) -> Common {
        let mut common = Common::default();
        for block in blocks.iter().filter(|block| !block.is_misplaced) {
            let mut scan = Scan::new(self.text, block.at);
            let word = scan.next_piece();
            scan.go(word.end);
            let found = &self.text[word.range()];
            let read = if of.own.contains(&found) {
                own(self, found, &mut scan)
            } else if of.shared.contains(&found) {
                self.common(&mut common, found, &mut scan)
            } else {
                // As they are written: the first word alone would be looked for in vain.
                let whole = |word| match word {
                    "one" => "one of",
                    "may" => "may be empty",
                    word => word,
                };
                let known: Vec<_> = of.own.iter().chain(of.shared).copied().map(whole).collect();
                let near = near(found, known.iter().copied());
                let found = found.to_owned();
                Err(Fault::new(word, Wrong::UnknownDetail { found, of: of.name, near, known }))
            };
            let read = read.and_then(|twice| scan.expect_end().map(|()| twice));
            let once = read
                .and_then(|twice| twice.map_or(Ok(()), |what| Err(Fault::new(word, Wrong::Twice { what }))));
            if let Err(fault) = once {
                self.faults.add(fault);
            }
            match block.inner.first() {
                Some(first) if matches!(found, "=" | "that" | "when" | "line") => {
                    self.faults.add(Fault::new(first.at, Wrong::GoesOn));
                }
                Some(_) | None => self.nothing_under(block, "a detail"),
            }
        }
        common
    }

    /// Reads `by`, `when` or, the word that is left, `note`.
    fn common(&mut self, common: &mut Common, word: &str, scan: &mut Scan<'a>) -> Result<Twice, Fault> {
        Ok(match word {
            "by" => {
                // One that cannot be read is one all the same: that it is missing would be a second fault.
                let read = self.by(scan).inspect_err(|fault| {
                    common.by.get_or_insert_with(|| By::practice(fault.at));
                })?;
                common.by.replace(read).map(|_| "by")
            }
            "when" => common.when.replace(self.formula(scan)?.into()).map(|_| "when"),
            _ => common.note.replace(scan.expect_quoted("a remark, in quotes")?.0).map(|_| "note"),
        })
    }

    /// `by SOURCE "clause" [unverified]`, `by basis NAME`.
    pub(super) fn by(&mut self, scan: &mut Scan<'a>) -> Result<By, Fault> {
        let mut from_basis = scan.skip_word("basis").is_some();
        let (name, at) = match scan.at_word() {
            // A source may itself be called basis.
            None | Some(("unverified", _)) if from_basis => {
                from_basis = false;
                ("basis".to_owned(), scan.here())
            }
            _ => scan.expect_name(if from_basis { "a name of the basis" } else { "a source" })?,
        };
        scan.skip_blank();
        let clause = match scan.peek() {
            Some('"') if !from_basis => Some(scan.expect_quoted("the clause, in quotes")?.0),
            _ => None,
        };
        let unverified = !from_basis && scan.skip_word("unverified").is_some();
        if unverified && clause.is_none() && scan.skip("\"").is_some() {
            scan.go(scan.at() - 1);
            return Err(Fault::new(scan.next_piece(), Wrong::ClauseFirst));
        }
        if let Some((word, at)) = scan.at_word()
            && !unverified
            && near(word, ["unverified"]).is_some()
        {
            return Err(Fault::new(at, Wrong::Meant { found: word.to_owned(), near: "unverified" }));
        }
        Ok(By { source: Spanned::new(name, at), from_basis, clause, unverified })
    }

    /// Reads a formula to the end of the line.
    pub(super) fn formula(&mut self, scan: &mut Scan<'a>) -> Result<Formula, Fault> {
        let formula = Formula::read(scan)?;
        scan.expect_end()?;
        Ok(formula)
    }

    /// `within LOW .. HIGH`, in the kind that the line is declared to be.
    pub(super) fn within(
        &mut self,
        scan: &mut Scan<'a>,
        is: &Declared,
    ) -> Result<(Quantity, Quantity), Fault> {
        if matches!(is, Declared::Flag | Declared::Date | Declared::Text) {
            scan.skip_blank();
            let at = Span::new(scan.at(), scan.at() + scan.rest().len());
            return Err(Fault::new(at, Wrong::OnlyOfNumbers { what: "a range" }));
        }
        let (low, low_at) = scan.expect_quantity()?;
        if scan.skip("...").is_some() {
            let (at, found) = (Span::new(scan.at() - 3, scan.at()), "...".to_owned());
            return Err(Fault::new(at, Wrong::Expected { what: "'..'", found }));
        }
        if scan.skip("..").is_none() {
            let found = self.text[scan.next_piece().range()].to_owned();
            return Err(Fault::new(scan.next_piece(), Wrong::Expected { what: "'..'", found }));
        }
        let (high, high_at) = scan.expect_quantity()?;
        fits_unit(&low, low_at, is, "this end")?;
        fits_unit(&high, high_at, is, "this end")?;
        if low.si() > high.si() {
            return Err(Fault::new(low_at.to(high_at), Wrong::RangeUpsideDown));
        }
        Ok((low, high))
    }

    /// `tolerance 2 % + 5 mA`, for a line declared to be a number.
    pub(super) fn tolerance(
        &mut self,
        scan: &mut Scan<'a>,
        is: &Declared,
    ) -> Result<Option<Tolerance>, Fault> {
        scan.skip_blank();
        let start = scan.at();
        let text = scan.rest();
        let unit = match is {
            Declared::Unit(unit) => unit.clone(),
            Declared::Unknown => {
                scan.go(start + text.len());
                return Ok(None);
            }
            Declared::Flag | Declared::Date | Declared::Text => {
                return Err(Fault::new(
                    Span::new(start, start + text.len()),
                    Wrong::OnlyOfNumbers { what: "a tolerance" },
                ));
            }
        };
        let read = Tolerance::read(text, &unit).map_err(|fault| fault.shifted(start))?;
        scan.go(start + text.len());
        Ok(Some(read))
    }

    /// `one of "a", "b"`, `one of 1, 2`, `one of table.column`; the word `one` is taken.
    pub(super) fn one_of(&mut self, scan: &mut Scan<'a>, is: &Declared) -> Result<OneOf, Fault> {
        super::expect_word(scan, "of", "'of'")?;
        if let Some((word, _)) = scan.at_word()
            && !matches!(word, "yes" | "no")
        {
            let (path, at) = scan.expect_path("a table's column")?;
            return Ok(OneOf::Column(Spanned::new(path, at)));
        }
        let mut values = Vec::new();
        loop {
            let value = self.literal(scan)?;
            self.fits(&value, is, "this choice")?;
            values.push(value);
            if scan.skip(",").is_none() {
                super::no_comma_due(scan)?;
                return Ok(OneOf::Values(values));
            }
        }
    }

    /// Takes a value: a number with its unit, a quoted text, a date, `yes`, `no`, or a bare word.
    pub(super) fn literal(&mut self, scan: &mut Scan<'a>) -> Result<Spanned<Literal>, Fault> {
        scan.skip_blank();
        let start = scan.at();
        if scan.peek() == Some('"') {
            let (text, at) = scan.expect_quoted("a text")?;
            return Ok(Spanned::new(Literal::Text(text), at));
        }
        if let Some(length) = date::extent(scan.rest()) {
            let seconds = date::read(&scan.rest()[..length]).map_err(|fault| fault.shifted(start))?;
            scan.go(start + length);
            return Ok(Spanned::new(Literal::Date(seconds), Span::new(start, start + length)));
        }
        if let Some((word, at)) = scan.at_word() {
            scan.go(at.end);
            let literal = match word {
                "yes" | "no" => Literal::Flag(word == "yes"),
                word => Literal::Text(word.to_owned()),
            };
            return Ok(Spanned::new(literal, at));
        }
        if scan.peek().is_some_and(char::is_alphabetic) {
            let found = scan.rest().split([',', '"', '\n']).next().unwrap_or_default().trim_end();
            let at = Span::new(start, start + found.len());
            return Err(Fault::new(at, Wrong::Unquoted { found: found.to_owned() }));
        }
        let (quantity, at) = scan.expect_quantity()?;
        Ok(Spanned::new(Literal::Quantity(quantity), at))
    }

    /// Makes sure that a value is of the kind that a line is declared to be.
    pub(super) fn fits(
        &self,
        value: &Spanned<Literal>,
        is: &Declared,
        what: &'static str,
    ) -> Result<(), Fault> {
        if let Literal::Quantity(quantity) = &value.value {
            return fits_unit(quantity, value.at, is, what);
        }
        agrees(Is::written(&value.value), value.at, is, what)
    }
}

/// Makes sure that a number is in a unit of the kind that a line is declared to be.
fn fits_unit(value: &Quantity, at: Span, is: &Declared, what: &'static str) -> Result<(), Fault> {
    match is {
        Declared::Unit(unit) if lacks_percent(value, unit) => {
            let line = "the line".to_owned();
            Err(Fault::new(at, Wrong::PercentWanted { number: value.number, line, basis: None }))
        }
        _ => agrees(Is::of(&value.unit), at, is, what),
    }
}

fn agrees(found: Is, at: Span, is: &Declared, what: &'static str) -> Result<(), Fault> {
    let wanted = Is::declared(is);
    if found.agrees(wanted) {
        return Ok(());
    }
    let (expected, unit) = match is {
        Declared::Unit(unit) => (wanted.name(), unit.symbol().to_owned()),
        Declared::Text => ("a text in quotes".to_owned(), String::new()),
        Declared::Flag | Declared::Date | Declared::Unknown => (wanted.name(), String::new()),
    };
    Err(Fault::new(at, Wrong::KindDiffers { what, expected, found: found.name(), unit }))
}
