"""Builds gift_set.xlsx: up to four gift sets side by side, their cost, price and break-even, and what to buy.

python workbook_templates/gift_set.py
"""

from pathlib import Path

from openpyxl.styles import Alignment
from openpyxl.worksheet.formula import ArrayFormula
from tarecell.tables import rows as table_rows
from tarecell.workbook_templates.gift_set_data import CAUTIONS, LINES, SOURCES, TEMPLATE_DATA, Data
from tarecell.workbook_templates.gift_set_layout import (
    AMOUNT,
    COLUMNS,
    COSTS,
    FIRST,
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
    SALE,
    SALE_ROW,
    SETS,
    TABLE,
    TABLE_OF_WORK,
    column,
    first_of,
    listed,
    of,
    open_table,
    out_of_sight,
    row_of,
    set_key,
    words,
)
from tarecell.workbook_templates.gift_set_parts import buy, parts, working
from tarecell.workbooks import paper
from tarecell.workbooks.paper import COST, MONEY, SHARE, UNDER, WHOLE, choose, flag, note, put, take
from tarecell.workbooks.recalculate import Report

NAME = "gift_set.xlsx"


def build(path: Path, data: Data = TEMPLATE_DATA) -> Report:
    """Writes the workbook, values inside. Raises where a cell shows an error or could not be computed."""
    book = paper.new_book("Gift set")
    paper.start_here(book, "Gift set", LINES, CAUTIONS, SOURCES)
    _sets(book, data)
    _result(book)
    buy(book)
    for sheet in (_products, _pieces, _costs):
        sheet(book, data)
    working(book)
    parts(book)
    kept = [row["words"].split("|")[0] for row in table_rows("units") if row["dimension"] != "temperature"]
    paper.lists(book, Units=kept)
    paper.protect(book[paper.LISTS])
    _names(book)
    report = paper.finish(book, path)
    if report.errors or report.left_alone:
        raise RuntimeError(f"{path.name}: {[*map(str, report.errors[:3]), *map(str, report.left_alone[:3])]}")
    return report


# -- the sets --------------------------------------------------------------------------------------------------------


def _sets(book, data: Data) -> None:
    sheet = paper.open_sheet(
        book,
        SETS,
        "Gift sets",
        "Up to four sets side by side. A column without a name is left out.",
        (38, 12, *[17] * 4, 46),
    )
    put(sheet, "A4", "pay for an hour of work", None, paper.STRONG)
    take(sheet, "C4", data.hourly_rate, MONEY, "Your own work too.")
    paper.headings(sheet, 5, "the set", "", *(f"set {n}" for n in (1, 2, 3, 4)))
    paper.headings(sheet, PRODUCT_ROW - 1, "products in one set", "unit", "", "", "", "", "in words")
    paper.headings(sheet, PACKING_ROW - 1, "packing of one set", "unit", "", "", "", "", "in words")
    paper.headings(sheet, SALE_ROW - 1, "how it is sold", "", "", "", "", "")
    for row, label, form in (
        (NAMES, "name", None),
        (MAKE, "sets to make", WHOLE),
        (MINUTES, "minutes to pack one", AMOUNT),
    ):
        put(sheet, f"A{row}", label)
        for c in COLUMNS:
            take(sheet, f"{c}{row}", None, form)
    _set_rows(sheet, data)
    for c, one in zip(COLUMNS, data.sets, strict=False):
        sale = (one.margin, one.fee_share, one.fixed_fee, one.round_to, one.own_price, one.fixed_cost)
        for start, values in (
            (NAMES, (one.name, one.to_make, one.minutes)), (PRODUCT_ROW, one.products),
            (PACKING_ROW, one.packing), (SALE_ROW, sale),
        ):  # fmt: skip
            for row, value in enumerate(values, start):
                sheet[f"{c}{row}"].value = value
    _set_notes(sheet)
    paper.close(sheet, f"A1:G{SALE_ROW + len(SALE) - 1}")
    sheet.freeze_panes = f"C{NAMES + 1}"


def _set_rows(sheet, data: Data) -> None:
    for i in range(PRODUCT_COUNT):
        row, source = PRODUCT_ROW + i, f"{PRODUCTS}!A{FIRST + i}"
        put(sheet, f"A{row}", f'=IF(LEN({source})=0,"",{source})')
        put(sheet, f"B{row}", f'=IF(LEN(A{row})=0,"","each")')
        for c in COLUMNS:
            take(sheet, f"{c}{row}", None, AMOUNT)
        lost = f"IF(LEN(A{row})=0,COUNTA(C{row}:F{row})>0,FALSE)"
        put(sheet, f"G{row}", f'=IF({lost},"no product in this row: name it on the sheet Products","")')
    for i in range(PACKING_COUNT):
        row = PACKING_ROW + i
        take(sheet, f"A{row}", data.packing[i] if i < len(data.packing) else None)
        put(sheet, f"B{row}", f'=IF(LEN(A{row})=0,"",{of(COSTS, "B", f"A{row}")}&"")')
        for c in COLUMNS:
            take(sheet, f"{c}{row}", None, AMOUNT)
        steps = (
            (f"IF(LEN(A{row})=0,COUNTA(C{row}:F{row})>0,FALSE)", '"no packing named in this row"'),
            (f"LEN(A{row})=0", NOTHING),
            (f"ISERROR(B{row})", '"not once on the sheet Costs"'),
        )
        put(sheet, f"G{row}", first_of(steps, NOTHING))
    for i, label in enumerate(SALE):
        put(sheet, f"A{SALE_ROW + i}", label)
        for c in COLUMNS:
            take(sheet, f"{c}{SALE_ROW + i}", None, SHARE if i < 2 else MONEY)


def _set_notes(sheet) -> None:
    last = SALE_ROW + len(SALE) - 1
    words(sheet, "G", range(PRODUCT_ROW, last))
    for first, count in ((PRODUCT_ROW, PRODUCT_COUNT), (PACKING_ROW, PACKING_COUNT)):
        flag(sheet, f"A{first}:G{first + count - 1}", f"LEN($G{first})>0")
    note(sheet, f"C{NAMES}:F{NAMES}", "The name of the set. Blank: the column is left out.")
    note(sheet, f"C{MAKE}:F{MAKE}", "How many of this set you make. The sheet To buy adds all sets up.")
    note(sheet, f"C{MINUTES}:F{MINUTES}", "Minutes to put one set together, the products being ready. Blank: none.")
    note(sheet, f"C{PRODUCT_ROW}:F{PRODUCT_ROW + PRODUCT_COUNT - 1}", "How many go into one set. Blank: none.")
    choose(sheet, f"A{PACKING_ROW}:A{PACKING_ROW + PACKING_COUNT - 1}", "Bought", "A part from the sheet Costs.")
    note(
        sheet,
        f"C{PACKING_ROW}:F{PACKING_ROW + PACKING_COUNT - 1}",
        "How much goes into one set, in the unit beside it.",
    )
    for i, text in enumerate(
        (
            "What should be left, as a share of the price: 40 % is 40% or 0.4.",
            "What the shop or the card takes, as a share of the price. Blank: none.",
            "What each sale costs besides, in money. Blank: none.",
            "The price goes up to whole multiples of this, such as 0.5. Blank: as it comes.",
            "A price of your own. Blank: the one for the margin.",
            "Stall, licence, stand: earned back by the first sets. Blank: none.",
        )
    ):
        note(sheet, f"C{SALE_ROW + i}:F{SALE_ROW + i}", text)


def _result(book) -> None:
    sheet = paper.open_sheet(
        book, RESULT, "What the sets cost, and what to ask for them", "Rolled up through every level, down to the lid.",
        (40, 12, *[17] * 4),
    )  # fmt: skip
    paper.headings(sheet, 4, "one set", "", "", "", "", "")
    margin, fee, fixed_fee, step, own, fixed_cost = range(SALE_ROW, SALE_ROW + len(SALE))
    labels = (
        "materials", "packing", "work", "cost of one set", "price for the margin wanted", "price", "selling fees",
        "left of one set", "margin at that price", "in words", "sets to sell until the fixed cost is earned",
        "sets to make", "left when all are sold, fixed cost paid",
    )  # fmt: skip
    for row, label in enumerate(labels, 5):
        put(sheet, f"A{row}", label, None, paper.STRONG if row in (8, 10, 12, 17) else None)
    packing = f"{PARTS}!$A${row_of('packing')}:$A${row_of('packing work') - 1}"
    for c in COLUMNS:
        here, name = f"{SETS}!{c}", f"{SETS}!{c}${NAMES}"
        blank = f'=IF(LEN({name})=0,"",'
        fees = f"{here}{fee},{here}{fixed_fee}"
        put(sheet, f"{c}4", f"{blank}{name})")
        cost_rows = packing.replace("$A", "$C"), packing.replace("$A", "$D")
        key = set_key(c)
        packed = f"SUM(IF({packing}={key},{cost_rows[0]}*{cost_rows[1]},0))"
        lines = (
            (5, f"{c}8-{c}6-{c}7", MONEY),
            (7, f"TC_ROLLUP({key},{TABLE_OF_WORK})", MONEY),
            (8, f"TC_ROLLUP({key},{TABLE})", MONEY),
            (9, f"TC_PRICE({c}8,{here}{margin},{fees},{here}{step})", MONEY),
            (
                10,
                f"IF(LEN({here}{own})=0,{c}9,IF(ISNUMBER({here}{own}),IF({here}{own}>0,{here}{own},NA()),NA()))",
                MONEY,
            ),
            (11, f"IF(ISERROR({c}13),{c}13,{c}10*{here}{fee}+{here}{fixed_fee})", MONEY),
            (12, f"{c}10*{c}13", MONEY),
            (13, f"TC_MARGIN({c}10,{c}8,{fees})", SHARE),
            (15, f"TC_BREAK_EVEN({c}10,{c}8+{c}11,{here}{fixed_cost})", WHOLE),
            (16, f"IF(ISNUMBER({here}{MAKE}),IF({here}{MAKE}>0,{here}{MAKE},NA()),NA())", WHOLE),
            (17, f"IF(ISERROR({c}15),{c}15,{c}12*{c}16-{here}{fixed_cost})", MONEY),
        )
        for row, formula, form in lines:
            put(sheet, f"{c}{row}", f"{blank}{formula})", form, paper.STRONG if row in (8, 10, 12, 17) else None)
        put(sheet, f"{c}6", ArrayFormula(f"{c}6", f"{blank}{packed})"), MONEY)
        steps = (
            (f"LEN({name})=0", NOTHING),
            (f"ISERROR({c}8)", '"no cost: see “in words” on Pieces"'),
            (f"ISERROR({c}13)", '"no price: see Working"'),
            (f"{c}13<0", '"a loss"'),
            (f"{c}13<{here}{margin}-0.000001", '"below the margin wanted"'),
        )
        put(sheet, f"{c}14", first_of(steps, '"as wanted"'))
        sheet[f"{c}14"].alignment = Alignment(wrap_text=True, horizontal="right", vertical="top")
        for row in (8, 10, 12, 17):
            sheet[f"{c}{row}"].fill = sheet[f"A{row}"].fill = sheet[f"B{row}"].fill = paper.SUM_FILL
        flag(sheet, f"{c}14", f'OR({c}14="a loss",LEFT({c}14,5)="below",LEFT({c}14,2)="no")')
    sheet.row_dimensions[14].height = 32
    sheet["A14"].alignment = Alignment(vertical="top")
    _where_the_money_goes(sheet)
    paper.close(sheet, "A1:F44")
    sheet.page_setup.fitToHeight = 1


def _where_the_money_goes(sheet) -> None:
    """The chart and its table: one row a set."""
    paper.headings(sheet, 20, "where the money of one set goes", "materials", "packing", "work", "fees", "left")
    for row, c in enumerate(COLUMNS, 21):
        put(sheet, f"A{row}", f"={c}4")
        for letter, source in zip("BCDEF", (5, 6, 7, 11, 12), strict=True):
            value = f"MAX(0,{c}{source})" if source == 12 else f"{c}{source}"
            put(sheet, f"{letter}{row}", f'=IF(LEN({c}4)=0,"",{value})', MONEY)
    titles = ("Where the money of one set goes", "set", "money, in the sheet's currency")
    series = [(sheet, f"{letter}20:{letter}24") for letter in "BCDEF"]
    paper.lying_bars(sheet, "A26", titles, (sheet, "A21:A24"), series, stacked=True, number_format="0", size=(22, 8.5))


# -- products, their parts, their costs ------------------------------------------------------------------------------


def _products(book, data: Data) -> None:
    sheet = open_table(
        book, PRODUCTS, "Products", "What goes into a set. What each is made of stands on the sheet Pieces.",
        (32, 14, 14, 14, 50, 6, 30),
        "product", "minutes of work for one", "work in one", "cost of one", "in words", "line", "unique name",
    )  # fmt: skip
    paper.block(sheet, f"A{FIRST}", LAST[PRODUCTS], data.products, (None, AMOUNT))
    for r in range(FIRST, LAST[PRODUCTS] + 1):
        put(sheet, f"C{r}", f'=IF(LEN(A{r})=0,"",IF(LEN(B{r})=0,0,TC_LABOUR(B{r},{RATE})))', MONEY)
        put(sheet, f"D{r}", f'=IF(LEN(A{r})=0,"",TC_ROLLUP(G{r},{TABLE}))', MONEY, paper.STRONG)
        put(sheet, f"F{r}", r - FIRST + 1, WHOLE, UNDER)
        put(sheet, f"G{r}", f'=IF(LEN(A{r})=0,"","P{r - FIRST + 1} "&A{r})', None, UNDER)
        steps = (
            (f"AND(LEN(A{r})=0,LEN(B{r})>0)", '"which product?"'),
            (f"LEN(A{r})=0", NOTHING),
            (f"{listed(PRODUCTS, f'A{r}')}>1", '"named twice here"'),
            (f"SUMPRODUCT(1*({column(PIECES, 'A')}=A{r}))=0", '"nothing on the sheet Pieces goes into it"'),
            (f"ISERROR(D{r})", '"cannot be costed: see Pieces and Working"'),
        )
        put(sheet, f"E{r}", first_of(steps, '"costed"'))
    words(sheet, "E", range(FIRST, LAST[PRODUCTS] + 1))
    out_of_sight(sheet, "FG")
    note(
        sheet, f"A{FIRST}:A{LAST[PRODUCTS]}", "A finished piece, such as a jar of cream; or something you make for one."
    )
    note(
        sheet,
        f"B{FIRST}:B{LAST[PRODUCTS]}",
        "Minutes of work for one piece: those of the batch ÷ its pieces. Blank: none.",
    )
    flag(sheet, f"A{FIRST}:E{LAST[PRODUCTS]}", f'AND(LEN($E{FIRST})>0,$E{FIRST}<>"costed")')
    paper.close(sheet, f"A1:E{LAST[PRODUCTS]}")


def _pieces(book, data: Data) -> None:
    sheet = open_table(
        book, PIECES, "Pieces", "What goes into one piece of each product: materials, container, label.",
        (26, 32, 11, 9, 9, 13, 8, 13, 12, 44),
        "product", "part", "quantity in one piece", "unit", "loss", "in the unit of its cost", "", "cost a unit",
        "cost in one piece", "in words",
    )  # fmt: skip
    paper.block(sheet, f"A{FIRST}", LAST[PIECES], data.pieces, (None, None, AMOUNT, None, SHARE))
    for r in range(FIRST, LAST[PIECES] + 1):
        blank = f'=IF(LEN(B{r})=0,"",'
        made = f"{listed(PRODUCTS, f'B{r}')}=1"
        quantity = f"IF(ISNUMBER(C{r}),IF(C{r}>=0,C{r},NA()),NA())"
        counted = f'IF(OR(LEN(D{r})=0,D{r}="each"),{quantity},NA())'
        bought = f"TC_CONVERT({quantity},D{r},G{r},{of(COSTS, 'I', f'B{r}')})"
        put(sheet, f"F{r}", f"{blank}IF({made},{counted},{bought}))", AMOUNT)
        put(sheet, f"G{r}", f'{blank}IF({made},"each",{of(COSTS, "B", f"B{r}")}&""))')
        put(sheet, f"H{r}", f'{blank}IF({made},"",{of(COSTS, "J", f"B{r}")}))', COST)
        loss = f"IF(LEN(E{r})=0,0,IF(ISNUMBER(E{r}),IF(E{r}>=0,IF(E{r}<=0.99,E{r},NA()),NA()),NA()))"
        each = f"IF({made},{of(PRODUCTS, 'D', f'B{r}')},H{r})"
        put(sheet, f"I{r}", f"{blank}F{r}/(1-{loss})*{each})", MONEY)
        steps = (
            (f"COUNTA(A{r}:E{r})=0", NOTHING),
            (f"LEN(A{r})=0", '"which product?"'),
            (f"LEN(B{r})=0", '"which part?"'),
            (f"{listed(PRODUCTS, f'A{r}')}<>1", '"its product is not once on Products"'),
            (
                f"{listed(PRODUCTS, f'B{r}')}+{listed(COSTS, f'B{r}')}<>1",
                '"its part is not once on Costs or Products"',
            ),
            (f"ISERROR(F{r})", '"check quantity and unit; density on Costs?"'),
            (f"ISERROR(I{r})", '"check its cost and the loss"'),
        )
        put(sheet, f"J{r}", first_of(steps, '"costed"'))
    words(sheet, "GJ", range(FIRST, LAST[PIECES] + 1))
    choose(sheet, f"A{FIRST}:A{LAST[PIECES]}", "Products_list", "As on the sheet Products.")
    choose(sheet, f"B{FIRST}:B{LAST[PIECES]}", "Bought", "As on the sheet Costs; or another of your products.")
    choose(sheet, f"D{FIRST}:D{LAST[PIECES]}", "Units", "oz is weight, fl oz is volume.")
    note(sheet, f"E{FIRST}:E{LAST[PIECES]}", "The share that stays in the pot or breaks: 3% or 0.03. Blank: none.")
    flag(sheet, f"A{FIRST}:J{LAST[PIECES]}", f'AND(LEN($J{FIRST})>0,$J{FIRST}<>"costed")')
    paper.close(sheet, f"A1:J{LAST[PIECES]}", f"{FIRST - 1}:{FIRST - 1}")


def _costs(book, data: Data) -> None:
    sheet = open_table(
        book, COSTS, "Costs", "What you buy, in up to three pack sizes. The first, your usual one, gives the cost.",
        (32, 8, *[10] * 6, 10, 12, 36, 6, 30),
        "material or part", "unit", "first pack holds", "second pack holds", "third pack holds", "price of the first",
        "price of the second", "price of the third", "density, g/mL", "cost a unit", "in words", "line", "unique name",
    )  # fmt: skip
    paper.block(sheet, f"A{FIRST}", LAST[COSTS], data.costs, (None, None, *[AMOUNT] * 3, *[MONEY] * 3, "0.000"))
    for r in range(FIRST, LAST[COSTS] + 1):
        put(sheet, f"J{r}", f'=IF(LEN(A{r})=0,"",TC_UNIT_COST(F{r},C{r},B{r},B{r}))', COST, paper.STRONG)
        steps = (
            (f"COUNTA(A{r}:I{r})=0", NOTHING),
            (f"LEN(A{r})=0", '"which material?"'),
            (f"{listed(COSTS, f'A{r}')}>1", '"named twice here"'),
            (f"ISERROR(J{r})", '"check unit, first pack and its price"'),
            (
                f"OR((LEN(D{r})=0)<>(LEN(G{r})=0),(LEN(E{r})=0)<>(LEN(H{r})=0))",
                '"a pack without price, or the reverse"',
            ),
        )
        put(sheet, f"K{r}", first_of(steps, '"fine"'))
        put(sheet, f"L{r}", r - FIRST + 1, WHOLE, UNDER)
        put(sheet, f"M{r}", f'=IF(LEN(A{r})=0,"","M{r - FIRST + 1} "&A{r})', None, UNDER)
    words(sheet, "K", range(FIRST, LAST[COSTS] + 1))
    out_of_sight(sheet, "LM")
    choose(
        sheet, f"B{FIRST}:B{LAST[COSTS]}", "Units", "The unit of the packs and of the cost. oz is weight, fl oz volume."
    )
    note(sheet, f"C{FIRST}:E{LAST[COSTS]}", "What the pack holds, in the unit of this row.")
    note(sheet, f"F{FIRST}:H{LAST[COSTS]}", "Price of one such pack, its freight included.")
    note(sheet, f"I{FIRST}:I{LAST[COSTS]}", "Only where you buy by volume and use by weight, or the other way round.")
    flag(sheet, f"A{FIRST}:K{LAST[COSTS]}", f'AND(LEN($K{FIRST})>0,$K{FIRST}<>"fine")')
    paper.close(sheet, f"A1:K{LAST[COSTS]}", f"{FIRST - 1}:{FIRST - 1}")


def _names(book) -> None:
    for name, sheet, area in (
        ("Products_list", PRODUCTS, f"A{FIRST}:A{LAST[PRODUCTS]}"),
        ("Bought", COSTS, f"A{FIRST}:A{LAST[COSTS]}"),
        ("Hourly_rate", SETS, "C4"),
        ("Set_names", SETS, f"C{NAMES}:F{NAMES}"),
        ("Set_costs", RESULT, "C8:F8"),
        ("Set_prices", RESULT, "C10:F10"),
        ("Parts_table", PARTS, f"A{PARTS_FIRST + 4}:E{PARTS_LAST}"),
    ):
        paper.define(book, name, book[sheet], area)


if __name__ == "__main__":
    print(build(Path(__file__).with_name(NAME)).out)
