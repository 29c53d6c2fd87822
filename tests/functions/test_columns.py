"""Ranges: every cell is read or is an error, and what comes back lines up."""

import datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tarecell.errors import CellError, NotFound, WrongValue
from tarecell.functions.columns import Caps, Cells, Dates, Numbers, Shares, Texts

CELL = st.one_of(st.none(), st.just(""), st.floats(0, 1e6))


def kind_of(argument, raw):
    with pytest.raises(CellError) as caught:
        argument.read(raw)
    return caught.value.kind


@settings(max_examples=60, deadline=None)
@given(st.lists(CELL, min_size=1, max_size=8), st.sampled_from(["flat", "column", "row", "tuples"]))
def test_values_go_back_into_the_shape_they_came_in(values, form):
    raw = {
        "flat": list(values),
        "column": [[v] for v in values],
        "row": [list(values)],
        "tuples": tuple((v,) for v in values),
    }[form]
    cells = Numbers("amounts", "d").read(raw)
    # A single cell of 0 counts as blank: a blank one cannot be told from it in every host.
    assert cells.values == [None if v in (None, "") or values == [0.0] else v for v in values]
    back = cells.shaped(cells.values)
    assert len(back) == len(raw)
    flat = [cell for row in back for cell in (row if isinstance(row, list) else [row])]
    assert flat == cells.values


def test_one_value_comes_back_as_one_value():
    assert Cells(5.0).shaped([6.0]) == 6.0
    assert Cells([[5.0]]).shaped([6.0]) == [[6.0]]
    assert Cells([5.0]).shaped([6.0]) == [6.0]


def test_the_readers_own_range_is_left_alone():
    raw = [1, "", 3]
    Numbers("amounts", "d").read(raw)
    assert raw == [1, "", 3]
    rows = [[1], [None]]
    Numbers("amounts", "d").read(rows)
    assert rows == [[1], [None]]


@pytest.mark.parametrize("raw", [[[1.0, 2.0], [3.0, 4.0]], [[1.0], [2.0, 3.0]], [[1.0], []]])
def test_a_rectangle_is_no_column(raw):
    assert kind_of(Numbers("amounts", "d"), raw) == "#VALUE!"


@pytest.mark.parametrize(
    ("cell", "kind"),
    [
        ("5", "#VALUE!"),
        ("5 g", "#VALUE!"),
        ("some", "#VALUE!"),
        (-1.0, "#NUM!"),
        (float("nan"), "#NUM!"),
        ("#N/A", "#VALUE!"),
    ],
)
def test_a_spoilt_cell_names_its_row(cell, kind):
    with pytest.raises(CellError, match="amounts, row 3") as caught:
        Numbers("amounts", "d").read([1.0, None, cell])
    assert caught.value.kind == kind


def test_bounds_of_numbers():
    assert Numbers("sizes", "d", above=0).read([1.0]).values == [1.0]
    assert kind_of(Numbers("sizes", "d", above=0), [1.0, 0.0]) == "#NUM!"
    assert kind_of(Numbers("n", "d", at_most=14.0), [15.0]) == "#NUM!"
    assert kind_of(Numbers("n", "d", at_least=2.0), [1.0]) == "#NUM!"
    assert Numbers("n", "d", at_least=None).read([-5.0]).values == [-5.0]
    with pytest.raises(CellError, match="type 2% or 0.02"):
        Shares("shares", "d").read([2.0])


def test_columns_of_other_kinds():
    assert Caps("caps", "d").read([0.02, "no restriction", None, "not stated"]).values == [0.02, 1.0, None, None]
    assert Texts("names", "d").read(["a ", 9.0, None, "", 0.0]).values == ["a", "9", None, None, None]
    days = Dates("expiries", "d").read([45352.0, None, datetime.date(2024, 3, 2)]).values
    assert days == [datetime.date(2024, 3, 1), None, datetime.date(2024, 3, 2)]
    assert kind_of(Dates("expiries", "d"), ["March"]) == "#VALUE!"
    assert kind_of(Texts("names", "d"), ["a", "#REF!"]) == "#VALUE!"
    assert kind_of(Texts("names", "d"), ["#REF!"]) == "#REF!"


def test_blank_rows_have_their_own_words():
    assert isinstance(Numbers("costs", "d", blank_reason="no unit cost").blank_row(1), NotFound)
    assert "row 2: no unit cost" in Numbers("costs", "d", blank_reason="no unit cost").blank_row(1).reason
    assert isinstance(Numbers("amounts", "d").blank_row(1), WrongValue)
