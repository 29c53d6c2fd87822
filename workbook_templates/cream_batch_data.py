"""What the cream-batch workbook says on its first sheet, and the sample that is typed into it."""

from dataclasses import dataclass

from tarecell.workbooks.paper_recipe import Line

CODES = ("4", "5A", "5B", "5C", "9")  # the categories of the caps table


@dataclass(frozen=True)
class Data:
    """What is typed into the workbook."""

    title: str
    product: str
    jars: int
    fill: float
    fill_unit: str
    density: float | None
    loss: float
    spare: float
    step: float
    lines: tuple[Line, ...]
    phases: tuple[tuple[str, str], ...]  # name, "heated" or "cool down"
    pot: tuple[float, float, str]  # the empty pot, the pot with the mix, unit
    thermometer: tuple[float, str]
    additions: tuple[tuple[str, float, str], ...]  # name, stays below, unit
    preservatives: tuple[tuple[str, str, float], ...]  # ingredient, substance, its share of the ingredient
    fragrance: str
    own_limit: float | None
    caps: tuple[tuple, ...]  # fragrance, then one cap for each of CODES
    oils: tuple[tuple[str, float, float], ...]  # name, amount, required HLB
    emulsifiers: tuple[tuple[str, float], tuple[str, float]]  # low, high: name, HLB
    emulsifier_total: float


TEMPLATE_DATA = Data(
    title="Cream batch",
    product="body cream",
    jars=10,
    fill=50,
    fill_unit="g",
    density=None,
    loss=0.03,
    spare=0,
    step=0.1,
    lines=(
        Line("water", "Water", 67, "%"),
        Line("water", "Glycerin", 4, "%"),
        Line("oil", "Emulsifying wax", 7, "%"),
        Line("oil", "Sunflower oil", 14, "%"),
        Line("oil", "Shea butter", 6, "%"),
        Line("cool down", "Preservative", 1, "%"),
        Line("cool down", "Fragrance", 1, "%"),
    ),
    phases=(("water", "heated"), ("oil", "heated"), ("cool down", "cool down")),
    pot=(812, 1302.5, "g"),
    thermometer=(43, "C"),
    additions=(("Preservative", 50, "C"), ("Fragrance", 45, "C")),
    preservatives=(("Preservative", "phenoxyethanol", 0.9),),
    fragrance="Fragrance",
    own_limit=None,
    caps=(("Fragrance", 0.05, 0.015, 0.008, 0.015, 0.02),),
    oils=(
        # Worked example in OCL 2022, ocl210096, tables 4 and 5: required HLB 10.33, split 1.36 and 1.64.
        ("Beeswax", 1.5, 12),
        ("Isopropyl myristate", 7.5, 11.5),
        ("Glyceryl monostearate", 7.5, 3.8),
        ("Stearic acid", 12.5, 15),
        ("Seed oil", 5, 6.2),
    ),
    emulsifiers=(("Sorbitan stearate", 4.7), ("Polysorbate 80", 15)),
    emulsifier_total=3,
)

LINES = (
    "Recipe: type the recipe once, in % or in any units; say how many jars, how full. You get grams for this batch.",
    "Making: weigh the pot after heating and read off the water to put back; cool-down additions wait for their "
    "temperature.",
    "Checks: preservatives against the EU's legal maximum, the fragrance against its certificate's cap.",
    "HLB: for those who build an emulsion from two emulsifiers. Leave it empty with a ready emulsifying wax.",
    "Print Recipe as your batch sheet, with a box to tick for each weighing. The sample rows are there to be "
    "overwritten.",
)
CAUTIONS = (
    "Anything with water in it needs a preservative, at the rate in the supplier's documents and no other. Only "
    "a challenge "
    "test proves that a product is preserved. The legal maximum is not a recommended rate.",
    "A fragrance cap holds for one product type and one version of the fragrance. Blank means not stated, never "
    "unlimited.",
    "Products for babies and under-3s have lower limits: get a safety assessor's agreement first.",
    "For external use only; keep it out of the eyes; stop using it if the skin reddens. Keep it out of "
    "children's reach.",
    "Local rules and the suppliers' documents come first: this workbook only does the sums.",
)
SOURCES = (
    "Preservatives: Regulation (EC) 1223/2009 Annex V, export of February 2024. The United States have other rules.",
    "Product categories: IFRA Standards, 49th Amendment on. Older certificates use other categories under the "
    "same numbers.",
    "HLB: W. C. Griffin, J. Soc. Cosmet. Chem. (1949, 1954; from memory); sample: worked example in OCL 2022, "
    "ocl210096.",
    "Cool-down below 50 °C (122 °F): common practice, no published source; your supplier's document decides.",
)
