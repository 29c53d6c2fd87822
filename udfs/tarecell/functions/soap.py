"""Soap: the records."""

from tarecell.calculations import soap
from tarecell.functions.columns import Numbers, Texts
from tarecell.functions.kinds import Number, Share, Text
from tarecell.functions.records import NUMBER, ROW, SHARE, Record, ex
from tarecell.functions.registry import register
from tarecell.functions.soap_working import (
    iodine_shown,
    lye_shown,
    range_shown,
    sap_shown,
    superfat_shown,
    water_shown,
)

FAMILY = "Soap"
_VALUES = "saponification values by ISO 3657 and ASTM D5558; the source of each fat by TC_SOURCE(fat)"
_LYE_SOURCE = f"{_VALUES}; NaOH from KOH by molar masses (39.9971 / 56.1056, standard atomic weights)"
LYE_CAUTIONS = (
    "Lye burns skin and eyes. Wear goggles, gloves and long sleeves, and work with fresh air. Always stir the lye into "
    "the water, never pour water onto lye: it can boil up. Keep children and animals out of the room, and the lye "
    "locked away. Never use aluminium. Lye on skin: rinse at once with plenty of water; lye in the eye: rinse and call "
    "emergency help. Weigh, do not measure by volume, and check every value with the supplier's certificate and safety "
    "data sheet. NaOH and KOH are not interchangeable. Local rules for soap and for handling lye come first."
)


def _fats():
    return Texts("fats", "the fats, oils and waxes by name")


def _weights():
    return Numbers("weights", "grams of each fat")


def _alkali():
    return Text("alkali", "NaOH (if left out) or KOH", default="NaOH", choices=["NaOH", "KOH"])


def _purity():
    doc = "share of real alkali in what is weighed, as on the certificate; 100 % if left out"
    return Share("purity", doc, default=1.0, above=0)


def _lye_weighed():
    return Number("lye", "grams of lye that are weighed in", above=0)


# Checking a lye amount takes the supplier's values too: a fat without a published value could not be checked otherwise.
def _own(doc="saponification values from the supplier in mg KOH per g; blank rows take the table's"):
    return Numbers("own_values", doc, default=None, sparse=True)


_RECORDS = [
    Record(
        "TC_SAP",
        "Grams of NaOH or KOH that turn one gram of a fat into soap, with nothing left over.",
        soap.sap,
        [Text("fat", "the fat, oil or wax by name"), _alkali()],
        NUMBER,
        [
            ex("coconut oil", "KOH", gives=0.2565),
            ex("coconut", gives=0.182856188152),
            ex("Cocoa Butter", "KOH", gives=0.1938),
            ex("stearic acid", "KOH", gives=0.1972),
            ex("mango butter", fails="#N/A"),
            ex("unicorn oil", fails="#N/A"),
            ex("coconut oil", "LiOH", fails="#VALUE!"),
            ex(None, fails="#VALUE!"),
        ],
        _LYE_SOURCE,
        sap_shown,
        cautions=LYE_CAUTIONS,
    ),
    Record(
        "TC_LYE",
        "Grams of lye to weigh for a recipe of fats: what they need, less the superfat, divided by the purity.",
        soap.lye,
        [
            _fats(),
            _weights(),
            _alkali(),
            Share("superfat", "lye discount from 0 to 25 %; 0 if left out", default=0.0, at_least=float("-inf")),
            _purity(),
            _own(),
        ],
        NUMBER,
        [
            ex(["coconut oil", "olive oil"], [300.0, 700.0], gives=149.671176228398),
            ex(["coconut oil", "olive oil"], [300.0, 700.0], "NaOH", 0.05, gives=142.187617416978),
            ex(["coconut oil", "olive oil"], [300.0, 700.0], "KOH", 0.05, 0.9, gives=221.613888888889),
            ex(
                ["olive oil", None, "mango butter"],
                [500.0, None, 100.0],
                "KOH",
                None,
                None,
                [None, None, 190.0],
                gives=114.0,
            ),
            ex(["mango butter"], [100.0], fails="#N/A"),
            ex(["olive oil"], [500.0], "NaOH", 0.3, fails="#NUM!"),
            ex(["olive oil"], [500.0], "NaOH", 5.0, fails="#NUM!"),
            ex(["olive oil"], [500.0], "NaOH", -0.02, fails="#NUM!"),
            ex(["olive oil"], [500.0], "KOH", 0.05, 0.3, fails="#NUM!"),
            ex(["olive oil"], [500.0], "NaOH", 0.05, 1.0, [0.135], fails="#NUM!"),
            ex(["olive oil", "coconut oil"], [500.0], fails="#VALUE!"),
            ex(["olive oil"], ["500 g"], fails="#VALUE!"),
        ],
        _LYE_SOURCE,
        lye_shown,
        cautions=LYE_CAUTIONS,
    ),
    Record(
        "TC_LYE_WATER",
        "Grams of water for a lye of that strength: lye × (1 − concentration) ÷ concentration.",
        soap.lye_water,
        [
            Number("lye", "grams of lye", above=0),
            Share("concentration", "the lye's share of lye and water together, 20 to 50 %", above=0),
        ],
        NUMBER,
        [
            ex(100.0, 0.25, gives=300.0),
            ex(142.2, 1 / 3, gives=284.4),
            ex(100.0, 0.5, gives=100.0),
            ex(100.0, 0.6, fails="#NUM!"),
            ex(100.0, 0.1, fails="#NUM!"),
            ex(100.0, 33.0, fails="#NUM!"),
            ex(0.0, 0.3, fails="#VALUE!"),
        ],
        "mass balance; 25 to 40 % is common practice, no published source",
        water_shown,
        cautions=LYE_CAUTIONS,
    ),
    Record(
        "TC_SUPERFAT",
        "The superfat that a weighed lye amount really gives. Below zero the soap is lye-heavy: do not use it on skin.",
        soap.superfat,
        [_fats(), _weights(), _lye_weighed(), _alkali(), _purity(), _own()],
        SHARE,
        [
            ex(["coconut oil", "olive oil"], [300.0, 700.0], 142.187617416978, gives=0.05),
            ex(["olive oil"], [1000.0], 199.5, "KOH", gives=-0.05),
            ex(["olive oil"], [1000.0], 190.0, "KOH", 0.9, gives=0.1),
            ex(["mango butter"], [100.0], 18.05, "KOH", None, [190.0], gives=0.05),
            ex(["mango butter"], [100.0], 13.0, fails="#N/A"),
            ex(["olive oil"], [1000.0], None, fails="#VALUE!"),
            ex(["olive oil"], [1000.0], 130.0, "lye", fails="#VALUE!"),
            ex(["olive oil"], [-1000.0], 130.0, fails="#NUM!"),
        ],
        _LYE_SOURCE,
        superfat_shown,
        cautions=LYE_CAUTIONS,
    ),
    Record(
        "TC_SUPERFAT_RANGE",
        "Lowest and highest superfat that the fats' published ranges allow. Below zero: lye-heavy soap is possible.",
        soap.superfat_range,
        [_fats(), _weights(), _lye_weighed(), _alkali(), _purity(), _own()],
        ROW,
        [
            ex(["olive oil"], [1000.0], 174.8, "KOH", gives=[0.05, 0.108163265306]),
            ex(["shea butter"], [1000.0], 168.625, "KOH", gives=[-0.05390625, 0.13525641025641]),
            ex(["mango butter"], [100.0], 18.05, "KOH", None, [190.0], gives=[0.05, 0.05]),
            ex(["olive oil", "stearic acid"], [100.0, 10.0], 14.0, fails="#N/A"),
            ex(["mango butter"], [100.0], 13.0, fails="#N/A"),
            ex(["olive oil", "coconut oil"], [0.0, 0.0], 13.0, fails="#NUM!"),
            ex(["olive oil"], [100.0], "13", fails="#VALUE!"),
        ],
        f"{_LYE_SOURCE}; the published range of each fat carried through",
        range_shown,
        cautions=LYE_CAUTIONS,
    ),
    Record(
        "TC_IODINE",
        "Iodine value of a blend of fats: the mean by weight. Higher: softer soap that goes rancid sooner.",
        soap.iodine,
        [_fats(), _weights(), _own("iodine values from the supplier; blank rows take the table's")],
        NUMBER,
        [
            ex(["olive oil"], [500.0], gives=84.5),
            ex(["coconut oil", "olive oil"], [300.0, 700.0], gives=61.685),
            ex(["stearic acid", None, "cocoa butter"], [1.0, None, 1.0], gives=19.5),
            ex(["olive oil", "hemp seed oil"], [90.0, 10.0], [None, 160.0], gives=92.05),
            ex(["beeswax"], [10.0], fails="#N/A"),
            ex(["olive oil", "coconut oil"], [0.0, 0.0], fails="#NUM!"),
            ex(["olive oil", "coconut oil"], [1.0, None], fails="#VALUE!"),
        ],
        "iodine values by ISO 3961; the mean by weight; the source of each fat by TC_SOURCE(fat)",
        iodine_shown,
    ),
]

register(FAMILY, _RECORDS)
