//! Details: the lines indented under a statement.
//!
//! In: the blocks under a statement and the words it knows. Out: what all statements share (`by`, `when`,
//! `note`); the statement's own details go to the closure it brings.
//! Never: stops at the first fault.

use std::sync::Arc;

use super::Reader;
use crate::fault::{Fault, Span, Spanned, near};
use crate::sheet::formula::Formula;
use crate::sheet::layout::Block;
use crate::sheet::scan::Scan;
use crate::sheet::statement::{By, Declared, Literal, OneOf, lacks_percent};
use crate::sheet::wrong::Wrong;
use crate::unit::{Quantity, Tolerance, Unit, date};

/// The word of a detail that is there a second time.
pub(super) type Twice = Option<&'static str>;

/// The details that any statement may have.
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
        of: &'static str,
        known: &[&'static str],
        own: impl FnMut(&mut Self, &str, &mut Scan<'a>) -> Result<Twice, Fault>,
    ) -> Common {
        self.details_of(&block.inner.iter().collect::<Vec<_>>(), of, known, own)
    }

    /// Reads the details that stand in some blocks.
    pub(super) fn details_of(
        &mut self,
        blocks: &[&Block],
        of: &'static str,
        known: &[&'static str],
        mut own: impl FnMut(&mut Self, &str, &mut Scan<'a>) -> Result<Twice, Fault>,
    ) -> Common {
        let mut common = Common::default();
        for block in blocks.iter().filter(|block| !block.is_misplaced) {
            let mut scan = Scan::new(self.text, block.at);
            let word = scan.next_piece();
            scan.go(word.end);
            let found = &self.text[word.range()];
            let line = ["a given", "a take", "a find", "a limit", "a schedule"].contains(&of);
            let read = if known.contains(&found) {
                own(self, found, &mut scan)
            } else {
                let read =
                    if found == "when" && !line { None } else { self.common(&mut common, found, &mut scan) };
                read.unwrap_or_else(|| {
                    let shared = ["by", "note"].into_iter().chain(line.then_some("when"));
                    // As they are written: the first word alone would be looked for in vain.
                    let whole = |word| match word {
                        "one" => "one of",
                        "may" => "may be empty",
                        word => word,
                    };
                    let known: Vec<_> = known.iter().copied().chain(shared).map(whole).collect();
                    let near = near(found, known.iter().copied());
                    Err(Fault::new(word, Wrong::UnknownDetail { found: found.to_owned(), of, near, known }))
                })
            };
            let read = read.and_then(|twice| self.ends(&mut scan).map(|()| twice));
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

    /// Reads `by`, `when` or `note`; `None` for any other word.
    fn common(
        &mut self,
        common: &mut Common,
        word: &str,
        scan: &mut Scan<'a>,
    ) -> Option<Result<Twice, Fault>> {
        match word {
            "by" => Some(match self.by(scan) {
                Ok(by) => Ok(common.by.replace(by).map(|_| "by")),
                Err(fault) => {
                    // One that cannot be read is one all the same: that it is missing would be a second fault.
                    common.by.get_or_insert_with(|| By::practice(fault.at));
                    Err(fault)
                }
            }),
            "when" => Some(self.formula(scan).map(|when| common.when.replace(when.into()).map(|_| "when"))),
            "note" => {
                let note = scan.expect_quoted("a remark, in quotes");
                Some(note.map(|(note, _)| common.note.replace(note).map(|_| "note")))
            }
            _ => None,
        }
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
        self.ends(scan)?;
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
        self.fits_unit(&low, low_at, is, "this end")?;
        self.fits_unit(&high, high_at, is, "this end")?;
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
            return match text.is_empty() {
                true => Err(Fault::new(at, Wrong::EmptyText)),
                false => Ok(Spanned::new(Literal::Text(text), at)),
            };
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
        let (expected, found) = match (&value.value, is) {
            (_, Declared::Unknown)
            | (Literal::Text(_), Declared::Text)
            | (Literal::Date(_), Declared::Date)
            | (Literal::Flag(_), Declared::Flag) => return Ok(()),
            (Literal::Quantity(quantity), Declared::Unit(_)) => {
                return self.fits_unit(quantity, value.at, is, what);
            }
            (literal, is) => (declared_name(is), literal_name(literal)),
        };
        let unit = match is {
            Declared::Unit(unit) => unit.symbol().to_owned(),
            Declared::Flag | Declared::Date | Declared::Text | Declared::Unknown => String::new(),
        };
        Err(Fault::new(value.at, Wrong::KindDiffers { what, expected, found, unit }))
    }

    fn fits_unit(&self, value: &Quantity, at: Span, is: &Declared, what: &'static str) -> Result<(), Fault> {
        let Declared::Unit(unit) = is else { return Ok(()) };
        if lacks_percent(value, unit) {
            let line = "the line".to_owned();
            return Err(Fault::new(at, Wrong::PercentWanted { number: value.number, line, basis: None }));
        }
        if unit.dimension() == value.unit.dimension() && unit.is_point() == value.unit.is_point() {
            return Ok(());
        }
        let (expected, found) = (unit_name(unit), unit_name(&value.unit));
        let unit = unit.symbol().to_owned();
        Err(Fault::new(at, Wrong::KindDiffers { what, expected, found, unit }))
    }
}

fn unit_name(unit: &Unit) -> String {
    if unit.is_point() { "a temperature".to_owned() } else { unit.dimension().name() }
}

fn declared_name(is: &Declared) -> String {
    match is {
        Declared::Unit(unit) => unit_name(unit),
        Declared::Flag => "yes or no".to_owned(),
        Declared::Date => "a date".to_owned(),
        Declared::Text => "a text in quotes".to_owned(),
        Declared::Unknown => "a value".to_owned(),
    }
}

fn literal_name(literal: &Literal) -> String {
    match literal {
        Literal::Quantity(quantity) => unit_name(&quantity.unit),
        Literal::Flag(_) => "yes or no".to_owned(),
        Literal::Date(_) => "a date".to_owned(),
        Literal::Text(_) => "a text".to_owned(),
    }
}
