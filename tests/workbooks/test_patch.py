"""Cells changed inside a sheet's XML by cutting and pasting bytes."""

import io
import re
import zipfile
from xml.etree import ElementTree

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tarecell.errors import CellError
from tarecell.workbooks.package import CONTENT_TYPES, Package
from tarecell.workbooks.patch import Constant, Formula, Result, patch_sheet, without_calculation_chain
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.references import address, area, position
from tarecell.workbooks.sheet_map import sheet_map
from tarecell.workbooks.xml_text import cell_text, read_text
from workbooks.rich import parts, rewrite, write_rich

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
HEAD = f'<?xml version="1.0" encoding="UTF-8"?><worksheet xmlns="{MAIN}">'
NA = CellError("not there", "#N/A")


def sheet(data, before="", after=""):
    return f"{HEAD}{before}<sheetData>{data}</sheetData>{after}</worksheet>".encode()


def inner(xml):
    """What stands inside sheetData."""
    return re.search(rb"<sheetData>(.*)</sheetData>", xml, re.DOTALL).group(1).decode()


def patched(data, edits, **around):
    return inner(patch_sheet(sheet(data, **around), {position(name): edit for name, edit in edits.items()}))


def opened(xml):
    """The sheet as openpyxl reads it: formulas and cached values."""
    book = io.BytesIO()
    openpyxl.Workbook().save(book)
    with zipfile.ZipFile(book, "a") as archive:
        content = {n: archive.read(n) for n in archive.namelist()}
    content["xl/worksheets/sheet1.xml"] = xml
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, data in content.items():
            archive.writestr(name, data)
    return openpyxl.load_workbook(out).active, openpyxl.load_workbook(out, data_only=True).active


# -- results of formulas -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "value, expected",
    [
        (12.5, '<c r="A1" s="3"><f>B1</f><v>12.5</v></c>'),
        (3.0, '<c r="A1" s="3"><f>B1</f><v>3</v></c>'),
        (-0.0, '<c r="A1" s="3"><f>B1</f><v>0</v></c>'),
        (0.1 + 0.2, '<c r="A1" s="3"><f>B1</f><v>0.30000000000000004</v></c>'),
        (1e300, '<c r="A1" s="3"><f>B1</f><v>1e+300</v></c>'),
        (True, '<c r="A1" s="3" t="b"><f>B1</f><v>1</v></c>'),
        ("ab", '<c r="A1" s="3" t="str"><f>B1</f><v>ab</v></c>'),
        ("", '<c r="A1" s="3" t="str"><f>B1</f><v></v></c>'),
        ("=1+1 <&>", '<c r="A1" s="3" t="str"><f>B1</f><v>=1+1 &lt;&amp;&gt;</v></c>'),
        (" a\n", '<c r="A1" s="3" t="str"><f>B1</f><v xml:space="preserve"> a\n</v></c>'),
        (NA, '<c r="A1" s="3" t="e"><f>B1</f><v>#N/A</v></c>'),
    ],
)
@pytest.mark.parametrize("old", ["", "<v>1</v>", "<v/>"])
def test_the_result_of_a_formula(value, expected, old):
    if old == "<v>1</v>" and value == 1.0 and value is not True:
        return
    assert patched(f'<row r="1"><c r="A1" s="3"><f>B1</f>{old}</c></row>', {"A1": Result(value)}) == (
        f'<row r="1">{expected}</row>'
    )


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_a_number_that_a_sheet_cannot_hold_is_refused(value):
    with pytest.raises(ValueError, match="finite"):
        patched('<row r="1"><c r="A1"><f>B1</f></c></row>', {"A1": Result(value)})


def test_a_formulas_attributes_and_the_cells_metadata_are_kept():
    data = '<row r="1"><c r="A1" t="str" cm="1" vm="2"><f t="array" ref="A1:A2" ca="1">X(1)</f><v>a</v></c></row>'
    assert patched(data, {"A1": Result(2.0)}) == (
        '<row r="1"><c r="A1" cm="1"><f t="array" ref="A1:A2" ca="1">X(1)</f><v>2</v></c></row>'
    )


def test_a_result_that_is_there_already_leaves_the_bytes_alone():
    data = "<row  r='1'><c r='A1' t='n' vm='1' ><f>B1</f><v>1.50</v> </c><c r='B1' t='str'><f>A1</f><v>x</v></c></row>"
    assert patched(data, {"A1": Result(1.5), "B1": Result("x")}) == data


@pytest.mark.parametrize("cell", ['<c r="A2" s="1"/>', '<c r="A2" s="1"></c>', '<c r="A2" s="1"><v>7</v></c>'])
def test_cells_that_an_array_formula_fills(cell):
    assert patched(f'<row r="2">{cell}</row>', {"A2": Result(5.0)}) == '<row r="2"><c r="A2" s="1"><v>5</v></c></row>'


def test_what_else_stands_in_a_cell_is_kept():
    data = '<row r="1"><c r="A1"><f>B1</f>\n<v>1</v><extLst><ext uri="x"/></extLst></c></row>'
    assert patched(data, {"A1": Result(2.0)}) == data.replace("<v>1</v>", "<v>2</v>")


def test_other_bytes_stay(tmp_path):
    """On a rich sheet: the changed bytes lie inside the touched cell only."""
    source = write_rich(tmp_path / "a.xlsx")
    xml = parts(source)["xl/worksheets/sheet1.xml"]
    new = patch_sheet(xml, {position("B6"): Result("now text")})
    start = xml.index(b'<c r="B6"')
    end = xml.index(b"</c>", start) + 4
    assert new.startswith(xml[:start]) and new.endswith(xml[end:])
    rewrite(source, tmp_path / "b.xlsx", {"xl/worksheets/sheet1.xml": new})
    assert openpyxl.load_workbook(tmp_path / "b.xlsx", data_only=True)["Balm recipe"]["B6"].value == "now text"


# -- forms of XML --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_prefixes_and_byte_order_marks(mark):
    xml = (
        mark
        + (
            f'<x:worksheet xmlns:x="{MAIN}"><x:dimension ref="A1"/><x:sheetData><x:row r="1">'
            '<x:c r="A1"><x:f>1+1</x:f></x:c></x:row></x:sheetData></x:worksheet>'
        ).encode()
    )
    new = patch_sheet(xml, {(1, 1): Result(2.0), (2, 2): Constant("é"), (1, 3): Formula("A1*2", 4.0)})
    assert new.startswith(mark)
    assert b'<x:c r="A1"><x:f>1+1</x:f><x:v>2</x:v></x:c>' in new
    assert b'<x:dimension ref="A1:C2"/>' in new
    formulas, values = opened(new.removeprefix(mark))
    assert (formulas["C1"].value, values["C1"].value, values["B2"].value) == ("=A1*2", 4, "é")


@pytest.mark.parametrize("data", ["<sheetData/>", "<sheetData />", "<sheetData></sheetData>"])
def test_an_empty_sheet(data):
    xml = f'{HEAD}<dimension ref="A1"/>{data}<pageMargins left="1"/></worksheet>'.encode()
    new = patch_sheet(xml, {(3, 2): Constant(1.0), (2, 4): Constant("a", style=5)})
    assert inner(new) == (
        '<row r="2"><c r="D2" s="5" t="inlineStr"><is><t>a</t></is></c></row><row r="3"><c r="B3"><v>1</v></c></row>'
    )
    assert b'<dimension ref="B2:D3"/>' in new and b'<pageMargins left="1"/>' in new


def test_rows_and_cells_without_addresses():
    data = (
        '<row><c><v>1</v></c><c><f>A1</f></c></row><row r="5"><c r="B5"><v>1</v></c><c><f>1</f></c></row>'
        "<row><c/></row>"
    )
    new = patched(
        data, {"B1": Result(1.0), "C5": Result(2.0), "A6": Constant(3.0), "A5": Constant(0.0), "A3": Constant(9.0)}
    )
    assert new == (
        '<row><c><v>1</v></c><c><f>A1</f><v>1</v></c></row><row r="3"><c r="A3"><v>9</v></c></row>'
        '<row r="5"><c r="A5"><v>0</v></c><c r="B5"><v>1</v></c><c><f>1</f><v>2</v></c></row>'
        '<row><c r="A6"><v>3</v></c></row>'
    )


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be"])
def test_utf_16_is_refused(encoding):
    with pytest.raises(WorkbookProblem, match="UTF-16"):
        sheet_map(sheet("").decode().replace("UTF-8", "UTF-16").encode(encoding))


def test_other_encodings_are_refused():
    with pytest.raises(WorkbookProblem, match="iso-8859-1"):
        sheet_map(sheet("").replace(b"UTF-8", b"iso-8859-1"))


@pytest.mark.parametrize(
    "data",
    [
        '<row r="2"/><row r="1"/>',
        '<row r="1"/><row r="1"/>',
        '<row r="1"><c r="B1"/><c r="A1"/></row>',
        '<row r="1"><c r="A1"/><c r="A1"/></row>',
        '<row r="1"><c r="A2"/></row>',
        '<row r="x"/>',
        '<row r="1"><c r="?"/></row>',
        '<row r="1048577"/>',
        "<row>",
    ],
)
def test_damaged_sheets_are_refused(data):
    with pytest.raises(WorkbookProblem):
        sheet_map(sheet(data))


def test_a_document_type_is_refused():
    with pytest.raises(WorkbookProblem, match="entities"):
        sheet_map(b'<!DOCTYPE worksheet [<!ENTITY a "b">]>' + sheet("").split(b"?>", 1)[1])


def test_cells_in_extensions_are_not_cells():
    after = '<extLst><ext><sheetData><row r="1"><c r="A1"><f>9</f></c></row></sheetData></ext></extLst>'
    found = sheet_map(sheet('<row r="1"><c r="B1"/></row>', after=after))
    assert [cell.position for cell in found.cells()] == [(1, 2)]


def test_greater_than_signs_in_attributes():
    data = '<row r="1" x="a>b"><c r="A1" y=\'>\'><f z=">">B1&gt;1</f></c></row>'
    assert patched(data, {"A1": Result(True)}) == (
        '<row r="1" x="a>b"><c r="A1" y=\'>\' t="b"><f z=">">B1&gt;1</f><v>1</v></c></row>'
    )


# -- new cells -----------------------------------------------------------------------------------------------------


def test_new_cells_go_in_their_places_and_spans_grow():
    data = (
        '<row r="2" spans="2:3" ht="20" customHeight="1"><c r="B2"><v>1</v></c>'
        '<c r="D2"><v>2</v></c></row><row r="4" spans="1:9"/>'
    )
    new = patched(
        data,
        {
            "C2": Constant(1.5),
            "A2": Constant("x"),
            "E2": Constant(True),
            "F2": Constant(NA),
            "D4": Constant(4),
            "A3": Constant(3),
        },
    )
    assert new == (
        '<row r="2" spans="1:6" ht="20" customHeight="1"><c r="A2" t="inlineStr"><is><t>x</t></is></c>'
        '<c r="B2"><v>1</v></c><c r="C2"><v>1.5</v></c><c r="D2"><v>2</v></c><c r="E2" t="b"><v>1</v></c>'
        '<c r="F2" t="e"><v>#N/A</v></c></row>'
        '<row r="3"><c r="A3"><v>3</v></c></row><row r="4" spans="1:9"><c r="D4"><v>4</v></c></row>'
    )


def test_formulas_plain_and_array():
    new = patched(
        "",
        {
            "A1": Formula('=IF(B1<2,"a&b",1)', "a&b", style=2),
            "B1": Formula("TC_SCALE(C1:C2,10)", 4.0, ref="B1:B2"),
            "B2": Constant(6.0),
            "C1": Formula("1+1"),
        },
    )
    assert new == (
        '<row r="1"><c r="A1" s="2" t="str"><f>IF(B1&lt;2,"a&amp;b",1)</f><v>a&amp;b</v></c>'
        '<c r="B1"><f t="array" ref="B1:B2">TC_SCALE(C1:C2,10)</f><v>4</v></c><c r="C1"><f>1+1</f></c></row>'
        '<row r="2"><c r="B2"><v>6</v></c></row>'
    )


def test_a_cell_that_is_overwritten_keeps_its_style():
    data = '<row r="1"><c r="A1" s="7" t="s"><v>0</v></c><c r="B1" s="7"><v>1</v></c></row>'
    assert patched(data, {"A1": Constant(2.0), "B1": Constant(None)}) == (
        '<row r="1"><c r="A1" s="7"><v>2</v></c><c r="B1" s="7"/></row>'
    )


def test_what_others_hang_on_is_not_overwritten():
    shared = (
        '<row r="1"><c r="A1"><f t="shared" ref="A1:A2" si="0">B1</f></c></row>'
        '<row r="2"><c r="A2"><f t="shared" si="0"/></c></row>'
    )
    array = '<row r="1"><c r="A1"><f t="array" ref="A1:A2">B1:B2</f></c></row><row r="2"><c r="A2"><v>1</v></c></row>'
    for data, where in ((shared, "A1"), (array, "A1"), (array, "A2")):
        with pytest.raises(WorkbookProblem, match=f"^{where} "):
            patched(data, {where: Constant(1.0)})
    assert '<c r="A2"><v>1</v></c>' in patched(shared, {"A2": Constant(1.0)})


@pytest.mark.parametrize("text", ["", "=", "x" * 8193, "A1\x00", "A1\x1f"])
def test_formulas_that_no_cell_can_hold(text):
    with pytest.raises(WorkbookProblem):
        patched("", {"A1": Formula(text)})


def test_texts_longer_than_a_cell():
    with pytest.raises(WorkbookProblem, match="32767"):
        patched("", {"A1": Constant("x" * 32768)})


# -- text ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@A1", "=cmd|' /C calc'!A0", "\t=1", "<f>1</f>", "]]>", "&#61;1"])
def test_text_never_becomes_a_formula(text):
    formulas, values = opened(patch_sheet(sheet(""), {(1, 1): Constant(text), (2, 1): Result(text)}))
    for row in (1, 2):
        assert "<f>" not in inner(patch_sheet(sheet(""), {(row, 1): Constant(text)}))
        assert values.cell(row, 1).value == text
        assert formulas.cell(row, 1).data_type != "f" or text.startswith("=")  # openpyxl guesses from the text alone


@pytest.mark.parametrize(
    "text, written",
    [
        ("a\x01b", "a_x0001_b"),
        ("a\rb", "a_x000D_b"),
        ("_x0041_", "_x005F_x0041_"),
        ("_x_x0041_", "_x_x005F_x0041_"),
        ("_X0041_", "_X0041_"),
        ("\ufffe", "_xFFFE_"),
        ("😀 é", "😀 é"),
        ("\ud800", "\ufffd"),
    ],
)
def test_escapes(text, written):
    assert cell_text(text) == written


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=40) | st.from_regex(r"(_?x?[0-9A-F]{0,4}_){1,4}", fullmatch=True))
def test_every_text_comes_back(text):
    xml = patch_sheet(sheet(""), {(1, 1): Constant(text), (1, 2): Formula("A1", text)})
    tree = ElementTree.fromstring(xml)
    t, v = (tree.find(f".//{{{MAIN}}}{name}").text or "" for name in ("t", "v"))
    assert read_text(t) == read_text(v) == text


@settings(max_examples=60, deadline=None)
@given(st.floats(allow_nan=False, allow_infinity=False))
def test_every_number_comes_back(value):
    found = re.search("<v>(.*)</v>", patched("", {"A1": Constant(value)})).group(1)
    assert float(found) == value


cells = st.dictionaries(
    st.tuples(st.integers(1, 12), st.integers(1, 30)),
    st.floats(-1e6, 1e6) | st.text("ab<&=_ ", max_size=6),
    max_size=25,
)


@settings(max_examples=60, deadline=None)
@given(cells, cells)
def test_any_cells_into_any_sheet(before, edits):
    """Whatever is there and whatever is written: the sheet holds both, the later one where they meet, in good order."""
    first = patch_sheet(sheet("", before='<dimension ref="A1"/>'), {w: Constant(v) for w, v in before.items()})
    second = patch_sheet(first, {w: Constant(v) for w, v in edits.items()})
    wanted = {**before, **edits}
    found = sheet_map(second)  # refuses wrong order and duplicates
    got = {c.position: read_text(c.inline) if c.type == "inlineStr" else float(c.value) for c in found.cells()}
    assert got == wanted
    if wanted:
        box = area(found.dimension_ref)
        assert box == (
            min(r for r, _ in wanted), min(c for _, c in wanted), max(r for r, _ in wanted), max(c for _, c in wanted),
        )  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(st.integers(1, 16384), st.integers(1, 1048576))
def test_addresses_there_and_back(column, row):
    assert position(address((row, column))) == (row, column)
    assert address((row, column)) == f"{openpyxl.utils.get_column_letter(column)}{row}"


# -- the calculation chain -----------------------------------------------------------------------------------------


def test_the_calculation_chain_goes_with_its_links(tmp_path):
    source = write_rich(tmp_path / "a.xlsx")
    content = parts(source)
    types, rels = content[CONTENT_TYPES], content["xl/_rels/workbook.xml.rels"]
    link = b'<Relationship Id="rId99" Type="http://x/relationships/calcChain" Target="calcChain.xml"/>'
    kind = b'<Override PartName="/xl/calcChain.xml" ContentType="application/x"></Override>'
    chained = rewrite(
        source,
        tmp_path / "b.xlsx",
        {
            CONTENT_TYPES: types.replace(b"</Types>", kind + b"</Types>"),
            "xl/_rels/workbook.xml.rels": rels.replace(b"</Relationships>", link + b"</Relationships>"),
        },
        {"xl/calcChain.xml": b"<calcChain/>"},
    )
    package = Package.open(chained)
    package.write(tmp_path / "c.xlsx", *without_calculation_chain(package))
    assert parts(tmp_path / "c.xlsx") == content
    assert without_calculation_chain(Package.open(source)) == ({}, set())
