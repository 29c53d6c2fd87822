"""Soap, as plain formulas: the fats' values from a table that goes with the copy, or from the supplier's column."""

from tarecell.calculations import fats, soap
from tarecell.errors import CellError
from tarecell.hosts.plain.calls import Call, translates
from tarecell.hosts.plain.keys import Key, NameList, key_of, listed
from tarecell.hosts.plain.reading import Word
from tarecell.hosts.plain.scaling import total_of
from tarecell.hosts.plain.workings import Block, literal


def _value(what, fat: str):
    """A property of a fat: its point, low and high end, "" where it has none."""
    try:
        value = what(fat)
    except CellError:
        return "", "", ""
    return value.point, "" if value.low is None else value.low, "" if value.high is None else value.high


def _table(call: Call):
    names = fats._listed()[0].names
    sap = [_value(fats.saponification, name) for name in names]
    iodine = [_value(fats.iodine, name) for name in names]
    fields = {"sap": [v[0] for v in sap], "sap low": [v[1] for v in sap], "sap high": [v[2] for v in sap]}
    fields |= {"least known": [v[1] or v[0] for v in sap], "most known": [v[2] or v[0] for v in sap]}
    fields |= {"iodine": [v[0] for v in iodine]}
    return listed(call.reference, "Fats: saponification values in mg KOH per g, iodine values", names, fields)


def _places(call: Call, names: Block) -> Block:
    """The row of each fat in the table; 0 where it is not there, empty text in a blank row."""
    table, keys = _table(call), NameList.of(call.work, names)
    pairs = [Key(*pair) for pair in zip(keys.folded.cells, keys.squeezed.cells, strict=True)]
    texts = [f'IF({key.folded}="","",{table.row(key)})' for key in pairs]
    return call.column(texts, "row in the table")


def _looked_up(table, field: str, place: str) -> str:
    found = table.value(field, place)
    return f'IF({found}="",#N/A,{found})'


def _values(call: Call, names: Block, own: Block | None, field: str) -> Block:
    """A value for each fat: the supplier's where there is one, the table's otherwise."""
    table, places = _table(call), _places(call, names)
    texts = []
    for i, place in enumerate(places.cells):
        text = _looked_up(table, field, place)
        if own is not None:
            text = f'IF({own.cells[i]}="",{text},{_checked_own(table, own.cells[i], place, field)})'
        texts.append(f'IF({place}="","",{text})')
    return call.column(texts, field)


def _checked_own(table, own: str, place: str, field: str) -> str:
    if field == "iodine":
        return f"IF({own}>{literal(fats.IODINE_HIGHEST)},#NUM!,{own})"
    low, high = table.value("least known", f"MAX({place},1)"), table.value("most known", f"MAX({place},1)")
    far = (
        f"OR({own}>{high}*{literal(fats._FAR_ABOVE)},"
        f"AND({own}<{low}*{literal(fats._FAR_BELOW)},{own}<={high}*{literal(fats.NAOH_PER_KOH)}))"
    )
    outside = f"OR({own}<{literal(fats.OWN_LOWEST)},{own}>{literal(fats.OWN_HIGHEST)})"
    return f'IF({outside},#NUM!,IF({place}=0,{own},IF({high}="",{own},IF({far},#NUM!,{own}))))'


def _per_koh(alkali: Word) -> str:
    ratio = literal(fats.NAOH_PER_KOH)
    if alkali.known is not None:
        return ratio if alkali.known == "NaOH" else "1"
    return f'IF({alkali}="NaOH",{ratio},1)'


def _needed(call: Call, values: Block, weights: Block, alkali: Word) -> str:
    """Grams of pure alkali: the first error of the fats' values, or #NUM! where nothing is needed."""
    total = total_of(call, weights)
    need = call.cell(f"0*SUM({values})+0*{total}+SUMPRODUCT({values},{weights})/1000*{_per_koh(alkali)}", "alkali")
    return call.cell(f"IF({need}<=0,#NUM!,{need})", "alkali, not 0")


def _pure(call: Call, purity: str) -> str:
    return call.cell(f"IF({purity}<{literal(soap.PURITY_LEAST)}-1E-9,#NUM!,{purity})", "purity, checked")


@translates("TC_SAP")
def sap(call, fat, alkali):
    table = _table(call)
    place = call.cell(table.row(key_of(call.work, fat.cell, fat.known)), "its row")
    return f"{_looked_up(table, 'sap', place)}/1000*{_per_koh(alkali)}"


@translates("TC_LYE")
def lye(call, names, weights, alkali, superfat, purity, own):
    most = literal(soap.SUPERFAT_MOST)
    discount = call.cell(f"IF(OR({superfat}<0,{superfat}>{most}+1E-9),#NUM!,{superfat})", "superfat, checked")
    pure = _pure(call, purity)
    need = _needed(call, _values(call, names, own, "sap"), weights, alkali)
    return f"0*({discount}+{pure})+{need}*(1-{discount})/{pure}"


@translates("TC_LYE_WATER")
def lye_water(call, lye, concentration):
    least, most = literal(soap.STRENGTH_LEAST), literal(soap.STRENGTH_MOST)
    return (
        f"IF(OR({concentration}>{most}+1E-9,{concentration}<{least}-1E-9),#NUM!,"
        f"{lye}*(1-{concentration})/{concentration})"
    )


def _superfat(call: Call, lye: str, pure: str, need: str) -> str:
    found = call.cell(f"0*{pure}+1-{lye}*{pure}/{need}", "superfat")
    return f"IF(ABS({found})<1E-12,0,{found})"


@translates("TC_SUPERFAT")
def superfat(call, names, weights, lye, alkali, purity, own):
    pure = _pure(call, purity)
    return _superfat(call, lye, pure, _needed(call, _values(call, names, own, "sap"), weights, alkali))


@translates("TC_SUPERFAT_RANGE")
def superfat_range(call, names, weights, lye, alkali, purity, own):
    pure = _pure(call, purity)
    ends = [
        _superfat(call, lye, pure, _needed(call, _values(call, names, own, field), weights, alkali))
        for field in ("sap low", "sap high")
    ]
    return call.row(ends)


@translates("TC_IODINE")
def iodine(call, names, weights, own):
    total = total_of(call, weights)
    values = _values(call, names, own, "iodine")
    return f"0*{total}+0*SUM({values})+SUMPRODUCT({values},{weights})/{total}"
