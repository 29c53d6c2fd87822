"""Plain copies of workbooks with things that few templates have: tables, typed arrays, valueless array formulas."""

import re

import pytest
from openpyxl import Workbook
from openpyxl.worksheet.formula import ArrayFormula
from openpyxl.worksheet.table import Table, TableFormula
from tarecell.workbooks.evaluate import evaluate
from tarecell.workbooks.package import Package
from tarecell.workbooks.patch import Constant
from tarecell.workbooks.share import share
from tarecell.workbooks.share.build import patched, same
from workbooks.rich import parts

GRAMS = (300, 150, 50)


@pytest.fixture
def book():
    book = Workbook()
    book.active.title = "It's a 🕯 sheet"
    for row, grams in enumerate(GRAMS, start=2):
        book.active.cell(row, 2, grams)
    book.active["H1"] = 250
    return book


def shared(book, folder):
    book.save(folder / "book.xlsx")
    return share(folder / "book.xlsx", folder / "copy.xlsx"), folder / "copy.xlsx"


def differing(folder, changes):
    """Cells that are not the same in the original and in the copy, with the same cells typed over in both."""
    found = []
    for name in ("book.xlsx", "copy.xlsx"):
        package = Package.open(folder / name)
        sheet = next(s.name for s in package.sheets if s.name.startswith("It's"))
        package = patched(package, {sheet: {where: Constant(value) for where, value in changes.items()}})
        values = evaluate(package, without_functions=name == "copy.xlsx").values[sheet]
        found.append(values)
    assert found[0].keys() == found[1].keys()
    return [where for where, value in found[0].items() if not same(value, found[1][where])]


def with_table(book):
    sheet, ounces = book.active, 'TC_CONVERT(Mix[[#This Row],[Grams]],"g","oz")'
    for column, title in enumerate(("Name", "Grams", "Ounces"), start=1):
        sheet.cell(1, column, title)
    for row in range(2, 5):
        sheet.cell(row, 3, f"={ounces}")
    sheet["C5"] = "=TC_RECIPE_COST(Mix[Grams],Mix[Ounces])"
    table = Table(displayName="Mix", ref="A1:C5", totalsRowCount=1)
    table._initialise_columns()
    for column, title in zip(table.tableColumns, ("Name", "Grams", "Ounces"), strict=True):
        column.name = title
    table.tableColumns[2].calculatedColumnFormula = TableFormula(
        attr_text='TC_CONVERT(Mix[[#This Row],[Grams]],"g","oz")'
    )
    table.tableColumns[2].totalsRowFunction = "custom"
    table.tableColumns[2].totalsRowFormula = TableFormula(attr_text="TC_RECIPE_COST(Mix[Grams],Mix[Ounces])")
    sheet.add_table(table)
    sheet["E2"] = ArrayFormula("E2:E4", "=TC_SCALE(Mix[Grams],$H$1)")
    sheet["E6"] = "=TC_EXTRA(SUM(Mix[Grams]),0.1)"


@pytest.mark.parametrize("changes", [{}, {(2, 2): 271.3, (1, 8): 99}, {(3, 2): "many"}, {(3, 2): None}], ids=str)
def test_formulas_that_read_a_table_stay_live(book, tmp_path, changes):
    with_table(book)
    report, _ = shared(book, tmp_path)
    assert report.fixed == [] and report.live_cells == 8
    assert differing(tmp_path, changes) == []


def test_a_table_does_not_fill_new_rows_with_the_functions(book, tmp_path):
    with_table(book)
    report, copy = shared(book, tmp_path)
    assert any("new rows of tables" in line for line in report.removed)
    table = next(content for name, content in parts(copy).items() if "/tables/" in name)
    assert b"TC_" not in table and b'"custom"' not in table and b'name="Ounces"' in table


def test_a_table_that_grows_is_told(book, tmp_path):
    """Excel makes a table longer where a row is typed below it; the steps know only its old rows."""
    with_table(book)
    shared(book, tmp_path)
    package = Package.open(tmp_path / "copy.xlsx")
    name = next(n for n in package.names if "/tables/" in n)
    longer = package.read(name).replace(b"A1:C5", b"A1:C6")
    values = evaluate(Package(package.path, package.changed({name: longer})), without_functions=True).values
    found = values["It's a 🕯 sheet"]
    assert [found[row, 5].kind for row in (2, 3, 4)] == ["#N/A"] * 3


@pytest.mark.parametrize(
    "formula",
    [
        "SUM(TC_SCALE({1;2;3},H1))",
        "TC_WITHIN(H1,0.05,{0.01,0.02})",
        "TC_RECIPE_COST((B2:B4),({1;2;3}))",
        "TC_EXTRA((H1),(0.1))",
        'tc_convert( H1 , "g" ,\n"oz" )',
        "-TC_EXTRA(H1,10%)^2",
        "IF(H1>0,TC_TOP_UP(H1,),TC_TOP_UP(,H1))",
    ],
)
def test_calls_as_people_write_them_stay_live(book, tmp_path, formula):
    book.active["A1"] = f"={formula}"
    report, _ = shared(book, tmp_path)
    assert report.fixed == [] and report.live_cells == 1
    for changes in ({}, {(1, 8): 77}, {(1, 8): "x"}):
        assert differing(tmp_path, changes) == []


def test_a_result_over_several_cells_is_a_formula_in_each(book, tmp_path):
    """Not every program knows array formulas."""
    book.active["C2"] = ArrayFormula("C2:C4", "=TC_SCALE(B2:B4,$H$1)")
    book.active["E2"] = ArrayFormula("E2:F3", "=TC_SCALE(B2:B4,$H$1)")  # another shape: stays an array formula
    report, copy = shared(book, tmp_path)
    sheet = next(c.decode() for n, c in parts(copy).items() if n.startswith("xl/worksheets/") and b'"C2"' in c)
    assert all(re.search(rf'<c r="C{row}"[^>]*><f>Workings!', sheet) for row in (2, 3, 4))
    assert differing(tmp_path, {(2, 2): 271.3}) == [] and report.live_cells >= 3


def test_an_array_formula_without_any_value_is_told(book, tmp_path):
    book.active["C2"] = ArrayFormula("C2:C4", "=ROUND(TC_SCALE(B2:B4,$H$1),{1;2;3})")
    report, _ = shared(book, tmp_path)
    assert len(report.fixed) == 3 and all("no value of it, so it is blank here" in str(cell) for cell in report.fixed)
