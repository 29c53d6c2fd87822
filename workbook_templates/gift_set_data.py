"""What the gift-set workbook says, and the sample lines in it."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Set:
    """One gift set. products and packing: how many of each, in the order of the workbook's lists; None for none."""

    name: str
    to_make: float
    minutes: float | None  # to pack one
    products: tuple[float | None, ...]
    packing: tuple[float | None, ...]
    margin: float
    fee_share: float | None
    fixed_fee: float | None
    round_to: float | None
    own_price: float | None
    fixed_cost: float | None


@dataclass(frozen=True)
class Data:
    """What is typed into the workbook, each row in the order of its sheet's columns; None is left blank."""

    hourly_rate: float
    sets: tuple[Set, ...]
    packing: tuple[str, ...]
    products: tuple[tuple, ...]  # name, minutes for one piece
    pieces: tuple[tuple, ...]  # product, part, quantity in one piece, unit, loss
    costs: tuple[tuple, ...]  # material, unit, three pack sizes, their prices with freight, g/mL


TEMPLATE_DATA = Data(
    hourly_rate=15,
    sets=(
        Set("Small set", 10, 5, (1, 1), (1, 1, None), 0.4, 0.05, 0.3, 0.5, None, 60),
        Set("Large set", 6, 8, (2, 3), (None, 1, 1), 0.4, 0.05, 0.3, 0.5, None, 60),
    ),
    packing=("Small box", "Ribbon", "Large box"),
    products=(("jar of cream", 6), ("bath bomb", 4)),
    pieces=(
        ("jar of cream", "Cream, ready made", 50, "g", 0.03),
        ("jar of cream", "Jar with lid", 1, "each", None),
        ("bath bomb", "Bath bomb mix", 5, "oz", 0.02),
        ("bath bomb", "Shrink bag", 1, "each", None),
    ),
    costs=(
        ("Cream, ready made", "g", 500, 1000, None, 9, 16, None, None),
        ("Jar with lid", "each", 12, 50, None, 10.8, 36, None, None),
        ("Bath bomb mix", "lb", 5, 20, None, 12, 40, None, None),
        ("Shrink bag", "each", 100, None, None, 6, None, None, None),
        ("Small box", "each", 10, None, None, 9, None, None, None),
        ("Large box", "each", 10, None, None, 14, None, None, None),
        ("Ribbon", "each", 20, None, None, 5, None, None, None),
    ),
)  # fmt: skip

LINES = (
    "Costs: what you buy, in up to three pack sizes, with prices. Products and Pieces: what goes into one of each.",
    "Sets: up to four gift sets side by side, how many products and how much packing goes into each, and how you sell.",
    "Result: cost, price for your margin, fees, break-even, and a chart of where the money goes. Print this one.",
    "To buy: what all sets need together, in the cheapest whole packs.",
    "Costs are rolled up through all levels, down to the lid. What lacks an amount or a price shows an error.",
)
CAUTIONS = (
    "A price is only as good as the amounts: weigh what really goes into a piece, the loss in the pot included.",
    "Your own work is a cost. So are fees, tax, insurance and what breaks: put them in, or into the fixed cost.",
    "Labels, cautions and limits of each product hold in a set too: see the other workbooks and your local rules.",
)
SOURCES = (
    "Margin = (price − cost − fees) ÷ price. Break-even: OpenStax, Principles of Accounting, vol. 2.",
    "Costs through all levels: addition over a bill of materials. Whole packs: unbounded knapsack, solved exactly.",
    "Units: SI Brochure, NIST Handbook 44, Weights and Measures Act 1985. The sample lines are invented.",
)
