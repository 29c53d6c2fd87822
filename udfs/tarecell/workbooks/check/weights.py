"""The weight of each ingredient of a found recipe, where it can be told."""

import math

from tarecell.calculations import amount_text, units
from tarecell.errors import CellError
from tarecell.tables import fold, rows
from tarecell.workbooks.find.amounts import NUMBER, PERCENT_TEXT, read
from tarecell.workbooks.find.grid import Grid
from tarecell.workbooks.find.table import NO_UNIT, ONE_UNIT, PERCENT, WRITTEN, RecipeRow, RecipeTable
from tarecell.workbooks.find.words import lists_a_part, unit_word, whole_share


def shares_of(table: RecipeTable, grid: Grid) -> dict[int, float] | None:
    """Each row's share of the finished recipe: as stated, or from the weights; None where it cannot be told."""
    heads = {o.column: o.heading or "" for o in table.other_amounts if o.kind == PERCENT}
    if table.amount_kind == PERCENT:
        heads[table.amount_column] = grid.text(table.header_row or 0, table.amount_column) or "%"
    for column, head in heads.items():
        if whole_share(head):
            stated = _stated(table, grid, column)
            if stated is not None and math.fsum(stated.values()) <= 1.01:
                return stated
    if table.amount_kind == PERCENT or lists_a_part(grid.text(table.header_row or 0, table.name_column)):
        return None
    weights = weights_of(table, grid)
    total = math.fsum(weights.values()) if weights else 0.0
    return {row: weight / total for row, weight in weights.items()} if total > 0 else None


def _stated(table: RecipeTable, grid: Grid, column: int) -> dict[int, float] | None:
    other = next((o for o in table.other_amounts if o.column == column), None)
    whole = (other.percent_of if other else table.percent_of) or 100.0
    found = {}
    for row in table.rows:
        cell = grid[row.row, column]
        amount = read(cell)
        if amount is None or amount.value is None or amount.form not in (NUMBER, PERCENT_TEXT):
            return None
        found[row.row] = amount.value / (100.0 if amount.form == PERCENT_TEXT else 1.0 if cell.percent else whole)
    return found


def weights_of(table: RecipeTable, grid: Grid) -> dict[int, float] | None:
    """Each row's weight in one unit for all rows (grams where units are stated); None where that cannot be told."""
    found = {row.row: weight_of(table, row) for row in table.rows}
    if None not in found.values():
        return found
    for other in table.other_amounts:
        values = {row.row: grid[row.row, other.column].number for row in table.rows}
        if other.kind == ONE_UNIT and None not in values.values() and units.unit(other.unit).dimension == "mass":
            return values
    return None


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
