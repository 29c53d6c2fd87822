"""The cream-batch workbook: the same file when rebuilt, right figures, and nothing wrong where nonsense is typed."""

from pathlib import Path

import pytest
from tarecell.errors import CellError
from tarecell.examples import build_cream_batch
from tarecell.workbook_templates import cream_batch
from template_checks import inputs, is_number
from template_typing import GRAMS, NONSENSE, Typed, check_recipe

FILE = Path(cream_batch.__file__).with_suffix(".xlsx")
EXAMPLE = Path(build_cream_batch.__file__).with_name(build_cream_batch.NAME)
R, M, C, H = "Recipe", "Making", "Checks", "HLB"
FIRST, LAST = 13, 26


def test_the_batch_by_hand():
    """10 jars × 50 g ÷ 0.97 = 515.46 g, rounded up to 515.5 g; each share of it, rounded with the total kept."""
    typed = Typed(FILE, {})
    assert typed[R, "I5"] == pytest.approx(515.5)
    grams = typed.column(R, "G", FIRST, FIRST + 6)
    exact = [515.5 * s for s in (0.67, 0.04, 0.07, 0.14, 0.06, 0.01, 0.01)]
    assert sum(grams) == pytest.approx(515.5)
    assert grams == pytest.approx(exact, abs=0.1)
    assert typed[R, "I8"] == 10
    # Pot: 1302.5 − 812 = 490.5 g of mix; water and oil should weigh 98 %, about 505.2 g.
    assert typed[M, "B8"] == pytest.approx(490.5)
    assert typed[M, "B9"] == pytest.approx(sum(grams[:5]) - 490.5)
    # Phenoxyethanol: nine tenths of the preservative.
    assert typed[C, "D6"] == pytest.approx(0.9 * grams[5] / 515.5)
    assert typed[C, "F6"].startswith("within: 0.9")
    assert typed[C, "B18"] == "within"
    assert typed[C, "B19"] == pytest.approx(0.015 * 515.5)


def test_the_published_emulsion():
    """OCL 2022, ocl210096, tables 4 and 5: required HLB 10.33; 3 % splits into 1.36 and 1.64 (printed to 0.01)."""
    typed = Typed(FILE, {})
    assert typed[H, "C18"] == pytest.approx(10.33, abs=0.005)
    assert typed[H, "D15"] == pytest.approx(1.36, abs=0.005)
    assert typed[H, "D16"] == pytest.approx(1.64, abs=0.005)


def test_ounces_and_volumes_by_hand():
    """The studio's recipe: 1 oz = 28.349523125 g, 57 mL × 0.9125 g/mL; jar 4 US fl oz × 29.5735295625 mL × 0.96."""
    typed = Typed(EXAMPLE, {})
    oz = 28.349523125
    base = [11.5 * oz, 0.6 * oz, 0.9 * oz, 57 * 0.9125, 30, 8, 4.5, 2, 7]
    assert typed.column(R, "F", FIRST, FIRST + 8) == pytest.approx(base)
    batch = 10 * 4 * 29.5735295625 * 0.96 / 0.97
    assert typed[R, "I5"] == pytest.approx(batch, abs=0.1) and typed[R, "I5"] >= batch
    grams = typed.column(R, "G", FIRST, FIRST + 8)
    assert grams == pytest.approx([b / sum(base) * typed[R, "I5"] for b in base], abs=0.1)
    # 117 F is 47.2 C: above 45 C, below 50 C and 122 F.
    assert typed.column(M, "G", 15, 17) == ["wait: too warm", "may go in", "may go in"]


@pytest.mark.parametrize(
    "changes, place, told",
    [
        ({(R, "C17"): None}, (R, "K17"), "the amount is missing"),
        ({(R, "B17"): None}, (R, "K17"), "the name is missing"),
        ({(R, "A17"): " "}, (R, "K17"), "the part is missing"),
        ({(R, "D17"): None}, (R, "K17"), "the unit is missing"),
        ({(R, "C13"): 68}, (R, "I9"), "shares that add up to 101 %, not 100"),
        ({(R, "D13"): "g"}, (R, "I9"), "both % and amounts: write all rows in one way"),
        ({(R, "A14"): "watr"}, (R, "D35"), "a part of the recipe is not listed here, or is listed twice"),
        ({(C, "A6"): None, (C, "B6"): None, (C, "C6"): None}, (C, "A10"), "No preservative is listed"),
        ({(C, "B14"): "Shea butter"}, (C, "B18"), "not stated"),
        ({(C, "C25"): None}, (C, "B18"), "not stated"),
        ({(C, "C25"): 0}, (C, "B18"), "not allowed"),
        ({(C, "C25"): 0.005}, (C, "B18"), "over"),
        ({(C, "B15"): 0.005}, (C, "B18"), "over"),
        ({(C, "C25"): "no restriction"}, (C, "B18"), "within"),
        ({(C, "B14"): None}, (C, "B18"), "no fragrance"),
        ({(R, "C4"): "face cream"}, (C, "B18"), "over"),
        ({(R, "C4"): "baby cream"}, (C, "B18"), "not stated"),
        ({(C, "A7"): "Fragrance", (C, "B7"): "phenoxyethanol", (C, "C7"): 0.5}, (C, "F6"), "over: 1.4"),
        ({(M, "B12"): 50}, (M, "G15"), "wait: too warm"),
        ({(M, "A16"): None, (M, "E16"): None}, (M, "G20"), "no: one is missing"),
        ({(M, "B7"): 800}, (M, "C9"), "check both weights"),
    ],
)
def test_words(changes, place, told):
    assert str(Typed(FILE, changes)[place]).startswith(told)


def _check(typed: Typed):
    """What must hold whatever is typed: totals are sums, ingredients never drop out, words fit the numbers."""
    grams = typed.column(R, "G", FIRST, LAST)
    batch, total = typed[R, "I5"], typed[R, "G27"]
    if is_number(total):
        jars, loss, spare, step = (
            0 if typed[R, f"C{row}"] in (None, " ") else typed[R, f"C{row}"] for row in (5, 8, 9, 10)
        )
        fill = typed[R, "C6"] * (GRAMS[typed[R, "D6"]] if typed[R, "D6"] in GRAMS else 0)
        assert batch == pytest.approx(jars * fill * (1 + spare) / (1 - loss), abs=step, rel=1e-9)
        check_recipe(typed, R, FIRST, LAST, batch, step)
    else:
        assert isinstance(total, CellError)
        assert not any(is_number(g) for g in grams)
    if is_number(typed[M, "B9"]):
        heated = sum(g for g, row in zip(grams, range(FIRST, LAST + 1), strict=True) if is_number(g)
                     and str(typed[R, f"A{row}"]) in ("water", "oil"))  # fmt: skip
        assert typed[M, "B9"] == pytest.approx(max(0, heated - typed[M, "B8"]), abs=1e-6)
    share, cap, status = typed[C, "B16"], typed[C, "B17"], typed[C, "B18"]
    if status == "within":
        assert share <= cap and share == pytest.approx(grams[6] / total)
    if status == "over":
        assert share > min(cap, typed[C, "B15"] or 1)
    for row in range(6, 10):
        if str(typed[C, f"F{row}"]).startswith("within"):
            assert typed[C, f"E{row}"] <= 0.01 + 1e-9
    if is_number(typed[H, "C18"]):
        assert 0 < typed[H, "C18"] <= 20
        low, high = typed[H, "D15"], typed[H, "D16"]
        if is_number(low):
            assert low + high == pytest.approx(typed[H, "D17"]) and min(low, high) >= 0


def _fuzzed() -> list[tuple[str, str]]:
    """Every single input, and of the tables' rows one that is filled and one that is empty."""
    rows = {R: {13, 17, 20, 31, 33, 34}, M: {15, 18}, C: {6, 8, 25, 27}, H: {5, 10}}
    tables = {R: range(13, 35), M: range(15, 20), C: [*range(6, 10), *range(25, 30)], H: range(5, 13)}
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
