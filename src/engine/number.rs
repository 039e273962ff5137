//! What the engine works with: a number, or all the numbers that a value may be.
//!
//! In: two values and an operation. Out: a value, or the reason why there is none.
//! Never: knows which line it works for.

use super::operator::{Arithmetic, Comparison};
use super::quick::{Side, each, each_sound, try_each};
use super::status::Reason;

use crate::sheet::function::OfValues;

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
    fn arithmetic(op: Arithmetic, left: Self, right: Self) -> Result<Self, Reason>;

    /// Works a function of values; of one value, both are the same.
    ///
    /// # Errors
    /// Why there is no value.
    fn function(function: OfValues, left: Self, right: Self) -> Result<Self, Reason>;

    /// Works an operator of arithmetic over a strip of rows; returns false where a row has no value, the results
    /// then being of no use.
    fn arithmetic_over(
        op: Arithmetic,
        left: Side<'_, Self>,
        right: Side<'_, Self>,
        out: &mut [Self],
    ) -> bool {
        try_each(left, right, out, |left, right| Self::arithmetic(op, left, right))
    }

    /// Works a function over a strip of rows, likewise.
    fn function_over(
        function: OfValues,
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
    fn compare(op: Comparison, exact: bool, left: Self, right: Self) -> Option<bool> {
        let noise = if exact { 0.0 } else { NOISE };
        let ((ll, lh), (rl, rh)) = (left.ends(), right.ends());
        // Each comparison grows or falls with its sides, so the two extreme pairs settle it.
        let settled = |worst: bool, best: bool| if worst == best { Some(worst) } else { None };
        match op {
            Comparison::Less => settled(less(lh, rl, noise), less(ll, rh, noise)),
            Comparison::AtMost => settled(!less(rl, lh, noise), !less(rh, ll, noise)),
            Comparison::More => settled(less(rh, ll, noise), less(rl, lh, noise)),
            Comparison::AtLeast => settled(!less(ll, rh, noise), !less(lh, rl, noise)),
            Comparison::Equal => equal((ll, lh), (rl, rh), noise),
            Comparison::Differs => equal((ll, lh), (rl, rh), noise).map(|equal| !equal),
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

    fn arithmetic(op: Arithmetic, left: Self, right: Self) -> Result<Self, Reason> {
        finite(match op {
            Arithmetic::Add => cancelled(left + right, left, right),
            Arithmetic::Subtract => cancelled(left - right, left, right),
            Arithmetic::Multiply => left * right,
            Arithmetic::Divide if right == 0.0 => return Err(Reason::DivisionByZero),
            Arithmetic::Divide => left / right,
            Arithmetic::Power => return power(left, right),
        })
    }

    fn arithmetic_over(
        op: Arithmetic,
        left: Side<'_, Self>,
        right: Side<'_, Self>,
        out: &mut [Self],
    ) -> bool {
        // What `is_finite` says, in one comparison; it finds a division by zero too.
        let told = |value: f64| (value, value.abs() <= f64::MAX);
        match op {
            Arithmetic::Add => {
                each_sound(left, right, out, |a, b| (cancelled(a + b, a, b), (a + b).abs() <= f64::MAX))
            }
            Arithmetic::Subtract => {
                each_sound(left, right, out, |a, b| (cancelled(a - b, a, b), (a - b).abs() <= f64::MAX))
            }
            Arithmetic::Multiply => each_sound(left, right, out, |a, b| told(a * b)),
            Arithmetic::Divide => each_sound(left, right, out, |a, b| told(a / b)),
            Arithmetic::Power => try_each(left, right, out, power),
        }
    }

    fn function_over(
        function: OfValues,
        left: Side<'_, Self>,
        right: Side<'_, Self>,
        out: &mut [Self],
    ) -> bool {
        match function {
            OfValues::Min => each(left, right, out, f64::min),
            OfValues::Max => each(left, right, out, f64::max),
            OfValues::Abs => each(left, right, out, |left, _| left.abs()),
            OfValues::Sqrt
            | OfValues::Exp
            | OfValues::Ln
            | OfValues::Log10
            | OfValues::Sin
            | OfValues::Cos
            | OfValues::Acos
            | OfValues::RoundUp
            | OfValues::RoundDown => {
                return try_each(left, right, out, |left, right| Self::function(function, left, right));
            }
        }
        true
    }

    fn function(function: OfValues, left: Self, right: Self) -> Result<Self, Reason> {
        finite(match function {
            OfValues::Min => left.min(right),
            OfValues::Max => left.max(right),
            OfValues::Abs => left.abs(),
            OfValues::Sqrt if left < 0.0 => return Err(Reason::RootOfNegative),
            OfValues::Sqrt => left.sqrt(),
            OfValues::Exp => left.exp(),
            OfValues::Ln | OfValues::Log10 if left <= 0.0 => return Err(Reason::LogarithmOfNotPositive),
            OfValues::Ln => left.ln(),
            OfValues::Log10 => left.log10(),
            OfValues::Sin => left.sin(),
            OfValues::Cos => left.cos(),
            OfValues::Acos if left.abs() > 1.0 + CANCELLED => return Err(Reason::NoAngle),
            OfValues::Acos => left.clamp(-1.0, 1.0).acos(),
            OfValues::RoundUp | OfValues::RoundDown if right <= 0.0 => return Err(Reason::NoStep),
            OfValues::RoundUp => steps(left, right, f64::ceil),
            OfValues::RoundDown => steps(left, right, f64::floor),
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
        let at_least = |l: f64, r: f64| f64::compare(Comparison::AtLeast, false, l, r);
        assert_eq!(at_least(6.862_5, 6.862_5 + 1e-10), Some(true));
        assert_eq!(at_least(6.862_5, 6.862_5 + 1e-7), Some(false));
        assert_eq!(f64::compare(Comparison::Less, false, 1.0, 1.0 + 1e-12), Some(false));
        assert_eq!(f64::compare(Comparison::Less, true, 1.0, 1.0 + 1e-12), Some(true));
        assert_eq!(f64::compare(Comparison::Equal, false, 0.1 + 0.2, 0.3), Some(true));
    }

    #[test]
    fn a_whole_number_of_steps_is_not_rounded_up_by_noise() {
        let up = |value, step| f64::function(OfValues::RoundUp, value, step);
        assert_eq!(up(0.3, 0.1), Ok(3.0 * 0.1));
        assert_eq!(up(7.2, 1.0), Ok(8.0));
        assert_eq!(up(1.0, 0.0), Err(Reason::NoStep));
    }

    #[test]
    fn what_has_no_value_says_why() {
        assert_eq!(f64::arithmetic(Arithmetic::Divide, 1.0, 0.0), Err(Reason::DivisionByZero));
        assert_eq!(f64::function(OfValues::Sqrt, -1.0, -1.0), Err(Reason::RootOfNegative));
        assert_eq!(f64::arithmetic(Arithmetic::Power, -8.0, 0.5), Err(Reason::NoPower));
        assert_eq!(f64::arithmetic(Arithmetic::Multiply, 1e200, 1e200), Err(Reason::NotFinite));
    }
}
