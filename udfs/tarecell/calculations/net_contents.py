"""The net contents statement of a label, for the US and the EU.

Every figure is rounded down where it must be rounded, because a declared content may not overstate what is in the pack
(NIST fact sheet on metric labelling, after the Uniform Packaging and Labeling Regulation; 76/211/EEC: the mean may not
be below the nominal quantity).
"""

import math
from dataclasses import dataclass

from tarecell.calculations.rounding import down_to_step
from tarecell.calculations.units import convert, unit
from tarecell.errors import OutOfRange

# 16 CFR 500.19(a): the factors for US labels, "and none others".
GRAMS_PER_OUNCE = 28.3495
MILLILITRES_PER_FLUID_OUNCE = 29.5735

_METRIC = {"g", "kg", "mg", "tonne", "mL", "cL", "dL", "L", "m3"}
_MOST = 1e6  # g or mL; more than this is no hand-made pack


@dataclass(frozen=True)
class Contents:
    """A content in both systems: grams and ounces, or millilitres and fluid ounces."""

    metric: float
    ounces: float
    by_weight: bool
    typed_metric: bool

    @property
    def metric_unit(self) -> str:
        return "g" if self.by_weight else "mL"

    @property
    def factor(self) -> float:
        return GRAMS_PER_OUNCE if self.by_weight else MILLILITRES_PER_FLUID_OUNCE


def contents(amount: float, word: str) -> Contents:
    """An amount in both systems, unrounded. #N/A for an unknown unit, #NUM! for one that is no weight or volume."""
    found = unit(word)
    if found.dimension not in ("mass", "volume"):
        raise OutOfRange(
            f"{found.word} is a {found.dimension}: net contents are a weight (g, oz) or a volume (mL, fl oz)"
        )
    by_weight = found.dimension == "mass"
    factor = GRAMS_PER_OUNCE if by_weight else MILLILITRES_PER_FLUID_OUNCE
    typed_metric = found.word in _METRIC
    if typed_metric:
        metric = convert(amount, word, "g" if by_weight else "mL")
        ounces = metric / factor
    else:
        ounces = convert(amount, word, "oz" if by_weight else "fl oz")
        metric = ounces * factor
    if metric > _MOST:
        raise OutOfRange(f"{amount:g} {found.word} is more than any pack of this kind holds: check the unit")
    return Contents(metric, ounces, by_weight, typed_metric)


def net_contents(amount: float, unit: str, market: str = "EU") -> str:
    """The statement of net contents.

    US: ounces to two decimals with the metric content; from 1 lb to under 4 lb (1 pint to under 1 gallon) pounds and
    ounces (quarts, pints and ounces) follow in parentheses; from there on they lead (21 CFR 701.13). Metric figures
    have three digits, two below 100 (16 CFR 500.19(b)). EU: grams or kilograms, millilitres or litres.
    Raises #N/A for an unknown unit, #NUM! for a unit that is no weight or volume, or a content too small to declare.
    """
    held = contents(amount, unit)
    return _us(held) if market == "US" else _eu(held)


def _eu(held: Contents) -> str:
    if not held.typed_metric:
        return _metric(held.metric, _digits_step(held.metric), held.metric_unit)
    return _metric(held.metric, 1.0 if held.metric >= 1000 else 0.1, held.metric_unit)


def _digits_step(value: float) -> float:
    """The step that leaves three digits, or two below 100."""
    digits = 3 if value >= 100 else 2
    return 10.0 ** (math.floor(math.log10(value)) - digits + 1)


def _metric(value: float, step: float, unit: str) -> str:
    shown = down_to_step(value, step)
    if shown <= 0:
        raise OutOfRange(f"{value:.4g} {unit} is too little to declare: the label shows steps of {step:g} {unit}")
    if shown >= 1000:
        return f"{_number(shown / 1000)} {'kg' if unit == 'g' else 'L'}"
    return f"{_number(shown)} {unit}"


def _number(value: float) -> str:
    return f"{value:.10g}"


def _us(held: Contents) -> str:
    ounces = down_to_step(held.ounces, 0.01)
    if ounces <= 0:
        raise OutOfRange(f"{held.ounces:.4g} ounces is too little to declare: the label shows hundredths of an ounce")
    metric = _metric(held.metric, _digits_step(held.metric), held.metric_unit)
    lead, name = ("NET WT", "OZ") if held.by_weight else ("NET", "FL OZ")
    large = _pounds(ounces) if held.by_weight else _quarts(ounces)
    if ounces < 16:
        return f"{lead} {_number(ounces)} {name} ({metric})"
    if ounces < (64 if held.by_weight else 128):
        return f"{lead} {_number(ounces)} {name} ({large}) {metric}"
    return f"{lead} {large} ({metric})"


def _pounds(ounces: float) -> str:
    return _whole_units(ounces, ((16, "LB"),))


def _quarts(ounces: float) -> str:
    """The largest whole units: a quart and a half is 1 QT 1 PT, never quarts with loose ounces above a pint."""
    return _whole_units(ounces, ((128, "GAL"), (32, "QT"), (16, "PT")))


def _whole_units(ounces: float, sizes: tuple[tuple[int, str], ...]) -> str:
    parts = []
    for size, name in sizes:
        count, ounces = divmod(ounces, size)
        if count:
            parts.append(f"{count:.0f} {name}")
    rest = round(ounces, 2)
    if rest:
        parts.append(f"{_number(rest)} OZ")
    return " ".join(parts)
