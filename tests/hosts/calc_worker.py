"""Drives one LibreOffice for the tests; runs in a Python that has `uno`. One JSON request a line in, one answer out."""

import json
import os
import subprocess
import sys
import time
import traceback

import uno

PATIENCE = 90  # seconds
TEXT_RESULT, ERROR_RESULT = 2, 4  # com.sun.star.sheet.FormulaResult
FILTERS = {
    ".xlsx": "Calc MS Excel 2007 XML",
    ".ods": "calc8",
    ".pdf": "calc_pdf_Export",
    ".csv": "Text - txt - csv (StarCalc)",
}


def properties(**values):
    return tuple(uno.createUnoStruct("com.sun.star.beans.PropertyValue", n, 0, v, 0) for n, v in values.items())


def is_text(cell):
    kind = cell.Type.value
    return kind in ("TEXT", "EMPTY") or kind == "FORMULA" and cell.FormulaResultType2 == TEXT_RESULT


_RETURN = 1280  # com.sun.star.awt.Key.RETURN


class Worker:
    def __init__(self, soffice, profile):
        pipe = f"calc{os.getpid()}"
        self.office = subprocess.Popen(
            [soffice, "--headless", "--norestore", "--nologo", f"--accept=pipe,name={pipe};urp;",
             f"-env:UserInstallation={uno.systemPathToFileUrl(profile)}"],
            stdout=sys.stderr,
        )  # fmt: skip
        resolver = uno.getComponentContext().ServiceManager.createInstance("com.sun.star.bridge.UnoUrlResolver")
        until = time.monotonic() + PATIENCE
        while True:
            try:
                self.context = resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
                break
            except Exception:
                if self.office.poll() not in (None, 81) or time.monotonic() > until:
                    raise
                time.sleep(0.1)
        self.desktop = self.service("com.sun.star.frame.Desktop")

    def service(self, name):
        return self.context.ServiceManager.createInstanceWithContext(name, self.context)

    def open(self, path=None, hidden=True):
        url = uno.systemPathToFileUrl(path) if path else "private:factory/scalc"
        document = self.desktop.loadComponentFromURL(url, "_blank", 0, properties(Hidden=hidden))
        if document is None:
            raise ValueError(f"Calc cannot open {path}")
        return document

    def read(self, path, save=(), enter=None, null_date=None):
        """Every used cell of every sheet, after entering `enter` (sheet → address → value); saved to each of `save`."""
        document = self.open(path)
        try:
            if null_date:
                document.NullDate = uno.createUnoStruct("com.sun.star.util.Date", *reversed(null_date))
            for sheet, cells in (enter or {}).items():
                self.enter(document.Sheets.getByName(sheet), cells)
            document.calculateAll()
            found = {sheet.Name: list(self.cells(sheet)) for sheet in document.Sheets}
            for target in save:
                self.store(document, target)
            return found
        finally:
            document.close(True)

    def store(self, document, path):
        name = FILTERS[os.path.splitext(path)[1]]
        document.storeToURL(uno.systemPathToFileUrl(path), properties(FilterName=name))

    def enter(self, sheet, cells):
        for address, value in cells.items():
            place = sheet.getCellRangeByName(address)
            if ":" in address:
                place.setArrayFormula(value)
            elif isinstance(value, str) and value.startswith("="):
                place.Formula = value
            elif isinstance(value, str):
                place.String = value
            else:
                place.Value = value

    def cells(self, sheet):
        cursor = sheet.createCursor()
        cursor.gotoEndOfUsedArea(False)
        last = cursor.RangeAddress
        area = sheet.getCellRangeByPosition(0, 0, last.EndColumn, last.EndRow)
        formulas, values = area.getFormulaArray(), area.getDataArray()
        failed = {  # asked for at once, as every question to a cell takes its time
            (row, column)
            for block in area.queryFormulaCells(ERROR_RESULT).RangeAddresses
            for row in range(block.StartRow, block.EndRow + 1)
            for column in range(block.StartColumn, block.EndColumn + 1)
        }
        for row, line in enumerate(formulas):
            for column, formula in enumerate(line):
                if formula == "":
                    continue
                value, error = values[row][column], 0
                if (row, column) in failed:
                    cell = sheet.getCellByPosition(column, row)
                    value, error = cell.String, cell.getError()
                yield row + 1, column + 1, formula, value, error

    def wizard(self):
        """The functions of the wizard whose names start with TC_."""
        descriptions = self.service("com.sun.star.sheet.FunctionDescriptions")
        found = {}
        for position in range(descriptions.Count):
            entry = {p.Name: p.Value for p in descriptions.getByIndex(position)}
            if entry["Name"].startswith("TC_"):
                arguments = [(a.Name, a.Description) for a in entry["Arguments"] or ()]
                found[entry["Name"]] = {
                    "summary": entry["Description"], "arguments": arguments, "category": entry["Category"],
                }  # fmt: skip
        return found

    def basic(self, modules, calls):
        """What functions of these Basic modules give (each call: module, function, arguments), in VBA's mode."""
        document = self.open()
        try:
            libraries = document.BasicLibraries
            libraries.VBACompatibilityMode = True
            if not libraries.hasByName("Standard"):
                libraries.createLibrary("Standard")
            for name, text in modules.items():
                libraries.getByName("Standard").insertByName(name, text)
            provider = document.getScriptProvider()
            place = "vnd.sun.star.script:Standard.{}.{}?language=Basic&location=document"
            return [provider.getScript(place.format(m, f)).invoke(tuple(args), (), ())[0] for m, f, args in calls]
        finally:
            document.close(True)

    # What a person does at one workbook, by the commands that keys and menus give.

    def sit_down(self, path):
        self.document = self.open(path, hidden=False)

    def leave(self):
        self.document.close(True)

    def dispatch(self, command, place=None, arguments=()):
        if place is not None:
            self.dispatch("GoToCell", arguments={"ToPoint": place})
        frame = self.document.CurrentController.Frame
        self.service("com.sun.star.frame.DispatchHelper").executeDispatch(
            frame, f".uno:{command}", "", 0, properties(**dict(arguments))
        )

    def type(self, place, texts):
        for text in texts:
            self.dispatch("EnterString", place, {"StringName": text})
            place = None
            self.dispatch("GoDown", arguments={"By": 1})

    def area(self, place):
        return self.document.CurrentController.ActiveSheet.getCellRangeByName(place)

    def fill(self, place, formula):
        self.area(place).setArrayFormula(formula)

    def keys(self, place, text, modifiers):
        """Presses the keys of a text and then Enter, at first in these cells and afterwards where the cursor is."""
        if place is not None:
            self.dispatch("GoToCell", arguments={"ToPoint": place})
        window = self.document.CurrentController.Frame.getComponentWindow()
        window.setFocus()
        robot = self.service("com.sun.star.awt.Toolkit")
        for character, code, held in [*((c, 0, 0) for c in text), ("\r", _RETURN, modifiers)]:
            event = uno.createUnoStruct("com.sun.star.awt.KeyEvent")
            event.Source, event.KeyChar, event.KeyCode, event.Modifiers = window, character, code, held
            robot.keyPress(event)
            robot.keyRelease(event)
        robot.processEventsToIdle()

    def on_screen(self, place):
        area = self.area(place)
        for row in range(area.Rows.Count):
            for column in range(area.Columns.Count):
                yield area.getCellByPosition(column, row)

    def shown(self, place):
        return [cell.String if cell.getError() or is_text(cell) else cell.Value for cell in self.on_screen(place)]

    def typed(self, place):
        return [cell.FormulaLocal for cell in self.on_screen(place)]

    def save(self, path):
        self.store(self.document, path)

    def configured(self, node):
        """A part of LibreOffice's settings."""
        provider = self.service("com.sun.star.configuration.ConfigurationProvider")
        where = properties(nodepath=f"/org.openoffice.{node}")
        return provider.createInstanceWithArguments("com.sun.star.configuration.ConfigurationAccess", where)

    def languages(self):
        return list(self.configured("Setup/Office/InstalledLocales").ElementNames)

    def label(self, command):
        commands = self.service("com.sun.star.frame.UICommandDescription")
        told = commands.getByName("com.sun.star.sheet.SpreadsheetDocument").getByName(command)
        return {p.Name: p.Value for p in told}["Label"]

    def quit(self):
        try:
            self.desktop.terminate()
        except Exception:
            pass
        try:
            self.office.wait(20)
        except subprocess.TimeoutExpired:
            self.office.kill()


def main(soffice, profile, worker=Worker):
    worker = worker(soffice, profile)
    try:
        print(json.dumps({"answer": "ready"}), flush=True)
        for line in sys.stdin:
            request = json.loads(line)
            try:
                answer = {"answer": getattr(worker, request.pop("do"))(**request)}
            except Exception:
                answer = {"problem": traceback.format_exc()}
            print(json.dumps(answer), flush=True)
    finally:
        worker.quit()


if __name__ == "__main__":
    main(*sys.argv[1:])
