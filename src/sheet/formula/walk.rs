//! The library's operator tree, walked in reading order beside our tokens.
//!
//! In: tokens and their text for the library. Out: our tree, each part with its exact characters.
//! Never: trusts the library: every node must take its own token, so a tree that is not the formula read
//! in order is refused, not miscompiled.

use evalexpr::{Node, Operator as Lib};

use super::{Formula, Part, Wrong};
use crate::fault::{Fault, Span};
use crate::sheet::token::{Op, Token, TokenKind};

/// Makes the tree of `tokens`, whose text for the library is `encoded`.
pub(super) fn walk(tokens: &[Token], encoded: &str) -> Result<Formula, Fault> {
    let all = match (tokens.first(), tokens.last()) {
        (Some(first), Some(last)) => first.at.to(last.at),
        _ => Span::default(),
    };
    let misread = || Fault::new(all, Wrong::Misread);
    let tree = evalexpr::build_operator_tree(encoded).map_err(|_| misread())?;
    let [top] = tree.children() else { return Err(misread()) };
    let mut walk = Walk { tokens, at: 0 };
    let formula = walk.formula(top)?;
    if walk.at == tokens.len() { Ok(formula) } else { Err(misread()) }
}

struct Walk<'a> {
    tokens: &'a [Token],
    at: usize,
}

impl Walk<'_> {
    fn misread(&self) -> Fault {
        Fault::new(self.tokens.get(self.at).map_or(Span::default(), |token| token.at), Wrong::Misread)
    }

    /// Takes the next token if it is what the node stands for.
    fn take(&mut self, wanted: impl Fn(&TokenKind) -> bool) -> Result<(usize, Span), Fault> {
        match self.tokens.get(self.at) {
            Some(token) if wanted(&token.kind) => {
                self.at += 1;
                Ok((self.at - 1, token.at))
            }
            _ => Err(self.misread()),
        }
    }

    fn formula(&mut self, node: &Node) -> Result<Formula, Fault> {
        match (node.operator(), node.children()) {
            (Lib::VariableIdentifierRead { identifier }, []) => self.leaf(identifier),
            (Lib::FunctionIdentifier { identifier }, [root]) => self.call(identifier, root),
            (Lib::RootNode, [inner]) => self.bracket(inner),
            (Lib::Neg, [inner]) => {
                let (_, word) = self.take(|kind| *kind == TokenKind::Minus)?;
                let inner = self.formula(inner)?;
                Ok(Formula { at: word.to(inner.at), part: Part::Negate(inner.into()), word })
            }
            (Lib::Not, [root]) => {
                let [inner] = root.children() else { return Err(self.misread()) };
                let (_, word) = self.take(|kind| *kind == TokenKind::Not)?;
                let inner = self.formula(inner)?;
                Ok(Formula { at: word.to(inner.at), part: Part::Not(inner.into()), word })
            }
            (operator, [left, right]) => match binary(operator) {
                Some(op) => self.binary(op, left, right),
                None => Err(self.misread()),
            },
            _ => Err(self.misread()),
        }
    }

    fn leaf(&mut self, identifier: &str) -> Result<Formula, Fault> {
        let tokens = self.tokens;
        let (n, at) = self.take(|kind| matches!(kind, TokenKind::Leaf(_)))?;
        match &tokens[n].kind {
            TokenKind::Leaf(leaf) if identifier == format!("p{n}") => {
                Ok(Formula { part: Part::Leaf(leaf.clone()), at, word: at })
            }
            _ => Err(self.misread()),
        }
    }

    fn call(&mut self, identifier: &str, root: &Node) -> Result<Formula, Fault> {
        let (n, word) = self.take(|kind| matches!(kind, TokenKind::Call(_)))?;
        let TokenKind::Call(function) = self.tokens[n].kind else { return Err(self.misread()) };
        if identifier != format!("p{n}") || *root.operator() != Lib::RootNode {
            return Err(self.misread());
        }
        self.take(|kind| *kind == TokenKind::Open)?;
        let mut values = Vec::new();
        match root.children() {
            [] => {}
            [tuple] if *tuple.operator() == Lib::Tuple => {
                for (k, item) in tuple.children().iter().enumerate() {
                    if k > 0 {
                        self.take(|kind| *kind == TokenKind::Comma)?;
                    }
                    let [item] = item.children() else { return Err(self.misread()) };
                    values.push(self.formula(item)?);
                }
            }
            [one] => values.push(self.formula(one)?),
            _ => return Err(self.misread()),
        }
        let (_, close) = self.take(|kind| *kind == TokenKind::Close)?;
        Ok(Formula { part: Part::Call(function, values), at: word.to(close), word })
    }

    /// A pair of brackets is no part of ours: the span of what it holds widens.
    fn bracket(&mut self, inner: &Node) -> Result<Formula, Fault> {
        let (_, open) = self.take(|kind| *kind == TokenKind::Open)?;
        let mut inner = self.formula(inner)?;
        let (_, close) = self.take(|kind| *kind == TokenKind::Close)?;
        inner.at = open.to(close);
        Ok(inner)
    }

    fn binary(&mut self, op: Op, left_node: &Node, right_node: &Node) -> Result<Formula, Fault> {
        let left = self.formula(left_node)?;
        let (_, word) = self.take(|kind| *kind == TokenKind::Binary(op))?;
        let right = self.formula(right_node)?;
        let chains = |node: &Node| binary(node.operator()).is_some_and(|other| chained(op, other));
        // The library reads a^-b^c as (a^-b)^c, and hides the chain behind the minus.
        let behind_minus = op == Op::Power
            && *right_node.operator() == Lib::Neg
            && right_node.children().first().is_some_and(chains);
        if chains(left_node) || chains(right_node) || behind_minus {
            return Err(Fault::new(word, chain(op, &left, &right)));
        }
        Ok(Formula { at: left.at.to(right.at), part: Part::Binary(op, left.into(), right.into()), word })
    }
}

/// Says a chain in a form that reads one way.
fn chain(op: Op, left: &Formula, right: &Formula) -> Wrong {
    if op == Op::Power {
        let cure = "write brackets to say which is worked first".to_owned();
        return Wrong::BracketsWanted { what: "a power of a power", cure };
    }
    let cure = match &left.part {
        Part::Binary(first, _, middle) if first.compares() => {
            format!("write: {left} and {middle} {} {right}", op.word())
        }
        _ => "write brackets to say which is worked first".to_owned(),
    };
    Wrong::BracketsWanted { what: "a comparison of a comparison", cure }
}

fn chained(op: Op, other: Op) -> bool {
    (op.compares() && other.compares()) || (op == Op::Power && other == Op::Power)
}

fn binary(operator: &Lib) -> Option<Op> {
    Some(match operator {
        Lib::Or => Op::Or,
        Lib::And => Op::And,
        Lib::Lt => Op::Less,
        Lib::Leq => Op::AtMost,
        Lib::Gt => Op::More,
        Lib::Geq => Op::AtLeast,
        Lib::Eq => Op::Equal,
        Lib::Neq => Op::Differs,
        Lib::Add => Op::Add,
        Lib::Sub => Op::Subtract,
        Lib::Mul => Op::Multiply,
        Lib::Div => Op::Divide,
        Lib::Exp => Op::Power,
        _ => return None,
    })
}
