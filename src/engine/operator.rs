//! The operators of the language as the engine works them: arithmetic and comparisons apart.
//!
//! In: an operator of a formula. Out: the instruction for it.
//! Never: works one out.

use super::plan::Code;
use crate::sheet::token::Op;

/// An operator that gives a number of two.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Arithmetic {
    /// `+`
    Add,
    /// `-`
    Subtract,
    /// `*`
    Multiply,
    /// `/`
    Divide,
    /// `^`
    Power,
}

/// An operator that gives yes or no of two values.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Comparison {
    /// `<`
    Less,
    /// `<=`
    AtMost,
    /// `>`
    More,
    /// `>=`
    AtLeast,
    /// `==`
    Equal,
    /// `!=`
    Differs,
}

impl Comparison {
    /// Returns the comparison that an operator is; `None`: it is none.
    pub fn known(op: Op) -> Option<Self> {
        if let Code::Compare(comparison, _) = code(op, false) { Some(comparison) } else { None }
    }
}

/// Returns what works an operator; `exact` comparisons allow no rounding noise.
pub(super) fn code(op: Op, exact: bool) -> Code {
    let compare = |comparison| Code::Compare(comparison, exact);
    match op {
        Op::And => Code::And,
        Op::Or => Code::Or,
        Op::Less => compare(Comparison::Less),
        Op::AtMost => compare(Comparison::AtMost),
        Op::More => compare(Comparison::More),
        Op::AtLeast => compare(Comparison::AtLeast),
        Op::Equal => compare(Comparison::Equal),
        Op::Differs => compare(Comparison::Differs),
        Op::Add => Code::Arithmetic(Arithmetic::Add),
        Op::Subtract => Code::Arithmetic(Arithmetic::Subtract),
        Op::Multiply => Code::Arithmetic(Arithmetic::Multiply),
        Op::Divide => Code::Arithmetic(Arithmetic::Divide),
        Op::Power => Code::Arithmetic(Arithmetic::Power),
    }
}
