"""Builds bath_bombs.xlsx: bath bombs from the recipe to the dry pieces, with their topping and their fizz.

python -m tarecell.workbook_templates.bath_bombs
"""

from pathlib import Path

from openpyxl import Workbook
from openpyxl.styles import Alignment
from tarecell.tables import rows
from tarecell.workbook_templates.bath_bombs_data import CAUTIONS, LINES, SOURCES, TEMPLATE_DATA, WEIGHTS, Data
from tarecell.workbook_templates.bath_bombs_topping import topping
from tarecell.workbooks import paper
from tarecell.workbooks.paper import DAY, FINE_SHARE, GRAMS, SHARE, WHOLE, choose, flag, put, take
from tarecell.workbooks.paper_recipe import (
    AMOUNT,
    UNITS,
    WIDTHS,
    RecipeTable,
    one_page,
    recipe_table,
    rounded_up,
)
from tarecell.workbooks.recalculate import Report

RECIPE, FIZZ, FILLING, DAYS = "Recipe", "Fizz", "Filling", "Days"
ROWS, FIRST = 14, 14  # rows of the recipe, and the first of them


def build(path: Path, data: Data = TEMPLATE_DATA) -> Report:
    """Writes the workbook, values inside. Raises where a cell shows an error or could not be computed."""
    book = paper.new_book(data.title)
    paper.start_here(book, data.title, LINES, CAUTIONS, SOURCES)
    recipe = _recipe(book, data)
    _fizz(book, data, recipe)
    _filling(book, data)
    topping(book, data)
    _days(book, data)
    paper.lists(
        book,
        Units=UNITS,
        Parts=("dry", "acid", "wet"),
        FizzAcids=[row["acid"] for row in rows("fizz_acids")],
    )
    paper.protect(book[paper.LISTS])
    report = paper.finish(book, path)
    if report.errors or report.left_alone:
        raise SystemExit("\n".join(map(str, report.errors + report.left_alone)))
    return report


def _recipe(book: Workbook, data: Data) -> RecipeTable:
    sheet = paper.open_sheet(book, RECIPE, data.title, "Type in the orange cells; everything else follows.", WIDTHS)
    _moulds(book, sheet, data)
    table = recipe_table(sheet, FIRST, ROWS, data.lines, "Parts", "I10", "Batch", "ScaleStep")
    paper.define(book, "Ingredients", sheet, f"B{FIRST}:B{table.last}")
    _parts(sheet, table)
    one_page(sheet, "A1:K48", f"{FIRST - 1}:{FIRST - 1}")
    return table


def _moulds(book: Workbook, sheet, data: Data) -> None:
    put(sheet, "C4", "large", None, paper.STRONG).alignment = Alignment(horizontal="right")
    put(sheet, "D4", "small", None, paper.STRONG).alignment = Alignment(horizontal="right")
    sizes = (("C", "Large", data.large), ("D", "Small", data.small))
    for letter, name, mould in sizes:
        take(sheet, f"{letter}5", mould.pieces, WHOLE, "Whole pieces to make in this mould. 0 or empty for none.")
        take(sheet, f"{letter}6", mould.weight, AMOUNT, "Weight of the mix in one piece, in the unit below: weigh one.")
        take(sheet, f"{letter}7", mould.unit)
        paper.define(book, f"{name}Pieces", sheet, f"{letter}5")
    choose(sheet, "C7:D7", WEIGHTS, "The unit of the weight above.")
    for row, label in ((5, "pieces to make"), (6, "weight of one"), (7, "in")):
        put(sheet, f"A{row}", label)
    singles = (
        (8, "left behind in the bowl", "Loss", data.loss, SHARE, "The share of the mix that stays behind, as 2%."),
        (9, "spare", "Spare", data.spare, SHARE, "How much more to make than the pieces need, as 5%. 0 for none."),
        (10, "scale shows steps of, g", "ScaleStep", data.step, AMOUNT, "0.1 for a scale that shows tenths of a gram."),
    )
    for row, label, name, value, form, text in singles:
        put(sheet, f"A{row}", label)
        take(sheet, f"C{row}", value, form, text)
        paper.define(book, name, sheet, f"C{row}")
    asked = 'IF(TRIM({0}5)="",0,IF({0}5=0,0,IF({0}5=INT({0}5),TC_BATCH({0}5,{1},Loss,Spare),NA())))'
    need = asked.format("C", "LargeWeight") + "+" + asked.format("D", "SmallWeight")
    results = (
        ("one large piece, g", '=IF(TRIM(C6)="",0,TC_CONVERT(C6,C7,"g"))', GRAMS, "LargeWeight"),
        ("one small piece, g", '=IF(TRIM(D6)="",0,TC_CONVERT(D6,D7,"g"))', GRAMS, "SmallWeight"),
        ("the pieces need, g", f"={need}", GRAMS, None),
        ("mix to make, g", f"=IF(I7>0,{rounded_up('I7', 'ScaleStep')},NA())", GRAMS, "Batch"),
        ("in pounds and ounces", "=TC_LB_OZ(Batch)", None, None),
        ("the recipe is written in", None, None, None),
    )
    for row, (label, formula, form, name) in enumerate(results, 5):
        put(sheet, f"F{row}", label)
        put(sheet, f"I{row}", formula, form, paper.STRONG).alignment = Alignment(horizontal="left")
        if name:
            paper.define(book, name, sheet, f"I{row}")
    flag(sheet, "I10:K10", 'AND($I$10<>"amounts",$I$10<>"shares of 100 %")')
    put(
        sheet,
        "F11",
        '=IF(ISNUMBER(Batch),"","give whole numbers of pieces, a weight for each mould, and a loss below 100%")',
        None,
        paper.UNDER,
    )
    flag(sheet, "F11", '$F$11<>""')


def _parts(sheet, table: RecipeTable) -> None:
    row = table.last + 3
    put(sheet, f"A{row}", "Parts of the mix", None, paper.STRONG)
    paper.headings(sheet, row + 1, "part", "", "grams", "share")
    for offset, part in enumerate(("dry", "acid", "wet"), 2):
        here = row + offset
        put(sheet, f"A{here}", part)
        total = f"TC_PHASE_TOTAL({table.here('A')},{table.here('G')},A{here})"
        put(sheet, f"C{here}", f"=IF(ISNA({total}),{table.total}*0,{total})", GRAMS)
        put(sheet, f"D{here}", f"=C{here}/{table.total}", SHARE)
    end = row + 5
    put(sheet, f"A{end}", "all together", None, paper.STRONG)
    put(sheet, f"C{end}", f"=SUM(C{row + 2}:C{row + 4})", GRAMS, paper.STRONG)
    told = '"a row is neither dry, acid nor wet"'
    put(sheet, f"D{end}", f'=IF(ABS(C{end}-{table.total})<0.001,"ok",{told})', None, paper.UNDER)
    flag(sheet, f"D{end}", f'$D${end}<>"ok"')
    put(sheet, f"A{end + 2}", "made on, by")
    put(sheet, f"A{end + 3}", "lot")
    for offset in (2, 3):
        take(sheet, f"B{end + offset}", None)
    paper.bars(
        sheet,
        f"F{row}",
        "What the mix is made of",
        ("part", "weight, g"),
        f"$A${row + 2}:$A${row + 4}",
        f"$C${row + 2}:$C${row + 4}",
        (19, 8),
        "0.0",
    )


def _fizz(book: Workbook, data: Data, table: RecipeTable) -> None:
    sheet = paper.open_sheet(
        book, FIZZ, "Fizz", "What soda and acid do in the bath.", (38, 22, 14, 62), landscape=True
    )  # fmt: skip
    put(sheet, "A4", "baking soda, as in the recipe")
    take(sheet, "B4", data.soda)
    put(sheet, "C4", f"={table.weight_of('B4')}", GRAMS)
    paper.headings(sheet, 6, "acid, as in the recipe", "which acid it is", "grams")
    for row in range(7, 10):
        name, acid = data.acids[row - 7] if row - 7 < len(data.acids) else (None, None)
        take(sheet, f"A{row}", name)
        take(sheet, f"B{row}", acid)
        gap = f'OR(TRIM(A{row})="",TRIM(B{row})="")'
        put(sheet, f"C{row}", f'=IF(TRIM(A{row}&B{row})="","",IF({gap},NA(),{table.weight_of(f"A{row}")}))', GRAMS)
    choose(sheet, "B4", "Ingredients", "The baking soda's name in the recipe.")
    choose(sheet, "A7:A9", "Ingredients", "The acid's name in the recipe.")
    choose(sheet, "B7:B9", "FizzAcids", "Citric acid is the dry (anhydrous) kind unless the bag says monohydrate.")
    in_recipe = f'TC_PHASE_TOTAL({table.column("A")},{table.column("G")},"acid")'
    listed = f"IF(ISNA({in_recipe}),{table.total}*0,{in_recipe})"
    put(sheet, "A10", "all acid rows of the recipe are listed")
    put(
        sheet,
        "B10",
        f'=IF(ABS({listed}-SUM(C7:C9))<0.001,"yes","no: see the acid rows of the recipe")',
        None,
        paper.STRONG,
    )
    flag(sheet, "B10", '$B$10<>"yes"')
    put(sheet, "A12", "soda that should be left over")
    take(sheet, "B12", data.spare_soda, SHARE, "The share of the baking soda that no acid uses up, as 30%.")
    put(sheet, "A13", "temperature of the bath")
    take(sheet, "B13", data.bath[0], "General", "In the unit beside: about 38 C or 100 F.")
    take(sheet, "C13", data.bath[1])
    choose(sheet, "C13", '"C,F"', "C or F")
    acids = "$B$7:$B$9,$C$7:$C$9"
    celsius = 'IF(AND(ISNUMBER(B13),TRIM(C13)<>""),IF(TC_CONVERT(B13,C13,"C")>0,TC_CONVERT(B13,C13,"C"),NA()),NA())'
    sure = 'IF($B$10<>"yes",NA(),{0})'
    results = (
        ("soda left over when the acid is used up", sure.format(f"TC_SODA_LEFT(C4,{acids})"), SHARE, "SodaLeft"),
        ("in words", None, None, None),
        ("gas from the whole batch, litres", sure.format(f"TC_FIZZ_GAS(C4,{acids},{celsius})"), GRAMS, "Gas"),
        ("gas from one large piece, litres", "Gas*LargeWeight/Batch", GRAMS, None),
        ("soda to acid, by weight", sure.format("IF(SUM(C7:C9)>0,C4/SUM(C7:C9),NA())"), '0.00" : 1"', None),
        ("first acid for the soda you want left, g", "TC_FIZZ_ACID(C4,B7,B12)", GRAMS, "AcidWanted"),
    )
    for row, (label, formula, form, name) in enumerate(results, 15):
        put(sheet, f"A{row}", label)
        if formula:
            cell = put(sheet, f"B{row}", f"={formula}", form, paper.STRONG)
            cell.alignment = Alignment(horizontal="left")
        if name:
            paper.define(book, name, sheet, f"B{row}")
    put(
        sheet,
        "B16",
        '=IF(SodaLeft<-0.0001,"acid is left over: it may sting",IF(SodaLeft<=0.0001,"they use each other up",'
        '"soda is left over: no acid stays"))',
        None,
        paper.STRONG,
    )
    flag(sheet, "B16", 'LEFT($B$16,4)="acid"')
    told = '"mend the recipe, or list its acid rows above"'
    for row, call in (
        (15, f'"TC_SODA_LEFT",C4,{acids}'),
        (17, f'"TC_FIZZ_GAS",C4,{acids},{celsius}'),
        (20, '"TC_FIZZ_ACID",C4,B7,B12'),
    ):
        sound = "AND(ISNUMBER(C4),ISNUMBER(SUM(C7:C9)))" if row != 17 else "ISNUMBER(B17)"
        paper.working(sheet, f"D{row}", f"=IF({sound},TC_EXPLAIN({call}),{told})")
        sheet.row_dimensions[row].height = 44
        for letter in "AB":
            sheet[f"{letter}{row}"].alignment = Alignment(vertical="center", horizontal="left")
    _fragrance(book, sheet, data, table)
    one_page(sheet, "A1:D28")


def _fragrance(book: Workbook, sheet, data: Data, table: RecipeTable) -> None:
    put(sheet, "A22", "Fragrance, against its certificate", None, paper.STRONG)
    put(sheet, "A23", "fragrance, as in the recipe")
    take(sheet, "B23", data.fragrance)
    choose(sheet, "B23", "Ingredients", "The fragrance's name in the recipe. Empty if there is none.")
    put(sheet, "A24", '="cap for a bath bomb: category "&TC_CATEGORY("bath bomb")')
    take(
        sheet,
        "B24",
        data.cap,
        FINE_SHARE,
        "From the certificate, category 9: 2%. Empty: not stated. Or: no restriction.",
    )
    put(sheet, "A25", "share of the mix")
    put(sheet, "B25", f'=IF(TRIM(B23)="","",{table.weight_of("B23")}/{table.total})', FINE_SHARE)
    put(sheet, "A26", "status")
    status = 'TC_CAP_STATUS(B25,IF(TRIM(B24)="","not stated",B24))'
    put(sheet, "B26", f'=IF(TRIM(B23)="","no fragrance",{status})', None, paper.STRONG)
    paper.define(book, "FragranceStatus", sheet, "B26")
    for row in (25, 26):
        sheet[f"B{row}"].alignment = Alignment(horizontal="left")
    flag(sheet, "B26", 'AND($B$26<>"within",$B$26<>"no fragrance")')
    put(
        sheet,
        "A27",
        "of the mix without topping, the cautious way; scent in the topping counts too: add it",
        None,
        paper.UNDER,
    )


def _filling(book: Workbook, data: Data) -> None:
    sheet = paper.open_sheet(
        book, FILLING, "Filling the moulds", "Large ones first, small ones from what is left over.", (44, 14, 14, 56)
    )
    put(sheet, "A4", "mix that is really there (empty: as planned)")
    take(sheet, "B4", data.mix[0], AMOUNT, "Weigh the finished mix. Empty: the batch as planned.")
    take(sheet, "C4", data.mix[1])
    choose(sheet, "C4", WEIGHTS, "The unit of the weight.")
    wanted = f'=IF(TRIM({RECIPE}!C5)="",0,IF(AND(ISNUMBER(LargePieces),LargePieces>=0),LargePieces,NA()))'
    lines = (
        ("mix to press, g", '=IF(TRIM(B4)="",Batch,IF(B4>0,TC_CONVERT(B4,C4,"g"),NA()))', GRAMS, "Mix"),
        ("of that not left behind, g", "=IF(AND(Loss>=0,Loss<1),Mix*(1-Loss),NA())", GRAMS, "Usable"),
        ("large pieces wanted", wanted, WHOLE, "LargeWanted"),
        ("large pieces", "=IF(LargeWanted=0,0,MIN(LargeWanted,TC_PIECES(Mix,LargeWeight,Loss)))", WHOLE, "LargeFilled"),
        ("left after them, g", "=MAX(0,Usable-IF(LargeFilled=0,0,LargeFilled*LargeWeight))", GRAMS, "LeftAfterLarge"),
        (
            "small pieces from what is left",
            "=IF(SmallWeight=0,0,IF(SmallWeight<0,NA(),"
            "IF(LeftAfterLarge<0.000001,0,TC_PIECES(LeftAfterLarge,SmallWeight))))",
            WHOLE,
            "SmallFilled",
        ),
        ("left in the end, g", "=MAX(0,LeftAfterLarge-SmallFilled*SmallWeight)", GRAMS, "LeftInTheEnd"),
    )
    for row, (label, formula, form, name) in enumerate(lines, 6):
        put(sheet, f"A{row}", label)
        put(sheet, f"B{row}", formula, form, paper.STRONG)
        paper.define(book, name, sheet, f"B{row}")
    put(sheet, "A13", "in words")
    put(
        sheet,
        "B13",
        '=LargeFilled&" large and "&SmallFilled&" small; "&ROUND(LeftInTheEnd,1)&" g over"'
        '&IF(LargeFilled<LargeWanted,". Not enough for all the large ones.","")',
        None,
        paper.STRONG,
    )
    flag(sheet, "B13", "$B$9<$B$8")
    _balls(sheet, data)
    one_page(sheet, "A1:D22")


def _balls(sheet, data: Data) -> None:
    put(sheet, "A15", "What a round mould holds", None, paper.STRONG)
    paper.headings(sheet, 16, "", "large", "small")
    put(sheet, "A17", "inner diameter")
    put(sheet, "A18", "in")
    for letter, mould in (("B", data.large), ("C", data.small)):
        take(sheet, f"{letter}17", mould.diameter, "General", "Inner diameter of the closed ball, in the unit below.")
        take(sheet, f"{letter}18", mould.length_unit)
        ball = f'PI()/6*TC_CONVERT({letter}17,{letter}18,"cm")^3'
        put(sheet, f"{letter}19", f'=IF(TRIM({letter}17)="","",IF({letter}17>0,{ball},NA()))', GRAMS)
        weight = f"IF(AND(ISNUMBER($B$20),$B$20>0),{letter}19*$B$20,NA())"
        put(sheet, f"{letter}21", f'=IF({letter}19="","",IF(TRIM($B$20)="","",{weight}))', GRAMS, paper.STRONG)
    choose(sheet, "B18:C18", '"mm,cm,in"', "The unit of the diameter.")
    put(sheet, "A19", "volume of a ball of that diameter, mL")
    put(sheet, "A20", "g in one mL of your pressed mix")
    take(sheet, "B20", data.packed, "0.0##", "Press one, weigh it, divide by the volume above. It depends on your mix.")
    put(sheet, "A21", "so one piece weighs about, g")
    put(sheet, "D20", "from a piece of your own; there is no published value", None, paper.UNDER)
    put(sheet, "D21", "type what you weigh into Recipe, if you trust it", None, paper.UNDER)


def _days(book: Workbook, data: Data) -> None:
    sheet = paper.open_sheet(book, DAYS, "Days", "Turning, drying and when to start.", (40, 16, 50))
    inputs = (
        ("made on", data.made, DAY, "The day you press them, as a date of the sheet: 2026-03-14."),
        ("days of drying", data.drying, WHOLE, "Whole days. One to two is common practice; damp rooms need more."),
        ("turn after so many days", data.turning, WHOLE, "Whole days after pressing, before they are dry."),
        ("needed on", data.needed, DAY, "The day the dry pieces are needed."),
    )
    for row, (label, value, form, text) in enumerate(inputs, 4):
        put(sheet, f"A{row}", label)
        take(sheet, f"B{row}", value, form, text)
    results = (
        ("turn them on", "=TC_READY(B4,B6)", "TurnOn"),
        ("dry on", "=TC_READY(B4,B5)", "DryOn"),
        ("start at the latest on", "=TC_START_BY(B7,B5)", "StartBy"),
    )
    for row, (label, formula, name) in enumerate(results, 9):
        put(sheet, f"A{row}", label)
        put(sheet, f"B{row}", formula, DAY, paper.STRONG).fill = paper.SUM_FILL
        paper.define(book, name, sheet, f"B{row}")
    put(sheet, "A12", "in words")
    put(
        sheet,
        "B12",
        '=IF(TurnOn>DryOn,"turning day is after they are dry",'
        'IF(DryOn>B7,"too late for the day they are needed","in time"))',
        None,
        paper.STRONG,
    )
    flag(sheet, "B12", '$B$12<>"in time"')
    one_page(sheet, "A1:C13")


if __name__ == "__main__":
    print(build(Path(__file__).with_suffix(".xlsx")))
