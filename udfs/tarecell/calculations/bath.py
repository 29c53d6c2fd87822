"""Bath: acid and baking soda that use each other up, and the carbon dioxide that they give. Weights in grams."""

import math
from collections.abc import Sequence

from tarecell.errors import NotFound
from tarecell.tables import rows
from tarecell.tables.lookup import row_of

SODA = 84.0067  # g/mol, NaHCO3 (molmass)
CARBON_DIOXIDE = 44.0096  # g/mol (molmass)
GAS_CONSTANT = 8.314462618  # J/(mol K), CODATA 2018
ATMOSPHERE = 101_325  # Pa, standard atmosphere
ICE_POINT = 273.15  # K


def acid_row(acid: str) -> dict[str, str]:
    """The table's row for an acid. #N/A with the acids there are."""
    try:
        return row_of("fizz_acids", acid, "fizzing acid")
    except NotFound as miss:
        listed = ", ".join(row["acid"] for row in rows("fizz_acids"))
        raise NotFound(f"{miss.reason}; the acids here: {listed}") from None


def soda_per_gram(acid: str) -> float:
    """Grams of baking soda that one gram of an acid uses up."""
    row = acid_row(acid)
    return int(row["soda_per_acid"]) * SODA / float(row["molar_mass"])


def fizz_acid(soda: float, acid: str = "citric acid", spare_soda: float = 0.0) -> float:
    """Grams of acid that use up the soda but for the spare share.

    soda: grams; spare_soda: the share of the soda to be left over. #N/A for an acid that is not in the table.
    Source: the balanced reaction, C6H8O7 + 3 NaHCO3 → Na3C6H5O7 + 3 CO2 + 3 H2O for citric acid.
    """
    return soda * (1 - spare_soda) / soda_per_gram(acid)


def soda_taken(acids: Sequence[str], acid_weights: Sequence[float]) -> float:
    """Grams of soda that all the acids together can use up."""
    return math.fsum(weight * soda_per_gram(acid) for acid, weight in zip(acids, acid_weights, strict=True))


def soda_left(soda: float, acids: Sequence[str], acid_weights: Sequence[float]) -> float:
    """The share of the soda left over. Negative: acid is left over, and this much more of the soda would use it up."""
    left = 1 - soda_taken(acids, acid_weights) / soda
    return 0.0 if abs(left) < 1e-12 else left


def soda_used(soda: float, acids: Sequence[str], acid_weights: Sequence[float]) -> float:
    """Grams of soda that react: what the acids can use up, at most all of it."""
    return min(soda, soda_taken(acids, acid_weights))


def gas_weight(soda_used: float) -> float:
    """Grams of carbon dioxide: one molecule from each of soda."""
    return soda_used * CARBON_DIOXIDE / SODA


def fizz_gas(soda: float, acids: Sequence[str], acid_weights: Sequence[float], celsius: float = 25.0) -> float:
    """Litres of carbon dioxide at one atmosphere, as an ideal gas; what runs out first, soda or acid, is the limit.

    celsius: the temperature of the gas. Source: the balanced reaction; V = n R T ÷ p with R from CODATA 2018.
    """
    moles = soda_used(soda, acids, acid_weights) / SODA
    return moles * GAS_CONSTANT * (celsius + ICE_POINT) / ATMOSPHERE * 1000
