"""The cell functions: records, argument kinds and the one door (`run`) through which every host calls them."""

from tarecell.functions import (  # noqa: F401
    about,
    allergens,
    bath,
    candle,
    costing,
    emulsion,
    fragrance,
    labels,
    preservation,
    pricing,
    scaling,
    schedule,
    soap,
    units,
)
from tarecell.functions.records import Example, Host, Record
from tarecell.functions.registry import PYTHON, REGISTRY, explain, find, result, run

__all__ = ["Example", "Host", "PYTHON", "REGISTRY", "Record", "explain", "find", "result", "run"]
