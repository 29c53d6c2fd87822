"""A workbook that holds calls twice, as they are and as plain formulas, and the comparison of the two."""

import datetime
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from openpyxl import Workbook
from openpyxl.worksheet.formula import ArrayFormula
from tarecell.errors import CellError
from tarecell.functions import REGISTRY
from tarecell.functions.records import COLUMN
from tarecell.hosts.embedded.references import letters
from tarecell.hosts.plain import Given, Result, Sheet, Step, Untranslatable, translate_call
from tarecell.workbooks.evaluate import evaluate

EPOCH = datetime.date(1899, 12, 30)


def literal(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, str):
        return '"' + value.replace('"', '""') + '"'
    return repr(float(value))


def plain(value: Any) -> Any:
    return float((value - EPOCH).days) if isinstance(value, datetime.date) else value


def rows_of(value: Any) -> list[list[Any]] | None:
    if not isinstance(value, (list, tuple)):
        return None
    rows = [list(v) if isinstance(v, (list, tuple)) else [v] for v in value]
    wide = max(map(len, rows))
    return [row + [None] * (wide - len(row)) for row in rows]


class Book:
    """Calls on the sheet "original", their translations on the sheet "copy", in the same cells."""

    def __init__(self):
        self.book = Workbook()
        self.original = self.book.active
        self.original.title = "original"
        self.copy, self.typed = self.book.create_sheet("copy"), self.book.create_sheet("typed")
        self.work, self.reference = Sheet("Workings"), Sheet("Reference")
        self.row, self.free = 1, 1
        self.calls: list[tuple[str, int, int, int]] = []  # text, row, rows, columns
        self.untranslated: dict[str, str] = {}

    def put(self, value: Any) -> Given:
        """A value in cells of the sheet "typed"."""
        rows = rows_of(value) or [[value]]
        cells = []
        for r, row in enumerate(rows):
            for c, cell in enumerate(row, 1):
                self.typed.cell(self.free + r, c, plain(cell))
            cells.append(tuple(f"typed!{letters(c)}{self.free + r}" for c in range(1, len(row) + 1)))
        self.free += len(rows) + 1
        return Given(cells=tuple(cells))

    def add(self, name: str, args: Sequence[Any], in_cells: bool = True) -> bool:
        """A call, its single values in cells or typed into the formula. False where there is no translation."""
        given = []
        for value in args:
            if in_cells or rows_of(value) is not None or isinstance(value, datetime.date):
                given.append(self.put(value))
            else:
                given.append(Given(value if value is None or isinstance(value, (str, bool)) else float(value)))
        self.work.begin(f"call {len(self.calls)}: {name}")
        try:
            result = translate_call(name, given, self.work, self.reference)
        except Untranslatable as reason:
            self.untranslated[name] = str(reason)
            return False
        texts = [_range(g) if g.cells else literal(g.value) for g in given]
        self._write(f"{name}({','.join(texts)})", name, result, args)
        return True

    def _write(self, call: str, name: str, result: Result, args) -> None:
        rows, columns = result.rows, result.columns
        if REGISTRY[name].result == COLUMN and rows == columns == 1 and args:
            rows = len(rows_of(args[0]) or [0])
        ref = f"A{self.row}:{letters(columns)}{self.row + rows - 1}"
        if rows * columns > 1:
            self.original[f"A{self.row}"] = ArrayFormula(ref, f"={call}")
            self.copy[f"A{self.row}"] = ArrayFormula(ref, f"={result.text}")
        else:
            self.original[f"A{self.row}"], self.copy[f"A{self.row}"] = f"={call}", f"={result.text}"
        self.calls.append((call, self.row, rows, columns))
        self.row += rows + 1

    def save(self, path: Path) -> None:
        for sheet in (self.work, self.reference):
            made = self.book.create_sheet(sheet.name)
            for (row, column), content in sheet.cells.items():
                if isinstance(content, Step):
                    value = f"={content.text}"
                    if content.ref:
                        value = ArrayFormula(content.ref, value)
                elif isinstance(content, CellError):
                    value = content.kind
                else:
                    value = content
                made.cell(row, column, value)
                if isinstance(content, str) and content.startswith("="):
                    made.cell(row, column).data_type = "s"
        self.book.save(path)

    def differences(self) -> list[str]:
        """Every cell in which the copy does not give what the original gives."""
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "calls.xlsx"
            self.save(path)
            original, copy = evaluate(path), evaluate(path, without_functions=True)
        found = []
        for call, top, rows, columns in self.calls:
            for where in [(top + r, 1 + c) for r in range(rows) for c in range(columns)]:
                expected = original.values["original"].get(where, "left alone")
                got = copy.values["copy"].get(where, f"left alone: {copy.left.get(('copy', where))}")
                if not same(expected, got):
                    found.append(f"{call} at {where}: {shown(expected)} became {shown(got)}")
        return found


def _range(given: Given) -> str:
    first, last = given.cells[0][0], given.cells[-1][-1].rsplit("!")[-1]
    return first if given.one else f"{first}:{last}"


def same(one: Any, other: Any) -> bool:
    if isinstance(one, CellError) or isinstance(other, CellError):
        return isinstance(one, CellError) and isinstance(other, CellError) and one.kind == other.kind
    if isinstance(one, (int, float)) and isinstance(other, (int, float)):
        return abs(one - other) <= 1e-9 * max(abs(one), abs(other)) + 1e-11
    return one == other


def shown(value: Any) -> str:
    return value.kind if isinstance(value, CellError) else repr(value)
