"""Builds cream_batch.xlsx: a cream, lotion or balm from the recipe to the jars, with its checks.

python workbook_templates/cream_batch.py
"""

from pathlib import Path

from openpyxl import Workbook
from openpyxl.styles import Alignment
from tarecell.tables import rows
from tarecell.workbook_templates.cream_batch_data import CAUTIONS, CODES, LINES, SOURCES, TEMPLATE_DATA, Data
from tarecell.workbooks import paper
from tarecell.workbooks.paper import FINE_SHARE, GRAMS, SHARE, WHOLE, choose, flag, put, take
from tarecell.workbooks.paper_recipe import UNITS, WIDTHS, RecipeTable, one_page, recipe_table, rounded_up
from tarecell.workbooks.recalculate import Report

RECIPE, MAKING, CHECKS, HLB = "Recipe", "Making", "Checks", "HLB"
ROWS, FIRST = 14, 13  # rows of the recipe, and the first of them
PHASES, PHASE_ROWS = 31, 4
DEGREES = '"C,F"'


def build(path: Path, data: Data = TEMPLATE_DATA) -> Report:
    """Writes the workbook, values inside. Raises where a cell shows an error or could not be computed."""
    book = paper.new_book(data.title)
    paper.start_here(book, data.title, LINES, CAUTIONS, SOURCES)
    recipe = _recipe(book, data)
    _making(book, data, recipe)
    _checks(book, data, recipe)
    _hlb(book, data)
    paper.lists(
        book,
        Units=UNITS,
        ProductTypes=[row["product"] for row in rows("product_types") if row["exposure"] in ("leave-on", "rinse-off")],
        PreservativeNames=[row["substance"] for row in rows("preservatives") if row["standing"] == "annex"],
    )
    paper.protect(book[paper.LISTS])
    report = paper.finish(book, path)
    if report.errors or report.left_alone:
        raise SystemExit("\n".join(map(str, report.errors + report.left_alone)))
    return report


def _recipe(book: Workbook, data: Data) -> RecipeTable:
    sheet = paper.open_sheet(book, RECIPE, data.title, "Type in the orange cells; everything else follows.", WIDTHS)
    _batch(book, sheet, data)
    table = recipe_table(sheet, FIRST, ROWS, data.lines, "Phases", "I9", "Batch", "ScaleStep")
    paper.define(book, "Ingredients", sheet, f"B{FIRST}:B{table.last}")
    paper.define(book, "ToWeigh", sheet, f"G{FIRST}:G{table.last}")
    _phases(book, sheet, data, table)
    one_page(sheet, f"A1:K{PHASES + 16}", f"{FIRST - 1}:{FIRST - 1}")
    return table


def _batch(book: Workbook, sheet, data: Data) -> None:
    inputs = (
        ("product type", "ProductType", data.product, None, "What it will be sold as: decides the cap and the limits."),
        ("jars to fill", "Jars", data.jars, WHOLE, "How many jars, tubes or bottles."),
        ("in each jar", "JarFill", data.fill, "General", "What one jar holds, in the unit beside."),
        ("g per mL of the product", "ProductDensity", data.density, "General", "Only if the unit above is a volume."),
        ("left behind in pots", "Loss", data.loss, SHARE, "The share of the batch that stays in pots, as 3%."),
        ("spare", "Spare", data.spare, SHARE, "How much more to make than the jars need, as 5%. 0 for none."),
        ("scale shows steps of, g", "ScaleStep", data.step, "General", "0.1 for a scale that shows tenths of a gram."),
    )
    for row, (label, name, value, form, text) in enumerate(inputs, 4):
        put(sheet, f"A{row}", label)
        take(sheet, f"C{row}", value, form, None if name == "ProductType" else text)
        paper.define(book, name, sheet, f"C{row}")
    sheet.merge_cells("C4:D4")
    choose(sheet, "C4", "ProductTypes", inputs[0][4])
    take(sheet, "D6", data.fill_unit)
    choose(sheet, "D6", "Units", "g, oz, or a volume such as mL or fl oz (then give g per mL below).")
    results = (
        ("one jar, g", '=TC_CONVERT(JarFill,D6,"g",ProductDensity)', GRAMS, None),
        ("batch to make, g", f"={rounded_up('TC_BATCH(Jars,I4,Loss,Spare)', 'ScaleStep')}", GRAMS, "Batch"),
        ("in pounds and ounces", "=TC_LB_OZ(Batch)", None, None),
        ("IFRA category", "=TC_CATEGORY(ProductType)", None, "Category"),
        ("full jars from this batch", f"=TC_PIECES(G{FIRST + ROWS},I4,Loss)", WHOLE, None),
        ("the recipe is written in", None, None, None),
    )
    for row, (label, formula, form, name) in enumerate(results, 4):
        put(sheet, f"F{row}", label)
        cell = put(sheet, f"I{row}", formula, form, paper.STRONG)
        cell.alignment = Alignment(horizontal="left")
        if name:
            paper.define(book, name, sheet, f"I{row}")
    put(sheet, "F10", "working")
    jar = 'TC_EXPLAIN("TC_CONVERT",JarFill,D6,"g",ProductDensity)'
    paper.working(sheet, "I10", f'=IF(ISNUMBER(I4),TC_EXPLAIN("TC_BATCH",Jars,I4,Loss,Spare),{jar})')
    sheet["I10"].alignment = Alignment(horizontal="left")
    flag(sheet, "I9:K9", 'AND($I$9<>"amounts",$I$9<>"shares of 100 %")')


def _phases(book: Workbook, sheet, data: Data, table: RecipeTable) -> None:
    last = PHASES + PHASE_ROWS - 1
    put(sheet, f"A{PHASES - 2}", "Phases", None, paper.STRONG)
    paper.headings(sheet, PHASES - 1, "phase", "", "grams", "share")
    put(sheet, f"B{PHASES - 1}", "heated, or added at cool-down").font = paper.HEAD
    for row in range(PHASES, last + 1):
        name, kind = data.phases[row - PHASES] if row - PHASES < len(data.phases) else (None, None)
        take(sheet, f"A{row}", name)
        take(sheet, f"B{row}", kind)
        gap = f'OR(TRIM(A{row})="",AND(TRIM(B{row})<>"heated",TRIM(B{row})<>"cool down"))'
        total = f"TC_PHASE_TOTAL({table.here('A')},{table.here('G')},A{row})"
        put(sheet, f"C{row}", f'=IF(TRIM(A{row}&B{row})="","",IF({gap},NA(),{total}))', GRAMS)
        put(sheet, f"D{row}", f'=IF(C{row}="","",C{row}/{table.total})', SHARE)
    paper.note(
        sheet, f"A{PHASES}:A{last}", "The parts of the recipe, in your words: water, oil, cool down, or A, B, C."
    )
    choose(sheet, f"B{PHASES}:B{last}", '"heated,cool down"', "heated: in the pot on the heat. cool down: added later.")
    row = last + 1
    put(sheet, f"A{row}", "all together", None, paper.STRONG)
    put(sheet, f"C{row}", f"=SUM(C{PHASES}:C{last})", GRAMS, paper.STRONG)
    put(
        sheet,
        f"D{row}",
        f'=IF(ABS(C{row}-{table.total})<0.001,"ok","a part of the recipe is not listed here, or is listed twice")',
        None,
        paper.UNDER,
    )
    flag(sheet, f"D{row}", f'D{row}<>"ok"')
    paper.define(book, "Phases", sheet, f"A{PHASES}:A{last}")
    put(sheet, f"A{row + 2}", "made on, by")
    put(sheet, f"A{row + 3}", "lot")
    for offset in (2, 3):
        take(sheet, f"B{row + offset}", None)
    paper.bars(
        sheet,
        f"F{PHASES - 1}",
        "What the batch is made of",
        ("phase", "weight, g"),
        f"$A${PHASES}:$A${last}",
        f"$C${PHASES}:$C${last}",
        (19, 8),
        "0.0",
    )


def _making(book: Workbook, data: Data, table: RecipeTable) -> None:
    sheet = paper.open_sheet(
        book, MAKING, "At the stove", "Weigh the pot after heating, put the water back, then let it cool.",
        (34, 12, 12, 13, 12, 9, 22), landscape=True,
    )  # fmt: skip
    put(sheet, "A4", "Water lost while heating", None, paper.STRONG)
    area = f"{paper.quoted(RECIPE)}!${{0}}${PHASES}:${{0}}${PHASES + PHASE_ROWS - 1}"
    whole = f'{paper.quoted(RECIPE)}!$D${PHASES + PHASE_ROWS}="ok"'
    heated = f'=IF({whole},SUMIF({area.format("B")},"heated",{area.format("C")}),NA())'
    empty, full, unit = data.pot
    put(sheet, "A5", "heated phases should weigh, g")
    paper.define(book, "HeatedWeight", sheet, "B5")
    put(sheet, "B5", heated, GRAMS)
    for row, label, value in ((6, "the empty pot weighs", empty), (7, "the pot with the mix weighs", full)):
        put(sheet, f"A{row}", label)
        take(sheet, f"B{row}", value, "#,##0.0##", "As the scale shows it, in the unit beside.")
        take(sheet, f"C{row}", unit)
    choose(sheet, "C6:C7", '"g,kg,oz,lb"', "The unit that the scale shows.")
    put(sheet, "A8", "so the mix weighs, g")
    mix = 'TC_CONVERT(B7,C7,"g")-TC_CONVERT(B6,C6,"g")'
    put(sheet, "B8", f'=IF(OR(TRIM(B6)="",TRIM(B7)=""),NA(),IF(OR(B6<0,B7<0,{mix}<=0),NA(),{mix}))', GRAMS)
    put(sheet, "A9", "water to put back, g", None, paper.STRONG)
    put(sheet, "B9", "=TC_TOP_UP(HeatedWeight,B8)", GRAMS, paper.STRONG).fill = paper.SUM_FILL
    paper.define(book, "WaterBack", sheet, "B9")
    put(
        sheet,
        "C9",
        '=IF(ISNUMBER(B8),IF(ISNUMBER(HeatedWeight),TC_EXPLAIN("TC_TOP_UP",HeatedWeight,B8),"mend the recipe first"),'
        '"check both weights: the pot with the mix must weigh more than the empty pot")',
        None,
        paper.UNDER,
    )
    sheet["C9"].alignment = Alignment(indent=1)
    flag(sheet, "B9", "ISERROR($B$9)")
    _cool_down(sheet, data, table)
    one_page(sheet, "A1:G24")


def _cool_down(sheet, data: Data, table: RecipeTable) -> None:
    put(sheet, "A11", "Cool-down additions", None, paper.STRONG)
    put(sheet, "A12", "the thermometer shows")
    take(sheet, "B12", data.thermometer[0], "General", "Stir, measure in the middle of the pot, wait until it settles.")
    take(sheet, "C12", data.thermometer[1])
    choose(sheet, "C12", DEGREES, "C or F")
    paper.headings(
        sheet, 14, "addition", "grams", "share of the finished batch", "as a share of the base", "stays below", "unit",
        "now",
    )  # fmt: skip
    for row in range(15, 20):
        name, limit, unit = data.additions[row - 15] if row - 15 < len(data.additions) else (None, None, None)
        take(sheet, f"A{row}", name)
        take(sheet, f"E{row}", limit, "General", None)
        take(sheet, f"F{row}", unit)
        put(sheet, f"B{row}", f'=IF(TRIM(A{row})="","",{table.weight_of(f"A{row}")})', GRAMS)
        put(sheet, f"C{row}", f'=IF(B{row}="","",B{row}/{table.total})', FINE_SHARE)
        put(sheet, f"D{row}", f'=IF(B{row}="","",B{row}/HeatedWeight)', FINE_SHARE)
        gate = f'IF(TC_COOL_ENOUGH($B$12,$C$12,E{row},F{row}),"may go in","wait: too warm")'
        put(sheet, f"G{row}", f'=IF(TRIM(A{row}&E{row})="","",IF(TRIM(A{row})="",NA(),{gate}))')
    choose(sheet, "A15:A19", "Ingredients", "An ingredient of the recipe, spelt as there.")
    paper.note(
        sheet, "E15:E19", "From the supplier's document. Often 50 C (122 F): common practice, no published source."
    )
    choose(sheet, "F15:F19", DEGREES, "C or F")
    flag(sheet, "G15:G19", 'LEFT($G15,4)="wait"')
    left = f"{table.total}-HeatedWeight-SUM($B$15:$B$19)"
    put(sheet, "A20", "all cool-down rows of the recipe are listed")
    put(
        sheet,
        "G20",
        f'=IF(ABS({left})<0.001,"yes",IF({left}>0,"no: one is missing","no: too many, or twice"))',
        None,
        paper.STRONG,
    )
    flag(sheet, "G20", 'LEFT($G$20,2)="no"')
    put(
        sheet,
        "A22",
        "Exactly at its limit counts as too warm. The limit stands in the supplier's document.",
        None,
        paper.UNDER,
    )
    put(
        sheet,
        "A23",
        "A share of the base and a share of the finished batch differ: the label and every limit count the "
        "finished one.",
        None,
        paper.UNDER,
    )


def _checks(book: Workbook, data: Data, table: RecipeTable) -> None:
    sheet = paper.open_sheet(
        book, CHECKS, "Checks", "Words first: within, over, not in this product, not stated.", (36, 28, 13, 13, 13, 80)
    )
    put(sheet, "A4", "Preservatives, against the EU's legal maximum", None, paper.STRONG)
    paper.headings(
        sheet, 5, "ingredient of the recipe", "substance in it (INCI)", "its share of the ingredient",
        "share of the finished batch", "the substance in all", "status",
    )  # fmt: skip
    for row in range(6, 10):
        item = data.preservatives[row - 6] if row - 6 < len(data.preservatives) else (None, None, None)
        for letter, value, form in zip("ABC", item, (None, None, SHARE), strict=True):
            take(sheet, f"{letter}{row}", value, form)
        gaps = f'OR(TRIM(A{row})="",TRIM(B{row})="",NOT(ISNUMBER(C{row})),C{row}<=0,C{row}>1)'
        finished = f"{table.weight_of(f'A{row}')}/{table.total}*C{row}"
        put(sheet, f"D{row}", f'=IF(TRIM(A{row}&B{row}&C{row})="","",IF({gaps},NA(),{finished}))', "0.000%")
        put(sheet, f"E{row}", f'=IF(D{row}="","",TC_PHASE_TOTAL($B$6:$B$9,$D$6:$D$9,B{row}))', "0.000%")
        cell = put(sheet, f"F{row}", f'=IF(E{row}="","",TC_PRESERVATIVE_STATUS(B{row},E{row},ProductType))')
        cell.alignment = Alignment(wrap_text=True, vertical="top")
        sheet.row_dimensions[row].height = 40
        for letter in "ABCDE":
            sheet[f"{letter}{row}"].alignment = Alignment(vertical="top")
    choose(sheet, "A6:A9", "Ingredients", "An ingredient of the recipe, spelt as there.")
    choose(sheet, "B6:B9", "PreservativeNames", "The substance that preserves, from the ingredient's data sheet.")
    paper.note(sheet, "C6:C9", "How much of the ingredient is this substance: 100% if it is pure, 90% for nine tenths.")
    flag(sheet, "F6:F9", 'AND($F6<>"",LEFT($F6,6)<>"within")')
    put(
        sheet,
        "A10",
        '=IF(SUMPRODUCT(1*($A$6:$A$9<>""))=0,"No preservative is listed: anything with water in it needs one.",'
        '"Substances that the law adds up (parabens; benzoic acid and its salts) must be added by hand. "'
        '&"A substance outside the list is an error here: its supplier\'s rate decides.")',
        None,
        paper.UNDER,
    )
    flag(sheet, "A10:F10", 'LEFT($A$10,15)="No preservative"')
    _fragrance(book, sheet, data, table)
    one_page(sheet, "A1:F32")


def _fragrance(book: Workbook, sheet, data: Data, table: RecipeTable) -> None:
    put(sheet, "A13", "Fragrance, against its certificate", None, paper.STRONG)
    put(sheet, "A14", "fragrance, as in recipe and caps table")
    take(sheet, "B14", data.fragrance)
    choose(sheet, "B14", "Ingredients", "The fragrance's name in the recipe. Empty if there is none.")
    put(sheet, "A15", "a stricter limit of your own")
    take(sheet, "B15", data.own_limit, FINE_SHARE, "A share of the finished product, such as 0.8%. Empty for none.")
    caps = "$A$24:$F$29"
    lines = (
        ("share of the finished batch", f'=IF(TRIM(B14)="","",{table.weight_of("B14")}/{table.total})', FINE_SHARE),
        ("cap for this product type", f'=IF(TRIM(B14)="","",TC_CAP({caps},B14,ProductType))', FINE_SHARE),
        ("status", '=IF(TRIM(B14)="","no fragrance",TC_CAP_STATUS(B16,IF(ISNA(B17),"not stated",B17),B15))', None),
        ("most that the cap allows in it, g", f'=IF(TRIM(B14)="","",B17*{table.total})', GRAMS),
    )
    for row, (label, formula, form) in enumerate(lines, 16):
        put(sheet, f"A{row}", label)
        put(sheet, f"B{row}", formula, form).alignment = Alignment(horizontal="left")
    sheet["B18"].font = paper.STRONG
    paper.define(book, "FragranceStatus", sheet, "B18")
    flag(sheet, "B18", 'AND($B$18<>"within",$B$18<>"no fragrance")')
    put(sheet, "C17", '=IF(ISERROR(B17),TC_EXPLAIN("TC_CAP",' + caps + ',B14,ProductType),"")', None, paper.UNDER)
    put(sheet, "A22", "Caps from your certificates", None, paper.STRONG)
    put(
        sheet,
        "B22",
        "share of the finished product; blank = not stated; 0 = not allowed; or: no restriction",
        None,
        paper.UNDER,
    )
    paper.headings(sheet, 23, "", *["category"] * len(CODES))
    put(sheet, "A24", "fragrance", None, paper.STRONG)
    for letter, code in zip("BCDEF", CODES, strict=True):
        take(sheet, f"{letter}24", code, "@").alignment = Alignment(horizontal="center")
    paper.note(
        sheet,
        "B24:F24",
        "IFRA category, as on the certificate: 4 fine fragrance, 5A body, 5B face, 5C hands, 9 rinsed.",
    )
    for row in range(25, 30):
        line = data.caps[row - 25] if row - 25 < len(data.caps) else (None,) * 6
        for letter, value in zip("ABCDEF", line, strict=True):
            cell = take(sheet, f"{letter}{row}", value, None if letter == "A" else FINE_SHARE)
            cell.alignment = Alignment(horizontal="left" if letter == "A" else "center")
    paper.note(sheet, "A25:A29", "The fragrance's name, spelt as in the recipe.")
    paper.note(
        sheet,
        "B25:F29",
        "The highest share of the finished product, from the certificate: 1.5%. Leave unknown ones empty.",
    )
    paper.define(book, "Caps", sheet, "A24:F29")


def _hlb(book: Workbook, data: Data) -> None:
    sheet = paper.open_sheet(
        book, HLB, "HLB: two emulsifiers for your oils", "Leave it empty if you use a ready emulsifying wax.",
        (32, 12, 14, 16, 60), landscape=True,
    )  # fmt: skip
    paper.headings(sheet, 4, "oil, butter or wax", "amount", "required HLB")
    for row in range(5, 13):
        line = data.oils[row - 5] if row - 5 < len(data.oils) else (None, None, None)
        for letter, value, form in zip("ABC", line, (None, "General", "0.0#"), strict=True):
            take(sheet, f"{letter}{row}", value, form)
    paper.note(sheet, "B5:B12", "In any one unit, the same as for the emulsifiers below.")
    paper.note(sheet, "C5:C12", "From the supplier's document, 1 to 20. Published values are approximate.")
    (low, low_hlb), (high, high_hlb) = data.emulsifiers
    for row, label, name, value in ((15, "emulsifier with the low HLB", low, low_hlb),
                                    (16, "emulsifier with the high HLB", high, high_hlb)):  # fmt: skip
        take(sheet, f"A{row}", name, None, f"The {label}.")
        take(sheet, f"C{row}", value, "0.0#", "Its HLB, from the supplier's document.")
    paper.headings(sheet, 14, "emulsifiers", "", "their HLB", "amount")
    put(sheet, "A17", "both together, in the unit of the oils")
    take(sheet, "D17", data.emulsifier_total, "General", "Often a tenth to a quarter of the oils: your supplier tells.")
    empty = '$A$5&$A$6&$A$7&$A$8&$A$9&$A$10&$A$11&$A$12&SUM($B$5:$C$12)="0"'
    unnamed = 'SUMPRODUCT(($A$5:$A$12<>"")*(($B$5:$B$12="")+($C$5:$C$12="")))>0'
    put(sheet, "A18", "required HLB of the oils", None, paper.STRONG)
    put(
        sheet, "C18", f'=IF({empty},"",IF({unnamed},NA(),TC_REQUIRED_HLB($B$5:$B$12,$C$5:$C$12)))', "0.00", paper.STRONG
    )
    paper.define(book, "RequiredHLB", sheet, "C18")
    split = "TC_EMULSIFIER_SPLIT($C$18,$C$15,$C$16,$D$17)"
    for row, place in ((15, 1), (16, 2)):
        put(sheet, f"D{row}", f'=IF($C$18="","",INDEX({split},1,{place}))', "#,##0.00", paper.STRONG)
    put(
        sheet,
        "E18",
        '=IF(C18="","",IF(ISNUMBER(C18),TC_EXPLAIN("TC_REQUIRED_HLB",$B$5:$B$12,$C$5:$C$12),'
        '"every named row needs an amount and a required HLB from 1 to 20"))',
    )
    put(
        sheet,
        "E15",
        '=IF(C18="","",IF(ISNUMBER(C18),TC_EXPLAIN("TC_EMULSIFIER_SPLIT",$C$18,$C$15,$C$16,$D$17),""))',
    )
    sheet.merge_cells("E15:E17")
    sheet.merge_cells("E18:E20")
    for address in ("E15", "E18"):
        sheet[address].font = paper.UNDER
        sheet[address].alignment = Alignment(wrap_text=True, vertical="top", indent=1)
    put(sheet, "A20", "Make a small trial batch and watch it before you rely on it.", None, paper.UNDER)
    one_page(sheet, "A1:E21")


if __name__ == "__main__":
    print(build(Path(__file__).with_suffix(".xlsx")))
