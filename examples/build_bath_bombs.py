"""Builds bath_bombs.xlsx: the studio's bath bombs with a fig drizzle in the bath-bomb workbook. All of it is made up.

python -m tarecell.examples.build_bath_bombs
"""

from datetime import date
from pathlib import Path

from tarecell.workbook_templates.bath_bombs import build
from tarecell.workbook_templates.bath_bombs_data import Data, Mould
from tarecell.workbooks.paper_recipe import Line

NAME = "bath_bombs.xlsx"
HERE = Path(__file__).parent

DATA = Data(
    title="Little Quay: bath bombs with a fig drizzle",
    large=Mould(20, 5, "oz", 8, 2.5, "in"),
    small=Mould(6, 2, "oz", 3, 1.75, "in"),
    packed=1.06,
    loss=0.02,
    spare=0.05,
    step=1,
    lines=(
        Line("dry", "Baking soda", 2, "lb"),
        Line("dry", "Cornstarch", 8, "oz"),
        Line("dry", "Epsom salt", 5, "oz"),
        Line("acid", "Citric acid", 1, "lb"),
        Line("wet", "Coconut oil", 4, "tbsp", 0.9145),
        Line("wet", "Polysorbate 80", 14, "g"),
        Line("wet", "Water", 6, "g"),
        Line("wet", "Harbour Fig", 36, "g"),
    ),
    soda="Baking soda",
    acids=(("Citric acid", "citric acid"),),
    spare_soda=0.35,
    bath=(100, "F"),
    fragrance="Harbour Fig",
    cap=0.034,
    mix=(7.9, "lb"),
    topping=(("Cocoa butter", 1.5, "oz"), ("Mica, fig", 2, "g")),
    thickener="White clay",
    thickness=0.12,
    topping_loss=0.08,
    topping_step=0.1,
    made=date(2026, 11, 7),
    drying=2,
    turning=1,
    needed=date(2026, 11, 28),
)

if __name__ == "__main__":
    print(build(HERE / NAME, DATA))
