"""Builds bar_soap.xlsx: bar soap from the mould to the cured bar, with the lye's cautions first.

python -m tarecell.workbook_templates.bar_soap
"""

from pathlib import Path

from openpyxl import Workbook
from openpyxl.styles import Alignment
from tarecell.tables import rows
from tarecell.workbook_templates.bar_soap_checks import checks, curing, values
from tarecell.workbook_templates.bar_soap_data import (
    BAND,
    CAUTIONS,
    LINES,
    MOULD,
    SOURCES,
    TEMPLATE_DATA,
    TYPED,
    Data,
)
from tarecell.workbooks import paper
from tarecell.workbooks.paper import FINE_SHARE, GRAMS, SHARE, choose, flag, put, take
from tarecell.workbooks.paper_recipe import AMOUNT, BOX, one_page
from tarecell.workbooks.recalculate import Report

RECIPE = "Recipe"
FIRST, ROWS = 16, 12  # rows of the fats
LAST = FIRST + ROWS - 1
ADD, ADD_ROWS = 32, 5  # rows of the additions
FATS, OWN, PARTS, WEIGHTS = (f"${c}${FIRST}:${c}${LAST}" for c in "ADEF")
LYE = "Alkali,Superfat,Purity"


def build(path: Path, data: Data = TEMPLATE_DATA) -> Report:
    """Writes the workbook, values inside. Raises where a cell shows an error or could not be computed."""
    book = paper.new_book(data.title)
    paper.start_here(book, data.title, LINES, CAUTIONS, SOURCES, cautions_first=True)
    _recipe(book, data)
    checks(book, data, FIRST, LAST)
    values(book, data, FIRST, LAST)
    curing(book, data)
    paper.lists(book, Fats=[row["fat"] for row in rows("fats")])
    paper.protect(book[paper.LISTS])
    report = paper.finish(book, path)
    if report.errors or report.left_alone:
        raise SystemExit("\n".join(map(str, report.errors + report.left_alone)))
    return report


def _recipe(book: Workbook, data: Data) -> None:
    sheet = paper.open_sheet(
        book, RECIPE, data.title, "Type in the orange cells; everything else follows.",
        (31, 11, 9, 13, 11, 11, 10, 14, 9, 46),
    )  # fmt: skip
    put(sheet, "A3", BAND, None, paper.STRONG).fill = paper.CAUTION_FILL
    sheet.merge_cells("A3:J3")
    sheet["A3"].alignment = Alignment(wrap_text=True, vertical="center")
    sheet.row_dimensions[3].height = 36
    _lye(book, sheet, data)
    _mould(book, sheet, data)
    _fats(book, sheet, data)
    _additions(book, sheet, data)
    _batch(book, sheet)
    sheet.freeze_panes = "B4"
    one_page(sheet, "A1:J41", f"{FIRST - 1}:{FIRST - 1}")


def _lye(book: Workbook, sheet, data: Data) -> None:
    inputs = (
        ("size of the batch by", "BatchBy", data.batch_by, None, "mould: to fill the mould. Or: the fats as typed."),
        ("alkali", "AlkaliTyped", data.alkali, None, "NaOH for bars, KOH for soft and liquid soap. Never mix them up."),
        ("superfat", "SuperfatTyped", data.superfat, SHARE, "The lye discount, as 5%. From 0% to 25%."),
        (
            "purity of the alkali",
            "PurityTyped",
            data.purity,
            SHARE,
            "From the certificate: NaOH 97% to 99%, KOH about 90%.",
        ),
        ("strength of the lye", "Strength", data.concentration, SHARE, "Lye in lye and water together: 20% to 50%."),
        ("scale shows steps of, g", "ScaleStep", data.step, AMOUNT, "0.1 for a scale that shows tenths of a gram."),
    )
    for row, (label, name, value, form, text) in enumerate(inputs, 5):
        put(sheet, f"A{row}", label)
        take(sheet, f"B{row}", value, form, None if row < 7 else text)
        paper.define(book, name, sheet, f"B{row}")
    sheet.merge_cells("B5:C5")
    choose(sheet, "B5", f'"{MOULD},{TYPED}"', inputs[0][4])
    choose(sheet, "B6", '"NaOH,KOH"', inputs[1][4], strict=True)
    # An emptied cell is an error here: the functions would take it as NaOH, no superfat, and pure.
    missing = 'TRIM({0})=""', 'OR(TRIM({0})="",TRIM({0})="0")'
    reckoned = (
        ("Alkali", "AlkaliTyped", missing[1], None),
        ("Superfat", "SuperfatTyped", missing[0], SHARE),
        ("Purity", "PurityTyped", missing[1], SHARE),
    )
    for row, (name, typed, gap, form) in enumerate(reckoned, 11):
        put(sheet, f"A{row}", f"{name.lower()}, as it is reckoned with", None, paper.UNDER)
        put(sheet, f"B{row}", f"=IF({gap.format(typed)},NA(),{typed})", form).alignment = Alignment(horizontal="right")
        paper.define(book, name, sheet, f"B{row}")


def _mould(book: Workbook, sheet, data: Data) -> None:
    length, width, height, unit = data.mould
    volume, volume_unit = data.volume
    inputs = (
        ("mould: length", length, unit, "Inner length of the mould."),
        ("width", width, None, "Inner width, in the same unit."),
        ("height", height, None, "Inner height that is filled, in the same unit."),
        ("or its volume, by water", volume, volume_unit, "Weigh the water it takes, 1 g is 1 mL. Goes first."),
        ("left empty", data.headroom, None, "The share of the mould left empty, as 5%. 0 for none."),
        ("g in one mL of batter", data.density, None, "About 1: common practice, no published source. Weigh yours."),
    )  # fmt: skip
    for row, (label, value, its_unit, text) in enumerate(inputs, 5):
        put(sheet, f"E{row}", label)
        take(sheet, f"H{row}", value, SHARE if label == "left empty" else AMOUNT, text)
        if its_unit:
            take(sheet, f"I{row}", its_unit)
    choose(sheet, "I5", '"cm,mm,in"', "The unit of length, width and height.")
    choose(sheet, "I8", '"mL,L,fl oz,cup"', "The unit of the volume.")
    sides = 'TC_CONVERT(H{0},$I$5,"cm")'
    box = "*".join(sides.format(row) for row in (5, 6, 7))
    sized = f"IF(AND(ISNUMBER(H5),ISNUMBER(H6),ISNUMBER(H7)),IF(MIN(H5,H6,H7)>0,{box},NA()),NA())"
    measured = 'IF(ISNUMBER(H8),IF(H8>0,TC_CONVERT(H8,I8,"mL"),NA()),NA())'
    lines = (
        ("so it holds, mL", f'=IF(TRIM(H8)="",{sized},{measured})', "MouldVolume"),
        ("and takes, g", '=TC_FILL(MouldVolume,"mL",H10,H9)', "MouldTakes"),
    )
    for row, (label, formula, name) in enumerate(lines, 11):
        put(sheet, f"E{row}", label)
        put(sheet, f"H{row}", formula, GRAMS, paper.STRONG)
        paper.define(book, name, sheet, f"H{row}")
    put(sheet, "E13", "the fats are written in")
    names, amounts, units = (f"${c}${FIRST}:${c}${LAST}" for c in "ABC")
    in_percent, named = f'SUMPRODUCT(({units}="%")*({names}<>""))', f'SUMPRODUCT(1*({names}<>""))'
    wrong = f'"shares that add up to "&ROUND(SUM({amounts}),2)&" %, not 100"'
    put(
        sheet,
        "H13",
        f'=IF({in_percent}=0,"amounts",IF({in_percent}<{named},"both % and amounts: write all rows in one way",'
        f'IF(ABS(SUM({amounts})-100)<=0.05,"shares of 100 %",{wrong})))',
        None,
        paper.STRONG,
    )
    flag(sheet, "H13:J13", 'AND($H$13<>"amounts",$H$13<>"shares of 100 %")')


def _fats(book: Workbook, sheet, data: Data) -> None:
    paper.headings(
        sheet, FIRST - 1, "fat, oil or wax", "amount", "unit", "own value, mg KOH per g", "in g, or as %",
        "to weigh, g",        "share", "lb and oz", "weighed", "check",
    )  # fmt: skip
    for row in range(FIRST, LAST + 1):
        fat = data.fats[row - FIRST] if row - FIRST < len(data.fats) else None
        for letter, value, form in zip("ABCD", _cells(fat), (None, AMOUNT, None, "0.0##"), strict=True):
            take(sheet, f"{letter}{row}", value, form)
        blank, gaps = f'TRIM(A{row}&B{row}&D{row})=""', f'OR(TRIM(A{row})="",TRIM(B{row})="",TRIM(C{row})="")'
        shares = f'IF(LEFT($H$13,9)="shares of",TC_CONVERT(B{row},"g","g"),NA())'
        grams = f'IF(TRIM(C{row})="%",{shares},TC_CONVERT(B{row},C{row},"g"))'
        put(sheet, f"E{row}", f'=IF({blank},"",IF({gaps},NA(),IF(B{row}<0,NA(),{grams})))', AMOUNT)
        put(sheet, f"G{row}", f'=IF(E{row}="","",F{row}/SUM({WEIGHTS}))', FINE_SHARE)
        put(sheet, f"H{row}", f'=IF(E{row}="","",TC_LB_OZ(F{row}))').alignment = Alignment(horizontal="right")
        put(sheet, f"I{row}", f'=IF(E{row}="","","{BOX}")').alignment = Alignment(horizontal="center")
        known = f'IF(TRIM(D{row})="",TC_SAP(A{row},"KOH"),TC_LYE(A{row},1,"KOH",0,1,D{row}))'
        why = f'IF(TRIM(D{row})="",TC_EXPLAIN("TC_SAP",A{row},"KOH"),TC_EXPLAIN("TC_LYE",A{row},1,"KOH",0,1,D{row}))'
        amiss = f'IF(B{row}<0,"a negative amount","amount or unit is not right")'
        told = f'IF({gaps},"fat, amount or unit is missing",{amiss})'
        weighed = f'IF(ISNUMBER(F{row}),"ok","see below the table")'
        good = f"IF(ISNUMBER(E{row}),IF(ISNUMBER({known}),{weighed},{why}),{told})"
        put(sheet, f"J{row}", f'=IF({blank},"",{good})', None, paper.UNDER)
    paper.column_of(sheet, f"F{FIRST}", f"F{LAST}", f"=TC_SCALE({PARTS},FatsTarget,ScaleStep)", GRAMS)
    for row in range(FIRST, LAST + 1):
        sheet[f"F{row}"].font = paper.STRONG
    choose(sheet, f"A{FIRST}:A{LAST}", "Fats", "A fat from the list, or any other with its own value.")
    paper.note(sheet, f"B{FIRST}:B{LAST}", "The amount, or the share: type 25 for 25 % and choose % as its unit.")
    choose(sheet, f"C{FIRST}:C{LAST}", '"%,g,kg,oz,lb"', "% in every row, or weights in every row.")
    paper.note(
        sheet,
        f"D{FIRST}:D{LAST}",
        "Saponification value from the certificate, mg KOH per g (about 190, not 0.19).",
    )
    row = LAST + 1
    put(sheet, f"A{row}", "all fats")
    put(sheet, f"F{row}", f"=SUM({WEIGHTS})", GRAMS)
    put(sheet, f"G{row}", f"=SUM(G{FIRST}:G{LAST})", SHARE)
    put(sheet, f"H{row}", f"=TC_LB_OZ(F{row})").alignment = Alignment(horizontal="right")
    call = f'TC_EXPLAIN("TC_SCALE",{PARTS},FatsTarget,ScaleStep)'
    put(
        sheet,
        f"J{row}",
        f'=IF(ISNUMBER(F{row}),"ok",IF(ISERROR(SUM({PARTS})),"mend the rows that do not say ok",'
        f'IF(ISERROR(FatsTarget),"mend lye, mould, additions or the size of the batch",{call})))',
    )
    for letter in "ABCDEFGHIJ":
        sheet[f"{letter}{row}"].fill, sheet[f"{letter}{row}"].font = paper.SUM_FILL, paper.STRONG
    paper.define(book, "AllFats", sheet, f"F{row}")
    flag(sheet, f"J{FIRST}:J{row}", f'AND($J{FIRST}<>"",$J{FIRST}<>"ok")')


def _cells(fat):
    return (fat.name, fat.amount, fat.unit, fat.own) if fat else (None,) * 4


def _additions(book: Workbook, sheet, data: Data) -> None:
    last = ADD + ADD_ROWS - 1
    put(sheet, f"A{ADD - 2}", "Additions, figured on the fats", None, paper.STRONG)
    paper.headings(sheet, ADD - 1, "addition", "share of the fats", "grams", "weighed")
    for row in range(ADD, last + 1):
        name, share = data.additions[row - ADD] if row - ADD < len(data.additions) else (None, None)
        take(sheet, f"A{row}", name)
        take(sheet, f"B{row}", share, SHARE)
        weight = f"TC_EXTRA(AllFats,B{row})"
        rounded = f"IF(ScaleStep>0,ROUND({weight}/ScaleStep,0)*ScaleStep,{weight})"
        gaps = f'OR(TRIM(A{row})="",TRIM(B{row})="")'
        blank = f'TRIM(A{row}&B{row})=""'
        # Less than half a step of the scale, yet not nothing: it cannot be weighed on it.
        small = f"AND(B{row}>0,{rounded}=0)"
        put(sheet, f"C{row}", f'=IF({blank},"",IF({gaps},NA(),IF({small},NA(),{rounded})))', GRAMS, paper.STRONG)
        put(sheet, f"D{row}", f'=IF({blank},"","{BOX}")').alignment = Alignment(horizontal="center")
    paper.note(sheet, f"A{ADD}:A{last}", "Fragrance, clay, colour and the like.")
    paper.note(sheet, f"B{ADD}:B{last}", "Its share of the fats, as 2%. Of the finished soap it is less.")
    paper.define(book, "Additions", sheet, f"A{ADD}:A{last}")
    paper.define(book, "AdditionWeights", sheet, f"C{ADD}:C{last}")
    checked = "+".join(
        f'IF(TRIM(A{row}&B{row})="",0,IF(OR(TRIM(A{row})="",TRIM(B{row})=""),NA(),TC_EXTRA(1,B{row})))'
        for row in range(ADD, last + 1)
    )
    put(sheet, f"A{last + 1}", "all additions, share of the fats", None, paper.UNDER)
    put(sheet, f"B{last + 1}", f"={checked}", FINE_SHARE)
    paper.define(book, "AdditionShare", sheet, f"B{last + 1}")
    put(sheet, f"A{last + 2}", "made on, by; lot")
    take(sheet, f"B{last + 2}", None)
    sheet.merge_cells(f"B{last + 2}:D{last + 2}")


def _batch(book: Workbook, sheet) -> None:
    put(sheet, "E30", "To weigh", None, paper.STRONG)
    paper.headings(sheet, 31, "", "", "", "g", "weighed", "lb and oz", first_column=5)
    exact = f"TC_LYE({FATS},{WEIGHTS},{LYE},{OWN})"
    down = f"IF(ScaleStep>0,ROUNDDOWN(ROUND({exact}/ScaleStep,6),0)*ScaleStep,{exact})"
    water = "TC_LYE_WATER(Lye,Strength)"
    total = "AllFats+Lye+Water+SUM(AdditionWeights)"
    lines = (
        ("lye, rounded down to the scale", f"=IF({down}>0,{down},NA())", "Lye", True),
        ("water", f"=IF(ScaleStep>0,ROUND({water}/ScaleStep,0)*ScaleStep,{water})", "Water", True),
        ("fats", "=AllFats", None, True),
        ("additions", "=SUM(AdditionWeights)+AdditionShare*0", None, True),
        ("the whole batch", f"={total}", "Batch", False),
        ("fats for this batch, before rounding", None, "FatsTarget", False),
    )
    for row, (label, formula, name, weighed) in enumerate(lines, 32):
        put(sheet, f"E{row}", label)
        put(sheet, f"H{row}", formula, GRAMS, paper.STRONG)
        if weighed:
            put(sheet, f"I{row}", BOX).alignment = Alignment(horizontal="center")
        if name:
            paper.define(book, name, sheet, f"H{row}")
        if row < 37:
            put(sheet, f"J{row}", f'=IF(ISNUMBER(H{row}),TC_LB_OZ(H{row}),"mend fats, lye and additions first")')
            flag(sheet, f"J{row}", f'LEFT($J{row},4)="mend"')
    one = f"TC_LYE({FATS},{PARTS},{LYE},{OWN})/SUM({PARTS})"
    put(sheet, "E38", "lye for one gram of fats, g", None, paper.UNDER)
    put(sheet, "H38", f"={one}", "0.0000")
    mould = "MouldTakes/(1+H38+TC_LYE_WATER(H38,Strength)+AdditionShare)"
    typed = f'IF($H$13="amounts",SUM({PARTS}),NA())'
    put(sheet, "H37", f'=IF(TRIM(BatchBy)="{MOULD}",{mould},IF(TRIM(BatchBy)="{TYPED}",{typed},NA()))', GRAMS)
    by_weight = f'AND(TRIM(BatchBy)="{TYPED}",$H$13<>"amounts")'
    put(sheet, "J37", f'=IF({by_weight},"type the fats as weights, or choose mould","")', None, paper.UNDER)
    flag(sheet, "J37", '$J$37<>""')


if __name__ == "__main__":
    print(build(Path(__file__).with_suffix(".xlsx")))
