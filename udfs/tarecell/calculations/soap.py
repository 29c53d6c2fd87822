"""Soap: the lye that fats need, the superfat a lye amount gives, and how sure that is.

Weights are grams. Saponification values are mg KOH per g of fat (ISO 3657, ASTM D5558): a gram of fat needs
value / 1000 grams of KOH, or that × 39.9971 / 56.1056 grams of NaOH (molar masses from the standard atomic weights).
"""

import math
from collections.abc import Sequence

from tarecell.calculations import fats as known
from tarecell.calculations.fats import NAOH_PER_KOH
from tarecell.calculations.scaling import total_of
from tarecell.errors import OutOfRange

SUPERFAT_MOST = 0.25
STRENGTH_LEAST, STRENGTH_MOST = 0.20, 0.50
PURITY_LEAST = 0.5
_HAIR = 1e-9  # so that 1 − 0.8 still counts as 20 %

Own = Sequence[float | None] | None


def per_gram(value: float, alkali: str = "NaOH") -> float:
    """Grams of alkali per gram of fat, from its saponification value in mg KOH per g."""
    return value / 1000 * (NAOH_PER_KOH if alkali == "NaOH" else 1.0)


def sap(fat: str, alkali: str = "NaOH") -> float:
    """Grams of alkali per gram of fat, from the table. #N/A for a fat without a value. Source: see tables/fats.csv."""
    return per_gram(known.saponification(fat).point, alkali)


def needed(values: Sequence[float], weights: Sequence[float], alkali: str) -> float:
    """Grams of pure alkali that turn the fats into soap with nothing left over. #NUM! where the weights add up to 0."""
    total_of(weights, "the weights of the fats")
    need = math.fsum(weight * per_gram(value, alkali) for value, weight in zip(values, weights, strict=True))
    if need <= 0:
        raise OutOfRange("the weights of the fats are too small to work with")
    return need


def check_purity(purity: float) -> None:
    """#NUM! for a purity that no alkali for soap has."""
    if purity < PURITY_LEAST - _HAIR:
        raise OutOfRange(
            f"a purity of {purity * 100:g} % is below {PURITY_LEAST * 100:g} %: no alkali sold for soap is that weak; "
            "check the certificate (NaOH is usually 97 to 99 %, KOH about 90 %)"
        )


def check_superfat(superfat: float) -> None:
    """#NUM! for a superfat outside 0 to 25 %."""
    if superfat < 0:
        raise OutOfRange(
            f"a superfat of {superfat * 100:g} % is below 0: the soap would keep free lye, which burns skin; "
            "0 to 25 % is allowed"
        )
    if superfat > SUPERFAT_MOST + _HAIR:
        raise OutOfRange(
            f"a superfat of {superfat * 100:g} % is above 25 %: that much spare fat gives soft soap that goes rancid; "
            "0 to 25 % is allowed"
        )


def lye(
    fats: Sequence[str],
    weights: Sequence[float],
    alkali: str = "NaOH",
    superfat: float = 0.0,
    purity: float = 1.0,
    own_values: Own = None,
) -> float:
    """Grams of lye to weigh.

    weights: grams of each fat; superfat: the lye discount, 0 to 0.25; purity: share of real alkali in what is weighed;
    own_values: saponification values from the supplier in mg KOH per g, None takes the table's.
    #N/A for a fat without a value; #NUM! for a superfat, purity or own value outside its bounds.
    """
    check_superfat(superfat)
    check_purity(purity)
    points = [value.point for value in known.saponifications(fats, own_values)]
    return needed(points, weights, alkali) * (1 - superfat) / purity


def lye_water(lye: float, concentration: float) -> float:
    """Grams of water for a lye of that strength: lye × (1 − c) / c.

    concentration: the lye's share of lye and water together, 0.20 to 0.50; #NUM! outside.
    """
    if concentration > STRENGTH_MOST + _HAIR:
        raise OutOfRange(
            f"a concentration of {concentration * 100:g} % is above 50 %: so little water may not dissolve the lye; "
            "20 to 50 % is allowed"
        )
    if concentration < STRENGTH_LEAST - _HAIR:
        raise OutOfRange(
            f"a concentration of {concentration * 100:g} % is below 20 %: it may be too weak to make soap; "
            "20 to 50 % is allowed"
        )
    return lye * (1 - concentration) / concentration


def _superfat(lye: float, purity: float, need: float) -> float:
    found = 1 - lye * purity / need
    return 0.0 if abs(found) < 1e-12 else found  # a rounding hair is not lye-heavy


def superfat(
    fats: Sequence[str],
    weights: Sequence[float],
    lye: float,
    alkali: str = "NaOH",
    purity: float = 1.0,
    own_values: Own = None,
) -> float:
    """The superfat that a weighed lye amount really gives: 1 − lye × purity / lye needed.

    It is a measurement, so a negative result is a right one: it says how much lye is left over.
    """
    check_purity(purity)
    points = [value.point for value in known.saponifications(fats, own_values)]
    return _superfat(lye, purity, needed(points, weights, alkali))


def superfat_range(
    fats: Sequence[str],
    weights: Sequence[float],
    lye: float,
    alkali: str = "NaOH",
    purity: float = 1.0,
    own_values: Own = None,
) -> list[float]:
    """Lowest and highest superfat that the fats' published saponification ranges allow.

    All fats at the low end of their range need least lye, which gives the lowest superfat. A supplier's own value is
    taken as it stands. #N/A for a fat with a single published value and no range.
    """
    check_purity(purity)
    ends = [known.limits(value) for value in known.saponifications(fats, own_values)]
    return [_superfat(lye, purity, needed([pair[end] for pair in ends], weights, alkali)) for end in (0, 1)]


def iodine(fats: Sequence[str], weights: Sequence[float], own_values: Own = None) -> float:
    """Iodine value of the blend in g iodine per 100 g: the mean of the fats' values by weight.

    own_values: iodine values from the supplier, None takes the table's.
    """
    total = total_of(weights, "the weights of the fats")
    values = known.iodines(fats, own_values)
    return math.fsum(value.point * weight for value, weight in zip(values, weights, strict=True)) / total
