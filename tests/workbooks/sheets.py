"""Small workbooks written row by row, for tests that look for something in them."""

from pathlib import Path

from openpyxl import Workbook
from openpyxl.styles import Font
from openpyxl.workbook.defined_name import DefinedName


class As:
    """A value with a number format, or in bold."""

    def __init__(self, value, number_format="General", bold=False):
        self.value, self.format, self.bold = value, number_format, bold


def pct(value) -> As:
    return As(value, "0.0%")


def write(path: Path, sheets: dict[str, list], merged=None, states=None, names=None) -> Path:
    """Writes sheets given as lists of rows; None is an empty cell or row.

    merged, states: by sheet; names: defined name → reference.
    """
    book = Workbook()
    book.remove(book.active)
    for title, rows in sheets.items():
        sheet = book.create_sheet(title)
        for r, row in enumerate(rows, 1):
            for c, value in enumerate(row or (), 1):
                if isinstance(value, As):
                    cell = sheet.cell(r, c, value.value)
                    cell.number_format, cell.font = value.format, Font(bold=value.bold)
                elif value is not None:
                    sheet.cell(r, c, value)
        for area in (merged or {}).get(title, ()):
            sheet.merge_cells(area)
        sheet.sheet_state = (states or {}).get(title, "visible")
    for name, reference in (names or {}).items():
        book.defined_names[name] = DefinedName(name, attr_text=reference)
    book.save(path)
    return path
