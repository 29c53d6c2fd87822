"""Builds candles_and_melts.xlsx: the template filled in by the invented studio Little Quay, in ounces and °F.

python examples/build_candles_and_melts.py
"""

from datetime import date
from pathlib import Path

from tarecell.workbook_templates.candles_and_melts import Data, build

DATA = Data(
    "Little Quay: candles and melts",
    "F",
    0.1,
    (
        (
            "Tin candle 8 oz",
            "candle",
            24,
            8.5,
            "fl oz",
            0.85,
            0.02,
            "Soy blend, containers",
            "Harbour Fig",
            0.08,
            "wax",
        ),
        ("Tumbler", "candle", 12, 11, "fl oz", 0.8, 0.02, "Soy blend, containers", "Rain on Slate", 0.07, "wax"),
        ("Travel tin", "candle", 30, 120, "mL", 0.85, 0.03, "Soy blend, containers", "Oat Meadow", 0.08, "wax"),
        ("Clam-shell melt", "wax melt", 40, 85, "mL", 1, 0.03, "Firm soy for melts", "Harbour Fig", 0.09, "total"),
        ("Heart melts, bag", "wax melt", 25, 60, "mL", 1, 0.03, "Firm soy for melts", "Oat Meadow", 0.1, "wax"),
    ),
    (("Soy blend, containers", 0.9, 0.1, 149, 140), ("Firm soy for melts", 0.88, 0.12, 167, 155)),
    (
        ("Harbour Fig", "no restriction", 200, date(2026, 3, 2)),
        ("Oat Meadow", "no restriction", 212, date(2026, 3, 2)),
        ("Rain on Slate", 0.42, 185, date(2025, 9, 18)),
    ),
    (
        (
            date(2026, 8, 3),
            "Tin candle 8 oz",
            "cotton, 20",
            2.8,
            402.5,
            389.3,
            3,
            2.2,
            "calm flame, clean glass",
            "size up",
        ),
        (
            date(2026, 8, 9),
            "Tin candle 8 oz",
            "cotton, 22",
            2.8,
            403.1,
            386.6,
            3,
            2.7,
            "calm flame, faint soot",
            "keep",
        ),
        (date(2026, 8, 16), "Tumbler", "cotton, 24", 3.1, 512.4, 494.2, 3, 3.0, "leaps after 2 h", "size down, trim"),
        (date(2026, 8, 23), "Tumbler", "cotton, 22", 3.1, 511.8, 496.5, 3, 2.8, "calm", "burn to the end"),
    ),
)

if __name__ == "__main__":
    print(build(Path(__file__).parent / "candles_and_melts.xlsx", DATA).out.name)
