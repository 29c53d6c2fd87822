"""Emulsions: the HLB system of Griffin (J. Soc. Cosmet. Chem. 1949 and 1954).

HLB is a bare number. Oils need 1 to about 18; emulsifiers go from 1 to 20, and to 40 for a few ionic ones.
"""

import math
from collections.abc import Sequence

from tarecell.calculations.scaling import total_of
from tarecell.errors import OutOfRange, WrongValue

OIL_HIGHEST = 20.0  # Griffin's scale for non-ionic emulsifiers ends here, and no oil asks for more
EMULSIFIER_HIGHEST = 40.0  # sodium lauryl sulfate, the highest value in use
_HAIR = 1e-9  # a weighted mean may miss an emulsifier's own HLB by a rounding hair


def required_hlb(amounts: Sequence[float], hlbs: Sequence[float]) -> float:
    """Required HLB of the oil phase: the mean of the oils' required HLBs by weight.

    amounts: any one unit; hlbs: above 0, at most 20. #NUM! where the amounts add up to 0.
    """
    for position, hlb in enumerate(hlbs, 1):
        if hlb == 0:  # a blank single cell arrives as 0 in some hosts, and no oil has a required HLB of 0
            raise WrongValue(f"the required HLB of oil {position} is blank or 0: ask your supplier for it")
    total = total_of(amounts)
    return math.fsum(a * h for a, h in zip(amounts, hlbs, strict=True)) / total


def emulsifier_split(required: float, low_hlb: float, high_hlb: float, total: float) -> list[float]:
    """The amounts of the low-HLB and the high-HLB emulsifier that give the required HLB, in the unit of `total`.

    #NUM! where low_hlb is not below high_hlb, or the required HLB is not between them.
    """
    if low_hlb == high_hlb:
        raise OutOfRange(f"both emulsifiers have HLB {low_hlb:g}: two different ones are needed to meet a required HLB")
    if low_hlb > high_hlb:
        raise OutOfRange(f"low_hlb {low_hlb:g} is above high_hlb {high_hlb:g}: swap the two")
    share = (required - low_hlb) / (high_hlb - low_hlb)
    if not -_HAIR <= share <= 1 + _HAIR:
        side = "a higher" if required > high_hlb else "a lower"
        raise OutOfRange(
            f"a required HLB of {required:g} is not between {low_hlb:g} and {high_hlb:g}: "
            f"no mixture of the two reaches it; choose an emulsifier with {side} HLB"
        )
    high = total * min(max(share, 0.0), 1.0)
    return [total - high, high]


def hlb(saponification: float, acid: float) -> float:
    """HLB of a fatty ester, Griffin 1954: 20 (1 − S/A).

    saponification: S, saponification value of the ester; acid: A, acid value of its fatty acid, both in mg KOH per g.
    #NUM! where S is above A.
    """
    if saponification > acid:
        raise OutOfRange(
            f"the saponification value {saponification:g} is above the acid value {acid:g}, which no fatty ester has: "
            "A is the acid value of the fatty acid, not of the ester; check whether the two are swapped"
        )
    return 20 * (1 - saponification / acid)
