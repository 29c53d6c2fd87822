"""Packs: the cheapest purchase, then the least left over, against trying every purchase."""

import itertools
import math
import time
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tarecell.calculations.packs import packs
from tarecell.errors import OutOfRange

OUNCE = 28.349523125


def exact(value):
    return Fraction(repr(value))


def every_purchase(needed, sizes, prices):
    """(cost, left over) of the best of all purchases that have enough; exact fractions."""
    most = [math.ceil(exact(needed) / exact(s)) for s in sizes]
    best = None
    for counts in itertools.product(*(range(m + 1) for m in most)):
        bought = sum(c * exact(s) for c, s in zip(counts, sizes, strict=True))
        if bought >= exact(needed):
            rank = sum(c * exact(p) for c, p in zip(counts, prices, strict=True)), bought - exact(needed)
            best = min(best, rank) if best else rank
    return best


def rank_of(counts, needed, sizes, prices):
    bought = sum(int(c) * exact(s) for c, s in zip(counts, sizes, strict=True))
    return sum(int(c) * exact(p) for c, p in zip(counts, prices, strict=True)), bought - exact(needed)


SIZES = st.lists(st.integers(2, 60), min_size=1, max_size=3)


@settings(max_examples=60, deadline=None)
@given(st.integers(1, 90), SIZES, st.data())
def test_whole_sizes_against_every_purchase(needed, sizes, data):
    prices = [n / 4 for n in data.draw(st.lists(st.integers(0, 80), min_size=len(sizes), max_size=len(sizes)))]
    sizes = [float(s) for s in sizes]
    found = packs(float(needed), sizes, prices)
    assert rank_of(found, float(needed), sizes, prices) == every_purchase(float(needed), sizes, prices)


@settings(max_examples=60, deadline=None)
@given(st.floats(1, 90), st.lists(st.floats(3, 60), min_size=1, max_size=3), st.data())
def test_odd_sizes_against_every_purchase(needed, sizes, data):
    """Sizes with no common divisor, as conversions give them: the other search."""
    prices = [n / 4 for n in data.draw(st.lists(st.integers(1, 80), min_size=len(sizes), max_size=len(sizes)))]
    cost, over = rank_of(packs(needed, sizes, prices), needed, sizes, prices)
    least, least_over = every_purchase(needed, sizes, prices)
    assert over >= -1e-9 * exact(needed)
    assert cost <= least
    assert cost < least or over <= least_over + exact(needed) / 10**6


@pytest.mark.parametrize(
    ("needed", "sizes", "prices", "counts"),
    [
        (907.18474, [453.59237, 907.18474], [10.0, 18.0], [0, 1]),  # two pounds in grams
        (907.18474, [453.59237], [10.0], [2]),
        (3 * OUNCE, [OUNCE], [1.0], [3]),
        (0.1 + 0.2, [0.1], [1.0], [3]),  # binary noise is no fourth pack
        (2000 / 3, [100.0, 250.0], [3.0, 7.0], [2, 2]),
        (1000.0, [500.0, 250.0], [0.0, 0.0], [0, 4]),  # free packs still have to be enough
        (1.0, [1000.0], [10.0], [1]),
        (1e-300, [1.0], [1.0], [1]),
        (1.0, [1e308], [1.0], [1]),
        (100.0, [100.0, 1e6], [1.0, 0.0], [0, 1]),
        (1e6, [1000.0, 500.0], [10.0, 6.0], [1000, 0]),
        (1300.0, [1e-05, 500.0, 100.0], [12.0, 7.0, 2.0], [0, 2, 3]),  # a typing slip in one size
        (5.0, [1e-300, 1.0], [1.0, 1.0], [0, 5]),
        (500.3, [10 * OUNCE, 300.1], [5.0, 5.0], [2, 0]),  # two packs either way: the least left over
        (500.3, [300.1, 10 * OUNCE], [5.0, 5.0], [0, 2]),
        (500.0, [280.0, 300.0], [5.0, 5.0], [2, 0]),
    ],
)
def test_packs_that_were_worth_a_second_look(needed, sizes, prices, counts):
    assert packs(needed, sizes, prices) == counts


def test_a_search_that_would_take_too_long_is_refused_in_time():
    start = time.perf_counter()
    for needed, sizes in ((1e300, [OUNCE, 453.59237]), (1e9, [1000.0, 999.0])):
        try:
            counts = packs(needed, sizes, [1.0] * len(sizes))
        except OutOfRange as refusal:
            assert "round the sizes" in refusal.reason
        else:
            assert sum(c * s for c, s in zip(counts, sizes, strict=True)) >= needed * (1 - 1e-9)
    alike = [1.4, 5.0, 5.6, 12.4, 22.4, 49.5, 112.0]  # every size costs nearly the same by weight
    with pytest.raises(OutOfRange, match="round the sizes"):
        packs(25_000.0, [OUNCE, 100.0, 4 * OUNCE, 250.0, 16 * OUNCE, 1000.0, 80 * OUNCE], alike)
    assert time.perf_counter() - start < 20
