"""Two sheets of labels_and_batch_record.xlsx: the batch sheet, and the sizes of labels and wraps."""

from openpyxl.styles import Alignment, Border, Side
from tarecell.workbooks import paper
from tarecell.workbooks.paper import DAY, WHOLE, put, take

PRODUCT, LABEL, BATCH, SIZES, WORKING = "Product", "Label", "Batch sheet", "Label and wrap size", "Working"
FIRST, LAST = 16, 35  # the ingredients on Product
LINES = (6, 25, 37)  # on Working: first ingredient, last one, last allergen
WEIGH = (10, 29)  # the ingredients on the batch sheet
STEPS = (33, 42)
JARS, WRAPS = (7, 12), (18, 23)
THIN = Side("thin", color="6B7C85")
BOX = Border(left=THIN, right=THIN, top=THIN, bottom=THIN)
CHECK = "☐"


def batch_sheet(book, steps: tuple[str, ...]) -> None:
    """One page to weigh off, tick, sign and keep."""
    sheet = paper.open_sheet(
        book, BATCH, "Batch record", "Print, weigh off, tick, sign and keep.", (4, 10, 30, 15, 12, 12, 14, 9),
        landscape=False,
    )  # fmt: skip
    p = f"{PRODUCT}!"
    heads = (
        ("A4", "product", "C4", f"={p}C4", None), ("A5", "lot", "C5", "=lot_code", None),
        ("A6", "pieces", "C6", f"={p}C9", WHOLE),
        ("A7", "batch, g", "C7", f"=TC_BATCH({p}C9,{p}C10,{p}C11)", "#,##0.0"),
        ("E4", "made on", "G4", f"=TC_READY({p}G6,1)-1", DAY), ("E5", "ready on", "G5", f"={LABEL}!B14", DAY),
        ("E6", "best before", "G6", "=best_before", DAY), ("E7", "scale reads to, g", "G7", f"={p}C12", "General"),
    )  # fmt: skip
    for at, label, where, formula, form in heads:
        put(sheet, at, label)
        put(sheet, where, formula, form, paper.STRONG).alignment = Alignment(horizontal="left")
    first, last = WEIGH
    paper.define(book, "batch_size", sheet, "C7")
    paper.headings(
        sheet, first - 1, "", "phase", "ingredient", "supplier's lot", "use by", "weigh, g", "weighed, g", "by"
    )
    for row in range(first, last + 1):
        at = row - first + FIRST
        empty = f"COUNTA({p}$A{at}:$G{at})=0"
        put(sheet, f"A{row}", f'=IF({empty},"","{CHECK}")')
        put(sheet, f"B{row}", f'=IF({p}A{at}="","",{p}A{at})')
        put(sheet, f"C{row}", f'=IF({empty},"",IF({p}B{at}="",{p}C{at}&"",{p}B{at}))')
        put(sheet, f"D{row}", f'=IF({p}F{at}="","",{p}F{at})')
        put(sheet, f"E{row}", f'=IF({p}G{at}="","",TC_READY({p}G{at},1)-1)', DAY)
        for letter in "ABCDEFGH":
            sheet[f"{letter}{row}"].border = BOX
            sheet[f"{letter}{row}"].alignment = Alignment(
                horizontal="center" if letter in "AE" else None, vertical="center", shrink_to_fit=letter in "BCD"
            )
        sheet.row_dimensions[row].height = 19
    amounts = f"{WORKING}!C{LINES[0]}:C{LINES[1]}"
    paper.column_of(sheet, f"F{first}", f"F{last}", f"=TC_SCALE({amounts},batch_size,scale_step)", "#,##0.0##")
    put(sheet, f"C{last + 1}", "together", None, paper.STRONG)
    put(sheet, f"F{last + 1}", f"=SUM(F{first}:F{last})", "#,##0.0##", paper.STRONG)
    for letter in "ABCDEFGH":
        sheet[f"{letter}{last + 1}"].fill = paper.SUM_FILL
    paper.headings(sheet, STEPS[0] - 1, "", "step", "", "", "", "found", "time", "by")
    for row in range(STEPS[0], STEPS[1] + 1):
        sheet.merge_cells(f"B{row}:E{row}")
        line = steps[row - STEPS[0]] if row - STEPS[0] < len(steps) else None
        take(
            sheet, f"B{row}", line, None, "A step of your own to tick, or a reading to write down."
        ).alignment = Alignment(indent=1, vertical="center")
        put(sheet, f"A{row}", f'=IF(B{row}="","","{CHECK}")').alignment = Alignment(
            horizontal="center", vertical="center"
        )
        for letter in "AFGH":
            sheet[f"{letter}{row}"].border = BOX
        sheet.row_dimensions[row].height = 19
    end = STEPS[1] + 2
    for at, label in (
        (f"B{end}", "weighed by"),
        (f"E{end}", "checked by"),
        (f"B{end + 2}", "date"),
        (f"E{end + 2}", "remarks"),
    ):
        put(sheet, at, label)
        for letter in ("C", "D") if at[0] == "B" else ("F", "G", "H"):
            sheet[f"{letter}{at[1:]}"].border = Border(bottom=THIN)
        sheet.row_dimensions[int(at[1:])].height = 24
    paper.flag(sheet, f"F{first}:F{last + 1}", f"ISERROR(F{first})")
    sheet.page_setup.fitToHeight = 1
    paper.close(sheet, f"A1:H{end + 2}")


def size_sheet(book, length: str, jars: tuple[tuple, ...], wraps: tuple[tuple, ...]) -> None:
    """Whether a label goes round its jar, and how large a bag must be."""
    sheet = paper.open_sheet(
        book, SIZES, "Label and wrap size", "Measure the jar where the label sits. All lengths in one unit.",
        (28, 12, 13, 12, 14, 14, 28),
    )  # fmt: skip
    put(sheet, "A4", "lengths are in")
    take(sheet, "B4", length)
    paper.choose(sheet, "B4", "lengths", "mm or in: the unit of every length on this sheet.", strict=True)
    paper.define(book, "length_unit", sheet, "B4")
    paper.headings(sheet, JARS[0] - 1, "label round a jar", "diameter",
        "label length", "way round", "fits by", "other unit", "verdict")  # fmt: skip
    paper.block(sheet, f"A{JARS[0]}", JARS[1], jars, (None, "0.0##", "0.0##"),
                ("Name of the jar.", "Outer diameter where the label sits.", "Length of the label."))  # fmt: skip
    other = 'IF(length_unit="mm","in",IF(length_unit="in","mm",NA()))'
    for row in range(JARS[0], JARS[1] + 1):
        empty = f"COUNTA(A{row}:C{row})=0"
        cells = {
            "D": (f"C{row}-E{row}", "0.0"),
            "E": (f"TC_LABEL_FIT(B{row},C{row})", "0.0"),
            "F": (f"TC_CONVERT(E{row},length_unit,{other})", "0.00"),
            "G": (f'IF(E{row}<0,"GAP: the label is too short","overlaps")', None),
        }
        for letter, (formula, form) in cells.items():
            put(sheet, f"{letter}{row}", f'=IF({empty},"",{formula})', form).border = paper.LINE
        sheet[f"G{row}"].alignment = Alignment(horizontal="center")
    paper.flag(sheet, f"E{JARS[0]}:G{JARS[1]}", f'LEFT($G{JARS[0]},3)="GAP"')
    put(sheet, f"A{JARS[1] + 2}", "A positive fit is the overlap, a negative one the gap. Some 3 to 6 mm of overlap "
        "hold well (common practice).", None, paper.UNDER)  # fmt: skip
    paper.headings(sheet, WRAPS[0] - 1, "bag or wrap for a round piece", "diameter",
        "height", "ease", "bag width", "bag length", "other unit")  # fmt: skip
    paper.block(sheet, f"A{WRAPS[0]}", WRAPS[1], wraps, (None, "0.0##", "0.0##", "0.0##"),
                ("Name of the piece.", "Diameter of the piece.", "Its height.", "Slack and closing."))  # fmt: skip
    for row in range(WRAPS[0], WRAPS[1] + 1):
        empty = f"COUNTA(A{row}:D{row})=0"
        paper.column_of(sheet, f"E{row}", f"F{row}", f'=IF({empty},"",TC_WRAP_SIZE(B{row},C{row},D{row}))', "0.0")
        put(sheet, f"G{row}", f'=IF({empty},"",TC_CONVERT(E{row},length_unit,{other}))', "0.00")
    put(sheet, f"A{WRAPS[1] + 2}", "Laid flat. A ball needs less (π ÷ 2 × diameter), a tight shrink wrap shrinks by "
        "what its maker says.", None, paper.UNDER)  # fmt: skip
    paper.close(sheet, f"A1:G{WRAPS[1] + 2}")
