"""What a record's values look like in Calc. Pure: it runs inside Calc and in any Python.

Measured in LibreOffice 25.2.3:
- Calc carries an error in a floating-point number: a NaN whose lowest 32 bits are the error's code. Given back by a
  function, alone or inside an array, it is that error. So every kind reaches the cell as it is.
- A function that may give more than one cell must be declared with the type `sequence<sequence<any>>`; an array given
  back as `any` shows #VALUE!. A single value in an array formula of several cells fills them all.
- TRUE given back as a boolean shows 0, and None inside an array shows 0: hence 1 and "".
- A function is not called at all when one of its arguments is an error cell: the cell shows that same error. When the
  error is a cell of a range, the cell shows Err:504; IFERROR and SUM see it, and in an .xlsx it is saved as #VALUE!.
- The hidden argument of the type XPropertySet is the document, and its NullDate is day 0 of its dates.
"""

import struct
from typing import Any

from tarecell.errors import CellError
from tarecell.functions.columns import Cells
from tarecell.functions.kinds import Rest
from tarecell.functions.records import COLUMN, DATE, ROW, TABLE, Record

ERROR_CODES = {
    "#NUM!": 503,
    "#VALUE!": 519,
    "#NULL!": 521,
    "#REF!": 524,
    "#NAME?": 525,
    "#DIV/0!": 532,
    "#N/A": 32767,
}
_QUIET_NAN = 0x7FF8000000000000


def error_number(kind: str) -> float:
    """The number that Calc shows as an error of this kind; kinds that Calc does not have are #VALUE!."""
    code = ERROR_CODES.get(kind, ERROR_CODES["#VALUE!"])
    return struct.unpack("<d", struct.pack("<Q", _QUIET_NAN | code))[0]


_ERROR_NUMBERS = {kind: error_number(kind) for kind in ERROR_CODES}


def error_cell(error: CellError) -> float:
    """What Calc gets for an error."""
    return _ERROR_NUMBERS.get(error.kind, _ERROR_NUMBERS["#VALUE!"])


def error_cells(error: CellError, room: tuple[int, int]) -> tuple[tuple[float, ...], ...]:
    """The same for a function that may fill more than one cell: in as many as its result would take."""
    rows, columns = room
    return ((error_cell(error),) * columns,) * rows


def gives_many(record: Record) -> bool:
    """Whether a function may fill more than one cell."""
    return record.result in (COLUMN, ROW, TABLE)


def needs_document(record: Record) -> bool:
    """Whether a function must know day 0 of the sheet's dates."""
    return record.result == DATE or any(a.dated or isinstance(a, Rest) for a in record.arguments)


def takes_rest(record: Record) -> bool:
    """Whether the last argument stands for any number of further ones."""
    return bool(record.arguments) and isinstance(record.arguments[-1], Rest)


_AS_THEY_ARE = {float, str}


def cell(value: Any) -> Any:
    """One value as Calc takes it."""
    if value.__class__ in _AS_THEY_ARE:
        return value
    if value is None:
        return ""
    if isinstance(value, CellError):
        return error_cell(value)
    return float(value) if isinstance(value, (bool, int)) else value


def column(shape: Cells, values: list) -> Any:
    """A column as Calc takes it, where its argument was one: made at once, with no lists of one cell in between."""
    if shape.scalar or shape.flat or shape.across:
        return shape.shaped(values)
    return tuple(zip(values if set(map(type, values)) <= _AS_THEY_ARE else map(cell, values)))  # noqa: B905


def table(value: Any, record: Record) -> tuple[tuple[Any, ...], ...]:
    """A result of several cells as rows; a flat list is a row for ROW, a column otherwise."""
    if not isinstance(value, (list, tuple)):
        return ((cell(value),),)
    if value.__class__ is tuple and record.result == COLUMN and value and value[0].__class__ is tuple:
        return value  # made by `column`
    if value and all(isinstance(row, (list, tuple)) for row in value):
        return tuple(tuple(map(cell, row)) for row in value)
    if record.result == ROW:
        return (tuple(map(cell, value)),)
    return tuple((cell(item),) for item in value)
