"""The functions a second time, in exact fractions, from their definitions and not from the calculations.

Written to be plainly right, not quick: shares are ratios, rounding is of fractions, packs are bought by trying. Every
function takes the arguments of the cell function, numbers as Fraction, and gives Fractions, or raises Refused.
"""

import math
from collections.abc import Callable
from fractions import Fraction
from typing import Any

F = Fraction
NIL = F(0)
NAOH_PER_KOH = F("39.9971") / F("56.1056")  # standard atomic weights
SODA, CITRIC, TARTARIC = F("84.0067"), F("192.1238"), F("150.0870")  # g/mol, by molmass

# By definition: the pound is 0.45359237 kg, the US gallon 231 cubic inches, the inch 25.4 mm.
_LB, _IN = F("453.59237"), F("25.4")
_GALLON = 231 * (_IN / 10) ** 3
GRAMS = {
    "g": F(1),
    "kg": F(1000),
    "mg": F(1, 1000),
    "lb": _LB,
    "oz": _LB / 16,
    "grain": _LB / 7000,
    "troy oz": _LB / 7000 * 480,
}
MILLILITRES = {
    "mL": F(1),
    "cL": F(10),
    "L": F(1000),
    "gal": _GALLON,
    "qt": _GALLON / 4,
    "pt": _GALLON / 8,
    "cup": _GALLON / 16,
    "fl oz": _GALLON / 128,
    "tbsp": _GALLON / 256,
    "tsp": _GALLON / 768,
    "UK pt": F("568.26125"),
    "UK fl oz": F("28.4130625"),
}
MILLIMETRES = {"mm": F(1), "cm": F(10), "m": F(1000), "in": _IN, "ft": 12 * _IN, "yd": 36 * _IN}
NOUGHT = {
    "K": (F(1), F(0)),
    "C": (F(1), F("273.15")),
    "F": (F(5, 9), F("459.67") * 5 / 9),
}  # kelvin = slope × t + nought


class Refused(Exception):
    """The error kind that the cell shows."""

    @property
    def kind(self) -> str:
        return self.args[0]


FUNCTIONS: dict[str, Callable] = {}


def function(calculation: Callable) -> Callable:
    FUNCTIONS["TC_" + calculation.__name__.upper()] = calculation
    return calculation


def need(condition: bool, kind: str = "#NUM!") -> None:
    if not condition:
        raise Refused(kind)


def filled(*columns: list) -> tuple[list[list], Callable[[list], list]]:
    """The columns without the rows that are blank in all of them, and what puts those rows back."""
    rows = [row for row in zip(*columns, strict=True) if any(cell is not None for cell in row)]

    def spread(values: list) -> list:
        left = iter(values)
        return [next(left) if any(c is not None for c in row) else None for row in zip(*columns, strict=True)]

    return [list(column) for column in zip(*rows, strict=True)] if rows else [[] for _ in columns], spread


def _nearest(value: F) -> int:
    return math.floor(value + F(1, 2))


def apportioned(amounts: list[F], step: F, keep_all: bool = True) -> list[F]:
    """Hamilton's method: whole steps first, the rest to the largest remainders; of two alike, to the larger amount, of
    two of these to the upper one. An amount between half a step and one step is served before all others."""
    counts = [a / step for a in amounts]
    if keep_all:
        need(not any(0 < c < F(1, 2) for c in counts))
    given = [math.floor(c) for c in counts]
    missing = _nearest(sum(counts)) - sum(given)
    ranks = sorted(
        range(len(counts)), key=lambda i: (not (keep_all and 0 < counts[i] < 1), given[i] - counts[i], -counts[i], i)
    )
    for i in ranks[:missing]:
        given[i] += 1
    if keep_all:
        need(all(g > 0 for g, c in zip(given, counts, strict=True) if c > 0))
    return [g * step for g in given]


# -- units -------------------------------------------------------------------------------------------------------------


@function
def convert(value: F, start: str, end: str, density: F | None = None) -> F:
    for units in (GRAMS, MILLILITRES, MILLIMETRES):
        if start in units and end in units:
            return value * units[start] / units[end]
    if start in NOUGHT and end in NOUGHT:
        kelvin = value * NOUGHT[start][0] + NOUGHT[start][1]
        need(kelvin >= 0)
        return (kelvin - NOUGHT[end][1]) / NOUGHT[end][0]
    need(density is not None)
    if start in GRAMS and end in MILLILITRES:
        return value * GRAMS[start] / density / MILLILITRES[end]
    need(start in MILLILITRES and end in GRAMS)
    return value * MILLILITRES[start] * density / GRAMS[end]


# -- scaling -----------------------------------------------------------------------------------------------------------


@function
def shares(amounts: list) -> list:
    (kept,), spread = filled(amounts)
    need(sum(kept) > 0)
    return spread([a / sum(kept) for a in kept])


@function
def scale(amounts: list, target: F, step: F | None = None) -> list:
    (kept,), spread = filled(amounts)
    need(sum(kept) > 0)
    scaled = [a * target / sum(kept) for a in kept]
    return spread(apportioned(scaled, step) if step else scaled)


@function
def amounts(shares: list, batch: F, step: F | None = None) -> list:
    (kept,), _ = filled(shares)
    need(sum(kept) > 0 and abs(sum(kept) - 1) <= F("0.0005"))
    return scale(shares, batch, step)


@function
def phase_total(phases: list, amounts: list, phase: str) -> F:
    (names, weights), _ = filled(phases, amounts)
    need(phase in names, "#N/A")
    return sum((w for n, w in zip(names, weights, strict=True) if n == phase), F(0))


@function
def phase_scale(phases: list, amounts: list, phase: str, target: F, step: F | None = None) -> list:
    (names, weights), spread = filled(phases, amounts)
    need(phase in names, "#N/A")
    moved = iter(scale([w for n, w in zip(names, weights, strict=True) if n == phase], target, step))
    return spread([next(moved) if n == phase else w for n, w in zip(names, weights, strict=True)])


@function
def extra(base: F, share: F) -> F:
    return base * share


@function
def within(base: F, share: F, others: list | None = None) -> F:
    room = 1 - share - sum(o for o in others or () if o is not None)
    need(room > 0)
    return base / room * share


@function
def finished_share(addition: F, base: F, others: list | None = None) -> F:
    return addition / (addition + base + sum(o for o in others or () if o is not None))


@function
def batch(pieces: F, fill: F, loss: F = NIL, spare: F = NIL) -> F:
    return pieces * fill * (1 + spare) / (1 - loss)


@function
def pieces(batch: F, fill: F, loss: F = NIL) -> F:
    return F(batch * (1 - loss) // fill)


@function
def leftover(batch: F, fill: F, loss: F = NIL) -> F:
    return batch * (1 - loss) % fill


@function
def fill(volume: F, unit: str, density: F, headroom: F = NIL) -> F:
    need(unit in MILLILITRES)
    return volume * MILLILITRES[unit] * density * (1 - headroom)


@function
def top_up(target: F, weighed: F) -> F:
    need(weighed <= target)
    return target - weighed


@function
def max_batch(amounts: list, on_hand: list) -> F:
    (needs, stock), _ = filled(amounts, on_hand)
    need(sum(needs) > 0)
    return min(s / n for n, s in zip(needs, stock, strict=True) if n > 0) * sum(needs)


@function
def limited_by(names: list, amounts: list, on_hand: list) -> str:
    (who, needs, stock), _ = filled(names, amounts, on_hand)
    need(sum(needs) > 0)
    lasts = [(s / n, w) for w, n, s in zip(who, needs, stock, strict=True) if n > 0]
    return ", ".join(w for last, w in lasts if last == min(lasts)[0])


# -- fragrance ---------------------------------------------------------------------------------------------------------


def _cap(cell: Any) -> F | None:
    return F(1) if cell == "no restriction" else cell


@function
def cap(table: list, fragrance: str, category: str) -> F:
    rows = [row for row in table[1:] if row[0] == fragrance]
    need(bool(rows) and category in table[0][1:], "#N/A")
    found = _cap(rows[0][table[0].index(category)])
    need(found is not None, "#N/A")
    return found


@function
def set_cap(table: list, fragrance: str, categories: list) -> F:
    return min(cap(table, fragrance, c) for c in categories if c is not None)


@function
def fragrance(batch: F, share: F, cap: Any, basis: str = "finished", step: F | None = None) -> F:
    cap = _cap(cap)
    need(cap is not None, "#N/A")

    def allowed(grams: F) -> bool:
        return grams / (batch if basis == "finished" else batch + grams) <= cap

    grams = batch * share
    need(allowed(grams))
    if not step or not grams:
        return grams
    rounded = _nearest(grams / step) * step
    if not allowed(rounded):
        rounded = grams // step * step
    need(rounded > 0)
    return rounded


@function
def cap_status(share: F, cap: Any, own_limit: F | None = None) -> str:
    cap = _cap(cap)
    if cap is None:
        return "not stated"
    if cap == 0:
        return "not allowed"
    return "within" if share <= cap and (own_limit is None or share <= own_limit) else "over"


@function
def blend_cap(shares: list, caps: list) -> F:
    (parts, most), _ = filled(shares, caps)
    need(all(m is not None for m in most), "#N/A")
    need(abs(sum(parts) - 1) <= F("0.0005"))
    used = [(p, _cap(m)) for p, m in zip(parts, most, strict=True) if p > 0]
    if any(m == 0 for _, m in used):
        return F(0)
    room = min(F(1), sum(parts))  # shares that add up to 99.96 % must not lift the cap
    return min(F(1), room / sum(p / m for p, m in used))


@function
def constituent_cap(fractions: list, limits: list, sum_rule: bool = False) -> F:
    (parts, most), _ = filled(fractions, limits)
    used = [(p, _cap(m)) for p, m in zip(parts, most, strict=True) if p > 0]
    if any(m == 0 for _, m in used):
        return F(0)
    if not used:
        return F(1)
    return min(F(1), 1 / sum(p / m for p, m in used) if sum_rule else min(m / p for p, m in used))


# -- soap, emulsions, bath, candles ------------------------------------------------------------------------------------


def _lye_needed(weights: list, alkali: str, values: list) -> F:
    need(sum(weights) > 0)
    return sum(w * v for w, v in zip(weights, values, strict=True)) / 1000 * (NAOH_PER_KOH if alkali == "NaOH" else 1)


@function
def lye(fats: list, weights: list, alkali: str, superfat: F, purity: F, values: list) -> F:
    (_, grams, sap), _ = filled(fats, weights, values)
    need(0 <= superfat <= F(1, 4) and purity >= F(1, 2))
    return _lye_needed(grams, alkali, sap) * (1 - superfat) / purity


@function
def superfat(fats: list, weights: list, lye: F, alkali: str, purity: F, values: list) -> F:
    (_, grams, sap), _ = filled(fats, weights, values)
    need(purity >= F(1, 2))
    return 1 - lye * purity / _lye_needed(grams, alkali, sap)


@function
def lye_water(lye: F, concentration: F) -> F:
    need(F(1, 5) <= concentration <= F(1, 2))
    return lye / concentration - lye


@function
def required_hlb(amounts: list, hlbs: list) -> F:
    (weights, values), _ = filled(amounts, hlbs)
    need(sum(weights) > 0)
    return sum(w * h for w, h in zip(weights, values, strict=True)) / sum(weights)


@function
def emulsifier_split(required: F, low: F, high: F, total: F) -> list:
    need(low < high and low <= required <= high)
    return [total * (high - required) / (high - low), total * (required - low) / (high - low)]


@function
def fizz_acid(soda: F, acid: str, spare: F = NIL) -> F:
    """C6H8O7 + 3 NaHCO3 and C4H6O6 + 2 NaHCO3."""
    return soda * (1 - spare) / SODA * {"citric": CITRIC / 3, "tartaric": TARTARIC / 2}[acid]


@function
def load(total: F, share: F, basis: str = "wax") -> list:
    need(basis == "wax" or share < 1)
    scent = total * share if basis == "total" else total * share / (1 + share)
    return [scent, total - scent]


@function
def load_of_total(share: F) -> F:
    return share / (1 + share)


@function
def load_of_wax(share: F) -> F:
    need(share < 1)
    return share / (1 - share)


def answer(name: str, arguments: list[Any]) -> Any:
    """What the cell function gives for these plain values, in fractions."""
    return FUNCTIONS[name](*(_exact(a) for a in arguments))


def _exact(value: Any) -> Any:
    """Numbers as the decimal that people typed, not as the binary number next to it."""
    if isinstance(value, (list, tuple)):
        return [_exact(v) for v in value]
    if isinstance(value, float):
        return F(repr(value))
    return value
