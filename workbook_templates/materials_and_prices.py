"""Builds materials_and_prices.xlsx: what was bought, used and is left, and what it cost; price lists beside it.

python workbook_templates/materials_and_prices.py
"""

from pathlib import Path

from openpyxl.styles import Alignment
from openpyxl.worksheet.formula import ArrayFormula
from tarecell.tables import rows as table_rows
from tarecell.workbook_templates.materials_and_prices_data import CAUTIONS, LINES, SOURCES, TEMPLATE_DATA, Data
from tarecell.workbooks import paper
from tarecell.workbooks.paper import COST, DAY, MONEY, UNDER, WHOLE, choose, flag, note, put, take
from tarecell.workbooks.prices_register import HEADINGS
from tarecell.workbooks.recalculate import Report

NAME = "materials_and_prices.xlsx"
MATERIALS, PURCHASES, USED, ORDER, VALUE, PRICES, FREIGHT = (
    "Materials", "Purchases", "Used", "To order", "Stock value", "Prices", "Freight",
)  # fmt: skip
FIRST = 7  # first row of every table
LAST = {MATERIALS: 36, PURCHASES: 66, USED: 66, ORDER: 21, VALUE: 14, PRICES: 606, FREIGHT: 16}
AMOUNT = "#,##0.0##"
HELPERS = ("rank", "line", "latest date so far")  # headings of columns out of sight
FAR = "1E+300"  # greater than any cost and any date


def build(path: Path, data: Data = TEMPLATE_DATA) -> Report:
    """Writes the workbook, values inside. Raises where a cell shows an error or could not be computed."""
    book = paper.new_book("Materials and prices")
    paper.start_here(book, "Materials and prices", LINES, CAUTIONS, SOURCES)
    for sheet in (_materials, _order, _value, _purchases, _used, _prices, _freight):
        sheet(book, data)
    kept = [row["words"].split("|")[0] for row in table_rows("units") if row["dimension"] != "temperature"]
    paper.lists(book, Units=kept)
    paper.protect(book[paper.LISTS])
    _names(book)
    report = paper.finish(book, path)
    if report.errors or report.left_alone:
        raise RuntimeError(f"{path.name}: {[*map(str, report.errors[:3]), *map(str, report.left_alone[:3])]}")
    return report


# -- what the formulas share -----------------------------------------------------------------------------------------


def column(sheet: str, letter: str) -> str:
    """A whole column of a sheet's table."""
    return f"{paper.quoted(sheet)}!${letter}${FIRST}:${letter}${LAST[sheet]}"


AS_OF = f"{MATERIALS}!$C$4"
OUT_OF_ORDER = f"{PURCHASES}!$C$4"


def _listed(cell: str) -> str:
    """How often the sheet of materials names it. A look-up by MATCH would take “*” for any name."""
    return f"SUMPRODUCT(1*({column(MATERIALS, 'A')}={cell}))"


def _of_material(letter: str, cell: str) -> str:
    line = f"SUMPRODUCT(({column(MATERIALS, 'A')}={cell})*{column(MATERIALS, 'O')})"
    return f"INDEX({column(MATERIALS, letter)},{line})"


def _unit_of(cell: str) -> str:
    return f'=IF(LEN({cell})=0,"",IF({_listed(cell)}=1,{_of_material("B", cell)}&"",NA()))'


def _where(sheet: str, material: str, value: str, otherwise: str = "0") -> str:
    """The values in the rows of one material, for an array formula."""
    return f"IF({column(sheet, 'B')}={material},{value},{otherwise})"


def _array(sheet, address: str, formula: str, number_format: str | None = None) -> None:
    put(sheet, address, ArrayFormula(address, formula), number_format)


def _open(book, name: str, title: str, under: str, widths, *heads: str):
    sheet = paper.open_sheet(book, name, title, under, widths)
    paper.headings(sheet, FIRST - 1, *heads)
    sheet.row_dimensions[FIRST - 1].height = 46
    sheet.freeze_panes = f"C{FIRST}" if name not in (FREIGHT, VALUE) else f"A{FIRST}"
    letter = "ABCDEFGHIJKLMNOP"[len(heads) - 1 - sum(head in HELPERS for head in heads)]
    paper.close(sheet, f"A1:{letter}{LAST[name]}", f"{FIRST - 1}:{FIRST - 1}")
    sheet.protection.sort = sheet.protection.autoFilter = False  # lines may be put in order
    return sheet


def _inputs(sheet, lines, formats: tuple) -> None:
    """The input cells of a table, with what is typed into the first of them."""
    paper.block(sheet, f"A{FIRST}", LAST[sheet.title], lines, formats)


def _words(sheet, *letters: str) -> None:
    """Columns of words keep off the numbers on their left."""
    for letter in letters:
        for r in _rows(sheet):
            sheet[f"{letter}{r}"].alignment = Alignment(horizontal="left", indent=1)


def _helper(sheet, *letters: str) -> None:
    """Columns that only the formulas need: out of sight, and not printed."""
    for letter in letters:
        sheet.column_dimensions[letter].hidden = True


def _rows(sheet) -> range:
    return range(FIRST, LAST[sheet.title] + 1)


def _area(sheet, letter: str) -> str:
    return f"{letter}{FIRST}:{letter}{LAST[sheet.title]}"


# -- the sheets ------------------------------------------------------------------------------------------------------


def _materials(book, data: Data) -> None:
    sheet = _open(
        book, MATERIALS, "Materials", "What is on the shelf, what it cost, and what to reorder.",
        (28, 9, 11, 10, 11, 11, 11, 12, 12, 12, 12, 12, 38, 6, 6),
        "material", "used in", "density, g/mL", "reorder below", "bought", "used", "left", "average cost a unit",
        "cost of what was used (FIFO)", "value of what is left (FIFO)", "lowest listed cost a unit",
        "first expiry of what is left", "in words", "rank", "line",
    )  # fmt: skip
    put(sheet, "A4", "date of this stocktaking", None, paper.STRONG)
    take(sheet, "C4", data.as_of, DAY, "The day you count from: lots past their date are told as of this day.")
    put(sheet, "E4", "value of all stock", None, paper.STRONG)
    put(sheet, "G4", f"=SUM({_area(sheet, 'J')})", MONEY, paper.STRONG)
    lost = "+".join(_lost(name, result) for name, result in ((PURCHASES, "K"), (USED, "F")))
    words = '"not in these sums, see “in words” there: lines on Purchases or Used, "'
    _array(sheet, "H4", f'=IF({lost}=0,"",{words}&({lost}))')
    put(sheet, "H5", f'=IF({OUT_OF_ORDER}=0,"","Purchases are not in order of date: first in, first out needs that")')
    flag(sheet, "H4:M4", "LEN($H$4)>0")
    flag(sheet, "H5:M5", "LEN($H$5)>0")
    _inputs(sheet, data.materials, (None, None, "0.000", AMOUNT))
    for r in _rows(sheet):
        blank = f'=IF(LEN(A{r})=0,"",'
        quantity, cost = (_where(PURCHASES, f"A{r}", column(PURCHASES, letter)) for letter in "KM")
        _array(sheet, f"E{r}", f"{blank}SUM({quantity}))", AMOUNT)
        _array(sheet, f"F{r}", f"{blank}SUM({_where(USED, f'A{r}', column(USED, 'F'))}))", AMOUNT)
        put(sheet, f"G{r}", f"{blank}E{r}-F{r})", AMOUNT)
        bought = f'{blank}IF(E{r}=0,"",'
        _array(sheet, f"H{r}", f"{bought}TC_AVERAGE_COST({quantity},{cost})))", COST)
        _array(sheet, f"I{r}", f"{bought}TC_FIFO({quantity},{cost},IF({OUT_OF_ORDER}=0,F{r},NA()))))", MONEY)
        paid = _where(PURCHASES, f"A{r}", f"{column(PURCHASES, 'K')}*{column(PURCHASES, 'M')}")
        _array(sheet, f"J{r}", f"{bought}SUM({paid})-I{r}))", MONEY)
        listed = f"IF({column(PRICES, 'A')}=A{r},IFERROR({column(PRICES, 'L')}*1,{FAR}),{FAR})"
        _array(sheet, f"K{r}", f'{blank}IF(MIN({listed})={FAR},"",MIN({listed})))', COST)
        dated = f"IF(IFERROR({column(PURCHASES, 'J')}*1,0)>0,IFERROR({column(PURCHASES, 'J')}*1,{FAR}),{FAR})"
        dated = f"IF(IFERROR({column(PURCHASES, 'N')}*1,0)>0,{dated},{FAR})"
        least = f"MIN({_where(PURCHASES, f'A{r}', dated, FAR)})"
        _array(sheet, f"L{r}", f'{blank}IF({least}={FAR},"",{least}))', DAY)
        put(sheet, f"M{r}", _material_in_words(r))
        larger = f'COUNTIF(J${FIRST}:J${LAST[MATERIALS]},">"&J{r})'
        put(sheet, f"N{r}", f'=IF(ISNUMBER(J{r}),{larger}+COUNTIF(J${FIRST}:J{r},J{r}),"")', WHOLE, UNDER)
        put(sheet, f"O{r}", r - FIRST + 1, WHOLE, UNDER)
    _words(sheet, "M")
    _helper(sheet, "N", "O")
    note(sheet, _area(sheet, "A"), "The name of a material or part, written the same on every sheet.")
    choose(sheet, _area(sheet, "B"), "Units", "The unit you weigh or count it in: g, mL, oz, each …")
    note(
        sheet,
        _area(sheet, "C"),
        "g per mL, from the data sheet. Only where you buy by volume and use by weight, or the other way.",
    )
    note(sheet, _area(sheet, "D"), "Reorder when less than this is left, in the unit of use. Blank: never.")
    flag(sheet, f"A{FIRST}:M{LAST[MATERIALS]}", f'AND(LEN($A{FIRST})>0,$M{FIRST}<>"enough")')


def _lost(name: str, result: str) -> str:
    """How many lines of a sheet have an amount but no material, or a material but no result."""
    material, amount = column(name, "B"), column(name, {PURCHASES: "F", USED: "C"}[name])
    return f'SUM(IF({material}="",IF({amount}="",0,1),IFERROR({column(name, result)}*0,1)))'


def _material_in_words(r: int) -> str:
    level = f"IF(LEN(D{r})=0,FALSE,IF(G{r}<D{r},TRUE,FALSE))"
    expired = f"IF(ISNUMBER(L{r}),IF(L{r}<{AS_OF},TRUE,FALSE),FALSE)"
    steps = (
        (f"LEN(A{r})=0", '""'),
        (f"{_listed(f'A{r}')}>1", '"named twice here: keep one line"'),
        (f"LEN(B{r})=0", '"in which unit is it used?"'),
        (f"ISERROR(G{r})", '"see its lines on Purchases and Used"'),
        (f"G{r}<-0.000000001*E{r}", '"more used than bought"'),
        (f"IF(LEN(D{r})=0,FALSE,IF(ISNUMBER(D{r}),D{r}<0,TRUE))", '"the reorder level is no amount"'),
        (f"ISERROR(I{r})", '"see the lines above the table"'),
        (level, '"reorder"'),
        (f"E{r}=0", '"not bought yet"'),
        (f"NOT(ISNUMBER({AS_OF}))", '"type the date of the stocktaking"'),
        (expired, '"a lot is past its date"'),
    )
    return "=" + _first_of(steps, '"enough"')


def _first_of(steps, otherwise: str) -> str:
    """Nested IFs: the words of the first condition that holds."""
    return "".join(f"IF({condition},{words}," for condition, words in steps) + otherwise + ")" * len(steps)


def _purchases(book, data: Data) -> None:
    sheet = _open(
        book, PURCHASES, "Purchases", "One line for each lot, the oldest first. You may sort the lines by date.",
        (12, 29, 22, 12, 7, 9, 8, 10, 10, 12, 11, 8, 11, 11, 34, 12),
        "date", "material", "supplier", "lot", "packs", "a pack holds", "unit", "price of a pack",
        "freight of this line", "expiry", "quantity", "in", "cost a unit", "left of this lot", "in words",
        "latest date so far",
    )  # fmt: skip
    put(sheet, "A4", "lines out of order", None, paper.STRONG)
    dates, latest = column(PURCHASES, "A"), column(PURCHASES, "P")
    wrong = f"IF(IFERROR({dates}*1,0)>0,IF(IFERROR({dates}*1,0)<{latest},1,0),1)"
    _array(sheet, "C4", f'=SUM(IF({column(PURCHASES, "B")}<>"",{wrong},0))', WHOLE)
    _inputs(sheet, data.purchases, (DAY, None, None, None, AMOUNT, AMOUNT, None, MONEY, MONEY, DAY))
    for r in _rows(sheet):
        blank = f'=IF(LEN(B{r})=0,"",'
        density = _of_material("C", f"B{r}")
        freight = f"IF(ISNUMBER(E{r}),IF(E{r}>0,I{r}/E{r},NA()),NA())"
        put(sheet, f"K{r}", f"{blank}IF(ISERROR(M{r}),M{r},E{r}*TC_CONVERT(F{r},G{r},L{r},{density})))", AMOUNT)
        put(sheet, f"L{r}", _unit_of(f"B{r}"))
        put(sheet, f"M{r}", f"{blank}TC_UNIT_COST(H{r},F{r},G{r},L{r},{freight},{density}))", COST)
        before = f"SUM(IF(B${FIRST - 1}:B{r - 1}=B{r},K${FIRST - 1}:K{r - 1},0))"
        used = f"SUM({_where(USED, f'B{r}', column(USED, 'F'))})"
        _array(sheet, f"N{r}", f"{blank}IF($C$4=0,K{r}-MAX(0,MIN(K{r},{used}-{before})),NA()))", AMOUNT)
        steps = (
            (f"COUNTA(A{r}:J{r})=0", '""'),
            (f"LEN(B{r})=0", '"which material?"'),
            (f"{_listed(f'B{r}')}=0", '"not on the sheet Materials"'),
            (f"{_listed(f'B{r}')}>1", '"twice on the sheet Materials"'),
            (f"NOT(ISNUMBER(A{r}))", '"date missing"'),
            (f"A{r}<P{r}", '"older than a line above: sort by date"'),
            (f"ISERROR(M{r})", '"check packs, size, unit, price, density"'),
            (f"ISERROR(N{r})", '"see the sheet Used, and the dates"'),
            (f"N{r}<=0.000000001*K{r}", '"used up"'),
            (f"LEN(J{r})=0", '"no expiry date"'),
            (f"NOT(ISNUMBER(J{r}))", '"the expiry is no date"'),
            (f"J{r}<{AS_OF}", '"past its date"'),
            (f"J{r}<{AS_OF}+60", '"use within two months"'),
        )
        put(sheet, f"O{r}", "=" + _first_of(steps, '"fine"'))
        put(sheet, f"P{r}", f'=IF(LEN(A{r})=0,"",MAX(A${FIRST}:A{r}))', DAY, UNDER)
    _words(sheet, "L", "O")
    _helper(sheet, "P")
    choose(sheet, _area(sheet, "B"), "Materials_list", "As on the sheet Materials.")
    choose(sheet, _area(sheet, "G"), "Units", "The unit on the pack. oz is weight, fl oz is volume.")
    note(sheet, _area(sheet, "H"), "Price of one pack without freight. A gift: type a cent.")
    note(sheet, _area(sheet, "I"), "Freight for all packs of this line; the sheet Freight shares a bill. Blank: none.")
    good = f'OR($O{FIRST}="",$O{FIRST}="fine",$O{FIRST}="used up",$O{FIRST}="no expiry date")'
    flag(sheet, f"A{FIRST}:O{LAST[PURCHASES]}", f"NOT({good})")


def _used(book, data: Data) -> None:
    sheet = _open(
        book, USED, "Used", "One line each time you take something: for a batch, a sample, or because it spoiled.",
        (12, 29, 11, 8, 30, 12, 8, 34),
        "date", "material", "amount", "unit", "what for", "in its unit of use", "", "in words",
    )  # fmt: skip
    _inputs(sheet, data.used, (DAY, None, AMOUNT, None, None))
    for r in _rows(sheet):
        amount = f"IF(ISNUMBER(C{r}),IF(C{r}>=0,C{r},NA()),NA())"
        put(sheet, f"F{r}", f'=IF(LEN(B{r})=0,"",TC_CONVERT({amount},D{r},G{r},{_of_material("C", f"B{r}")}))', AMOUNT)
        put(sheet, f"G{r}", _unit_of(f"B{r}"))
        steps = (
            (f"COUNTA(A{r}:E{r})=0", '""'),
            (f"LEN(B{r})=0", '"which material?"'),
            (f"{_listed(f'B{r}')}=0", '"not on the sheet Materials"'),
            (f"ISERROR(F{r})", '"check amount, unit, density"'),
        )
        put(sheet, f"H{r}", "=" + _first_of(steps, '"fine"'))
    _words(sheet, "G", "H")
    choose(sheet, _area(sheet, "B"), "Materials_list", "As on the sheet Materials.")
    choose(sheet, _area(sheet, "D"), "Units", "oz is weight, fl oz is volume.")
    flag(sheet, f"A{FIRST}:H{LAST[USED]}", f'AND($H{FIRST}<>"",$H{FIRST}<>"fine")')


def _prices(book, data: Data) -> None:
    sheet = _open(
        book, PRICES, "Prices", "Suppliers' price lists. Say which of your materials a line is, to compare its cost.",
        (26, 36, 23, 12, 16, 10, 8, 10, 9, 12, 8, 11, 34, 6),
        *HEADINGS, "cost per", "cost a unit", "in words", "line",
    )  # fmt: skip
    _inputs(sheet, data.prices, (None, None, None, None, None, AMOUNT, None, MONEY, MONEY, DAY))
    for r in _rows(sheet):
        something = f"LEN(F{r})+LEN(G{r})+LEN(H{r})=0"
        known = f"IF(LEN(A{r})=0,FALSE,{_listed(f'A{r}')}=1)"
        density = f"IF({known},{_of_material('C', f'A{r}')},0)"
        put(sheet, f"K{r}", f'=IF({something},"",IF({known},{_of_material("B", f"A{r}")}&"",G{r}&""))')
        put(sheet, f"L{r}", f'=IF({something},"",TC_UNIT_COST(H{r},F{r},G{r},K{r},I{r},{density}))', COST)
        steps = (
            (f"COUNTA(A{r}:J{r})=0", '""'),
            (f"IF(LEN(A{r})=0,FALSE,{_listed(f'A{r}')}<>1)", '"not on the sheet Materials"'),
            (something, '"content, unit and price?"'),
            (f"ISERROR(L{r})", '"check content, unit, price, density"'),
            (f"LEN(A{r})=0", '"which of your materials is it?"'),
            (f"L{r}<={_of_material('K', f'A{r}')}", '"lowest listed"'),
        )
        put(sheet, f"M{r}", "=" + _first_of(steps, '"listed"'))
        put(sheet, f"N{r}", r - FIRST + 1, WHOLE, UNDER)
    _words(sheet, "K", "M")
    _helper(sheet, "N")
    choose(sheet, _area(sheet, "A"), "Materials_list", "Which of your materials it is. Blank while you do not need it.")
    choose(sheet, _area(sheet, "G"), "Units", "The unit of the content. oz is weight, fl oz is volume.")
    note(sheet, _area(sheet, "F"), "What a pack holds in all: 12 × 4 oz is 48 oz.")
    note(sheet, _area(sheet, "I"), "Freight for one pack, where you know it.")
    flag(
        sheet,
        f"A{FIRST}:M{LAST[PRICES]}",
        f'OR(LEFT($M{FIRST},5)="check",LEFT($M{FIRST},3)="not",LEFT($M{FIRST},7)="content")',
    )


def _order(book, data: Data) -> None:
    sheet = _open(
        book, ORDER, "To order", "Whatever is below its reorder level. Print it and take it along.",
        (9, 30, 11, 11, 11, 8, 12, 12, 34, 23, 16),
        "line on Materials", "material", "left", "reorder below", "short by", "in", "lowest listed cost a unit",
        "cost of what is short", "as listed", "supplier", "pack as listed",
    )  # fmt: skip
    status = column(MATERIALS, "M")
    put(sheet, "B4", f'=SUMPRODUCT(1*({status}="reorder"))&" to order"', None, paper.STRONG)
    put(sheet, "G4", "together", None, paper.STRONG)
    put(sheet, "H4", f"=SUM({_area(sheet, 'H')})", MONEY, paper.STRONG)
    put(
        sheet,
        "I4",
        f'=IF(SUMPRODUCT(1*({status}="reorder"))>{LAST[ORDER] - FIRST + 1},"more than fit here: see Materials","")',
    )
    here = f'IF({status}="reorder",{column(MATERIALS, "O")},{FAR})'
    listed, cost = column(PRICES, "A"), column(PRICES, "L")
    for n, r in enumerate(_rows(sheet), 1):
        _array(sheet, f"A{r}", f'=IF(SUMPRODUCT(1*({status}="reorder"))<{n},"",SMALL({here},{n}))', WHOLE)
        blank = f'=IF(LEN(A{r})=0,"",'
        for letter, source, form in (
            ("B", "A", None),
            ("C", "G", AMOUNT),
            ("D", "D", AMOUNT),
            ("F", "B", None),
            ("G", "K", COST),
        ):
            put(sheet, f"{letter}{r}", f"{blank}INDEX({column(MATERIALS, source)},A{r}))", form)
        put(sheet, f"E{r}", f"{blank}D{r}-C{r})", AMOUNT)
        put(sheet, f"H{r}", f'=IF(ISNUMBER(G{r}),E{r}*G{r},"")', MONEY)
        line = f"IF({listed}=B{r},IF(IFERROR({cost}*1,0)=G{r},{column(PRICES, 'N')},{FAR}),{FAR})"
        for letter, source in (("I", "B"), ("J", "C"), ("K", "E")):
            _array(sheet, f"{letter}{r}", f'=IF(ISNUMBER(G{r}),INDEX({column(PRICES, source)},MIN({line}))&"","")')
    _words(sheet, "B", "F", "I", "J", "K")


def _value(book, data: Data) -> None:
    sheet = _open(
        book, VALUE, "Where the money lies", "The eight materials in which most money lies, first in, first out.",
        (30, 16), "material", "value of what is left",
    )  # fmt: skip
    rank = column(MATERIALS, "N")
    for n, r in enumerate(_rows(sheet), 1):
        for letter, source, form in (("A", "A", None), ("B", "J", MONEY)):
            put(
                sheet,
                f"{letter}{r}",
                f'=IF(MAX({rank})<{n},"",INDEX({column(MATERIALS, source)},MATCH({n},{rank},0)))',
                form,
            )
    area = (_area(sheet, "A"), f"B{FIRST - 1}:B{LAST[VALUE]}")
    titles = ("Where the money lies", "material", "value of what is left, money")
    paper.lying_bars(sheet, "D4", titles, (sheet, area[0]), [(sheet, area[1])], size=(18, 9))
    sheet.print_area = "A1:N24"


def _freight(book, data: Data) -> None:
    sheet = _open(
        book, FREIGHT, "Freight", "Shares one bill over the lines of an order. Type the shares into Purchases.",
        (30, 13, 13, 13), "line of the order", "value", "weight", "its share of the freight",
    )  # fmt: skip
    put(sheet, "A4", "freight of the whole order", None, paper.STRONG)
    take(sheet, "B4", data.freight, MONEY, "What the carrier charged for all of it.")
    put(sheet, "C4", "share it by", None, paper.STRONG)
    take(sheet, "D4", data.freight_by)
    choose(sheet, "D4", '"value,weight"', "By value, or by weight: then fill the weights in, all in one unit.")
    _inputs(sheet, data.order, (None, MONEY, AMOUNT))
    values, weights = _area(sheet, "B"), _area(sheet, "C")
    shared = f'IF($D$4="weight",TC_LANDED({values},$B$4,{weights}),IF($D$4="value",TC_LANDED({values},$B$4),NA()))'
    paper.column_of(sheet, f"D{FIRST}", f"D{LAST[FREIGHT]}", f"={shared}", MONEY)
    put(sheet, f"A{LAST[FREIGHT] + 1}", "together", None, paper.STRONG)
    put(sheet, f"D{LAST[FREIGHT] + 1}", f"=SUM({_area(sheet, 'D')})", MONEY, paper.STRONG)
    sheet.print_area = f"A1:D{LAST[FREIGHT] + 1}"


def _names(book) -> None:
    for name, sheet, area in (
        ("Materials_list", MATERIALS, f"A{FIRST}:A{LAST[MATERIALS]}"),
        ("Purchase_lines", PURCHASES, f"A{FIRST}:J{LAST[PURCHASES]}"),
        ("Used_lines", USED, f"A{FIRST}:E{LAST[USED]}"),
        ("Price_list", PRICES, f"A{FIRST}:J{LAST[PRICES]}"),
        ("Stocktaking_date", MATERIALS, "C4"),
        ("Stock_value", MATERIALS, "G4"),
    ):
        paper.define(book, name, book[sheet], area)


if __name__ == "__main__":
    print(build(Path(__file__).with_name(NAME)).out)
