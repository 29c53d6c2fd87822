"""Recalculating a workbook: right values into a copy, nothing else changed, and nothing written that is not sure."""

import datetime
import re
import zipfile
from importlib.util import find_spec
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.formula import ArrayFormula
from openpyxl.worksheet.table import Table
from tarecell.errors import CellError
from tarecell.workbooks.evaluate import evaluate
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.recalculate import calculated_name, recalculate
from workbooks.rich import parts, rewrite, write_rich

SHEET, HIDDEN = "xl/worksheets/sheet1.xml", "xl/worksheets/sheet3.xml"


def book_of(path, cells, prepare=None):
    """A workbook with one sheet S and these cells."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "S"
    for name, value in cells.items():
        sheet[name] = value
    if prepare:
        prepare(book)
    book.save(path)
    return path


def values_after(path, sheet=None):
    """The values that a viewer shows."""
    book = openpyxl.load_workbook(path, data_only=True)
    return book[sheet] if sheet else book.active


def with_cached(path, values):
    """Gives formula cells a stored value, as a spreadsheet program would have."""
    xml = parts(path)[SHEET].decode()
    for name, value in values.items():
        xml = re.sub(
            rf'(<c r="{name}"[^>]*>)(<f[^>]*>[^<]*</f>|<f[^>]*/>)(?:<v\s*/>|<v></v>)', rf"\1\2<v>{value}</v>", xml
        )
    copy = rewrite(path, path.with_name("cached.xlsx"), {SHEET: xml.encode()})
    copy.replace(path)
    return path


def left(report):
    return {finding.cell: finding.reason for finding in report.left_alone}


def test_the_copys_name():
    assert calculated_name(Path("a/recipe.v2.xlsm")) == Path("a/recipe.v2.calc.xlsm")


@pytest.mark.parametrize("ending", [".xlsx", ".xlsm"])
def test_a_rich_workbook_changes_in_its_formula_cells_only(tmp_path, ending):
    path = write_rich(tmp_path / f"recipe{ending}")
    report = recalculate(path)
    assert report.out == tmp_path / f"recipe.calc{ending}"
    assert (report.written, report.changed) == (17, 17)  # 11 formulas and 6 cells of array formulas
    before, after = parts(path), parts(report.out)
    assert list(before) == list(after)
    assert {name for name in before if before[name] != after[name]} == {SHEET, HIDDEN}
    # Without the values of formula cells and array cells the sheets are the same, byte for byte.
    for part in (SHEET, HIDDEN):
        assert bare(before[part]) == bare(after[part])
    assert formulas(report.out) == formulas(path)


def bare(xml):
    """A sheet without the results of its formulas."""
    xml = re.sub(rb'(<c r="(?:C3|C4|D3|D4)"[^>]*?)( t="\w+")?(/>|><v>.*?</v></c>)', rb"\1", xml)
    return re.sub(rb'(<c r="\w+"(?: s="\d+")?)(?: t="\w+")?(><f[^>]*>[^<]*</f>)<v[^>]*>[^<]*</v>', rb"\1\2", xml)


def formulas(path):
    book = openpyxl.load_workbook(path)
    return {
        (sheet.title, cell.coordinate): getattr(cell.value, "text", cell.value)
        for sheet in book.worksheets
        for row in sheet.iter_rows()
        for cell in row
        if cell.data_type == "f"
    }


def test_the_values_of_a_rich_workbook(tmp_path):
    path = write_rich(tmp_path / "recipe.xlsx")
    sheet = values_after(recalculate(path).out, "Balm recipe")
    assert [sheet[f"C{r}"].value for r in (2, 3, 4)] == pytest.approx([25 / 87.5, 60 / 87.5, 2.5 / 87.5], rel=1e-12)
    assert [sheet[f"D{r}"].value for r in (2, 3, 4)] == [50, 120, 5]
    assert [sheet[f"E{r}"].value for r in (2, 3, 4)] == pytest.approx([0.5, 1.2, 0.05], rel=1e-12)
    assert [sheet[name].value for name in ("B5", "D5", "B6", "B7", "B8", "I6")] == [
        87.5, 175, "#NUM!", "a lot & <more>", True, 5,
    ]  # fmt: skip
    assert sheet["B6"].data_type == "e"
    hidden = values_after(tmp_path / "recipe.calc.xlsx", "Hidden")
    assert [hidden["A1"].value, hidden["A2"].value] == [175, 88.5]


def test_the_report_names_errors_with_formula_and_reason(tmp_path):
    report = recalculate(write_rich(tmp_path / "recipe.xlsx"))
    (error,) = report.errors
    assert (error.sheet, error.cell, error.formula, error.kind) == ("Balm recipe", "B6", "=TC_TOP_UP(80,B5)", "#NUM!")
    assert "check the tare" in error.reason
    assert report.left_alone == []


def test_a_second_run_changes_nothing_more(tmp_path):
    first = recalculate(write_rich(tmp_path / "recipe.xlsx")).out
    report = recalculate(first, tmp_path / "again.xlsx")
    assert report.changed == 0 and report.written == 17
    assert parts(first) == parts(report.out)


def test_the_input_is_never_changed_unless_told(tmp_path):
    path = write_rich(tmp_path / "recipe.xlsx")
    before = path.read_bytes()
    recalculate(path)
    with pytest.raises(WorkbookProblem, match="the input itself"):
        recalculate(path, path)
    assert path.read_bytes() == before
    report = recalculate(path, in_place=True)
    assert report.backup.read_bytes() == before
    assert values_after(path, "Balm recipe")["B5"].value == 87.5


def test_errors_that_go_on_are_traced_to_where_they_began(tmp_path):
    path = book_of(
        tmp_path / "a.xlsx", {"A1": "=1/0", "A2": "=A1+1", "A3": "=TC_TOP_UP(A2,1)", "A4": '=IFERROR(A3,"ok")'}
    )
    report = recalculate(path)
    reasons = {e.cell: (e.kind, e.reason) for e in report.errors}
    assert reasons["A1"] == ("#DIV/0!", "something is divided by 0 or by a blank cell")
    assert reasons["A2"] == ("#DIV/0!", "A1 is #DIV/0! already")
    assert reasons["A3"][0] == "#DIV/0!" and "target" in reasons["A3"][1]
    assert values_after(report.out)["A4"].value == "ok"


# -- how a formula was entered -------------------------------------------------------------------------------------

COLUMN = {"A1": 1, "A2": 2, "A3": 4, "A4": 8}


@pytest.mark.parametrize(
    "cell, formula, expected",
    [
        ("B2", "=A1:A4", 2),  # one cell of the range: the one in this row
        ("B2", "=A1:A4*10", 20),
        ("B2", "=SUM(A1:A4*10)", 20),
        ("B2", "=SUM(-A1:A4)", -2),
        ("B2", "=SUM(A1:A4)*10", 150),
        ("B2", "=SUMPRODUCT(A1:A4*10)", 150),
        ("B2", "=SUMPRODUCT((A1:A4>1)*A1:A4)", 14),
        ("B2", "=ROUND(A1:A4/3,1)", 0.7),
        ("B2", "=IF(A1:A4>1,5,6)", 5),
        ("B2", "=INDEX(A1:A4,4)", 8),
        ("B2", "=INDEX(A1:A4,3,1)*2", 8),
        ("B9", "=A1:A4*2", "#VALUE!"),  # no cell of the range in this row
        ("B2", "=TC_SCALE(A1:A4,150)", 10),  # an array: its first value
        ("B2", "=TC_SCALE(A1:A4,150)*2", 20),
        ("B2", "=SUM(TC_SCALE(A1:A4,150))", 150),
        ("B2", "=INDEX(TC_SCALE(A1:A4,150),4)", 80),
        ("B2", "={1,2;3,4}", 1),
        ("B2", "=MAX({1,2;3,4})", 4),
        ("B2", "=VLOOKUP(A1:A4,A1:A4,1,FALSE)", 2),
        ("B2", "=ROUND(TC_SCALE(A1:A4,153),0)", 10),
        ("B2", "=MAX(ABS(A1:A4))", 2),
    ],
)
def test_ordinary_formulas(tmp_path, cell, formula, expected):
    """As Excel and Calc compute an ordinary formula (implicit intersection, ECMA-376 part 1, 18.17.2.7)."""
    path = book_of(tmp_path / "a.xlsx", {**COLUMN, "B3": 77, cell: formula})
    sheet = values_after(recalculate(path).out)
    assert sheet[cell].value == pytest.approx(expected) if not isinstance(expected, str) else expected
    assert sheet["B3"].value == 77
    assert sheet["C2"].value is None and sheet["B4"].value is None


def test_array_formulas_fill_just_their_cells(tmp_path):
    cells = {
        **COLUMN,
        "C1": ArrayFormula("C1:C2", "=A1:A4*10"),
        "C3": 77,
        "D1": ArrayFormula("D1:D5", "=A1:A4*10"),
        "E1": ArrayFormula("E1:F4", "=TC_SCALE(A1:A4,150)"),
        "G1": ArrayFormula("G1", "=SUM(A1:A4*10)"),
        "H1": "=SUM(C1:C4)",
        "H2": "=F4",
        "I1": ArrayFormula("I1:I2", "=TC_TOP_UP(1,2)"),
    }
    sheet = values_after(recalculate(book_of(tmp_path / "a.xlsx", cells)).out)
    rows = [[sheet[f"{c}{r}"].value for c in "CDEFGHI"] for r in range(1, 6)]
    assert rows == [
        [10, 10, 10, 10, 150, 107, "#NUM!"],
        [20, 20, 20, 20, None, 80, "#NUM!"],
        [77, 40, 40, 40, None, None, None],
        [None, 80, 80, 80, None, None, None],
        [None, "#N/A", None, None, None, None, None],
    ]


def test_shared_formulas(tmp_path):
    path = book_of(tmp_path / "a.xlsx", {**COLUMN, "B1": "=1", "B2": "=1", "B3": "=1", "C1": 5})
    xml = parts(path)[SHEET]
    shared = b'<f t="shared" ref="B1:B3" si="0">A1*$C$1+SUM(A$1:A1)</f>'
    xml = xml.replace(b'<c r="B1"><f>1</f>', b'<c r="B1">' + shared)
    xml = re.sub(rb'<c r="(B[23])"><f>1</f>', rb'<c r="\1"><f t="shared" si="0"/>', xml)
    rewrite(path, tmp_path / "b.xlsx", {SHEET: xml})
    report = recalculate(tmp_path / "b.xlsx")
    assert [values_after(report.out)[f"B{r}"].value for r in (1, 2, 3)] == [6, 13, 27]
    assert b'<f t="shared" si="0"/><v>13</v>' in parts(report.out)[SHEET]


def test_names_and_tables(tmp_path):
    def prepare(book):
        sheet = book.active
        sheet.add_table(Table(displayName="Prices", ref="A10:C12"))
        book.defined_names["grams"] = DefinedName("grams", attr_text="S!$A$1:$A$4")
        book.defined_names["double"] = DefinedName("double", attr_text="SUM(grams)*2")
        book.defined_names["here"] = DefinedName("here", attr_text="S!A1")

    cells = {
        **COLUMN, "A10": "Name", "B10": "Cost per kg", "C10": "Twice", "A11": "a", "B11": 3, "A12": "b", "B12": 5,
        "C11": "=Prices[[#This Row],[Cost per kg]]*2", "C12": "=Prices[[#This Row],[Cost per kg]]*2",
        "E1": "=SUM(Prices[Cost per kg])", "E2": "=SUM(Prices[[Cost per kg]:[Twice]])", "E3": "=COUNTA(Prices[#All])",
        "E4": "=Prices[[#Headers],[Twice]]", "F1": "=SUM(grams)", "F2": "=double", "F3": "=SUM(grams*2)",
        "F4": "=-grams", "G1": "=SUM(TC_SCALE(grams,150))", "G2": "=here+1",
        "G3": '=VLOOKUP("b",Prices[],2,FALSE)',
    }  # fmt: skip
    report = recalculate(book_of(tmp_path / "a.xlsx", cells, prepare))
    sheet = values_after(report.out)
    assert [sheet[c].value for c in ("C11", "C12", "E1", "E2", "E3", "E4")] == [6, 10, 8, 24, 9, "Twice"]
    assert [sheet[c].value for c in ("F1", "F2", "F3", "F4", "G1", "G3")] == [15, 30, 8, -8, 150, 5]
    assert set(left(report)) == {"G2"}  # a name without $ means another cell in every row


@pytest.mark.parametrize("date1904", [False, True])
def test_dates_of_both_systems(tmp_path, date1904):
    def prepare(book):
        if date1904:
            book.epoch = openpyxl.utils.datetime.CALENDAR_MAC_1904
        book.active["A1"] = datetime.date(2024, 2, 28)

    cells = {"A2": "=A1+2", "A3": '=TEXT(A2,"yyyy-mm-dd")', "A4": "=DATE(2024,3,1)-A2", "A5": "=YEAR(A1)"}
    sheet = values_after(recalculate(book_of(tmp_path / "a.xlsx", cells, prepare)).out)
    day0 = datetime.date(1904, 1, 1) if date1904 else datetime.date(1899, 12, 30)
    assert sheet["A2"].value == (datetime.date(2024, 3, 1) - day0).days
    assert [sheet[f"A{r}"].value for r in (3, 4, 5)] == ["2024-03-01", 0, 2024]


# -- what cannot be computed is left alone -------------------------------------------------------------------------


@pytest.mark.parametrize(
    "formula, reason",
    [
        ("=[1]Sheet1!A1", "another workbook"),
        ("='[prices.xlsx]Sheet 1'!A1", "another workbook"),
        ("=IFERROR([1]Sheet1!A1,0)", "another workbook"),
        ('=GETPIVOTDATA("x",A1)', "GETPIVOTDATA"),
        ("=IFERROR(NOSUCHFUNCTION(1),0)", "NOSUCHFUNCTION"),
        ("=TC_NO_SUCH(1)", "TC_NO_SUCH is not a function of this version"),
        ("=nosuchname*2", "nosuchname"),
        ("=SUM(NoTable[Cost])", "NoTable"),
        ('=CELL("filename")', "CELL"),
        ("=SUM(A1:A2 A2:A3)", "by a space"),
        ("=IFERROR(SUM(Sheet1:Sheet2!A1),0)", "several sheets"),
        ("=SUM(A1", "cannot read"),
        ("=_xlfn.ANCHORARRAY(A1)", "ANCHORARRAY"),
        ("=B1+1", "circle"),
        ("=SUMPRODUCT(LEN(A1:A4))", "through a range in LEN"),  # the engine would say 1, without an error
        ("=SUMPRODUCT(ROUND(A1:A4,1),A1:A4)", "through a range in ROUND"),
        ("=SUMPRODUCT(--ISNUMBER(IF(A1:A4>1,A1:A4)))", "through a range in ISNUMBER"),
        ("=SUMPRODUCT(VLOOKUP(A1:A4,A1:A4,1,FALSE))", "through a range in VLOOKUP"),
        ("=SUMPRODUCT(ROUND(TC_SCALE(A1:A4,10),0))", "through a range in ROUND"),
        ("=SUMPRODUCT(LEN({1,22}))", "through a range in LEN"),
        ("=MATCH(4,A1:A4*1,0)", "inside MATCH"),
    ],
)
def test_what_the_engine_cannot_compute_keeps_its_value(tmp_path, formula, reason):
    cells = {
        **COLUMN,
        "B1": formula,
        "B2": "=B1*2",
        "B3": "=IFERROR(SUM(B1:B2),0)",
        "B4": "=A1+1",
        "C1": "=INDIRECT(A1)",
    }
    path = with_cached(book_of(tmp_path / "a.xlsx", cells), {"B1": 41, "B2": 42, "B3": 43, "B4": 99})
    report = recalculate(path)
    found = left(report)
    assert reason in found["B1"]
    assert "circle" in found["B2"] or "depends on B1" in found["B2"]
    assert set(found) >= {"B1", "B2", "B3"} and "B4" not in found
    sheet = values_after(report.out)
    assert [sheet[f"B{r}"].value for r in (1, 2, 3, 4)] == [41, 42, 43, 2]


def test_what_depends_on_it_in_other_sheets_and_through_arrays_is_left_alone_too(tmp_path):
    def prepare(book):
        other = book.create_sheet("Other one")
        other["A1"] = "=S!B2"
        other["A2"] = ArrayFormula("A2:A3", "=S!B1:B2*2")
        other["A4"] = "='Other one'!A3"
        other["A5"] = "=SUM(S!A:A)"
        other["A6"] = "=SUM(S!1:1)"
        book.defined_names["bad"] = DefinedName("bad", attr_text="S!$B$1")
        other["A7"] = "=bad"

    path = book_of(tmp_path / "a.xlsx", {"A1": 1, "B1": "=NOSUCH()", "B2": "=B1"}, prepare)
    report = recalculate(path)
    assert set(left(report)) >= {"B1", "B2", "A1", "A2", "A4", "A6", "A7"} and "A5" not in left(report)
    assert "S!B2" in left(report)["A1"]
    assert parts(path)[SHEET] == parts(report.out)[SHEET]


def test_subtotals_over_hidden_rows_are_left_alone(tmp_path):
    def prepare(book):
        book.active.row_dimensions[2].hidden = True

    cells = {**COLUMN, "B1": "=SUBTOTAL(109,A1:A4)", "B3": "=SUBTOTAL(9,A3:A4)"}
    report = recalculate(book_of(tmp_path / "a.xlsx", cells, prepare))
    assert set(left(report)) == {"B1"}
    assert values_after(report.out)["B3"].value == 12


def test_an_array_that_grew_is_left_to_the_program_that_resizes_it(tmp_path):
    path = book_of(tmp_path / "a.xlsx", {**COLUMN, "C1": ArrayFormula("C1:C2", "=A1:A4*10")})
    xml = parts(path)[SHEET].replace(b'<c r="C1">', b'<c r="C1" cm="1">')
    rewrite(path, tmp_path / "b.xlsx", {SHEET: xml})
    report = recalculate(tmp_path / "b.xlsx")
    assert "4 rows" in left(report)["C1"]
    assert parts(report.out)[SHEET] == xml


def test_an_array_formula_over_the_whole_sheet_is_left_alone(tmp_path):
    path = book_of(tmp_path / "a.xlsx", {"A1": ArrayFormula("A1:XFD1048576", "=1+1"), "C3": "=A1"})
    assert "1000000 cells" in left(recalculate(path))["A1"]


def test_names_that_multiply_are_left_alone(tmp_path):
    def prepare(book):
        for i in range(25):
            following = f"n{i + 1}x" if i < 24 else "S!$A$1"
            book.defined_names[f"n{i}x"] = DefinedName(f"n{i}x", attr_text=f"{following}+{following}+{following}")
        book.defined_names["loop"] = DefinedName("loop", attr_text="loop+1")

    found = left(recalculate(book_of(tmp_path / "a.xlsx", {"A1": 1, "B1": "=n0x", "B2": "=loop"}, prepare)))
    assert "refers to itself" in found["B2"] and ("too long" in found["B1"] or "refers to itself" in found["B1"])


def test_the_workbooks_that_come_with_a_package_made_in_excel(tmp_path):
    """Files that Excel wrote, with macros and buttons: copied part by part, and no value lost."""
    for name in ("quickstart.xlsm", "quickstart_standalone.xlsm"):
        source = Path(find_spec("xlwings").origin).with_name(name)
        report = recalculate(source, tmp_path / name)
        before, after = parts(source), parts(report.out)
        assert list(before) == list(after)
        assert {part for part in before if before[part] != after[part]} <= {
            part for part in before if part.startswith("xl/worksheets/sheet") and b"<f" in before[part]
        }


def test_text_that_looks_like_a_formula_or_an_error_stays_text(tmp_path):
    path = tmp_path / "a.xlsx"
    book = xlsxwriter.Workbook(path)
    sheet = book.add_worksheet()
    sheet.write_string("A1", "#N/A")
    for name, formula in {"B1": '=A1&""', "B2": "=ISERROR(A1)", "C1": '="="&"1+1"'}.items():
        sheet.write_formula(name, formula, None, "")
    book.close()
    report = recalculate(path)
    assert report.errors == []
    new = parts(report.out)[SHEET]
    assert b'<c r="B1" t="str"><f>A1&amp;""</f><v>#N/A</v></c>' in new
    assert b"<v>=1+1</v>" in new
    assert values_after(report.out)["B2"].value is False


def test_evaluating_writes_nothing(tmp_path):
    path = write_rich(tmp_path / "recipe.xlsx")
    before = path.read_bytes()
    evaluation = evaluate(path)
    assert evaluation.values["Balm recipe"][5, 2] == 87.5
    assert isinstance(evaluation.values["Balm recipe"][6, 2], CellError)
    assert path.read_bytes() == before and [p.name for p in tmp_path.iterdir()] == ["recipe.xlsx"]


def test_hostile_workbooks_write_nothing(tmp_path):
    path = write_rich(tmp_path / "recipe.xlsx")
    bomb = b'<!DOCTYPE x [<!ENTITY a "b">]><worksheet/>'
    rewrite(path, tmp_path / "bad.xlsx", {SHEET: bomb})
    rewrite(path, tmp_path / "torn.xlsx", {SHEET: parts(path)[SHEET][:-40]})
    for name in ("bad.xlsx", "torn.xlsx"):
        with pytest.raises(WorkbookProblem, match=name):
            recalculate(tmp_path / name)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["bad.xlsx", "recipe.xlsx", "torn.xlsx"]


amounts = st.lists(st.one_of(st.none(), st.floats(0.5, 5000).map(lambda x: round(x, 2))), min_size=1, max_size=8)


@settings(max_examples=30, deadline=None)
@given(amounts.filter(any), st.floats(10, 10_000).map(lambda x: round(x, 1)))
def test_any_recipe_scaled_in_a_workbook_is_as_scaled_in_python(tmp_path_factory, grams, target):
    from tarecell.functions import run

    cells = {f"A{i}": gram for i, gram in enumerate(grams, 1)}
    last = len(grams)
    cells["C1"] = ArrayFormula(f"C1:C{last}", f"=TC_SCALE(A1:A{last},{target})")
    cells["D1"] = f"=SUM(C1:C{last})"
    path = book_of(tmp_path_factory.mktemp("recipe") / "a.xlsx", cells)
    sheet = values_after(recalculate(path).out)
    expected = run("TC_SCALE", [grams, target])
    for row, value in enumerate(expected, 1):
        assert sheet[f"C{row}"].value == (None if value is None else pytest.approx(value, rel=1e-12))
    assert sheet["D1"].value == pytest.approx(target, rel=1e-9)


def test_the_copy_opens_as_a_zip_without_complaint(tmp_path):
    with zipfile.ZipFile(recalculate(write_rich(tmp_path / "recipe.xlsx")).out) as archive:
        assert archive.testzip() is None
