"""The workbook of materials and prices: figures worked by hand, and nonsense in every kind of input."""

import datetime
import random
from importlib.resources import files

import openpyxl
import pytest
from tarecell.workbook_templates import materials_and_prices as template
from tarecell.workbook_templates.materials_and_prices_data import TEMPLATE_DATA
from template_checks import NONSENSE, Filled, inputs, is_error, is_number

SHIPPED = files("tarecell.workbook_templates").joinpath(template.NAME)
# Grams, millilitres and pieces in a unit: NIST Handbook 44, Appendix C.
FACTORS = {
    "g": ("mass", 1.0), "kg": ("mass", 1000.0), "oz": ("mass", 28.349523125), "lb": ("mass", 453.59237),
    "mL": ("volume", 1.0), "L": ("volume", 1000.0), "fl oz": ("volume", 29.5735295625), "each": ("count", 1.0),
}  # fmt: skip


def shown(sheet, *cells, path=SHIPPED):
    return [openpyxl.load_workbook(path, data_only=True)[sheet][cell].value for cell in cells]


def test_shea_butter_by_hand():
    """1 kg at 14 + 2 freight = 0.016 per g, then 2 kg at 15 + 3/2 freight each = 0.0165 per g; 650 + 900 g used.

    First in, first out: 1000 × 0.016 + 550 × 0.0165 = 25.075; left 1450 × 0.0165 = 23.925; average 49 / 3000 per g.
    """
    bought, used, left, average, fifo, value = shown("Materials", "E7", "F7", "G7", "H7", "I7", "J7")
    assert (bought, used, left) == (3000, 1550, 1450)
    assert average == pytest.approx(49 / 3000)
    assert (fifo, value) == (pytest.approx(25.075), pytest.approx(23.925))
    assert shown("Purchases", "N7", "N10", "O7", "O10") == [0, 1450, "used up", "fine"]


def test_oil_bought_by_volume_and_used_by_weight():
    """Two bottles of 500 mL at 0.92 g/mL are 920 g; 8 US fl oz are 236.588 mL and 217.661 g."""
    assert shown("Materials", "E8", "F8") == [pytest.approx(920), pytest.approx(8 * 29.5735295625 * 0.92)]


def test_what_to_order_is_what_is_below_its_level():
    assert shown("To order", "B4", "B7", "B8", "B9", "B10") == [
        "3 to order", "Sunflower oil", "Citric acid", "Jar 50 mL with lid", None,
    ]  # fmt: skip
    # 74 + 14 for 25 kg is less for a gram than 17.90 + 3.20 for 5 lb.
    assert shown("To order", "G8", "J8", "K8") == [pytest.approx(88 / 25000), "Another supplier", "25 kg"]


def test_freight_is_shared_to_the_cent():
    shares = shown("Freight", "D7", "D8", "D9")
    assert sum(shares) == pytest.approx(9.5) and all(abs(s * 100 - round(s * 100)) < 1e-9 for s in shares)
    assert shares == pytest.approx([9.5 * v / 80.4 for v in (30, 38.4, 12)], abs=0.0101)


# -- nonsense ------------------------------------------------------------------------------------------------------


class Model:
    """The register worked out from what is typed, without a spreadsheet. A ValueError is where it must be an error."""

    def __init__(self, typed):
        self.typed = typed
        self.materials = {r: [self.at("Materials", c, r) for c in "ABCD"] for r in template_rows("Materials")}

    def at(self, sheet, column, row):
        return self.typed.get((sheet, f"{column}{row}"))

    def known(self, name):
        found = [m for m in self.materials.values() if m[0] is not None and same(m[0], name)]
        if len(found) != 1:
            raise ValueError("not one material")
        return found[0]

    def grams(self, amount, unit, name):
        _, use, density, _ = self.known(name)
        if unit not in FACTORS or use not in FACTORS or not is_number(amount) or amount < 0:
            raise ValueError("unit or amount")
        if density is not None and (not is_number(density) or density < 0):
            raise ValueError("density")
        (start, first), (end, last) = FACTORS[unit], FACTORS[use]
        if start == end:
            return amount * first / last
        if {start, end} != {"mass", "volume"} or not density:
            raise ValueError("not convertible")
        return amount * first * (density if start == "volume" else 1 / density) / last

    def lots(self, name):
        """Quantity and cost per unit of each purchase of a material."""
        found = []
        for row in template_rows("Purchases"):
            _, bought, _, _, packs, size, unit, price, freight, _ = (self.at("Purchases", c, row) for c in "ABCDEFGHIJ")
            if bought is None or not same(bought, name):
                continue
            if not all(is_number(x) and x > 0 for x in (packs, size, price)):
                raise ValueError("no packs, size or price")
            if freight is not None and (not is_number(freight) or freight < 0):
                raise ValueError("freight")
            content = self.grams(size, unit, name)
            found.append((packs * content, (price + (freight or 0) / packs) / content))
        return found

    def used(self, name):
        rows = [[self.at("Used", c, r) for c in "BCD"] for r in template_rows("Used")]
        return sum(self.grams(a, u, name) for n, a, u in rows if n is not None and same(n, name))

    def in_order(self):
        last = 0
        for row in template_rows("Purchases"):
            day, name = self.at("Purchases", "A", row), self.at("Purchases", "B", row)
            day = (day - datetime.datetime(1899, 12, 30)).days if isinstance(day, datetime.datetime) else day
            if name is not None and (not is_number(day) or day <= 0 or day < last):
                return False
            last = max(last, day) if is_number(day) else last
        return True

    def fifo(self, lots, used):
        if not self.in_order() or used > sum(q for q, _ in lots) * (1 + 1e-9):
            raise ValueError("order, or more used than bought")
        cost = 0
        for quantity, each in lots:
            taken = min(quantity, used)
            used, cost = used - taken, cost + taken * each
        return cost

    def outputs(self, name):
        """What the columns of a material hold."""

        def paid():
            return sum(q * c for q, c in self.lots(name))

        def bought():
            return sum(q for q, _ in self.lots(name))

        def fifo():
            return self.fifo(self.lots(name), self.used(name))

        return {
            "E": bought,
            "F": lambda: self.used(name),
            "G": lambda: bought() - self.used(name),
            "H": lambda: paid() / bought(),
            "I": fifo,
            "J": lambda: paid() - fifo(),
        }


def template_rows(sheet):
    return range(template.FIRST, template.LAST[sheet] + 1)


def same(one, other):
    return one.casefold() == other.casefold() if isinstance(one, str) and isinstance(other, str) else one == other


def check(found, compute, where):
    """An output is an error, or blank, or the number that the model gives; never another number."""
    if not is_number(found):
        assert found == "" or is_error(found), where
        return
    try:
        expected = compute()
    except ValueError as reason:
        raise AssertionError(f"{where} shows {found}, but {reason}") from None
    assert found == pytest.approx(expected, rel=1e-9, abs=1e-6), where


@pytest.fixture(scope="module")
def small(tmp_path_factory):
    """The same workbook with fewer rows, as it is computed some hundred times."""
    before = dict(template.LAST)
    template.LAST.update(Materials=12, Purchases=13, Used=13, Prices=12)
    template.LAST["To order"] = 12
    path = template.build(tmp_path_factory.mktemp("small") / "small.xlsx").out
    yield path
    template.LAST.update(before)


def typed_at_once(path, rounds, at_once):
    cells = [c for c in inputs(path) if c[0] in ("Materials", "Purchases", "Used", "Prices")]
    cells = [c for c in cells if int("".join(filter(str.isdigit, c[1]))) <= 12]
    pairs = [(c, v) for c in cells for v in NONSENSE]
    chance = random.Random(11)
    chance.shuffle(pairs)
    return [dict(pairs[i * at_once : (i + 1) * at_once]) for i in range(rounds)]


@pytest.mark.parametrize("at_once, rounds", [(1, 40), (4, 25)])
def test_nonsense_gives_errors_or_right_numbers(small, tmp_path, at_once, rounds):
    filled, plain = Filled(small, tmp_path), inputs(small)
    for typed in typed_at_once(small, rounds, at_once):
        found = filled(typed)
        model = Model({**plain, **typed})
        for row, (name, *_) in model.materials.items():
            if name is None or name == 0:
                continue
            for column, compute in model.outputs(name).items():
                check(found["Materials", f"{column}{row}"], compute, (typed, f"Materials!{column}{row}"))
            words = found["Materials", f"M{row}"]
            assert isinstance(words, str) and words, typed
            if is_error(found["Materials", f"G{row}"]):
                assert words not in ("enough", "reorder", "not bought yet"), (typed, row)
            level, left = model.at("Materials", "D", row), found["Materials", f"G{row}"]
            if words == "enough":
                assert level is None or (is_number(level) and left >= level), (typed, row)


def test_a_line_that_cannot_be_counted_is_told_above_the_sums(small, tmp_path):
    filled = Filled(small, tmp_path)
    assert filled()["Materials", "H4"] == ""
    for typed in ({("Purchases", "B7"): None}, {("Used", "D8"): "handful"}, {("Used", "B7"): "Butter of shea"}):
        assert filled(typed)["Materials", "H4"].endswith("Used, 1"), typed


def test_dates_out_of_order_stop_first_in_first_out_and_nothing_else(small, tmp_path):
    found = Filled(small, tmp_path)({("Purchases", "A7"): datetime.date(2026, 8, 1)})
    assert is_error(found["Materials", "I7"]) and is_error(found["Purchases", "N7"])
    assert found["Materials", "H7"] == pytest.approx(49 / 3000)
    assert "order of date" in found["Materials", "H5"]


def test_a_lot_past_its_date_and_a_lot_to_use_soon(small, tmp_path):
    filled = Filled(small, tmp_path)
    assert filled({("Purchases", "J8"): datetime.date(2026, 8, 31)})["Purchases", "O8"] == "past its date"
    soon = filled({("Purchases", "J8"): datetime.date(2026, 9, 2), ("Materials", "D8"): None})
    assert soon["Purchases", "O8"] == "use within two months"
    gone = filled({("Purchases", "J8"): datetime.date(2026, 8, 31), ("Materials", "D8"): None})
    assert gone["Materials", "M8"] == "a lot is past its date"


def test_the_sample_lines_are_few_and_neutral():
    assert len(TEMPLATE_DATA.materials) <= 6 and all(len(line) == 10 for line in TEMPLATE_DATA.purchases)
