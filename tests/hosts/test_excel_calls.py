"""The functions as Excel would call them: through xlwings' COM server, with the parts that only Windows has replaced.

Every example of every record is called in the three forms that Excel may hand its cells over in. Nothing here is Excel.
"""

import datetime
import importlib
import inspect

import pytest
import tarecell.hosts.excel
from hosts.conformance import as_rows, is_range
from hosts.windows_parts import ERROR_CELLS, MISSING, Cells, Time, workbook, xlwings_for_windows
from tarecell.errors import SPREADSHEET_KINDS
from tarecell.functions import REGISTRY
from tarecell.functions.cells import EPOCH_1900, EPOCH_1904
from tarecell.functions.records import COLUMN, DATE, ROW, TABLE
from tarecell.hosts.excel.calls import ERRORS, MARK

MODULE = "tarecell.hosts.excel"


@pytest.fixture(scope="module")
def excel():
    """xlwings' COM server with the functions decorated by its own decorators."""
    with xlwings_for_windows() as windows:
        importlib.reload(tarecell.hosts.excel)
        server = windows.server.XLPython()
        windows.call = lambda name, *args, **told: called(server, name, args, **told)
        yield windows
    importlib.reload(tarecell.hosts.excel)


def called(server, name, args, dates=1900, version="16.0"):
    """What the VBA function gets from Python: it puts what it says of itself in front where xlwings knows of that."""
    known = getattr(tarecell.hosts.excel, name).__xlfunc__["args"]
    if known and known[0]["vba"]:
        assert known[0]["vba"] == "TcHost()"
        args = (f"{version} {dates}", *args)
    book = workbook()
    return server.CallUDF(MODULE, name, args, book.book, book.cell)


def com(item, epoch=EPOCH_1900):
    """One cell's Value2 as COM hands it over."""
    if isinstance(item, str) and item in SPREADSHEET_KINDS:
        return ERROR_CELLS[item]
    if isinstance(item, datetime.date):
        return float((datetime.date(item.year, item.month, item.day) - epoch).days)
    return float(item) if type(item) is int else item


def value2(arg, epoch=EPOCH_1900):
    """An argument as the VBA module reads it: one value, or a tuple of rows."""
    if not is_range(arg):
        return com(arg, epoch)
    rows = as_rows(arg)
    width = max(len(row) for row in rows)
    cells = tuple(tuple(com(c, epoch) for c in [*row, *[None] * (width - len(row))]) for row in rows)
    return cells if len(cells) * width > 1 else cells[0][0]


def value(arg):
    """An argument as a range's Value has it: dates are times there."""
    cells = value2(arg)
    if isinstance(arg, datetime.date):
        return Time(arg.year, arg.month, arg.day, tzinfo=datetime.timezone.utc)
    if is_range(arg) and any(isinstance(c, datetime.date) for row in as_rows(arg) for c in row):
        return tuple(
            tuple(Time(c.year, c.month, c.day) if isinstance(c, datetime.date) else com(c) for c in row)
            for row in as_rows(arg)
        )
    return cells


def ranged(cells):
    """A range of a workbook, as xlwings' own VBA hands it over."""
    return Cells(cells, workbook().cell.Worksheet)


WAYS = {
    "as the VBA module hands them over": lambda args: [value2(a) for a in args],
    "left out": lambda args: [MISSING if a is None else value2(a) for a in args],
    "as ranges": lambda args: [ranged(value(a)) for a in args],
}
EXAMPLES = [(r, e) for r in REGISTRY.values() for e in r.examples]


def too_many(record, example):
    """Whether Excel itself refuses the formula, as the VBA function has fewer arguments."""
    signature = inspect.signature(getattr(tarecell.hosts.excel, record.name))
    parameters = [p for p in signature.parameters.values() if p.name != "host"]
    return not any(p.kind is p.VAR_POSITIONAL for p in parameters) and len(example.args) > len(parameters)


def day(item, epoch=EPOCH_1900):
    return com(item.date() if isinstance(item, datetime.datetime) else item, epoch)


def check(got, record, example):
    if example.fails is not None:
        assert got == MARK + example.fails
        return
    if example.starts is not None:
        assert got.startswith(example.starts)
        return
    expected = [[com(c) for c in row] for row in as_rows(example.gives, across=record.result == ROW)]
    flat = isinstance(got, list) and not isinstance(got[0], list)
    rows = [got] if flat else got if isinstance(got, list) else [[got]]
    assert [len(r) for r in rows] == [len(r) for r in expected]
    for line, wanted in zip(rows, expected, strict=True):
        for cell, want in zip(line, wanted, strict=True):
            cell = day(cell)
            if want is None:
                assert cell == ""
            elif isinstance(want, (str, bool)):
                assert cell == want and type(cell) is type(want)
            else:
                assert type(cell) is float and cell == pytest.approx(want, rel=example.within, abs=example.within)


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("record,example", EXAMPLES, ids=[f"{r.name}-{i}" for i, (r, e) in enumerate(EXAMPLES)])
def test_every_example(excel, record, example, way):
    if too_many(record, example):
        assert example.fails == "#VALUE!"  # where a host does not refuse by itself
        return
    check(excel.call(record.name, *WAYS[way](example.args)), record, example)


def test_only_one_example_is_refused_by_excel_itself():
    assert [r.name for r, e in EXAMPLES if too_many(r, e)] == ["TC_VERSION"]


DATED = [(r, e) for r, e in EXAMPLES if any(isinstance(a, datetime.date) for a in e.args) and e.fails is None]


@pytest.mark.parametrize("record,example", DATED, ids=[f"{r.name}-{i}" for i, (r, e) in enumerate(DATED)])
def test_dates_in_a_workbook_that_counts_from_1904(excel, record, example):
    got = excel.call(record.name, *[value2(a, EPOCH_1904) for a in example.args], dates=1904)
    wanted = example.gives
    assert got == (day(wanted, EPOCH_1904) if record.result == DATE else wanted)


def test_there_are_dated_examples():
    assert len(DATED) >= 6


def test_a_date_system_that_is_not_told_is_an_error_and_no_guess(excel):
    assert excel.call("TC_READY", 45000.0, 28.0) == 45028.0
    assert excel.call("TC_READY", 45000.0, 28.0, dates="") == MARK + "#VALUE!"
    assert tarecell.hosts.excel.TC_READY(45000.0, 28.0) == MARK + "#VALUE!"
    assert tarecell.hosts.excel.TC_READY() == MARK + "#VALUE!"


def test_version_tells_excel(excel):
    assert " · Excel 16.0 · Python " in excel.call("TC_VERSION")
    assert " · Excel 14.0 · Python " in excel.call("TC_VERSION", version="14.0")


@pytest.mark.parametrize("kind", ERROR_CELLS)
@pytest.mark.parametrize("wrap", [lambda raw: raw, ranged], ids=["value", "range"])
def test_an_error_cell_passes_on_and_is_no_blank(excel, kind, wrap):
    """xlwings would hand an error cell over as a blank; a blank `step` is a default, an error in it must stay one."""
    shown = MARK + (kind if kind in ERRORS else "#VALUE!")
    code = ERROR_CELLS[kind]
    assert excel.call("TC_TOP_UP", wrap(code), 3.0) == shown
    assert excel.call("TC_SCALE", wrap(((200.0,), (140.0,))), 500.0, wrap(code)) == shown
    assert excel.call("TC_SCALE", wrap(((200.0,), (code,))), 500.0) == MARK + "#VALUE!", "as in every host"
    assert "row 2 holds the error" in excel.call("TC_EXPLAIN", "TC_SCALE", wrap(((200.0,), (code,))), 500.0)
    assert excel.call("TC_EXPLAIN", "TC_TOP_UP", wrap(code), 3.0).startswith(shown[1:])


def test_a_blank_is_not_zero_rows_and_empty_text_is_blank(excel):
    assert excel.call("TC_SCALE", ((200.0,), (None,), ("",), (140.0,)), 500.0, None) == [
        [pytest.approx(294.11764705882354)], [""], [""], [pytest.approx(205.88235294117646)],
    ]  # fmt: skip


def test_shapes(excel):
    assert excel.call("TC_SHARES", 5.0) == 1.0, "one cell gives one value"
    assert excel.call("TC_SHARES", ((1.0, 3.0),)) == [0.25, 0.75], "a row gives a row"
    assert excel.call("TC_SHARES", (1.0, 3.0)) == [0.25, 0.75], "a row that somebody typed: {1,3}"
    assert excel.call("TC_SHARES", ((1.0,), (3.0,))) == [[0.25], [0.75]], "a column gives a column"
    assert excel.call("TC_LOAD", 100.0, 0.1) == [pytest.approx(100 / 11), pytest.approx(1000 / 11)]


def test_an_exception_never_reaches_the_cell_as_text(excel, monkeypatch):
    def broken(*_):
        raise RuntimeError("a mistake in the calculation")

    monkeypatch.setitem(vars(REGISTRY["TC_TOP_UP"]), "ordinary", broken)
    assert excel.call("TC_TOP_UP", 5.0, 3.0) == MARK + "#VALUE!"


def test_what_xlwings_knows_of_each_function(excel):
    """The texts of the function wizard, and the options by which cells are read."""
    for record in REGISTRY.values():
        known = getattr(tarecell.hosts.excel, record.name).__xlfunc__
        assert known["name"] == record.name and known["sub"] is False and known["volatile"] is False
        assert known["category"] == f"Tarecell - {record.family}"
        assert known["ret"] == {"doc": record.summary, "options": {}}
        shown = [info for info in known["args"] if not info["vba"]]
        assert len(shown) == len(record.arguments)
        for argument, info in zip(record.arguments, shown, strict=True):
            assert info["name"].rstrip("_") == argument.name
            assert info["doc"].startswith(argument.doc) and len(info["doc"]) <= 255
            assert info["options"] == {"ndim": 2, "err_to_str": True}
            assert ("optional" in info) == (not argument.required and not info["vararg"])


def test_results_of_several_cells_are_known():
    assert {r.result for r in REGISTRY.values()} >= {COLUMN, ROW, TABLE}


def test_without_xlwings_the_functions_are_there_all_the_same(monkeypatch):
    monkeypatch.setitem(__import__("sys").modules, "xlwings", None)
    try:
        plain = importlib.reload(tarecell.hosts.excel)
        assert plain.xlwings is None
        assert all(callable(getattr(plain, name)) for name in REGISTRY)
        assert plain.TC_TOP_UP(500.0, 487.5) == 12.5
        assert plain.TC_READY(45000.0, 28.0) == MARK + "#VALUE!", "no workbook to ask for its dates"
    finally:
        monkeypatch.undo()
        importlib.reload(tarecell.hosts.excel)
