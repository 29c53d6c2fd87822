"""Rounding to the scale's step: the total is kept, and nothing is off by a whole step."""

from fractions import Fraction

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from tarecell.calculations import rounding
from tarecell.errors import OutOfRange

STEPS = st.sampled_from([0.001, 0.01, 0.05, 0.1, 0.25, 0.3, 0.5, 1.0, 5.0])
# Whole thousandths: what a person types; both implementations then work with the same numbers.
AMOUNTS = st.lists(st.integers(0, 2_000_000).map(lambda n: n / 1000), min_size=1, max_size=12)


def exact(value):
    """A float as the decimal that people read."""
    return Fraction(repr(value))


def apportioned(amounts, step):
    """Hamilton's method in exact fractions, written independently: quotas, floors, largest remainders."""
    quotas = [exact(a) / exact(step) for a in amounts]
    seats = sum(quotas) + Fraction(1, 2)
    given_out = [q.numerator // q.denominator for q in quotas]
    spare = seats.numerator // seats.denominator - sum(given_out)
    by_remainder = sorted(range(len(quotas)), key=lambda i: (given_out[i] - quotas[i], -quotas[i], i))
    for i in by_remainder[:spare]:
        given_out[i] += 1
    return [g * exact(step) for g in given_out]


@settings(max_examples=60, deadline=None)
@given(AMOUNTS, STEPS)
def test_apportion_agrees_with_exact_fractions(amounts, step):
    found = rounding.apportion(amounts, step, keep_all=False)
    assert [exact(f) for f in found] == apportioned(amounts, step)


@settings(max_examples=60, deadline=None)
@given(AMOUNTS, STEPS)
def test_apportion_keeps_the_total_and_moves_no_row_by_a_step(amounts, step):
    try:
        found = rounding.apportion(amounts, step)
    except OutOfRange:
        assert any(0 < a < step for a in amounts), "only a row smaller than a step can be refused"
        return
    total = sum(exact(a) for a in amounts) / exact(step) + Fraction(1, 2)
    assert sum(exact(f) for f in found) == total.numerator // total.denominator * exact(step)
    for amount, rounded in zip(amounts, found, strict=True):
        assert abs(exact(rounded) - exact(amount)) < exact(step)
        assert (rounded == 0) == (amount == 0)


@pytest.mark.parametrize("total", [1e3, 1e6, 1e9, 9.99e11])
def test_large_totals_are_kept_to_the_last_step(total):
    """Also where there are a billion steps and more: freight of ten million to the cent, a tonne to the milligram."""
    found = rounding.apportion([total / 3] * 3, 1.0)
    assert sum(found) == total
    assert max(found) - min(found) <= 1


@pytest.mark.parametrize(("amount", "step"), [(100.0, 1e-12), (1e16, 0.01), (1.0, 1e-300), (1e308, 1e-308)])
def test_a_step_that_a_number_cannot_show_is_refused(amount, step):
    for function in (rounding.to_step, rounding.down_to_step, rounding.up_to_step):
        with pytest.raises(OutOfRange, match="coarser step"):
            function(amount, step)


@pytest.mark.parametrize(
    ("amount", "step", "down", "near", "up"),
    [
        (0.3, 0.1, 0.3, 0.3, 0.3),  # 0.3 / 0.1 is a hair under 3 in binary
        (0.35, 0.1, 0.3, 0.4, 0.4),
        (10.005, 0.01, 10.0, 10.01, 10.01),  # 10.005 / 0.01 is a hair under 1000.5
        (7.0, 5.0, 5.0, 5.0, 10.0),
        (7.5, 5.0, 5.0, 10.0, 10.0),
        (0.04, 0.1, 0.0, 0.0, 0.1),
        (100.0, 0.3, 99.9, 99.9, 100.2),
    ],
)
def test_rounding_as_a_person_would(amount, step, down, near, up):
    assert rounding.down_to_step(amount, step) == down
    assert rounding.to_step(amount, step) == near
    assert rounding.up_to_step(amount, step) == up


def test_steps_come_back_without_binary_noise():
    assert rounding.in_steps(3, 0.1) == 0.3
    assert rounding.in_steps(123456789012, 0.01) == 1234567890.12
    assert [rounding.in_steps(n, 0.05) for n in range(4)] == [0.0, 0.05, 0.1, 0.15]


def test_a_small_row_is_refused_in_the_words_of_the_scale():
    with pytest.raises(OutOfRange, match="filled row 2: 0.04 is smaller than half a step of this scale"):
        rounding.apportion([10.0, 0.04], 0.1)
    with pytest.raises(OutOfRange, match="cannot be weighed in steps of 1"):
        rounding.apportion([0.5, 0.5, 0.5], 1.0)


def test_a_row_that_would_vanish_comes_before_larger_remainders():
    assert rounding.apportion([0.6, 1.7, 1.7], 1.0) == [1.0, 2.0, 1.0]
    assert rounding.apportion([0.6, 1.7, 1.7], 1.0, keep_all=False) == [0.0, 2.0, 2.0]


def test_a_row_of_exactly_one_step_is_in_no_danger():
    assert rounding.apportion([1.0, 1.5, 1.5], 1.0) == [1.0, 2.0, 1.0]


def test_remainders_that_differ_by_less_than_a_millionth_of_a_step_are_the_same():
    """The larger row, where a step weighs least, then comes first."""
    assert rounding.apportion([1.3, 2.3], 1.0) == [1.0, 3.0]
    assert rounding.apportion([1.3000004, 2.3], 1.0) == [1.0, 3.0]
    assert rounding.apportion([1.300004, 2.3], 1.0) == [2.0, 2.0]


def test_where_the_steps_do_not_go_round_the_row_left_without_is_named():
    with pytest.raises(OutOfRange) as caught:
        rounding.apportion([0.2, 0.0, 0.05, 0.05], 0.1)
    assert "filled row 4: 0.05 cannot be weighed in steps of 0.1 " in caught.value.reason


@pytest.mark.parametrize(
    ("amount", "count"),
    [
        (2.9999999995, 3.0),
        (2.999999998, 2.999999998),
        (1e-9, 0.0),  # a billionth of a step is still noise
        (1e9 + 1e-6, 1e9),  # the spacing of numbers there is 1.2e-7
        (1e9 + 1e-5, 1e9 + 1e-5),
        (1e12, 1e12),
    ],
)
def test_binary_noise_grows_with_the_count_and_nothing_else_is_noise(amount, count):
    assert rounding.units_in(amount, 1.0) == count


def test_one_step_more_than_can_be_counted_is_refused():
    with pytest.raises(OutOfRange):
        rounding.units_in(1e12 + 1, 1.0)


def test_neither_a_whole_step_nor_an_empty_row_takes_the_step_of_a_row_in_danger():
    assert rounding.apportion([1.0, 0.6, 1.7, 1.7], 1.0) == [1.0, 1.0, 2.0, 1.0]
    assert rounding.apportion([0.0, 0.6, 1.7, 1.7], 1.0) == [0.0, 1.0, 2.0, 1.0]


@given(
    st.decimals(min_value="0.001", max_value="99999", places=3),
    st.decimals(min_value=0, max_value="99999", places=3),
)
def test_a_difference_is_that_of_the_decimal_numbers(amount, less):
    assume(less <= amount)
    assert rounding.difference(float(amount), float(less)) == float(amount - less)


def test_a_difference_of_nothing_is_nought_without_a_sign():
    assert str(rounding.difference(0.3, 0.1 + 0.2)) == "0.0"
    assert rounding.difference(1e300, 1.0) == 1e300 and rounding.difference(5e-324, 0.0) == 5e-324


def test_a_difference_has_all_fifteen_digits():
    assert rounding.difference(1000.00000000001, 1000.0) == 1e-11
    assert rounding.difference(9.99999999999999, 9.99999999999998) == 1e-14
