//! A formula written out from its tree.
//!
//! In: a tree. Out: a text that reads back as the same tree, with as few brackets as that needs.
//! Never: shows a value in place of a name (that is `view`).

use std::fmt::{self, Display, Formatter};

use super::{Formula, Part};
use crate::sheet::token::{Leaf, NOT_BINDS, Op, Piece, SIGN_BINDS, WHOLE_BINDS};
use crate::unit::date;

/// How tightly a part binds: that of its operator, or [`WHOLE_BINDS`].
fn binds(part: &Part) -> u8 {
    match part {
        Part::Binary(op, ..) => op.binds(),
        Part::Not(_) => NOT_BINDS,
        Part::Negate(_) => SIGN_BINDS,
        Part::Leaf(Leaf::Quantity(quantity)) if quantity.number.is_sign_negative() => SIGN_BINDS,
        Part::Leaf(_) | Part::Call(..) => WHOLE_BINDS,
    }
}

impl Display for Formula {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        match &self.part {
            Part::Leaf(leaf) => leaf.fmt(f),
            Part::Negate(inner) => {
                f.write_str("-")?;
                // A sign directly before a temperature would become part of it.
                let glued = matches!(&inner.part, Part::Leaf(Leaf::Quantity(q)) if q.unit.is_point());
                bracketed(f, inner, binds(&inner.part) < SIGN_BINDS || glued)
            }
            Part::Not(inner) => {
                f.write_str("not ")?;
                bracketed(f, inner, binds(&inner.part) < NOT_BINDS)
            }
            Part::Binary(op, left, right) => {
                let (left_open, right_open) = sides(*op, &left.part, &right.part);
                bracketed(f, left, left_open)?;
                if *op == Op::Power {
                    f.write_str("^")?
                } else {
                    write!(f, " {} ", op.word())?
                }
                bracketed(f, right, right_open)
            }
            Part::Call(function, values) => {
                write!(f, "{}(", function.name())?;
                for (n, value) in values.iter().enumerate() {
                    if n > 0 {
                        f.write_str(", ")?;
                    }
                    value.fmt(f)?;
                }
                f.write_str(")")
            }
        }
    }
}

/// Returns whether the left and the right side of an operator need brackets.
fn sides(op: Op, left: &Part, right: &Part) -> (bool, bool) {
    let own = op.binds();
    let has_unit = |part: &Part| matches!(part, Part::Leaf(Leaf::Quantity(q)) if !q.unit.is_plain());
    if op == Op::Power {
        let open = |part: &Part| binds(part) < WHOLE_BINDS;
        let right_open = open(right) && !matches!(right, Part::Negate(inner) if !open(&inner.part));
        return (open(left) || has_unit(left), right_open || has_unit(right));
    }
    let chain = op.compares();
    (binds(left) < own || (chain && binds(left) == own), binds(right) <= own)
}

fn bracketed(f: &mut Formatter<'_>, part: &Formula, open: bool) -> fmt::Result {
    if open { write!(f, "({part})") } else { part.fmt(f) }
}

impl Display for Leaf {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        match self {
            Self::Quantity(quantity) => quantity.fmt(f),
            Self::Date(seconds) => f.write_str(&date::show(*seconds)),
            Self::Flag(flag) => f.write_str(if *flag { "yes" } else { "no" }),
            Self::Name(path) => path.fmt(f),
            Self::Text(pieces) => {
                f.write_str("\"")?;
                for piece in pieces {
                    match piece {
                        Piece::Plain(text) => f.write_str(&text.replace('{', "{{").replace('}', "}}"))?,
                        Piece::Value(path, _) => write!(f, "{{{path}}}")?,
                    }
                }
                f.write_str("\"")
            }
        }
    }
}
