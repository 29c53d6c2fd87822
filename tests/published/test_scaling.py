"""Scaling and its rounding against published and hand-worked figures."""

from fractions import Fraction

import pytest
from tarecell.calculations import rounding, scaling

# Apportionment of the United States House of Representatives by Hamilton's method, 1791 proposal: populations of the
# first census and 120 seats (Balinski and Young, Fair Representation, table; from memory, so never the only check).
CENSUS = {
    "Virginia": 630_560, "Massachusetts": 475_327, "Pennsylvania": 432_879, "North Carolina": 353_523,
    "New York": 331_589, "Maryland": 278_514, "Connecticut": 236_841, "South Carolina": 206_236,
    "New Jersey": 179_570, "New Hampshire": 141_822, "Vermont": 85_533, "Georgia": 70_835, "Kentucky": 68_705,
    "Rhode Island": 68_446, "Delaware": 55_540,
}  # fmt: skip
HAMILTON_120 = [21, 16, 14, 12, 11, 9, 8, 7, 6, 5, 3, 2, 2, 2, 2]


def test_hamiltons_own_apportionment():
    seats = scaling.scale([float(p) for p in CENSUS.values()], 120.0, 1.0)
    assert seats == HAMILTON_120


def test_hamiltons_method_by_its_definition():
    """Largest remainders, worked out here in exact fractions from the definition."""
    total = sum(CENSUS.values())
    quotas = [Fraction(p * 120, total) for p in CENSUS.values()]
    floors = [q.numerator // q.denominator for q in quotas]
    order = sorted(range(len(quotas)), key=lambda i: floors[i] - quotas[i])
    for i in order[: 120 - sum(floors)]:
        floors[i] += 1
    assert floors == HAMILTON_120
    assert rounding.apportion([float(q) for q in quotas], 1.0) == floors


def test_additions_on_top_and_within():
    """Mass balance (arithmetic): 1 % on top of 500 g is 5 g, which is 0.990 % of the 505 g finished."""
    grams = scaling.extra(500.0, 0.01)
    assert grams == 5
    assert round(scaling.finished_share(grams, 500.0) * 100, 3) == 0.990
    assert scaling.within(495.0, 0.01) == pytest.approx(5.0, rel=1e-12)
    assert scaling.within(480.0, 0.01, [0.02, 0.01]) == pytest.approx(5.0, rel=1e-12)


def test_a_container_of_water():
    """NIST Handbook 44, App. C: 1 US fl oz = 29.5735295625 mL; OpenStax Chemistry, App. E: 0.9982 g/mL at 20 °C."""
    assert scaling.fill(4.0, "fl oz", 0.9982071) == pytest.approx(4 * 29.5735295625 * 0.9982071, rel=1e-12)
