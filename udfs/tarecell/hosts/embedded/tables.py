"""References to the columns of a table (Prices[Cost]) as plain ranges."""

import re
from dataclasses import dataclass

from tarecell.hosts.embedded.references import Box, letters

_TABLE = re.compile(r"([\w.\\]*)\[(.*)\]", re.DOTALL)
_OTHER_BOOK = re.compile(r"\[\d+\]|\[[^\]]+\.xls", re.IGNORECASE)


class Unsupported(Exception):
    """The embedded engine cannot compute this formula: the reason in one line."""


@dataclass(frozen=True)
class TableArea:
    """A table: its sheet, its whole area, its column headings, and how many heading and totals rows it has."""

    sheet: str
    box: Box
    headings: tuple[str, ...]
    heads: int = 1
    totals: int = 0

    def holds(self, sheet: str, row: int, column: int) -> bool:
        top, left, bottom, right = self.box
        return sheet == self.sheet and top <= row <= bottom and left <= column <= right


def plain_range(text: str, tables: dict[str, TableArea], sheet: str, row: int, column: int) -> str:
    """The range that a table reference means in this cell. Unsupported for another workbook or a table not there."""
    found = _TABLE.fullmatch(text)
    if found is None or _OTHER_BOOK.match(text):
        raise Unsupported("the formula reads another workbook, which is not opened")
    name, inside = found.groups()
    if name:
        table = tables.get(name.lower())
    else:
        table = next((t for t in tables.values() if t.holds(sheet, row, column)), None)
    if table is None:
        raise Unsupported(f"the table “{name}” is not in this workbook")
    columns, parts = _parts(inside)
    rows = _rows(table, parts, sheet, row)
    if rows is None:
        return "#REF!"
    lower = [h.lower() for h in table.headings]
    try:
        places = [table.box[1] + lower.index(c.lower()) for c in columns] or [table.box[1], table.box[3]]
    except ValueError:
        raise Unsupported(f"the table “{name}” has no column “{columns[0][:40]}”") from None
    start, end = f"${letters(min(places))}${rows[0]}", f"${letters(max(places))}${rows[1]}"
    quoted = table.sheet.replace("'", "''")
    return f"'{quoted}'!{start}" + ("" if start == end else f":{end}")


def _rows(table: TableArea, parts: set[str], sheet: str, row: int) -> tuple[int, int] | None:
    """The first and last row that the special parts (#All, #Headers …) of a reference mean; None for #REF!."""
    top, _, bottom, _ = table.box
    first, last = top + table.heads, bottom - table.totals
    if parts <= {"#data"}:
        return first, last
    if parts == {"#this row"}:
        return (row, row) if sheet == table.sheet and first <= row <= last else None
    if parts == {"#all"}:
        return top, bottom
    if parts == {"#headers"} and table.heads:
        return top, first - 1
    if parts == {"#totals"} and table.totals:
        return last + 1, bottom
    raise Unsupported("the formula reads parts of a table in a way that is not supported")


def _parts(inside: str) -> tuple[list[str], set[str]]:
    """The columns (none: all, two: from the first to the second) and the special parts of a table reference."""
    inside = inside.strip()
    parts: set[str] = set()
    if inside.startswith("@"):
        parts.add("#this row")
        inside = inside[1:].strip()
    if "[" in inside:
        pieces = re.findall(r"\[((?:[^\[\]']|'.)*)\]", inside)
    else:
        pieces = [inside] if inside else []
    columns = []
    for piece in pieces:
        if piece.strip().startswith("#"):
            parts.add(piece.strip().lower())
        else:
            columns.append(re.sub(r"'(.)", r"\1", piece))
    if len(columns) > 2 or (len(columns) == 2 and "]:[" not in inside.replace(" ", "")):
        raise Unsupported("the formula reads parts of a table in a way that is not supported")
    return columns, parts
