"""Dates against the calendar and the date systems of spreadsheets."""

import datetime

import pytest
from tarecell.calculations import schedule
from tarecell.functions import Host, run
from tarecell.functions.cells import EPOCH_1900, EPOCH_1904


# ISO 8601 / Gregorian calendar: years divisible by 4 are leap years, centuries only when divisible by 400.
@pytest.mark.parametrize(("year", "last"), [(2027, 28), (2028, 29), (2100, 28), (2400, 29)])
def test_last_day_of_february(year, last):
    assert schedule.add_months(datetime.date(year, 1, 31), 1) == datetime.date(year, 2, last)


# ECMA-376 part 1, 18.17.4.1 (from memory): 1 January 2008 is serial 39448 in the 1900 system, and 1462 less in the
# 1904 one.
@pytest.mark.parametrize(("epoch", "serial"), [(EPOCH_1900, 39448.0), (EPOCH_1904, 37986.0)])
def test_date_systems(epoch, serial):
    host = Host("test", epoch=epoch)
    assert run("TC_LOT", [serial, "A", 1.0], host) == "A-20080101-01"
    assert run("TC_READY", [serial, 42.0], host) == serial + 42
