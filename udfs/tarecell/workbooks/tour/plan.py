"""What the example studio plans: one gift set of three products. Invented, like all of the studio."""

from dataclasses import dataclass

SET = "gift set"
SETS = 10
FRAGRANCE = "Harbour Fig"


@dataclass(frozen=True)
class Product:
    """One product of the set: its recipe sheet, how much goes into a piece, and what a piece is packed in."""

    item: str
    sheet: str
    product_type: str
    per_set: int
    fill: float  # grams in a piece
    loss: float
    spare: float
    fragrance: float  # share of the basis
    basis: str  # "finished", or "wax": on top of the wax
    step: float  # readability of the scale, g
    minutes: float  # of work for the whole batch
    packing: tuple[tuple[str, float], ...]


PRODUCTS = (
    Product("jar of cream", "Cream", "body cream", 1, 110, 0.03, 0.0, 0.015, "finished", 0.1, 75,
            (("Jar 4 oz with lid", 1), ("Label", 1))),
    Product("bath bomb", "Bath bombs", "bath bomb", 2, 150, 0.02, 0.05, 0.02, "finished", 0.1, 110,
            (("Shrink wrap", 1),)),
    Product("tin candle", "Candle", "candle", 1, 200, 0.02, 0.0, 0.08, "wax", 0.1, 60,
            (("Candle tin 8 oz", 1), ("Wick", 1), ("Label", 1))),
)  # fmt: skip
SET_PACKING = (("Gift box", 1.0), ("Ribbon", 1.5), ("Label", 1.0))
HOURLY_RATE = 15.0
MARGIN = 0.4
FEE_SHARE = 0.065
FIXED_FEE = 0.3
ROUND_TO = 0.5
FIXED_COST = 120.0  # a market stall
