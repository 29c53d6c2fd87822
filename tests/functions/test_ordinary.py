"""The quick way of reading arguments must never differ from asking each argument."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tarecell.errors import CellError
from tarecell.functions import REGISTRY
from tarecell.functions.columns import Numbers
from tarecell.functions.kinds import Flag, Number, Share, Text
from tarecell.functions.ordinary import ordinary_reader
from tarecell.functions.records import Host, _read

QUICK = [record for record in REGISTRY.values() if record._ordinary is not None]
CELLS = st.one_of(
    st.sampled_from([None, "", " ", "#N/A", "#1", " g ", "no restriction", 0.0, -0.0, 1.0, True, 3, (), [[2.0]]]),
    st.floats(),
    st.text(max_size=4),
)
HOST = Host("test")


def one_by_one(record, args):
    """As a record reads a call that is not an ordinary one."""
    read = [_read(argument, raw, HOST) for argument, raw in zip(record.arguments, args, strict=False)]
    return read + [argument.missing() for argument in record.arguments[len(args) :]]


def outcome(job, *args):
    try:
        return [repr(value) for value in job(*args)]
    except CellError as error:
        return error.kind, error.reason


def test_most_functions_of_single_values_are_read_quickly():
    assert {"TC_CONVERT", "TC_UNIT_COST", "TC_FRAGRANCE", "TC_LYE_WATER"} <= {record.name for record in QUICK}


@given(st.data())
def test_what_is_read_quickly_is_what_each_argument_reads(data):
    record = data.draw(st.sampled_from(QUICK))
    args = data.draw(st.lists(CELLS, max_size=len(record.arguments)))
    assert outcome(record.read, args, HOST) == outcome(one_by_one, record, args)


@pytest.mark.parametrize(
    "args, read",
    [
        ((2.0, "g"), [2.0, "g", 0.5]),
        ((2.0, " g ", 0.25), [2.0, "g", 0.25]),
        ((2.0, "g", None), [2.0, "g", 0.5]),
        ((0.0, "g"), None),  # 0 is as good as blank here
        ((math.nan, "g"), None),
        ((2, "g"), None),
        ((2.0, " "), None),
        ((2.0, "#N/A"), None),
        ((2.0, "g", 1.5), None),
        ((2.0,), None),
        ((), None),
    ],
)
def test_a_call_that_is_not_an_ordinary_one_is_left_to_a_closer_look(args, read):
    reader = ordinary_reader([Number("a", "", above=0), Text("unit", ""), Share("share", "", default=0.5)])
    assert reader(*args) == read


def test_ranges_and_flags_need_a_closer_look():
    assert ordinary_reader([Number("a", ""), Numbers("amounts", "")]) is None
    reader = ordinary_reader([Number("a", ""), Flag("whole", "", default=False)])
    assert reader(1.0) == [1.0, False] and reader(1.0, 1.0) is None
