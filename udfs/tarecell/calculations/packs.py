"""How many of each pack size to buy: cheapest first, then least left over."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from tarecell.errors import OutOfRange

MOST_STEPS = 200_000  # grid points or branches that the exact search may look at
_HAIR = 1e-9  # of the amount needed: two packs of 453.59237 g do cover 907.18474 g


def packs(needed: float, sizes: Sequence[float], prices: Sequence[float]) -> list[float]:
    """How many of each pack to buy to have at least `needed`, the cheapest way; then the least left over.

    needed and sizes: in one unit; prices: per pack. An unbounded knapsack, solved exactly: on the grid of the sizes'
    common divisor where that is coarse enough, by branch and bound where it is not (sizes converted from other units).
    #NUM! where both searches would take too long.
    """
    grid = _common_divisor([needed, *sizes])
    weights = [int(Fraction(str(s)) / grid) for s in sizes]
    target = math.ceil(Fraction(str(needed)) / grid)
    costs = [Fraction(str(p)) for p in prices]
    bulk_kind, bulk = _bulk(target, weights, costs)
    rest = target - bulk * weights[bulk_kind]
    if rest + max(weights) > MOST_STEPS:
        return [float(c) for c in _branches(needed, sizes, prices)]
    counts = _search(rest, weights, costs)
    counts[bulk_kind] += bulk
    return [float(c) for c in counts]


def _branches(needed: float, sizes: Sequence[float], prices: Sequence[float]) -> list[int]:
    """Branch and bound over the counts, the pack with the lowest cost per unit last, as it fills what is left."""
    order = sorted(range(len(sizes)), key=lambda i: (-prices[i] / sizes[i], -sizes[i]))
    lowest = [min(prices[k] / sizes[k] for k in order[depth:]) for depth in range(len(order))]
    best = _only(order[-1], needed, sizes, prices)
    looked_at = 0
    stack: list[tuple[int, float, float, list[int]]] = [(0, needed, 0.0, [0] * len(sizes))]
    while stack:
        depth, left, cost, counts = stack.pop()
        kind = order[depth]
        fill = max(0, math.ceil((left - needed * _HAIR) / sizes[kind]))
        if depth == len(order) - 1 or fill == 0:
            total, over = cost + fill * prices[kind], max(0.0, fill * sizes[kind] - left)
            if best.is_worse_than(total, over):
                best = _Purchase(needed, total, over, [*counts[:kind], fill, *counts[kind + 1 :]])
            continue
        branches = []
        for count in range(fill + 1):
            looked_at += 1
            if looked_at > MOST_STEPS:
                raise OutOfRange("these sizes need too long a search: round the sizes and the amount needed")
            rest, paid = left - count * sizes[kind], cost + count * prices[kind]
            if not best.is_worse_than(paid + max(0.0, rest) * lowest[depth + 1], 0.0):
                break  # this bound only rises with the count
            branches.append((depth + 1, rest, paid, [*counts[:kind], count, *counts[kind + 1 :]]))
        stack.extend(reversed(branches))  # none of the dearest first: a good purchase is found early
    return best.counts


def _only(kind: int, needed: float, sizes: Sequence[float], prices: Sequence[float]) -> "_Purchase":
    """Enough of one kind of pack."""
    fill = math.ceil(needed * (1 - _HAIR) / sizes[kind])
    counts = [fill if k == kind else 0 for k in range(len(sizes))]
    return _Purchase(needed, fill * prices[kind], max(0.0, fill * sizes[kind] - needed), counts)


@dataclass(frozen=True)
class _Purchase:
    """A way to buy: what it costs, what is left over, and how many of each pack."""

    needed: float
    cost: float
    over: float
    counts: list[int]

    def is_worse_than(self, cost: float, over: float) -> bool:
        """Whether another purchase costs less, or the same with less left over; binary noise does not count."""
        hair = 1e-12 * max(self.cost, cost)
        if abs(cost - self.cost) > hair:
            return cost < self.cost
        return over < self.over - self.needed * _HAIR


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
