"""Labels against the texts they follow. The source stands beside each check."""

import pytest
import tarecell
from tarecell.calculations import labels, net_contents


# 21 CFR 701.3(f) (US) and Regulation (EC) 1223/2009, Art. 19(1)(g) (EU), read in secondary texts: the US lets
# ingredients of "not more than 1 percent" change places, the EU those "less than 1 %". Exactly 1.0 % is where they
# part.
@pytest.mark.parametrize(("share", "eu", "us"), [(1.01, False, False), (1.0, False, True), (0.99, True, True)])
def test_one_percent(share, eu, us):
    assert labels.in_free_order(share / 100, "EU") is eu
    assert labels.in_free_order(share / 100, "US") is us


def test_exactly_one_percent_in_a_real_recipe():
    # The same rule by weights whose shares are not exact in binary: 0.7 of 70 = 1 %.
    names, amounts = ["Aqua", "Parfum", "Mica"], [66.3, 0.7, 3.0]
    for market, free in (("EU", []), ("US", ["Parfum"])):
        line = labels.ingredient_line(names, amounts, market, ["Mica"])
        assert line.free == free
        # Colour additives come last in both texts.
        assert str(line) == "Aqua, Parfum, Mica"


# 16 CFR 500.19(a), read in the primary text: 1 ounce = 28.349 5 g, 1 pound = 453.592 g, 1 fluid ounce = 29.573 5 mL,
# "and none others". Compared with the chart's own pound, liquid pint, quart and gallon to the six digits that it
# prints.
@pytest.mark.parametrize(
    ("unit", "metric"),
    [("oz", 28.3495), ("lb", 453.592), ("fl oz", 29.5735), ("pt", 473.177), ("qt", 946.353), ("gal", 3785.41)],
)
def test_trade_label_factors(unit, metric):
    assert net_contents.contents(1.0, unit).metric == pytest.approx(metric, rel=3e-6)  # six printed digits


# 4 oz → 113 g and 4 fl oz → 118 mL: arithmetic on the factors, three digits by 16 CFR 500.19(b).
def test_four_ounces():
    assert tarecell.call("TC_NET_CONTENTS", 4.0, "oz", "US") == "NET WT 4 OZ (113 g)"
    assert tarecell.call("TC_NET_CONTENTS", 4.0, "fl oz", "US") == "NET 4 FL OZ (118 mL)"


# 21 CFR 701.13(m), the regulation's own examples, from memory: "Net Wt. 24 oz. (1 lb. 8 oz.)" for 1 1/2 pounds, "Net
# Wt. 12 oz." for 3/4 pound (this one read in a secondary text), "Net 32 fl. oz. (1 qt.)", "Net 56 fluid oz. (1 qt. 1
# pt. 8 oz.)". Full stops are optional there, and the metric content follows since the Fair Packaging and Labeling Act
# of 1992.
@pytest.mark.parametrize(
    ("amount", "unit", "starts"),
    [
        (1.5, "lb", "NET WT 24 OZ (1 LB 8 OZ)"),
        (0.75, "lb", "NET WT 12 OZ ("),
        (1, "qt", "NET 32 FL OZ (1 QT)"),
        (1.75, "qt", "NET 56 FL OZ (1 QT 1 PT 8 OZ)"),
    ],
)
def test_examples_of_the_regulation(amount, unit, starts):
    assert net_contents.net_contents(amount, unit, "US").startswith(starts)


# NIST fact sheet on metric labelling (after the Uniform Packaging and Labeling Regulation), read in a quotation: "In
# no case shall rounded net contents declarations overstate a quantity". 8 oz are 226.796 g and 1 lb 453.592 g.
def test_never_overstated():
    assert net_contents.net_contents(8, "oz", "US") == "NET WT 8 OZ (226 g)"
    assert net_contents.net_contents(1, "lb", "US") == "NET WT 16 OZ (1 LB) 453 g"


# Directive 76/211/EEC, Annex I, 2.4 (read on legislation.gov.uk), the rows at their ends; 1000 to 10 000 and the
# rounding up to the next 0.1 as gov.uk's page on packaged goods gives them.
@pytest.mark.parametrize(
    ("nominal", "error"),
    [
        (5, 0.5), (15, 1.4), (20, 1.8), (33, 3.0), (50, 4.5), (75, 4.5), (100, 4.5), (150, 6.8), (200, 9), (250, 9),
        (300, 9), (330, 9.9), (400, 12), (500, 15), (750, 15), (1000, 15), (1500, 22.5), (10_000, 150),
    ],
)  # fmt: skip
def test_tolerable_negative_error(nominal, error):
    assert labels.tolerance(nominal) == pytest.approx(error, abs=1e-9)
