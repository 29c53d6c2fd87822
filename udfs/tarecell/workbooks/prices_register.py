"""The price list in a workbook of materials and prices: finding it, and writing lines into it, cell by cell."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from tarecell.errors import CellError
from tarecell.tables import Names, fold
from tarecell.workbooks import cells
from tarecell.workbooks.package import Package
from tarecell.workbooks.patch import CellEdit, Constant, patch_sheet
from tarecell.workbooks.prices_lines import Line, same_thing
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.references import Position, area

# The headings of the price list's input columns, in the order in which the template has them.
HEADINGS = (
    "your material", "as listed", "supplier", "code", "pack as listed", "content", "unit", "price", "freight",
    "list of",
)  # fmt: skip
PRICE_LIST, MATERIALS_LIST = "price_list", "materials_list"  # defined names, as the engine knows them: in small letters


@dataclass
class Written:
    """What would be, or was, written: lines put into free rows, and prices changed (line, old price)."""

    added: list[Line] = field(default_factory=list)
    changed: list[tuple[Line, float | None]] = field(default_factory=list)
    same: list[Line] = field(default_factory=list)  # in the register already, with this price
    matched: int = 0  # lines whose name is that of a material


class Register:
    """A workbook of materials and prices, read for its price list."""

    def __init__(self, package: Package):
        self.package = package
        self._sheets = cells.worksheets(package)
        self._strings = cells.shared_strings(package)
        names = cells.names(package, self._sheets).defined
        self._sheet, self._box = self._area(names, PRICE_LIST)
        self._columns = self._find_columns()
        self._materials = self._names(names)

    def _area(self, names: dict, wanted: str) -> tuple[str, tuple[int, int, int, int]]:
        """The sheet and the area of a defined name."""
        sheet, _, where = names.get(("", wanted), "").rpartition("!")
        sheet = sheet.removeprefix("'").removesuffix("'").replace("''", "'")
        if sheet not in self._sheets:
            raise WorkbookProblem(
                f"{self.package.path.name} has no list of prices: give a workbook made from the template "
                "“materials and prices”, or none for a new one"
            )
        return sheet, area(where)

    def _value(self, sheet: str, where: Position) -> Any:
        cell = self._sheets[sheet][1].cell(where)
        return None if cell is None else cells.stored(cell, self._strings, self.package.date1904)

    def _find_columns(self) -> dict[str, int]:
        """The column of each heading, in the row above the list."""
        top, left, _, right = self._box
        found = {fold(str(self._value(self._sheet, (top - 1, c)) or "")): c for c in range(left, right + 1)}
        missing = [heading for heading in HEADINGS if heading not in found]
        if missing:
            raise WorkbookProblem(
                f"{self.package.path.name}: above the list of prices the heading “{missing[0]}” is missing"
            )
        return {heading: found[heading] for heading in HEADINGS}

    def _names(self, names: dict) -> Names:
        sheet, box = self._area(names, MATERIALS_LIST)
        values = [self._value(sheet, (row, box[1])) for row in range(box[0], box[2] + 1)]
        return Names(
            ["" if value is None or isinstance(value, CellError) else str(value) for value in values], "material"
        )

    def _row(self, row: int) -> dict[str, Any]:
        return {heading: self._value(self._sheet, (row, column)) for heading, column in self._columns.items()}

    def take(
        self, lines: Sequence[Line], day: datetime.date | None = None, anew: bool = False
    ) -> tuple[Written, dict[str, bytes]]:
        """The lines put into the list: what that does, and the parts of the file that change.

        A line that the list has already, with the same name, code, supplier and content, gets its new price there.
        anew: the list is emptied first (the template's sample lines).
        """
        known, free = self._known_and_free()
        written, edits = Written(), {}
        if anew:
            known, free = {}, list(range(self._box[0], self._box[2] + 1))
            for row in free:
                for heading, value in self._row(row).items():
                    if value is not None:
                        edits[row, self._columns[heading]] = Constant(None)
        for line in lines:
            row = known.get(same_thing(line.name, line.code, line.supplier, line.content, line.unit))
            if row is not None:
                self._renew(line, row, written, edits, day)
                continue
            if not free:
                raise WorkbookProblem(
                    f"{len(lines)} lines do not fit into {self.package.path.name}: its list of prices has "
                    f"{self._box[2] - self._box[0] + 1} rows. Clear lines that you do not need, or shorten the list"
                )
            self._add(line, free.pop(0), written, edits, day)
        part, layout = self._sheets[self._sheet]
        return written, {part.part: patch_sheet(layout.xml, edits, layout)} if edits else {}

    def _known_and_free(self) -> tuple[dict[tuple, int], list[int]]:
        known: dict[tuple, int] = {}
        free = []
        for row in range(self._box[0], self._box[2] + 1):
            cells_ = self._row(row)
            if all(value is None or value == "" for value in cells_.values()):
                free.append(row)
            elif isinstance(cells_["content"], float) and not isinstance(cells_["price"], str):
                texts = [_plain(cells_[heading]) for heading in ("as listed", "code", "supplier", "unit")]
                known.setdefault(same_thing(*texts[:3], cells_["content"], texts[3]), row)
        return known, free

    def _put(self, edits: dict[Position, CellEdit], row: int, heading: str, value: Any) -> None:
        if value is not None and value != "":
            edits[row, self._columns[heading]] = Constant(value)

    def _serial(self, day: datetime.date) -> float:
        first = datetime.date(1904, 1, 1) if self.package.date1904 else datetime.date(1899, 12, 30)
        return float((day - first).days)

    def _add(self, line: Line, row: int, written: Written, edits: dict, day: datetime.date | None) -> None:
        found = self._materials.positions(line.name)
        material = self._materials.names[found[0]] if len(found) == 1 else None
        written.matched += material is not None
        values = (
            material, line.name, line.supplier, line.code, line.pack, line.content, line.unit, line.price, line.freight,
            None if day is None else self._serial(day),
        )  # fmt: skip
        for heading, value in zip(HEADINGS, values, strict=True):
            self._put(edits, row, heading, value)
        written.added.append(line)

    def _renew(self, line: Line, row: int, written: Written, edits: dict, day: datetime.date | None) -> None:
        old = self._row(row)
        if day is not None:
            self._put(edits, row, "list of", self._serial(day))
        freight = old["freight"] if line.freight is None else line.freight
        if old["price"] == line.price and old["freight"] == freight:
            written.same.append(line)
            return
        self._put(edits, row, "price", line.price)
        self._put(edits, row, "freight", line.freight)
        written.changed.append((line, old["price"] if isinstance(old["price"], float) else None))


def _plain(value: Any) -> str:
    if isinstance(value, float) and value.is_integer():
        value = int(value)  # an article number that was typed
    return "" if value is None or isinstance(value, CellError) else str(value)
