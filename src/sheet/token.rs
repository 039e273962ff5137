//! The pieces of a formula.
//!
//! In: nothing. Out: the types that the lexer makes and the walk takes.
//! Never: reads text.

use crate::fault::Span;
use crate::sheet::function::Function;
use crate::unit::Quantity;

/// A piece of a formula with its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Token {
    /// What it is.
    pub kind: TokenKind,
    /// Its characters.
    pub at: Span,
}

/// What a piece of a formula is.
#[derive(Clone, Debug, PartialEq)]
pub enum TokenKind {
    /// A value or a name.
    Leaf(Leaf),
    /// A function's word; a bracket follows.
    Call(Function),
    /// `(`
    Open,
    /// `)`
    Close,
    /// `,`
    Comma,
    /// `-` before a value.
    Minus,
    /// `not`
    Not,
    /// An operator between two values.
    Binary(Op),
}

/// A value or a name, as written.
#[derive(Clone, Debug, PartialEq)]
pub enum Leaf {
    /// A number with its unit.
    Quantity(Quantity),
    /// A quoted text.
    Text(Vec<Piece>),
    /// A day, or a day and a time, in seconds since 1970 on the site's clock.
    Date(f64),
    /// `yes` or `no`.
    Flag(bool),
    /// The name of a line, with its schedule or sheet before it.
    Name(Path),
}

/// A part of a quoted text.
#[derive(Clone, Debug, PartialEq)]
pub enum Piece {
    /// Characters as they stand.
    Plain(String),
    /// `{name}`: the value of a line.
    Value(Path, Span),
}

/// A name with what stands before it: `load`, `cable.load`, `standby.equipment.load`.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Path(pub Vec<String>);

impl std::fmt::Display for Path {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        for (n, part) in self.0.iter().enumerate() {
            let dot = if n > 0 { "." } else { "" };
            if part.chars().all(crate::fault::is_of_name) {
                write!(f, "{dot}{part}")?;
            } else {
                write!(f, "{dot}\"{part}\"")?;
            }
        }
        Ok(())
    }
}

/// An operator between two values.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Op {
    /// `or`
    Or,
    /// `and`
    And,
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

impl Op {
    /// Every operator, longest spelling first.
    pub const ALL: [Self; 13] = [
        Self::AtMost,
        Self::AtLeast,
        Self::Equal,
        Self::Differs,
        Self::Less,
        Self::More,
        Self::Add,
        Self::Subtract,
        Self::Multiply,
        Self::Divide,
        Self::Power,
        Self::And,
        Self::Or,
    ];

    /// Returns how the operator is written.
    pub fn word(self) -> &'static str {
        match self {
            Self::Or => "or",
            Self::And => "and",
            Self::Less => "<",
            Self::AtMost => "<=",
            Self::More => ">",
            Self::AtLeast => ">=",
            Self::Equal => "==",
            Self::Differs => "!=",
            Self::Add => "+",
            Self::Subtract => "-",
            Self::Multiply => "*",
            Self::Divide => "/",
            Self::Power => "^",
        }
    }

    /// Returns whether the operator compares its two sides.
    pub fn compares(self) -> bool {
        matches!(self, Self::Less | Self::AtMost | Self::More | Self::AtLeast | Self::Equal | Self::Differs)
    }

    /// Returns how tightly the operator binds: 1 is loosest. `not` stands at [`NOT_BINDS`], a sign at [`SIGN_BINDS`].
    pub fn binds(self) -> u8 {
        match self {
            Self::Or => 1,
            Self::And => 2,
            Self::Less | Self::AtMost | Self::More | Self::AtLeast | Self::Equal | Self::Differs => 4,
            Self::Add | Self::Subtract => 5,
            Self::Multiply | Self::Divide => 6,
            Self::Power => 8,
        }
    }
}

/// How tightly `not` binds.
pub const NOT_BINDS: u8 = 3;
/// How tightly the sign before a value binds.
pub const SIGN_BINDS: u8 = 7;
/// How tightly what never needs brackets binds.
pub const WHOLE_BINDS: u8 = 9;
