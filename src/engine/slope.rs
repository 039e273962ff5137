//! How a value moves with one input: what it may be, and how steeply it may rise or fall.
//!
//! In: two such values and an operation. Out: an enclosure of every result and of every difference quotient
//! `(f(x) - f(y)) / (x - y)` over the box, so that a step counts as a slope without end.
//! Never: says that a value only rises, or only falls, where some pair of inputs shows otherwise.

use super::interval::Interval;
use super::number::Number;
use super::operator::Arithmetic;
use super::status::Reason;
use crate::sheet::function::OfValues;

/// All slopes from lowest to highest; an end may be infinite.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slope {
    low: f64,
    high: f64,
}

impl Slope {
    /// It does not move.
    pub const NONE: Self = Self { low: 0.0, high: 0.0 };
    /// It moves as the input does.
    pub const ONE: Self = Self { low: 1.0, high: 1.0 };
    const RISES: Self = Self { low: 0.0, high: f64::INFINITY };
    const FALLS: Self = Self { low: f64::NEG_INFINITY, high: 0.0 };
    /// Nothing is known of how it moves.
    pub const ANY: Self = Self { low: f64::NEG_INFINITY, high: f64::INFINITY };

    /// Returns whether it never falls.
    pub fn never_falls(self) -> bool {
        self.low >= 0.0
    }

    /// Returns whether it never rises.
    pub fn never_rises(self) -> bool {
        self.high <= 0.0
    }

    /// Returns the most that it may rise or fall for each step of the input; without end where it may jump.
    pub fn steepest(self) -> f64 {
        self.low.abs().max(self.high.abs())
    }

    fn of(whole: Interval) -> Self {
        let (low, high) = whole.ends();
        Self { low, high }
    }

    /// Rounding keeps the sign of a sum and of a product, so an end at zero stays there.
    fn outwards(self) -> Self {
        if self.low.is_nan() || self.high.is_nan() {
            return Self::ANY;
        }
        let low = if self.low >= 0.0 { self.low.next_down().max(0.0) } else { self.low.next_down() };
        let high = if self.high <= 0.0 { self.high.next_up().min(0.0) } else { self.high.next_up() };
        Self { low, high }
    }

    fn plus(self, other: Self) -> Self {
        Self { low: self.low + other.low, high: self.high + other.high }.outwards()
    }

    fn negated(self) -> Self {
        Self { low: 0.0 - self.high, high: 0.0 - self.low }
    }

    fn hull(self, other: Self) -> Self {
        Self { low: self.low.min(other.low), high: self.high.max(other.high) }
    }

    fn times(self, other: Self) -> Self {
        // Zero times a slope without end is zero: what does not move does not move.
        let product = |a: f64, b: f64| if a == 0.0 || b == 0.0 { 0.0 } else { a * b };
        let corners = [
            product(self.low, other.low),
            product(self.low, other.high),
            product(self.high, other.low),
            product(self.high, other.high),
        ];
        let low = corners.into_iter().fold(f64::INFINITY, f64::min);
        let high = corners.into_iter().fold(f64::NEG_INFINITY, f64::max);
        Self { low, high }.outwards()
    }
}

/// A value with how it moves with one input.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sloped {
    /// All that it may be.
    pub whole: Interval,
    /// How steeply it may rise or fall.
    pub slope: Slope,
}

impl Sloped {
    fn steep(self, by: Result<Interval, Reason>, else_by: Slope) -> Slope {
        self.slope.times(by.map_or(else_by, Slope::of))
    }

    fn over(left: Self, right: Self, quotient: Interval) -> Slope {
        // (f1 - f2) / g1 - (f2 / g2) (g1 - g2) / g1
        let Ok(one_part) = Interval::arithmetic(Arithmetic::Divide, Interval::exactly(1.0), right.whole)
        else {
            return Slope::ANY;
        };
        let falls = right.slope.times(Slope::of(quotient)).times(Slope::of(one_part));
        left.slope.times(Slope::of(one_part)).plus(falls.negated())
    }

    /// A power: of a settled exponent its derivative is `n x^(n - 1)`.
    fn raised(left: Self, right: Self) -> Slope {
        let ((low, _), (power, same)) = (left.whole.ends(), right.whole.ends());
        if power != same || right.slope != Slope::NONE {
            return Slope::ANY;
        }
        let less = Interval::exactly(power - 1.0);
        let derivative = Interval::arithmetic(Arithmetic::Power, left.whole, less)
            .and_then(|steep| Interval::arithmetic(Arithmetic::Multiply, Interval::exactly(power), steep));
        let otherwise = match (low >= 0.0, power >= 0.0) {
            (true, true) => Slope::RISES,
            (true, false) => Slope::FALLS,
            (false, _) => Slope::ANY,
        };
        left.steep(derivative, otherwise)
    }

    fn of_two(function: OfValues, left: Self, right: Self) -> Slope {
        let ((ll, lh), (rl, rh)) = (left.whole.ends(), right.whole.ends());
        let left_only = if function == OfValues::Min { lh <= rl } else { ll >= rh };
        let right_only = if function == OfValues::Min { rh <= ll } else { rl >= lh };
        match (left_only, right_only) {
            (true, _) => left.slope,
            (_, true) => right.slope,
            (false, false) => left.slope.hull(right.slope),
        }
    }
}

impl Number for Sloped {
    fn exactly(value: f64) -> Self {
        Self { whole: Interval::exactly(value), slope: Slope::NONE }
    }

    fn ends(self) -> (f64, f64) {
        self.whole.ends()
    }

    /// One or the other: where they may differ, it may jump. Two equal enclosures may hold values that differ.
    fn hull(self, other: Self) -> Self {
        let (low, high) = self.ends();
        if self == other && low == high {
            return self;
        }
        Self { whole: self.whole.hull(other.whole), slope: Slope::ANY }
    }

    fn negated(self) -> Self {
        Self { whole: self.whole.negated(), slope: self.slope.negated() }
    }

    fn arithmetic(op: Arithmetic, left: Self, right: Self) -> Result<Self, Reason> {
        let whole = Interval::arithmetic(op, left.whole, right.whole)?;
        if left.slope == Slope::NONE && right.slope == Slope::NONE {
            return Ok(Self { whole, slope: Slope::NONE });
        }
        let slope = match op {
            Arithmetic::Add => left.slope.plus(right.slope),
            Arithmetic::Subtract => left.slope.plus(right.slope.negated()),
            Arithmetic::Multiply => {
                let rises = left.slope.times(Slope::of(right.whole));
                rises.plus(right.slope.times(Slope::of(left.whole)))
            }
            Arithmetic::Divide => Self::over(left, right, whole),
            Arithmetic::Power => Self::raised(left, right),
        };
        Ok(Self { whole, slope })
    }

    fn function(function: OfValues, left: Self, right: Self) -> Result<Self, Reason> {
        let whole = Interval::function(function, left.whole, right.whole)?;
        if left.slope == Slope::NONE && right.slope == Slope::NONE {
            return Ok(Self { whole, slope: Slope::NONE });
        }
        let divided = |by: Result<Interval, Reason>| {
            by.and_then(|by| Interval::arithmetic(Arithmetic::Divide, Interval::exactly(1.0), by))
        };
        let scaled =
            |factor: f64| Interval::arithmetic(Arithmetic::Multiply, left.whole, Interval::exactly(factor));
        let slope = match function {
            OfValues::Min | OfValues::Max => Self::of_two(function, left, right),
            OfValues::Abs => match left.whole.ends() {
                (low, _) if low >= 0.0 => left.slope,
                (_, high) if high <= 0.0 => left.slope.negated(),
                _ => left.slope.hull(left.slope.negated()),
            },
            OfValues::Sqrt => {
                let twice = Interval::arithmetic(Arithmetic::Multiply, whole, Interval::exactly(2.0));
                left.steep(divided(twice), Slope::RISES)
            }
            OfValues::Exp => left.steep(Ok(whole), Slope::RISES),
            OfValues::Ln => left.steep(divided(Ok(left.whole)), Slope::RISES),
            OfValues::Log10 => left.steep(divided(scaled(std::f64::consts::LN_10)), Slope::RISES),
            OfValues::Sin => {
                left.steep(Interval::function(OfValues::Cos, left.whole, left.whole), Slope::ANY)
            }
            OfValues::Cos => {
                left.steep(Interval::function(OfValues::Sin, left.whole, left.whole), Slope::ANY).negated()
            }
            OfValues::Acos => left.slope.times(Slope::FALLS),
            OfValues::RoundUp | OfValues::RoundDown if right.slope == Slope::NONE => {
                left.slope.times(Slope::RISES)
            }
            OfValues::RoundUp | OfValues::RoundDown => Slope::ANY,
        };
        Ok(Self { whole, slope })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::interval::tests::FUNCTIONS;
    use proptest::prelude::*;

    /// A small formula of one input, worked over numbers of any kind.
    fn worked<N: Number>(steps: &[(u8, f64)], x: N) -> Result<N, Reason> {
        let mut value = x;
        for (kind, number) in steps {
            let number = N::exactly(*number);
            value = match kind % 20 {
                0 => N::arithmetic(Arithmetic::Add, value, number)?,
                1 => N::arithmetic(Arithmetic::Subtract, number, value)?,
                2 => N::arithmetic(Arithmetic::Multiply, value, number)?,
                3 => N::arithmetic(Arithmetic::Multiply, value, x)?,
                4 => N::arithmetic(Arithmetic::Divide, number, value)?,
                5 => N::arithmetic(Arithmetic::Divide, x, value)?,
                6 => N::arithmetic(Arithmetic::Power, value, N::exactly(2.0))?,
                7 => N::arithmetic(Arithmetic::Power, value, N::exactly(-1.5))?,
                n => {
                    let function = FUNCTIONS[usize::from(n - 8)];
                    let second = match function {
                        OfValues::RoundUp | OfValues::RoundDown => N::exactly(0.25),
                        OfValues::Min | OfValues::Max => x,
                        _ => value,
                    };
                    N::function(function, value, second)?
                }
            };
        }
        Ok(value)
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(4000))]
        #[test]
        fn what_never_falls_never_falls(
            steps in prop::collection::vec((any::<u8>(), -3.0..3.0_f64), 1..6),
            low in -2.0..4.0_f64, width in 0.001..1.0_f64, s in 0.0..1.0_f64, t in 0.0..1.0_f64,
        ) {
            let high = low + width;
            let input = Sloped { whole: Interval::between(low, high), slope: Slope::ONE };
            let Ok(made) = worked(&steps, input) else { return Ok(()) };
            let (x, y) = (low + width * s.min(t), low + width * s.max(t));
            let (Ok(at_x), Ok(at_y)) = (worked(&steps, x), worked(&steps, y)) else { return Ok(()) };
            let noise = 1e-11 * at_x.abs().max(at_y.abs());
            if made.slope.never_falls() {
                prop_assert!(at_y >= at_x - noise, "{steps:?}: {at_x} at {x}, {at_y} at {y}");
            }
            if made.slope.never_rises() {
                prop_assert!(at_y <= at_x + noise, "{steps:?}: {at_x} at {x}, {at_y} at {y}");
            }
            if y - x > 1e-6 {
                let steep = (at_y - at_x) / (y - x);
                let slack = 1e-6 * (steep.abs() + 1.0) + noise / (y - x);
                prop_assert!(made.slope.low <= steep + slack && steep <= made.slope.high + slack,
                    "{steps:?}: {steep} outside {:?}", made.slope);
            }
        }
    }

    #[test]
    fn a_step_up_never_falls_and_an_open_choice_may_jump() {
        let x = Sloped { whole: Interval::between(0.2, 1.3), slope: Slope::ONE };
        let up = Sloped::function(OfValues::RoundUp, x, Sloped::exactly(0.5)).expect("a value");
        assert!(up.slope.never_falls() && !up.slope.never_rises());
        let either = x.hull(Sloped::exactly(1.0));
        assert!(!either.slope.never_falls() && !either.slope.never_rises());
        // Two values that may each be anything from 0 to 2 are not one value.
        let wide = Sloped { whole: Interval::between(0.0, 2.0), slope: Slope::NONE };
        assert_eq!(wide.hull(wide).slope, Slope::ANY);
        let settled = Sloped::exactly(1.0);
        assert_eq!(settled.hull(settled).slope, Slope::NONE);
    }
}
