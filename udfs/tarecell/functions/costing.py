"""Cost and price: the records for costs. (Prices: functions/pricing.py.)"""

from tarecell.calculations import costing, packs, rollup
from tarecell.calculations.units import convert, unit
from tarecell.functions.columns import Numbers
from tarecell.functions.densities import Density
from tarecell.functions.kinds import Number, Text
from tarecell.functions.parts import PartsArgument
from tarecell.functions.records import COLUMN, NUMBER, TABLE, Record, ex
from tarecell.functions.registry import register
from tarecell.functions.wording import listing, num, pct

FAMILY = "Cost and price"
_OPENSTAX = "OpenStax, Principles of Accounting, vol. 1, inventory valuation"
_PARTS = [
    ["item", "part", "quantity", "unit cost", "loss"],
    ["gift set", "jar of cream", 1.0, None, None],
    ["gift set", "bath bomb", 2.0, None, None],
    ["gift set", "box", 1.0, 1.2, None],
    ["jar of cream", "cream", 95.0, 0.02, 0.05],
    ["jar of cream", "jar", 1.0, 0.6, None],
    ["jar of cream", "lid", 1.0, 0.15, None],
    ["bath bomb", "bath mix", 150.0, 0.004, None],
]
_LOOP = [["a", "b", 1.0, None], ["b", "c", 2.0, None], ["c", "a", 1.0, None]]


def _parts():
    return PartsArgument("parts", "the parts table: item, part, quantity, unit cost or blank, and maybe loss share")


def _item():
    return Text("item", "the item to cost")


def _costs(doc="cost per unit, in the same rows"):
    return Numbers("unit_costs", doc, blank_reason="no unit cost; type 0 if it costs nothing")


def _products(amounts, costs):
    return listing([f"{num(a)} × {num(c)}" for a, c in zip(amounts, costs, strict=True)]).replace(", ", " + ")


def _unit_cost_shown(result, price, pack, pack_unit, use_unit, freight, density):
    paid = f"({num(price)} + {num(freight)} freight)" if freight else num(price)
    content = convert(pack, pack_unit, use_unit, density)
    end = unit(use_unit).word
    return f"{paid} ÷ {num(pack)} {unit(pack_unit).word} = {num(content)} {end} → {num(result)} per {end}"


def _landed_shown(result, values, freight, weights):
    return f"{num(freight)} shared by {'value' if weights is None else 'weight'}: {listing([num(r) for r in result])}"


def _fifo_shown(result, quantities, costs, used):
    left, terms = used, []
    for quantity, cost in zip(quantities, costs, strict=True):
        if left > 0 and quantity > 0:
            terms.append(f"{num(min(quantity, left))} × {num(cost)}")
            left -= quantity
    if not terms:
        return "nothing used, so it costs 0"
    return f"first in, first out: {listing(terms).replace(', ', ' + ')} = {num(result)}"


def _rollup_shown(result, item, parts):
    terms = []
    for line in parts.by_item[parts.key(item)]:
        cost = line.unit_cost if line.unit_cost is not None else rollup.rollup(line.part, parts)
        more = f" ÷ (100 % − {pct(line.loss)} loss)" if line.loss else ""
        terms.append(f"{line.part} {num(line.quantity)}{more} × {num(cost)} = {num(line.needed * cost)}")
    return f"{listing(terms)}; together {num(result)}"


def _lines_shown(result, item, parts):
    return listing([f"{part} {num(quantity)}: {num(cost)}" for part, quantity, cost in result])


def _packs_shown(result, needed, sizes, prices):
    bought = [(c, s, p) for c, s, p in zip(result, sizes, prices, strict=True) if c]
    total = sum(c * p for c, _, p in bought)
    left = sum(c * s for c, s, _ in bought) - needed
    chosen = " + ".join(f"{num(c)} × {num(s)}" for c, s, _ in bought)
    return f"{num(needed)} needed: {chosen} for {num(total)}, {num(max(left, 0))} left over"


register(
    FAMILY,
    [
        Record(
            "TC_UNIT_COST",
            "Cost per unit of use: price and freight of a pack, over its content in that unit.",
            costing.unit_cost,
            [
                Number("price", "price of one pack", above=0),  # a blank price must not become a cost of 0
                Number("pack", "content of the pack", above=0),
                Text("pack_unit", "unit of the pack, such as kg, lb, fl oz, each"),
                Text("use_unit", "unit you use it in, such as g or each"),
                Number("freight", "freight for this pack", default=0.0, at_least=0),
                Density(default=None),
            ],
            NUMBER,
            [
                ex(12.5, 500.0, "g", "g", gives=0.025),
                ex(21.0, 1.0, "lb", "oz", 3.0, gives=1.5),
                ex(30.0, 50.0, "each", "each", gives=0.6),
                ex(18.4, 1.0, "L", "g", 0.0, 0.92, gives=0.02),
                ex(18.4, 1.0, "L", "g", fails="#NUM!"),
                ex(12.5, 0.0, "g", "g", fails="#VALUE!"),
                ex(12.5, 500.0, "g", "gramm", fails="#N/A"),
            ],
            "division; conversions as in TC_CONVERT",
            _unit_cost_shown,
        ),
        Record(
            "TC_LANDED",
            "Freight shared over the lines of an order by value (or by weight), to the cent, adding up exactly.",
            costing.landed,
            [
                Numbers("values", "value of each line"),
                Number("freight", "freight of the whole order", at_least=0),
                Numbers("weights", "weight of each line, to share by weight", default=None),
            ],
            COLUMN,
            [
                ex([60.0, 30.0, 10.0], 12.0, gives=[7.2, 3.6, 1.2]),
                ex([10.0, 10.0, 10.0], 10.0, gives=[3.34, 3.33, 3.33]),
                ex([60.0, None, 30.0], 9.0, [1.0, None, 2.0], gives=[3.0, None, 6.0]),
                ex([0.0, 0.0], 9.0, fails="#NUM!"),
                ex([60.0, 30.0], 9.0, [1.0], fails="#VALUE!"),
            ],
            "largest-remainder apportionment (Hamilton's method)",
            _landed_shown,
        ),
        Record(
            "TC_AVERAGE_COST",
            "Stock valued by weighted average: cost per unit.",
            costing.average_cost,
            [Numbers("quantities", "quantities bought"), _costs()],
            NUMBER,
            [
                ex([150.0, 225.0, 210.0], [21.0, 27.0, 33.0], gives=27.6153846153846),
                ex([2.0, None, 1.0], [3.0, None, 6.0], gives=4.0),
                ex([0.0, 0.0], [3.0, 2.0], fails="#NUM!"),
                ex([2.0, 1.0], [3.0, None], fails="#N/A"),
            ],
            _OPENSTAX,
            lambda result, quantities, costs: (
                f"({_products(quantities, costs)}) ÷ {num(sum(quantities))} = {num(result)} per unit"
            ),
        ),
        Record(
            "TC_FIFO",
            "Cost of what was used, first in first out.",
            costing.fifo,
            [
                Numbers("quantities", "quantities bought, oldest first"),
                _costs(),
                Number("used", "quantity used", at_least=0),
            ],
            NUMBER,
            [
                ex([150.0, 225.0, 210.0], [21.0, 27.0, 33.0], 300.0, gives=7200.0),
                ex([5.0, 5.0], [2.0, 3.0], 6.0, gives=13.0),
                ex([5.0, 5.0], [2.0, 3.0], 11.0, fails="#NUM!"),
                ex([5.0, -5.0], [2.0, 3.0], 1.0, fails="#NUM!"),
            ],
            _OPENSTAX,
            _fifo_shown,
        ),
        Record(
            "TC_RECIPE_COST",
            "Cost of a batch: each amount times its unit cost, added up.",
            costing.recipe_cost,
            [Numbers("amounts", "amounts used"), _costs()],
            NUMBER,
            [
                ex([300.0, 150.0, 50.0], [0.001, 0.012, 0.04], gives=4.1),
                ex([300.0, None, 50.0], [0.001, None, 0.04], gives=2.3),
                ex([300.0, 150.0], [0.001, None], fails="#N/A"),
                ex([300.0, "150"], [0.001, 0.012], fails="#VALUE!"),
                ex([300.0, 150.0], [0.001], fails="#VALUE!"),
            ],
            "addition",
            lambda result, amounts, costs: f"{_products(amounts, costs)} = {num(result)}",
        ),
        Record(
            "TC_ROLLUP",
            "Cost of an item through every level of a parts table.",
            rollup.rollup,
            [_item(), _parts()],
            NUMBER,
            [
                ex("jar of cream", _PARTS, gives=2.75),
                ex("Gift Set", _PARTS, gives=5.15),
                ex("bath bomb", [["bath bomb", "bath mix", 150.0, 0.004]], gives=0.6),
                ex("hamper", _PARTS, fails="#N/A"),
                ex("a", _LOOP, fails="#NUM!"),
                ex("set", [["set", "ribbon", 1.0, None]], fails="#N/A"),
                ex("set", [["set", "ribbon", "1", 0.2]], fails="#VALUE!"),
            ],
            "addition over a bill of materials",
            _rollup_shown,
        ),
        Record(
            "TC_ROLLUP_LINES",
            "The bought parts under an item, one row each: part, quantity, cost. For charts and the shopping list.",
            rollup.rollup_lines,
            [_item(), _parts()],
            TABLE,
            [
                ex("bath bomb", _PARTS, gives=[["bath mix", 150.0, 0.6]]),
                ex(
                    "gift set",
                    _PARTS,
                    gives=[
                        ["box", 1.0, 1.2],
                        ["cream", 100.0, 2.0],
                        ["jar", 1.0, 0.6],
                        ["lid", 1.0, 0.15],
                        ["bath mix", 300.0, 1.2],
                    ],
                ),
                ex("a", _LOOP, fails="#NUM!"),
                ex("hamper", _PARTS, fails="#N/A"),
            ],
            "addition over a bill of materials",
            _lines_shown,
        ),
        Record(
            "TC_PACKS",
            "How many of each pack size to buy: the cheapest way, then the least left over.",
            packs.packs,
            [
                Number("needed", "how much is needed", above=0),
                Numbers("sizes", "content of each pack, in the same unit", above=0),
                Numbers("prices", "price of each pack", blank_reason="no price for this pack size"),
            ],
            COLUMN,
            [
                ex(1300.0, [1000.0, 500.0, 100.0], [12.0, 7.0, 2.0], gives=[1.0, 0.0, 3.0]),
                ex(2.5, [1.0, None, 0.4], [3.0, None, 1.5], gives=[1.0, None, 4.0]),
                ex(900.0, [1000.0, 450.0], [10.0, 5.0], gives=[0.0, 2.0]),
                ex(0.0, [1000.0], [10.0], fails="#VALUE!"),
                ex(900.0, [1000.0, 0.0], [10.0, 5.0], fails="#NUM!"),
            ],
            "unbounded knapsack, solved exactly",
            _packs_shown,
        ),
    ],
)
