"""Cost and price a second time, in exact fractions (see exact.py)."""

import itertools
import math

from agreement.exact import NIL, F, apportioned, convert, filled, function, need


@function
def unit_cost(price: F, pack: F, pack_unit: str, use_unit: str, freight: F = NIL, density: F | None = None) -> F:
    return (price + freight) / convert(pack, pack_unit, use_unit, density)


@function
def landed(values: list, freight: F, weights: list | None = None) -> list:
    columns, spread = filled(*([values] if weights is None else [values, weights]))
    keys = columns[-1]
    need(sum(keys) > 0)
    return spread(apportioned([freight * k / sum(keys) for k in keys], F(1, 100), keep_all=False))


@function
def average_cost(quantities: list, costs: list) -> F:
    (bought, each), _ = filled(quantities, costs)
    need(sum(bought) > 0)
    return sum(q * c for q, c in zip(bought, each, strict=True)) / sum(bought)


@function
def fifo(quantities: list, costs: list, used: F) -> F:
    (bought, each), _ = filled(quantities, costs)
    need(used <= sum(bought))
    total, left = F(0), used
    for quantity, cost in zip(bought, each, strict=True):
        total += min(quantity, left) * cost
        left -= min(quantity, left)
    return total


@function
def recipe_cost(amounts: list, costs: list) -> F:
    (used, each), _ = filled(amounts, costs)
    return sum((a * c for a, c in zip(used, each, strict=True)), F(0))


@function
def rollup(item: str, parts: list) -> F:
    def cost(name: str, above: tuple) -> F:
        need(name not in above)
        total = F(0)
        for _, part, quantity, each, loss in (row for row in parts if row[0] == name):
            if each is None:
                need(any(row[0] == part for row in parts), "#N/A")
                each = cost(part, (*above, name))
            total += quantity / (1 - (loss or 0)) * each
        return total

    need(any(row[0] == item for row in parts), "#N/A")
    return cost(item, ())


@function
def packs(needed: F, sizes: list, prices: list) -> list:
    """By trying all: the cheapest, then the least left over, then the fewest packs."""
    (content, price), spread = filled(sizes, prices)
    most = [math.ceil(needed / c) for c in content]
    ways = itertools.product(*(range(m + 1) for m in most))
    found = []
    for way in ways:
        have = sum(n * c for n, c in zip(way, content, strict=True))
        if have >= needed:
            found.append((sum(n * p for n, p in zip(way, price, strict=True)), have, sum(way), way))
    best = min(found)
    if sum(f[:3] == best[:3] for f in found) > 1:
        raise NotImplementedError("several purchases are equally good")
    return spread([F(n) for n in best[3]])


@function
def labour(minutes: F, rate: F, pieces: F | None = None) -> F:
    return minutes * rate / 60 / (pieces or 1)


@function
def price(cost: F, margin: F, fee_share: F = NIL, fixed_fee: F = NIL, round_to: F | None = None) -> F:
    need(margin + fee_share < 1)
    exact = (cost + fixed_fee) / (1 - margin - fee_share)
    return math.ceil(exact / round_to) * round_to if round_to else exact


@function
def markup_price(cost: F, markup: F) -> F:
    return cost + cost * markup


@function
def margin(price: F, cost: F, fee_share: F = NIL, fixed_fee: F = NIL) -> F:
    return 1 - fee_share - (cost + fixed_fee) / price


@function
def break_even(price: F, variable: F, fixed: F, profit: F = NIL) -> F:
    need(price > variable)
    return F(math.ceil((fixed + profit) / (price - variable)))
