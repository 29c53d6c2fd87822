"""Where everything lies in a sheet's XML: the byte positions of its rows, cells, formulas and values.

The XML is never written again from a tree: a patch cuts and pastes bytes at these positions.
"""

import re
from dataclasses import dataclass, field
from xml.parsers import expat

from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.references import MOST_COLUMNS, MOST_ROWS, Position, address, area, position

TAG = re.compile(rb"<[^>\"']*(?:\"[^\"]*\"[^>\"']*|'[^']*'[^>\"']*)*>")


@dataclass(slots=True)
class Span:
    """An element: `start` to `opened` is its start tag, `closing` to `end` its end tag (empty if self-closing)."""

    start: int
    opened: int
    closing: int = 0
    end: int = 0

    @property
    def self_closing(self) -> bool:
        return self.opened == self.end


@dataclass(slots=True)
class FormulaMap:
    """A formula: its text ('' for a follower of a shared formula), its attributes, and where it lies."""

    text: str
    attributes: dict[str, str]
    span: Span


@dataclass(slots=True)
class CellMap:
    """A cell: where it lies, its attributes, its formula, and its value as written."""

    position: Position
    attributes: dict[str, str]
    span: Span
    formula: FormulaMap | None = None
    value: str | None = None
    value_span: Span | None = None
    inline: str | None = None
    inline_span: Span | None = None

    @property
    def type(self) -> str:
        return self.attributes.get("t", "n")


@dataclass(slots=True)
class RowMap:
    """A row: its number, where it lies, and its cells by column."""

    number: int
    attributes: dict[str, str]
    span: Span
    cells: dict[int, CellMap] = field(default_factory=dict)


@dataclass
class SheetMap:
    """A sheet's XML, laid out."""

    xml: bytes
    data: Span
    prefix: str
    dimension: Span | None
    dimension_ref: str
    rows: dict[int, RowMap]
    protected: bool
    merged: list[tuple[int, int, int, int]]

    def cell(self, where: Position) -> CellMap | None:
        row = self.rows.get(where[0])
        return row.cells.get(where[1]) if row else None

    def cells(self):
        """All cells, in the file's order."""
        for row in self.rows.values():
            yield from row.cells.values()

    def arrays(self) -> dict[Position, tuple[int, int, int, int]]:
        """The areas that array formulas fill, by the cell that holds the formula."""
        return {
            cell.position: area(cell.formula.attributes["ref"])
            for cell in self.cells()
            if cell.formula and cell.formula.attributes.get("t") == "array" and cell.formula.attributes.get("ref")
        }


class _Scanner:
    """Handlers for one pass over a sheet's XML. `depth` counts the open elements: row is at 3, cell at 4."""

    def __init__(self, xml: bytes):
        self.xml = xml
        self.depth = 0
        self.path: list[str] = []
        self.spans: list[Span] = []
        self.data: Span | None = None
        self.prefix = ""
        self.dimension: Span | None = None
        self.dimension_ref = ""
        self.rows: dict[int, RowMap] = {}
        self.row: RowMap | None = None
        self.cell: CellMap | None = None
        self.last_row = self.last_column = 0
        self.text: list[str] = []  # what has been read since it was last emptied
        self.protected = False
        self.merged: list[tuple[int, int, int, int]] = []
        self.phonetic = 0

    def run(self) -> SheetMap:
        if self.xml.startswith((b"\xff\xfe", b"\xfe\xff")) or b"\0" in self.xml[:4]:
            raise WorkbookProblem("this sheet is stored as UTF-16; save the file once in your spreadsheet program")
        parser = self.parser = expat.ParserCreate()
        parser.buffer_text = True
        parser.StartElementHandler = self.start
        parser.EndElementHandler = self.end
        parser.CharacterDataHandler = self.text.append
        parser.StartDoctypeDeclHandler = self.doctype
        parser.XmlDeclHandler = self.declaration
        try:
            parser.Parse(self.xml, True)
        except expat.ExpatError as error:
            raise WorkbookProblem(f"this sheet's XML is damaged (line {error.lineno})") from None
        if self.data is None:
            raise WorkbookProblem("this sheet has no cells part")
        return SheetMap(
            self.xml, self.data, self.prefix, self.dimension, self.dimension_ref, self.rows, self.protected, self.merged
        )

    def doctype(self, *_):
        raise WorkbookProblem("this sheet declares XML entities, which no workbook needs")

    def declaration(self, version, encoding, standalone):
        if encoding and encoding.lower() not in ("utf-8", "utf8", "us-ascii"):
            raise WorkbookProblem(f"this sheet is stored as {encoding}; save the file once in your spreadsheet program")

    def start(self, name: str, attributes: dict[str, str]):
        start = self.parser.CurrentByteIndex
        span = Span(start, TAG.match(self.xml, start).end())
        self.spans.append(span)
        self.depth += 1
        local = name.rsplit(":", 1)[-1] if ":" in name else name
        self.path.append(local)
        depth = self.depth
        if depth == 4 and local == "c" and self.row is not None:
            self.cell = CellMap(self._position(attributes), attributes, span)
        elif depth == 5 and self.cell is not None:
            if local == "f":
                self.cell.formula = FormulaMap("", attributes, span)
                self.text.clear()
            elif local == "v":
                self.cell.value_span = span
                self.text.clear()
            elif local == "is":
                self.cell.inline_span = span
                self.cell.inline = ""
        elif depth >= 6 and self.cell is not None and self.cell.inline_span is not None:
            if local == "rPh":
                self.phonetic += 1
            elif local == "t":
                self.text.clear()
        elif depth == 3 and self.path[1] == "sheetData" and local == "row":
            self._open_row(attributes, span)
        elif depth == 3 and local == "mergeCell":
            self.merged.append(area(attributes.get("ref", "A1")))
        elif depth == 2:
            self._open_section(local, name, attributes, span)

    def _open_section(self, local, name, attributes, span):
        if local == "sheetData":
            if self.data is not None:
                raise WorkbookProblem("this sheet's XML is damaged: it lists its cells twice")
            self.data = span
            self.prefix = name[: -len("sheetData")]
        elif local == "dimension":
            self.dimension, self.dimension_ref = span, attributes.get("ref", "")
        elif local == "sheetProtection":
            self.protected = attributes.get("sheet", "0") in ("1", "true", "on")

    def _open_row(self, attributes, span):
        try:
            number = int(attributes.get("r", self.last_row + 1))
        except ValueError:
            number = 0
        if not self.last_row < number <= MOST_ROWS:
            raise WorkbookProblem(f"this sheet's XML is damaged: its rows are out of order after row {self.last_row}")
        self.row = self.rows[number] = RowMap(number, attributes, span)
        self.last_row, self.last_column = number, 0

    def _position(self, attributes) -> Position:
        written = attributes.get("r")
        where = position(written) if written else (self.row.number, self.last_column + 1)
        row, column = where
        if row != self.row.number or not self.last_column < column <= MOST_COLUMNS:
            raise WorkbookProblem(
                f"this sheet's XML is damaged: the cell {address(where)} is out of order or there twice"
            )
        self.last_column = column
        return where

    def end(self, name: str):
        span = self.spans.pop()
        index = self.parser.CurrentByteIndex
        if self.xml[span.opened - 2 : span.opened] == b"/>":
            span.closing = span.end = span.opened
        else:
            span.closing = index
            span.end = self.xml.index(b">", index) + 1
        depth, local = self.depth, self.path.pop()
        self.depth -= 1
        cell = self.cell
        if cell is None:
            if depth == 3:
                self.row = None
            return
        if depth == 4:
            self.row.cells[cell.position[1]] = cell
            self.cell = None
        elif depth == 5 and local == "f":
            cell.formula.text = "".join(self.text)
        elif depth == 5 and local == "v":
            cell.value = "".join(self.text)
        elif depth >= 6 and local == "rPh":
            self.phonetic -= 1
        elif depth >= 6 and local == "t" and cell.inline_span is not None and not self.phonetic:
            cell.inline += "".join(self.text)


def sheet_map(xml: bytes) -> SheetMap:
    """Lays out a sheet's XML (UTF-8, with or without a byte order mark)."""
    return _Scanner(xml).run()
