"""Cost and price: the records for labour and prices."""

from tarecell.calculations import costing
from tarecell.functions.kinds import Number, Share
from tarecell.functions.records import NUMBER, SHARE, Record, ex
from tarecell.functions.registry import register
from tarecell.functions.wording import num, pct

FAMILY = "Cost and price"


def _cost(doc="cost of one piece"):
    return Number("cost", doc, above=0)


def _fees():
    return [
        Share("fee_share", "selling fees as a share of the price", default=0.0),
        Number("fixed_fee", "selling fee per piece", default=0.0, at_least=0),
    ]


def _labour_shown(result, minutes, rate, pieces):
    each = f" ÷ {num(pieces)} pieces" if pieces else ""
    return f"{num(minutes)} min ÷ 60 × {num(rate)} an hour{each} = {num(result)}"


def _price_shown(result, cost, margin, fee_share, fixed_fee, round_to):
    top = f"({num(cost)} + {num(fixed_fee)} fee)" if fixed_fee else num(cost)
    fees = f" − {pct(fee_share)} fees" if fee_share else ""
    exact = costing.price(cost, margin, fee_share, fixed_fee)
    rounded = f", rounded up to {num(result)}" if round_to else ""
    return f"{top} ÷ (100 %{fees} − {pct(margin)} margin) = {num(exact)}{rounded}"


def _margin_shown(result, price, cost, fee_share, fixed_fee):
    fees = f" − {num(price * fee_share + fixed_fee)} fees" if fee_share or fixed_fee else ""
    loss = " (a loss)" if result < 0 else ""
    return f"({num(price)} − {num(cost)}{fees}) ÷ {num(price)} = {pct(result)}{loss}"


def _break_even_shown(result, price, variable_cost, fixed_cost, profit):
    wanted = f"({num(fixed_cost)} + {num(profit)} profit)" if profit else num(fixed_cost)
    return f"{wanted} ÷ ({num(price)} − {num(variable_cost)}) → {num(result)} pieces"


register(
    FAMILY,
    [
        Record(
            "TC_LABOUR",
            "Labour cost, per piece if pieces are given.",
            costing.labour,
            [
                Number("minutes", "minutes worked", at_least=0),
                Number("hourly_rate", "pay for an hour", above=0),
                Number("pieces", "pieces made in that time", default=None, above=0),
            ],
            NUMBER,
            [
                ex(90.0, 16.0, gives=24.0),
                ex(90.0, 16.0, 12.0, gives=2.0),
                ex(-90.0, 16.0, fails="#NUM!"),
                ex(90.0, 0.0, fails="#VALUE!"),
            ],
            "division",
            _labour_shown,
        ),
        Record(
            "TC_PRICE",
            "The price that leaves that margin after selling fees. Rounded up, so that the margin is kept.",
            costing.price,
            [
                _cost(),
                Share("margin", "what should be left, as a share of the price"),
                *_fees(),
                Number("round_to", "round up to multiples of this, such as 0.5", default=None, above=0),
            ],
            NUMBER,
            [
                ex(6.0, 0.4, gives=10.0),
                ex(5.7, 0.35, 0.05, 0.3, gives=10.0),
                ex(6.1, 0.4, 0.0, 0.0, 0.5, gives=10.5),
                ex(6.0, 0.95, 0.05, fails="#NUM!"),
                ex(6.0, 40.0, fails="#NUM!"),
                ex(0.0, 0.4, fails="#VALUE!"),
            ],
            "margin = (price − cost − fees) ÷ price",
            _price_shown,
        ),
        Record(
            "TC_MARKUP_PRICE",
            "Cost with a markup on it: cost × (1 + markup).",
            costing.markup_price,
            [_cost(), Number("markup", "markup on cost: 30 % is 0.3, 150 % is 1.5", at_least=0, at_most=10)],
            NUMBER,
            [
                ex(10.0, 0.3, gives=13.0),
                ex(10.0, 1.5, gives=25.0),
                ex(10.0, 30.0, fails="#NUM!"),
                ex(0.0, 0.3, fails="#VALUE!"),
            ],
            "OpenStax, Principles of Accounting: markup on cost",
            lambda result, cost, markup: f"{num(cost)} × (100 % + {pct(markup)}) = {num(result)}",
        ),
        Record(
            "TC_MARGIN",
            "The share of the price that is left after cost and fees; negative for a loss.",
            costing.margin,
            [Number("price", "the selling price", above=0), _cost(), *_fees()],
            SHARE,
            [
                ex(10.0, 6.0, gives=0.4),
                ex(10.0, 5.7, 0.05, 0.3, gives=0.35),
                ex(13.0, 10.0, gives=0.230769230769231),
                ex(5.0, 6.0, gives=-0.2),
                ex(0.0, 6.0, fails="#VALUE!"),
                ex(10.0, 6.0, 5.0, fails="#NUM!"),
            ],
            "margin = (price − cost − fees) ÷ price",
            _margin_shown,
        ),
        Record(
            "TC_BREAK_EVEN",
            "Whole pieces to sell until the fixed cost, and the profit wanted, are earned.",
            costing.break_even,
            [
                Number("price", "the selling price", above=0),
                Number("variable_cost", "cost of one piece", at_least=0),
                Number("fixed_cost", "cost that does not depend on the number of pieces", at_least=0),
                Number("profit", "profit wanted on top", default=0.0, at_least=0),
            ],
            NUMBER,
            [
                ex(100.0, 20.0, 18000.0, gives=225.0),
                ex(9.5, 4.25, 120.0, gives=23.0),
                ex(9.5, 4.25, 120.0, 50.0, gives=33.0),
                ex(4.0, 4.25, 120.0, fails="#NUM!"),
                ex(0.0, 4.25, 120.0, fails="#VALUE!"),
            ],
            "OpenStax, Principles of Accounting, vol. 2: break-even point in units",
            _break_even_shown,
        ),
    ],
)
