"""Dates of a batch: month ends, leap years, both date systems of a sheet."""

import datetime

import pytest
import tarecell
from hypothesis import given, settings
from hypothesis import strategies as st
from tarecell.calculations import schedule
from tarecell.errors import OutOfRange
from tarecell.functions import Host, run
from tarecell.functions.cells import EPOCH_1900, EPOCH_1904

DAYS = st.dates(datetime.date(1990, 1, 1), datetime.date(2150, 12, 31))
SHEETS = [Host("test", epoch=EPOCH_1900), Host("test", epoch=EPOCH_1904)]


def serial(day, host):
    return float((day - host.epoch).days)


@settings(max_examples=60, deadline=None)
@given(DAYS, st.integers(0, 4000))
def test_start_by_undoes_ready(day, days):
    assert schedule.start_by(schedule.ready(day, float(days)), float(days)) == day


@settings(max_examples=60, deadline=None)
@given(DAYS, st.integers(1, 240))
def test_months_end_in_the_right_month_and_never_after_the_same_day(day, months):
    later = schedule.add_months(day, months)
    assert (later.year * 12 + later.month) - (day.year * 12 + day.month) == months
    assert later.day <= day.day
    if later.day < day.day:
        assert (later + datetime.timedelta(days=1)).day == 1, "only a month end is clamped"


@settings(max_examples=60, deadline=None)
@given(DAYS, st.integers(1, 60), st.lists(st.integers(0, 2000), max_size=4))
def test_best_before_is_the_earliest_of_all(day, months, later):
    expiries = [day + datetime.timedelta(days=n) for n in later]
    found = schedule.best_before(day, months, expiries)
    assert found == min([schedule.add_months(day, months), *expiries])


@pytest.mark.parametrize(
    ("day", "months", "ends"),
    [
        ((2026, 1, 31), 1, (2026, 2, 28)),
        ((2028, 1, 31), 1, (2028, 2, 29)),
        ((2028, 2, 29), 12, (2029, 2, 28)),
        ((2028, 2, 29), 48, (2032, 2, 29)),
        ((2026, 12, 31), 2, (2027, 2, 28)),
        ((2099, 2, 28), 12, (2100, 2, 28)),
        ((2026, 10, 31), 1, (2026, 11, 30)),
    ],
)
def test_month_ends_and_leap_years(day, months, ends):
    assert schedule.add_months(datetime.date(*day), months) == datetime.date(*ends)


@pytest.mark.parametrize("host", SHEETS, ids=["1900", "1904"])
def test_serial_numbers_of_both_date_systems(host):
    made, ready = datetime.date(2028, 2, 1), datetime.date(2028, 2, 29)
    assert run("TC_READY", [serial(made, host), 28.0], host) == serial(ready, host)
    assert run("TC_START_BY", [serial(ready, host), 28.0], host) == serial(made, host)
    assert run("TC_LOT", [serial(made, host), "CRM", 2.0], host) == "CRM-20280201-02"
    expiry = datetime.date(2028, 6, 30)
    column = [[serial(expiry, host)], [""], [serial(datetime.date(2029, 1, 1), host)]]
    assert run("TC_BEST_BEFORE", [serial(made, host), 12.0, column], host) == serial(expiry, host)
    assert run("TC_BEST_BEFORE", [serial(made, host), 1.0, column], host) == serial(datetime.date(2028, 3, 1), host)


def test_the_two_systems_read_one_number_as_different_days():
    one, other = (run("TC_LOT", [46000.0, "A", 1.0], host) for host in SHEETS)
    assert one == "A-20251209-01" and other == "A-20291210-01"


def test_blank_expiries_are_no_expiries():
    made = datetime.date(2026, 3, 14)
    for column in (None, [None, None], 0.0, ""):
        assert tarecell.call("TC_BEST_BEFORE", made, 6.0, column) == datetime.date(2026, 9, 14)


def test_an_ingredient_that_had_expired():
    made = datetime.date(2026, 3, 14)
    assert schedule.best_before(made, 6, [made]) == made
    with pytest.raises(OutOfRange, match="2026-03-13"):
        schedule.best_before(made, 6, [datetime.date(2027, 1, 1), datetime.date(2026, 3, 13)])


@pytest.mark.parametrize("days", [0.5, 1e300, 4_000_000])
def test_days_that_are_none(days):
    with pytest.raises(OutOfRange):
        schedule.ready(datetime.date(2026, 3, 14), days)


def test_beyond_the_calendar():
    with pytest.raises(OutOfRange):
        schedule.add_months(datetime.date(9999, 6, 1), 12)
    with pytest.raises(OutOfRange):
        schedule.start_by(datetime.date(1, 1, 5), 30)


@settings(max_examples=40, deadline=None)
@given(DAYS, st.integers(1, 500))
def test_lot_codes_sort_by_day_and_run(day, run_number):
    code = schedule.lot(day, "CRM", run_number)
    assert code.startswith(f"CRM-{day:%Y%m%d}-") and int(code.rsplit("-", 1)[1]) == run_number
    assert schedule.lot(day + datetime.timedelta(days=1), "CRM", 1) > schedule.lot(day, "CRM", 99)


def test_lot_needs_a_code_that_fits():
    with pytest.raises(OutOfRange):
        schedule.lot(datetime.date(2026, 3, 14), "x" * 41, 1)
    with pytest.raises(OutOfRange):
        schedule.lot(datetime.date(2026, 3, 14), "CRM", 1.5)
