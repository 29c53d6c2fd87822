"""Builds labels_and_batch_record.xlsx: what goes on the label, and the sheet to weigh off, sign and keep.

python workbook_templates/labels_and_batch_record.py
"""

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from openpyxl.styles import Alignment
from tarecell.functions import REGISTRY
from tarecell.tables import rows
from tarecell.workbook_templates.batch_pages import (
    BOX,
    FIRST,
    LABEL,
    LAST,
    LINES,
    PRODUCT,
    WORKING,
    batch_sheet,
    size_sheet,
)
from tarecell.workbooks import paper
from tarecell.workbooks.paper import DAY, FINE_SHARE, SHARE, WHOLE, put, take
from tarecell.workbooks.recalculate import Report

SCENT = (39, 50)  # the constituents of the fragrance on Product
TYPES = rows("product_types")


@dataclass(frozen=True)
class Data:
    """What is typed in. Settings by cell of the sheet Product; ingredients: phase, name, label name, amount, colourant,
    lot, use by; allergens: constituent, share of the fragrance; jars: name, diameter, label; wraps: name, diameter,
    height, ease."""

    title: str
    settings: dict
    ingredients: tuple[tuple, ...]
    allergens: tuple[tuple[str, float], ...]
    steps: tuple[str, ...]
    length: str
    jars: tuple[tuple, ...]
    wraps: tuple[tuple, ...]


TEMPLATE_DATA = Data(
    "Labels and batch record",
    {
        "C4": "Sample body cream", "C5": "body cream", "C6": "EU", "C7": "Sample studio, Sample Street", "C8": "Parfum",
        "C9": 12, "C10": 100, "C11": 0.03, "C12": 0.1,
        "G4": 100, "G5": "g", "G6": date(2026, 3, 14), "G7": "SMP", "G8": 1, "G9": 12, "G10": 0,
    },
    (
        ("water", "Water", "Aqua", 66, None, "W-01", None),
        ("water", "Glycerin", "Glycerin", 4, None, "G-12", date(2027, 9, 1)),
        ("oil", "Almond oil", "Prunus Amygdalus Dulcis Oil", 20, None, "A-77", date(2027, 1, 31)),
        ("oil", "Emulsifying wax", "Cetearyl Alcohol", 7, None, "E-05", date(2028, 4, 1)),
        ("cool", "Preservative", "Phenoxyethanol", 0.9, None, "P-31", date(2027, 6, 1)),
        ("cool", "Sample scent", "Parfum", 0.8, None, "S-09", date(2027, 11, 1)),
        ("cool", "Colour", "CI 77491", 0.1, "yes", "C-02", None),
    ),
    (("linalool", 0.02), ("limonene", 0.01), ("coumarin", 0.0005)),
    ("Tools and jars clean and dry", "Oil phase melted, °C", "Both phases hot, °C", "Water put back after heating, g",
     "Cool enough for the preservative, °C", "pH", "Filled and labelled, pieces"),
    "mm",
    (("Sample jar", 60, 200), ("Sample small jar", 45, 150)),
    (("Sample bath bomb", 65, 65, 20), ("Sample round soap", 70, 30, 15)),
)  # fmt: skip
ABOUT = (
    "Writes the ingredient line, allergens, net contents, lot, dates and usual cautions for one product, EU or US.",
    "Scales the recipe to the batch, and prints a one-page batch sheet with boxes to weigh off, sign and keep.",
    "Tells the earlier of the shelf life and the first ingredient to expire, and the day the batch is ready.",
    "Shows whether a label goes round its jar, and how large the bag for a round piece must be, in mm or inches.",
    "Never change: the white cells with formulas, the names of the sheets. Keep one file for each batch you make.",
)
CAUTIONS = (
    REGISTRY["TC_CAUTIONS"].cautions + " " + REGISTRY["TC_INGREDIENTS"].cautions,
    REGISTRY["TC_ALLERGENS"].cautions,
    REGISTRY["TC_NET_CONTENTS"].cautions + " " + REGISTRY["TC_BEST_BEFORE"].cautions,
    "Selling may need more: a safety assessment, a notification, a responsible person, batch records kept for years.",
)
SOURCES = tuple(
    f"{what}: {REGISTRY[name].source}."
    for what, name in (
        ("Ingredient line", "TC_INGREDIENTS"), ("Net contents", "TC_NET_CONTENTS"), ("Allergens", "TC_ALLERGENS"),
        ("Fill tolerance", "TC_TOLERANCE"), ("Cautions", "TC_CAUTIONS"), ("Lot", "TC_LOT"),
    )
)  # fmt: skip


def build(path: Path, data: Data = TEMPLATE_DATA) -> Report:
    book = paper.new_book(data.title)
    paper.start_here(book, data.title, ABOUT, CAUTIONS, SOURCES)
    _product(book, data)
    _label(book)
    batch_sheet(book, data.steps)
    size_sheet(book, data.length, data.jars, data.wraps)
    _working(book)
    paper.lists(
        book,
        products=[r["product"] for r in TYPES],
        exposures=[r["exposure"] for r in TYPES],
        markets=("EU", "US"),
        units=("g", "kg", "oz", "lb", "mL", "L", "fl oz"),
        lengths=("mm", "in"),
    )
    paper.protect(book[paper.LISTS])
    report = paper.finish(book, path)
    if report.errors or report.left_alone:
        raise ValueError(f"{path.name}: {(report.errors + report.left_alone)[:3]}")
    return report


SETTINGS = (
    ("C4", "name on the label", None, "What the label calls the product."),
    ("C5", "product type", None, "From the list: it decides the cautions, and whether it stays on the skin."),
    ("C6", "market", None, "EU or US: the two order and word things differently."),
    ("C7", "made by", None, "Name and address as your market wants them on the label."),
    (
        "C8",
        "label name of the fragrance",
        None,
        "As it stands among the label names below: Parfum. Blank: no fragrance.",
    ),
    ("C9", "pieces to make", WHOLE, "How many jars, bars or bottles."),
    ("C10", "a piece takes, g", "General", "Weight of the filling of one piece, in grams."),
    ("C11", "stays in the pot", SHARE, "Share of the batch that is lost: 3 %. Blank: nothing."),
    ("C12", "the scale reads to, g", "General", "Readability of your scale in grams, such as 0.1."),
    ("G4", "one pack holds", "General", "Net content that the label states, in the unit below."),
    ("G5", "unit", None, "A weight or a volume. oz is weight, fl oz is volume."),
    ("G6", "made on", DAY, "The day the batch is made."),
    ("G7", "lot code", None, "Short code of the product, such as CRM."),
    ("G8", "run of that day", WHOLE, "1, 2, 3: which batch of the day."),
    ("G9", "shelf life, months", WHOLE, "Whole months from the day of making, as your testing shows."),
    ("G10", "days until it is ready", WHOLE, "Whole days of curing or drying. 0 if it needs none."),
)


def _product(book, data: Data) -> None:
    sheet = paper.open_sheet(
        book,
        PRODUCT,
        data.title,
        "Type here; the label and the batch sheet follow.",
        (12, 24, 38, 11, 11, 15, 14, 17),
        landscape=False,
    )
    for cell, label, form, note in SETTINGS:
        left = cell[0] == "C"
        put(sheet, f"{'A' if left else 'E'}{cell[1:]}", label)
        source = {"C5": "products", "C6": "markets", "G5": "units"}.get(cell)
        typed = take(sheet, cell, data.settings.get(cell), form, None if source else note)
        typed.alignment = Alignment(horizontal="left", indent=1)
        if source:
            paper.choose(sheet, cell, source, note)
    for name, cell in (("market", "C6"), ("made_on", "G6"), ("scale_step", "C12"), ("product_type", "C5")):
        paper.define(book, name, sheet, cell)
    put(sheet, f"A{FIRST - 2}", "Ingredients", None, paper.STRONG)
    put(sheet, f"B{FIRST - 2}", "amounts in any one unit, or shares; a row without amount or label name is an error",
        None, paper.UNDER)  # fmt: skip
    paper.headings(
        sheet, FIRST - 1, "phase", "ingredient", "name on the label (INCI)", "recipe amount", "a colourant?",
        "supplier's lot", "use by", "look at",
    )  # fmt: skip
    sheet.row_dimensions[FIRST - 1].height = 32
    paper.block(
        sheet, f"A{FIRST}", LAST, data.ingredients, (None, None, None, "#,##0.0##", None, None, DAY),
        ("Phase or step, for the batch sheet.", "As you call it.", "INCI name as your market spells it.",
         "Amount in the recipe, all rows in one unit.", "",
         "Lot of the material, for the record.", "The supplier's date. Blank: not counted."),
    )  # fmt: skip
    paper.choose(sheet, f"E{FIRST}:E{LAST}", '"yes"', "yes, or blank. Colourants come last on the label.")
    for row in range(FIRST, LAST + 1):
        look = (
            f'IF(NOT(ISTEXT(C{row})),"LABEL NAME?",IF(NOT(ISNUMBER(D{row})),"AMOUNT?",IF(D{row}<0,"BELOW ZERO",'
            f'IF(AND(E{row}<>"",E{row}<>"yes"),"yes OR BLANK?",IF(AND(NOT(ISBLANK(G{row})),NOT(ISNUMBER(G{row}))),'
            f'"DATE?",'
            f'IF(AND(ISNUMBER(G{row}),G{row}<made_on),"EXPIRED","in order"))))))'
        )
        put(sheet, f"H{row}", f'=IF(COUNTA(A{row}:G{row})=0,"",{look})').alignment = Alignment(
            horizontal="left", indent=1
        )
    paper.flag(sheet, f"H{FIRST}:H{LAST}", f'AND(H{FIRST}<>"",H{FIRST}<>"in order")')
    put(sheet, f"A{SCENT[0] - 2}", "Fragrance", None, paper.STRONG)
    put(sheet, f"B{SCENT[0] - 2}", "from the allergen declaration of this very fragrance", None, paper.UNDER)
    paper.headings(sheet, SCENT[0] - 1, "constituent", "", "", "share of the fragrance")
    sheet.row_dimensions[SCENT[0] - 1].height = 32
    for row in range(SCENT[0], SCENT[1] + 1):
        sheet.merge_cells(f"A{row}:C{row}")
    paper.block(sheet, f"A{SCENT[0]}", SCENT[1], [(n,) for n, _ in data.allergens], (None,),
                ("Name or CAS number, as in the declaration.",))  # fmt: skip
    paper.block(sheet, f"D{SCENT[0]}", SCENT[1], [(f,) for _, f in data.allergens], ("0.00##%",),
                ("Its share of the fragrance: 2 %. Declarations give it in per cent.",))  # fmt: skip
    sheet.freeze_panes = "A4"
    sheet.page_setup.fitToHeight = 1
    paper.close(sheet, f"A1:H{SCENT[1]}")


def _working(book) -> None:
    """The ingredients and the allergens to name, in one list for the label."""
    sheet = paper.open_sheet(
        book, WORKING, "Working", "What the label is made from: ingredients, then allergens that must be named.",
        (13, 40, 13, 38, 15, 26, 15),
    )  # fmt: skip
    p = f"{PRODUCT}!"
    names, shares = f"{p}$A${SCENT[0]}:$A${SCENT[1]}", f"{p}$D${SCENT[0]}:$D${SCENT[1]}"
    put(sheet, "A3", "share of the fragrance in the product")
    listed = f"$B${LINES[0]}:$B${LINES[1]}"
    carries = f"1*({listed}={p}$C$8)"
    put(sheet, "D3", f'=IF({p}$C$8="","",IF(SUMPRODUCT({carries})=0,NA(),'
        f"SUMPRODUCT({carries},$E${LINES[0]}:$E${LINES[1]})))", "0.00##%", paper.STRONG)  # fmt: skip
    put(sheet, "E3", "exposure")
    place = paper.place_in("products", "product_type", len(TYPES))
    put(sheet, "F3", f"=INDEX(exposures,{place})", None, paper.STRONG)
    typed = f"COUNTA({names},{shares})"
    put(sheet, "A4", "allergens to name")
    told = f"TC_ALLERGENS({names},{shares},$D$3,$F$3)"
    scented = "+".join(f'({listed}="{word}")' for word in ("parfum", "fragrance", "aroma"))
    without = f'IF(SUMPRODUCT({scented})>0,NA(),"no fragrance")'
    put(sheet, "D4", f'=IF({typed}=0,IF({p}$C$8="",{without},"NOT TYPED: ask for the allergen declaration"),'
        f'IF({p}$C$8="",NA(),IF($F$3="none","no skin contact intended: ask the supplier for the CLP sheet",{told})))',
        None, paper.STRONG)  # fmt: skip
    paper.headings(sheet, 5, "row", "name", "amount", "colourant", "share", "allergen, as listed", "in all")
    first, last, end = LINES
    for row in range(first, last + 1):
        at = row - first + FIRST
        empty = f"COUNTA({p}$A{at}:$G{at})=0"
        put(sheet, f"A{row}", at).alignment = Alignment(horizontal="left")
        put(sheet, f"B{row}", f'=IF({empty},"",{p}C{at})')
        put(
            sheet, f"C{row}", f'=IF({empty},"",IF(AND(ISTEXT({p}C{at}),ISNUMBER({p}D{at})),{p}D{at},NA()))', "#,##0.0##"
        )
        put(sheet, f"D{row}", f'=IF({p}E{at}="","",IF({p}E{at}="yes",{p}C{at},NA()))')
    paper.column_of(sheet, f"E{first}", f"E{last}", f"=TC_SHARES(C{first}:C{last})", FINE_SHARE)
    canon = f"$F${last + 1}:$F${end}"
    for row in range(last + 1, end + 1):
        at = row - last - 1 + SCENT[0]
        used = f'OR($F{row}="",$F{row}="none",$F$3="none",market="US")'
        named = f'IF(TC_ALLERGENS($F{row},$G{row},$D$3,$F$3)="none","",'
        put(sheet, f"A{row}", at).alignment = Alignment(horizontal="left")
        put(sheet, f"F{row}", f'=IF(COUNTA({p}A{at},{p}D{at})=0,"",TC_ALLERGENS({p}A{at},1,1,"leave-on"))')
        # A text among the shares is passed over by some programs, and read as a number by others.
        sum_of = f"IF(COUNT({shares})<COUNTA({shares}),NA(),SUMPRODUCT(1*({canon}=$F{row}),{shares}))"
        put(sheet, f"G{row}", f'=IF($F{row}="","",{sum_of})', "0.00##%")
        put(sheet, f"B{row}", f'=IF({used},"",{named}$F{row}))')
        put(sheet, f"C{row}", f'=IF(B{row}="","",{p}D{at}*$D$3*SUM($C${first}:$C${last}))', "#,##0.0####")
    sheet.page_setup.fitToHeight = 1
    paper.close(sheet, f"A1:G{end}", "5:5")


def _label(book) -> None:
    sheet = paper.open_sheet(
        book,
        LABEL,
        "The label",
        "Words to copy. Local rules decide what else belongs there, and how large.",
        (25, 84),
        False,
    )
    p, w = f"{PRODUCT}!", f"{WORKING}!"
    first, last, end = LINES
    listed = f"{w}$B${first}:$B${end},{w}$C${first}:$C${end},market,{w}$D${first}:$D${last}"
    line = f"IF(ISERROR({w}$D$4),NA(),TC_INGREDIENTS({listed}))"
    metric = f'IFERROR(TC_CONVERT({p}G4,{p}G5,"g"),TC_CONVERT({p}G4,{p}G5,"mL"))'
    best = f"{p}G6,{p}G9,{p}$G${FIRST}:$G${LAST}"
    iso = 'YEAR({0})&"-"&RIGHT("0"&MONTH({0}),2)&"-"&RIGHT("0"&DAY({0}),2)'
    text = (
        f'{p}C4&CHAR(10)&"Ingredients: "&B5&CHAR(10)&B9&CHAR(10)&"Lot "&B11&CHAR(10)&"Best before "&{iso.format("B12")}'
        f'&CHAR(10)&B15&CHAR(10)&{p}C7'
    )  # fmt: skip
    lines = (
        (4, "product", f"={p}C4", None, 18),
        (5, "ingredients", f"={line}", None, 48),
        (6, "", f'=IF(ISERROR({w}$D$4),"Mend what Product marks.",TC_EXPLAIN("TC_INGREDIENTS",{listed}))', None, 62),
        (7, "allergens to name", f"={w}$D$4", None, 32),
        (8, "", '=IF(market="US","The list is the EU\'s: not put into a US line. Ask what your market wants named.",'
         '"Those named stand in the ingredient line, by weight, before the colourants.")', None, 18),
        (9, "net contents", f"=TC_NET_CONTENTS({p}G4,{p}G5,market)", None, 18),
        (10, "", f'=TC_EXPLAIN("TC_NET_CONTENTS",{p}G4,{p}G5,market)', None, 32),
        (11, "lot", f"=TC_LOT({p}G6,{p}G7,{p}G8)", None, 18),
        (12, "best before", f"=TC_BEST_BEFORE({best})", DAY, 18),
        (13, "", f'=TC_EXPLAIN("TC_BEST_BEFORE",{best})', None, 32),
        (14, "ready on", f"=IF(ISBLANK({p}G10),NA(),IF({p}G10=0,TC_READY({p}G6,1)-1,TC_READY({p}G6,{p}G10)))", DAY, 18),
        (15, "cautions", "=TC_CAUTIONS(product_type,market)", None, 92),
        (16, "made by", f"={p}C7&\"\"", None, 18),
        (17, "a pack may be short by", f'=IF(market="US","a table of the EU, not for the US",TC_TOLERANCE({metric}))',
         "0.0##", 18),
        (18, "", f'=IF(market="US","",TC_EXPLAIN("TC_TOLERANCE",{metric}))', None, 32),
        (20, "all, to copy and trim", f"={text}", None, 230),
    )  # fmt: skip
    for row, label, formula, form, height in lines:
        put(sheet, f"A{row}", label, None, paper.STRONG).alignment = Alignment(vertical="top")
        cell = put(sheet, f"B{row}", formula, form, None if label else paper.UNDER)
        cell.alignment = Alignment(wrap_text=True, vertical="top", horizontal="left")
        sheet.row_dimensions[row].height = height
        if label:
            cell.border = paper.LINE
    sheet["B20"].border = BOX
    put(sheet, "A21", "ready in time?", None, paper.STRONG)
    put(sheet, "B21", '=IF(B14<B12,"ready before its best-before date","NOT READY before its best-before date")')
    sheet["B21"].alignment = Alignment(horizontal="left")
    paper.flag(sheet, "B21", 'LEFT($B$21,9)="NOT READY"')
    paper.flag(sheet, "B7", 'LEFT($B$7,9)="NOT TYPED"')
    paper.flag(sheet, "B4:B21", "ISERROR(B4)")
    for name, row in (("ingredient_line", 5), ("net_contents", 9), ("lot_code", 11), ("best_before", 12)):
        paper.define(book, name, sheet, f"B{row}")
    sheet.page_setup.fitToHeight = 1
    paper.close(sheet, "A1:B21")


if __name__ == "__main__":
    print(build(Path(__file__).with_suffix(".xlsx")).out.name)
