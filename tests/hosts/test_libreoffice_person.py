"""What a person does in real Calc: typing, undoing, filling, copying, moving rows, renaming sheets, saving.

Each step is the command that the key or the menu gives, in a document that is on Calc's (virtual) screen.
"""

import openpyxl
import pytest
from openpyxl.packaging.relationship import Relationship
from openpyxl.workbook.external_link.external import ExternalBook, ExternalLink

pytestmark = pytest.mark.xdist_group("calc")

ROW_BY_ROW = "=INDEX(TC_SCALE(B$2:B$5,800),ROWS(B$2:B2))"  # one formula a row, which bears inserting and sorting


@pytest.fixture
def me(calc):
    """Somebody with a small recipe on the screen."""
    with calc.person() as somebody:
        somebody.type("A1", "name", "water", "oil", "wax", "scent")
        somebody.type("B1", "grams", 200, 100, 60, 40)
        yield somebody


def test_a_formula_typed_edited_undone_and_redone(me):
    me.type("C2", "=tc_top_up(500,B2)")
    assert (me.formulas("C2"), me.shown("C2")) == (["=TC_TOP_UP(500,B2)"], [300.0])
    me.type("C2", "=TC_TOP_UP(600,B2)")
    assert me.shown("C2") == [400.0]
    me.do("Undo")
    assert (me.formulas("C2"), me.shown("C2")) == (["=TC_TOP_UP(500,B2)"], [300.0])
    me.do("Redo")
    assert me.shown("C2") == [400.0]
    me.type("B2", 250)
    assert me.shown("C2") == [350.0]
    me.do("Undo")
    assert me.shown("B2:C2") == [200.0, 400.0]


def test_an_error_goes_away_when_the_input_is_mended(me):
    me.type("C2", "=TC_TOP_UP(150,B2)", '=TC_EXPLAIN("TC_TOP_UP",150,B2)', "=SUM(C2,1)")
    error, reason, total = me.shown("C2:C4")
    assert error == total == "#NUM!"
    assert "200" in reason and "150" in reason
    me.type("B2", 120)
    assert me.shown("C2")[0] == me.shown("C4")[0] - 1 == 30.0
    me.do("Undo")
    assert me.shown("C2:C4") == ["#NUM!", reason, "#NUM!"]


def test_ctrl_shift_enter_fills_the_selected_cells(me):
    me.press("=tc_scale(B2:B5;800;0.1)", "C2:C5", over_all=True)
    assert me.formulas("C2:C5") == ["{=TC_SCALE(B2:B5,800,0.1)}"] * 4
    assert me.shown("C2:C5") == [400.0, 200.0, 120.0, 80.0]
    me.type("B2", 100)
    assert me.shown("C2:C5") == [266.7, 266.7, 160.0, 106.6]
    me.do("Undo")
    me.do("Undo")
    assert me.shown("C2:C5") == [""] * 4
    me.do("Redo")
    assert me.shown("C2:C5") == [400.0, 200.0, 120.0, 80.0]


def test_a_name_is_completed_while_it_is_typed(me):
    me.press("=tc_top_u", "C2")  # Enter takes what Calc proposes, an opening bracket behind it
    me.press("500;B2)")
    assert (me.formulas("C2"), me.shown("C2")) == (["=TC_TOP_UP(500,B2)"], [300.0])


def test_filled_down_and_copied_it_takes_its_neighbours(me):
    me.type("C2", '=TC_CONVERT(B2,"g","kg")')
    me.do("FillDown", "C2:C5")
    assert me.shown("C2:C5") == pytest.approx([0.2, 0.1, 0.06, 0.04])
    me.do("Copy", "C3")
    me.do("Paste", "D5")
    assert me.formulas("D5") == ['=TC_CONVERT(C5,"g","kg")']
    assert me.shown("D5") == pytest.approx([0.00004])
    me.do("Undo")
    assert me.shown("D5") == [""]
    me.do("Copy", "C2:C5")
    me.do("Paste", "C12")
    assert me.formulas("C12")[0] == '=TC_CONVERT(B12,"g","kg")'
    me.type("B12", 1000)
    assert me.shown("C12") == [1.0]


def test_rows_inserted_and_deleted_go_along_with_a_range(me):
    me.type("D2", "=TC_MAX_BATCH(B2:B5,B2:B5)", "=TC_LIMITED_BY(A2:A5,B2:B5,B2:B5)", ROW_BY_ROW)
    assert me.shown("D2:D4") == [400.0, "water, oil, wax, scent", 400.0]
    me.do("InsertRowsBefore", "A1")
    assert me.formulas("D3") == ["=TC_MAX_BATCH(B3:B6,B3:B6)"]
    assert me.shown("D3") == [400.0]
    me.do("InsertRowsBefore", "A5")
    assert me.formulas("D3") == ["=TC_MAX_BATCH(B3:B7,B3:B7)"]
    assert me.shown("D3:D4") == [400.0, "water, oil, wax, scent"], "a blank row in the middle counts for nothing"
    me.type("A5", "butter")
    me.type("B5", 100)
    assert me.shown("D3:D4") == [500.0, "water, oil, butter, wax, scent"]
    me.do("DeleteRows", "A5")
    assert me.shown("D3:D5") == [400.0, "water, oil, wax, scent", 400.0]
    for _ in range(3):
        me.do("Undo")
    assert me.formulas("D3") == ["=TC_MAX_BATCH(B3:B7,B3:B7)"]
    assert me.shown("D3") == [400.0]


def test_one_formula_a_row_follows_inserting_and_sorting(me):
    me.type("C2", ROW_BY_ROW)
    me.do("FillDown", "C2:C5")
    assert me.shown("C2:C5") == [400.0, 200.0, 120.0, 80.0]
    me.do("InsertRowsBefore", "A3")
    me.do("FillDown", "C2:C3")
    assert me.shown("C2:C6") == [400.0, "", 200.0, 120.0, 80.0]
    me.do("Undo")
    me.do("Undo")
    me.do("DataSort", "A1:C5", ByRows=True, HasHeader=True, Col1=1, Ascending1=True, IncludeAttribs=True)
    assert me.shown("A2:C5") == ["oil", 100.0, 200.0, "scent", 40.0, 80.0, "water", 200.0, 400.0, "wax", 60.0, 120.0]


def test_an_array_formula_follows_the_sorted_input(me):
    me.fill("C2:C5", "=TC_SCALE(B2:B5;800)")
    assert me.shown("C2:C5") == [400.0, 200.0, 120.0, 80.0]
    me.do("DataSort", "A1:B5", ByRows=True, HasHeader=True, Col1=2, Ascending1=True, IncludeAttribs=True)
    assert me.shown("A2:C5") == ["scent", 40.0, 80.0, "wax", 60.0, 120.0, "oil", 100.0, 200.0, "water", 200.0, 400.0]
    me.do("Undo")
    assert me.shown("A2:A5") == ["water", "oil", "wax", "scent"]
    assert me.shown("C2:C5") == [400.0, 200.0, 120.0, 80.0]


def test_a_sheet_renamed_takes_its_formulas_along(me):
    me.do("RenameTable", Name="My cream")
    me.do("Insert", Name="Costs", Index=2)
    me.type("A1", "=TC_TOP_UP(500,'My cream'.B2)", "=TC_RECIPE_COST('My cream'.B2:B5,'My cream'.B2:B5)")
    assert me.shown("A1:A2") == [300.0, 55200.0]
    me.do("JumpToTable", Nr=1)
    me.do("RenameTable", Name="Cream")
    me.do("JumpToTable", Nr=2)
    assert me.formulas("A1:A2") == ["=TC_TOP_UP(500,Cream.B2)", "=TC_RECIPE_COST(Cream.B2:B5,Cream.B2:B5)"]
    me.do("JumpToTable", Nr=1)
    me.type("B2", 240)
    me.do("JumpToTable", Nr=2)
    assert me.shown("A1:A2") == [260.0, 72800.0]


@pytest.mark.parametrize("ending", [".ods", ".xlsx"])
def test_saved_and_opened_again_it_goes_on_working(me, calc, tmp_path, ending):
    me.type("C2", ROW_BY_ROW, '=TC_AMOUNT("1 lb 4 oz","g")', "=TC_READY(DATE(2026,1,1),28)", "=TC_TOP_UP(1,2)")
    me.fill("D2:D5", "=TC_SHARES(B2:B5)")
    me.type("E2", '=IF(TC_COOL_ENOUGH(38,"C",40,"C"),"go on","wait")', "=SUM(D2:D5)")
    formulas, shown = me.formulas("C2:E5"), me.shown("C2:E5")
    assert shown[:3] == [400.0, pytest.approx(0.5), "go on"]
    assert shown[9] == "#NUM!"
    with calc.person(me.save(tmp_path / f"mine{ending}")) as again:
        assert again.formulas("C2:E5") == formulas
        assert again.shown("C2:E5") == pytest.approx(shown)
        again.type("B2", 600)
        assert again.shown("C2:D2") == pytest.approx([600.0, 0.75])


def test_formulas_as_excel_saves_them_work_when_the_add_in_is_taken_out_of_them(calc, tmp_path):
    """Excel names the add-in's file before the function, by the number of a link."""
    book = openpyxl.Workbook()
    book.active["A1"], book.active["B1"] = 200, "=[1]!TC_TOP_UP(500,A1)"
    link = ExternalLink(externalBook=ExternalBook(id="rId1"))
    link.file_link = Relationship(type="externalLinkPath", Target="Tarecell.xlam", TargetMode="External", Id="rId1")
    book._external_links.append(link)
    book.save(tmp_path / "from_excel.xlsx")
    with calc.person(tmp_path / "from_excel.xlsx") as me:
        assert me.shown("B1") == ["#NAME?"]
        me.find_and_replace("[1]!", "")
        assert (me.formulas("B1"), me.shown("B1")) == (["=TC_TOP_UP(500,A1)"], [300.0])
