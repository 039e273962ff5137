//! The lines of a worked example on paper: `given`, `take`, `find`, `must`, `should`.
//!
//! In: a cursor after the statement's word, and the blocks under it. Out: a line of the draft.
//! Never: drops a line whose unit is unknown: it is kept, so that its name is not missed below.

use super::{PageKind, Reader, detail};
use crate::fault::{Fault, Kind, Span, Spanned};
use crate::sheet::formula::Formula;
use crate::sheet::layout::Block;
use crate::sheet::scan::Scan;
use crate::sheet::statement::{Body, Branch, Declared, LineDraft, Literal, MOST_BRANCHES, OneOf};
use crate::sheet::wrong::{Limit, Wrong};
use crate::unit::Unit;

/// What a line is declared to be, its value, whether it comes from the basis, and its label.
type Head = (Declared, Option<Spanned<Literal>>, bool, String);

impl<'a> Reader<'a> {
    /// Reads a line; `schedule` is given for a column.
    pub(super) fn line(
        &mut self,
        word: &str,
        mut scan: Scan<'a>,
        block: &Block,
        schedule: Option<usize>,
    ) -> Result<(), Fault> {
        let name = self.own_name(&mut scan, "a name")?;
        // A head that cannot be read still gives its line, so that the name is not missed below.
        let head = self.head(word, &mut scan);
        let (is, value, from_basis, label) =
            self.faults.keep(head).unwrap_or((Declared::Unknown, None, true, String::new()));
        let mut line = LineDraft {
            name,
            label,
            is,
            body: Body::Find(Vec::new()),
            by: None,
            when: None,
            note: None,
            schedule,
        };
        match word {
            "given" => self.given(&mut line, value, block),
            "take" => self.take(&mut line, value, from_basis, block),
            "find" => self.find(&mut line, block),
            _ => self.limit(&mut line, word == "must", block),
        }
        self.push_line(line);
        Ok(())
    }

    fn head(&mut self, word: &str, scan: &mut Scan<'a>) -> Result<Head, Fault> {
        let (is, value, from_basis) = match word {
            "given" => self.given_value(scan)?,
            "take" => self.take_value(scan)?,
            "find" => (self.declared(scan), None, false),
            _ => (Declared::Flag, None, false),
        };
        let label = scan.expect_quoted("a label, in quotes");
        // Behind a unit that cannot be read anything may stand.
        if is == Declared::Unknown && label.is_err() {
            return Ok((is, value, from_basis, String::new()));
        }
        let (label, _) = label?;
        scan.expect_end()?;
        Ok((is, value, from_basis, label))
    }

    /// What stands in a unit's place: a unit, `flag`, `date`, `text`, or nothing.
    fn declared(&mut self, scan: &mut Scan<'a>) -> Declared {
        scan.skip_blank();
        match scan.at_word() {
            Some(("flag", at)) => {
                scan.go(at.end);
                Declared::Flag
            }
            Some(("date", at)) => {
                scan.go(at.end);
                Declared::Date
            }
            Some(("text", at)) => {
                scan.go(at.end);
                Declared::Text
            }
            Some(("from", _)) => Declared::Unit(Unit::plain()),
            _ if matches!(scan.peek(), None | Some('"')) => Declared::Unit(Unit::plain()),
            _ => match scan.expect_unit() {
                Ok(unit) => Declared::Unit(unit),
                Err(fault) => {
                    self.faults.add(fault);
                    Declared::Unknown
                }
            },
        }
    }

    /// `? UNIT`, or a default.
    fn given_value(
        &mut self,
        scan: &mut Scan<'a>,
    ) -> Result<(Declared, Option<Spanned<Literal>>, bool), Fault> {
        if scan.skip("?").is_some() {
            return Ok((self.declared(scan), None, false));
        }
        scan.skip_blank();
        let mut ahead = scan.clone();
        let kind = |word| matches!(word, Some(("flag" | "date" | "text", _)));
        let is_unit =
            scan.peek().is_some_and(|c| c.is_alphabetic() || c == '%') && ahead.expect_unit().is_ok();
        if is_unit || kind(scan.at_word()) {
            let at = scan.next_piece();
            let at = if is_unit { Span::new(at.start, ahead.at()) } else { at };
            return Err(Fault::new(at, Wrong::KindAlone { found: self.text[at.range()].to_owned() }));
        }
        let default = self.written_value(scan)?;
        if let Literal::Flag(_) = default.value {
            self.faults.add(Fault::new(default.at, Wrong::FlagDefault));
        }
        Ok((kind_of(&default.value), Some(default), false))
    }

    /// A value, `UNIT from basis`, or in a basis `? UNIT`.
    fn take_value(
        &mut self,
        scan: &mut Scan<'a>,
    ) -> Result<(Declared, Option<Spanned<Literal>>, bool), Fault> {
        if let Some(at) = scan.skip("?") {
            if self.kind == PageKind::Sheet {
                self.faults.add(Fault::new(at, Wrong::OpenTake));
            }
            return Ok((self.declared(scan), None, false));
        }
        scan.skip_blank();
        let literal =
            scan.peek().is_some_and(|c| c.is_ascii_digit() || matches!(c, '"' | '-' | '\u{2212}' | '.'))
                || matches!(scan.at_word(), Some(("yes" | "no", _)));
        if literal {
            let value = self.written_value(scan)?;
            return Ok((kind_of(&value.value), Some(value), false));
        }
        let is_basis = self.kind == PageKind::Basis;
        let wanted = if is_basis { "a value, or ? and a unit," } else { "a value, or 'from basis'" };
        if let Some((word @ "without", at)) = scan.at_word() {
            return Err(Fault::new(at, Wrong::Expected { what: wanted, found: word.to_owned() }));
        }
        let is = self.declared(scan);
        let from = scan.here();
        super::expect_word(scan, "from", wanted)?;
        super::expect_word(scan, "basis", "'basis'")?;
        if is_basis {
            self.faults.add(Fault::new(Span::new(from.start, scan.at()), Wrong::TakeOfBasis));
        }
        Ok((is, None, true))
    }

    /// A value in the head of a line; a bare word is none.
    fn written_value(&mut self, scan: &mut Scan<'a>) -> Result<Spanned<Literal>, Fault> {
        let value = self.literal(scan)?;
        let is_label = matches!(value.value, Literal::Text(_)) && scan.is_done();
        let is_word =
            matches!(value.value, Literal::Text(_)) && !self.text[value.at.range()].starts_with('"');
        if is_label || is_word {
            let found = self.text[value.at.range()].to_owned();
            return Err(Fault::new(value.at, Wrong::Expected { what: "a value, or ? and a unit", found }));
        }
        Ok(value)
    }

    fn given(&mut self, line: &mut LineDraft, default: Option<Spanned<Literal>>, block: &Block) {
        let (mut within, mut tolerance, mut one_of, mut doubtful) = (None, None, None, false);
        let is = line.is.clone();
        let common = self.details(block, &detail::GIVEN, |reader, word, scan| {
            Ok(match word {
                "within" => {
                    let read = reader.within(scan, &is).inspect_err(|fault| doubtful |= differs(fault))?;
                    within.replace(read).map(|_| "within")
                }
                "tolerance" => {
                    std::mem::replace(&mut tolerance, reader.tolerance(scan, &is)?).map(|_| "tolerance")
                }
                _ => {
                    let read = reader.one_of(scan, &is).inspect_err(|fault| doubtful |= differs(fault))?;
                    one_of.replace(read).map(|_| "one of")
                }
            })
        });
        // Which of the two is meant nobody knows: nothing below complains of either.
        if doubtful {
            line.is = Declared::Unknown;
        }
        if let Some(default) = &default {
            self.default_fits(default, within.as_ref(), one_of.as_ref());
        }
        (line.by, line.when, line.note) = (common.by, common.when, common.note);
        line.body = Body::Given { default, within, tolerance, one_of };
    }

    fn default_fits(
        &mut self,
        default: &Spanned<Literal>,
        within: Option<&(crate::unit::Quantity, crate::unit::Quantity)>,
        one_of: Option<&OneOf>,
    ) {
        if let (Literal::Quantity(value), Some((low, high))) = (&default.value, within)
            && !(low.si()..=high.si()).contains(&value.si())
        {
            let wrong = Wrong::NotWithin { value: value.to_string(), range: format!("{low} .. {high}") };
            self.faults.add(Fault::new(default.at, wrong));
        }
        if let Some(OneOf::Values(values)) = one_of
            && !values.iter().any(|value| same(&value.value, &default.value))
        {
            let value = self.text[default.at.range()].to_owned();
            self.faults.add(Fault::new(default.at, Wrong::NotOneOf { value }));
        }
    }

    fn take(
        &mut self,
        line: &mut LineDraft,
        value: Option<Spanned<Literal>>,
        from_basis: bool,
        block: &Block,
    ) {
        let common = self.details(block, &detail::TAKE, |_, _, _| Ok(None));
        (line.by, line.when, line.note) = (common.by, common.when, common.note);
        if let (true, Some(by), Declared::Unit(_) | Declared::Flag | Declared::Date | Declared::Text) =
            (from_basis, &line.by, &line.is)
        {
            self.faults.add(Fault::new(by.source.at, Wrong::SourceOfBasis));
        }
        line.body = Body::Take { value, from_basis };
    }

    fn find(&mut self, line: &mut LineDraft, block: &Block) {
        let mut branches: Vec<Branch> = Vec::new();
        let mut otherwise = false;
        let mut failed = false;
        let common = self.details(block, &detail::FIND, |reader, _, scan| {
            let start = scan.here();
            let branch = reader.branch(scan, &mut otherwise).inspect_err(|_| failed = true)?;
            if branches.len() >= MOST_BRANCHES {
                failed = true;
                return Err(Fault::new(start, Wrong::TooMuch(Limit::Branches)));
            }
            branches.push(branch);
            Ok(None)
        });
        let at = line.name.at;
        let second = branches.windows(2).find(|pair| pair[0].condition.is_none());
        if let (Some([_, second]), false) = (second, failed || otherwise) {
            self.faults.add(Fault::new(second.formula.at, Wrong::SecondFormula));
            failed = true;
        }
        match branches.last() {
            None if !failed && line.is != Declared::Unknown => {
                let wrong = Wrong::DetailWanted {
                    of: detail::FIND.name,
                    what: "=",
                    cure: "write under it: = a formula",
                };
                self.faults.add(Fault::new(at, wrong));
            }
            Some(last) if last.condition.is_some() && !failed => {
                self.faults.add(Fault::new(last.formula.at, Wrong::OtherwiseWanted));
            }
            Some(_) if branches.len() > 1 && !otherwise && !failed => {
                self.faults.add(Fault::new(at, Wrong::OtherwiseWanted));
            }
            None | Some(_) => {}
        }
        (line.by, line.when, line.note) = (common.by, common.when, common.note);
        line.body = Body::Find(branches);
    }

    /// `= formula`, `= formula where condition`, `= formula otherwise`.
    fn branch(&mut self, scan: &mut Scan<'a>, otherwise: &mut bool) -> Result<Branch, Fault> {
        if *otherwise {
            return Err(Fault::new(scan.here(), Wrong::OtherwiseLast));
        }
        let formula = Formula::read(scan)?.into();
        let condition = if scan.skip_word("where").is_some() {
            Some(Formula::read(scan)?.into())
        } else {
            *otherwise = scan.skip_word("otherwise").is_some();
            None
        };
        scan.expect_end()?;
        Ok(Branch { formula, condition })
    }

    fn limit(&mut self, line: &mut LineDraft, must: bool, block: &Block) {
        let (mut that, mut remedy, mut failed) = (None, None, false);
        let common = self.details(block, &detail::LIMIT, |reader, word, scan| {
            Ok(if word == "that" {
                let read = reader.formula(scan).inspect_err(|_| failed = true)?;
                that.replace(read.into()).map(|_| "that")
            } else {
                remedy.replace(scan.expect_template("what to do, in quotes")?.0).map(|_| "remedy")
            })
        });
        if that.is_none() && !failed && line.is != Declared::Unknown {
            let wrong = Wrong::DetailWanted {
                of: detail::LIMIT.name,
                what: "that",
                cure: "write under it: that a condition",
            };
            self.faults.add(Fault::new(line.name.at, wrong));
        }
        (line.by, line.when, line.note) = (common.by, common.when, common.note);
        line.body = Body::Limit { must, that, remedy };
    }
}

/// Returns whether a fault says that a detail is of another kind than its line.
fn differs(fault: &Fault) -> bool {
    matches!(fault.kind, Kind::Text(Wrong::KindDiffers { .. }))
}

fn kind_of(value: &Literal) -> Declared {
    match value {
        Literal::Quantity(quantity) => Declared::Unit(quantity.unit.clone()),
        Literal::Text(_) => Declared::Text,
        Literal::Date(_) => Declared::Date,
        Literal::Flag(_) => Declared::Flag,
    }
}

/// Returns whether two values are the same, whatever unit they are written in.
pub(super) fn same(left: &Literal, right: &Literal) -> bool {
    match (left, right) {
        (Literal::Quantity(left), Literal::Quantity(right)) => left.si() == right.si(),
        (left, right) => left == right,
    }
}
