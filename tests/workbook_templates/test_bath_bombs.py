"""The bath-bomb workbook: the same file when rebuilt, right figures, and nothing wrong where nonsense is typed."""

from datetime import date, datetime
from math import floor, pi
from pathlib import Path

import pytest
from tarecell.errors import CellError
from tarecell.examples import build_bath_bombs
from tarecell.workbook_templates import bath_bombs
from template_checks import inputs, is_number
from template_typing import GRAMS, NONSENSE, OUNCE, Typed, check_recipe

FILE = Path(bath_bombs.__file__).with_suffix(".xlsx")
EXAMPLE = Path(build_bath_bombs.__file__).with_name(build_bath_bombs.NAME)
R, Z, F, T, D = "Recipe", "Fizz", "Filling", "Topping", "Days"
FIRST, LAST = 14, 27
# Molar masses in g/mol from the IUPAC atomic weights: 3 NaHCO3 to 1 C6H8O7.
SODA_PER_CITRIC = 3 * 84.0066 / 192.1235


def day(serial: float) -> date:
    return date.fromordinal(date(1899, 12, 30).toordinal() + int(serial))


def test_the_mix_by_hand():
    """8 × 150 g + 6 × 60 g = 1560 g; ÷ 0.98 = 1591.84 g, rounded up to 1591.9 g; of it 500 in 1054 is soda."""
    typed = Typed(FILE, {})
    assert typed[R, "I8"] == pytest.approx(1591.9)
    assert typed[R, "G14"] == pytest.approx(1591.9 * 500 / 1054, abs=0.1)
    assert [typed[R, f"C{row}"] for row in (32, 33, 34)] == pytest.approx(
        [1591.9 * 740 / 1054, 1591.9 * 250 / 1054, 1591.9 * 64 / 1054], abs=0.2
    )


def test_the_fizz_by_hand():
    """Kitchen 2 : 1 leaves 34.4 % of the soda; 259.5 g CO2 ÷ 44.0095 × R T ÷ p at 38 °C (CODATA 2018) is 150.5 L."""
    typed = Typed(FILE, {})
    soda, acid = typed[R, "G14"], typed[R, "G17"]
    assert typed[Z, "B15"] == pytest.approx(1 - acid * SODA_PER_CITRIC / soda, abs=1e-5)
    assert typed[Z, "B15"] == pytest.approx(0.344, abs=0.001)
    litres = acid * SODA_PER_CITRIC / 84.0066 * 8.314462618 * (38 + 273.15) / 101325 * 1000
    assert typed[Z, "B17"] == pytest.approx(litres, rel=1e-5)
    assert typed[Z, "B18"] == pytest.approx(litres * 150 / 1591.9, rel=1e-5)
    assert typed[Z, "B19"] == pytest.approx(soda / acid)
    assert typed[Z, "B20"] == pytest.approx(soda * 0.7 / SODA_PER_CITRIC, rel=1e-5)


def test_filling_by_hand():
    """1591.9 g − 2 % = 1560.06 g: 8 large ones take 1200 g, 6 small ones 360 g; with 1300 g of mix there is less."""
    typed = Typed(FILE, {})
    assert [typed[F, f"B{row}"] for row in (9, 11)] == [8, 6]
    assert typed[F, "B12"] == pytest.approx(1591.9 * 0.98 - 1560)
    less = Typed(FILE, {(F, "B4"): 1300})  # 1274 g: 8 × 150 = 1200, 74 left: one small, 14 over
    assert [less[F, f"B{row}"] for row in (9, 11)] == [8, 1]
    assert less[F, "B12"] == pytest.approx(14)
    pounds = Typed(FILE, {(F, "B4"): 2, (F, "C4"): "lb"})  # 907.18474 × 0.98 = 889.04 g: 5 large, 139.04: 2 small
    assert [pounds[F, f"B{row}"] for row in (9, 11)] == [5, 2]
    assert pounds[F, "B13"].endswith("Not enough for all the large ones.")
    assert typed[F, "B19"] == pytest.approx(pi / 6 * 6**3)
    assert typed[F, "B21"] == pytest.approx(pi / 6 * 6**3 * 1.25)


def test_the_topping_by_hand():
    """8 × 6 g + 6 × 3 g = 66 g ÷ 0.9 = 73.33 g, up to 73.4 g; 15 % of it is clay, the rest as 40 : 10 : 1."""
    typed = Typed(FILE, {})
    assert typed[T, "G6"] == pytest.approx(73.4)
    rest = 73.4 * 0.85 / 51
    assert typed.column(T, "F", 11, 13) == pytest.approx([40 * rest, 10 * rest, rest], abs=0.1)
    assert typed[T, "F17"] == pytest.approx(73.4 * 0.15, abs=0.1)
    thick = Typed(FILE, {(T, "B8"): 0.3})
    assert thick[T, "F17"] == pytest.approx(73.4 * 0.3, abs=0.1)
    assert thick[T, "F18"] == pytest.approx(73.4)


def test_days_and_ounces_by_hand():
    typed = Typed(EXAMPLE, {})
    # 20 × 5 oz + 6 × 2 oz = 112 oz × 28.349523125 × 1.05 ÷ 0.98
    assert typed[R, "I7"] == pytest.approx(112 * OUNCE * 1.05 / 0.98)
    assert typed[R, "I8"] == floor(112 * OUNCE * 1.05 / 0.98) + 1  # the scale shows whole grams
    assert typed[R, "F18"] == pytest.approx(4 * 14.78676478125 * 0.9145)  # tablespoons, NIST Handbook 44
    assert (day(typed[D, "B9"]), day(typed[D, "B10"])) == (date(2026, 11, 8), date(2026, 11, 9))
    assert day(typed[D, "B11"]) == date(2026, 11, 26)


@pytest.mark.parametrize(
    "changes, place, told",
    [
        ({(R, "C17"): None}, (R, "K17"), "the amount is missing"),
        ({(R, "C17"): 400}, (Z, "B16"), "acid is left over"),
        ({(R, "A17"): "dry"}, (Z, "B10"), "no: see the acid rows"),
        ({(Z, "A8"): "Citric acid", (Z, "B8"): "citric acid"}, (Z, "B10"), "no: see the acid rows"),
        ({(R, "A15"): "powder"}, (R, "D35"), "a row is neither"),
        ({(Z, "B24"): None}, (Z, "B26"), "not stated"),
        ({(Z, "B24"): 0}, (Z, "B26"), "not allowed"),
        ({(Z, "B24"): 0.009}, (Z, "B26"), "over"),
        ({(Z, "B23"): None}, (Z, "B26"), "no fragrance"),
        ({(R, "C5"): 7.5}, (R, "F11"), "give whole numbers of pieces"),
        ({(T, "B8"): 0.7}, (T, "H17"), "name the thickener"),
        ({(T, "A17"): None}, (T, "H17"), "name the thickener"),
        ({(T, "B12"): None}, (T, "H12"), "name, amount or unit is missing"),
        ({(D, "B7"): date(2026, 3, 15)}, (D, "B12"), "too late"),
        ({(D, "B6"): 3}, (D, "B12"), "turning day is after"),
    ],
)
def test_words(changes, place, told):
    assert str(Typed(FILE, changes)[place]).startswith(told)


def test_only_large_moulds():
    typed = Typed(FILE, {(R, "D5"): None, (R, "D6"): None, (T, "B5"): 0})
    assert typed[R, "I8"] == pytest.approx(1200 / 0.98, abs=0.1)
    assert (typed[F, "B9"], typed[F, "B11"]) == (8, 0)
    assert is_number(typed[T, "F18"])


def _or_nothing(value):
    return 0 if value in (None, " ") else value


def _check(typed: Typed):
    """What must hold whatever is typed: totals are sums, ingredients never drop out, words fit the numbers."""
    batch, total = typed[R, "I8"], typed[R, f"G{LAST + 1}"]
    if is_number(total):
        loss, spare, step = (_or_nothing(typed[R, f"C{row}"]) for row in (8, 9, 10))
        need = sum(
            (_or_nothing(typed[R, f"{c}5"]) and typed[R, f"{c}5"] * typed[R, f"{c}6"] * GRAMS[typed[R, f"{c}7"]])
            for c in "CD"
        )
        assert batch == pytest.approx(need * (1 + spare) / (1 - loss), abs=step, rel=1e-9)
        check_recipe(typed, R, FIRST, LAST, batch, step)
    else:
        assert isinstance(total, CellError)
    _check_fizz(typed)
    _check_filling(typed)
    _check_topping(typed)
    made, drying, turning, needed = (typed[D, f"B{row}"] for row in (4, 5, 6, 7))
    for where, start, sign, days in (("B9", made, 1, turning), ("B10", made, 1, drying), ("B11", needed, -1, drying)):
        if is_number(typed[D, where]):
            start = start if is_number(start) else (start - datetime(1899, 12, 30)).days
            assert typed[D, where] == int(start) + sign * days


def _check_fizz(typed: Typed):
    left, grams = typed[Z, "B15"], typed.column(R, "G", FIRST, LAST)
    if is_number(left):
        assert left == pytest.approx(1 - grams[3] * SODA_PER_CITRIC / grams[0], abs=1e-5, rel=1e-5)
        assert typed[Z, "B16"].startswith("acid" if left < -1e-4 else "soda" if left > 1e-4 else "they")
    if is_number(typed[Z, "B17"]):
        assert typed[Z, "B17"] >= 0 and is_number(left)
    if typed[Z, "B26"] == "within":
        cap = 1 if typed[Z, "B24"] == "no restriction" else typed[Z, "B24"]
        assert 0 < typed[Z, "B25"] <= cap


def _check_filling(typed: Typed):
    over, large, small = typed[F, "B12"], typed[F, "B9"], typed[F, "B11"]
    if is_number(over):
        mix = typed[F, "B6"]
        assert mix > 0 and large >= 0 and small >= 0 and large == int(large) and small == int(small)
        filled = large * typed[R, "I5"] + small * typed[R, "I6"]
        usable = mix * (1 - _or_nothing(typed[R, "C8"]))
        assert filled + over == pytest.approx(usable, rel=1e-6)
        assert not typed[R, "I6"] or over < typed[R, "I6"] * 1.000001 or over < 1e-6 * mix


def _check_topping(typed: Typed):
    total = typed[T, "F18"]
    if not is_number(total):
        return
    grams = [g for g in typed.column(T, "F", 11, 17) if is_number(g)]
    large, small, loss, step, share = (_or_nothing(typed[T, f"B{row}"]) for row in (4, 5, 6, 7, 8))
    need = (typed[F, "B9"] * large + typed[F, "B11"] * small) / (1 - loss)
    assert total == pytest.approx(need, abs=step, rel=1e-9) and total == pytest.approx(sum(grams))
    assert typed[T, "F17"] == pytest.approx(share * total, abs=max(step, 1e-9 * total))
    for row in range(11, 17):
        named = str("" if typed[T, f"A{row}"] is None else typed[T, f"A{row}"]).strip()
        assert bool(named) == is_number(typed[T, f"F{row}"])


def _fuzzed() -> list[tuple[str, str]]:
    """Every single input, and of the tables' rows some that are filled and one that is empty."""
    rows = {R: {14, 17, 24}, Z: {7, 8}, T: {12, 15}}
    tables = {R: range(14, 28), Z: range(7, 10), T: range(11, 17), F: (), D: ()}
    found = []
    for sheet, address in inputs(FILE):
        row = int("".join(c for c in address if c.isdigit()))
        if row not in tables[sheet] or row in rows[sheet]:
            found.append((sheet, address))
    return found


@pytest.mark.parametrize("place", _fuzzed(), ids=lambda p: "!".join(p))
def test_nonsense_gives_a_right_number_or_an_error(place):
    for nonsense in NONSENSE:
        _check(Typed(FILE, {place: nonsense}))
