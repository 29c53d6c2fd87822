"""Builds cream_batch.xlsx: the studio's body cream in the cream-batch workbook. All of it is made up.

python -m tarecell.examples.build_cream_batch
"""

from pathlib import Path

from tarecell.workbook_templates.cream_batch import build
from tarecell.workbook_templates.cream_batch_data import Data
from tarecell.workbooks.paper_recipe import Line

NAME = "cream_batch.xlsx"
HERE = Path(__file__).parent

DATA = Data(
    title="Little Quay: hand & body cream",
    product="body cream",
    jars=10,
    fill=4,
    fill_unit="fl oz",
    density=0.96,
    loss=0.03,
    spare=0,
    step=0.1,
    lines=(
        Line("water", "Water", 11.5, "oz"),
        Line("water", "Glycerin", 0.6, "oz"),
        Line("oil", "Emulsifying wax", 0.9, "oz"),
        Line("oil", "Sweet almond oil", 57, "mL", 0.9125),
        Line("oil", "Shea butter", 30, "g"),
        Line("oil", "Cetyl alcohol", 8, "g"),
        Line("cool down", "Broad-spectrum preservative", 4.5, "g"),
        Line("cool down", "Vitamin E", 2, "g"),
        Line("cool down", "Harbour Fig", 7, "g"),
    ),
    phases=(("water", "heated"), ("oil", "heated"), ("cool down", "cool down")),
    pot=(1.85, 4.26, "lb"),
    thermometer=(117, "F"),
    additions=(("Broad-spectrum preservative", 45, "C"), ("Vitamin E", 50, "C"), ("Harbour Fig", 122, "F")),
    preservatives=(
        ("Broad-spectrum preservative", "phenoxyethanol", 0.7),
        ("Broad-spectrum preservative", "benzoic acid", 0.1),
        ("Broad-spectrum preservative", "dehydroacetic acid", 0.07),
    ),
    fragrance="Harbour Fig",
    own_limit=0.018,
    caps=(
        ("Harbour Fig", 0.094, 0.021, 0.011, 0.021, 0.034),
        ("Oat Meadow", 0.061, 0.018, None, 0.018, 0.027),
        ("Rain on Slate", 0, 0.012, None, None, 0.02),
    ),
    oils=(),
    emulsifiers=((None, None), (None, None)),
    emulsifier_total=None,
)

if __name__ == "__main__":
    print(build(HERE / NAME, DATA))
