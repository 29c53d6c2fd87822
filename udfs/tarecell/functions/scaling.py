"""Scaling a recipe: the records."""

from tarecell.calculations import scaling
from tarecell.functions.columns import Numbers, Shares, Texts
from tarecell.functions.densities import Density
from tarecell.functions.kinds import Number, Share, Text
from tarecell.functions.records import COLUMN, NUMBER, PRACTICE, SHARE, TEXT, Record, ex
from tarecell.functions.registry import register
from tarecell.functions.wording import gram, listing, num, pct

FAMILY = "Scaling a recipe"
_APPORTIONED = "proportion; largest-remainder apportionment (Hamilton's method) where rounded"
_BALANCE = "mass balance: the finished batch is the base and all the additions"


def _amounts(doc="the amounts, in any one unit"):
    return Numbers("amounts", doc)


def _step():
    return Number("step", "readability of the scale, such as 0.1; no rounding if left out", default=None, above=0)


def _loss():
    return Share("loss", "share of the batch that stays behind", default=0.0, at_most=0.99)


def _rounded(step):
    return f", rounded to {num(step)} with the total kept" if step else ""


def _scaled(result, amounts, target, step):
    total = sum(amounts)
    return (
        f"{num(target)} ÷ {num(total)} = ×{num(target / total, 5)}: {listing([num(r) for r in result])}{_rounded(step)}"
    )


def _from_shares(result, shares, batch, step):
    return f"{num(batch)} × {listing([pct(s) for s in shares])} = {listing([num(r) for r in result])}{_rounded(step)}"


def _phase_sum(result, phases, amounts, phase):
    inside = [a for p, a in zip(phases, amounts, strict=True) if scaling.fold(p) == scaling.fold(phase)] or [result]
    return (
        f"phase {phase}: {' + '.join(num(a) for a in inside[:10])}{' + …' if len(inside) > 10 else ''} = {num(result)}"
    )


def _phase_scaled(result, phases, amounts, phase, target, step):
    before = scaling.phase_total(phases, amounts, phase)
    return (
        f"phase {phase}: {num(target)} ÷ {num(before)} = ×{num(target / before, 5)}; the other phases stay: "
        f"{listing([num(r) for r in result])}{_rounded(step)}"
    )


def _within_shown(result, base, share, others):
    taken = sum([share, *(others or ())])
    return (
        f"{gram(base)} × {pct(share)} ÷ (100 % − {pct(taken)}) = {gram(result)} in {gram(base / (1 - taken))} finished"
    )


def _finished_shown(result, addition, base, others):
    total = addition + base + sum(others or ())
    return f"{gram(addition)} ÷ {gram(total)} finished batch = {pct(result)}"


def _batch_shown(result, pieces, fill, loss, spare):
    more = f" × (100 % + {pct(spare)} spare)" if spare else ""
    less = f" ÷ (100 % − {pct(loss)} loss)" if loss else ""
    return f"{num(pieces)} × {gram(fill)}{more}{less} = {gram(result)}"


def _usable(batch, loss):
    return f"{gram(batch)} − {pct(loss)} loss = {gram(batch * (1 - loss))}" if loss else gram(batch)


def _limit_shown(amounts, on_hand):
    total = sum(amounts)
    return listing(
        [
            f"{num(s)} ÷ {num(a)} × {num(total)} = {num(s / a * total)}"
            for a, s in zip(amounts, on_hand, strict=True)
            if a
        ]
    )


_RECIPE = [
    Record(
        "TC_SHARES",
        "Each amount's share of the total.",
        scaling.shares,
        [_amounts()],
        COLUMN,
        [
            ex([300.0, 150.0, 50.0], gives=[0.6, 0.3, 0.1]),
            ex([3.0, None, 1.0], gives=[0.75, None, 0.25]),
            ex([0.0, 0.0], fails="#NUM!"),
            ex([300.0, "150"], fails="#VALUE!"),
            ex([300.0, -150.0], fails="#NUM!"),
        ],
        "proportion",
        lambda result, amounts: f"total {num(sum(amounts))}: {listing([pct(r) for r in result])}",
    ),
    Record(
        "TC_SCALE",
        "The recipe at a new total weight. With a step, the rounded amounts still add up to the target.",
        scaling.scale,
        [
            _amounts("the recipe's amounts in any one unit, or its shares"),
            Number("target", "the new total weight", above=0),
            _step(),
        ],
        COLUMN,
        [
            ex([200.0, 100.0, 40.0], 510.0, gives=[300.0, 150.0, 60.0]),
            ex([1.0, 1.0, 1.0], 100.0, 0.1, gives=[33.4, 33.3, 33.3]),
            ex([70.0, None, 29.5, 0.5], 250.0, 1.0, gives=[175.0, None, 74.0, 1.0]),
            ex([99.9, 0.1], 20.0, 0.1, fails="#NUM!"),
            ex([200.0, 100.0], 0.0, fails="#VALUE!"),
        ],
        _APPORTIONED,
        _scaled,
    ),
    Record(
        "TC_AMOUNTS",
        "Amounts from shares of a batch. The shares must add up to 100 % (within 0.05 %).",
        scaling.amounts,
        [
            Shares("shares", "the shares of the ingredients"),
            Number("batch", "weight of the batch", above=0),
            _step(),
        ],
        COLUMN,
        [
            ex([0.65, 0.3, 0.05], 400.0, gives=[260.0, 120.0, 20.0]),
            ex([0.3333, 0.3333, 0.3334], 100.0, 0.1, gives=[33.3, 33.3, 33.4]),
            ex([0.65, 0.3], 400.0, fails="#NUM!"),
            ex([65.0, 35.0], 400.0, fails="#NUM!"),
        ],
        _APPORTIONED,
        _from_shares,
    ),
    Record(
        "TC_PHASE_TOTAL",
        "The weight of one phase.",
        scaling.phase_total,
        [
            Texts("phases", "the phase of each row"),
            _amounts(),
            Text("phase", "the phase wanted"),
        ],
        NUMBER,
        [
            ex(["water", "oil", "oil"], [300.0, 100.0, 40.0], "oil", gives=140.0),
            ex(["A", None, "B"], [1.0, None, 2.0], "b", gives=2.0),
            ex(["A", "B"], [1.0, 2.0], "C", fails="#N/A"),
            ex(["A", None], [1.0, 2.0], "A", fails="#VALUE!"),
        ],
        "addition",
        _phase_sum,
    ),
    Record(
        "TC_PHASE_SCALE",
        "The recipe with only one phase moved to a new weight; the other phases stay as they are.",
        scaling.phase_scale,
        [
            Texts("phases", "the phase of each row"),
            _amounts(),
            Text("phase", "the phase to move"),
            Number("target", "the new weight of that phase", above=0),
            _step(),
        ],
        COLUMN,
        [
            ex(["water", "oil", "oil"], [300.0, 100.0, 40.0], "oil", 70.0, gives=[300.0, 50.0, 20.0]),
            ex(["A", "A", "A", "B"], [1.0, 1.0, 1.0, 5.0], "A", 10.0, 0.1, gives=[3.4, 3.3, 3.3, 5.0]),
            ex(["A", "B"], [1.0, 2.0], "C", 10.0, fails="#N/A"),
            ex(["A", "B"], [0.0, 2.0], "A", 10.0, fails="#NUM!"),
        ],
        _APPORTIONED,
        _phase_scaled,
    ),
    Record(
        "TC_MAX_BATCH",
        "The largest batch that the shelf allows.",
        scaling.max_batch,
        [_amounts("the recipe's amounts"), Numbers("on_hand", "what is on the shelf, in the same unit")],
        NUMBER,
        [
            ex([300.0, 100.0, 100.0], [1200.0, 250.0, 900.0], gives=1250.0),
            ex([1.0, None, 1.0], [5.0, None, 0.0], gives=0.0),
            ex([1.0, 1.0], [5.0, None], fails="#VALUE!"),
            ex([0.0, 0.0], [5.0, 5.0], fails="#NUM!"),
        ],
        "proportion",
        lambda result, amounts, on_hand: f"the least of {_limit_shown(amounts, on_hand)}: {num(result)}",
    ),
    Record(
        "TC_LIMITED_BY",
        "What runs out first.",
        scaling.limited_by,
        [
            Texts("names", "the ingredients"),
            _amounts("the recipe's amounts"),
            Numbers("on_hand", "what is on the shelf, in the same unit"),
        ],
        TEXT,
        [
            ex(["water", "oil"], [300.0, 100.0], [1200.0, 250.0], gives="oil"),
            ex(["water", "oil"], [1.0, 1.0], [5.0, 5.0], gives="water, oil"),
            ex(["water", "oil"], [1.0, 1.0], [5.0, "5"], fails="#VALUE!"),
        ],
        "proportion",
        lambda result, names, amounts, on_hand: (
            f"largest batch by each: {_limit_shown(amounts, on_hand)}; first: {result}"
        ),
    ),
]

_ADDITIONS = [
    Record(
        "TC_EXTRA",
        "An addition figured on top of the base: base × share. In the finished batch its share is smaller.",
        scaling.extra,
        [Number("base", "weight of the base", above=0), Share("share", "share of the base")],
        NUMBER,
        [
            ex(500.0, 0.01, gives=5.0),
            ex(500.0, 0.0, gives=0.0),
            ex(500.0, 2.0, fails="#NUM!"),
            ex(0.0, 0.02, fails="#VALUE!"),
        ],
        PRACTICE,
        lambda result, base, share: (
            f"{gram(base)} × {pct(share)} = {gram(result)}; in the finished {gram(base + result)} that is "
            f"{pct(result / (base + result))}"
        ),
    ),
    Record(
        "TC_WITHIN",
        "The addition that makes up that share of the finished batch: base × share ÷ (1 − all the shares added).",
        scaling.within,
        [
            Number("base", "weight of the batch without the additions", above=0),
            Share("share", "share of the finished batch"),
            Shares("other_shares", "shares of the other additions", default=None, aligned=False),
        ],
        NUMBER,
        [
            ex(495.0, 0.01, gives=5.0),
            ex(480.0, 0.01, [0.02, 0.01], gives=5.0),
            ex(480.0, 0.6, [0.4], fails="#NUM!"),
            ex(480.0, 1.5, fails="#NUM!"),
        ],
        _BALANCE,
        _within_shown,
    ),
    Record(
        "TC_FINISHED_SHARE",
        "What share of the finished batch an addition really is.",
        scaling.finished_share,
        [
            Number("addition", "weight of the addition", at_least=0),
            Number("base", "weight of the batch without the additions", above=0),
            Numbers("other_additions", "weights of the other additions", default=None, aligned=False),
        ],
        SHARE,
        [
            ex(5.0, 495.0, gives=0.01),
            ex(5.0, 480.0, [10.0, 5.0], gives=0.01),
            ex(5.0, 0.0, fails="#VALUE!"),
            ex(-5.0, 495.0, fails="#NUM!"),
        ],
        _BALANCE,
        _finished_shown,
    ),
    Record(
        "TC_TOP_UP",
        "Water to put back after heating, in grams.",
        scaling.top_up,
        [
            Number("target", "what the pot's content should weigh", above=0),
            Number("weighed", "what it weighs now", above=0),
        ],
        NUMBER,
        [
            ex(500.0, 487.5, gives=12.5),
            ex(500.0, 500.0, gives=0.0),
            ex(500.0, 512.0, fails="#NUM!"),
            ex(500.0, None, fails="#VALUE!"),
        ],
        PRACTICE,
        lambda result, target, weighed: f"{gram(target)} − {gram(weighed)} = {gram(result)} of water",
    ),
]

_PIECES = [
    Record(
        "TC_BATCH",
        "The batch to make for so many jars, moulds or bars.",
        scaling.batch,
        [
            Number("pieces", "how many pieces", above=0),
            Number("fill", "weight in each", above=0),
            _loss(),
            Share("spare", "how much more to make than the pieces need", default=0.0),
        ],
        NUMBER,
        [
            ex(12.0, 50.0, gives=600.0),
            ex(12.0, 50.0, 0.04, gives=625.0),
            ex(10.0, 95.0, 0.05, 0.1, gives=1100.0),
            ex(12.0, 0.0, fails="#VALUE!"),
            ex(12.0, 50.0, 4.0, fails="#NUM!"),
        ],
        "proportion",
        _batch_shown,
    ),
    Record(
        "TC_PIECES",
        "Whole pieces that a batch fills.",
        scaling.pieces,
        [
            Number("batch", "weight of the batch", above=0),
            Number("fill", "weight in each piece", above=0),
            _loss(),
        ],
        NUMBER,
        [
            ex(620.0, 50.0, gives=12.0),
            ex(0.3, 0.1, gives=3.0),
            ex(620.0, 50.0, 0.05, gives=11.0),
            ex(620.0, -50.0, fails="#NUM!"),
        ],
        "division",
        lambda result, batch, fill, loss: f"{_usable(batch, loss)} ÷ {gram(fill)} = {num(result)} whole pieces",
    ),
    Record(
        "TC_LEFTOVER",
        "What is left of a batch when all whole pieces are filled.",
        scaling.leftover,
        [
            Number("batch", "weight of the batch", above=0),
            Number("fill", "weight in each piece", above=0),
            _loss(),
        ],
        NUMBER,
        [
            ex(620.0, 50.0, gives=20.0),
            ex(0.3, 0.1, gives=0.0),
            ex(620.0, 50.0, 0.05, gives=39.0),
            ex(0.0, 50.0, fails="#VALUE!"),
        ],
        "division with remainder",
        lambda result, batch, fill, loss: (
            f"{_usable(batch, loss)} − {num(scaling.pieces(batch, fill, loss))} × {gram(fill)} = {gram(result)}"
        ),
    ),
    Record(
        "TC_FILL",
        "Grams that a container takes.",
        scaling.fill,
        [
            Number("volume", "volume of the container", above=0),
            Text("unit", "unit of the volume, such as mL or fl oz"),
            Density("density of the product in g/mL"),
            Share("headroom", "share of the volume left empty", default=0.0, at_most=0.99),
        ],
        NUMBER,
        [
            ex(100.0, "mL", 0.95, gives=95.0),
            ex(4.0, "fl oz", 1.0, 0.1, gives=106.464706425),
            ex(100.0, "g", 0.95, fails="#NUM!"),
            ex(100.0, "mL", 0.0, fails="#VALUE!"),
        ],
        "mass = volume × density",
        lambda result, volume, unit, density, headroom: (
            f"{num(volume)} {unit} = {num(scaling.millilitres(volume, unit))} mL × {num(density)} g/mL"
            + (f" × (100 % − {pct(headroom)} headroom)" if headroom else "")
            + f" = {gram(result)}"
        ),
    ),
]

register(FAMILY, _RECIPE + _ADDITIONS + _PIECES)
