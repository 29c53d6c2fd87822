"""The one door: finding a function, calling it, and explaining the call."""

import datetime
import math

import pytest
import tarecell
from tarecell.errors import CellError, Fault, NotFound, OutOfRange
from tarecell.functions import REGISTRY, Host, Record, explain, find, run
from tarecell.functions import registry as door
from tarecell.functions.cells import EPOCH_1904
from tarecell.functions.columns import Numbers
from tarecell.functions.kinds import Date, Number
from tarecell.functions.records import COLUMN, DATE, NUMBER, ROW


@pytest.fixture
def trial(monkeypatch):
    """Makes a function for one test: trial(calculation, *arguments) gives its name."""

    def make(calculation, *arguments, result=NUMBER):
        working = lambda result, *_: f"told: {result}"  # noqa: E731
        record = Record("TC_TRIAL", "For trial only.", calculation, arguments, result, [], "", working)
        monkeypatch.setitem(door.REGISTRY, "TC_TRIAL", record)
        return "TC_TRIAL"

    return make


@pytest.mark.parametrize("typed", ["TC_SCALE", "tc_scale", "=TC_SCALE", " scale ", "Scale", "=TC_SCALE(A1:A9, 5)"])
def test_a_function_is_found_as_people_name_it(typed):
    assert find(typed).name == "TC_SCALE"


def test_a_missing_function_names_the_nearest():
    with pytest.raises(NotFound, match="nearest: TC_SCALE"):
        find("TC_SCAEL")
    with pytest.raises(CellError):
        tarecell.call("", 1.0)


def test_a_name_is_taken_only_once():
    with pytest.raises(ValueError, match="declared twice"):
        door.register("Trial", [REGISTRY["TC_SCALE"]])


def test_mistakes_of_our_own_are_faults_and_still_cell_errors(trial):
    name = trial(lambda value: {}[value], Number("value", "d"))
    with pytest.raises(Fault, match="please report it") as caught:
        run(name, [1.0])
    assert isinstance(caught.value, CellError) and caught.value.kind == "#VALUE!"


@pytest.mark.parametrize("result", [math.inf, -math.inf, math.nan])
def test_no_result_is_infinite(trial, result):
    for found, kind in ((result, NUMBER), ([1.0, result], ROW), ([[1.0, result]], "table")):
        name = trial(lambda value, found=found: found, Number("value", "d"), result=kind)
        with pytest.raises(OutOfRange, match="too large"):
            run(name, [1.0])


def test_overflow_is_out_of_range(trial):
    with pytest.raises(OutOfRange):
        run(trial(lambda value: value**99999, Number("value", "d")), [1e300])


def test_a_column_lines_up_with_its_rows(trial):
    name = trial(lambda amounts: [2 * a for a in amounts], Numbers("amounts", "d"), result=COLUMN)
    assert run(name, [[1.0, None, 3.0]]) == [2.0, None, 6.0]
    assert run(name, [[[1.0], [""], [3.0]]]) == [[2.0], [None], [6.0]]
    assert run(name, [[[1.0, None, 3.0]]]) == [[2.0, None, 6.0]]
    assert run(name, [7.0]) == 14.0


def test_a_calculation_that_loses_a_row_is_a_fault(trial):
    name = trial(lambda amounts: amounts[1:], Numbers("amounts", "d"), result=COLUMN)
    with pytest.raises(Fault):
        run(name, [[1.0, 2.0]])


def test_days_come_back_as_the_caller_writes_them(trial):
    name = trial(lambda day: day + datetime.timedelta(days=1), Date("made", "d"), result=DATE)
    assert run(name, [datetime.date(2024, 2, 28)]) == datetime.date(2024, 2, 29)
    assert run(name, [45352.0]) == 45353.0
    assert run(name, [43890.0], Host("a 1904 sheet", epoch=EPOCH_1904)) == 43891.0
    long_ago = trial(lambda day: datetime.date(1850, 1, 1), Date("made", "d"), result=DATE)
    with pytest.raises(OutOfRange, match="before the first date"):
        run(long_ago, [45352.0])


def test_explaining_uses_the_numbers_of_the_call(trial):
    name = trial(lambda value: value * 2, Number("value", "d", above=0))
    assert explain(name, [2.0]) == "told: 4.0"
    assert explain(name, [-2.0]).startswith("#NUM! value is -2")
    assert explain(name, ["#REF!"]).startswith("#REF! ")
    assert explain(name, []).startswith("#VALUE! value is missing")


def test_a_working_is_never_endless(trial):
    name = trial(lambda value: value, Number("value", "d"))
    object.__setattr__(door.REGISTRY[name], "working", lambda *_: "x" * 100_000)
    assert len(explain(name, [1.0])) == door.LONGEST and explain(name, [1.0]).endswith("…")


def test_errors_survive_being_sent_to_another_process():
    import pickle

    for error in (NotFound("no such wax"), CellError("held elsewhere", "#REF!"), Fault("ours")):
        copy = pickle.loads(pickle.dumps(error))
        assert (type(copy), copy.kind, copy.reason) == (type(error), error.kind, error.reason)
        assert str(copy) == f"{error.kind} {error.reason}"
