"""Units against published figures and against other libraries."""

import shutil
import subprocess

import pytest
import scipy.constants
import unyt
from tarecell.calculations import amount_text, units

# NIST Handbook 44, Appendix C, and Weights and Measures Act 1985, Schedule 1. These are exact by definition, so the
# tolerance is that of a binary fraction.
EXACT = 1e-15


@pytest.mark.parametrize(
    ("word", "to", "figure"),
    [
        ("lb", "g", 453.59237),  # Weights and Measures Act 1985: pound = 0.45359237 kg
        ("oz", "g", 28.349523125),  # … ounce = 1/16 pound
        ("st", "lb", 14),  # … stone = 14 pounds
        ("oz t", "g", 31.1034768),  # … ounce troy = 12/175 pound
        ("grain", "mg", 64.79891),  # NIST Handbook 44, App. C: grain (from memory)
        ("gal", "mL", 3785.411784),  # NIST Handbook 44, App. C: gallon = 231 cubic inches
        ("gal", "in3", 231),
        ("fl oz", "mL", 29.5735295625),  # NIST Handbook 44, App. C: 1/128 gallon
        ("cup", "mL", 236.5882365),  # NIST Handbook 44, App. C: 8 fluid ounces
        ("tbsp", "mL", 14.78676478125),  # NIST Handbook 44, App. C: 1/2 fluid ounce
        ("tsp", "mL", 4.92892159375),  # NIST Handbook 44, App. C: 1/6 fluid ounce
        ("pt", "fl oz", 16),
        ("qt", "fl oz", 32),
        ("UK gal", "mL", 4546.09),  # Weights and Measures Act 1985: gallon = 4.54609 dm3
        ("UK fl oz", "mL", 28.4130625),  # … 1/160 gallon
        ("UK pt", "mL", 568.26125),  # … 1/8 gallon
        ("metric cup", "mL", 250),  # common practice, no published source
        ("metric tbsp", "mL", 15),  # common practice, no published source
        ("metric tsp", "mL", 5),  # common practice, no published source
        ("AU tbsp", "mL", 20),  # common practice, no published source
        ("in", "mm", 25.4),  # Weights and Measures Act 1985: yard = 0.9144 m
        ("ft", "mm", 304.8),
        ("yd", "m", 0.9144),
    ],
)
def test_defined_figures(word, to, figure):
    assert units.convert(1, word, to) == pytest.approx(figure, rel=EXACT)


@pytest.mark.parametrize(
    ("word", "to", "figure"),
    [("oz", "g", 28.3495), ("lb", "g", 453.592), ("fl oz", "mL", 29.5735)],
)
def test_factors_of_us_trade_labels(word, to, figure):
    """16 CFR 500.19: conversion factors for labels, "and none others". They are rounded to six figures."""
    assert float(f"{units.convert(1, word, to):.6g}") == figure


# unyt is independent of pint; its factors come from its own table. Its fluid measures are left out: the gallon is built
# from its inch (231 cubic inches, NIST Handbook 44, App. C). 1e-12: both sides are a few roundings away.
_CUBIC_INCH = unyt.inch**3
_UNYT = {
    "g": 1 * unyt.g, "kg": 1 * unyt.kg, "mg": 1 * unyt.mg, "oz": 1 * unyt.oz, "lb": 1 * unyt.lb,
    "mL": 1 * unyt.mL, "L": 1 * unyt.L, "m3": 1 * unyt.m**3, "in3": 1 * _CUBIC_INCH, "gal": 231 * _CUBIC_INCH,
    "qt": 231 / 4 * _CUBIC_INCH, "pt": 231 / 8 * _CUBIC_INCH, "cup": 231 / 16 * _CUBIC_INCH,
    "fl oz": 231 / 128 * _CUBIC_INCH, "tbsp": 231 / 256 * _CUBIC_INCH, "tsp": 231 / 768 * _CUBIC_INCH,
    "mm": 1 * unyt.mm, "cm": 1 * unyt.cm, "m": 1 * unyt.m, "in": 1 * unyt.inch, "ft": 1 * unyt.ft, "yd": 1 * unyt.yd,
}  # fmt: skip


@pytest.mark.parametrize("start", _UNYT)
def test_agrees_with_unyt(start):
    alike = [end for end in _UNYT if units.unit(end).dimension == units.unit(start).dimension]
    assert len(alike) >= 5
    for end in alike:
        wanted = float((_UNYT[start] / _UNYT[end]).to_value("dimensionless"))
        assert units.convert(1, start, end) == pytest.approx(wanted, rel=1e-12), end


# GNU units, a third table, where it is installed. Its metric tablespoon and Australian tablespoon have other names.
_GNU = {"oz": "oz", "lb": "lb", "st": "stone", "oz t": "troyounce", "grain": "grain", "g": "g", "fl oz": "usfloz",
        "cup": "uscup", "tbsp": "ustablespoon", "tsp": "usteaspoon", "gal": "usgallon", "UK fl oz": "brfloz",
        "UK pt": "brpint", "UK gal": "brgallon", "mL": "mL", "AU tbsp": "australiatablespoon"}  # fmt: skip


@pytest.mark.skipif(shutil.which("units") is None, reason="GNU units is not installed: unyt and scipy are checked")
@pytest.mark.parametrize("start", _GNU)
def test_agrees_with_gnu_units(start):
    base = "g" if units.unit(start).dimension == "mass" else "mL"
    answer = subprocess.run(
        ["units", "--terse", "-o", "%.15g", _GNU[start], base], capture_output=True, text=True, check=True, timeout=20
    )
    # 1e-13: fifteen figures are printed.
    assert units.convert(1, start, base) == pytest.approx(float(answer.stdout.split()[0]), rel=1e-13)


@pytest.mark.parametrize(
    ("word", "to", "constant"),
    [
        ("lb", "kg", scipy.constants.lb),
        ("oz", "kg", scipy.constants.oz),
        ("st", "kg", scipy.constants.stone),
        ("oz t", "kg", scipy.constants.troy_ounce),
        ("grain", "kg", scipy.constants.grain),
        ("fl oz", "m3", scipy.constants.fluid_ounce_US),
        ("UK fl oz", "m3", scipy.constants.fluid_ounce_imp),
        ("gal", "m3", scipy.constants.gallon_US),
        ("UK gal", "m3", scipy.constants.gallon_imp),
        ("in", "m", scipy.constants.inch),
        ("ft", "m", scipy.constants.foot),
        ("yd", "m", scipy.constants.yard),
        ("C", "K", 1 + scipy.constants.zero_Celsius),
    ],
)
def test_agrees_with_scipy(word, to, constant):
    # 1e-14: scipy works its figures out from inch and pound in a few multiplications.
    assert units.convert(1, word, to) == pytest.approx(constant, rel=1e-14)


@pytest.mark.parametrize("celsius", [-273.15, -40.0, 0.0, 4.0, 20.0, 37.0, 50.0, 71.1, 100.0, 180.0])
def test_temperatures_agree_with_scipy(celsius):
    for word, name in (("F", "Fahrenheit"), ("K", "Kelvin")):
        wanted = scipy.constants.convert_temperature(celsius, "Celsius", name)
        # 1e-10 degrees: scipy goes through kelvin, which costs the last digits.
        assert units.convert(celsius, "C", word) == pytest.approx(wanted, abs=1e-10)
        assert units.convert(wanted, word, "C") == pytest.approx(celsius, abs=1e-10)


def test_water_by_the_mass_of_a_litre():
    """OpenStax Chemistry, App. E: 0.9982 g/mL at 20 °C, four figures."""
    assert round(units.density("water"), 4) == 0.9982
    assert units.convert(1, "L", "g", units.density("water")) == pytest.approx(998.2, abs=0.05)


def test_agrees_with_the_international_formulation_for_water():
    iapws = pytest.importorskip("iapws")
    # 1e-6: the table has seven figures, for 1 atm.
    density = iapws.IAPWS97(T=293.15, P=0.101325).rho / 1000
    assert units.density("water") == pytest.approx(density, rel=1e-5)


def test_pounds_and_ounces_of_a_net_weight():
    """21 CFR 701.13 shows such a statement as pounds and ounces; 16 ounces to the pound (W&M Act 1985)."""
    assert amount_text.pounds_and_ounces(20 * 28.349523125) == "1 lb 4 oz"
