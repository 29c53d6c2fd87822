"""Candles and melts: the records."""

from tarecell.calculations import candle
from tarecell.calculations.units import millilitres, unit
from tarecell.functions.densities import Density
from tarecell.functions.kinds import Number, Share, Text
from tarecell.functions.records import NUMBER, PRACTICE, ROW, SHARE, Record, ex
from tarecell.functions.registry import register
from tarecell.functions.temperatures import Temperature, degree
from tarecell.functions.wording import gram, num, pct

FAMILY = "Candles and melts"
_BALANCE = "mass balance: the pour is fragrance and wax; that the trade figures the load on the wax is common practice"
_MELTING = (
    "Never leave melting wax unattended; melt it in a water bath or a wax melter with a thermostat, not over a flame. "
    "Keep a lid or fire blanket at hand: water on burning wax makes a fireball."
)
_LOAD = (
    "The most that a wax holds stands in its supplier's document, the fragrance's own limit in its certificate: keep "
    "to the lower. Ask for the CLP sheet for the label. Test-burn every change of wax, wick, vessel or fragrance. "
    "Local rules apply."
)


def _wax_shown(result, volume, unit_word, density, fill_share):
    word = unit(unit_word).word
    ml = "" if word == "mL" else f" = {num(millilitres(volume, unit_word))} mL"
    part = "" if fill_share == 1 else f" × {pct(fill_share)} filled"
    return f"{num(volume)} {word}{ml} × {num(density)} g/mL{part} = {gram(result)} of wax and fragrance"


def _load_shown(result, total, share, basis):
    fragrance, wax = result
    if basis == "total":
        first = f"{gram(total)} × {pct(share)} of the pour = {gram(fragrance)} of fragrance"
        turned = f"; that is {pct(candle.load_of_wax(share))} of the wax"
    else:
        first = f"{gram(total)} × {pct(share)} ÷ (100 % + {pct(share)}) = {gram(fragrance)} of fragrance"
        turned = f"; that is {pct(candle.load_of_total(share))} of the pour"
    return f"{first}, {gram(total)} − {gram(fragrance)} = {gram(wax)} of wax{turned}"


def _margin_shown(result, add_temperature, flash_point, unit_word):
    word = degree(unit_word)
    sum_shown = f"flash point {num(flash_point)} {word} − {num(add_temperature)} {word} = {num(result)} {word}"
    if result <= 0:
        where = "ABOVE" if result < 0 else "AT"
        return (
            f"{sum_shown}: WARNING, {where} THE FLASH POINT: the vapour of the fragrance can catch fire from a flame "
            "or a spark. Do not add it at this temperature; let the wax cool, and ask the supplier"
        )
    return (
        f"{sum_shown} below the flash point. That is no safe temperature by itself: keep flames and sparks away, "
        "and add at the temperature that the suppliers of wax and fragrance give"
    )


register(
    FAMILY,
    [
        Record(
            "TC_WAX",
            "Grams of wax and fragrance that a vessel takes.",
            candle.wax,
            [
                Number("volume", "volume of the vessel", above=0),
                Text("unit", "its unit of volume, such as mL, L, fl oz"),
                Density("density of the wax in g/mL, from its supplier", at_most=2),
                Share("fill_share", "how much of the volume is filled; all of it if left out", default=1.0, above=0),
            ],
            NUMBER,
            [
                ex(200.0, "mL", 0.9, gives=180.0),
                ex(250.0, "mL", 0.88, 0.8, gives=176.0),
                ex(8.0, "fl oz", 0.9, gives=212.92941285),
                ex(8.0, "oz", 0.9, fails="#NUM!"),
                ex(200.0, "mL", 890.0, fails="#NUM!"),
                ex(200.0, "jars", 0.9, fails="#N/A"),
                ex(200.0, "mL", 0.0, fails="#VALUE!"),
            ],
            "mass = volume × density; the densities of soy and paraffin wax are common practice, no published source",
            _wax_shown,
            cautions=f"Leave room for the wick and for melted wax to swell. {_MELTING}",
        ),
        Record(
            "TC_LOAD",
            "Fragrance and wax for a pour of that total weight: two cells, in that order.",
            candle.load,
            [
                Number("total", "weight of the whole pour, in grams", above=0),
                Share("share", "the fragrance load: a share of the wax, or of the pour by basis “total”"),
                Text(
                    "basis",
                    "wax (if left out): the load is a share of the wax; total: of the whole pour",
                    default="wax",
                    choices=["wax", "total"],
                ),
            ],
            ROW,
            [
                ex(220.0, 0.1, gives=[20.0, 200.0]),
                ex(220.0, 0.1, "total", gives=[22.0, 198.0]),
                ex(180.0, 0.08, "wax", gives=[13.3333333, 166.6666667], within=1e-8),
                ex(220.0, 10.0, fails="#NUM!"),
                ex(220.0, 1.0, "total", fails="#NUM!"),
                ex(220.0, 0.1, "jar", fails="#VALUE!"),
            ],
            _BALANCE,
            _load_shown,
            cautions=f"{_LOAD} {_MELTING}",
        ),
        Record(
            "TC_LOAD_OF_TOTAL",
            "A fragrance load on the wax turned into a share of the whole pour.",
            candle.load_of_total,
            [Share("share_of_wax", "the load as a share of the wax")],
            SHARE,
            [
                ex(0.1, gives=0.0909090909, within=1e-9),
                ex(0.25, gives=0.2),
                ex(10.0, fails="#NUM!"),
                ex("10%", fails="#VALUE!"),
            ],
            _BALANCE,
            lambda result, share: f"{pct(share)} ÷ (100 % + {pct(share)}) = {pct(result)} of the whole pour",
            cautions=_LOAD,
        ),
        Record(
            "TC_LOAD_OF_WAX",
            "A fragrance share of the whole pour turned into a load on the wax.",
            candle.load_of_wax,
            [Share("share_of_total", "the fragrance as a share of the whole pour")],
            SHARE,
            [
                ex(0.1, gives=0.1111111111, within=1e-9),
                ex(0.2, gives=0.25),
                ex(1.0, fails="#NUM!"),
                ex("10%", fails="#VALUE!"),
            ],
            _BALANCE,
            lambda result, share: f"{pct(share)} ÷ (100 % − {pct(share)}) = {pct(result)} of the wax",
            cautions=_LOAD,
        ),
        Record(
            "TC_FLASH_MARGIN",
            "Degrees below the flash point at which the fragrance goes in. Negative: the wax is above the flash point.",
            candle.flash_margin,
            [
                Temperature("add_temperature", "temperature of the wax when the fragrance goes in"),
                Temperature("flash_point", "the flash point, from the supplier's safety sheet"),
                Text("unit", "the unit of both: C, F or K"),
            ],
            NUMBER,
            [
                ex(65.0, 93.0, "C", gives=28.0),
                ex(180.0, 170.0, "F", gives=-10.0),
                ex(149.0, 200.0, "F", gives=51.0),
                ex(65.0, None, "C", fails="#VALUE!"),
                ex(65.0, 93.0, "mL", fails="#NUM!"),
                ex(65.0, 93.0, "degrees", fails="#N/A"),
            ],
            PRACTICE,
            _margin_shown,
            cautions="The flash point is where vapour can catch fire from a flame; it is no safe pouring temperature. "
            "A margin does not make it safe: keep flames and sparks away, air the room, and follow the safety sheet. "
            f"{_MELTING}",
        ),
    ],
)
