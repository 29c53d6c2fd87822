"""The look of the tour's sheets, and the few moves that all of them share."""

from openpyxl.formatting.rule import FormulaRule
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.formula import ArrayFormula
from openpyxl.worksheet.worksheet import Worksheet

GRAMS, MONEY, SHARE, WHOLE, COST = "#,##0.0", "#,##0.00", "0.0%", "#,##0", "#,##0.0000"
INK, SOFT = "2F3E46", "6B7C85"
TITLE = Font(size=16, bold=True, color=INK)
UNDER = Font(italic=True, color=SOFT)
HEAD = Font(bold=True, color="FFFFFF")
HEAD_FILL = PatternFill("solid", fgColor="52796F")
STRONG = Font(bold=True, color=INK)
SUM_FILL = PatternFill("solid", fgColor="E8EFEA")
# The spreadsheet's own Input style: orange on pale orange, with a grey border.
INPUT_FONT = Font(color="3F3F76")
INPUT_FILL = PatternFill("solid", fgColor="FFCC99")
INPUT_BORDER = Border(*(Side("thin", color="7F7F7F") for _ in range(4)))
ALERT = PatternFill("solid", bgColor="F8D7DA")


def open_sheet(book, name: str, title: str, under: str, widths: tuple[float, ...]) -> Worksheet:
    """A new sheet with its title lines and column widths, set up to print on one page across."""
    sheet = book.create_sheet(name)
    sheet["A1"], sheet["A2"] = title, under
    sheet["A1"].font, sheet["A2"].font = TITLE, UNDER
    for i, width in enumerate(widths, 1):
        sheet.column_dimensions[get_column_letter(i)].width = width
    sheet.sheet_view.showGridLines = False
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.oddFooter.center.text = "&A — page &P of &N"
    return sheet


def headings(sheet: Worksheet, row: int, *texts: str) -> None:
    """A row of headings."""
    for column, text in enumerate(texts, 1):
        cell = sheet.cell(row, column, text)
        cell.font, cell.fill = HEAD, HEAD_FILL
        cell.alignment = Alignment(wrap_text=True, vertical="center")


def put(sheet: Worksheet, address: str, value, number_format: str | None = None, font: Font | None = None):
    """One cell."""
    cell = sheet[address]
    cell.value = value
    if number_format:
        cell.number_format = number_format
    if font:
        cell.font = font
    return cell


def take(sheet: Worksheet, address: str, value, number_format: str | None = None):
    """One input cell."""
    cell = put(sheet, address, value, number_format, INPUT_FONT)
    cell.fill, cell.border = INPUT_FILL, INPUT_BORDER
    return cell


def column_of(sheet: Worksheet, first: str, last: str, formula: str, number_format: str | None = None) -> None:
    """An array formula that fills a range, entered the way that every spreadsheet program knows."""
    sheet[first] = ArrayFormula(f"{first}:{last}", formula)
    if number_format:
        for row in sheet[f"{first}:{last}"]:
            for cell in row:
                cell.number_format = number_format


def wrap(sheet: Worksheet, *addresses: str) -> None:
    """Long text wraps, from the top of its cell."""
    for address in addresses:
        sheet[address].alignment = Alignment(wrap_text=True, vertical="top")


def flag(sheet: Worksheet, area: str, formula: str) -> None:
    """Colours cells where the formula holds. The words in the cell say the same."""
    sheet.conditional_formatting.add(area, FormulaRule(formula=[formula], fill=ALERT))


def quoted(sheet_name: str) -> str:
    """A sheet's name as formulas write it."""
    return "'" + sheet_name.replace("'", "''") + "'"
