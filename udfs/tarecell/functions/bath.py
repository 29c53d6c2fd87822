"""Bath: the records."""

from tarecell.calculations import bath
from tarecell.functions.columns import Numbers, Texts
from tarecell.functions.kinds import Number, Share, Text
from tarecell.functions.records import NUMBER, SHARE, Record, ex
from tarecell.functions.registry import register
from tarecell.functions.temperatures import Temperature
from tarecell.functions.wording import gram, listing, num, pct

FAMILY = "Bath"
_REACTION = (
    "the balanced reaction, C6H8O7 + 3 NaHCO3 → Na3C6H5O7 + 3 CO2 + 3 H2O for citric acid; molar masses by molmass"
)
_EVEN = 1e-4  # a share of the soda too small to speak of
_CAUTIONS = (
    "Citric acid dust stings eyes and nose: pour slowly, air the room, wear goggles and a dust mask. Keep acid, soda "
    "and the finished pieces dry; do not shut a damp mix in a tight container: the gas builds pressure. Oils make a "
    "bath slippery: say so on the label. Follow the suppliers' safety sheets and local rules."
)


def _soda():
    return Number("soda", "weight of the baking soda (sodium bicarbonate), in grams", above=0)


def _acids():
    return [
        Texts("acids", "the acids: citric, citric monohydrate, tartaric, cream of tartar or malic"),
        Numbers("acid_weights", "their weights, in grams"),
    ]


def _acid_shown(result, soda, acid, spare_soda):
    used = gram(soda) if not spare_soda else f"{gram(soda)} × (100 % − {pct(spare_soda)} spare)"
    row, per_gram = bath.acid_row(acid), bath.soda_per_gram(acid)
    return (
        f"{used} ÷ {num(per_gram, 6)} g soda per g of {row['acid']} ({row['soda_per_acid']} of soda to 1 of acid) = "
        f"{gram(result)} of {row['acid']}; soda to acid {num(per_gram / (1 - spare_soda), 4)} : 1 by weight"
    )


def _taken(acids, weights):
    terms = [f"{gram(w)} {a} × {num(bath.soda_per_gram(a), 6)}" for a, w in zip(acids, weights, strict=True)]
    return f"{listing(terms)} = {gram(bath.soda_taken(acids, weights))} of soda used up"


def _left_shown(result, soda, acids, weights):
    over = bath.soda_taken(acids, weights) - soda
    verdict = f"{pct(result)} of the {gram(soda)} of soda is left"
    if abs(result) < _EVEN:
        verdict = f"{pct(result)}: the {gram(soda)} of soda and the acid use each other up"
    elif result < 0:
        verdict = f"{pct(result)}: acid is left over and may sting; {gram(over)} more soda would use it up"
    return f"{_taken(acids, weights)}; {verdict}"


def _gas_shown(result, soda, acids, weights, celsius):
    used = bath.soda_used(soda, acids, weights)
    first = "the acid runs out first" if used < soda else "all the soda reacts"
    return (
        f"{_taken(acids, weights)}, of {gram(soda)}: {first}; {gram(used)} × {bath.CARBON_DIOXIDE} ÷ {bath.SODA} = "
        f"{gram(bath.gas_weight(used))} of carbon dioxide = {num(result, 4)} L at {num(celsius)} °C and 1 atm"
    )


register(
    FAMILY,
    [
        Record(
            "TC_FIZZ_ACID",
            "Grams of acid that use up the baking soda but for the spare share.",
            bath.fizz_acid,
            [
                _soda(),
                Text(
                    "acid",
                    "citric (if left out), citric monohydrate, tartaric, cream of tartar or malic",
                    default="citric acid",
                ),
                Share("spare_soda", "the share of the soda that is to be left over", default=0.0, at_most=0.99),
            ],
            NUMBER,
            [
                ex(131.1758, gives=100.0, within=1e-5),
                ex(119.93, "citric monohydrate", gives=100.0, within=1e-5),
                ex(200.0, "citric", 0.344121, gives=100.0, within=1e-5),
                ex(100.0, "cream of tartar", gives=224.0029, within=1e-5),
                ex(100.0, "vinegar", fails="#N/A"),
                ex(None, "citric", fails="#VALUE!"),
                ex(100.0, "citric", 1.5, fails="#NUM!"),
            ],
            _REACTION,
            _acid_shown,
            cautions=_CAUTIONS,
        ),
        Record(
            "TC_SODA_LEFT",
            "The share of the baking soda left over when all the acid has reacted. Negative: acid is left over.",
            bath.soda_left,
            [_soda(), *_acids()],
            SHARE,
            [
                ex(200.0, ["citric"], [100.0], gives=0.344121, within=1e-5),
                ex(131.1758, ["citric"], [100.0], gives=0.0, within=1e-5),
                ex(300.0, ["citric", None, "cream of tartar"], [100.0, None, 50.0], gives=0.488343, within=1e-5),
                ex(100.0, ["citric"], [100.0], gives=-0.311758, within=1e-5),
                ex(200.0, ["vinegar"], [100.0], fails="#N/A"),
                ex(200.0, ["citric", "tartaric"], [100.0], fails="#VALUE!"),
                ex(200.0, ["citric"], [-5.0], fails="#NUM!"),
            ],
            _REACTION,
            _left_shown,
            cautions=_CAUTIONS,
        ),
        Record(
            "TC_FIZZ_GAS",
            "Litres of carbon dioxide at 1 atm that soda and acid give; whichever runs out first is the limit.",
            bath.fizz_gas,
            [
                _soda(),
                *_acids(),
                Temperature(
                    "celsius",
                    "temperature of the gas in °C, 25 if left out or 0",
                    default=25.0,
                    at_least=0,
                    at_most=100,
                ),
            ],
            NUMBER,
            [
                ex(100.0, ["citric"], [80.0], gives=29.123, within=1e-4),
                ex(100.0, ["citric"], [38.1166], gives=14.5616, within=1e-4),
                ex(100.0, ["citric"], [80.0], 38.0, gives=30.3929, within=1e-4),
                ex(100.0, ["citric"], [80.0], 104.0, fails="#NUM!"),
                ex(100.0, ["vinegar"], [80.0], fails="#N/A"),
                ex(0.0, ["citric"], [80.0], fails="#VALUE!"),
            ],
            f"{_REACTION}; V = n R T ÷ p, R from CODATA 2018",
            _gas_shown,
            cautions=_CAUTIONS,
        ),
    ],
)
