"""Numbers where they should not be typed, and numbers that are only text."""

from tarecell.workbooks.check.context import Context
from tarecell.workbooks.check.formula import pattern
from tarecell.workbooks.check.report import ERROR, WARNING, Finding, finding
from tarecell.workbooks.find.amounts import PERCENT_TEXT, TEXT_NUMBER, written
from tarecell.workbooks.find.grid import BLANK, Cell, Grid
from tarecell.workbooks.find.table import PERCENT, WRITTEN
from tarecell.workbooks.references import Position, address

_ADDING = {"SUM", "AVERAGE", "SUBTOTAL", "SUMPRODUCT", "PRODUCT", "MIN", "MAX"}
_LEAST_FORMULAS = 3


def typed_between_formulas(context: Context) -> list[Finding]:
    """Typed numbers in a column that formulas fill: somebody typed over a formula."""
    found = []
    for grid in context.book.grids:
        for column in range(1, grid.last_column + 1):
            for run in _runs(grid, column):
                found += _typed_in(grid, column, run)
    known = {(f.sheet, f.cell) for f in found}
    return found + [f for f in _in_tables(context) if (f.sheet, f.cell) not in known]


def _in_tables(context: Context) -> list[Finding]:
    """The same within a recipe's rows, where the first and the last row count too."""
    found = []
    for table in context.sure_tables:
        grid = context.grid(table.sheet)
        for column in range(table.first_column, table.last_column + 1):
            rows = [row.row for row in table.rows if grid[row.row, column].formula or grid[row.row, column].number]
            found += _typed_in(grid, column, rows, ends=True)
    return found


def _runs(grid: Grid, column: int) -> list[list[int]]:
    """Rows of this column that hold numbers or formulas, apart by blanks of more than one row and by texts."""
    runs: list[list[int]] = []
    for row in (r for r in grid.rows if (r, column) in grid.cells):
        cell = grid[row, column]
        if cell.formula is None and cell.number is None:
            continue
        if runs and row - runs[-1][-1] <= 2 and (row - 1 == runs[-1][-1] or grid[row - 1, column] is BLANK):
            runs[-1].append(row)
        else:
            runs.append([row])
    return runs


def _typed_in(grid: Grid, column: int, rows: list[int], ends: bool = False) -> list[Finding]:
    patterns: dict[str, list[int]] = {}
    for row in rows:
        cell = grid[row, column]
        if cell.formula is not None and cell.array is None:
            patterns.setdefault(pattern(cell.formula, row, column), []).append(row)
    if not patterns:
        return []
    same = max(patterns.values(), key=len)
    typed = [r for r in rows if not grid[r, column].computed and (ends or same[0] < r < same[-1])]
    if len(same) < _LEAST_FORMULAS or not typed or len(typed) * (3 if ends else 2) > len(same):
        return []
    return [
        finding(
            "typed-number",
            WARNING,
            grid.sheet,
            (row, column),
            f"the number {grid[row, column].number:g} is typed in a column of formulas",
            f"the rows around it are computed (as in {address((same[0], column))}); this one stays when they change",
            f"copy the formula from {address((same[0], column))} into it, or note beside it why it is fixed",
        )
        for row in typed
        if grid[row, column].number is not None
    ]


def text_numbers(context: Context) -> list[Finding]:
    """Numbers stored as text, in recipes, price lists and caps tables, and wherever a formula adds up."""
    places: dict[tuple[str, Position], str] = {}
    for table in context.sure_tables:
        columns = [] if table.amount_kind == WRITTEN else [table.amount_column]
        columns += [other.column for other in table.other_amounts if other.kind != WRITTEN]
        for row in table.rows:
            for column in columns:
                _note(places, context.grid(table.sheet), (row.row, column), percent=table.amount_kind == PERCENT)
    for prices in context.prices:
        columns = [c for c in (prices.price, prices.pack if prices.unit else None) if c]
        for row in prices.rows:
            for column in columns:
                _note(places, context.grid(prices.sheet), (row, column))
    for caps in context.caps:
        for row in caps.rows:
            for column in caps.categories:
                _note(places, context.grid(caps.sheet), (row, column), percent=True)
    for place, text in _added_up(context).items():
        places.setdefault(place, text)
    return [
        finding(
            "text-number",
            ERROR,
            sheet,
            where,
            f"“{text}” is a number stored as text",
            "totals skip it silently, and TC_ functions refuse it",
            "set the cell's format to Number or Percent and type it again",
        )
        for (sheet, where), text in places.items()
    ]


def _note(places: dict, grid: Grid, where: Position, percent: bool = False) -> None:
    text = _text_number(grid[where], percent)
    if text:
        places[grid.sheet, where] = text


def _text_number(cell: Cell, percent: bool = False) -> str:
    """The text of a cell that is a number in all but its type."""
    if not cell.text or cell.computed:
        return ""
    amount = written(cell.text)
    forms = (TEXT_NUMBER, PERCENT_TEXT) if percent else (TEXT_NUMBER,)
    return cell.text if amount is not None and amount.form in forms else ""


def _added_up(context: Context) -> dict[tuple[str, Position], str]:
    """Text numbers inside ranges that a formula adds up."""
    found = {}
    for grid, _, _, formula in context.formulas():
        for call in formula.calls:
            if call.name not in _ADDING:
                continue
            for argument in call.arguments:
                area = context.range(argument, grid.sheet)
                if area is None or area.single:
                    continue
                for where, cell in context.cells(area):
                    text = _text_number(cell)
                    if text and _mostly_numbers(context.grid(area.sheet), where):
                        found[area.sheet, where] = text
    return found


def _mostly_numbers(grid: Grid, where: Position) -> bool:
    """Whether the cells above and below hold numbers: a code in a column of texts is no mistake."""
    row, column = where
    near = [grid[r, column] for r in range(max(1, row - 4), row + 5) if r != row]
    return sum(cell.number is not None for cell in near) * 2 >= sum(cell is not BLANK for cell in near) > 0
