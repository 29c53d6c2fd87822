"""The reader of a sheet's XML: what is odd but allowed is read, what is not understood is refused."""

import time
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tarecell.errors import CellError
from tarecell.workbooks.cells import read
from tarecell.workbooks.patch import Result, patch_sheet, with_results
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.sheet_map import sheet_map
from tarecell.workbooks.xml_text import read_text

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"


def sheet(data: str, before: str = "", after: str = "") -> bytes:
    head = f'<?xml version="1.0" encoding="UTF-8"?><worksheet xmlns="{MAIN}">'
    return f"{head}{before}<sheetData>{data}</sheetData>{after}</worksheet>".encode()


def one(content: str, attributes: str = ""):
    """The one cell of a sheet."""
    (cell,) = sheet_map(sheet(f'<row r="1"><c r="A1"{attributes}>{content}</c></row>')).cells()
    return cell


@pytest.mark.parametrize(
    "content, value",
    [
        ("<v>12</v>", "12"),
        ("<v/>", ""),
        ("<v></v>", ""),
        ("<f>A2</f>", None),
        ("<f/><v>1</v>", "1"),
        ("<v>1</v><f>A2</f>", "1"),  # not the usual order
        ("\n  <f>A2</f>\n  <v>1</v>\n", "1"),
        ("<v>1<!-- a <v>9</v> comment -->2</v>", "12"),
        ("<!-- <v>9</v> --><v>1</v>", "1"),
        ("<v>1</v><?hint <v>9</v>?>", "1"),
        ("<v><![CDATA[a<b&c]]>d</v>", "a<b&cd"),
        ("<v><![CDATA[&lt;]]>&lt;</v>", "&lt;<"),
        ("<v>&amp;lt;&#65;&#x42;&quot;&apos;&gt;</v>", "&lt;AB\"'>"),
        ("<v>a\r\nb\rc</v>", "a\nb\nc"),
        ('<v xml:space="preserve"> 1 </v>', " 1 "),
        ('<v a=">">1</v>', "1"),
        ("<f>A2</f><v>1</v><extLst><ext><v>9</v></ext></extLst>", "1"),
    ],
)
def test_values(content, value):
    assert one(content).value == value


@pytest.mark.parametrize(
    "content, text, attributes",
    [
        ("<v>1</v>", None, None),
        ("<f>A2&amp;1</f>", "A2&1", {}),
        ("<f/>", "", {}),
        ('<f t="shared" si="0"/><v>1</v>', "", {"t": "shared", "si": "0"}),
        ("<f t='array' ref = 'A1:A2'>B1</f>", "B1", {"t": "array", "ref": "A1:A2"}),
        ("<f><![CDATA[A2<1]]></f>", "A2<1", {}),
        ("<!-- x --><f>A2</f>", "A2", {}),
        ('<f x="a\tb&#10;c">A2</f>', "A2", {"x": "a b\nc"}),
    ],
)
def test_formulas(content, text, attributes):
    formula = one(content).formula
    assert (formula and formula.text) == text
    assert text is None or dict(formula.attributes) == attributes


def test_inline_texts_leave_the_pronunciation_out():
    cell = one("<is><r><t>a</t></r><rPh><t>x</t></rPh><r><t>b&amp;</t></r><t/></is>", ' t="inlineStr"')
    assert (cell.type, cell.inline, cell.value) == ("inlineStr", "ab&", None)


def test_prefixes():
    xml = (
        f'<x:worksheet xmlns:x="{MAIN}"><x:dimension ref="A1"/><x:sheetData>'
        '<x:row r="2"><x:c r="B2" t="b"><x:f>A1</x:f>'
        '<x:v>1</x:v></x:c></x:row></x:sheetData><x:mergeCells><x:mergeCell ref="A1:B1"/></x:mergeCells></x:worksheet>'
    ).encode()
    found = sheet_map(xml)
    assert [(c.position, c.type, c.value, c.formula.text) for c in found.cells()] == [((2, 2), "b", "1", "A1")]
    assert (found.prefix, found.dimension_ref, found.merged) == ("x:", "A1", [(1, 1, 1, 2)])
    assert b'<x:c r="B2"><x:f>A1</x:f><x:v>2</x:v></x:c>' in patch_sheet(xml, {(2, 2): Result(2.0)}, found)


@pytest.mark.parametrize(
    "data",
    [
        f'<x:row xmlns:x="{MAIN}" r="1"/>',  # the same element under another prefix: it must not be passed over
        '<row r="1"><c r="A1"><c r="B1"/></c></row>',
        '<row r="1"><row r="2"/></row>',
        '<c r="A1"><v>1</v></c>',
        '<row r="1">text<c r="A1"/></row>',
        '<row r="1"/>text',
        '<row r="1"><d/></row>',
        '<sheetData><row r="1"/></sheetData>',
        '<row r="1"><c r="A1"><v>&unknown;</v></c></row>',
        '<row r="1"><c r="A1"><v>1</c></v></row>',
        '<row r="1"><c r="A1"/><c r="A1" s="1"/></row>',
        '<row r="1"><c s="1" r="B1"/><c r="A1"/></row>',
        '<row r="1"><c r="XFE1"/></row>',
    ],
)
def test_what_is_not_understood_is_refused(data):
    with pytest.raises(WorkbookProblem):
        sheet_map(sheet(data))


def test_cells_twice_and_cells_nowhere():
    for after in ("<sheetData/>", '<sheetData><row r="1"/></sheetData>'):
        with pytest.raises(WorkbookProblem, match="twice"):
            sheet_map(sheet("", after=after))
    with pytest.raises(WorkbookProblem, match="no cells"):
        sheet_map(f'<worksheet xmlns="{MAIN}"><a><sheetData/></a></worksheet>'.encode())
    with pytest.raises(WorkbookProblem, match="no cells"):
        sheet_map(f'<worksheet xmlns="{MAIN}"><!-- <sheetData/> --></worksheet>'.encode())


def test_extension_lists_between_cells_are_no_cells():
    inner = '<extLst><ext><row r="1"><c r="A1"><f>9</f></c></row></ext></extLst>'
    found = sheet_map(sheet(f'<row r="1"><c r="B1"><v>1</v></c>{inner}</row><row r="2"/>{inner}'))
    assert [cell.position for cell in found.cells()] == [(1, 2)] and list(found.rows) == [1, 2]


def test_comments_stay_where_they_are():
    data = '<row r="1"><!-- a --><c r="A1"><!-- b --><f>A2</f><!-- c --><v>1</v></c><!-- d --></row>'
    xml = sheet(data)
    assert patch_sheet(xml, {(1, 1): Result(2.0)}) == xml.replace(b"<v>1</v>", b"<v>2</v>")


def test_a_dimension_behind_the_cells():
    found = sheet_map(sheet('<row r="1"><c r="A1"><v>1</v></c></row>', after='<dimension ref="A1:A1"/>'))
    assert found.xml[found.dimension.start : found.dimension.end] == b'<dimension ref="A1:A1"/>'


def test_results_counted():
    found = sheet_map(sheet('<row r="1"><c r="A1"><f>1</f><v>1</v></c><c r="B1" t="str"><f>2</f><v>x</v></c></row>'))
    xml, changed = with_results(found, {(1, 1): 1.0, (1, 2): "y", (1, 3): True})
    assert changed == 2
    assert b'<c r="B1" t="str"><f>2</f><v>y</v></c><c r="C1" t="b"><v>1</v></c></row>' in xml
    assert with_results(found, {(1, 1): 1.0}) == (found.xml, 0)


def test_a_row_as_wide_as_a_sheet_and_a_text_full_of_brackets_take_no_time():
    from tarecell.workbooks.references import address

    wide = "".join(f'<c r="{address((1, c))}"><v>{c}</v></c>' for c in range(1, 16385))
    bad = '<c r="A2"><is><t>' + "&lt;c&lt;/c&gt;" * 50_000 + "</t><t>" * 2_000 + "</t></t>" * 1_000
    start = time.process_time()
    assert len(sheet_map(sheet(f'<row r="1">{wide}</row>')).rows[1].cells) == 16384
    with pytest.raises(WorkbookProblem):
        sheet_map(sheet(f'<row r="1">{wide}</row><row r="2">{bad}</c></row>'))
    with pytest.raises(WorkbookProblem):
        sheet_map(sheet(f'<row r="1">{wide}<d/></row>'))  # found at the end of a long row
    assert time.process_time() - start < 10


def test_wide_rows_without_addresses_take_no_time():
    cells = "<c><f>1+1</f><v>1</v></c>" * 16_384
    found = sheet_map(sheet(f"<row>{cells}</row><row>{cells}</row>"))
    start = time.process_time()
    xml, changed = with_results(found, {(row, column): 2.0 for row in (1, 2) for column in range(1, 16_385)})
    assert changed == xml.count(b"<v>2</v>") == 32_768
    assert time.process_time() - start < 10


values = st.floats(-1e9, 1e9).map(repr) | st.sampled_from(["", " 7 ", "1e3", "x", "1_0"])
tags = st.sampled_from(["", ' s="3"', ' t="s"', ' t="b"', ' t="str"', ' s="1" t="e"', ' t="n"', ' cm="1"'])


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.integers(1, 4), tags, st.none() | st.just("A9+1"), st.none() | values), max_size=12))
def test_the_same_as_an_xml_parser_reads(given_cells):
    """Whatever combination of tags, formulas and values: what the library's own tree holds."""
    column, cells = 0, []
    for step, tag, formula, value in given_cells:
        column += step
        f = "" if formula is None else f"<f>{formula}</f>"
        v = "" if value is None else f"<v>{value}</v>"
        cells.append(f'<c r="{chr(64 + column // 26) if column > 26 else ""}{chr(65 + column % 26)}1"{tag}>{f}{v}</c>')
    if column >= 26:
        return
    xml = sheet(f'<row r="1">{"".join(cells)}</row>')
    wanted = []
    for c in ElementTree.fromstring(xml).iter(f"{{{MAIN}}}c"):
        v, f = c.find(f"{{{MAIN}}}v"), c.find(f"{{{MAIN}}}f")
        wanted.append((c.get("t", "n"), f.text if f is not None else None, (v.text or "") if v is not None else None))
    found = [(c.type, c.formula and c.formula.text, c.value) for c in sheet_map(xml).cells()]
    assert found == wanted
    formulas, values = read("S", sheet_map(xml), ["a"], False)
    assert [f.text for f in formulas] == [f for _, f, _ in wanted if f]
    assert not {f.position for f in formulas} & {(row, column) for column, held in values.items() for row in held}


@pytest.mark.parametrize("tag, text", [("", "1_0"), ("", "٣"), ("", "1,5"), (' t="s"', "-1"), (' t="s"', "9")])
def test_a_number_that_is_none_is_an_error(tag, text):
    for rows in (1, 30):  # cell by cell, and by the shape of the rows before
        xml = sheet("".join(f'<row r="{r}"><c r="A{r}"{tag}><v>0</v></c></row>' for r in range(1, rows)))
        xml = xml.replace(
            b"</sheetData>", f'<row r="{rows}"><c r="A{rows}"{tag}><v>{text}</v></c></row></sheetData>'.encode()
        )
        value = read("S", sheet_map(xml), ["a"], False)[1][1][rows]
        assert isinstance(value, CellError) and value.kind == "#VALUE!"


def test_escapes_in_texts():
    assert read_text(one("<v>_x0041_&amp;</v>", ' t="str"').value) == "A&"
