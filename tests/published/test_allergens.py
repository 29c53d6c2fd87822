"""Fragrance allergens against the regulation."""

from collections import Counter

import pytest
import tarecell
from tarecell.calculations import allergens
from tarecell.tables import rows


# Regulation (EC) 1223/2009, Annex III, and (EU) 2023/1545, recital and entries (read in the primary text and its
# summaries): named when the concentration "exceeds 0,001 % in leave-on products and 0,01 % in rinse-off products".
def test_limits():
    assert allergens.LIMITS == {"leave-on": 0.001 / 100, "rinse-off": 0.01 / 100}


# Arithmetic on these limits: 2 % linalool in a fragrance used at 0.5 % is 0.010 % of the product: a lotion names it,
# a soap, exactly at its limit, does not.
@pytest.mark.parametrize(("exposure", "named"), [("leave-on", "linalool"), ("rinse-off", "none")])
def test_linalool(exposure, named):
    assert tarecell.call("TC_ALLERGENS", ["linalool"], [0.02], 0.005, exposure) == named


# The 24 of Annex III before 2023, and 57 further names on the list of (EU) 2023/1545 as summaries of it print them: 56
# substances of the opinion SCCS/1459/11, and 6-methyl coumarin.
def test_size_of_the_list():
    assert Counter(row["list"] for row in rows("allergens")) == {"older": 24, "further": 57}


# Some of each list by its name there (EUR-Lex, and the list as SGS printed it on 24 October 2023).
@pytest.mark.parametrize(
    ("name", "listed"),
    [
        ("citral", "older"), ("alpha-isomethyl ionone", "older"), ("evernia prunastri extract", "older"),
        ("vanillin", "further"), ("menthol", "further"), ("pinene", "further"), ("santalum album oil", "further"),
        ("3-propylidenephthalide", "further"), ("6-methyl coumarin", "further"), ("geranyl acetate", "further"),
    ],
)  # fmt: skip
def test_names(name, listed):
    assert allergens.entry(name)["list"] == listed


# Citronellal and methyl eugenol have IFRA limits, but are on neither list.
@pytest.mark.parametrize("name", ["citronellal", "methyl eugenol"])
def test_not_listed(name):
    assert allergens.entry(name) is None


# CAS numbers that suppliers' allergen declarations under Annex III print in one row (declarations of 2019 to 2022);
# geranial and neral as handbooks give them for the two halves of citral (5392-40-5).
@pytest.mark.parametrize(
    ("number", "listed"),
    [
        ("78-70-6", "Linalool"), ("126-91-0", "Linalool"), ("141-27-5", "Citral"), ("106-26-3", "Citral"),
        ("68648-41-9", "Evernia Furfuracea Extract"), ("68917-40-8", "Evernia Furfuracea Extract"),
        ("68917-10-2", "Evernia Prunastri Extract"), ("9000-50-4", "Evernia Prunastri Extract"),
    ],
)  # fmt: skip
def test_further_numbers_of_one_entry(number, listed):
    assert allergens.entry(number)["allergen"] == listed
