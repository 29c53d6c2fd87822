"""Changing cells inside a sheet's XML and leaving every other byte as it was.

`patch_sheet(xml, {(3, 2): Result(12.5)})` cuts and pastes at the byte positions that `sheet_map` finds. Outside the
touched cells nothing changes; for new cells the touched rows, and the sheet's stated dimension, change too.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from operator import itemgetter
from xml.parsers import expat

from tarecell.errors import CellError
from tarecell.workbooks.cell_map import TAG, CellMap
from tarecell.workbooks.package import CONTENT_TYPES, Package, rels_part, resolve
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.references import Position, address, area, inside, letters
from tarecell.workbooks.sheet_map import RowMap, SheetMap, sheet_map
from tarecell.workbooks.xml_text import cell_text, formula, keeps_space, number

Value = float | int | bool | str | CellError


@dataclass(frozen=True)
class Result:
    """What a cell shows, its formula kept. In a cell without a formula: a value that an array formula fills in.

    `style`: its cell format, kept as it is if left out.
    """

    value: Value
    style: int | None = None


@dataclass(frozen=True)
class Constant:
    """A typed-in value: text stays text whatever it begins with. None empties the cell. `style`: its cell format."""

    value: Value | None
    style: int | None = None


@dataclass(frozen=True)
class Formula:
    """A formula, over the cells `ref` ("B3:B9") if it is an array formula; `value` is what the cell shows at first."""

    text: str
    value: Value | None = None
    ref: str | None = None
    style: int | None = None


CellEdit = Result | Constant | Formula
Splice = tuple[int, int, bytes]  # from, to, and what stands there afterwards
_ATTRIBUTE = rb"\s+%s\s*=\s*(?:\"[^\"]*\"|'[^']*')"
_TYPE, _VALUE_METADATA, _CELL_METADATA, _SPANS = (re.compile(_ATTRIBUTE % n) for n in (b"t", b"vm", b"cm", b"spans"))
_NUMBER_TYPES = ("n", "")


def patch_sheet(xml: bytes, edits: Mapping[Position, CellEdit], sheet: SheetMap | None = None) -> bytes:
    """The sheet's XML with some cells changed. `sheet`: its layout, if it is known already."""
    sheet = sheet or sheet_map(xml)
    _refuse_broken_groups(sheet, edits)
    splices: list[Splice] = []
    new_rows: dict[int, dict[int, CellEdit]] = {}
    new_cells: dict[int, dict[int, CellEdit]] = {}
    for where, edit in edits.items():
        cell = sheet.cell(where)
        if cell is not None:
            if isinstance(edit, Result) and edit.style is None and shows(cell, edit.value):
                continue
            splices.append(_changed_cell(sheet, cell, edit))
        elif edit != Constant(None):
            (new_cells if where[0] in sheet.rows else new_rows).setdefault(where[0], {})[where[1]] = edit
    for row, cells in new_cells.items():
        splices += _into_row(sheet, sheet.rows[row], cells)
    splices += _into_data(sheet, new_rows)
    splices += _dimension(sheet, [(row, c) for group in (new_cells, new_rows) for row in group for c in group[row]])
    return _spliced(xml, splices)


def with_results(sheet: SheetMap, values: Mapping[Position, Value]) -> tuple[bytes, int]:
    """The sheet's XML in which these cells show these values, and how many of them did not before."""
    splices: list[Splice] = []
    new: dict[Position, CellEdit] = {}
    number_, results, found = 0, {}, None  # of the row that is at hand
    for where, value in values.items():
        if where[0] != number_:
            number_, results, found = where[0], *_shaped_results(sheet.rows.get(where[0]))
        group = results.get(where[1])
        if group and value.__class__ is float:  # a number in the place of a number: the cell need not be read
            try:
                same = float(found[group]) == value
            except ValueError:  # there was no number before
                same = False
            if not same:
                start, end = found.span(group)
                splices.append((start, end, number(value).encode()))
            continue
        cell = sheet.cell(where)
        if cell is None:
            new[where] = Result(value)
        elif not shows(cell, value):
            splices.append(_with_result(sheet, cell, value))
    if new:  # seldom: an array formula fills cells that are not there yet
        edits = {where: Result(value) for where, value in values.items()}
        return patch_sheet(sheet.xml, edits, sheet), len(splices) + len(new)
    return _spliced(sheet.xml, splices), len(splices)


def _shaped_results(row: RowMap | None) -> tuple[Mapping[int, int], re.Match | None]:
    """The groups of a row's results by column, and the match that they are groups of."""
    return ({}, None) if row is None or row.shape is None else (row.shape.results, row.shaped)


def _spliced(xml: bytes, splices: list[Splice]) -> bytes:
    pieces, at = [], 0
    for start, end, content in sorted(splices, key=itemgetter(0, 1)):
        pieces += xml[at:start], content
        at = end
    return b"".join([*pieces, xml[at:]])


def _refuse_broken_groups(sheet: SheetMap, edits: Mapping[Position, CellEdit]) -> None:
    """A cell that others' formulas hang on is not overwritten: the others would lose theirs."""
    written = [where for where, edit in edits.items() if not isinstance(edit, Result) or edit.style is not None]
    if not written:
        return
    arrays = sheet.arrays()
    for where in written:
        cell = sheet.cell(where)
        attributes = cell.formula.attributes if cell is not None and cell.formula else {}
        if attributes.get("t") in ("shared", "dataTable") and attributes.get("ref"):
            raise WorkbookProblem(
                f"{address(where)} holds the formula that other cells share; it cannot be overwritten"
            )
        for anchor, box in arrays.items():
            if inside(where, box) and not _whole(box, edits):
                raise WorkbookProblem(f"{address(where)} belongs to the array formula in {address(anchor)}")


def _whole(box: tuple[int, int, int, int], edits: Mapping[Position, CellEdit]) -> bool:
    """Whether every cell of an area is written."""
    top, left, bottom, right = box
    if (bottom - top + 1) * (right - left + 1) > len(edits):
        return False
    return all((row, column) in edits for row in range(top, bottom + 1) for column in range(left, right + 1))


# -- cells ---------------------------------------------------------------------------------------------------------


def _value(prefix: str, value: Value) -> tuple[str | None, bytes]:
    """The cell type (None for a number) and the value element for a formula's result."""
    if isinstance(value, bool):
        return "b", f"<{prefix}v>{int(value)}</{prefix}v>".encode()
    if isinstance(value, (int, float)):
        return None, f"<{prefix}v>{number(value)}</{prefix}v>".encode()
    if isinstance(value, CellError):
        return "e", f"<{prefix}v>{value.kind}</{prefix}v>".encode()
    return "str", f"<{prefix}v{keeps_space(value)}>{cell_text(value)}</{prefix}v>".encode()


def _inline(prefix: str, text: str) -> bytes:
    p = prefix
    return f"<{p}is><{p}t{keeps_space(text)}>{cell_text(text)}</{p}t></{p}is>".encode()


def _content(prefix: str, edit: CellEdit) -> tuple[str | None, bytes]:
    """The cell type and the elements of a cell that is written anew."""
    value = edit.value
    if isinstance(edit, Formula):
        ref = f' t="array" ref="{_checked(edit.ref)}"' if edit.ref else ""
        kind, shown = (None, b"") if value is None else _value(prefix, value)
        return kind, f"<{prefix}f{ref}>{formula(edit.text)}</{prefix}f>".encode() + shown
    if value is None:
        return None, b""
    if isinstance(value, str):
        return ("str", _value(prefix, value)[1]) if isinstance(edit, Result) else ("inlineStr", _inline(prefix, value))
    return _value(prefix, value)


def _checked(ref: str) -> str:
    area(ref)
    return ref


def _new_cell(prefix: str, where: Position, edit: CellEdit) -> bytes:
    kind, content = _content(prefix, edit)
    style = getattr(edit, "style", None)
    return _cell(prefix, where, "" if style is None else f' s="{int(style)}"', kind, content)


def _cell(prefix: str, where: Position, style: str, kind: str | None, content: bytes) -> bytes:
    head = f'<{prefix}c r="{address(where)}"{style}' + (f' t="{kind}"' if kind else "")
    return head.encode() + (b">" + content + f"</{prefix}c>".encode() if content else b"/>")


def _changed_cell(sheet: SheetMap, cell: CellMap, edit: CellEdit) -> Splice:
    if isinstance(edit, Result) and edit.style is None:
        return _with_result(sheet, cell, edit.value)
    style = cell.attributes.get("s") if edit.style is None else str(int(edit.style))
    kind, content = _content(sheet.prefix, edit)
    content = _cell(sheet.prefix, cell.position, "" if style is None else f' s="{style}"', kind, content)
    span = cell.span
    return span.start, span.end, content


def shows(cell: CellMap, value: Value) -> bool:
    """Whether a cell's stored result is this value already."""
    if cell.value is None:
        return False
    if isinstance(value, bool):
        return cell.type == "b" and cell.value.strip() in (("1", "true") if value else ("0", "false"))
    if isinstance(value, (int, float)):
        try:
            return cell.type in _NUMBER_TYPES and float(cell.value) == value
        except ValueError:
            return False
    if isinstance(value, CellError):
        return cell.type == "e" and cell.value == value.kind
    return cell.type == "str" and cell_text(cell.value) == cell_text(value)


def _with_result(sheet: SheetMap, cell: CellMap, value: Value) -> Splice:
    kind, content = _value(sheet.prefix, value)
    place = cell.value_place
    if place is not None and cell.type == (kind or "n") and "vm" not in cell.attributes:
        return *place, content  # as for nearly every cell: its tag says the right type already
    xml, span = sheet.xml, cell.span
    tag = _VALUE_METADATA.sub(b"", _TYPE.sub(b"", xml[span.start : span.opened]))  # metadata was of the old value
    bare = tag[:-2].rstrip() if span.self_closing else tag[:-1].rstrip()
    head = bare + (f' t="{kind}"'.encode() if kind else b"") + b">"
    before, after = (b"", b"") if span.self_closing else _body(xml, cell)
    end = f"</{sheet.prefix}c>".encode() if span.self_closing else xml[span.closing : span.end]
    return span.start, span.end, head + before + content + after + end


def _body(xml: bytes, cell: CellMap) -> tuple[bytes, bytes]:
    """What stands before and after the value inside a cell."""
    old = cell.value_span or cell.inline_span
    if old is not None:
        return xml[cell.span.opened : old.start], xml[old.end : cell.span.closing]
    formula_span = cell.formula_span
    split = formula_span.end if formula_span else cell.span.opened
    return xml[cell.span.opened : split], xml[split : cell.span.closing]


# -- new cells and rows --------------------------------------------------------------------------------------------


def _into_row(sheet: SheetMap, row: RowMap, cells: dict[int, CellEdit]) -> list[Splice]:
    """New cells in a row that exists, each in its place."""
    span, prefix = row.span, sheet.prefix
    made = {c: _new_cell(prefix, (row.number, c), cells[c]) for c in sorted(cells)}
    tag = _widened(sheet.xml[span.start : span.opened], row, made)
    if span.self_closing:
        content = tag[:-2].rstrip() + b">" + b"".join(made.values()) + f"</{prefix}row>".encode()
        return [(span.start, span.end, content)]
    splices = [(span.start, span.opened, tag)]
    places: dict[int, bytes] = {}
    present = sorted(row.cells)
    for column, content in made.items():
        follower = next((c for c in present if c > column), None)
        at = row.cells[follower].span.start if follower else span.closing
        places[at] = places.get(at, b"") + content
    return splices + [(at, at, content) for at, content in places.items()]


def _widened(tag: bytes, row: RowMap, columns) -> bytes:
    """The row's start tag, its `spans` hint made to cover the new columns."""
    numbers = [int(n) for n in re.findall("[0-9]+", row.attributes.get("spans", ""))]
    if not numbers or (min(numbers) <= min(columns) and max(columns) <= max(numbers)):
        return tag
    spans = f' spans="{min(*numbers, *columns)}:{max(*numbers, *columns)}"'
    return _SPANS.sub(spans.encode(), tag, count=1)


def _into_data(sheet: SheetMap, rows: dict[int, dict[int, CellEdit]]) -> list[Splice]:
    """New rows, each in its place."""
    if not rows:
        return []
    prefix, data = sheet.prefix, sheet.data
    places: dict[int, bytes] = {}
    present = sorted(sheet.rows)
    for number_ in sorted(rows):
        cells = b"".join(_new_cell(prefix, (number_, c), rows[number_][c]) for c in sorted(rows[number_]))
        content = f'<{prefix}row r="{number_}">'.encode() + cells + f"</{prefix}row>".encode()
        follower = next((r for r in present if r > number_), None)
        at = sheet.rows[follower].span.start if follower else data.closing
        places[at] = places.get(at, b"") + content
    if not data.self_closing:
        return [(at, at, content) for at, content in places.items()]
    tag = sheet.xml[data.start : data.opened]
    everything = b"".join(places.values())
    return [(data.start, data.end, tag[:-2].rstrip() + b">" + everything + f"</{prefix}sheetData>".encode())]


def _dimension(sheet: SheetMap, new: list[Position]) -> list[Splice]:
    """The stated dimension, made to cover the new cells."""
    if not new or sheet.dimension is None:
        return []
    try:
        top, left, bottom, right = area(sheet.dimension_ref)
    except WorkbookProblem:
        return []
    if not sheet.rows:
        top, left, bottom, right = *new[0], *new[0]
    for row, column in new:
        top, left, bottom, right = min(top, row), min(left, column), max(bottom, row), max(right, column)
    first, last = f"{letters(left)}{top}", f"{letters(right)}{bottom}"
    ref = first if first == last else f"{first}:{last}"
    span = sheet.dimension
    tag = sheet.xml[span.start : span.opened]
    tag = re.sub(rb"(\sref\s*=\s*)(?:\"[^\"]*\"|'[^']*')", lambda m: m.group(1) + f'"{ref}"'.encode(), tag, count=1)
    return [(span.start, span.opened, tag)]


# -- the order of calculation --------------------------------------------------------------------------------------


def without_calculation_chain(package: Package) -> tuple[dict[str, bytes], set[str]]:
    """The parts to replace, and to drop, when formulas are added: a chain that misses a formula is a damaged file.

    Spreadsheet programs build the chain again by themselves.
    """
    workbook = package.workbook_part
    chains = [link for link in package.relationships(workbook).values() if link.type == "calcChain"]
    parts = {link.target.lower() for link in chains if link.target in package}
    if not chains:
        return {}, set()
    ids = {link.id for link in chains}
    rels = rels_part(workbook)
    replaced = {
        rels: _without(package.read(rels), "Relationship", lambda a: a.get("Id") in ids),
        CONTENT_TYPES: _without(
            package.read(CONTENT_TYPES),
            "Override",
            lambda a: resolve("", a.get("PartName", "")).lower() in parts,
        ),
    }
    return replaced, parts


def _without(xml: bytes, name: str, unwanted) -> bytes:
    """XML with some childless elements cut out."""
    splices = []
    parser = expat.ParserCreate()

    def start(tag, attributes):
        if tag.rsplit(":", 1)[-1] == name and unwanted(attributes):
            begin = parser.CurrentByteIndex
            end = TAG.match(xml, begin).end()
            if xml[end - 2 : end] != b"/>":
                end = xml.index(b">", end) + 1
            splices.append((begin, end, b""))

    parser.StartElementHandler = start
    parser.Parse(xml, True)
    return _spliced(xml, splices)
