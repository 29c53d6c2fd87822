"""Tarecell: tested spreadsheet functions for people who make bath, body and candle goods by hand.

`tarecell.call("TC_TOP_UP", 500, 487.5)` runs a cell function by name on plain Python values and returns its value, or
raises `tarecell.CellError` with `.kind` ("#N/A", "#NUM!", "#VALUE!") and `.reason`.
"""

from typing import Any

from tarecell.errors import CellError

__version__ = "0.1.0"
__all__ = ["CellError", "__version__", "call"]


def call(name: str, *args: Any) -> Any:
    """The value of a cell function for plain Python values: lists, or lists of rows, for ranges; None for a blank.

    A column comes back in the shape it was given in. Raises CellError for anything a cell would show as an error.
    """
    from tarecell.functions import run  # here, so that importing tarecell stays quick

    return run(name, args)
