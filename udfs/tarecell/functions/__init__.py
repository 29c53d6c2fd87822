"""The cell functions: records, argument kinds and the one door (`run`) through which every host calls them."""

from tarecell.functions import (  # noqa: F401
    about,
    bath,
    candle,
    costing,
    emulsion,
    fragrance,
    preservation,
    pricing,
    scaling,
    soap,
    units,
)
from tarecell.functions.records import Example, Host, Record
from tarecell.functions.registry import PYTHON, REGISTRY, explain, find, run

__all__ = ["PYTHON", "REGISTRY", "Example", "Host", "Record", "explain", "find", "run"]
