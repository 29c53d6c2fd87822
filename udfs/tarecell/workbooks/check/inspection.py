"""The inspection: every rule over one workbook."""

from pathlib import Path

from tarecell.workbooks.check import caps, errors, formulas, numbers, prices, recipes, soap
from tarecell.workbooks.check.context import context
from tarecell.workbooks.check.report import ERROR, Report
from tarecell.workbooks.find.grid import read_book
from tarecell.workbooks.problems import WorkbookProblem

RULES = [
    errors.error_cells,
    formulas.unknown_functions,
    formulas.unknown_names,
    formulas.first_value_only,
    formulas.external_links,
    formulas.volatile,
    numbers.typed_between_formulas,
    numbers.text_numbers,
    recipes.shares,
    recipes.totals,
    recipes.mixed_units,
    caps.blank_caps,
    caps.odd_caps,
    caps.shares_over_caps,
    caps.recipes_over_caps,
    caps.statuses,
    soap.lye_without_superfat,
    prices.without_pack,
]


def check_workbook(path: str | Path) -> Report:
    """Inspects a workbook file. A file that cannot be read gives a report that says why, with exit status 2."""
    report = Report(Path(path).name)
    try:
        book = read_book(path)
        found = context(book)
    except WorkbookProblem as problem:
        report.problem = problem.reason
        return report
    for rule in RULES:
        report.findings += rule(found)
    order = {grid.sheet: index for index, grid in enumerate(book.grids)}
    report.findings.sort(key=lambda f: (f.severity != ERROR, order.get(f.sheet, -1)))
    count = len(found.tables)
    report.notes.append(f"looked at {len(book.grids)} sheets, {count} recipe table{'' if count == 1 else 's'}")
    report.notes += dict.fromkeys(found.notes)
    return report
