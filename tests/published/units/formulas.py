"""Writes formulas.csv: random formulas of quantities, each with what the library `pint` makes of it.

Run it with pint 0.25 installed: python3 formulas.py
Units and temperature scales are pint's work, the plain functions python's. Here stand our syntax, our order of
working, and what no row may rest on: a sum that cancels, a step of rounding or a limit met by a hair.
A formula grows towards a unit, its terms all about as large, so that each of them tells in the result.
"""

import csv
import math
import operator
import pathlib
import random
import re
from typing import NamedTuple

import pint

from conversions import KNOWN, POINTS, POWERS, SYMBOLS, UNITS, unit

TEXTS = [*SYMBOLS, *KNOWN, "V*A", "V/A", "A/V", "A*h", "J/s", "C/s", "W*s", "N*m", "N/m2", "kg/m3", "V*s/A", "ohm*m"]
ALIKE = {}
for text in TEXTS:
    ALIKE.setdefault(unit(text).dimensionality, []).append(text)
PLAIN = ["", "", "", "", "%", "ppm", "rad", "deg"]
SCALES = {UNITS.Unit(name): f"delta_{name}" for name in POINTS.values()}
COMPARISONS = ["<", "<=", ">", ">=", "==", "!="]
# How tightly each part of a formula holds together.
OR, AND, NOT, COMPARISON, SUM, PRODUCT, MINUS, POWER, QUANTITY, CLOSED = range(10)
LEVELS = {"or": OR, "and": AND, "+": SUM, "-": SUM, "*": PRODUCT, "/": PRODUCT, "^": POWER}


class Unfit(Exception):
    """The formula rests on a rounding error, or has no value."""


class Formula(NamedTuple):
    """A formula as written, its level, and its value; None where pint refuses it."""

    text: str
    level: int
    value: object

    def at(self, level):
        return self.text if self.level >= level else f"({self.text})"


def worked(work, *parts):
    """Returns what pint makes of the values of the parts."""
    if any(part.value is None for part in parts):
        return None
    try:
        return work(*(part.value for part in parts))
    except (pint.DimensionalityError, pint.OffsetUnitCalculusError):
        return None
    except (ValueError, ArithmeticError) as error:
        raise Unfit from error


def measure(text):
    """Returns the pint unit of any text that may stand after a number, nothing and a scale as well."""
    return unit(text) if text and text not in POINTS else UNITS.Unit(POINTS.get(text, ""))


def number(quantity):
    return quantity.to("").magnitude


def base(quantity):
    return quantity.to_base_units().magnitude


def summed(sign, left, right):
    """Adds or subtracts; beside a point pint wants the difference in degrees of that scale."""
    if left.units in SCALES and right.units not in SCALES:
        right = right.to(SCALES[left.units])
    elif right.units in SCALES and left.units not in SCALES:
        left = left.to(SCALES[right.units])
    made = left + right if sign == "+" else left - right
    if abs(base(made)) < 1e-4 * max(abs(base(left)), abs(base(right))):
        raise Unfit
    return made


def compared(sign, left, right):
    if left.is_compatible_with(right) and math.isclose(base(left), base(right), rel_tol=1e-13):
        return sign in ("<=", ">=", "==")
    below = base(summed("-", left, right)) < 0
    return {"<": below, "<=": below, ">": not below, ">=": not below, "==": False, "!=": True}[sign]


def rounded(whole, value, step):
    count = number(value / step)
    if base(step) <= 0 or abs(count - round(count)) < 1e-6 * max(abs(count), 1):
        raise Unfit
    return whole(count) * step


def powered(left, right):
    made = (left.to("") if left.dimensionless else left) ** number(right)
    if isinstance(made.magnitude, complex):
        raise Unfit
    return made


def of_number(function):
    return lambda value: UNITS.Quantity(function(number(value)))


FUNCTIONS = {
    "exp": of_number(math.exp), "ln": of_number(math.log), "log10": of_number(math.log10),
    "sin": of_number(math.sin), "cos": of_number(math.cos), "acos": of_number(math.acos),
}
WORK = FUNCTIONS | {
    "min": min, "max": max, "abs": abs, "sqrt": lambda value: powered(value, UNITS.Quantity(0.5)),
    "round_up": lambda *values: rounded(math.ceil, *values), "round_down": lambda *values: rounded(math.floor, *values),
    "+": lambda *values: summed("+", *values), "-": lambda *values: summed("-", *values),
    "*": operator.mul, "/": operator.truediv, "^": powered, "and": operator.and_, "or": operator.or_,
}


def joined(left, sign, right):
    """Returns two formulas with an operator between, in the fewest brackets."""
    if sign in COMPARISONS:
        value = worked(lambda *values: compared(sign, *values), left, right)
        return Formula(f"{left.at(SUM)} {sign} {right.at(SUM)}", COMPARISON, value)
    level = LEVELS[sign]
    left_level, right_level = (CLOSED, QUANTITY) if sign == "^" else (level, level + 1)
    text = f"{left.at(left_level)} {sign} {right.at(right_level)}"
    return Formula(text, level, worked(WORK[sign], left, right))


def called(name, *parts):
    return Formula(f"{name}({', '.join(part.text for part in parts)})", CLOSED, worked(WORK[name], *parts))


def negated(part):
    return Formula(f"-{part.at(MINUS)}", MINUS, worked(operator.neg, part))


def denied(part):
    return Formula(f"not {part.at(NOT)}", NOT, worked(operator.not_, part))


def quantity(amount, text, space=" "):
    written = f"{amount!r}".removesuffix(".0") + (space + text if text else "")
    return Formula(written, QUANTITY if text else CLOSED, UNITS.Quantity(amount, measure(text)))


class Grower:
    """Grows formulas; as often as `slips` says, a quantity is of quite another unit."""

    def __init__(self, seed, slips=0.0):
        self.chance = random.Random(seed)
        self.pick = self.chance.choice
        self.slips = slips

    def alike(self, text):
        """Returns a unit of the same dimension: one of its own, or every symbol of it replaced."""
        if not text or text in POINTS:
            return self.pick(list(POINTS) if text else PLAIN)
        if self.chance.random() < 0.5 and (whole := ALIKE.get(unit(text).dimensionality)):
            return self.pick(whole)
        symbols = lambda symbol: [other for other in ALIKE[unit(symbol).dimensionality] if other in SYMBOLS]
        return re.sub(r"[^*/^0-9.-]+", lambda symbol: self.pick(symbols(symbol[0])), text)

    def leaf(self, text, low=0.5, high=20.0):
        """Returns a quantity between two sizes in a unit, written in another."""
        if self.chance.random() < self.slips:
            text = self.pick(TEXTS)
        size, other = math.exp(self.chance.uniform(math.log(low), math.log(high))), self.alike(text)
        amount = UNITS.Quantity(size, measure(text)).to(measure(other)).magnitude
        amount, other = (amount, other) if 1e-5 < amount < 1e6 else (size, text)
        return quantity(float(f"{amount:.4g}"), other, self.pick(["", " ", " "]))

    def grow(self, text, depth):
        """Returns a formula of a unit's dimension, its value not far above or below one of the unit."""
        while True:
            try:
                made = self.pick(self.ways(text, depth - 1))() if depth > 0 else self.leaf(text)
                if made.value is None or not made.value.is_compatible_with(measure(text)):
                    assert self.slips, f"{made} is not in {text}"
                    return made
                if 1e-3 < abs(made.value.to(measure(text)).magnitude) < 1e4:
                    return made
            except Unfit:
                pass

    def ways(self, text, depth):
        grow = lambda of: self.grow(of, depth)
        own, plain, point = lambda: grow(text), lambda: grow(""), lambda: self.point(depth)
        symbol, (power, exponent) = self.pick(list(SYMBOLS)), self.pick(list(POWERS.items())[1:])
        product = f"{text}*{symbol}" if text else symbol
        raised = lambda: joined(grow(symbol), "^", quantity(exponent, ""))
        made = [
            lambda: joined(own(), "+", own()),
            lambda: joined(own(), "-", own()),
            lambda: joined(plain(), "*", own()),
            lambda: joined(own(), self.pick("*/"), plain()),
            lambda: joined(grow(product), "/", grow(symbol)),
            lambda: joined(grow(product + power), "/", raised()),
            lambda: negated(own()),
            lambda: called(self.pick(["min", "max"]), own(), own(), *(own() for _ in self.pick(["", "1"]))),
            lambda: called("abs", own()),
            lambda: called("sqrt", joined(own(), "*", own())),
            lambda: called(self.pick(["round_up", "round_down"]), own(), self.leaf(text, 0.05, 1.0)),
        ]
        if text:
            made += [
                lambda: joined(grow(f"{text}/{symbol}"), "*", grow(symbol)),
                lambda: joined(raised(), "*", grow(f"{text}/{symbol}{power}")),
            ]
        else:
            other = self.pick(TEXTS)
            made += [
                lambda: joined(grow(other), "/", grow(other)),
                lambda: joined(own(), "^", self.leaf(text)),
                *[lambda: called(self.pick(list(FUNCTIONS)), own())] * 4,
            ]
        if text in SYMBOLS:
            made += [
                lambda: joined(plain(), "/", grow(f"{text}^-1")),
                lambda: joined(grow(f"{text}^0.5"), "^", quantity(2, "")),
                lambda: joined(grow(f"{text}2"), "^", quantity(0.5, "")),
            ]
        return made + [lambda: joined(point(), "-", point())] * 4 if text == "K" else made

    def point(self, depth):
        """Returns a temperature as a point of a scale."""
        point, difference = lambda: self.point(depth - 1), lambda: self.grow("K", depth - 1)
        leaf = lambda: quantity(self.chance.randint(-400, 900) / 10, self.pick(list(POINTS)))
        ways = [
            leaf,
            lambda: joined(point(), "+", difference()),
            lambda: joined(difference(), "+", point()),
            lambda: joined(point(), "-", difference()),
            lambda: called(self.pick(["min", "max"]), point(), point()),
        ]
        if self.chance.random() < self.slips:
            ways += [
                lambda: joined(point(), "+", point()),
                lambda: joined(point(), self.pick("*/"), self.grow("", depth - 1)),
            ]
        return self.pick(ways if depth > 0 else ways[:1])()

    def condition(self, depth):
        """Returns a formula that is yes or no."""
        text, part = self.pick([*TEXTS, ""]), lambda: self.condition(depth - 1)
        ways = [
            lambda left: (left, self.grow(text, depth)),
            lambda left: (self.point(1), self.point(1)),
            lambda left: (left, quantity(left.value.to(measure(other := self.alike(text))).magnitude, other)),
        ]
        if depth > 1 and self.chance.random() < 0.6:
            both = lambda: joined(part(), self.pick(["and", "or"]), part())
            return self.pick([both, both, both, lambda: denied(part())])()
        left, right = self.pick(ways[:2] if self.slips else ways)(self.leaf(text))
        return joined(left, self.pick(COMPARISONS), right)

    def quantity_row(self):
        text = self.pick([self.pick(TEXTS), self.pick(KNOWN), "", "K"])
        return self.grow(text, self.pick([1, 2, 2, 3])), self.alike(text)

    def point_row(self):
        return self.point(self.pick([1, 2])), self.pick([*POINTS, "K"] if self.slips else list(POINTS))

    def condition_row(self):
        return self.condition(self.pick([1, 2, 3])), "flag"


def told(formula, shown):
    """Returns what the formula comes to in the unit it is shown in."""
    value = formula.value if shown == "flag" else worked(lambda value: value.to(measure(shown)).magnitude, formula)
    if value is None or shown == "flag":
        return {None: "refused", False: "no", True: "yes"}[value]
    if not 1e-30 < abs(value) < 1e30:
        raise Unfit
    return repr(float(value))


def rows(one, count, refused=False):
    """Returns rows that differ; none is one bare quantity, or too long to read. Refused are those that pint refuses."""
    made = {}
    while len(made) < count:
        try:
            formula, shown = one()
            expected = told(formula, shown)
        except Unfit:
            continue
        if formula.level != QUANTITY and len(formula.text) < 160 and refused == (expected == "refused"):
            made[formula.text] = [formula.text, shown, expected]
    return list(made.values())


def main():
    sound, slipping = Grower(20261125), Grower(20261126, slips=0.15)
    made = rows(sound.quantity_row, 460) + rows(sound.point_row, 40) + rows(sound.condition_row, 100)
    for one, count in [(slipping.quantity_row, 35), (slipping.point_row, 25), (slipping.condition_row, 10)]:
        made += rows(one, count, refused=True)
    with open(pathlib.Path(__file__).with_name("formulas.csv"), "w", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(["formula", "unit", "expected"])
        writer.writerows(made)


if __name__ == "__main__":
    main()
