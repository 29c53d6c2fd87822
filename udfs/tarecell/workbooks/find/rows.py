"""The rows of a recipe table, from its first row down: ingredients, phase headings, totals, and where it ends."""

import math
import re
from dataclasses import dataclass, field

from tarecell.workbooks.find import words
from tarecell.workbooks.find.amounts import PERCENT_TEXT, STAND_IN, holds_amount, read
from tarecell.workbooks.find.grid import Grid
from tarecell.workbooks.references import area

MOST_BLANKS = 3  # blank rows in a row that a table may hold
_SUM = re.compile(r"^=\+?\s*(?:SUM|SUBTOTAL|TC_PHASE_TOTAL)\s*\(", re.IGNORECASE)
_RANGE = re.compile(r"\$?[A-Z]{1,3}\$?\d+:\$?[A-Z]{1,3}\$?\d+", re.IGNORECASE)
INGREDIENT, HEADING, TOTAL, SUBTOTAL, EMPTY, END = "ingredient", "heading", "total", "subtotal", "empty", "end"


@dataclass
class Layout:
    """The columns by which rows are read."""

    name: int
    amount: int
    unit: int | None = None
    phase: int | None = None
    others: tuple[int, ...] = ()  # further amount columns
    left: int = 1
    right: int = 1


@dataclass
class Rows:
    """What was found below a heading."""

    ingredients: list[int] = field(default_factory=list)
    phase_rows: list[tuple[int, str]] = field(default_factory=list)
    subtotals: list[int] = field(default_factory=list)
    total: int | None = None
    doubts: list[str] = field(default_factory=list)


def read_rows(grid: Grid, start: int, layout: Layout, headings: set[int]) -> Rows:
    """Reads rows from `start` until the table ends. `headings`: rows where another table begins."""
    found = Rows()
    blanks, row = 0, start
    while row <= grid.last_row and blanks <= MOST_BLANKS and row not in headings:
        kind = _kind(grid, row, layout, found, headings)
        if kind == EMPTY:
            blanks += 1
        elif kind == END:
            break
        else:
            if kind == INGREDIENT and blanks and _stranger(grid, row, layout, blanks):
                break
            blanks = 0
            _take(grid, row, layout, found, kind)
            if kind == TOTAL and found.ingredients:
                break
        row += 1
    return found


def _take(grid: Grid, row: int, layout: Layout, found: Rows, kind: str) -> None:
    if kind == INGREDIENT:
        found.ingredients.append(row)
    elif kind == HEADING:
        found.phase_rows.append((row, _label(grid, row, layout)))
    elif kind == SUBTOTAL:
        found.subtotals.append(row)
    elif kind == TOTAL:
        found.total = row


def _label(grid: Grid, row: int, layout: Layout) -> str:
    """The first text of a row inside the table, left of the amount first."""
    columns = [c for c, cell in grid.row(row) if layout.left <= c <= layout.right and cell.text]
    columns.sort(key=lambda c: (c > layout.amount, c != layout.name, c))
    return grid.text(row, columns[0]) if columns else ""


def _kind(grid: Grid, row: int, layout: Layout, found: Rows, headings: set[int]) -> str:
    name, amount = grid.text(row, layout.name), grid[row, layout.amount]
    label = name or _label(grid, row, layout)
    amounts = [grid[row, c] for c in (layout.amount, *layout.others)]
    filled = any(holds_amount(cell) for cell in amounts)
    if words.is_total(label) and (filled or any(c.error for c in amounts) or _sums_anything(grid, row, layout)):
        return _which_total(grid, row, layout, found, label, headings)
    if filled and not name and _sums(grid, row, layout, found):
        return _which_total(grid, row, layout, found, "", headings)
    if name and filled and words.is_phase_name(name) and _heads_its_sum(grid, row, layout, headings):
        return HEADING
    if name and (filled or any(cell.error for cell in amounts)):
        stand_in = read(amount)
        if found.ingredients and stand_in and stand_in.form == STAND_IN and words.is_setting(name):
            return END  # "Yield | 4 jars"
        return INGREDIENT
    if not name and amount.text and not filled and _leads(grid, row, layout, headings):
        return HEADING  # amounts come first, and the phase stands over them
    shown = any(read(cell) or cell.error for cell in amounts)  # a formula filled down past a blank row shows nothing
    if not name and not shown and amount.value is None:
        if layout.phase and grid.text(row, layout.phase) and _leads(grid, row, layout, headings):
            return HEADING
        if label and layout.left <= _column_of(grid, row, label) <= layout.name and _leads(grid, row, layout, headings):
            return HEADING
        return EMPTY
    if name and amount.value is None and not amount.computed:
        return _name_only(grid, row, layout, found, headings)
    return END if found.ingredients else EMPTY


def _column_of(grid: Grid, row: int, text: str) -> int:
    return next((c for c, cell in grid.row(row) if cell.text == text), 0)


def _name_only(grid: Grid, row: int, layout: Layout, found: Rows, headings: set[int]) -> str:
    """A name without an amount: an ingredient left blank, a phase heading, or the title of what comes next."""
    name = grid.text(row, layout.name)
    has_unit = bool(layout.unit and grid.text(row, layout.unit))
    has_phase = bool(layout.phase and layout.phase != layout.name and grid.text(row, layout.phase))
    inside = _leads(grid, row, layout, headings)
    merged = grid.merge_at((row, layout.name)) or grid.merge_at((row, layout.left))
    if has_unit or has_phase:
        found.doubts.append(f"row {row}: “{name}” has no amount")
        return INGREDIENT
    if not inside:
        return END
    explicit = merged is not None or words.is_phase_name(name)
    stands_out = grid[row, layout.name].bold and not grid[_next_filled(grid, row, layout), layout.name].bold
    after_gap = not grid.text(row - 1, layout.name)
    first = not found.ingredients
    if explicit or stands_out or after_gap or first:
        if not explicit and not stands_out:
            found.doubts.append(f"row {row}: “{name}” has no amount and is taken as the name of a phase")
        return HEADING
    found.doubts.append(f"row {row}: “{name}” has no amount; it is taken as an ingredient left blank")
    return INGREDIENT


def _next_filled(grid: Grid, row: int, layout: Layout) -> int:
    return next((r for r in range(row + 1, row + 6) if grid.text(r, layout.name)), row + 1)


def _leads(grid: Grid, row: int, layout: Layout, headings: set[int]) -> bool:
    """Whether ingredients follow this row, before another table begins."""
    names_only = 0
    for below in range(row + 1, row + 6):
        if below in headings or below > grid.last_row:
            return False
        if grid.text(below, layout.name):
            if holds_amount(grid[below, layout.amount]):
                name = grid.text(below, layout.name)
                return not words.is_total(name) and not words.is_setting(name)
            names_only += 1
            if names_only > 2:
                return False
    return False


def _sums_anything(grid: Grid, row: int, layout: Layout) -> bool:
    """Whether a row adds up another column of the table, as a cost total does."""
    return any(layout.left <= c <= layout.right and _SUM.match(cell.formula or "") for c, cell in grid.row(row))


def _sums(grid: Grid, row: int, layout: Layout, found: Rows) -> bool:
    """Whether the amount in this row adds up rows above it: by formula, or by its value."""
    if not found.ingredients:
        return False
    for column in (layout.amount, *layout.others):
        cell = grid[row, column]
        if cell.formula and _SUM.match(cell.formula):
            return True
    cell = grid[row, layout.amount]
    values = [grid[r, layout.amount].number for r in found.ingredients]
    if cell.number is None or None in values or len(values) < 2:
        return False
    return math.isclose(cell.number, math.fsum(values), rel_tol=1e-6)


def _which_total(grid: Grid, row: int, layout: Layout, found: Rows, label: str, headings: set[int]) -> str:
    """A grand total ends the table; a subtotal does not."""
    if not found.ingredients:
        return SUBTOTAL
    if words.is_subtotal(label) or _covers_part(grid, row, layout, found):
        return SUBTOTAL
    later = _phase_follows(grid, row, layout, headings)
    return SUBTOTAL if later and not label else TOTAL


def _covers_part(grid: Grid, row: int, layout: Layout, found: Rows) -> bool:
    """Whether a total leaves out a whole earlier phase, as a phase's own total does."""
    starts = [r for r, _ in found.phase_rows] + found.subtotals
    if not starts:
        return False
    formula = grid[row, layout.amount].formula or ""
    ranges = _RANGE.findall(formula)
    if not ranges:
        return False
    first = min(area(r.replace("$", ""))[0] for r in ranges)
    return len(ranges) == 1 and first > found.ingredients[0] and any(found.ingredients[0] < s <= first for s in starts)


def _phase_follows(grid: Grid, row: int, layout: Layout, headings: set[int]) -> bool:
    for below in range(row + 1, row + 4):
        if below in headings:
            return False
        name = grid.text(below, layout.name)
        if name:
            return words.is_phase_name(name) or holds_amount(grid[below, layout.amount])
    return False


def _heads_its_sum(grid: Grid, row: int, layout: Layout, headings: set[int]) -> bool:
    """Whether a phase heading carries the sum of the rows under it ("Water phase | 70 %")."""
    cell = grid[row, layout.amount]
    if cell.formula and _SUM.match(cell.formula):
        return True
    if cell.number is None:
        return False
    total, count = 0.0, 0
    for below in range(row + 1, min(row + 60, grid.last_row) + 1):
        name, number = grid.text(below, layout.name), grid[below, layout.amount].number
        if below in headings or not name or number is None:
            break
        total, count = total + number, count + 1
        if count >= 2 and math.isclose(total, cell.number, rel_tol=1e-6):
            return True
    return False


def _stranger(grid: Grid, row: int, layout: Layout, blanks: int) -> bool:
    """Whether a row after a gap is something else: a different kind of amount or unit than the rows above have."""
    if words.is_setting(grid.text(row, layout.name)):
        return True
    amount, percent = read(grid[row, layout.amount]), grid[row, layout.amount].percent
    if percent != grid[row - blanks - 1, layout.amount].percent or (amount and amount.form == PERCENT_TEXT):
        return not words.is_phase_name(grid.text(row, layout.phase) if layout.phase else "")
    if blanks < 2:
        return False
    if layout.unit:
        return words.unit_word(grid.text(row, layout.unit)) is None
    return amount is None or amount.form == STAND_IN
