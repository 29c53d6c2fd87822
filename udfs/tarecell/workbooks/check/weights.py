"""The weight of each ingredient of a found recipe, where it can be told."""

import math

from tarecell.calculations import amount_text, units
from tarecell.errors import CellError
from tarecell.tables import fold, rows
from tarecell.workbooks.find_table import NO_UNIT, PERCENT, WRITTEN, RecipeRow, RecipeTable
from tarecell.workbooks.find_words import unit_word


def shares_of(table: RecipeTable) -> dict[int, float] | None:
    """Each row's share of the whole recipe; None where a row has no amount, or one that cannot be weighed."""
    weights = weights_of(table)
    if weights is None:
        return None
    total = math.fsum(weights.values())
    if total <= 0 or (table.amount_kind == PERCENT and abs(total - 1) > 0.01):
        return None
    return {row: weight / total for row, weight in weights.items()}


def weights_of(table: RecipeTable) -> dict[int, float] | None:
    """Each row's weight in one unit for all rows (grams where units are stated); None where that cannot be told."""
    found = {}
    for row in table.rows:
        weight = weight_of(table, row)
        if weight is None:
            return None
        found[row.row] = weight
    return found


def weight_of(table: RecipeTable, row: RecipeRow) -> float | None:
    """One row's weight in grams (a share for a percentage, a bare number where no unit is stated)."""
    try:
        if table.amount_kind == WRITTEN and isinstance(row.amount, str):
            return _written(row)
        if not isinstance(row.amount, float):
            return None
        if table.amount_kind == PERCENT:
            return row.amount / (table.percent_of or 100.0)
        if table.amount_kind == NO_UNIT:
            return row.amount
        unit = unit_word(row.unit or "")
        return None if unit in (None, "%") else units.convert(row.amount, unit, "g", _density(row.name, unit))
    except CellError:
        return None


def _written(row: RecipeRow) -> float:
    parts = amount_text.parts(str(row.amount))
    return sum(units.convert(value, word, "g", _density(row.name, word)) for value, word in parts)


def _density(name: str, unit: str) -> float | None:
    """The material's density, asked for only where the unit is a volume."""
    return units.density(name) if units.unit(unit).dimension == "volume" else None


def product_in(text: str) -> dict[str, str] | None:
    """The row of the product types whose name stands in a title: "Bath bombs with a fig drizzle" → bath bomb."""
    plain = f" {_singular(fold(text))} "
    best: tuple[int, dict[str, str] | None] = 0, None
    for row in rows("product_types"):
        for name in (row["product"], *(row["also"] or "").split("|")):
            wanted = _singular(fold(name))
            if wanted and f" {wanted} " in plain and len(wanted) > best[0]:
                best = len(wanted), row
    return best[1]


def _singular(text: str) -> str:
    words = "".join(c if c.isalnum() else " " for c in text).split()
    return " ".join(w[:-1] if len(w) > 3 and w.endswith("s") and not w.endswith("ss") else w for w in words)
