"""Writes conversions.csv: quantities over the catalogue and compounds of it, in SI, as the library `pint` has them.

Run it with pint 0.25 installed, from any folder: python3 conversions.py
Factors, prefixes and dimensions are pint's own; only the names beside our symbols stand here.
"""

import csv
import pathlib
import random

import pint

UNITS = pint.UnitRegistry()
PREFIXES = {"": "", "p": "pico", "n": "nano", "u": "micro", "m": "milli", "c": "centi", "d": "deci",
            "k": "kilo", "M": "mega", "G": "giga"}
# Our symbol, pint's name, the prefixes that our catalogue has.
CATALOGUE = [
    ("m", "meter", "numcdk"), ("in", "inch", ""), ("ft", "foot", "k"), ("yd", "yard", ""), ("mil", "thou", ""),
    ("cmil", "circular_mil", "k"), ("l", "liter", "m"), ("s", "second", "num"), ("min", "minute", ""),
    ("h", "hour", ""), ("d", "day", ""), ("year", "year", ""), ("Hz", "hertz", "kM"), ("K", "kelvin", ""),
    ("A", "ampere", "umk"), ("V", "volt", "umk"), ("ohm", "ohm", "umkMG"), ("S", "siemens", "um"),
    ("W", "watt", "mkM"), ("VA", "volt_ampere", "k"), ("var", "volt_ampere", "k"), ("Ah", "ampere_hour", "mk"),
    ("Wh", "watt_hour", "kM"), ("J", "joule", "kM"), ("C", "coulomb", ""), ("F", "farad", "pnum"),
    ("H", "henry", "um"), ("g", "gram", "mk"), ("lb", "pound", ""), ("N", "newton", "k"),
    ("lbf", "force_pound", ""), ("Pa", "pascal", "kM"), ("bar", "bar", "m"),
    ("psi", "pound_force_per_square_inch", ""), ("lm", "lumen", ""), ("lx", "lux", ""), ("cd", "candela", ""),
    ("mol", "mole", ""), ("rad", "radian", ""), ("deg", "degree", ""), ("%", "percent", ""), ("ppm", "ppm", ""),
]
SYMBOLS = {p + symbol: PREFIXES[p] + name for symbol, name, prefixes in CATALOGUE for p in ["", *prefixes]}
POINTS = {"degC": "degree_Celsius", "degF": "degree_Fahrenheit"}
BASE = ["[length]", "[mass]", "[time]", "[current]", "[temperature]", "[substance]", "[luminosity]"]
KNOWN = ["ohm/km", "ohm/kft", "mV/A/m", "A*s^0.5/mm2", "K^-1", "m3/h", "mm2", "ohm*cmil/ft", "V/K", "kW*h", "lm/W",
         "ft2", "in2", "l/h", "A/mm2", "lbf/in2", "cd/m2", "Wh/kg", "lb/ft3", "ohm*mm2/m"]
POWERS = {"": 1, "2": 2, "3": 3, "^-1": -1, "^0.5": 0.5, "^-0.5": -0.5, "^1.5": 1.5}


def piece(text):
    """Returns the pint unit of one symbol with its power."""
    symbol = max((s for s in SYMBOLS if text.startswith(s) and text[len(s):] in POWERS), key=len)
    return UNITS.Unit(SYMBOLS[symbol]) ** POWERS[text[len(symbol):]]


def unit(text):
    """Returns the pint unit of a compound; each / divides by the next piece only."""
    made = UNITS.Unit("")
    for product in text.replace("*", "\n*").replace("/", "\n/").split("\n"):
        made = made / piece(product[1:]) if product[0] == "/" else made * piece(product.lstrip("*"))
    return made


def compound(chance):
    """Returns the text of a compound of two or three pieces."""
    pieces = [chance.choice(list(SYMBOLS)) + chance.choice(["", "", "", *POWERS]) for _ in range(chance.choice([2, 2, 3]))]
    return pieces[0] + "".join(chance.choice("*/") + one for one in pieces[1:])


def row(text, number, of):
    """Returns a quantity, its SI value and the exponents of its base units."""
    quantity = UNITS.Quantity(number, of)
    si = quantity.to_base_units()
    dimension = [float(si.dimensionality.get(base, 0)) for base in BASE]
    return [f"{number!r} {text}", repr(float(si.magnitude)), *(f"{exponent:g}" for exponent in dimension)]


def main():
    chance = random.Random(20261125)
    number = lambda: float(f"{chance.uniform(0.1, 10) * 10 ** chance.randint(-3, 4):.6g}")
    texts = [*SYMBOLS, *KNOWN, *(compound(chance) for _ in range(180))]
    rows = [row(text, number(), unit(text)) for text in texts]
    for text, name in POINTS.items():
        rows += [row(text, degrees, UNITS.Unit(name)) for degrees in [-40.0, -5.5, 0.0, 20.0, 70.0, 212.0]]
    with open(pathlib.Path(__file__).with_name("conversions.csv"), "w", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(["quantity", "si", "m", "kg", "s", "A", "K", "mol", "cd"])
        writer.writerows(rows)


if __name__ == "__main__":
    main()
