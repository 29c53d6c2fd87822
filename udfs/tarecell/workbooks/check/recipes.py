"""Recipes whose shares or totals do not add up, or whose amounts are in several units."""

import math
from collections import Counter

from tarecell.calculations import units
from tarecell.calculations.scaling import SUM_TOLERANCE
from tarecell.errors import CellError
from tarecell.workbooks.check.context import Context
from tarecell.workbooks.check.formula import taken_apart
from tarecell.workbooks.check.report import ERROR, WARNING, Finding, finding
from tarecell.workbooks.find import words
from tarecell.workbooks.find.amounts import NUMBER, PERCENT_TEXT, read
from tarecell.workbooks.find.grid import Cell, Grid
from tarecell.workbooks.find.ranges import Range
from tarecell.workbooks.find.table import NO_UNIT, ONE_UNIT, PERCENT, WITH_UNIT_COLUMN, WRITTEN, RecipeTable
from tarecell.workbooks.find.words import unit_word
from tarecell.workbooks.references import Position, address, letters

_DEPTH = 5  # totals of totals of totals


def shares(context: Context) -> list[Finding]:
    """Percentages that do not add up to 100 %."""
    found = []
    for table in context.sure_tables:
        columns = [(table.amount_column, table.percent_of)] if table.amount_kind == PERCENT else []
        columns += [(o.column, o.percent_of) for o in table.other_amounts if o.kind == PERCENT]
        grid = context.grid(table.sheet)
        for column, percent_of in columns:
            if (
                table.header_row
                and not words.whole_share(grid.text(table.header_row, column))
                and not _in_percents(table)
            ):
                continue
            told = _shares_told(context, table, column, percent_of or 100.0)
            if told:
                found.append(told)
    return found


def _in_percents(table: RecipeTable) -> bool:
    """Whether the recipe itself is in percentages by its unit column, whatever the heading says."""
    return table.amount_kind == PERCENT and table.unit_column is not None


def _shares_told(context: Context, table: RecipeTable, column: int, percent_of: float) -> Finding | None:
    grid = context.grid(table.sheet)
    values = {row.row: _share(grid[row.row, column], percent_of) for row in table.rows}
    if any(v is None and grid[r, column].value is not None for r, v in values.items()) or len(values) < 2:
        return None  # "q.s. to 100 %", an error cell: it cannot be added up
    given = {r: v for r, v in values.items() if v is not None}
    if not given or any(grid[r, column].computed for r in values if r not in given):
        return None
    total = math.fsum(given.values())
    if abs(total - 1) <= SUM_TOLERANCE + 1e-9 or _each_phase_whole(table, given):
        return None
    if len(given) < len(values) and table.amount_column != column:
        return None  # a second column that is filled here and there
    if not table.total_row and not 0.5 <= total <= 1.5:
        return None  # shares of something else, or a few ingredients out of a whole recipe
    area = Range(table.sheet, table.first_row, column, table.last_row, column)
    if _whole_further_down(context, grid, area, percent_of):
        return None
    if sum(math.isclose(v, 1) for v in given.values()) == 1 and total > 1:
        context.notes.append(
            f"{table.sheet}!{area.a1}: one ingredient is 100 % by itself, so the others were taken as shares of it"
        )
        return None
    blanks = [r for r in values if r not in given]
    also = f"; row {blanks[0]} is blank" if blanks else ""
    return finding(
        "shares",
        ERROR,
        table.sheet,
        area,
        f"the shares add up to {total * 100:.6g} %, not 100 %{also}",
        "every amount made from them is off by the difference, and so are the label and the caps",
        "correct the share that is wrong, or let the main ingredient take the rest (100 % less the others)",
    )


def _whole_further_down(context: Context, grid: Grid, area: Range, percent_of: float) -> bool:
    """Whether a sum below takes in more rows than the table has, and those make it 100 %."""
    for row in range(area.bottom + 1, min(area.bottom + 20, grid.last_row) + 1):
        cell = grid[row, area.left]
        if _is_sum(cell) and cell.number is not None:
            reads = [context.range(r, grid.sheet) for r in taken_apart(cell.formula or "").references]
            longer = any(r and r.top <= area.top and r.bottom > area.bottom for r in reads)
            return longer and abs(_share(cell, percent_of) - 1) <= SUM_TOLERANCE
    return False


def _share(cell: Cell, percent_of: float) -> float | None:
    amount = read(cell)
    if amount is None or amount.form not in (NUMBER, PERCENT_TEXT):
        return None
    if amount.form == PERCENT_TEXT:
        return amount.value / 100
    return amount.value if cell.percent else amount.value / percent_of


def _each_phase_whole(table: RecipeTable, values: dict[int, float]) -> bool:
    """Whether the percentages are meant phase by phase: each phase adds up to 100 %."""
    sums: dict[str | None, float] = {}
    for row in table.rows:
        sums[row.phase] = sums.get(row.phase, 0.0) + values.get(row.row, 0.0)
    return len(sums) > 1 and all(abs(total - 1) <= SUM_TOLERANCE for total in sums.values())


def totals(context: Context) -> list[Finding]:
    """Totals that miss a row of their table, count one twice, or are typed and wrong."""
    found: dict[tuple[str, Position], Finding] = {}
    for table in context.sure_tables:
        grid = context.grid(table.sheet)
        for row, wanted in _totals_of(table):
            for column in range(table.first_column, table.last_column + 1):
                told = _total_told(context, grid, table, (row, column), wanted)
                if told:
                    found[table.sheet, (row, column)] = told
    for grid, where, cell, _ in context.formulas():
        if (grid.sheet, where) not in found:
            told = _stops_short(context, grid, where, cell)
            if told:
                found[grid.sheet, where] = told
    return list(found.values())


def _totals_of(table: RecipeTable) -> list[tuple[int, list[int]]]:
    """Each totals row with the ingredient rows it should add up."""
    rows = [row.row for row in table.rows]
    result = []
    start = 0
    for subtotal in table.subtotal_rows:
        begins = max([start, *(r for r, _ in table.phase_rows if r < subtotal)])
        result.append((subtotal, [r for r in rows if begins < r < subtotal]))
        start = subtotal
    if table.total_row:
        result.append((table.total_row, [r for r in rows if r < table.total_row]))
    return result


def _total_told(context: Context, grid: Grid, table: RecipeTable, where: Position, wanted: list[int]) -> Finding | None:
    column = where[1]
    cell = grid[where]
    rows = [r for r in wanted if grid[r, column].number is not None or grid[r, column].formula is not None]
    if len(rows) < 2:
        return None
    if cell.formula is None:
        return _typed_total(grid, table, where, rows) if not cell.computed else None
    counted = _counted(context, grid, where, set())
    if counted is None or not any(counted[r] for r in rows):
        return None
    missed = [r for r in rows if not counted[r]]
    twice = [r for r in rows if counted[r] > 1]
    if missed:
        names = ", ".join(f"row {r} ({grid.text(r, table.name_column)})" for r in missed[:4])
        return finding(
            "total",
            ERROR,
            grid.sheet,
            where,
            f"the total {cell.formula} leaves out {names}{' and others' if len(missed) > 4 else ''}",
            "the batch is heavier or dearer than this cell says",
            f"make it add up {letters(column)}{rows[0]}:{letters(column)}{rows[-1]}",
        )
    if twice:
        return finding(
            "total",
            ERROR,
            grid.sheet,
            where,
            f"the total {cell.formula} counts {'row' if len(twice) == 1 else 'rows'} "
            f"{', '.join(map(str, twice[:4]))}{' and others' if len(twice) > 4 else ''} twice",
            "it adds up subtotals together with the rows that they already add up",
            "add up either the subtotals or the ingredient rows",
        )
    return None


def _counted(context: Context, grid: Grid, where: Position, seen: set[Position]) -> Counter | None:
    """How often a total counts each row of its own column; None for a formula that is more than adding up."""
    formula = taken_apart(grid[where].formula or "")
    names = {call.name for call in formula.calls}
    adds = names <= {"SUM", "SUBTOTAL", "ROUND"} and formula.operators <= {"+"}
    if not formula.readable or not formula.references or not adds or len(seen) > _DEPTH:
        return None
    seen = seen | {where}
    counted: Counter = Counter()
    for reference in formula.references:
        area = context.range(reference, grid.sheet)
        if area is None or area.sheet != grid.sheet or area.left != area.right:
            return None
        if area.left != where[1]:
            continue
        for row in (r for r in range(area.top, min(area.bottom, grid.last_row) + 1) if r != where[0]):
            inner = grid[row, area.left]
            part = None
            if inner.formula and (row, area.left) not in seen:
                is_sum = any(call.name in ("SUM", "SUBTOTAL") for call in taken_apart(inner.formula).calls)
                skipped = "SUBTOTAL" in names and is_sum and "SUBTOTAL" in inner.formula.upper()
                if skipped:
                    continue
                part = _counted(context, grid, (row, area.left), seen) if is_sum else None
            counted[row] += 1
            if part:
                counted.update(part)
    return counted


def _typed_total(grid: Grid, table: RecipeTable, where: Position, rows: list[int]) -> Finding | None:
    """A typed total that is not the sum of the rows."""
    column = where[1]
    other = next((o for o in table.other_amounts if o.column == column), None)
    kind = table.amount_kind if column == table.amount_column else other.kind if other else None
    number = grid[where].number
    values = [grid[r, column].number for r in rows]
    if kind not in (ONE_UNIT, NO_UNIT, PERCENT) or number is None or None in values:
        return None
    total = math.fsum(values)
    if abs(total - number) <= max(abs(total) * 0.001, 0.5 * 10 ** -_decimals(number) * (number % 1 != 0)):
        return None
    return finding(
        "total",
        ERROR,
        grid.sheet,
        where,
        f"the total {number:g} is typed, and the rows add up to {total:.6g}",
        "a typed total stays as it was when an amount changes",
        f"let it add up: =SUM({letters(column)}{rows[0]}:{letters(column)}{rows[-1]})",
    )


def _decimals(number: float) -> int:
    text = f"{number:.10g}"
    return len(text.split(".")[1]) if "." in text else 0


def _stops_short(context: Context, grid: Grid, where: Position, cell: Cell) -> Finding | None:
    """A sum over the cells above it that ends before the last of them."""
    formula = taken_apart(cell.formula or "")
    if len(formula.calls) != 1 or not formula.calls[0].whole or formula.calls[0].name != "SUM":
        return None
    call = formula.calls[0]
    area = context.range(call.arguments[0], grid.sheet) if len(call.arguments) == 1 else None
    if area is None or area.sheet != grid.sheet or area.left != area.right or area.left != where[1]:
        return None
    if not area.top < area.bottom < where[0] - 1 or where[0] - area.bottom > 6:
        return None
    between = [(r, grid[r, where[1]]) for r in range(area.bottom + 1, where[0])]
    left_out = [r for r, c in between if c.number is not None and not _is_sum(c)]
    if not left_out or left_out[0] != area.bottom + 1 or any(_is_sum(c) for _, c in between):
        return None
    named = f"{address((left_out[0], where[1]))}" + (f" to {address((left_out[-1], where[1]))}" if left_out[1:] else "")
    return finding(
        "total",
        WARNING,
        grid.sheet,
        where,
        f"the sum {cell.formula} stops before {named}, which stands right above it",
        "a row that was added at the end is not in the total",
        f"extend it to {letters(where[1])}{area.top}:{letters(where[1])}{left_out[-1]} if the row belongs to it",
    )


def _is_sum(cell: Cell) -> bool:
    return bool(cell.formula) and any(c.name in ("SUM", "SUBTOTAL") for c in taken_apart(cell.formula).calls)


def mixed_units(context: Context) -> list[Finding]:
    """Weights in several units in one column of numbers."""
    found = []
    for table in context.sure_tables:
        if table.amount_kind not in (WITH_UNIT_COLUMN, WRITTEN):
            continue
        used = _units_used(table)
        mass = [u for u in used if units.unit(u).dimension == "mass"]
        volume = [u for u in used if units.unit(u).dimension == "volume"]
        mixed = mass + volume if table.amount_kind == WITH_UNIT_COLUMN else mass[:1] * bool(volume) + volume[:1]
        if len(mixed) < 2 or (table.amount_kind == WRITTEN and not (mass and volume)):
            continue
        if table.amount_kind == WITH_UNIT_COLUMN and _converted(context, table):
            continue
        adding = _adds_them_up(context, table)
        area = Range(table.sheet, table.first_row, table.amount_column, table.last_row, table.amount_column)
        shown = ", ".join(f"{unit} in row {used[unit]}" for unit in mixed[:5])
        found.append(
            finding(
                "mixed-units",
                ERROR if adding else WARNING,
                table.sheet,
                area,
                f"the amounts are in several units: {shown}",
                f"{adding} adds them up as if they were one"
                if adding
                else "a total or a scaled recipe of them is wrong",
                'make a column in grams beside it, with TC_CONVERT(amount, unit, "g"), and work from that',
            )
        )
    return found


def _units_used(table: RecipeTable) -> dict[str, int]:
    """The units of a table, each with the first row that has it."""
    used: dict[str, int] = {}
    for row in table.rows:
        unit = unit_word(row.unit or "")
        if unit and unit != "%":
            used.setdefault(unit, row.row)
    known = {}
    for unit, row in used.items():
        try:
            known[units.unit(unit).word] = row
        except CellError:
            continue
    return known


def _converted(context: Context, table: RecipeTable) -> bool:
    """Whether formulas beside the amounts read each amount together with its unit, as a conversion does."""
    rows = {row.row for row in table.rows}
    reads = set()
    for grid, _, _, formula in context.formulas():
        seen = set()
        for reference in formula.references:
            area = context.range(reference, grid.sheet)
            if area is None or area.sheet != table.sheet:
                continue
            for column in (table.amount_column, table.unit_column):
                if area.left <= column <= area.right:
                    seen |= {(r, column) for r in rows if area.top <= r <= area.bottom}
        reads |= {r for r in rows if {(r, table.amount_column), (r, table.unit_column)} <= seen}
    return len(reads) * 2 > len(rows)


def _adds_them_up(context: Context, table: RecipeTable) -> str:
    """The cell of a formula that adds up or scales the amounts as they stand; "" where there is none."""
    wanted = {"SUM", "TC_SCALE", "TC_SHARES", "TC_MAX_BATCH", "TC_RECIPE_COST", "TC_PHASE_TOTAL"}
    column = table.amount_column
    for grid, where, _, formula in context.formulas():
        for call in formula.calls:
            if call.name not in wanted:
                continue
            for argument in call.arguments:
                area = context.range(argument, grid.sheet)
                if area and area.sheet == table.sheet and area.left == area.right == column and not area.single:
                    if area.top <= table.last_row and area.bottom >= table.first_row:
                        return f"{call.name} in {address(where)}"
    return ""
