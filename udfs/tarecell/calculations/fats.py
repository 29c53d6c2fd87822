"""What is known of a fat: its saponification and iodine value, from the table (tables/fats.csv) or from the supplier.

Saponification values are mg KOH per g of fat (ISO 3657, ASTM D5558); iodine values are g iodine per 100 g of fat.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from tarecell.errors import NotFound, OutOfRange
from tarecell.tables import Names, fold, rows, shortened

NAOH = 39.9971  # g/mol, from the standard atomic weights (IUPAC)
KOH = 56.1056
NAOH_PER_KOH = NAOH / KOH  # the same fat needs this much NaOH for each gram of KOH

# No fat, oil or wax lies outside: the lowest waxes are near 45, the shortest natural triglycerides near 350.
OWN_LOWEST, OWN_HIGHEST = 40.0, 400.0
_FAR_ABOVE = 1.25  # a supplier's value may pass the published range, but not by a quarter: too much lye is dangerous
_FAR_BELOW = 0.9
IODINE_HIGHEST = 250.0


@dataclass(frozen=True)
class Value:
    """One property of one fat: the value a recipe uses, its published range (None without one), where it comes from."""

    name: str
    point: float
    low: float | None
    high: float | None
    basis: str  # "supplier's", "published" or "middle"


@lru_cache(maxsize=1)
def _listed() -> tuple[Names, tuple[dict[str, str], ...]]:
    """All the names a fat goes by, and the row of each."""
    found: dict[str, tuple[str, dict[str, str]]] = {}
    for row in rows("fats"):
        for name in (row["fat"], *filter(None, row["also"].split("|"))):
            for known in (name, name.removesuffix(" oil"), name.replace(" oil ", " ")):
                found.setdefault(fold(known), (known, row))
    return Names((name for name, _ in found.values()), "fat"), tuple(row for _, row in found.values())


def row_of(fat: str) -> dict[str, str]:
    """The table's row for a fat. #N/A with the nearest names for one that is not in the table."""
    names, listed = _listed()
    try:
        return listed[names.position(fat)]
    except NotFound as miss:
        raise NotFound(
            f"{miss.reason}; for a fat that is not listed, ask your supplier and give it as own value"
        ) from None


def _number(text: str) -> float | None:
    return float(text) if text else None


def _from_table(fat: str, column: str, what: str) -> Value:
    row = row_of(fat)
    point, low, high = (_number(row[key]) for key in (column, f"{column}_low", f"{column}_high"))
    if point is not None:
        return Value(fat, point, low, high, "published")
    if low is None or high is None:
        raise NotFound(f"no published {what} for {row['fat']}: ask your supplier and give it as own value")
    return Value(fat, (low + high) / 2, low, high, "middle")


def saponification(fat: str, own: float | None = None) -> Value:
    """The saponification value of a fat, in mg KOH per g.

    own: the supplier's value, which goes before the table's; the fat need not be in the table then.
    #N/A for a fat without a value; #NUM! for an own value that is not one in mg KOH per g.
    """
    if own is None:
        return _from_table(fat, "sap", "saponification value")
    _check_own(fat, own)
    return Value(fat, own, None, None, "supplier's")


def iodine(fat: str, own: float | None = None) -> Value:
    """The iodine value of a fat, in g iodine per 100 g. `own` as in `saponification`."""
    if own is None:
        return _from_table(fat, "iodine", "iodine value")
    if own > IODINE_HIGHEST:
        raise OutOfRange(
            f"own value of {shortened(fat)}: {own:g} is above {IODINE_HIGHEST:g}, more than any fat's iodine value"
        )
    return Value(fat, own, None, None, "supplier's")


def _published_range(fat: str) -> tuple[float, float] | None:
    """The table's range for a fat; a single published value is both ends. None where the table has none."""
    try:
        value = _from_table(fat, "sap", "saponification value")
    except NotFound:
        return None
    return value.low or value.point, value.high or value.point


def _check_own(fat: str, own: float) -> None:
    where = f"own value of {shortened(fat)}: {own:g}"
    if 0 < own < 1:
        raise OutOfRange(
            f"{where} looks like grams of alkali per gram of fat; own values are mg KOH per g: multiply grams of NaOH "
            f"by {1000 / NAOH_PER_KOH:.1f} ({own * 1000 / NAOH_PER_KOH:.1f}), grams of KOH by 1000 ({own * 1000:g})"
        )
    if not OWN_LOWEST <= own <= OWN_HIGHEST:
        raise OutOfRange(
            f"{where} is outside {OWN_LOWEST:g} to {OWN_HIGHEST:g} mg KOH per g, where all fats and waxes lie: "
            "check the number and its unit on the certificate"
        )
    published = _published_range(fat)
    if published is None:
        return
    low, high = published
    if own > high * _FAR_ABOVE:
        raise OutOfRange(
            f"{where} mg KOH per g is far above the published {_range(low, high)}: so much lye would be dangerous; "
            "check the certificate"
        )
    if own < low * _FAR_BELOW and own <= high * NAOH_PER_KOH:
        raise OutOfRange(
            f"{where} is far below the published {_range(low, high)} mg KOH per g; mg of NaOH would look like that: "
            f"then multiply by {1 / NAOH_PER_KOH:.4f} ({own / NAOH_PER_KOH:.1f})"
        )


def _range(low: float, high: float) -> str:
    return f"{low:g} to {high:g}" if low != high else f"{low:g}"


def saponifications(fats: Sequence[str], own_values: Sequence[float | None] | None = None) -> list[Value]:
    """The saponification value of every fat in a recipe."""
    return [saponification(fat, own) for fat, own in zip(fats, own_values or [None] * len(fats), strict=True)]


def iodines(fats: Sequence[str], own_values: Sequence[float | None] | None = None) -> list[Value]:
    """The iodine value of every fat in a recipe."""
    return [iodine(fat, own) for fat, own in zip(fats, own_values or [None] * len(fats), strict=True)]


def limits(value: Value) -> tuple[float, float]:
    """The lowest and highest value a fat may have.

    A supplier's value is taken as it stands. #N/A for a published single value without a published range.
    """
    if value.basis == "supplier's":
        return value.point, value.point
    if value.low is None or value.high is None:
        raise NotFound(f"no published range for {value.name}: ask your supplier and give it as own value")
    return value.low, value.high
