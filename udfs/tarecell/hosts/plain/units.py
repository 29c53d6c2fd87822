"""Units, as plain formulas: a factor where the units are typed into the formula, a look-up where they are in cells."""

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from tarecell.calculations import units
from tarecell.errors import CellError
from tarecell.hosts.plain.calls import Call, translates
from tarecell.hosts.plain.keys import key_of, listed
from tarecell.hosts.plain.reading import Word
from tarecell.hosts.plain.workings import literal
from tarecell.tables import rows

_DIMENSIONS = ("mass", "volume", "temperature", "length", "count")
_BASE = {"mass": "g", "volume": "mL", "temperature": "K", "length": "m", "count": "each"}
VOLUME, TEMPERATURE = "2", "3"  # numbers of dimensions
_SHOWN = (("kind", "kind of unit"), ("factor", "factor"))


@dataclass(frozen=True)
class Unit:
    """A unit: the number of its dimension, and value × factor + zero in that dimension's base unit."""

    dimension: str
    factor: str
    zero: str


def _parts(word: str) -> tuple[float, float, float]:
    dimension = units.unit(word).dimension
    base = _BASE[dimension]
    if dimension == "temperature":
        zero = units.convert(0.0, word, base)
        slope = Fraction((units.convert(100.0, word, base) - zero) / 100).limit_denominator(100)
        return _DIMENSIONS.index(dimension) + 1.0, float(slope), zero
    return _DIMENSIONS.index(dimension) + 1.0, units.factor(word, base), 0.0


@lru_cache(maxsize=1)
def _words() -> tuple[list[str], dict[str, list]]:
    words = [word for row in rows("units") for word in row["words"].split("|")]
    parts = [_parts(word) for word in words]
    fields = {"kind": [p[0] for p in parts], "factor": [p[1] for p in parts], "zero": [p[2] for p in parts]}
    return [word.replace(".", " ") for word in words], fields


def _table(call: Call):
    return listed(call.reference, "Units: in grams, millilitres, kelvins, metres, pieces", *_words(), True)


def unit_of(call: Call, word: Word) -> Unit | str:
    """A unit's numbers; the error where it is no unit."""
    if word.known is not None:
        try:
            return Unit(*(literal(part) for part in _parts(word.known)))
        except CellError as error:
            return error.kind
    table = _table(call)
    row = call.cell(table.row(key_of(call.work, word.cell, also={".": " "})), "row of the unit")
    kind, factor = (call.cell(table.value(field, row), label) for field, label in _SHOWN)
    return Unit(kind, factor, table.value("zero", row))


def convert(call: Call, value: str, start: Word, end: Word, density: str | None = None) -> str:
    """The address of the step that holds a value in another unit."""
    if start.known is not None and end.known is not None:
        try:
            if units.unit(start.known).dimension == units.unit(end.known).dimension != "temperature":
                return call.cell(f"{value}*{literal(units.factor(start.known, end.known))}", f"in {end.known}")
        except CellError as error:
            return call.cell(error.kind, "unit")
    first, last = unit_of(call, start), unit_of(call, end)
    if isinstance(first, str) or isinstance(last, str):
        error = (
            first if isinstance(first, str) else f"IF({first.dimension}>0,{last})" if "!" in first.dimension else last
        )
        return call.cell(error, "unit")
    text = _crossed(value, first, last, density)
    kelvin = f"({value}*{first.factor}+{first.zero})"
    temperature = f"IF({kelvin}<-1E-9,#NUM!,ROUND({kelvin}-{last.zero},12)/{last.factor})"
    return call.cell(
        f"IF({first.dimension}={last.dimension},IF({first.dimension}={TEMPERATURE},{temperature},"
        f"{value}*{first.factor}/{last.factor}),{text})",
        "converted",
    )


def _crossed(value: str, first: Unit, last: Unit, density: str | None) -> str:
    """From weight to volume or back."""
    if density is None:
        return f"IF(AND({first.dimension}>0,{last.dimension}>0),#NUM!)"
    return (
        f'IF(OR({first.dimension}>2,{last.dimension}>2,{density}=""),#NUM!,IF({first.dimension}={VOLUME},'
        f"{value}*{first.factor}*{density}/{last.factor},{value}*{first.factor}/{density}/{last.factor}))"
    )


def millilitres(call: Call, value: str, word: Word) -> str:
    return convert(call, value, word, Word("mL"))


def kelvins(call: Call, value: str, word: Word) -> str:
    """A temperature in kelvins: #NUM! below absolute zero, or where the unit is no temperature."""
    unit = unit_of(call, word)
    if isinstance(unit, str):
        return call.cell(unit, "unit")
    kelvin = f"({value}*{unit.factor}+{unit.zero})"
    return call.cell(f"IF({unit.dimension}<>{TEMPERATURE},#NUM!,IF({kelvin}<-1E-9,#NUM!,{kelvin}))", "in kelvins")


@translates("TC_CONVERT")
def converted(call, value, start, end, density):
    return convert(call, value, start, end, density)


@translates("TC_LB_OZ")
def pounds_and_ounces(call, grams):
    hundredths = call.cell(f"ROUND({grams}/{literal(units.factor('oz', 'g'))}*100,0)", "hundredths of an ounce")
    pounds = call.cell(f"INT({hundredths}/1600)", "pounds")
    rest = call.cell(f"{hundredths}-1600*{pounds}", "and the rest")
    whole = call.cell(f"INT({rest}/100)", "whole ounces")
    part = call.cell(f"{rest}-100*{whole}", "hundredths left")
    # Put together from whole numbers: of broken ones programs show different digits, and a comma in some languages.
    digits = f'IF({part}-10*INT({part}/10)=0,INT({part}/10),IF({part}<10,"0","")&{part})'
    return f'IF({pounds}>0,{pounds}&" lb ","")&{whole}&IF({part}=0,"","."&{digits})&" oz"'


@translates("TC_DENSITY")
def density(call, material):
    table = rows("densities")
    fields = {"g/mL": [float(row["density"]) for row in table]}
    found = listed(call.reference, "Densities, g/mL", [row["material"] for row in table], fields)
    row = call.cell(found.row(key_of(call.work, material.cell, material.known)), "its row")
    return found.value("g/mL", row)
