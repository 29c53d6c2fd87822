"""Builds labels_and_batch_record.xlsx: a batch of bath bombs of the invented studio Little Quay, for the US.

python examples/build_labels_and_batch_record.py
"""

from datetime import date
from pathlib import Path

from tarecell.workbook_templates.labels_and_batch_record import Data, build

DATA = Data(
    "Little Quay: labels and batch record",
    {
        "C4": "Fig bath bomb", "C5": "bath bomb", "C6": "US", "C7": "Little Quay, Harbour Lane", "C8": "Fragrance",
        "C9": 20, "C10": 150, "C11": 0.02, "C12": 0.1,
        "G4": 5.25, "G5": "oz", "G6": date(2026, 10, 14), "G7": "FBB", "G8": 1, "G9": 9, "G10": 2,
    },
    (
        ("dry", "Baking soda", "Sodium Bicarbonate", 32, None, "BS-2207", None),
        ("dry", "Cornstarch", "Zea Mays (Corn) Starch", 8, None, "CS-118", date(2028, 2, 1)),
        ("dry", "Epsom salt", "Magnesium Sulfate", 5, None, "ES-90", None),
        ("acid", "Citric acid", "Citric Acid", 16, None, "CA-0426", date(2028, 6, 30)),
        ("wet", "Coconut oil", "Cocos Nucifera (Coconut) Oil", 1.94, None, "CO-77", date(2027, 5, 31)),
        ("wet", "Polysorbate 80", "Polysorbate 80", 0.5, None, "PS-31", date(2027, 9, 30)),
        ("wet", "Water", "Water", 0.2, None, None, None),
        ("wet", "Harbour Fig", "Fragrance", 1.2, None, "HF-2603", date(2027, 9, 2)),
        ("drizzle", "Cocoa butter", "Theobroma Cacao (Cocoa) Seed Butter", 1.5, None, "CB-12", date(2027, 12, 1)),
        ("drizzle", "Mica, fig", "Mica", 0.07, "yes", "MF-3", None),
    ),
    (("linalool", 0.03), ("limonene", 0.02), ("citronellol", 0.006), ("coumarin", 0.002)),
    ("Moulds dry, scale checked", "Dry part sieved twice", "Oil melted, °F", "Fragrance stirred in", "Pressed, pieces",
     "Turned after one day", "Drizzle at, °F", "Wrapped and labelled, pieces"),
    "in",
    (("Jar 4 oz", 2.75, 9), ("Candle tin 8 oz", 3, 9.25)),
    (("Bath bomb 2.5 in", 2.5, 2.5, 0.75), ("Round soap", 2.75, 1.2, 0.5)),
)  # fmt: skip

if __name__ == "__main__":
    print(build(Path(__file__).parent / "labels_and_batch_record.xlsx", DATA).out.name)
