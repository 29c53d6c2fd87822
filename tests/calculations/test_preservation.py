import pytest
import tarecell
from hypothesis import given, settings
from hypothesis import strategies as st
from tarecell.calculations import preservation
from tarecell.calculations.products import product_type
from tarecell.errors import NotFound, OutOfRange, WrongValue
from tarecell.tables import Names, rows

TABLE = rows("preservatives")
LISTED = [row["substance"] for row in TABLE if row["standing"] == "annex"]
SALTS = [row["salt"] for row in rows("acid_salts")]
COSMETICS = [
    row["product"]
    for row in rows("product_types")
    if row["exposure"] != "none" and row["category"] and not row["category"].startswith("11")
]
BEGINNINGS = ("within: ", "over: ", "not in this product: ")
few = settings(max_examples=60, deadline=None)
shares = st.floats(1e-7, 1)


def status(*args):
    return tarecell.call("TC_PRESERVATIVE_STATUS", *args)


@few
@given(st.sampled_from(LISTED), shares, st.sampled_from(COSMETICS))
def test_status_begins_with_one_of_three_and_agrees_with_the_numbers(name, share, product):
    text = status(name, share, product)
    assert text.startswith(BEGINNINGS)
    row, kind = preservation.preservative(name), product_type(product)
    if text.startswith("within"):
        most, _ = preservation.maximum(row, kind)
        assert preservation.counted(name, share) <= most * (1 + 1e-8)
        assert "not a recommended rate" in text and "challenge test" in text
    if text.startswith("over"):
        assert preservation.counted(name, share) > preservation.maximum(row, kind)[0] or row["below"]


@few
@given(st.sampled_from(LISTED), shares, shares, st.sampled_from(COSMETICS))
def test_less_is_never_over_where_more_is_within(name, one, other, product):
    less, more = sorted((one, other))
    if status(name, more, product).startswith("within"):
        assert status(name, less, product).startswith("within")


@few
@given(st.sampled_from(LISTED), st.sampled_from(COSMETICS))
def test_exactly_the_maximum_is_within_and_a_little_more_is_over(name, product):
    row, kind = preservation.preservative(name), product_type(product)
    if status(name, 1e-7, product).startswith("not in") or row["below"]:
        return
    most, _ = preservation.maximum(row, kind)
    factor = preservation.counted(name, 1.0)
    assert status(name, most / factor, product).startswith("within")
    assert status(name, most / factor * 1.001, product).startswith("over")


@pytest.mark.parametrize("name", LISTED)
def test_no_baby_product_gets_what_is_shut_out_for_under_3s(name):
    row = preservation.preservative(name)
    for product in ("baby cream", "baby oil", "baby powder", "baby wipes"):
        barred = status(name, 1e-7, product).startswith("not in this product")
        if row["under_3"] or not row["leave_on"]:
            assert barred, product
        else:
            assert not barred, product


@pytest.mark.parametrize(
    ("name", "product"),
    [
        ("IPBC", "body lotion"),
        ("IPBC", "body cream"),
        ("IPBC", "body butter"),
        ("IPBC", "lip balm"),
        ("IPBC", "toothpaste"),
        ("methylisothiazolinone", "body lotion"),
        ("MCI/MI", "baby wipes"),
        ("salicylic acid", "mouthwash"),
        ("sodium salicylate", "baby powder"),
        ("sodium dehydroacetate", "hair spray"),
        ("propylparaben", "baby cream"),
        ("isobutylparaben", "shampoo"),
        ("quaternium-15", "shampoo"),
    ],
)
def test_not_in_this_product(name, product):
    assert status(name, 1e-7, product).startswith("not in this product: ")


def test_a_deodorant_and_a_mouth_product_have_maxima_of_their_own():
    assert status("IPBC", 0.0001, "face cream").startswith("within")
    assert status("IPBC", 0.0001, "deodorant").startswith("over")
    assert status("IPBC", 0.000075, "deodorant").startswith("within")
    assert status("benzoic acid", 0.018, "toothpaste").startswith("over")
    assert status("benzoic acid", 0.018, "shampoo").startswith("within")


@pytest.mark.parametrize("product", ["baby shampoo", "baby wash", "baby bath"])
def test_a_child_s_bath_and_shampoo_may_hold_ipbc_but_not_salicylic_acid(product):
    assert status("IPBC", 0.0002, product).startswith("within")
    assert status("IPBC", 0.0003, product).startswith("over")
    assert status("salicylic acid", 0.001, product).startswith("not in this product")
    assert status("propylparaben", 0.001, product).startswith("within")  # the nappy rule is for what stays on


@pytest.mark.parametrize("product", ["baby cream", "baby wipes", "baby shampoo"])
def test_a_baby_product_within_its_maximum_still_needs_an_assessor(product):
    told = preservation.status("phenoxyethanol", 0.009, product)
    assert told.startswith("within") and "safety assessor" in told
    assert "assessor" not in preservation.status("phenoxyethanol", 0.009, "body lotion")


def test_what_is_from_memory_says_so():
    assert "from memory" in status("quaternium-15", 0.001, "shampoo")
    assert "from memory" not in status("zinc pyrithione", 0.001, "shampoo")


def test_releasers_tell_of_the_label():
    for row in TABLE:
        text = preservation.status(row["substance"], 1e-7, "shampoo") if row["standing"] == "annex" else ""
        assert ("releases formaldehyde" in text) == bool(row["releaser"])


def test_a_releaser_that_reaches_a_tenth_of_a_percent_formaldehyde_is_over():
    assert status("sodium hydroxymethylglycinate", 0.0042, "shampoo").startswith("within")
    assert status("sodium hydroxymethylglycinate", 0.0045, "shampoo").startswith("over")


@pytest.mark.parametrize("product", ["candle", "wax melt", "room spray", "shower steamer", "wheat bag", "spaceship"])
def test_what_is_no_cosmetic_has_no_status(product):
    with pytest.raises(NotFound):
        preservation.status("phenoxyethanol", 0.005, product)


@pytest.mark.parametrize("row", TABLE, ids=[row["substance"] for row in TABLE])
def test_limit_of_every_substance(row):
    for exposure in ("leave-on", "rinse-off"):
        text = row[exposure.replace("-", "_")]
        if row["standing"] == "none":
            with pytest.raises(NotFound, match="not “no limit”"):
                preservation.limit(row["substance"], exposure)
        elif not text:
            with pytest.raises(OutOfRange):
                preservation.limit(row["substance"], exposure)
        else:
            assert 0 < preservation.limit(row["substance"], exposure) == float(text) < 0.05


def test_an_unknown_substance_is_not_without_limit():
    with pytest.raises(NotFound, match="phenoxyethanol.*not “no limit”"):
        preservation.limit("phenoxyethanole", "leave-on")
    with pytest.raises(NotFound, match="not “no limit”"):
        preservation.limit("my blend", "leave-on")


def test_tables_are_whole():
    names = [n for row in TABLE for n in (row["substance"], *row["also"].split("|")) if n]
    for name in names:
        assert len(Names(names, "substance").positions(name)) == 1, name
    products = {row["product"] for row in rows("product_types")}
    for row in TABLE:
        assert row["standing"] in ("annex", "none", "prohibited") and row["source"]
        assert row["under_3"] in ("", *preservation.UNDER_3)
        assert set(row["not_products"].split("|")) <= products | {""}
        assert bool(row["rinse_off"]) == (row["standing"] == "annex")
        assert row["note"] or not (row["not_products"] or row["not_categories"])
        if row["counted_as"]:
            assert preservation.acid_factor(row["substance"])[0] == row["counted_as"]


@few
@given(st.sampled_from(SALTS), st.floats(1e-6, 1))
def test_the_acid_weighs_less_than_its_salt(salt, share):
    assert 0.5 * share < tarecell.call("TC_ACID_EQUIVALENT", salt, share) < share


def test_an_acid_is_its_own_equivalent():
    assert preservation.acid_equivalent("Benzoic acid", 0.005) == 0.005
    with pytest.raises(NotFound, match="not counted as an acid"):
        preservation.acid_equivalent("phenoxyethanol", 0.005)
    with pytest.raises(NotFound, match="potassium sorbate"):
        preservation.acid_equivalent("potasium sorbate", 0.005)


@few
@given(st.floats(0.1, 14), st.floats(0.1, 13.9), st.floats(0.001, 0.1))
def test_the_undissociated_part_falls_with_ph(pka, ph, more):
    here, there = (tarecell.call("TC_UNDISSOCIATED", pka, p) for p in (ph, ph + more))
    assert 0 < there <= here <= 1
    if abs(ph - pka) < 8:  # far from the pKa floats run out
        assert there < here


@few
@given(st.floats(-250, 400).filter(lambda t: t != 0), st.floats(-250, 400).filter(lambda t: t != 0))
def test_cool_enough_is_strictly_below_in_any_unit(temperature, limit):
    def gate(unit):
        there, most = (tarecell.call("TC_CONVERT", v, "C", unit) for v in (temperature, limit))
        return tarecell.call("TC_COOL_ENOUGH", there, unit, most, unit) if there and most else None

    assert gate("C") == (temperature < limit - 1e-9)
    if abs(temperature - limit) > 1e-6:
        assert gate("F") in (gate("C"), None) and gate("K") == gate("C")


def test_a_blank_thermometer_cell_is_never_cool_enough():
    for blank in (None, 0, 0.0, "", False):
        with pytest.raises(WrongValue, match="temperature is blank or 0"):
            tarecell.call("TC_COOL_ENOUGH", blank, "C", 50, "C")
        with pytest.raises(WrongValue, match="limit is blank or 0"):
            tarecell.call("TC_COOL_ENOUGH", 20, "C", blank, "C")
    assert tarecell.call("TC_COOL_ENOUGH", -4, "C", 50, "C") is True


def test_cool_enough_takes_temperatures_only():
    for unit in ("g", "mL"):
        with pytest.raises(OutOfRange):
            tarecell.call("TC_COOL_ENOUGH", 20, unit, 50, "C")
    with pytest.raises(NotFound):
        tarecell.call("TC_COOL_ENOUGH", 20, "C", 50, "warm")


@pytest.mark.parametrize(
    ("name", "share", "product", "begins"),
    [
        ("phenoxyethanol", 0.012, "body lotion", "over: 1.2 %, the legal maximum is 1 % (leave-on)"),
        ("phenoxyethanol", 0.009, "shampoo", "within: 0.9 %, the legal maximum is 1 % (rinse-off)"),
        ("benzoic acid", 0.018, "toothpaste", "over: 1.8 % as benzoic acid, the legal maximum is 1.7 % (oral product)"),
        ("IPBC", 0.0001, "deodorant", "over: 0.01 %, the legal maximum is 0.0075 % (deodorant)"),
    ],
)
def test_a_status_tells_the_share_and_the_maximum_in_per_cent(name, share, product, begins):
    assert preservation.status(name, share, product).startswith(begins)


def test_a_salt_is_told_as_its_acid():
    """0.6 % sorbic acid is 0.804 % potassium sorbate: molar masses 112.13 and 150.22 (standard atomic weights)."""
    assert preservation.status("potassium sorbate", 0.00803, "body lotion").startswith("within: 0.599")
    assert preservation.status("potassium sorbate", 0.00805, "body lotion").startswith("over: 0.600")
    assert "legal maximum is 0.6 %" in preservation.status("potassium sorbate", 0.008, "body lotion")


def test_only_binary_noise_may_pass_the_maximum():
    assert preservation.status("phenoxyethanol", 0.01 * (1 + 1e-10), "shampoo").startswith("within")
    assert preservation.status("phenoxyethanol", 0.01 * (1 + 1e-8), "shampoo").startswith("over")


def test_half_of_an_acid_preserves_where_the_ph_is_its_pka():
    """Henderson–Hasselbalch: 1/2 at the pKa, 1/11 one unit above, 10/11 one below."""
    assert preservation.undissociated(4.2, 4.2) == 0.5
    assert preservation.undissociated(4.2, 5.2) == pytest.approx(1 / 11)
    assert preservation.undissociated(4.2, 3.2) == pytest.approx(10 / 11)


def test_the_gate_is_shut_at_the_limit_and_for_a_hair_below():
    assert preservation.cool_enough(40.0, "C", 40.0, "C") is False
    assert preservation.cool_enough(40.0 - 1e-10, "C", 40.0, "C") is False
    assert preservation.cool_enough(40.0 - 1e-8, "C", 40.0, "C") is True
    assert preservation.cool_enough(104.0, "F", 40.0, "C") is False  # 104 °F is 40 °C
    assert preservation.cool_enough(103.9, "F", 40.0, "C") is True


def test_the_maximum_of_mouth_products_is_for_these_only():
    """(EU) 1223/2009 Annex V no. 1: oral products 1.7 %, other products that stay on 0.5 %."""
    for product in ("body lotion", "face cream", "perfume", "hand cream"):
        assert preservation.status("benzoic acid", 0.006, product).startswith("over: 0.6 % as benzoic acid"), product
        assert "(leave-on)" in preservation.status("benzoic acid", 0.004, product)


def test_a_note_is_told_where_there_is_one_and_the_assessor_for_babies_only():
    for row in TABLE:
        assert (row["note"] in preservation.conditions(row)) == bool(row["note"])
    for product in ("shampoo", "toothpaste", "lip balm", "perfume"):
        assert "assessor" not in preservation.status("phenoxyethanol", 0.009, product)


def test_a_releaser_at_exactly_its_bound_is_over():
    row = preservation.preservative("sodium hydroxymethylglycinate")
    bound = float(row["below"])
    assert preservation.status(row["substance"], bound, "shampoo").startswith("over")
    assert preservation.status(row["substance"], bound * (1 - 1e-8), "shampoo").startswith("within")


@pytest.mark.parametrize(
    ("rule", "product", "exposure", "shut"),
    [
        ("bath and shampoo only", "baby shampoo", "rinse-off", False),
        ("bath and shampoo only", "baby cleansing cream", "rinse-off", True),
        ("bath and shampoo only", "baby after-bath lotion", "leave-on", True),
        ("never", "baby shampoo", "rinse-off", True),
        ("no nappy area", "baby shampoo", "rinse-off", False),
        ("no nappy area", "baby cream", "leave-on", True),
    ],
)
def test_what_is_shut_to_babies(rule, product, exposure, shut):
    assert preservation._shut_to_babies(rule, {"product": product, "exposure": exposure}) is shut


def test_what_is_not_in_the_annex_or_prohibited_says_so():
    for row in TABLE:
        if row["standing"] == "none":
            with pytest.raises(NotFound) as missing:
                preservation.limit(row["substance"], "leave-on")
            told = f"is not in the annex ({row['note']});" if row["note"] else "is not in the annex;"
            assert told in missing.value.reason
        if row["standing"] == "prohibited":
            with pytest.raises(OutOfRange, match="is prohibited in cosmetics in the EU"):
                preservation.limit(row["substance"], "rinse-off")


@pytest.mark.parametrize("certainty", ["primary", "transcribed", "derived", "practice"])
def test_only_what_is_from_memory_is_called_so(certainty):
    assert preservation.cited({"source": "Annex II", "certainty": certainty}) == "Annex II"
    assert "memory" in preservation.cited({"source": "Annex II", "certainty": "memory"})


def test_a_product_is_for_babies_by_its_category_or_its_name():
    assert preservation._for_baby({"category": "".join(["5", "D"]), "product": "nappy cream"})
    assert preservation._for_baby({"category": "9", "product": "Baby wash"})
    assert not preservation._for_baby({"category": "5A", "product": "body lotion"})
