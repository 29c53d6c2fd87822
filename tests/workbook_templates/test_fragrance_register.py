"""The fragrance register: built as committed, right against published limits, and never wrong whatever is typed."""

from pathlib import Path

import pytest
import tarecell.workbook_templates.fragrance_register as template
from tarecell.errors import CellError
from template_checks import Filled, inputs, is_error, is_number, nonsense

HERE = Path(template.__file__).parent
FILE = HERE / "fragrance_register.xlsx"
CERTIFICATES, CAPS, SET, COMPARE = "Certificates", "Caps", "Set", "Compare"
COLUMNS = dict(zip([str(code) for code, _ in template.CATEGORIES], "BCDEFGHIJKLMNOPQRS", strict=True))
CATEGORY = {"body cream": "5A", "bath bomb": "9", "bar soap": "9", "candle": "12"}  # IFRA, 49th Amendment on


@pytest.fixture(scope="module")
def filled(tmp_path_factory):
    return Filled(FILE, tmp_path_factory.mktemp("register"))


def test_a_fragrance_by_its_published_limits(filled):
    """IFRA Standard on citronellal, 49th Amendment (read in a secondary text): the maximum in the product by category.
    A fragrance with 5 % of it may be used at limit ÷ 5 %: 5A 0.33 % → 6.6 %, 9 1.4 % → 28 %, 12 no restriction."""
    typed = {(CAPS, "F6"): 0.0033 / 0.05, (CAPS, "N6"): 0.014 / 0.05, (CAPS, "G6"): 0.00051 / 0.05}
    found = filled(typed)
    assert [found[SET, f"E{row}"] for row in (11, 12, 13, 14)] == pytest.approx([0.066, 0.28, 0.28, 1.0])
    assert found[SET, "B6"] == found[COMPARE, "B6"] == pytest.approx(0.066)
    assert found[SET, "G11"] == pytest.approx(0.012 / 0.066)
    assert found[SET, "G12"] == pytest.approx(0.02 / 0.025)  # the own limit is lower than the cap
    # A face cream joins the set: 5B 0.051 % → 1.02 %, which is now the strictest.
    assert filled({**typed, (SET, "A15"): "face cream"})[SET, "B6"] == pytest.approx(0.0102)


def test_verdicts_in_words(filled):
    found = filled(
        {(SET, "C11"): 0.021, (SET, "C12"): 0.026, (CAPS, "S6"): 0, (SET, "C13"): None, (SET, "A15"): "mouthwash"}
    )
    assert [found[SET, f"F{row}"] for row in (11, 12, 13, 14, 15)] == [
        "OVER THE CAP", "OVER YOUR OWN LIMIT", "type your share", "NOT ALLOWED", "NO CAP: see the reason",
    ]  # fmt: skip
    assert found[SET, "B6"].kind == "#N/A"  # the mouthwash's category is not stated
    assert "ask the supplier" in found[SET, "A7"] and "ask the supplier" in found[SET, "H15"]


@pytest.mark.parametrize(
    ("typed", "said", "used"),
    [
        ({"D12": 48}, "OLDER CATEGORIES (amendment 48): ask for a new certificate", "no"),
        ({"D12": None}, "NO AMENDMENT: ask which one; its caps are not used", "no"),
        ({"D12": "51st"}, "NO AMENDMENT: ask which one; its caps are not used", "no"),
        ({"D12": 52}, "AMENDMENT 52 is not known: look again, or type it above", "no"),
        ({"D12": 50.5}, "AMENDMENT 50.5 is not known: look again, or type it above", "no"),
        ({"A12": None}, "NO NAME: type it, or clear the row", "no"),
        ({"C12": None}, "NO DATE: ask when it was issued", "yes"),
        ({"C12": 50000}, "DATED AFTER THE CHECK: look again", "yes"),
        ({"B7": 1}, "OLD: more than 1 months, ask for a new one", "yes"),
        ({}, "current", "yes"),
    ],
)
def test_certificates_are_judged(filled, typed, said, used):
    found = filled({(CERTIFICATES, where): value for where, value in typed.items()})
    assert found[CERTIFICATES, "F12"] == said and found[CERTIFICATES, "E12"] == used
    if used == "no":
        assert is_error(found[SET, "B6"]) and is_error(found[SET, "E11"])
        assert found[SET, "F11"] == "NO CAP: see the reason"


def test_blanks_and_what_cannot_be_read_are_counted(filled):
    found = filled({(CAPS, "B6"): None, (CAPS, "C6"): "2 percent", (CAPS, "D6"): 2.1})
    assert found[CERTIFICATES, "G12"] == "2 CANNOT BE READ"
    assert filled({(CAPS, "B6"): None})[CERTIFICATES, "G12"] == "6 of 18 not stated"
    # A row typed as per cents gives no cap at all: 0.5 in it would mean 0.5 % and be read as 50 %.
    assert is_error(found[SET, "E11"])


def _usable(typed, row):
    name, amendment = typed.get((CERTIFICATES, f"A{row}")), typed.get((CERTIFICATES, f"D{row}"))
    oldest, newest = typed[CERTIFICATES, "B5"], typed[CERTIFICATES, "B6"]
    return name is not None and is_number(amendment) and amendment == int(amendment) and oldest <= amendment <= newest


def _fit(typed):
    day, oldest, newest, months = (typed[CERTIFICATES, f"B{row}"] for row in (4, 5, 6, 7))
    dated = hasattr(day, "year") or (is_number(day) and 36526 <= day < 73051)
    numbers = all(map(is_number, (oldest, newest, months)))
    return dated and numbers and 49 <= oldest <= newest < 1000 and 1 <= months <= 600


def _cap(typed, row, product):
    """The cap that stands in the table, None where there is none to use."""
    category = CATEGORY.get(product, str(product))
    cell = typed.get((CAPS, f"{COLUMNS[category]}{row}")) if category in COLUMNS else None
    return 1.0 if cell == "no restriction" else cell if is_number(cell) and 0 <= cell <= 1 else None


def _check(found, typed):
    right = 0
    names = [str(typed.get((CERTIFICATES, f"A{row}"))).lower() for row in range(12, 27)]
    rows = [i for i, name in enumerate(names) if name == str(typed[SET, "B4"]).lower() and name != "none"]
    products = [typed.get((SET, f"A{row}")) for row in range(11, 23)]
    for i, row in enumerate(range(12, 27)):
        used = found[CERTIFICATES, f"E{row}"]
        if not _fit(typed):
            assert is_error(used) or used == ""
        elif used != "":
            assert (used == "yes") == bool(_usable(typed, row)), (row, used)
        strictest = found[COMPARE, f"B{i + 6}"]
        if is_number(strictest):
            caps = [_cap(typed, i + 6, p) for p in products if p not in (None, 0)]
            assert used == "yes" and strictest == pytest.approx(min(caps))
            right += 1
    for row, product in zip(range(11, 23), products, strict=True):
        cap, verdict = found[SET, f"E{row}"], found[SET, f"F{row}"]
        share, own = typed.get((SET, f"C{row}")), typed.get((SET, f"D{row}"))
        if product is None and share is None and own is None:
            assert cap == verdict == ""
            continue
        assert cap != ""
        if is_number(cap):
            assert len(rows) == 1 and _usable(typed, rows[0] + 12) and _fit(typed)
            assert cap == pytest.approx(_cap(typed, rows[0] + 6, product))
            right += 1
        if verdict == "within":
            assert is_number(cap) and is_number(share) and 0 <= share <= min(cap, own or 1)
            assert found[SET, f"G{row}"] == pytest.approx(share / min(cap, own or 1))
    return right


def test_nonsense_gives_a_right_number_or_an_error(filled):
    base = inputs(FILE)
    rows = {CERTIFICATES: (4, 5, 6, 7, 12, 13, 15), CAPS: (6, 7, 9), SET: (4, 11, 12, 14, 15)}
    cells = [c for c in base if int(c[1][1:]) in rows[c[0]] and (c[0] != CAPS or c[1][0] in "FGNRS")]
    assert len(cells) > 40
    right = 0
    for typed in nonsense(cells, at_once=6):
        found = filled(typed)
        assert all(isinstance(v, (float, int, str, bool, CellError)) for v in found.values())
        right += _check(found, {**base, **typed})
    assert right > 50
