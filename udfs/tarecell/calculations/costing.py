"""Cost and price. Money has no currency: whatever the sheet shows."""

import math
from collections.abc import Sequence

from tarecell.calculations.rounding import apportion, difference, up_to_step
from tarecell.calculations.units import factor
from tarecell.errors import OutOfRange

CENT = 0.01


def unit_cost(
    price: float, pack: float, pack_unit: str, use_unit: str, freight: float = 0.0, density: float | None = None
) -> float:
    """Cost per unit of use: (price + freight) / the pack in that unit.

    price and freight: of one pack; pack: its content in `pack_unit`; density: g/mL, where weight and volume meet.
    """
    times = factor(pack_unit, use_unit, density)
    if times is None:
        raise OutOfRange(f"{pack_unit} is a temperature: a pack has a weight, a volume, a length or a count")
    return (price + freight) / (pack * times)


def landed(values: Sequence[float], freight: float, weights: Sequence[float] | None = None) -> list[float]:
    """Freight shared over the lines of an order, to the cent, adding up exactly.

    The share goes by value, or by weight where weights are given. #NUM! where there is nothing to share by.
    """
    keys = values if weights is None else weights
    total = math.fsum(keys)
    if total <= 0:
        raise OutOfRange(
            f"the {'values' if weights is None else 'weights'} add up to 0: nothing to share the freight by"
        )
    return apportion([freight * k / total for k in keys], CENT, keep_all=False)


def average_cost(quantities: Sequence[float], unit_costs: Sequence[float]) -> float:
    """Weighted average cost per unit (periodic)."""
    total = math.fsum(quantities)
    if total <= 0:
        raise OutOfRange("the quantities add up to 0: there is no average cost")
    return math.fsum(q * c for q, c in zip(quantities, unit_costs, strict=True)) / total


def fifo(quantities: Sequence[float], unit_costs: Sequence[float], used: float) -> float:
    """Cost of what was used, first in first out. #NUM! where more was used than came in."""
    left, costs = used, []
    for quantity, cost in zip(quantities, unit_costs, strict=True):
        taken = min(quantity, left)
        costs.append(taken * cost)
        left -= taken
    if left > used * 1e-9:
        raise OutOfRange(f"{used:g} was used but only {math.fsum(quantities):g} came in: check the purchases")
    return math.fsum(costs)


def recipe_cost(amounts: Sequence[float], unit_costs: Sequence[float]) -> float:
    """Cost of a batch: Σ amount × cost per unit, both in the same unit."""
    return math.fsum(a * c for a, c in zip(amounts, unit_costs, strict=True))


def labour(minutes: float, hourly_rate: float, pieces: float | None = None) -> float:
    """Labour cost; per piece where pieces are given."""
    return minutes / 60 * hourly_rate / (pieces or 1)


def _kept_share(margin: float, fee_share: float) -> float:
    # 1 − 0.883 − 0.1168 is a hair off 0.0002, and 22.11 over that hair costs a step more than 110550.
    kept = round(1 - fee_share - margin, 15)
    if kept <= 1e-12:
        raise OutOfRange(
            f"a margin of {margin * 100:g} % and fees of {fee_share * 100:g} % leave nothing to pay the cost from"
        )
    return kept


def price(
    cost: float, margin: float, fee_share: float = 0.0, fixed_fee: float = 0.0, round_to: float | None = None
) -> float:
    """The price that leaves `margin` after selling fees: (cost + fixed fee) / (1 − fees − margin).

    margin and fee_share: shares of the price.
    round_to: rounded up to whole multiples of it, so that the margin is kept.
    """
    exact = (cost + fixed_fee) / _kept_share(margin, fee_share)
    return exact if round_to is None else up_to_step(exact, round_to)


def markup_price(cost: float, markup: float) -> float:
    """Cost with a markup on it: cost × (1 + markup)."""
    return cost * (1 + markup)


def margin(price: float, cost: float, fee_share: float = 0.0, fixed_fee: float = 0.0) -> float:
    """The share of the price that is left after cost and fees; negative for a loss."""
    return (price - cost - price * fee_share - fixed_fee) / price


def break_even(price: float, variable_cost: float, fixed_cost: float, profit: float = 0.0) -> float:
    """Whole pieces to sell until the fixed cost (and the profit wanted) are earned.

    #NUM! where a piece earns nothing above its variable cost.
    """
    earned = difference(price, variable_cost)
    if earned <= 0:
        raise OutOfRange(
            f"a price of {price:g} does not cover the variable cost of {variable_cost:g}: more pieces only lose more"
        )
    return up_to_step((fixed_cost + profit) / earned, 1.0)
