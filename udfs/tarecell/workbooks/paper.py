"""The look of the workbooks that Tarecell makes, and the moves that all of them share.

Inputs carry the spreadsheet's own Input style and are unlocked; everything else may be protected without a password.
"""

import datetime
import tempfile
from collections.abc import Sequence
from pathlib import Path

from openpyxl import Workbook
from openpyxl.chart import BarChart, Reference
from openpyxl.chart.label import DataLabelList
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.drawing.line import LineProperties
from openpyxl.formatting.rule import FormulaRule
from openpyxl.styles import Alignment, Border, Font, PatternFill, Protection, Side
from openpyxl.utils import column_index_from_string, get_column_letter, quote_sheetname
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.formula import ArrayFormula
from openpyxl.worksheet.worksheet import Worksheet

from tarecell import __version__
from tarecell.workbooks.recalculate import Report, recalculate

GRAMS, MONEY, SHARE, FINE_SHARE, WHOLE, COST, DAY = (
    "#,##0.0", "#,##0.00", "0.0%", "0.00%", "#,##0", "#,##0.0000", "yyyy-mm-dd",
)  # fmt: skip
INK, SOFT = "2F3E46", "6B7C85"
FONT = "Calibri"  # the default of new workbooks; programs that lack it use a look-alike
TITLE = Font(name=FONT, size=16, bold=True, color=INK)
UNDER = Font(name=FONT, italic=True, color=SOFT)
HEAD = Font(name=FONT, bold=True, color="FFFFFF")
HEAD_FILL = PatternFill("solid", fgColor="52796F")
STRONG = Font(name=FONT, bold=True, color=INK)
SUM_FILL = PatternFill("solid", fgColor="E8EFEA")
CAUTION_FILL = PatternFill("solid", fgColor="FFF4D6")
ALERT = PatternFill("solid", bgColor="F8D7DA")
INDENT = Alignment(horizontal="left", indent=1)
LINE = Border(bottom=Side("hair", color="B8C4BF"))
LISTS = "Lists"  # the sheet of drop-down lists


def new_book(title: str) -> Workbook:
    """An empty workbook without sheets. The date is fixed, so that a rebuilt file is the same file."""
    book = Workbook()
    book.remove(book.active)
    book.properties.title, book.properties.creator = title, f"Tarecell {__version__}"
    book.properties.created = book.properties.modified = datetime.datetime(2026, 1, 1)
    return book


def open_sheet(
    book: Workbook, name: str, title: str, under: str, widths: Sequence[float], landscape: bool = True
) -> Worksheet:
    """A new sheet with its title lines and column widths, set up to print on one page across."""
    sheet = book.create_sheet(name)
    sheet["A1"], sheet["A2"] = title, under
    sheet["A1"].font, sheet["A2"].font = TITLE, UNDER
    for i, width in enumerate(widths, 1):
        sheet.column_dimensions[get_column_letter(i)].width = width
    sheet.sheet_view.showGridLines = False
    sheet.page_setup.orientation = "landscape" if landscape else "portrait"
    sheet.page_setup.paperSize = sheet.PAPERSIZE_A4
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.print_options.horizontalCentered = True
    sheet.oddFooter.left.text = "&F"
    sheet.oddFooter.center.text = "&A — page &P of &N"
    return sheet


def headings(sheet: Worksheet, row: int, *texts: str, first_column: int = 1) -> None:
    """A row of headings; it is repeated on every printed page when `sheet.print_title_rows` says so."""
    for column, text in enumerate(texts, first_column):
        cell = sheet.cell(row, column, text)
        cell.font, cell.fill = HEAD, HEAD_FILL
        cell.alignment = Alignment(
            wrap_text=True,
            vertical="center",
            horizontal="center" if column > first_column and not _wide(sheet, column) else None,
        )


def _wide(sheet: Worksheet, column: int) -> bool:
    """Wide columns hold words, which begin at the left."""
    return sheet.column_dimensions[get_column_letter(column)].width > 24


def put(sheet: Worksheet, address: str, value, number_format: str | None = None, font: Font | None = None):
    """One cell: a label or a formula."""
    cell = sheet[address]
    cell.value = value
    if number_format:
        cell.number_format = number_format
    if font:
        cell.font = font
    return cell


def take(sheet: Worksheet, address: str, value, number_format: str | None = None, note: str | None = None):
    """One input cell. `note` shows beside the cell when it is selected: what to type, and its unit."""
    cell = sheet[address]
    cell.value = value
    cell.style = "Input"
    if number_format:
        cell.number_format = number_format
    cell.protection = Protection(locked=False)
    if note:
        _validation(sheet, address, DataValidation(allow_blank=True), note)
    return cell


def explain(sheet: Worksheet, area: str, note: str) -> None:
    """A note that shows beside any input cell of an area when it is selected."""
    _validation(sheet, area, DataValidation(allow_blank=True), note)


def block(
    sheet: Worksheet,
    first: str,
    last_row: int,
    lines: Sequence[Sequence],
    formats: Sequence[str | None],
    notes: Sequence[str] = (),
) -> None:
    """A block of input cells from the cell `first` down to a row, filled from the top. formats: of each column, None
    for words; notes: what shows beside the cells of each column, "" where a drop-down list brings its own."""
    column, row = column_index_from_string(first.rstrip("0123456789")), int(first.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ"))
    for i, number_format in enumerate(formats):
        letter = get_column_letter(column + i)
        for at in range(row, last_row + 1):
            line = lines[at - row] if at - row < len(lines) else ()
            cell = take(sheet, f"{letter}{at}", line[i] if i < len(line) else None, number_format)
            # Words keep off the number on their left.
            side = {"horizontal": "left", "indent": 1} if number_format is None else {}
            cell.alignment = Alignment(vertical="center", **side)
        if i < len(notes) and notes[i]:
            explain(sheet, f"{letter}{row}:{letter}{last_row}", notes[i])


def place_in(names: str, cell: str, count: int) -> str:
    """A formula part: which of `count` names is the one in the cell; #N/A for a name that is not there, or there twice.

    Unlike MATCH it never takes the first of two, nor "Fig*" for a pattern.
    """
    numbers = ";".join(str(i) for i in range(1, count + 1))
    return f"IF(SUMPRODUCT(1*({names}={cell}))=1,SUMPRODUCT(({names}={cell})*{{{numbers}}}),NA())"


def choose(sheet: Worksheet, area: str, source: str, note: str | None = None, strict: bool = False) -> None:
    """A drop-down list on input cells. `source`: a defined name, a range, or a few words '"a,b,c"'."""
    validation = DataValidation(type="list", formula1=source, allow_blank=True)
    validation.showErrorMessage = strict
    _validation(sheet, area, validation, note)


def note(sheet: Worksheet, area: str, text: str) -> None:
    """A note that shows beside input cells when they are selected: what to type, and its unit."""
    _validation(sheet, area, DataValidation(allow_blank=True), text)


def _validation(sheet: Worksheet, area: str, validation: DataValidation, note: str | None) -> None:
    if note:
        validation.showInputMessage, validation.prompt = True, note[:255]
    validation.add(area)
    sheet.add_data_validation(validation)


def lists(book: Workbook, **columns: Sequence[str]) -> None:
    """The drop-down lists: a sheet at the end with one column each, and a defined name for each column."""
    sheet = open_sheet(
        book, LISTS, "Lists", "What the drop-down lists offer. You may type other words in the cells.", ()
    )
    for column, (name, words) in enumerate(columns.items(), 1):
        letter = get_column_letter(column)
        sheet.column_dimensions[letter].width = 28
        headings(sheet, 4, name, first_column=column)
        for row, word in enumerate(words, 5):
            sheet[f"{letter}{row}"] = word
        define(book, name, sheet, f"{letter}5:{letter}{4 + len(words)}")


def define(book: Workbook, name: str, sheet: Worksheet, area: str) -> None:
    """A defined name for a cell or a range."""
    first, _, last = area.partition(":")
    target = ":".join(_absolute(a) for a in (first, last) if a)
    book.defined_names[name] = DefinedName(name, attr_text=f"{quote_sheetname(sheet.title)}!{target}")


def _absolute(address: str) -> str:
    letters = address.rstrip("0123456789")
    return f"${letters}${address[len(letters) :]}"


def column_of(sheet: Worksheet, first: str, last: str, formula: str, number_format: str | None = None) -> None:
    """An array formula that fills a range, entered the way that every spreadsheet program knows."""
    sheet[first] = ArrayFormula(f"{first}:{last}", formula)
    if number_format:
        for row in sheet[f"{first}:{last}"]:
            for cell in row:
                cell.number_format = number_format


def working(sheet: Worksheet, address: str, formula: str) -> None:
    """A cell that tells how a number came about, set off a little from the number on its left."""
    put(sheet, address, formula, None, UNDER).alignment = Alignment(
        horizontal="left", indent=1, wrap_text=True, vertical="center"
    )


def wrap(sheet: Worksheet, *addresses: str, height: float | None = None) -> None:
    """Long text wraps, from the top of its cell. `height` in points: programs do not fit it for merged cells."""
    for address in addresses:
        sheet[address].alignment = Alignment(wrap_text=True, vertical="top")
        if height:
            sheet.row_dimensions[sheet[address].row].height = height


def flag(sheet: Worksheet, area: str, formula: str) -> None:
    """Colours cells where the formula holds. The words in the cell must say the same."""
    sheet.conditional_formatting.add(area, FormulaRule(formula=[formula], fill=ALERT))


def bars(
    sheet: Worksheet,
    anchor: str,
    title: str,
    axes: tuple[str, str],
    labels: str,
    values: str,
    size: tuple[float, float],
    number_format: str = "0",
) -> BarChart:
    """A chart of standing bars, from cells of its own sheet. axes: the titles under and beside it; size in cm."""
    chart = BarChart()
    chart.title, chart.legend, chart.gapWidth = title, None, 60
    chart.x_axis.title, chart.y_axis.title = axes
    chart.x_axis.delete = chart.y_axis.delete = False
    chart.y_axis.number_format = number_format
    chart.width, chart.height = size
    chart.add_data(Reference(sheet, range_string=f"{quote_sheetname(sheet.title)}!{values}"))
    chart.set_categories(Reference(sheet, range_string=f"{quote_sheetname(sheet.title)}!{labels}"))
    chart.series[0].invertIfNegative = False  # left to itself, Calc draws a negative bar to the wrong side
    chart.series[0].graphicalProperties.solidFill = HEAD_FILL.fgColor.rgb[-6:]
    chart.dataLabels = DataLabelList(showVal=True, showSerName=False, showCatName=False, showLegendKey=False)
    chart.dataLabels.numFmt = number_format
    sheet.add_chart(chart, anchor)
    return chart


def protect(sheet: Worksheet) -> None:
    """Guards the formulas against a slip of the hand. No password: it can be lifted by a click."""
    sheet.protection.sheet = True
    sheet.protection.formatColumns = sheet.protection.formatRows = sheet.protection.formatCells = False


WHERE_TO_TYPE = (
    "In the cells with the orange Input look, like this one →",
    "Everything else is worked out. It is protected without a password.",
)


def lying_bars(
    sheet: Worksheet,
    anchor: str,
    titles: tuple[str, str, str],
    names: tuple[Worksheet, str],
    series: Sequence[tuple[Worksheet, str]],
    stacked: bool = False,
    number_format: str = WHOLE,
    size: tuple[float, float] = (24, 8),
    least: float | None = 0,
) -> None:
    """A chart of lying bars, the first row on top. titles: of the chart, of the names, of the numbers with their unit;
    names and series: a sheet and the cells of one column, each series from its heading cell on; size in cm;
    least: where the numbers begin, None where they may be negative."""
    chart = BarChart()
    chart.type, chart.title = "bar", titles[0]
    chart.x_axis.title, chart.y_axis.title = titles[1:]
    for source, area in series:
        chart.add_data(Reference(source, range_string=f"{quote_sheetname(source.title)}!{area}"), titles_from_data=True)
    chart.set_categories(Reference(names[0], range_string=f"{quote_sheetname(names[0].title)}!{names[1]}"))
    chart.x_axis.scaling.orientation = "maxMin"  # the first row on top, as in the sheet
    chart.y_axis.crosses = "max"  # which puts the numbers back to the bottom
    chart.x_axis.delete = chart.y_axis.delete = False
    chart.y_axis.number_format, chart.y_axis.scaling.min = number_format, least
    chart.x_axis.tickLblPos = "low"  # names stay at the side where a bar goes the other way
    chart.legend = chart.legend if len(series) > 1 else None
    if chart.legend:
        chart.legend.position = "b"
    chart.y_axis.majorGridlines.spPr = GraphicalProperties(ln=LineProperties(solidFill="D5DCD8"))
    chart.gapWidth = 60
    if stacked:
        chart.grouping, chart.overlap = "stacked", 100
    for one, colour in zip(chart.series, ("52796F", "E09F3E", "9E2A2B", "577590"), strict=False):
        one.graphicalProperties.solidFill = colour
        one.invertIfNegative = False  # left to itself, Calc draws a negative bar to the wrong side
    chart.width, chart.height = size
    sheet.add_chart(chart, anchor)


def close(sheet: Worksheet, area: str, titles: str | None = None) -> None:
    """The last touch on a sheet: what is printed, the rows repeated on each page ("7:7"), and its formulas guarded."""
    sheet.print_area = area
    if titles:
        sheet.print_title_rows = titles
    protect(sheet)


def start_here(
    book: Workbook,
    title: str,
    lines: Sequence[str],
    cautions: Sequence[str],
    sources: Sequence[str],
    where_to_type: Sequence[str] = WHERE_TO_TYPE,
    cautions_first: bool = False,
) -> None:
    """The first sheet: five lines on what the workbook does, then where to type, cautions, sources and version."""
    sheet = open_sheet(book, "Start here", title, "Made with Tarecell", (4, 100), landscape=False)
    row = 4
    sections = [
        ("What it does", lines, None),
        ("Where to type", where_to_type, None),
        ("Cautions", cautions, CAUTION_FILL),
        ("Sources", sources, None),
    ]
    if cautions_first:
        sections.insert(0, sections.pop(2))
    for heading, texts, fill in sections:
        put(sheet, f"A{row}", heading, None, STRONG)
        for offset, text in enumerate(texts, 1):
            cell = put(sheet, f"B{row + offset}", text)
            cell.alignment = Alignment(wrap_text=True, vertical="top")
            sheet.row_dimensions[row + offset].height = 15 * (1 + len(text) // 115)
            if fill:
                cell.fill = fill
        if texts and texts[0].endswith("→"):
            take(sheet, f"C{row + 1}", "type here")
            sheet.column_dimensions["C"].width = 12
        row += len(texts) + 2
    put(sheet, f"A{row}", "Version", None, STRONG)
    put(sheet, f"B{row + 1}", "=TC_VERSION()")
    put(
        sheet, f"B{row + 2}", f"built with Tarecell {__version__}; the line above tells what computes here", None, UNDER
    )
    protect(sheet)


def finish(book: Workbook, path: Path) -> Report:
    """Saves the workbook with the value of every formula inside, so that any viewer shows numbers."""
    book.active = 0
    for index, sheet in enumerate(book):
        sheet.sheet_view.tabSelected = index == 0
    with tempfile.TemporaryDirectory(dir=path.parent, prefix=".building-") as folder:
        draft = Path(folder) / path.name
        book.save(draft)
        path.unlink(missing_ok=True)
        return recalculate(draft, path)


def quoted(sheet_name: str) -> str:
    """A sheet's name as formulas write it."""
    return quote_sheetname(sheet_name)
