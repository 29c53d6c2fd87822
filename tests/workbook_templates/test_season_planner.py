"""The season planner: built as committed, right by the calendar, and never wrong whatever is typed."""

import datetime
from pathlib import Path

import pytest
import tarecell.workbook_templates.season_planner as template
from tarecell.errors import CellError
from template_checks import Filled, inputs, is_error, is_number, nonsense

HERE = Path(template.__file__).parent
FILE = HERE / "season_planner.xlsx"
PLAN, CALENDAR, TO_DO = "Plan", "Calendar", "To do"
DAY_0 = datetime.date(1899, 12, 30)  # day 0 of the usual date system
ROWS = range(template.FIRST, template.LAST + 1)


def serial(year, month, day):
    return (datetime.date(year, month, day) - DAY_0).days


@pytest.fixture(scope="module")
def filled(tmp_path_factory):
    return Filled(FILE, tmp_path_factory.mktemp("season"))


def test_by_the_calendar(filled):
    """Counted on a wall calendar: 18 December less 3 days to spare, 2 to wrap, 42 to cure, 1 to make."""
    found = filled()
    days = [found[PLAN, f"{c}11"] for c in "IJKL"]
    assert days == [serial(2026, 10, 31), serial(2026, 11, 1), serial(2026, 12, 13), serial(2026, 12, 15)]
    assert found[PLAN, "M11"] == 47 and found[PLAN, "N11"] == "in time"  # 14 September to 31 October
    # The cream has a day of its own, 11 December, and is 4 days with the post: sent on the 4th with 3 to spare.
    assert found[PLAN, "L14"] == serial(2026, 12, 4) and found[PLAN, "I14"] == serial(2026, 12, 1)
    assert found[PLAN, "G4"] == serial(2026, 10, 31) and found[PLAN, "G5"] == "0 of 4"


def test_the_calendar_by_eye(filled):
    """The week of Monday 26 October is the first; the soap is made in it, cures, is wrapped from 13 December."""
    found = filled()
    assert found[CALENDAR, "C6"] == serial(2026, 10, 26) and found[CALENDAR, "D6"] == serial(2026, 11, 2)
    assert [found[CALENDAR, f"{c}7"] for c in "CDEFGHIJK"] == ["M", "c", "c", "c", "c", "c", "W", "WSN", ""]
    assert [found[CALENDAR, f"{c}10"] for c in "GHIJ"] == ["", "MWS", "N", ""]
    assert [found[CALENDAR, f"{c}19"] for c in "CDGHI"] == [1, 0, 1, 1, 1]
    assert found[CALENDAR, "A21"].startswith("all of the season")
    assert filled({(PLAN, "F12"): 160})[CALENDAR, "A21"].startswith("THE CALENDAR ENDS")


def test_what_to_do_is_in_order(filled):
    found = filled()
    dates = [found[TO_DO, f"B{r}"] for r in range(6, 18)]
    assert dates == sorted(dates) and found[TO_DO, "B18"] == "" and found[TO_DO, "A3"] == "12 things to do"
    assert (found[TO_DO, "C6"], found[TO_DO, "D6"]) == ("Sat", "start making 48 × Sample bar soap")
    assert [found[TO_DO, f"D{r}"] for r in (9, 10)] == [
        "wrap: 20 × Sample cream (rest over)",
        "send off 20 × Sample cream",
    ]


def test_too_late_in_words(filled):
    found = filled({(PLAN, "B5"): serial(2026, 11, 10)})
    assert found[PLAN, "N11"] == "TOO LATE by 10 days" and found[PLAN, "G5"] == "1 of 4"
    assert found[TO_DO, "E6"] == "ALREADY PAST"
    assert filled({(PLAN, "B5"): serial(2026, 10, 28)})[PLAN, "N11"] == "start within the week"


def test_a_blank_stage_is_an_error_and_a_0_is_none(filled):
    for column in "DFGH":
        found = filled({(PLAN, f"{column}11"): None})
        assert is_error(found[PLAN, "I11"]) and is_error(found[PLAN, "N11"]) and is_error(found[TO_DO, "B6"])
    assert filled({(PLAN, "F11"): 0})[PLAN, "I11"] == serial(2026, 12, 12)
    assert is_error(filled({(PLAN, "D11"): 0})[PLAN, "I11"])  # nothing is made in no time


def _day(value):
    if isinstance(value, datetime.datetime):
        return (value.date() - DAY_0).days
    assert is_number(value) and 61 <= value < 2958466, "no day"
    return int(value)


def _days(value, least=0):
    assert is_number(value) and value >= least and value == int(value), "no days"
    return int(value)


def _expected(typed, row):
    """Start, made, wrapped from, handed over: by plain arithmetic; an exception where something cannot be."""
    own = typed.get((PLAN, f"C{row}"))
    needed = _day(typed[PLAN, "B4"] if own is None else own)
    spare = _days(typed[PLAN, "B6"] or 0)
    making, then, wrapping, post = (_days(typed.get((PLAN, f"{c}{row}")), c == "D") for c in "DFGH")
    handed = needed - spare - post
    return handed - wrapping - then - making, handed - wrapping - then, handed - wrapping, handed


def _check(found, typed):
    right, events = 0, []
    for row in ROWS:
        cells = [found[PLAN, f"{c}{row}"] for c in "IJKL"]
        if all(typed.get((PLAN, f"{c}{row}")) is None for c in "ABCDEFGH"):
            assert cells == [""] * 4
            continue
        assert "" not in cells
        try:
            wanted = _expected(typed, row)
        except (AssertionError, TypeError):
            assert is_error(cells[0]) and is_error(found[PLAN, f"N{row}"])
            events.append(None)
            continue
        if not is_error(cells[0]):
            assert tuple(cells) == wanted
            events += [wanted[0], wanted[2], wanted[3]]
            right += 1
        verdict = found[PLAN, f"N{row}"]
        if not is_error(verdict):
            assert verdict.startswith("TOO LATE") == (wanted[0] < _day(typed[PLAN, "B5"]))
    listed = [found[TO_DO, f"B{r}"] for r in range(6, 6 + template.EVENTS)]
    if None in events:
        assert is_error(listed[0]) and is_error(found[PLAN, "G4"]) and is_error(found[CALENDAR, "C6"])
    elif not is_error(listed[0]):
        assert [d for d in listed if d != ""] == sorted(events)
    return right


def test_nonsense_gives_a_right_day_or_an_error(filled):
    base = inputs(FILE)
    cells = [c for c in base if int(c[1][1:]) in (4, 5, 6, 11, 14, 15)]
    assert len(cells) > 25
    right = 0
    for typed in nonsense(cells, at_once=4):
        found = filled(typed)
        assert all(isinstance(v, (float, int, str, CellError)) for v in found.values())
        right += _check(found, {**base, **typed})
    assert right > 50
