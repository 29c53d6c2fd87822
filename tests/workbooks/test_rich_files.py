"""Rich workbooks that were not shaped for this: a formula is added, and everything else is still there, byte for byte.

They come from XlsxWriter, from real Calc (charts, a picture, comments, a pivot table) and from Excel itself (the macro
workbook that the xlwings package ships).
"""

import io
import re
import shutil
import zipfile
from importlib.util import find_spec
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter
from tarecell.workbooks.add import plan_addition, write
from tarecell.workbooks.find import find_recipes
from tarecell.workbooks.open_document import as_xlsx
from tarecell.workbooks.package import Package
from tarecell.workbooks.patch import Constant, patch_sheet
from tarecell.workbooks.recalculate import recalculate
from tarecell.workbooks.references import area
from tarecell.workbooks.sheet_map import sheet_map
from tarecell.workbooks.strict import as_usual
from workbooks.add_books import recipe
from workbooks.rich import parts, rewrite, write_rich

pytestmark = [pytest.mark.xdist_group("calc"), pytest.mark.filterwarnings("ignore::UserWarning")]
STRUCTURE = {"[Content_Types].xml", "xl/_rels/workbook.xml.rels", "xl/calcChain.xml"}  # only where there was a chain


# -- the workbooks ---------------------------------------------------------------------------------------------------


def _modern(path):
    """What newer programs add: LET and spilling, a checkbox, icon sets, print settings, grouped rows and columns."""
    book = xlsxwriter.Workbook(str(path), {"use_future_functions": True})
    book.set_custom_property("batch", 7)
    sheet = book.add_worksheet("It's a cream")
    title, head = (
        book.add_format({"bold": True, "font_size": 16}),
        book.add_format({"bold": True, "bg_color": "#CCEEDD", "bottom": 2}),
    )
    body = book.add_format({"bg_color": "#F4FAF7", "left": 4, "font_name": "Georgia"})
    sheet.merge_range("A1:C1", "Cream for dry hands", title)
    sheet.write_row("A3", ["Ingredient", "Amount", "Unit"], head)
    for row, line in enumerate([("Water", 300, "g"), ("Oil", 2, "oz"), ("Wax", 40, "g")], 3):
        sheet.write_row(row, 0, line, body)
    sheet.write("A7", "Total", head)
    sheet.write_dynamic_array_formula("E30", "=SEQUENCE(4)", None, 1)
    sheet.write_formula("F30", "=LET(x,2,x*3)", None, 6)
    sheet.conditional_format("B4:B6", {"type": "icon_set", "icon_style": "3_traffic_lights"})
    sheet.conditional_format("B4:B6", {"type": "2_color_scale"})
    sheet.data_validation("C4:C6", {"validate": "list", "source": ["g", "oz", "lb"]})
    sheet.set_column("H:XFD", None, None, {"level": 1})
    sheet.set_row(1, 30, None, {"level": 1, "collapsed": False})
    sheet.set_landscape(), sheet.fit_to_pages(1, 0), sheet.repeat_rows(2), sheet.print_area("A1:C7")
    sheet.set_footer("&L&D&RPage &P of &N"), sheet.set_margins(0.3, 0.3, 1, 1)
    sheet.ignore_errors({"number_stored_as_text": "A4:A6"}), sheet.outline_settings(True, False, True, False)
    sheet.insert_checkbox("H4", True), sheet.write_url("A12", "https://example.org/", string="certificate")
    log = book.add_worksheet("log")
    log.protect("secret"), log.set_tab_color("red")
    log.write_formula("A1", "='It''s a cream'!B4*2", None, 600)
    book.define_name("Batch", "='It''s a cream'!$B$4:$B$6")
    book.close()
    return path


def _with_foreign_parts(path):
    """Parts that no library here makes: threaded comments, persons, a slicer, custom XML, printer settings."""
    source = write_rich(path.with_name("plain.xlsx"))
    types = parts(source)["[Content_Types].xml"]
    kinds = {
        "xl/threadedComments/threadedComment1.xml": "application/vnd.ms-excel.threadedcomments+xml",
        "xl/persons/person.xml": "application/vnd.ms-excel.person+xml",
        "xl/slicers/slicer1.xml": "application/vnd.ms-excel.slicer+xml",
        "customXml/item1.xml": "application/xml",
    }
    for name, kind in kinds.items():
        types = types.replace(b"</Types>", f'<Override PartName="/{name}" ContentType="{kind}"/></Types>'.encode())
    added = {name: f'<?xml version="1.0"?><a xmlns="urn:x">{name} — ünique</a>'.encode() for name in kinds}
    added["xl/printerSettings/printerSettings1.bin"] = bytes(range(256))
    return rewrite(source, path, {"[Content_Types].xml": types}, added)


def _strict(path):
    """The strict kind of the format: other namespaces for the same parts."""
    source = _modern(path.with_name("transitional.xlsx"))
    changed = {}
    for name, content in parts(source).items():
        if name.endswith((".xml", ".rels")):
            content = content.replace(
                b"http://schemas.openxmlformats.org/spreadsheetml/2006/main",
                b"http://purl.oclc.org/ooxml/spreadsheetml/main",
            ).replace(
                b"http://schemas.openxmlformats.org/officeDocument/2006/relationships",
                b"http://purl.oclc.org/ooxml/officeDocument/relationships",
            )
            changed[name] = content
    return rewrite(source, path, changed)


def _excels_own(path):
    """The macro workbook that xlwings ships, which Excel made, with a recipe typed into its sheet."""
    package = Package.open(Path(find_spec("xlwings").origin).with_name("quickstart.xlsm"))
    sheet = package.sheets[0]
    cells = {(3, 2): "ingredient", (3, 3): "grams", (4, 2): "Water", (4, 3): 75, (5, 2): "Oil", (5, 3): 25}
    patched = patch_sheet(package.read(sheet.part), {where: Constant(value) for where, value in cells.items()})
    package.write(path, {sheet.part: patched})
    return path


def _date1904(path):
    return write_rich(path, {"date_1904": True})


FLAT = """<?xml version="1.0" encoding="UTF-8"?>
<office:document xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0"
 xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0"
 xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0"
 xmlns:style="urn:oasis:names:tc:opendocument:xmlns:style:1.0" xmlns:dc="http://purl.org/dc/elements/1.1/"
 xmlns:fo="urn:oasis:names:tc:opendocument:xmlns:xsl-fo-compatible:1.0" office:version="1.3"
 office:mimetype="application/vnd.oasis.opendocument.spreadsheet">
<office:automatic-styles><style:style style:name="head" style:family="table-cell"><style:table-cell-properties
 fo:background-color="#ffeecc" fo:border="1pt solid #884400"/>
 <style:text-properties fo:font-weight="bold"/></style:style>
</office:automatic-styles>
<office:body><office:spreadsheet>
<table:content-validations><table:content-validation table:name="v1" table:base-cell-address="Balm.C2"
 table:condition="of:cell-content-is-in-list(&quot;wax&quot;;&quot;oil&quot;)"/></table:content-validations>
<table:table table:name="Balm">ROWS</table:table>
<table:named-expressions><table:named-range table:name="Weights" table:base-cell-address="$Balm.$A$1"
 table:cell-range-address="$Balm.$B$2:.$B$4"/></table:named-expressions>
<table:data-pilot-tables><table:data-pilot-table table:name="Pivot" table:target-range-address="Balm.H12:Balm.I16">
<table:source-cell-range table:cell-range-address="Balm.A1:Balm.C4"/>
<table:data-pilot-field table:source-field-name="phase" table:orientation="row"/>
<table:data-pilot-field table:source-field-name="grams" table:orientation="data" table:function="sum"/>
</table:data-pilot-table></table:data-pilot-tables>
</office:spreadsheet></office:body></office:document>"""


def _flat(path):
    """An OpenDocument sheet with a pivot table, a validation, a comment and a name, written as one XML file."""

    def text(value, style="", inside="", more=""):
        style = f' table:style-name="{style}"' if style else ""
        cell = f'<table:table-cell{style} {more} office:value-type="string">'
        return f"{cell}{inside}<text:p>{value}</text:p></table:table-cell>"

    def line(name, grams, phase, inside=""):
        number = f'<table:table-cell office:value-type="float" office:value="{grams}"/>'
        rule = 'table:content-validation-name="v1"'
        return f"<table:table-row>{text(name, inside=inside)}{number}{text(phase, more=rule)}</table:table-row>"

    note = "<office:annotation><dc:creator>me</dc:creator><text:p>from the market</text:p></office:annotation>"
    rows = (
        "<table:table-row>" + "".join(text(t, "head") for t in ("ingredient", "grams", "phase")) + "</table:table-row>"
    )
    rows += line("Beeswax", 25, "wax", note) + line("Olive oil", 70, "oil") + line("Shea butter", 5, "oil")
    path.write_text(FLAT.replace("ROWS", rows), encoding="utf-8")
    return path


MADE = {
    "xlsxwriter": ("rich.xlsx", write_rich, "Balm recipe"),
    "with macros": ("rich.xlsm", write_rich, "Balm recipe"),
    "of 1904": ("rich1904.xlsx", _date1904, "Balm recipe"),
    "modern": ("modern.xlsx", _modern, "It's a cream"),
    "foreign parts": ("foreign.xlsx", _with_foreign_parts, "Balm recipe"),
    "strict": ("strict.xlsx", _strict, "It's a cream"),
    "excel's own": ("own.xlsm", _excels_own, None),
}
BY_CALC = {"rich from calc": ("rich.xlsx", write_rich, "Balm recipe"), "pivot from calc": ("flat.fods", _flat, "Balm")}


@pytest.fixture(scope="module", params=[*MADE, *BY_CALC])
def work(request, tmp_path_factory):
    """A workbook, and the one with a scaled column beside its recipe: before, after, plan."""
    folder = tmp_path_factory.mktemp("rich")
    name, make, sheet = {**MADE, **BY_CALC}[request.param]
    path = make(folder / name)
    if request.param in BY_CALC:
        saved = folder / "saved by calc.xlsx"
        request.getfixturevalue("calc").read(path, save_as=[saved])
        path = saved
    sheet = sheet or Package.open(path).sheets[0].name
    plan = plan_addition(path, "scale", sheet=sheet, pieces=10, fill=50, step=0.1)
    out = write(plan, folder / f"added{path.suffix}").out
    return path, out, plan


# -- what must hold for each -----------------------------------------------------------------------------------------


def test_the_untouched_parts_are_the_same_bytes_in_the_same_order(work):
    before, after, plan = work
    old, new = parts(before), parts(after)
    sheet = next(s.part for s in Package.open(before).sheets if s.name == plan.sheet)
    allowed = {sheet, "xl/styles.xml"} | (STRUCTURE if "xl/calcChain.xml" in old else set())
    assert {name for name in old if new.get(name) != old[name]} <= allowed
    assert [name for name in old if name in new] == list(new)
    assert set(old) - set(new) <= {"xl/calcChain.xml"}


def test_only_the_touched_rows_differ_in_the_changed_sheet(work):
    before, after, plan = work
    part = next(s.part for s in Package.open(before).sheets if s.name == plan.sheet)
    old, new = sheet_map(parts(before)[part]), sheet_map(parts(after)[part])
    written = {row for cell in plan.cells for row in range(area(cell.address)[0], area(cell.address)[2] + 1)}
    assert set(new.rows) - set(old.rows) <= written
    for number, row in old.rows.items():
        same = (
            old.xml[row.span.start : row.span.end] == new.xml[new.rows[number].span.start : new.rows[number].span.end]
        )
        assert same or number in written
        for column, cell in row.cells.items():  # and in the touched rows, every older cell
            there = new.rows[number].cells[column].span
            if not any(_inside((number, column), c.address) for c in plan.cells):
                assert old.xml[cell.span.start : cell.span.end] == new.xml[there.start : there.end]
    assert old.xml[old.data.closing :] == new.xml[new.data.closing :]
    heads = [re.sub(rb"<dimension[^>]*>|<cols>.*</cols>", b"", m.xml[: m.data.start]) for m in (old, new)]
    assert heads[0] == heads[1]


def _inside(where, address):
    box = area(address)
    return box[0] <= where[0] <= box[2] and box[1] <= where[1] <= box[3]


def test_the_styles_only_grow(work):
    before, after, _ = work
    old, new = parts(before)["xl/styles.xml"], parts(after)["xl/styles.xml"]
    for section in (b"fonts", b"fills", b"borders", b"cellStyleXfs", b"cellStyles", b"dxfs"):
        found = re.search(rb"<%s\b.*?</%s>" % (section, section), old, re.DOTALL)
        assert found is None or found.group() in new
    count = [xml.split(b"<cellXfs")[1].split(b"</cellXfs>")[0].count(b"<xf ") for xml in (old, new)]
    assert int(re.search(rb'<cellXfs count="(\d+)"', new)[1]) == count[1] > count[0]


def _opened(path, **options):
    """A workbook in openpyxl, which knows the usual kind only."""
    return openpyxl.load_workbook(io.BytesIO(as_usual(Package.open(path))), **options)


def test_openpyxl_opens_it_and_finds_the_formulas(work):
    _, after, plan = work
    formulas, values = _opened(after), _opened(after, data_only=True)
    for cell in plan.cells:
        first = cell.address.split(":")[0]
        found = formulas[plan.sheet][first].value
        found = "{" + found.text + "}" if hasattr(found, "text") else found
        if cell.formula:
            assert found == cell.content and values[plan.sheet][first].value == pytest.approx(cell.shows)
        else:
            assert ("" if found is None else str(found)) == cell.content


def test_calc_opens_it_and_shows_the_same_numbers(work, calc, tmp_path):
    _, after, plan = work
    sheets = calc.read(after, save_as=[tmp_path / "again.xlsx", tmp_path / "again.pdf"])
    assert (tmp_path / "again.pdf").read_bytes().startswith(b"%PDF") and zipfile.is_zipfile(tmp_path / "again.xlsx")
    cells = sheets[plan.sheet]
    shown = _opened(after, data_only=True)[plan.sheet]
    checked = 0
    for cell in plan.cells:
        top, left, bottom, right = area(cell.address)
        for row in range(top, bottom + 1):
            mine = shown.cell(row, left).value
            if mine not in (None, ""):
                theirs = cells[row, left].value
                assert theirs == (pytest.approx(mine, rel=1e-12) if isinstance(mine, (int, float)) else mine)
                checked += 1
    assert checked >= 8
    amounts = [
        cells[r, area(c.address)[1]].value for c in plan.cells if c.content.startswith("{=TC_SCALE") for r in _rows(c)
    ]
    assert sum(a for a in amounts if isinstance(a, float)) == pytest.approx(500, abs=1e-9)  # 10 pieces of 50 g


def _rows(cell):
    return range(area(cell.address)[0], area(cell.address)[2] + 1)


def test_a_recalculation_finds_nothing_new_in_it(work, tmp_path):
    before, after, plan = work
    recalculate(before, tmp_path / f"b{before.suffix}")
    recalculate(after, tmp_path / f"a{after.suffix}")
    package = Package.open(after)
    own = next(s.part for s in package.sheets if s.name == plan.sheet)
    old, new = parts(tmp_path / f"b{before.suffix}"), parts(tmp_path / f"a{after.suffix}")
    for sheet in package.sheets:
        if sheet.part != own:
            assert old[sheet.part] == new[sheet.part]  # nothing elsewhere depends on what was added
    layout, again = sheet_map(parts(after)[own]), sheet_map(new[own])
    for cell in plan.cells:
        where = area(cell.address)[:2]
        assert layout.cell(where).value == again.cell(where).value


# -- single questions ------------------------------------------------------------------------------------------------


def test_a_chain_of_calculation_that_misses_the_new_formulas_goes(tmp_path):
    source = write_rich(tmp_path / "rich.xlsx")
    old = parts(source)
    types = old["[Content_Types].xml"].replace(
        b"</Types>",
        b'<Override PartName="/xl/calcChain.xml" ContentType="application/vnd.openxmlformats-officedocument.'
        b'spreadsheetml.calcChain+xml"/></Types>',
    )
    rels = old["xl/_rels/workbook.xml.rels"].replace(
        b"</Relationships>",
        b'<Relationship Id="rId99" Target="calcChain.xml" Type="http://schemas.openxmlformats.org/officeDocument/2006/'
        b'relationships/calcChain"/></Relationships>',
    )
    chain = (
        b'<calcChain xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><c r="B5" i="1"/></calcChain>'
    )
    path = rewrite(
        source,
        tmp_path / "chain.xlsx",
        {"[Content_Types].xml": types, "xl/_rels/workbook.xml.rels": rels},
        {"xl/calcChain.xml": chain},
    )
    out = write(plan_addition(path, "shares", sheet="Balm recipe")).out
    new = parts(out)
    assert (
        "xl/calcChain.xml" not in new
        and b"calcChain" not in new["[Content_Types].xml"] + new["xl/_rels/workbook.xml.rels"]
    )
    assert new["[Content_Types].xml"] == old["[Content_Types].xml"]


def test_what_was_calculated_with_the_functions_before_stays_so(tmp_path):
    path = recalculate(write_rich(tmp_path / "rich.xlsx")).out
    out = write(plan_addition(path, "shares", sheet="Balm recipe")).out
    old = openpyxl.load_workbook(path, data_only=True)["Balm recipe"]
    new = openpyxl.load_workbook(out, data_only=True)["Balm recipe"]
    assert [new[f"D{r}"].value for r in range(1, 8)] == [old[f"D{r}"].value for r in range(1, 8)]
    assert old["D2"].value == 50


def test_an_open_document_is_read_by_way_of_calc(calc, tmp_path):
    calc.read(write_rich(tmp_path / "rich.xlsx"), save_as=[tmp_path / "recipes.ods"])
    before = (tmp_path / "recipes.ods").read_bytes()
    plan = plan_addition(tmp_path / "recipes.ods", "scale", sheet="Balm recipe", target=350)
    out = write(plan).out
    assert out == tmp_path / "recipes.scale.xlsx" and (tmp_path / "recipes.ods").read_bytes() == before
    sheet = calc.read(out)["Balm recipe"]
    row, column = area(next(c.address for c in plan.cells if c.content.startswith("{=")))[:2]
    assert [sheet[r, column].value for r in range(row, row + 3)] == pytest.approx([100, 240, 10])  # 25 : 60 : 2.5
    assert [sheet[r, 4].value for r in range(2, 5)] == [50, 120, 5]  # its own TC_SCALE works on
    with as_xlsx(tmp_path / "recipes.ods") as converted:
        folder = converted.parent
        values = openpyxl.load_workbook(converted, data_only=True)["Balm recipe"]
        assert [values[f"D{r}"].value for r in range(2, 5)] == [50, 120, 5]
    assert not folder.exists()


def test_an_xlsx_is_not_converted(tmp_path):
    path = write_rich(tmp_path / "rich.xlsx")
    with as_xlsx(path) as same:
        assert same == path
    shutil.copy(path, tmp_path / "named.ods")
    with as_xlsx(tmp_path / "named.ods") as same:
        assert same == tmp_path / "named.ods"


def test_one_addition_on_top_of_another(calc, tmp_path):
    """The new columns serve as amounts in their turn, blank rows included, in the embedded engine and in Calc alike."""
    prices = [["material", "pack", "unit", "price"], ["Water", 1, "kg", 1.0], ["Olive oil", 1, "kg", 10.0]]
    prices.append(["Shea butter", 1, "kg", 20.0])
    path = recipe(tmp_path, Prices=prices)
    once = write(plan_addition(path, "scale", sheet="Cream", target=1000, step=1), tmp_path / "once.xlsx").out
    assert [(t.first_row, t.last_row, len(t.rows)) for t in find_recipes(once)] == [(2, 5, 3)]
    plan = plan_addition(
        once, "cost", sheet="Cream", amounts="F2:F5", names="B2:B5", unit="g", prices="Prices!A1:D4", pieces=10
    )
    twice = write(plan, tmp_path / "twice.xlsx").out
    values = openpyxl.load_workbook(twice, data_only=True)["Cream"]
    scaled = [values[f"F{row}"].value or 0 for row in range(2, 6)]
    cost = sum(grams * price / 1000 for grams, price in zip(scaled, (1, 0, 10, 20), strict=True))
    where = area(next(c.address for c in plan.cells if c.content.startswith("=TC_RECIPE_COST")))[:2]
    assert values.cell(*where).value == pytest.approx(cost) == calc.read(twice)["Cream"][where].value
