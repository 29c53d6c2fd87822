"""Preservation against published figures; the source stands beside each check."""

import pytest
import tarecell
from molmass import Formula
from tarecell.tables import rows


# (EU) 1223/2009 Annex V, maxima in percent as printed, read in the export of February 2024: rinse-off, leave-on;
# None = not allowed. Exact: the table holds the printed figures.
@pytest.mark.parametrize(
    ("name", "rinse_off", "leave_on"),
    [
        ("benzoic acid", 2.5, 0.5),
        ("sodium benzoate", 2.5, 0.5),
        ("salicylic acid", 0.5, 0.5),
        ("sorbic acid", 0.6, 0.6),
        ("potassium sorbate", 0.6, 0.6),
        ("methylparaben", 0.4, 0.4),
        ("ethylparaben", 0.4, 0.4),
        ("propylparaben", 0.14, 0.14),
        ("butylparaben", 0.14, 0.14),
        ("dehydroacetic acid", 0.6, 0.6),
        ("phenoxyethanol", 1.0, 1.0),
        ("benzyl alcohol", 1.0, 1.0),
        ("imidazolidinyl urea", 0.6, 0.6),
        ("diazolidinyl urea", 0.5, 0.5),
        ("DMDM hydantoin", 0.6, 0.6),
        ("sodium hydroxymethylglycinate", 0.5, 0.5),
        ("iodopropynyl butylcarbamate", 0.02, 0.01),
        ("chlorphenesin", 0.3, 0.3),
        ("dichlorobenzyl alcohol", 0.15, 0.15),
        ("benzalkonium chloride", 0.1, 0.1),
        ("methylisothiazolinone", 0.0015, None),
        ("MCI/MI", 0.0015, None),
        ("hydroxyethoxyphenyl butanone", 0.7, 0.7),
    ],
)
def test_annex_v_maxima(name, rinse_off, leave_on):
    for exposure, percent in (("rinse-off", rinse_off), ("leave-on", leave_on)):
        if percent is None:
            with pytest.raises(tarecell.CellError) as caught:
                tarecell.call("TC_PRESERVATIVE_LIMIT", name, exposure)
            assert caught.value.kind == "#NUM!"
        else:
            assert tarecell.call("TC_PRESERVATIVE_LIMIT", name, exposure) == pytest.approx(percent / 100, rel=1e-12)


# Absent from the same export of Annex V.
@pytest.mark.parametrize(
    "name", ["ethylhexylglycerin", "caprylyl glycol", "phenethyl alcohol", "levulinic acid", "anisic acid",
             "glyceryl caprylate", "tocopherol"]
)  # fmt: skip
def test_not_in_annex_v(name):
    with pytest.raises(tarecell.CellError) as caught:
        tarecell.call("TC_PRESERVATIVE_LIMIT", name, "leave-on")
    assert caught.value.kind == "#N/A" and "not “no limit”" in caught.value.reason


# Annex V no. 56 as printed: deodorants 0.0075 %; not in oral and lip products; leave-on not in body lotion and
# body cream (any product for a large part of the body); not for children under 3 years, except in bath products, shower
# gels and shampoo.
@pytest.mark.parametrize(
    ("percent", "product", "begins"),
    [
        (0.02, "shampoo", "within"),
        (0.021, "shampoo", "over"),
        (0.01, "face cream", "within"),
        (0.0075, "deodorant", "within"),
        (0.008, "deodorant", "over"),
        (0.005, "body lotion", "not in this product"),
        (0.005, "body cream", "not in this product"),
        (0.005, "lip balm", "not in this product"),
        (0.005, "mouthwash", "not in this product"),
        (0.005, "baby cream", "not in this product"),
    ],
)
def test_annex_v_56(percent, product, begins):
    assert tarecell.call("TC_PRESERVATIVE_STATUS", "IPBC", percent / 100, product).startswith(begins)


# Factors by molmass from the formulas; rel 1e-6 because the table rounds molar masses to four decimals.
@pytest.mark.parametrize("row", rows("acid_salts"), ids=[row["salt"] for row in rows("acid_salts")])
def test_salt_to_acid_factors(row):
    factor = Formula(row["acid_formula"]).mass / Formula(row["formula"]).mass
    assert tarecell.call("TC_ACID_EQUIVALENT", row["salt"], 0.01) == pytest.approx(0.01 * factor, rel=1e-6)


# Formulas by an independent path: the acid with a metal for one H, or the ester (acid + alcohol − water).
@pytest.mark.parametrize(
    ("salt", "acid", "change"),
    [
        ("sodium benzoate", "C7H6O2", Formula("Na").mass - Formula("H").mass),
        ("potassium benzoate", "C7H6O2", Formula("K").mass - Formula("H").mass),
        ("potassium sorbate", "C6H8O2", Formula("K").mass - Formula("H").mass),
        ("sodium dehydroacetate", "C8H8O4", Formula("Na").mass - Formula("H").mass),
        ("sodium salicylate", "C7H6O3", Formula("Na").mass - Formula("H").mass),
        ("methylparaben", "C7H6O3", Formula("CH4O").mass - Formula("H2O").mass),
        ("ethylparaben", "C7H6O3", Formula("C2H6O").mass - Formula("H2O").mass),
        ("propylparaben", "C7H6O3", Formula("C3H8O").mass - Formula("H2O").mass),
        ("butylparaben", "C7H6O3", Formula("C4H10O").mass - Formula("H2O").mass),
    ],
)
def test_salts_are_the_acids_changed(salt, acid, change):
    acid_mass = Formula(acid).mass
    assert tarecell.call("TC_ACID_EQUIVALENT", salt, 1.0) == pytest.approx(acid_mass / (acid_mass + change), rel=1e-6)


# Five-digit factors worked out beforehand with molmass: benzoate 0.84746, sorbate 0.74643, dehydroacetate 0.88438.
@pytest.mark.parametrize(
    ("salt", "factor"),
    [("sodium benzoate", 0.84746), ("potassium sorbate", 0.74643), ("sodium dehydroacetate", 0.88438)],
)
def test_quoted_factors(salt, factor):
    assert tarecell.call("TC_ACID_EQUIVALENT", salt, 1.0) == pytest.approx(factor, abs=5e-6)


# (EU) 2021/1902 on Annex V no. 51: not where 0.1 % formaldehyde could be released. One molecule of CH2O from each
# molecule of sodium hydroxymethylglycinate C3H6NNaO3, by molmass; the table's figure has four digits.
def test_the_share_that_could_release_a_tenth_of_a_percent():
    row = next(row for row in rows("preservatives") if row["substance"] == "sodium hydroxymethylglycinate")
    share = 0.001 * Formula("C3H6NNaO3").mass / Formula("CH2O").mass
    assert float(row["below"]) == pytest.approx(share, abs=5e-7)


# Henderson–Hasselbalch equation: half at the pKa, and a tenfold ratio for every pH unit. pKa 4.2 from memory.
def test_henderson_hasselbalch():
    assert tarecell.call("TC_UNDISSOCIATED", 4.2, 4.2) == 0.5
    for steps in (-3, -1, 1, 3):
        part = tarecell.call("TC_UNDISSOCIATED", 4.2, 4.2 + steps)
        assert (1 - part) / part == pytest.approx(10.0**steps, rel=1e-9)


# 122 °F is 50 °C exactly (definition of the Fahrenheit scale, NIST SP 811); “below” leaves the equal out.
def test_the_cool_down_temperature_in_both_scales():
    assert tarecell.call("TC_COOL_ENOUGH", 122, "F", 50, "C") is False
    assert tarecell.call("TC_COOL_ENOUGH", 50, "C", 122, "F") is False
    assert tarecell.call("TC_COOL_ENOUGH", 121.9, "F", 50, "C") is True
    assert tarecell.call("TC_COOL_ENOUGH", 49.9, "C", 122, "F") is True
