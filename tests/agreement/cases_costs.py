"""Random purchases, parts tables and prices (see cases.py)."""

from agreement import exact, exact_costs
from agreement.cases import a_unit, asks, columns, density, money, optional, percent, some_amounts, weight

__all__ = ["exact_costs"]


@asks
def unit_cost(rng):
    one, other = rng.choice(
        (
            (exact.GRAMS,) * 2,
            (exact.MILLILITRES,) * 2,
            (exact.GRAMS, exact.MILLILITRES),
            (exact.MILLILITRES, exact.GRAMS),
        )
    )
    arguments = [money(rng), weight(rng), a_unit(rng, one), a_unit(rng, other)]
    return optional(rng, arguments, money(rng, 9)) if one is other else [*arguments, money(rng, 9), density(rng)]


@asks
def landed(rng):
    freight = rng.randrange(0, 5000) / 100
    if rng.random() < 0.5:
        return [some_amounts(rng), freight]
    values, weights = columns(rng, lambda: money(rng), lambda: weight(rng))
    return [values, freight, weights]


def _bought(rng):
    return columns(rng, lambda: weight(rng), lambda: money(rng))


@asks
def average_cost(rng):
    return _bought(rng)


@asks
def fifo(rng):
    quantities, costs = _bought(rng)
    total = round(sum(q or 0 for q in quantities), 3)
    return [quantities, costs, rng.choice((total, round(total * rng.uniform(0, 1.1), 2)))]


@asks
def recipe_cost(rng):
    return columns(rng, lambda: weight(rng), lambda: rng.randrange(0, 3000) / rng.choice((100, 1000, 10_000)))


@asks
def rollup(rng):
    made = [f"item {i}" for i in range(rng.randrange(1, 6))]
    bought = {f"part {i}": rng.randrange(0, 500) / 100 for i in range(4)}
    rows = []
    for i, item in enumerate(made):
        for _ in range(rng.randrange(1, 4)):
            part = rng.choice(made[i + 1 :] or list(bought)) if rng.random() < 0.5 else rng.choice(list(bought))
            rows.append(
                [
                    item,
                    part,
                    rng.randrange(1, 900) / rng.choice((1, 10, 100)),
                    bought.get(part),
                    rng.choice((None, None, 0.05, 0.1)),
                ]
            )
    if rng.random() < 0.08:
        rows[-1][1:4] = rng.choice((made[0], "unknown")), 1.0, None
    rng.shuffle(rows)
    return [rng.choice((*made, made[0])), rows]


@asks
def packs(rng):
    sizes = rng.sample((50.0, 100.0, 200.0, 250.0, 500.0, 1000.0, 12.5, 30.0), rng.randrange(2, 4))
    needed = round(rng.uniform(0.2, 6) * max(sizes), rng.choice((0, 1)))
    return [min(needed, 12 * min(sizes)), sizes, [money(rng, 30) for _ in sizes]]


@asks
def labour(rng):
    return optional(rng, [float(rng.randrange(0, 600)), money(rng)], float(rng.randrange(1, 100)))


@asks
def price(rng):
    return optional(
        rng,
        [money(rng), percent(rng, 90)],
        percent(rng, 15),
        money(rng, 3),
        rng.choice((0.01, 0.05, 0.1, 0.5, 1.0, 5.0)),
    )


@asks
def markup_price(rng):
    return [money(rng), rng.randrange(0, 500) / 100]


@asks
def margin(rng):
    return optional(rng, [money(rng), money(rng)], percent(rng, 15), money(rng, 3))


@asks
def break_even(rng):
    price = money(rng)
    return optional(
        rng,
        [price, rng.choice((price, money(rng, 30), 1.0)), float(rng.randrange(0, 3000))],
        float(rng.randrange(0, 900)),
    )
