"""Soap: the workings that TC_EXPLAIN shows, with the warnings that belong to the numbers."""

from collections.abc import Sequence

from tarecell.calculations import fats as known
from tarecell.calculations import soap
from tarecell.calculations.fats import Value
from tarecell.errors import NotFound
from tarecell.functions.wording import gram, listing, num, pct
from tarecell.tables import CERTAINTY

_SHOWN = 15  # a soap recipe with more fats than this is rare
LYE_HEAVY = "WARNING, lye-heavy: do not use on skin"


def _lines(values: Sequence[Value], weights: Sequence[float], alkali: str) -> str:
    """ "coconut 300 g × 0.18286 = 54.857 g" for every fat."""
    parts = []
    for value, weight in zip(values, weights, strict=True):
        rate = soap.per_gram(value.point, alkali)
        parts.append(f"{value.name} {gram(weight)} × {num(rate, 5)} = {num(weight * rate, 5)} g")
    return listing(parts, _SHOWN)


def _range(value: Value) -> str:
    return f"{num(value.low)}–{num(value.high)}" if value.low is not None and value.high is not None else ""


def _share(value: float) -> str:
    """A superfat to four figures: more would promise what the fats' values cannot keep."""
    return f"{num(value * 100, 4)} %"


def _notes(values: Sequence[Value]) -> str:
    """What a maker should know of these fats, from the table."""
    seen = dict.fromkeys(v.name for v in values if v.basis != "supplier's")
    return "".join(f"; note on {name}: {note}" for name in seen if (note := known.row_of(name)["note"]))


def _unchecked(values: Sequence[Value]) -> str:
    """Which published values were not checked against their source."""
    seen = dict.fromkeys(v.name for v in values if v.basis != "supplier's")
    doubtful = [name for name in seen if known.row_of(name)["certainty"] == "memory"]
    return f"; {CERTAINTY['memory']}: {listing(doubtful, _SHOWN)}" if doubtful else ""


def _where_from(values: Sequence[Value], unit: str = " mg KOH/g") -> str:
    """Which values are the middle of a range, which are published ones, and which are the supplier's."""
    seen = list(dict.fromkeys(values))
    middle = [f"{v.name} {num(v.point)} ({_range(v)})" for v in seen if v.basis == "middle"]
    published = [f"{v.name} {num(v.point)}" for v in seen if v.basis == "published"]
    own = [f"{v.name} {num(v.point)}" for v in seen if v.basis == "supplier's"]
    told = [
        (middle, "middle of the published range"),
        (published, "published value"),
        (own, "supplier's own value"),
    ]
    shown = "; ".join(f"{words}: {listing(which, _SHOWN)}{unit}" for which, words in told if which)
    return shown + _unchecked(seen)


def sap_shown(result, fat, alkali):
    value = known.saponification(fat)
    times = " × 39.9971 ÷ 56.1056" if alkali == "NaOH" else ""
    row = known.row_of(fat)
    name = "" if row["fat"] == fat.lower() else f" ({row['fat']})"
    return (
        f"{fat}{name}: {num(value.point)} mg KOH/g ÷ 1000{times} = {num(result)} g {alkali} per g; "
        f"{_where_from([value])}; {row['source']}{_notes([value])}"
    )


def _doubt(fats, weights, lye, alkali, purity, own) -> str:
    """A warning where the published ranges allow lye-heavy soap; nothing where they do not, or are not known."""
    try:
        low, high = soap.superfat_range(fats, weights, lye, alkali, purity, own)
    except NotFound as unknown:
        return f"; how far the superfat may be off is not known ({unknown.reason})"
    if low >= 0:
        return ""
    return (
        f"; WARNING: the published ranges of these fats allow a superfat from {_share(low)} to {_share(high)}, so "
        "lye-heavy soap is possible: get the suppliers' values or raise the superfat"
    )


def lye_shown(result, fats, weights, alkali, superfat, purity, own):
    values = known.saponifications(fats, own)
    need = soap.needed([v.point for v in values], weights, alkali)
    less = f" × (100 % − {pct(superfat)} superfat)" if superfat else ", no superfat"
    pure = f" ÷ {pct(purity)} purity" if purity != 1 else ", purity taken as 100 %,"
    return (
        f"{_lines(values, weights, alkali)}; total {gram(need)}{less}{pure} = {gram(result)} {alkali}; "
        f"{_where_from(values)}{_notes(values)}{_doubt(fats, weights, result, alkali, purity, own)}"
    )


def water_shown(result, lye, concentration):
    return (
        f"{gram(lye)} lye × (100 % − {pct(concentration)}) ÷ {pct(concentration)} = {gram(result)} water; "
        "stir the lye into the water, never the other way round"
    )


def _other_alkali(result, alkali) -> str:
    """A hint where the lye amount would fit the other alkali."""
    as_koh = 1 - (1 - result) * known.NAOH_PER_KOH
    as_naoh = 1 - (1 - result) / known.NAOH_PER_KOH
    other, share = ("KOH", as_koh) if alkali == "NaOH" else ("NaOH", as_naoh)
    share = 0.0 if abs(share) < 1e-12 else share  # an exact fit must not be lost, nor shown, by a rounding hair
    if 0 <= result <= soap.SUPERFAT_MOST or not 0 <= share <= soap.SUPERFAT_MOST:
        return ""
    return f"; as {other} the same weight would give {_share(share)}: check which alkali it is"


def _judged(result, alkali) -> str:
    if result < 0:
        return f"; {LYE_HEAVY} ({_share(-result)} too much lye){_other_alkali(result, alkali)}"
    if result > soap.SUPERFAT_MOST:
        return f"; above 25 %: check the weights{_other_alkali(result, alkali)}"
    return ""


def _real(lye, purity) -> str:
    return gram(lye) if purity == 1 else f"{gram(lye)} × {pct(purity)} purity"


def superfat_shown(result, fats, weights, lye, alkali, purity, own):
    values = known.saponifications(fats, own)
    need = soap.needed([v.point for v in values], weights, alkali)
    doubt = _doubt(fats, weights, lye, alkali, purity, own) if result >= 0 else ""
    return (
        f"{_lines(values, weights, alkali)}; total {gram(need)}; 100 % − {_real(lye, purity)} ÷ {gram(need)} {alkali} "
        f"= {_share(result)} superfat{_judged(result, alkali)}; {_where_from(values)}{_notes(values)}{doubt}"
    )


def range_shown(result, fats, weights, lye, alkali, purity, own):
    values = known.saponifications(fats, own)
    ends = [known.limits(value) for value in values]
    low, high = (soap.needed([pair[end] for pair in ends], weights, alkali) for end in (0, 1))
    spans = [
        f"{v.name} {_range(v)}" if v.low is not None else f"{v.name} {num(v.point)} (supplier's, taken as it stands)"
        for v in values
    ]
    lowest, highest = result
    warning = ""
    if highest < 0:
        warning = f"; {LYE_HEAVY} whatever the fats' values are in their range"
    elif lowest < 0:
        warning = (
            "; WARNING: the low end is below zero, so lye-heavy soap is possible, which burns skin: get the "
            "suppliers' values or use less lye"
        )
    return (
        f"{listing(list(dict.fromkeys(spans)), _SHOWN)} mg KOH/g: the fats need {num(low)} to {num(high)} g {alkali}; "
        f"100 % − {_real(lye, purity)} ÷ need = {_share(lowest)} to {_share(highest)} superfat"
        f"{_unchecked(values)}{warning}"
    )


def iodine_shown(result, fats, weights, own):
    values = known.iodines(fats, own)
    parts = [f"{v.name} {gram(w)} × {num(v.point)}" for v, w in zip(values, weights, strict=True)]
    total = sum(weights)
    sources = _where_from(values, "")
    more = f" + … ({len(parts) - _SHOWN} more)" if len(parts) > _SHOWN else ""
    return f"({' + '.join(parts[:_SHOWN])}{more}) ÷ {gram(total)} = {num(result)}; {sources}"
