"""What the workbook of materials and prices says, and the sample lines in it."""

import datetime
from dataclasses import dataclass

Day = datetime.date


@dataclass(frozen=True)
class Data:
    """What is typed into the workbook, each row in the order of its sheet's columns; None is left blank."""

    as_of: Day
    materials: tuple[tuple, ...]  # name, unit of use, g/mL, reorder below
    purchases: tuple[tuple, ...]  # date, material, supplier, lot, packs, pack size, unit, price, freight, expiry
    used: tuple[tuple, ...]  # date, material, amount, unit, what for
    prices: tuple[
        tuple, ...
    ]  # your material, as listed, supplier, code, pack as listed, content, unit, price, freight, date
    freight: float
    freight_by: str
    order: tuple[tuple, ...]  # line, value, weight


TEMPLATE_DATA = Data(
    as_of=Day(2026, 9, 1),
    materials=(
        ("Shea butter", "g", None, 500),
        ("Sunflower oil", "g", 0.92, 800),
        ("Citric acid", "g", None, 1000),
        ("Jar 50 mL with lid", "each", None, 24),
    ),
    purchases=(
        (Day(2026, 3, 2), "Shea butter", "A supplier", "S-101", 1, 1, "kg", 14, 2, Day(2027, 3, 1)),
        (Day(2026, 3, 2), "Sunflower oil", "A supplier", "V-220", 2, 500, "mL", 4.5, 1.5, Day(2026, 12, 1)),
        (Day(2026, 4, 20), "Citric acid", "A supplier", "C-7", 1, 5, "lb", 17.5, 3.2, Day(2028, 4, 1)),
        (Day(2026, 5, 11), "Shea butter", "Another supplier", "S-140", 2, 1, "kg", 15, 3, Day(2027, 5, 1)),
        (Day(2026, 5, 11), "Jar 50 mL with lid", "Another supplier", None, 4, 12, "each", 9.6, 4, None),
    ),
    used=(
        (Day(2026, 4, 2), "Shea butter", 650, "g", "body butter"),
        (Day(2026, 4, 2), "Sunflower oil", 8, "fl oz", "body butter"),
        (Day(2026, 5, 3), "Citric acid", 3, "lb", "bath bombs"),
        (Day(2026, 6, 14), "Shea butter", 900, "g", "body butter"),
        (Day(2026, 6, 14), "Jar 50 mL with lid", 30, "each", "body butter"),
    ),
    prices=(
        ("Citric acid", "Citric acid, fine", "A supplier", "CIT5", "5 lb bag", 5, "lb", 17.9, 3.2, Day(2026, 8, 1)),
        ("Citric acid", "Citric acid 25 kg", "Another supplier", "8812", "25 kg", 25, "kg", 74, 14, Day(2026, 8, 15)),
        ("Sunflower oil", "Sunflower oil, high oleic", "A supplier", "SUN1", "1 L", 1, "L", 8.2, 1.5, Day(2026, 8, 1)),
    ),
    freight=9.5,
    freight_by="value",
    order=(("Shea butter", 30, 2000), ("Jars", 38.4, 3600), ("Labels", 12, 200)),
)  # fmt: skip

LINES = (
    "Materials: name what you keep, in the unit you use it in. What is left, its cost and what to reorder follow.",
    "Purchases: one line for each lot you buy, the oldest first. Used: one line for each time you take some.",
    "Cost by weighted average, and first in, first out. Lots that are past their date are told by name.",
    "Prices: suppliers' lists beside each other, as cost per unit of use. “tarecell prices FILE” fills it from a file.",
    "To order: what is short, by how much, and the lowest listed price. Freight: shares one bill over the lines.",
)
CAUTIONS = (
    "Keep each supplier's safety data sheet, certificate and lot number with the purchase: a recall goes by lot.",
    "An expiry date is the supplier's. What smells, looks or feels wrong goes, whatever its date says.",
    "Costs here are for pricing. For your books and taxes, the rules where you live decide how stock is valued.",
)
SOURCES = (
    "Weighted average and first in, first out: OpenStax, Principles of Accounting, vol. 1, inventory valuation.",
    "Units: SI Brochure, NIST Handbook 44, Weights and Measures Act 1985. A volume becomes a weight by its density.",
    "Freight is shared to the cent by largest remainder, so that the shares add up to the bill.",
)
