"""The argument kind for a table of caps: fragrances down the first column, category codes along the first row."""

from typing import Any

from tarecell.calculations.fragrance import CapsTable
from tarecell.calculations.products import code
from tarecell.errors import WrongValue
from tarecell.functions.cells import read_cap, refuse_error_cells, rows_of, text_of
from tarecell.functions.kinds import Argument
from tarecell.tables import Names


class CapsArgument(Argument):
    """Reads only what every look-up needs; each cap is read, and what is wrong with it told, when it is asked for."""

    kind = "table"
    _last: tuple[Any, CapsTable] | None = None

    def read(self, raw: Any) -> CapsTable:
        # A sheet asks the same table row after row. Hosts hand over a new copy each time, so it is compared, not
        # recognised; comparing is many times quicker than reading. Tuples only: they cannot change behind our back.
        if self._last is not None and raw.__class__ is tuple and self._last[0] == raw:
            return self._last[1]
        table = self._parsed(rows_of(raw))
        if raw.__class__ is tuple:
            self._last = raw, table
        return table

    def _parsed(self, rows: list[list[Any]]) -> CapsTable:
        refuse_error_cells(rows, self.name)
        if len(rows) < 2 or len(rows[0]) < 2:
            raise WrongValue(f"{self.name}: the caps table needs a first row of categories and a column of fragrances")
        categories = tuple(self._category(cell, i) for i, cell in enumerate(rows[0][1:], 2))
        names = [text_of(row[0], f"{self.name}, row {i}") if row else "" for i, row in enumerate(rows[1:], 2)]
        columns = [i for i, category in enumerate(categories, 1) if code(category)]
        return CapsTable(Names(names, "fragrance", first=2), categories, _Lazy(self.name, rows, columns))

    def _category(self, cell: Any, column: int) -> str:
        text = text_of(cell, f"{self.name}, row 1, column {column}")
        return code(text) or text


class _Lazy:
    """The caps of the table, each read when it is asked for: `caps[row][column]`."""

    def __init__(self, name: str, rows: list[list[Any]], columns: list[int]):
        self.name, self.rows, self.columns = name, rows, columns

    def __getitem__(self, row: int):
        return _LazyRow(self.name, row + 2, self.rows[row + 1], self.columns)

    def __len__(self):
        return len(self.rows) - 1


class _LazyRow:
    """One fragrance. A cap above 1 anywhere in its row shows that the row was typed as per cents: 0.5 in it would mean
    0.5 % and be read as 50 %, so no cap of that row is given. Columns without a category code (notes) do not count."""

    def __init__(self, name: str, number: int, cells: list[Any], columns: list[int]):
        self.name, self.number, self.cells, self.columns = name, number, cells, columns

    def __getitem__(self, column: int) -> float | None:
        if column + 1 >= len(self.cells):
            return None
        cap = self._cap(column + 1)
        for other in self.columns:
            if other < len(self.cells) and self.cells[other].__class__ in (float, int) and self.cells[other] > 1:
                self._cap(other)
        return cap

    def _cap(self, column: int) -> float | None:
        return read_cap(self.cells[column], f"{self.name}, row {self.number}, column {column + 1}")

    def __len__(self):
        return len(self.cells) - 1
