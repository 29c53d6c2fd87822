"""Where everything stands in the gift-set workbook, and what its formulas share."""

from openpyxl.styles import Alignment
from tarecell.workbooks import paper

SETS, RESULT, PRODUCTS, PIECES, COSTS, BUY, WORKING, PARTS = (
    "Sets", "Result", "Products", "Pieces", "Costs", "To buy", "Working", "Parts",
)  # fmt: skip
AMOUNT = "#,##0.0##"
ALL = "all sets"
LINE, KEY = {PRODUCTS: "F", COSTS: "L"}, {PRODUCTS: "G", COSTS: "M"}  # columns out of sight: line number, unique name
COLUMNS = "CDEF"  # one for each set
FIRST = 7  # first row of the tables of products, pieces and costs
LAST = {PRODUCTS: 14, PIECES: 56, COSTS: 36}
NAMES, MAKE, MINUTES, PRODUCT_ROW, PACKING_ROW, SALE_ROW = 6, 7, 8, 11, 21, 29  # rows of the sheet of sets
PRODUCT_COUNT, PACKING_COUNT = LAST[PRODUCTS] - FIRST + 1, 6
SALE = ("margin wanted", "selling fees, share of the price", "selling fee for each sale", "round the price up to",
        "your own price, if another", "fixed cost to earn back")  # fmt: skip
RATE = f"{SETS}!$C$4"
# The sheet of parts: blocks of rows, one under the other. The first is only for what all sets need together.
BLOCKS = {"all": 4, "product": 4 * PRODUCT_COUNT, "packing": 4 * PACKING_COUNT, "packing work": 4,
          "piece": LAST[PIECES] - FIRST + 1, "work": PRODUCT_COUNT}  # fmt: skip
PARTS_FIRST = 5
PARTS_LAST = PARTS_FIRST + sum(BLOCKS.values()) - 1
TABLE = f"{PARTS}!$A${PARTS_FIRST + 4}:$E${PARTS_LAST}"
TABLE_OF_ALL = f"{PARTS}!$A${PARTS_FIRST}:$E${PARTS_LAST}"
TABLE_OF_WORK = f"{PARTS}!$G${PARTS_FIRST + 4}:$K${PARTS_LAST}"
NOTHING = '""'


def column(sheet: str, letter: str) -> str:
    """A whole column of a sheet's table."""
    return f"{sheet}!${letter}${FIRST}:${letter}${LAST[sheet]}"


def listed(sheet: str, cell: str) -> str:
    """How often a sheet names it."""
    return f"SUMPRODUCT(1*({column(sheet, 'A')}={cell}))"


def of(sheet: str, letter: str, cell: str) -> str:
    """What a sheet says of the thing that it names once; #N/A where it does not. MATCH would take “*” for any name."""
    line = f"SUMPRODUCT(({column(sheet, 'A')}={cell})*{column(sheet, LINE[sheet])})"
    return f"IF({listed(sheet, cell)}=1,INDEX({column(sheet, letter)},{line}),NA())"


def first_of(steps, otherwise: str) -> str:
    """Nested IFs: the words of the first condition that holds."""
    return "=" + "".join(f"IF({c},{words}," for c, words in steps) + otherwise + ")" * len(steps)


def open_table(book, name: str, title: str, under: str, widths, *heads: str):
    sheet = paper.open_sheet(book, name, title, under, widths)
    paper.headings(sheet, FIRST - 1, *heads)
    sheet.row_dimensions[FIRST - 1].height = 34
    sheet.freeze_panes = f"B{FIRST}"
    return sheet


def words(sheet, letters: str, rows) -> None:
    """Words keep off the number on their left."""
    for letter in letters:
        for r in rows:
            sheet[f"{letter}{r}"].alignment = Alignment(horizontal="left", indent=1, vertical="center")


def out_of_sight(sheet, letters: str) -> None:
    """Columns that only the formulas need: not shown, not printed."""
    for letter in letters:
        sheet.column_dimensions[letter].hidden = True


def set_key(c: str) -> str:
    """The unique name of a set: two sets may carry one name."""
    return f'("S{COLUMNS.index(c) + 1} "&{SETS}!${c}${NAMES})'


def row_of(block: str) -> int:
    """The first row of a block on the sheet of parts."""
    names = list(BLOCKS)
    return PARTS_FIRST + sum(BLOCKS[name] for name in names[: names.index(block)])
