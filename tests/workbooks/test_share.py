"""Plain copies: live without the functions, compared with the original, and clean of what is nobody's business."""

import re
import zipfile
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.chart import LineChart, Reference
from openpyxl.comments import Comment
from openpyxl.formatting.rule import FormulaRule
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.formula import ArrayFormula
from tarecell.errors import CellError
from tarecell.workbooks.evaluate import evaluate
from tarecell.workbooks.package import Package
from tarecell.workbooks.patch import Constant
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.recalculate import recalculate
from tarecell.workbooks.share import share
from tarecell.workbooks.share.build import patched, same
from tarecell.workbooks.share.leave_out import naming
from workbooks.rich import parts, write_rich

SECRET = "Quiet Meadow Supplies"


@pytest.fixture
def studio(tmp_path) -> Path:
    """A recipe with its costs on a sheet of their own."""
    book = Workbook()
    recipe, costs = book.active, book.create_sheet("Costs & co")
    recipe.title = "Recipe"
    for row, (name, amount, share_) in enumerate(
        [("Water", 300, 0.6), ("Oil", 150, 0.3), (None, None, None), ("Wax", 50, 0.1)], start=2
    ):
        for column, value in enumerate((name, amount, share_), start=1):
            recipe.cell(row, column, value)
    recipe["D2"] = ArrayFormula("D2:D5", "=TC_SCALE(B2:B5,H1,H2)")
    recipe["E2"] = ArrayFormula("E2:E5", "=TC_AMOUNTS(C2:C5,H1)*2")
    recipe["G1"], recipe["H1"], recipe["G2"], recipe["H2"], recipe["H3"] = "batch", 777, "step", 0.1, "oz"
    recipe["B8"] = '=IF(H1>0,TC_CONVERT(SUM(D2:D5),"g",H3),"no batch")'
    recipe["B9"] = "=TC_TOP_UP(H1,500)+TC_TOP_UP(H1,600)"
    recipe["B10"] = '=TC_EXPLAIN("TC_TOP_UP",H1,500)'
    recipe["B11"] = "=TC_RECIPE_COST(D2:D5,'Costs & co'!B2:B5)"
    recipe["B12"] = "=Grease*2"
    recipe["B13"] = "=B9*10"
    recipe["A2"].comment = Comment("Alma Brook:\nfrom the shop", "Alma Brook")
    for row, cost in enumerate((0.001, 0.012, None, 0.04), start=2):
        costs.cell(row, 1, SECRET if row == 2 else None)
        costs.cell(row, 2, cost)
    book.defined_names["Grease"] = DefinedName("Grease", attr_text="'Costs & co'!$B$3")
    recipe.conditional_formatting.add("B2:B5", FormulaRule(formula=["B2>'Costs & co'!$B$3"]))
    checked = DataValidation(type="list", formula1="'Costs & co'!$A$2:$A$5")
    checked.add("A2:A5")
    recipe.add_data_validation(checked)
    book.properties.creator, book.properties.lastModifiedBy = "Alma Brook", "Alma Brook"
    book.save(tmp_path / "made.xlsx")
    recalculate(tmp_path / "made.xlsx", tmp_path / "studio.xlsx")
    return tmp_path / "studio.xlsx"


def values(path, changes=(), functions=False):
    package = Package.open(path)
    if changes:
        package = patched(
            package, {s: {w: Constant(v) for w, v in cells.items()} for s, cells in dict(changes).items()}
        )
    return evaluate(package, without_functions=not functions).values


def formulas(path) -> str:
    return "\n".join(
        "".join(re.findall(r"<(?:f|definedName)[ >][^<]*", content.decode("utf8", "replace")))
        for content in parts(path).values()
    )


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"Recipe": {(1, 8): 1234.5}},
        {"Recipe": {(1, 8): 550.0}},  # too heavy for one of the top-ups
        {"Recipe": {(2, 2): 271.3, (1, 8): 610.0, (2, 8): None}},
        {"Recipe": {(2, 2): "300"}},
        {"Recipe": {(2, 2): -300.0}},
        {"Recipe": {(2, 3): 0.5}},
        {"Recipe": {(3, 8): "mL"}},
        {"Recipe": {(3, 8): "kg"}},
        {"Recipe": {(5, 2): None}},
        {"Recipe": {(4, 1): "Salt", (4, 2): 20.0, (4, 3): 0.0}},
        {"Costs & co": {(5, 2): 0.5}},
    ],
    ids=str,
)
def test_the_copy_follows_changes_like_the_original(studio, tmp_path, changes):
    share(studio, tmp_path / "copy.xlsx")
    original, copy = values(studio, changes, functions=True), values(tmp_path / "copy.xlsx", changes)
    for where, value in original["Recipe"].items():
        if where != (10, 2):  # the working is a value
            assert same(value, copy["Recipe"][where]), (where, value, copy["Recipe"][where])


def test_an_error_of_the_original_is_the_same_error_in_the_copy(studio, tmp_path):
    share(studio, tmp_path / "copy.xlsx")
    found = values(tmp_path / "copy.xlsx", {"Recipe": {(1, 8): 550.0, (2, 2): "300", (3, 8): "ozz"}})["Recipe"]
    kinds = {where: value.kind for where, value in found.items() if isinstance(value, CellError)}
    assert kinds[9, 2] == "#NUM!" and kinds[2, 4] == "#VALUE!" and kinds[13, 2] == "#NUM!"


def test_the_report_and_the_first_sheet_tell_what_became_of_each_cell(studio, tmp_path):
    report = share(studio, tmp_path / "copy.xlsx")
    assert report.live == {"TC_SCALE": 4, "TC_AMOUNTS": 4, "TC_CONVERT": 1, "TC_TOP_UP": 1, "TC_RECIPE_COST": 1}
    assert [str(cell) for cell in report.fixed] == ["Recipe!B10: there is no ordinary formula for TC_EXPLAIN"]
    assert report.compared > 10 and report.rounds == 16
    book = load_workbook(tmp_path / "copy.xlsx")
    assert book.sheetnames == ["About this copy", "Recipe", "Costs & co", "Workings", "ReferenceValues"]
    assert [book[name].sheet_state for name in book.sheetnames[-2:]] == ["hidden", "hidden"]
    told = [str(cell.value) for row in book["About this copy"] for cell in row if cell.value is not None]
    assert any("studio.xlsx" in line for line in told) and "Recipe!B10" in told
    assert book.active.title == "About this copy"
    assert "TC_" not in formulas(tmp_path / "copy.xlsx")


def test_the_copy_shows_the_values_before_anything_is_recalculated(studio, tmp_path):
    share(studio, tmp_path / "copy.xlsx")
    shown = load_workbook(tmp_path / "copy.xlsx", data_only=True)["Recipe"]
    assert round(sum(shown.cell(row, 4).value for row in (2, 3, 5)), 6) == 777
    assert shown["B10"].value.startswith("777")


def test_no_person_is_named_in_the_copy(studio, tmp_path):
    report = share(studio, tmp_path / "copy.xlsx")
    for name, content in parts(tmp_path / "copy.xlsx").items():
        assert b"Alma Brook" not in content, name
    assert b"from the shop" in b"".join(parts(tmp_path / "copy.xlsx").values())
    assert "names of the authors of notes" in report.removed


def test_a_sheet_left_out_leaves_nothing_behind(studio, tmp_path):
    report = share(studio, tmp_path / "copy.xlsx", without=["costs & CO"])
    found = parts(tmp_path / "copy.xlsx")
    for name, content in found.items():
        assert SECRET.encode() not in content, name
        assert not re.search(rb"Costs &amp; co|Costs & co", content), name
        assert b"Grease" not in content, name
    assert {str(cell) for cell in report.fixed} >= {
        "Recipe!B11: it reads a sheet that is left out",
        "Recipe!B12: it reads a sheet that is left out",
    }
    shown = load_workbook(tmp_path / "copy.xlsx", data_only=True)["Recipe"]
    before = load_workbook(studio, data_only=True)["Recipe"]
    assert shown["B11"].value == pytest.approx(before["B11"].value) and shown["B12"].value == 0.024
    sheet = next(c for n, c in found.items() if b"batch" in c or n.endswith("sheet1.xml"))
    assert b"conditionalFormatting" not in sheet and b"dataValidation" not in sheet
    changed = values(tmp_path / "copy.xlsx", {"Recipe": {(1, 8): 1000.0}})["Recipe"]
    assert sum(changed[row, 4] for row in (2, 3, 5)) == pytest.approx(1000)


def test_sheets_left_out_must_exist_and_one_must_stay(studio, tmp_path):
    with pytest.raises(WorkbookProblem, match="has no sheet “Cost”; its sheets: Recipe, Costs & co"):
        share(studio, tmp_path / "copy.xlsx", without=["Cost"])
    with pytest.raises(WorkbookProblem, match="one visible sheet"):
        share(studio, tmp_path / "copy.xlsx", without=["Recipe", "Costs & co"])
    assert not (tmp_path / "copy.xlsx").exists()


def test_the_copy_never_goes_over_the_workbook_itself(studio):
    with pytest.raises(WorkbookProblem, match="is the workbook itself"):
        share(studio, studio)
    with pytest.raises(WorkbookProblem, match="ends in .xlsx"):
        share(studio, studio.with_suffix(".xlsm"))


@pytest.fixture
def rich(tmp_path) -> Path:
    recalculate(write_rich(tmp_path / "rich.xlsm"), tmp_path / "done.xlsm")
    return tmp_path / "done.xlsm"


def test_the_look_stays_and_macros_go(rich, tmp_path):
    share(rich, tmp_path / "copy.xlsx")
    before, after = parts(rich), parts(tmp_path / "copy.xlsx")
    assert not any("vba" in name.lower() for name in after)
    assert b"macroEnabled" not in after["[Content_Types].xml"]
    for kind in ("charts/", "media/", "drawings/", "tables/", "theme/"):
        kept = [n for n in before if kind in n and not n.endswith(".vml")]
        assert kept and set(kept) <= set(after)
    charts = [name for name in before if "charts/chart" in name]
    assert all(before[name] == after[name] for name in charts)
    sheet = after["xl/worksheets/sheet1.xml"]
    for kept in (b"mergeCell", b"conditionalFormatting", b"sparkline", b"pane ", b"tableParts", b"dataValidation"):
        assert kept in sheet, kept


def test_charts_and_sparklines_of_a_sheet_left_out_are_emptied(rich, tmp_path):
    share(rich, tmp_path / "copy.xlsx", without=["Balm recipe"])
    after = parts(tmp_path / "copy.xlsx")
    assert not naming(["Balm recipe"]).search(b"".join(after.values()))
    charts = [content for name, content in after.items() if "charts/chart" in name]
    assert charts and all(b"#REF!" in chart and b"numCache" not in chart for chart in charts)
    assert b"Sweet almond oil" not in b"".join(after.values())
    assert not any("tables/" in name for name in after)


def test_a_function_newer_than_excel_2016_becomes_a_value_unless_asked_for(tmp_path):
    book = Workbook()
    book.active["A1"], book.active["A2"] = 3, 4
    book.active["B1"] = '=_xlfn.TEXTJOIN(", ",TRUE,A1:A2)'
    book.active["B2"] = "=TC_EXTRA(A1,0.5)"
    book.save(tmp_path / "book.xlsx")
    report = share(tmp_path / "book.xlsx", tmp_path / "old.xlsx")
    assert "newer than Excel 2016" in report.text() and "_xlfn" not in formulas(tmp_path / "old.xlsx")
    assert not share(tmp_path / "book.xlsx", tmp_path / "new.xlsx", modern=True).fixed
    assert "_xlfn.TEXTJOIN" in formulas(tmp_path / "new.xlsx")


def test_shared_formulas_and_names_are_translated(tmp_path):
    book = Workbook()
    for row in range(1, 6):
        book.active.cell(row, 1, 100 * row)
        book.active.cell(row, 2, f"=TC_EXTRA(A{row},Part)")
    book.active["D1"] = 0.02
    book.defined_names["Part"] = DefinedName("Part", attr_text="Sheet!$D$1")
    book.save(tmp_path / "plain.xlsx")
    shared = tmp_path / "shared.xlsx"
    with zipfile.ZipFile(tmp_path / "plain.xlsx") as source, zipfile.ZipFile(shared, "w") as target:
        for name in source.namelist():
            content = source.read(name)
            if name.endswith("sheet1.xml"):
                content = content.replace(b"<f>TC_EXTRA(A1", b'<f t="shared" si="0" ref="B1:B5">TC_EXTRA(A1')
                for row in range(2, 6):
                    content = content.replace(b"<f>TC_EXTRA(A%d,Part)</f>" % row, b'<f t="shared" si="0"/>')
            target.writestr(name, content)
    report = share(shared, tmp_path / "copy.xlsx")
    assert report.live == {"TC_EXTRA": 5} and not report.fixed
    found = values(tmp_path / "copy.xlsx", {"Sheet": {(1, 4): 0.03, (5, 1): 700.0}})["Sheet"]
    assert [found[row, 2] for row in range(1, 6)] == pytest.approx([3, 6, 9, 12, 21])


def test_another_workbook_is_no_longer_read(tmp_path):
    book = Workbook()
    book.active["A1"] = "=[1]Prices!$B$2*2"
    book.active["A2"] = "=TC_EXTRA(B2,0.5)"
    book.active["B2"] = 8
    book.save(tmp_path / "book.xlsx")
    report = share(tmp_path / "book.xlsx", tmp_path / "copy.xlsx")
    assert [str(cell) for cell in report.fixed] == [
        "Sheet!A1: it reads another workbook; the file holds no value of it, so it is blank here"
    ]
    assert "[1]" not in formulas(tmp_path / "copy.xlsx")


def test_a_formula_that_would_not_agree_becomes_a_value(studio, tmp_path, monkeypatch):
    """The comparison is what a copy is trusted for: a wrong translation never gets through."""
    from tarecell.hosts.plain import TRANSLATIONS

    monkeypatch.setitem(TRANSLATIONS, "TC_TOP_UP", lambda call, target, weighed: f"{target}-{weighed}")
    report = share(studio, tmp_path / "copy.xlsx")
    assert any("B9" in str(cell) and "did not give the same" in str(cell) for cell in report.fixed)
    assert values(tmp_path / "copy.xlsx")["Recipe"][9, 2] == pytest.approx(454)  # the value, while nothing changes
    assert values(tmp_path / "copy.xlsx", {"Recipe": {(1, 8): 800.0}})["Recipe"][9, 2].kind == "#N/A"


def test_a_note_that_says_what_stands_on_a_sheet_left_out_is_no_leak(tmp_path):
    book = Workbook()
    book.active.title = "Batch"
    book.active["A1"] = 1
    listed = DataValidation(type="whole", formula1="0", formula2="9", promptTitle="Category", prompt="House category")
    listed.add("A1")
    book.active.add_data_validation(listed)
    book.create_sheet("Costs")["A1"] = "House category"
    book["Costs"]["A2"] = "secret figure"
    book.save(tmp_path / "book.xlsx")
    share(tmp_path / "book.xlsx", tmp_path / "copy.xlsx", without=["Costs"])
    assert load_workbook(tmp_path / "copy.xlsx")["Batch"].data_validations.dataValidation[0].prompt


def test_a_title_typed_into_a_chart_and_our_own_words_are_no_leak(tmp_path):
    book = Workbook()
    sheet = book.active
    sheet["A1"], sheet["B1"] = 500, "=TC_TOP_UP(A1,480)"
    chart = LineChart()
    chart.title = "share of the fats by day"
    chart.add_data(Reference(sheet, min_col=1, min_row=1))
    sheet.add_chart(chart, "D2")
    book.create_sheet("Costs")["A1"] = "share of the fats"
    book["Costs"]["A2"] = "weighed"  # what an argument is called
    book.save(tmp_path / "book.xlsx")
    share(tmp_path / "book.xlsx", tmp_path / "copy.xlsx", without=["Costs"])
    assert b"share of the fats by day" in parts(tmp_path / "copy.xlsx")["xl/charts/chart1.xml"]
