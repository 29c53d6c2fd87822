"""Soap: what always holds, whatever the recipe, and what is refused."""

import math

import pytest
import tarecell
from hypothesis import given, settings
from hypothesis import strategies as st
from tarecell.calculations import fats, soap
from tarecell.errors import NotFound, OutOfRange
from tarecell.tables import rows

LISTED = [row["fat"] for row in rows("fats")]
WITH_RANGE = [row["fat"] for row in rows("fats") if row["sap_low"]]
WITH_VALUE = [row["fat"] for row in rows("fats") if row["sap_low"] or row["sap"]]
WITHOUT = [fat for fat in LISTED if fat not in WITH_VALUE]

alkalis = st.sampled_from(["NaOH", "KOH"])
weights = st.floats(1.0, 5000.0)
recipes = st.lists(st.tuples(st.sampled_from(WITH_RANGE), weights), min_size=1, max_size=6)
few = settings(max_examples=60, deadline=None)


def refused(name, *args):
    with pytest.raises(tarecell.CellError) as caught:
        tarecell.call(name, *args)
    return caught.value.kind, caught.value.reason


@few
@given(recipes, alkalis, st.floats(0.0, 0.25), st.floats(0.5, 1.0), st.floats(0.1, 20.0))
def test_lye_is_proportional_to_the_weights(recipe, alkali, superfat, purity, factor):
    names, grams = zip(*recipe, strict=True)
    once = soap.lye(names, grams, alkali, superfat, purity)
    scaled = soap.lye(names, [g * factor for g in grams], alkali, superfat, purity)
    assert math.isclose(scaled, once * factor, rel_tol=1e-12)


@few
@given(recipes, recipes, alkalis)
def test_lye_of_two_pots_is_the_sum(first, second, alkali):
    parts = [soap.lye(*zip(*recipe, strict=True), alkali) for recipe in (first, second)]
    together = soap.lye(*zip(*first, *second, strict=True), alkali)
    assert math.isclose(together, sum(parts), rel_tol=1e-12)


@few
@given(recipes, alkalis, st.floats(0.0, 0.25), st.floats(0.5, 1.0))
def test_superfat_of_the_lye_amount_comes_back(recipe, alkali, superfat, purity):
    names, grams = zip(*recipe, strict=True)
    lye = soap.lye(names, grams, alkali, superfat, purity)
    assert math.isclose(soap.superfat(names, grams, lye, alkali, purity), superfat, abs_tol=1e-12)


@few
@given(recipes, st.floats(0.0, 0.25), st.floats(0.5, 1.0))
def test_naoh_and_koh_keep_one_ratio(recipe, superfat, purity):
    names, grams = zip(*recipe, strict=True)
    sodium, potassium = (soap.lye(names, grams, alkali, superfat, purity) for alkali in ("NaOH", "KOH"))
    assert math.isclose(potassium / sodium, 56.1056 / 39.9971, rel_tol=1e-12)
    assert potassium > sodium


@few
@given(recipes, alkalis, st.floats(1.0, 3000.0), st.floats(0.5, 1.0))
def test_the_range_holds_the_point(recipe, alkali, lye, purity):
    names, grams = zip(*recipe, strict=True)
    low, high = soap.superfat_range(names, grams, lye, alkali, purity)
    point = soap.superfat(names, grams, lye, alkali, purity)
    assert low <= point + 1e-12 and point <= high + 1e-12 and low < high <= 1


@few
@given(recipes, st.floats(0.5, 0.99))
def test_weaker_alkali_takes_more(recipe, purity):
    names, grams = zip(*recipe, strict=True)
    pure = soap.lye(names, grams)
    assert math.isclose(soap.lye(names, grams, purity=purity) * purity, pure, rel_tol=1e-12)


@few
@given(st.floats(1.0, 5000.0), st.floats(0.2, 0.5))
def test_the_lye_has_the_strength_asked_for(lye, strength):
    water = soap.lye_water(lye, strength)
    assert math.isclose(lye / (lye + water), strength, rel_tol=1e-12)


@few
@given(st.lists(st.tuples(st.sampled_from([r["fat"] for r in rows("fats") if r["iodine_low"]]), weights), min_size=1))
def test_iodine_value_lies_between_the_fats(recipe):
    names, grams = zip(*recipe, strict=True)
    values = [fats.iodine(name).point for name in names]
    assert min(values) - 1e-9 <= soap.iodine(names, grams) <= max(values) + 1e-9


@pytest.mark.parametrize("row", rows("fats"), ids=LISTED)
def test_table_row_is_sound(row):
    assert row["source"] and row["certainty"]
    for key, least, most in (("sap", 40, 400), ("iodine", 0, 250)):
        low, high, point = row[f"{key}_low"], row[f"{key}_high"], row[key]
        assert bool(low) == bool(high)
        if low:
            assert least <= float(low) < float(high) <= most
        if point:
            assert least <= float(point) <= most
        if low and point:
            assert float(low) <= float(point) <= float(high)
    if not row["sap"] and not row["sap_low"]:
        assert "ask your supplier" in row["source"] and not row["iodine"] and not row["iodine_low"]


@pytest.mark.parametrize("row", rows("fats"), ids=LISTED)
def test_every_name_finds_its_own_row(row):
    for name in (row["fat"], *filter(None, row["also"].split("|"))):
        for typed in (name, name.upper(), f"  {name} ", name.removesuffix(" oil")):
            assert fats.row_of(typed) is row, typed


@pytest.mark.parametrize("fat", WITHOUT)
def test_a_fat_without_a_value_has_no_default(fat):
    for name, args in (
        ("TC_SAP", (fat,)),
        ("TC_LYE", (["olive oil", fat], [100.0, 1.0])),
        ("TC_SUPERFAT", (["olive oil", fat], [100.0, 1.0], 13.0)),
        ("TC_SUPERFAT_RANGE", (["olive oil", fat], [100.0, 1.0], 13.0)),
        ("TC_IODINE", ([fat], [1.0])),
    ):
        kind, reason = refused(name, *args)
        assert kind == "#N/A" and "ask your supplier and give it as own value" in reason


def test_there_are_fats_without_a_value():
    assert {"mango butter", "hemp seed oil"} <= set(WITHOUT)


@pytest.mark.parametrize(
    "typed", ["canola", "Soybean Oil", "soya bean", "peanut", "corn oil", "high-oleic sunflower", "Shea"]
)
def test_names_of_the_trade(typed):
    assert tarecell.call("TC_SAP", typed) > 0.12


def test_fractionated_coconut_is_not_coconut():
    assert refused("TC_SAP", "fractionated coconut")[0] == "#N/A"


@pytest.mark.parametrize(
    ("superfat", "words"), [(0.26, "above 25 %"), (-0.01, "burns skin"), (5.0, "5%"), (1.01, "1.01")]
)
def test_superfat_outside_is_refused_with_its_reason(superfat, words):
    kind, reason = refused("TC_LYE", ["olive oil"], [100.0], "NaOH", superfat)
    assert kind == "#NUM!" and words in reason


@pytest.mark.parametrize("superfat", [0.0, 0.25, None])
def test_superfat_at_its_ends(superfat):
    assert math.isclose(tarecell.call("TC_LYE", ["olive oil"], [100.0], "KOH", superfat), 19 * (1 - (superfat or 0)))


@pytest.mark.parametrize(
    ("strength", "words"), [(0.19, "below 20 %"), (0.51, "above 50 %"), (33.0, "33%"), (-0.3, "neg")]
)
def test_strength_outside_is_refused_with_its_reason(strength, words):
    kind, reason = refused("TC_LYE_WATER", 100.0, strength)
    assert kind == "#NUM!" and words in reason


def test_strength_at_its_ends():
    assert math.isclose(tarecell.call("TC_LYE_WATER", 100.0, 1 - 0.8), 400.0)
    assert math.isclose(tarecell.call("TC_LYE_WATER", 100.0, 0.5), 100.0)


@pytest.mark.parametrize(("purity", "words"), [(0.49, "below 50 %"), (90.0, "90%"), (1.1, "110 %"), (-0.9, "neg")])
def test_purity_outside_is_refused_with_its_reason(purity, words):
    for call in (
        ("TC_LYE", ["olive oil"], [100.0], "NaOH", 0.05, purity),
        ("TC_SUPERFAT", ["olive oil"], [100.0], 13.0, "NaOH", purity),
        ("TC_SUPERFAT_RANGE", ["olive oil"], [100.0], 13.0, "NaOH", purity),
    ):
        kind, reason = refused(*call)
        assert kind == "#NUM!"
        assert words in reason or (purity < 0 and "more" in reason)


@pytest.mark.parametrize("left_out", [0.0, None, ""])
def test_purity_left_out_is_pure(left_out):
    assert tarecell.call("TC_LYE", ["olive oil"], [100.0], "KOH", 0.0, left_out) == 19.0


@pytest.mark.parametrize(
    ("own", "words"),
    [
        (0.135, "189.4"),  # grams of NaOH per gram of fat
        (0.19, "(190)"),  # grams of KOH per gram of fat
        (39.0, "outside 40 to 400"),
        (401.0, "outside 40 to 400"),
        (135.0, "mg of NaOH"),
        (300.0, "dangerous"),
        (-190.0, "negative"),
    ],
)
def test_own_value_in_the_wrong_unit_is_refused(own, words):
    kind, reason = refused("TC_LYE", ["olive oil"], [100.0], "NaOH", 0.05, 1.0, [own])
    assert kind == "#NUM!" and words in reason


def test_own_values_may_lie_low_for_waxes_and_stand_for_unlisted_fats():
    lye = tarecell.call("TC_LYE", ["jojoba", "beeswax", "tucuma butter"], [100.0] * 3, "KOH", 0, 1, [92.0, 87.0, 240.0])
    assert math.isclose(lye, 9.2 + 8.7 + 24.0)


def test_own_values_with_blanks_take_the_table():
    mixed = tarecell.call("TC_LYE", ["olive oil", "coconut oil"], [100.0, 100.0], "KOH", 0, 1, [[None], [250.0]])
    assert math.isclose(mixed, 19.0 + 25.0)
    assert refused("TC_LYE", ["olive oil", None], [100.0, None], "KOH", 0, 1, [None, 250.0])[0] == "#VALUE!"


def test_alkali_is_one_of_two():
    for name in ("lye", "sodium carbonate", "Na", "KOH2"):
        assert refused("TC_LYE", ["olive oil"], [100.0], name)[0] == "#VALUE!"
    assert tarecell.call("TC_SAP", "olive", "koh") == tarecell.call("TC_SAP", "olive", "KOH") == 0.19


def test_a_negative_superfat_is_a_number_and_warns():
    args = ("TC_SUPERFAT", ["olive oil"], [1000.0], 199.5, "KOH")
    assert math.isclose(tarecell.call(*args), -0.05)
    told = tarecell.call("TC_EXPLAIN", *args)
    assert "lye-heavy: do not use on skin" in told and "−5 %" in told


def test_the_wrong_alkali_is_hinted_at():
    assert "as KOH the same weight" in tarecell.call("TC_EXPLAIN", "TC_SUPERFAT", ["olive"], [1000.0], 180.5, "NaOH")
    assert "as NaOH the same weight" in tarecell.call("TC_EXPLAIN", "TC_SUPERFAT", ["olive"], [1000.0], 128.0, "KOH")
    assert "same weight" not in tarecell.call("TC_EXPLAIN", "TC_SUPERFAT", ["olive"], [1000.0], 128.0, "NaOH")


def test_the_range_warns_only_below_zero():
    told = tarecell.call("TC_EXPLAIN", "TC_SUPERFAT_RANGE", ["shea butter"], [1000.0], 168.6, "KOH")
    assert "WARNING: the low end is below zero" in told
    told = tarecell.call("TC_EXPLAIN", "TC_SUPERFAT_RANGE", ["olive oil"], [1000.0], 174.8, "KOH")
    assert "WARNING" not in told and "184–196" in told
    told = tarecell.call("TC_EXPLAIN", "TC_SUPERFAT_RANGE", ["olive oil"], [1000.0], 250.0, "KOH")
    assert "do not use on skin" in told


def test_a_single_value_has_no_range():
    kind, reason = refused("TC_SUPERFAT_RANGE", ["jojoba oil"], [100.0], 6.0)
    assert kind == "#N/A" and "no published range for jojoba oil" in reason
    assert tarecell.call("TC_SUPERFAT_RANGE", ["jojoba oil"], [100.0], 9.2, "KOH", 1, [92.0]) == [0.0, 0.0]


def test_the_working_is_the_trades_own():
    told = tarecell.call("TC_EXPLAIN", "TC_LYE", ["coconut", "cocoa butter"], [300.0, 100.0], "NaOH", 0.05, 0.98)
    assert told.startswith(
        "coconut 300 g × 0.18286 = 54.857 g, cocoa butter 100 g × 0.13816 = 13.816 g; total 68.6727 g"
    )
    assert "5 % superfat" in told and "98 % purity" in told
    assert "middle of the published range: coconut 256.5 (248–265)" in told
    assert "published value: cocoa butter 193.8" in told


def test_lye_warns_where_the_ranges_allow_lye_heavy_soap():
    assert "lye-heavy" in tarecell.call("TC_EXPLAIN", "TC_LYE", ["shea butter"], [100.0], "NaOH", 0.05)
    assert "lye-heavy" not in tarecell.call("TC_EXPLAIN", "TC_LYE", ["olive oil"], [100.0], "NaOH", 0.05)
    assert "is not known" in tarecell.call("TC_EXPLAIN", "TC_LYE", ["jojoba"], [100.0], "NaOH", 0.05)


def test_values_from_memory_are_named():
    for name, args in (
        ("TC_SAP", ("lard",)),
        ("TC_LYE", (["lard", "olive oil"], [50.0, 50.0])),
        ("TC_SUPERFAT", (["lard", "olive oil"], [50.0, 50.0], 13.0)),
        ("TC_SUPERFAT_RANGE", (["lard", "olive oil"], [50.0, 50.0], 13.0)),
        ("TC_IODINE", (["lard", "olive oil"], [50.0, 50.0])),
    ):
        assert "from memory, not checked against the source: lard" in tarecell.call("TC_EXPLAIN", name, *args)
    assert "memory" not in tarecell.call("TC_EXPLAIN", "TC_LYE", ["olive oil"], [50.0])


def test_weights_too_small_to_work_with():
    with pytest.raises(OutOfRange):
        soap.superfat(["olive oil"], [5e-324], 1.0)


def test_weights_that_add_up_to_nothing():
    with pytest.raises(OutOfRange):
        soap.lye(["olive oil"], [0.0])
    with pytest.raises(NotFound):
        soap.lye(["unicorn fat"], [0.0])


@pytest.mark.parametrize(
    ("refuse", "words"),
    [
        (lambda: soap.check_purity(0.4), "a purity of 40 % is below 50 %"),
        (lambda: soap.check_superfat(-0.05), "a superfat of -5 % is below 0"),
        (lambda: soap.check_superfat(0.3), "a superfat of 30 % is above 25 %"),
        (lambda: soap.lye_water(100.0, 0.55), "a concentration of 55 % is above 50 %"),
        (lambda: soap.lye_water(100.0, 0.15), "a concentration of 15 % is below 20 %"),
    ],
)
def test_a_refusal_tells_the_figure_that_was_typed(refuse, words):
    with pytest.raises(OutOfRange) as caught:
        refuse()
    assert caught.value.reason.startswith(words)


def test_lye_for_no_superfat_gives_exactly_none_back():
    """1 − lye × purity ÷ need misses 0 by a rounding hair for these weights, which is no superfat, nor lye-heavy."""
    names, grams = ["Olive oil", "Coconut oil"], [520.0, 300.0]
    weighed = soap.lye(names, grams, purity=0.97)
    assert 1 - weighed * 0.97 / soap.lye(names, grams) != 0
    assert soap.superfat(names, grams, weighed, purity=0.97) == 0.0


def test_a_purity_left_out_is_pure_when_superfat_is_measured():
    names, grams = ["Olive oil", "Coconut oil"], [700.0, 300.0]
    assert soap.superfat(names, grams, 138.0) == soap.superfat(names, grams, 138.0, "NaOH", 1.0)
    assert soap.superfat_range(names, grams, 138.0) == soap.superfat_range(names, grams, 138.0, "NaOH", 1.0)


def test_the_alkali_is_read_as_a_word():
    """A word from a cell is another object than the one in the program."""
    assert soap.per_gram(190.0, "".join(["Na", "OH"])) == soap.per_gram(190.0, "NaOH") < soap.per_gram(190.0, "KOH")
