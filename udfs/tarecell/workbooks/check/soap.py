"""Soap: lye without a superfat, or more lye than the fats can take."""

import re

from tarecell.calculations import fats
from tarecell.errors import CellError
from tarecell.functions import run
from tarecell.tables import fold
from tarecell.workbooks.check.context import Context
from tarecell.workbooks.check.report import ERROR, WARNING, Finding, finding
from tarecell.workbooks.check.weights import weight_of
from tarecell.workbooks.find.grid import Grid
from tarecell.workbooks.find.table import NO_UNIT, ONE_UNIT, PERCENT, RecipeRow, RecipeTable

_SUPERFAT = re.compile(
    r"super ?-?fat|lye discount|uberfett|laugenunterschuss|surgra[iu]?s|sobreengras|sovragrass|sconto soda"
)
_NAOH = re.compile(
    r"\b(?:naoh|sodium hydroxide|caustic soda|natriumhydroxid|natronlauge|soude(?: caustique)?|soda caustica)\b"
)
_KOH = re.compile(r"\b(?:koh|potassium hydroxide|kaliumhydroxid|potasse(?: caustique)?)\b")
_LYE = re.compile(r"^(?:lye|lauge)\b(?! water| solution)")
_FATTY = re.compile(
    r"\b(?:oil|butter|fat|lard|tallow|wax|shortening|ol|fett|schmalz|huile|beurre|aceite|manteca)\b|ol$|butter$"
)
_PROBES = {"ISNUMBER", "ISERROR", "ISERR", "ISNA", "TC_EXPLAIN"}
_UNIT_PRICE = re.compile(r"\b(?:price|cost|pure|purity|concentration|strength|ratio)\b|%")
_NO_FAT = re.compile(r"\b(?:essential|fragrance|parfum|perfume|scent)\b|\beo\b|\bfo\b")


def lye_without_superfat(context: Context) -> list[Finding]:
    """Lye that is figured or listed with no superfat, and lye that outweighs the fats."""
    found = _in_formulas(context)
    for table in context.sure_tables:
        for row in table.rows:
            alkali = _alkali(row.name)
            if alkali is None or row.amount in (None, 0.0):
                continue
            grid = context.grid(table.sheet)
            cell = grid[row.row, table.amount_column]
            if cell.formula and "TC_LYE" in cell.formula.upper():
                continue  # looked at as a formula
            told = _lye_heavy(table, row, alkali) or _no_superfat(context, grid, table.amount_column, row)
            if told:
                found.append(told)
    return found + _beside_tables(context)


def _beside_tables(context: Context) -> list[Finding]:
    """Lye that stands below or beside the table of fats, as it mostly does: a name with its number to the right."""
    found = []
    for grid in context.book.grids:
        tables = [table for table in context.sure_tables if table.sheet == grid.sheet]
        inside = {(row.row, table.name_column) for table in tables for row in table.rows}
        if not any(_is_fat(row.name) for table in tables for row in table.rows):
            continue
        for (row, column), cell in grid.cells.items():
            alkali = _alkali(cell.text) if cell.text and len(cell.text) < 40 and (row, column) not in inside else None
            place = next((c for c in range(column + 1, column + 4) if grid[row, c].number), None) if alkali else None
            if place is None or _UNIT_PRICE.search(fold(cell.text)):
                continue
            if "TC_LYE" in (grid[row, place].formula or "").upper():
                continue
            lye = RecipeRow(row, None, cell.text, float(grid[row, place].number), None)
            table = next((t for t in tables if t.amount_column == place and t.amount_kind in (ONE_UNIT, NO_UNIT)), None)
            told = _lye_heavy(table, lye._replace(unit=table.amount_unit), alkali) if table else None
            told = told or _no_superfat(context, grid, place, lye)
            if told:
                found.append(told)
    return found


def _alkali(name: str) -> str | None:
    plain = fold(name)
    if _KOH.search(plain):
        return "KOH"
    return "NaOH" if _NAOH.search(plain) or _LYE.search(plain) else None


def _in_formulas(context: Context) -> list[Finding]:
    found = []
    for grid, where, cell, formula in context.formulas():
        if cell.number is None or {call.name for call in formula.calls} & _PROBES:
            continue  # it asks whether there is a result; the lye to weigh is figured elsewhere
        for call in formula.calls:
            if call.name != "TC_LYE" or not _whole_batch(context, grid, call.arguments):
                continue
            superfat = call.arguments[3].strip() if len(call.arguments) > 3 else ""
            if superfat and not _is_zero(context, grid, superfat):
                continue
            found.append(
                finding(
                    "no-superfat",
                    WARNING,
                    grid.sheet,
                    where,
                    f"the lye is figured with {'a superfat of 0' if superfat else 'no superfat'}: {call.name}(…)",
                    "fats vary from lot to lot: without a superfat a batch can be left with free lye, which burns skin",
                    "give the fourth argument a superfat of your own, 5 % is common practice",
                )
            )
    return found


def _whole_batch(context: Context, grid: Grid, arguments: list[str]) -> bool:
    """Whether a call is given all the fats of a batch: one fat by itself is mostly a look at that fat."""
    area = context.range(arguments[1], grid.sheet) if len(arguments) > 1 else None
    return area is not None and not area.single


def _is_zero(context: Context, grid: Grid, argument: str) -> bool:
    try:
        return float(argument.rstrip("%")) == 0
    except ValueError:
        area = context.range(argument, grid.sheet)
        if area is None or not area.single:
            return False
        return context.grid(area.sheet)[area.corner].value in (None, 0, 0.0)


def _no_superfat(context: Context, grid: Grid, column: int, lye: RecipeRow) -> Finding | None:
    """Lye in a recipe with fats, on a sheet that does not mention a superfat anywhere."""
    if not any(_is_fat(row.name) for row in _sheet_rows(context, grid.sheet)):
        return None
    if any(_SUPERFAT.search(fold(cell.text)) for cell in grid.cells.values() if cell.text):
        return None
    if any("TC_SUPERFAT" in (cell.formula or "").upper() for cell in grid.cells.values()):
        return None
    return finding(
        "no-superfat",
        WARNING,
        grid.sheet,
        (lye.row, column),
        f"{lye.name} is listed, and the sheet states no superfat",
        "nobody can see how much fat is left unsaponified, or whether free lye is, which burns skin",
        "add a cell with TC_SUPERFAT(fats, weights, lye), and write down the superfat you want",
    )


def _sheet_rows(context: Context, sheet: str) -> list[RecipeRow]:
    return [row for table in context.sure_tables if table.sheet == sheet for row in table.rows]


def _is_fat(name: str) -> bool:
    plain = fold(name)
    return not _NO_FAT.search(plain) and (_known(name) or bool(_FATTY.search(plain)))


def _known(name: str) -> bool:
    try:
        fats.saponification(name)
        return True
    except CellError:
        return False


def _lye_heavy(table: RecipeTable, lye: RecipeRow, alkali: str) -> Finding | None:
    """More lye than the fats of the same table can take; only where every fat and every weight is known."""
    alkalis = {row.row for row in table.rows if _alkali(row.name)} | {lye.row}
    fatty = [row for row in table.rows if not _alkali(row.name) and _is_fat(row.name)]
    if len(alkalis) != 1 or not fatty or not all(_known(row.name) for row in fatty):
        return None
    weights = [weight_of(table, row) for row in fatty]
    amount = weight_of(table, lye)
    if amount is None or None in weights:
        return None
    try:
        superfat = run("TC_SUPERFAT", [[r.name for r in fatty], weights, amount, alkali])
    except CellError:
        return None
    if superfat >= -0.0005:
        return None
    unit = "" if table.amount_kind in (NO_UNIT, PERCENT) else " g"
    return finding(
        "lye-heavy",
        ERROR,
        table.sheet,
        (lye.row, table.amount_column),
        f"{amount:.4g}{unit} of {lye.name} is {-superfat * 100:.3g} % more than the fats can take",
        "a lye-heavy soap burns skin",
        "weigh less lye: figure it with TC_LYE and a superfat, and check the fats' weights",
    )
