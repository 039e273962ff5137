//! Formulas: a list of tokens becomes a tree in which every part has its place.
//!
//! In: tokens that the lexer has found well placed. Out: a [`Formula`].
//! Never: knows what a name stands for, or whether units agree.

mod encode;
mod print;
mod walk;

use crate::fault::{Fault, Span};
use crate::sheet::function::Function;
use crate::sheet::lex::lex;
use crate::sheet::scan::Scan;
use crate::sheet::token::{Leaf, Op, Token};

/// A formula, or a part of one.
#[derive(Clone, Debug, PartialEq)]
pub struct Formula {
    /// What it is.
    pub part: Part,
    /// All of its characters, brackets included.
    pub at: Span,
    /// The characters of its operator or word.
    pub word: Span,
}

/// What a part of a formula is.
#[derive(Clone, Debug, PartialEq)]
pub enum Part {
    /// A value or a name.
    Leaf(Leaf),
    /// `-x`
    Negate(Box<Formula>),
    /// `not x`
    Not(Box<Formula>),
    /// Two parts with an operator between them.
    Binary(Op, Box<Formula>, Box<Formula>),
    /// A function of values.
    Call(Function, Vec<Formula>),
}

impl Formula {
    /// Reads the formula that stands at a cursor; the cursor then stands after it.
    ///
    /// # Errors
    /// The first piece that cannot stand where it stands, or reads two ways.
    pub fn read(scan: &mut Scan<'_>) -> Result<Self, Fault> {
        let tokens = lex(scan)?;
        Self::of_tokens(&tokens)
    }

    /// Makes the tree of a list of tokens.
    ///
    /// # Errors
    /// Chained comparisons and powers, which read two ways.
    pub fn of_tokens(tokens: &[Token]) -> Result<Self, Fault> {
        walk::walk(tokens, &encode::encode(tokens))
    }
}
