"""The registry of cell functions, and the one door through which every host calls them."""

import datetime
import math
import sys
from collections.abc import Callable, Iterable, Sequence
from typing import Any

from tarecell.errors import CellError, Fault, NotFound, OutOfRange
from tarecell.functions.cells import ordinary_numbers
from tarecell.functions.columns import Cells
from tarecell.functions.records import COLUMN, DATE, Host, Record
from tarecell.tables import Names

PYTHON = Host("Python", sys.version.split()[0])
REGISTRY: dict[str, Record] = {}
LONGEST = 2000  # characters of a working


def register(family: str, records: Iterable[Record]) -> None:
    """Adds a family's records. A name can be taken only once."""
    for record in records:
        if record.name in REGISTRY:
            raise ValueError(f"{record.name} is declared twice")
        object.__setattr__(record, "family", family)
        REGISTRY[record.name] = record


def find(name: str) -> Record:
    """The record of a function. "=tc_scale" and "scale" are found too. #N/A with the nearest names otherwise."""
    record = REGISTRY.get(name)
    if record is not None:
        return record
    plain = name.strip().lstrip("=").split("(")[0].strip().upper()
    record = REGISTRY.get(plain) or REGISTRY.get(f"TC_{plain}")
    if record is None:
        raise NotFound(Names(REGISTRY, "function").miss(plain))
    return record


def run(name: str, args: Sequence[Any], host: Host = PYTHON) -> Any:
    """The value that a cell with this call gets. Raises CellError, and nothing else."""
    return result(find(name), args, host)


def result(
    record: Record, args: Sequence[Any], host: Host = PYTHON, shaped: Callable[[Cells, list], Any] = Cells.shaped
) -> Any:
    """As `run`, for a record that is at hand. `shaped`: how a host wants a column that lines up with its argument."""
    try:
        ordinary = record.ordinary
        if ordinary is not None and len(args) <= len(record.arguments):
            value = ordinary(*args)
            if value is not None and (value.__class__ is not float or value - value == 0):
                return value
        return _evaluate(record, args, host, shaped)[0]
    except CellError:
        raise
    except Exception as error:
        raise _cell_error(record, error) from error


def explain(name: str, args: Sequence[Any], host: Host = PYTHON) -> str:
    """The working of a call in one line, or why it is an error."""
    record = find(name)
    try:
        _, values, dense = _evaluate(record, args, host)
    except Exception as error:
        told = _cell_error(record, error)
        return _cut(f"{told.kind} {told.reason}")
    return _cut(record.working(dense, *values))


def _cut(line: str) -> str:
    """One line that a cell can hold and a person can read."""
    return line if len(line) <= LONGEST else line[: LONGEST - 1] + "…"


def _cell_error(record: Record, error: Exception) -> CellError:
    """What a cell shows for an exception."""
    if isinstance(error, CellError):
        return error
    if isinstance(error, OverflowError):
        return OutOfRange("a number here is too large or too small to work with")
    return Fault(f"{record.name} failed on these values ({type(error).__name__}: {error}); please report it")


def _evaluate(
    record: Record, args: Sequence[Any], host: Host, shaped: Callable[[Cells, list], Any] = Cells.shaped
) -> tuple[Any, list[Any], Any]:
    """The result in the caller's shape, the arguments as read, and the result as calculated."""
    values = record.read(args, host)
    shape = kept = None
    if record.has_columns:
        shape = next((values[i] for i in record.aligned if isinstance(values[i], Cells)), None)
        rows = len(shape.values) if shape is not None else 0
        kept = record.fill(values)
    dense = record.calculation(*values, host=host) if record.needs_host else record.calculation(*values)
    _check_finite(dense)
    if record.result == COLUMN and shape is not None:
        return shaped(shape, _spread(dense, kept or [], rows)), values, dense
    if record.result == DATE:
        return _dated(dense, args, host), values, dense
    return dense, values, dense


def _spread(dense: list[Any], kept: list[int], rows: int) -> list[Any]:
    """The results in the rows that they belong to; None in the others."""
    if len(dense) == len(kept) == rows:
        return dense
    spread: list[Any] = [None] * rows
    for position, value in zip(kept, dense, strict=True):
        spread[position] = value
    return spread


def _check_finite(result: Any) -> None:
    if isinstance(result, (list, tuple)):
        if ordinary_numbers(result):
            return
        for item in result:
            _check_finite(item)
    elif isinstance(result, float) and not math.isfinite(result):
        raise OutOfRange("the result is too large to be a number")


def _dated(day: datetime.date, args: Sequence[Any], host: Host) -> Any:
    """A day in the form that the caller's own dates have: `datetime.date`, or the sheet's serial number."""
    if any(isinstance(arg, datetime.date) for arg in args):
        return day
    serial = (day - host.epoch).days
    if serial < 1:
        raise OutOfRange(f"{day.isoformat()} is before the first date of this sheet")
    return float(serial)
