"""The tour: its figures against a calculation of its own, and what a slip of the hand in the recipe does to them."""

import math

import pytest
from openpyxl import load_workbook
from tarecell.workbooks.evaluate import evaluate
from tarecell.workbooks.package import Package
from tarecell.workbooks.recalculate import recalculate
from tarecell.workbooks.tour import tour

OZ, LB, GALLON = 28.349523125, 453.59237, 3785.411784  # Weights and Measures Act 1985; NIST Handbook 44


@pytest.fixture(scope="module")
def toured(tmp_path_factory):
    folder = tmp_path_factory.mktemp("tour")
    text, report = tour(folder, progress=lambda _: None)
    return folder, text, report


@pytest.fixture(scope="module")
def shown(toured):
    return load_workbook(toured[0] / "little_quay_gift_set.xlsx", data_only=True)


def test_no_cell_is_an_error(toured):
    assert toured[2].errors == [] and toured[2].left_alone == []


def test_the_cream_is_worked_out_right(shown):
    sheet = shown["Cream batch"]
    batch = 10 * 110 / 0.97
    fragrance = math.floor(batch * 0.015 * 10 + 0.5) / 10
    recipe = [11.5 * OZ, 0.6 * OZ, 0.9 * OZ, 52, 30, 8, 4.5, 2]
    exact = [g * (batch - fragrance) / sum(recipe) for g in recipe]
    weighed = [sheet[f"F{row}"].value for row in range(14, 22)]
    assert sheet["C6"].value == pytest.approx(batch) and sheet["C8"].value == pytest.approx(fragrance)
    assert all(abs(w - e) < 0.1 for w, e in zip(weighed, exact, strict=True))
    assert all(w == round(w, 1) for w in weighed)
    assert math.fsum(weighed) == pytest.approx(round(batch - fragrance, 1))
    assert sheet["D11"].value == "within" and sheet["C7"].value == 0.021


def test_the_candle_counts_its_fragrance_on_the_wax(shown):
    sheet = shown["Candle batch"]
    total = 10 * 200 / 0.98
    assert sheet["C8"].value == pytest.approx(total / 1.08 * 0.08, abs=0.05)
    assert sheet["C11"].value == pytest.approx(0.08 / 1.08, abs=1e-4)


def test_costs_add_up_from_the_price_list(shown):
    costs = {row[0]: row[2] for row in shown["Unit costs"].iter_rows(min_row=5, max_col=3, values_only=True) if row[0]}
    assert costs["Water"] == pytest.approx(1.29 / (GALLON * 0.998))
    assert costs["Emulsifying wax"] == pytest.approx((11.20 + 1.60) / LB)
    assert costs["Ribbon"] == pytest.approx(5.25 / 25)
    parts = list(shown["Parts"].iter_rows(min_row=5, max_col=4, values_only=True))
    pieces = {
        item: sum(q * c for i, _, q, c in parts if i == item) for item in ("jar of cream", "bath bomb", "tin candle")
    }
    result = shown["Set cost"]
    assert [result[f"B{r}"].value for r in (5, 6, 7)] == pytest.approx(list(pieces.values()))
    whole = sum(q * (c if c is not None else pieces[p]) for i, p, q, c in parts if i == "gift set")
    assert result["B8"].value == pytest.approx(whole)
    price = math.ceil((whole + 0.3) / (1 - 0.065 - 0.4) / 0.5) * 0.5
    assert result["B9"].value == price
    assert result["B10"].value == pytest.approx((price * (1 - 0.065) - 0.3 - whole) / price)


def test_packs_cover_what_the_sets_need(shown):
    bought = {}
    for name, needed, _, holds, _, packs, _ in shown["To buy"].iter_rows(min_row=5, max_col=7, values_only=True):
        if name and name != "together":
            bought.setdefault(name, [needed, 0])[1] += holds * packs
    assert len(bought) == 26
    assert all(have >= needed * (1 - 1e-9) for needed, have in bought.values())


def test_the_printed_text_tells_what_the_cells_say(toured):
    text = toured[1]
    for words in (
        "Emulsifying wax",
        "cap for body cream: 2.10 % → within",
        "price of a set",
        "to buy",
        "tarecell calc",
    ):
        assert words in text


SLIPS = {
    "a negative weight": ("Cream", "C6", -0.6, "#NUM!", "negative"),
    "a text number": ("Cream", "C6", "0.6", "#VALUE!", "number stored as text"),
    "an empty cap": ("Caps", "C5", None, "#N/A", "no cap stated"),
    "ounces into millilitres": ("Cream", "D5", "ml", "#NUM!", "density"),
    "an emptied amount": ("Cream", "C8", None, "#N/A", "not filled in"),
    "a share of 1.5": ("Plan", "H5", 1.5, "#NUM!", "1.5 means 150 %"),
    "a negative price": ("Prices", "D5", -7.4, "#NUM!", "more than 0"),
    "an unknown unit": ("Prices", "C5", "mlx", "#N/A", "no unit"),
    "an unknown product": ("Plan", "C5", "body creme", "#N/A", "nearest"),
}


@pytest.mark.parametrize("slip", SLIPS)
def test_a_slip_is_an_error_in_every_total_above_it(toured, tmp_path, slip):
    sheet, cell, value, kind, words = SLIPS[slip]
    book = load_workbook(toured[0] / "little_quay_gift_set.xlsx")
    book[sheet][cell] = value
    file = tmp_path / "slip.xlsx"
    book.save(file)
    report = recalculate(file)
    assert any(f.kind == kind and words in f.reason for f in report.errors), [str(f) for f in report.errors]
    values = evaluate(Package.open(report.out)).values
    for total in ((5, 2), (8, 2), (9, 2)):  # cost of a jar, cost and price of the set: none skips it silently
        assert getattr(values["Set cost"][total], "kind", None) == "#VALUE!"
    told = values["Cream batch"].get((15, 9))
    if cell == "C6":
        assert "-17" in str(told).replace("−", "-") if value == -0.6 else words in str(told)


def test_a_second_tour_keeps_the_first(toured):
    before = (toured[0] / "little_quay_gift_set.xlsx").read_bytes()
    tour(toured[0], progress=lambda _: None)
    assert (toured[0] / "little_quay_gift_set.xlsx").read_bytes() == before
    assert (toured[0] / "little_quay_gift_set-2.xlsx").exists()
