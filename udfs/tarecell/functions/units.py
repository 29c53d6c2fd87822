"""Units: the records."""

from tarecell.calculations import amount_text, units
from tarecell.functions.densities import Density
from tarecell.functions.kinds import Number, Text
from tarecell.functions.records import NUMBER, TEXT, Record, ex
from tarecell.functions.registry import register
from tarecell.functions.wording import num

FAMILY = "Units"
_UNITS_SOURCE = "SI Brochure (BIPM), NIST Handbook 44, Weights and Measures Act 1985; conversions by pint"


def _converted(result, value, start, end, density):
    using = f" at {num(density)} g/mL" if density is not None else ""
    times = units.factor(start, end, density)
    if times is None:
        return f"{num(value)} {units.unit(start).word} = {num(result)} {units.unit(end).word}"
    first, last = units.unit(start).word, units.unit(end).word
    if first == last:
        return f"{num(value)} {first} is already in {last}"
    return f"{num(value)} {first} × {num(times, 9)} {last} per {first}{using} = {num(result)} {last}"


def _amount_read(result, text, to, density):
    pieces = " + ".join(f"{num(value)} {units.unit(word).word}" for value, word in amount_text.parts(text))
    using = f" at {num(density)} g/mL" if density is not None else ""
    return f"“{text}” = {pieces} = {num(result)} {units.unit(to).word}{using}"


def _density_found(result, material):
    row = units.density_row(material)
    at = f" at {row['celsius']} °C" if row["celsius"] else ""
    spread = f" (range {row['low']} to {row['high']})" if row["low"] else ""
    return f"{row['material']}: {num(result, 8)} g/mL{at}{spread}; {row['source']}"


register(
    FAMILY,
    [
        Record(
            "TC_CONVERT",
            "A value in another unit: mass, volume, temperature, length or count. oz is weight, fl oz is volume.",
            units.convert,
            [
                Number("value", "the value to convert"),
                Text("from", "its unit, such as g, oz, lb, fl oz, cup, tsp, C"),
                Text("to", "the unit wanted"),
                Density(default=None),
            ],
            NUMBER,
            [
                ex(1.0, "lb", "g", gives=453.59237),
                ex(8.0, "fl oz", "mL", gives=236.5882365),
                ex(122.0, "F", "C", gives=50.0),
                ex(100.0, "mL", "g", 0.92, gives=92.0),
                ex(1.0, "troy ounce", "g", gives=31.1034768),
                ex(2.0, "oz", "mL", fails="#NUM!"),
                ex(100.0, "mL", "g", 920.0, fails="#NUM!"),
                ex(2.0, "ozz", "g", fails="#N/A"),
                ex("2", "oz", "g", fails="#VALUE!"),
            ],
            _UNITS_SOURCE,
            _converted,
        ),
        Record(
            "TC_AMOUNT",
            "The number in an amount written as text, in the unit you want: “1 lb 4 oz”, “2 1/2 tsp”, “½ cup”.",
            amount_text.amount,
            [Text("text", "the written amount"), Text("to", "the unit wanted"), Density(default=None)],
            NUMBER,
            [
                ex("1 lb 4 oz", "oz", gives=20.0),
                ex("2 1/2 tsp", "tsp", gives=2.5),
                ex("½ cup", "mL", gives=118.29411825),
                ex("1,250.5 g", "g", gives=1250.5),
                ex("1,250 g", "g", fails="#VALUE!"),
                ex("a little", "g", fails="#VALUE!"),
            ],
            _UNITS_SOURCE,
            _amount_read,
        ),
        Record(
            "TC_LB_OZ",
            "Grams written as pounds and ounces, to a hundredth of an ounce.",
            amount_text.pounds_and_ounces,
            [Number("grams", "the weight in grams", at_least=0)],
            TEXT,
            [
                ex(574.077838, gives="1 lb 4.25 oz"),
                ex(100.0, gives="3.53 oz"),
                ex(907.18474, gives="2 lb 0 oz"),
                ex(-1.0, fails="#NUM!"),
            ],
            "Weights and Measures Act 1985 (pound = 0.45359237 kg, 16 ounces)",
            lambda result, grams: f"{num(grams)} g ÷ 28.349523125 g per oz = {num(grams / 28.349523125)} oz = {result}",
        ),
        Record(
            "TC_DENSITY",
            "The density of a material in g/mL, from the table. TC_SOURCE tells its temperature and source.",
            units.density,
            [Text("material", "the name of the material")],
            NUMBER,
            [
                ex("water", gives=0.9982071),
                ex("Coconut Oil", gives=0.9145),
                ex("glycerin", gives=1.2613),
                ex("unicorn oil", fails="#N/A"),
            ],
            "the table of densities; the source of each material by TC_SOURCE(material)",
            _density_found,
        ),
    ],
)
