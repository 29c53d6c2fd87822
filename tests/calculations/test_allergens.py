"""Which allergens a label must name."""

import re

import pytest
import tarecell
from hypothesis import given, settings
from hypothesis import strategies as st
from tarecell.calculations import allergens
from tarecell.calculations.allergens import LIMITS, entry
from tarecell.errors import NotFound, OutOfRange
from tarecell.tables import rows

LISTED = [row["allergen"] for row in rows("allergens")]


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.sampled_from(LISTED), st.floats(0, 0.02)), min_size=1, max_size=12),
    st.floats(1e-5, 1),
)
def test_named_is_just_what_exceeds_and_leave_on_names_at_least_as_much(recipe, share):
    names, fractions = [n for n, _ in recipe], [f for _, f in recipe]
    named = {e: set(allergens.allergens(names, fractions, share, e).split(", ")) - {"none"} for e in LIMITS}
    assert named["rinse-off"] <= named["leave-on"] <= set(names)
    for exposure, limit in LIMITS.items():
        for name in set(names):
            level = sum(f for n, f in recipe if n == name) * share
            if abs(level / limit - 1) > 1e-6:
                assert (name in named[exposure]) == (level > limit)


@settings(max_examples=60, deadline=None)
@given(st.floats(1e-4, 1), st.sampled_from(sorted(LIMITS)))
def test_exactly_at_the_limit_is_not_above_it(share, exposure):
    limit = LIMITS[exposure]
    fraction = limit / share
    if fraction <= 1:
        assert allergens.allergens(["linalool"], [fraction], share, exposure) == "none"
        assert (
            allergens.allergens(["linalool"], [min(1, fraction * 1.0001)], min(1, share * 1.0001), exposure)
            == "linalool"
        )


def test_same_name_and_mirror_images_are_added_up():
    found = allergens.allergens(["d-limonene", "L-Limonene", "(R)-limonene"], [0.004] * 3, 0.01, "rinse-off")
    assert found == "Limonene"
    assert allergens.allergens(["alpha-pinene", "β-pinene"], [0.006, 0.006], 0.01, "rinse-off") == "Pinene"


@pytest.mark.parametrize(
    ("typed", "listed"),
    [
        ("LINALOOL", "Linalool"), ("Linalool (78-70-6)", "Linalool"), ("78-70-6", "Linalool"),
        ("trans,trans-Farnesol", "Farnesol"), ("(R)-(+)-Limonene", "Limonene"), ("cinnamaldehyde", "Cinnamal"),
        ("Lavender Oil", "Lavandula Oil/Extract"), ("oak moss", "Evernia Prunastri Extract"), ("l-menthol", "Menthol"),
        ("damascenone", "Rose Ketones"), ("geranial", "Citral"), ("Hydroxy-Citronellal", "Hydroxycitronellal"),
    ],
)  # fmt: skip
def test_other_names(typed, listed):
    assert entry(typed)["allergen"] == listed


@pytest.mark.parametrize(
    "typed", ["linalol", "geraniool", "coumarine", "limonine", "linalool natural", "78-70-7", "eugenole"]
)
def test_a_slip_is_never_passed_over(typed):
    with pytest.raises(NotFound):
        allergens.allergens([typed], [0.1], 0.01, "leave-on")


@pytest.mark.parametrize(
    "typed",
    ["ethanol", "DPG", "citronellal", "nerol", "methyl eugenol", "gamma-terpinene", "menthone", "64-17-5", "thymol"],
)
def test_other_substances_pass(typed):
    assert allergens.allergens([typed, "coumarin"], [0.5, 0.1], 0.01, "leave-on") == "coumarin"
    assert typed in tarecell.call("TC_EXPLAIN", "TC_ALLERGENS", [typed], [0.5], 0.01, "leave-on")


@pytest.mark.parametrize(
    ("typed", "listed"),
    [
        ("CAS 78-70-6", "Linalool"), ("78-70-6, 126-91-0", "Linalool"), ("CAS: 78‑70‑6", "Linalool"),
        ("0000078-70-6", "Linalool"), ("64-17-5 / 91-64-5", "Coumarin"), ("nerol (91-64-5)", "Coumarin"),
        ("linalool 78-70-6", "Linalool"),
    ],
)  # fmt: skip
def test_a_cas_number_is_found_however_it_is_written(typed, listed):
    assert entry(typed)["allergen"] == listed


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("78-70-6, 91-64-5", "holds Coumarin and Linalool: give each a row of its own"),
        ("Linalool (Limonene)", "holds Limonene and Linalool: give each a row of its own"),
        ("Linalool (CAS 91-64-5)", "holds Coumarin and Linalool: give each a row of its own"),
        ("CAS 78-70-7", "78-70-7 is not a valid CAS number"),
        ("64-17-6", "64-17-6 is not a valid CAS number"),
        ("64-17-4", "64-17-4 is not a valid CAS number"),
        ("201-134-4", "EC number"),
        ("EC 226–394–6", "type the name or CAS number"),
    ],
)
def test_a_number_that_leads_nowhere_is_never_passed_over(typed, words):
    with pytest.raises(NotFound, match=words):
        allergens.allergens([typed], [0.1], 0.01, "leave-on")


@pytest.mark.parametrize("number", ["8028-48-6", "72968-50-4"])
def test_a_number_of_flower_and_peel_oil_asks_for_the_name(number):
    with pytest.raises(NotFound, match="Citrus Aurantium Flower Oil or Citrus Aurantium Peel Oil"):
        allergens.allergens([number], [0.1], 0.01, "leave-on")
    assert entry(f"sweet orange oil ({number})")["allergen"] == "Citrus Aurantium Peel Oil"


# 111-12-6 is on the list. 5111-12-6 is a sound number too (5 × 6 more before its check digit), of another substance.
def test_a_sound_number_passes_however_like_a_listed_one_it_looks():
    assert entry("111-12-6")["allergen"] == "Methyl 2-Octynoate"
    assert entry("5111-12-6") is None


def test_those_that_pass_are_not_on_the_list():
    names = allergens._listed_names()
    assert not {n.replace(" ", "").replace("-", "") for n in names} & allergens._OTHERS


@pytest.mark.parametrize(
    "typed",
    ["lavender", "Lavender essential oil", "rose", "geranium", "oil of cloves", "cedarwood", "ylang-ylang", "Lemon"],
)
def test_a_plant_without_its_oil_is_never_passed_over(typed):
    with pytest.raises(NotFound, match="did you mean"):
        allergens.allergens([typed], [0.1], 0.01, "leave-on")


def test_the_plant_hinted_at_is_the_nearest():
    with pytest.raises(NotFound, match="did you mean lemon oil"):
        entry("Lemon")


@pytest.mark.parametrize("typed", ["rosemary oil", "tea tree oil", "alcohol", "oil", "leaf alcohol", "rose oxide"])
def test_plants_and_words_that_are_no_listed_ones_pass(typed):
    assert entry(typed) is None


@pytest.mark.parametrize(
    "typed", ["80-54-6", "Lilial", "Hydroxyisohexyl 3-Cyclohexene Carboxaldehyde", "CAS 51414-25-6", "78-70-6, 80-54-6"]
)
def test_prohibited_ones_are_an_error(typed):
    with pytest.raises(OutOfRange, match="prohibited"):
        allergens.allergens([typed], [0.1], 0.01, "leave-on")


def test_more_than_a_whole_fragrance():
    assert allergens.allergens(["linalool"] * 10, [0.1] * 10, 0.01, "leave-on") == "linalool"
    with pytest.raises(OutOfRange, match="the fractions add up to 110 %: no more than 100 %"):
        allergens.allergens(["linalool", "citral"], [0.6, 0.5], 0.01, "leave-on")


# The label must show the name that the list gives (Annex III, column "name"), in the order of the certificate.
@pytest.mark.parametrize(
    ("typed", "label"),
    [
        ("Cinnamaldehyde", "Cinnamal"), ("Damascenone", "Rose Ketones"), ("Geranial", "Citral"),
        ("78-70-6", "Linalool"), ("Oak moss", "Evernia Prunastri Extract"), ("  linalool ", "linalool"),
        ("Turpentine oil", "Turpentine"),
    ],
)  # fmt: skip
def test_the_label_shows_the_listed_name(typed, label):
    assert allergens.allergens([typed], [0.1], 0.01, "leave-on") == label


def test_the_label_keeps_the_order_of_the_certificate():
    names = ["vanillin", "ethanol", "Coumarin", "citral"]
    assert allergens.allergens(names, [0.1, 0.5, 0.1, 0.1], 0.01, "leave-on") == "vanillin, Coumarin, citral"


def test_explain_tells_the_new_dates_only_for_the_further_list():
    older = tarecell.call("TC_EXPLAIN", "TC_ALLERGENS", ["linalool"], [0.1], 0.01, "leave-on")
    further = tarecell.call("TC_EXPLAIN", "TC_ALLERGENS", ["menthol"], [0.1], 0.01, "leave-on")
    assert "2028" not in older
    assert "31 July 2026" in further and "31 July 2028" in further


def test_every_other_name_leads_to_its_own_entry_and_cas_numbers_are_sound():
    for row in rows("allergens"):
        for name in filter(None, [row["allergen"], *row["also"].split("|")]):
            assert entry(name)["allergen"] == row["allergen"], name
            if re.fullmatch(r"\d+-\d\d-\d", name):
                allergens._check_cas(name)
