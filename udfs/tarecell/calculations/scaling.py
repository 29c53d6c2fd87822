"""Scaling a recipe: amounts in grams (or any one unit), shares as fractions."""

import math
from collections.abc import Sequence

from tarecell.calculations.rounding import apportion, difference, units_in
from tarecell.calculations.units import millilitres
from tarecell.errors import NotFound, OutOfRange, WrongValue
from tarecell.tables import Names, fold, shortened, squeeze

SUM_TOLERANCE = 0.0005  # shares may miss 100 % by 0.05 %


def total_of(amounts: Sequence[float], what: str = "the amounts") -> float:
    """The sum of amounts. #NUM! where it is 0."""
    total = math.fsum(amounts)
    if total <= 0:
        raise OutOfRange(f"{what} add up to 0")
    return total


def shares(amounts: Sequence[float]) -> list[float]:
    """Each amount's share of the total."""
    total = total_of(amounts)
    return [a / total for a in amounts]


def scale(amounts: Sequence[float], target: float, step: float | None = None) -> list[float]:
    """The recipe at a new total weight.

    amounts: any one unit, or shares; target: the new total; step: the scale's readability, None for no rounding.
    Rounded amounts add up to the target rounded to the step. #NUM! where an ingredient is too small for the step.
    """
    total = total_of(amounts)
    if 1e-290 < min(amounts) * target and max(amounts) * target < 1e290:  # no product can vanish or overflow
        scaled = [a * target / total for a in amounts]
    else:
        scaled = [_in_proportion(a, target, total) for a in amounts]
    return scaled if step is None else apportion(scaled, step)


def _in_proportion(part: float, target: float, total: float) -> float:
    """part × target ÷ total, multiplied first, as that is nearer to what people work out by hand."""
    product = part * target
    return product / total if 1e-290 < product < 1e290 else part / total * target


def amounts(shares: Sequence[float], batch: float, step: float | None = None) -> list[float]:
    """Grams of each ingredient from its share of the batch. #NUM! where the shares miss 100 % by more than 0.05 %."""
    total = total_of(shares, "the shares")
    if abs(total - 1) > SUM_TOLERANCE + 1e-12:
        raise OutOfRange(f"the shares add up to {total * 100:.6g} %, not 100 %")
    return scale(shares, batch, step)


def _same_phase(phases: Sequence[str], phase: str) -> list[bool]:
    distinct = list(dict.fromkeys(phases))
    alike = {fold(p): p for p in distinct if squeeze(p) == squeeze(phase)}
    if not alike:
        listed = ", ".join(p[:40] for p in distinct[:8])
        raise NotFound(f"{Names(distinct, 'phase').miss(phase)}; the phases here: {listed}")
    if len(alike) > 1:  # a total of one of them would silently leave out the other
        one, other = list(alike.values())[:2]
        raise WrongValue(f"“{shortened(one)}” and “{shortened(other)}” may be the same phase: spell it in one way")
    return [fold(p) in alike for p in phases]


def phase_total(phases: Sequence[str], amounts: Sequence[float], phase: str) -> float:
    """The weight of one phase, in the amounts' unit. #N/A for a phase that is not there."""
    inside = _same_phase(phases, phase)
    return math.fsum(a for a, here in zip(amounts, inside, strict=True) if here)


def phase_scale(
    phases: Sequence[str], amounts: Sequence[float], phase: str, target: float, step: float | None = None
) -> list[float]:
    """The recipe with one phase moved to a new weight; the other phases stay as they are."""
    inside = _same_phase(phases, phase)
    chosen = [a for a, here in zip(amounts, inside, strict=True) if here]
    total_of(chosen, f"the amounts of phase {phase}")
    moved = iter(scale(chosen, target, step))
    return [next(moved) if here else a for a, here in zip(amounts, inside, strict=True)]


def extra(base: float, share: float) -> float:
    """An addition figured on top of the base: base × share."""
    return base * share


def within(base: float, share: float, other_shares: Sequence[float] | None = None) -> float:
    """The addition that makes up `share` of the finished batch.

    base: grams without any of the additions; other_shares: further additions, also shares of the finished batch.
    The finished batch is base / (1 − all the shares). #NUM! where the shares leave no room for the base.
    """
    taken = math.fsum([share, *(other_shares or ())])
    if taken >= 1:
        raise OutOfRange(f"the additions make up {taken * 100:.6g} % of the batch: nothing is left for the base")
    return base * share / (1 - taken)


def finished_share(addition: float, base: float, other_additions: Sequence[float] | None = None) -> float:
    """What share of the finished batch an addition really is: addition / (base + all the additions), in grams."""
    return addition / total_of([addition, base, *(other_additions or ())], "the batch")


def batch(pieces: float, fill: float, loss: float = 0.0, spare: float = 0.0) -> float:
    """Grams to make for so many pieces of `fill` grams.

    loss: the share of the batch that stays behind in pots; spare: the share to make on top of need.
    """
    return pieces * fill * (1 + spare) / (1 - loss)


def pieces(batch: float, fill: float, loss: float = 0.0) -> float:
    """Whole pieces of `fill` grams that a batch fills, after its loss."""
    return float(math.floor(units_in(batch * (1 - loss), fill)))


def leftover(batch: float, fill: float, loss: float = 0.0) -> float:
    """Grams left when all whole pieces are filled."""
    usable = batch * (1 - loss)
    rest = difference(usable, pieces(batch, fill, loss) * fill)
    return rest if rest > usable * 1e-9 else 0.0


def fill(volume: float, unit: str, density: float, headroom: float = 0.0) -> float:
    """Grams that a container takes. density: g/mL; headroom: the share of the volume left empty."""
    return millilitres(volume, unit) * density * (1 - headroom)


def top_up(target: float, weighed: float) -> float:
    """Grams of water to put back after heating. #NUM! where the pot is already heavier than the target."""
    missing = difference(target, weighed)
    if abs(missing) <= 1e-12 * target:  # noise that came with the weights: 0.1 + 0.2 is not heavier than 0.3
        return 0.0
    if missing < 0:
        raise OutOfRange(f"{weighed:g} g is {-missing:.6g} g more than the target of {target:g} g: check the tare")
    return missing


def _limits(amounts: Sequence[float], on_hand: Sequence[float]) -> list[float]:
    total_of(amounts)
    return [stock / need if need > 0 else math.inf for need, stock in zip(amounts, on_hand, strict=True)]


def max_batch(amounts: Sequence[float], on_hand: Sequence[float]) -> float:
    """The largest batch that the shelf allows, in the amounts' unit."""
    return min(_limits(amounts, on_hand)) * math.fsum(amounts)


def limited_by(names: Sequence[str], amounts: Sequence[float], on_hand: Sequence[float]) -> str:
    """What runs out first; several names where they run out together."""
    limits = _limits(amounts, on_hand)
    least = min(limits)
    first = [n for n, limit in zip(names, limits, strict=True) if limit <= least * (1 + 1e-12)]
    return ", ".join(dict.fromkeys(first))
