"""Plain copies in a second spreadsheet program, Gnumeric: changed as in test_plain_trials.py, every cell compared.

The original's values come from the embedded engine with the functions. In every run the function book and all templates
but the largest, with one change each; PLAIN_TRIALS=24 makes 24 changes in all templates, all examples and a book of all
functions with all their examples.
"""

import os
import re

import openpyxl
import pytest
from hosts.conftest import not_here
from hosts.gnumeric import WRONG, Gnumeric, GnumericMissing
from hosts.plain_trials import Pair
from hosts.test_plain_trials import SHIPPED, function_book
from openpyxl.worksheet.formula import ArrayFormula
from tarecell.errors import CellError
from tarecell.workbooks.references import position

COUNT = int(os.environ.get("PLAIN_TRIALS", 0))
SLOW = ("materials_and_prices",)
BOOKS = [path for path in SHIPPED if COUNT or (path.parent.name == "workbook_templates" and path.stem not in SLOW)]
NUMBER = re.compile(r"\d+(?:\.\d+)?(?:e[+-]?\d+)?", re.IGNORECASE)


@pytest.fixture(scope="module")
def gnumeric(tmp_path_factory):
    """Gnumeric, asked as Calc is."""
    try:
        return Gnumeric(tmp_path_factory.mktemp("gnumeric"))
    except GnumericMissing as problem:
        not_here("Gnumeric", problem)


@pytest.mark.parametrize("book", ["functions", *BOOKS], ids=lambda p: getattr(p, "stem", p) + _kind(p))
def test_the_copy_follows_changes_like_the_original(book, gnumeric, tmp_path):
    pair = Pair.of(function_book(tmp_path) if book == "functions" else book, tmp_path)
    changes = pair.changes(COUNT or 1, seed=len(pair.inputs))
    found = gnumeric.trials(pair.copy, changes)
    wrong = []
    for change, copy in zip([{}, *changes], found, strict=True):
        wrong += pair.differences(change, _but_for_digits_in_texts(pair.expected(change), copy))
    assert not wrong, f"{len(wrong)} differ:\n" + "\n".join(wrong[:20])
    assert (pair.report.live_cells > 0 and len(changes) > 0) == pair.has_functions


def _kind(path) -> str:
    return "-example" if getattr(path, "parent", None) and path.parent.name == "examples" else ""


def _but_for_digits_in_texts(expected: dict[str, dict], found: dict) -> dict:
    """The cells found; where a text differs only in how many digits of a number it shows, the text expected.

    Gnumeric 1.12.55 as Debian builds it computes with 64 binary digits instead of 53, and shows all that differ from
    the decimal number: =9.12&" oz" gives "9.1199999999999999999 oz". Small numbers it writes as 5e-07.
    """
    return {
        (sheet, at): expected[sheet][at] if _same_text(expected.get(sheet, {}).get(at), value) else value
        for (sheet, at), value in found.items()
    }


def _same_text(want, got) -> bool:
    if not (isinstance(want, str) and isinstance(got, str)) or NUMBER.split(want) != NUMBER.split(got):
        return False
    shown = [[f"{float(number):.15g}" for number in NUMBER.findall(text)] for text in (want, got)]
    return shown[0] == shown[1]


@pytest.fixture
def told(gnumeric, tmp_path):
    """What formulas give in Gnumeric, beside the names and numbers in columns B and C."""

    def ask(*formulas, anew=True):
        book = openpyxl.Workbook()
        for row in (["", "oat", 1], ["", "oat", 2], ["", "rose", 4]):
            book.active.append(row)
        for row, formula in enumerate(formulas, 1):
            book.active.cell(row, 1, formula)
        book.save(tmp_path / "book.xlsx")
        found = gnumeric.computed(tmp_path / "book.xlsx", {}, anew=anew)
        return [found.get(("Sheet", (row, 1))) for row in range(1, len(formulas) + 1)]

    return ask


def test_a_stored_value_does_not_survive(told):
    """Every formula has a wrong one; without the order to compute anew, Gnumeric shows it."""
    formulas = "=SUM(C1:C3)", '=IF(C1=1,"one","")', ArrayFormula("A3:A5", "=C1:C3*2")
    assert told(*formulas) == [7, "one", 2]
    assert WRONG in told(*formulas, anew=False)


def test_values_come_back_whole(told):
    formulas = ["=1/3", "=C1=1", '=""', '="  two  "', '="5"', "=DATE(2026,3,1)", '=CHAR(10)&"x"']
    assert told(*formulas) == [1 / 3, True, "", "  two  ", "5", 46082, "\nx"]
    kinds = ["#N/A", "#NUM!", "#VALUE!", "#DIV/0!", "#NAME?"]
    assert [e.kind for e in told("=NA()", "=SQRT(-1)", '="a"+1', "=1/0", "=nope()")] == kinds


def test_only_the_digits_of_a_number_in_a_text_are_left_open(told):
    """A minimal case of what is left open, and what is not."""
    (small,) = told('=0.0000005&" oz"')
    assert small == "5e-07 oz" and _same_text("0.0000005 oz", small)
    assert _same_text("9.12 oz", "9.1199999999999999999 oz") and _same_text(
        "1 lb 0.3 oz", "1 lb 0.29999999999999999999 oz"
    )
    for want, got in (
        ("9.12 oz", "9.13 oz"),
        ("9.12 oz", "9.12 lb"),
        ("9.12", 9.12),
        ("a", "b"),
        ("9 oz", "9.00000001 oz"),
    ):
        assert not _same_text(want, got)


def test_what_plain_formulas_avoid(told):
    """Gnumeric computes these otherwise than other programs, so that no plain formula has them (seen in 1.12.55)."""
    highest, lone = told('=SUMPRODUCT(MAX((B1:B3="oat")*C1:C3)*(C1:C3=1))', "=INDEX(B1,1)")
    assert highest != 2 and lone != "oat"
    highest, lone = told('=SUMPRODUCT(LARGE((B1:B3="oat")*C1:C3,1)*(C1:C3=1))', "=IF(C1=1,B1)")
    assert highest == 2 and lone == "oat"


ONE_ROW = [
    ["Lavender soap", "olive oil", 120, 0.005, "=TC_ROLLUP(A1,A1:D1)"],
    ["cap", "leave-on", "", "", '=TC_CAP(A2:B3,"rose","leave-on")'],
    ["rose", 0.05, "", "", '=TC_CAP(A2:B3,"lavender","leave-on")'],
    ["water", 60, "", "", '=TC_PHASE_TOTAL(A4,B4,"Water ")'],
    [450, "", "", "", "=TC_LB_OZ(A5)"],
]


def test_tables_of_one_row(gnumeric, tmp_path):
    book = openpyxl.Workbook()
    for row in ONE_ROW:
        book.active.append(row)
    book.save(tmp_path / "book.xlsx")
    pair = Pair.of(tmp_path / "book.xlsx", tmp_path)
    changes = [{("Sheet", position(at)): value} for at, value in (("A1", "soap"), ("B3", 1.5), ("A5", 453.59237))]
    for change, copy in zip([{}, *changes], gnumeric.trials(pair.copy, changes), strict=True):
        assert not pair.differences(change, copy)
    assert not pair.report.fixed and copy["Sheet", (5, 5)] == "1 lb 0 oz"
    assert isinstance(pair.expected({})["Sheet"][3, 5], CellError)
