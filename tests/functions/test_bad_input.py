"""Bad input, for every function and every argument: a right-typed value or one of the three errors, and nothing else.

Each call starts from the function's first good example and spoils one argument, or one cell of a range.
"""

import datetime
import math
from functools import cache

import pytest
import tarecell
from tarecell.errors import SPREADSHEET_KINDS, CellError, Fault
from tarecell.functions import REGISTRY
from tarecell.functions.columns import Numbers
from tarecell.functions.kinds import REQUIRED, Cap, Flag, Number, Rest, Share, Text
from tarecell.functions.records import COLUMN, DATE, FLAG, NUMBER, ROW, SHARE, TABLE, TEXT

ERROR_CELLS = {
    "error cell": CellError("held by another cell", "#N/A"),
    "error as text": "#N/A",
    "error of the engine": {"type": "Error", "kind": "#N/A"},
}
SPOILT_CELLS = {
    "blank": None,
    "empty text": "",
    "spaces": "  \u00a0 ",
    "text": "a pinch",
    "text number": "12.5",
    "text number with unit": "12,5 g",
    "unknown name": "zzz no such thing",
    "negative": -1.0,
    "zero": 0.0,
    "whole number": 1,
    "share over 1": 2.0,
    "not a number": math.nan,
    "infinity": math.inf,
    "minus infinity": -math.inf,
    "very large": 1e308,
    "very small": 1e-308,
    "smallest": 5e-324,
    "beyond floats": 10**400,
    "true": True,
    "date": datetime.date(2024, 2, 29),
    "object": object(),
    "long text": "x" * 1_000_000,
    "right-to-left text": "زيت 5 جم",
    "odd characters": "\x00\ud800½⁄²",
    **ERROR_CELLS,
}
SPOILT_ARGUMENTS = {
    "column": [1.0, 2.0],
    "column of names": ["a", "b"],
    "row": [[1.0, 2.0, 3.0]],
    "rectangle": [[1.0, 2.0], [3.0, 4.0]],
    "blank column": [None, None, None],
    "no cells": [],
    "no cells in rows": [[], []],
    "ragged": [[1.0], [2.0, 3.0], []],
    "one cell": [[1.0]],
    "tuple of rows": ((1.0, None), ("", "b")),
}

LOOKED_UP = {"from", "to", "unit", "pack_unit", "use_unit", "limit_unit", "material", "fat", "fragrance", "category"}
LOOKED_UP |= {"product", "item", "phase", "function"}


def first_good(record):
    return next((list(e.args) for e in record.examples if e.fails is None), None)


def is_range(value):
    return isinstance(value, (list, tuple))


def with_cell(column, position, cell):
    """A copy of a range with one cell replaced; position counts row by row."""
    rows, count = [], 0
    for row in column:
        cells = list(row) if is_range(row) else [row]
        for i in range(len(cells)):
            if count == position:
                cells[i] = cell
            count += 1
        rows.append(cells if is_range(row) else cells[0])
    return rows


def cells_in(column):
    return sum(len(row) if is_range(row) else 1 for row in column)


def spoilt_calls(record, cells, arguments=None):
    """(what was spoilt, argument, arguments of the call) for each way to spoil the record's first good example."""
    good = first_good(record)
    for i, argument in enumerate(record.arguments):
        if isinstance(argument, Rest):
            continue
        padded = good + [None] * (i + 1 - len(good))
        for label, cell in cells.items():
            yield f"{argument.name} is {label}", argument, [*padded[:i], cell, *padded[i + 1 :]]
            if is_range(padded[i]):
                for position in range(min(cells_in(padded[i]), 12)):
                    spoilt = with_cell(padded[i], position, cell)
                    yield (
                        f"{argument.name}, cell {position + 1} is {label}",
                        argument,
                        [
                            *padded[:i],
                            spoilt,
                            *padded[i + 1 :],
                        ],
                    )
        for label, value in (arguments or {}).items():
            yield f"{argument.name} is {label}", argument, [*padded[:i], value, *padded[i + 1 :]]


def outcome(name, args):
    """The value of a call, or its CellError. Everything else, a Fault included, is a failure."""
    try:
        return tarecell.call(name, *args)
    except Fault:
        raise
    except CellError as error:
        return error


def is_number(value):
    return isinstance(value, (int, float)) and not isinstance(value, bool) and math.isfinite(value)


def is_cell(value):
    return value is None or isinstance(value, str) or is_number(value)


@cache
def right_type(result):
    return {
        NUMBER: is_number,
        SHARE: is_number,
        TEXT: lambda v: isinstance(v, str),
        DATE: lambda v: is_number(v) or isinstance(v, datetime.date),
        FLAG: lambda v: isinstance(v, bool),
        COLUMN: lambda v: is_cell(v) or (is_range(v) and all(map(is_cell, flat(v)))),
        ROW: lambda v: is_range(v) and len(v) == 2 and all(map(is_number, v)),
        TABLE: lambda v: is_range(v) and all(is_range(row) and all(map(is_cell, row)) for row in v),
    }[result]


def flat(value):
    return [cell for row in value for cell in (row if is_range(row) else [row])]


RECORDS = pytest.mark.parametrize("record", REGISTRY.values(), ids=list(REGISTRY))


@RECORDS
def test_every_spoilt_call_ends_well(record):
    for label, _, args in spoilt_calls(record, SPOILT_CELLS, SPOILT_ARGUMENTS):
        try:
            found = outcome(record.name, args)
        except Exception as error:
            pytest.fail(f"{record.name}, {label}: {type(error).__name__}: {str(error)[:300]}")
        if isinstance(found, CellError):
            assert found.kind in SPREADSHEET_KINDS and len(found.reason) > 3, (label, found)
            assert len(found.reason) < 1000 and "\n" not in found.reason, (label, found.reason[:200])
        else:
            assert right_type(record.result)(found), f"{label}: {found!r}"


@RECORDS
def test_every_spoilt_call_is_explained(record):
    """TC_EXPLAIN never fails on a call that it can name, and is never empty."""
    if record.family.startswith("About"):
        return
    for label, _, args in spoilt_calls(record, SPOILT_CELLS, SPOILT_ARGUMENTS):
        try:
            told = tarecell.call("TC_EXPLAIN", record.name, *args)
        except Exception as error:
            pytest.fail(f"{record.name}, {label}: {type(error).__name__}: {str(error)[:300]}")
        assert isinstance(told, str) and 4 < len(told) < 3000 and "\n" not in told, (label, told[:300])


@RECORDS
def test_an_error_cell_is_an_error(record):
    """Alone it passes on as its own kind; inside a range it is #VALUE!: Calc knows no more."""
    for label, argument, args in spoilt_calls(record, ERROR_CELLS):
        spoilt = args[record.arguments.index(argument)]
        alone = not is_range(spoilt) or cells_in(spoilt) == 1
        found = outcome(record.name, args)
        wanted = "#N/A" if alone else "#VALUE!"
        assert isinstance(found, CellError) and found.kind == wanted, f"{label}: {found!r}"


def singles(*kinds):
    return [
        pytest.param(record, i, id=f"{record.name}-{argument.name}")
        for record in REGISTRY.values()
        for i, argument in enumerate(record.arguments)
        if isinstance(argument, kinds) and (first_good(record) or argument.required)
    ]


def kind_when(record, i, value):
    good = first_good(record) or [None] * (i + 1)
    good += [None] * (i + 1 - len(good))
    found = outcome(record.name, [*good[:i], value, *good[i + 1 :]])
    return found.kind if isinstance(found, CellError) else found


@pytest.mark.parametrize(("record", "i"), singles(Number, Flag))
@pytest.mark.parametrize("value", ["a pinch", "12.5", "12,5 g", [1.0, 2.0], [[1.0, 2.0], [3.0, 4.0]]])
def test_text_and_ranges_are_no_number(record, i, value):
    assert kind_when(record, i, value) == "#VALUE!"


@pytest.mark.parametrize(("record", "i"), singles(Number))
@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, 10**400])
def test_numbers_are_finite(record, i, value):
    assert kind_when(record, i, value) == "#NUM!"


@pytest.mark.parametrize(("record", "i"), singles(Text))
@pytest.mark.parametrize("value", [["a", "b"], [["a", "b"], ["c", "d"]]])
def test_a_range_is_no_single_text(record, i, value):
    assert kind_when(record, i, value) == "#VALUE!"


@pytest.mark.parametrize(("record", "i"), singles(Share, Cap))
def test_a_share_over_one_is_refused_with_what_to_type(record, i):
    good = first_good(record)
    good += [None] * (i + 1 - len(good))
    found = outcome(record.name, [*good[:i], 2.0, *good[i + 1 :]])
    assert found.kind == "#NUM!" and "2 means 200 %; type 2% or 0.02" in found.reason


@pytest.mark.parametrize(("record", "i"), singles(Number))
def test_out_of_bounds_is_num_and_missing_is_value(record, i):
    argument = record.arguments[i]
    if (argument.above is not None and argument.above >= 0) or (
        argument.at_least is not None and argument.at_least >= 0
    ):
        assert kind_when(record, i, -1.0) == "#NUM!"
    if argument.above == 0 and argument.default is REQUIRED:
        assert kind_when(record, i, 0.0) == "#VALUE!"
        assert kind_when(record, i, None) == "#VALUE!"
        assert kind_when(record, i, "") == "#VALUE!"


def columns_that_line_up():
    """Columns of an example that has two or more of them in step."""
    for record in REGISTRY.values():
        good = first_good(record) or []
        used = [i for i in record.aligned if i < len(good) and good[i] is not None]
        for i in used if len(used) > 1 else ():
            yield pytest.param(record, i, id=f"{record.name}-{record.arguments[i].name}")


@pytest.mark.parametrize(("record", "i"), list(columns_that_line_up()))
def test_columns_line_up(record, i):
    good = first_good(record)
    longer = [*good[i], good[i][0]] if is_range(good[i]) else [good[i], good[i]]
    assert kind_when(record, i, longer) == "#VALUE!"


def words_that_are_looked_up():
    return [p for p in singles(Text) if (t := p.values[0].arguments[p.values[1]]).choices or t.name in LOOKED_UP]


@pytest.mark.parametrize(("record", "i"), words_that_are_looked_up())
def test_unknown_words(record, i):
    """A text that is none of the fixed choices is a wrong value; a name or unit that is not listed is not found."""
    wanted = "#VALUE!" if record.arguments[i].choices else "#N/A"
    assert kind_when(record, i, "zzz no such thing") == wanted


@pytest.mark.parametrize(("record", "i"), singles(Numbers))
@pytest.mark.parametrize(
    ("value", "kind"), [("a pinch", "#VALUE!"), ("12.5", "#VALUE!"), (math.nan, "#NUM!"), (math.inf, "#NUM!")]
)
def test_no_cell_of_a_column_is_skipped(record, i, value, kind):
    good = first_good(record)
    if i >= len(good) or not is_range(good[i]):
        assert kind_when(record, i, [value]) == kind
        return
    for position in range(cells_in(good[i])):
        assert kind_when(record, i, with_cell(good[i], position, value)) == kind


@RECORDS
def test_too_many_arguments(record):
    if any(isinstance(a, Rest) for a in record.arguments):
        return
    found = outcome(record.name, [1.0] * (len(record.arguments) + 1))
    assert isinstance(found, CellError) and found.kind == "#VALUE!" and "arguments" in found.reason


@RECORDS
def test_no_arguments(record):
    if record.least:
        found = outcome(record.name, [])
        assert isinstance(found, CellError) and found.kind == "#VALUE!" and "missing" in found.reason


def _with_a_long_name(value):
    """A value with one of its texts, each in turn, as long as nobody would name anything."""
    if isinstance(value, str):
        yield "long name " * 1000
    elif isinstance(value, (list, tuple)):
        for i, cell in enumerate(value):
            for long in _with_a_long_name(cell):
                yield [*value[:i], long, *value[i + 1 :]]


@pytest.mark.parametrize("name", REGISTRY)
def test_a_reason_stays_short_however_long_a_name_is(name):
    for example in REGISTRY[name].examples:
        for i, argument in enumerate(example.args):
            for long in _with_a_long_name(argument):
                try:
                    tarecell.call(name, *example.args[:i], long, *example.args[i + 1 :])
                except CellError as error:
                    assert len(error.reason) < 1000, error.reason[:100]
