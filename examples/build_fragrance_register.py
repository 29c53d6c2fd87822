"""Builds fragrance_register.xlsx: the fragrances of the invented studio Little Quay. All caps are made up.

python examples/build_fragrance_register.py
"""

from datetime import date
from pathlib import Path

from tarecell.workbook_templates.fragrance_register import Data, build

DATA = Data(
    "Little Quay: fragrance register",
    date(2026, 10, 1),
    49,
    51,
    36,
    (
        (
            "Harbour Fig", "Tidewater Scents", date(2026, 3, 2), 51,
            {"1": 0.004, "2": 0.009, "4": 0.094, "5A": 0.021, "5B": 0.011, "5C": 0.021, "5D": 0.002, "9": 0.034,
             "10A": 0.06, "10B": 0.09, "12": "no restriction"},
        ),
        (
            "Oat Meadow", "Tidewater Scents", date(2026, 3, 2), 51,
            {"2": 0.006, "4": 0.061, "5A": 0.018, "5C": 0.018, "9": 0.027, "10A": 0.05, "12": "no restriction"},
        ),
        (
            "Rain on Slate", "North Pier Aromatics", date(2023, 6, 12), 50,
            {"4": 0.0, "5A": 0.012, "9": 0.02, "12": 0.42},
        ),
        (
            "Gorse & Honey", "North Pier Aromatics", date(2025, 11, 20), 51,
            {"1": 0.002, "2": 0.005, "4": 0.07, "5A": 0.015, "5B": 0.008, "5C": 0.012, "5D": 0.0, "7B": 0.01,
             "9": 0.022, "10A": 0.04, "12": "no restriction"},
        ),
    ),
    "Harbour Fig",
    (("body cream", 0.015, None), ("bath bomb", 0.02, 0.025), ("bar soap", 0.03, 0.03), ("candle", 0.0741, 0.1)),
)  # fmt: skip

if __name__ == "__main__":
    print(build(Path(__file__).parent / "fragrance_register.xlsx", DATA).out.name)
