//! `example`: a worked example with what goes in and what must come out.
//!
//! In: a cursor after the word, and the blocks under it. Out: an [`Example`] of the draft.
//! Never: works it (that is `wattle proof`).

use super::Reader;
use super::detail::{EXAMPLE, Twice};
use crate::fault::{Fault, Span, Spanned};
use crate::sheet::layout::Block;
use crate::sheet::scan::Scan;
use crate::sheet::statement::{Example, Expect, Literal, Setting};
use crate::sheet::wrong::Wrong;
use crate::unit::date;

impl<'a> Reader<'a> {
    pub(super) fn example(&mut self, mut scan: Scan<'a>, block: &Block) -> Result<(), Fault> {
        let (name, at) = scan.expect_quoted("the example's name, in quotes")?;
        scan.expect_end()?;
        let mut example = Example {
            name: Spanned::new(name, at),
            basis: None,
            on: None,
            given: Vec::new(),
            take: Vec::new(),
            rows: Vec::new(),
            unread: Vec::new(),
            expect: Vec::new(),
            by: None,
            note: None,
        };
        let mut failed = false;
        let common = self.details(block, &EXAMPLE, |reader, word, scan| {
            let read = reader.of_example(&mut example, word, scan);
            read.inspect_err(|_| failed |= word == "expect")
        });
        (example.by, example.note) = (common.by, common.note);
        if example.by.is_none() {
            let wrong = Wrong::DetailWanted {
                of: EXAMPLE.name,
                what: "by",
                cure: "write under it: by SOURCE \"page\", or by hand",
            };
            self.faults.add(Fault::new(at, wrong));
        }
        if example.expect.is_empty() && !failed {
            let wrong = Wrong::DetailWanted {
                of: EXAMPLE.name,
                what: "expect",
                cure: "write under it: expect NAME = VALUE",
            };
            self.faults.add(Fault::new(at, wrong));
        }
        self.draft.examples.push(example);
        Ok(())
    }

    fn of_example(&mut self, example: &mut Example, word: &str, scan: &mut Scan<'a>) -> Result<Twice, Fault> {
        match word {
            "basis" => {
                let (name, at) = scan.expect_name("the name of a basis")?;
                return Ok(example.basis.replace(Spanned::new(name, at)).map(|_| "basis"));
            }
            "on" => {
                scan.skip_blank();
                let at = Span::new(scan.at(), scan.at() + scan.rest().trim_end().len());
                if date::extent(scan.rest()).is_none() {
                    let (what, found) = ("a date, like 2026-11-25,", self.text[at.range()].to_owned());
                    return Err(Fault::new(at, Wrong::Expected { what, found }));
                }
                let value = self.literal(scan)?;
                let Literal::Date(seconds) = value.value else { return Ok(None) };
                return Ok(example.on.replace(seconds).map(|_| "on"));
            }
            "given" => example.given.push(self.setting(scan)?),
            "take" => example.take.push(self.setting(scan)?),
            "row" => {
                let (schedule, at) = scan.expect_name("the name of a schedule")?;
                if scan.skip("=").is_some() {
                    return Err(Fault::new(at, Wrong::RowOfNothing { column: schedule }));
                }
                let mut cells = Vec::new();
                let read = self.cells(&mut cells, scan);
                // What could not be read of it is not missed below.
                example.unread.extend(read.is_err().then(|| schedule.clone()));
                example.rows.push((Spanned::new(schedule, at), cells));
                read?;
            }
            _ => example.expect.push(self.expect(scan)?),
        }
        Ok(None)
    }

    fn cells(&mut self, cells: &mut Vec<Setting>, scan: &mut Scan<'a>) -> Result<(), Fault> {
        while !scan.is_done() {
            cells.push(self.setting(scan)?);
            if scan.skip(",").is_none() {
                return super::no_comma_due(scan);
            }
        }
        Ok(())
    }

    fn setting(&mut self, scan: &mut Scan<'a>) -> Result<Setting, Fault> {
        let (name, at) = scan.expect_name("the name of a line")?;
        self.equals(scan)?;
        Ok((Spanned::new(name, at), self.literal(scan)?))
    }

    fn equals(&self, scan: &mut Scan<'a>) -> Result<(), Fault> {
        if scan.skip("=").is_some() {
            return Ok(());
        }
        let at = scan.next_piece();
        Err(Fault::new(at, Wrong::Expected { what: "'='", found: self.text[at.range()].to_owned() }))
    }

    fn expect(&mut self, scan: &mut Scan<'a>) -> Result<Expect, Fault> {
        let (path, at) = scan.expect_path("the name of a line")?;
        self.equals(scan)?;
        let value = self.literal(scan)?;
        if let Some(at) = scan.skip("+/-") {
            return Err(Fault::new(at, Wrong::Meant { found: "+/-".to_owned(), near: "+-" }));
        }
        let slack = match scan.skip("+-").or_else(|| scan.skip("\u{b1}")) {
            Some(_) => Some(scan.expect_quantity().map(|(slack, at)| Spanned::new(slack, at))?),
            None => None,
        };
        Ok(Expect { path: Spanned::new(path, at), value, slack })
    }
}
