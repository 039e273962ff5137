//! The formula as text for the expression library: each operand is a placeholder.
//!
//! In: tokens. Out: a text in which nothing of the person's own stands.
//! Never: loses an order of working; where the library binds differently, brackets go in.

use crate::sheet::token::{Op, Token, TokenKind};

/// Returns the text. Every piece is fenced by spaces, so that none can run together with the next.
///
/// `not` is looser than a comparison here and tighter in the library: brackets settle it. They close
/// before the next `and`, `or`, comma or bracket of the same depth, which is all that is looser.
pub(super) fn encode(tokens: &[Token]) -> String {
    let mut out = String::with_capacity(tokens.len() * 5);
    let mut nots = vec![0_usize];
    for (n, token) in tokens.iter().enumerate() {
        let ends_not =
            matches!(token.kind, TokenKind::Binary(Op::And | Op::Or) | TokenKind::Comma | TokenKind::Close);
        if ends_not && let Some(open) = nots.last_mut() {
            out += &") ".repeat(std::mem::take(open));
        }
        match &token.kind {
            TokenKind::Leaf(_) | TokenKind::Call(_) => out += &format!("p{n}"),
            TokenKind::Not => {
                out += "! (";
                if let Some(open) = nots.last_mut() {
                    *open += 1;
                }
            }
            TokenKind::Open => {
                out += "(";
                nots.push(0);
            }
            TokenKind::Close => {
                out += ")";
                nots.pop();
            }
            TokenKind::Comma => out += ",",
            TokenKind::Minus => out += "-",
            TokenKind::Binary(op) => out += library_word(*op),
        }
        out += " ";
    }
    out + &") ".repeat(nots.first().copied().unwrap_or(0))
}

fn library_word(op: Op) -> &'static str {
    match op {
        Op::Or => "||",
        Op::And => "&&",
        Op::Less
        | Op::AtMost
        | Op::More
        | Op::AtLeast
        | Op::Equal
        | Op::Differs
        | Op::Add
        | Op::Subtract
        | Op::Multiply
        | Op::Divide
        | Op::Power => op.word(),
    }
}
