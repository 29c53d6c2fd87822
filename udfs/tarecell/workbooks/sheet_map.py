"""Where everything lies in a sheet's XML: the byte positions of its rows, cells, formulas and values.

The XML is never written again from a tree: a patch cuts and pastes bytes at these positions.

Two things make this quick. That the XML is well-formed is found out by expat, which calls nothing here for the cells,
and need not read rows of a known shape. Only then is one regular expression led over them; in a well-formed document
whose comments are blanked a "<" begins a tag, and nothing else. And of a cell nothing is kept but its row's place: what
it holds is read when it is asked for.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from tarecell.workbooks import sound
from tarecell.workbooks.cell_map import (
    COLUMN,
    FORMULA,
    IN_TAG,
    MORE,
    REST,
    ROW,
    TAG,
    CellMap,
    FormulaMap,
    Span,
    cell_pattern,
)
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.references import MOST_COLUMNS, MOST_ROWS, Position, address, area, column_of, position
from tarecell.workbooks.row_shape import RowShape, Shapes
from tarecell.workbooks.xml_text import attributes, has_asides, without_asides


@dataclass(slots=True)
class RowMap:
    """A row: its number, where it lies, and its cells by column."""

    number: int
    span: Span
    sheet: "SheetMap"
    plain: bool = True  # every cell's address stands first in its tag
    shape: RowShape | None = None
    shaped: re.Match | None = None  # what the shape's groups are in this row

    @property
    def attributes(self) -> Mapping[str, str]:
        return attributes(self.sheet.text[self.span.start + 1 : self.span.opened - 1])

    @property
    def cells(self) -> dict[int, CellMap]:
        return {column: CellMap((self.number, column), found) for column, found in self.matches()}

    def matches(self) -> Iterator[tuple[int, re.Match]]:
        """The columns of the row's cells, each with the match of `cell_pattern`."""
        column = 0
        for found in self.sheet.each_cell(self.sheet.text, self.span.opened, self.span.closing):
            column = column_of(found[COLUMN]) if self.plain else _column(found, self.number, column)
            yield column, found


@dataclass
class SheetMap:
    """A sheet's XML, laid out. `text` is the XML with comments blanked, the same object where there are none."""

    xml: bytes
    text: bytes
    data: Span
    prefix: str
    dimension: Span | None = None
    dimension_ref: str = ""
    rows: dict[int, RowMap] = field(default_factory=dict)
    protected: bool = False
    merged: list[tuple[int, int, int, int]] = field(default_factory=list)

    def __post_init__(self):
        pattern = cell_pattern(self.prefix)
        self.each_cell, self._cell_at = pattern.finditer, pattern.match
        self._looked_at: tuple[int, dict[int, CellMap]] = 0, {}

    def cell(self, where: Position) -> CellMap | None:
        row = self.rows.get(where[0])
        if row is None:
            return None
        if not row.plain:  # to look such a row through anew for each of its cells would take the square of its width
            if self._looked_at[0] != row.number:
                self._looked_at = row.number, row.cells
            return self._looked_at[1].get(where[1])
        head = f'<{self.prefix}c r="{address(where)}"'.encode()
        start = self.text.find(head, row.span.opened, row.span.closing)
        return CellMap(where, self._cell_at(self.text, start)) if start >= 0 else None

    def cells(self) -> Iterator[CellMap]:
        """All cells, in the file's order."""
        for row in self.rows.values():
            for column, found in row.matches():
                yield CellMap((row.number, column), found)

    @property
    def may_have_formulas(self) -> bool:
        """Whether a formula's tag occurs in the text. Cells in whole columns of typed-in values need no looking at."""
        name = self.prefix.encode() + b"f"
        tags = (b":f", *(b"<" + name + end for end in (b">", b" ", b"/", b"\t", b"\n", b"\r")))
        return any(self.text.find(tag, self.data.opened, self.data.closing) >= 0 for tag in tags)

    def formulas(self) -> Iterator[tuple[CellMap, FormulaMap]]:
        """The cells with a formula, and their formulas, in the file's order."""
        for row in self.rows.values():
            for column, found in row.matches():
                if found[FORMULA] is not None or found[MORE]:
                    cell = CellMap((row.number, column), found)
                    formula = cell.formula
                    if formula is not None:
                        yield cell, formula

    def arrays(self) -> dict[Position, tuple[int, int, int, int]]:
        """The areas that array formulas fill, by the cell that holds the formula."""
        found = {}
        for cell, formula in self.formulas():
            tag = formula.attributes
            if tag.get("t") == "array" and tag.get("ref"):
                found[cell.position] = area(tag["ref"])
        return found


# -- laying out ----------------------------------------------------------------------------------------------------

_DATA = re.compile(rf"<([^\s<>/:]+:)?sheetData(?=[\s/>]){IN_TAG}(/?)>".encode())


def sheet_map(xml: bytes) -> SheetMap:
    """Lays out a sheet's XML (UTF-8, with or without a byte order mark)."""
    if xml.startswith((b"\xff\xfe", b"\xfe\xff")) or b"\0" in xml[:4]:
        raise WorkbookProblem("this sheet is stored as UTF-16; save the file once in your spreadsheet program")
    try:
        return _laid_out(xml)
    except WorkbookProblem:
        sound.parse(xml)  # where the XML is damaged, that is the reason, and the line is told
        raise


def _laid_out(xml: bytes) -> SheetMap:
    # Regular expressions are led only over what expat has read: they could take for ever with what is no XML.
    read = has_asides(xml)
    if read:
        sound.parse(xml)
    text = without_asides(xml)
    found = _DATA.match(text, max(text.rfind(b"<", 0, max(text.find(b"sheetData"), 0)), 0))
    if found is None:  # another word stands before that of the tag
        sound.parse(xml)
        found = _DATA.search(text)
    if found is None:
        raise WorkbookProblem("this sheet has no cells part")
    prefix = (found.group(1) or b"").decode()
    data = Span(*found.span(), found.end(), found.end())
    if not found.group(2):
        closing = re.compile(rf"</{re.escape(prefix)}sheetData\s*>".encode()).search(text, data.opened)
        if closing is None:
            raise WorkbookProblem("this sheet has no end of its cells part")
        data.closing, data.end = closing.span()
    if text.find(b"extLst", data.opened, data.closing) >= 0:
        sound.parse(xml)
        read, text = True, _without_extensions(text, prefix, data)
    sheet = SheetMap(xml, text, data, prefix)
    _Sections(sheet).read()
    if not data.self_closing:
        _lay_out(sheet, None if read else sound.Rows(text, data.opened, data.closing))
    return sheet


def _without_extensions(text: bytes, prefix: str, data: Span) -> bytes:
    """The text with extension lists between the cells blanked: cells that lie in them are none of the sheet's."""
    p = re.escape(prefix)
    lists = re.compile(rf"<{p}extLst(?=[\s/>]){IN_TAG}(?:/>|>.*?</{p}extLst\s*>)".encode(), re.DOTALL)
    inside = lists.sub(lambda found: b"\0" * len(found.group()), text[data.opened : data.closing])
    return text[: data.opened] + inside + text[data.closing :]


class _Sections:
    """What a sheet says besides its cells: one pass over its XML without them."""

    def __init__(self, sheet: SheetMap):
        self.sheet, self.depth, self.cells_parts = sheet, 0, 0

    def read(self) -> None:
        xml, data, prefix = self.sheet.xml, self.sheet.data, self.sheet.prefix
        rest = xml[: data.start] + f"<{prefix}sheetData/>".encode() + xml[data.end :]
        sound.parse(rest, StartElementHandler=self.start, EndElementHandler=self.end)
        if self.cells_parts != 1:
            raise WorkbookProblem(
                "this sheet's XML is damaged: it lists its cells twice"
                if self.cells_parts
                else "this sheet has no cells part"
            )

    def start(self, parser, name: str, found: dict[str, str]) -> None:
        self.depth += 1
        local = name.rsplit(":", 1)[-1]
        if self.depth == 3 and local == "mergeCell":
            self.sheet.merged.append(area(found.get("ref", "A1")))
        elif self.depth != 2:
            return
        elif local == "sheetData":
            self.cells_parts += 1
        elif local == "sheetProtection":
            self.sheet.protected = found.get("sheet", "0") in ("1", "true", "on")
        elif local == "dimension":
            start = parser.CurrentByteIndex
            if start > self.sheet.data.start:  # it stands behind the cells, which are not in this text
                start += self.sheet.data.end - self.sheet.data.start - len(f"<{self.sheet.prefix}sheetData/>")
            opened = TAG.match(self.sheet.xml, start).end()
            self.sheet.dimension, self.sheet.dimension_ref = Span(start, opened, opened, opened), found.get("ref", "")

    def end(self, parser, name: str) -> None:
        self.depth -= 1


def _lay_out(sheet: SheetMap, unread: sound.Rows | None) -> None:
    """Notes where the rows lie, and makes sure that the cells in them are in order. `unread`: by expat."""
    text, at, last, closing = sheet.text, sheet.data.opened, 0, sheet.data.closing
    rows, _ = _row_patterns(sheet.prefix)
    shapes, begin = Shapes(sheet.prefix), f"<{sheet.prefix}row".encode()
    while at < closing:
        shaped = shapes.find(text, at, closing)
        if shaped:
            row = _shaped_row(sheet, *shaped, last)
            if unread:
                unread.look_at_tag(shaped[1].end(RowShape.NUMBER), row.span.opened, row.span.end)
        else:
            end = text.find(begin, at + 1, closing)
            end = end if end >= 0 else closing
            if unread:
                unread.look(end)
            found = rows.search(text, at, end)
            if found is None or found.start() != at:
                _nothing(text[at : found.start() if found else end], last)
            if found is None:
                at = end
                continue
            row = _read_row(sheet, found, last, shapes)
        last, at = row.number, row.span.end
        sheet.rows[last] = row
    if unread:
        unread.close()


def _shaped_row(sheet: SheetMap, shape: RowShape, found: re.Match, last: int) -> RowMap:
    """A row that fits a shape: its cells are in order."""
    start, end = found.span()
    number = _row_number(found[shape.NUMBER], b"", last)
    return RowMap(number, Span(start, found.end(shape.TAG), end - shape.end_tag, end), sheet, True, shape, found)


def _read_row(sheet: SheetMap, found: re.Match, last: int, shapes: Shapes) -> RowMap:
    """A row by the pattern of rows."""
    _, heads = _row_patterns(sheet.prefix)
    written, rest, inner = found.groups()
    number = _row_number(written, rest, last)
    start, end = found.span()
    opened, closing = found.span(3)
    span = Span(start, end, end, end) if inner is None else Span(start, opened, closing, end)
    row = RowMap(number, span, sheet)
    if inner:
        if between := cell_pattern(sheet.prefix).sub(b"", inner):
            _nothing(between, number)
        # Rows are much alike: which columns they have is looked at once for all of the same ones.
        begun = heads.findall(inner)
        columns = tuple([c for c, _ in begun])
        if any(number_ != written for _, number_ in begun) or not _in_order(columns):
            row.plain = False
            _check_order(row)
        else:
            shapes.learn(sheet.text, start, end, columns, row.matches)
    return row


@lru_cache(maxsize=16)
def _row_patterns(prefix: str) -> tuple[re.Pattern, re.Pattern]:
    """A row with its number, other attributes and content; the beginning of a cell with its address."""
    # No repeated cells in the row's own expression: where a part can be read in two ways, and a row does not fit at its
    # end, all combinations would be tried.
    p = re.escape(prefix)
    row = rf"""<{p}row(?=[\s/>])(?:\ r="([1-9][0-9]{{0,6}})")?({IN_TAG})
        (?:/>|>([^<]*(?:<(?!/?{p}row[\s/>])[^<]*)*)</{p}row\s*>)"""
    head = rf"""<{p}c(?=[\s/>])(?:\ r="([A-Z]{{1,3}})([1-9][0-9]{{0,6}})")?"""
    return re.compile(row.encode(), re.VERBOSE), re.compile(head.encode(), re.VERBOSE)


@lru_cache(maxsize=1024)
def _in_order(letters: tuple[bytes, ...]) -> bool:
    """Whether these are the columns of a sheet from the left to the right."""
    columns = [column_of(text) for text in letters]
    return all(a < b for a, b in zip([0, *columns], [*columns, MOST_COLUMNS + 1], strict=True))


def _check_order(row: RowMap) -> None:
    """As above, cell by cell, for a row with unusual addresses."""
    last = 0
    for column, _ in row.matches():
        if not last < column <= MOST_COLUMNS:
            _out_of_order((row.number, column))
        last = column


def _nothing(between: bytes, after: int) -> None:
    """Between rows and cells nothing may stand: what is not understood is not passed over."""
    if between.strip(b"\0 \t\r\n"):
        raise WorkbookProblem(f"this sheet's XML is damaged: something that is no cell stands after row {after}")


def _row_number(written: bytes | None, rest: bytes, last: int) -> int:
    try:
        number = int(written or attributes(rest).get("r", last + 1))
    except ValueError:
        number = 0
    if not last < number <= MOST_ROWS:
        raise WorkbookProblem(f"this sheet's XML is damaged: its rows are out of order after row {last}")
    return number


def _column(found: re.Match, row: int, last: int) -> int:
    """A cell's column, where its address does not stand first in its tag, or not as usual."""
    if found.group(ROW) is not None:
        where = position((found.group(COLUMN) + found.group(ROW)).decode())
    else:
        written = attributes(found.group(REST)).get("r")
        where = position(written) if written else (row, last + 1)
    if where[0] != row:
        _out_of_order(where)
    return where[1]


def _out_of_order(where: Position) -> None:
    raise WorkbookProblem(f"this sheet's XML is damaged: the cell {address(where)} is out of order or there twice")
