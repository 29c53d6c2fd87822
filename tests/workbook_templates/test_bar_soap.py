"""The bar-soap workbook: the same file when rebuilt, right figures, and nothing wrong where nonsense is typed."""

from datetime import date, datetime
from pathlib import Path

import pytest
from tarecell.errors import CellError
from tarecell.examples import build_bar_soap
from tarecell.workbook_templates import bar_soap
from template_checks import inputs, is_number
from template_typing import GRAMS, NONSENSE, OUNCE, Typed, values

FILE = Path(bar_soap.__file__).with_suffix(".xlsx")
EXAMPLE = Path(build_bar_soap.__file__).with_name(build_bar_soap.NAME)
R, C, V, B = "Recipe", "Checks", "Values", "Curing"
FIRST, LAST = 16, 27
NAOH = 39.9971 / 56.1056  # molar masses of NaOH and KOH, standard atomic weights
# mg KOH per g: low, used, high. Codex CXS 33 (olive), CXS 210 (coconut, high oleic sunflower), CXS 325R (shea);
# castor: BP 1993; cocoa butter: CRC value 193.8 in 188 to 195. Middle of the range where no single value is published.
SAP = {
    "olive oil": (184, 190, 196),
    "coconut oil": (248, 256.5, 265),
    "high oleic sunflower oil": (182, 188, 194),
    "cocoa butter": (188, 193.8, 195),
    "shea butter": (160, 177.5, 195),
    "castor oil": (176, 181.5, 187),
}


def test_cautions_come_first():
    first = [v for (sheet, address), v in values(FILE).items() if sheet == "Start here" and address.startswith("A")]
    assert first[2] == "Cautions"
    assert values(FILE)[R, "A3"].startswith("LYE BURNS")


def test_the_lye_by_hand():
    """25 × 9 × 7 cm = 1575 mL; 95 % of it at 1 g/mL is 1496.25 g. Lye for a gram of fats, 6 % superfat, 98 % pure:
    (0.5 × 190 + 0.25 × 256.5 + 0.15 × 188 + 0.1 × 193.8) / 1000 × 0.712889 × 0.94 ÷ 0.98 = 0.141338 g."""
    typed = Typed(FILE, {})
    assert typed[R, "H12"] == pytest.approx(1496.25)
    one = (0.5 * 190 + 0.25 * 256.5 + 0.15 * 188 + 0.1 * 193.8) / 1000 * NAOH * 0.94 / 0.98
    assert typed[R, "H38"] == pytest.approx(one, rel=1e-9)
    fats = 1496.25 / (1 + one + one * 0.7 / 0.3 + 0.03)
    assert typed[R, "H37"] == pytest.approx(fats)
    assert typed[R, "F28"] == pytest.approx(fats, abs=0.05)
    assert typed.column(R, "F", 16, 19) == pytest.approx([fats * s for s in (0.5, 0.25, 0.15, 0.1)], abs=0.1)
    assert 0 <= fats * one - typed[R, "H32"] < 0.2  # rounded down: never more lye than worked out
    assert typed[R, "H33"] == pytest.approx(typed[R, "H32"] * 0.7 / 0.3, abs=0.05)
    assert typed[R, "H36"] == pytest.approx(1496.25, abs=0.5)
    assert typed[C, "B9"] == pytest.approx(0.06, abs=0.001) and typed[C, "B9"] >= 0.06 - 1e-4
    # iodine values: Codex ranges, the middle of each: 84.5, 8.45, 84, 39
    assert typed[C, "B12"] == pytest.approx(0.5 * 84.5 + 0.25 * 8.45 + 0.15 * 84 + 0.1 * 39, abs=0.02)


def test_own_values_ounces_and_the_lye_weighed_by_hand():
    """Mango butter has no published value, the supplier's 188.5 is taken; 4.6 oz of lye were weighed."""
    typed = Typed(EXAMPLE, {})
    assert typed[R, "H11"] == pytest.approx(10 * 3.5 * 2.5 * 2.54**3)
    names = ["olive oil", "coconut oil", "shea butter", "mango butter", "castor oil"]
    grams = typed.column(R, "F", 16, 20)
    for end, cell in ((0, "B8"), (1, "B9"), (2, "B10")):
        need = sum(g * {**SAP, "mango butter": (188.5,) * 3}[n][end] for g, n in zip(grams, names, strict=True))
        assert typed[C, cell] == pytest.approx(1 - 4.6 * OUNCE * 0.985 / (need / 1000 * NAOH), abs=1e-9)
    assert typed[C, "B5"] == pytest.approx(4.6 * OUNCE)
    batch = typed[R, "H36"]
    assert typed[B, "B6"] == int(batch * 0.97 / (4.5 * OUNCE))
    assert typed[C, "B18"] == pytest.approx(typed[R, "C32"] / (batch - typed[R, "H33"]))
    assert typed[B, "B12"] == (datetime(2026, 11, 14) - datetime(1899, 12, 30)).days
    assert typed[B, "B13"] == (datetime(2026, 10, 17) - datetime(1899, 12, 30)).days


def test_potash_and_fats_as_typed():
    """700 g olive, 300 g coconut, KOH of 90 %: (700 × 190 + 300 × 256.5) / 1000 × 0.95 ÷ 0.9 = 221.61 g."""
    changes = {(R, "B5"): "fats as typed", (R, "B6"): "KOH", (R, "B7"): 0.05, (R, "B8"): 0.9}
    for row in (18, 19):
        changes |= {(R, f"{c}{row}"): None for c in "ABC"}
    changes |= {(R, "B16"): 700, (R, "B17"): 300, (R, "C16"): "g", (R, "C17"): "g"}
    typed = Typed(FILE, changes)
    assert typed.column(R, "F", 16, 17) == pytest.approx([700, 300])
    assert typed[R, "H32"] == pytest.approx(221.6)
    assert typed[C, "B9"] == pytest.approx(1 - 221.6 * 0.9 / 209.95)


@pytest.mark.parametrize(
    "changes, place, told",
    [
        ({(R, "B17"): None}, (R, "J17"), "fat, amount or unit is missing"),
        ({(R, "A17"): "unicorn oil"}, (R, "J17"), "#N/A no fat"),
        ({(R, "A17"): "mango butter"}, (R, "J17"), "#N/A"),
        ({(R, "D17"): 0.19}, (R, "J17"), "#NUM!"),
        ({(R, "B16"): 55}, (R, "H13"), "shares that add up to 105 %, not 100"),
        ({(R, "C16"): "g"}, (R, "H13"), "both % and amounts"),
        ({(R, "B5"): "fats as typed"}, (R, "J37"), "type the fats as weights"),
        ({(C, "B4"): 160}, (C, "B11"), "BELOW ZERO"),
        ({(C, "B4"): 146}, (C, "B11"), "lye-heavy is possible"),
        ({(R, "A17"): "shea butter", (R, "B7"): 0.03}, (C, "B11"), "lye-heavy is possible"),
        ({(R, "A17"): "stearic acid"}, (C, "B11"), "a fat without a published range"),
        ({(C, "B16"): None}, (C, "B19"), "not stated"),
        ({(C, "B16"): 0}, (C, "B19"), "not allowed"),
        ({(C, "B16"): 0.015}, (C, "B19"), "over"),
        ({(C, "B15"): None}, (C, "B19"), "no fragrance"),
        ({(B, "B11"): date(2026, 4, 1)}, (B, "B14"), "too late"),
    ],
)
def test_words(changes, place, told):
    assert str(Typed(FILE, changes)[place]).startswith(told)


@pytest.mark.parametrize(
    "place", [(R, "B6"), (R, "B7"), (R, "B8"), (R, "B9"), (R, "H5"), (R, "H10"), (R, "B17"), (R, "B32"), (R, "B5")]
)
def test_an_emptied_cell_is_no_lye_amount(place):
    for empty in (None, " "):
        lye = Typed(FILE, {place: empty})[R, "H32"]
        water = Typed(FILE, {place: empty})[R, "H33"]
        assert isinstance(lye, CellError) and isinstance(water, CellError)


def _plain(value):
    return 0 if value in (None, " ") else value


def _check(typed: Typed):
    """What must hold whatever is typed: lye, water and totals as plain arithmetic on what is typed gives them."""
    lye, total = typed[R, "H32"], typed[R, "F28"]
    grams = typed.column(R, "F", FIRST, LAST)
    if is_number(lye):
        alkali, superfat, purity, strength = (typed[R, f"B{row}"] for row in (6, 7, 8, 9))
        step = _plain(typed[R, "B10"])
        need = [0.0, 0.0, 0.0]
        parts = []
        for row, g in enumerate(grams, FIRST):
            name, amount, unit, own = (typed[R, f"{c}{row}"] for c in "ABCD")
            if not any(str("" if x is None else x).strip() for x in (name, amount, own)):
                assert not is_number(g)
                continue
            assert is_number(g) and is_number(amount) and amount >= 0 and typed[R, f"J{row}"] == "ok"
            parts.append((g, amount * GRAMS[unit]))
            for end in range(3):
                need[end] += g * (own if is_number(own) else SAP[name][end]) / 1000 * (NAOH if alkali == "NaOH" else 1)
        for g, part in parts:
            assert g == pytest.approx(total * part / sum(p for _, p in parts), abs=max(step, 1e-9 * total))
        exact = need[1] * (1 - superfat) / purity
        assert exact - max(step, 1e-9 * exact) <= lye <= exact * (1 + 1e-9)
        if is_number(typed[R, "H33"]):
            assert typed[R, "H33"] == pytest.approx(lye * (1 - strength) / strength, abs=step / 2 + 1e-9 * lye)
        if is_number(typed[C, "B9"]):
            weighed = typed[C, "B5"]
            for end, cell in ((0, "B8"), (1, "B9"), (2, "B10")):
                if is_number(typed[C, cell]):
                    assert typed[C, cell] == pytest.approx(1 - weighed * purity / need[end], abs=1e-9, rel=1e-9)
            words, low = typed[C, "B11"], typed[C, "B8"]
            assert words.startswith("BELOW") == (typed[C, "B9"] < 0)
            assert words.startswith("above") == (typed[C, "B9"] >= 0 and is_number(low) and low >= 0)
    if is_number(typed[R, "H36"]):
        added = [g for g in typed.column(R, "C", 32, 36) if is_number(g)]
        assert typed[R, "H36"] == pytest.approx(total + lye + typed[R, "H33"] + sum(added))
        for row in range(32, 37):
            name, share = typed[R, f"A{row}"], typed[R, f"B{row}"]
            if any(str("" if x is None else x).strip() for x in (name, share)):
                assert typed[R, f"C{row}"] == pytest.approx(
                    share * total, abs=_plain(typed[R, "B10"]) / 2 + 1e-9 * total
                )
        if typed[R, "B5"] == "mould" and is_number(lye):
            assert typed[R, "H36"] == pytest.approx(
                typed[R, "H12"], abs=5 * max(_plain(typed[R, "B10"]), 1e-9), rel=1e-6
            )
    if typed[C, "B19"] == "within":
        cap = 1 if typed[C, "B16"] == "no restriction" else typed[C, "B16"]
        assert 0 <= typed[C, "B18"] <= cap
    if is_number(typed[B, "B7"]):
        bar = typed[B, "B4"] * GRAMS[typed[B, "C4"]]
        usable = typed[R, "H36"] * (1 - _plain(typed[B, "B5"]))
        assert typed[B, "B6"] * bar + typed[B, "B7"] == pytest.approx(usable, rel=1e-6)


def _fuzzed() -> list[tuple[str, str]]:
    """Every single input, and of the tables' rows some that are filled and one that is empty."""
    rows = {R: {16, 19, 22, 32, 35}, V: {5, 12}}
    tables = {R: [*range(16, 28), *range(32, 37)], V: range(5, 17), C: (), B: ()}
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
