"""Fragrance caps against published figures of the IFRA Standards (read in a secondary text)."""

import pytest
import tarecell
from tarecell.calculations import fragrance, products

# IFRA Standard on citronellal, 49th Amendment: maximum in the finished product by category.
CITRONELLAL = {"1": 0.0041, "2": 0.0016, "4": 0.0049, "5A": 0.0033, "5B": 0.00051, "5C": 0.0010, "9": 0.014}
# IFRA Standard on methyl eugenol, 49th Amendment.
METHYL_EUGENOL_5A = 0.000020


def test_the_strictest_constituent_decides():
    """5 % citronellal and 0.02 % methyl eugenol: min(0.33 / 5, 0.0020 / 0.02) = 6.6 % (arithmetic on the standards)."""
    cap = fragrance.constituent_cap([0.05, 0.0002], [CITRONELLAL["5A"], METHYL_EUGENOL_5A])
    assert cap == pytest.approx(0.066, rel=1e-12)


def test_bergapten_in_a_compound():
    """IFRA bergapten standard: 0.0015 % in the product equals 0.0075 % in a compound used at 20 %."""
    assert fragrance.constituent_cap([0.000075], [0.000015]) == pytest.approx(0.20, rel=1e-12)
    assert fragrance.constituent_cap([0.000075], [0.000015], True) == pytest.approx(0.20, rel=1e-12)


def test_phototoxic_constituents_add_up():
    """IFRA: the sum of concentration ÷ own maximum is at most 1; two at half their maximum are just allowed."""
    cap = fragrance.constituent_cap([0.000075, 0.000075], [0.000015, 0.000015], True)
    assert cap == pytest.approx(0.10, rel=1e-12)


def test_caps_by_product_type():
    """The published citronellal maxima, asked for by product: the fragrance is pure citronellal here."""
    table = [[None, *CITRONELLAL, 12.0], ["citronellal", *CITRONELLAL.values(), "no restriction"]]
    for product, cap in [
        ("lip balm", 0.0041),
        ("deodorant", 0.0016),
        ("body mist", 0.0016),  # 2, not 4
        ("perfume", 0.0049),
        ("body lotion", 0.0033),
        ("face cream", 0.00051),
        ("hand cream", 0.0010),
        ("bath bomb", 0.014),
        ("shampoo", 0.014),  # 9, not 7A
        ("candle", 1.0),
    ]:
        assert tarecell.call("TC_CAP", table, "Citronellal", product) == cap
    gift_set = ["body lotion", "bath bomb", "candle"]
    assert tarecell.call("TC_SET_CAP", table, "Citronellal", gift_set) == 0.0033
    with pytest.raises(tarecell.CellError) as caught:
        tarecell.call("TC_CAP", table, "Citronellal", "baby oil")
    assert caught.value.kind == "#N/A"


@pytest.mark.parametrize(
    ("product", "code"),
    [  # own words of the categories in the IFRA Standards, 49th Amendment (transcribed)
        ("lipstick", "1"), ("cologne", "4"), ("aftershave", "4"), ("foot cream", "5A"), ("toner", "5B"),
        ("hand sanitiser", "5C"), ("baby powder", "5D"), ("toothpaste", "6"),
        # placements from memory
        ("bar soap", "9"), ("shower gel", "9"), ("reed diffuser", "10A"), ("room spray", "10B"), ("wax melt", "12"),
    ],
)  # fmt: skip
def test_categories(product, code):
    assert products.category(product) == code
