"""The record: which arguments were left out, which rows are filled, and what it says about itself."""

import pytest
from tarecell.errors import CellError, WrongValue
from tarecell.functions import REGISTRY
from tarecell.functions.columns import Numbers, Shares, Texts
from tarecell.functions.kinds import Number, Rest, Text
from tarecell.functions.records import COLUMN, NUMBER, Host, Record, ex, left_out

HOST = Host("Python")


def record(*arguments, result=NUMBER):
    return Record("TC_TRIAL", "For trial only.", lambda *a: 0.0, arguments, result, [], "", lambda *a: "")


def filled(*args, arguments):
    trial = record(*arguments, result=COLUMN)
    values = trial.read(args, HOST)
    kept = trial.fill(values)
    return kept, values


def refusal(*args, arguments):
    with pytest.raises(CellError) as caught:
        filled(*args, arguments=arguments)
    return caught.value


NAMES = Texts("names", "the names")
AMOUNTS = Numbers("amounts", "the amounts")
COSTS = Numbers("costs", "the costs", blank_reason="no unit cost")
WEIGHTS = Numbers("weights", "the weights", default=None)
OWN = Numbers("own_values", "the maker's own", default=None, sparse=True)
OTHERS = Shares("other_shares", "of the others", default=None, aligned=False)


def test_wholly_blank_rows_are_skipped():
    kept, values = filled(["a", None, "c"], [1.0, "", 3.0], arguments=[NAMES, AMOUNTS])
    assert kept == [0, 2] and values == [["a", "c"], [1.0, 3.0]]
    kept, values = filled(["a", "b"], [1.0, 3.0], arguments=[NAMES, AMOUNTS])
    assert kept == [0, 1]


def test_partly_blank_rows_are_errors_with_their_row():
    error = refusal(["a", "b"], [1.0, None], arguments=[NAMES, AMOUNTS])
    assert error.kind == "#VALUE!" and "amounts is blank in row 2" in error.reason
    error = refusal([1.0, 2.0], [0.1, None], arguments=[AMOUNTS, COSTS])
    assert error.kind == "#N/A" and "costs, row 2: no unit cost" in error.reason


def test_columns_of_different_length():
    error = refusal(["a", "b"], [1.0], arguments=[NAMES, AMOUNTS])
    assert error.kind == "#VALUE!" and "names has 2 rows and amounts has 1" in error.reason


def test_a_row_and_a_column_line_up():
    kept, values = filled([["a", "b"]], [[1.0], [2.0]], arguments=[NAMES, AMOUNTS])
    assert values == [["a", "b"], [1.0, 2.0]]


def test_sparse_columns_may_be_blank_but_not_alone():
    kept, values = filled([1.0, 2.0], [None, 5.0], arguments=[AMOUNTS, OWN])
    assert values == [[1.0, 2.0], [None, 5.0]]
    error = refusal([1.0, None], [4.0, 5.0], arguments=[AMOUNTS, OWN])
    assert error.kind == "#VALUE!" and "own_values, row 2" in error.reason


@pytest.mark.parametrize("blank", [None, "", 0, 0.0, False])
def test_an_optional_range_left_out_in_any_way(blank):
    kept, values = filled([1.0, 2.0], blank, arguments=[AMOUNTS, WEIGHTS])
    assert values == [[1.0, 2.0], None]
    assert left_out(WEIGHTS, blank) and not left_out(AMOUNTS, blank)


def test_a_range_that_is_there_is_not_left_out():
    for raw in ([0.0], [[None]], 5.0, "#N/A", "text", object()):
        assert not left_out(WEIGHTS, raw)


def test_columns_that_need_not_line_up_drop_their_blanks():
    _, values = filled([1.0, 2.0], [None, 0.1, None], arguments=[AMOUNTS, OTHERS])
    assert values[1] == [0.1]


def test_wholly_blank_ranges_are_missing():
    assert "amounts is blank" in refusal([None, ""], arguments=[AMOUNTS]).reason
    lone = Texts("categories", "the codes", aligned=False)
    assert "categories is blank" in refusal([None, ""], arguments=[lone]).reason
    assert "categories is blank" in refusal(0.0, arguments=[lone]).reason


def test_arguments_left_out_or_too_many():
    trial = record(Number("base", "grams", above=0), Number("step", "of the scale", default=0.1, above=0))
    assert trial.read([5.0], HOST) == [5.0, 0.1]
    assert trial.read([5.0, None], HOST) == [5.0, 0.1]
    with pytest.raises(WrongValue, match="base is missing: grams"):
        trial.read([], HOST)
    with pytest.raises(WrongValue, match=r"takes 2 arguments, 3 were given: TC_TRIAL\(base, \[step\]\)"):
        trial.read([1.0, 2.0, 3.0], HOST)


def test_further_arguments_are_collected():
    trial = record(Text("function", "its name"), Rest("arguments", "of it"))
    assert trial.read(["a", 1.0, None, [2.0]], HOST) == ["a", 1.0, None, [2.0]]
    assert trial.least == 1 and trial.signature == "TC_TRIAL(function, arguments…)"


def test_examples_say_one_thing():
    for found in REGISTRY.values():
        for example in found.examples:
            said = [example.gives is not None, example.fails is not None, example.starts is not None]
            assert said.count(True) == 1, found.name
    assert ex(1.0, fails="#N/A").args == (1.0,)
