"""Labels and batch record: built as committed, right by hand, and never wrong whatever is typed."""

import datetime
from pathlib import Path

import pytest
import tarecell.workbook_templates.labels_and_batch_record as template
from tarecell.errors import CellError
from template_checks import Filled, inputs, is_error, is_number, nonsense

HERE = Path(template.__file__).parent
FILE = HERE / "labels_and_batch_record.xlsx"
PRODUCT, LABEL, BATCH, SIZES, WORKING = "Product", "Label", "Batch sheet", "Label and wrap size", "Working"
DAY_0 = datetime.date(1899, 12, 30)  # day 0 of the usual date system


@pytest.fixture(scope="module")
def filled(tmp_path_factory):
    return Filled(FILE, tmp_path_factory.mktemp("labels"))


def serial(year, month, day):
    return (datetime.date(year, month, day) - DAY_0).days


def test_the_label_by_hand(filled):
    found = filled()
    # Parfum 0.8 of 98.8 = 0.8097 %. Linalool 2 % of it = 0.0162 %, limonene 1 % = 0.0081 %, coumarin 0.05 % =
    # 0.0004 % of a leave-on product, named above 0.001 % ((EC) 1223/2009, Annex III). Descending weight, colourant
    # last (Art. 19).
    assert found[WORKING, "D3"] == pytest.approx(0.8 / 98.8)
    assert found[LABEL, "B7"] == "linalool, limonene"
    assert found[LABEL, "B5"] == (
        "Aqua, Prunus Amygdalus Dulcis Oil, Cetearyl Alcohol, Glycerin, Phenoxyethanol, Parfum, linalool, limonene, "
        "CI 77491"
    )
    assert found[LABEL, "B9"] == "100 g"
    assert found[LABEL, "B11"] == "SMP-20260314-01"
    assert found[LABEL, "B12"] == serial(2027, 1, 31)  # the almond oil, before 14 March 2027
    assert found[LABEL, "B14"] == serial(2026, 3, 14)
    assert found[LABEL, "B17"] == 4.5  # 76/211/EEC, Annex I: 50 to 100 g
    assert found[LABEL, "B20"].splitlines()[:5] == [
        "Sample body cream", f"Ingredients: {found[LABEL, 'B5']}", "100 g", "Lot SMP-20260314-01",
        "Best before 2027-01-31",
    ]  # fmt: skip


def test_a_rinsed_off_product_and_another_market(filled):
    """The limit is ten times as high where rinsed off: 0.01 %. Linalool 0.0162 % stays, limonene 0.0081 % goes."""
    assert filled({(PRODUCT, "C5"): "bar soap"})[LABEL, "B7"] == "linalool"
    american = filled({(PRODUCT, "C6"): "US", (PRODUCT, "G4"): 4, (PRODUCT, "G5"): "oz"})
    assert american[LABEL, "B9"] == "NET WT 4 OZ (113 g)"  # 21 CFR 701.13 and 16 CFR 500.19
    assert "linalool" not in american[LABEL, "B5"] and american[LABEL, "B5"].endswith("CI 77491")
    assert filled({(PRODUCT, "C5"): "candle"})[LABEL, "B7"].startswith("no skin contact")


@pytest.mark.parametrize("text", ["12", "n/a", " "])
def test_a_text_among_the_shares_of_the_fragrance_is_an_error_and_no_part_of_a_sum(filled, text):
    """Programs differ on it: Calc and Excel leave it out of SUMPRODUCT, others read "12" as a number."""
    found = filled({(PRODUCT, "A42"): "linalool", (PRODUCT, "D42"): text})
    assert found[WORKING, "G26"].kind == "#N/A" and is_error(found[WORKING, "C26"])
    assert is_error(found[LABEL, "B5"]) and is_error(found[LABEL, "B7"])


def test_the_batch_by_hand(filled):
    """12 × 100 g ÷ 97 % = 1237.11 g; Aqua 66 of 98.8 of it = 826.41 g; the weights add up to the batch as rounded."""
    found = filled()
    assert found[BATCH, "C7"] == pytest.approx(1200 / 0.97)
    assert found[BATCH, "F10"] == pytest.approx(826.4)
    assert found[BATCH, "F30"] == pytest.approx(1237.1)
    assert found[BATCH, "D15"] == "S-09" and found[BATCH, "A16"] == "☐" and found[BATCH, "A17"] == ""


def test_sizes_by_hand(filled):
    found = filled()
    assert found[SIZES, "E7"] == pytest.approx(200 - 3.141592653589793 * 60)
    assert found[SIZES, "G7"] == "overlaps" and found[SIZES, "F7"] == pytest.approx(found[SIZES, "E7"] / 25.4)
    assert (found[SIZES, "E18"], found[SIZES, "F18"]) == (150, 150)  # 65 + 65 + 20
    assert filled({(SIZES, "C7"): 188})[SIZES, "G7"] == "GAP: the label is too short"


@pytest.mark.parametrize(
    ("where", "value", "said"),
    [
        ("C17", None, "LABEL NAME?"), ("D17", None, "AMOUNT?"), ("D17", "12 g", "AMOUNT?"), ("D17", -1, "BELOW ZERO"),
        ("E17", "maybe", "yes OR BLANK?"), ("G17", "next May", "DATE?"), ("G17", 46000, "EXPIRED"),
    ],
)  # fmt: skip
def test_a_row_that_is_not_in_order_says_so_and_stops_the_label(filled, where, value, said):
    found = filled({(PRODUCT, where): value})
    assert found[PRODUCT, "H17"] == said
    assert is_error(found[LABEL, "B20"])
    if where[0] in "CD":
        assert is_error(found[LABEL, "B5"]) and all(is_error(found[BATCH, f"F{r}"]) for r in (10, 30))


def test_a_scent_without_its_name_or_declaration_is_told(filled):
    assert is_error(filled({(PRODUCT, "C8"): None})[LABEL, "B5"])
    assert is_error(filled({(PRODUCT, "C8"): "Perfume"})[LABEL, "B5"])
    nothing = {(PRODUCT, f"{c}{r}"): None for c in "AD" for r in (39, 40, 41)}
    assert filled(nothing)[LABEL, "B7"].startswith("NOT TYPED")
    # Without naming the fragrance, and with Parfum among the ingredients, it is not taken for an unscented product.
    assert is_error(filled({**nothing, (PRODUCT, "C8"): None})[LABEL, "B5"])
    unscented = filled({**nothing, (PRODUCT, "C8"): None, **{(PRODUCT, f"{c}21"): None for c in "ABCDEFG"}})
    assert unscented[LABEL, "B7"] == "no fragrance" and "Phenoxyethanol" in unscented[LABEL, "B5"]
    # One constituent under two names is added up: 0.0006 % twice is above 0.001 %.
    twice = {(PRODUCT, "A41"): "D-Limonene", (PRODUCT, "D41"): 0.0008, (PRODUCT, "D40"): 0.0008}
    assert filled(twice)[LABEL, "B7"].lower() == "linalool, limonene"
    assert filled({(PRODUCT, "D40"): 0.0008})[LABEL, "B7"] == "linalool"


def _day(value):
    return (value.date() - DAY_0).days if isinstance(value, datetime.datetime) else value


def _ingredients(typed):
    """Names and amounts as typed, or None where a row cannot be read."""
    listed = []
    for row in range(template.FIRST, template.LAST + 1):
        cells = [typed.get((PRODUCT, f"{c}{row}")) for c in "ABCDEFG"]
        if all(cell is None for cell in cells):
            continue
        if not isinstance(cells[2], str) or not is_number(cells[3]) or cells[3] < 0:
            return None
        listed.append((str(cells[2]), cells[3], cells[4]))
    return listed


def _check(found, typed):
    right = 0
    listed = _ingredients(typed)
    line, weights = found[LABEL, "B5"], [found[BATCH, f"F{r}"] for r in range(10, 30)]
    if listed is None:
        assert is_error(line) and is_error(found[BATCH, "F30"])
    if not is_error(line):
        shown = [n for n in line.split(", ")]
        heavy = [name for name, amount, _ in sorted(listed, key=lambda i: -i[1]) if amount > 0]
        colours = [name for name, amount, colour in listed if colour and amount > 0]
        plain = [n for n in heavy if n not in colours]
        assert [n for n in shown if n in plain] == plain and shown[len(shown) - len(colours) :] == colours
        right += 1
    total = found[BATCH, "F30"]
    if is_number(total):
        step = typed[PRODUCT, "C12"] or 0
        pieces, fill, loss = (typed.get((PRODUCT, f"C{r}")) or 0 for r in (9, 10, 11))
        batch = pieces * fill / (1 - loss)
        assert total == pytest.approx(sum(w for w in weights if w != ""), rel=1e-9)
        assert abs(total - batch) <= step / 2 + 1e-6 * batch
        whole = sum(amount for _, amount, _ in listed)
        numbers = [w for w in weights if w != ""]
        for weight, (_, amount, _) in zip(numbers, listed, strict=True):
            assert abs(weight - total * amount / whole) <= step * (1 + 1e-9) + 1e-6 * total
        right += 1
    made, months, code, run = _day(typed[PRODUCT, "G6"]), *(typed[PRODUCT, f"G{r}"] for r in (9, 7, 8))
    if not is_error(found[LABEL, "B11"]):
        day, code = DAY_0 + datetime.timedelta(days=made), f"{code:.15g}" if is_number(code) else code
        assert found[LABEL, "B11"] == f"{code}-{day:%Y%m%d}-{int(run):02d}"
    if not is_error(found[LABEL, "B12"]):
        expiries = [_day(typed.get((PRODUCT, f"G{r}"))) for r in range(template.FIRST, template.LAST + 1)]
        assert made <= found[LABEL, "B12"] <= min([e for e in expiries if is_number(e)] + [made + 31 * months])
    if not is_error(found[LABEL, "B14"]):
        assert found[LABEL, "B14"] == made + typed[PRODUCT, "G10"]
    return right


def test_nonsense_gives_a_right_answer_or_an_error(filled):
    base = inputs(FILE)
    cells = [c for c in base if c[0] == PRODUCT and int(c[1][1:]) in {*range(4, 13), 16, 21, 22, 23, 39, 42}]
    assert len(cells) > 45
    right = 0
    for typed in nonsense(cells, at_once=4):
        found = filled(typed)
        assert all(isinstance(v, (float, int, str, CellError)) for v in found.values())
        right += _check(found, {**base, **typed})
    assert right > 20


def test_nonsense_lengths(filled):
    base = inputs(FILE)
    cells = [c for c in base if c[0] == SIZES and c[1] in {"B4", *(f"{x}{r}" for x in "ABCD" for r in (7, 9, 18, 20))}]
    for typed in nonsense(cells, at_once=6):
        found, held = filled(typed), {**base, **typed}
        for row in (7, 8, 9):
            fit = found[SIZES, f"E{row}"]
            if is_number(fit):
                assert fit == pytest.approx(held[SIZES, f"C{row}"] - 3.141592653589793 * held[SIZES, f"B{row}"])
                assert (found[SIZES, f"G{row}"] == "overlaps") == (fit >= 0)
        for row in (18, 19, 20):
            width = found[SIZES, f"E{row}"]
            if is_number(width):
                parts = [held.get((SIZES, f"{c}{row}")) or 0 for c in "BCD"]
                assert width == pytest.approx(sum(parts)) and found[SIZES, f"F{row}"] == width
