"""Times recalculation inside one running Calc; runs in a Python that has `uno`, beside tests/hosts/calc_worker.py."""

import os
import sys
import time
from pathlib import Path

import uno
from calc_worker import Worker, main


class Clock(Worker):
    """Keeps documents open between requests, so that they can be recalculated in turns."""

    def __init__(self, *place):
        super().__init__(*place)
        self.documents = {}
        self.process = self.find_process(*place)
        self.recalculation = self.service("emptyaddin.Recalculation")

    def find_process(self, _, profile):
        """Where Linux tells of Calc's own process; None elsewhere."""
        for entry in Path("/proc").glob("[0-9]*/cmdline"):
            try:
                command = entry.read_bytes()
            except OSError:  # it has just ended
                continue
            if os.fsencode(profile) in command and b"soffice.bin" in command.split(b"\0")[0]:
                return entry.parent

    def calculate_all(self, document):
        """Has everything computed from a thread that runs Python already, as Calc's main thread does for a person.

        For a request from outside, Calc takes some thread. Where that has not run Python before, each call of a
        function begins and ends a Python of its own, and costs 20 µs more, an empty function's too.
        """
        named = uno.createUnoStruct("com.sun.star.beans.NamedValue", "document", document)
        self.recalculation.execute((named,))

    def spent(self):
        """Seconds of processor time that each thread of Calc has used; the clock on the wall where nobody tells."""
        if self.process is None:
            return {0: time.perf_counter()}
        return {task: int((task / "schedstat").read_text().split()[0]) / 1e9 for task in self.process.glob("task/*")}

    def spent_since(self, before):
        return sum(seconds - before.get(thread, 0.0) for thread, seconds in self.spent().items())

    def sheet(self, name, data, down=(), arrays=()):
        """Opens a new document. `data`: (address, rows); `down`: (address, formula of its first cell, which is filled
        down); `arrays`: (address, array formula)."""
        document = self.documents[name] = self.open()
        document.enableAutomaticCalculation(False)
        cells = document.Sheets.getByIndex(0)
        for address, rows in data:
            cells.getCellRangeByName(address).setDataArray(tuple(map(tuple, rows)))
        for address, formula in down:
            column = cells.getCellRangeByName(address)
            column.getCellByPosition(0, 0).setFormula(formula)
            column.fillAuto(uno.Enum("com.sun.star.sheet.FillDirection", "TO_BOTTOM"), 1)
        for address, formula in arrays:
            cells.getCellRangeByName(address).setArrayFormula(formula)
        document.calculateAll()

    def recalculate(self, names, rounds, touched=None):
        """Seconds of processor time for a full recalculation: for each round, one number per document, in turns.

        Processor time, as whatever else the machine does must not count.

        touched: the address of a number that is changed before each of them.
        """
        found = []
        for turn in range(rounds):
            times = []
            for name in names:
                if touched:
                    self.documents[name].Sheets.getByIndex(0).getCellRangeByName(touched).Value = 1 + turn / 8
                start = self.spent()
                self.calculate_all(self.documents[name])
                times.append(self.spent_since(start))
            found.append(times)
        return found

    def shown(self, name, address):
        """What cells show, to see that the functions did work."""
        cells = self.documents[name].Sheets.getByIndex(0).getCellRangeByName(address)
        return [list(row) for row in cells.getDataArray()]

    def close(self, name):
        self.documents.pop(name).close(True)


if __name__ == "__main__":
    main(*sys.argv[1:], worker=Clock)
