"""What the bath-bomb workbook says on its first sheet, and the sample that is typed into it."""

from dataclasses import dataclass
from datetime import date

from tarecell.workbooks.paper_recipe import Line

WEIGHTS = '"g,kg,oz,lb"'  # what a drop-down list of weights offers


@dataclass(frozen=True)
class Mould:
    """One size of mould. `pieces`: how many to make; `weight`, `unit`: what one holds; `topping`: g on each piece."""

    pieces: float
    weight: float
    unit: str
    topping: float
    diameter: float | None = None
    length_unit: str = "mm"


@dataclass(frozen=True)
class Data:
    """What is typed into the workbook."""

    title: str
    large: Mould
    small: Mould
    packed: float | None  # g in one mL of pressed mix, for the diameter
    loss: float
    spare: float
    step: float
    lines: tuple[Line, ...]
    soda: str  # its name in the recipe
    acids: tuple[tuple[str, str], ...]  # name in the recipe, which acid it is
    spare_soda: float
    bath: tuple[float, str]
    fragrance: str | None
    cap: float | None
    mix: tuple[float | None, str]  # the mix really there, and its unit
    topping: tuple[tuple[str, float, str], ...]
    thickener: str | None
    thickness: float
    topping_loss: float
    topping_step: float
    made: date
    drying: int
    turning: int
    needed: date


TEMPLATE_DATA = Data(
    title="Bath bombs",
    large=Mould(8, 150, "g", 6, 60),
    small=Mould(6, 60, "g", 3, 45),
    packed=1.25,
    loss=0.02,
    spare=0,
    step=0.1,
    lines=(
        Line("dry", "Baking soda", 500),
        Line("dry", "Cornstarch", 150),
        Line("dry", "Epsom salt", 90),
        Line("acid", "Citric acid", 250),
        Line("wet", "Coconut oil", 40),
        Line("wet", "Polysorbate 80", 10),
        Line("wet", "Water", 4),
        Line("wet", "Fragrance", 10),
    ),
    soda="Baking soda",
    acids=(("Citric acid", "citric acid"),),
    spare_soda=0.3,
    bath=(38, "C"),
    fragrance="Fragrance",
    cap=0.02,
    mix=(None, "g"),
    topping=(("Cocoa butter", 40, "g"), ("Coconut oil", 10, "g"), ("Mica", 1, "g")),
    thickener="White clay",
    thickness=0.15,
    topping_loss=0.1,
    topping_step=0.1,
    made=date(2026, 3, 14),
    drying=2,
    turning=1,
    needed=date(2026, 4, 1),
)

LINES = (
    "Recipe: dry, acid and wet parts in % or in any units; large and small moulds to fill; you get grams for "
    "this batch.",
    "Fizz: how much soda or acid is left over in the bath, and how much gas it gives.",
    "Filling: how many pieces the mix really fills, large ones first, small ones from what is left over.",
    "Topping: a small recipe of its own, with a thickener to turn up or down, and the weight that pieces carry.",
    "Days: when to turn, when they are dry, when to start at the latest. The sample rows are there to be overwritten.",
)
CAUTIONS = (
    "Citric acid dust stings eyes and nose: pour slowly, air the room, wear goggles and a dust mask.",
    "Keep acid, soda and the finished pieces dry. Never shut a damp mix in a tight container: the gas builds pressure.",
    "Oils make tub and floor slippery: say so on the label. Not for eating. Keep out of the reach of children.",
    "A fragrance cap holds for one product type (bath bomb: category 9) and one version of the fragrance. Blank means "
    "not stated, never unlimited.",
    "Suppliers' safety sheets and local rules come first: this workbook only does the sums.",
)
SOURCES = (
    "Fizz: the balanced reaction C6H8O7 + 3 NaHCO3 → Na3C6H5O7 + 3 CO2 + 3 H2O; molar masses from the IUPAC "
    "atomic weights.",
    "Gas volume: V = n R T ÷ p at 1 atm; R from CODATA 2018.",
    "Category 9 for a bath bomb: IFRA Standards, 49th Amendment on; the placement is from memory: ask your supplier.",
    "Soda to citric acid from 1.5 : 1 to 2 : 1, drying one to two days: common practice, no published source.",
)
