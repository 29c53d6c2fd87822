"""The workbook of function tests: it holds every example, says TRUE here, and says FALSE where a function is wrong."""

import dataclasses
from importlib.resources import files

import openpyxl
import pytest
from openpyxl.worksheet.formula import ArrayFormula
from tarecell.errors import NotFound, OutOfRange
from tarecell.functions import REGISTRY
from tarecell.workbook_templates import function_tests
from tarecell.workbook_templates.function_tests import PASSES, RESULT, SUMMARY, TESTS, build
from tarecell.workbooks.evaluate import evaluate

SHIPPED = files("tarecell.workbook_templates").joinpath(function_tests.NAME)


def test_every_example_of_every_function_is_called_once():
    sheet = openpyxl.load_workbook(SHIPPED)[TESTS]
    calls = {}
    for row in sheet.iter_rows(min_row=function_tests.FIRST):
        cell = row[RESULT - 1]
        formula = cell.value.text if isinstance(cell.value, ArrayFormula) else cell.value
        if isinstance(formula, str) and formula.startswith("="):
            assert row[1].value == formula  # the call in words is the call that is made
            calls.setdefault(row[0].value, []).append(formula)
    assert {name: len(found) for name, found in calls.items()} == {
        name: len(record.examples) for name, record in REGISTRY.items()
    }


def test_all_cells_say_true_and_the_summary_too():
    shown = openpyxl.load_workbook(SHIPPED, data_only=True)
    cells = [row[0].value for row in shown[TESTS].iter_rows(min_row=5, min_col=PASSES, max_col=PASSES)]
    said = [value for value in cells if value is not None]
    assert len(said) >= 400 and all(value is True for value in said)
    assert shown[SUMMARY]["B4"].value is True
    total = shown[SUMMARY].max_row
    assert shown[SUMMARY][f"C{total}"].value == shown[SUMMARY][f"D{total}"].value == len(said)


def verdict(record, wrong, tmp_path, monkeypatch):
    """How many test cells say TRUE, of how many, where the function computes with `wrong`; and the summary cell."""
    path = tmp_path / "tests.xlsx"
    build(path, [record])
    monkeypatch.setitem(REGISTRY, record.name, dataclasses.replace(record, calculation=wrong))
    values = evaluate(path).values
    said = [value for (_, column), value in values[TESTS].items() if column == PASSES]
    return sum(value is True for value in said), len(said), values[SUMMARY][4, 2]


@pytest.mark.parametrize("name", ["TC_TOP_UP", "TC_SHARES", "TC_LOAD", "TC_READY", "TC_COOL_ENOUGH", "TC_LB_OZ"])
def test_a_function_that_is_wrong_is_told(name, tmp_path, monkeypatch):
    """A little off, for a number, a column, a row, a date; the other way round for a flag; another word for a text."""
    record = REGISTRY[name]

    def off(value):
        if isinstance(value, bool):
            return not value
        if isinstance(value, str):
            return value + " "
        if isinstance(value, (list, tuple)):
            return [*value[:-1], value[-1] * (1 + 1e-5)]
        return value + type(value - value)(1) if hasattr(value, "year") else value * (1 + 1e-5)

    right, total, summary = verdict(record, lambda *a: off(record.calculation(*a)), tmp_path, monkeypatch)
    assert right < total and summary is False


@pytest.mark.parametrize("error", [NotFound("x"), OutOfRange("x"), ValueError("x")])
def test_an_error_of_another_kind_is_told(error, tmp_path, monkeypatch):
    def fails(*args):
        raise error

    record = REGISTRY["TC_TOP_UP"]
    right, total, summary = verdict(record, fails, tmp_path, monkeypatch)
    kinds = [example.fails for example in record.examples]
    assert right <= len([kind for kind in kinds if kind]) < total and summary is False


def test_without_the_functions_nothing_is_passed():
    values = evaluate(str(SHIPPED), without_functions=True).values
    said = [value for (_, column), value in values[TESTS].items() if column == PASSES]
    assert said and not any(said)
    assert values[SUMMARY][4, 2] is False


def test_an_unexpected_error_stops_the_build(tmp_path):
    record = REGISTRY["TC_TOP_UP"]
    broken = dataclasses.replace(record, examples=[dataclasses.replace(record.examples[0], args=("x", 1.0))])
    with pytest.raises(RuntimeError, match="unexpected errors"):
        build(tmp_path / "tests.xlsx", [broken])
