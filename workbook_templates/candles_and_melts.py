"""Builds candles_and_melts.xlsx: from vessel to wax and fragrance, within the cap and below the flash point.

python workbook_templates/candles_and_melts.py
"""

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from openpyxl.styles import Alignment
from tarecell.functions import REGISTRY
from tarecell.workbooks import paper
from tarecell.workbooks.paper import DAY, FINE_SHARE, SHARE, WHOLE, put, take
from tarecell.workbooks.recalculate import Report

PLAN, SHELF, POUR, WORKING, BURNS = "Plan", "Wax and fragrance", "Pour", "Working", "Test burns"
FIRST, LAST = 9, 16  # the products, on Plan, Pour and Working alike
WAX = (6, 11)  # rows of the waxes on the shelf sheet
SCENT = (15, 22)  # rows of the fragrances; their headings one row above
BURN = (5, 20)
SHELF_AT = "'Wax and fragrance'!"
CAPS = f"{SHELF_AT}$A${SCENT[0] - 1}:$B${SCENT[1]}"
TO_SCALE = "#,##0.0##"


@dataclass(frozen=True)
class Data:
    """What is typed in. Products: name, type, pieces, volume, unit, filled to, left in the jug, wax, fragrance, load,
    of what. Waxes: name, g/mL, most fragrance it holds, add at, pour at. Fragrances: name, cap, flash point, date of
    the certificate. Burns: date, product, wick, width, before, after, hours, melt pool, seen, verdict."""

    title: str
    temperature: str
    step: float
    products: tuple[tuple, ...]
    waxes: tuple[tuple, ...]
    fragrances: tuple[tuple, ...]
    burns: tuple[tuple, ...]


TEMPLATE_DATA = Data(
    "Candles and melts",
    "C",
    0.1,
    (
        ("Sample tin", "candle", 12, 240, "mL", 0.85, 0.02, "Sample soft wax", "Sample scent A", 0.08, "wax"),
        ("Sample jar", "candle", 6, 10, "fl oz", 0.8, 0.02, "Sample soft wax", "Sample scent B", 0.07, "total"),
        ("Sample melt", "wax melt", 20, 75, "mL", 1, 0.03, "Sample firm wax", "Sample scent A", 0.09, "wax"),
    ),
    (("Sample soft wax", 0.9, 0.1, 65, 58), ("Sample firm wax", 0.89, 0.1, 75, 68)),
    (("Sample scent A", "no restriction", 93, date(2026, 1, 15)), ("Sample scent B", 0.35, 85, date(2025, 11, 3))),
    ((date(2026, 2, 1), "Sample tin", "sample wick, 4", 70, 298, 289.4, 2, 62, "small flame, no soot", "size up"),),
)
ABOUT = (
    "Figures how much wax and fragrance your vessels and moulds take, and what to weigh for a whole pour.",
    "Takes the fragrance load either way: as a share of the wax (the trade's habit) or of the whole pour.",
    "Holds the load against the cap for candles and melts (category 12) and against what your wax takes up.",
    "Tells how far below the fragrance's flash point you add it, and keeps your own test burns and wicks.",
    "Never change: the white cells with formulas, the names of the sheets, the heading 12 above the caps.",
)
CAUTIONS = (
    REGISTRY["TC_WAX"].cautions,
    REGISTRY["TC_FLASH_MARGIN"].cautions.split(" Never leave")[0],
    REGISTRY["TC_LOAD"].cautions.split(" Never leave")[0],
    "No calculation finds the right wick: burn every candle to the end yourself before others do. Mark each with the "
    "fire-safety words your market asks for: keep in sight, away from things that catch fire, children and pets.",
)
SOURCES = (
    f"Wax in a vessel: {REGISTRY['TC_WAX'].source}.",
    f"Load: {REGISTRY['TC_LOAD'].source}.",
    f"Cap: {REGISTRY['TC_CAP'].source}.",
    "Densities, temperatures, flash points and what a wax holds: your suppliers' sheets, as typed by you.",
    "Fire-safety words: EN 15494 and ASTM F2058 (titles and content from memory).",
)


def build(path: Path, data: Data = TEMPLATE_DATA) -> Report:
    book = paper.new_book(data.title)
    paper.start_here(book, data.title, ABOUT, CAUTIONS, SOURCES)
    _plan(book, data)
    _pour(book)
    _shelf(book, data)
    _burns(book, data)
    _working(book)
    paper.lists(
        book,
        kinds=("candle", "wax melt"),
        units=("mL", "L", "fl oz", "UK fl oz", "cup", "in3"),
        basis=("wax", "total"),
        degrees=("C", "F"),
    )
    paper.protect(book[paper.LISTS])
    report = paper.finish(book, path)
    if report.errors or report.left_alone:
        raise ValueError(f"{path.name}: {(report.errors + report.left_alone)[:3]}")
    return report


def _plan(book, data: Data) -> None:
    widths = (24, 11, 9, 9, 9, 9, 10, 24, 22, 9, 11)
    sheet = paper.open_sheet(
        book, PLAN, f"{data.title}: what to pour", "One row for each candle or melt. Overwrite the rows.", widths
    )
    put(sheet, "A4", "temperatures are in")
    take(sheet, "B4", data.temperature)
    paper.choose(sheet, "B4", "degrees", "C or F: the unit of every temperature in this workbook.", strict=True)
    put(sheet, "A5", "the scale reads to, g")
    take(sheet, "B5", data.step, "General", "Readability of your scale in grams, such as 1, 0.1 or 0.01.")
    put(sheet, "C4", "°C or °F, for every temperature in this workbook", None, paper.UNDER)
    put(sheet, "C5", "weights are rounded to it, and the fragrance never above its cap", None, paper.UNDER)
    paper.define(book, "temperature_unit", sheet, "B4")
    paper.define(book, "scale_step", sheet, "B5")
    paper.headings(
        sheet, FIRST - 1, "product", "type", "pieces", "vessel holds", "unit", "filled to", "left in the jug",
        "wax", "fragrance", "load", "as a share of",
    )  # fmt: skip
    sheet.row_dimensions[FIRST - 1].height = 48
    paper.block(
        sheet, f"A{FIRST}", LAST, data.products,
        (None, None, WHOLE, "General", None, SHARE, SHARE, None, None, SHARE, None),
        (
            "Your name for it.", "", "How many to pour.", "Volume to the brim, in the unit on the right.", "",
            "How much of the volume is filled: 85 % leaves room for the wick and for swelling. Blank: all of it.",
            "Share of the pour that stays in the jug and on the spoon: 2 %.", "", "",
            "Fragrance load, such as 8 %; the next cell says of what. 0 for none; a blank is an error.", "",
        ),
    )  # fmt: skip
    area = f"{{0}}{FIRST}:{{0}}{LAST}"
    paper.choose(sheet, area.format("B"), "kinds", "candle or wax melt: both are category 12.")
    paper.choose(sheet, area.format("E"), "units", "Unit of the volume. Fluid ounces are fl oz: oz is a weight.")
    paper.choose(sheet, area.format("H"), "wax_names", "A wax from the sheet “Wax and fragrance”.")
    paper.choose(sheet, area.format("I"), "fragrance_names", "A fragrance from the sheet “Wax and fragrance”.")
    paper.choose(
        sheet, area.format("K"), "basis", "wax: load ÷ wax (the trade's habit; also if blank). total: load ÷ pour."
    )
    put(
        sheet, f"A{LAST + 2}",
        "8 % of the wax is 7.4 % of the whole pour; the cap of the certificate counts the pour.", None, paper.UNDER,
    )  # fmt: skip
    sheet.freeze_panes = f"B{FIRST}"
    paper.close(sheet, f"A1:K{LAST + 2}", f"{FIRST - 1}:{FIRST - 1}")


def _if_used(row: int, formula: str) -> str:
    return f'=IF(COUNTA({PLAN}!$A{row}:$K{row})=0,"",{formula})'


def _from_shelf(column: str, rows: tuple[int, int], line: str) -> str:
    return f"INDEX({SHELF_AT}${column}${rows[0]}:${column}${rows[1]},{line})"


def _pour(book) -> None:
    widths = (22, 9, 10, 10, 11, 10, 14, 9, 9, 13, 9, 12, 9, 10, 32)
    sheet = paper.open_sheet(
        book, POUR, "What to weigh, and whether it is within the limits", "Everything here follows from Plan and “Wax "
        "and fragrance”. An error cell (#N/A, #NUM!, #VALUE!) has its reason on the sheet Working.", widths,
    )  # fmt: skip
    paper.headings(
        sheet, FIRST - 1, "product", "a piece takes, g", "whole pour, g", "fragrance, g", "wax, g", "fragrance, oz",
        "wax, lb and oz", "share of the wax", "share of the pour", "what the wax holds", "cap, category 12",
        "against the cap", "add at, °", "below flash point by, °", "flash point",
    )  # fmt: skip
    sheet.row_dimensions[FIRST - 1].height = 48
    for row in range(FIRST, LAST + 1):
        p = f"{PLAN}!"
        wax, scent = f"{WORKING}!$B{row}", f"{WORKING}!$C{row}"
        limit = _from_shelf("C", WAX, wax)
        cells = {
            "A": (f'IF({p}A{row}="","(no name)",{p}A{row})', None),
            "B": (f"TC_WAX({p}D{row},{p}E{row},{_from_shelf('B', WAX, wax)},{p}F{row})", paper.GRAMS),
            "C": (f"TC_BATCH({p}C{row},B{row},{p}G{row})", paper.GRAMS),
            "D": (f'TC_FRAGRANCE(C{row},I{row},K{row},"finished",scale_step)', TO_SCALE),
            "E": (f"IF(scale_step>0,ROUND(C{row}/scale_step,0)*scale_step,C{row})-D{row}", TO_SCALE),
            "F": (f'TC_CONVERT(D{row},"g","oz")', "0.00"),
            "G": (f"TC_LB_OZ(E{row})", None),
            "H": (f"TC_LOAD_OF_WAX(I{row})", FINE_SHARE),
            "I": (
                f'IF(ISBLANK({p}J{row}),NA(),IF({p}K{row}="total",TC_LOAD_OF_TOTAL(TC_LOAD_OF_WAX({p}J{row})),'
                f'IF(OR({p}K{row}="wax",{p}K{row}=""),TC_LOAD_OF_TOTAL({p}J{row}),NA())))',
                FINE_SHARE,
            ),
            "J": (f'IF({limit}="","not stated",TC_CAP_STATUS(H{row},{limit}))', None),
            "K": (f"TC_CAP({CAPS},{p}I{row},{p}B{row})", FINE_SHARE),
            "L": (f"TC_CAP_STATUS(I{row},K{row})", None),
            "M": (_from_shelf("D", WAX, wax) + "*1", "0.0"),
            "N": (f"TC_FLASH_MARGIN(M{row},{_from_shelf('C', SCENT, scent)},temperature_unit)", "0.0"),
            "O": (
                f'IF(N{row}<0,"WARNING: ABOVE the flash point",IF(N{row}=0,"WARNING: AT the flash point","below"))',
                None,
            ),
        }
        for letter, (formula, form) in cells.items():
            cell = put(sheet, f"{letter}{row}", _if_used(row, formula), form)
            cell.border = paper.LINE
            if letter in "GJLO":
                cell.alignment = Alignment(horizontal="center")
    total = LAST + 1
    put(sheet, f"A{total}", "together", None, paper.STRONG)
    for letter in "ABCDEFGHIJKLMNO":
        sheet[f"{letter}{total}"].fill = paper.SUM_FILL
    for letter in "CDE":
        put(sheet, f"{letter}{total}", f"=SUM({letter}{FIRST}:{letter}{LAST})", paper.GRAMS, paper.STRONG)
    put(sheet, f"F{total}", f'=TC_CONVERT(D{total},"g","oz")', "0.00", paper.STRONG)
    put(sheet, f"G{total}", f"=TC_LB_OZ(E{total})", None, paper.STRONG).alignment = Alignment(horizontal="center")
    for name, letter in (("pour_total", "C"), ("fragrance_total", "D"), ("wax_total", "E")):
        paper.define(book, name, sheet, f"{letter}{total}")
    span = f"{FIRST}:{{0}}{LAST}"
    paper.flag(sheet, "J" + span.format("J"), f'AND($J{FIRST}<>"",$J{FIRST}<>"within")')
    paper.flag(sheet, "L" + span.format("L"), f'AND($L{FIRST}<>"",$L{FIRST}<>"within")')
    paper.flag(sheet, "N" + span.format("O"), f'LEFT($O{FIRST},7)="WARNING"')
    paper.flag(sheet, "A" + span.format("O"), f"ISERROR(A{FIRST})")
    _pour_head(sheet)
    paper.lying_bars(
        sheet, f"A{total + 3}", ("What each pour takes", "product", "grams"), (sheet, f"A{FIRST}:A{LAST}"),
        [(sheet, f"E{FIRST - 1}:E{LAST}"), (sheet, f"D{FIRST - 1}:D{LAST}")], stacked=True, size=(17.5, 8.5),
    )  # fmt: skip
    paper.lying_bars(
        sheet, f"I{total + 3}", ("How far below the flash point", "product", "degrees, in the unit chosen on Plan"),
        (sheet, f"A{FIRST}:A{LAST}"), [(sheet, f"N{FIRST - 1}:N{LAST}")], size=(15.5, 8.5), least=None,
    )  # fmt: skip
    sheet.freeze_panes = f"B{FIRST}"
    paper.close(sheet, f"A1:O{total + 20}", f"{FIRST - 1}:{FIRST - 1}")


def _pour_head(sheet) -> None:
    lines = (
        "Wax melts in a water bath or a melter with a thermostat, never left alone. Lid or fire blanket at hand; no "
        "water on burning wax.",
        "Below the flash point is no safe temperature by itself: keep flames and sparks away, and add where the "
        "suppliers of wax and fragrance say.",
    )
    for row, text in enumerate(lines, 4):
        sheet.merge_cells(f"A{row}:O{row}")
        put(sheet, f"A{row}", text).fill = paper.CAUTION_FILL
    sheet["A6"] = "“what the wax holds”: the load as a share of the wax against your wax supplier's most."
    sheet["A6"].font = paper.UNDER


def _shelf(book, data: Data) -> None:
    sheet = paper.open_sheet(
        book, SHELF, "Wax and fragrance", "From your suppliers' sheets and certificates. Overwrite the sample rows.",
        (26, 18, 19, 14, 14, 17, 15),
    )  # fmt: skip
    put(sheet, "A4", "Waxes", None, paper.STRONG)
    paper.headings(
        sheet, WAX[0] - 1, "wax", "density, g/mL", "most it holds, share of the wax", "add fragrance at, °",
        "pour at, °", "this plan takes, g", "lb and oz",
    )  # fmt: skip
    sheet.row_dimensions[WAX[0] - 1].height = 32
    paper.block(
        sheet, f"A{WAX[0]}", WAX[1], data.waxes, (None, "0.000", SHARE, "General", "General"),
        ("The wax as you call it.", "Density of the melted wax in g/mL, from its supplier: about 0.86 to 0.92.",
         "The most fragrance that the wax holds, as a share of the wax, from its supplier: 10 %. Blank: not stated.",
         "Temperature at which the fragrance goes in, in the unit chosen on Plan.",
         "Your pouring temperature; a note for you, nothing is figured from it."),
    )  # fmt: skip
    put(sheet, f"A{SCENT[0] - 2}", "Fragrances", None, paper.STRONG)
    paper.headings(
        sheet, SCENT[0] - 1, "fragrance", 12, "flash point, °", "certificate of", "", "this plan takes, g", "ounces"
    )
    sheet[f"B{SCENT[0] - 1}"].number_format = '"cap, category "0'
    paper.block(
        sheet, f"A{SCENT[0]}", SCENT[1], data.fragrances, (None, SHARE, "General", DAY),
        ("The fragrance as you call it.",
         "Cap for category 12 from the IFRA certificate, a share of the finished product: 35 %, or the words "
         "“no restriction”. Blank is not stated: an error, not a free hand.",
         "Flash point from the safety data sheet, in the unit chosen on Plan.",
         "Date of the certificate. Older than the 49th Amendment: other categories, ask for a new one."),
    )  # fmt: skip
    for rows, names, amounts in ((WAX, "H", "E"), (SCENT, "I", "D")):
        for row in range(rows[0], rows[1] + 1):
            picked = f"1*({PLAN}!${names}${FIRST}:${names}${LAST}=$A{row})"
            used = f"SUMPRODUCT({picked},{POUR}!${amounts}${FIRST}:${amounts}${LAST})"
            put(sheet, f"F{row}", f'=IF($A{row}="","",{used})', TO_SCALE)
            ounces = f"TC_LB_OZ(F{row})" if rows is WAX else f'TC_CONVERT(F{row},"g","oz")'
            put(sheet, f"G{row}", f'=IF($A{row}="","",{ounces})', "0.00").alignment = Alignment(horizontal="right")
    paper.flag(sheet, f"C{WAX[0]}:C{WAX[1]}", f'AND($A{WAX[0]}<>"",C{WAX[0]}="")')
    paper.flag(sheet, f"B{SCENT[0]}:C{SCENT[1]}", f'AND($A{SCENT[0]}<>"",B{SCENT[0]}="")')
    paper.define(book, "wax_names", sheet, f"A{WAX[0]}:A{WAX[1]}")
    paper.define(book, "fragrance_names", sheet, f"A{SCENT[0]}:A{SCENT[1]}")
    paper.define(book, "caps_table", sheet, f"A{SCENT[0] - 1}:B{SCENT[1]}")
    paper.close(sheet, f"A1:G{SCENT[1]}")


def _burns(book, data: Data) -> None:
    sheet = paper.open_sheet(
        book, BURNS, "Test burns and wicks", "Your own trials: nothing here is figured for you but the rate and pool. "
        "Width and melt pool in one unit, mm or inches.", (11, 20, 20, 9, 10, 10, 8, 9, 26, 20, 9, 10),
    )  # fmt: skip
    paper.headings(
        sheet, 4, "date", "product", "wick", "vessel width", "before, g", "after, g", "hours", "melt pool",
        "flame, soot, smoke, smell", "what I do next", "g an hour", "pool reaches",
    )  # fmt: skip
    sheet.row_dimensions[4].height = 32
    paper.block(
        sheet, f"A{BURN[0]}", BURN[1], data.burns,
        (DAY, None, None, "General", "0.0", "0.0", "General", "General", None, None),
        ("Day of the burn.", "", "Maker and size of the wick.", "Inner width of the vessel.", "Weight before, grams.",
         "Weight after, grams.", "Hours it burned.", "Width of the melt pool at the end, in the unit of the vessel.",
         "What you saw.", "Your verdict."),
    )  # fmt: skip
    paper.choose(sheet, f"B{BURN[0]}:B{BURN[1]}", "product_names", "A product from Plan, or any other name.")
    paper.define(book, "product_names", book[PLAN], f"A{FIRST}:A{LAST}")
    for row in range(BURN[0], BURN[1] + 1):
        rate = f"IF(COUNT(E{row}:G{row})<3,NA(),IF(AND(F{row}>=0,F{row}<=E{row},G{row}>0),(E{row}-F{row})/G{row},NA()))"
        put(sheet, f"K{row}", f'=IF(COUNTA(E{row}:G{row})<3,"",{rate})', "0.0")
        reach = f"IF(COUNT(D{row},H{row})<2,NA(),IF(AND(D{row}>0,H{row}>=0,H{row}<=D{row}),H{row}/D{row},NA()))"
        put(sheet, f"L{row}", f'=IF(COUNTA(D{row},H{row})<2,"",{reach})', "0%")
    paper.flag(sheet, f"K{BURN[0]}:L{BURN[1]}", f"ISERROR(K{BURN[0]})")
    put(
        sheet, f"A{BURN[1] + 2}",
        "#N/A: the candle weighs more after than before, or the pool is wider than the vessel: look again.",
        None, paper.UNDER,
    )  # fmt: skip
    sheet.freeze_panes = "C5"
    paper.close(sheet, f"A1:L{BURN[1] + 2}", "4:4")


def _working(book) -> None:
    sheet = paper.open_sheet(
        book, WORKING, "Working", "How each figure came about, or why it is an error.", (20, 8, 10, 42, 42, 42, 42)
    )
    paper.headings(
        sheet, FIRST - 1, "product", "wax in row", "fragrance in row", "a piece takes", "cap", "fragrance", "flash"
    )
    sheet.row_dimensions[FIRST - 1].height = 32
    put(sheet, "A4", "#N/A in “in row”: the name is not in the list, or stands there twice.", None, paper.UNDER)
    for row in range(FIRST, LAST + 1):
        put(sheet, f"A{row}", f"={POUR}!A{row}").alignment = Alignment(wrap_text=True, vertical="center")
        for letter, column, rows in (("B", "H", WAX), ("C", "I", SCENT)):
            names = f"{SHELF_AT}$A${rows[0]}:$A${rows[1]}"
            place = paper.place_in(names, f"{PLAN}!${column}{row}", rows[1] - rows[0] + 1)
            cell = put(sheet, f"{letter}{row}", _if_used(row, place))
            cell.alignment = Alignment(horizontal="center", vertical="center")
        p = f"{PLAN}!"
        told = {
            "D": f'"TC_WAX",{p}D{row},{p}E{row},{_from_shelf("B", WAX, f"$B{row}")},{p}F{row}',
            "E": f'"TC_CAP",{CAPS},{p}I{row},{p}B{row}',
            "F": f'"TC_FRAGRANCE",{POUR}!C{row},{POUR}!I{row},{POUR}!K{row},"finished",scale_step',
            "G": f'"TC_FLASH_MARGIN",{POUR}!M{row},{_from_shelf("C", SCENT, f"$C{row}")},temperature_unit',
        }
        for letter, call in told.items():
            paper.working(sheet, f"{letter}{row}", _if_used(row, f"TC_EXPLAIN({call})"))
        sheet.row_dimensions[row].height = 78
    sheet.freeze_panes = f"B{FIRST}"
    paper.close(sheet, f"A1:G{LAST}", f"{FIRST - 1}:{FIRST - 1}")


if __name__ == "__main__":
    print(build(Path(__file__).with_suffix(".xlsx")).out.name)
