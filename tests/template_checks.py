"""What the tests of the template workbooks share: comparing files by structure, and typing nonsense into inputs."""

import random
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from openpyxl import load_workbook
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.formula import ArrayFormula
from tarecell.errors import CellError
from tarecell.workbooks.evaluate import evaluate
from tarecell.workbooks.references import address

NONSENSE = (None, "nonsense", "*", -7, 1e12, 0)
Cell = tuple[str, str]  # sheet and address


class Filled:
    """A template with other things typed into it, computed in the embedded engine."""

    def __init__(self, path: Path, scratch: Path):
        self._path, self._scratch = path, scratch / "typed.xlsx"
        self._book = load_workbook(path)

    def __call__(self, typed: dict[Cell, Any] | None = None) -> dict[Cell, Any]:
        """Every computed cell: its value, or a CellError. `typed`: what is typed into which input."""
        path = self._path
        if typed:
            path = self._typed(typed)
        found = evaluate(path)
        assert not found.left, f"not computed: {list(found.left.items())[:3]}"
        return {(sheet, address(p)): v for sheet, cells in found.values.items() for p, v in cells.items()}

    def _typed(self, typed: dict[Cell, Any]) -> Path:
        cells = [(self._book[sheet][where], value) for (sheet, where), value in typed.items()]
        before = [cell.value for cell, _ in cells]
        for cell, value in cells:
            cell.value = value
        self._book.save(self._scratch)
        for (cell, _), value in zip(cells, before, strict=True):
            cell.value = value
        return self._scratch


def inputs(path: Path) -> dict[Cell, Any]:
    """Every input cell and what the template holds there."""
    book = load_workbook(path)
    return {
        (sheet.title, cell.coordinate): cell.value
        for sheet in book
        for row in sheet.iter_rows()
        for cell in row
        if cell.style == "Input" and sheet.title != "Start here"
    }


def nonsense(cells: Iterable[Cell], at_once: int = 1, seed: int = 5) -> list[dict[Cell, Any]]:
    """Every kind of nonsense for every input, `at_once` inputs at a time, well mixed and the same in every run."""
    pairs = [(cell, value) for cell in cells for value in NONSENSE]
    random.Random(seed).shuffle(pairs)
    return [dict(pairs[i : i + at_once]) for i in range(0, len(pairs), at_once)]


def is_error(value: Any) -> bool:
    return isinstance(value, CellError)


def is_number(value: Any) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def structure(path: Path) -> dict[str, Any]:
    """What makes two workbooks the same to a person: cells, inputs, names, lists, notes, print set-up, charts."""
    book = load_workbook(path)
    return {
        "sheets": book.sheetnames,
        "names": {name: defined.attr_text for name, defined in book.defined_names.items()},
        **{sheet.title: _sheet(sheet) for sheet in book},
    }


def _sheet(sheet: Any) -> dict[str, Any]:
    return {
        "cells": {c.coordinate: _cell(c) for row in sheet.iter_rows() for c in row if c.value is not None},
        "inputs": sorted(c.coordinate for row in sheet.iter_rows() for c in row if c.style == "Input"),
        "open": sorted(c.coordinate for row in sheet.iter_rows() for c in row if not c.protection.locked),
        "protected": sheet.protection.sheet,
        "validations": sorted(
            (str(v.sqref), v.type or "", v.formula1 or "", v.prompt or "", bool(v.showErrorMessage))
            for v in sheet.data_validations.dataValidation
        ),
        "colours": sorted(
            (str(area.sqref), *rule.formula) for area in sheet.conditional_formatting for rule in area.rules
        ),
        "widths": {letter: d.width for letter, d in sheet.column_dimensions.items()},
        "heights": {row: d.height for row, d in sheet.row_dimensions.items() if d.height},
        "merged": sorted(map(str, sheet.merged_cells.ranges)),
        "print": (sheet.print_area, sheet.print_title_rows, sheet.page_setup.orientation, sheet.page_setup.fitToHeight),
        "footer": (sheet.oddFooter.left.text, sheet.oddFooter.center.text),
        "frozen": sheet.freeze_panes,
        "charts": len(sheet._charts),
    }


def _cell(cell: Any) -> tuple[Any, str]:
    value = cell.value
    if isinstance(value, ArrayFormula):
        value = (value.ref, value.text)
    return value, cell.number_format


def twice_validated(path: Path) -> list[tuple[str, str]]:
    """Cells with two lists or notes: spreadsheet programs allow one to a cell."""
    twice = []
    for sheet in load_workbook(path):
        seen: set[str] = set()
        for validation in sheet.data_validations.dataValidation:
            for area in validation.sqref.ranges:
                for row, column in area.cells:
                    where = f"{get_column_letter(column)}{row}"
                    twice += [(sheet.title, where)] if where in seen else []
                    seen.add(where)
    return twice


def check_printable(path: Path) -> None:
    """Formula cells are guarded without a password, inputs open; every sheet has a footer and fits one page's width."""
    assert not twice_validated(path)
    for sheet in load_workbook(path):
        assert sheet.protection.sheet and not sheet.protection.password, sheet.title
        assert sheet.page_setup.fitToWidth == 1 and sheet.sheet_properties.pageSetUpPr.fitToPage, sheet.title
        assert "&P" in (sheet.oddFooter.center.text or ""), sheet.title
        for row in sheet.iter_rows():
            for cell in row:
                is_formula = isinstance(cell.value, ArrayFormula) or str(cell.value or "").startswith("=")
                assert not (is_formula and not cell.protection.locked), (sheet.title, cell.coordinate)
                assert (cell.style == "Input") <= (not cell.protection.locked), (sheet.title, cell.coordinate)
