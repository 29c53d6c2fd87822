"""The argument kind for a parts table: item, part, quantity, unit cost or blank, and, if wanted, loss share."""

from typing import Any

from tarecell.calculations.rollup import Line, Parts
from tarecell.errors import OutOfRange, WrongValue
from tarecell.functions.cells import is_blank, number_of, refuse_error_cells, rows_of, share_refusal, text_of
from tarecell.functions.kinds import Argument
from tarecell.tables import fold, shortened


class PartsArgument(Argument):
    """Reads the whole table: a wrong cell anywhere is an error, as a total must not skip it. A first row of headings
    (text where the quantity and the unit cost belong) is passed over."""

    kind = "table"
    _last: tuple[Any, Parts] | None = None

    def read(self, raw: Any) -> Parts:
        # As for caps: the same table comes again for every item, as a new copy.
        if self._last is not None and raw.__class__ is tuple and self._last[0] == raw:
            return self._last[1]
        rows = rows_of(raw)
        refuse_error_cells(rows, self.name)
        if not rows or any(len(row) not in (4, 5) for row in rows):
            raise WrongValue(f"{self.name}: 4 or 5 columns are wanted: item, part, quantity, unit cost, loss share")
        start = 1 if _is_heading(rows) else 0
        lines = [self._line(row, i) for i, row in enumerate(rows[start:], start + 1) if not all(map(is_blank, row))]
        if not lines:
            raise WrongValue(f"{self.name} is blank: {self.doc}")
        parts = Parts(lines)
        if raw.__class__ is tuple:
            self._last = raw, parts
        return parts

    def _line(self, row: list[Any], number: int) -> Line:
        where = f"{self.name}, row {number}"
        item, part = text_of(row[0], f"{where}, item"), text_of(row[1], f"{where}, part")
        if not item or not part:
            raise WrongValue(f"{where}: the {'part' if item else 'item'} has no name")
        quantity = self._amount(row[2], f"{where}, quantity")
        if quantity is None:
            raise WrongValue(f"{where}: “{shortened(part)}” has no quantity; type 0 if none is used")
        loss = self._amount(row[4], f"{where}, loss share") if len(row) == 5 else None
        if loss is not None and loss > 0.99:
            raise OutOfRange(f"{where}, loss share: {share_refusal(loss, 0.99)}")
        return Line(item, part, quantity, self._amount(row[3], f"{where}, unit cost"), loss or 0.0, number)

    def _amount(self, cell: Any, where: str) -> float | None:
        if is_blank(cell):
            return None
        value = number_of(cell, where)
        if value < 0:
            raise OutOfRange(f"{where} is negative ({value:g})")
        return value


def _is_heading(rows: list[list[Any]]) -> bool:
    """Headings: words in both the quantity and the unit cost column, over a first column that names no item below.

    A line whose numbers were typed as words ("one", "free") is not taken for headings: it would silently be left out.
    """
    first, *others = rows
    if not all(
        isinstance(cell, str) and cell.strip() and cell.strip()[0] not in "#+-−.,0123456789" for cell in first[2:4]
    ):
        return False
    name = fold(str(first[0] or ""))
    return all(not isinstance(row[0], str) or fold(row[0]) != name for row in others)
