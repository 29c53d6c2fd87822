"""Making columns wider in a sheet's XML, and leaving every other column as it was."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from xml.sax.saxutils import unescape

from tarecell.workbooks.cell_map import TAG
from tarecell.workbooks.sheet_map import SheetMap

_ATTRIBUTE = rb"(\s%s\s*=\s*)(?:\"[^\"]*\"|'[^']*')"


@dataclass(frozen=True)
class _Entry:
    """A `col` element: the columns it is about, its start tag, and where the element lies."""

    first: int
    last: int
    tag: bytes
    start: int
    end: int


def widened(layout: SheetMap, widths: Mapping[int, float]) -> bytes:
    """The sheet's XML with these columns at these widths (in characters)."""
    if not widths:
        return layout.xml
    xml, prefix = layout.xml, layout.prefix.encode()
    section = re.compile(rb"<%scols(?=[\s>/])" % re.escape(prefix)).search(xml, 0, layout.data.start)
    if section is None:
        new = b"".join(_new(prefix, column, widths[column]) for column in sorted(widths))
        whole = b"<" + prefix + b"cols>" + new + b"</" + prefix + b"cols>"
        return xml[: layout.data.start] + whole + xml[layout.data.start :]
    opened = TAG.match(xml, section.start()).end()
    closing = xml.index(b"</" + prefix + b"cols", opened) if xml[opened - 2 : opened] != b"/>" else opened
    if closing == opened and xml[opened - 2 : opened] == b"/>":
        new = b"".join(_new(prefix, column, widths[column]) for column in sorted(widths))
        return xml[: opened - 2] + b">" + new + b"</" + prefix + b"cols>" + xml[opened:]
    return xml[:opened] + _entries(xml, opened, closing, prefix, widths) + xml[closing:]


def _entries(xml: bytes, start: int, end: int, prefix: bytes, widths: Mapping[int, float]) -> bytes:
    entries = _read(xml, start, end, prefix)
    pieces: list[tuple[int, bytes]] = []
    covered: set[int] = set()
    for entry in entries:
        inside = sorted(c for c in widths if entry.first <= c <= entry.last)
        covered.update(inside)
        whole = xml[entry.start : entry.end]
        pieces.append((entry.first, _split(entry, inside, widths) if inside else whole))
    pieces += [(column, _new(prefix, column, widths[column])) for column in widths if column not in covered]
    return b"".join(content for _, content in sorted(pieces, key=lambda piece: piece[0]))


def _read(xml: bytes, start: int, end: int, prefix: bytes) -> list[_Entry]:
    found = []
    for match in re.finditer(rb"<%scol(?=[\s/>])" % re.escape(prefix), xml[start:end]):
        at = start + match.start()
        opened = TAG.match(xml, at).end()
        tag = xml[at:opened]
        after = opened if tag.endswith(b"/>") else xml.index(b">", opened) + 1
        found.append(_Entry(_value(tag, b"min"), _value(tag, b"max"), tag, at, after))
    return found


def _split(entry: _Entry, inside: list[int], widths: Mapping[int, float]) -> bytes:
    """An entry in pieces: the columns that change, and the stretches between that stay."""
    tag = entry.tag if entry.tag.endswith(b"/>") else entry.tag[:-1].rstrip() + b"/>"
    pieces, at = [], entry.first
    for column in inside:
        if at < column:
            pieces.append(_set(_set(tag, b"min", str(at)), b"max", str(column - 1)))
        one = _set(_set(tag, b"min", str(column)), b"max", str(column))
        pieces.append(_set(_set(one, b"width", f"{widths[column]:g}"), b"customWidth", "1"))
        at = column + 1
    if at <= entry.last:
        pieces.append(_set(tag, b"min", str(at)) if at > entry.first else tag)
    return b"".join(pieces)


def _new(prefix: bytes, column: int, width: float) -> bytes:
    return b"<" + prefix + f'col min="{column}" max="{column}" width="{width:g}" customWidth="1"/>'.encode()


def _value(tag: bytes, name: bytes) -> int:
    found = re.search(_ATTRIBUTE % name, tag)
    text = unescape(found.group()[len(found.group(1)) + 1 : -1].decode()) if found else ""
    return int(text) if text.isdigit() else 0


def _set(tag: bytes, name: bytes, value: str) -> bytes:
    new, count = re.subn(_ATTRIBUTE % name, lambda m: m.group(1) + f'"{value}"'.encode(), tag, count=1)
    return new if count else tag[:-2].rstrip() + f' {name.decode()}="{value}"/>'.encode()
