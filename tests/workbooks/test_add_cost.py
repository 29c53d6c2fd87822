"""The cost of a batch and a piece, from price tables of many layouts."""

import pytest
from tarecell.workbooks.add import plan_addition
from tarecell.workbooks.problems import WorkbookProblem
from workbooks.add_books import PRICES, added, recipe

OIL = 2 * 28.349523125  # g in the recipe's 2 oz


def test_cost_per_piece_from_a_price_table(tmp_path):
    path = recipe(tmp_path, Prices=PRICES)
    plan, book, values = added(path, "cost", sheet="Cream", prices="Prices!A1:F4", pieces=6)
    shown = {values["Cream"][f"H{r}"].value: values["Cream"][f"I{r}"].value for r in range(2, 5)}
    batch = 300 * 1.0 / 1000 + OIL * 12.5 / 500 + 40 * 15 / 1000
    assert shown["batch cost"] == pytest.approx(batch) and shown["per piece"] == pytest.approx(batch / 6)
    assert shown["pieces"] == 6 and any("no packaging" in note for note in plan.notes)


def test_prices_per_unit_need_no_pack(tmp_path):
    prices = [["ingredient", "price per kg"], ["Water", 1], ["Olive oil", 25], ["Shea butter", 15]]
    _, book, values = added(recipe(tmp_path, Prices=prices), "cost", sheet="Cream", prices="Prices!A1:B4")
    assert '1,"kg","g")' in book["Cream"]["F2"].value
    assert values["Cream"]["I2"].value == pytest.approx(0.3 + OIL * 0.025 + 0.6)


@pytest.mark.parametrize(
    "prices",
    [
        [["Item", "Supplier", "Pack size (g)", "Price £"], ["Water", "tap", 1000, 1], ["Olive oil", "x", 500, 12.5]],
        [["Material", "Pack price", "Pack size", "Pack unit"], ["Water", 1, 1, "kg"], ["Olive oil", 12.5, 0.5, "kg"]],
        [
            ["Ingredient", "Qty", "UoM", "Cost", "Shipping"],
            ["Water", 1000, "g", 0.5, 0.5],
            ["Olive oil", 500, "g", 12, 0.5],
        ],
        [["Raw material", "Cost/kg"], ["Water", 1], ["Olive oil", 25]],
        [["Ingredient", "Price per g"], ["Water", 0.001], ["Olive oil", 0.025]],
    ],
)
def test_price_tables_of_other_layouts(tmp_path, prices):
    path = recipe(tmp_path, [["ingredient", "grams"], ["Water", 300], ["Olive oil", 100]], Prices=prices)
    last = f"{'ABCDE'[len(prices[0]) - 1]}3"
    plan, _, values = added(path, "cost", sheet="Cream", prices=f"Prices!A1:{last}", pieces=4)
    batch = next(cell.address for cell in plan.cells if cell.content.startswith("=TC_RECIPE_COST"))
    assert values["Cream"][batch].value == pytest.approx(0.3 + 2.5)


@pytest.mark.parametrize(
    ("prices", "reason"),
    [
        ([*PRICES[:2], PRICES[2]], "row 5: no price.*Shea butter"),
        ([*PRICES, ["olive OIL", 1, "kg", 9, None, None]], "stands in the price table twice"),
        ([["material", "price"], ["Water", 1]], "no pack size"),
        ([["a", "b"], ["Water", 1]], "headings"),
        ([PRICES[0]], "begins with the row of headings"),
    ],
)
def test_price_tables_that_do_not_serve(tmp_path, prices, reason):
    path = recipe(tmp_path, Prices=prices)
    last = f"{'F' if len(prices[0]) > 2 else 'B'}{len(prices)}"
    with pytest.raises(WorkbookProblem, match=reason):
        plan_addition(path, "cost", sheet="Cream", prices=f"Prices!A1:{last}", pieces=2)
