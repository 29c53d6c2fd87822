"""Recipes without headings: names beside amounts, believed only where units, percentages or known materials back it."""

import math
from collections import Counter
from functools import lru_cache

from tarecell.tables import fold, rows
from tarecell.workbooks.find import words
from tarecell.workbooks.find.amounts import NUMBER, STAND_IN, WRITTEN, read
from tarecell.workbooks.find.grid import Cell, Grid
from tarecell.workbooks.find.rows import Layout
from tarecell.workbooks.references import Position

_COMMON = """water, distilled water, glycerin, glycerine, baking soda, citric acid, shea butter, beeswax, coconut oil,
    cornstarch, epsom salt, soy wax, fragrance, fragrance oil, essential oil, lye, vitamin e, sodium hydroxide,
    potassium hydroxide, preservative, emulsifying wax, mica"""


def headless(grid: Grid, used: set[Position]) -> list[tuple[int, Layout, str]]:
    """Where recipes without headings begin: first row, columns, and what speaks for it."""
    found = []
    taken = set(used)
    for column in _amount_columns(grid, taken):
        layout, lines = _best(grid, column, taken)
        if layout is None:
            continue
        for block in _blocks(lines):
            evidence = _evidence(grid, layout, block)
            if evidence:
                found.append((_with_heading_rows(grid, layout, block[0]), layout, evidence))
                taken |= {(r, c) for r in range(block[0], block[-1] + 1) for c in range(layout.left, layout.right + 1)}
    return found


def _amount_columns(grid: Grid, used: set[Position]) -> list[int]:
    count = Counter(
        column
        for (row, column), cell in grid.cells.items()
        if (row, column) not in used
        and (amount := read(cell))
        and amount.form in (NUMBER, WRITTEN)
        and not _money(cell)
    )
    return sorted(column for column, n in count.items() if n >= 2)


def _money(cell) -> bool:
    return any(mark in cell.format for mark in "$€£¥") and "[$-" not in cell.format


def _best(grid: Grid, column: int, used: set[Position]) -> tuple[Layout | None, list[int]]:
    best: tuple[Layout | None, list[int]] = None, []
    for name in (column - 1, column - 2, column + 1, column + 2):
        if name < 1:
            continue
        lines = [r for r in grid.rows if _line(grid, r, name, column, used)]
        if len(lines) > len(best[1]):
            unit = _unit_column(grid, lines, name, column)
            phase = _phase_column(grid, lines, min(name, column) - 1)
            columns = [c for c in (name, column, unit, phase) if c]
            best = Layout(name, column, unit, phase, (), min(columns), max(columns)), lines
    return best


def _line(grid: Grid, row: int, name: int, amount: int, used: set[Position]) -> bool:
    if (row, name) in used or (row, amount) in used:
        return False
    text = grid.text(row, name)
    if (
        not text
        or len(text) > 80
        or not any(c.isalpha() for c in text)
        or words.unit_word(text)
        or words.is_total(text)
    ):
        return False
    found = read(grid[row, amount])
    return found is not None and found.form in (NUMBER, WRITTEN) and read(grid[row, name]) is None


def _unit_column(grid: Grid, lines: list[int], name: int, amount: int) -> int | None:
    for column in {amount + 1, amount - 1, amount + 2} - {name}:
        texts = [grid.text(r, column) for r in lines]
        if sum(words.unit_word(t) is not None for t in texts if t) * 5 >= len(lines) * 3:
            return column
    return None


def _phase_column(grid: Grid, lines: list[int], column: int) -> int | None:
    if column < 1:
        return None
    texts = [grid.text(r, column) for r in lines]
    named = [t for t in texts if t]
    return column if named and any(words.is_phase_name(t) for t in named) else None


def _blocks(lines: list[int]) -> list[list[int]]:
    """Rows that belong together: no more than three rows apart."""
    blocks: list[list[int]] = []
    for row in lines:
        if blocks and row - blocks[-1][-1] <= 3:
            blocks[-1].append(row)
        else:
            blocks.append([row])
    return blocks


def _with_heading_rows(grid: Grid, layout: Layout, first: int) -> int:
    """The row to start reading: a phase name right above the first ingredient belongs to the recipe."""
    above = first - 1
    texts = [cell.text for c, cell in grid.row(above) if layout.left <= c <= layout.right and cell.text]
    return above if len(texts) == 1 and words.is_phase_name(texts[0]) else first


def _evidence(grid: Grid, layout: Layout, block: list[int]) -> str:
    """What speaks for a recipe in these rows; "" where nothing does."""
    if not _fitting_heads(grid, layout, block[0]):
        return ""
    names = [grid.text(r, layout.name) for r in block]
    if sum(map(words.is_setting, names)) * 3 >= len(names):
        return ""
    amounts = [read(grid[r, layout.amount]) for r in block]
    written = [a for a in amounts if a.form == WRITTEN]
    units = [words.unit_word(a.unit or "") for a in written]
    if len(block) >= 2 and len(written) * 2 > len(block) and any(units):
        return "amounts with weight or volume units stand beside names"
    if len(block) < 3 or any(a.form == STAND_IN for a in amounts):
        return ""
    if layout.unit:
        return "numbers with weight or volume units stand beside names"
    values = [a.value for a in amounts if a.value is not None]
    total = math.fsum(values)
    if len(values) == len(block) and all(grid[r, layout.amount].percent for r in block) and abs(total - 1) < 0.02:
        return "percentages that add up to 100 % stand beside names"
    if {words.format_unit(grid[r, layout.amount].format) for r in block} - {None}:
        return "numbers whose format shows a unit stand beside names"
    known = [n for n in names if fold(n) in _materials()]
    if len(known) >= 2 and len(known) * 3 >= len(names):
        return f"numbers stand beside names of materials ({', '.join(known[:3])})"
    if abs(total - 100) < 0.05 and len(block) >= 4:
        return "numbers that add up to 100 stand beside names"
    return ""


def _fitting_heads(grid: Grid, layout: Layout, first: int) -> bool:
    """False where words right above the numbers say that they are something else: pieces, prices, a capacity."""
    rows = [row for row in range(max(1, first - 2), first) if len(grid.row(row)) > 1]  # a lone text is a title
    above = [grid.text(row, layout.amount) for row in rows]
    heads = [text for text in above if text and read(Cell(text)) is None]
    return all(words.role(text) in (words.AMOUNT, words.PERCENT) for text in heads)


@lru_cache(maxsize=1)
def _materials() -> frozenset[str]:
    """Names of materials that the tables know, and a few that every workshop has."""
    known = {fold(word) for word in _COMMON.split(",")}
    for table in ("fats", "densities", "preservatives", "fizz_acids"):
        for row in rows(table):
            words_of_row = [next(iter(row.values())), *(row.get("also") or "").split("|")]
            known |= {fold(word) for word in words_of_row if word}
    return frozenset(known)
