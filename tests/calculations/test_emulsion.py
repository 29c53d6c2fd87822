"""Emulsions: what always holds, and what is refused."""

import math

import pytest
import tarecell
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from tarecell.calculations import emulsion

few = settings(max_examples=60, deadline=None)
hlbs = st.floats(0.5, 20.0)


def refused(name, *args):
    with pytest.raises(tarecell.CellError) as caught:
        tarecell.call(name, *args)
    return caught.value.kind, caught.value.reason


@few
@given(st.floats(0.5, 40.0), st.floats(0.5, 40.0), st.floats(0.0, 1.0), st.floats(0.01, 1000.0))
def test_the_split_adds_up_and_meets_the_required_hlb(one, other, place, total):
    low, high = sorted((one, other))
    assume(high - low > 0.01)
    required = low + (high - low) * place
    of_low, of_high = emulsion.emulsifier_split(required, low, high, total)
    assert of_low >= 0 and of_high >= 0
    assert math.isclose(of_low + of_high, total, rel_tol=1e-12)
    assert math.isclose((of_low * low + of_high * high) / total, required, rel_tol=1e-9)


@few
@given(st.lists(st.tuples(st.floats(0.1, 1000.0), hlbs), min_size=1, max_size=8), st.floats(0.01, 100.0))
def test_required_hlb_is_a_mean_and_knows_no_unit(oils, factor):
    amounts, needs = zip(*oils, strict=True)
    found = emulsion.required_hlb(amounts, needs)
    assert min(needs) - 1e-9 <= found <= max(needs) + 1e-9
    assert math.isclose(emulsion.required_hlb([a * factor for a in amounts], needs), found, rel_tol=1e-9)


@few
@given(st.floats(1.0, 300.0), st.floats(0.0, 1.0))
def test_hlb_stays_on_griffins_scale(acid, part):
    assert 0 <= emulsion.hlb(acid * part, acid) <= 20


def test_the_mean_of_one_oil_meets_its_own_emulsifier():
    required = emulsion.required_hlb([0.1, 0.2, 0.3], [15.0, 15.0, 15.0])
    low, high = emulsion.emulsifier_split(required, 4.7, 15.0, 3.0)
    assert math.isclose(high, 3.0) and 0 <= low < 1e-9


@pytest.mark.parametrize(
    ("required", "low", "high", "words"),
    [
        (4.0, 4.7, 15.0, "a lower HLB"),
        (15.5, 4.7, 15.0, "a higher HLB"),
        (10.0, 15.0, 4.7, "swap"),
        (10.0, 10.0, 10.0, "two different"),
        (10.0, 4.7, 41.0, "at most 40"),
        (41.0, 4.7, 15.0, "at most 40"),
        (10.0, -4.7, 15.0, "-4.7"),
    ],
)
def test_a_split_that_cannot_be(required, low, high, words):
    kind, reason = refused("TC_EMULSIFIER_SPLIT", required, low, high, 3.0)
    assert kind == "#NUM!" and words in reason


def test_an_ionic_emulsifier_goes_to_forty():
    assert tarecell.call("TC_EMULSIFIER_SPLIT", 20.0, 10.0, 40.0, 3.0) == [2.0, 1.0]


@pytest.mark.parametrize(
    ("amounts", "needs", "kind"),
    [
        ([1.0], [20.5], "#NUM!"),
        ([1.0], [-1.0], "#NUM!"),
        ([-1.0], [10.0], "#NUM!"),
        ([1.0], [0.0], "#VALUE!"),
        ([1.0], [None], "#VALUE!"),
        ([1.0], ["ten"], "#VALUE!"),
        ([1.0, 2.0], [10.0], "#VALUE!"),
        ([1.0], ["#N/A"], "#N/A"),
    ],
)
def test_required_hlb_refuses(amounts, needs, kind):
    assert refused("TC_REQUIRED_HLB", amounts, needs)[0] == kind


def test_hlb_refuses_swapped_values():
    kind, reason = refused("TC_HLB", 198.0, 161.0)
    assert kind == "#NUM!" and "swapped" in reason
