//! All the numbers that a value may be, from lowest to highest.
//!
//! In: two intervals and an operation. Out: an interval that encloses every result.
//! Never: leaves a result out. `+ - * / sqrt` are rounded outwards by one step; of the platform's
//! `exp ln log10 sin cos acos powf` it is assumed that they are right to a few parts in 1e14.

use super::number::{CANCELLED, NOISE, Number, finite};
use super::operator::Arithmetic;
use super::status::Reason;
use crate::sheet::function::OfValues;

/// All numbers from `low` to `high`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    low: f64,
    high: f64,
}

/// How far a function of the platform's library may be off, relatively.
const LIBRARY: f64 = 1e-14;

impl Interval {
    /// Returns all numbers between two ends.
    pub fn between(one: f64, other: f64) -> Self {
        Self { low: one.min(other), high: one.max(other) }
    }

    /// Rounds outwards, but for an end of which nothing was lost: a count of flags stays a count.
    fn outwards(self, lost: (f64, f64)) -> Result<Self, Reason> {
        let low = if lost.0 == 0.0 { self.low } else { self.low.next_down() };
        let high = if lost.1 == 0.0 { self.high } else { self.high.next_up() };
        Ok(Self { low: finite(low)?, high: finite(high)? })
    }

    /// Takes in zero where what is left of two numbers may be noise, which the figures take for zero.
    fn cancelled(self, a: Self, b: Self, lost: (f64, f64)) -> Result<Self, Reason> {
        let noise =
            CANCELLED * [a.low, a.high, b.low, b.high].into_iter().fold(0.0, |most, end| end.abs().max(most));
        let mut made = self;
        if (0.0..=noise).contains(&made.low) {
            made.low = 0.0;
        }
        if (-noise..=0.0).contains(&made.high) {
            made.high = 0.0;
        }
        made.outwards(lost)
    }

    fn widened(self) -> Result<Self, Reason> {
        let off = |end: f64| end.abs() * LIBRARY + f64::MIN_POSITIVE;
        Ok(Self { low: finite(self.low - off(self.low))?, high: finite(self.high + off(self.high))? })
    }

    fn of_corners(corners: [f64; 4]) -> Result<Self, Reason> {
        let low = corners.into_iter().fold(f64::INFINITY, f64::min);
        let high = corners.into_iter().fold(f64::NEG_INFINITY, f64::max);
        Self { low, high }.outwards((1.0, 1.0))
    }

    fn holds(self, value: f64) -> bool {
        (self.low..=self.high).contains(&value)
    }

    /// Works a function that grows from end to end.
    fn growing(self, function: OfValues) -> Result<Self, Reason> {
        let low = f64::function(function, self.low, self.low)?;
        Self { low, high: f64::function(function, self.high, self.high)? }.widened()
    }

    fn power(self, exponent: Self) -> Result<Self, Reason> {
        if exponent.low != exponent.high {
            if self.low <= 0.0 {
                return Err(Reason::NoPower);
            }
            return Self::corners_of(self, exponent, |base, power| {
                f64::arithmetic(Arithmetic::Power, base, power)
            })?
            .widened();
        }
        let power = exponent.low;
        let whole = power.fract() == 0.0;
        if self.low < 0.0 && !whole {
            return Err(Reason::NoPower);
        }
        if power < 0.0 && self.holds(0.0) {
            return Err(Reason::DivisionByZero);
        }
        let (low, high) = (
            f64::arithmetic(Arithmetic::Power, self.low, power)?,
            f64::arithmetic(Arithmetic::Power, self.high, power)?,
        );
        let mut made = Self::between(low, high);
        // An even power turns at zero.
        if whole && power > 0.0 && self.holds(0.0) && power % 2.0 == 0.0 {
            made.low = 0.0;
        }
        made.widened()
    }

    /// With a step that may vary, rounding moves a value by less than the largest step, and back by the noise
    /// within which it is a whole number of steps.
    fn rounded(self, function: OfValues, step: Self) -> Result<Self, Reason> {
        if step.low <= 0.0 {
            return Err(Reason::NoStep);
        }
        if step.low == step.high {
            return Self::corners_of(self, step, |value, step| f64::function(function, value, step));
        }
        let (down, up) = if function == OfValues::RoundUp { (0.0, step.high) } else { (step.high, 0.0) };
        let noise = NOISE * self.low.abs().max(self.high.abs()).max(step.high);
        Self { low: self.low - down - noise, high: self.high + up + noise }.widened()
    }

    fn corners_of(a: Self, b: Self, work: impl Fn(f64, f64) -> Result<f64, Reason>) -> Result<Self, Reason> {
        Self::of_corners([
            work(a.low, b.low)?,
            work(a.low, b.high)?,
            work(a.high, b.low)?,
            work(a.high, b.high)?,
        ])
    }

    /// The sine and cosine turn at multiples of half a turn; `shift` is where the first crest lies.
    fn wave(self, function: OfValues, shift: f64) -> Result<Self, Reason> {
        use std::f64::consts::PI;
        let (low, high) = (f64::function(function, self.low, 0.0)?, f64::function(function, self.high, 0.0)?);
        // Further out, rounding is too coarse to tell where a crest lies.
        if self.low != self.high && self.low.abs().max(self.high.abs()) > 1e6 {
            return Ok(Self { low: -1.0, high: 1.0 });
        }
        let mut made = Self::between(low, high).widened()?;
        let first = ((self.low - shift) / PI).floor() as i64;
        let last = ((self.high - shift) / PI).ceil() as i64;
        if last.saturating_sub(first) > 4 {
            return Ok(Self { low: -1.0, high: 1.0 });
        }
        // A crest within a rounding error of an end is taken to be inside.
        for turn in first..=last {
            let at = shift + turn as f64 * PI;
            if at >= self.low - 1e-9 && at <= self.high + 1e-9 {
                if turn % 2 == 0 { made.high = 1.0 } else { made.low = -1.0 }
            }
        }
        Ok(made)
    }
}

/// What rounding took from a sum.
fn lost(a: f64, b: f64) -> f64 {
    let sum = a + b;
    let of_b = sum - a;
    (a - (sum - of_b)) + (b - of_b)
}

impl Number for Interval {
    fn exactly(value: f64) -> Self {
        Self { low: value, high: value }
    }

    fn ends(self) -> (f64, f64) {
        (self.low, self.high)
    }

    fn hull(self, other: Self) -> Self {
        Self { low: self.low.min(other.low), high: self.high.max(other.high) }
    }

    fn negated(self) -> Self {
        Self { low: 0.0 - self.high, high: 0.0 - self.low }
    }

    fn arithmetic(op: Arithmetic, left: Self, right: Self) -> Result<Self, Reason> {
        match op {
            Arithmetic::Add => {
                let lost = (lost(left.low, right.low), lost(left.high, right.high));
                let made = Self { low: left.low + right.low, high: left.high + right.high };
                made.cancelled(left, right, lost)
            }
            Arithmetic::Subtract => {
                let lost = (lost(left.low, -right.high), lost(left.high, -right.low));
                let made = Self { low: left.low - right.high, high: left.high - right.low };
                made.cancelled(left, right, lost)
            }
            Arithmetic::Multiply => Self::corners_of(left, right, |l, r| Ok(l * r)),
            Arithmetic::Divide if right.holds(0.0) => Err(Reason::DivisionByZero),
            Arithmetic::Divide => Self::corners_of(left, right, |l, r| Ok(l / r)),
            Arithmetic::Power => left.power(right),
        }
    }

    fn function(function: OfValues, left: Self, right: Self) -> Result<Self, Reason> {
        match function {
            OfValues::Min => Ok(Self { low: left.low.min(right.low), high: left.high.min(right.high) }),
            OfValues::Max => Ok(Self { low: left.low.max(right.low), high: left.high.max(right.high) }),
            OfValues::Abs if left.holds(0.0) => Ok(Self { low: 0.0, high: left.high.max(-left.low) }),
            OfValues::Abs => Ok(Self::between(left.low.abs(), left.high.abs())),
            OfValues::Sqrt | OfValues::Exp | OfValues::Ln | OfValues::Log10 => left.growing(function),
            OfValues::Acos => {
                let turned = Self { low: -left.high, high: -left.low };
                let low = f64::function(OfValues::Acos, -turned.low, 0.0)?;
                Self { low, high: f64::function(OfValues::Acos, -turned.high, 0.0)? }.widened()
            }
            OfValues::Sin => left.wave(function, std::f64::consts::FRAC_PI_2),
            OfValues::Cos => left.wave(function, 0.0),
            OfValues::RoundUp | OfValues::RoundDown => left.rounded(function, right),
        }
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::engine::operator::Comparison;
    use proptest::prelude::*;

    const ARITHMETIC: [Arithmetic; 5] =
        [Arithmetic::Add, Arithmetic::Subtract, Arithmetic::Multiply, Arithmetic::Divide, Arithmetic::Power];
    /// Functions of numbers; rounding last.
    pub(in crate::engine) const FUNCTIONS: [OfValues; 12] = [
        OfValues::Min,
        OfValues::Max,
        OfValues::Abs,
        OfValues::Sqrt,
        OfValues::Exp,
        OfValues::Ln,
        OfValues::Log10,
        OfValues::Sin,
        OfValues::Cos,
        OfValues::Acos,
        OfValues::RoundUp,
        OfValues::RoundDown,
    ];

    fn inside(interval: Interval, share: f64) -> f64 {
        (interval.low + (interval.high - interval.low) * share).clamp(interval.low, interval.high)
    }

    proptest! {
        #[test]
        fn no_point_lies_outside_its_enclosure(
            a in -20.0..20.0_f64, b in -20.0..20.0_f64, c in -3.0..3.0_f64, d in -3.0..3.0_f64,
            s in 0.0..1.0_f64, t in 0.0..1.0_f64,
        ) {
            let (left, right) = (Interval::between(a, b), Interval::between(c, d));
            let (x, y) = (inside(left, s), inside(right, t));
            for op in ARITHMETIC {
                if let (Ok(whole), Ok(point)) = (Interval::arithmetic(op, left, right), f64::arithmetic(op, x, y)) {
                    prop_assert!(whole.holds(point), "{op:?} {left:?} {right:?}: {point} outside {whole:?}");
                }
            }
            for function in FUNCTIONS {
                if let (Ok(whole), Ok(point)) = (Interval::function(function, left, right), f64::function(function, x, y)) {
                    prop_assert!(whole.holds(point), "{function:?} {left:?} {right:?}: {point} outside {whole:?}");
                }
            }
            for op in [Comparison::Less, Comparison::AtMost, Comparison::More, Comparison::AtLeast, Comparison::Equal, Comparison::Differs] {
                if let Some(settled) = Interval::compare(op, false, left, right) {
                    prop_assert_eq!(Some(settled), f64::compare(op, false, x, y));
                }
            }
        }
    }

    proptest! {
        #[test]
        fn a_whole_number_of_steps_but_for_noise_lies_inside_where_the_step_varies(
            count in 1..100_000_u32, off in -1.0..1.0_f64, step in 0.001..10.0_f64, wider in 1e-12..1e-6_f64,
        ) {
            let value = f64::from(count) * step * (1.0 + off * 1e-9);
            let (whole, steps) = (Interval::exactly(value), Interval::between(step, step * (1.0 + wider)));
            for function in [OfValues::RoundUp, OfValues::RoundDown] {
                let made = Interval::function(function, whole, steps).expect("a value");
                let point = f64::function(function, value, step).expect("a value");
                prop_assert!(made.holds(point), "{function:?} {value} {step}: {point} outside {made:?}");
            }
        }
    }

    #[test]
    fn far_out_a_wave_may_be_anywhere() {
        let far = Interval::between(1e97, 1e173);
        for function in [OfValues::Sin, OfValues::Cos] {
            assert_eq!(Interval::function(function, far, far), Ok(Interval::between(-1.0, 1.0)));
        }
    }
}
