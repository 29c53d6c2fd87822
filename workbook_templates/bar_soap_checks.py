"""The sheets Checks and Curing of the bar-soap workbook."""

from openpyxl import Workbook
from openpyxl.styles import Alignment
from tarecell.workbook_templates.bar_soap_data import Data
from tarecell.workbooks import paper
from tarecell.workbooks.paper import DAY, FINE_SHARE, GRAMS, SHARE, WHOLE, choose, flag, put, take
from tarecell.workbooks.paper_recipe import AMOUNT, one_page

WEIGHTS = '"g,kg,oz,lb"'


def checks(book: Workbook, data: Data, first: int, last: int) -> None:
    """The sheet Checks: the superfat and how sure it is, the fragrance, and where each value comes from."""
    sheet = paper.open_sheet(
        book, "Checks", "Checks", "Is the soap mild whatever the true value of each fat is?", (44, 14, 12, 104)
    )
    fats, own, weights = (f"Recipe!${letter}${first}:${letter}${last}" for letter in "ADF")
    iodine = f"Values!$C$5:$C${5 + last - first}"
    put(sheet, "A4", "lye that was really weighed (empty: as in Recipe)")
    take(sheet, "B4", data.lye_weighed[0], AMOUNT, "Only if you weighed another amount than the recipe says.")
    take(sheet, "C4", data.lye_weighed[1])
    choose(sheet, "C4", WEIGHTS, "The unit of the weight.")
    put(sheet, "A5", "so the lye is, g")
    put(sheet, "B5", '=IF(TRIM(B4)="",Lye,IF(B4>0,TC_CONVERT(B4,C4,"g"),NA()))', GRAMS)
    lye = f"{fats},{weights},$B$5,Alkali,Purity,{own}"
    paper.headings(sheet, 7, "superfat", "share")
    put(sheet, "A8", "lowest")
    put(sheet, "A9", "by the values used")
    put(sheet, "A10", "highest")
    put(sheet, "B8", f"=INDEX(TC_SUPERFAT_RANGE({lye}),1,1)", FINE_SHARE, paper.STRONG)
    put(sheet, "B9", f"=TC_SUPERFAT({lye})", FINE_SHARE, paper.STRONG)
    put(sheet, "B10", f"=INDEX(TC_SUPERFAT_RANGE({lye}),1,2)", FINE_SHARE, paper.STRONG)
    for row, name in ((8, "SuperfatLowest"), (9, "SuperfatReal"), (10, "SuperfatHighest")):
        paper.define(book, name, sheet, f"B{row}")
    flag(sheet, "B8:B10", "AND(ISNUMBER($B8),$B8<0)")
    put(sheet, "A11", "in words", None, paper.STRONG)
    put(
        sheet,
        "B11",
        '=IF(SuperfatReal<0,"BELOW ZERO: lye-heavy, not for the skin",IF(ISNUMBER(SuperfatLowest),'
        'IF(SuperfatLowest<0,"lye-heavy is possible: raise the superfat, or get the suppliers\' values",'
        '"above zero over the whole published range"),"a fat without a published range: get the supplier\'s value"))',
        None,
        paper.STRONG,
    )
    paper.define(book, "SuperfatWords", sheet, "B11")
    flag(sheet, "B11:C11", 'LEFT($B$11,5)<>"above"')
    ready = "AND(ISNUMBER($B$5),ISNUMBER(AllFats),ISNUMBER(Purity))"
    calls = (
        (5, "mend the recipe first", f'"TC_LYE",{fats},{weights},Alkali,Superfat,Purity,{own}', 62),
        (8, "mend the recipe first", f'"TC_SUPERFAT_RANGE",{lye}', 62),
        (9, "mend the recipe first", f'"TC_SUPERFAT",{lye}', 78),
        (12, "mend the recipe first", f'"TC_IODINE",{fats},{weights},{iodine}', 62),
    )
    for row, otherwise, call, height in calls:
        put(sheet, f"D{row}", f'=IF({ready},TC_EXPLAIN({call}),"{otherwise}")', None, paper.UNDER)
        sheet[f"D{row}"].alignment = Alignment(wrap_text=True, vertical="top", indent=1)
        sheet.row_dimensions[row].height = height
        for letter in "AB":
            sheet[f"{letter}{row}"].alignment = Alignment(vertical="top")
    put(sheet, "A12", "iodine value (higher: softer, sooner rancid)")
    put(sheet, "B12", f"=TC_IODINE({fats},{weights},{iodine})", "0.0", paper.STRONG)
    _fragrance(book, sheet, data)
    chart = paper.bars(
        sheet, "A23", "What superfat the lye leaves", ("by the published values", "superfat, share of the fats"),
        "$A$8:$A$10", "$B$8:$B$10", (22, 8), "0.0%",
    )  # fmt: skip
    chart.x_axis.tickLblPos = "low"
    one_page(sheet, "A1:D40")


def _fragrance(book: Workbook, sheet, data: Data) -> None:
    put(sheet, "A14", "Fragrance, against its certificate", None, paper.STRONG)
    put(sheet, "A15", "fragrance, as in the additions")
    take(sheet, "B15", data.fragrance)
    choose(sheet, "B15", "Additions", "The fragrance's name among the additions. Empty if there is none.")
    put(sheet, "A16", '="cap for a bar soap: category "&TC_CATEGORY("bar soap")')
    take(sheet, "B16", data.cap, FINE_SHARE, "From the certificate, category 9. Empty: not stated. Or: no restriction.")
    put(sheet, "A17", "share of the fresh soap")
    put(sheet, "A18", "share if all the water dried out")
    put(sheet, "A19", "status, by the drier one", None, paper.STRONG)
    weight = "TC_PHASE_TOTAL(Additions,AdditionWeights,B15)"
    put(sheet, "B17", f'=IF(TRIM(B15)="","",{weight}/Batch)', FINE_SHARE)
    put(sheet, "B18", f'=IF(TRIM(B15)="","",{weight}/(Batch-Water))', FINE_SHARE)
    status = 'TC_CAP_STATUS(B18,IF(TRIM(B16)="","not stated",B16))'
    put(sheet, "B19", f'=IF(TRIM(B15)="","no fragrance",{status})', None, paper.STRONG)
    paper.define(book, "FragranceStatus", sheet, "B19")
    flag(sheet, "B19", 'AND($B$19<>"within",$B$19<>"no fragrance")')


def values(book: Workbook, data: Data, first: int, last: int) -> None:
    """The sheet Values: the saponification value of each fat, and where it comes from."""
    sheet = paper.open_sheet(
        book,
        "Values",
        "Where the values come from",
        "Your supplier's certificate goes before any of them.",
        (30, 14, 16, 100),
    )
    paper.headings(sheet, 4, "fat", "mg KOH per g", "own iodine value", "source of the saponification value")
    for here, row in enumerate(range(first, last + 1), 5):
        name, own = f"Recipe!A{row}", f"Recipe!D{row}"
        put(sheet, f"A{here}", f'=IF(TRIM({name})="","",{name})')
        value = f'IF(TRIM({own})="",TC_SAP({name},"KOH")*1000,TC_LYE({name},1,"KOH",0,1,{own})*1000)'
        put(sheet, f"B{here}", f'=IF(TRIM({name})="","",{value})', "0.0")
        told = f"TC_SOURCE({name})"
        source = f'IF(TRIM({own})="",IFERROR(MID({told},SEARCH("fats:",{told})+6,300),{told}),"your supplier")'
        fat = data.fats[row - first] if row - first < len(data.fats) else None
        take(sheet, f"C{here}", fat and fat.iodine, "0.0##").alignment = Alignment(vertical="top")
        put(sheet, f"D{here}", f'=IF(TRIM({name})="","",{source})', None, paper.UNDER)
        sheet[f"D{here}"].alignment = Alignment(wrap_text=True, vertical="top", indent=1)
        sheet.row_dimensions[here].height = 31
        for letter in "AB":
            sheet[f"{letter}{here}"].alignment = Alignment(vertical="top")
    paper.note(
        sheet, f"C5:C{5 + last - first}", "Iodine value from the certificate, g per 100 g. Empty: the published one."
    )
    one_page(sheet, f"A1:D{5 + last - first}", "4:4")


def curing(book: Workbook, data: Data) -> None:
    """The sheet Curing: bars from the loaf, and the days."""
    sheet = paper.open_sheet(book, "Curing", "Bars and curing", "How many, and when they are ready.", (44, 16, 12, 40))
    inputs = (
        (4, "one bar weighs, fresh", data.bar[0], AMOUNT, "The weight of a bar when it is cut, in the unit beside."),
        (5, "left behind, or cut away", data.loss, SHARE, "The share that stays in the pot or is trimmed, as 2%."),
        (9, "made on", data.made, DAY, "The day it is poured, as a date of the sheet: 2026-03-14."),
        (10, "days of curing", data.cure, WHOLE, "Whole days: 28 to 42 is common practice, no published source."),
        (11, "needed on", data.needed, DAY, "The day the cured bars are needed."),
    )
    for row, label, value, form, text in inputs:
        put(sheet, f"A{row}", label)
        take(sheet, f"B{row}", value, form, text)
    take(sheet, "C4", data.bar[1])
    choose(sheet, "C4", WEIGHTS, "The unit of the weight.")
    bar = 'TC_CONVERT(B4,C4,"g")'
    results = (
        (6, "whole bars", f"=TC_PIECES(Batch,{bar},B5)", WHOLE, "Bars"),
        (7, "left for a small one, g", f"=TC_LEFTOVER(Batch,{bar},B5)", GRAMS, "LeftOver"),
        (12, "cured on", "=TC_READY(B9,B10)", DAY, "CuredOn"),
        (13, "start at the latest on", "=TC_START_BY(B11,B10)", DAY, "StartBy"),
    )
    for row, label, formula, form, name in results:
        put(sheet, f"A{row}", label)
        put(sheet, f"B{row}", formula, form, paper.STRONG).fill = paper.SUM_FILL
        paper.define(book, name, sheet, f"B{row}")
    put(sheet, "A14", "in words")
    put(sheet, "B14", '=IF(CuredOn>B11,"too late for the day they are needed","in time")', None, paper.STRONG)
    flag(sheet, "B14", '$B$14<>"in time"')
    put(sheet, "A16", "A bar loses water while it cures: weigh the cured bar for its label.", None, paper.UNDER)
    one_page(sheet, "A1:D17")
