"""Labels and packing: the ingredient line, fill tolerance, label and wrap sizes. Net contents: see net_contents.py."""

import math
from collections.abc import Sequence

from tarecell.calculations.rounding import up_to_step
from tarecell.calculations.scaling import total_of
from tarecell.errors import NotFound, OutOfRange
from tarecell.tables import Names, squeeze

FREE_ORDER_SHARE = 0.01  # the 1 % at which both markets let go of the order, each on its own side of exactly 1 %
_NOISE = 1e-9  # relative; 1 g of 100 g must be exactly 1 % however the total was added up

# Directive 76/211/EEC, Annex I, 2.4: up to this nominal quantity (g or mL), the error as a share of it or in g or mL.
_TOLERANCES = (
    (50, 0.09, None),
    (100, None, 4.5),
    (200, 0.045, None),
    (300, None, 9.0),
    (500, 0.03, None),
    (1000, None, 15.0),
    (10_000, 0.015, None),
)


class IngredientLine:
    """The parts of an ingredient line: names in their order, their shares, and who may change places.

    fixed: descending order is required; free: any order, after the fixed ones; colourants: any order, last of all.
    """

    def __init__(self, fixed: list[str], free: list[str], colourants: list[str], shares: dict[str, float]):
        self.fixed, self.free, self.colourants, self.shares = fixed, free, colourants, shares

    def __str__(self) -> str:
        return ", ".join(self.fixed + self.free + self.colourants)


def in_free_order(share: float, market: str) -> bool:
    """Whether an ingredient of this share may stand in any order after the larger ones.

    EU: below 1 % (Regulation (EC) 1223/2009, Art. 19(1)(g)). US: 1 % or less (21 CFR 701.3(f)).
    """
    if market == "US":
        return share <= FREE_ORDER_SHARE * (1 + _NOISE)
    return share < FREE_ORDER_SHARE * (1 - _NOISE)


def _summed(names: Sequence[str], amounts: Sequence[float]) -> dict[str, tuple[str, float]]:
    """Each name once, as first typed, with all its amounts."""
    spelling: dict[str, str] = {}
    parts: dict[str, list[float]] = {}
    for name, amount in zip(names, amounts, strict=True):
        key = squeeze(name)
        spelling.setdefault(key, " ".join(name.split()))
        parts.setdefault(key, []).append(amount)
    return {key: (spelling[key], math.fsum(parts[key])) for key in spelling}


def ingredient_line(
    names: Sequence[str], amounts: Sequence[float], market: str = "EU", colourants: Sequence[str] | None = None
) -> IngredientLine:
    """The ingredients in label order, and which of them may change places.

    amounts: in any one unit; an amount of 0 leaves the ingredient out. The same name, whatever its case, spacing and
    accents, is added up and named once. Equal weights keep the recipe's order. The order is descending throughout,
    which satisfies both markets; they differ in which ingredients may be moved.
    Raises #N/A for a colourant that is not in the recipe, #NUM! where the amounts add up to 0.
    """
    total = total_of(amounts)
    rows = _summed(names, amounts)
    colours = _colour_keys(names, rows, colourants or ())
    order = sorted((key for key in rows if rows[key][1] > 0), key=lambda key: -float(f"{rows[key][1]:.12g}"))
    shares = {rows[key][0]: rows[key][1] / total for key in order}
    plain = [rows[key][0] for key in order if key not in colours]
    free = [name for name in plain if in_free_order(shares[name], market)]
    fixed = [name for name in plain if name not in set(free)]
    return IngredientLine(fixed, free, [rows[key][0] for key in order if key in colours], shares)


def _colour_keys(names: Sequence[str], rows: dict[str, tuple[str, float]], colourants: Sequence[str]) -> set[str]:
    keys = {squeeze(colour) for colour in colourants}
    for colour in colourants:
        if squeeze(colour) not in rows:
            raise NotFound(f"{Names(names, 'ingredient').miss(colour)}; every colourant must be in the recipe too")
    return keys


def ingredients(
    names: Sequence[str], amounts: Sequence[float], market: str = "EU", colourants: Sequence[str] | None = None
) -> str:
    """The ingredient line, joined by ", ": descending weight, colourants last. See ingredient_line."""
    return str(ingredient_line(names, amounts, market, colourants))


def tolerance(nominal: float) -> float:
    """The tolerable negative error of one filled pack, in the unit of `nominal` (g or mL).

    Directive 76/211/EEC, Annex I: 5 to 10 000 g or mL; an error fixed as a percentage is rounded up to the next 0.1.
    The mean of a batch may not be below the nominal quantity. Raises #NUM! outside that range.
    """
    if not 5 <= nominal <= 10_000:
        raise OutOfRange(f"{nominal:g} is outside the table, which runs from 5 to 10000 g or mL")
    share, fixed = tolerance_row(nominal)
    return fixed if share is None else up_to_step(nominal * share, 0.1)


def tolerance_row(nominal: float) -> tuple[float | None, float | None]:
    """The table's row: the error as a share of the nominal quantity, or in g or mL; the other one is None."""
    return next((share, fixed) for up_to, share, fixed in _TOLERANCES if nominal <= up_to)


def label_fit(diameter: float, label_length: float) -> float:
    """What is left of a label once round a jar: positive overlaps, negative leaves a gap. All in one unit of length."""
    return label_length - math.pi * diameter


def wrap_size(diameter: float, height: float, ease: float = 0.0) -> list[float]:
    """Width and length, laid flat, of a bag for a round piece; all in one unit of length.

    Geometry: the film goes over the top, down a side, under and up again, 2 × (diameter + height) in all; a flat bag is
    half of that. The piece is round, so the bag is as long as it is wide. `ease` is added to both, for slack and the
    closing.
    """
    side = diameter + height + ease
    return [side, side]
