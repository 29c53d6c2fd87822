"""The template for candles and melts: built as committed, right by hand, and never wrong whatever is typed."""

from pathlib import Path

import pytest
import tarecell.workbook_templates.candles_and_melts as template
from tarecell.errors import CellError
from template_checks import Filled, inputs, is_error, is_number, nonsense

HERE = Path(template.__file__).parent
FILE = HERE / "candles_and_melts.xlsx"
ML = {"mL": 1.0, "L": 1000.0, "fl oz": 29.5735295625, "cup": 236.5882365}  # NIST Handbook 44
PLAN, SHELF, POUR = "Plan", "Wax and fragrance", "Pour"


@pytest.fixture(scope="module")
def filled(tmp_path_factory):
    return Filled(FILE, tmp_path_factory.mktemp("candles"))


def test_by_hand(filled):
    """Worked by hand: mass = volume × density; the load is s ÷ (1 + s) of the pour; rounding to 0.1 g."""
    found = filled()
    # 240 mL × 85 % × 0.9 g/mL = 183.6 g; 12 pieces, 2 % stays in the jug: 2203.2 ÷ 0.98 = 2248.163 g
    assert found[POUR, "B9"] == pytest.approx(183.6)
    assert found[POUR, "C9"] == pytest.approx(2248.1632653)
    # 8 % of the wax is 0.08 ÷ 1.08 = 7.4074 % of the pour: 166.5306 g, weighed as 166.5; wax 2248.2 − 166.5
    assert found[POUR, "D9"] == pytest.approx(166.5)
    assert found[POUR, "E9"] == pytest.approx(2081.7)
    # 10 fl oz = 295.735 mL; × 80 % × 0.9 = 212.929 g; 6 ÷ 0.98 of it = 1303.649 g; 7 % of the pour = 91.2555 g
    assert found[POUR, "D10"] == pytest.approx(91.3)
    assert found[POUR, "E10"] == pytest.approx(1303.6 - 91.3)
    assert found[POUR, "H10"] == pytest.approx(0.07 / 0.93)  # share of the wax
    assert found[POUR, "N10"] == pytest.approx(85 - 65)
    assert found[POUR, "C17"] == pytest.approx(sum(found[POUR, f"C{r}"] for r in (9, 10, 11)))
    assert found[SHELF, "F6"] == pytest.approx(found[POUR, "E9"] + found[POUR, "E10"])
    assert found["Test burns", "K5"] == pytest.approx((298 - 289.4) / 2)


def test_limits_are_told_in_words(filled):
    found = filled({(SHELF, "B16"): 0.05, (SHELF, "C15"): 60, (SHELF, "C6"): 0.07, (SHELF, "C7"): None})
    assert found[POUR, "L10"] == "over" and found[POUR, "D10"].kind == "#NUM!"
    assert found[POUR, "N9"] == -5 and found[POUR, "O9"].startswith("WARNING: ABOVE")
    assert found[POUR, "J9"] == "over" and found[POUR, "J11"] == "not stated"
    assert "the most is" in found["Working", "F10"]
    exact = filled({(SHELF, "C15"): 65})
    assert exact[POUR, "O9"].startswith("WARNING: AT")


def test_a_missing_cap_is_never_a_free_hand(filled):
    found = filled({(SHELF, "B15"): None})
    assert all(found[POUR, f"{c}9"].kind == "#N/A" for c in "DEKL")
    assert all(is_error(found[POUR, f"{c}17"]) for c in "DE")
    assert "ask the supplier" in found["Working", "E9"]


def test_a_name_listed_twice_or_spelled_like_a_pattern_is_an_error(filled):
    twice = filled({(SHELF, "A7"): "Sample soft wax"})
    assert is_error(twice[POUR, "B9"]) and is_error(twice[POUR, "M9"])
    assert is_error(filled({(PLAN, "H9"): "Sample*"})[POUR, "B9"])


def _listed(sheet_rows, typed, name, columns):
    """The row of a list that has this name, the way a person would find it."""
    rows = [[typed.get((SHELF, f"{c}{r}")) for c in columns] for r in sheet_rows]
    same = [row for row in rows if isinstance(row[0], str) and str(row[0]).lower() == str(name).lower()]
    if len(same) != 1:
        raise ValueError("not listed once")
    return same[0][1:]


def _expected(typed, row):
    """Pour, fragrance and wax of one row, from scratch; an exception where something cannot be."""
    volume, unit, filled_to, loss = (typed.get((PLAN, f"{c}{row}")) for c in "DEFG")
    kind, pieces, wax, scent, load, basis = (typed.get((PLAN, f"{c}{row}")) for c in "BCHIJK")
    step = typed[PLAN, "B5"] or 0
    assert kind in ("candle", "wax melt")
    density, _, _ = _listed(range(6, 12), typed, wax, "ABCD")
    cap, _ = _listed(range(15, 23), typed, scent, "ABC")
    cap = 1.0 if cap == "no restriction" else cap
    assert 0 < cap <= 1 and volume > 0 and 0 < density <= 2 and pieces > 0 and step >= 0
    assert 0 <= (filled_to or 1) <= 1 and 0 <= (loss or 0) < 1
    assert basis in ("wax", "total", None) and load is not None and 0 <= load <= 1
    pour = pieces * volume * ML[unit] * density * (filled_to or 1) / (1 - (loss or 0))
    share = load if basis == "total" else load / (1 + load)
    assert share <= cap * (1 + 1e-9)
    return pour, pour * share, share, step


def _check(found, typed):
    """Holds every row and total against the independent figures. How many rows gave numbers."""
    right = 0
    for row in range(template.FIRST, template.LAST + 1):
        used = any(typed.get((PLAN, f"{c}{row}")) is not None for c in "ABCDEFGHIJK")
        cells = {c: found[POUR, f"{c}{row}"] for c in "BCDEFGHIJKLMNO"}
        if not used:
            assert set(cells.values()) == {""}
            continue
        assert "" not in cells.values(), f"row {row} silently dropped"
        try:
            pour, fragrance, share, step = _expected(typed, row)
        except (ValueError, TypeError, AssertionError, KeyError):
            assert is_error(cells["E"]), (row, cells)
            continue
        assert is_error(cells["C"]) or cells["C"] == pytest.approx(pour, rel=1e-9)
        assert is_error(cells["I"]) or cells["I"] == pytest.approx(share, rel=1e-9)
        assert is_error(cells["D"]) or abs(cells["D"] - fragrance) <= step * (1 + 1e-6) + 1e-9 * pour
        assert is_error(cells["E"]) or abs(cells["D"] + cells["E"] - pour) <= step / 2 * (1 + 1e-6) + 1e-9 * pour
        assert is_error(cells["L"]) or cells["L"] == "within"
        assert is_error(cells["O"]) == is_error(cells["N"])
        right += is_number(cells["E"])
        if is_number(cells["N"]):
            assert (cells["O"] == "below") == (cells["N"] > 0)
    for letter in "CDE":
        parts = [found[POUR, f"{letter}{r}"] for r in range(template.FIRST, template.LAST + 1)]
        total = found[POUR, f"{letter}{template.LAST + 1}"]
        if any(is_error(p) for p in parts):
            assert is_error(total)
        else:
            assert total == pytest.approx(sum(p for p in parts if p != ""), abs=1e-6)
    return right


def test_nonsense_gives_a_right_number_or_an_error(filled):
    base = inputs(FILE)
    rows = {PLAN: (4, 5, 9, 10, 12), SHELF: (6, 7, 8, 15, 16, 17), "Test burns": (5, 6)}
    cells = [cell for cell in base if int(cell[1][1:]) in rows[cell[0]]]
    assert len(cells) > 75
    right = 0
    for typed in nonsense(cells, at_once=8):
        found = filled(typed)
        assert all(isinstance(v, (float, int, str, CellError)) for v in found.values())
        right += _check(found, {**base, **typed})
        for row in (5, 6):
            rate, reach = (found["Test burns", f"{c}{row}"] for c in "KL")
            assert is_error(rate) or rate == "" or rate >= 0
            assert is_error(reach) or reach == "" or 0 <= reach <= 1
    assert right > 50  # the check above is no empty one


def test_every_product_row_has_the_same_formulas():
    """So that what holds for the rows tried holds for all."""
    from openpyxl import load_workbook
    from openpyxl.formula.translate import Translator

    book = load_workbook(FILE)
    for name in (POUR, "Working"):
        for row in range(template.FIRST + 1, template.LAST + 1):
            for column in "BCDEFGHIJKLMNO" if name == POUR else "BCDEFG":
                first = Translator(book[name][f"{column}{template.FIRST}"].value, f"{column}{template.FIRST}")
                assert book[name][f"{column}{row}"].value == first.translate_formula(f"{column}{row}")
