"""Finding recipe tables in a workbook that people keep by hand."""

from pathlib import Path

from tarecell.workbooks.find import describe, find_recipes

EXAMPLE = Path(__file__).parents[2] / "examples" / "little_quay_recipes.xlsx"


def test_the_example_recipes_are_found_and_the_price_list_and_the_caps_are_not():
    tables = find_recipes(EXAMPLE)
    assert [t.sheet for t in tables] == ["Cream", "Bath bombs", "Candle"]
    cream = tables[0]
    assert cream.title == "Hand & body cream"
    assert (cream.header_row, cream.first_row, cream.last_row) == (4, 5, 14)
    assert (cream.phase_column, cream.name_column, cream.amount_column, cream.unit_column) == (1, 2, 3, 4)
    assert cream.rows[0] == (5, "water", "Water", 11.5, "oz")
    assert cream.rows[-1] == (14, "cool down", "Vitamin E", 2.0, "g")
    assert cream.confidence == "sure"
    assert "Cream, A4:E14" in describe(tables)
