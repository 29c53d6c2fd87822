"""The recipe table that several workbooks share: typed in shares or in amounts of any unit, worked out in grams.

A row is blank when its part, name and amount are. A row that is only partly filled is an error in words and as a cell,
so that an ingredient never drops out unnoticed.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from openpyxl.styles import Alignment
from openpyxl.worksheet.page import PageMargins
from openpyxl.worksheet.worksheet import Worksheet

from tarecell.workbooks import paper
from tarecell.workbooks.paper import GRAMS, SHARE, put, take

HEADINGS = (
    "part", "ingredient", "amount", "unit", "g per mL", "in g, or as %", "to weigh, g", "share of all", "lb and oz",
    "weighed", "check",
)  # fmt: skip
WIDTHS = (13, 31, 11, 9, 9, 11, 11, 10, 14, 9, 44)
UNITS = ("%", "g", "kg", "oz", "lb", "mL", "fl oz", "tsp", "tbsp", "cup")
AMOUNT = "#,##0.###"
BOX = "☐"


@dataclass(frozen=True)
class Line:
    """One row of a recipe as a maker writes it. Unit "%": all rows are shares of 100; `density`: g/mL, for volumes."""

    part: str
    name: str
    amount: float
    unit: str = "g"
    density: float | None = None


@dataclass(frozen=True)
class RecipeTable:
    """Where a recipe table lies, as absolute references for formulas."""

    sheet: str
    first: int
    last: int
    mode: str  # the cell that tells how the recipe is written

    def column(self, letter: str) -> str:
        """A column of the table, with the sheet's name."""
        return f"{paper.quoted(self.sheet)}!${letter}${self.first}:${letter}${self.last}"

    def here(self, letter: str) -> str:
        """A column of the table, for formulas on its own sheet."""
        return f"${letter}${self.first}:${letter}${self.last}"

    def weight_of(self, name: str) -> str:
        """A formula's part: grams of the ingredient that a cell names, #N/A where the recipe has none of that name."""
        return f"TC_PHASE_TOTAL({self.column('B')},{self.column('G')},{name})"

    @property
    def total(self) -> str:
        """A formula's part: grams of the whole recipe."""
        return f"SUM({self.column('G')})"


def one_page(sheet: Worksheet, area: str, titles: str | None = None) -> None:
    """The last touch on a sheet that is printed on one page, to lie beside the scale."""
    paper.close(sheet, area, titles)
    sheet.page_setup.fitToHeight = 1
    sheet.page_margins = PageMargins(left=0.5, right=0.5, top=0.5, bottom=0.7)


def rounded_up(weight: str, step: str) -> str:
    """A formula's part: a weight rounded up to the scale's steps, as it is where there is no step."""
    return f"IF({step}>0,ROUNDUP(ROUND(({weight})/{step},6),0)*{step},{weight})"


def recipe_table(
    sheet: Worksheet, first: int, count: int, lines: Sequence[Line], parts: str, mode: str, target: str, step: str
) -> RecipeTable:
    """Writes the table: headings in the row above `first`, `count` rows, and a total below.

    parts: the list of the parts' names; mode: the cell that will tell how the recipe is written; target, step: the
    batch and the scale's readability, cells or names.
    """
    last = first + count - 1
    table = RecipeTable(sheet.title, first, last, mode)
    paper.headings(sheet, first - 1, *HEADINGS)
    for row in range(first, last + 1):
        line = lines[row - first] if row - first < len(lines) else None
        _typed(sheet, row, line)
        put(sheet, f"F{row}", _grams(row, mode), AMOUNT)
        put(sheet, f"H{row}", f'=IF(F{row}="","",G{row}/SUM({table.here("G")}))', paper.FINE_SHARE)
        put(sheet, f"I{row}", f'=IF(F{row}="","",TC_LB_OZ(G{row}))').alignment = Alignment(horizontal="right")
        put(sheet, f"J{row}", f'=IF(F{row}="","","{BOX}")').alignment = Alignment(horizontal="center")
        put(sheet, f"K{row}", _words(row, mode), None, paper.UNDER)
    paper.column_of(sheet, f"G{first}", f"G{last}", f"=TC_SCALE({table.here('F')},{target},{step})", GRAMS)
    for row in range(first, last + 1):
        sheet[f"G{row}"].font = paper.STRONG
    _total(sheet, table, target, step)
    _lists(sheet, table, parts)
    put(sheet, mode, _mode(table))
    return table


def _typed(sheet: Worksheet, row: int, line: Line | None) -> None:
    take(sheet, f"A{row}", line and line.part)
    take(sheet, f"B{row}", line and line.name)
    take(sheet, f"C{row}", line and line.amount, AMOUNT)
    take(sheet, f"D{row}", line and line.unit)
    take(sheet, f"E{row}", line and line.density, "0.####")


def _lists(sheet: Worksheet, table: RecipeTable, parts: str) -> None:
    span = f"{table.first}:{{0}}{table.last}"
    paper.choose(sheet, "A" + span.format("A"), parts, "The part of the recipe that this row belongs to.")
    paper.note(sheet, "B" + span.format("B"), "One ingredient in each row. The name is yours; use one spelling of it.")
    paper.note(sheet, "C" + span.format("C"), "The amount, or the share: type 68 for 68 % and choose % as its unit.")
    paper.choose(
        sheet, "D" + span.format("D"), "Units", "% in every row, or units in every row: g, oz, lb … oz is a weight."
    )
    paper.note(
        sheet,
        "E" + span.format("E"),
        "Only for volumes (mL, fl oz, cup …): grams in one mL, from the supplier's sheet.",
    )


def _blank(row: int) -> str:
    return f'TRIM(A{row}&B{row}&C{row})=""'


def _grams(row: int, mode: str) -> str:
    gaps = ",".join(f'TRIM({letter}{row})=""' for letter in "ABCD")
    shares = f'IF(LEFT({_fixed(mode)},9)="shares of",TC_CONVERT(C{row},"g","g"),NA())'
    return (
        f'=IF({_blank(row)},"",IF(OR({gaps}),NA(),IF(C{row}<0,NA(),'
        f'IF(TRIM(D{row})="%",{shares},TC_CONVERT(C{row},D{row},"g",E{row})))))'
    )


def _words(row: int, mode: str) -> str:
    told = f'TC_EXPLAIN("TC_CONVERT",C{row},"g","g")'
    shares = f'IF(LEFT({_fixed(mode)},9)="shares of",{told},"see how the recipe is written")'
    amounts = f'IF(C{row}<0,"a negative amount",TC_EXPLAIN("TC_CONVERT",C{row},D{row},"g",E{row}))'
    refused = f'IF(TRIM(D{row})="%",{shares},{amounts})'
    found = f'IF(ISNUMBER(F{row}),IF(ISNUMBER(G{row}),"ok","see below the table"),{refused})'
    for letter, what in (("D", "unit"), ("C", "amount"), ("A", "part"), ("B", "name")):
        found = f'IF(TRIM({letter}{row})="","the {what} is missing",{found})'
    return f'=IF({_blank(row)},"",{found})'


def _mode(table: RecipeTable) -> str:
    names, amounts, units = table.here("B"), table.here("C"), table.here("D")
    in_percent = f'SUMPRODUCT(({units}="%")*({names}<>""))'
    named = f'SUMPRODUCT(1*({names}<>""))'
    wrong = f'"shares that add up to "&ROUND(SUM({amounts}),2)&" %, not 100"'
    return (
        f'=IF({in_percent}=0,"amounts",IF({in_percent}<{named},"both % and amounts: write all rows in one way",'
        f'IF(ABS(SUM({amounts})-100)<=0.05,"shares of 100 %",{wrong})))'
    )


def _fixed(address: str) -> str:
    letters = address.rstrip("0123456789")
    return f"${letters}${address[len(letters) :]}"


def _total(sheet: Worksheet, table: RecipeTable, target: str, step: str) -> None:
    row = table.last + 1
    put(sheet, f"A{row}", "all together")
    put(sheet, f"G{row}", f"=SUM({table.here('G')})", GRAMS)
    put(sheet, f"H{row}", f"=SUM({table.here('H')})", SHARE)
    put(sheet, f"I{row}", f"=TC_LB_OZ(G{row})").alignment = Alignment(horizontal="right")
    put(
        sheet,
        f"K{row}",
        f'=IF(ISNUMBER(G{row}),"ok",IF(ISERROR(SUM({table.here("F")})),"mend the rows that do not say ok",'
        f'IF(ISERROR({target}),"mend the batch above",TC_EXPLAIN("TC_SCALE",{table.here("F")},{target},{step}))))',
    )
    for letter in "ABCDEFGHIJK":
        cell = sheet[f"{letter}{row}"]
        cell.fill, cell.font = paper.SUM_FILL, paper.STRONG
    paper.flag(sheet, f"K{table.first}:K{row}", f'AND(K{table.first}<>"",K{table.first}<>"ok")')
