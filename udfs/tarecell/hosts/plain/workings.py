"""The sheets that a plain copy gets for its in-between steps: what stands in which of their cells.

Nothing here knows of files. A step is a formula in a cell of the workings, or a column of them; whoever asks for the
same step again gets the cell that is there already.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from tarecell.errors import CellError
from tarecell.hosts.embedded.references import letters

Position = tuple[int, int]
Constant = float | str | bool | CellError
MOST_ROWS = 2000  # of one column of steps: more would make a slow copy
MOST_FORMULA = 8000  # characters; Excel takes 8192


class Untranslatable(Exception):
    """No ordinary formula for this call: the reason, in plain words."""


@dataclass(frozen=True)
class Step:
    """A formula without "=". `ref`: the cells of an array formula, as in "B3:B9"."""

    text: str
    ref: str | None = None


@dataclass(frozen=True)
class Block:
    """Cells of one column (or row, `across`): each one's address, and all of them as a range."""

    cells: tuple[str, ...]
    range: str
    across: bool = False
    columns: int = 1

    def __str__(self) -> str:
        return self.range

    def __len__(self) -> int:
        return len(self.cells)

    def nth(self, number: str) -> str:
        """The formula of the cell with a number, from 1. Of a lone cell it is the cell: Gnumeric's INDEX takes none."""
        return f"INDEX({self},{number})" if len(self) > 1 else f"IF({number}=1,{self})"


@dataclass
class Sheet:
    """One sheet under way. Steps of one call stand side by side under a heading."""

    name: str
    cells: dict[Position, Step | Constant] = field(default_factory=dict)
    headings: set[Position] = field(default_factory=set)
    labels: set[str] = field(default_factory=set)  # what steps are called
    _top: int = 3
    _bottom: int = 3
    _column: int = 2
    _pending: str = ""
    _known: dict = field(default_factory=dict)
    shared: dict = field(default_factory=dict)  # what several calls use, such as a table that is read once

    def begin(self, title: str) -> None:
        """A new group of steps; its heading is written when there is a first step."""
        self._pending = title

    def at(self, row: int, column: int) -> str:
        return f"{self.name}!{letters(column)}{row}"

    def cell(self, text: str, label: str = "") -> str:
        """A step of one cell; its address."""
        return self.column([text], label).cells[0]

    def column(self, texts: Sequence[str], label: str = "", across: bool = False) -> Block:
        """Steps below each other (or side by side, `across`)."""
        if len(texts) > MOST_ROWS:
            raise Untranslatable(f"it works on {len(texts)} rows, more than {MOST_ROWS}")
        if any(len(text) > MOST_FORMULA for text in texts):
            raise Untranslatable("an ordinary formula for it would be too long for a cell")
        key = tuple(texts), across
        if key not in self._known:
            self._known[key] = self._place([Step(text) for text in texts], label, across)
        return self._known[key]

    def constants(self, values: Sequence[Constant], label: str = "", across: bool = False) -> Block:
        """Values that are not computed."""
        key = "values", tuple(str(v) if isinstance(v, CellError) else (v.__class__, v) for v in values), across, label
        if key not in self._known:
            self._known[key] = self._place(list(values), label, across)
        return self._known[key]

    def array(self, text: str, rows: int, columns: int, label: str = "") -> list[list[str]]:
        """An array formula over fresh cells; their addresses, row by row."""
        if rows > MOST_ROWS or len(text) > MOST_FORMULA:
            raise Untranslatable(f"it works on {rows} rows, more than {MOST_ROWS}")
        key = "array", text, rows, columns
        if key not in self._known:
            top, left = self._room(rows, columns, label)
            ref = f"{letters(left)}{top}:{letters(left + columns - 1)}{top + rows - 1}"
            self.cells[top, left] = Step(text, ref)
            self._known[key] = [[self.at(top + r, left + c) for c in range(columns)] for r in range(rows)]
        return self._known[key]

    def running(self, count: int, label: str, text: Callable[[int, str | None], str]) -> Block:
        """Steps that each build on the one above: `text(i, address of the step above)`."""
        top, left = self._room(count, 1, label)
        for i in range(count):
            self.cells[top + i, left] = Step(text(i, self.at(top + i - 1, left) if i else None))
        return self._block(top, left, count, False)

    def rows(self, texts: Sequence[Sequence[str]], labels: Sequence[str] = ()) -> Block:
        """A rectangle of steps, such as a table that a function gives."""
        top, left = self._room(len(texts), len(texts[0]), "")
        cells = []
        for r, row in enumerate(texts):
            for c, text in enumerate(row):
                self.cells[top + r, left + c] = Step(text)
                cells.append(self.at(top + r, left + c))
        for c, label in enumerate(labels):
            self.cells[top - 1, left + c] = label
            self.labels.add(label)
        last = f"{letters(left + len(texts[0]) - 1)}{top + len(texts) - 1}"
        return Block(tuple(cells), f"{self.at(top, left)}:{last}", columns=len(texts[0]))

    def _place(self, contents: Sequence[Step | Constant], label: str, across: bool) -> Block:
        top, left = self._room(1 if across else len(contents), len(contents) if across else 1, label)
        for i, content in enumerate(contents):
            self.cells[(top, left + i) if across else (top + i, left)] = content
        return self._block(top, left, len(contents), across)

    def _block(self, top: int, left: int, count: int, across: bool) -> Block:
        cells = tuple(self.at(top, left + i) if across else self.at(top + i, left) for i in range(count))
        if count == 1:
            return Block(cells, cells[0], across)
        return Block(cells, f"{cells[0]}:{cells[-1].rsplit('!')[-1]}", across, count if across else 1)

    def _room(self, rows: int, columns: int, label: str) -> Position:
        if self._pending or self._column + columns > 16_000:
            self._top, self._column = self._bottom + 1, 2
            self.cells[self._top, 1] = self._pending or "(continued)"
            self.headings.add((self._top, 1))
            self._pending = ""
            self._bottom = self._top + 1
        top, left = self._top + 2, self._column
        if label:
            self.cells[top - 1, left] = label
            self.labels.add(label)
        self._column += columns
        self._bottom = max(self._bottom, top + rows)
        if self._bottom > 1_000_000:
            raise Untranslatable("the workings would not fit a sheet")
        return top, left


def literal(value: Constant | None) -> str:
    """A value as it is typed into a formula."""
    if value is None:
        return '""'
    if isinstance(value, CellError):
        return value.kind
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, str):
        if len(value) > 255:
            raise Untranslatable("its text is longer than a formula can hold")
        return '"' + value.replace('"', '""') + '"'
    text = repr(float(value)).replace("e", "E")  # 1E+16, as Excel writes it: not every program reads 1E16
    return text.removesuffix(".0")
