"""As calc_worker.py, for workbooks that are opened once and changed many times, as a person does."""

import sys

import uno
from calc_worker import Worker, main

NUMBER, TEXT, FORMULA = (uno.Enum("com.sun.star.table.CellContentType", kind) for kind in ("VALUE", "TEXT", "FORMULA"))
ERRORS = 4


class Trials(Worker):
    def trials(self, path, changes, sheets):
        """The formula cells of `sheets` as the workbook is, and after each of `changes` (sheet → address → value)."""
        document = self.open(path)
        try:
            document.calculateAll()
            for sheet in document.Sheets:
                sheet.unprotect("")  # no locked cell can be emptied
            found = [self.shown(document, sheets)]
            for change in changes:
                before = [
                    self.put(document.Sheets.getByName(sheet).getCellRangeByName(address), value)
                    for sheet, cells in change.items()
                    for address, value in cells.items()
                ]
                document.calculate()  # what has changed, as Calc does before it draws the cells
                found.append(self.shown(document, sheets))
                for cell, value in reversed(before):
                    self.put(cell, value)
            return found
        finally:
            document.close(True)

    @staticmethod
    def put(cell, value):
        """Types a value into a cell; the cell, and what it held."""
        held = cell.Value if cell.Type == NUMBER else cell.String if cell.Type == TEXT else None
        if cell.Type == FORMULA:  # as TRUE and FALSE in a file come, too
            held = cell.Formula
        if value is None or (isinstance(value, str) and value.startswith("=")):
            cell.Formula = value or ""
        elif isinstance(value, bool):
            cell.Formula = f"={str(value).upper()}()"
        elif isinstance(value, str):
            cell.String = value
        else:
            cell.Value = value
        return cell, held

    @staticmethod
    def shown(document, sheets):
        """Sheet → row, column, value, error."""
        found = {}
        for name in sheets:
            sheet = document.Sheets.getByName(name)
            cells = found[name] = []
            for area in sheet.queryContentCells(16).RangeAddresses:
                place = sheet.getCellRangeByPosition(area.StartColumn, area.StartRow, area.EndColumn, area.EndRow)
                wrong = {}
                for bad in place.queryFormulaCells(ERRORS).RangeAddresses:
                    for row in range(bad.StartRow, bad.EndRow + 1):
                        for column in range(bad.StartColumn, bad.EndColumn + 1):
                            wrong[row, column] = sheet.getCellByPosition(column, row).String
                for row, line in enumerate(place.getDataArray(), area.StartRow):
                    for column, value in enumerate(line, area.StartColumn):
                        cells.append((row + 1, column + 1, value, wrong.get((row, column), "")))
        return found


if __name__ == "__main__":
    main(*sys.argv[1:], worker=Trials)
