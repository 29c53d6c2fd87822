"""Soap against published values: molar masses, pure triglycerides, and the published ranges of fats."""

import math

import pytest
import tarecell
from molmass import Formula
from tarecell.calculations import fats

KOH_MASS = Formula("KOH").mass
NAOH_MASS = Formula("NaOH").mass


def test_molar_masses():
    # molmass (standard atomic weights). The rounding of the constants to 0.0001 g/mol is the tolerance.
    assert math.isclose(fats.NAOH, NAOH_MASS, abs_tol=1e-4)
    assert math.isclose(fats.KOH, KOH_MASS, abs_tol=1e-4)
    assert math.isclose(fats.NAOH_PER_KOH, NAOH_MASS / KOH_MASS, rel_tol=2e-6)
    assert math.isclose(fats.NAOH_PER_KOH, 0.712889, abs_tol=1e-6)  # published with six decimals, the rest cut off


@pytest.mark.parametrize(
    ("formula", "double_bonds", "molar_mass", "value", "naoh", "iodine"),
    [
        # SV = 3 × 56105.6 / M, IV = double bonds × 253.809 × 100 / M; masses by molmass
        ("C57H104O6", 3, 885.434, 190.10, 0.13552, 85.99),  # triolein
        ("C51H98O6", 0, 807.322, 208.49, 0.14863, 0.0),  # tripalmitin
    ],
)
def test_pure_triglycerides(formula, double_bonds, molar_mass, value, naoh, iodine):
    mass = Formula(formula).mass
    assert math.isclose(mass, molar_mass, abs_tol=0.01)  # atomic weights differ in the third decimal between editions
    saponification = 3 * KOH_MASS * 1000 / mass
    assert math.isclose(saponification, value, abs_tol=0.005)  # printed to two decimals
    # one mole of a triglyceride takes three moles of NaOH: the mole balance, without any saponification value
    weight = tarecell.call("TC_LYE", [formula], [mass], "NaOH", 0.0, 1.0, [saponification])
    assert math.isclose(weight, 3 * NAOH_MASS, rel_tol=1e-5)  # the constants' rounding
    assert math.isclose(weight / mass, naoh, abs_tol=5e-6)  # printed to five decimals
    found = double_bonds * 2 * Formula("I").mass * 100 / mass
    assert math.isclose(found, iodine, abs_tol=0.005)
    # two rows of it: the 0 of a saturated fat in a single cell would be as good as blank
    assert math.isclose(tarecell.call("TC_IODINE", [formula] * 2, [1.0, 1.0], [found] * 2), iodine, abs_tol=0.005)


def test_stearic_acid_is_neutralised_mole_for_mole():
    # C18H36O2 by molmass; the table's value is rounded to 0.1
    assert math.isclose(
        tarecell.call("TC_SAP", "stearic acid", "KOH"), KOH_MASS / Formula("C18H36O2").mass, abs_tol=5e-5
    )


def test_jojoba_is_a_wax_ester():
    # Handbook value 92.2; an ester of molar mass 606 takes one mole of KOH (92.6). Natural jojoba is a mixture: 1 %.
    assert math.isclose(tarecell.call("TC_SAP", "jojoba oil", "KOH"), 0.0922)
    assert math.isclose(0.0922, KOH_MASS / 606, rel_tol=0.01)


def test_olive_oil_mean_molar_mass():
    # Textbook exercise (transcribed): saponification value 190 is a mean molar mass of 885.9. Printed to one decimal.
    assert math.isclose(3 * 56.1056 / tarecell.call("TC_SAP", "olive oil", "KOH"), 885.9, abs_tol=0.05)


@pytest.mark.parametrize(
    ("fat", "low", "high"),
    [
        ("coconut oil", 248, 265),  # Codex CXS 210 (transcribed)
        ("palm oil", 190, 209),  # Codex CXS 210 (transcribed)
        ("sunflower oil", 187, 194),  # Codex CXS 210, 2022 amendment (primary)
        ("soya bean oil", 189, 195),  # Codex CXS 210 (transcribed)
        ("rapeseed oil", 182, 193),  # Codex CXS 210, low erucic (transcribed)
        ("olive oil", 184, 196),  # Codex CXS 33, in Journal of Chemistry 2023, 3274666, table 1 (transcribed)
        ("castor oil", 176, 187),  # BP 1993 (transcribed)
        ("shea butter", 160, 195),  # Codex CXS 325R (transcribed)
        ("lard", 192, 203),  # Codex CXS 211 (from memory)
        ("beeswax", 87, 104),  # Ph. Eur. (transcribed)
    ],
)
def test_superfat_range_is_zero_at_the_published_ends(fat, low, high):
    """With just the KOH that the low (high) end needs, the lowest (highest) superfat is 0, but for rounding."""
    at_low = tarecell.call("TC_SUPERFAT_RANGE", [fat], [1000.0], float(low), "KOH")
    at_high = tarecell.call("TC_SUPERFAT_RANGE", [fat], [1000.0], float(high), "KOH")
    assert math.isclose(at_low[0], 0.0, abs_tol=1e-12) and math.isclose(at_low[1], 1 - low / high)
    assert math.isclose(at_high[1], 0.0, abs_tol=1e-12) and math.isclose(at_high[0], 1 - high / low)
    assert low <= tarecell.call("TC_SAP", fat, "KOH") * 1000 <= high


def test_beeswax_ends_add_up():
    # Ph. Eur. (transcribed): acid value 17 to 24 and ester value 70 to 80 add up to 87 to 104.
    value = fats.saponification("beeswax")
    assert (value.low, value.high) == (17 + 70, 24 + 80)


def test_cocoa_butter_point():
    # CRC Handbook point value 193.8 (transcribed), not the middle of 188 to 195.
    assert math.isclose(tarecell.call("TC_SAP", "cocoa butter", "KOH"), 0.1938)


@pytest.mark.parametrize(
    ("saturated", "unsaturated"),
    # Iodine values: published order of fats from hard to soft (Codex CXS 210 and 211, BP 1993; ranges do not overlap).
    [("coconut oil", "palm oil"), ("palm oil", "castor oil"), ("castor oil", "sunflower oil"), ("tallow", "lard")],
)
def test_softer_fats_have_higher_iodine_values(saturated, unsaturated):
    assert fats.iodine(saturated).high <= fats.iodine(unsaturated).low


def test_lye_concentration():
    # Definition of mass fraction: 250 g of lye at 20 % by weight hold 50 g NaOH and 200 g water.
    assert math.isclose(tarecell.call("TC_LYE_WATER", 50.0, 0.2), 200.0)
