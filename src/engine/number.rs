//! What the engine works with: a number, or all the numbers that a value may be.
//!
//! In: two values and an operation. Out: a value, or the reason why there is none.
//! Never: knows which line it works for.

use super::quick::{Side, each, each_sound, try_each};
use super::status::Reason;

use crate::sheet::function::Function;
use crate::sheet::token::Op;

/// Relative rounding noise that a comparison allows.
pub const NOISE: f64 = 1e-9;

/// What is left of two numbers that cancel is noise below this share of them.
pub(super) const CANCELLED: f64 = 1e-12;

/// A value of the engine. A flag is 0 or 1, a text its number in the list of texts.
pub trait Number: Copy + PartialEq + std::fmt::Debug {
    /// Returns a value known exactly.
    fn exactly(value: f64) -> Self;

    /// Returns the lowest and the highest that it may be.
    fn ends(self) -> (f64, f64);

    /// Returns everything from one value to another.
    fn hull(self, other: Self) -> Self;

    /// Turns the sign, which rounds nothing.
    fn negated(self) -> Self;

    /// Works an operator of arithmetic.
    ///
    /// # Errors
    /// Why there is no value.
    fn arithmetic(op: Op, left: Self, right: Self) -> Result<Self, Reason>;

    /// Works a function of values; of one value, both are the same.
    ///
    /// # Errors
    /// Why there is no value.
    fn function(function: Function, left: Self, right: Self) -> Result<Self, Reason>;

    /// Works an operator of arithmetic over a strip of rows; returns false where a row has no value, the results
    /// then being of no use.
    fn arithmetic_over(op: Op, left: Side<'_, Self>, right: Side<'_, Self>, out: &mut [Self]) -> bool {
        try_each(left, right, out, |left, right| Self::arithmetic(op, left, right))
    }

    /// Works a function over a strip of rows, likewise.
    fn function_over(
        function: Function,
        left: Side<'_, Self>,
        right: Side<'_, Self>,
        out: &mut [Self],
    ) -> bool {
        try_each(left, right, out, |left, right| Self::function(function, left, right))
    }

    /// Returns yes or no if it is settled.
    fn truth(self) -> Option<bool> {
        match self.ends() {
            (low, high) if low == high => Some(low != 0.0),
            _ => None,
        }
    }

    /// Returns a flag that is settled, or not.
    fn flag(truth: Option<bool>) -> Self {
        match truth {
            Some(yes) => Self::exactly(f64::from(u8::from(yes))),
            None => Self::exactly(0.0).hull(Self::exactly(1.0)),
        }
    }

    /// Compares two values; `exact` allows no rounding noise.
    fn compare(op: Op, exact: bool, left: Self, right: Self) -> Option<bool> {
        let noise = if exact { 0.0 } else { NOISE };
        let ((ll, lh), (rl, rh)) = (left.ends(), right.ends());
        // Each comparison grows or falls with its sides, so the two extreme pairs settle it.
        let settled = |worst: bool, best: bool| if worst == best { Some(worst) } else { None };
        match op {
            Op::Less => settled(less(lh, rl, noise), less(ll, rh, noise)),
            Op::AtMost => settled(!less(rl, lh, noise), !less(rh, ll, noise)),
            Op::More => settled(less(rh, ll, noise), less(rl, lh, noise)),
            Op::AtLeast => settled(!less(ll, rh, noise), !less(lh, rl, noise)),
            Op::Equal => equal((ll, lh), (rl, rh), noise),
            _ => equal((ll, lh), (rl, rh), noise).map(|equal| !equal),
        }
    }
}

/// Returns whether one number is below another by more than the noise.
#[inline]
fn less(left: f64, right: f64, noise: f64) -> bool {
    left < right && right - left > noise * left.abs().max(right.abs())
}

#[inline]
fn equal((ll, lh): (f64, f64), (rl, rh): (f64, f64), noise: f64) -> Option<bool> {
    if less(lh, rl, noise) || less(rh, ll, noise) {
        return Some(false);
    }
    let same = !less(ll, rh, noise) && !less(rl, lh, noise);
    same.then_some(true)
}

/// Returns a number if it is one.
#[inline]
pub(super) fn finite(value: f64) -> Result<f64, Reason> {
    if value.is_finite() { Ok(value) } else { Err(Reason::NotFinite) }
}

impl Number for f64 {
    fn exactly(value: f64) -> Self {
        value
    }

    fn ends(self) -> (f64, f64) {
        (self, self)
    }

    fn hull(self, _: Self) -> Self {
        self
    }

    fn negated(self) -> Self {
        // Zero has no sign.
        0.0 - self
    }

    fn arithmetic(op: Op, left: Self, right: Self) -> Result<Self, Reason> {
        finite(match op {
            Op::Add => cancelled(left + right, left, right),
            Op::Subtract => cancelled(left - right, left, right),
            Op::Multiply => left * right,
            Op::Divide if right == 0.0 => return Err(Reason::DivisionByZero),
            Op::Divide => left / right,
            _ => return power(left, right),
        })
    }

    fn arithmetic_over(op: Op, left: Side<'_, Self>, right: Side<'_, Self>, out: &mut [Self]) -> bool {
        // What `is_finite` says, in one comparison; it finds a division by zero too.
        let told = |value: f64| (value, value.abs() <= f64::MAX);
        match op {
            Op::Add => {
                each_sound(left, right, out, |a, b| (cancelled(a + b, a, b), (a + b).abs() <= f64::MAX))
            }
            Op::Subtract => {
                each_sound(left, right, out, |a, b| (cancelled(a - b, a, b), (a - b).abs() <= f64::MAX))
            }
            Op::Multiply => each_sound(left, right, out, |a, b| told(a * b)),
            Op::Divide => each_sound(left, right, out, |a, b| told(a / b)),
            _ => try_each(left, right, out, power),
        }
    }

    fn function_over(
        function: Function,
        left: Side<'_, Self>,
        right: Side<'_, Self>,
        out: &mut [Self],
    ) -> bool {
        match function {
            Function::Min => each(left, right, out, f64::min),
            Function::Max => each(left, right, out, f64::max),
            Function::Abs => each(left, right, out, |left, _| left.abs()),
            _ => {
                return try_each(left, right, out, |left, right| Self::function(function, left, right));
            }
        }
        true
    }

    fn function(function: Function, left: Self, right: Self) -> Result<Self, Reason> {
        finite(match function {
            Function::Min => left.min(right),
            Function::Max => left.max(right),
            Function::Abs => left.abs(),
            Function::Sqrt if left < 0.0 => return Err(Reason::RootOfNegative),
            Function::Sqrt => left.sqrt(),
            Function::Exp => left.exp(),
            Function::Ln | Function::Log10 if left <= 0.0 => return Err(Reason::LogarithmOfNotPositive),
            Function::Ln => left.ln(),
            Function::Log10 => left.log10(),
            Function::Sin => left.sin(),
            Function::Cos => left.cos(),
            Function::Acos if left.abs() > 1.0 + CANCELLED => return Err(Reason::NoAngle),
            Function::Acos => left.clamp(-1.0, 1.0).acos(),
            Function::RoundUp | Function::RoundDown if right <= 0.0 => return Err(Reason::NoStep),
            Function::RoundUp => steps(left, right, f64::ceil),
            Function::RoundDown => steps(left, right, f64::floor),
            _ => return Err(Reason::NotFinite),
        })
    }
}

/// What is left of two numbers that cancel to within the noise of binary numbers is nothing: else a margin
/// that is exactly used up would be missed by 1e-17.
#[inline]
fn cancelled(left_over: f64, a: f64, b: f64) -> f64 {
    let (a, b) = (a.abs(), b.abs());
    if left_over.abs() <= CANCELLED * (if a > b { a } else { b }) { 0.0 } else { left_over }
}

fn power(base: f64, exponent: f64) -> Result<f64, Reason> {
    if base == 0.0 && exponent < 0.0 {
        return Err(Reason::DivisionByZero);
    }
    let value = base.powf(exponent);
    if value.is_nan() { Err(Reason::NoPower) } else { finite(value) }
}

/// Returns a whole number of steps; what is whole but for rounding noise stays as it is.
fn steps(value: f64, step: f64, round: impl Fn(f64) -> f64) -> f64 {
    let count = value / step;
    let nearest = count.round();
    let whole = (count - nearest).abs() <= NOISE * nearest.abs().max(1.0);
    (if whole { nearest } else { round(count) }) * step
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_comparison_allows_rounding_noise_and_no_more() {
        let at_least = |l: f64, r: f64| f64::compare(Op::AtLeast, false, l, r);
        assert_eq!(at_least(6.862_5, 6.862_5 + 1e-10), Some(true));
        assert_eq!(at_least(6.862_5, 6.862_5 + 1e-7), Some(false));
        assert_eq!(f64::compare(Op::Less, false, 1.0, 1.0 + 1e-12), Some(false));
        assert_eq!(f64::compare(Op::Less, true, 1.0, 1.0 + 1e-12), Some(true));
        assert_eq!(f64::compare(Op::Equal, false, 0.1 + 0.2, 0.3), Some(true));
    }

    #[test]
    fn a_whole_number_of_steps_is_not_rounded_up_by_noise() {
        let up = |value, step| f64::function(Function::RoundUp, value, step);
        assert_eq!(up(0.3, 0.1), Ok(3.0 * 0.1));
        assert_eq!(up(7.2, 1.0), Ok(8.0));
        assert_eq!(up(1.0, 0.0), Err(Reason::NoStep));
    }

    #[test]
    fn what_has_no_value_says_why() {
        assert_eq!(f64::arithmetic(Op::Divide, 1.0, 0.0), Err(Reason::DivisionByZero));
        assert_eq!(f64::function(Function::Sqrt, -1.0, -1.0), Err(Reason::RootOfNegative));
        assert_eq!(f64::arithmetic(Op::Power, -8.0, 0.5), Err(Reason::NoPower));
        assert_eq!(f64::arithmetic(Op::Multiply, 1e200, 1e200), Err(Reason::NotFinite));
    }
}
