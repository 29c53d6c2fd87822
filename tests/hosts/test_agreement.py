"""The same workbook, the same cells, whatever computes it: plain Python, the embedded engine and real Calc.

Bad input as people type it, into every argument of every function, and the tour's whole workbook.
"""

from dataclasses import replace

import openpyxl
import pytest
import tarecell
from hosts import conformance
from hosts.conformance import is_range
from tarecell.errors import CellError, Fault
from tarecell.functions import REGISTRY, Example
from tarecell.functions.kinds import Rest
from tarecell.workbooks.evaluate import evaluate
from tarecell.workbooks.tour import tour

SPOILT = {
    "blank": None,
    "text": "a pinch",
    "text number": "12.5",
    "negative": -1.0,
    "zero": 0.0,
    "share above 1": 2.0,
    "unknown name": "zzz no such thing",
    "true": True,
    "error": "#N/A",
    "division by 0": "#DIV/0!",
    "range": [1.0, 2.0],
}


def spoilt_arguments(record):
    """The arguments of the first good example, one of them spoilt, for every argument and way to spoil it."""
    good = next((list(e.args) for e in record.examples if e.fails is None), [])
    for i, argument in enumerate(record.arguments):
        if isinstance(argument, Rest):
            continue
        padded = good + [None] * (i + 1 - len(good))
        for value in SPOILT.values():
            yield [*padded[:i], value, *padded[i + 1 :]]
            if is_range(padded[i]) and not is_range(value):
                rows = conformance.as_rows(padded[i])
                rows[0][-1] = value
                yield [*padded[:i], rows, *padded[i + 1 :]]
        if is_range(padded[i]):
            rows = conformance.as_rows(padded[i])
            yield [*padded[:i], [*rows, rows[-1]], *padded[i + 1 :]]


def in_python(record, args):
    """What plain Python gives for these cells: a single blank cell counts as 0 there too."""
    cells = [0.0 if a is None and i < len(args) else a for i, a in enumerate(args)]
    try:
        return Example(tuple(args), gives=tarecell.call(record.name, *cells))
    except Fault:
        raise
    except CellError as error:
        return Example(tuple(args), fails=error.kind)


@pytest.fixture(scope="module")
def spoilt(tmp_path_factory):
    """All the bad input as one workbook: its path, and each call with what plain Python makes of it."""
    path = tmp_path_factory.mktemp("agreement") / "spoilt.xlsx"
    records = [
        replace(record, examples=[in_python(record, args) for args in spoilt_arguments(record)])
        for record in REGISTRY.values()
    ]
    return path, [case for case in conformance.write(path, records) if case.way == "cells"]


def test_there_is_bad_input_of_every_kind(spoilt):
    _, cases = spoilt
    assert {case.record.name for case in cases} >= {n for n, r in REGISTRY.items() if r.least}
    assert {case.example.fails for case in cases} >= {"#N/A", "#NUM!", "#VALUE!", "#DIV/0!", None}


def test_bad_input_in_the_embedded_engine(spoilt):
    path, cases = spoilt
    values = evaluate(path).values[conformance.CALLS]

    def value_at(row, column):
        value = values.get((row, column))
        return conformance.Failed(value.kind) if isinstance(value, CellError) else value

    found = conformance.differences(cases, value_at)
    assert not found, "\n".join(found)


def test_bad_input_in_calc(spoilt, calc):
    path, cases = spoilt
    cells = calc.read(path)[conformance.CALLS]

    def value_at(row, column):
        cell = cells.get((row, column))
        return None if cell is None else conformance.Failed(cell.kind) if cell.error else cell.value

    found = conformance.differences(cases, value_at)
    assert not found, "\n".join(found)


@pytest.fixture(scope="module")
def picked(tmp_path_factory):
    """One cell out of a result of several that is an error, by formula; and the kind of error wanted."""
    path = tmp_path_factory.mktemp("agreement") / "picked.xlsx"
    book = openpyxl.Workbook()
    for row in [(200, "oil", 3), ("x", "wax", 4), (140, "clay", 5)]:
        book.active.append(row)
    wanted = {
        "INDEX(TC_SCALE(A1:A3,500),3)": "#VALUE!",
        "INDEX(TC_SCALE(C1:C3,-5),3)": "#NUM!",
        "INDEX(TC_SCALE(A1:C1,500),1,3)": "#VALUE!",
        "INDEX(TC_LANDED(C1:C3,5,A1:A3),2)": "#VALUE!",
        "INDEX(TC_PACKS(12,C1:C3,A1:A3),2)": "#VALUE!",
        "INDEX(TC_LOAD(-1,0.1),1,2)": "#NUM!",
        "INDEX(TC_LOAD(-1,0.1),2)": "#NUM!",
        'INDEX(TC_ROLLUP_LINES("set",A1:D3),2,3)': "#N/A",
        "IFERROR(INDEX(TC_SCALE(A1:A3,500),2),1)": None,
        "ROWS(TC_SCALE(A1:A3,500))": None,
    }
    for row, formula in enumerate(wanted, 1):
        book.active.cell(row, 9, f"={formula}")
    book.save(path)
    return path, wanted


def test_a_cell_of_a_result_that_is_an_error_is_that_error_in_the_embedded_engine(picked):
    path, wanted = picked
    found = evaluate(path)
    values = found.values["Sheet"]
    assert [getattr(values[row, 9], "kind", None) for row in range(1, len(wanted) + 1)] == list(wanted.values())
    assert values[9, 9] == 1 and values[10, 9] == 3
    assert "row 2" in found.reasons["Sheet", (1, 9)] and "-5" in found.reasons["Sheet", (2, 9)]


def test_a_cell_of_a_result_that_is_an_error_is_that_error_in_calc(picked, calc):
    path, wanted = picked
    cells = calc.read(path)["Sheet"]
    assert [cells[row, 9].kind if cells[row, 9].error else None for row in range(1, len(wanted) + 1)] == list(
        wanted.values()
    )
    assert cells[9, 9].value == 1 and cells[10, 9].value == 3


def test_the_tour_in_calc_and_in_the_embedded_engine(calc, tmp_path):
    """Every formula cell of the tour's workbook, to the last digit that a sheet shows."""
    _, report = tour(tmp_path, progress=lambda _: None)
    ours = evaluate(report.out).values
    saved = tmp_path / "saved by Calc.xlsx"
    theirs = calc.read(report.out, save_as=[saved])
    compared = 0
    for sheet, values in ours.items():
        for place, value in values.items():
            other = theirs[sheet].get(place)
            shown = None if other is None else other.error or other.value
            if isinstance(value, (int, float)):
                assert shown == pytest.approx(value, rel=1e-12, abs=1e-12), (sheet, place)
            elif "TC_VERSION" not in other.formula:
                assert (shown or "") == (value or ""), (sheet, place)
            compared += 1
    assert compared > 600
    again = evaluate(saved).values
    assert again["Set cost"][9, 2] == ours["Set cost"][9, 2]
