"""Rounding to what a scale can show, without changing the total."""

import math
from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache

from tarecell.errors import OutOfRange

MOST_STEPS = 1e12  # beyond it a floating-point number cannot tell one step from the next with anything to spare
_NOISE = 1e-9  # steps; binary fractions make 0.3 / 0.1 a little less than 3
_GROWING_NOISE = 2e-15  # of the count, where that is more


def _without_noise(count: float) -> float:
    whole = round(count)
    off = abs(count - whole)
    return float(whole) if off <= _NOISE or off <= _GROWING_NOISE * abs(count) else count


def units_in(amount: float, step: float) -> float:
    """How many steps an amount is; a whole number where it is one but for binary noise.

    #NUM! where the step is so fine that a number of this size cannot show it.
    """
    count = amount / step
    if not abs(count) <= MOST_STEPS:
        raise OutOfRange(f"{amount:.6g} is too much to be counted in steps of {step:g}: use a coarser step")
    return _without_noise(count)


def _nearest(count: float) -> int:
    """The nearest whole number, halves up; 1000.4999999999999 is a half."""
    return math.floor(_without_noise(count + 0.5))


@lru_cache(maxsize=100)
def _as_written(step: float) -> tuple[int, int]:
    """0.1 as 1 over 10, which no binary fraction is."""
    return Fraction(repr(step)).as_integer_ratio()


def in_steps(count: int, step: float) -> float:
    """A whole number of steps as an amount, without binary noise: 3 steps of 0.1 are 0.3."""
    over, under = _as_written(step)
    return count * over / under


def to_step(amount: float, step: float) -> float:
    """An amount rounded to the nearest step, halves up."""
    return in_steps(_nearest(units_in(amount, step)), step)


def down_to_step(amount: float, step: float) -> float:
    """The largest whole number of steps that is not above the amount."""
    return in_steps(math.floor(units_in(amount, step)), step)


def up_to_step(amount: float, step: float) -> float:
    """The smallest whole number of steps that is not below the amount."""
    return in_steps(math.ceil(units_in(amount, step)), step)


def difference(amount: float, less: float) -> float:
    """amount − less to the digits that the amount, above 0, has: 1000.01 − 1000 is 0.01, and not a hair less."""
    return round(amount - less, 14 - math.floor(math.log10(amount))) + 0.0  # + 0.0: never −0


def apportion(amounts: Sequence[float], step: float, keep_all: bool = True) -> list[float]:
    """Amounts rounded to the step so that they add up to their total, rounded to the step.

    Largest-remainder apportionment (Hamilton's method): every amount is first rounded down; the steps that are then
    missing go to the amounts with the largest remainders, so no amount is off by a whole step. With `keep_all`, an
    amount that is not zero never becomes zero: #NUM! where it is smaller than half a step, or where there are not
    enough steps to go round.
    """
    counts = _all_units_in(amounts, step)
    whole = list(map(math.floor, counts))
    missing = _nearest(math.fsum(counts)) - sum(whole)
    # Remainders that differ by less than a millionth of a step are the same but for binary noise: the larger row first.
    # In whole millionths, as rounding to a whole number takes a third of the time of rounding to six digits.
    remainders = [round((w - c) * 1e6) for w, c in zip(whole, counts, strict=True)]
    could_vanish = [i for i, c in enumerate(counts) if 0 < c < 1] if keep_all and min(counts, default=1) < 1 else []
    others: Sequence[int] = range(len(counts))
    first: list[int] = []
    if could_vanish:
        _refuse_too_small(counts, could_vanish, step)
        first = _foremost(could_vanish, missing, remainders, counts)
        others = [i for i, c in enumerate(counts) if not 0 < c < 1]
    for i in first + _foremost(others, missing - len(first), remainders, counts):
        whole[i] += 1
    for i in could_vanish:
        if whole[i] == 0:
            raise OutOfRange(
                f"filled row {i + 1}: {counts[i] * step:.4g} cannot be weighed in steps of {step:g} without changing "
                "the total: use a finer scale or a larger batch"
            )
    over, under = _as_written(step)
    return [w * over / under for w in whole]


def _all_units_in(amounts: Sequence[float], step: float) -> list[float]:
    """`units_in` for many amounts. Ordinary ones are taken in one go, which is three times quicker than one by one."""
    counts = [a / step for a in amounts]
    if not counts or max(counts) > _NOISE / _GROWING_NOISE or min(counts) < 0:
        return [units_in(a, step) for a in amounts]
    return [float(w) if -_NOISE <= c - w <= _NOISE else c for c, w in zip(counts, map(round, counts))]  # noqa: B905


def _foremost(rows: Sequence[int], number: int, remainders: Sequence[int], counts: Sequence[float]) -> list[int]:
    """The rows that get a step more: those furthest above their whole steps, the larger of equal ones, the upper ones.

    Only rows at the border need to be told apart by their size: one sort of plain numbers instead of two of rows.
    """
    if number <= 0:
        return []
    if number >= len(rows):
        return list(rows)
    border = sorted([remainders[i] for i in rows])[number - 1]
    within = [i for i in rows if remainders[i] < border]
    level = sorted([i for i in rows if remainders[i] == border], key=counts.__getitem__, reverse=True)
    return within + level[: number - len(within)]


def _refuse_too_small(counts: Sequence[float], rows: Sequence[int], step: float) -> None:
    for row in rows:
        if counts[row] < 0.5:
            raise OutOfRange(
                f"filled row {row + 1}: {counts[row] * step:.4g} is smaller than half a step of this scale ({step:g}): "
                "use a finer scale or a larger batch"
            )
