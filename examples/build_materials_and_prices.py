"""Builds materials_and_prices.xlsx: what the invented studio Little Quay bought, used and has left for its gift season.

    python examples/build_materials_and_prices.py

All of it is made up: materials, lots, suppliers, prices and dates.
"""

import datetime
from pathlib import Path

from tarecell.workbook_templates.materials_and_prices import build
from tarecell.workbook_templates.materials_and_prices_data import Data

NAME = "materials_and_prices.xlsx"
Day = datetime.date
JUNE, SEPTEMBER, OCTOBER = Day(2026, 6, 8), Day(2026, 9, 14), Day(2026, 10, 5)
NEXT_SPRING, NEXT_AUTUMN = Day(2027, 4, 1), Day(2027, 10, 1)
PANTRY, HARBOUR, TINS = "Pantry shop", "Harbour Supplies", "Tins & Boxes"

DATA = Data(
    as_of=Day(2026, 11, 2),
    materials=(
        ("Glycerin", "g", 1.261, 250),
        ("Emulsifying wax", "g", None, 200),
        ("Sweet almond oil", "g", 0.913, 300),
        ("Shea butter", "g", None, 400),
        ("Broad-spectrum preservative", "g", None, 50),
        ("Vitamin E", "g", None, 20),
        ("Baking soda", "lb", None, 5),
        ("Citric acid", "lb", None, 3),
        ("Cornstarch", "oz", None, 16),
        ("Cocoa butter", "g", None, 200),
        ("Soy wax", "lb", None, 10),
        ("Harbour Fig", "g", None, 120),
        ("Jar 4 oz with lid", "each", None, 12),
        ("Candle tin 8 oz", "each", None, 12),
        ("Wick", "each", None, 20),
        ("Gift box", "each", None, 10),
        ("Ribbon", "yd", None, 10),
    ),
    purchases=(
        (JUNE, "Shea butter", HARBOUR, "SB-2231", 1, 1, "kg", 13.6, 2.2, NEXT_SPRING),
        (JUNE, "Sweet almond oil", HARBOUR, "AO-118", 2, 16, "fl oz", 9.4, 2.8, Day(2026, 10, 15)),
        (JUNE, "Emulsifying wax", HARBOUR, "EW-77", 1, 1, "lb", 11.2, 1.6, Day(2028, 6, 1)),
        (JUNE, "Glycerin", HARBOUR, "GL-05", 1, 500, "mL", 7.4, 1.1, Day(2028, 6, 1)),
        (JUNE, "Broad-spectrum preservative", HARBOUR, "BP-9", 1, 100, "g", 9.9, 0.9, NEXT_SPRING),
        (SEPTEMBER, "Baking soda", PANTRY, None, 3, 5, "lb", 6.99, None, Day(2028, 1, 1)),
        (SEPTEMBER, "Cornstarch", PANTRY, None, 1, 3, "lb", 4.49, None, Day(2028, 1, 1)),
        (SEPTEMBER, "Citric acid", HARBOUR, "CA-640", 1, 5, "lb", 17.5, 3.2, Day(2028, 9, 1)),
        (SEPTEMBER, "Soy wax", HARBOUR, "SW-31", 1, 25, "lb", 74, 14, Day(2028, 9, 1)),
        (SEPTEMBER, "Harbour Fig", HARBOUR, "HF-12", 1, 8, "oz", 26.4, 2, NEXT_AUTUMN),
        (SEPTEMBER, "Jar 4 oz with lid", TINS, None, 2, 12, "each", 13.8, 4.8, None),
        (SEPTEMBER, "Candle tin 8 oz", TINS, None, 2, 12, "each", 18.6, 7.2, None),
        (SEPTEMBER, "Wick", TINS, None, 1, 50, "each", 7.5, None, None),
        (OCTOBER, "Shea butter", HARBOUR, "SB-2304", 1, 1, "kg", 14.9, 2.2, NEXT_AUTUMN),
        (OCTOBER, "Sweet almond oil", HARBOUR, "AO-131", 1, 16, "fl oz", 9.8, 1.4, NEXT_SPRING),
        (OCTOBER, "Cocoa butter", HARBOUR, "CB-8", 1, 1, "lb", 15.75, 1.6, NEXT_AUTUMN),
        (OCTOBER, "Vitamin E", HARBOUR, "VE-3", 1, 2, "oz", 7.25, 0.5, NEXT_AUTUMN),
        (OCTOBER, "Harbour Fig", HARBOUR, "HF-15", 1, 8, "oz", 27.6, 2, Day(2028, 1, 1)),
        (OCTOBER, "Gift box", TINS, None, 2, 10, "each", 16.5, 5, None),
        (OCTOBER, "Ribbon", TINS, None, 1, 25, "yd", 5.25, None, None),
    ),
    used=(
        (Day(2026, 7, 20), "Shea butter", 420, "g", "cream for the summer fair"),
        (Day(2026, 7, 20), "Sweet almond oil", 400, "g", "cream for the summer fair"),
        (Day(2026, 7, 20), "Emulsifying wax", 7, "oz", "cream for the summer fair"),
        (Day(2026, 7, 20), "Glycerin", 120, "mL", "cream for the summer fair"),
        (Day(2026, 7, 20), "Broad-spectrum preservative", 45, "g", "cream for the summer fair"),
        (Day(2026, 10, 12), "Baking soda", 6.5, "lb", "bath bombs, first batch"),
        (Day(2026, 10, 12), "Citric acid", 3.25, "lb", "bath bombs, first batch"),
        (Day(2026, 10, 12), "Cornstarch", 26, "oz", "bath bombs, first batch"),
        (Day(2026, 10, 12), "Harbour Fig", 62, "g", "bath bombs, first batch"),
        (Day(2026, 10, 12), "Cocoa butter", 5, "oz", "drizzle"),
        (Day(2026, 10, 19), "Soy wax", 4.5, "lb", "tin candles"),
        (Day(2026, 10, 19), "Harbour Fig", 190, "g", "tin candles"),
        (Day(2026, 10, 19), "Candle tin 8 oz", 10, "each", "tin candles"),
        (Day(2026, 10, 19), "Wick", 11, "each", "tin candles, one bent"),
        (Day(2026, 10, 26), "Shea butter", 650, "g", "gift set cream"),
        (Day(2026, 10, 26), "Sweet almond oil", 250, "g", "gift set cream"),
        (Day(2026, 10, 26), "Jar 4 oz with lid", 14, "each", "gift set cream"),
    ),
    prices=(
        ("Citric acid", "Citric acid anhydrous", HARBOUR, "CIT-5", "5 lb bag", 5, "lb", 17.9, 3.2, OCTOBER),
        ("Citric acid", "Citric acid, 25 kg sack", "Chandlery Wholesale", "44120", "25 kg", 25, "kg", 79, 16, OCTOBER),
        ("Shea butter", "Shea butter refined", HARBOUR, "SHE-1", "1 kg", 1, "kg", 14.9, 2.2, OCTOBER),
        ("Shea butter", "Shea, unrefined", "Chandlery Wholesale", "21077", "5 kg", 5, "kg", 61, 9, OCTOBER),
        ("Harbour Fig", "Harbour Fig fragrance", HARBOUR, "FIG-16", "16 oz", 16, "oz", 48, 3, OCTOBER),
        ("Harbour Fig", "Harbour Fig fragrance", HARBOUR, "FIG-8", "8 oz", 8, "oz", 27.6, 2, OCTOBER),
        ("Jar 4 oz with lid", "PET jar 4 oz, black lid", TINS, "J4", "12 pieces", 12, "each", 13.8, 2.4, OCTOBER),
        ("Sweet almond oil", "Sweet almond oil", HARBOUR, "ALM-32", "32 fl oz", 32, "fl oz", 17.2, 2.4, OCTOBER),
        (None, "Beeswax pastilles", HARBOUR, "BW-1", "1 lb", 1, "lb", 16.4, 1.6, OCTOBER),
    ),
    freight=14.4,
    freight_by="weight",
    order=(("Soy wax, 25 lb", 74, 25), ("Citric acid, 5 lb", 17.5, 5), ("Harbour Fig, 8 oz", 26.4, 0.5)),
)  # fmt: skip


if __name__ == "__main__":
    print(build(Path(__file__).with_name(NAME), DATA).out)
