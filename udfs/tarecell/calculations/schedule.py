"""Dates of a batch: lot code, best before, ready, latest start. Days are `datetime.date`; no clock is read."""

import calendar
import datetime
from collections.abc import Sequence

from tarecell.errors import OutOfRange

LONGEST_CODE = 40  # characters; more does not fit a label
_MOST = 10_000_000  # days, months or runs; the calendar of a sheet ends long before


def _whole(value: float, what: str) -> int:
    if value != int(value):
        raise OutOfRange(f"{what} is {value:g}; a whole number is wanted")
    if value > _MOST:
        raise OutOfRange(f"{what} is {value:g}: more than a calendar or a label can hold")
    return int(value)


def lot(made: datetime.date, code: str, run: float) -> str:
    """A lot code: the product's code, the day it was made, and which run of that day, as in CRM-20260314-02.

    run: 1, 2, 3 …; #NUM! for a fraction, or a code of more than 40 characters.
    """
    label = " ".join(code.split())
    if len(label) > LONGEST_CODE:
        raise OutOfRange(f"the code has {len(label)} characters; {LONGEST_CODE} are the most")
    return f"{label}-{made.year:04d}{made.month:02d}{made.day:02d}-{_whole(run, 'run'):02d}"


def add_months(day: datetime.date, months: int) -> datetime.date:
    """The same day so many months later, or that month's last day where it is shorter (31 Jan + 1 = 28 or 29 Feb)."""
    years, month = divmod(day.month - 1 + months, 12)
    year = day.year + years
    if year > datetime.MAXYEAR:
        raise OutOfRange(f"{months} months from {day.isoformat()} is beyond the dates a sheet knows")
    return datetime.date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))


def best_before(made: datetime.date, months: float, expiries: Sequence[datetime.date] | None = None) -> datetime.date:
    """The earlier of the shelf life and the first ingredient to expire.

    made: the day of making; months: shelf life in whole months; expiries: expiry dates of the ingredients used.
    #NUM! for part of a month, or where an ingredient had expired before the day of making.
    """
    shelf_life = add_months(made, _whole(months, "months"))
    first = min(expiries, default=None) if expiries else None
    if first is None:
        return shelf_life
    if first < made:
        raise OutOfRange(
            f"an ingredient expired on {first.isoformat()}, before the day of making ({made.isoformat()}): "
            "check the dates, and do not sell this batch on them"
        )
    return min(shelf_life, first)


def _moved(day: datetime.date, days: int) -> datetime.date:
    try:
        return day + datetime.timedelta(days=days)
    except OverflowError:
        raise OutOfRange(f"{days} days from {day.isoformat()} is beyond the dates a sheet knows") from None


def ready(made: datetime.date, days: float) -> datetime.date:
    """The day a batch is ready: made + days of curing or drying. days: whole; #NUM! for a fraction."""
    return _moved(made, _whole(days, "days"))


def start_by(needed: datetime.date, days: float) -> datetime.date:
    """The latest day to make a batch that needs so many days before `needed`. days: whole; #NUM! for a fraction."""
    return _moved(needed, -_whole(days, "days"))
