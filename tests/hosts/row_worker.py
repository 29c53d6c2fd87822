"""As trial_worker.py, for copies that get new rows."""

import sys

from calc_worker import main
from trial_worker import Trials


class Rows(Trials):
    def rows(self, path, sheet, row, values, sheets):
        """The formula cells with a row of values put in before `row`, and with that taken out again."""
        document = self.open(path)
        try:
            lines = document.Sheets.getByName(sheet).Rows
            lines.insertByIndex(row - 1, 1)
            for column, value in enumerate(values):
                self.put(document.Sheets.getByName(sheet).getCellByPosition(column, row - 1), value)
            document.calculateAll()
            found = [self.shown(document, sheets)]
            lines.removeByIndex(row - 1, 1)
            document.calculateAll()
            return [*found, self.shown(document, sheets)]
        finally:
            document.close(True)


if __name__ == "__main__":
    main(*sys.argv[1:], worker=Rows)
