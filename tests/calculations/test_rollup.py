"""Roll-up: an item costs what its bought parts cost, through every level."""

import math

import pytest
import tarecell
from hypothesis import given, settings
from hypothesis import strategies as st
from tarecell.calculations import rollup
from tarecell.calculations.rollup import Line, Parts
from tarecell.errors import CellError, NotFound

QUANTITY = st.integers(0, 5000).map(lambda n: n / 100)
COST = st.integers(0, 5000).map(lambda n: n / 100)
LOSS = st.sampled_from([0.0, 0.0, 0.02, 0.1, 0.5])


@st.composite
def parts_tables(draw):
    """Items 0 … n, each made of bought materials and of items with a higher number: no loop is possible."""
    lines = []
    items = draw(st.integers(1, 6))
    for item in range(items):
        for _ in range(draw(st.integers(1, 3))):
            made = item + 1 < items and draw(st.booleans())
            part = f"item {draw(st.integers(item + 1, items - 1))}" if made else f"part {draw(st.integers(0, 4))}"
            cost = None if made else draw(COST)
            lines.append(Line(f"item {item}", part, draw(QUANTITY), cost, draw(LOSS), len(lines) + 1))
    order = draw(st.permutations(range(len(lines))))
    return Parts([lines[i] for i in order])


def by_recursion(item, parts):
    return math.fsum(
        line.quantity / (1 - line.loss) * (by_recursion(line.part, parts) if line.unit_cost is None else line.unit_cost)
        for line in parts.lines
        if line.item == item
    )


@settings(max_examples=60, deadline=None)
@given(parts_tables())
def test_rollup_equals_the_sum_over_its_lines(parts):
    cost = rollup.rollup("item 0", parts)
    lines = rollup.rollup_lines("item 0", parts)
    assert cost == pytest.approx(math.fsum(cost for _, _, cost in lines), rel=1e-12, abs=1e-12)
    assert cost == pytest.approx(by_recursion("item 0", parts), rel=1e-12, abs=1e-12)
    assert len({part for part, _, _ in lines}) == len(lines), "a part that is used in several places is one row"


def refusal(item, table, function="TC_ROLLUP"):
    with pytest.raises(CellError) as caught:
        tarecell.call(function, item, table)
    return caught.value


@pytest.mark.parametrize("function", ["TC_ROLLUP", "TC_ROLLUP_LINES"])
def test_loops_are_named(function):
    table = [["a", "b", 1.0, None], ["b", "c", 2.0, None], ["c", "a", 1.0, None], ["d", "wax", 1.0, 2.0]]
    error = refusal("a", table, function)
    assert error.kind == "#NUM!" and "a → b → c → a" in error.reason
    assert refusal("set", [["set", "Set ", 1.0, None]], function).kind == "#NUM!"
    assert tarecell.call("TC_ROLLUP", "d", table) == 2, "a loop elsewhere is not this item's"
    long = [[f"i{i}", f"i{(i + 1) % 3000}", 1.0, None] for i in range(3000)]
    assert len(refusal("i0", long, function).reason) < 300


def test_deep_and_wide_tables_end_quickly():
    deep = [[f"i{i}", f"i{i + 1}", 1.0, None] for i in range(3000)] + [["i3000", "wax", 1.0, 2.0]]
    assert tarecell.call("TC_ROLLUP", "i0", deep) == 2
    wide = [[f"i{i}", f"i{i + 1}", 1.0, None] for i in range(60) for _ in (1, 2)] + [["i60", "wax", 1.0, 2.0]]
    assert tarecell.call("TC_ROLLUP", "i0", wide) == 2.0**61
    assert tarecell.call("TC_ROLLUP_LINES", "i0", wide) == [["wax", 2.0**60, 2.0**61]]


def test_a_part_without_cost_is_named():
    error = refusal("set", [["set", "ribbon", 1.0, None]])
    assert error.kind == "#N/A" and "ribbon" in error.reason and "row 1" in error.reason
    error = refusal("set", [["item", "part", "qty", "cost"], ["set", "box", 1.0, 1.0], ["set", "jar-a", 1.0, ""]])
    assert error.kind == "#N/A" and "jar-a" in error.reason and "row 3" in error.reason


def test_a_part_that_is_bought_and_made_is_refused():
    table = [["set", "café", 1.0, 0.5], ["cafe", "bean", 3.0, 1.0]]
    assert refusal("set", table).kind == "#VALUE!"
    assert tarecell.call("TC_ROLLUP", "set", [["set", "café", 2.0, None], ["cafe", "bean", 3.0, 1.0]]) == 6


def test_headings_are_passed_over_and_lines_are_not():
    line = ["set", "jar", 2.0, 0.6]
    for headings in (
        ["item", "part", "quantity", "unit cost"],
        ["Item", "Part", "Qty (g)", "cost (per 100 g)"],
        [None, None, "qty", "£ each"],
    ):
        assert tarecell.call("TC_ROLLUP", "set", [headings, line]) == 1.2
    words = ["set", "lid", "one", "free"]  # typed as words: an error, not a heading that is left out
    assert refusal("set", [words, line]).kind == "#VALUE!"
    assert refusal("set", [line, words]).kind == "#VALUE!"
    assert refusal("set", [["set", "lid", "1", "0.5"], line]).kind == "#VALUE!"


@pytest.mark.parametrize(
    ("spoilt", "kind", "told"),
    [
        (["set", "jar", -1.0, 0.6, None], "#NUM!", "negative"),
        (["set", "jar", 1.0, -0.6, None], "#NUM!", "negative"),
        (["set", "jar", 1.0, 0.6, 5.0], "#NUM!", "type 5% or 0.05"),
        (["set", "jar", 1.0, 0.6, 1.0], "#NUM!", "100 %"),
        (["set", "jar", None, 0.6, None], "#VALUE!", "no quantity"),
        (["set", None, 1.0, 0.6, None], "#VALUE!", "the part has no name"),
        ([None, "jar", 1.0, 0.6, None], "#VALUE!", "the item has no name"),
        (["set", "jar", "1", 0.6, None], "#VALUE!", "number stored as text"),
        (["set", "jar", 1.0, "n/a", None], "#VALUE!", "text where a number belongs"),
        (["set", "jar", 1.0, "#REF!", None], "#VALUE!", "row 3"),
    ],
)
def test_one_spoilt_line_is_an_error_with_its_row(spoilt, kind, told):
    table = [["set", "box", 1.0, 1.2, 0.0], [None] * 5, spoilt]
    error = refusal("set", table)
    assert error.kind == kind and told in error.reason and "row 3" in error.reason


def test_items_are_found_or_the_nearest_named():
    parts = Parts([Line("Gift set", "box", 1.0, 1.2, 0.0, 1)])
    assert rollup.rollup(" gift  SET", parts) == 1.2
    with pytest.raises(NotFound, match="nearest: Gift set"):
        rollup.rollup("gift sets", parts)
    assert refusal("set", [["set", "box", 1.0]]).kind == "#VALUE!"
