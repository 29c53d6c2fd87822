"""Units: pint does the converting, behind a list of the words that makers use (tables/units.csv).

A conversion is worked out once per pair of units, as exact fractions, and then is one multiplication.
"""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from tarecell.calculations.unit_sizes import BASE, size
from tarecell.errors import NotFound, OutOfRange
from tarecell.tables import Names, fold, rows, squeeze


@dataclass(frozen=True)
class Unit:
    """A unit as the table knows it: its first word, what pint calls it, its dimension and source."""

    word: str
    factor: Decimal
    pint_name: str
    dimension: str
    source: str
    certainty: str


def _plain(word: str) -> str:
    return fold(word.replace(".", " "))


@lru_cache(maxsize=1)
def _words() -> tuple[dict[str, Unit], dict[str, Unit]]:
    exact, loose = {}, {}
    for row in rows("units"):
        words = row["words"].split("|")
        number, _, name = row["definition"].rpartition(" ")
        if row["dimension"] == "count":
            number, name = row["definition"], ""
        unit = Unit(words[0], Decimal(number or 1), name, row["dimension"], row["source"], row["certainty"])
        for word in words:
            exact[_plain(word)] = unit
            loose.setdefault(squeeze(_plain(word)), unit)
    return exact, loose


@lru_cache(maxsize=1)
def _all_words() -> Names:
    return Names((w for row in rows("units") for w in row["words"].split("|")), "unit")


@lru_cache(maxsize=2000)
def unit(word: str) -> Unit:
    """The unit that a word means. #N/A with the nearest words for one that is not in the table."""
    exact, loose = _words()
    found = exact.get(_plain(word)) or loose.get(squeeze(_plain(word)))
    if found is None:
        raise NotFound(_all_words().miss(word))
    return found


def _size(unit: Unit) -> Fraction:
    """The unit in the base unit of its dimension."""
    return Fraction(unit.factor) * (size(unit.pint_name, unit.dimension)[0] if unit.pint_name else 1)


@lru_cache(maxsize=2000)
def _factor(start: Unit, end: Unit) -> float:
    """What to multiply by, between two units of one dimension that share their zero."""
    return float(_size(start) / _size(end))


@lru_cache(maxsize=20)
def _temperature_line(start: Unit, end: Unit) -> tuple[Fraction, Fraction]:
    """Slope and intercept between two temperature scales, exact, so that 122 °F is 50 °C and no hair more."""
    (step, zero), (other_step, other_zero) = (size(u.pint_name, u.dimension) for u in (start, end))
    return step / other_step, (zero - other_zero) / other_step


@lru_cache(maxsize=4000)
def factor(start_word: str, end_word: str, density: float | None = None) -> float | None:
    """What to multiply by to get from one unit to the other; None between temperatures, which do not share their zero.

    density: g/mL, for weight to volume and back. Raises #NUM! where the units do not go together, and says which was
    probably meant.
    """
    start, end = unit(start_word), unit(end_word)
    if start.dimension == end.dimension:
        return None if start.dimension == "temperature" else _factor(start, end)
    if {start.dimension, end.dimension} != {"mass", "volume"}:
        raise OutOfRange(
            f"{start.word} is a {start.dimension} and {end.word} a {end.dimension}: one cannot become the other"
        )
    if density is None:
        raise OutOfRange(_needs_density(start, end))
    first = _factor(start, unit(BASE[start.dimension]))
    last = _factor(unit(BASE[end.dimension]), end)
    return first * (density if start.dimension == "volume" else 1 / density) * last


def _needs_density(start: Unit, end: Unit) -> str:
    reason = (
        f"{start.word} is a {_plainly(start.dimension)} and {end.word} a {_plainly(end.dimension)}: "
        "give the density in g/mL"
    )
    words = {start.word, end.word}
    if "oz" in words:
        reason += ", or write “fl oz” if fluid ounces were meant (oz is weight)"
    elif "fl oz" in words:
        reason += ", or write “oz” if the weight was meant (fl oz is volume)"
    return reason


def _plainly(dimension: str) -> str:
    return "weight" if dimension == "mass" else dimension


def convert(value: float, start: str, end: str, density: float | None = None) -> float:
    """A value in another unit: mass, volume, temperature, length or count.

    value: in `start`; density: g/mL, only for weight to volume and back.
    Raises #N/A for an unknown unit, #NUM! for units that do not go together, or a temperature below absolute zero.
    Source: NIST Handbook 44, the SI Brochure and the Weights and Measures Act 1985, through pint.
    """
    times = factor(start, end, density)
    return value * times if times is not None else _temperature(value, unit(start), unit(end))


def _temperature(value: float, start: Unit, end: Unit) -> float:
    slope, zero = _temperature_line(start, unit("K"))
    if Fraction(value) * slope + zero < -Fraction(1, 10**9):  # −459.67 F is 0 K but for binary noise
        raise OutOfRange(f"{value:g} {start.word} is below absolute zero")
    if start == end:
        return value
    slope, zero = _temperature_line(start, end)
    found = float(Fraction(value) * slope + zero)
    return 0.0 if abs(found) < 1e-12 else found


def celsius(value: float, word: str) -> float:
    """A temperature in °C. Raises #N/A or #NUM! where the unit is not a temperature."""
    return convert(value, word, "C")


def millilitres(value: float, word: str) -> float:
    """A volume in mL. #NUM! where the unit is not a volume."""
    return convert(value, word, "mL")


def density_row(material: str) -> dict[str, str]:
    """The table's row for a material. #N/A with the nearest names."""
    table = rows("densities")
    return table[Names((row["material"] for row in table), "density of").position(material)]


def density(material: str) -> float:
    """Density of a material in g/mL, at the temperature that its source names (see TC_SOURCE)."""
    return float(density_row(material)["density"])
