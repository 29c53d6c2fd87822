"""Builds bar_soap.xlsx: the studio's harbour soap in the bar-soap workbook. All of it is made up.

python -m tarecell.examples.build_bar_soap
"""

from datetime import date
from pathlib import Path

from tarecell.workbook_templates.bar_soap import build
from tarecell.workbook_templates.bar_soap_data import MOULD, Data, Fat

NAME = "bar_soap.xlsx"
HERE = Path(__file__).parent

DATA = Data(
    title="Little Quay: harbour soap",
    batch_by=MOULD,
    alkali="NaOH",
    superfat=0.05,
    purity=0.985,
    concentration=0.32,
    step=0.1,
    mould=(10, 3.5, 2.5, "in"),
    volume=(None, "mL"),
    headroom=0.04,
    density=1.01,
    fats=(
        Fat("olive oil", 14, "oz"),
        Fat("coconut oil", 8, "oz"),
        Fat("shea butter", 3, "oz"),
        Fat("mango butter", 2, "oz", 188.5, 47),
        Fat("castor oil", 1.5, "oz"),
    ),
    additions=(("Harbour Fig", 0.03), ("Kaolin", 0.015), ("Oat flour", 0.02)),
    fragrance="Harbour Fig",
    cap=0.034,
    lye_weighed=(4.6, "oz"),
    bar=(4.5, "oz"),
    loss=0.03,
    made=date(2026, 10, 3),
    cure=42,
    needed=date(2026, 11, 28),
)

if __name__ == "__main__":
    print(build(HERE / NAME, DATA))
