"""Builds function_tests.xlsx: the worked examples of all functions as cells that say TRUE, and one cell for them all.

    python workbook_templates/function_tests.py

Nothing here is typed by hand: every call and the value it should give come from the functions' own records.
"""

import datetime
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from openpyxl.styles import Alignment
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.formula import ArrayFormula
from tarecell import call
from tarecell.errors import SPREADSHEET_KINDS
from tarecell.functions import REGISTRY, Example, Record
from tarecell.functions.records import ROW
from tarecell.workbooks import paper
from tarecell.workbooks.paper import DAY, WHOLE, put
from tarecell.workbooks.recalculate import Report

NAME = "function_tests.xlsx"
SUMMARY, TESTS, ARGUMENTS = "Summary", "Tests", "Arguments"
HEAD, FIRST = 4, 5  # rows of the sheet of tests
RESULT, EXPECTED, PASSES = 3, 6, 9  # columns: three for the cells of a result, three for what they should be, TRUE
WIDTHS = (25, 48, 36, 10, 10, 36, 10, 10, 9)
# What ERROR.TYPE gives, in every spreadsheet program. Calc's own codes (Err:502 …) have no number there, and are saved
# as #VALUE!, so they count as #VALUE!.
ERROR_NUMBERS = {"#NULL!": 1, "#DIV/0!": 2, "#VALUE!": 3, "#REF!": 4, "#NAME?": 5, "#NUM!": 6, "#N/A": 7}
ERROR_FORMULAS = {"#N/A": "NA()", "#DIV/0!": "1/0", "#NUM!": "SQRT(-1)", "#VALUE!": '"x"+1'}

LINES = (
    "It calls every function with the worked examples of the function guide and compares what comes out.",
    "A test is passed where its cell says TRUE. The summary has one cell that is TRUE when all of them are.",
    "Use it after installing the functions, after an update, or when a number looks wrong to you.",
    "First let your program compute everything anew: Ctrl+Shift+F9 in LibreOffice Calc, Ctrl+Alt+F9 in Excel.",
    "The line under “Version” tells what computed the cells: until then it is what the file was built with.",
)
WHERE_TO_TYPE = ("Nowhere: this workbook only computes. All of it is protected without a password.",)
CAUTIONS = (
    "TRUE means: this machine computes as intended. It does not mean that what you type in elsewhere is right.",
    "Many examples are errors on purpose, such as a name that no table knows: there the error itself is what is right.",
)
SOURCES = (
    'Each function\'s own examples, and its published source: type =TC_SOURCE("TC_LYE") for that of a function.',
    "Numbers count as equal within the tolerance of the example, mostly 1 part in 1,000,000,000.",
)


def build(path: Path, data: Sequence[Record] | None = None) -> Report:
    """Writes the workbook. `data`: the records to test, all if left out. Raises where a cell does not say TRUE."""
    records = list(REGISTRY.values()) if data is None else list(data)
    book = paper.new_book("Function tests")
    paper.start_here(book, "Function tests", LINES, CAUTIONS, SOURCES, WHERE_TO_TYPE)
    summary = paper.open_sheet(
        book, SUMMARY, "Do the functions compute as they should?", "One line a family.", (34, 12, 12, 12, 46), False
    )
    tests = _Tests(book)
    blocks = [(family, tests.family(family, found)) for family, found in _by_family(records).items()]
    _summary(book, summary, blocks)
    tests.close()
    for sheet in book:
        paper.protect(sheet)
    report = paper.finish(book, path)
    _check(report, tests)
    return report


def _by_family(records: Sequence[Record]) -> dict[str, list[Record]]:
    found: dict[str, list[Record]] = {}
    for record in records:
        found.setdefault(record.family, []).append(record)
    return found


# -- the tests -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Block:
    """The rows of one family: from its first test to its last."""

    first: int
    last: int
    functions: int


class _Tests:
    """The sheet of tests, filled from the top, and the sheet of the ranges that the calls take."""

    def __init__(self, book):
        self.sheet = paper.open_sheet(
            book,
            TESTS,
            "Every worked example of every function",
            "What the call gives here, and what it should give. Ranges stand on the sheet “Arguments”.",
            WIDTHS,
        )
        self.arguments = paper.open_sheet(
            book, ARGUMENTS, "Ranges for the tests", "What the calls on the sheet “Tests” refer to.", (32, *[18] * 7)
        )
        paper.headings(self.arguments, HEAD, "first used by the test in", "cells", *[""] * 6)
        self.arguments.freeze_panes = f"A{FIRST}"
        self.arguments.print_title_rows = f"{HEAD}:{HEAD}"
        paper.headings(self.sheet, HEAD, "function", "call", "gives", "", "", "should give", "", "", "passed")
        self.sheet.freeze_panes = f"A{FIRST}"
        self.sheet.print_title_rows = f"{HEAD}:{HEAD}"
        self.row = FIRST
        self.next_argument = FIRST
        self.placed: dict[str, str] = {}
        self.expected_errors = Counter()

    def family(self, family: str, records: Sequence[Record]) -> Block:
        """The tests of one family, under its name."""
        put(self.sheet, f"A{self.row}", family, None, paper.STRONG)
        for column in range(1, PASSES + 1):
            self.sheet.cell(self.row, column).fill = paper.SUM_FILL
        self.row += 1
        first = self.row
        for record in records:
            for example in record.examples:
                self._example(record, example)
        return Block(first, self.row - 1, len(records))

    def _example(self, record: Record, example: Example) -> None:
        sheet, row = self.sheet, self.row
        formula = f"={record.name}({self._called_with(record, example)})"
        expected = _expected(record, example)
        width = len(expected[0])
        start = sheet.cell(row, RESULT)
        if len(expected) * width > 1:
            last = f"{get_column_letter(RESULT + width - 1)}{row + len(expected) - 1}"
            start.value = ArrayFormula(f"{start.coordinate}:{last}", formula)
        else:
            start.value = formula
        _text(sheet.cell(row, 1), record.name)
        _text(sheet.cell(row, 2), formula)
        for offset, line in enumerate(expected):
            self._line(row + offset, line, example, start.coordinate)
        if example.fails:
            self.expected_errors[example.fails] += 1
        lines = max(_lines(formula, 2), _lines(_shown(record, example), RESULT))
        sheet.row_dimensions[row].height = 15 * lines
        self.row += len(expected)

    def _line(self, row: int, line: list[Any], example: Example, first: str) -> None:
        """One row of a result: what each cell should be, and the cell that says TRUE."""
        sheet = self.sheet
        checks = []
        for i, item in enumerate(line):
            got, want = sheet.cell(row, RESULT + i), sheet.cell(row, EXPECTED + i)
            if _is_text(item):
                _text(want, item)
            elif example.fails:
                _text(want, f"the error {example.fails}")
            else:
                want.value = item
            if isinstance(item, datetime.date):
                got.number_format = want.number_format = DAY
            if item is None and not example.fails:  # a 0 has the length 1; blank says nothing where the call failed
                checks.append(f"IF(OR(ISERROR({first}),ISERROR({got.coordinate})),FALSE,LEN({got.coordinate})=0)")
            else:
                checks.append(_check_formula(got.coordinate, want.coordinate, item, example))
            for cell in (got, want):
                cell.alignment = Alignment(wrap_text=True, vertical="top", horizontal="left")
        for column in (1, 2):
            sheet.cell(row, column).alignment = Alignment(wrap_text=True, vertical="top")
        for column in range(1, PASSES + 1):
            sheet.cell(row, column).border = paper.LINE
        passes = sheet.cell(row, PASSES)
        passes.value = f"={checks[0]}" if len(checks) == 1 else f"=AND({','.join(checks)})"
        passes.font = paper.STRONG
        passes.alignment = Alignment(vertical="top", horizontal="center")

    # -- arguments -------------------------------------------------------------------------------------------------

    def _called_with(self, record: Record, example: Example) -> str:
        texts = [self._placed(a, record) if _is_range(a) else literal(a) for a in example.args]
        while texts and not texts[-1]:
            texts.pop()
        return ",".join(texts)

    def _placed(self, value: Any, record: Record) -> str:
        """The reference to a range, which gets cells of its own where no test before had the same."""
        key = repr(value)
        if key not in self.placed:
            self.placed[key] = self._place(_rows(value), f"{record.name}, row {self.row}")
        return self.placed[key]

    def _place(self, rows: list[list[Any]], first_use: str) -> str:
        top = self.next_argument
        put(self.arguments, f"A{top}", first_use, None, paper.UNDER)
        for r, row in enumerate(rows, top):
            for c, item in enumerate(row, 2):
                cell = self.arguments.cell(r, c)
                if _is_text(item) and item in SPREADSHEET_KINDS:
                    cell.value = f"={ERROR_FORMULAS[item]}"
                    self.expected_errors[item] += 1
                elif _is_text(item):
                    _text(cell, item)
                elif item is not None:
                    cell.value = item
                    if isinstance(item, datetime.date):
                        cell.number_format = DAY
                    cell.alignment = Alignment(horizontal="left")
                cell.border = paper.LINE
        self.next_argument += len(rows) + 1
        width = max(len(row) for row in rows)
        last = f":${get_column_letter(width + 1)}${top + len(rows) - 1}" if len(rows) * width > 1 else ""
        return f"{ARGUMENTS}!$B${top}{last}"

    def close(self) -> None:
        """What needs to know the last row."""
        passes = get_column_letter(PASSES)
        # Whole rows: over the one column Calc 25.2 stops while it prints the file.
        area = f"A{FIRST}:{passes}{self.row - 1}"
        paper.flag(self.sheet, area, f"AND(ISLOGICAL(${passes}{FIRST}),NOT(${passes}{FIRST}))")
        self.sheet.print_area = f"A1:{passes}{self.row - 1}"
        self.arguments.print_area = f"A1:H{self.next_argument - 1}"


def _shown(record: Record, example: Example) -> str:
    """The text that a call gives; nothing where it gives no text. It may go on after what the example asks for."""
    if example.fails or not _is_text(example.gives or example.starts):
        return ""
    return str(call(record.name, *example.args)).ljust(80 if example.starts else 0)


def _lines(text: str, column: int) -> int:
    """How many lines a text takes in a column, cautiously."""
    return 1 + int(len(text) * 1.1 / WIDTHS[column - 1])


def literal(value: Any) -> str:
    """A single value as it is typed into a formula; nothing for one that is left out."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, datetime.date):
        return f"DATE({value.year},{value.month},{value.day})"
    if isinstance(value, str):
        if value in SPREADSHEET_KINDS:
            return ERROR_FORMULAS[value]
        return '"' + value.replace('"', '""') + '"'
    return repr(value).removesuffix(".0")


def _is_text(item: Any) -> bool:
    return isinstance(item, str)


def _is_range(value: Any) -> bool:
    return isinstance(value, (list, tuple))


def _rows(value: Any, across: bool = False) -> list[list[Any]]:
    """A value as rows: a flat list is a column, or a row when `across`."""
    if not _is_range(value):
        return [[value]]
    if value and all(map(_is_range, value)):
        return [list(row) for row in value]
    return [list(value)] if across else [[item] for item in value]


def _expected(record: Record, example: Example) -> list[list[Any]]:
    """The cells of an example's result."""
    if example.fails is not None:
        return [[None]]
    return [[example.starts]] if example.starts is not None else _rows(example.gives, across=record.result == ROW)


def _check_formula(got: str, want: str, item: Any, example: Example) -> str:
    """An ordinary comparison of two cells, TRUE or FALSE whatever the first holds."""
    if example.fails:
        number = f"ERROR.TYPE({got})={ERROR_NUMBERS[example.fails]}"
        if example.fails == "#VALUE!":
            number = f"IFERROR({number},TRUE)"  # Calc's own codes: see ERROR_NUMBERS
        return f"IF(ISERROR({got}),{number},FALSE)"
    if example.starts is not None:
        return f"IF(ISTEXT({got}),EXACT(LEFT({got},LEN({want})),{want}),FALSE)"
    if _is_text(item):
        return f"IF(ISTEXT({got}),EXACT({got},{want}),FALSE)"
    if isinstance(item, bool):  # TRUE is a number in some programs
        return f"IF(OR(ISERROR({got}),ISTEXT({got})),FALSE,{got}*1={want}*1)"
    return f"IF(ISNUMBER({got}),ABS({got}-{want})<={example.within!r}*MAX(1,ABS({want})),FALSE)"


def _text(cell, text: str) -> None:
    """Text stays text, whatever it begins with."""
    cell.value = text
    cell.data_type = "s"


# -- the summary ---------------------------------------------------------------------------------------------------


def _summary(book, sheet, blocks: list[tuple[str, Block]]) -> None:
    passes = get_column_letter(PASSES)
    put(sheet, "A4", "All tests passed", None, paper.STRONG)
    put(sheet, "A5", "computed by")
    put(sheet, "B5", "=TC_VERSION()")
    put(
        sheet,
        "A6",
        "If this is not what you look at: Ctrl+Shift+F9 in LibreOffice Calc, Ctrl+Alt+F9 in Excel.",
        None,
        paper.UNDER,
    )
    paper.headings(sheet, 8, "family", "functions", "test cells", "TRUE", "in words")
    for row, (family, block) in enumerate(blocks, 9):
        area = f"{TESTS}!${passes}${block.first}:${passes}${block.last}"
        put(sheet, f"A{row}", family)
        put(sheet, f"B{row}", block.functions, WHOLE)
        put(sheet, f"C{row}", f"=ROWS({area})", WHOLE)
        put(sheet, f"D{row}", f"=COUNTIF({area},TRUE)", WHOLE)
        words = f'C{row}-D{row}&" of "&C{row}&" not passed: look for FALSE on the sheet {TESTS}"'
        put(sheet, f"E{row}", f'=IF(D{row}=C{row},"all passed",{words})').alignment = Alignment(
            horizontal="left", indent=1
        )
    last = 8 + len(blocks)
    total = last + 1
    put(sheet, f"A{total}", "together")
    for column in "BCD":
        put(sheet, f"{column}{total}", f"=SUM({column}9:{column}{last})", WHOLE)
    put(
        sheet,
        f"E{total}",
        f'=IF(B4,"the functions compute as they should",C{total}-D{total}&" cells do not say TRUE")',
    )
    sheet[f"E{total}"].alignment = Alignment(horizontal="left", indent=1)
    for column in "ABCDE":
        sheet[f"{column}{total}"].font, sheet[f"{column}{total}"].fill = paper.STRONG, paper.SUM_FILL
    put(sheet, "B4", f"=AND(C{total}>0,D{total}=C{total})", None, paper.TITLE)
    put(sheet, "D4", f"=E{total}", None, paper.STRONG)
    paper.flag(sheet, "A4:E4", "$B$4<>TRUE")
    paper.flag(sheet, f"A9:E{last}", "$D9<>$C9")
    paper.define(book, "all_passed", sheet, "B4")
    sheet.row_dimensions[4].height = 26
    for column in "ABD":
        sheet[f"{column}4"].alignment = Alignment(vertical="center", horizontal="left")
    sheet.print_area = f"A1:E{total}"


def _check(report: Report, tests: _Tests) -> None:
    """The file is only good where the errors in it are the intended ones, and nothing was left uncomputed."""
    found = Counter(finding.kind for finding in report.errors)
    if report.left_alone or found != tests.expected_errors:
        raise RuntimeError(f"unexpected errors: {found} for {tests.expected_errors}; left: {report.left_alone[:5]}")


if __name__ == "__main__":
    print(build(Path(__file__).with_name(NAME)).out)
