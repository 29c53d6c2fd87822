"""Recipes that their owner has named: ranges called X_names and X_amounts, X_units and X_phases where there are any."""

import re
from dataclasses import dataclass

from tarecell.workbooks.find.grid import Book
from tarecell.workbooks.find.ranges import Range, parse

_NAME = re.compile(r"(?P<recipe>.+)_(?P<what>names|amounts|units|phases)", re.IGNORECASE)


@dataclass(frozen=True)
class NamedRecipe:
    """A recipe's named ranges; `doubt` says what is wrong with them, where something is."""

    recipe: str
    names: Range
    amounts: Range
    units: Range | None = None
    phases: Range | None = None


def named_recipes(book: Book) -> tuple[list[NamedRecipe], list[str]]:
    """The recipes that defined names point at, and what is wrong with names that nearly do."""
    found: dict[tuple[str, str], dict[str, Range]] = {}
    wrong = []
    for name, reference in book.names.items():
        own, _, short = name.rpartition("!")
        match = _NAME.fullmatch(short)
        if match is None:
            continue
        area = parse(reference, own)
        if area is None or book.grid(area.sheet) is None:
            continue
        found.setdefault((own, match["recipe"].casefold()), {})[match["what"].lower()] = area
    recipes = []
    for (_, recipe), ranges in found.items():
        if {"names", "amounts"} <= set(ranges):
            problem = _problem(ranges)
            if problem:
                wrong.append(f"the named ranges of “{recipe}” are left aside: {problem}")
            else:
                recipes.append(NamedRecipe(recipe, *(ranges.get(w) for w in ("names", "amounts", "units", "phases"))))
    return recipes, wrong


def _problem(ranges: dict[str, Range]) -> str | None:
    names = ranges["names"]
    for what, area in ranges.items():
        if area.left != area.right:
            return f"{what} is more than one column wide"
        if area.sheet != names.sheet or (area.top, area.bottom) != (names.top, names.bottom):
            return f"{what} does not lie in the same rows as names"
    return None
