"""The sketch written out: every new cell with its address, content, number format and the look it takes over."""

from collections.abc import Callable
from dataclasses import dataclass

from tarecell.workbooks.add.place import Places
from tarecell.workbooks.add.sketch import Column, Line, Sketch, subject_ranges
from tarecell.workbooks.add.subject import Subject
from tarecell.workbooks.references import Position, address, letters
from tarecell.workbooks.sheet_map import SheetMap

Looks = Callable[[int], Position]


@dataclass(frozen=True)
class NewCell:
    """A cell to write. `formula` without "="; over `ref` if it is an array formula; else `value`, None for a cell that
    only takes a look or is filled by an array formula (`filled`). `heading`: looks like the headings.
    """

    where: Position
    format: str
    look: Position  # the cell whose font, fill and border it takes over
    value: float | str | None = None
    formula: str = ""
    ref: str = ""
    filled: bool = False
    heading: bool = False
    filled_down: bool = False

    @property
    def content(self) -> str:
        """What is written, as the cell shows it when it is edited."""
        if self.formula:
            return "{=" + self.formula + "}" if self.ref else "=" + self.formula
        return f"{self.value:g}" if isinstance(self.value, float) else self.value or ""


def new_cells(sketch: Sketch, subject: Subject, places: Places, look: Looks) -> list[NewCell]:
    """All cells, columns first, each from top to bottom. `look`: the cell to look like, by row."""
    absolute = _absolute(sketch, subject, places)
    cells: list[NewCell] = []
    for column in sketch.columns:
        cells += _column(column, subject, places, absolute, look)
    return cells + _block(sketch, subject, places, absolute, look)


def _absolute(sketch: Sketch, subject: Subject, places: Places) -> dict[str, str]:
    """References by key: whole columns of the recipe's rows, and the cells of the block."""

    def rows(column: int) -> str:
        return f"${letters(column)}${subject.first_row}:${letters(column)}${subject.last_row}"

    found = {key: rows(column) for key, column in subject_ranges(subject).items()}
    found |= {key: rows(column) for key, column in places.columns.items()}
    found |= sketch.ranges
    if places.block:
        top, left = places.block[0] + bool(sketch.heading), places.block[1]
        for i, line in enumerate(sketch.lines):
            found[line.key] = f"${letters(left + 1)}${top + i}"
    return found


def _rows_of(subject: Subject, column: int) -> str:
    first, last = address((subject.first_row, column)), address((subject.last_row, column))
    return first if first == last else f"{first}:{last}"


def neighbours(subject: Subject, layout: SheetMap) -> Looks:
    """By row, the cell whose look new cells take over: the table's last one, or the amount in a totals row."""

    def look(row: int) -> Position:
        if row == subject.total_row:
            return row, subject.amounts
        there = (c for c in range(subject.right, subject.amounts - 1, -1) if layout.cell((row, c)) is not None)
        return row, next(there, subject.right)

    return look


def _column(column: Column, subject: Subject, places: Places, absolute: dict[str, str], look: Looks) -> list[NewCell]:
    here = places.columns[column.key]
    cells = []
    if subject.header_row:
        where = subject.header_row, here
        cells.append(NewCell(where, "General", look(where[0]), column.heading, heading=True))
    ref = _rows_of(subject, here)
    by_row = {**subject_ranges(subject), **places.columns}
    for row in subject.rows:
        like, where = look(row), (row, here)
        if column.whole:
            formula = column.whole.format_map(absolute) if row == subject.first_row else ""
            cells.append(NewCell(where, column.format, like, formula=formula, ref=formula and ref, filled=not formula))
        elif row not in subject.left_out:
            of_row = {key: f"{letters(c)}{row}" for key, c in by_row.items()}
            formula = column.each.format_map(absolute | of_row)
            below = bool(cells) and cells[-1].where == (row - 1, here) and bool(cells[-1].formula)
            cells.append(NewCell(where, column.format, like, formula=formula, filled_down=below))
    if subject.total_row and column.total:
        where = subject.total_row, here
        total = f"SUM({ref})"
        cells.append(NewCell(where, column.format, look(where[0]), formula=total))
    return cells


def _block(sketch: Sketch, subject: Subject, places: Places, absolute: dict[str, str], look: Looks) -> list[NewCell]:
    if not places.block:
        return []
    top, left = places.block
    heading, body = look(subject.header_row or subject.first_row), look(subject.first_row)
    cells = []
    if sketch.heading:
        is_heading = bool(subject.header_row)
        like = heading if is_heading else body
        cells.append(NewCell((top, left), "General", like, sketch.heading, heading=is_heading))
        cells.append(NewCell((top, left + 1), "General", like, heading=is_heading))
        top += 1
    for i, line in enumerate(sketch.lines):
        cells.append(NewCell((top + i, left), "General", body, line.label))
        cells.append(_value(line, (top + i, left + 1), body, absolute))
    return cells


def _value(line: Line, where: Position, look: Position, absolute: dict[str, str]) -> NewCell:
    if line.formula:
        return NewCell(where, line.format, look, formula=line.formula.format_map(absolute))
    return NewCell(where, line.format, look, line.value)
