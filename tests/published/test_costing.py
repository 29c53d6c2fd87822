"""Costs and prices against worked textbook examples.

Source of all figures: OpenStax, Principles of Accounting, vol. 1 (inventory valuation) and vol. 2 (break-even), read in
the text. The book rounds to what it prints, so the tolerance is half of its last digit.
"""

import pytest
from tarecell.calculations import costing

# Beginning inventory and purchases: units and cost per unit.
UNITS, COSTS = [150.0, 225.0, 210.0], [21.0, 27.0, 33.0]
SOLD = 120.0 + 180.0


def test_first_in_first_out():
    assert costing.fifo(UNITS, COSTS, SOLD) == 7200  # cost of goods sold, whole dollars
    whole = costing.recipe_cost(UNITS, COSTS)
    assert whole - costing.fifo(UNITS, COSTS, SOLD) == 8955  # ending inventory


def test_first_in_first_out_sale_by_sale():
    """The first sale of 120 is all from the beginning inventory; the second takes the other 30 and 150 at 27."""
    first = costing.fifo(UNITS, COSTS, 120.0)
    assert first == 120 * 21
    assert costing.fifo(UNITS, COSTS, SOLD) - first == 30 * 21 + 150 * 27


def test_weighted_average_periodic():
    assert costing.average_cost(UNITS, COSTS) == pytest.approx(27.6154, abs=0.00005)


def test_break_even_in_units():
    assert costing.break_even(100.0, 20.0, 18_000.0) == 225


def test_markup_on_cost():
    assert costing.markup_price(10.0, 0.30) == pytest.approx(13.00, abs=1e-12)
    # margin = markup / (1 + markup), the identity between the two (arithmetic)
    assert costing.margin(13.0, 10.0) == pytest.approx(0.30 / 1.30, rel=1e-12)
