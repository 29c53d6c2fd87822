"""A workbook as plain cells: value, formula and number format, sheet by sheet, in bounded time.

Sheets can claim a million rows and hold ten. Only the rows up to `MOST_ROWS` and the columns up to `MOST_COLUMNS` are
looked at; a sheet that goes on beyond says so in `cut`.
"""

import io
import re
import warnings
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, NamedTuple

from openpyxl import load_workbook
from openpyxl.worksheet.formula import ArrayFormula

from tarecell.workbooks.package import Package
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.references import Position, area
from tarecell.workbooks.strict import as_usual

MOST_ROWS, MOST_COLUMNS = 10_000, 256
MOST_CELLS = 200_000  # filled cells a sheet
_BEYOND = 1e308  # a file may hold integers of hundreds of digits
_MERGE = re.compile(rb"<(?:\w+:)?mergeCell\s[^>]*?ref=[\"']([A-Za-z0-9:$]+)[\"']")


class Cell(NamedTuple):
    """A filled cell. `value` is what a formula last gave (None when the file does not say).

    `array`: the range that an array formula fills, in each cell of that range; only the first one has the formula.
    """

    value: Any
    formula: str | None = None
    format: str = "General"
    array: str | None = None
    error: bool = False
    bold: bool = False

    @property
    def number(self) -> float | None:
        """The value as a number; None for text, dates, TRUE and FALSE, and for a number that no cell can hold."""
        value = self.value
        if not isinstance(value, (int, float)) or isinstance(value, bool):
            return None
        return value if abs(value) < _BEYOND else None  # false for what is no number too

    @property
    def text(self) -> str:
        """The value as text without outer spaces; "" where it is none, or an error."""
        return self.value.strip() if isinstance(self.value, str) and not self.error else ""

    @property
    def computed(self) -> bool:
        """Whether a formula made the value."""
        return self.formula is not None or self.array is not None

    @property
    def percent(self) -> bool:
        """Whether the number format shows a percentage."""
        return "%" in re.sub(r'"[^"]*"|\\.', "", self.format)


BLANK = Cell(None)


@dataclass
class Grid:
    """The filled cells of one sheet."""

    sheet: str
    state: str = "visible"
    cells: dict[Position, Cell] = field(default_factory=dict)
    merged: list[tuple[int, int, int, int]] = field(default_factory=list)
    cut: str = ""  # what was not looked at, in words
    last_row: int = 0
    last_column: int = 0

    def __getitem__(self, where: Position) -> Cell:
        return self.cells.get(where, BLANK)

    def text(self, row: int, column: int) -> str:
        return self[row, column].text

    def row(self, row: int) -> list[tuple[int, Cell]]:
        """The filled cells of a row, from left to right."""
        return self._rows.get(row, [])

    @property
    def rows(self) -> list[int]:
        """The numbers of the rows that hold anything."""
        return sorted(self._rows)

    def merge_at(self, where: Position) -> tuple[int, int, int, int] | None:
        """The merged area that begins at a cell."""
        return self._merges.get(where)

    def __post_init__(self):
        self._rows: dict[int, list[tuple[int, Cell]]] = {}
        for (row, column), cell in sorted(self.cells.items(), key=lambda item: item[0]):
            self._rows.setdefault(row, []).append((column, cell))
            self.last_row, self.last_column = max(self.last_row, row), max(self.last_column, column)
        self._merges = {box[:2]: box for box in self.merged}


@dataclass
class Book:
    """A workbook as grids, with its defined names (name → reference; a sheet's own names as "Sheet!name")."""

    path: Path
    package: Package
    grids: list[Grid]
    names: dict[str, str]

    def grid(self, sheet: str) -> Grid | None:
        """A sheet by name, whatever the case."""
        return next((g for g in self.grids if g.sheet.casefold() == sheet.casefold()), None)


def read_book(path: str | Path) -> Book:
    """Reads a workbook's cells. WorkbookProblem with the reason for a file that cannot be read or is not harmless."""
    package = Package.open(path)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # unknown extensions: nothing is written back, so nothing is lost
            return _read(package)
    except WorkbookProblem:
        raise
    except (MemoryError, RecursionError):
        raise WorkbookProblem(f"{package.path.name} is too large to read") from None
    except Exception as error:  # the reader has many ways to fail on a damaged part; none of them is ours
        raise WorkbookProblem(
            f"{package.path.name} is damaged: its cells cannot be read ({type(error).__name__}); "
            "open it in your spreadsheet program and save it again"
        ) from None


def _read(package: Package) -> Book:
    data = as_usual(package)
    book = load_workbook(io.BytesIO(data), read_only=True, keep_links=False)
    values = None
    parts = {sheet.name: sheet for sheet in package.sheets}
    grids = []
    for sheet in book.worksheets:
        part = parts.get(sheet.title)
        cells, cut = _cells(sheet)
        if any(cell.formula is not None for cell in cells.values()):
            if values is None:
                values = load_workbook(io.BytesIO(data), read_only=True, data_only=True, keep_links=False)
            cells = _with_values(cells, values[sheet.title])
        _mark_arrays(cells)
        merged = _merged(package.read(part.part)) if part else []
        grids.append(Grid(sheet.title, part.state if part else "visible", cells, merged, cut))
    return Book(package.path, package, grids, _names(book))


def _filled(sheet: Any) -> Iterator[tuple[Position, Any]]:
    sheet.reset_dimensions()  # the sheet's own word on its size may be wrong in either direction
    for row in sheet.iter_rows(max_row=MOST_ROWS, max_col=MOST_COLUMNS):
        for cell in row:
            if cell.value is not None:
                yield (cell.row, cell.column), cell


def _cells(sheet: Any) -> tuple[dict[Position, Cell], str]:
    cells: dict[Position, Cell] = {}
    cut = ""
    for where, raw in _filled(sheet):
        if len(cells) >= MOST_CELLS:
            cut = f"only its first {MOST_CELLS} filled cells were looked at"
            break
        value, formula, array = raw.value, None, None
        if isinstance(value, ArrayFormula):
            value, formula, array = None, str(value.text or ""), value.ref
        elif raw.data_type == "f":
            value, formula = None, value if isinstance(value, str) else "=TABLE()"
        error = raw.data_type == "e"
        cells[where] = Cell(value, formula, raw.number_format or "General", array, error, bool(raw.font and raw.font.b))
    if not cut and cells and max(row for row, _ in cells) >= MOST_ROWS:
        cut = f"only its first {MOST_ROWS} rows were looked at"
    return cells, cut


def _with_values(cells: dict[Position, Cell], sheet: Any) -> dict[Position, Cell]:
    """The same cells with the values that their formulas last gave."""
    for where, raw in _filled(sheet):
        cell = cells.get(where)
        if cell is None:
            if len(cells) < MOST_CELLS:  # the rest of an array formula's range holds values only
                cells[where] = Cell(raw.value, None, raw.number_format or "General", None, raw.data_type == "e")
        elif cell.formula is not None:
            cells[where] = cell._replace(value=raw.value, error=raw.data_type == "e")
    return cells


def _mark_arrays(cells: dict[Position, Cell]) -> None:
    anchors = [cell.array for cell in cells.values() if cell.array]
    for reference in anchors:
        top, left, bottom, right = area(reference)
        for where in _within(cells, top, left, min(bottom, MOST_ROWS), min(right, MOST_COLUMNS)):
            if cells[where].formula is None:
                cells[where] = cells[where]._replace(array=reference)


def _within(cells: dict[Position, Cell], top: int, left: int, bottom: int, right: int) -> list[Position]:
    if (bottom - top + 1) * (right - left + 1) > len(cells):
        return [(r, c) for r, c in cells if top <= r <= bottom and left <= c <= right]
    area = [(r, c) for r in range(top, bottom + 1) for c in range(left, right + 1)]
    return [where for where in area if where in cells]


def _merged(xml: bytes) -> list[tuple[int, int, int, int]]:
    end = xml.rfind(b"sheetData>")
    return [area(found.decode()) for found in _MERGE.findall(xml, max(end, 0))]


def _names(book: Any) -> dict[str, str]:
    names = {name: str(defined.value or "") for name, defined in book.defined_names.items()}
    for sheet in book.worksheets:
        own = getattr(sheet, "defined_names", None) or {}
        names.update({f"{sheet.title}!{name}": str(defined.value or "") for name, defined in own.items()})
    return names
