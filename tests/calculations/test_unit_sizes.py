"""The sizes of units that are kept are those that pint has."""

from fractions import Fraction

from tarecell.calculations import unit_sizes


def test_what_is_kept_is_what_pint_says():
    """Run `python -m tarecell.calculations.unit_sizes` when this fails after a change to tables/units.csv."""
    assert unit_sizes.SIZES == unit_sizes.all_asked()


def test_a_unit_that_is_not_kept_is_asked_for():
    assert "slug" not in unit_sizes.SIZES
    # 1 slug = 1 lbf s²/ft: 0.45359237 kg × 9.80665 m/s² ÷ 0.3048 m (NIST Handbook 44, App. C: 14.59390 kg)
    exact = Fraction("0.45359237") * Fraction("9.80665") / Fraction("0.3048") * 1000
    assert unit_sizes.size("slug", "mass") == (exact, 0)
