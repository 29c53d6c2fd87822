"""How many of each pack size to buy: cheapest first, then least left over."""

import math
from collections.abc import Sequence
from fractions import Fraction

from tarecell.errors import OutOfRange

MOST_STEPS = 200_000  # grid points that the exact search may look at


def packs(needed: float, sizes: Sequence[float], prices: Sequence[float]) -> list[float]:
    """How many of each pack to buy to have at least `needed`, the cheapest way, then the least left over.

    needed and sizes: in one unit; prices: per pack. An unbounded knapsack, solved exactly on the grid of the sizes'
    common divisor. #NUM! where the sizes have no common divisor that keeps the search short.
    """
    grid = _common_divisor([needed, *sizes])
    weights = [int(Fraction(str(s)) / grid) for s in sizes]
    target = math.ceil(Fraction(str(needed)) / grid)
    costs = [Fraction(str(p)) for p in prices]
    bulk_kind, bulk = _bulk(target, weights, costs)
    if target - bulk * weights[bulk_kind] + max(weights) > MOST_STEPS:
        raise OutOfRange("these sizes need too fine a search: round the amount needed and the sizes to whole grams")
    counts = _search(target - bulk * weights[bulk_kind], weights, costs)
    counts[bulk_kind] += bulk
    return [float(c) for c in counts]


def _common_divisor(values: Sequence[float]) -> Fraction:
    fractions = [Fraction(str(v)) for v in values]
    bottom = math.lcm(*(f.denominator for f in fractions))
    return Fraction(math.gcd(*(int(f * bottom) for f in fractions)), bottom)


def _bulk(target: int, weights: Sequence[int], costs: Sequence[Fraction]) -> tuple[int, int]:
    """The pack with the lowest cost per unit, and how many of it every cheapest purchase may as well contain.

    Of any `w` other packs (w: this pack's size on the grid) some add up to a multiple of w and can be swapped for it at
    no greater cost (pigeonhole), so fewer than w others are ever needed.
    """
    best = min(range(len(weights)), key=lambda i: (costs[i] / weights[i], weights[i]))
    others = (weights[best] - 1) * max(weights)
    return best, max(0, (target - others) // weights[best] - 1)


def _search(target: int, weights: Sequence[int], costs: Sequence[Fraction]) -> list[int]:
    """Dynamic programming over the amount bought: (cost, packs) for each exact amount up to target + largest pack."""
    top = target + max(weights)
    scale = math.lcm(*(c.denominator for c in costs))
    whole = [int(c * scale) for c in costs]
    best: list[tuple[int, int] | None] = [None] * (top + 1)  # cost, number of packs
    came_by = [-1] * (top + 1)
    best[0] = (0, 0)
    for amount in range(1, top + 1):
        for kind, weight in enumerate(weights):
            before = best[amount - weight] if weight <= amount else None
            if before is not None:
                candidate = (before[0] + whole[kind], before[1] + 1)
                if best[amount] is None or candidate < best[amount]:
                    best[amount], came_by[amount] = candidate, kind
    reached = [a for a in range(target, top + 1) if best[a] is not None]
    amount = min(reached, key=lambda a: (best[a][0], a, best[a][1]))
    counts = [0] * len(weights)
    while amount:
        counts[came_by[amount]] += 1
        amount -= weights[came_by[amount]]
    return counts
