"""Fragrance: never over the cap, never a cap that nobody stated."""

import math

import pytest
import tarecell
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from tarecell.calculations import fragrance
from tarecell.errors import CellError, NotFound, OutOfRange
from tarecell.tables import Names

SHARE = st.integers(1, 3000).map(lambda n: n / 10_000)
CAP = st.integers(1, 10_000).map(lambda n: n / 10_000)
BATCH = st.integers(10, 500_000).map(lambda n: n / 10)
BASIS = st.sampled_from(["finished", "base", "wax"])
STEP = st.one_of(st.none(), st.sampled_from([0.01, 0.1, 0.5, 1.0]))
TABLE = [
    ["our caps, 51st Amendment", 4.0, "5A", "cat 5B", "9.0", 12.0, "note"],
    ["Rosé Petals", 0.08, 0.021, None, 0.03, "no restriction", "2 % looks best"],
    ["Oat & Honey", 0.05, "", 0.0, 0.02, 1.0, 45000.0],
    [None, None, None, None, None, None, None],
    ["Typed as per cents", 8.0, 2.1, 0.5, 3.0, 100.0, None],
    ["Fig", 0.01, 0.01, 0.01, 0.01, 0.01, None],
    ["fig ", 0.09, 0.09, 0.09, 0.09, 0.09, None],
]


def kind(name, *args):
    with pytest.raises(CellError) as caught:
        tarecell.call(name, *args)
    return caught.value.kind, caught.value.reason


def blend_of(shares, caps, limits):
    """The true cap of a blend, where each fragrance is limited by one constituent out of a few.

    A fragrance with cap c holds `limit / c` of its constituent; in the blend the constituents of one name add up.
    """
    held = {}
    for share, cap, (constituent, limit) in zip(shares, caps, limits, strict=True):
        held.setdefault((constituent, limit), []).append(share * limit / cap)
    return min([1.0, *(limit / math.fsum(parts) for (_, limit), parts in held.items())])


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_a_blend_cap_is_never_above_a_plausible_true_cap(data):
    count = data.draw(st.integers(1, 6))
    weights = data.draw(st.lists(st.integers(1, 100), min_size=count, max_size=count))
    shares = [w / sum(weights) for w in weights]
    caps = data.draw(st.lists(CAP, min_size=count, max_size=count))
    limits = [(c, 0.0001 * (1 + c)) for c in data.draw(st.lists(st.integers(0, 2), min_size=count, max_size=count))]
    cautious = fragrance.blend_cap(shares, caps)
    assert cautious <= blend_of(shares, caps, limits) * (1 + 1e-12)
    assert min(caps) * (1 - 1e-12) <= cautious <= max(caps) * (1 + 1e-12)


def test_shares_that_just_miss_the_whole_do_not_lift_the_blend_cap():
    for shares in ([0.4998, 0.4998], [0.5002, 0.5002], [0.5, 0.5]):
        assert fragrance.blend_cap(shares, [0.02, 0.02]) <= 0.02 * (1 + 1e-15)
    assert fragrance.blend_cap([0.5, 0.5], [0.02, 0.0]) == 0
    assert fragrance.blend_cap([1.0, 0.0], [0.02, 0.0]) == pytest.approx(0.02)
    assert fragrance.blend_cap([1.0], [1e-320]) == 0
    with pytest.raises(OutOfRange, match="not 100 %"):
        fragrance.blend_cap([0.5, 0.4], [0.02, 0.02])


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(SHARE, CAP), min_size=1, max_size=6))
def test_constituent_caps(pairs):
    fractions, limits = zip(*pairs, strict=True)
    each = fragrance.constituent_cap(fractions, limits)
    together = fragrance.constituent_cap(fractions, limits, True)
    assert together <= each <= 1
    for fraction, limit in pairs:
        assert each * fraction <= limit * (1 + 1e-12)
    assert math.fsum(together * f / x for f, x in pairs) <= 1 + 1e-12
    assert fragrance.constituent_cap([*fractions, 0.0], [*limits, 0.0]) == each


@settings(max_examples=60, deadline=None)
@given(BATCH, SHARE, CAP, BASIS, STEP)
def test_the_finished_product_is_never_over_the_cap(batch, share, cap, basis, step):
    try:
        grams = fragrance.amount(batch, share, cap, basis, step)
    except OutOfRange as refusal:
        if "over the cap" in refusal.reason:
            assert fragrance.finished_share(share, basis) > cap
        else:
            assert step is not None and batch * share < step * 1.5
        return
    finished = batch if basis == "finished" else batch + grams
    assert grams / finished <= cap * (1 + 1e-8)
    assert abs(grams - batch * share) < (step or 1e-9) * (1 + 1e-9)


@settings(max_examples=60, deadline=None)
@given(BATCH, SHARE, CAP, BASIS)
def test_the_largest_amount_told_is_allowed(batch, share, cap, basis):
    assume(fragrance.finished_share(share, basis) > cap * (1 + 1e-6))
    with pytest.raises(OutOfRange) as caught:
        fragrance.amount(batch, share, cap, basis)
    most = float(caught.value.reason.split("the most is ")[1].split(" g")[0])
    finished = batch if basis == "finished" else batch + most
    assert most / finished == pytest.approx(cap, rel=1e-4)  # six figures are shown
    assert fragrance.cap_status(most / finished * (1 - 1e-5), cap) == "within"


def test_a_cap_that_is_not_stated_is_never_a_number():
    assert kind("TC_CAP", TABLE, "rose petals", "5B")[0] == "#N/A"
    assert kind("TC_CAP", TABLE, "Oat & Honey", "5A")[0] == "#N/A"
    assert kind("TC_CAP", TABLE, "Rose Petals", "5D")[0] == "#N/A"
    assert kind("TC_SET_CAP", TABLE, "Rose Petals", ["9", "face cream"])[0] == "#N/A"
    assert kind("TC_FRAGRANCE", 500, 0.01, None)[0] == "#N/A"
    assert tarecell.call("TC_CAP_STATUS", 0.01, None) == "not stated"
    assert tarecell.call("TC_CAP", TABLE, "Oat & Honey", "5B") == 0
    assert tarecell.call("TC_CAP_STATUS", 0.0, 0.0) == "not allowed"


def test_headers_as_people_type_them():
    assert tarecell.call("TC_CAP", TABLE, "rosé petals", 9.0) == 0.03
    assert tarecell.call("TC_CAP", TABLE, "Rose  petals", "category 9") == 0.03
    assert tarecell.call("TC_CAP", TABLE, "Rose Petals", "Candle") == 1
    assert tarecell.call("TC_CAP", TABLE, "Oat & Honey", "5b") == 0
    assert "is divided" in kind("TC_CAP", TABLE, "Oat & Honey", 5.0)[1]


def test_a_row_typed_as_per_cents_gives_no_cap_at_all():
    """0.5 in such a row means 0.5 % and would be read as 50 %."""
    for category in ("4", "5A", "5B", "9", "12"):
        found, reason = kind("TC_CAP", TABLE, "typed as per cents", category)
        assert found == "#NUM!" and "means" in reason and "row 5" in reason
    assert tarecell.call("TC_CAP", TABLE, "oat & honey", "12") == 1, "a number in a column of notes is no cap"


def test_doubled_names_and_categories_are_refused():
    found, reason = kind("TC_CAP", TABLE, "Fig", "9")
    assert found == "#VALUE!" and "rows 6 and 7" in reason, "counted as in the table, its first row included"
    doubled = [[None, "9", 9.0], ["Fig", 0.1, 0.2]]
    found, reason = kind("TC_CAP", doubled, "Fig", "bath bomb")
    assert found == "#VALUE!" and "twice" in reason


def test_one_table_asked_again_and_changed_in_between():
    """The table is remembered between calls; a change must be seen."""
    table = ((None, "9"), ("Fig", 0.1))
    assert tarecell.call("TC_CAP", table, "Fig", "9") == 0.1
    assert tarecell.call("TC_CAP", ((None, "9"), ("Fig", 0.05)), "Fig", "9") == 0.05
    listed = [[None, "9"], ["Fig", 0.1]]
    assert tarecell.call("TC_CAP", listed, "Fig", "9") == 0.1
    listed[1][1] = 0.02
    assert tarecell.call("TC_CAP", listed, "Fig", "9") == 0.02


def test_a_set_takes_the_strictest():
    assert tarecell.call("TC_SET_CAP", TABLE, "Rose Petals", ["body lotion", "bath bomb", None, "candle"]) == 0.021
    assert tarecell.call("TC_SET_CAP", TABLE, "Oat & Honey", [["9", "12"]]) == 0.02
    assert kind("TC_SET_CAP", TABLE, "Oat & Honey", [None, ""])[0] == "#VALUE!"


def test_a_missing_fragrance_names_the_nearest():
    with pytest.raises(NotFound, match="nearest: Oat & Honey"):
        tarecell.call("TC_CAP", TABLE, "Oat and Honey", "9")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((500.0, 0.03, 0.021), "3 % of the finished product is over the cap of 2.1 %; the most is 10.5 g"),
        ((500.0, 0.03, 0.021, "finished", 1.0), "the most is 10 g"),
        ((480.0, 0.25, 0.04, "wax"), "20 % of the finished product is over the cap of 4 %; the most is 20 g"),
        ((500.0, 0.03, 0.0), "the cap is 0 or blank"),
        ((500.0, 1.5, 1.0), "150 % of the finished product is over the cap of 100 %"),
        ((3.0, 0.01, 0.05, "finished", 0.1), "0.03 g is too little for a scale that reads 0.1 g"),
    ],
)
def test_a_refusal_tells_the_numbers(arguments, words):
    with pytest.raises(OutOfRange) as caught:
        fragrance.amount(*arguments)
    assert words in caught.value.reason


def test_rounding_goes_up_below_the_cap_and_down_at_it():
    assert fragrance.amount(103.0, 0.02, 0.05, "finished", 0.1) == 2.1
    assert fragrance.amount(103.0, 0.02, 0.02, "finished", 0.1) == 2.0  # 2.06 g is the most
    assert fragrance.amount(100.0, 0.021, 0.021, "finished", 0.1) == 2.1
    assert fragrance.amount(100.3, 0.01, 0.05, "finished", 0.1) == 1.0
    assert fragrance.amount(100.0, 0.01, 0.05, "finished", 0.3) == 0.9  # exactly 1 g would be no step of this scale
    assert fragrance.amount(103.0, 0.0, 0.0, "finished", 0.1) == 0.0


def test_a_share_above_the_cap_by_binary_noise_only_is_within():
    """0.1 + 0.2 is 0.30000000000000004."""
    assert fragrance.amount(100.0, 0.1 + 0.2, 0.3) == pytest.approx(30.0)
    assert fragrance.cap_status(0.1 + 0.2, 0.3) == "within"
    assert fragrance.cap_status(0.3 * (1 + 1e-8), 0.3) == "over"
    with pytest.raises(OutOfRange):
        fragrance.amount(100.0, 0.3 * (1 + 1e-8), 0.3)


def test_the_stricter_of_cap_and_own_limit_decides():
    assert fragrance.cap_status(0.02, 0.03, 0.01) == "over"
    assert fragrance.cap_status(0.02, 0.01, 0.03) == "over"
    assert fragrance.cap_status(0.02, 0.03, 0.025) == "within"


def test_the_largest_amount_on_top_of_a_base():
    assert fragrance.largest(480.0, 0.04, "wax") == pytest.approx(20.0)  # 20 of 500 g
    assert fragrance.largest(500.0, 0.04) == 20.0
    assert fragrance.largest(480.0, 1.0, "base") == math.inf
    assert fragrance.finished_share(0.25, "base") == 0.2
    assert fragrance.finished_share(0.25) == 0.25


def test_a_blend_that_misses_the_whole_tells_its_sum():
    with pytest.raises(OutOfRange, match="add up to 90 %, not 100 %"):
        fragrance.blend_cap([0.5, 0.4], [0.02, 0.02])
    # exactly the tolerance
    assert fragrance.blend_cap([0.5, 0.4995], [0.02, 0.02]) == pytest.approx(0.02, rel=1e-15)
    with pytest.raises(OutOfRange):
        fragrance.blend_cap([0.5, 0.4994], [0.02, 0.02])


def test_a_constituent_that_is_not_allowed_bars_the_fragrance():
    assert fragrance.constituent_cap([0.1, 0.2], [0.05, 0.0]) == 0.0
    assert fragrance.constituent_cap([0.1, 0.0], [0.05, 0.0]) == 0.5
    assert fragrance.constituent_cap([0.5, 0.1], [1.0, 0.02]) == pytest.approx(0.2)
    assert fragrance.constituent_cap([0.0], [0.0]) == 1.0


def test_a_category_that_the_table_lacks_lists_those_it_has():
    table = fragrance.CapsTable(Names(["Fig"], "fragrance"), ("4", "", "9"), [[0.1, None, 0.2]])
    with pytest.raises(NotFound) as caught:
        fragrance.cap(table, "Fig", "5A")
    assert "category 5A is not in the first row of the table (4, 9)" in caught.value.reason


def test_a_blend_above_the_whole_is_held_to_the_stricter_cap():
    assert fragrance.blend_cap([0.5002, 0.5002], [0.02, 0.02]) == pytest.approx(0.02 / 1.0004, rel=1e-12)


def test_a_whole_number_of_steps_above_the_cap_by_binary_noise_only_stays():
    share = 0.1 * (1 - 1e-10)
    assert fragrance.amount(1e7, share, share, "finished", 1.0) == 1e6
    assert fragrance.largest(100.0, 1.5, "base") == math.inf


def test_the_basis_is_read_as_a_word():
    """A word from a cell is another object than the one in the program."""
    basis = "".join(["finis", "hed"])
    assert fragrance.largest(500.0, 0.04, basis) == 20.0
    assert fragrance.finished_share(0.25, basis) == 0.25


def test_a_long_list_of_categories_is_cut():
    codes = tuple(f"c{number}" for number in range(40))
    with pytest.raises(NotFound) as caught:
        fragrance.cap(fragrance.CapsTable(Names(["Fig"], "fragrance"), codes, [[0.1] * 40]), "Fig", "5A")
    assert f"({', '.join(codes[:30])})" in caught.value.reason
