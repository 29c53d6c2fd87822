"""The record of a cell function: everything that the hosts, the guide and the tests are derived from."""

import datetime
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from tarecell.errors import KINDS, WrongValue
from tarecell.functions.cells import EPOCH_1900, is_blank, rows_of
from tarecell.functions.columns import Cells, Column
from tarecell.functions.kinds import Argument, Rest
from tarecell.functions.ordinary import ordinary_call

NUMBER, SHARE, TEXT, DATE, FLAG, COLUMN, ROW, TABLE = (
    "number", "share", "text", "date", "flag", "column", "row", "table",
)  # fmt: skip
_IN_A_LINE = 3  # cells of a line of a TABLE: part, quantity, cost
PRACTICE = "common practice, no published source"


@dataclass(frozen=True)
class Host:
    """Where a call comes from: the host's name and version, and day 0 of the sheet's dates."""

    name: str
    version: str = ""
    epoch: datetime.date = EPOCH_1900


@dataclass(frozen=True)
class Example:
    """A worked example: arguments as plain values (a list is a column), and what the cell gets.

    `gives` is the value, `fails` the error kind; just one of the two. `within` is the relative tolerance of numbers.
    `starts` instead of `gives`: the text begins like this (for a text that names the host).
    """

    args: tuple
    gives: Any = None
    fails: str | None = None
    within: float = 1e-9
    starts: str | None = None


def ex(*args, gives: Any = None, fails: str | None = None, within: float = 1e-9, starts: str | None = None) -> Example:
    """Short for Example, so that a list of them reads like a table."""
    return Example(args, gives, fails, within, starts)


@dataclass(frozen=True, eq=False)
class Record:
    """One cell function.

    `calculation` takes the arguments as read, in order; `working(result, *arguments)` tells how the result came about,
    in one line. Where `result` is COLUMN the calculation sees and returns only the filled rows.
    """

    name: str
    summary: str
    calculation: Callable
    arguments: Sequence[Argument]
    result: str
    examples: Sequence[Example]
    source: str
    working: Callable[..., str]
    errors: Sequence[str] = KINDS
    needs_host: bool = False
    cautions: str = ""
    family: str = field(default="", init=False)

    def __post_init__(self):
        aligned = [i for i, a in enumerate(self.arguments) if isinstance(a, Column) and a.aligned]
        object.__setattr__(self, "aligned", aligned)
        object.__setattr__(self, "has_columns", any(isinstance(a, Column) for a in self.arguments))
        object.__setattr__(self, "rest", bool(self.arguments) and isinstance(self.arguments[-1], Rest))
        single = self.arguments[:-1] if self.rest else self.arguments
        object.__setattr__(self, "_single", single)

    @cached_property  # made when it is first needed: a command needs few of the functions
    def ordinary(self) -> Callable | None:
        """The result of an ordinary call at once (see ordinary.py); None for functions where no call is one."""
        if self.result not in (NUMBER, SHARE, TEXT, FLAG) or self.needs_host or self.rest:
            return None
        return ordinary_call(self.arguments, self.calculation)

    @property
    def least(self) -> int:
        """The number of arguments that cannot be left out."""
        return sum(1 for a in self.arguments if a.required and not isinstance(a, Rest))

    @property
    def signature(self) -> str:
        """TC_NAME(first, [optional]) as people read it."""
        names = [a.name if a.required else f"[{a.name}]" for a in self.arguments]
        if self.rest:
            names[-1] = f"{self.arguments[-1].name}…"
        return f"{self.name}({', '.join(names)})"

    def room(self, args: Sequence[Any]) -> tuple[int, int]:
        """Rows and columns that the result of a call would take. An error is shown in all of them: of a lone one
        INDEX(…, 2) makes #REF!."""
        if self.result == ROW:
            return 1, 2
        if self.result not in (COLUMN, TABLE):
            return 1, 1
        ranges = [rows for raw in args if isinstance(raw, (list, tuple)) and (rows := rows_of(raw))]
        rows = max(map(len, ranges), default=1)
        across = max((len(cells[0]) for cells in ranges), default=1) if rows == 1 else 1
        return rows, _IN_A_LINE if self.result == TABLE else across

    def read(self, args: Sequence[Any], host: Host) -> list[Any]:
        """The arguments as the calculation takes them; columns still as Cells, blank rows included."""
        single, given = self._single, len(args)
        if given > len(single) and not self.rest:
            raise WrongValue(f"{self.name} takes {len(single)} arguments, {given} were given: {self.signature}")
        values = [_read(argument, raw, host) for argument, raw in zip(single, args)]  # noqa: B905 (some left out)
        if given < len(single):
            values.extend(argument.missing() for argument in single[given:])
        elif given > len(single):
            values.extend(args[len(single) :])
        return values

    def fill(self, values: list[Any]) -> list[int] | None:
        """Replaces aligned columns by their filled rows, in place; the filled rows' positions, None without columns."""
        for i, value in enumerate(values):
            if isinstance(value, Cells) and i not in self.aligned:
                values[i] = [v for v in value.values if v is not None]
                if not values[i] and self.arguments[i].required:
                    raise WrongValue(f"{self.arguments[i].name} is blank: {self.arguments[i].doc}")
        columns = [(self.arguments[i], values[i]) for i in self.aligned if values[i] is not None]
        if not columns:
            return None
        rows = len(columns[0][1].values)
        for argument, cells in columns[1:]:
            if len(cells.values) != rows:
                raise WrongValue(
                    f"{columns[0][0].name} has {rows} rows and {argument.name} has {len(cells.values)}: "
                    "give ranges of the same length"
                )
        kept = self._filled_rows(columns, rows)
        for i in self.aligned:
            if values[i] is not None:
                cells = values[i].values
                values[i] = cells if len(kept) == rows else [cells[k] for k in kept]
        return kept

    def _filled_rows(self, columns: list[tuple[Column, Cells]], rows: int) -> list[int]:
        dense = [(a, c.values) for a, c in columns if not a.sparse]
        if all(None not in values for _, values in dense):
            kept = list(range(rows))
        else:
            kept = [r for r in range(rows) if any(values[r] is not None for _, values in dense)]
            for argument, values in dense:
                for r in kept:
                    if values[r] is None:
                        raise argument.blank_row(r)
        for argument, cells in columns:  # a sparse column must not speak of a row that the others leave blank
            if argument.sparse and len(kept) < rows:
                lone = set(range(rows)).difference(kept)
                for r in lone:
                    if cells.values[r] is not None:
                        raise WrongValue(f"{argument.name}, row {r + 1}: the other ranges are blank in this row")
        if not kept:
            raise WrongValue(f"{columns[0][0].name} is blank: {columns[0][0].doc}")
        return kept


def _read(argument: Argument, raw: Any, host: Host) -> Any:
    """One argument as the calculation takes it."""
    if not argument.required and (raw is None or left_out(argument, raw)):
        return argument.default
    return argument.read(raw, host.epoch) if argument.dated else argument.read(raw)


def left_out(argument: Argument, raw: Any) -> bool:
    """Whether a host's raw value for an optional range means "left out": a single blank cell arrives as 0 in some."""
    return (
        isinstance(argument, Column)
        and not argument.required
        and (is_blank(raw) or (isinstance(raw, (int, float)) and raw == 0))
    )
