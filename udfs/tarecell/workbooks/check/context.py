"""What the rules look at: the cells, the recipes and lists in them, and the reasons for error cells."""

from collections.abc import Iterator
from dataclasses import dataclass, field

from tarecell.errors import CellError
from tarecell.workbooks.check.formula import Formula, taken_apart
from tarecell.workbooks.find import recipes_in
from tarecell.workbooks.find.grid import Book, Cell, Grid
from tarecell.workbooks.find.lists import CapsList, PriceList, caps_lists, price_lists
from tarecell.workbooks.find.ranges import Range, parse
from tarecell.workbooks.find.table import UNSURE, RecipeTable, quoted
from tarecell.workbooks.find.text import harmless
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.references import Position, address

Place = tuple[str, Position]
_MOST_TOLD = 5  # cells without any result that are named one by one
_LONGEST_NOTE = 400
_MOST_XML = 64 << 20  # bytes of sheets; beyond it computing takes minutes


@dataclass
class Context:
    """A workbook under inspection."""

    book: Book
    tables: list[RecipeTable] = field(default_factory=list)
    prices: list[PriceList] = field(default_factory=list)
    caps: list[CapsList] = field(default_factory=list)
    reasons: dict[Place, str] = field(default_factory=dict)
    computed: dict[Place, object] = field(default_factory=dict)  # what the embedded engine gives, by cell
    notes: list[str] = field(default_factory=list)

    @property
    def sure_tables(self) -> list[RecipeTable]:
        """The tables that findings may rest on."""
        return [table for table in self.tables if table.confidence != UNSURE]

    def grid(self, sheet: str) -> Grid:
        return self.book.grid(sheet) or Grid(sheet)

    def formulas(self) -> Iterator[tuple[Grid, Position, Cell, Formula]]:
        """Every formula of the workbook, sheet by sheet."""
        for grid in self.book.grids:
            for where, cell in grid.cells.items():
                if cell.formula is not None:
                    yield grid, where, cell, taken_apart(cell.formula)

    def range(self, reference: str, sheet: str) -> Range | None:
        """A reference or defined name as a range of this workbook; None for anything else."""
        found = parse(reference, sheet)
        if found is None:
            named = self.book.names.get(f"{sheet}!{reference}") or self._named(reference)
            found = parse(named, sheet) if named else None
        return found if found is not None and self.book.grid(found.sheet) else None

    def _named(self, name: str) -> str | None:
        wanted = name.casefold()
        return next((ref for known, ref in self.book.names.items() if known.casefold() == wanted), None)

    def cells(self, area: Range) -> Iterator[tuple[Position, Cell]]:
        """The filled cells of a range."""
        grid = self.grid(area.sheet)
        if area.size > len(grid.cells):
            yield from ((w, c) for w, c in grid.cells.items() if w in area)
            return
        for row in range(area.top, area.bottom + 1):
            for column in range(area.left, area.right + 1):
                if (row, column) in grid.cells:
                    yield (row, column), grid.cells[row, column]


def context(book: Book) -> Context:
    """Reads the recipes and lists of a workbook. Formulas without a stored result are computed first."""
    result = Context(book)
    _evaluate(result)
    result.tables = recipes_in(book)
    for grid in book.grids:
        result.prices += price_lists(grid)
        result.caps += caps_lists(grid)
        if grid.cut:
            result.notes.append(f"sheet {grid.sheet}: {grid.cut}")
    return result


def _evaluate(result: Context) -> None:
    if not any(cell.formula is not None for grid in result.book.grids for cell in grid.cells.values()):
        return
    package = result.book.package
    if sum(len(package.read(sheet.part)) for sheet in package.sheets) > _MOST_XML:
        result.notes.append("formulas were not computed, only the stored results were looked at: the file is too large")
        return
    from tarecell.workbooks.evaluate import evaluate  # the engine is large, and only formulas need it

    try:
        evaluation = evaluate(package)
    except WorkbookProblem as problem:
        result.notes.append(f"formulas were not computed, only the stored results were looked at: {problem}")
        return
    result.reasons = evaluation.reasons
    result.computed = {(s, w): value for s, values in evaluation.values.items() for w, value in values.items()}
    _fill_in(result, evaluation.left)


def _fill_in(result: Context, left: dict[Place, str]) -> None:
    """Puts computed values in the place of stored ones, which may be stale or absent. Stored errors stay to be told."""
    missing: list[Place] = []
    stale = 0
    for grid in result.book.grids:
        fresh = dict(grid.cells)
        for where, cell in grid.cells.items():
            if not cell.computed or (
                cell.error and not isinstance(result.computed.get((grid.sheet, where)), CellError)
            ):
                continue
            if (grid.sheet, where) not in result.computed:
                if cell.formula is not None and cell.value is None:
                    missing.append((grid.sheet, where))
                continue
            value = result.computed[grid.sheet, where]
            stale += _differs(cell, value)
            failed = isinstance(value, CellError)
            fresh[where] = cell._replace(value=value.kind if failed else value, error=failed)
        for (sheet, where), value in result.computed.items():
            if sheet == grid.sheet and where not in fresh and not isinstance(value, CellError):
                fresh[where] = Cell(value, None, "General", "computed")  # inside an array formula's range
        if fresh != grid.cells:
            grid.cells = fresh
            grid.__post_init__()
    if missing:
        result.notes += [_not_computed(place, left.get(place, "")) for place in missing[:_MOST_TOLD]]
        if len(missing) > _MOST_TOLD:
            result.notes.append(f"{len(missing) - _MOST_TOLD} more have no stored result and were not computed")
    if stale:
        result.notes.append(f"{stale} stored results are out of date; the inspection went by freshly computed ones")


def _not_computed(place: Place, reason: str) -> str:
    sheet, where = place
    told = f"{quoted(sheet)}!{address(where)} has no stored result and could not be computed here"
    return harmless(f"{told}: {reason}" if reason else told, _LONGEST_NOTE)


def _differs(cell: Cell, value: object) -> bool:
    """Whether a stored number is not the one that the formula gives now."""
    if cell.number is None or not isinstance(value, float):
        return False
    return abs(cell.number - value) > 1e-6 * max(abs(value), 1e-6)
