"""A found table, put together from its columns and rows: title, units, phases, reasons and doubts."""

import math
from typing import NamedTuple

from tarecell.workbooks.find import words
from tarecell.workbooks.find.amounts import NUMBER, PERCENT_TEXT, STAND_IN, TEXT_NUMBER, Amount, read, written
from tarecell.workbooks.find.amounts import WRITTEN as WRITTEN_FORM
from tarecell.workbooks.find.columns import Heading
from tarecell.workbooks.find.grid import Cell, Grid
from tarecell.workbooks.find.rows import Layout, Rows
from tarecell.workbooks.find.table import (
    LIKELY,
    NO_UNIT,
    ONE_UNIT,
    PERCENT,
    SURE,
    UNSURE,
    WITH_UNIT_COLUMN,
    WRITTEN,
    AmountColumn,
    RecipeRow,
    RecipeTable,
)
from tarecell.workbooks.references import letters

_WEAK = "this may be something other than it seems"


def build(
    grid: Grid,
    layout: Layout,
    rows: Rows,
    header_row: int | None,
    heading: Heading | None = None,
    evidence: str = "",
    named: str = "",
) -> RecipeTable:
    """The table for rows that were read. `evidence`: what spoke for one without headings; `named`: its owner's name."""
    texts = {c: heading.text(c) if heading else grid.text(header_row or 0, c) for c in (layout.amount, *layout.others)}
    main = amounts_of(grid, layout.amount, rows.ingredients, texts[layout.amount], layout.unit)
    table = RecipeTable(
        grid.sheet,
        _title(grid, header_row or min([rows.ingredients[0], *(r for r, _ in rows.phase_rows)]), layout),
        header_row,
        rows.ingredients[0],
        rows.ingredients[-1],
        layout.name,
        layout.amount,
        layout.unit,
        layout.phase,
        main.kind,
        main.unit,
        main.percent_of,
        rows.phase_rows,
        rows.total,
        rows.subtotals,
        first_column=layout.left,
        last_column=layout.right,
        hidden=grid.state != "visible",
    )
    for column in layout.others:
        other = amounts_of(grid, column, rows.ingredients, texts[column], None)
        table.other_amounts.append(
            AmountColumn(column, other.kind, other.unit, texts[column] or None, other.percent_of)
        )
    table.rows = _rows(grid, table, rows)
    table.reasons += _reasons(grid, table, heading, evidence, named, main.why)
    table.doubts += rows.doubts + ([heading.guessed] if heading and heading.guessed else [])
    _doubt(grid, table)
    if heading:
        table.doubts += _heading_doubts(table, heading)
    table.confidence = _confidence(table, bool(named), bool(heading), bool(heading and heading.guessed))
    return table


class Stated(NamedTuple):
    """How a column states its amounts: kind, unit, what 100 % is, and why that is believed."""

    kind: str
    unit: str | None = None
    percent_of: float | None = None
    why: str = ""


def amounts_of(grid: Grid, column: int, rows: list[int], heading: str, unit_column: int | None) -> Stated:
    """How an amount column states its amounts."""
    cells = [grid[row, column] for row in rows]
    amounts = [amount for amount in map(read, cells) if amount]
    forms = [amount.form for amount in amounts]
    if forms.count(WRITTEN_FORM) * 2 > len(forms):
        return Stated(WRITTEN, why=f"the amounts are written with their units, like “{_sample(cells)}”")
    units = _units(grid, rows, unit_column)
    percents = sum(cell.percent for cell in cells if cell.number is not None or cell.computed)
    texts = forms.count(PERCENT_TEXT)
    stated = words.heading_unit(heading)
    if stated == "%" or units == {"%"} or (percents + texts) * 2 > len(cells):
        return Stated(PERCENT, "%", _hundred(amounts, percents * 2 > len(cells)), "the amounts are percentages")
    if units:
        return Stated(WITH_UNIT_COLUMN, why=f"each amount has its unit in column {letters(unit_column)}")
    if stated:
        return Stated(ONE_UNIT, stated, why=f"the heading “{heading}” states the unit {stated}")
    formats = {words.format_unit(cell.format) for cell in cells if cell.number is not None}
    unit = formats.pop() if len(formats) == 1 else None
    if unit:
        return Stated(ONE_UNIT, unit, why=f"the number format shows the unit {unit}")
    return Stated(NO_UNIT)


def _units(grid: Grid, rows: list[int], column: int | None) -> set[str | None]:
    return {words.unit_word(text) for row in rows if (text := grid.text(row, column))} if column else set()


def _sample(cells: list[Cell]) -> str:
    return next((cell.text for cell in cells if cell.text), "")


def _hundred(amounts: list[Amount], shown: bool) -> float:
    """1 where 65 % is the number 0.65, 100 where it is 65."""
    if shown:
        return 1.0
    values = [amount.value for amount in amounts if amount.value is not None]
    whole = math.fsum(values)
    return 1.0 if values and max(values) <= 1 and whole <= 1.5 else 100.0


def _title(grid: Grid, row: int, layout: Layout) -> str | None:
    """The text above the table that stands out, or the topmost one of the lines right above it."""
    best, gap = None, 0
    for above in range(row - 1, max(row - 8, 0), -1):
        cells = [(c, cell) for c, cell in grid.row(above) if layout.left - 1 <= c <= layout.right]
        if not cells:
            gap += 1
            if gap > 2:
                break
            continue
        texts = [(c, cell) for c, cell in cells if cell.text]
        if len(cells) != 1 or not texts:
            break
        gap = 0
        best = texts[0][1].text
        if grid.merge_at((above, texts[0][0])) or texts[0][1].bold:
            break
    return best


def _rows(grid: Grid, table: RecipeTable, rows: Rows) -> list[RecipeRow]:
    headings = dict(table.phase_rows)
    result, phase = [], None
    ingredients = set(rows.ingredients)
    for row in range(min([table.first_row, *headings]), table.last_row + 1):
        if row in headings:
            phase = headings[row].rstrip(" :")
        if row not in ingredients:
            continue
        if table.phase_column:
            phase = _phase_cell(grid, row, table.phase_column) or phase
        result.append(_row(grid, table, row, phase))
    return result


def _phase_cell(grid: Grid, row: int, column: int) -> str:
    cell = grid[row, column]
    return cell.text or (f"{cell.number:g}" if cell.number is not None else "")


def _row(grid: Grid, table: RecipeTable, row: int, phase: str | None) -> RecipeRow:
    name = grid.text(row, table.name_column)
    cell, unit = grid[row, table.amount_column], table.amount_unit
    if cell.value is None and not cell.computed:
        for other in table.other_amounts:  # pounds in one column, ounces in the next
            number = grid[row, other.column].number
            if number is not None and other.kind == table.amount_kind == ONE_UNIT:
                return RecipeRow(row, phase, name, float(number), other.unit)
    amount = read(cell)
    if table.unit_column:
        unit = grid.text(row, table.unit_column) or unit
    if amount and amount.form == STAND_IN:
        return RecipeRow(row, phase, name, cell.text, None)
    if amount and amount.form == WRITTEN_FORM:
        unit = amount.unit
    value = amount.value if amount and amount.form in (NUMBER, PERCENT_TEXT) else cell.text or None
    return RecipeRow(row, phase, name, value, unit)


def _reasons(grid: Grid, table: RecipeTable, heading: Heading | None, evidence: str, named: str, why: str) -> list[str]:
    reasons = []
    if named:
        reasons.append(f"the ranges are named {named}_names and {named}_amounts")
    elif heading:
        over = heading.text(table.name_column)
        names = f"“{over}” over the ingredients" if over else "nothing over the ingredients"
        reasons.append(
            f"row {heading.row} holds the headings: {names}, “{heading.text(table.amount_column)}” over the amounts"
        )
    else:
        reasons.append(f"there are no headings; {evidence}")
    if why:
        reasons.append(why)
    if table.phase_column:
        head = grid.text(table.header_row or 0, table.phase_column)
        reasons.append(f"column {letters(table.phase_column)}{f' (“{head}”)' if head else ''} names the phase")
    elif table.phase_rows:
        lead = (
            "a row without an amount of its own heads"
            if len(table.phase_rows) == 1
            else "rows between the ingredients head"
        )
        reasons.append(f"{lead} the phases")
    if table.total_row:
        reasons.append(f"row {table.total_row} is the total of the rows above")
    return reasons


def _doubt(grid: Grid, table: RecipeTable) -> None:
    column = letters(table.amount_column)
    if table.amount_kind == NO_UNIT:
        table.doubts.append(f"no unit is stated for the amounts in column {column}")
    odd = [row for row in table.rows if isinstance(row.amount, str) and table.amount_kind != WRITTEN]
    numbers = [row.row for row in odd if (found := written(row.amount)) and found.form == TEXT_NUMBER]
    if numbers:
        table.doubts.append(f"numbers stored as text in {_rows_named(numbers)}")
    stand_ins = [row.row for row in table.rows if isinstance(row.amount, str) and _is_stand_in(row.amount)]
    if stand_ins:
        table.doubts.append(f"no number in {_rows_named(stand_ins)} (“{table_text(grid, table, stand_ins[0])}”)")
    uncalculated = [r.row for r in table.rows if grid[r.row, table.amount_column].formula and r.amount is None]
    if uncalculated:
        table.notes.append(f"no stored result in {_rows_named(uncalculated)} of the amounts: recalculate to see them")
    others = {other.unit for other in table.other_amounts if other.kind == ONE_UNIT}
    moved = [row.row for row in table.rows if table.amount_kind == ONE_UNIT and row.unit != table.amount_unit]
    if (moved and others) or _pounds_and_ounces(grid, table):
        table.doubts.append(f"amounts stand in several columns, and a row may have part of its amount in each: {_WEAK}")
    if len(table.rows) < 2:
        table.doubts.append("it has a single row")


def _pounds_and_ounces(grid: Grid, table: RecipeTable) -> bool:
    """Whether two columns are pounds and the ounces that are left over, not the same weight twice."""
    ounces = next((o.column for o in table.other_amounts if o.unit == "oz"), None)
    if table.amount_unit != "lb" or ounces is None:
        return False
    pairs = [(row.amount, grid[row.row, ounces].number) for row in table.rows]
    both = [(lb, oz) for lb, oz in pairs if isinstance(lb, float) and oz is not None]
    return any(oz < 16 and not math.isclose(lb * 16, oz, rel_tol=0.05) for lb, oz in both if lb or oz)


def _heading_doubts(table: RecipeTable, heading: Heading) -> list[str]:
    """What the headings leave open."""
    doubts = []
    name, amount = heading.text(table.name_column), heading.text(table.amount_column)
    if heading.priced and table.amount_kind == NO_UNIT:
        doubts.append(f"prices stand beside amounts without a unit: {_WEAK}")
    if any(words.is_date_heading(text) for text, _ in heading.columns.values()):
        doubts.append(f"its rows have dates, as a log of what was used has them: {_WEAK}")
    if heading.unnamed:
        over = f"“{name}” is no known heading for ingredients" if name else "there is no heading over the ingredients"
        doubts.append(f"{over}; column {letters(table.name_column)} was chosen because it has texts beside the amounts")
    if words.lists_a_part(name):
        doubts.append(f"“{name}” may be a part of a recipe only")
    if table.amount_kind == PERCENT and not table.unit_column and not words.whole_share(amount):
        doubts.append(f"“{amount}” may be shares of something other than the whole recipe")
    return doubts


def _is_stand_in(text: str) -> bool:
    found = written(text)
    return found is not None and found.form == STAND_IN


def table_text(grid: Grid, table: RecipeTable, row: int) -> str:
    """The amount cell's text in a row."""
    return grid.text(row, table.amount_column)


def _rows_named(rows: list[int]) -> str:
    shown = ", ".join(map(str, rows[:6])) + (" …" if len(rows) > 6 else "")
    return f"row {shown}" if len(rows) == 1 else f"rows {shown}"


def _confidence(table: RecipeTable, named: bool, headed: bool, guessed: bool) -> str:
    if named:
        return SURE
    if guessed or len(table.rows) < 2 or any(doubt.endswith(_WEAK) for doubt in table.doubts):
        return UNSURE
    if not headed:
        return UNSURE if table.amount_kind == NO_UNIT else LIKELY
    return LIKELY if table.doubts else SURE
