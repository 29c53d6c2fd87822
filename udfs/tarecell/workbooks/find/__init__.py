"""Finding the recipe tables in a workbook, whatever their layout."""

from pathlib import Path

from tarecell.tables import fold
from tarecell.workbooks.find import words
from tarecell.workbooks.find.build import build
from tarecell.workbooks.find.columns import Heading, headings_in
from tarecell.workbooks.find.grid import Book, Grid, read_book
from tarecell.workbooks.find.headless import headless
from tarecell.workbooks.find.lists import listed
from tarecell.workbooks.find.named import NamedRecipe, named_recipes
from tarecell.workbooks.find.ranges import parse
from tarecell.workbooks.find.report import describe
from tarecell.workbooks.find.rows import Layout, Rows, read_rows
from tarecell.workbooks.find.table import AmountColumn, RecipeRow, RecipeTable
from tarecell.workbooks.references import Position

__all__ = ["AmountColumn", "RecipeRow", "RecipeTable", "describe", "find_recipes", "recipes_in"]
MOST_TABLES = 200  # a workbook with more tables than this is a data dump, not a recipe book


def find_recipes(path: str | Path) -> list[RecipeTable]:
    """The recipe tables of a workbook file, sheet by sheet. WorkbookProblem where the file cannot be read."""
    return recipes_in(read_book(path))


def recipes_in(book: Book) -> list[RecipeTable]:
    """The recipe tables of a workbook that has been read."""
    named, wrong = named_recipes(book)
    tables = [_named(book, recipe) for recipe in named]
    for grid in book.grids:
        own = [table for table in tables if table.sheet == grid.sheet]
        tables += _in_sheet(grid, own)
    order = {grid.sheet: index for index, grid in enumerate(book.grids)}
    tables.sort(key=lambda t: (order[t.sheet], t.header_row or t.first_row, t.name_column))
    for table in tables[:1]:
        table.notes += wrong
    return tables[:MOST_TABLES]


def _named(book: Book, recipe: NamedRecipe) -> RecipeTable:
    grid = book.grid(recipe.names.sheet)
    first, last = recipe.names.top, min(recipe.names.bottom, grid.last_row)
    columns = [r.left for r in (recipe.names, recipe.amounts, recipe.units, recipe.phases) if r]
    layout = Layout(
        recipe.names.left,
        recipe.amounts.left,
        recipe.units.left if recipe.units else None,
        recipe.phases.left if recipe.phases else None,
        (),
        min(columns),
        max(columns),
    )
    rows = Rows([r for r in range(first, last + 1) if grid.text(r, layout.name)])
    rows.ingredients = rows.ingredients or [first]
    heading = first - 1 if first > 1 and words.role(grid.text(first - 1, layout.amount)) else None
    return build(grid, layout, rows, heading, named=recipe.recipe)


def _in_sheet(grid: Grid, named: list[RecipeTable]) -> list[RecipeTable]:
    used = listed(grid)
    for table in named:
        used |= _cells(table)
    headings = [h for row in grid.rows for h in headings_in(grid, row) if (row, h.name) not in used]
    tables: list[RecipeTable] = []
    for heading in headings:
        if any((heading.row, column) in used for column in heading.columns):
            continue
        below = {h.row for h in headings if h.row > heading.last and _overlap(h, heading)}
        layout = _layout(heading)
        rows = read_rows(grid, heading.last + 1, layout, below)
        for title, part in _by_recipe(grid, rows, heading.recipe):
            if heading.guessed and len(part.ingredients) < 2:
                continue
            table = build(grid, layout, part, heading.row, heading)
            table.title = title or table.title
            tables.append(table)
            used |= _cells(table)
    return tables + _without_headings(grid, used)


def _by_recipe(grid: Grid, rows: Rows, column: int | None) -> list[tuple[str, Rows]]:
    """The rows apart by recipe, where a column names it; a blank cell means the recipe of the row above."""
    if not rows.ingredients:
        return []
    if column is None:
        return [("", rows)]
    parts: list[tuple[str, Rows]] = []
    for row in rows.ingredients:
        title = grid.text(row, column)
        if not parts or (title and fold(title) != fold(parts[-1][0])):
            parts.append((title, Rows()))
        parts[-1][1].ingredients.append(row)
    if len(parts) == 1:
        return [(parts[0][0], rows)]
    return parts


def _without_headings(grid: Grid, used: set[Position]) -> list[RecipeTable]:
    tables = []
    for first, layout, evidence in headless(grid, used):
        rows = read_rows(grid, first, layout, set())
        if rows.ingredients:
            tables.append(build(grid, layout, rows, None, evidence=evidence))
    return tables


def _cells(table: RecipeTable) -> set[Position]:
    area = parse(table.area)
    return {(r, c) for r in range(area.top, area.bottom + 1) for c in range(area.left, area.right + 1)}


def _overlap(one: Heading, other: Heading) -> bool:
    return one.first_column <= other.last_column and other.first_column <= one.last_column


def _layout(heading: Heading) -> Layout:
    first, *others = heading.amounts
    return Layout(
        heading.name, first, heading.unit, heading.phase, tuple(others), heading.first_column, heading.last_column
    )
