"""Reading a parts table."""

import pytest
from tarecell.calculations.rollup import Line
from tarecell.errors import CellError
from tarecell.functions.parts import PartsArgument


def read(rows):
    return PartsArgument("parts", "the parts table").read(rows)


def refusal(rows):
    with pytest.raises(CellError) as caught:
        read(rows)
    return caught.value


def test_lines_keep_their_place_in_the_range():
    rows = [
        ["item", "part", "quantity", "unit cost", "loss"],
        ["set", "box", 1, 1.2, None],
        [None, "", "  ", None, None],
        [" jar ", 12.0, 0.0, None, 0.05],
    ]
    assert list(read(rows).lines) == [
        Line("set", "box", 1.0, 1.2, 0.0, 2),
        Line("jar", "12", 0.0, None, 0.05, 4),
    ]


@pytest.mark.parametrize(
    "rows",
    [
        *(None, 5.0, "set", [], [[]], [["set", "box", 1.0]], [["set", "box", 1.0, 1.2, 0.0, "note"]]),
        *([[None] * 4], [["item", "part", "quantity", "unit cost"]], [["set", "box", 1.0, 1.2], ["set", "lid", 1.0]]),
    ],
)
def test_what_is_no_parts_table(rows):
    assert refusal(rows).kind == "#VALUE!"


@pytest.mark.parametrize("place", [(r, c) for r in range(3) for c in range(5)])
def test_an_error_cell_anywhere_spoils_the_table(place):
    rows = [["item", "part", "quantity", "unit cost", "loss"], *[["set", "box", 1.0, 1.2, 0.0] for _ in range(2)]]
    rows[place[0]][place[1]] = "#REF!"
    error = refusal(rows)
    assert error.kind == "#VALUE!" and f"row {place[0] + 1}" in error.reason


def test_the_same_table_is_read_once():
    argument = PartsArgument("parts", "d")
    first = argument.read((("set", "box", 1.0, 1.2),))
    assert argument.read((("set", "box", 1.0, 1.2),)) is first
    assert argument.read((("set", "box", 1.0, 1.3),)) is not first
    assert argument.read([["set", "box", 1.0, 1.2]]) is not first, "a list may have changed since"
