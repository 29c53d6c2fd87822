"""Builds season_planner.xlsx: the winter season of the invented studio Little Quay.

python examples/build_season_planner.py
"""

from datetime import date
from pathlib import Path

from tarecell.workbook_templates.season_planner import Data, build

DATA = Data(
    "Little Quay: winter season",
    date(2026, 12, 19),
    date(2026, 9, 28),
    3,
    (
        ("Fig bar soap", 60, None, 2, "cure", 42, 2, 0),
        ("Tin candle 8 oz", 24, None, 2, "cure", 14, 1, 0),
        ("Clam-shell melts", 40, date(2026, 11, 28), 1, "cure", 7, 1, 0),
        ("Fig bath bombs", 80, None, 3, "drying", 2, 2, 0),
        ("Jar of cream", 30, None, 1, "rest", 1, 1, 0),
        ("Gift boxes", 10, None, 1, "rest", 0, 1, 0),
        ("Soap for the far shop", 24, date(2026, 12, 5), 1, "cure", 42, 1, 6),
    ),
)

if __name__ == "__main__":
    print(build(Path(__file__).parent / "season_planner.xlsx", DATA).out.name)
