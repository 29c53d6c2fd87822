"""Builds gift_set.xlsx: the three gift sets of the invented studio Little Quay, side by side.

    python examples/build_gift_set.py

All of it is made up: recipes, prices, times.
"""

from pathlib import Path

from tarecell.workbook_templates.gift_set import build
from tarecell.workbook_templates.gift_set_data import Data, Set

NAME = "gift_set.xlsx"

DATA = Data(
    hourly_rate=15,
    # products: jar of cream, bath bomb, tin candle, wax melts, fig drizzle; packing: box, hamper, ribbon, wool, label
    sets=(
        Set("Quayside", 10, 6, (1, 2, 1), (1, None, 1.5, 20, 1), 0.4, 0.065, 0.3, 0.5, None, 120),
        Set("Bath night", 12, 5, (1, 4), (1, None, 1.5, 20, 1), 0.4, 0.065, 0.3, 0.5, None, 120),
        Set("The whole harbour", 4, 12, (2, 4, 2, 1), (None, 1, 3, 60, 1), 0.35, 0.065, 0.3, 1, 75, 120),
    ),
    packing=("Gift box", "Hamper basket", "Ribbon", "Wood wool", "Label"),
    products=(("jar of cream", 7.5), ("bath bomb", 5.5), ("tin candle", 6), ("wax melts", 4), ("fig drizzle", None)),
    pieces=(
        ("jar of cream", "Glycerin", 5, "g", 0.03),
        ("jar of cream", "Emulsifying wax", 7.5, "g", 0.03),
        ("jar of cream", "Sweet almond oil", 15, "g", 0.03),
        ("jar of cream", "Shea butter", 9, "g", 0.03),
        ("jar of cream", "Broad-spectrum preservative", 1.1, "g", 0.03),
        ("jar of cream", "Harbour Fig", 1.65, "g", 0.03),
        ("jar of cream", "Jar 4 oz with lid", 1, "each", 0.02),
        ("jar of cream", "Label", 1, "each", 0.05),
        ("bath bomb", "Baking soda", 2.4, "oz", 0.02),
        ("bath bomb", "Citric acid", 1.2, "oz", 0.02),
        ("bath bomb", "Cornstarch", 0.6, "oz", 0.02),
        ("bath bomb", "Harbour Fig", 2.4, "g", 0.02),
        ("bath bomb", "fig drizzle", 1, "each", None),
        ("bath bomb", "Shrink wrap", 1, "each", 0.05),
        ("tin candle", "Soy wax", 185, "g", 0.02),
        ("tin candle", "Harbour Fig", 14.8, "g", 0.02),
        ("tin candle", "Candle tin 8 oz", 1, "each", None),
        ("tin candle", "Wick", 1, "each", 0.04),
        ("tin candle", "Label", 1, "each", 0.05),
        ("wax melts", "Soy wax", 70, "g", 0.02),
        ("wax melts", "Harbour Fig", 5.6, "g", 0.02),
        ("wax melts", "Label", 1, "each", 0.05),
        ("fig drizzle", "Cocoa butter", 3, "g", 0.1),
        ("fig drizzle", "Mica, fig", 0.1, "g", 0.1),
    ),
    costs=(
        ("Glycerin", "mL", 500, 1000, None, 8.5, 14.9, None, 1.261),
        ("Emulsifying wax", "lb", 1, 5, None, 12.8, 49, None, None),
        ("Sweet almond oil", "fl oz", 16, 32, None, 11.2, 19.6, None, 0.913),
        ("Shea butter", "kg", 1, 5, None, 15.8, 70, None, None),
        ("Broad-spectrum preservative", "g", 100, None, None, 10.8, None, None, None),
        ("Harbour Fig", "oz", 8, 16, None, 28.4, 51, None, None),
        ("Jar 4 oz with lid", "each", 12, 48, None, 16.2, 57.6, None, None),
        ("Label", "each", 60, 240, None, 9.9, 31, None, None),
        ("Baking soda", "lb", 5, 13.5, None, 6.99, 15.5, None, None),
        ("Citric acid", "lb", 5, 10, None, 20.7, 37, None, None),
        ("Cornstarch", "lb", 3, None, None, 4.49, None, None, None),
        ("Shrink wrap", "each", 100, None, None, 6, None, None, None),
        ("Soy wax", "lb", 5, 25, None, 25.5, 88, None, None),
        ("Candle tin 8 oz", "each", 12, 24, None, 22.2, 41, None, None),
        ("Wick", "each", 50, None, None, 7.5, None, None, None),
        ("Cocoa butter", "lb", 1, None, None, 17.35, None, None, None),
        ("Mica, fig", "oz", 1, None, None, 5.9, None, None, None),
        ("Gift box", "each", 10, 25, None, 19, 44, None, None),
        ("Hamper basket", "each", 1, 6, None, 9.8, 52, None, None),
        ("Ribbon", "yd", 25, 100, None, 5.25, 17.5, None, None),
        ("Wood wool", "g", 1000, None, None, 6.4, None, None, None),
    ),
)  # fmt: skip


if __name__ == "__main__":
    print(build(Path(__file__).with_name(NAME), DATA).out)
