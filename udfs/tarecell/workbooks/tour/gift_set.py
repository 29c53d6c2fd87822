"""Builds the gift-set workbook: the maker's own sheets stay, new sheets beside them do the work with TC_ formulas.

Every number comes from the maker's cells: change a weight, a price or a cap and everything follows, or shows an error.
"""

from dataclasses import dataclass
from pathlib import Path

from openpyxl import load_workbook

from tarecell.calculations.units import unit
from tarecell.workbooks import paper
from tarecell.workbooks.find import find_recipes
from tarecell.workbooks.find.table import RecipeTable
from tarecell.workbooks.paper import COST, GRAMS, MONEY, SHARE, WHOLE, put, quoted, take
from tarecell.workbooks.tour.plan import (
    FEE_SHARE,
    FIXED_COST,
    FIXED_FEE,
    FRAGRANCE,
    HOURLY_RATE,
    MARGIN,
    PRODUCTS,
    ROUND_TO,
    SET,
    SET_PACKING,
    SETS,
    Product,
)

PLAN, COSTS, PARTS, RESULT, BUY = "Plan", "Unit costs", "Parts", "Set cost", "To buy"
PRICE_ROWS, CAPS_RANGE = (4, 33), "Caps!$A$4:$G$7"
FIRST = 5  # first row of every table in the new sheets


@dataclass
class Batch:
    """A batch sheet: where its table of ingredients lies."""

    product: Product
    sheet: str
    first: int
    last: int
    plan_row: int
    bought: list[str]  # the ingredients, the fragrance and the packing


def build_gift_set(recipes: Path, out: Path) -> Path:
    """Reads the recipe workbook and writes the gift-set workbook, without values yet."""
    book = load_workbook(recipes)
    found = {table.sheet: table for table in find_recipes(recipes)}
    plan = _plan(book)
    priced = _costs(book)
    batches = [_batch(book, product, found[product.sheet], row) for row, product in enumerate(PRODUCTS, FIRST)]
    last_part = _parts(book, batches, priced)
    _result(book, last_part)
    _to_buy(book, batches, priced, last_part)
    order = [PLAN, RESULT, *(b.sheet for b in batches), BUY, COSTS, PARTS]
    book._sheets.sort(key=lambda s: order.index(s.title) if s.title in order else len(order))
    book.active = 0
    for sheet in book:
        sheet.sheet_view.tabSelected = sheet.title == plan.title
    book.save(out)
    return out


def _plan(book):
    sheet = paper.open_sheet(
        book,
        PLAN,
        "Gift set: the plan",
        "Type in the orange cells; everything else follows.",
        (20, 12, 14, 9, 9, 8, 8, 11, 11, 9, 10),
    )
    paper.headings(
        sheet, 4, "product", "recipe", "product type", "pieces in a set", "grams in a piece", "loss", "spare",
        "fragrance share", "share of", "scale step, g", "minutes of work",
    )  # fmt: skip
    for row, product in enumerate(PRODUCTS, FIRST):
        put(sheet, f"A{row}", product.item)
        put(sheet, f"B{row}", product.sheet)
        take(sheet, f"C{row}", product.product_type)
        take(sheet, f"D{row}", product.per_set, WHOLE)
        take(sheet, f"E{row}", product.fill, GRAMS)
        take(sheet, f"F{row}", product.loss, SHARE)
        take(sheet, f"G{row}", product.spare, SHARE)
        take(sheet, f"H{row}", product.fragrance, SHARE)
        put(sheet, f"I{row}", product.basis)
        take(sheet, f"J{row}", product.step)
        take(sheet, f"K{row}", product.minutes, WHOLE)
    rows = (
        ("sets to make", SETS, WHOLE),
        ("fragrance", FRAGRANCE, None),
        ("pay for an hour", HOURLY_RATE, MONEY),
        ("margin wanted", MARGIN, SHARE),
        ("selling fees, share of price", FEE_SHARE, SHARE),
        ("selling fee per set", FIXED_FEE, MONEY),
        ("round the price up to", ROUND_TO, MONEY),
        ("fixed cost to earn (stall)", FIXED_COST, MONEY),
    )
    for row, (label, value, form) in enumerate(rows, 10):
        put(sheet, f"A{row}", label)
        take(sheet, f"C{row}", value, form)
    put(sheet, "E10", "strictest cap over the set")
    put(sheet, "H10", f"=TC_SET_CAP({CAPS_RANGE},C11,C{FIRST}:C{FIRST + len(PRODUCTS) - 1})", SHARE, paper.STRONG)
    put(
        sheet,
        "E11",
        "Caps come from your own sheet “Caps”, one per product type. Blank there is “not stated”: an error, not a free "
        "hand.",
        None,
        paper.UNDER,
    )
    put(
        sheet,
        "E12",
        "Preservatives, candles and skin products: follow the supplier's documents and your local rules.",
        None,
        paper.UNDER,
    )
    put(sheet, "E13", "=TC_VERSION()", None, paper.UNDER)
    return sheet


def _costs(book) -> dict[str, list[int]]:
    """The unit-cost sheet. Where each material's prices stand: rows, one per pack size."""
    prices = book["Prices"]
    sheet = paper.open_sheet(
        book, COSTS, "Unit costs", "From the price list, freight included, per gram or per piece.", (30, 9, 13, 62)
    )
    paper.headings(sheet, 4, "material", "used in", "cost per unit", "working")
    priced: dict[str, list[int]] = {}
    row = FIRST
    for source in range(PRICE_ROWS[0], PRICE_ROWS[1] + 1):
        name, pack_unit = prices.cell(source, 1).value, prices.cell(source, 3).value
        if not name:
            continue
        dimension = unit(pack_unit).dimension
        use = "g" if dimension in ("mass", "volume") else pack_unit
        call = f"Prices!D{source},Prices!B{source},Prices!C{source},B{row},Prices!E{source},Prices!F{source}"
        put(sheet, f"A{row}", f"=Prices!A{source}")
        put(sheet, f"B{row}", use)
        put(sheet, f"C{row}", f"=TC_UNIT_COST({call})", COST)
        paper.working(sheet, f"D{row}", f'=TC_EXPLAIN("TC_UNIT_COST",{call})')
        priced.setdefault(name, []).append(row)
        row += 1
    sheet.freeze_panes = "B5"
    return priced


def _cost_of(name_cell: str) -> str:
    return f"INDEX({quoted(COSTS)}!$C${FIRST}:$C$60,MATCH({name_cell},{quoted(COSTS)}!$A${FIRST}:$A$60,0))"


def _batch(book, product: Product, table: RecipeTable, plan_row: int) -> Batch:
    name = f"{product.sheet} batch"
    sheet = paper.open_sheet(book, name, f"{product.sheet}: the batch", "", (14, 30, 11, 7, 12, 12, 12, 12, 54))
    sheet["A2"] = "Grams to weigh for the pieces planned, rounded to the scale with the total kept."
    rows = [r for r in table.rows if r.name]
    first, last = 14, 13 + len(rows)
    _batch_head(sheet, plan_row, product)
    paper.headings(
        sheet,
        13,
        "phase",
        "ingredient",
        "recipe",
        "unit",
        "recipe in grams",
        "weigh, g",
        "cost per g",
        "cost",
        "working",
    )
    source = quoted(table.sheet)
    for row, line in enumerate(rows, first):
        amount = f"{source}!{_at(table.amount_column, line.row)}"
        put(sheet, f"A{row}", f"={source}!{_at(table.phase_column, line.row)}")
        put(sheet, f"B{row}", f"={source}!{_at(table.name_column, line.row)}")
        put(sheet, f"C{row}", f'=IF({amount}="",NA(),{amount})', "General")
        put(sheet, f"D{row}", f"={source}!{_at(table.unit_column, line.row)}").alignment = paper.INDENT
        put(sheet, f"E{row}", f'=TC_CONVERT(C{row},D{row},"g")', GRAMS)
        put(sheet, f"G{row}", f"={_cost_of(f'B{row}')}", COST)
        put(sheet, f"H{row}", f"=F{row}*G{row}", MONEY)
        paper.working(sheet, f"I{row}", f'=TC_EXPLAIN("TC_CONVERT",C{row},D{row},"g")')
    paper.column_of(sheet, f"F{first}", f"F{last}", f"=TC_SCALE(E{first}:E{last},$C$9,$C$10)", GRAMS)
    after = last + 1
    put(sheet, f"B{after}", f"={PLAN}!$C$11")
    put(sheet, f"A{after}", "fragrance")
    put(sheet, f"F{after}", "=C8", GRAMS)
    put(sheet, f"G{after}", f"={_cost_of(f'B{after}')}", COST)
    put(sheet, f"H{after}", f"=F{after}*G{after}", MONEY)
    put(sheet, f"B{after + 1}", "together", None, paper.STRONG)
    put(sheet, f"F{after + 1}", f"=SUM(F{first}:F{after})", GRAMS, paper.STRONG)
    put(sheet, f"H{after + 1}", f"=SUM(H{first}:H{after})", MONEY, paper.STRONG)
    _phases(sheet, rows, first, last)
    sheet.freeze_panes = "C14"
    bought = [*(r.name for r in rows), FRAGRANCE, *(part for part, _ in product.packing)]
    return Batch(product, name, first, after, plan_row, bought)


def _batch_head(sheet, plan: int, product: Product) -> None:
    on_wax = product.basis == "wax"
    weight = f"C6/(1+{PLAN}!H{plan})" if on_wax else "C6"
    call = f'{weight},{PLAN}!H{plan},C7,"{product.basis}",C10'
    lines = (
        (4, "pieces", f"={PLAN}!$C$10*{PLAN}!D{plan}", WHOLE),
        (5, "grams in a piece", f"={PLAN}!E{plan}", GRAMS),
        (6, "batch, with loss and spare", f"=TC_BATCH(C4,C5,{PLAN}!F{plan},{PLAN}!G{plan})", GRAMS),
        (7, "cap for this product", f"=TC_CAP({CAPS_RANGE},{PLAN}!$C$11,{PLAN}!C{plan})", SHARE),
        (8, "fragrance, g", f"=TC_FRAGRANCE({call})", GRAMS),
        (9, "everything else, g", "=C6-C8", GRAMS),
        (10, "scale step, g", f"={PLAN}!J{plan}", "General"),
        (11, "fragrance in the product", "=TC_FINISHED_SHARE(C8,C9)", "0.00%"),
    )
    for row, label, formula, form in lines:
        put(sheet, f"A{row}", label)
        put(sheet, f"C{row}", formula, form, paper.STRONG)
    put(sheet, "D11", "=TC_CAP_STATUS(C11,C7)", None, paper.STRONG).alignment = paper.INDENT
    paper.flag(sheet, "C11:D11", '$D$11<>"within"')
    paper.working(sheet, "E7", f'=TC_EXPLAIN("TC_CAP",{CAPS_RANGE},{PLAN}!$C$11,{PLAN}!C{plan})')
    paper.working(sheet, "E8", f'=TC_EXPLAIN("TC_FRAGRANCE",{call})')
    paper.working(sheet, "E6", f'=TC_EXPLAIN("TC_BATCH",C4,C5,{PLAN}!F{plan},{PLAN}!G{plan})')
    for row in (6, 7, 8):
        sheet.merge_cells(f"E{row}:I{row}")


def _phases(sheet, rows, first: int, last: int) -> None:
    """The weight of each phase, below the table."""
    start = last + 5
    paper.headings(sheet, start - 1, "phase", "weigh, g")
    for row, phase in enumerate(dict.fromkeys(r.phase for r in rows), start):
        put(sheet, f"A{row}", phase)
        put(sheet, f"B{row}", f"=TC_PHASE_TOTAL($A${first}:$A${last},$F${first}:$F${last},A{row})", GRAMS)


def _at(column: int, row: int) -> str:
    return f"${'ABCDEFGHIJKLMNOPQRSTUVWXYZ'[column - 1]}${row}"


def _parts(book, batches: list[Batch], priced: dict[str, list[int]]) -> int:
    """The parts table: the set, its products, and all they are made of. Its last row."""
    sheet = paper.open_sheet(
        book,
        PARTS,
        "Parts",
        "Set → products → materials. A blank cost means: made here, costed from its own rows.",
        (18, 30, 12, 12, 10),
    )
    paper.headings(sheet, 4, "item", "part", "quantity", "unit cost", "loss")
    lines: list[tuple] = [(SET, b.product.item, f"={PLAN}!D{b.plan_row}", None) for b in batches]
    lines += [(SET, name, quantity, True) for name, quantity in SET_PACKING]
    for batch in batches:
        here = quoted(batch.sheet)
        item = batch.product.item
        lines += [
            (item, f"={here}!B{row}", f"={here}!F{row}/{here}!$C$4", f"={here}!G{row}")
            for row in range(batch.first, batch.last + 1)
        ]
        lines += [(item, name, quantity, True) for name, quantity in batch.product.packing]
        pay = f"=TC_LABOUR({PLAN}!K{batch.plan_row},{PLAN}!$C$12,{here}!$C$4)"
        lines.append((item, f"labour, {item}", 1, pay))
    for row, (item, part, quantity, cost) in enumerate(lines, FIRST):
        put(sheet, f"A{row}", item)
        put(sheet, f"B{row}", part)
        put(sheet, f"C{row}", quantity, "#,##0.000")
        if cost is not None:
            put(sheet, f"D{row}", f"={_cost_of(f'B{row}')}" if cost is True else cost, COST)
    sheet.freeze_panes = "A5"
    return FIRST + len(lines) - 1


def _result(book, last_part: int) -> None:
    parts = f"{PARTS}!$A${FIRST}:$E${last_part}"
    sheet = paper.open_sheet(
        book,
        RESULT,
        "What the set costs, and what to ask for it",
        "Rolled up through every level, down to the lid.",
        (34, 11, 9, 118),
    )
    paper.headings(sheet, 4, "item", "cost", "in a set", "working")
    for row, product in enumerate(PRODUCTS, FIRST):
        put(sheet, f"A{row}", product.item)
        put(sheet, f"B{row}", f"=TC_ROLLUP(A{row},{parts})", MONEY)
        put(sheet, f"C{row}", f"={PLAN}!D{row}", WHOLE)
        paper.working(sheet, f"D{row}", f'=TC_EXPLAIN("TC_ROLLUP",A{row},{parts})')
        sheet.row_dimensions[row].height = 48
    row = FIRST + len(PRODUCTS)
    fees = f"{PLAN}!C14,{PLAN}!C15"
    lines = (
        (SET, f"=TC_ROLLUP(A{row},{parts})", MONEY, f'=TC_EXPLAIN("TC_ROLLUP",A{row},{parts})'),
        ("price of a set", f"=TC_PRICE(B{row},{PLAN}!C13,{fees},{PLAN}!C16)", MONEY,
         f'=TC_EXPLAIN("TC_PRICE",B{row},{PLAN}!C13,{fees},{PLAN}!C16)'),
        ("margin at that price", f"=TC_MARGIN(B{row + 1},B{row},{fees})", SHARE,
         f'=TC_EXPLAIN("TC_MARGIN",B{row + 1},B{row},{fees})'),
        ("sets to sell until the stall is paid",
         f"=TC_BREAK_EVEN(B{row + 1},B{row}+B{row + 1}*{PLAN}!C14+{PLAN}!C15,{PLAN}!C17)", WHOLE,
         f'=TC_EXPLAIN("TC_BREAK_EVEN",B{row + 1},B{row}+B{row + 1}*{PLAN}!C14+{PLAN}!C15,{PLAN}!C17)'),
    )  # fmt: skip
    for offset, (label, formula, form, working) in enumerate(lines):
        put(sheet, f"A{row + offset}", label, None, paper.STRONG)
        put(sheet, f"B{row + offset}", formula, form, paper.STRONG)
        paper.working(sheet, f"D{row + offset}", working)
        for column in "ABCD":
            sheet[f"{column}{row + offset}"].fill = paper.SUM_FILL
        sheet.row_dimensions[row + offset].height = 32 if offset == 0 else 18


def _to_buy(book, batches: list[Batch], priced: dict[str, list[int]], last_part: int) -> None:
    """What the sets need of each bought part, and the cheapest packs that cover it."""
    prices = book["Prices"]
    sheet = paper.open_sheet(
        book, BUY, "To buy", "What all the sets need, in the cheapest whole packs.", (30, 12, 7, 14, 13, 10, 12)
    )
    paper.headings(sheet, 4, "material", "needed", "unit", "pack holds", "pack costs", "packs", "to pay")
    names = list(dict.fromkeys([*(n for b in batches for n in b.bought), *(n for n, _ in SET_PACKING)]))
    count = len(names) + len(PRODUCTS)  # the labour lines are parts too
    put(sheet, "J4", "bought parts under one set", None, paper.UNDER)
    column = f"J{FIRST}"
    paper.column_of(
        sheet,
        column,
        f"L{FIRST + count - 1}",
        f'=TC_ROLLUP_LINES("{SET}",{PARTS}!$A${FIRST}:$E${last_part})',
        "#,##0.000",
    )
    lines = f"$J${FIRST}:$J${FIRST + count - 1}", f"$K${FIRST}:$K${FIRST + count - 1}"
    row = FIRST
    for name in names:
        packs = priced[name]
        for cost_row in packs:
            source = _price_row(prices, name, packs.index(cost_row))
            put(sheet, f"A{row}", name)
            # &"" makes the names comparable: Calc finds no text that an array formula of an add-in has given.
            put(sheet, f"B{row}", f'=SUMPRODUCT(({lines[0]}&""=A{row})*{lines[1]})*{PLAN}!$C$10', GRAMS)
            put(sheet, f"C{row}", f"={quoted(COSTS)}!B{cost_row}").alignment = paper.INDENT
            pack = f"Prices!B{source},Prices!C{source},C{row},Prices!F{source}"
            put(sheet, f"D{row}", f"=TC_CONVERT({pack})", GRAMS)
            put(sheet, f"E{row}", f"=Prices!D{source}+Prices!E{source}", MONEY)
            put(sheet, f"G{row}", f"=E{row}*F{row}", MONEY)
            row += 1
        start = row - len(packs)
        paper.column_of(
            sheet, f"F{start}", f"F{row - 1}", f"=TC_PACKS(B{start},D{start}:D{row - 1},E{start}:E{row - 1})", WHOLE
        )
    put(sheet, f"A{row}", "together", None, paper.STRONG)
    put(sheet, f"G{row}", f"=SUM(G{FIRST}:G{row - 1})", MONEY, paper.STRONG)
    for letter, width in zip("HIJKL", (3, 3, 30, 12, 12), strict=True):
        sheet.column_dimensions[letter].width = width
    sheet.freeze_panes = "B5"


def _price_row(prices, name: str, nth: int) -> int:
    """The row of the price list where a material's nth pack size stands."""
    rows = [r for r in range(PRICE_ROWS[0], PRICE_ROWS[1] + 1) if prices.cell(r, 1).value == name]
    return rows[nth]
