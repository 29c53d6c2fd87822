"""The quick way of reading arguments must never differ from asking each argument."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tarecell.errors import CellError
from tarecell.functions import REGISTRY
from tarecell.functions.columns import Numbers
from tarecell.functions.kinds import Flag, Number, Share, Text
from tarecell.functions.ordinary import ordinary_call
from tarecell.functions.registry import PYTHON, _evaluate, result

QUICK = [record for record in REGISTRY.values() if record.ordinary is not None]
CELLS = st.one_of(
    st.sampled_from([None, "", " ", "#N/A", "#1", " g ", "no restriction", 0.0, -0.0, 1.0, True, 3, (), [[2.0]]]),
    st.sampled_from(["g", "oz", "kg", "NaOH", "5A", "coconut oil", "round jar"]),
    st.floats(0, 1),
    st.floats(0.5, 500),
    st.floats(),
    st.text(max_size=4),
)


def outcome(job, *args):
    try:
        return repr(job(*args))
    except CellError as error:
        return error.kind, error.reason


def test_functions_of_single_values_are_called_at_once():
    assert {"TC_CONVERT", "TC_UNIT_COST", "TC_FRAGRANCE", "TC_LYE_WATER"} <= {record.name for record in QUICK}


@given(st.data())
def test_a_call_at_once_gives_what_it_gives_argument_by_argument(data):
    record = data.draw(st.sampled_from(QUICK))
    args = data.draw(st.lists(CELLS, max_size=len(record.arguments)))
    assert outcome(result, record, args) == outcome(lambda: _evaluate(record, args, PYTHON)[0])


@pytest.mark.parametrize(
    "args, given",
    [
        ((2.0, "g"), (2.0, "g", 0.5)),
        ((2.0, " g ", 0.25), (2.0, "g", 0.25)),
        ((2.0, "g", None), (2.0, "g", 0.5)),
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
def test_a_call_that_is_not_an_ordinary_one_is_left_to_a_closer_look(args, given):
    arguments = [Number("a", "", above=0), Text("unit", ""), Share("share", "", default=0.5)]
    assert ordinary_call(arguments, lambda *values: values)(*args) == given


def test_ranges_and_flags_need_a_closer_look():
    assert ordinary_call([Number("a", ""), Numbers("amounts", "")], min) is None
    call = ordinary_call([Number("a", ""), Flag("whole", "", default=False)], lambda *values: values)
    assert call(1.0) == (1.0, False) and call(1.0, 1.0) is None
