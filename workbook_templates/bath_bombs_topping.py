"""The sheet Topping of the bath-bomb workbook: a small recipe of its own, with a thickener to turn up or down."""

from openpyxl import Workbook
from openpyxl.styles import Alignment
from tarecell.workbook_templates.bath_bombs_data import WEIGHTS, Data
from tarecell.workbooks import paper
from tarecell.workbooks.paper import FINE_SHARE, GRAMS, SHARE, choose, flag, put, take
from tarecell.workbooks.paper_recipe import AMOUNT, BOX, one_page, rounded_up

TOPPING = "Topping"
TOP_FIRST, TOP_ROWS = 11, 6  # rows of the topping


def topping(book: Workbook, data: Data) -> None:
    """Writes the sheet."""
    sheet = paper.open_sheet(
        book, TOPPING, "Topping", "A small recipe of its own: drizzle, icing, dip.", (32, 12, 10, 12, 13, 13, 9, 40)
    )
    for row, (label, value, name) in enumerate(
        (("topping on one large piece, g", data.large.topping, "LargeTopping"),
         ("topping on one small piece, g", data.small.topping, "SmallTopping")), 4):  # fmt: skip
        put(sheet, f"A{row}", label)
        take(sheet, f"B{row}", value, AMOUNT, "Grams on one piece: weigh one before and after. 0 for none.")
        paper.define(book, name, sheet, f"B{row}")
    singles = (
        (6, "left behind", "ToppingLoss", data.topping_loss, SHARE, "The share that stays in pot and bag, as 10%."),
        (7, "scale shows steps of, g", "ToppingStep", data.topping_step, AMOUNT, "0.1 for tenths of a gram."),
        (8, "thickener, share of the topping", "Thickness", data.thickness, SHARE, "Turn it up or down: 0% to 60%."),
    )
    for row, label, name, value, form, text in singles:
        put(sheet, f"A{row}", label)
        take(sheet, f"B{row}", value, form, text)
        paper.define(book, name, sheet, f"B{row}")
    last = TOP_FIRST + TOP_ROWS - 1
    one = "IF(AND(ISNUMBER({0}),{0}>=0),{0},NA())"
    pieces = f"LargeFilled*{one.format('LargeTopping')}+SmallFilled*{one.format('SmallTopping')}"
    put(sheet, "D4", "pieces to top (see Filling)")
    put(sheet, "G4", '=LargeFilled&" + "&SmallFilled').alignment = Alignment(horizontal="right")
    put(sheet, "D5", "topping on the pieces, g")
    put(sheet, "G5", f"={pieces}", GRAMS)
    put(sheet, "D6", "topping to make, g")
    target = rounded_up("TC_BATCH(1,G5,ToppingLoss)", "ToppingStep")
    put(sheet, "G6", f"=IF(G5>0,{target},NA())", GRAMS, paper.STRONG)
    paper.define(book, "ToppingBatch", sheet, "G6")
    put(sheet, "D7", "one large piece with it, g")
    put(sheet, "G7", f"=LargeWeight+{one.format('LargeTopping')}", GRAMS)
    put(sheet, "D8", "one small piece with it, g")
    put(sheet, "G8", f"=SmallWeight+{one.format('SmallTopping')}", GRAMS)
    paper.headings(sheet, 10, "ingredient", "amount", "unit", "in g", "share", "to weigh, g", "weighed", "check")
    for row in range(TOP_FIRST, last + 1):
        line = data.topping[row - TOP_FIRST] if row - TOP_FIRST < len(data.topping) else (None, None, None)
        for letter, value, form in zip("ABC", line, (None, AMOUNT, None), strict=True):
            take(sheet, f"{letter}{row}", value, form)
        gaps = f'OR(TRIM(A{row})="",TRIM(B{row})="",TRIM(C{row})="")'
        grams = f'IF(B{row}<0,NA(),TC_CONVERT(B{row},C{row},"g"))'
        put(sheet, f"D{row}", f'=IF(TRIM(A{row}&B{row})="","",IF({gaps},NA(),{grams}))', AMOUNT)
        put(sheet, f"E{row}", f'=IF(D{row}="","",D{row}/SUM($D${TOP_FIRST}:$D${last})*(1-E${last + 1}))', FINE_SHARE)
        told = f'IF(B{row}<0,"a negative amount",TC_EXPLAIN("TC_CONVERT",B{row},C{row},"g"))'
        why = f'IF({gaps},"name, amount or unit is missing",{told})'
        put(sheet, f"H{row}", f'=IF(TRIM(A{row}&B{row})="","",IF(ISNUMBER(D{row}),"ok",{why}))', None, paper.UNDER)
    row = last + 1
    take(sheet, f"A{row}", data.thickener, None, "The thickener: a clay, a starch, more of a hard butter.")
    put(sheet, f"B{row}", "thickener, share as set above", None, paper.UNDER)
    put(
        sheet,
        f"E{row}",
        f'=IF(AND(ISNUMBER(Thickness),Thickness>=0,Thickness<=0.6,OR(Thickness=0,TRIM(A{row})<>"")),Thickness,NA())',
        FINE_SHARE,
    )
    told = '"name the thickener, and give a share from 0% to 60%"'
    put(sheet, f"H{row}", f'=IF(ISNUMBER(E{row}),"ok",{told})', None, paper.UNDER)
    paper.column_of(
        sheet, f"F{TOP_FIRST}", f"F{row}", f"=TC_AMOUNTS($E${TOP_FIRST}:$E${row},ToppingBatch,ToppingStep)", GRAMS
    )
    for here in range(TOP_FIRST, row + 1):
        sheet[f"F{here}"].font = paper.STRONG
        put(sheet, f"G{here}", f'=IF(E{here}="","","{BOX}")').alignment = Alignment(horizontal="center")
    paper.note(sheet, f"B{TOP_FIRST}:B{last}", "The amount without the thickener, in the unit beside.")
    choose(sheet, f"C{TOP_FIRST}:C{last}", WEIGHTS, "The unit of the amount.")
    flag(sheet, f"H{TOP_FIRST}:H{row + 1}", f'AND($H{TOP_FIRST}<>"",$H{TOP_FIRST}<>"ok")')
    row += 1
    put(sheet, f"A{row}", "all together")
    put(sheet, f"E{row}", f"=SUM(E{TOP_FIRST}:E{row - 1})", SHARE)
    put(sheet, f"F{row}", f"=SUM(F{TOP_FIRST}:F{row - 1})", GRAMS)
    call = f'TC_EXPLAIN("TC_AMOUNTS",$E${TOP_FIRST}:$E${row - 1},ToppingBatch,ToppingStep)'
    sound = f"AND(ISNUMBER(E{row}),ISNUMBER(ToppingBatch))"
    put(sheet, f"H{row}", f'=IF(ISNUMBER(F{row}),"ok",IF({sound},{call},"mend the rows, or the topping on a piece"))')
    for letter in "ABCDEFGH":
        sheet[f"{letter}{row}"].fill, sheet[f"{letter}{row}"].font = paper.SUM_FILL, paper.STRONG
    one_page(sheet, f"A1:H{row + 1}")
