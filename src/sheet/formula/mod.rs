//! Formulas: a list of tokens becomes a tree in which every part has its place.
//!
//! In: tokens that the lexer has found well placed. Out: a [`Formula`].
//! Never: knows what a name stands for, or whether units agree.

mod encode;
mod print;
mod walk;
mod wrong;

pub use wrong::Wrong;

use crate::fault::{Fault, Span};
use crate::sheet::function::Function;
use crate::sheet::lex::lex;
use crate::sheet::scan::Scan;
use crate::sheet::token::{Leaf, Op, Path, Piece, Token};

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

    /// Returns the formula with its names replaced where `leaf` knows better: by their values, for showing.
    pub fn put_in(&self, leaf: &dyn Fn(&Path) -> Option<Leaf>) -> Self {
        let boxed = |inner: &Self| Box::new(inner.put_in(leaf));
        let part = match &self.part {
            Part::Leaf(Leaf::Name(path)) => {
                Part::Leaf(leaf(path).unwrap_or_else(|| Leaf::Name(path.clone())))
            }
            Part::Leaf(other) => Part::Leaf(other.clone()),
            Part::Negate(inner) => Part::Negate(boxed(inner)),
            Part::Not(inner) => Part::Not(boxed(inner)),
            Part::Binary(op, left, right) => Part::Binary(*op, boxed(left), boxed(right)),
            // A total along rows is not made of this row's value alone: its names stay.
            Part::Call(Function::Running | Function::Onward, _) => self.part.clone(),
            Part::Call(function, values) => {
                Part::Call(*function, values.iter().map(|value| value.put_in(leaf)).collect())
            }
        };
        Self { part, at: self.at, word: self.word }
    }

    /// Returns whether it names anything.
    pub fn names_something(&self) -> bool {
        let mut any = false;
        self.each_name(&mut |_| any = true);
        any
    }

    /// Calls `visit` with every name in it, in reading order.
    pub fn each_name(&self, visit: &mut dyn FnMut(&Path)) {
        self.each_place(&mut |path, _| visit(path));
    }

    /// Calls `visit` with every name in it and its characters, in reading order.
    pub fn each_place(&self, visit: &mut dyn FnMut(&Path, Span)) {
        match &self.part {
            Part::Leaf(Leaf::Name(path)) => visit(path, self.at),
            Part::Leaf(Leaf::Text(pieces)) => {
                for piece in pieces {
                    if let Piece::Value(path, at) = piece {
                        visit(path, *at);
                    }
                }
            }
            Part::Leaf(Leaf::Quantity(_) | Leaf::Date(_) | Leaf::Flag(_)) => {}
            Part::Negate(inner) | Part::Not(inner) => inner.each_place(visit),
            Part::Binary(_, left, right) => {
                left.each_place(visit);
                right.each_place(visit);
            }
            Part::Call(_, values) => values.iter().for_each(|value| value.each_place(visit)),
        }
    }

    /// Makes the tree of a list of tokens.
    ///
    /// # Errors
    /// Chained comparisons and powers, which read two ways.
    pub fn of_tokens(tokens: &[Token]) -> Result<Self, Fault> {
        walk::walk(tokens, &encode::encode(tokens))
    }
}
