"""Reading one raw cell, whatever the host hands over."""

import datetime
import math

import pytest
from tarecell.errors import SPREADSHEET_KINDS, CellError, NotFound, OutOfRange, WrongValue
from tarecell.functions import cells


class ArrayLike:
    """Stands for an array of another library: only `tolist` is used."""

    def __init__(self, rows):
        self.rows = rows

    def tolist(self):
        return self.rows


@pytest.mark.parametrize("kind", SPREADSHEET_KINDS)
def test_error_cells_in_every_form_pass_on_as_their_own_kind(kind):
    for raw in (kind, {"type": "Error", "kind": kind}, CellError("told elsewhere", kind)):
        with pytest.raises(CellError) as caught:
            cells.check_error(raw, "price")
        assert caught.value.kind == kind
    with pytest.raises(CellError, match="price holds the error"):
        cells.check_error(kind, "price")


@pytest.mark.parametrize("raw", [None, "", "N/A", "#1 wax", "#", 0, 1.5, {"type": "Date"}, True])
def test_what_only_looks_like_an_error_is_none(raw):
    cells.check_error(raw, "price")


@pytest.mark.parametrize(
    ("raw", "rows"),
    [
        (5, [[5]]),
        ("a", [["a"]]),
        (None, [[None]]),
        ([1, 2], [[1], [2]]),
        ((1, 2), [[1], [2]]),
        ([[1, 2]], [[1, 2]]),
        ([[1], [2]], [[1], [2]]),
        (((1, None), ("", 2)), [[1, None], ["", 2]]),
        ([], []),
        (ArrayLike([1.0, 2.0]), [[1.0], [2.0]]),
        (ArrayLike(3.0), [[3.0]]),
    ],
)
def test_rows_of(raw, rows):
    assert cells.rows_of(raw) == rows


def test_single_takes_one_cell_and_no_more():
    assert cells.single([[5]], "x") == cells.single([5], "x") == cells.single(5, "x") == 5
    for raw, count in (([1, 2], 2), ([[1, 2], [3, 4]], 4), ([], 0)):
        with pytest.raises(WrongValue, match=f"this is a range of {count} cells"):
            cells.single(raw, "x")
    with pytest.raises(CellError) as caught:
        cells.single([["#N/A"]], "x")
    assert caught.value.kind == "#N/A"


@pytest.mark.parametrize(
    ("raw", "value"), [(5, 5.0), (2.5, 2.5), (True, 1.0), (False, 0.0), (-0.0, 0.0), (10**300, 1e300)]
)
def test_numbers(raw, value):
    found = cells.number_of(raw, "x")
    assert found == value and type(found) is float


@pytest.mark.parametrize(
    ("raw", "error", "told"),
    [
        ("12.5", WrongValue, "number stored as text"),
        ("12,5 g", WrongValue, "number stored as text"),
        ("some", WrongValue, "text where a number belongs"),
        (math.nan, OutOfRange, "not a finite number"),
        (math.inf, OutOfRange, "not a finite number"),
        (10**400, OutOfRange, "too large"),
        (1 + 2j, WrongValue, "not complex"),
        (datetime.date(2024, 1, 1), WrongValue, "not date"),
        (object(), WrongValue, "not object"),
        ("9" * 10_000, WrongValue, "number stored as text"),
    ],
)
def test_what_is_no_number(raw, error, told):
    with pytest.raises(error, match=told) as caught:
        cells.number_of(raw, "weight")
    assert "weight" in caught.value.reason and len(caught.value.reason) < 200


def test_shares_are_refused_with_what_to_type():
    assert cells.share_refusal(2) == "2 means 200 %; type 2% or 0.02"
    assert cells.share_refusal(0.995, 0.99) == "99.5 % is above 99 %"
    assert "negative" in cells.share_refusal(-0.1)


@pytest.mark.parametrize(
    ("raw", "cap"),
    [
        (0.021, 0.021), (0.0, 0.0), (1, 1.0), (None, None), ("", None), ("  ", None),
        ("no restriction", 1.0), ("No Restrictions", 1.0), ("not restricted", 1.0), ("Not stated", None), ("n/a", None),
    ],
)  # fmt: skip
def test_caps(raw, cap):
    assert cells.read_cap(raw, "cap") == cap


@pytest.mark.parametrize(
    ("raw", "kind"),
    [(2.1, "#NUM!"), (-0.1, "#NUM!"), ("2 %", "#VALUE!"), ("unlimited", "#VALUE!"), ("#N/A", "#N/A"), ("-", "#VALUE!")],
)
def test_what_is_no_cap(raw, kind):
    with pytest.raises(CellError) as caught:
        cells.read_cap(raw, "cap")
    assert caught.value.kind == kind


@pytest.mark.parametrize(
    ("raw", "text"),
    [
        ("  5A ", "5A"), (9.0, "9"), (9, "9"), (2.5, "2.5"), (0, ""), (0.0, ""), (None, ""), ("", ""), ("0", "0"),
        (datetime.date(2024, 2, 29), "2024-02-29"), (1e15, "1e+15"), (0.1 + 0.2, "0.3"),
    ],
)  # fmt: skip
def test_texts(raw, text):
    assert cells.text_of(raw, "x") == text


def test_what_is_no_text():
    with pytest.raises(WrongValue, match="text is wanted, not object"):
        cells.text_of(object(), "x")
    with pytest.raises(CellError) as caught:
        cells.text_of("#NUM!", "x")
    assert caught.value.kind == "#NUM!"
    with pytest.raises(NotFound):
        cells.text_of(NotFound("told elsewhere"), "x")


def test_dates_of_both_systems():
    day = datetime.date(2024, 3, 1)
    assert cells.date_of(45352.75, "made", cells.EPOCH_1900) == day
    assert cells.date_of(45352 - 1462, "made", cells.EPOCH_1904) == day
    assert cells.date_of(datetime.datetime(2024, 3, 1, 23, 59), "made", cells.EPOCH_1900) == day
    for raw, error in (("2024-03-01", WrongValue), (30.0, OutOfRange), (1e12, OutOfRange), (-5.0, OutOfRange)):
        with pytest.raises(error):
            cells.date_of(raw, "made", cells.EPOCH_1900)
