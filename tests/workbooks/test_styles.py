"""Cell formats spliced into styles.xml: found again by openpyxl, and nothing older moved."""

import openpyxl
import pytest
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from tarecell.workbooks.package import Package
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.styles import Styles
from workbooks.rich import rewrite, write_rich

OLD = b'<styleSheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">%s</styleSheet>'
ONE = b'<cellXfs count="1"><xf numFmtId="0" fontId="0" fillId="0" borderId="0"/></cellXfs>'


@pytest.fixture
def coloured(tmp_path):
    """A workbook whose A1 has a look of its own."""
    book = openpyxl.Workbook()
    cell = book.active["A1"]
    cell.value, cell.number_format = 2.5, '0.00" g"'
    cell.font, cell.fill = Font(name="Georgia", bold=True, color="FF663399"), PatternFill("solid", fgColor="FFEEDDCC")
    cell.border = Border(bottom=Side("medium", color="FF000000"))
    cell.alignment = Alignment(horizontal="left", vertical="top", wrap_text=True, indent=1)
    book.save(tmp_path / "coloured.xlsx")
    return tmp_path / "coloured.xlsx"


def _look(cell):
    return cell.font.name, cell.font.b, cell.fill.fgColor.rgb, cell.border.bottom.style


def _with_b1(path, style, xml, part, tmp_path):
    """The workbook with the new styles, and B1 in the new format."""
    package = Package.open(path)
    sheet = package.sheets[0].part
    content = package.read(sheet).replace(b"</row>", b'<c r="B1" s="%d"><v>1</v></c></row>' % style)
    package.write(tmp_path / "new.xlsx", {part: xml, sheet: content})
    return openpyxl.load_workbook(tmp_path / "new.xlsx").active


def test_a_new_format_has_the_look_and_the_number_format_asked_for(coloured, tmp_path):
    styles, part = Styles.of(Package.open(coloured))
    assert (styles.number_format(1), styles.wraps(1), styles.wraps(0)) == ('0.00" g"', True, False)
    style = styles.like(1, "0.000%")
    sheet = _with_b1(coloured, style, styles.xml, part, tmp_path)
    assert _look(sheet["B1"]) == _look(sheet["A1"]) == ("Georgia", True, "FFEEDDCC", "medium")
    assert (sheet["A1"].number_format, sheet["B1"].number_format) == ('0.00" g"', "0.000%")
    alignment = sheet["B1"].alignment
    assert (alignment.horizontal, alignment.vertical, alignment.wrap_text) == (None, "top", None)


def test_the_whole_alignment_is_taken_over_when_asked(coloured, tmp_path):
    styles, part = Styles.of(Package.open(coloured))
    style = styles.like(1, "0", align=True, quoted=True)
    cell = _with_b1(coloured, style, styles.xml, part, tmp_path)["B1"]
    assert (cell.alignment.horizontal, cell.alignment.indent, cell.alignment.wrap_text) == ("left", 1, True)
    assert cell.quotePrefix and cell.number_format == "0"


def test_the_same_format_is_made_once_and_older_ones_keep_their_bytes(coloured):
    styles, _ = Styles.of(Package.open(coloured))
    assert not styles.changed
    before = styles.xml
    first, again, other = styles.like(1, "0.0"), styles.like(1, "0.0"), styles.like(0, "0.0")
    assert first == again and other == first + 1 and styles.changed
    fonts = before[before.index(b"<fonts") : before.index(b"<cellXfs")]
    assert fonts in styles.xml
    formats = before[before.index(b"<xf", before.index(b"<cellXfs")) : before.index(b"</cellXfs>")]
    assert formats in styles.xml
    assert Styles(styles.xml).like(1, "0.0") == first  # found, not added once more


def test_formats_known_by_number_are_not_added():
    styles = Styles(OLD % ONE)
    style = styles.like(0, "0.00%")
    assert b"numFmts" not in styles.xml and Styles(styles.xml).number_format(style) == "0.00%"
    assert Styles(styles.xml).xml == styles.xml


@pytest.mark.parametrize(
    "formats",
    [
        b"",
        b'<numFmts count="0"/>',
        b'<numFmts count="1"><numFmt numFmtId="200" formatCode="0.0&quot;g&quot;"/></numFmts>',
    ],
)
def test_number_formats_are_added_whether_or_not_there_are_some(formats):
    styles = Styles(OLD % (formats + ONE))
    style, odd = styles.like(0, "#,##0.0"), styles.like(0, '0 "<&>"')
    read = Styles(styles.xml)
    assert (read.number_format(style), read.number_format(odd)) == ("#,##0.0", '0 "<&>"')
    count = int(styles.xml.split(b'<numFmts count="')[1].split(b'"')[0])
    assert count == styles.xml.count(b"<numFmt ")
    assert b'<cellXfs count="3">' in styles.xml
    if b"200" in formats:
        assert styles.like(0, '0.0"g"') == style + 2 and b'numFmtId="200"' in styles.xml.split(b"cellXfs")[1]


def test_prefixed_elements_get_prefixed_company():
    xml = (OLD % ONE).replace(b"<", b"<x:").replace(b"<x:/", b"</x:").replace(b"xmlns=", b"xmlns:x=")
    styles = Styles(xml)
    styles.like(0, "0.0")
    assert b"<x:numFmts" in styles.xml and b"<x:xf " in styles.xml and b"<xf" not in styles.xml


def test_a_number_out_of_range_means_the_first_format():
    assert Styles(OLD % ONE).number_format(99) == "General"


@pytest.mark.parametrize(
    "xml", [OLD % b"", OLD % b'<cellXfs count="0"/>', b"<styleSheet", OLD.decode().encode("utf-16")]
)
def test_damaged_styles_are_refused(xml):
    with pytest.raises(WorkbookProblem):
        Styles(xml)


def test_a_workbook_without_styles_has_none(tmp_path):
    rich = write_rich(tmp_path / "rich.xlsx")
    rels = Package.open(rich).read("xl/_rels/workbook.xml.rels")
    start = rels.index(b"<Relationship Id=", rels.index(b"styles.xml") - 200)
    piece = next(p for p in rels[start:].split(b"/>") if b"styles.xml" in p) + b"/>"
    bare = rewrite(
        rich,
        tmp_path / "bare.xlsx",
        {"xl/_rels/workbook.xml.rels": rels.replace(piece, b"")},
        dropped=["xl/styles.xml"],
    )
    assert Styles.of(Package.open(bare)) is None
