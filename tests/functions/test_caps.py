"""Reading a table of caps."""

import pytest
from tarecell.errors import CellError
from tarecell.functions.caps import CapsArgument


def read(rows):
    return CapsArgument("table", "the caps").read(rows)


def kind_of(action):
    with pytest.raises(CellError) as caught:
        action()
    return caught.value.kind


def test_headers_are_brought_into_their_plain_form():
    table = read([["fragrance", 5.0, "5a", "Cat 9", "12.0", "notes", None, 0.0], ["Fig", *[0.1] * 7]])
    assert table.categories == ("5", "5A", "9", "12", "notes", "", "")
    assert table.fragrances.names == ["Fig"]


@pytest.mark.parametrize("rows", [None, 5.0, [], [[]], [["", "9"]], [["Fig"], ["Oat"]], "Fig", [["Fig", 0.1]]])
def test_what_is_no_table(rows):
    assert kind_of(lambda: read(rows)) == "#VALUE!"


def test_an_error_cell_anywhere_spoils_the_table():
    """As in Calc, which does not call a function whose range holds an error."""
    for rows in (
        [[None, "9", "12"], ["Fig", "#REF!", 0.1]],
        [[None, "#N/A"], ["Fig", 0.1]],
        [[None, "9"], ["#N/A", 0.1]],
    ):
        assert kind_of(lambda rows=rows: read(rows)) == "#VALUE!"
    for alone in ("#N/A", [["#N/A"]]):
        assert kind_of(lambda alone=alone: read(alone)) == "#N/A"


def test_short_rows_are_not_stated_at_their_end():
    table = read([[None, "9", "12"], ["Fig", 0.1], ["Oat"]])
    assert [table.caps[0][0], table.caps[0][1], table.caps[1][0]] == [0.1, None, None]
    assert len(table.caps) == 2 and len(table.caps[0]) == 1


def test_a_row_of_per_cents_is_refused_as_a_whole():
    table = read([[None, "5A", "9", "12"], ["Fig", 0.5, 3.0, 100.0], ["Oat", 0.5, 0.03, 1.0]])
    for column in range(3):
        assert kind_of(lambda column=column: table.caps[0][column]) == "#NUM!"
    assert [table.caps[1][column] for column in range(3)] == [0.5, 0.03, 1.0]


def test_the_same_table_is_read_once():
    argument = CapsArgument("table", "the caps")
    first = argument.read(((None, "9"), ("Fig", 0.1)))
    assert argument.read(((None, "9"), ("Fig", 0.1))) is first
    assert argument.read(((None, "9"), ("Fig", 0.2))) is not first
