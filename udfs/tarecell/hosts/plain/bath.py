"""Bath, as plain formulas."""

from tarecell.calculations import bath
from tarecell.hosts.plain.calls import Call, translates
from tarecell.hosts.plain.keys import Key, NameList, key_of, listed
from tarecell.hosts.plain.workings import literal
from tarecell.tables import rows


def _acids(call: Call):
    pairs = [(name, row["acid"]) for row in rows("fizz_acids") for name in (row["acid"], *row["also"].split("|"))]
    pairs = [(name, acid) for name, acid in pairs if name]
    per_gram = {"soda per g": [bath.soda_per_gram(acid) for _, acid in pairs]}
    return listed(call.reference, "Acids: g of baking soda that 1 g uses up", [name for name, _ in pairs], per_gram)


def _taken(call: Call, acids, weights) -> str:
    """Grams of soda that all the acids use up."""
    table, names = _acids(call), NameList.of(call.work, acids)
    keys = [Key(*pair) for pair in zip(names.folded.cells, names.squeezed.cells, strict=True)]
    places = call.column([f'IF({key.folded}="","",{table.row(key)})' for key in keys], "acid")
    terms = call.column(
        [f'IF({p}="",0,{w}*{table.value("soda per g", p)})' for p, w in zip(places.cells, weights.cells, strict=True)],
        "soda used up",
    )
    return call.cell(f"SUM({terms})", "by all")


@translates("TC_FIZZ_ACID")
def fizz_acid(call, soda, acid, spare_soda):
    table = _acids(call)
    row = call.cell(table.row(key_of(call.work, acid.cell, acid.known)), "acid")
    return f"{soda}*(1-{spare_soda})/{table.value('soda per g', row)}"


@translates("TC_SODA_LEFT")
def soda_left(call, soda, acids, weights):
    left = call.cell(f"1-{_taken(call, acids, weights)}/{soda}", "left")
    return f"IF(ABS({left})<1E-12,0,{left})"


@translates("TC_FIZZ_GAS")
def fizz_gas(call, soda, acids, weights, celsius):
    constant = literal(bath.GAS_CONSTANT / bath.ATMOSPHERE * 1000)
    return (
        f"MIN({soda},{_taken(call, acids, weights)})/{literal(bath.SODA)}*{constant}*({celsius}+"
        f"{literal(bath.ICE_POINT)})"
    )
