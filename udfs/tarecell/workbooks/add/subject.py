"""The recipe that something is added to: found in the workbook, or named by its ranges."""

from dataclasses import dataclass, replace

from tarecell.calculations import units
from tarecell.errors import CellError
from tarecell.workbooks.add.request import Request
from tarecell.workbooks.find import RecipeTable, recipes_in
from tarecell.workbooks.find.build import amounts_of
from tarecell.workbooks.find.grid import Book, Grid
from tarecell.workbooks.find.ranges import Range, parse
from tarecell.workbooks.find.table import NO_UNIT, ONE_UNIT, PERCENT, UNSURE, WITH_UNIT_COLUMN, WRITTEN, quoted
from tarecell.workbooks.find.text import harmless
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.references import letters

NAME_THEM = "name its ranges: --sheet NAME --amounts C5:C14 --names B5:B14 --units D5:D14"


@dataclass(frozen=True)
class Subject:
    """A recipe's rows and columns, numbered from 1. `kind` and `unit`: how its amounts are stated.

    `left_out`: rows between the first and the last whose amounts do not count (subtotals, rows named by the user).
    `right`: the last column that belongs to the table.
    """

    sheet: str
    first_row: int
    last_row: int
    header_row: int | None
    total_row: int | None
    right: int
    amounts: int
    kind: str
    unit: str | None = None
    names: int | None = None
    units: int | None = None
    densities: int | None = None
    left_out: frozenset[int] = frozenset()
    title: str = ""
    notes: tuple[str, ...] = ()
    ingredients: tuple[tuple[int, str], ...] = ()  # row and name

    @property
    def rows(self) -> range:
        return range(self.first_row, self.last_row + 1)


def subject(book: Book, request: Request) -> Subject:
    """The recipe that a request means. WorkbookProblem where there is none, or more than one."""
    found = _named(book, request) if request.amounts else _found(book, request)
    if request.densities:
        column = _column(book, request.densities, found.sheet, "densities", (found.first_row, found.last_row))
        found = replace(found, densities=column)
    unknown = request.rows_left_out - set(found.rows)
    if unknown:
        raise WorkbookProblem(f"row {min(unknown)} cannot be left out: it is not a row of the recipe")
    return replace(found, left_out=found.left_out | request.rows_left_out)


# -- found -----------------------------------------------------------------------------------------------------------


def _found(book: Book, request: Request) -> Subject:
    if request.sheet:
        _grid(book, request.sheet)
    tables = recipes_in(book)
    chosen = _chosen(tables, request)
    unit, kind, amounts = chosen.amount_unit, chosen.amount_kind, chosen.amount_column
    if kind == PERCENT:  # weights beside the percentages serve every purpose
        better = next((a for a in chosen.other_amounts if a.kind in (ONE_UNIT, WITH_UNIT_COLUMN, WRITTEN)), None)
        if better:
            unit, kind, amounts = better.unit, better.kind, better.column
    found = Subject(
        chosen.sheet,
        chosen.first_row,
        chosen.last_row,
        chosen.header_row or (chosen.first_row - 1 or None),
        chosen.total_row,
        chosen.last_column,
        amounts,
        kind,
        unit,
        chosen.name_column,
        chosen.unit_column if kind == WITH_UNIT_COLUMN else None,
        left_out=frozenset(r for r in chosen.subtotal_rows if chosen.first_row <= r <= chosen.last_row),
        title=harmless(chosen.title or chosen.sheet),
        notes=tuple(f"not sure: {doubt}" for doubt in chosen.doubts),
        ingredients=tuple((row.row, row.name) for row in chosen.rows),
    )
    return _with_unit(found, request.unit)


def _chosen(tables: list[RecipeTable], request: Request) -> RecipeTable:
    numbered = list(enumerate(tables, 1))
    if request.sheet:
        numbered = [(n, t) for n, t in numbered if t.sheet.casefold() == request.sheet.casefold()]
    if request.recipe:
        wanted = str(request.recipe).strip().casefold()
        numbered = [(n, t) for n, t in numbered if wanted == str(n) or wanted in (t.title or "").casefold()]
    if len(numbered) > 1 and not request.sheet:
        numbered = [(n, t) for n, t in numbered if not t.hidden] or numbered
    if not numbered:
        raise WorkbookProblem(f"no recipe table was found there: {NAME_THEM}")
    if len(numbered) > 1:
        listed = "; ".join(
            f"{n}: {harmless(t.title or '', 40)} ({harmless(t.sheet, 40)}!{t.area})" for n, t in numbered[:12]
        )
        raise WorkbookProblem(f"there are several recipes, choose one with --recipe: {listed}")
    table = numbered[0][1]
    if table.confidence == UNSURE:
        why = "; ".join(table.doubts)
        raise WorkbookProblem(
            f"{harmless(table.sheet)}!{table.area} may be a recipe, but that is not sure ({why}): {NAME_THEM}"
        )
    return table


# -- named by its ranges ---------------------------------------------------------------------------------------------


def _named(book: Book, request: Request) -> Subject:
    area = _range(request.amounts, request.sheet, "amounts")
    sheet = area.sheet
    if not sheet:
        if len(book.grids) != 1:
            raise WorkbookProblem("name the sheet of the ranges too: --sheet NAME")
        sheet = book.grids[0].sheet
    grid = _grid(book, sheet)
    rows = (area.top, area.bottom)
    amounts = _column(book, request.amounts, grid.sheet, "amounts", rows)
    names = _column(book, request.names, grid.sheet, "names", rows) if request.names else None
    unit_column = _column(book, request.units, grid.sheet, "units", rows) if request.units else None
    phases = _column(book, request.phases, grid.sheet, "phases", rows) if request.phases else None
    header = area.top - 1 if area.top > 1 else None
    below = grid[area.bottom + 1, amounts].formula or ""
    filled = [r for r in range(area.top, area.bottom + 1) if (r, amounts) in grid.cells]
    if not filled:
        raise WorkbookProblem(f"--amounts {request.amounts}: these cells are empty")
    stated = amounts_of(grid, amounts, filled, grid.text(header, amounts) if header else "", unit_column)
    found = Subject(
        grid.sheet,
        area.top,
        area.bottom,
        header,
        area.bottom + 1 if "SUM(" in below.upper() else None,
        max(c for c in (amounts, names, unit_column, phases) if c),
        amounts,
        stated.kind,
        stated.unit,
        names,
        unit_column if stated.kind == WITH_UNIT_COLUMN else None,
        title=harmless(grid.sheet),
        ingredients=tuple((r, grid.text(r, names) if names else "") for r in filled),
    )
    return _with_unit(found, request.unit)


def outside(book: Book, text: str, sheet: str, option: str) -> tuple[Range, Grid]:
    """A range that lies anywhere in the workbook, on `sheet` if it does not say, and its sheet."""
    area = _range(text, sheet, option)
    grid = _grid(book, area.sheet)
    return area._replace(sheet=grid.sheet), grid


def absolute(area: Range) -> str:
    """A range as a formula anywhere in the workbook writes it: 'Price list'!$A$3:$G$33."""
    first = f"${letters(area.left)}${area.top}"
    last = f"${letters(area.right)}${area.bottom}"
    return f"{quoted(area.sheet)}!{first}" + ("" if area.single else f":{last}")


def _range(text: str, sheet: str | None, option: str) -> Range:
    area = parse(text, sheet or "")
    if area is None or area.size > 100_000 or area.sheet.startswith("["):
        raise WorkbookProblem(f"--{option} {harmless(text, 40)}: a range such as C5:C14 is wanted")
    return area


def _column(book: Book, text: str, sheet: str, option: str, rows: tuple[int, int]) -> int:
    area = _range(text, sheet, option)
    if area.sheet.casefold() != sheet.casefold():
        raise WorkbookProblem(f"--{option}: all ranges of a recipe lie on one sheet")
    if area.left != area.right:
        raise WorkbookProblem(f"--{option} {area.a1}: one column is wanted")
    if (area.top, area.bottom) != rows:
        raise WorkbookProblem(f"--{option} {area.a1}: its rows are not those of the amounts ({rows[0]} to {rows[1]})")
    return area.left


def _grid(book: Book, sheet: str) -> Grid:
    grid = book.grid(sheet)
    if grid is not None:
        return grid
    part = next((p for p in book.package.sheets if p.name.casefold() == sheet.casefold()), None)
    if part is not None:
        raise WorkbookProblem(f"“{harmless(sheet, 40)}” is a {part.kind} sheet: it has no cells to add anything to")
    names = ", ".join(harmless(grid.sheet, 40) for grid in book.grids[:12])
    raise WorkbookProblem(f"there is no sheet “{harmless(sheet, 40)}”; there are: {names}")


# -- units -----------------------------------------------------------------------------------------------------------


def _with_unit(found: Subject, unit: str | None) -> Subject:
    """The recipe with the unit that the user states for amounts that have none."""
    if unit is None:
        return found
    try:
        word = units.unit(unit).word
    except CellError as error:
        raise WorkbookProblem(f"--unit: {error.reason}") from None
    if found.kind == NO_UNIT:
        return replace(found, kind=ONE_UNIT, unit=word, notes=tuple(n for n in found.notes if "no unit" not in n))
    if found.kind == WRITTEN:
        return replace(found, unit=word)
    if found.kind == ONE_UNIT and found.unit == word:
        return found
    stated = f"column {letters(found.units)} states them" if found.units else f"the sheet says {found.unit}"
    raise WorkbookProblem(f"--unit {word}: the amounts have units already ({stated})")
