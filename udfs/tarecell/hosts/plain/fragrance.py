"""Fragrance, as plain formulas: caps from the maker's own table, product types from a table that goes with the copy."""

from tarecell.calculations import products
from tarecell.errors import CellError
from tarecell.functions.kinds import Cap
from tarecell.hosts.plain.calls import Call, translates
from tarecell.hosts.plain.keys import Key, NameList, key_of, listed, numbered
from tarecell.hosts.plain.reading import NOT_STATED, Word, text_cell
from tarecell.hosts.plain.rounding import down_to_step, to_step
from tarecell.hosts.plain.workings import Block, Untranslatable, literal
from tarecell.tables import rows

_HAIR = "(1+1E-9)"
_CAP = Cap("cap", "")
MOST_CAPS = 6000  # cells of a caps table that get a step each


def _product_types(call: Call):
    pairs = [(n, row) for row in rows("product_types") for n in (row["product"], *row["also"].split("|")) if n]
    fields = {"category": [row["category"] for _, row in pairs]}
    return listed(call.reference, "Product types and their IFRA categories", [name for name, _ in pairs], fields)


def _code(call: Call, text: str, label: str = "code") -> str:
    """A category code in its plain form, with its divisions or without: "cat. 5a" gives "5A"; "" for anything else."""
    plain = call.cell(f'UPPER(SUBSTITUTE({text}," ",""))', label)
    plain = call.cell(f'IF(LEFT({plain},4)="IFRA",MID({plain},5,99),{plain})', "without IFRA")
    prefix = f'IF(LEFT({plain},8)="CATEGORY",9,IF(LEFT({plain},3)="CAT",4,1))'
    plain = call.cell(f"MID({plain},{prefix},99)", "without category")
    plain = call.cell(f'IF(AND(LEFT({plain},1)=".",{plain}<>{text}),MID({plain},2,99),{plain})', "without a stop")
    plain = call.cell(f'IF(RIGHT({plain},2)=".0",LEFT({plain},LEN({plain})-2),{plain})', "without .0")
    codes = _codes(call)
    return call.cell(f'IF(SUMPRODUCT(1*({codes}={plain}))>0,{plain},"")', "code")


def _codes(call: Call) -> Block:
    call.reference.begin("IFRA category codes")
    return call.reference.constants([*products.CODES, "5", "7", "10", "11"], "code")


def category_of(call: Call, word: Word) -> str:
    """The category of a product type, or the code that a code is: a text in quotes, or the address of a step."""
    if word.known is not None:
        try:
            return literal(products.category(word.known))
        except CellError as error:
            return call.cell(error.kind, "category")
    code = _code(call, word.cell)
    table = _product_types(call)
    key = key_of(call.work, word.cell)
    place = call.cell(table.row(key), "its row")
    placed = table.value("category", place)
    found = f'IF({placed}="",#N/A,{placed})'
    divided = ",".join(f"{code}={literal(c)}" for c in ("5", "7", "10", "11"))
    return call.cell(f'IF({code}="",{found},IF(OR({divided}),#N/A,{code}))', "category")


@translates("TC_CATEGORY")
def category(call, product):
    return category_of(call, product)


class Caps:
    """A caps table, its names and codes ready to be searched and each of its cells read."""

    def __init__(self, call: Call, table: tuple[tuple[str, ...], ...]):
        if len(table) < 2 or len(table[0]) < 2:
            raise Untranslatable("its caps table is too small")
        if len(table) * len(table[0]) > MOST_CAPS:
            raise Untranslatable("its caps table is too large")
        heads = [text_cell(x) for x in table[0][1:]]
        head = call.column(heads, "categories")
        codes = [_code(call, cell, "heading") for cell in head.cells]
        self.codes = call.column([f'IF({c}="",{h},{c})' for c, h in zip(codes, head.cells, strict=True)], "codes")
        self.names = NameList.of(call.work, call.column([text_cell(row[0]) for row in table[1:]], "fragrances"))
        self.numbers = numbered(call.work, len(codes))
        self.caps = self._read(call, table, codes)

    @staticmethod
    def _read(call: Call, table, codes) -> list[Block]:
        """Each cell as a cap: a share, "not stated", or the error it is. A number above 1 spoils its whole row."""
        reading = call.reading
        first = [
            call.column(
                [f"IF(ISBLANK({x}),{literal(NOT_STATED)},{reading.cleaned(Cap('cap', ''), x)})" for x in column]
            )
            for column in list(zip(*table[1:], strict=True))[1:]
        ]
        over = []
        for row in table[1:]:
            tests = [f'IF({code}="",0,COUNTIF({x},">1"))' for code, x in zip(codes, row[1:], strict=True)]
            over.append("+".join(tests))
        spoilt = call.column(over, "above 1")
        return [
            call.column([f"IF({s}+0*SUM({c})>0,#NUM!,{c})" for c, s in zip(block.cells, spoilt.cells, strict=True)])
            for block in first
        ]

    def cap(self, call: Call, fragrance: Key, wanted: str) -> str:
        """The step that holds the cap; #N/A where it is not stated."""
        row = self.names.position(call.work, fragrance)
        count = call.cell(f"0*{row}+SUMPRODUCT(1*({self.codes}={wanted}))", "columns of that category")
        column = f"SUMPRODUCT(({self.codes}={wanted})*{self.numbers})"
        column = call.cell(f"IF({count}=0,#N/A,IF({count}>1,#VALUE!,{column}))", "its column")
        first, last = self.caps[0].cells[0], self.caps[-1].cells[-1]
        inside = f"INDEX({first}:{last.rsplit('!')[-1]},{row},{column})"
        if first == last:  # Gnumeric's INDEX takes no lone cell
            inside = f"IF({row}*{column}=1,{first})"
        found = call.cell(inside, "as stated")
        return call.cell(f"IF({found}={literal(NOT_STATED)},#N/A,{found})", "cap")


def _caps(call: Call, table) -> Caps:
    key = "caps", table
    if key not in call.work.shared:
        call.work.shared[key] = Caps(call, table)
    return call.work.shared[key]


@translates("TC_CAP")
def cap(call, table, fragrance, category):
    key = key_of(call.work, fragrance.cell, fragrance.known)
    return _caps(call, table).cap(call, key, category_of(call, category))


@translates("TC_SET_CAP")
def set_cap(call, table, fragrance, categories):
    caps = _caps(call, table)
    key = key_of(call.work, fragrance.cell, fragrance.known)
    found = []
    for cell in categories.cells:
        one = caps.cap(call, key, category_of(call, Word(cell=cell)))
        found.append(f'IF({cell}="","",{one})')
    each = call.column(found, "cap of each")
    return f"0*SUM({each})+MIN({each})"


@translates("TC_FRAGRANCE")
def fragrance(call, batch, share, cap, basis, step):
    known = basis.known
    on_top = f"{share}/(1+{share})"
    used = f"{share}+0" if known == "finished" else on_top if known else f'IF({basis}="finished",{share},{on_top})'
    used = call.cell(used, "share of the finished")
    over = f"IF({cap}={literal(NOT_STATED)},#N/A,IF({used}>{cap}*{_HAIR},#NUM!,{batch}*{share}))"
    grams = call.cell(call.guarded(over), "grams")
    if step is None:
        return grams
    finished = f"{batch}*{cap}"
    most_on_top = f"IF({cap}>=1,9E+99,{batch}*{cap}/(1-{cap}))"
    most = (
        finished
        if known == "finished"
        else most_on_top
        if known
        else f'IF({basis}="finished",{finished},{most_on_top})'
    )
    most = call.cell(f"0*{grams}+{most}", "the most")
    rounded = call.cell(to_step(call, grams, step), "rounded")
    down = call.cell(f"IF({rounded}>{most}*{_HAIR},{down_to_step(call, grams, step)},{rounded})", "within the cap")
    return f'IF({step}="",{grams},IF({grams}=0,0,IF({down}=0,#NUM!,{down})))'


@translates("TC_CAP_STATUS")
def cap_status(call, share, cap, own_limit):
    limit = f"{cap}" if own_limit is None else f'IF({own_limit}="",{cap},MIN({cap},{own_limit}))'
    return (
        f'IF({cap}={literal(NOT_STATED)},"not stated",IF({cap}=0,"not allowed",'
        f'IF({share}<={limit}*{_HAIR},"within","over")))'
    )


@translates("TC_BLEND_CAP")
def blend_cap(call, shares, caps):
    total = call.cell(f"SUM({shares})", "total")
    total = call.cell(f"IF(ABS({total}-1)>0.000500000001,#NUM!,MIN(1,{total}))", "100 %")
    barred = call.cell(f"SUMPRODUCT(({shares}>0)*({caps}=0)*{call.kept})", "not allowed")
    terms = call.column(
        [f'IF({s}="",0,IF({s}>0,{s}/{c},0))' for s, c in zip(shares.cells, caps.cells, strict=True)], "share ÷ cap"
    )
    return f"IF(0*{total}+{barred}>0,0,MIN(1,{total}/SUM({terms})))"


@translates("TC_CONSTITUENT_CAP")
def constituent_cap(call, fractions, limits, sum_rule):
    barred = call.cell(f"SUMPRODUCT(({fractions}>0)*({limits}=0)*{call.kept})", "not allowed")
    terms = call.column(
        [f'IF({f}="",0,IF({f}>0,IF({x}=0,0,{f}/{x}),0))' for f, x in zip(fractions.cells, limits.cells, strict=True)],
        "fraction ÷ limit",
    )
    most = call.cell(f"IF({sum_rule},SUM({terms}),MAX({terms}))", "most used up")
    return f"IF({barred}>0,0,IF({most}=0,1,MIN(1,1/{most})))"
