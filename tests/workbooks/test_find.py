"""Finding recipe tables in workbooks that people keep by hand."""

import time
import zipfile
from pathlib import Path

import pytest
import xlsxwriter
from tarecell.workbooks.find import describe, find_recipes
from tarecell.workbooks.find.table import NO_UNIT, ONE_UNIT, PERCENT, SURE, UNSURE, WITH_UNIT_COLUMN, WRITTEN
from tarecell.workbooks.problems import WorkbookProblem
from workbooks.rich import rewrite, write_rich
from workbooks.sheets import As, pct, write

EXAMPLE = Path(__file__).parents[2] / "examples" / "little_quay_recipes.xlsx"


@pytest.fixture
def tables(tmp_path):
    """The recipes found in one sheet, given as rows."""

    def find(rows, **options):
        return find_recipes(write(tmp_path / "recipe.xlsx", {"Sheet": rows}, **options))

    return find


def names(table):
    return [row.name for row in table.rows]


def amounts(table):
    return [row.amount for row in table.rows]


def phases(table):
    return [row.phase for row in table.rows]


# -- the example workbook ------------------------------------------------------------------------------------------


def test_the_example_recipes_are_found_and_the_price_list_and_the_caps_are_not():
    found = find_recipes(EXAMPLE)
    assert [t.sheet for t in found] == ["Cream", "Bath bombs", "Candle"]
    cream = found[0]
    assert cream.title == "Hand & body cream"
    assert (cream.header_row, cream.first_row, cream.last_row) == (4, 5, 14)
    assert (cream.phase_column, cream.name_column, cream.amount_column, cream.unit_column) == (1, 2, 3, 4)
    assert cream.amount_kind == WITH_UNIT_COLUMN
    assert cream.rows[0] == (5, "water", "Water", 11.5, "oz")
    assert cream.rows[-1] == (14, "cool down", "Vitamin E", 2.0, "g")
    assert cream.confidence == SURE
    assert cream.reference(cream.amount_column) == "Cream!$C$5:$C$14"


def test_the_description_says_what_is_believed_and_why():
    text = describe(find_recipes(EXAMPLE))
    assert "Bath bombs, A4:E16: “Bath bombs with a fig drizzle” — sure" in text
    assert "because      column A (“phase”) names the phase" in text
    assert "Define Name" not in text  # nothing is unsure


# -- layouts -------------------------------------------------------------------------------------------------------


def test_phases_as_merged_headings_between_the_rows(tables):
    (table,) = tables(
        [
            ["Body butter"],
            None,
            ["Ingredient", "Weight (g)", "Notes"],
            ["Phase A"],
            ["Shea", 300],
            ["Coconut oil", 100],
            ["Phase B: cool down"],
            ["Vitamin E", 5, "antioxidant"],
            None,
            ["Total", 405],
        ],
        merged={"Sheet": ["A1:C1", "A4:C4"]},
    )
    assert table.title == "Body butter"
    assert table.phase_rows == [(4, "Phase A"), (7, "Phase B: cool down")]
    assert phases(table) == ["Phase A", "Phase A", "Phase B: cool down"]
    assert (table.first_row, table.last_row, table.total_row) == (5, 8, 10)
    assert (table.amount_kind, table.amount_unit) == (ONE_UNIT, "g")


def test_phase_headings_that_carry_the_sum_of_their_rows_are_no_ingredients(tables):
    rows = [["Ingredient", "%"], ["Water phase", 75], ["Water", 70], ["Glycerin", 5]]
    rows += [["Oil phase", 25], ["Oil", 20], ["Wax", 5], ["Total", 100]]
    (table,) = tables(rows)
    assert names(table) == ["Water", "Glycerin", "Oil", "Wax"]
    assert sum(amounts(table)) == 100


def test_phase_headings_in_a_column_of_their_own_without_a_heading(tables):
    rows = [["", "Ingredient", "Amount g"], ["Oil phase"], [None, "Shea", 70], [None, "Wax", 5]]
    rows += [["Water phase"], [None, "Water", 20], ["TOTAL", None, 95]]
    (table,) = tables(rows)
    assert phases(table) == ["Oil phase", "Oil phase", "Water phase"]
    assert table.total_row == 7


def test_a_phase_written_once_holds_for_the_rows_below(tables):
    rows = [["Phase", "Ingredient", "g"], ["A", "Water", 70], [None, "Glycerin", 5], ["B", "Oil", 20]]
    (table,) = tables(rows, merged={"Sheet": ["A2:A3"]})
    assert phases(table) == ["A", "A", "B"]


def test_amounts_written_with_their_units(tables):
    rows = [["Ingredient", "Amount"], ["Shea", "2 oz"], ["Olive oil", "1 lb 4 oz"], ["Vitamin E", "½ tsp"]]
    (table,) = tables([*rows, ["Fragrance", "q.s."]])
    assert table.amount_kind == WRITTEN
    assert amounts(table) == ["2 oz", "1 lb 4 oz", "½ tsp", "q.s."]
    assert [row.unit for row in table.rows] == ["oz", None, "tsp", None]
    assert any("row 5 (“q.s.”)" in doubt for doubt in table.doubts)


@pytest.mark.parametrize(
    ("cells", "whole"),
    [([pct(0.65), pct(0.35)], 1.0), ([65, 35], 100.0), ([0.65, 0.35], 1.0), (["65%", "35 %"], 100.0)],
)
def test_percentages_however_they_are_typed(tables, cells, whole):
    (table,) = tables([["Ingredient", "%"], ["Water", cells[0]], ["Oil", cells[1]]])
    assert (table.amount_kind, table.amount_unit, table.percent_of) == (PERCENT, "%", whole)
    assert amounts(table) == [pytest.approx(0.65 * whole), pytest.approx(0.35 * whole)]


def test_a_percent_format_without_a_percent_heading(tables):
    (table,) = tables([["Ingredient", "Amount"], ["Water", pct(0.65)], ["Oil", pct(0.35)]])
    assert (table.amount_kind, table.percent_of) == (PERCENT, 1.0)


def test_the_typed_column_comes_before_the_one_made_of_it(tables):
    rows = [["Ingredient", "%", "Grams"], ["Water", 65, "=B2*5"], ["Oil", 35, "=B3*5"], [None, "=SUM(B2:B3)"]]
    (table,) = tables(rows)
    assert table.amount_column == 2
    assert [(o.column, o.unit) for o in table.other_amounts] == [(3, "g")]
    assert table.total_row == 4  # no word, but a SUM


def test_grams_and_ounces_side_by_side(tables):
    (table,) = tables([["Ingredient", "g", "oz"], ["Wax", 280, 9.9], ["Oil", 100, 3.5]])
    assert (table.amount_column, table.amount_unit) == (2, "g")
    assert [(o.column, o.unit) for o in table.other_amounts] == [(3, "oz")]


def test_two_rows_of_headings(tables):
    rows = [["Ingredient", "Amount"], [None, "g", "oz"], ["Wax", 280, 9.9], ["Oil", 100, 3.5]]
    (table,) = tables(rows, merged={"Sheet": ["B1:C1"]})
    assert (table.amount_unit, table.first_row) == ("g", 3)
    assert table.other_amounts[0].unit == "oz"


def test_recipes_beside_and_below_each_other(tables):
    rows = [
        ["Lotion", None, None, "Balm"],
        ["Ingredient", "g", None, "Ingredient", "oz"],
        ["Water", 70, None, "Beeswax", 3],
        ["Oil", 30, None, "Oil", 7],
        None,
        ["Scrub"],
        ["Ingredient", "g"],
        ["Sugar", 200],
        ["Oil", 50],
    ]
    found = tables(rows)
    assert [(t.title, names(t), t.amount_unit) for t in found] == [
        ("Lotion", ["Water", "Oil"], "g"),
        ("Balm", ["Beeswax", "Oil"], "oz"),
        ("Scrub", ["Sugar", "Oil"], "g"),
    ]


def test_several_recipes_in_one_list(tables):
    rows = [["Recipe", "Ingredient", "g"], ["Lotion", "Water", 70], [None, "Oil", 30], ["Balm", "Wax", 30]]
    found = tables([*rows, ["Balm", "Oil", 70]])
    assert [(t.title, names(t)) for t in found] == [("Lotion", ["Water", "Oil"]), ("Balm", ["Wax", "Oil"])]


def test_subtotals_do_not_end_a_table_and_are_no_ingredients(tables):
    rows = [["Ingredient", "g"], ["Water phase"], ["Water", 70], ["Glycerin", 5], ["Subtotal", "=SUM(B3:B4)"]]
    rows += [["Oil phase"], ["Oil", 20], ["Wax", 5], ["Subtotal", "=SUM(B7:B8)"], ["Total", "=B5+B9"]]
    (table,) = tables(rows)
    assert names(table) == ["Water", "Glycerin", "Oil", "Wax"]
    assert (table.subtotal_rows, table.total_row) == ([5, 9], 10)


def test_notes_to_the_right_and_below_stay_out(tables):
    rows = [["Ingredient", "g", None, "Heat to 70 °C"], ["Water", 70, None, "then cool"], ["Oil", 30]]
    (table,) = tables([*rows, ["Do not boil."], None, ["Batch weight", 100], ["Jar size", 110]])
    assert names(table) == ["Water", "Oil"]
    assert table.area == "A1:B3"


@pytest.mark.parametrize(
    ("head", "unit"),
    [
        (["Zutat", "Menge in g", "Phase"], "g"),
        (["Ingrédient", "Quantité (g)", "Phase"], "g"),
        (["Ingrediente", "Peso / oz", "Fase"], "oz"),
        (["Rohstoff", "Gewicht [kg]", "Phase"], "kg"),
        (["INGREDIENT", "GRAMS PER BATCH", "PHASE"], "g"),
    ],
)
def test_headings_of_several_languages(tables, head, unit):
    (table,) = tables([head, ["Aqua", 70, "A"], ["Oleum", 30, "B"], ["Total", 100]])
    assert table.amount_unit == unit
    assert table.phase_column == 3
    assert names(table) == ["Aqua", "Oleum"]


def test_the_unit_in_a_number_format(tables):
    (table,) = tables([["Ingredient", "Amount"], ["Water", As(70, '0.0" g"')], ["Oil", As(30, '0.0" g"')]])
    assert (table.amount_kind, table.amount_unit) == (ONE_UNIT, "g")


def test_no_headings_at_all(tables):
    found = tables([["Water", 200, "g"], ["Sweet almond oil", 50, "g"], ["Emulsifying wax", 12, "g"]])
    assert names(found[0]) == ["Water", "Sweet almond oil", "Emulsifying wax"]
    assert found[0].header_row is None
    found = tables([["Grandma's balm"], ["2 oz", "Beeswax"], ["4 oz", "Olive oil"]])
    assert (found[0].title, found[0].amount_column, names(found[0])) == ("Grandma's balm", 1, ["Beeswax", "Olive oil"])


def test_amounts_first_and_phases_over_them(tables):
    rows = [["Dry"], ["2 cups", "Baking soda"], ["1 cup", "Citric acid"], ["Wet"], ["3 tbsp", "Coconut oil"]]
    (table,) = tables(rows)
    assert (phases(table), names(table)[2]) == (["Dry", "Dry", "Wet"], "Coconut oil")
    assert table.area == "A1:B5"


def test_units_in_a_column_that_has_no_heading(tables):
    (table,) = tables([["Ingredient", "Quantity", None, "Note"], ["Wax", 3, "oz", "x"], ["Oil", 7, "oz"]])
    assert (table.unit_column, table.rows[0].unit) == (3, "oz")


def test_pounds_in_one_column_and_ounces_in_the_next_are_a_doubt(tables):
    (table,) = tables([["Ingredient", "lb", "oz"], ["Soda", 2, None], ["Starch", None, 8], ["Acid", 1, 4]])
    assert table.confidence == UNSURE
    assert (table.rows[1].amount, table.rows[1].unit) == (8.0, "oz")
    (table,) = tables([["Ingredient", "lb", "oz"], ["Soda", 2, 32], ["Acid", 0.5, 8]])
    assert table.confidence == SURE  # the same weights twice


def test_what_cannot_be_weighed_is_an_ingredient_all_the_same(tables):
    (table,) = tables([["Zutat", "Menge"], ["Sheabutter", "200 g"], ["Öl", "50 ml"], ["Duft", "10 Tropfen"]])
    assert table.rows[2] == (4, None, "Duft", "10 Tropfen", None)


@pytest.mark.parametrize(
    ("head", "doubt"),
    [
        (["Date", "Ingredient", "Amount (g)"], "log"),
        (["Phase", "addition", "g"], "part of a recipe"),
        (["Phase", "Ingredient", "share of the wax"], "other than the whole recipe"),
    ],
)
def test_headings_that_leave_something_open(tables, head, doubt):
    (table,) = tables([head, ["x", "Wax", 20], ["y", "Oil", 30]])
    assert any(doubt in text for text in table.doubts)
    assert table.confidence != SURE


@pytest.mark.parametrize(
    "rows",
    [
        [["Batch size", 500, "g"], ["Jar size", 110, "g"], ["Loss", 0.05], ["Pieces", 4]],
        [["Rent", 500], ["Power", 80], ["Phone", 30]],
        [["Date", "Batch", "Amount"], ["2024-01-01", "CR12", 500], ["2024-01-02", "CR13", 500]],
        [["Material", "On hand", "Unit", "Reorder at"], ["Water", 5, "L", 1], ["Shea", 2, "kg", 1]],
        [["Material", "Amount", "Unit", "Price", "Freight"], ["Water", 5, "L", 1, 0], ["Shea", 2, "kg", 10, 2]],
        [["fragrance", 4, "5A", 9], ["Fig", 0.09, 0.02, 0.03], ["Oat", 0.06, 0.01, 0.02]],
        [["type", "pieces", "unit"], ["Tin", 6, "each"], ["Jar", 4, "each"], ["Melt", 9, "each"]],
    ],
)
def test_what_is_no_recipe(tables, rows):
    assert tables(rows) == []


def test_hidden_sheets_are_looked_at_and_told(tmp_path):
    path = write(
        tmp_path / "r.xlsx",
        {"Front": [["hello"]], "Old": [["Ingredient", "g"], ["Water", 70], ["Oil", 30]]},
        states={"Old": "veryHidden"},
    )
    (table,) = find_recipes(path)
    assert table.hidden
    assert "Old (hidden sheet)" in describe([table])


# -- doubts, and the names that settle them ------------------------------------------------------------------------


def test_what_is_unsure_is_said_with_the_way_to_name_the_ranges(tables):
    found = tables([["Ingredient", "Hand cream", "Body butter"], ["Water", 70, 0], ["Oil", 30, 50]])
    assert found[0].confidence == UNSURE
    text = describe(found)
    assert "“Hand cream” is no known heading for amounts" in text
    assert "recipe_amounts  'Sheet'!$B$2:$B$3" in text or "recipe_amounts  Sheet!$B$2:$B$3" in text


def test_named_ranges_are_believed(tables):
    rows = [["a", "b"], ["Water", 70], ["Oil", 30], ["no", "recipe"]]
    (table,) = tables(rows, names={"soap_names": "Sheet!$A$2:$A$3", "soap_amounts": "Sheet!$B$2:$B$3"})
    assert names(table) == ["Water", "Oil"]
    assert table.amount_kind == NO_UNIT
    assert table.confidence == SURE


def test_named_ranges_that_do_not_fit_are_left_aside_with_the_reason(tables):
    rows = [["Ingredient", "g"], ["Water", 70], ["Oil", 30]]
    found = tables(rows, names={"soap_names": "Sheet!$A$2:$A$3", "soap_amounts": "Sheet!$B$2:$B$9"})
    assert "does not lie in the same rows" in found[0].notes[0]


def test_an_ingredient_left_blank_and_text_numbers_are_doubts(tables):
    (table,) = tables([["Ingredient", "g"], ["Water", "70"], ["Glycerin"], ["Oil", 30]])
    assert names(table) == ["Water", "Glycerin", "Oil"]
    assert any("text in row 2" in doubt for doubt in table.doubts)
    assert any("“Glycerin” has no amount" in doubt for doubt in table.doubts)


def test_nothing_found_tells_how_to_name_ranges():
    assert "_names" in describe([])


# -- files ---------------------------------------------------------------------------------------------------------


def test_a_macro_workbook_is_read(tmp_path):
    assert names(find_recipes(write_rich(tmp_path / "recipe.xlsm"))[0]) == ["Beeswax", "Sweet almond oil", "Lavender"]


def test_a_sheet_that_claims_a_million_rows_takes_no_time(tmp_path):
    path = tmp_path / "huge.xlsx"
    book = xlsxwriter.Workbook(str(path), {"constant_memory": True})
    sheet, red = book.add_worksheet("S"), book.add_format({"bg_color": "red"})
    for row, line in enumerate([["Ingredient", "g"], ["Water", 70], ["Oil", 30]]):
        sheet.write_row(row, 0, line)
    for row in range(3, 20_000):
        sheet.write_blank(row, 1, None, red)
    sheet.write(1_048_575, 16_383, 1)
    book.close()
    started = time.monotonic()
    (table,) = find_recipes(path)
    assert names(table) == ["Water", "Oil"]
    assert time.monotonic() - started < 20  # seconds; it takes about one, and reading every row takes minutes


def test_control_characters_never_reach_the_terminal(tables):
    found = tables([["Recipe\u202e \x9b31m"], ["Ingredient", "g\u2028"], ["Wa\u202eter", 70], ["Oil", 30]])
    text = describe(found)
    assert not set("\u202e\x9b\u2028\x1b") & set(text)


def test_what_is_no_workbook_is_refused_in_one_line(tmp_path):
    path = tmp_path / "old.xls"
    path.write_bytes(bytes.fromhex("d0cf11e0a1b11ae1") + bytes(600))
    with pytest.raises(WorkbookProblem, match="xls"):
        find_recipes(path)


def test_a_damaged_sheet_is_refused_in_one_line(tmp_path):
    whole = write(tmp_path / "r.xlsx", {"S": [["Ingredient", "g"], ["Water", 70]]})
    broken = {"xl/worksheets/sheet1.xml": b"<worksheet><sheetData><row r='x'><c"}
    with pytest.raises(WorkbookProblem, match="damaged"):
        find_recipes(rewrite(whole, tmp_path / "broken.xlsx", broken))


def test_an_integer_of_hundreds_of_digits_is_no_number(tmp_path):
    path = write(tmp_path / "recipe.xlsx", {"Sheet": [["ingredient", "grams"], ["Water", 300], ["Oil", 77777]]})
    with zipfile.ZipFile(path) as archive:
        xml = archive.read("xl/worksheets/sheet1.xml")
    huge = rewrite(path, tmp_path / "huge.xlsx", {"xl/worksheets/sheet1.xml": xml.replace(b"77777", b"9" * 400)})
    assert all(row.amount is None or row.amount <= 300 for table in find_recipes(huge) for row in table.rows)
