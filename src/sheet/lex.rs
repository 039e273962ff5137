//! The lexer of formulas: operands, operators and brackets, each with its place.
//!
//! In: a cursor where a formula starts. Out: its tokens; the cursor stands after them.
//! Never: lets through what is not a formula. It keeps two states, *a value is due* and *an operator is
//! due*, so that every misplaced piece is met here, with its characters.

use crate::fault::{Fault, Kind, Span, begins_name, is_name, is_of_name};
use crate::sheet::elsewhere;
use crate::sheet::formula::Wrong;
use crate::sheet::function::Function;
use crate::sheet::scan::Scan;
use crate::sheet::token::{Leaf, Op, Token, TokenKind};
use crate::sheet::words::KEYWORDS;
use crate::sheet::wrong::{Limit, Wrong as Text};
use crate::unit::{self, Unit, date};

/// Most pieces in one formula.
pub(super) const MOST_TOKENS: usize = 400;
/// Deepest brackets in one formula.
pub const DEEPEST: usize = 64;
/// Most signs or `not`s in a row.
pub(super) const MOST_SIGNS: usize = 8;

/// Reads one formula. It ends at `where`, `otherwise`, `in`, a comma outside brackets, or the region's end.
///
/// # Errors
/// The first piece that cannot stand where it stands.
pub fn lex(scan: &mut Scan<'_>) -> Result<Vec<Token>, Fault> {
    let mut lexer = Lexer { scan, tokens: Vec::new(), brackets: Vec::new(), signs: 0 };
    lexer.run()?;
    Ok(lexer.tokens)
}

struct Lexer<'s, 'a> {
    scan: &'s mut Scan<'a>,
    tokens: Vec<Token>,
    /// Places of the open brackets, and whether each holds a function's values.
    brackets: Vec<(Span, bool)>,
    signs: usize,
}

/// What is due next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Due {
    /// A value, or what may stand before one.
    Value,
    /// An operator, or what else may stand behind a value.
    Operator,
    /// Nothing: the formula ends.
    Nothing,
}

impl Lexer<'_, '_> {
    fn run(&mut self) -> Result<(), Fault> {
        let mut due = Due::Value;
        loop {
            self.scan.skip_blank();
            due = match due {
                Due::Value => self.value()?,
                Due::Operator => self.operator()?,
                Due::Nothing => break,
            };
        }
        match self.brackets.last() {
            Some((open, _)) => Err(Fault::new(*open, Wrong::NeverClosed)),
            None => Ok(()),
        }
    }

    fn push(&mut self, kind: TokenKind, at: Span) -> Result<(), Fault> {
        if self.tokens.len() >= MOST_TOKENS {
            return Err(Fault::new(at, Text::TooMuch(Limit::Tokens)));
        }
        self.tokens.push(Token { kind, at });
        Ok(())
    }

    fn open(&mut self, at: Span, call: bool) -> Result<(), Fault> {
        if self.brackets.len() >= DEEPEST {
            return Err(Fault::new(at, Text::TooMuch(Limit::Brackets)));
        }
        self.brackets.push((at, call));
        self.push(TokenKind::Open, at)
    }

    fn missing_value(&self) -> Fault {
        let at = self.scan.next_piece();
        match self.brackets.last() {
            Some((open, _)) if at.start == at.end => Fault::new(*open, Wrong::NeverClosed),
            _ if at.start == at.end => Fault::new(self.tokens.last().map_or(at, |t| t.at), Wrong::ValueAfter),
            _ => Fault::new(at, Wrong::ValueBefore { found: self.scan.text(at).to_owned() }),
        }
    }

    /// Takes a value, or a sign, `not` or bracket before one.
    fn value(&mut self) -> Result<Due, Fault> {
        let start = self.scan.at();
        let Some(first) = self.scan.peek() else { return Err(self.missing_value()) };
        let taken = match first {
            '"' => {
                let (pieces, at) = self.scan.expect_template("a text")?;
                self.push(TokenKind::Leaf(Leaf::Text(pieces)), at)?;
                Due::Operator
            }
            '(' => {
                self.scan.go(start + 1);
                self.open(Span::new(start, start + 1), false)?;
                Due::Value
            }
            '-' | '\u{2212}' => self.sign(first)?,
            ')' if self.closes_empty_call() => self.close(start)?,
            _ if first.is_ascii_digit() || first == '.' => self.number()?,
            _ if first.is_alphabetic() || first == '_' => self.word()?,
            _ => return Err(self.not_ours(elsewhere::before).unwrap_or_else(|| self.missing_value())),
        };
        if taken == Due::Operator {
            self.signs = 0;
        }
        Ok(taken)
    }

    /// Returns the fault of a sign of another language that stands here.
    fn not_ours(&self, list: impl Fn(&str) -> Option<(&'static str, &'static str)>) -> Option<Fault> {
        let (sign, cure) = list(self.scan.rest())?;
        let at = Span::new(self.scan.at(), self.scan.at() + sign.len());
        Some(Fault::new(at, Wrong::NotOurs { found: sign.to_owned(), cure }))
    }

    fn closes_empty_call(&self) -> bool {
        self.brackets.last().is_some_and(|(_, call)| *call)
            && self.tokens.last().is_some_and(|token| token.kind == TokenKind::Open)
    }

    fn count_sign(&mut self, at: Span) -> Result<(), Fault> {
        self.signs += 1;
        if self.signs > MOST_SIGNS {
            return Err(Fault::new(at, Text::TooMuch(Limit::Signs)));
        }
        Ok(())
    }

    /// A sign directly before a temperature belongs to it; any other is an operator.
    fn sign(&mut self, sign: char) -> Result<Due, Fault> {
        let start = self.scan.at();
        let after = start + sign.len_utf8();
        let mut ahead = self.scan.clone();
        ahead.go(after);
        if ahead.peek().is_some_and(|c| c.is_ascii_digit())
            && let Ok((mut quantity, span)) = ahead.expect_quantity()
            && quantity.unit.is_point()
        {
            quantity.number = -quantity.number;
            self.scan.go(ahead.at());
            self.push(TokenKind::Leaf(Leaf::Quantity(quantity)), Span::new(start, span.end))?;
            return Ok(Due::Operator);
        }
        let at = Span::new(start, after);
        self.count_sign(at)?;
        self.scan.go(after);
        self.push(TokenKind::Minus, at)?;
        Ok(Due::Value)
    }

    fn number(&mut self) -> Result<Due, Fault> {
        let start = self.scan.at();
        if let Some(length) = date::extent(self.scan.rest()) {
            let seconds = date::read(&self.scan.rest()[..length]).map_err(|fault| fault.shifted(start))?;
            self.scan.go(start + length);
            self.push(TokenKind::Leaf(Leaf::Date(seconds)), Span::new(start, start + length))?;
            return Ok(Due::Operator);
        }
        let (quantity, at) =
            self.scan.expect_quantity().map_err(|fault| self.unit_or_division(fault, start))?;
        let has_unit = !quantity.unit.is_plain();
        self.push(TokenKind::Leaf(Leaf::Quantity(quantity)), at)?;
        self.scan.skip_blank();
        if has_unit && self.scan.rest().starts_with('^') {
            return Err(Fault::new(self.scan.here(), Wrong::PowerOfUnit));
        }
        Ok(Due::Operator)
    }

    /// `12 V/r` was meant as a division where the first part is a unit and the rest is a name.
    fn unit_or_division(&self, fault: Fault, number: usize) -> Fault {
        let start = self.scan.at();
        let rest = self.scan.rest();
        let upto = fault.at.start.saturating_sub(start).min(rest.len());
        let Some(slash) = rest[..upto].rfind(['/', '*']) else { return self.unit_or_name(fault, number) };
        let after = &rest[slash + 1..];
        let length = after.find(|c: char| !is_of_name(c)).unwrap_or(after.len());
        let name = &after[..length];
        if !is_name(name) || Unit::read(name).is_ok() {
            return fault;
        }
        let operator = &rest[slash..=slash];
        let cure = format!("{} {operator} {name}", &rest[..slash].trim_end());
        let at = Span::new(start + slash, start + slash + 1 + length);
        Fault::new(at, Wrong::UnitGlued { name: name.to_owned(), cure })
    }

    /// `2 length` was meant as a product, `2 else` as the end of a branch.
    fn unit_or_name(&self, fault: Fault, number: usize) -> Fault {
        let Kind::Unit(unit::Wrong::UnknownUnit { found, near }) = &fault.kind else { return fault };
        if let Some(cure) = elsewhere::word(found) {
            return Fault::new(fault.at, Wrong::NotOurs { found: found.clone(), cure });
        }
        if near.is_some() || !found.chars().all(is_of_name) {
            return fault;
        }
        let number = self.scan.text(Span::new(number, fault.at.start)).trim().to_owned();
        Fault::new(fault.at, Wrong::NotAUnit { found: found.clone(), number })
    }

    fn word(&mut self) -> Result<Due, Fault> {
        if !begins_name(self.scan.rest()) {
            let at = self.scan.next_piece();
            let found = self.scan.rest()[..at.end - at.start].to_owned();
            return Err(match Unit::read(&found) {
                Ok(_) => Fault::new(at, Wrong::UnitAlone { found }),
                Err(_) => Fault::new(at, Text::BadName { found }),
            });
        }
        let (path, at) = self.scan.expect_path("a name")?;
        if let [word] = path.0.as_slice() {
            match word.as_str() {
                "yes" | "no" => {
                    self.push(TokenKind::Leaf(Leaf::Flag(word == "yes")), at)?;
                    return Ok(Due::Operator);
                }
                "not" => {
                    self.count_sign(at)?;
                    self.push(TokenKind::Not, at)?;
                    return Ok(Due::Value);
                }
                "on" => {}
                word if KEYWORDS.contains(&word) => {
                    return Err(Fault::new(at, Wrong::ValueBefore { found: word.to_owned() }));
                }
                word => {
                    if let Some(next) = self.call(word, at)? {
                        return Ok(next);
                    }
                }
            }
        }
        self.push(TokenKind::Leaf(Leaf::Name(path)), at)?;
        Ok(Due::Operator)
    }

    /// Takes a function and its opening bracket. `None`: the word is a plain name.
    fn call(&mut self, word: &str, at: Span) -> Result<Option<Due>, Fault> {
        let known = Function::known(word);
        let glued = self.scan.rest().starts_with('(');
        self.scan.skip_blank();
        let open = self.scan.here();
        let bracket = self.scan.rest().starts_with('(');
        match known {
            Some(entry) if bracket => {
                self.push(TokenKind::Call(entry.function), at)?;
                self.scan.go(open.end);
                self.open(open, true)?;
                Ok(Some(Due::Value))
            }
            Some(entry) => Err(Fault::new(at, Wrong::FunctionAlone { form: entry.form })),
            None if glued => Err(Fault::new(
                at,
                match elsewhere::function(word) {
                    Some(cure) => Wrong::NotOurs { found: word.to_owned(), cure },
                    None => Wrong::unknown_function(word),
                },
            )),
            None => Ok(None),
        }
    }

    fn close(&mut self, start: usize) -> Result<Due, Fault> {
        let at = Span::new(start, start + 1);
        if self.brackets.pop().is_none() {
            return Err(Fault::new(at, Wrong::NeverOpened));
        }
        self.scan.go(start + 1);
        self.push(TokenKind::Close, at)?;
        Ok(Due::Operator)
    }

    /// Takes what follows a value.
    fn operator(&mut self) -> Result<Due, Fault> {
        let start = self.scan.at();
        let Some(first) = self.scan.peek() else { return Ok(Due::Nothing) };
        if first == ')' {
            return self.close(start);
        }
        if first == ',' {
            return match self.brackets.last() {
                None => Ok(Due::Nothing),
                Some((_, true)) => {
                    self.scan.go(start + 1);
                    self.push(TokenKind::Comma, Span::new(start, start + 1))?;
                    Ok(Due::Value)
                }
                Some((_, false)) => Err(Fault::new(self.scan.here(), Wrong::CommaAlone)),
            };
        }
        if let Some(fault) = self.not_ours(elsewhere::sign) {
            return Err(fault);
        }
        if let Some((op, length)) = operator_at(self.scan.rest()) {
            self.scan.go(start + length);
            self.push(TokenKind::Binary(op), Span::new(start, start + length))?;
            return Ok(Due::Value);
        }
        if let Some((word, at)) = self.scan.at_word() {
            let op = match word {
                "and" => Some(Op::And),
                "or" => Some(Op::Or),
                "where" | "otherwise" | "in" if self.brackets.is_empty() => return Ok(Due::Nothing),
                _ => None,
            };
            if let Some(op) = op {
                self.scan.go(at.end);
                self.push(TokenKind::Binary(op), at)?;
                return Ok(Due::Value);
            }
        }
        Err(self.missing_operator())
    }

    fn missing_operator(&self) -> Fault {
        let at = self.scan.next_piece();
        let found = &self.scan.rest()[..at.end - at.start];
        let after_name = matches!(self.tokens.last().map(|t| &t.kind), Some(TokenKind::Leaf(Leaf::Name(_))));
        let extent = unit::unit_extent(self.scan.rest());
        let last = self.tokens.last();
        let before = last.map_or("", |token| self.scan.text(token.at));
        if let Some(whole) = unit::blank_in_number(before, found) {
            let at = Span::new(at.start.min(last.map_or(at.start, |token| token.at.start)), at.end);
            return Fault::new(at, unit::Wrong::BlankInNumber { whole });
        }
        if let ("if", Some(cure), Some(last)) = (before, elsewhere::function("if"), last) {
            return Fault::new(last.at, Wrong::NotOurs { found: "if".to_owned(), cure });
        }
        if let Some(cure) = elsewhere::word(found) {
            return Fault::new(at, Wrong::NotOurs { found: found.to_owned(), cure });
        }
        let shown_in = &self.scan.rest()[..extent];
        let inch = before.strip_suffix("in").filter(|number| number.ends_with([' ', '\t']));
        if let Some(number) = inch.filter(|_| Unit::read(shown_in).is_ok_and(|unit| !unit.is_plain())) {
            let (number, unit) = (number.trim().to_owned(), shown_in.to_owned());
            return Fault::new(at, Wrong::InchBefore { number, unit });
        }
        let wrong = match found {
            "=" => Wrong::SingleEquals,
            "+-" | "±" => Wrong::OperatorBefore,
            _ if after_name && Unit::read(&self.scan.rest()[..extent]).is_ok_and(|unit| !unit.is_plain()) => {
                Wrong::UnitAlone { found: self.scan.rest()[..extent].to_owned() }
            }
            _ if found
                .chars()
                .next()
                .is_some_and(|c| c.is_alphanumeric() || matches!(c, '"' | '(' | '_')) =>
            {
                Wrong::OperatorBefore
            }
            _ => Wrong::NoOperator { found: found.to_owned() },
        };
        Fault::new(at, wrong)
    }
}

/// Returns the operator that starts a text, and its length; other spellings are taken as typed.
fn operator_at(text: &str) -> Option<(Op, usize)> {
    const OTHER: [(&str, Op); 6] = [
        ("\u{d7}", Op::Multiply),
        ("\u{b7}", Op::Multiply),
        ("\u{f7}", Op::Divide),
        ("\u{2212}", Op::Subtract),
        ("\u{2264}", Op::AtMost),
        ("\u{2265}", Op::AtLeast),
    ];
    if text.starts_with("\u{2260}") {
        return Some((Op::Differs, "\u{2260}".len()));
    }
    // Between two values `+-` gives a spread, which a formula has not.
    if text.starts_with("+-") || text.starts_with("\u{b1}") {
        return None;
    }
    let plain = Op::ALL.iter().filter(|op| !matches!(op, Op::And | Op::Or)).map(|op| (op.word(), *op));
    plain.chain(OTHER).find(|(word, _)| text.starts_with(word)).map(|(word, op)| (op, word.len()))
}
