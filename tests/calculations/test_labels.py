"""The ingredient line, net contents, tolerance, label and wrap sizes, and cautions."""

import math
import re

import pytest
import tarecell
from hypothesis import given, settings
from hypothesis import strategies as st
from tarecell.calculations import labels, net_contents
from tarecell.calculations.cautions import caution_rows, cautions
from tarecell.errors import CellError, NotFound, OutOfRange
from tarecell.tables import rows, squeeze

NAMES = st.sampled_from(
    ["Aqua", "Glycerin", "Parfum", "CI 77891", "Mica", "Cocos Nucifera Oil", "Tocopherol", "Sorbitol"]
)
RECIPES = st.lists(st.tuples(NAMES, st.integers(0, 500)), min_size=1, max_size=10).filter(
    lambda r: any(a for _, a in r)
)


@settings(max_examples=60, deadline=None)
@given(RECIPES, st.sampled_from(["EU", "US"]), st.booleans())
def test_line_is_every_ingredient_once_in_descending_order(recipe, market, coloured):
    names, amounts = [n for n, _ in recipe], [float(a) for _, a in recipe]
    colours = [n for n in ("Mica", "CI 77891") if n in names] if coloured else None
    line = labels.ingredients(names, amounts, market, colours).split(", ")
    totals = {}
    for name, amount in recipe:
        totals[name] = totals.get(name, 0) + amount
    assert sorted(line) == sorted(name for name, total in totals.items() if total)
    cut = len(line) - sum(name in (colours or ()) for name in line)
    assert set(line[cut:]) <= set(colours or ())
    for part in (line[:cut], line[cut:]):
        weights = [totals[name] for name in part]
        assert weights == sorted(weights, reverse=True)


def test_same_name_whatever_its_spelling_is_named_once_as_first_typed():
    assert labels.ingredients(["Glycerín", "AQUA", " glycerin "], [4, 9, 6]) == "Glycerín, AQUA"


def test_equal_weights_keep_the_order_of_the_recipe_even_when_sums_are_not_exact():
    assert labels.ingredients(["B", "A", "a"], [0.3, 0.1, 0.2]) == "B, A"
    assert labels.ingredients(["A", "a", "B"], [0.1, 0.2, 0.3]) == "A, B"


def test_colourant_must_be_in_the_recipe():
    with pytest.raises(NotFound, match="Mica"):
        labels.ingredients(["Aqua", "Mica"], [9, 1], "EU", ["Micca"])


def test_colourant_without_weight_is_left_out():
    assert labels.ingredients(["Aqua", "Mica"], [9, 0], "EU", ["mica"]) == "Aqua"


def test_nothing_weighed():
    with pytest.raises(OutOfRange):
        labels.ingredients(["Aqua"], [0.0])


def test_explain_names_the_free_group():
    told = tarecell.call("TC_EXPLAIN", "TC_INGREDIENTS", ["Aqua", "Parfum"], [99.0, 1.0], "US")
    assert "any order after the larger ones (1 % or less): Parfum" in told
    told = tarecell.call("TC_EXPLAIN", "TC_INGREDIENTS", ["Aqua", "Parfum"], [99.0, 1.0], "EU")
    assert "none is below 1 %" in told


# Net contents

WEIGHTS = st.floats(0.02, 2000, allow_nan=False)


def _grams(text):
    figure, unit = re.search(r"([\d.]+) (kg|g|L|mL)\)?$", text).groups()
    return float(figure) * (1000 if unit in ("kg", "L") else 1)


@settings(max_examples=60, deadline=None)
@given(WEIGHTS, st.sampled_from(["oz", "lb", "g", "kg", "mL", "fl oz", "qt"]), st.sampled_from(["EU", "US"]))
def test_a_content_is_never_overstated_and_little_understated(amount, unit, market):
    try:
        text = net_contents.net_contents(amount, unit, market)
    except CellError as error:
        assert "too little" in error.reason or "more than any pack" in error.reason
        return
    held = net_contents.contents(amount, unit)
    shown = _grams(text)
    assert shown <= held.metric * (1 + 1e-8)
    assert shown > held.metric * 0.89 - 0.1  # two digits: 0.99 may become 0.90 at worst, plus the EU step of 0.1
    if market == "US":
        stated = _stated_ounces(text)
        assert stated <= held.ounces * (1 + 1e-8)
        assert stated > held.ounces - 0.0101  # steps of a hundredth


def _stated_ounces(text):
    sizes = {"LB": 16, "GAL": 128, "QT": 32, "PT": 16, "OZ": 1}
    first = re.match(r"NET(?: WT)? ([^(]*)", text)[1].replace("FL OZ", "OZ")
    inside = re.search(r"\(((?:[\d.]+ (?:LB|GAL|QT|PT|OZ) ?)+)\)", text)
    told = [
        sum(float(n) * sizes[u] for n, u in re.findall(r"([\d.]+) (\w+)", part))
        for part in (first, inside and inside[1])
        if part
    ]
    assert max(told) - min(told) < 1e-6, "both ways of saying it agree"
    return told[0]


@pytest.mark.parametrize(
    ("amount", "unit", "text"),
    [
        (15.99, "oz", "NET WT 15.99 OZ (453 g)"),
        (16, "oz", "NET WT 16 OZ (1 LB) 453 g"),
        (1, "lb", "NET WT 16 OZ (1 LB) 453 g"),
        (453.592, "g", "NET WT 16 OZ (1 LB) 453 g"),
        (18.5, "oz", "NET WT 18.5 OZ (1 LB 2.5 OZ) 524 g"),
        (64, "oz", "NET WT 4 LB (1.81 kg)"),
        (84.5, "oz", "NET WT 5 LB 4.5 OZ (2.39 kg)"),
        (16, "fl oz", "NET 16 FL OZ (1 PT) 473 mL"),
        (128, "fl oz", "NET 1 GAL (3.78 L)"),
        (0.15, "oz", "NET WT 0.15 OZ (4.2 g)"),
        (100, "g", "NET WT 3.52 OZ (100 g)"),
        (99.5, "g", "NET WT 3.5 OZ (99 g)"),
    ],
)
def test_us_statement(amount, unit, text):
    assert net_contents.net_contents(amount, unit, "US") == text


@pytest.mark.parametrize(
    ("amount", "unit", "text"),
    [
        (150, "g", "150 g"), (4.25, "g", "4.2 g"), (0.3, "g", "0.3 g"), (1, "kg", "1 kg"), (999.9, "g", "999.9 g"),
        (1255, "g", "1.255 kg"), (50, "cL", "500 mL"), (1.5, "L", "1.5 L"), (4, "oz", "113 g"), (1, "UK pt", "568 mL"),
    ],
)  # fmt: skip
def test_eu_statement(amount, unit, text):
    assert net_contents.net_contents(amount, unit, "EU") == text


@pytest.mark.parametrize(("amount", "unit"), [(3, "cm"), (3, "each"), (20, "C"), (0.04, "g"), (1e9, "g")])
def test_contents_that_cannot_be_declared(amount, unit):
    with pytest.raises(OutOfRange):
        net_contents.net_contents(amount, unit, "EU")


# Tolerance


@settings(max_examples=60, deadline=None)
@given(st.floats(5, 10_000), st.floats(5, 10_000))
def test_tolerance_grows_with_the_pack(one, other):
    small, large = sorted((one, other))
    assert labels.tolerance(small) <= labels.tolerance(large)


@pytest.mark.parametrize("at", [50, 100, 200, 300, 500, 1000])
def test_tolerance_is_continuous_at_every_break(at):
    around = [labels.tolerance(x) for x in (at - 1e-6, at, at + 1e-6)]
    assert around[1] == pytest.approx(around[0], abs=1e-9)
    assert around[2] - around[1] <= 0.1 + 1e-9  # above the break a percentage is rounded up to the next 0.1


@pytest.mark.parametrize("nominal", [4.999, 10_000.1])
def test_tolerance_outside_the_table(nominal):
    with pytest.raises(OutOfRange):
        labels.tolerance(nominal)


# Sizes


@settings(max_examples=40, deadline=None)
@given(st.floats(0.1, 1000), st.floats(-50, 50))
def test_label_fit_is_what_was_added_to_the_girth(diameter, more):
    assert labels.label_fit(diameter, math.pi * diameter + more) == pytest.approx(more, abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(st.floats(0.1, 1000), st.floats(0.1, 1000), st.floats(0, 50))
def test_wrap_goes_all_the_way_round(diameter, height, ease):
    width, length = labels.wrap_size(diameter, height, ease)
    assert width == length
    assert 2 * width == pytest.approx(2 * (diameter + height) + 2 * ease)
    assert 2 * width > math.pi * min(diameter, height)


# Cautions


@pytest.mark.parametrize("market", ["EU", "US"])
@pytest.mark.parametrize("product", [row["product"] for row in rows("product_types")])
def test_every_product_has_cautions_in_one_line_that_defer(product, market):
    text = cautions(product, market)
    assert len(caution_rows(product, market)) >= 1
    assert "\n" not in text and text.endswith("they come first.")


def test_every_row_of_the_table_concerns_a_known_product():
    products = {row["product"] for row in rows("product_types")}
    categories = {f"category:{row['category']}" for row in rows("product_types") if row["category"]}
    for row in rows("cautions"):
        assert set(row["applies"].split("|")) <= products | categories, row
        assert row["market"] in ("", "EU", "US") and row["caution"].endswith(".")


def test_cautions_by_danger():
    assert "children and pets" in cautions("candle") and "out of sight" in cautions("candle")
    assert "CLP" in cautions("wax melt") and "CLP" not in cautions("wax melt", "US")
    assert "slippery" in cautions("bath bomb")
    for product in ("baby oil", "baby wipes", "baby shampoo", "baby wash", "baby bath"):
        assert "safety assessor" in cautions(product)
    assert "740.17" in cautions("bubble bath", "US") and "740.17" not in cautions("bubble bath", "EU")
    assert "if it foams" in cautions("bath bomb", "US")


def test_unknown_product():
    with pytest.raises(NotFound, match="candle"):
        cautions("candel")


def test_names_are_folded_like_everywhere():
    assert cautions("  CANDLE") == cautions("candle") == cautions("Soy Candle")
    assert squeeze("Bath Bomb") == squeeze("bath-bomb")
