"""Finding the recipe tables in a workbook, whatever their layout."""

from pathlib import Path

from tarecell.workbooks import find_words as words
from tarecell.workbooks.find_amounts import NUMBER, PERCENT_TEXT, TEXT_NUMBER, read
from tarecell.workbooks.find_amounts import WRITTEN as WRITTEN_FORM
from tarecell.workbooks.find_columns import Heading, headings_in
from tarecell.workbooks.find_grid import Book, Grid, read_book
from tarecell.workbooks.find_report import describe
from tarecell.workbooks.find_rows import Layout, Rows, read_rows
from tarecell.workbooks.find_table import (
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

__all__ = ["AmountColumn", "RecipeRow", "RecipeTable", "describe", "find_recipes", "recipes_in"]


def find_recipes(path: str | Path) -> list[RecipeTable]:
    """The recipe tables of a workbook file, sheet by sheet. WorkbookProblem where the file cannot be read."""
    return recipes_in(read_book(path))


def recipes_in(book: Book) -> list[RecipeTable]:
    """The recipe tables of a workbook that has been read."""
    return [table for grid in book.grids for table in _in_sheet(grid)]


def _in_sheet(grid: Grid) -> list[RecipeTable]:
    headings = [heading for row in grid.rows for heading in headings_in(grid, row)]
    tables, used = [], set()
    for heading in headings:
        if (heading.row, heading.name) in used:
            continue
        below = {h.row for h in headings if h.row > heading.last and _overlap(h, heading)}
        layout = _layout(heading)
        rows = read_rows(grid, heading.last + 1, layout, below)
        if rows.ingredients:
            tables.append(_table(grid, heading, layout, rows))
            used.add((heading.last, heading.name))
    return tables


def _overlap(one: Heading, other: Heading) -> bool:
    return one.first_column <= other.last_column and other.first_column <= one.last_column


def _layout(heading: Heading) -> Layout:
    first, *others = heading.amounts
    return Layout(
        heading.name, first, heading.unit, heading.phase, tuple(others), heading.first_column, heading.last_column
    )


def _table(grid: Grid, heading: Heading, layout: Layout, rows: Rows) -> RecipeTable:
    kind, unit, percent_of, why = amounts_of(
        grid, layout.amount, rows.ingredients, heading.text(layout.amount), layout.unit
    )
    table = RecipeTable(
        grid.sheet,
        _title(grid, heading.row, layout),
        heading.row,
        rows.ingredients[0],
        rows.ingredients[-1],
        layout.name,
        layout.amount,
        layout.unit,
        layout.phase,
        kind,
        unit,
        percent_of,
        rows.phase_rows,
        rows.total,
        rows.subtotals,
        hidden=grid.state != "visible",
        first_column=heading.first_column,
        last_column=heading.last_column,
    )
    for column in layout.others:
        other_kind, other_unit, _, _ = amounts_of(grid, column, rows.ingredients, heading.text(column), None)
        table.other_amounts.append(AmountColumn(column, other_kind, other_unit, heading.text(column)))
    table.rows = _rows(grid, table, rows)
    _reason(table, heading, why)
    table.doubts += rows.doubts
    if heading.guessed:
        table.doubts.append(heading.guessed)
    _judge(table)
    return table


def amounts_of(
    grid: Grid, column: int, rows: list[int], heading: str, unit_column: int | None
) -> tuple[str, str | None, float | None, str]:
    """How an amount column states its amounts: kind, unit, what 100 % is, and why."""
    cells = [grid[row, column] for row in rows]
    amounts = [amount for amount in map(read, cells) if amount]
    forms = [amount.form for amount in amounts]
    stated = words.heading_unit(heading)
    if forms.count(WRITTEN_FORM) * 2 > len(forms):
        return WRITTEN, None, None, f"the amounts are written with their units, like “{_sample(cells)}”"
    units = (
        {words.unit_word(grid.text(row, unit_column)) for row in rows if grid.text(row, unit_column)}
        if unit_column
        else set()
    )
    shown = sum(cell.percent for cell in cells if cell.number is not None or cell.computed)
    if stated == "%" or units == {"%"} or shown * 2 > len(cells) or forms.count(PERCENT_TEXT) * 2 > len(forms) > 0:
        return PERCENT, "%", 1.0 if shown * 2 > len(cells) else _hundred(amounts), "the amounts are percentages"
    if units:
        return WITH_UNIT_COLUMN, None, None, f"each amount has its unit in column {letters(unit_column)}"
    if stated:
        return ONE_UNIT, stated, None, f"the heading “{heading}” states the unit {stated}"
    formats = {words.format_unit(cell.format) for cell in cells if cell.number is not None}
    if len(formats) == 1 and None not in formats:
        unit = formats.pop()
        return ONE_UNIT, unit, None, f"the number format shows the unit {unit}"
    return NO_UNIT, None, None, ""


def _sample(cells) -> str:
    return next((cell.text for cell in cells if cell.text), "")


def _hundred(amounts) -> float:
    values = [a.value for a in amounts if a.value is not None]
    if any(a.form == PERCENT_TEXT for a in amounts):
        return 100.0
    return 1.0 if values and max(values) <= 1 and sum(values) <= 1.5 else 100.0


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
    cell = grid[row, table.amount_column]
    amount = read(cell)
    value = amount.value if amount and amount.form in (NUMBER, PERCENT_TEXT) else cell.text or None
    unit = table.amount_unit
    if table.unit_column:
        unit = grid.text(row, table.unit_column) or unit
    if amount and amount.unit and amount.form == WRITTEN_FORM:
        unit = amount.unit
    return RecipeRow(row, phase, grid.text(row, table.name_column), value, unit)


def _reason(table: RecipeTable, heading: Heading, why: str) -> None:
    table.reasons.append(
        f"row {heading.row} holds the headings: “{heading.text(table.name_column)}” over the ingredients, "
        f"“{heading.text(table.amount_column)}” over the amounts"
    )
    if why:
        table.reasons.append(why)
    if table.phase_column:
        table.reasons.append(
            f"column {letters(table.phase_column)} (“{heading.text(table.phase_column)}”) names the phase"
        )
    elif table.phase_rows:
        table.reasons.append(f"{len(table.phase_rows)} rows without an amount head the phases")
    if table.total_row:
        table.reasons.append(f"row {table.total_row} adds up the rows above")


def _judge(table: RecipeTable) -> None:
    """How sure the whole is, and what is not."""
    if table.amount_kind == NO_UNIT:
        table.doubts.append(f"no unit is stated for the amounts in column {letters(table.amount_column)}")
    forms = [row for row in table.rows if isinstance(row.amount, str) and table.amount_kind != WRITTEN]
    numbers = [row.row for row in forms if (a := words_amount(row.amount)) and a == TEXT_NUMBER]
    if numbers:
        table.doubts.append(f"numbers stored as text in rows {', '.join(map(str, numbers[:6]))}")
    if len(table.rows) < 2:
        table.doubts.append("it has a single row")
    weak = any("taken" in doubt or "single" in doubt for doubt in table.doubts)
    table.confidence = UNSURE if weak else LIKELY if table.doubts else SURE


def words_amount(text: str) -> str | None:
    """The form of an amount that is a text."""
    from tarecell.workbooks.find_amounts import written

    found = written(text)
    return found.form if found else None
