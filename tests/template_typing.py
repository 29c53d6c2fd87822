"""Typing into the input cells of a template workbook, many times over: the embedded engine keeps the workbook open."""

from datetime import date, datetime
from functools import cache
from pathlib import Path
from unittest.mock import patch

import pytest
from openpyxl import load_workbook
from openpyxl.utils import range_boundaries
from tarecell.workbooks import evaluate
from template_checks import is_number

NONSENSE = (None, 0, -5, 1e12, "abc", "12.5", " ", "*", -1e12, 0.5, 1e-9)
OUNCE, LITRE = 28.349523125, 1000.0  # g (Weights and Measures Act 1985), mL
GRAMS = {"%": 1.0, "g": 1.0, "kg": 1000.0, "oz": OUNCE, "lb": 16 * OUNCE}
# NIST Handbook 44, App. C: US fluid ounce, teaspoon, tablespoon, cup, in mL
MILLILITRES = {"mL": 1.0, "L": LITRE, "fl oz": 29.5735295625, "tsp": 4.92892159375, "tbsp": 14.78676478125,
               "cup": 236.5882365}  # fmt: skip


def values(path: Path) -> dict:
    """The value inside every cell, as a viewer that computes nothing shows it."""
    book = load_workbook(path, data_only=True)
    return {(s.title, c.coordinate): c.value for s in book for row in s.iter_rows() for c in row if c.value is not None}


def _noted(seen, whole=evaluate._Run.run):
    """`run`, which also keeps the engine's work for later."""

    def run(work, *options):
        seen.append(work)
        return whole(work, *options)

    return run


@cache
def _opened(path: Path):
    """The workbook as the engine holds it, computed once; and what its input cells hold."""
    seen = []
    with patch.object(evaluate._Run, "run", _noted(seen)):
        evaluate.evaluate(path)
    (run,) = seen
    assert not run.result.left, run.result.left
    return run, {(s.title, c.coordinate): c.value for s in load_workbook(path) for row in s.iter_rows() for c in row}


class Typed:
    """A workbook with other things typed into it, computed. `typed["Sheet", "A1"]` gives a value, maybe a CellError."""

    def __init__(self, path: Path, changes: dict[tuple[str, str], object]):
        run, before = _opened(path)
        self.cells = {**before, **changes}
        for place, value in changes.items():
            _type(run, place, value)
        try:
            run.engine.evaluate()
            self.values = {s: {} for s in run.sheets}
            for (sheet, _), formula in run.result.formulas.items():
                for where in evaluate._cells_of(formula):
                    self.values[sheet][where] = run.engine.value(sheet, where)
        finally:
            for place in changes:
                _type(run, place, before[place])

    def __getitem__(self, place: tuple[str, str]):
        sheet, address = place
        column, row, _, _ = range_boundaries(address)
        if (row, column) in self.values[sheet]:
            return self.values[sheet][row, column]
        return self.cells[place]

    def column(self, sheet: str, letter: str, first: int, last: int) -> list:
        return [self[sheet, f"{letter}{row}"] for row in range(first, last + 1)]


def _type(run, place: tuple[str, str], value) -> None:
    column, row, _, _ = range_boundaries(place[1])
    if isinstance(value, (date, datetime)):
        value = (datetime(value.year, value.month, value.day) - datetime(1899, 12, 30)).days
    run.engine.set_value(place[0], (row, column), value)


def check_recipe(typed: Typed, sheet: str, first: int, last: int, batch: float, step: float) -> None:
    """The recipe table against plain arithmetic on what is typed: every row in proportion, the total the batch."""
    grams, parts = typed.column(sheet, "G", first, last), []
    for row, g in enumerate(grams, first):
        part, name, amount, unit, density = (typed[sheet, f"{letter}{row}"] for letter in "ABCDE")
        if not any(str("" if x is None else x).strip() for x in (part, name, amount)):
            assert not is_number(g)
            parts.append(0.0)
            continue
        assert (
            all(x is not None and str(x).strip() for x in (part, name, unit)) and is_number(amount) and amount >= 0
        ), row
        assert typed[sheet, f"K{row}"] == "ok"
        parts.append(amount * (GRAMS[unit] if unit in GRAMS else MILLILITRES[unit] * density))
    for part, g in zip(parts, grams, strict=True):
        if is_number(g):
            assert g == pytest.approx(batch * part / sum(parts), abs=max(step, 1e-9 * batch))
    assert typed[sheet, f"G{last + 1}"] == pytest.approx(batch, rel=1e-9)
    assert sum(g for g in grams if is_number(g)) == pytest.approx(batch, rel=1e-9)
