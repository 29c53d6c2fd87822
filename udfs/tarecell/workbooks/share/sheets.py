"""Sheets that a copy gets: their XML, and their place in the workbook."""

import re
from collections.abc import Mapping
from xml.sax.saxutils import quoteattr

from tarecell.errors import CellError
from tarecell.hosts.plain import Sheet, Step
from tarecell.workbooks.package import CONTENT_TYPES, rels_part
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.references import Position, address
from tarecell.workbooks.share.strip import Parts
from tarecell.workbooks.share.xml_edit import edit, with_attribute
from tarecell.workbooks.xml_text import cell_text, formula, keeps_space, number

_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_RELS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"
HEAD = b'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'


def free_name(wanted: str, taken: set[str]) -> str:
    """A sheet name that no sheet and no defined name has; `taken` in lower case."""
    name, count = wanted, 2
    while name.lower() in taken:
        name, count = f"{wanted}{count}", count + 1
    return name


def free_part(parts: Parts, count: int) -> str:
    """A name for a new sheet's part."""
    known = {name.lower() for name in (*parts.package.names, *parts.added)}
    while f"xl/worksheets/sheet{count}.xml" in known:
        count += 1
    return f"xl/worksheets/sheet{count}.xml"


def sheet_xml(sheet: Sheet, heading: int) -> bytes:
    """The XML of a sheet of steps; values are filled in once they are known."""
    rows: dict[int, dict[int, bytes]] = {}
    for (row, column), content in sheet.cells.items():
        style = f' s="{heading}"' if (row, column) in sheet.headings else ""
        rows.setdefault(row, {})[column] = _cell((row, column), content, style)
    return worksheet(rows, columns((1, 1, 34), (2, 40, 13)))


def columns(*widths: tuple[int, int, int]) -> str:
    """Columns from the first to the last, and how wide they are."""
    each = "".join(f'<col min="{a}" max="{b}" width="{width}" customWidth="1"/>' for a, b, width in widths)
    return f"<cols>{each}</cols>"


def worksheet(rows: Mapping[int, Mapping[int, bytes]], columns: str, view: str = "") -> bytes:
    """A worksheet from its cells' XML."""
    body = b"".join(
        f'<row r="{r}">'.encode() + b"".join(rows[r][c] for c in sorted(rows[r])) + b"</row>" for r in sorted(rows)
    )
    head = f'<worksheet xmlns="{_MAIN}"><sheetPr><pageSetUpPr fitToPage="1"/></sheetPr>{view}'
    head += f'<sheetFormatPr defaultRowHeight="15"/>{columns}<sheetData>'
    page = b'<pageSetup orientation="landscape" fitToHeight="0"/>'
    return HEAD + head.encode() + body + b"</sheetData>" + page + b"</worksheet>"


def _cell(where: Position, content, style: str) -> bytes:
    head = f'<c r="{address(where)}"{style}'
    if isinstance(content, Step):
        ref = f' t="array" ref="{content.ref}"' if content.ref else ""
        return f"{head}><f{ref}>{formula(content.text)}</f></c>".encode()
    return value_cell(head, content)


def value_cell(head: str, value) -> bytes:
    """A cell with a value; `head` is the beginning of its start tag."""
    if isinstance(value, bool):
        return f'{head} t="b"><v>{int(value)}</v></c>'.encode()
    if isinstance(value, CellError):
        return f'{head} t="e"><v>{value.kind}</v></c>'.encode()
    if isinstance(value, (int, float)):
        return f"{head}><v>{number(value)}</v></c>".encode()
    return f'{head} t="inlineStr"><is><t{keeps_space(value)}>{cell_text(value)}</t></is></c>'.encode()


def add_sheet(parts: Parts, name: str, xml: bytes, first: bool = False, hidden: bool = False) -> str:
    """Puts a sheet into the workbook, as its first or its last one; the sheet's part."""
    package = parts.package
    workbook = package.workbook_part
    part = free_part(parts, len(package.sheets) + 1)
    parts.added[part] = xml
    rels = rels_part(workbook)
    links = parts.read(rels)
    taken = set(re.findall(rb'\sId="([^"]*)"', links))
    key = next(f"rId{i}" for i in range(1, 10_000) if f"rId{i}".encode() not in taken)
    link = f'<Relationship Id="{key}" Type="{_RELS}/worksheet" Target="/{part}"/>'
    parts.write(rels, _inside(links, "Relationships", link.encode()))
    types = parts.read(CONTENT_TYPES)
    override = f'<Override PartName="/{part}" ContentType="{_TYPE}"/>'
    parts.write(CONTENT_TYPES, _inside(types, "Types", override.encode()))
    xml = parts.read(workbook)
    numbers = [int(n) for n in re.findall(rb'\ssheetId="(\d+)"', xml)]
    state = ' state="hidden"' if hidden else ""
    entry = (
        f'sheet xmlns:r="{_RELS}" name={quoteattr(name)} sheetId="{max(numbers, default=0) + 1}"{state} r:id="{key}"/>'
    )
    parts.write(workbook, _listed(xml, entry, first))
    return part


def _inside(xml: bytes, root: str, entry: bytes) -> bytes:
    """An entry put before the end of a part's root element."""
    prefix = re.search(rb"</((?:\w+:)?)%s\s*>\s*$" % root.encode(), xml)
    if prefix is None:
        raise WorkbookProblem("the workbook's list of parts is not understood")
    entry = re.sub(rb"^<", b"<" + prefix[1], entry)
    return xml[: prefix.start()] + entry + xml[prefix.start() :]


def _listed(xml: bytes, entry: str, first: bool) -> bytes:
    found = re.search(rb"<((?:\w+:)?)sheets(?:\s[^>]*)?>", xml)
    close = re.search(rb"</(?:\w+:)?sheets\s*>", xml)
    if found is None or close is None:
        raise WorkbookProblem("the workbook's list of sheets is not understood")
    element = b"<" + found[1] + entry.encode()
    at = found.end() if first else close.start()
    xml = xml[:at] + element + xml[at:]
    if not first:
        return xml

    def moved(attributes, name):
        scope = attributes.get("localSheetId")
        return None if scope is None else with_attribute(name, "localSheetId", str(int(scope) + 1))

    def view(_, element):
        for key in ("activeTab", "firstSheet"):
            element = with_attribute(element, key, None)
        return element

    return edit(xml, {"definedName": moved, "workbookView": view})


def unselected(xml: bytes) -> bytes:
    """A sheet that is not among the selected ones: typing into several at once would follow otherwise."""
    return edit(xml, {"sheetView": lambda _, element: with_attribute(element, "tabSelected", None)})


def looks(xml: bytes) -> tuple[bytes, int, int]:
    """The styles with a bold and a wrapped format at their end, and the numbers of the two."""
    fonts = re.search(rb"<((?:\w+:)?)fonts\b[^>]*>", xml)
    formats = re.search(rb"<((?:\w+:)?)cellXfs\b[^>]*>", xml)
    if fonts is None or formats is None or formats[0].endswith(b"/>"):
        return xml, 0, 0
    p = fonts[1]
    font_end = xml.index(b"</" + p + b"fonts", fonts.end())
    known_fonts = len(re.findall(rb"<(?:\w+:)?font[\s>/]", xml[fonts.end() : font_end]))
    bold = b"<" + p + b"font><" + p + b"b/><" + p + b'sz val="12"/><' + p + b'name val="Calibri"/></' + p + b"font>"
    xml = xml[:font_end] + bold + xml[font_end:]
    formats = re.search(rb"<((?:\w+:)?)cellXfs\b[^>]*>", xml)
    format_end = xml.index(b"</" + p + b"cellXfs", formats.end())
    known = len(re.findall(rb"<(?:\w+:)?xf[\s>/]", xml[formats.end() : format_end]))
    made = b"<" + p + b'xf numFmtId="0" fontId="%d" fillId="0" borderId="0" applyFont="1"/>' % known_fonts
    made += b"<" + p + b'xf numFmtId="0" fontId="0" fillId="0" borderId="0" applyAlignment="1"><' + p
    made += b'alignment horizontal="left" vertical="top" wrapText="1"/></' + p + b"xf>"
    xml = xml[:format_end] + made + xml[format_end:]

    def counted(count):
        return lambda _, element: with_attribute(element, "count", str(count))

    for name, count in (("fonts", known_fonts + 1), ("cellXfs", known + 2)):
        xml = re.sub(rb"<(?:\w+:)?%s\b[^>]*>" % name.encode(), lambda m, c=count: counted(c)(None, m[0]), xml, count=1)
    return xml, known, known + 1
