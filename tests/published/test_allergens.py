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


# Annex III as amended by (EU) 2023/1545, entries 46 to 371, CAS numbers, in two transcriptions of it that agree.
@pytest.mark.parametrize(
    ("numbers", "listed"),
    [
        ("8000-28-0 8022-15-9 84776-65-8 90063-37-9 91722-69-9", "Lavandula Oil/Extract"),
        ("8006-90-4 84082-70-2", "Mentha Piperita Oil"), ("8008-79-5 84696-51-5", "Mentha Viridis Leaf Oil"),
        ("8000-34-8 8015-97-2 84961-50-2", "Eugenia Caryophyllus Oil"),
        ("8000-48-4 97926-40-4", "Eucalyptus Globulus Oil"), ("8008-56-8 84929-31-7", "Citrus Limon Peel Oil"),
        ("8007-75-8 89957-91-5", "Citrus Aurantium Bergamia Peel Oil"), ("8008-57-9", "Citrus Aurantium Peel Oil"),
        ("8016-38-4", "Citrus Aurantium Flower Oil"), ("8007-01-0 90106-38-0", "Rose Flower Oil/Extract"),
        ("8000-46-2 90082-51-2", "Pelargonium Graveolens Flower Oil"),
        ("8014-09-3 84238-39-1", "Pogostemon Cablin Oil"),
        ("8006-81-3 68606-83-7", "Cananga Odorata Oil/Extract"), ("8015-91-6", "Cinnamomum Zeylanicum Bark Oil"),
        ("8007-02-1 89998-16-3", "Lemongrass Oil"), ("8006-87-9 84787-70-2", "Santalum Album Oil"),
        ("5932-68-3 5912-86-7", "Isoeugenol"), ("26489-01-0", "Citronellol"), ("7705-14-8", "Limonene"),
        ("464-48-2 21368-68-3", "Camphor"), ("138-87-4 586-81-2", "Terpineol"),
        ("54464-59-4 68155-66-8 68155-67-9", "Tetramethyl Acetyloctahydronaphthalenes"),
        ("23726-94-5 24720-09-0 23726-92-3 71048-82-3", "Rose Ketones"),
    ],
)  # fmt: skip
def test_numbers_of_the_annex(numbers, listed):
    for number in numbers.split():
        assert tarecell.call("TC_ALLERGENS", [number], [0.1], 0.01, "leave-on") == listed


# Numbers that safety data sheets print for one form of a listed substance (substance lists read in secondary texts).
@pytest.mark.parametrize(
    ("number", "listed"),
    [
        ("14371-10-9", "Cinnamal"), ("165184-98-5", "Hexyl Cinnamal"), ("78605-96-6", "Amyl Cinnamal"),
        ("10482-56-1", "Terpineol"), ("23726-93-4", "Rose Ketones"),
    ],
)  # fmt: skip
def test_numbers_of_one_form(number, listed):
    assert allergens.entry(number)["allergen"] == listed
