"""What lies on a sheet besides its cells: where something new would hide, cover or disturb what is there."""

import math
import re
from dataclasses import dataclass, field
from xml.etree import ElementTree

from tarecell.workbooks.evaluate import Evaluation
from tarecell.workbooks.package import Package, SheetPart, local
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.references import Position, address, area, inside
from tarecell.workbooks.sheet_map import SheetMap

Box = tuple[int, int, int, int]
_EMU_COLUMN, _EMU_ROW = 609_600, 190_500  # a usual column (64 pixels) and row (20 pixels), in drawing units
_DEFAULT_WIDTH = 8.43  # characters, in a sheet that does not say


@dataclass(frozen=True)
class Taken:
    """An area where nothing new may go, and what is there. `firm`: not even when cells may be overwritten."""

    box: Box
    why: str
    firm: bool = True


@dataclass
class Surroundings:
    """A sheet as its new neighbours find it."""

    sheet: SheetPart
    layout: SheetMap
    taken: list[Taken] = field(default_factory=list)
    columns: list[tuple[int, int, dict[str, str]]] = field(default_factory=list)
    default_width: float = _DEFAULT_WIDTH

    def obstacle(self, where: Position) -> Taken | None:
        """What is in a cell or over it; None for a free one."""
        cell = self.layout.cell(where)
        if cell is not None and (cell.formula is not None or cell.value is not None or cell.inline is not None):
            return self._over(where, True) or Taken((*where, *where), f"{address(where)} is not empty", firm=False)
        return self._over(where, True) or self._over(where, False)

    def _over(self, where: Position, firm: bool) -> Taken | None:
        return next((taken for taken in self.taken if taken.firm == firm and inside(where, taken.box)), None)

    def hidden(self, column: int) -> bool:
        """Whether a column is hidden, or of no width."""
        found = self._column(column)
        return found.get("hidden") in ("1", "true", "on") or found.get("width", "1").strip() in ("0", "0.0")

    def hidden_until(self, column: int) -> int:
        """The last column that is hidden together with this one."""
        return next((last for first, last, _ in self.columns if first <= column <= last), column)

    def width(self, column: int) -> float:
        """A column's width in characters."""
        try:
            return float(self._column(column).get("width", self.default_width))
        except ValueError:
            return self.default_width

    def style(self, where: Position) -> int:
        """The cell format that a cell has: its own, its row's or its column's."""
        cell, row = self.layout.cell(where), self.layout.rows.get(where[0])
        if cell is not None:
            return _number(cell.attributes.get("s"))
        if row is not None and row.attributes.get("customFormat") in ("1", "true", "on"):
            return _number(row.attributes.get("s"))
        return _number(self._column(where[1]).get("style"))

    def _column(self, column: int) -> dict[str, str]:
        return next((a for first, last, a in self.columns if first <= column <= last), {})


def _number(text: str | None) -> int:
    return int(text) if text and text.strip().isdigit() else 0


def surroundings(package: Package, sheet: SheetPart, evaluation: Evaluation) -> Surroundings:
    """Looks round a sheet. `evaluation`: of the workbook as it is, for the cells that formulas read."""
    layout = evaluation.sheets[sheet.name][1]
    rest = _without_cells(layout)
    found = Surroundings(sheet, layout)
    for part in rest:
        if local(part.tag) == "cols":
            found.columns = [(_number(c.get("min")), _number(c.get("max")), dict(c.attrib)) for c in part]
        elif local(part.tag) == "sheetFormatPr":
            found.default_width = _default_width(part)
    found.taken += [Taken(box, "merged cells are there") for box in layout.merged]
    found.taken += [Taken(box, f"the array formula in {address(a)} fills it") for a, box in layout.arrays().items()]
    found.taken += _on_cells(rest)
    found.taken += _linked(package, sheet)
    found.taken += _read_cells(sheet.name, evaluation)
    return found


def _without_cells(layout: SheetMap) -> ElementTree.Element:
    """The sheet's XML but for its cells, as a tree."""
    xml, data = layout.xml, layout.data
    try:
        return ElementTree.fromstring(xml[: data.start] + xml[data.end :])
    except ElementTree.ParseError:
        raise WorkbookProblem("this sheet's XML is damaged") from None


def _default_width(part: ElementTree.Element) -> float:
    for name, more in (("defaultColWidth", 0.0), ("baseColWidth", 0.43)):
        try:
            return float(part.get(name)) + more
        except (TypeError, ValueError):
            continue
    return _DEFAULT_WIDTH


def _areas(text: str | None) -> list[Box]:
    """The areas of a list of references; what is no plain reference is left out."""
    found = []
    for reference in (text or "").split():
        first, _, last = reference.replace("$", "").partition(":")
        if first.isalpha():
            first, last = f"{first}1", f"{last or first}1048576"
        try:
            found.append(area(f"{first}:{last}" if last else first))
        except WorkbookProblem:
            continue
    return found


_CELL_THINGS = {
    "dataValidation": "a rule for what may be typed in is there",
    "sparkline": "a sparkline is there",
    "hyperlink": "a link is there",
}


def _on_cells(rest: ElementTree.Element) -> list[Taken]:
    """Validations, sparklines and links: they belong to cells, which may look empty."""
    found = []
    for element in rest.iter():
        why = _CELL_THINGS.get(local(element.tag))
        if why is None:
            continue
        inner = " ".join(child.text or "" for child in element if local(child.tag) == "sqref")
        for box in _areas(element.get("sqref") or element.get("ref") or inner):
            found.append(Taken(box, why))
    return found


def _linked(package: Package, sheet: SheetPart) -> list[Taken]:
    """What lies in parts of its own: tables, pivot tables, comments, drawings, controls."""
    readers = {"table": _table, "pivotTable": _pivot, "comments": _comments, "drawing": _drawing}
    found = []
    for link in package.relationships(sheet.part).values():
        if link.external or link.target not in package:
            continue
        if link.type in readers:
            found += readers[link.type](package.xml(link.target))
        elif link.type == "vmlDrawing":
            found += _controls(package.read(link.target))
    return found


def _table(part: ElementTree.Element) -> list[Taken]:
    name = part.get("displayName") or part.get("name") or ""
    return [Taken(box, f"the table “{name[:60]}” is there") for box in _areas(part.get("ref"))]


def _pivot(part: ElementTree.Element) -> list[Taken]:
    places = [e for e in part.iter() if local(e.tag) == "location"]
    return [Taken(box, "a pivot table is there") for e in places for box in _areas(e.get("ref"))]


def _comments(part: ElementTree.Element) -> list[Taken]:
    places = [e for e in part.iter() if local(e.tag) == "comment"]
    return [Taken(box, "a comment is there") for e in places for box in _areas(e.get("ref"))]


def _drawing(part: ElementTree.Element) -> list[Taken]:
    found = []
    for anchor in part.iter():
        name = local(anchor.tag)
        if name not in ("twoCellAnchor", "oneCellAnchor", "absoluteAnchor"):
            continue
        box = _anchored(name, {local(child.tag): child for child in anchor})
        if box is not None:
            found.append(Taken(box, "a picture, chart or shape covers it"))
    return found


def _anchored(name: str, children: dict[str, ElementTree.Element]) -> Box | None:
    """The cells that a drawing covers. Sizes in drawing units are taken over columns and rows of the usual size."""
    try:
        if name == "twoCellAnchor":
            (row, column, _), (last_row, last_column, offset) = _corner(children["from"]), _corner(children["to"])
            return row, column, last_row, max(column, last_column - (offset == 0))
        size = children["ext"]
        wide, high = int(size.get("cx", 0)), int(size.get("cy", 0))
        if name == "oneCellAnchor":
            row, column, _ = _corner(children["from"])
        else:
            at = children["pos"]
            row, column = int(at.get("y", 0)) // _EMU_ROW + 1, int(at.get("x", 0)) // _EMU_COLUMN + 1
        return row, column, row + math.ceil(high / _EMU_ROW), column + math.ceil(wide / _EMU_COLUMN)
    except (KeyError, ValueError):
        return None


def _corner(element: ElementTree.Element) -> tuple[int, int, int]:
    """Row and column, from 1, and how far into the column."""
    values = {local(child.tag): int((child.text or "0").strip() or 0) for child in element}
    return values.get("row", 0) + 1, values.get("col", 0) + 1, values.get("colOff", 0)


_CLIENT = re.compile(
    rb"<(?:\w+:)?ClientData\s[^>]*ObjectType=[\"'](\w+)[\"'][^>]*>(.*?)</(?:\w+:)?ClientData>", re.DOTALL
)
_ANCHOR = re.compile(rb"<(?:\w+:)?Anchor>([^<]*)<")


def _controls(vml: bytes) -> list[Taken]:
    """Buttons and other old-style controls. Comment boxes are left out: they show only when they are pointed at."""
    found = []
    for kind, content in _CLIENT.findall(vml):
        anchor = _ANCHOR.search(content)
        numbers = re.findall(rb"\d+", anchor.group(1)) if anchor else []
        if kind != b"Note" and len(numbers) == 8:
            left, _, top, _, right, offset, bottom, _ = map(int, numbers)
            right = max(left, right - (offset == 0))
            found.append(Taken((top + 1, left + 1, bottom + 1, right + 1), "a button or another control covers it"))
    return found


def _read_cells(sheet: str, evaluation: Evaluation) -> list[Taken]:
    """Empty cells that formulas read: a value there would change the formulas' results."""
    found: dict[Box, Taken] = {}
    for (where_sheet, where), reads in evaluation.reads.items():
        for read in reads:
            if read.sheet == sheet and read.box not in found:
                reader = address(where) if where_sheet == sheet else f"{where_sheet}!{address(where)}"
                found[read.box] = Taken(read.box, f"the formula in {reader} reads it and would change", firm=False)
    return list(found.values())
