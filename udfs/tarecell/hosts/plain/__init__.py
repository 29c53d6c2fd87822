"""No host at all: the functions as ordinary spreadsheet formulas, for people who have nothing installed."""

from tarecell.hosts.plain import (  # noqa: F401
    bath,
    candle,
    costing,
    emulsion,
    fragrance,
    labels,
    preservation,
    rollup,
    scaling,
    schedule,
    soap,
    units,
)
from tarecell.hosts.plain.calls import TRANSLATIONS, Result, translate_call
from tarecell.hosts.plain.reading import Given
from tarecell.hosts.plain.workings import Sheet, Step, Untranslatable, literal

__all__ = ["Given", "Result", "Sheet", "Step", "TRANSLATIONS", "Untranslatable", "literal", "translate_call"]
