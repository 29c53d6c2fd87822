"""Conversions in plain Python against the libraries for units."""

import pint
import tarecell
import unyt
from benchmarks.measuring import Line, in_turns, line

TIMES = 5000


def lines(rounds: int = 9) -> list[Line]:
    """One number at a time, from words, as a cell does it."""
    registry = pint.UnitRegistry()

    def ours():
        for i in range(TIMES):
            tarecell.call("TC_CONVERT", i + 0.5, "oz", "g")

    def with_pint():
        for i in range(TIMES):
            registry.Quantity(i + 0.5, "ounce").to("gram").magnitude  # noqa: B018

    def with_unyt():
        for i in range(TIMES):
            unyt.unyt_quantity(i + 0.5, "oz").to("g").value  # noqa: B018

    for theirs in (registry.Quantity(2.5, "ounce").to("gram").magnitude, float(unyt.unyt_quantity(2.5, "oz").to("g"))):
        if abs(tarecell.call("TC_CONVERT", 2.5, "oz", "g") - theirs) > 1e-6:
            raise AssertionError("the libraries disagree")
    found = in_turns([ours, with_pint, with_unyt], rounds)
    what = f"TC_CONVERT, {TIMES:,} in plain Python"
    return [line(what, "pint", found), line(what, "unyt", found, columns=(0, 2))]
