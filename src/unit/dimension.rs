//! Dimensions: the exponents of the seven SI base quantities, exact in halves.
//!
//! In: dimensions. Out: their products, powers and roots, and what a person calls them.
//! Never: holds a factor; two units of one dimension differ in their [`super::Unit`].

/// Exponents of length, mass, time, current, temperature, amount and luminous intensity, doubled.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Dimension([i8; 7]);

impl Dimension {
    /// A plain number.
    pub const NONE: Self = Self([0; 7]);
    /// Second.
    pub const TIME: Self = Self::whole([0, 0, 1, 0, 0, 0, 0]);
    /// Kelvin.
    pub const TEMPERATURE: Self = Self::whole([0, 0, 0, 0, 1, 0, 0]);

    /// Returns the dimension with these whole exponents, -63 to 63.
    pub const fn whole(exponents: [i8; 7]) -> Self {
        let mut doubled = exponents;
        let mut n = 0;
        while n < 7 {
            doubled[n] = exponents[n] * 2;
            n += 1;
        }
        Self(doubled)
    }

    /// Returns the doubled exponents.
    pub fn halves(self) -> [i8; 7] {
        self.0
    }

    /// Returns whether this is a plain number.
    pub fn is_none(self) -> bool {
        self == Self::NONE
    }

    fn each(self, other: Self, work: impl Fn(i8, i8) -> Option<i8>) -> Option<Self> {
        let mut made = [0; 7];
        for (n, exponent) in made.iter_mut().enumerate() {
            // The least number has no opposite; without it every dimension has its inverse.
            *exponent = work(self.0[n], other.0[n]).filter(|made| *made != i8::MIN)?;
        }
        Some(Self(made))
    }

    /// Returns the dimension of a product; `None` out of all measure.
    pub fn times(self, other: Self) -> Option<Self> {
        self.each(other, i8::checked_add)
    }

    /// Returns the dimension of a quotient; `None` out of all measure.
    pub fn over(self, other: Self) -> Option<Self> {
        self.each(other, i8::checked_sub)
    }

    /// Returns the dimension of a power given in halves; `None` where it is not exact in halves.
    pub fn to_power(self, halves: i32) -> Option<Self> {
        let power = |exponent: i8| {
            let product = i32::from(exponent).checked_mul(halves)?;
            (product % 2 == 0).then(|| i8::try_from(product / 2).ok())?
        };
        self.each(self, |exponent, _| power(exponent))
    }

    /// Returns the dimension of a square root; `None` where it is not exact in halves.
    pub fn root(self) -> Option<Self> {
        self.to_power(1)
    }

    /// Returns the dimension of the reciprocal.
    pub fn inverse(self) -> Self {
        Self(self.0.map(|exponent| -exponent))
    }

    /// Returns what a person calls it: "voltage", "a plain number", or base units where it has no name.
    pub fn name(self) -> String {
        let named = NAMES.iter().find(|(exponents, _)| Self::whole(*exponents) == self);
        named.map_or_else(|| self.in_base_units(), |(_, name)| (*name).to_owned())
    }

    /// Returns it in base units, as a unit is written: `m^2*kg/s^2/A`.
    pub fn in_base_units(self) -> String {
        let part = |n: usize, halves: i8| match f64::from(halves) / 2.0 {
            1.0 => BASE[n].to_owned(),
            power => format!("{}^{power}", BASE[n]),
        };
        let exponents = self.0.into_iter().enumerate();
        let above: Vec<String> = exponents.clone().filter(|(_, e)| *e > 0).map(|(n, e)| part(n, e)).collect();
        let below = exponents.filter(|(_, e)| *e < 0);
        if above.is_empty() {
            return below.map(|(n, e)| part(n, e)).collect::<Vec<_>>().join("*");
        }
        below.fold(above.join("*"), |made, (n, e)| made + "/" + &part(n, -e))
    }
}

const BASE: [&str; 7] = ["m", "kg", "s", "A", "K", "mol", "cd"];

#[cfg(test)]
impl Dimension {
    /// Metre.
    pub(super) const LENGTH: Self = Self::whole([1, 0, 0, 0, 0, 0, 0]);
    /// Volt.
    pub(super) const VOLTAGE: Self = Self::whole([2, 1, -3, -1, 0, 0, 0]);
    /// Ohm.
    pub(super) const RESISTANCE: Self = Self::whole([2, 1, -3, -2, 0, 0, 0]);
    /// Coulomb.
    pub(super) const CHARGE: Self = Self::whole([0, 0, 1, 1, 0, 0, 0]);
}

/// What people call the dimensions of this trade.
const NAMES: &[([i8; 7], &str)] = &[
    ([0, 0, 0, 0, 0, 0, 0], "a plain number"),
    ([1, 0, 0, 0, 0, 0, 0], "length"),
    ([2, 0, 0, 0, 0, 0, 0], "area"),
    ([3, 0, 0, 0, 0, 0, 0], "volume"),
    ([3, 0, -1, 0, 0, 0, 0], "flow"),
    ([0, 1, 0, 0, 0, 0, 0], "mass"),
    ([0, 0, 1, 0, 0, 0, 0], "time"),
    ([0, 0, -1, 0, 0, 0, 0], "frequency"),
    ([1, 0, -1, 0, 0, 0, 0], "speed"),
    ([0, 0, 0, 1, 0, 0, 0], "current"),
    ([0, 0, 1, 1, 0, 0, 0], "charge"),
    ([0, 0, 0, 0, 1, 0, 0], "a difference of temperature"),
    ([0, 0, 0, 0, -1, 0, 0], "change per kelvin"),
    ([0, 0, 0, 0, 0, 1, 0], "amount"),
    ([0, 0, 0, 0, 0, 0, 1], "luminous intensity"),
    ([-2, 0, 0, 0, 0, 0, 1], "illuminance"),
    ([1, 1, -2, 0, 0, 0, 0], "force"),
    ([-1, 1, -2, 0, 0, 0, 0], "pressure"),
    ([2, 1, -2, 0, 0, 0, 0], "energy"),
    ([2, 1, -3, 0, 0, 0, 0], "power"),
    ([2, 1, -3, -1, 0, 0, 0], "voltage"),
    ([2, 1, -3, -2, 0, 0, 0], "resistance"),
    ([-2, -1, 3, 2, 0, 0, 0], "conductance"),
    ([1, 1, -3, -2, 0, 0, 0], "resistance per length"),
    ([3, 1, -3, -2, 0, 0, 0], "resistivity"),
    ([-2, -1, 4, 2, 0, 0, 0], "capacitance"),
    ([2, 1, -2, -2, 0, 0, 0], "inductance"),
    ([2, 1, -3, -1, -1, 0, 0], "voltage per kelvin"),
    ([-2, 0, 0, 1, 0, 0, 0], "current per area"),
    ([1, 1, -3, -1, 0, 0, 0], "voltage per length"),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn powers_are_exact_in_halves_or_refused() {
        let half = Dimension::TIME.root().unwrap_or_default();
        assert_eq!(half.times(half), Some(Dimension::TIME));
        assert_eq!(half.name(), "s^0.5");
        assert_eq!(half.root(), None, "a quarter is not a half");
        assert_eq!(Dimension::LENGTH.to_power(1000), None);
        assert_eq!(Dimension::LENGTH.to_power(4).map(Dimension::name).as_deref(), Some("area"));
    }

    #[test]
    fn a_dimension_without_a_name_is_told_in_base_units() {
        assert_eq!(
            Dimension::VOLTAGE.times(Dimension::TIME).map(Dimension::name).as_deref(),
            Some("m^2*kg/s^2/A")
        );
        assert_eq!(Dimension::whole([0, 0, -2, 0, 0, 0, 0]).name(), "s^-2");
        assert_eq!(
            Dimension::RESISTANCE.over(Dimension::LENGTH).map(Dimension::name).as_deref(),
            Some("resistance per length")
        );
        assert_eq!(Dimension::CHARGE.name(), "charge");
    }

    #[test]
    fn a_dimension_times_its_inverse_is_a_plain_number() {
        for (exponents, name) in NAMES {
            let dimension = Dimension::whole(*exponents);
            assert_eq!(dimension.times(dimension.inverse()), Some(Dimension::NONE), "{name}");
        }
    }
}
