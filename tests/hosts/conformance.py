"""All examples of all records as one workbook, and the comparison of what a host makes of it.

Each example is there twice: "typed", with its single values written into the formula, and "cells", where they stand in
cells too. Ranges always stand in cells. `None` among the arguments is left out between its commas (or a blank cell).
"""

import datetime
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.formula import ArrayFormula
from tarecell.errors import SPREADSHEET_KINDS
from tarecell.functions import REGISTRY, Example, Record
from tarecell.functions.records import ROW

CALLS, ARGUMENTS = "calls", "arguments"
EPOCH = datetime.date(1899, 12, 30)
FIRST_COLUMN = 4  # results stand from column D on; A to C name the function, the example and the way it is written


@dataclass(frozen=True)
class Failed:
    """What a host's reader gives for an error cell."""

    kind: str


@dataclass(frozen=True)
class Case:
    """One example as it stands in the workbook: its formula, and the cells that hold its result."""

    record: Record
    example: Example
    way: str
    formula: str
    row: int
    expected: list[list[Any]]

    @property
    def name(self) -> str:
        return f"{self.formula} ({self.way}, {CALLS}!{get_column_letter(FIRST_COLUMN)}{self.row})"


def is_range(value: Any) -> bool:
    return isinstance(value, (list, tuple))


def as_rows(value: Any, across: bool = False) -> list[list[Any]]:
    """A value as rows: a flat list is a column, or a row when `across`."""
    if not is_range(value):
        return [[value]]
    if value and all(is_range(row) for row in value):
        return [list(row) for row in value]
    return [list(value)] if across else [[item] for item in value]


def literal(value: Any) -> str:
    """A single value as it is typed into a formula."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, datetime.date):
        return f"DATE({value.year},{value.month},{value.day})"
    if isinstance(value, str):
        if value in SPREADSHEET_KINDS:
            return {"#N/A": "NA()", "#DIV/0!": "(1/0)", "#NUM!": "SQRT(-1)", "#VALUE!": '("x"+1)'}[value]
        return '"' + value.replace('"', '""') + '"'
    return repr(value)


class _Writer:
    def __init__(self, epoch: datetime.date):
        self.book = Workbook()
        if epoch != EPOCH:
            self.book.epoch = datetime.datetime(epoch.year, epoch.month, epoch.day)
        self.calls = self.book.active
        self.calls.title = CALLS
        self.arguments = self.book.create_sheet(ARGUMENTS)
        self.epoch = epoch
        self.cases: list[Case] = []
        self.next_call = self.next_argument = 1

    def place(self, value: Any) -> str:
        """Puts a value into cells of its own and gives the reference to them."""
        rows = as_rows(value)
        top = self.next_argument
        for r, row in enumerate(rows):
            for c, item in enumerate(row):
                if item is not None:
                    self._fill(self.arguments.cell(top + r, c + 1), item)
        self.next_argument += len(rows) + 1
        width = max(len(row) for row in rows)
        last = f":${get_column_letter(width)}${top + len(rows) - 1}" if len(rows) * width > 1 else ""
        return f"{ARGUMENTS}!$A${top}{last}"

    @staticmethod
    def _fill(cell: Any, item: Any) -> None:
        if isinstance(item, str) and item in SPREADSHEET_KINDS:
            cell.value = f"={literal(item)}"
            return
        cell.value = item
        if isinstance(item, str):
            cell.data_type = "s"

    def add(self, record: Record, example: Example, way: str) -> None:
        texts = [self.place(a) if is_range(a) or way == "cells" else literal(a) for a in example.args]
        while texts and not texts[-1]:
            texts.pop()
        formula = f"={record.name}({','.join(texts)})"
        expected = self.expected(record, example)
        row, height, width = self.next_call, len(expected), max(len(line) for line in expected)
        self.calls.cell(row, 1, record.name)
        self.calls.cell(row, 2, formula).data_type = "s"
        self.calls.cell(row, 3, way)
        start = self.calls.cell(row, FIRST_COLUMN)
        if height * width > 1:
            end = f"{get_column_letter(FIRST_COLUMN + width - 1)}{row + height - 1}"
            start.value = ArrayFormula(f"{start.coordinate}:{end}", formula)
        else:
            start.value = formula
        self.next_call += height + 1
        self.cases.append(Case(record, example, way, formula, row, expected))

    def expected(self, record: Record, example: Example) -> list[list[Any]]:
        if example.fails is not None:
            return [[Failed(example.fails)]]
        if example.starts is not None:
            return [[example.starts]]
        rows = as_rows(example.gives, across=record.result == ROW)
        return [[self._cell(item) for item in row] for row in rows]

    def _cell(self, item: Any) -> Any:
        if isinstance(item, datetime.datetime):
            item = item.date()
        return float((item - self.epoch).days) if isinstance(item, datetime.date) else item


def write(
    path: str | Path,
    records: Iterable[Record] | None = None,
    epoch: datetime.date = EPOCH,
    wanted: Callable[[Example], bool] = lambda example: True,
) -> list[Case]:
    """Writes the workbook and returns its cases: all records, all examples unless told otherwise.

    epoch: day 0 of the workbook's dates.
    """
    writer = _Writer(epoch)
    for record in REGISTRY.values() if records is None else records:
        for example in filter(wanted, record.examples):
            writer.add(record, example, "typed")
            if any(not is_range(a) for a in example.args):
                writer.add(record, example, "cells")
    writer.book.save(path)
    return writer.cases


def differences(cases: Iterable[Case], value_at: Callable[[int, int], Any]) -> list[str]:
    """What a host's values differ in, one line a cell. `value_at(row, column)` of the sheet `calls`: a number, a text,
    None for a blank, or Failed for an error cell."""
    found = []
    for case in cases:
        for r, line in enumerate(case.expected):
            for c, expected in enumerate(line):
                got = value_at(case.row + r, FIRST_COLUMN + c)
                if not _same(expected, got, case.example):
                    found.append(f"{case.name}: wanted {expected!r}, got {got!r}")
    return found


def values_of(sheets: dict) -> Callable[[int, int], Any]:
    """`value_at` for what a real Calc has read."""
    cells = sheets[CALLS]

    def value_at(row, column):
        cell = cells.get((row, column))
        if cell is None:
            return None
        return Failed(cell.kind) if cell.error else cell.value

    return value_at


def _same(expected: Any, got: Any, example: Example) -> bool:
    if isinstance(expected, Failed) or isinstance(got, Failed):
        return expected == got
    if expected is None:
        return got in (None, "")
    if example.starts is not None:
        return isinstance(got, str) and got.startswith(expected)
    if isinstance(expected, str):
        return got == expected
    if isinstance(got, (str, type(None))):
        return False
    return abs(float(got) - float(expected)) <= example.within * max(1.0, abs(float(expected)))
