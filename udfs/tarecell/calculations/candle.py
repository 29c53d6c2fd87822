"""Candles and melts: what a vessel takes, fragrance loads, and the distance to the flash point. Weights in grams."""

from tarecell.calculations.units import celsius, millilitres, unit
from tarecell.errors import OutOfRange


def wax(volume: float, unit_word: str, density: float, fill_share: float = 1.0) -> float:
    """Grams of wax and fragrance that a vessel takes.

    volume: to the brim, in `unit_word`; density: of the wax in g/mL; fill_share: how much of the volume is filled.
    #N/A for an unknown unit, #NUM! for one that is not a volume.
    """
    word = unit(unit_word)
    if word.dimension != "volume":
        hint = "; write “fl oz” for fluid ounces (oz is weight)" if word.word == "oz" else ""
        raise OutOfRange(f"{word.word} is not a unit of volume: give the vessel's volume in mL, L or fl oz{hint}")
    return millilitres(volume, unit_word) * density * fill_share


def load_of_total(share_of_wax: float) -> float:
    """A fragrance load on the wax as a share of the whole pour: s / (1 + s)."""
    return share_of_wax / (1 + share_of_wax)


def load_of_wax(share_of_total: float) -> float:
    """A fragrance share of the whole pour as a load on the wax: s / (1 − s). #NUM! where no wax is left."""
    if share_of_total >= 1:
        raise OutOfRange("the fragrance is 100 % of the pour: nothing is left for the wax")
    return share_of_total / (1 - share_of_total)


def load(total: float, share: float, basis: str = "wax") -> list[float]:
    """Fragrance and wax, in that order, for a pour of that total weight in grams.

    share: of the wax (basis "wax", the trade's habit) or of the whole pour (basis "total"). #NUM! where the fragrance
    would be the whole pour.
    """
    if basis == "total":
        load_of_wax(share)  # refuses a pour without wax
    fragrance = total * (share if basis == "total" else load_of_total(share))
    return [fragrance, total - fragrance]


def flash_margin(add_temperature: float, flash_point: float, unit_word: str) -> float:
    """Degrees between the temperature at which the fragrance goes in and its flash point, in the unit of both.

    Negative: the wax is hotter than the flash point. #N/A for an unknown unit, #NUM! for a unit that is no temperature,
    or below absolute zero.
    """
    for value in (add_temperature, flash_point):
        celsius(value, unit_word)  # refuses what is no temperature
    return flash_point - add_temperature
