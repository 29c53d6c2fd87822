"""Reading one raw cell, whatever the host hands over.

One rule for all hosts. A single blank cell cannot be told from 0 in every host, so for single numbers the two are the
same: where 0 makes no sense, both are "missing" (#VALUE!), or the default where the argument is optional. TRUE counts
as 1, as spreadsheet arithmetic does. A number stored as text is #VALUE!. An error cell passes on as its own kind.
"""

import datetime
import math
from typing import Any

from tarecell.errors import SPREADSHEET_KINDS, CellError, OutOfRange, WrongValue
from tarecell.tables import squeeze

SHARE_HINT = "{0:g} means {1:g} %; type {0:g}% or {2:g}"
EPOCH_1900 = datetime.date(1899, 12, 30)  # day 0 of the usual date system
EPOCH_1904 = datetime.date(1904, 1, 1)  # day 0 of the other one
_FIRST_DAY = datetime.date(1900, 3, 1)  # spreadsheets disagree on the serials before this day


def error_kind(raw: Any) -> str | None:
    """The kind of an error cell, whatever form the host gives it; None for every other value."""
    if isinstance(raw, CellError):
        return raw.kind
    if isinstance(raw, str):
        return raw if raw in SPREADSHEET_KINDS else None
    if isinstance(raw, dict) and raw.get("type") == "Error":
        return raw.get("kind") or "#VALUE!"
    return None


def check_error(raw: Any, where: str) -> None:
    """Raise when a single raw value is an error cell: it passes on as its own kind."""
    if isinstance(raw, CellError):
        raise raw
    kind = error_kind(raw)
    if kind:
        raise CellError(_mend(where, kind), kind)


def error_in_range(where: str, kind: str) -> WrongValue:
    """The error for an error cell inside a range: #VALUE! in every host, as Calc cannot pass its kind on."""
    return WrongValue(_mend(where, kind))


def _mend(where: str, kind: str) -> str:
    return f"{where} holds the error {kind}: mend that cell first"


def refuse_error_cells(rows: list[list[Any]], name: str) -> None:
    """Raise when any cell of a table is an error cell; a table of one cell is that cell."""
    if len(rows) == 1 and len(rows[0]) == 1:
        check_error(rows[0][0], name)
    for r, row in enumerate(rows, 1):
        for c, cell in enumerate(row, 1):
            if cell.__class__ is not float:
                kind = error_kind(cell)
                if kind:
                    raise error_in_range(f"{name}, row {r}, column {c}", kind)


def ordinary_numbers(values: list[Any]) -> bool:
    """Whether all are finite floats. Told of a whole column at once, which is many times quicker than cell by cell.

    May say no of very large ones.
    """
    if set(map(type, values)) != {float}:
        return False
    total = sum(values)
    return total - total == 0  # an infinity, or what is no number, among them makes the total one too


def is_blank(raw: Any) -> bool:
    """None, "" and text of spaces only."""
    return raw is None or (isinstance(raw, str) and not raw.strip())


def rows_of(raw: Any) -> list[list[Any]]:
    """A raw argument as rows of cells: one value is one cell, a flat list is a column."""
    if hasattr(raw, "tolist") and not isinstance(raw, str):
        raw = raw.tolist()
    if isinstance(raw, (list, tuple)):
        if raw and all(isinstance(row, (list, tuple)) for row in raw):
            return [list(row) for row in raw]
        return [[cell] for cell in raw]
    return [[raw]]


def single(raw: Any, where: str) -> Any:
    """The one value of a raw argument. #VALUE! for a range of more cells."""
    if not isinstance(raw, (list, tuple)):
        check_error(raw, where)
        return raw
    cells = [cell for row in rows_of(raw) for cell in row]
    if len(cells) != 1:
        raise WrongValue(f"{where}: one value is wanted, this is a range of {len(cells)} cells")
    check_error(cells[0], where)
    return cells[0]


def number_of(raw: Any, where: str) -> float:
    """A cell as a finite number. Not for blanks."""
    if isinstance(raw, str):
        if any(c.isdigit() for c in raw):
            raise WrongValue(f"{where}: “{raw[:40]}” is a number stored as text; type it as a plain number")
        raise WrongValue(f"{where}: “{raw[:40]}” is text where a number belongs")
    try:
        value = float(raw)
    except OverflowError:
        raise OutOfRange(f"{where} is too large for a spreadsheet number") from None
    except (TypeError, ValueError):
        raise WrongValue(f"{where}: a number is wanted, not {type(raw).__name__}") from None
    if not math.isfinite(value):
        raise OutOfRange(f"{where} is not a finite number")
    return value


def share_refusal(value: float, at_most: float | None = 1.0) -> str:
    """Why a share is refused, in words that tell what to type instead."""
    if value < 0:
        return f"{value:g} is negative; a share is 0 or more"
    if value > 1:
        return SHARE_HINT.format(value, value * 100, value / 100)
    return f"{value * 100:g} % is above {(at_most or 1) * 100:g} %"


def read_cap(raw: Any, where: str) -> float | None:
    """A cap cell: a share, the words "no restriction" (= 1), or None where it is blank or says "not stated"."""
    check_error(raw, where)
    if is_blank(raw):
        return None
    if isinstance(raw, str):
        words = squeeze(raw)
        if words in ("norestriction", "norestrictions", "notrestricted", "unrestricted"):
            return 1.0
        if words in ("notstated", "n/a", "na"):
            return None
    value = number_of(raw, where)
    if not 0 <= value <= 1:
        raise OutOfRange(f"{where}: {share_refusal(value)}")
    return value


def text_of(raw: Any, where: str) -> str:
    """A cell as text without outer spaces; '' for a blank or 0."""
    if isinstance(raw, str):
        text = raw.strip()
        if text[:1] == "#":  # as every error begins
            check_error(raw, where)
        return text
    if raw is None or raw == 0:
        return ""
    if isinstance(raw, (int, float)):
        return f"{float(raw):.15g}"
    check_error(raw, where)
    if isinstance(raw, datetime.date):
        return raw.isoformat()
    raise WrongValue(f"{where}: text is wanted, not {type(raw).__name__}")


def date_of(raw: Any, where: str, epoch: datetime.date) -> datetime.date:
    """A cell as a day. The time of day is dropped."""
    if isinstance(raw, datetime.datetime):
        return raw.date()
    if isinstance(raw, datetime.date):
        return raw
    if isinstance(raw, str):
        raise WrongValue(f"{where}: “{raw[:40]}” is text; type it as a date of the sheet")
    try:
        day = epoch + datetime.timedelta(days=math.floor(number_of(raw, where)))
    except OverflowError:
        raise OutOfRange(f"{where}: {raw:g} is beyond the dates a sheet knows") from None
    if day < _FIRST_DAY:
        raise OutOfRange(f"{where}: {raw:g} is not a date after February 1900")
    return day
