"""One Python function per record, as xlwings calls it from Excel, and how cells and errors cross over.

Measured in xlwings 0.37.8 outside Excel (see tests/hosts/test_excel_calls.py); none of it was run in Excel:
- With `ndim=2` every argument is a list of rows; a single cell is unpacked again: it is one value in every host.
- Without `err_to_str=True` xlwings turns an error cell into a blank. With it seven kinds arrive by name; the newer
  kinds (#SPILL!, #CALC! and so on) stay whole numbers, which no cell holds otherwise: Excel's numbers are floats.
- A blank cell and empty text are both None. An argument that is left out is None too.
- An exception would put its text into the cell, where a total passes over it. So an error goes back as a mark, which
  the VBA module turns into a real error cell.
"""

import inspect
from collections.abc import Callable
from typing import Any

from tarecell.errors import CellError, WrongValue
from tarecell.functions import Host, run
from tarecell.functions.cells import EPOCH_1900, EPOCH_1904
from tarecell.functions.records import ROW, Record
from tarecell.hosts.excel.names import HOST, HOST_IN_VBA, category, needs_host, parameters, summary

MARK = "\x1a"  # in front of an error's kind; a cell that somebody types into does not hold it
ERRORS = ("#N/A", "#NUM!", "#VALUE!", "#DIV/0!", "#NAME?", "#NULL!", "#REF!")  # those that VBA has a constant for
_FIRST_CODE, _LAST_CODE = -2146828288 + 2000, -2146828288 + 2099  # Excel's error cells as COM has them
_HERE = Host("Excel")  # for functions that do not ask where they are
_EPOCHS = {"1900": EPOCH_1900, "1904": EPOCH_1904}


def value(raw: Any) -> Any:
    """An argument as the cell functions take it."""
    if isinstance(raw, (list, tuple)):
        rows = [[_cell(c) for c in row] if isinstance(row, (list, tuple)) else _cell(row) for row in raw]
        if len(rows) == 1 and isinstance(rows[0], list) and len(rows[0]) == 1:
            return rows[0][0]
        return rows
    return _cell(raw)


def _cell(raw: Any) -> Any:
    if raw.__class__ is int and _FIRST_CODE <= raw <= _LAST_CODE:
        return "#VALUE!"  # an error of a kind that xlwings does not know
    return raw


def result(outcome: Any, record: Record) -> Any:
    """What xlwings gets for a result: a single value, or rows, blanks as empty text."""
    if not isinstance(outcome, (list, tuple)):
        return _out(outcome)
    if outcome and all(isinstance(row, (list, tuple)) for row in outcome):
        return [[_out(cell) for cell in row] for row in outcome]
    if record.result == ROW:
        return [[_out(cell) for cell in outcome]]
    return [[_out(cell)] for cell in outcome]


def _out(cell: Any) -> Any:
    if cell is None:
        return ""
    return float(cell) if cell.__class__ is int else cell


def mark(error: CellError) -> str:
    """What xlwings gets for an error; kinds that VBA has no constant for are #VALUE!."""
    return MARK + (error.kind if error.kind in ERRORS else "#VALUE!")


def host_of(told: Any) -> Host:
    """Excel as the calling workbook has it: its version and its date system, "16.0 1904", as the VBA module tells them.

    Raises WrongValue when that is not told: a guess could be off by four years.
    """
    version, _, system = str(told).rpartition(" ")
    if system not in _EPOCHS:
        raise WrongValue("Excel did not tell the workbook's date system: call this function from a cell in Excel")
    return Host("Excel", version, _EPOCHS[system])


def function(record: Record, xlwings: Any = None) -> Callable[..., Any]:
    """The function for a record, decorated where xlwings is there."""
    located = needs_host(record)

    def call(*args):  # no annotations: xlwings would take them for conversions
        try:
            host = _HERE
            if located:
                host, args = host_of(args[0] if args else None), args[1:]
            return result(run(record.name, [value(arg) for arg in args], host), record)
        except CellError as error:
            return mark(error)

    call.__name__ = call.__qualname__ = record.name
    call.__module__ = "tarecell.hosts.excel"
    call.__doc__ = summary(record)
    call.__signature__ = _signature(record)
    return call if xlwings is None else _decorated(call, record, xlwings)


def _signature(record: Record) -> inspect.Signature:
    """What xlwings reads the arguments from."""
    kind = inspect.Parameter
    found = [kind(HOST, kind.POSITIONAL_OR_KEYWORD)] if needs_host(record) else []
    for p in parameters(record):
        if p.rest:
            found.append(kind(p.name, kind.VAR_POSITIONAL))
        else:
            default = None if p.optional else kind.empty
            found.append(kind(p.name, kind.POSITIONAL_OR_KEYWORD, default=default))
    return inspect.Signature(found)


def _decorated(call: Callable[..., Any], record: Record, xlwings: Any) -> Callable[..., Any]:
    if needs_host(record):
        call = xlwings.arg(HOST, vba=HOST_IN_VBA)(call)  # filled in by the VBA module, not shown in Excel
    for p in parameters(record):
        call = xlwings.arg(p.name, doc=p.doc, ndim=2, err_to_str=True)(call)
    return xlwings.func(category=category(record))(call)  # last: each of the others sets the category back
