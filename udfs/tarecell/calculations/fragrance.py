"""Fragrance within the cap that the supplier's certificate gives for each product category. All caps are shares of the
finished product."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from tarecell.calculations.products import category as category_of
from tarecell.calculations.rounding import down_to_step, to_step
from tarecell.errors import NotFound, OutOfRange, WrongValue
from tarecell.tables import Names, shortened

_HAIR = 1e-9  # relative: 0.1 + 0.2 is not over a cap of 0.3


@dataclass(frozen=True)
class CapsTable:
    """The maker's table of caps: fragrance by category; a missing pair, or None, is not stated."""

    fragrances: Names
    categories: tuple[str, ...]
    caps: Sequence[Sequence[float | None]]


def cap(table: CapsTable, fragrance: str, category: str) -> float:
    """The cap of a fragrance in a category (a code or a product type), as a share of the finished product.

    0 means not allowed. #N/A where the fragrance or category is missing, or the cell is blank: not stated is never
    unlimited. Source: the supplier's certificate, as typed into the table.
    """
    row = table.fragrances.position(fragrance)
    wanted = category_of(category)
    columns = [i for i, c in enumerate(table.categories) if c == wanted]
    if not columns:
        listed = ", ".join(shortened(c) for c in table.categories[:30] if c)
        raise NotFound(f"category {wanted} is not in the first row of the table ({listed}): ask the supplier for it")
    if len(columns) > 1:
        raise WrongValue(f"category {wanted} stands twice in the first row of the table: keep one column")
    found = table.caps[row][columns[0]]
    if found is None:
        name = table.fragrances.names[row]
        raise NotFound(
            f"no cap stated for “{shortened(name)}” in category {wanted}: ask the supplier for the certificate"
        )
    return found


def set_cap(table: CapsTable, fragrance: str, categories: Sequence[str]) -> float:
    """The strictest cap over all the products of a set. #N/A where any of them is not stated."""
    return min(cap(table, fragrance, category) for category in categories)


def largest(batch: float, cap: float, basis: str = "finished") -> float:
    """The most fragrance that keeps the finished product within the cap, in grams.

    batch: grams of the finished batch (basis "finished"), or of the base or wax that the fragrance goes on top of.
    """
    if basis == "finished":
        return batch * cap
    return math.inf if cap >= 1 else batch * cap / (1 - cap)


def finished_share(share: float, basis: str = "finished") -> float:
    """The share of the finished product that a share of the basis amounts to."""
    return share if basis == "finished" else share / (1 + share)


def amount(batch: float, share: float, cap: float | None, basis: str = "finished", step: float | None = None) -> float:
    """Grams of fragrance.

    batch: grams of what `basis` names: the finished batch, the base, or the wax; share: of that weight; cap: share of
    the finished product, None where not stated (#N/A). Over the cap in the finished product is #NUM! with the largest
    amount allowed. Rounding never goes over the cap.
    """
    if cap is None:
        raise NotFound("the cap is not stated: ask the supplier for the certificate of this product category")
    used = finished_share(share, basis)
    if used > cap * (1 + _HAIR):
        if cap == 0:
            raise OutOfRange("the cap is 0 or blank: not allowed in this product, or not stated")
        most = largest(batch, cap, basis)
        most = down_to_step(most, step) if step else most
        raise OutOfRange(
            f"{used * 100:.4g} % of the finished product is over the cap of {cap * 100:.4g} %; the most is {most:.6g} g"
        )
    grams = batch * share
    if step is None or grams == 0:
        return grams
    rounded = to_step(grams, step)
    if rounded > largest(batch, cap, basis) * (1 + _HAIR):
        rounded = down_to_step(grams, step)
    if rounded == 0:
        raise OutOfRange(
            f"{grams:.4g} g is too little for a scale that reads {step:g} g: use a finer scale or a larger batch"
        )
    return rounded


def cap_status(share: float, cap: float | None, own_limit: float | None = None) -> str:
    """within, over, not allowed or not stated.

    share: of the finished product; own_limit: a stricter limit of the maker's own, None for none.
    """
    if cap is None:
        return "not stated"
    if cap == 0:
        return "not allowed"
    limit = cap if own_limit is None else min(cap, own_limit)
    return "within" if share <= limit * (1 + _HAIR) else "over"


def blend_cap(shares: Sequence[float], caps: Sequence[float]) -> float:
    """A cautious cap for a blend of fragrances: 1 / Σ(share / cap), at most 1.

    shares: of each fragrance in the blend, adding up to 100 %; caps: of each in the product category. It treats all
    the fragrances as if they were limited by the same constituent, so it is never above the right cap; the supplier's
    certificate of the blend may allow more. 0 where a fragrance that is not allowed is part of the blend.
    """
    total = math.fsum(shares)
    if abs(total - 1) > 0.0005 + 1e-12:
        raise OutOfRange(f"the shares of the blend add up to {total * 100:.6g} %, not 100 %")
    if any(s > 0 and c == 0 for s, c in zip(shares, caps, strict=True)):
        return 0.0
    burden = math.fsum(s / c for s, c in zip(shares, caps, strict=True) if s > 0)
    return min(1.0, min(1.0, total) / burden)  # shares that add up to 99.96 % must not lift the cap


def constituent_cap(fractions: Sequence[float], limits: Sequence[float], sum_rule: bool = False) -> float:
    """The cap of a fragrance from its restricted constituents, at most 1.

    fractions: of each constituent in the fragrance; limits: the maximum of each in the finished product. Each
    constituent by itself: min(limit / fraction). With `sum_rule` (phototoxic ones): 1 / Σ(fraction / limit).
    Source: IFRA Standards, guidance.
    """
    ratios = []
    for fraction, limit in zip(fractions, limits, strict=True):
        if fraction > 0:
            if limit == 0:
                return 0.0
            ratios.append(fraction / limit)
    if not ratios:
        return 1.0
    return min(1.0, 1 / (math.fsum(ratios) if sum_rule else max(ratios)))
