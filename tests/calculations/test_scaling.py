"""Scaling: the sum and the proportions stay, and every addition can be turned back into its share."""

import math
from fractions import Fraction

import pytest
import tarecell
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from tarecell.calculations import scaling
from tarecell.errors import CellError, NotFound, OutOfRange, WrongValue

WEIGHT = st.integers(1, 5_000_000).map(lambda n: n / 1000)
RECIPE = st.lists(st.one_of(st.just(0.0), WEIGHT), min_size=1, max_size=12).filter(any)
STEP = st.sampled_from([0.01, 0.1, 0.3, 0.5, 1.0, 5.0])
SHARE = st.integers(1, 4000).map(lambda n: n / 10_000)


def exact(value):
    return Fraction(repr(value))


@settings(max_examples=60, deadline=None)
@given(RECIPE, WEIGHT)
def test_scale_keeps_the_sum_and_the_proportions(amounts, target):
    found = scaling.scale(amounts, target)
    total = sum(map(exact, amounts))
    for amount, scaled in zip(amounts, found, strict=True):
        assert scaled == pytest.approx(float(exact(amount) * exact(target) / total), rel=1e-14)
    assert math.fsum(found) == pytest.approx(target, rel=1e-14)


@settings(max_examples=60, deadline=None)
@given(RECIPE, WEIGHT, STEP)
def test_rounded_scale_adds_up_to_the_target_rounded(amounts, target, step):
    total = sum(map(exact, amounts))
    wanted = [exact(a) * exact(target) / total for a in amounts]
    try:
        found = scaling.scale(amounts, target, step)
    except OutOfRange as refusal:
        assert any(0 < w < exact(step) for w in wanted), refusal
        assert "finer scale" in refusal.reason
        return
    steps = exact(target) / exact(step) + Fraction(1, 2)
    assert sum(map(exact, found)) == steps.numerator // steps.denominator * exact(step)
    for w, f in zip(wanted, found, strict=True):
        assert abs(exact(f) - w) < exact(step)
        assert (f == 0) == (w == 0), "an ingredient that is not zero never rounds to zero"


@settings(max_examples=60, deadline=None)
@given(RECIPE, WEIGHT)
def test_shares_and_amounts_are_inverse(recipe, batch):
    shares = scaling.shares(recipe)
    assert math.fsum(shares) == pytest.approx(1, rel=1e-14)
    assert scaling.amounts(shares, batch) == pytest.approx(scaling.scale(recipe, batch), rel=1e-12)


@settings(max_examples=60, deadline=None)
@given(WEIGHT, SHARE, st.lists(SHARE, max_size=3))
def test_within_in_exact_fractions_and_back(base, share, others):
    taken = sum(map(exact, [share, *others]))
    if taken >= 1:
        with pytest.raises(OutOfRange, match="nothing is left for the base"):
            scaling.within(base, share, others)
        return
    assume(taken < Fraction(999, 1000))
    found = scaling.within(base, share, others)
    finished = exact(base) / (1 - taken)
    assert found == pytest.approx(float(finished * exact(share)), rel=1e-11)
    other_weights = [float(finished * exact(o)) for o in others]
    assert scaling.finished_share(found, base, other_weights) == pytest.approx(share, rel=1e-11)


@settings(max_examples=60, deadline=None)
@given(st.integers(1, 500), WEIGHT, st.integers(0, 90).map(lambda n: n / 100))
def test_a_batch_fills_its_pieces(pieces, fill, loss):
    batch = scaling.batch(pieces, fill, loss)
    assert scaling.pieces(batch, fill, loss) == pieces
    assert scaling.leftover(batch, fill, loss) == pytest.approx(0, abs=1e-8 * batch)


@settings(max_examples=60, deadline=None)
@given(WEIGHT, WEIGHT, st.integers(0, 90).map(lambda n: n / 100))
def test_pieces_and_leftover_make_the_batch(batch, fill, loss):
    usable = batch * (1 - loss)
    left = scaling.leftover(batch, fill, loss)
    assert 0 <= left < fill * (1 + 1e-9)
    assert scaling.pieces(batch, fill, loss) * fill + left == pytest.approx(usable, rel=1e-8)


@settings(max_examples=60, deadline=None)
@given(RECIPE, st.data())
def test_the_largest_batch_uses_up_what_limits_it(recipe, data):
    shelf = data.draw(st.lists(WEIGHT, min_size=len(recipe), max_size=len(recipe)))
    batch = scaling.max_batch(recipe, shelf)
    needs = scaling.scale(recipe, batch)
    assert all(n <= s * (1 + 1e-12) for n, s in zip(needs, shelf, strict=True))
    first = scaling.limited_by([str(i) for i in range(len(recipe))], recipe, shelf).split(", ")
    for i in map(int, first):
        assert needs[i] == pytest.approx(shelf[i], rel=1e-12)


def test_a_phase_moves_alone():
    phases = ["Water", "oil", " OIL ", "Cool-down", "oil"]
    amounts = [300.0, 100.0, 40.0, 5.0, 0.0]
    assert scaling.phase_total(phases, amounts, "Oil") == 140
    found = scaling.phase_scale(phases, amounts, "oil", 70, 0.1)
    assert found == [300.0, 50.0, 20.0, 5.0, 0.0]
    assert sum(scaling.phase_total(phases, amounts, p) for p in ("water", "oil", "cool down")) == sum(amounts)


def test_a_phase_spelled_in_two_ways_is_not_half_counted():
    with pytest.raises(WrongValue, match="may be the same phase"):
        scaling.phase_total(["Phase A", "PhaseA"], [1.0, 2.0], "Phase A")
    with pytest.raises(NotFound, match="the phases here: Water, Oil"):
        scaling.phase_total(["Water", "Oil"], [1.0, 2.0], "Wax")


def test_shares_that_miss_the_whole_are_told_their_sum():
    with pytest.raises(OutOfRange, match="99.94 %"):
        scaling.amounts([0.5, 0.4994], 100)
    assert sum(scaling.amounts([0.5, 0.4996], 100, 0.01)) == pytest.approx(100, abs=1e-9)
    with pytest.raises(OutOfRange, match="add up to 0"):
        scaling.shares([0.0, 0.0])


def test_water_to_top_up_ignores_binary_noise():
    assert scaling.top_up(0.3, 0.1 + 0.2) == 0
    assert scaling.top_up(500, 487.5) == 12.5
    with pytest.raises(OutOfRange, match="check the tare"):
        scaling.top_up(500, 500.1)


@pytest.mark.parametrize("tiny", [1e-300, 1e-200, 1e-150])
def test_very_small_numbers_do_not_vanish(tiny):
    assert scaling.scale([tiny, 3 * tiny], 8 * tiny) == pytest.approx([2 * tiny, 6 * tiny])
    assert scaling.scale([tiny, 3 * tiny], 100.0, 1.0) == [25.0, 75.0]


def test_a_step_larger_than_the_target_never_loses_an_ingredient():
    with pytest.raises(OutOfRange, match="finer scale or a larger batch"):
        scaling.scale([1, 2], 5, 10)
    with pytest.raises(OutOfRange, match="coarser step"):
        scaling.scale([1, 2, 3], 100, 1e-12)


def test_the_result_has_the_shape_of_the_range():
    assert tarecell.call("TC_SCALE", [[1.0], [None], [3.0]], 8.0) == [[2.0], [None], [6.0]]
    assert tarecell.call("TC_SCALE", [[1.0, "", 3.0]], 8.0) == [[2.0, None, 6.0]]
    assert tarecell.call("TC_SCALE", 5.0, 8.0) == 8.0
    with pytest.raises(CellError, match="several of both"):
        tarecell.call("TC_SCALE", [[1.0, 2.0], [3.0, 4.0]], 8.0)


def test_scaling_multiplies_first_as_by_hand():
    """5 × 7 ÷ 100 is 0.35; 5 ÷ 100 × 7 would be 0.35000000000000003."""
    assert scaling.scale([5.0, 95.0], 7.0) == [0.35, 6.65]
    assert scaling.scale([0.001, 0.099], 0.07)[0] == 0.0007


@pytest.mark.parametrize("size", [1e-200, 1e200])
def test_products_that_no_number_can_hold_are_not_needed(size):
    assert scaling.scale([size, 3 * size], 4 * size) == pytest.approx([size, 3 * size], rel=1e-14, abs=0.0)


def test_shares_may_miss_the_whole_by_exactly_the_tolerance():
    assert scaling.amounts([0.5, 0.4995], 100.0) == pytest.approx([50.025, 49.975], abs=0.001)
    with pytest.raises(OutOfRange):
        scaling.amounts([0.5, 0.4994], 100.0)


def test_a_total_below_zero_is_refused_too():
    with pytest.raises(OutOfRange):
        scaling.total_of([-2.0, 1.0])


def test_a_phase_that_is_not_there_lists_eight_that_are():
    phases = [f"step {letter}" for letter in "abcdefghij"]
    with pytest.raises(NotFound) as caught:
        scaling.phase_total(phases, [1.0] * 10, "pearls")
    assert caught.value.reason.endswith("the phases here: " + ", ".join(phases[:8]))


def test_a_phase_spelled_in_three_ways_is_told_too():
    with pytest.raises(WrongValue, match="may be the same phase"):
        scaling.phase_total(["Phase A", "PhaseA", "Phas eA"], [1.0, 2.0, 3.0], "phase a")


def test_additions_that_leave_nothing_are_told_in_per_cent():
    with pytest.raises(OutOfRange, match=r"make up 105 % of the batch"):
        scaling.within(100.0, 0.6, [0.45])


def test_loss_and_spare_left_out_are_none():
    assert scaling.leftover(1000.0, 300.0) == pytest.approx(100.0)
    assert scaling.pieces(1000.0, 300.0) == 3.0
    assert scaling.batch(3.0, 300.0) == 900.0
    assert scaling.fill(100.0, "ml", 1.0) == pytest.approx(100.0)


def test_an_empty_shelf_names_what_is_missing():
    assert scaling.limited_by(["Wax", "Oil"], [1.0, 1.0], [0.0, 5.0]) == "Wax"


def test_water_to_top_up_below_a_gram_and_the_words_where_there_is_too_much():
    assert scaling.top_up(500.0, 499.5) == 0.5
    with pytest.raises(OutOfRange, match="540 g is 40 g more than the target of 500 g"):
        scaling.top_up(500.0, 540.0)


def test_loss_spare_and_headroom_as_by_hand():
    assert scaling.batch(10.0, 50.0, 0.04, 0.05) == pytest.approx(546.875)  # 10 × 50 g × 1.05 ÷ 0.96
    assert scaling.fill(250.0, "ml", 0.98, 0.1) == pytest.approx(220.5)  # 250 mL × 0.98 g/mL × 0.9


def test_additions_of_exactly_the_whole_leave_no_base():
    with pytest.raises(OutOfRange, match="make up 100 % of the batch"):
        scaling.within(100.0, 0.5, [0.5])


def test_binary_noise_on_a_large_batch_is_no_reason_to_check_the_tare():
    assert scaling.top_up(1e6, 1e6 + 1e-7) == 0.0


def test_long_phase_names_are_cut_where_they_are_listed():
    with pytest.raises(NotFound) as caught:
        scaling.phase_total(["x" * 60], [1.0], "pearls")
    assert caught.value.reason.endswith("the phases here: " + "x" * 40)


@pytest.mark.parametrize("weighed", [299.99999999999, 300.00000000001])
def test_a_batch_that_misses_whole_pieces_by_a_hair_leaves_nothing(weighed):
    """A weight that a formula made; neither a crumb is left nor, as three pieces are filled, less than nothing."""
    assert scaling.pieces(weighed, 100.0) == 3
    assert scaling.leftover(weighed, 100.0) == 0.0
