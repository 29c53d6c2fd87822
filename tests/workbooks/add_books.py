"""Recipe workbooks of every untidiness for the tests of `add`, and a look into what came out."""

from pathlib import Path

import openpyxl
from openpyxl.styles import Border, Font, PatternFill, Side
from tarecell.workbooks.add import plan_addition, write
from workbooks.rich import parts

RECIPE = [
    ["phase", "ingredient", "amount", "unit"],
    ["water", "Water", 300, "g"],
    [None, None, None, None],
    ["oil", "Olive oil", 2, "oz"],
    ["oil", "Shea butter", 40, "g"],
]
CAPS = [["fragrance", 4, "5A", "5B", 9], ["Harbour Fig", 0.09, 0.02, None, 0.03], ["Still Pond", 0.05, 0.0, 0.01, 0.02]]
PRICES = [
    ["material", "pack", "unit", "price", "freight", "g per mL"],
    ["Water", 1, "L", 1.0, None, 1.0],
    ["Olive oil", 500, "g", 10.0, 2.5, None],
    ["Shea butter", 1, "kg", 15.0, None, None],
]
FILL, EDGE = PatternFill("solid", fgColor="FFDDEEFF"), Side("thin", color="FF336699")


def workbook(path: Path, sheets: dict[str, list[list]], change=None) -> Path:
    """A workbook with these rows; headings (first row) bold on blue, the rest boxed. `change(book)` before saving."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for number, row in enumerate(rows, 1):
            for column, value in enumerate(row, 1):
                cell = sheet.cell(number, column, value)
                cell.border = Border(EDGE, EDGE, EDGE, EDGE)
                if number == 1:
                    cell.font, cell.fill = Font(bold=True), FILL
    if change:
        change(book)
    book.save(path)
    return path


def recipe(tmp_path: Path, rows=None, change=None, name: str = "recipe.xlsx", **more) -> Path:
    """A workbook with one recipe on the sheet “Cream”, and the sheets in `more`."""
    return workbook(tmp_path / name, {"Cream": rows or RECIPE, **more}, change)


def added(path: Path, what: str, **options):
    """The plan, and the new file's sheets with formulas and with values."""
    plan = plan_addition(path, what, **options)
    out = write(plan, path.with_name("out" + path.suffix)).out
    return plan, openpyxl.load_workbook(out), openpyxl.load_workbook(out, data_only=True)


def column(sheet, letter: str, first: int, last: int) -> list:
    """A column's values; array formulas by their text."""
    found = [sheet[f"{letter}{row}"].value for row in range(first, last + 1)]
    return [getattr(value, "text", value) for value in found]


def changed_parts(one: Path, other: Path) -> set[str]:
    """The parts that two packages do not have in common, byte for byte."""
    before, after = parts(one), parts(other)
    return {name for name in before.keys() | after.keys() if before.get(name) != after.get(name)}
