"""Dates of a batch: the records, in the family of labels, packing and records."""

import datetime

from tarecell.calculations import schedule
from tarecell.functions.columns import Dates
from tarecell.functions.kinds import Date, Number, Text
from tarecell.functions.labels import FAMILY
from tarecell.functions.records import DATE, PRACTICE, TEXT, Record, ex
from tarecell.functions.registry import register
from tarecell.functions.wording import counted, num

_CALENDAR = "the calendar (Gregorian, ISO 8601)"


def _made():
    return Date("made", "the day the batch was made")


def _days(what):
    return Number("days", what, above=0)


def _best_before_shown(result, made, months, expiries):
    shelf_life = schedule.add_months(made, int(months))
    told = f"{made.isoformat()} + {counted(months, 'month')} = {shelf_life.isoformat()}"
    if expiries:
        told += f"; the first ingredient expires on {min(expiries).isoformat()}"
    return f"{told}; the earlier one: {result.isoformat()}"


def _day(year, month, day):
    return datetime.date(year, month, day)


_RECORDS = [
    Record(
        "TC_LOT",
        "A lot code from the product's code, the day it was made and the run of that day: CRM-20260314-02.",
        schedule.lot,
        [
            _made(),
            Text("code", "the product's short code, such as CRM"),
            Number("run", "which run of that day: 1, 2, 3", above=0),
        ],
        TEXT,
        [
            ex(_day(2026, 3, 14), "CRM", 2.0, gives="CRM-20260314-02"),
            ex(_day(2028, 2, 29), "SOAP 7", 11.0, gives="SOAP 7-20280229-11"),
            ex(_day(2026, 12, 31), "BB", 1.0, gives="BB-20261231-01"),
            ex(_day(2026, 3, 14), "CRM", 1.5, fails="#NUM!"),
            ex(_day(2026, 3, 14), None, 1.0, fails="#VALUE!"),
        ],
        f"{PRACTICE}; the date as in ISO 8601, basic format",
        lambda result, made, code, run: f"code {code}, made {made.isoformat()}, run {num(run)}: {result}",
    ),
    Record(
        "TC_BEST_BEFORE",
        "The earlier of the shelf life (whole months from the day of making) and the first ingredient to expire.",
        schedule.best_before,
        [
            _made(),
            Number("months", "shelf life in whole months", above=0),
            Dates("expiries", "expiry dates of the ingredients used; blanks are skipped", default=None, aligned=False),
        ],
        DATE,
        [
            ex(_day(2026, 1, 31), 1.0, gives=_day(2026, 2, 28)),
            ex(_day(2027, 8, 31), 6.0, gives=_day(2028, 2, 29)),
            ex(_day(2026, 3, 14), 18.0, [_day(2027, 5, 1), None, _day(2028, 1, 1)], gives=_day(2027, 5, 1)),
            ex(_day(2026, 3, 14), 18.0, [_day(2026, 3, 1)], fails="#NUM!"),
            ex(_day(2026, 3, 14), 0.0, fails="#VALUE!"),
        ],
        f"{_CALENDAR}; a month that is too short gives its last day",
        _best_before_shown,
        cautions="A shelf life is proved by testing the product; this only keeps the dates straight.",
    ),
    Record(
        "TC_READY",
        "The day a batch is ready: the day it was made plus its days of curing or drying.",
        schedule.ready,
        [_made(), _days("whole days of curing or drying")],
        DATE,
        [
            ex(_day(2026, 1, 31), 28.0, gives=_day(2026, 2, 28)),
            ex(_day(2028, 2, 1), 28.0, gives=_day(2028, 2, 29)),
            ex(_day(2026, 12, 1), 42.0, gives=_day(2027, 1, 12)),
            ex(_day(2026, 1, 31), 1.5, fails="#NUM!"),
            ex(_day(2026, 1, 31), 0.0, fails="#VALUE!"),
        ],
        _CALENDAR,
        lambda result, made, days: f"{made.isoformat()} + {counted(days, 'day')} = {result.isoformat()}",
    ),
    Record(
        "TC_START_BY",
        "The latest day to make a batch that needs so many days of curing or drying before it is needed.",
        schedule.start_by,
        [Date("needed", "the day it is needed"), _days("whole days of curing or drying")],
        DATE,
        [
            ex(_day(2026, 2, 28), 28.0, gives=_day(2026, 1, 31)),
            ex(_day(2028, 3, 1), 1.0, gives=_day(2028, 2, 29)),
            ex(_day(2027, 1, 12), 42.0, gives=_day(2026, 12, 1)),
            ex(_day(2026, 2, 28), -3.0, fails="#NUM!"),
            ex(_day(2026, 2, 28), 0.0, fails="#VALUE!"),
        ],
        _CALENDAR,
        lambda result, needed, days: f"{needed.isoformat()} − {counted(days, 'day')} = {result.isoformat()}",
    ),
]

register(FAMILY, _RECORDS)
