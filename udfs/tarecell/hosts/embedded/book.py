"""The bare workbook that is handed to the engine: values and formulas, nothing else.

The engine takes a whole file in far less time than its cells one by one, where each takes longer than the one before.
"""

import io
import re
import zipfile
from collections import defaultdict
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from tarecell.errors import SPREADSHEET_KINDS, CellError
from tarecell.hosts.embedded.references import letters

_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml"
_UNWRITABLE = re.compile("[\x00-\x08\x0b-\x1f\ud800-\udfff\ufffe\uffff]|_(?=x[0-9A-Fa-f]{4}_)")


class Formula(str):
    """A formula without "=", as opposed to a text."""


Columns = Mapping[int, Mapping[int, Any]]  # cells by column and row


def write(sheets: Mapping[str, Columns], date1904: bool) -> bytes:
    """An .xlsx with these sheets; a cell is a Formula, a number, a text, TRUE or FALSE, or a CellError."""
    stream = io.BytesIO()
    numbers = range(1, len(sheets) + 1)
    entries = "".join(f'<sheet name="{_attribute(n)}" sheetId="{i}" r:id="r{i}"/>' for i, n in enumerate(sheets, 1))
    links = "".join(_link(f"r{i}", "worksheet", f"worksheets/sheet{i}.xml") for i in numbers)
    types = "".join(
        f'<Override PartName="/xl/worksheets/sheet{i}.xml" ContentType="{_TYPE}.worksheet+xml"/>' for i in numbers
    )
    parts = {
        "[Content_Types].xml": f'<Types xmlns="{_PACKAGE}/content-types"><Default Extension="rels" '
        'ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        f'<Override PartName="/xl/workbook.xml" ContentType="{_TYPE}.sheet.main+xml"/>{types}</Types>',
        "_rels/.rels": _links(_link("r1", "officeDocument", "xl/workbook.xml")),
        "xl/_rels/workbook.xml.rels": _links(links),
        "xl/workbook.xml": f'<workbook xmlns="{_MAIN}" xmlns:r="{_OFFICE}"><workbookPr date1904="{int(date1904)}"/>'
        f"<sheets>{entries}</sheets></workbook>",
    }
    with zipfile.ZipFile(stream, "w") as archive:
        for name, text in parts.items():
            archive.writestr(name, text)
        for i, cells in enumerate(sheets.values(), 1):
            archive.writestr(f"xl/worksheets/sheet{i}.xml", _sheet(cells))
    return stream.getvalue()


def _attribute(text: str) -> str:
    """Text in an attribute, where line breaks would be read as spaces."""
    return re.sub('["\t\r\n]', lambda found: f"&#{ord(found.group())};", plain(text))


def plain(text: str) -> str:
    """Text as an element's content. The library's function for it brings along what it takes to fetch web pages."""
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def _link(name: str, kind: str, target: str) -> str:
    return f'<Relationship Id="{name}" Type="{_OFFICE}/{kind}" Target="{target}"/>'


def _links(links: str) -> str:
    return f'<Relationships xmlns="{_PACKAGE}/relationships">{links}</Relationships>'


def _sheet(columns: Columns) -> str:
    rows: defaultdict[int, list[str]] = defaultdict(list)
    for column, cells in sorted(columns.items()):
        address = f'<c r="{letters(column)}'
        for row, value in cells.items():
            kind = value.__class__
            if kind is float:
                rows[row].append(f'{address}{row}"><v>{value!r}</v></c>')
            elif kind is Formula:
                rows[row].append(f'{address}{row}"><f>{plain(value)}</f></c>')
            else:
                rows[row].append(f'{address}{row}"{_content(value)}</c>')
    content = "".join([f'<row r="{row}">{"".join(rows[row])}</row>' for row in sorted(rows)])
    return f'<worksheet xmlns="{_MAIN}"><sheetData>{content}</sheetData></worksheet>'


def _content(value: Any) -> str:
    """A cell from its address to its end tag, if it is neither a formula nor a number with a fraction."""
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, bool):
        return f' t="b"><v>{int(value)}</v>'
    if isinstance(value, CellError):
        kind = value.kind if value.kind in SPREADSHEET_KINDS else "#VALUE!"
        return f' t="e"><v>{kind}</v>'
    return f"><v>{float(value)!r}</v>"


@lru_cache(maxsize=1024)  # units and names come again and again
def _text(value: str) -> str:
    text = plain(_UNWRITABLE.sub(_escaped, value))
    return f' t="inlineStr"><is><t xml:space="preserve">{text}</t></is>'


def _escaped(found: re.Match) -> str:
    code = ord(found.group())
    return "\ufffd" if 0xD800 <= code <= 0xDFFF else f"_x{code:04X}_"
