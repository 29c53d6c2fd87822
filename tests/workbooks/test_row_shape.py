"""Rows of the shape of the rows before: read as they would be cell by cell."""

import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tarecell.workbooks import sound
from tarecell.workbooks.cells import read
from tarecell.workbooks.patch import with_results
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.row_shape import Shapes
from tarecell.workbooks.sheet_map import sheet_map

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
STRINGS = ["a", "b"]


def sheet(rows, prefix: str = "") -> bytes:
    data = "".join(rows)
    name = f"xmlns:{prefix[:-1]}" if prefix else "xmlns"
    p = prefix
    return f'<{p}worksheet {name}="{MAIN}"><{p}sheetData>{data}</{p}sheetData></{p}worksheet>'.encode()


def usual(number: int, amount: str = "2.5", prefix: str = "") -> str:
    """A row as in a price list."""
    p, r = prefix, number
    return (
        f'<{p}row r="{r}" spans="1:5"><{p}c r="A{r}" t="s"><{p}v>1</{p}v></{p}c>'
        f'<{p}c r="B{r}" s="3"><{p}v>{amount}</{p}v></{p}c><{p}c r="C{r}"/>'
        f'<{p}c r="D{r}"><{p}f>B{r}&amp;1</{p}f><{p}v>7</{p}v></{p}c>'
        f'<{p}c r="E{r}" t="str"><{p}f t="shared" si="0"/><{p}v>x</{p}v></{p}c></{p}row>'
    )


def everything(xml: bytes):
    """What a sheet holds, however it was read; what is refused, by its reason."""
    try:
        layout = sheet_map(xml)
    except WorkbookProblem as problem:
        return problem.reason
    formulas, values = read("S", layout, STRINGS, False)
    spans = [(row.number, row.span) for row in layout.rows.values()]
    cells = [(c.position, c.type, c.value, c.span, c.value_span, c.formula_span) for c in layout.cells()]
    results = {f.position: v for f in formulas for v in [7.0 if f.position[0] % 2 else -0.1]}
    held = sorted(repr((row, column, value)) for column, cells in values.items() for row, value in cells.items())
    return formulas, held, spans, cells, with_results(layout, results)


def cell_by_cell(monkeypatch, xml: bytes):
    with monkeypatch.context() as patched:
        patched.setattr(Shapes, "find", lambda *_: None)
        return everything(xml)


@pytest.mark.parametrize("prefix", ["", "x:"])
def test_alike_rows_have_a_shape_and_the_same_contents(prefix, monkeypatch):
    xml = sheet([usual(r, f"{r / 8}", prefix) for r in range(1, 200)], prefix)
    shaped = [row.shape is not None for row in sheet_map(xml).rows.values()]
    assert sum(shaped) > 180
    found = everything(xml)
    assert found == cell_by_cell(monkeypatch, xml)
    assert len(found[0]) == 398 and found[0][-2].text == "B199&1" and found[4][1] == 99 + 199


BAD = [
    ('<c r="B40" s="3"><v>', '<c r="B41" s="3"><v>'),  # another row's
    ('<c r="C40"/>', '<c r="A40"/>'),  # twice
    ('<row r="40"', '<row r="39"'),
    ('<row r="40"', '<row r="1048577"'),
    ('<c r="C40"/>', "<d/>"),
    ('<c r="C40"/>', "text"),
    ('</row><row r="40"', '</row>text<row r="40"'),
]


@pytest.mark.parametrize("old, new", BAD)
def test_a_bad_row_among_alike_ones_is_refused(old, new, monkeypatch):
    xml = sheet([usual(r) for r in range(1, 80)]).replace(old.encode(), new.encode())
    assert new.encode() in xml
    assert isinstance(everything(xml), str)
    assert everything(xml) == cell_by_cell(monkeypatch, xml)


ODD = [
    lambda r: "",  # left out
    lambda r: f'<row r="{r}"/>',
    lambda r: f'<row r="{r}" hidden="1"></row>',
    lambda r: usual(r).replace(' s="3"', ' s="4"'),
    lambda r: usual(r, "1_0"),
    lambda r: usual(r, "1e999"),
    lambda r: usual(r, "nan"),
    lambda r: usual(r, ""),
    lambda r: usual(r, " 7 "),
    lambda r: usual(r, "--1"),
    lambda r: usual(r, "1<!-- 9 -->2"),
    lambda r: usual(r).replace("<v>1</v>", "<v>9</v>"),  # no such text
    lambda r: usual(r).replace("<v>1</v>", "<v>-1</v>"),
    lambda r: usual(r).replace("<v>1</v>", "<v> 0 </v>"),
    lambda r: usual(r).replace("<v>x</v>", "<v>_x0041_&amp;&#66;</v>"),
    lambda r: usual(r).replace("<v>7</v>", "<v/>"),
    lambda r: usual(r).replace("<v>7</v>", "<v>x</v>"),
    lambda r: usual(r).replace("<v>7</v>", ""),
    lambda r: usual(r).replace("<f>", '<f aca="false">'),
    lambda r: usual(r).replace('si="0"/>', f'si="0" ref="E{r}:E{r + 3}">B{r}&lt;2</f>'),
    lambda r: usual(r).replace(f'<c r="C{r}"/>', f'<c r="C{r}" t="inlineStr"><is><t>y</t></is></c>'),
    lambda r: usual(r).replace(
        f'<c r="C{r}"/>', f'<c r="C{r}" t="inlineStr"><is><t xml:space="preserve"> &lt;</t></is></c>'
    ),
    lambda r: usual(r).replace(f'<c r="C{r}"/>', f'<c r="C{r}" t="inlineStr"><is><t/></is></c>'),
    lambda r: usual(r).replace(f'<c r="C{r}"/>', f'<c r="C{r}" t="inlineStr"><v>1</v></c>'),
    lambda r: usual(r).replace(f'<c r="C{r}"/>', f'<c r="C{r}"><is><t>z</t></is></c>'),
    lambda r: usual(r).replace(f'<c r="C{r}"/>', f'<c r="C{r}" t="b"><v>1</v></c>'),
    lambda r: usual(r).replace(f'<c r="D{r}">', f'<c r="D{r}" t="n">'),
    lambda r: usual(r).replace("<v>7</v>", "<v></v>"),
    lambda r: usual(r).replace(f'<c r="C{r}"/>', f'<c r="C{r}" t="e"><v>#N/A</v></c>'),
    lambda r: usual(r).replace(f'<c r="C{r}"/>', f'<c r="C{r}" t="d"><v>2026-02-0{r % 9 + 1}</v></c>'),
    lambda r: usual(r).replace(f' r="{r}"', "").replace(f'r="B{r}" ', ""),  # no addresses
    lambda r: usual(r).replace("</c>", "</c >").replace("</row>", "</row\n>"),
    lambda r: usual(r).replace('<c r="D', '\n <c r="D'),
    lambda r: usual(r).replace(f'r="D{r}"', f'cm="1" r="D{r}"'),
    lambda r: usual(r).replace(f'r="D{r}"', f'r="D{r}" vm="1"'),
    lambda r: usual(r).replace(" spans", " a='&gt;/\">' spans"),
    lambda r: usual(r).replace("<f>B", "<f><![CDATA[1<2]]>B"),
]


@pytest.mark.parametrize("odd", ODD)
def test_a_kind_of_row_that_comes_again_and_again_is_read_as_it_would_be_cell_by_cell(odd, monkeypatch):
    xml = sheet([usual(1), *[odd(r) for r in range(2, 40)], usual(40)])
    assert everything(xml) == cell_by_cell(monkeypatch, xml)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(0, 3 * len(ODD)), min_size=30, max_size=90), st.integers(0, len(ODD) - 1))
def test_rows_of_all_kinds_are_read_as_they_would_be_cell_by_cell(kinds, often):
    """`often`: a kind that comes again and again, so that it gets a shape of its own."""
    rows = []
    for number, kind in enumerate(kinds, 1):
        make = usual if kind > 2 * len(ODD) else ODD[often] if kind > len(ODD) else ODD[kind % len(ODD)]
        rows.append(make(number))
    xml = sheet(rows)
    with pytest.MonkeyPatch.context() as patched:
        assert everything(xml) == cell_by_cell(patched, xml)


WRONG = [
    b"&", b"<", b">", b"]]>", b"\x01", b"\xff", b"\xc3", b"\xc3\xbc", b"\xef\xbf\xbf", b"\xed\xa0\x80", b"&#0;",
    b"&#27;", b"&#55296;", b"&#x41;", b"&#9;", b"&#252;", b"&#128512;", b"&nbsp;", b"&lt;", b"&lt", b'"', b"'", b" a",
    b' spans="2"', b' a="1" a="2"', b' a="<"', b' a="&"', b"<!-- x -->", b"<!-- -- -->", b"<?a?>", b"<![CDATA[<]]>",
    b"</row>", b"</sheetData>", b"<sheetData/>", b"<x/>", b"<x>", b"/", b"\0", b"<row>",
    b"<extLst>", b"<extLst/>", b"\n",
]  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(WRONG), st.floats(0, 1), st.sampled_from([None, b">", b"<", b'"', b"=", b" r"]), st.integers(0, 3)
)
def test_what_is_no_xml_is_refused_in_rows_of_a_known_shape(wrong, place, near, gone):
    """Something is put in, and a few bytes taken out: what is read is well-formed as expat, reading all of it, says."""
    xml = sheet([usual(r, f"{r / 8}") for r in range(1, 40)])
    at = max(int(place * len(xml)), 4)  # NUL before looks like UTF-16, and is told to be
    at = at if near is None else max(xml.find(near, at), 4) + int(near == b">")
    xml = xml[:at] + wrong + xml[at + gone :]
    with pytest.MonkeyPatch.context() as patched:
        assert everything(xml) == cell_by_cell(patched, xml)
    try:
        sound.parse(xml)
    except WorkbookProblem as problem:
        assert everything(xml) == problem.reason


@pytest.mark.parametrize(
    "again", ["<sheetData ", "<row ", '<row r="', "<c ", "<row><c>", '<row r="1" a="', "<x", "<!--", "a "]
)
def test_what_is_no_xml_is_refused_in_no_time(again):
    start = time.process_time()
    for xml in (
        again * 300_000,
        sheet([usual(r) for r in range(1, 40)]).decode().replace('<c r="A30"', again * 300_000),
    ):
        assert "damaged" in everything(xml.encode())
    assert time.process_time() - start < 5


def test_rows_that_look_alike_and_never_are_take_no_time():
    """Each row almost fits all shapes; patterns are not made without end."""
    cells = "".join(f'<c r="{chr(65 + c)}{{r}}" s="{{s}}"><v>1</v></c>' for c in range(26))
    xml = sheet([f'<row r="{r}">{cells.format(r=r, s=r)}</row>' for r in range(1, 20_001)])
    start = time.process_time()
    layout = sheet_map(xml)
    assert time.process_time() - start < 10
    assert len(layout.rows) == 20_000 and layout.cell((20_000, 26)).value == "1"
