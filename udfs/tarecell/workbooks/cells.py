"""What a workbook's cells hold: typed-in values, formulas, names and tables, read for calculation."""

import datetime
import re
from collections import defaultdict
from collections.abc import Mapping, Sequence
from itertools import chain, groupby, repeat
from types import MappingProxyType
from typing import NamedTuple

from tarecell.errors import CellError
from tarecell.hosts.embedded import Names, TableArea
from tarecell.workbooks.cell_map import CellMap
from tarecell.workbooks.package import Package, SheetPart, local
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.references import Position, address, area
from tarecell.workbooks.row_shape import RowShape, ShapeCell
from tarecell.workbooks.sheet_map import RowMap, SheetMap, sheet_map
from tarecell.workbooks.xml_text import content, read_text

Box = tuple[int, int, int, int]
Value = float | str | bool | CellError
Columns = dict[int, dict[int, Value]]  # cells by column and row
# Excel writes the add-in's file before its functions: [1]!TC_SCALE(…). They are ours wherever they come from.
_OWN_ADDIN = re.compile(
    r"(?:\[[^\]!\"]*\]|'(?:[^'!\"]|'')*'|[\w.]+\.xl(?:am?|l|s[mx]))!(?=TC_[A-Z_]+\s*\()", re.IGNORECASE
)
_OTHER_KINDS = ("shared", "array", "dataTable")  # of formulas
MOST_FILLED = 1_000_000  # cells that one array formula may fill


class FormulaCell(NamedTuple):
    """A formula: the text it was written with, and how far this cell is from where it was written (shared formulas).

    `box`: the cells that an array formula fills. `dynamic`: it may grow and shrink in the program that wrote it.
    `refused`: why it cannot be computed, known from the file alone.
    """

    sheet: str
    position: Position
    text: str
    shift: tuple[int, int] = (0, 0)
    box: Box | None = None
    dynamic: bool = False
    refused: str = ""


def worksheets(
    package: Package, known: Mapping[str, SheetMap] = MappingProxyType({})
) -> dict[str, tuple[SheetPart, SheetMap]]:
    """The sheets with cells, laid out, by name. `known`: the layouts of parts, where they are known already."""
    found = {}
    for sheet in package.sheets:
        if sheet.kind == "worksheet":
            try:
                found[sheet.name] = sheet, known.get(sheet.part) or sheet_map(package.read(sheet.part))
            except WorkbookProblem as problem:
                raise WorkbookProblem(f"{package.path.name}, sheet “{sheet.name}”: {problem.reason}") from None
    return found


def shared_strings(package: Package) -> list[str]:
    """The texts that cells refer to by number."""
    for link in package.relationships(package.workbook_part).values():
        if link.type == "sharedStrings" and link.target in package:
            return [read_text(_string(item)) for item in package.xml(link.target) if local(item.tag) == "si"]
    return []


def _string(item) -> str:
    """A shared string without its pronunciation hints."""
    text = ""
    for child in item:
        if local(child.tag) == "t":
            text += child.text or ""
        elif local(child.tag) == "r":
            text += "".join(t.text or "" for t in child if local(t.tag) == "t")
    return text


def stored(cell: CellMap, strings: list[str], date1904: bool) -> Value | None:
    """The value that a cell shows in the file."""
    text = cell.inline or "" if cell.type == "inlineStr" else cell.value
    return _value(cell.type, text, strings, date1904)


def _value(kind: str, text: str | None, strings: list[str], date1904: bool) -> Value | None:
    """The value of a cell of this type with this content."""
    if text is None:
        return None
    try:
        if kind == "s":
            if not (text.isascii() and text.strip().isdecimal()):  # Python counts -1 from the end
                raise ValueError
            return strings[int(text)]
        if kind in ("str", "inlineStr"):
            return read_text(text)
        if kind == "b":
            return text.strip() in ("1", "true")
        if kind == "e":
            return CellError("", text.strip())
        if kind == "d":
            return _serial(text, date1904)
        if "_" in text or not text.isascii():  # Python reads 1_0 and other alphabets' digits
            raise ValueError
        return float(text) if text.strip() else None
    except (ValueError, IndexError):
        return CellError("the cell's stored value is damaged", "#VALUE!")


def _serial(text: str, date1904: bool) -> float:
    """An ISO date as the sheet's serial number."""
    moment = datetime.datetime.fromisoformat(text.strip().rstrip("Z"))
    day0 = datetime.datetime(1904, 1, 1) if date1904 else datetime.datetime(1899, 12, 30)
    return (moment.replace(tzinfo=None) - day0) / datetime.timedelta(days=1)


def read(name: str, sheet: SheetMap, strings: list[str], date1904: bool) -> tuple[list[FormulaCell], Columns]:
    """The formulas of a sheet, and what its other cells hold, by column and row."""
    formulas, values = _Formulas(name), defaultdict(dict)
    for shape, rows in groupby(sheet.rows.values(), lambda row: row.shape):
        if shape is None:
            for row in rows:
                _read_row(row, strings, date1904, formulas, values)
        else:
            _read_alike(shape, list(rows), strings, date1904, formulas, values)
    return formulas.found, values


def _read_row(row: RowMap, strings: list[str], date1904: bool, formulas: "_Formulas", values: Columns) -> None:
    for cell in row.cells.values():
        formula = cell.formula
        if formula is not None:
            formulas.add(cell.position, formula.text, formula.attributes, cell.attributes)
            continue
        value = stored(cell, strings, date1904)
        if value is not None:
            values[cell.position[1]][row.number] = value


def _read_alike(
    shape: RowShape, rows: list[RowMap], strings: list[str], date1904: bool, formulas: "_Formulas", values: Columns
) -> None:
    """Reads rows of one shape column by column."""
    numbers = [row.number for row in rows]
    texts = [(), *zip(*[row.shaped.groups() for row in rows], strict=True)]  # of each group of the pattern
    try:
        found = [(column, [*map(float, texts[group])]) for column, group in shape.numbers]
        found += [(column, [strings[int(text)] for text in texts[group]]) for column, group in shape.shared]
    except (ValueError, IndexError):
        if len(rows) == 1:
            _read_row(rows[0], strings, date1904, formulas, values)  # which says what is wrong with it
            return
        half = len(rows) // 2
        for part in (rows[:half], rows[half:]):
            _read_alike(shape, part, strings, date1904, formulas, values)
        return
    for column, given in found:
        values[column].update(zip(numbers, given, strict=True))
    for cell in shape.others:
        given = [_value(cell.type, content(text), strings, date1904) for text in texts[cell.value]]
        values[cell.column].update((n, value) for n, value in zip(numbers, given, strict=True) if value is not None)
    formulas.add_alike(shape.formulas, numbers, texts)


def formula_cells(name: str, sheet: SheetMap) -> list[FormulaCell]:
    """The formulas of a sheet, in the file's order."""
    formulas = _Formulas(name)
    for cell, formula in sheet.formulas():
        formulas.add(cell.position, formula.text, formula.attributes, cell.attributes)
    return formulas.found


class _Formulas:
    """The formulas of a sheet, collected in the file's order: followers of a shared formula come after it."""

    def __init__(self, sheet: str):
        self.found: list[FormulaCell] = []
        self._sheet, self._masters = sheet, {}

    def add(self, where: Position, written: str, attributes: Mapping[str, str], tag: Mapping[str, str]) -> None:
        """`attributes`: the formula's; `tag`: the cell's."""
        kind = attributes.get("t")
        if kind not in _OTHER_KINDS:
            self.found.append(self._plain(where, written))
            return
        written = _OWN_ADDIN.sub("", written)
        if kind == "shared":
            self.found.append(self._shared(where, written, attributes.get("si", "")))
        else:
            self.found.append(self._boxed(where, written, kind, attributes.get("ref"), "cm" in tag))

    def add_alike(self, cells: list[ShapeCell], rows: list[int], texts: list[Sequence[bytes]]) -> None:
        """The formulas of rows of one shape. `texts`: of each group of its pattern, in these rows."""
        if all(cell.formula and cell.formula_attributes.get("t") not in _OTHER_KINDS for cell in cells):
            written = [(cell.column, map(content, texts[cell.formula])) for cell in cells]
            columns = [
                [self._plain((r, column), t) for r, t in zip(rows, given, strict=True)] for column, given in written
            ]
            self.found += chain.from_iterable(zip(*columns, strict=True))
            return
        columns = [repeat(b"") if cell.formula is None else texts[cell.formula] for cell in cells]
        for row, *written in zip(rows, *columns):  # noqa: B905 (repeat has no end)
            for cell, text in zip(cells, written, strict=True):
                self.add((row, cell.column), content(text), cell.formula_attributes, cell.attributes)

    def _plain(self, where: Position, written: str) -> FormulaCell:
        if "!" in written:
            written = _OWN_ADDIN.sub("", written)
        return FormulaCell(self._sheet, where, written, (0, 0), None, False, "" if written else "it is empty")

    def _boxed(self, where: Position, written: str, kind: str, ref: str | None, dynamic: bool) -> FormulaCell:
        name = self._sheet
        if _size(ref) > MOST_FILLED:
            return FormulaCell(name, where, written, refused=f"it fills more than {MOST_FILLED} cells")
        if kind == "dataTable":
            box = area(ref) if ref else None
            return FormulaCell(name, where, "", box=box, refused="a what-if data table is not supported")
        return FormulaCell(name, where, written, box=area(ref or address(where)), dynamic=dynamic)

    def _shared(self, where: Position, written: str, group: str) -> FormulaCell:
        if written:
            self._masters[group] = written, where
        text, origin = self._masters.get(group, ("", where))
        refused = "" if text else "it shares a formula that the file does not hold"
        shift = where[0] - origin[0], where[1] - origin[1]
        return FormulaCell(self._sheet, where, text, shift, refused=refused)


def _size(ref: str | None) -> int:
    """The number of cells in an area."""
    top, left, bottom, right = area(ref or "A1")
    return (bottom - top + 1) * (right - left + 1)


def names(package: Package, sheets: dict[str, tuple[SheetPart, SheetMap]]) -> Names:
    """The workbook's defined names and tables."""
    known = Names()
    order = [sheet.name for sheet in package.sheets]
    workbook = package.xml(package.workbook_part)
    entries = [entry for child in workbook if local(child.tag) == "definedNames" for entry in child]
    for entry in entries:
        scope = entry.get("localSheetId")
        try:
            sheet = order[int(scope)].lower() if scope is not None else ""
        except (ValueError, IndexError):
            continue
        known.defined[sheet, (entry.get("name") or "").lower()] = _OWN_ADDIN.sub("", entry.text or "").strip()
    for name, (sheet, _) in sheets.items():
        for link in package.relationships(sheet.part).values():
            if link.type == "table" and link.target in package:
                _add_table(known, name, package.xml(link.target))
    return known


def _add_table(known: Names, sheet: str, table) -> None:
    columns = [c.get("name") or "" for part in table if local(part.tag) == "tableColumns" for c in part]
    columns = [read_text(c).replace("\r\n", "\n") for c in columns]
    name = table.get("displayName") or table.get("name") or ""
    heads, totals = int(table.get("headerRowCount", 1)), int(table.get("totalsRowCount", 0))
    known.tables[name.lower()] = TableArea(sheet, area(table.get("ref") or "A1"), tuple(columns), heads, totals)
