"""The bath reaction against general chemistry libraries; the source stands beside each check."""

import pytest
import tarecell
from chempy import balance_stoichiometry
from molmass import Formula
from scipy import constants
from tarecell.calculations import bath
from tarecell.tables import rows

# What each acid leaves in the water when all its acid hydrogens are used up.
SALTS = {
    "C6H8O7": "Na3C6H5O7",
    "C4H6O6": "Na2C4H4O6",
    "KC4H5O6": "KNaC4H4O6",
    "C4H6O5": "Na2C4H4O5",
}


# Balanced by chempy; molar masses by molmass. rel 2e-6: molar masses are rounded to four decimals here.
@pytest.mark.parametrize("row", rows("fizz_acids"), ids=[row["acid"] for row in rows("fizz_acids")])
def test_balanced_reaction(row):
    plain = "C6H8O7" if row["formula"] == "C6H10O8" else row["formula"]  # the monohydrate is citric acid with one water
    reacting, product = balance_stoichiometry({plain, "NaHCO3"}, {SALTS[plain], "CO2", "H2O"})
    ratio = reacting["NaHCO3"] / reacting[plain]
    assert int(row["soda_per_acid"]) == ratio and product["CO2"] == reacting["NaHCO3"]
    per_gram = float(ratio) * Formula("NaHCO3").mass / Formula(row["formula"]).mass
    assert tarecell.call("TC_FIZZ_ACID", 1000.0, row["acid"]) == pytest.approx(1000 / per_gram, rel=2e-6)


# Soda per gram of citric acid, five decimals (molmass and the balanced reaction).
def test_soda_per_gram_of_citric_acid():
    assert bath.soda_per_gram("citric acid") == pytest.approx(1.31176, abs=5e-6)
    assert bath.soda_per_gram("citric monohydrate") == pytest.approx(1.19930, abs=5e-6)


# 100 g of soda fully used: 52.388 g of CO2 by molmass; 29.12 L with R from CODATA (scipy.constants) at 25 °C and 1 atm.
# The digits given are the tolerance; the second check takes scipy's constants whole (rel 2e-6 for the molar masses).
def test_gas_from_100_g_of_soda():
    acid = tarecell.call("TC_FIZZ_ACID", 100.0)
    assert bath.gas_weight(100.0) == pytest.approx(52.388, abs=5e-4)
    litres = tarecell.call("TC_FIZZ_GAS", 100.0, ["citric"], [acid])
    assert litres == pytest.approx(29.12, abs=5e-3)
    moles = 100 / Formula("NaHCO3").mass
    ideal = moles * constants.R * constants.convert_temperature(25, "C", "K") / constants.atm * 1000
    assert litres == pytest.approx(ideal, rel=2e-6)


# At 0 °C and 1 atm a mole of ideal gas fills 22.414 L (CODATA molar volume, in scipy.constants).
def test_molar_volume():
    name = "molar volume of ideal gas (273.15 K, 101.325 kPa)"
    soda = Formula("NaHCO3").mass
    assert bath.fizz_gas(soda, ["citric"], [soda], 0.0) == pytest.approx(constants.value(name) * 1000, rel=2e-6)


# The kitchen's 2 : 1 of soda to anhydrous citric acid leaves 34.4 % of the soda: the ratio is common practice with no
# published source, the share left is arithmetic on the reaction.
def test_the_kitchen_ratio():
    assert tarecell.call("TC_SODA_LEFT", 200.0, ["citric"], [100.0]) == pytest.approx(0.344, abs=5e-4)
