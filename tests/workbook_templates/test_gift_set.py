"""The gift-set workbook: figures worked by hand, the plan of another recipe book, and nonsense in every input."""

import itertools
import math
import random
from importlib.resources import files
from pathlib import Path

import openpyxl
import pytest
from tarecell.workbook_templates import gift_set as template
from tarecell.workbook_templates import gift_set_layout as layout
from template_checks import NONSENSE, Filled, inputs, is_error, is_number

SHIPPED = files("tarecell.workbook_templates").joinpath(template.NAME)
EXAMPLES = Path(__file__).parents[2] / "examples"
# Grams, millilitres, metres and pieces in a unit: NIST Handbook 44, Appendix C.
FACTORS = {
    "g": ("mass", 1.0), "kg": ("mass", 1000.0), "oz": ("mass", 28.349523125), "lb": ("mass", 453.59237),
    "mL": ("volume", 1.0), "fl oz": ("volume", 29.5735295625), "each": ("count", 1.0), "yd": ("length", 0.9144),
}  # fmt: skip


def shown(sheet, *cells, path=SHIPPED):
    book = openpyxl.load_workbook(path, data_only=True)
    return [book[sheet][cell].value for cell in cells]


def test_the_small_set_by_hand():
    """Cream 50 g ÷ 0.97 × 9/500 + jar 10.80/12 + 6 min at 15 an hour; bomb 5 oz = 0.3125 lb ÷ 0.98 × 12/5 + bag, 4 min.
    Box 0.90, ribbon 0.25, 5 min. Price: (cost + 0.30) ÷ (1 − 5 % − 40 %) = 14.28 → 14.50."""
    cream = 50 / 0.97 * 9 / 500 + 0.9 + 1.5
    bomb = 0.3125 / 0.98 * 12 / 5 + 0.06 + 1
    cost = cream + bomb + 0.9 + 0.25 + 1.25
    assert shown("Products", "D7", "D8") == [pytest.approx(cream), pytest.approx(bomb)]
    assert shown("Result", "C8", "C6", "C7", "C9") == [pytest.approx(x) for x in (cost, 1.15, 3.75, 14.5)]
    assert math.ceil((cost + 0.3) / 0.55 * 2) / 2 == 14.5
    left = 14.5 - cost - 14.5 * 0.05 - 0.3
    assert shown("Result", "C12", "C13", "C15", "C17") == [
        pytest.approx(left), pytest.approx(left / 14.5), math.ceil(60 / left), pytest.approx(10 * left - 60),
    ]  # fmt: skip


def test_what_to_buy_by_hand():
    """22 jars (10 × 1 + 6 × 2): two dozen at 10.80 are less than fifty at 36. 1134 g of cream: 500 + 1000 g."""
    assert shown("To buy", "C8", "D8", "E8", "G8") == [22, 2, 0, pytest.approx(21.6)]
    assert shown("To buy", "C7", "D7", "E7") == [pytest.approx(22 * 50 / 0.97), 1, 1]


# -- the same, worked out without a spreadsheet ----------------------------------------------------------------------


def same(one, other):
    return one.casefold() == other.casefold() if isinstance(one, str) and isinstance(other, str) else one == other


def number(value, least=0.0, above=False, blank=None):
    if value is None and blank is not None:
        return blank
    if not is_number(value) or value < least or (above and value <= least):
        raise ValueError(f"{value!r} is no number here")
    return float(value)


class Model:
    """The costs worked out from what is typed. A ValueError is where the workbook must show an error."""

    def __init__(self, typed):
        self.typed = typed
        rows = {name: range(layout.FIRST, layout.LAST[name] + 1) for name in layout.LAST}
        self.costs = [[self.at("Costs", c, r) for c in "ABCDEFGHI"] for r in rows["Costs"]]
        self.products = [[self.at("Products", c, r) for c in "AB"] for r in rows["Products"]]
        self.pieces = [[self.at("Pieces", c, r) for c in "ABCDE"] for r in rows["Pieces"]]
        self.pieces = [line for line in self.pieces if any(cell is not None for cell in line)]
        self.rate = self.at("Sets", "C", 4)

    def at(self, sheet, column, row):
        return self.typed.get((sheet, f"{column}{row}"))

    def column(self, c, row, count):
        return [self.at("Sets", c, row + i) for i in range(count)]

    def work(self, minutes):
        return 0.0 if minutes is None else number(minutes) / 60 * number(self.rate, above=True)

    def named(self, lines, name):
        return [line for line in lines if line[0] is not None and same(line[0], name)]

    def unit_cost(self, name):
        found = self.named(self.costs, name)
        if len(found) != 1:
            raise ValueError("not one material")
        if found[0][1] not in FACTORS:
            raise ValueError("unit")
        return number(found[0][5], above=True) / number(found[0][2], above=True), found[0]

    def check_all(self):
        """A wrong line anywhere is an error everywhere: nothing is silently left out."""
        for product, part, quantity, unit, loss in self.pieces:
            if product is None or part is None or len(self.named(self.products, product)) != 1:
                raise ValueError("product or part")
            self.line(part, quantity, unit, loss)
        for name, minutes in self.products:
            if minutes is not None and name is None:
                raise ValueError("work without a product")
            self.work(minutes)

    def line(self, part, quantity, unit, loss):
        """The cost of one line, and the bought quantity under it."""
        quantity, loss = number(quantity), number(loss, blank=0.0)
        made, bought = self.named(self.products, part), self.named(self.costs, part)
        if len(made) + len(bought) != 1 or loss > 0.99:
            raise ValueError("part or loss")
        if made:
            if unit not in (None, "each"):
                raise ValueError("pieces are counted")
            return quantity / (1 - loss), None
        cost, (_, use, *_, density) = self.unit_cost(part)
        if density is not None:
            number(density)
        if unit not in FACTORS:
            raise ValueError("unit")
        (start, first), (end, last) = FACTORS[unit], FACTORS[use]
        factor = first / last
        if start != end:
            if {start, end} != {"mass", "volume"} or not density:
                raise ValueError("density")
            factor *= density if start == "volume" else 1 / density
        return quantity * factor / (1 - loss), cost

    def product(self, name, deep=0):
        if deep > 10:
            raise ValueError("a loop")
        lines = self.named(self.pieces, name)
        minutes = self.named(self.products, name)[0][1]
        if not lines and minutes is None:
            raise ValueError("nothing goes into it")
        total = self.work(minutes)
        for _, part, quantity, unit, loss in lines:
            amount, cost = self.line(part, quantity, unit, loss)
            total += amount * (self.product(part, deep + 1) if cost is None else cost)
        return total

    def cost(self, c):
        """The cost of the set in a column."""
        self.check_all()
        for other in layout.COLUMNS:  # all sets stand in one parts table
            if self.at("Sets", other, layout.NAMES) is not None:
                self.set_cost(other)
        return self.set_cost(c)

    def set_cost(self, c):
        minutes = self.at("Sets", c, layout.MINUTES)
        total, filled = self.work(minutes), minutes is not None
        for i, quantity in enumerate(self.column(c, layout.PRODUCT_ROW, layout.PRODUCT_COUNT)):
            if quantity is not None:
                if self.products[i][0] is None:
                    raise ValueError("no such product")
                total, filled = total + number(quantity) * self.product(self.products[i][0]), True
        for i, quantity in enumerate(self.column(c, layout.PACKING_ROW, layout.PACKING_COUNT)):
            if quantity is not None:
                part = self.at("Sets", "A", layout.PACKING_ROW + i)
                if part is None:
                    raise ValueError("no packing named")
                total, filled = total + number(quantity) * self.unit_cost(part)[0], True
        if not filled:
            raise ValueError("nothing in the set")
        return total

    def price(self, c):
        margin, fee, fixed, step, own, _ = self.column(c, layout.SALE_ROW, 6)
        if own is not None:
            return number(own, above=True)
        cost, margin, fee, fixed = (
            self.cost(c),
            number(margin, blank=0.0),
            number(fee, blank=0.0),
            number(fixed, blank=0.0),
        )
        if cost <= 0 or margin + fee >= 1:
            raise ValueError("margin")
        exact = (cost + fixed) / (1 - margin - fee)
        step = number(step, blank=0.0)
        return math.ceil(exact / step - 1e-9) * step if step else exact

    def left(self, c):
        _, fee, fixed, *_ = self.column(c, layout.SALE_ROW, 6)
        price = self.price(c)
        if number(fee, blank=0.0) > 1:
            raise ValueError("fee")
        return price - self.cost(c) - price * number(fee, blank=0.0) - number(fixed, blank=0.0)

    def to_sell(self, c):
        fixed_cost = number(self.at("Sets", c, layout.SALE_ROW + 5), blank=0.0)
        if self.left(c) <= 0:
            raise ValueError("no profit")
        return math.ceil(fixed_cost / self.left(c) - 1e-9)

    def needed(self, name):
        """How much of a material all the sets need."""

        def under(product):
            amounts = (self.line(*line[1:]) + (line[1],) for line in self.named(self.pieces, product))
            return sum(
                amount if cost is not None and same(part, name) else amount * under(part) if cost is None else 0.0
                for amount, cost, part in amounts
            )

        total = 0.0
        for c in layout.COLUMNS:
            if self.at("Sets", c, layout.NAMES) is None:
                continue
            self.cost(c)
            make = number(self.at("Sets", c, layout.MAKE), above=True)
            for i, quantity in enumerate(self.column(c, layout.PRODUCT_ROW, layout.PRODUCT_COUNT)):
                total += make * number(quantity, blank=0.0) * (under(self.products[i][0]) if quantity else 0.0)
            for i, quantity in enumerate(self.column(c, layout.PACKING_ROW, layout.PACKING_COUNT)):
                if quantity is not None and same(self.at("Sets", "A", layout.PACKING_ROW + i), name):
                    total += make * number(quantity)
        return total


def check(found, compute, where):
    """An output is an error, or blank, or the number that the model gives; never another number."""
    if not is_number(found):
        assert found == "" or is_error(found), where
        return
    try:
        expected = compute()
    except ValueError as reason:
        raise AssertionError(f"{where} shows {found}, but {reason}") from None
    assert found == pytest.approx(expected, rel=1e-9, abs=1e-7), where


def check_all(found, typed, note):
    """Compares every output with the model; how many were numbers."""
    model, numbers = Model(typed), 0
    for c in layout.COLUMNS:
        if model.at("Sets", c, layout.NAMES) is None:
            continue
        for row, compute in ((8, model.cost), (10, model.price), (12, model.left), (15, model.to_sell)):
            value = found["Result", f"{c}{row}"]
            numbers += is_number(value)
            check(value, lambda compute=compute, c=c: compute(c), (note, f"Result!{c}{row}"))
        parts = [found["Result", f"{c}{row}"] for row in (5, 6, 7)]
        if all(map(is_number, parts)):
            assert sum(parts) == pytest.approx(found["Result", f"{c}8"]), note
        words = found["Result", f"{c}14"]
        margin = found["Result", f"{c}13"]
        assert (words == "a loss") == (is_number(margin) and margin < 0), (note, words)
        assert (words[:2] == "no") == (not is_number(margin) or not is_number(found["Result", f"{c}8"])), (note, words)
    for r in range(layout.FIRST, layout.LAST["Costs"] + 1):
        name = model.at("Costs", "A", r)
        if name is not None:
            check(found["To buy", f"C{r}"], lambda name=name: model.needed(name), (note, f"To buy!C{r}"))
    return numbers


def test_the_studios_sets_agree_with_the_model(tmp_path):
    path = EXAMPLES / "gift_set.xlsx"
    assert check_all(Filled(path, tmp_path)(), inputs(path), "as shipped") == 12


def typed_at_once(path, rounds, at_once):
    cells = [c for c in inputs(path) if int("".join(filter(str.isdigit, c[1]))) <= 34 and c[1][0] <= "I"]
    cells = [c for c in cells if c[0] == "Sets" or int("".join(filter(str.isdigit, c[1]))) <= 14]
    pairs = list(itertools.product(cells, NONSENSE))
    random.Random(7).shuffle(pairs)
    return [dict(pairs[i * at_once : (i + 1) * at_once]) for i in range(rounds)]


@pytest.mark.parametrize("at_once, rounds", [(1, 30), (4, 20)])
def test_nonsense_gives_errors_or_right_numbers(tmp_path, at_once, rounds):
    filled, plain = Filled(Path(str(SHIPPED)), tmp_path), inputs(SHIPPED)
    for typed in typed_at_once(SHIPPED, rounds, at_once):
        check_all(filled(typed), {**plain, **typed}, typed)


def test_an_emptied_amount_or_name_never_drops_a_part(tmp_path):
    filled = Filled(Path(str(SHIPPED)), tmp_path)
    for cell in ("A7", "B7", "C7", "D7"):
        assert is_error(filled({("Pieces", cell): None})["Result", "C8"]), cell
    assert is_error(filled({("Costs", "F8"): None})["Result", "C8"])
    assert is_error(filled({("Sets", "A21"): None})["Result", "C8"])


def test_two_sets_or_products_of_one_name_are_not_added_up(tmp_path):
    filled = Filled(Path(str(SHIPPED)), tmp_path)
    plain = filled()
    twice = filled({("Sets", "D6"): "Small set"})
    assert [twice["Result", f"{c}8"] for c in "CD"] == [plain["Result", f"{c}8"] for c in "CD"]
    assert is_error(filled({("Products", "A8"): "Jar of CREAM"})["Result", "C8"])


def test_a_product_may_be_part_of_another_but_not_of_itself(tmp_path):
    filled = Filled(Path(str(SHIPPED)), tmp_path)
    typed = {("Pieces", f"{c}11"): v for c, v in zip("ABCD", ("jar of cream", "bath bomb", 2, "each"), strict=True)}
    plain = filled()
    found = filled(typed)
    more = 2 * plain["Products", "D8"]
    assert found["Products", "D7"] == pytest.approx(plain["Products", "D7"] + more)
    assert found["Result", "C7"] == pytest.approx(plain["Result", "C7"] + 2)  # the work in it is work
    loop = {("Pieces", f"{c}12"): v for c, v in zip("ABCD", ("bath bomb", "jar of cream", 1, "each"), strict=True)}
    assert is_error(filled({**typed, **loop})["Result", "C8"])


def test_an_own_price_below_the_margin_and_below_the_cost_is_told_in_words(tmp_path):
    filled = Filled(Path(str(SHIPPED)), tmp_path)
    row = layout.SALE_ROW + 4
    assert filled({("Sets", f"C{row}"): 12})["Result", "C14"] == "below the margin wanted"
    loss = filled({("Sets", f"C{row}"): 5})
    assert loss["Result", "C14"] == "a loss" and is_error(loss["Result", "C15"])
