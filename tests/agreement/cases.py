"""Random recipes, caps, parts tables and prices, such as people have: decimals of few digits, some rows blank."""

from collections.abc import Callable
from random import Random
from typing import Any

from agreement import exact

_NAMES = (
    "water",
    "olive oil",
    "shea butter",
    "glycerin",
    "beeswax",
    "citric acid",
    "fig scent",
    "mica",
    "salt",
    "clay",
)
_STEPS = (1.0, 0.5, 0.1, 0.05, 0.01, 5.0, 2.0)
_CODES = ("1", "4", "5A", "5B", "9", "10A", "12")
ARGUMENTS: dict[str, Callable[[Random], list]] = {}


def asks(function: Callable[[Random], list]) -> Callable[[Random], list]:
    ARGUMENTS["TC_" + function.__name__.upper()] = function
    return function


def one(rng: Random) -> tuple[str, list, Any]:
    """A function's name, its arguments, and what it gives in fractions, or the error kind as exact.Refused."""
    while True:
        name = rng.choice(sorted(ARGUMENTS))
        arguments = ARGUMENTS[name](rng)
        try:
            return name, arguments, exact.answer(name, arguments)
        except exact.Refused as refused:
            return name, arguments, refused
        except NotImplementedError:
            continue  # a question with several right answers


# -- what people type --------------------------------------------------------------------------------------------------


def weight(rng: Random, most: int = 2000) -> float:
    digits = rng.choice((0, 0, 1, 1, 2, 3))
    return round(rng.choice((rng.uniform(0, 5), rng.uniform(0, most))), digits) or 1.0


def percent(rng: Random, most: float = 100.0, digits: int | None = None) -> float:
    """A share as people type it: 1.1 % is 0.011, which 1.1 / 100 is not."""
    digits = rng.choice((0, 0, 1, 2)) if digits is None else digits
    return round(rng.uniform(0, most) / 100, digits + 2)


def money(rng: Random, most: int = 60) -> float:
    return rng.randrange(1, most * 100) / 100


def optional(rng: Random, arguments: list, *more: Any) -> list:
    """Some of the optional arguments, from the left."""
    return [*arguments, *more[: rng.randrange(len(more) + 1)]]


def columns(rng: Random, *makers: Callable[[], Any], least: int = 1) -> list[list]:
    """Columns of one length, with a blank row here and there. A range has two rows or more: one cell may be a blank."""
    rows = [[make() for make in makers] for _ in range(rng.randrange(max(2, least), 9))]
    if rng.random() < 0.25:
        rows.insert(rng.randrange(len(rows) + 1), [None] * len(makers))
    return [list(column) for column in zip(*rows, strict=True)]


def _whole(rng: Random) -> list[float]:
    """Shares that add up to 100 %, or nearly, or not at all."""
    count = rng.randrange(2, 8)
    scale = rng.choice((100, 1000, 10_000))
    cuts = sorted(rng.sample(range(1, scale), count - 1))
    parts = [b - a for a, b in zip([0, *cuts], [*cuts, scale], strict=True)]
    parts[0] += rng.choice((0, 0, 0, 0, 0, scale // 1000, -scale // 10_000))
    return [max(p, 1) / scale for p in parts]


def some_amounts(rng: Random) -> list:
    zero = rng.random() < 0.1
    return columns(rng, lambda: 0.0 if zero and rng.random() < 0.5 else weight(rng))[0]


def a_unit(rng: Random, units: dict) -> str:
    return rng.choice(list(units))


def density(rng: Random) -> float:
    return round(rng.uniform(0.5, 1.6), 3)


def _cap(rng: Random) -> Any:
    return rng.choice((0.0, "no restriction", *(percent(rng, 10, 2) for _ in range(6))))


# -- each function -----------------------------------------------------------------------------------------------------


@asks
def convert(rng):
    kinds = (exact.GRAMS, exact.MILLILITRES, exact.MILLIMETRES, exact.NOUGHT)
    one, other = rng.choice((*((k, k) for k in kinds), (kinds[0], kinds[1]), (kinds[1], kinds[0])))
    value = weight(rng) * rng.choice((1, 1, 1, -1 if one is kinds[3] else 1))
    arguments = [value, a_unit(rng, one), a_unit(rng, other)]
    return arguments if one is other or rng.random() < 0.1 else [*arguments, density(rng)]


@asks
def shares(rng):
    return [some_amounts(rng)]


@asks
def scale(rng):
    return optional(rng, [some_amounts(rng), weight(rng, 5000)], rng.choice(_STEPS))


@asks
def amounts(rng):
    return optional(rng, [_whole(rng), weight(rng, 5000)], rng.choice(_STEPS))


def _phases(rng):
    return columns(rng, lambda: rng.choice("ABC"), lambda: weight(rng))


@asks
def phase_total(rng):
    return [*_phases(rng), rng.choice("ABCD")]


@asks
def phase_scale(rng):
    return optional(rng, [*_phases(rng), rng.choice("ABC"), weight(rng)], rng.choice(_STEPS))


@asks
def extra(rng):
    return [weight(rng), percent(rng)]


@asks
def within(rng):
    return optional(rng, [weight(rng), percent(rng, 60)], [percent(rng, 30) for _ in range(rng.randrange(2, 4))])


@asks
def finished_share(rng):
    return optional(rng, [weight(rng, 50), weight(rng)], [weight(rng, 50) for _ in range(rng.randrange(2, 4))])


@asks
def batch(rng):
    return optional(rng, [float(rng.randrange(1, 200)), weight(rng, 300)], percent(rng, 20), percent(rng, 20))


@asks
def pieces(rng):
    fill = weight(rng, 300)
    filled = round(fill * rng.randrange(1, 60), 3) if rng.random() < 0.4 else weight(rng, 9000)
    return optional(rng, [filled, fill], percent(rng, 20))


ARGUMENTS["TC_LEFTOVER"] = pieces


@asks
def fill(rng):
    return optional(rng, [weight(rng), a_unit(rng, exact.MILLILITRES), density(rng)], percent(rng, 30))


@asks
def top_up(rng):
    target = weight(rng)
    return [target, rng.choice((target, round(target * rng.uniform(0.7, 1.1), 2) or 1.0))]


@asks
def max_batch(rng):
    return columns(rng, lambda: weight(rng), lambda: weight(rng))


@asks
def limited_by(rng):
    names = iter(rng.sample(_NAMES, len(_NAMES)))
    few = rng.random() < 0.4
    return columns(
        rng,
        lambda: next(names),
        lambda: float(rng.randrange(1, 4)) if few else weight(rng),
        lambda: 6.0 if few else weight(rng),
    )


def _caps_table(rng):
    codes, names = rng.sample(_CODES, rng.randrange(2, 6)), rng.sample(_NAMES, rng.randrange(2, 6))
    return (
        [["fragrance", *codes], *([n, *(_cap(rng) if rng.random() < 0.85 else None for _ in codes)] for n in names)],
        names,
        codes,
    )


@asks
def cap(rng):
    table, names, codes = _caps_table(rng)
    return [table, rng.choice((*names, "zzz")), rng.choice((*codes, *codes, "6"))]


@asks
def set_cap(rng):
    table, names, codes = _caps_table(rng)
    return [table, rng.choice(names), rng.sample(codes, rng.randrange(2, len(codes) + 1))]


@asks
def fragrance(rng):
    most = _cap(rng)
    near = most if isinstance(most, float) and rng.random() < 0.3 else percent(rng, 10, 2)
    return optional(
        rng, [weight(rng, 5000), near, most], rng.choice(("finished", "base", "wax")), rng.choice((*_STEPS[:5], 0.001))
    )


@asks
def cap_status(rng):
    most = _cap(rng)
    share = most if isinstance(most, float) and rng.random() < 0.3 else percent(rng, 10, 2)
    return optional(rng, [share, most], percent(rng, 10, 2) or 0.01)


@asks
def blend_cap(rng):
    parts = _whole(rng)
    return [parts, [_cap(rng) if rng.random() < 0.97 else None for _ in parts]]


@asks
def constituent_cap(rng):
    return optional(rng, columns(rng, lambda: percent(rng, 40), lambda: percent(rng, 5, 3)), rng.random() < 0.5)


# mg KOH per g, near the middle of the published ranges: far from them a value is refused as a slip of the pen.
_FATS = {"olive oil": 190, "coconut oil": 257, "shea butter": 180, "castor oil": 181, "lard": 197, "cocoa butter": 192,
         "sunflower oil": 190, "tallow": 196}  # fmt: skip


def _fats(rng):
    names = rng.sample(list(_FATS), rng.randrange(2, 8))
    fats, weights, values = (
        names,
        [weight(rng) for _ in names],
        [_FATS[n] + rng.randrange(-20, 21) / 10 for n in names],
    )
    if rng.random() < 0.25:
        for column in (fats, weights, values):
            column.insert(1, None)
    return [fats, weights, values]


@asks
def lye(rng):
    fats, weights, values = _fats(rng)
    return [
        fats,
        weights,
        rng.choice(("NaOH", "KOH")),
        percent(rng, 26),
        (percent(rng, 100) or 1.0) if rng.random() < 0.1 else rng.choice((1.0, 0.98, 0.9, 0.5)),
        values,
    ]


@asks
def superfat(rng):
    fats, weights, values = _fats(rng)
    return [fats, weights, weight(rng, 400), rng.choice(("NaOH", "KOH")), rng.choice((1.0, 0.98, 0.9, 0.5)), values]


@asks
def lye_water(rng):
    return [weight(rng, 400), rng.choice((0.2, 0.25, 0.5, 0.51, 0.19, percent(rng, 60) or 0.3))]


@asks
def required_hlb(rng):
    return columns(rng, lambda: weight(rng), lambda: rng.randrange(10, 180) / 10)


@asks
def emulsifier_split(rng):
    low, high = rng.randrange(10, 90) / 10, rng.randrange(60, 180) / 10
    return [rng.choice((low, high, rng.randrange(10, 180) / 10)), low, high, weight(rng)]


@asks
def fizz_acid(rng):
    return optional(rng, [weight(rng), rng.choice(("citric", "tartaric"))], percent(rng, 50))


@asks
def load(rng):
    return optional(
        rng, [weight(rng), rng.choice((1.0, percent(rng, 15), percent(rng, 15)))], rng.choice(("wax", "total"))
    )


@asks
def load_of_total(rng):
    return [percent(rng, 20)]


@asks
def load_of_wax(rng):
    return [rng.choice((1.0, *(percent(rng, 20) for _ in range(5))))]
