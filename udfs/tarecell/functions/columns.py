"""Argument kinds for ranges: columns that line up row by row."""

import datetime
import math
from typing import Any

from tarecell.errors import CellError, NotFound, OutOfRange, WrongValue
from tarecell.functions.cells import (
    EPOCH_1900,
    check_error,
    date_of,
    error_in_range,
    error_kind,
    is_blank,
    number_of,
    ordinary_numbers,
    read_cap,
    rows_of,
    share_refusal,
    text_of,
)
from tarecell.functions.kinds import REQUIRED, Argument


class Cells:
    """A column (or row, or single cell) after reading: its values, None where blank, and the shape it came in."""

    __slots__ = ("values", "across", "flat", "scalar")

    def __init__(self, raw: Any):
        if raw.__class__ is tuple and len(raw) > 1 and set(map(type, raw)) == {tuple} and set(map(len, raw)) == {1}:
            self.scalar = self.flat = self.across = False  # the quick way for a column as Calc hands it over
            self.values = [cell for (cell,) in raw]
            return
        self.scalar = not isinstance(raw, (list, tuple)) and not hasattr(raw, "tolist")
        self.flat = isinstance(raw, (list, tuple)) and not any(isinstance(row, (list, tuple)) for row in raw)
        rows = rows_of(raw)
        self.across = len(rows) == 1 and len(rows[0]) > 1
        self.values = rows[0] if self.across else [row[0] if len(row) == 1 else row for row in rows]

    def shaped(self, values: list) -> Any:
        """Values in the shape that the cells came in."""
        if self.scalar:
            return values[0]
        if self.flat:
            return values
        return [values] if self.across else [[v] for v in values]


class Column(Argument):
    """One cell per row. All columns that are `aligned` have the same length; rows where they are all blank
    are skipped. A row where only some are blank is an error, unless the column is `sparse` (blank → None)."""

    def __init__(self, name, doc, default=REQUIRED, aligned=True, sparse=False, blank_reason=None):
        super().__init__(name, doc, default)
        self.aligned, self.sparse = aligned, sparse
        self.blank_reason = blank_reason  # raise #N/A with these words instead of #VALUE! "is blank"

    def read(self, raw: Any) -> Cells:
        cells = Cells(raw)
        name, cell = self.name, self.cell
        values = cells.values
        if len(values) > 1 and self.all_ordinary(values):
            return cells
        if len(values) == 1 and values[0].__class__ is not list and not isinstance(values[0], str) and values[0] == 0:
            values[0] = None  # a single blank cell arrives as 0 in some hosts, so the two are the same in all
        for i, value in enumerate(values):
            if value.__class__ is list:
                raise WrongValue(f"{name}: one column or one row is wanted, this range has several of both")
            try:
                values[i] = cell(value, name, i)
            except CellError:
                kind = error_kind(value)
                if kind and len(values) > 1:
                    raise error_in_range(f"{name}, row {i + 1}", kind) from None
                raise
        return cells

    def all_ordinary(self, values: list[Any]) -> bool:
        """Whether the cells can be taken as they are, told without looking at them one by one."""
        return False

    def cell(self, raw: Any, name: str, index: int) -> Any:
        raise NotImplementedError

    def blank_row(self, index: int) -> CellError:
        """The error for a blank in a row that has other cells filled."""
        if self.blank_reason:
            return NotFound(f"{self.name}, row {index + 1}: {self.blank_reason}")
        return WrongValue(f"{self.name} is blank in row {index + 1}: fill it in, or clear the whole row")


class Numbers(Column):
    """A column of numbers, none negative unless `at_least` is None."""

    kind = "column of numbers"

    def __init__(self, name, doc, default=REQUIRED, at_least=0.0, at_most=None, above=None, **options):
        super().__init__(name, doc, default, **options)
        self.above = above
        self._low = -math.inf if at_least is None else at_least
        self._high = math.inf if at_most is None else at_most

    def all_ordinary(self, values):
        return (
            self.above is None and ordinary_numbers(values) and self._low <= min(values) and max(values) <= self._high
        )

    def cell(self, raw, name, index):
        if raw.__class__ is float and self._low <= raw <= self._high and raw - raw == 0 and self.above is None:
            return raw
        where = f"{name}, row {index + 1}"
        check_error(raw, where)
        if is_blank(raw):
            return None
        value = number_of(raw, where)
        if value < self._low or value > self._high or (self.above is not None and value <= self.above):
            raise OutOfRange(self.refusal(value, where))
        return value

    def refusal(self, value: float, where: str) -> str:
        if self.above is not None and value <= self.above:
            return f"{where} is {value:g}; it must be more than {self.above:g}"
        if value < 0:
            return f"{where} is negative ({value:g})"
        if value < self._low:
            return f"{where} is {value:g}; the least is {self._low:g}"
        return f"{where} is {value:g}; the most is {self._high:g}"


class Shares(Numbers):
    """A column of shares, each from 0 to 1."""

    kind = "column of numbers"

    def __init__(self, name, doc, default=REQUIRED, **options):
        super().__init__(name, doc, default, at_least=0.0, at_most=1.0, **options)

    def refusal(self, value, where):
        return f"{where}: {share_refusal(value)}"


class Caps(Column):
    """A column of caps as on certificates (see Cap)."""

    kind = "column of numbers"

    def cell(self, raw, name, index):
        return read_cap(raw, f"{name}, row {index + 1}")


class Dates(Column):
    """A column of days (see Date)."""

    kind = "column of dates"
    dated = True

    def read(self, raw: Any, epoch: datetime.date = EPOCH_1900) -> Cells:
        cells = super().read(raw)
        for i, value in enumerate(cells.values):
            if value is not None:
                cells.values[i] = date_of(value, f"{self.name}, row {i + 1}", epoch)
        return cells

    def cell(self, raw, name, index):
        check_error(raw, f"{name}, row {index + 1}")
        return None if is_blank(raw) else raw


class Texts(Column):
    """A column of text."""

    kind = "column of text"

    def cell(self, raw, name, index):
        return text_of(raw, f"{name}, row {index + 1}") or None
