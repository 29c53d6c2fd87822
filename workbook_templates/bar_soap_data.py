"""What the bar-soap workbook says on its first sheet, and the sample that is typed into it."""

from dataclasses import dataclass
from datetime import date

MOULD, TYPED = "mould", "fats as typed"


@dataclass(frozen=True)
class Fat:
    """One fat. `unit` "%": all fats are shares of 100; `own`, `iodine`: values from the supplier."""

    name: str
    amount: float
    unit: str = "%"
    own: float | None = None
    iodine: float | None = None


@dataclass(frozen=True)
class Data:
    """What is typed into the workbook."""

    title: str
    batch_by: str
    alkali: str
    superfat: float
    purity: float
    concentration: float
    step: float
    mould: tuple[float | None, float | None, float | None, str]  # length, width, height, unit
    volume: tuple[float | None, str | None]  # measured volume and unit, used in place of the sizes
    headroom: float
    density: float
    fats: tuple[Fat, ...]
    additions: tuple[tuple[str, float], ...]  # name, share of the fats
    fragrance: str | None
    cap: float | None
    lye_weighed: tuple[float | None, str]
    bar: tuple[float, str]
    loss: float
    made: date
    cure: int
    needed: date


TEMPLATE_DATA = Data(
    title="Bar soap",
    batch_by=MOULD,
    alkali="NaOH",
    superfat=0.06,
    purity=0.98,
    concentration=0.3,
    step=0.1,
    mould=(25, 9, 7, "cm"),
    volume=(None, "mL"),
    headroom=0.05,
    density=1.0,
    fats=(
        Fat("olive oil", 50),
        Fat("coconut oil", 25),
        Fat("high oleic sunflower oil", 15),
        Fat("cocoa butter", 10),
    ),
    additions=(("Fragrance", 0.02), ("White clay", 0.01)),
    fragrance="Fragrance",
    cap=0.03,
    lye_weighed=(None, "g"),
    bar=(110, "g"),
    loss=0.02,
    made=date(2026, 3, 14),
    cure=35,
    needed=date(2026, 5, 1),
)

BAND = (
    "LYE BURNS. Goggles, gloves, long sleeves, fresh air. Lye into the water, never water onto lye. Children "
    "and animals "
    "out of the room. Never aluminium. On skin: rinse at once with plenty of water; in the eye: rinse and call "
    "for help."
)
CAUTIONS = (
    "Lye burns skin and eyes. Wear goggles, gloves and long sleeves, and work with fresh air.",
    "Always stir the lye into the water, never pour water onto lye: it can boil up. Never use aluminium.",
    "Keep children and animals out of the room, and the lye locked away.",
    "Lye on skin: rinse at once with plenty of water. Lye in the eye: rinse and call emergency help.",
    "Weigh everything, the lye to the gram or finer. NaOH and KOH are not interchangeable. Check every value "
    "here with the "
    "supplier's certificate and safety data sheet.",
    "Soap that tests lye-heavy is not for the skin. A superfat worked out here is no test of the finished bar.",
    "Local rules for soap and for handling lye come first: this workbook only does the sums.",
)
LINES = (
    "Recipe: fats in % or in weights, superfat and strength of the lye; you get fats, lye and water for your mould.",
    "A supplier's own saponification value goes beside its fat; without one the published value is taken.",
    "Checks: the superfat that the lye really gives, from the lowest to the highest of the published values, "
    "with a chart.",
    "Curing: bars from the loaf, the day they are cured, the latest day to start.",
    "Print Recipe as your batch sheet, with a box to tick for each weighing. The sample rows are there to be "
    "overwritten.",
)
SOURCES = (
    "Saponification and iodine values: Codex CXS 33, 210, 211, 325R, pharmacopoeias, handbooks; sheet Checks "
    "tells which "
    "for each fat, and which are from memory.",
    "Method: ISO 3657, ASTM D5558 (mg KOH per g); NaOH from KOH by molar masses, 39.9971 ÷ 56.1056.",
    "Lye strength 25 to 40 %, a batter of about 1 g per mL, four to six weeks of curing: common practice, no published "
    "source.",
    "Category 9 for a bar soap: IFRA Standards, 49th Amendment on; the placement is from memory: ask your supplier.",
)
