"""Where the new columns and the new block go: to the right of the recipe, where nothing is and nothing is covered."""

from dataclasses import dataclass

from tarecell.workbooks.add.sketch import Sketch
from tarecell.workbooks.add.subject import Subject
from tarecell.workbooks.add.surroundings import Surroundings, Taken
from tarecell.workbooks.find.grid import Grid
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.references import MOST_COLUMNS, MOST_ROWS, Position, address, letters, position
from tarecell.workbooks.styles import Styles


@dataclass(frozen=True)
class Places:
    """The columns by key, the rows and columns of the block's labels and values, and what is overwritten."""

    columns: dict[str, int]
    block: Position | None  # the first label
    overwritten: tuple[tuple[Position, str], ...] = ()


def place(sketch: Sketch, subject: Subject, around: Surroundings, at: str | None) -> Places:
    """Finds the places: the first that are free, or those that `at` asks for."""
    rows = _rows(subject)
    wide = len(sketch.columns)
    wanted, top = _asked(at, subject)
    first = wanted or subject.right + 1
    overwritten: list[tuple[Position, str]] = []
    columns: dict[str, int] = {}
    if wide:
        if wanted is None:
            first = _free(around, first, wide, rows)
        else:
            overwritten += _look(around, [(r, c) for c in range(first, first + wide) for r in rows])
        columns = {column.key: first + i for i, column in enumerate(sketch.columns)}
    block = None
    if sketch.lines:
        block, more = _block(
            sketch, subject, around, first + wide if wide else first, wanted if not wide else None, top
        )
        overwritten += more
    return Places(columns, block, tuple(overwritten))


def _rows(subject: Subject) -> range:
    """All rows that a new column concerns: heading, recipe, totals."""
    return range(subject.header_row or subject.first_row, max(subject.last_row, subject.total_row or 0) + 1)


def _asked(at: str | None, subject: Subject) -> tuple[int | None, int | None]:
    """Column and row of `at`; the row is None where only a column is named."""
    if at is None:
        return None, None
    text = at.strip().replace("$", "").upper()
    row = None if text.isalpha() else position(text)[0]
    column = position(f"{text}1" if text.isalpha() else text)[1]
    if column <= subject.right and column in (subject.amounts, subject.units, subject.names, subject.densities):
        raise WorkbookProblem(f"--at {at}: this column belongs to the recipe itself")
    return column, row


def _block(sketch, subject, around, first, wanted, top) -> tuple[Position, list[tuple[Position, str]]]:
    """The block of labels and values; one column is left free before it."""
    start = subject.header_row or subject.first_row
    if wanted is not None and top is not None:
        start = top
    length = len(sketch.lines) + bool(sketch.heading)
    rows = range(start, start + length)
    if rows[-1] > MOST_ROWS:
        raise WorkbookProblem("there are not enough rows below for the new cells")
    if wanted is not None:
        return (start, wanted), _look(around, [(r, c) for c in (wanted, wanted + 1) for r in rows])
    return (start, _free(around, first + 1, 2, rows)), []


def _free(around: Surroundings, first: int, wide: int, rows: range) -> int:
    """The first of so many neighbouring columns that are free in all these rows."""
    column, reason = first, "the sheet ends there"
    while column + wide - 1 <= MOST_COLUMNS:
        blocked = next(
            filter(None, (_blocked(around, c, rows) for c in range(column + wide - 1, column - 1, -1))), None
        )
        if blocked is None:
            return column
        column, reason = blocked
    raise WorkbookProblem(f"there is no free column to the right of the recipe ({reason}): name a place with --at")


def _blocked(around: Surroundings, column: int, rows: range) -> tuple[int, str] | None:
    """The next column worth looking at and what is in this one; None for a free column."""
    if around.hidden(column):
        return around.hidden_until(column) + 1, f"column {letters(column)} is hidden"
    for row in rows:
        taken = around.obstacle((row, column))
        if taken is not None:
            return taken.box[3] + 1, f"{address((row, column))}: {taken.why}"
    return None


def _look(around: Surroundings, cells: list[Position]) -> list[tuple[Position, str]]:
    """What the new cells would overwrite or disturb; WorkbookProblem where that is not possible at all."""
    found = []
    for where in cells:
        if where[1] > MOST_COLUMNS:
            raise WorkbookProblem("--at: there are not enough columns to the right of it")
        taken: Taken | None = around.obstacle(where)
        if taken is None:
            continue
        if taken.firm and not _array_member(taken):
            raise WorkbookProblem(f"{address(where)} cannot be written to: {taken.why}")
        found.append((where, taken.why))
    return found


def _array_member(taken: Taken) -> bool:
    return taken.why.startswith("the array formula")


def cut_off(subject: Subject, around: Surroundings, places: Places, grid: Grid, styles: Styles | None) -> list[str]:
    """The cells whose text runs over into the new cells now, and will show only as far as its own column goes."""
    starts = []
    if places.columns:
        starts.append((min(places.columns.values()), _rows(subject)))
    if places.block:
        starts.append((places.block[1], range(places.block[0], places.block[0] + 12)))
    found = []
    for column, rows in starts:
        for row in rows:
            last = next((c for c in range(column - 1, 0, -1) if (row, c) in grid.cells), None)
            text = grid.text(row, last) if last else ""
            room = sum(around.width(c) for c in range(last or 1, column)) + 1
            wraps = styles is not None and last and styles.wraps(around.style((row, last)))
            stopped = any(last < new < column for new in places.columns.values()) if last else True
            if len(text) > room and not wraps and not stopped:
                found.append(address((row, last)))
    return found
