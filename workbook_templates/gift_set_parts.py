"""The sheets of the gift-set workbook that follow from the others: to buy, the working, the parts table."""

from openpyxl.worksheet.formula import ArrayFormula
from tarecell.workbook_templates.gift_set_layout import (
    ALL,
    AMOUNT,
    BLOCKS,
    BUY,
    COLUMNS,
    COSTS,
    FIRST,
    KEY,
    LAST,
    MAKE,
    MINUTES,
    NAMES,
    NOTHING,
    PACKING_COUNT,
    PACKING_ROW,
    PARTS,
    PARTS_FIRST,
    PARTS_LAST,
    PIECES,
    PRODUCT_COUNT,
    PRODUCT_ROW,
    PRODUCTS,
    RATE,
    RESULT,
    SALE_ROW,
    SETS,
    TABLE,
    TABLE_OF_ALL,
    WORKING,
    first_of,
    listed,
    of,
    open_table,
    out_of_sight,
    set_key,
    words,
)
from tarecell.workbooks import paper
from tarecell.workbooks.paper import COST, MONEY, UNDER, WHOLE, flag, put

ELSEWHERE = "an error stands before this one: see “in words” on Sets, Products, Pieces and Costs"


def buy(book) -> None:
    sheet = open_table(
        book, BUY, "To buy", "What all the sets need together, in the cheapest whole packs, as if you had nothing yet.",
        (32, 8, 13, 11, 11, 11, 12, 12, 40, 32, 12),
        "material or part", "unit", "needed", "first packs", "second packs", "third packs",
        "to pay", "left over", "in words",
        "unique name", "needed",
    )  # fmt: skip
    last = LAST[COSTS]
    total = f'TC_ROLLUP("{ALL}",{TABLE_OF_ALL})'
    put(sheet, "A4", "cost of all sets together", None, paper.STRONG)
    put(sheet, "C4", f"={total}", MONEY, paper.STRONG)
    put(sheet, "F4", "to pay", None, paper.STRONG)
    put(sheet, "G4", f"=IF(ISERROR(C4),C4,SUM(G{FIRST}:G{last}))", MONEY, paper.STRONG)
    keys, amounts = f"$J${FIRST}:$J${last + 12}", f"$K${FIRST}:$K${last + 12}"
    for r in range(FIRST, last + 13):  # the works under the sets are parts too
        for letter, place in (("J", 1), ("K", 2)):
            line = f'INDEX(TC_ROLLUP_LINES("{ALL}",{TABLE_OF_ALL}),{r - FIRST + 1},{place})'
            put(sheet, f"{letter}{r}", f'=IF(ISERROR($C$4),"",IFERROR({line},""))', None, UNDER)
    for r in range(FIRST, last + 1):
        name, key = f"{COSTS}!A{r}", f"{COSTS}!M{r}"
        blank = f'=IF(LEN({name})=0,"",'
        put(sheet, f"A{r}", f"{blank}{name})")
        put(sheet, f"B{r}", f'{blank}{COSTS}!B{r}&"")')
        needed = f"{blank}IF(ISERROR($C$4),$C$4,SUM(IF({keys}={key},{amounts},0))))"
        put(sheet, f"C{r}", ArrayFormula(f"C{r}", needed), AMOUNT, paper.STRONG)
        some = f'=IF(LEN(C{r})=0,"",IF(C{r}=0,"",'
        sizes, each = f"{COSTS}!C{r}:E{r}", f"{COSTS}!F{r}:H{r}"
        paper.column_of(sheet, f"D{r}", f"F{r}", f"{some}TC_PACKS(C{r},{sizes},{each})))", WHOLE)
        put(sheet, f"G{r}", f"{some}{_packs_times(r, 'FGH')}))", MONEY)
        put(sheet, f"H{r}", f"{some}{_packs_times(r, 'CDE')}-C{r}))", AMOUNT)
        steps = (
            (f"LEN({name})=0", NOTHING),
            ("ISERROR($C$4)", '"the sets cannot be costed yet"'),
            (f"C{r}=0", '"not needed"'),
            (f"ISERROR(G{r})", '"check the packs on the sheet Costs"'),
        )
        put(sheet, f"I{r}", first_of(steps, '"buy"'))
    words(sheet, "BI", range(FIRST, last + 1))
    out_of_sight(sheet, "JK")
    flag(sheet, f"A{FIRST}:I{last}", f'OR(LEFT($I{FIRST},5)="check",LEFT($I{FIRST},3)="the")')
    paper.close(sheet, f"A1:I{last}", f"{FIRST - 1}:{FIRST - 1}")
    sheet.page_setup.fitToHeight = 1


def _packs_times(r: int, letters: str) -> str:
    """The packs to buy times what each costs or holds; a size that is not offered comes back blank."""
    return "+".join(f"IF(LEN({n}{r})=0,0,{n}{r}*{COSTS}!{v}{r})" for n, v in zip("DEF", letters, strict=True))


def working(book) -> None:
    sheet = paper.open_sheet(
        book, WORKING, "Working", "How each number came about, or why it is an error.", (30, 22, 110)
    )
    paper.headings(sheet, 4, "set or product", "number", "working")
    lines = []
    for c in COLUMNS:
        here, there = f"{SETS}!{c}", f"{RESULT}!{c}"
        fees = f"{here}{SALE_ROW + 1},{here}{SALE_ROW + 2}"
        price = f"{there}8,{here}{SALE_ROW},{fees},{here}{SALE_ROW + 3}"
        sell = f"{there}10,{there}8+{there}11,{here}{SALE_ROW + 5}"
        lines += [
            (f"{here}{NAMES}", "cost of one set", f'TC_EXPLAIN("TC_ROLLUP",{set_key(c)},{TABLE})'),
            (f"{here}{NAMES}", "price for the margin", f'TC_EXPLAIN("TC_PRICE",{price})'),
            (f"{here}{NAMES}", "margin", f'TC_EXPLAIN("TC_MARGIN",{there}10,{there}8,{fees})'),
            (f"{here}{NAMES}", "sets to sell", f'TC_EXPLAIN("TC_BREAK_EVEN",{sell})'),
        ]  # fmt: skip
    for r in range(FIRST, LAST[PRODUCTS] + 1):
        lines.append((f"{PRODUCTS}!A{r}", "cost of one", f'TC_EXPLAIN("TC_ROLLUP",{PRODUCTS}!G{r},{TABLE})'))
    for row, (name, what, formula) in enumerate(lines, 5):
        put(sheet, f"A{row}", f'=IF(LEN({name})=0,"",{name})')
        put(sheet, f"B{row}", f'=IF(LEN({name})=0,"","{what}")')
        # Calc does not call a function on a range that holds an error: then other cells must tell.
        put(sheet, f"C{row}", f'=IF(LEN({name})=0,"",IFERROR({formula},"{ELSEWHERE}"))', None, UNDER)
        paper.wrap(sheet, f"A{row}", f"B{row}", f"C{row}", height=46 if "ROLLUP" in formula else 16)
    paper.close(sheet, f"A1:C{4 + len(lines)}", "4:4")


def parts(book) -> None:
    """The parts table that the roll-up reads; beside it the same with the cost of the work only."""
    sheet = paper.open_sheet(
        book, PARTS, "Parts", "Worked out from the other sheets: the sets, and all that they are made of.",
        (30, 34, 12, 12, 9, 3, 30, 34, 12, 12, 9),
    )  # fmt: skip
    heads = ("item", "part", "quantity", "unit cost", "loss")
    paper.headings(sheet, 4, *heads, "", *(f"{head}, work only" for head in heads))
    for row, (shown, cells, is_work) in enumerate(_part_lines(), PARTS_FIRST):
        for letter, formula in zip("ABCDE", cells, strict=True):
            put(sheet, f"{letter}{row}", f'=IF({shown},{formula},"")', {"C": AMOUNT, "D": COST}.get(letter))
        if row >= PARTS_FIRST + BLOCKS["all"]:
            for letter, source in zip("GHIJK", "ABCDE", strict=True):
                worth = source + str(row) if is_work or source != "D" else f'IF(LEN(D{row})=0,"",D{row}*0)'
                put(sheet, f"{letter}{row}", f"={worth}", {"I": AMOUNT, "J": COST}.get(letter))
    paper.close(sheet, f"A1:K{PARTS_LAST}", "4:4")
    sheet.freeze_panes = "A5"


def _part_lines():
    """For each row of the parts table: when it is there, its five cells, and whether it is work. In BLOCKS' order."""
    named = {c: f"LEN({SETS}!{c}{NAMES})>0" for c in COLUMNS}
    for c in COLUMNS:
        make = f"{SETS}!{c}{MAKE}"
        many = f"IF(ISNUMBER({make}),IF({make}>0,{make},NA()),NA())"
        yield named[c], (f'"{ALL}"', set_key(c), many, NOTHING, "0"), False
    for c in COLUMNS:
        for i in range(PRODUCT_COUNT):
            quantity = f"{SETS}!{c}{PRODUCT_ROW + i}"
            cells = (set_key(c), f"{PRODUCTS}!G{FIRST + i}", quantity, NOTHING, "0")
            yield f"AND({named[c]},LEN({quantity})>0)", cells, False
    for c in COLUMNS:
        for i in range(PACKING_COUNT):
            quantity, part = f"{SETS}!{c}{PACKING_ROW + i}", f"{SETS}!$A{PACKING_ROW + i}"
            cost, key = of(COSTS, "J", part), of(COSTS, KEY[COSTS], part)
            yield f"AND({named[c]},LEN({quantity})>0)", (set_key(c), key, quantity, cost, "0"), False
    for c in COLUMNS:
        minutes = f"{SETS}!{c}{MINUTES}"
        name = f'"work: "&{set_key(c)}'
        yield f"AND({named[c]},LEN({minutes})>0)", (set_key(c), name, "1", f"TC_LABOUR({minutes},{RATE})", "0"), True
    for r in range(FIRST, LAST[PIECES] + 1):
        item, part = f"{PIECES}!A{r}", f"{PIECES}!B{r}"
        both = f"{listed(PRODUCTS, part)}+{listed(COSTS, part)}"
        key = f"IF({both}=1,IF({listed(PRODUCTS, part)}=1,{of(PRODUCTS, 'G', part)},{of(COSTS, 'M', part)}),NA())"
        cells = (of(PRODUCTS, "G", item), key, f"{PIECES}!F{r}", f"{PIECES}!H{r}", f"{PIECES}!E{r}")
        yield f"COUNTA({PIECES}!A{r}:E{r})>0", cells, False
    for r in range(FIRST, LAST[PRODUCTS] + 1):
        name = f"{PRODUCTS}!G{r}"
        cost = f"TC_LABOUR({PRODUCTS}!B{r},{RATE})"
        yield f"LEN({PRODUCTS}!B{r})>0", (name, f'IF(LEN({name})=0,"","work: "&{name})', "1", cost, "0"), True
