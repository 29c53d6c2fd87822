"""What is known of a fat: whose value goes, and which own values are refused."""

import pytest
from tarecell.calculations import fats
from tarecell.errors import NotFound, OutOfRange
from tarecell.tables import rows


def refusal(fat, own):
    with pytest.raises(OutOfRange) as caught:
        fats.saponification(fat, own)
    return caught.value.reason


# Olive oil is published as 184 to 196 mg KOH per g. A quarter above that is 245; 0.712889 g of NaOH do the work of 1 g
# of KOH, so a certificate in mg of NaOH says up to 139.7. Jojoba has the single value 92.2: 115.25 and 65.7.
@pytest.mark.parametrize(
    ("fat", "own"),
    [
        ("olive oil", 140.0), ("olive oil", 160.0), ("olive oil", 197.0), ("olive oil", 244.9),
        ("jojoba", 66.0), ("jojoba", 115.0), ("cocoa butter", 243.0),
        ("tucuma butter", 40.0), ("tucuma butter", 400.0), ("mango butter", 40.5),
    ],
)  # fmt: skip
def test_an_own_value_within_reach_is_taken_as_it_stands(fat, own):
    value = fats.saponification(fat, own)
    assert (value.name, value.point, value.basis) == (fat, own, "supplier's")
    assert fats.limits(value) == (own, own)


@pytest.mark.parametrize(
    ("fat", "own", "words"),
    [
        ("olive oil", 139.6, "far below the published 184 to 196 mg KOH per g"),
        ("olive oil", 131.2, "then multiply by 1.4027 (184.0)"),
        ("olive oil", 245.1, "far above the published 184 to 196: so much lye would be dangerous"),
        ("jojoba", 65.0, "far below the published 92.2 mg KOH per g"),
        ("jojoba", 115.3, "far above the published 92.2:"),
        ("cocoa butter", 244.0, "far above the published 188 to 195:"),
        ("tucuma butter", 39.9, "outside 40 to 400 mg KOH per g"),
        ("tucuma butter", 400.1, "outside 40 to 400 mg KOH per g"),
    ],
)
def test_an_own_value_out_of_reach_is_refused_with_the_published_ones(fat, own, words):
    reason = refusal(fat, own)
    assert reason.startswith(f"own value of {fat}: {own:g}") and words in reason


# 1 ÷ 0.712889 = 1.40274: 0.135 g of NaOH per gram are 189.4 mg of KOH, 0.19 g of KOH are 190 mg.
def test_grams_of_alkali_per_gram_are_told_as_mg_of_koh():
    reason = refusal("olive oil", 0.135)
    assert "multiply grams of NaOH by 1402.7 (189.4), grams of KOH by 1000 (135)" in reason
    assert "grams of KOH by 1000 (190)" in refusal("olive oil", 0.19)
    assert "looks like grams of alkali" in refusal("tucuma butter", 0.999)
    assert "outside 40 to 400" in refusal(
        "olive oil", 0.0
    )  # a 0 that was typed, not a blank cell: no unit makes it one
    assert "outside 40 to 400" in refusal("tucuma butter", 1.0)  # neither unit: no fat takes its own weight of lye


def test_own_iodine_values_reach_to_250():
    assert fats.iodine("perilla oil", 250.0).point == 250.0
    with pytest.raises(OutOfRange, match="251 is above 250"):
        fats.iodine("perilla oil", 251.0)


def test_the_tables_value_is_the_published_one_or_the_middle_of_the_range():
    cocoa, olive = fats.saponification("cocoa butter"), fats.saponification("olive oil")
    assert (cocoa.point, cocoa.low, cocoa.high, cocoa.basis) == (193.8, 188.0, 195.0, "published")
    assert (olive.point, olive.low, olive.high, olive.basis) == (190.0, 184.0, 196.0, "middle")
    assert fats.limits(cocoa) == (188.0, 195.0)


def test_every_fat_of_a_recipe_takes_its_own_value_or_the_tables():
    both = fats.saponifications(["olive oil", "coconut oil"], [None, 250.0])
    assert [value.point for value in both] == [190.0, 250.0]
    assert [value.point for value in fats.saponifications(["olive oil", "coconut oil"])] == [190.0, 256.5]
    assert [value.point for value in fats.iodines(["olive oil", "coconut oil"], [80.0, None])] == [80.0, 8.45]
    assert [value.point for value in fats.iodines(["coconut oil"])] == [8.45]


# A single published value without a range does not tell how far the fat may stray; a fat with no iodine value, nothing.
def test_nothing_is_made_up_where_nothing_is_published():
    with pytest.raises(NotFound, match="no published range for jojoba oil"):
        fats.limits(fats.saponification("jojoba oil"))
    with pytest.raises(NotFound, match="no published iodine value for beeswax: ask your supplier"):
        fats.iodine("beeswax")
    with pytest.raises(NotFound, match="for a fat that is not listed, ask your supplier and give it as own value"):
        fats.saponification("tucuma butter")


# Of one fat, the highest value read as mg of NaOH lies below nine tenths of the lowest as mg of KOH: no own value that
# is only a little low is taken for the wrong unit.
def test_mg_of_naoh_and_of_koh_are_never_mixed_up():
    for row in rows("fats"):
        found = fats._published_range(row["fat"])
        if found:
            assert found[1] * 0.712889 < found[0] * 0.9, row["fat"]
