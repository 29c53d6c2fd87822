"""Cost and price: what is shared out adds up, what is turned round comes back."""

import math
from fractions import Fraction

import pytest
import tarecell
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from tarecell.calculations import costing
from tarecell.errors import CellError, OutOfRange

MONEY = st.integers(1, 1_000_000).map(lambda n: n / 100)
QUANTITY = st.integers(1, 100_000).map(lambda n: n / 10)
SHARE = st.integers(0, 45).map(lambda n: n / 100)
PURCHASES = st.lists(st.tuples(QUANTITY, MONEY), min_size=1, max_size=8)


def exact(value):
    return Fraction(repr(value))


@settings(max_examples=60, deadline=None)
@given(st.lists(MONEY, min_size=1, max_size=12), MONEY)
def test_landed_freight_adds_up_to_the_cent(values, freight):
    shares = costing.landed(values, freight)
    assert sum(map(exact, shares)) == exact(freight)
    total = sum(map(exact, values))
    for value, share in zip(values, shares, strict=True):
        assert abs(exact(share) - exact(freight) * exact(value) / total) < Fraction(1, 100)
        assert exact(share) * 100 % 1 == 0
    assert costing.landed([1.0] * len(values), freight, values) == shares


@pytest.mark.parametrize("freight", [0.01, 9_999_999.99, 1e9 + 0.01])
def test_landed_adds_up_for_any_size_of_bill(freight):
    assert sum(map(exact, costing.landed([1.0, 1.0, 1.0], freight))) == exact(freight)


def test_freight_beyond_cents_is_refused():
    with pytest.raises(OutOfRange):
        costing.landed([1.0, 1.0, 1.0], 1e15)
    with pytest.raises(OutOfRange, match="nothing to share"):
        costing.landed([0.0, 0.0], 5.0)


@settings(max_examples=60, deadline=None)
@given(MONEY, SHARE, SHARE, MONEY)
def test_price_in_exact_fractions_and_back_to_the_margin(cost, margin, fee_share, fixed_fee):
    found = costing.price(cost, margin, fee_share, fixed_fee)
    wanted = (exact(cost) + exact(fixed_fee)) / (1 - exact(fee_share) - exact(margin))
    assert found == pytest.approx(float(wanted), rel=1e-13)
    assert costing.margin(found, cost, fee_share, fixed_fee) == pytest.approx(margin, abs=1e-12)


@settings(max_examples=60, deadline=None)
@given(MONEY, SHARE, SHARE, MONEY, st.sampled_from([0.01, 0.05, 0.5, 0.99, 1.0, 5.0]))
def test_a_rounded_price_keeps_the_margin(cost, margin, fee_share, fixed_fee, round_to):
    plain = costing.price(cost, margin, fee_share, fixed_fee)
    rounded = costing.price(cost, margin, fee_share, fixed_fee, round_to)
    assert plain * (1 - 1e-8) <= rounded < plain + round_to
    assert exact(rounded) / exact(round_to) % 1 == 0
    assert costing.margin(rounded, cost, fee_share, fixed_fee) >= margin - 1e-8


@settings(max_examples=60, deadline=None)
@given(MONEY, st.integers(0, 300).map(lambda n: n / 100))
def test_markup_and_margin_are_one_thing(cost, markup):
    price = costing.markup_price(cost, markup)
    assert costing.margin(price, cost) == pytest.approx(markup / (1 + markup), abs=1e-12)
    assert costing.price(cost, markup / (1 + markup)) == pytest.approx(price, rel=1e-12)


@settings(max_examples=60, deadline=None)
@given(PURCHASES, st.floats(0, 1))
def test_what_was_used_and_what_is_left_make_the_stock(purchases, part):
    quantities, costs = map(list, zip(*purchases, strict=True))
    used = math.fsum(quantities) * part
    cost_of_used = costing.fifo(quantities, costs, used)
    whole = math.fsum(q * c for q, c in purchases)
    # What is left, valued from the newest purchase back: first in, first out seen from the other end.
    left = costing.fifo(quantities[::-1], costs[::-1], math.fsum(quantities) - used)
    assert cost_of_used + left == pytest.approx(whole, rel=1e-9, abs=1e-6)
    assert costing.fifo(quantities, costs, math.fsum(quantities)) == pytest.approx(whole, rel=1e-12)
    average = costing.average_cost(quantities, costs)
    assert min(costs) * (1 - 1e-12) <= average <= max(costs) * (1 + 1e-12)
    assert costing.recipe_cost(quantities, costs) == pytest.approx(average * math.fsum(quantities), rel=1e-12)


def test_more_used_than_came_in():
    with pytest.raises(OutOfRange, match="only 10 came in"):
        costing.fifo([5.0, 5.0], [2.0, 3.0], 10.001)
    assert costing.fifo([0.1] * 3, [1.0] * 3, 0.3) == pytest.approx(0.3)


@settings(max_examples=60, deadline=None)
@given(MONEY, SHARE, MONEY, MONEY)
def test_break_even_is_the_first_whole_piece_that_earns_it(price, part, fixed_cost, profit):
    variable_cost = round(price * part, 2)
    assume(price > variable_cost)
    pieces = costing.break_even(price, variable_cost, fixed_cost, profit)
    earned, wanted = exact(price) - exact(variable_cost), exact(fixed_cost) + exact(profit)
    assert pieces == math.ceil(wanted / earned)


def test_what_can_never_pay_is_refused():
    with pytest.raises(OutOfRange, match="more pieces only lose more"):
        costing.break_even(4.0, 4.0, 100.0)
    with pytest.raises(OutOfRange):
        costing.break_even(100.0, 99.99999999999999, 1e300)
    with pytest.raises(OutOfRange, match="leave nothing to pay the cost from"):
        costing.price(6.0, 0.7, 0.3)
    with pytest.raises(OutOfRange, match="coarser step"):
        costing.price(6.0, 0.4, 0, 0, 1e-300)


def test_unit_costs():
    assert costing.unit_cost(21.0, 1.0, "lb", "oz", 3.0) == 1.5
    assert costing.unit_cost(18.4, 1.0, "L", "g", 0.0, 0.92) == pytest.approx(0.02)
    assert costing.unit_cost(6.0, 1.0, "dozen", "each") == 0.5
    for words in (("F", "C"), ("C", "C")):
        with pytest.raises(OutOfRange, match="temperature"):
            costing.unit_cost(5.0, 32.0, *words)


def test_a_blank_price_is_no_cost_of_0():
    for blank in (None, "", 0.0):
        with pytest.raises(CellError) as caught:
            tarecell.call("TC_UNIT_COST", blank, 500.0, "g", "g")
        assert caught.value.kind == "#VALUE!"
    with pytest.raises(CellError) as caught:
        tarecell.call("TC_RECIPE_COST", [300.0, 150.0], [0.001, None])
    assert caught.value.kind == "#N/A" and "row 2" in caught.value.reason
    assert tarecell.call("TC_RECIPE_COST", [300.0, 150.0], [0.001, 0.0]) == pytest.approx(0.3)


def test_labour():
    assert costing.labour(90, 16) == 24
    assert costing.labour(90, 16, 12) == 2


def test_a_hair_in_a_difference_costs_no_step_more():
    """1 − 0.883 − 0.1168 and 1000.01 − 1000 are not 0.0002 and 0.01 in binary fractions."""
    assert costing.price(19.58, 0.883, 0.1168, 2.53, 1.0) == 110550
    assert costing.break_even(1000.01, 1000.0, 1000.0) == 100000
    assert costing.break_even(5.0, 10 / 3, 50.0) == 30  # a cost of a third stays one
    assert costing.price(100 / 3, 1 / 3, round_to=0.01) == 50
