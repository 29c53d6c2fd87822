"""Formulas that this version does not know, that show one value of many, read other files, or never hold still."""

import re

from openpyxl.utils import FORMULAE

from tarecell.errors import CellError
from tarecell.functions import REGISTRY, find
from tarecell.functions.records import COLUMN, ROW, TABLE
from tarecell.workbooks.check.context import Context
from tarecell.workbooks.check.report import ERROR, WARNING, Finding, finding
from tarecell.workbooks.find.ranges import parse
from tarecell.workbooks.package import Package, local
from tarecell.workbooks.references import address

_VOLATILE = {
    "NOW": "gives another value at every recalculation",
    "TODAY": "gives another value every day",
    "RAND": "gives another value at every recalculation",
    "RANDBETWEEN": "gives another value at every recalculation",
    "RANDARRAY": "gives another value at every recalculation",
    "OFFSET": "reads cells that nobody sees in the formula and recalculates all the time",
    "INDIRECT": "reads cells by their name as text, which breaks when rows are inserted",
}
_NAME = re.compile(r"[^\W\d][\w.]*")
_CONSTANTS = {"true", "false"}
_OTHER_FILE = re.compile(r"\[(\d+|[^\[\]]+\.xl\w+)\]")


def unknown_functions(context: Context) -> list[Finding]:
    """Formulas with a TC_ function that this version does not have."""
    found = []
    for grid, where, _, formula in context.formulas():
        for name in {c.name for c in formula.calls if c.name.startswith("TC_") and c.name not in REGISTRY}:
            try:
                find(name)
                hint = ""
            except CellError as error:
                hint = error.reason
            found.append(
                finding(
                    "unknown-function",
                    ERROR,
                    grid.sheet,
                    where,
                    f"{name} is no function of this version",
                    f"the cell cannot be computed here: {hint}",
                    "correct the name, or update Tarecell if the file comes from a newer version",
                )
            )
    return found


def unknown_names(context: Context) -> list[Finding]:
    """Formulas without a result that use a name or a function which nobody here knows."""
    names = {name.rpartition("!")[2].casefold() for name in context.book.names} | _table_names(context)
    found = []
    for grid, where, cell, formula in context.formulas():
        if cell.value is not None or (grid.sheet, where) in context.computed:
            continue
        calls = {call.name for call in formula.calls}
        unknown = [
            c for c in calls if c not in FORMULAE and not c.startswith("TC_") and f".{c}(" not in cell.formula.upper()
        ]
        unknown += [
            r
            for r in formula.references
            if _NAME.fullmatch(r) and parse(r, grid.sheet) is None and r.casefold() not in names | _CONSTANTS
        ]
        if not unknown or any("LET" in c or "LAMBDA" in c for c in calls):
            continue
        found.append(
            finding(
                "unknown-name",
                ERROR,
                grid.sheet,
                where,
                f"{unknown[0]} is no known function or name, in {cell.formula[:80]}",
                "the cell shows #NAME? unless a macro or an add-in defines it",
                "check the spelling, or define the name",
            )
        )
    return found


def _table_names(context: Context) -> set[str]:
    package = context.book.package
    parts = [part for part in package.names if part.lower().startswith("xl/tables/") and part.lower().endswith(".xml")]
    return {(package.xml(part).get("displayName") or "").casefold() for part in parts}


def first_value_only(context: Context) -> list[Finding]:
    """TC_ functions that give several values, entered as an ordinary formula: only the first value is shown."""
    found = []
    for grid, where, cell, formula in context.formulas():
        if cell.array or cell.error or not formula.calls or not formula.calls[0].whole:
            continue
        call = formula.calls[0]
        record = REGISTRY.get(call.name)
        if record is None or record.result not in (COLUMN, ROW, TABLE):
            continue
        if record.result == COLUMN and _rows(context, grid.sheet, call.arguments) < 2:
            continue
        shape = {COLUMN: "a whole column", ROW: "two cells side by side", TABLE: "a table"}[record.result]
        found.append(
            finding(
                "first-value-only",
                WARNING,
                grid.sheet,
                where,
                f"{call.name} fills {shape}, but it was entered as an ordinary formula",
                "most programs show only its first value, and the other rows are missing or come from elsewhere",
                "mark the cells it shall fill, then enter it with Ctrl+Shift+Enter; or put INDEX(…, row) around it",
            )
        )
    return found


def _rows(context: Context, sheet: str, arguments: list[str]) -> int:
    """The number of cells in the longest range that a call is given."""
    areas = [context.range(argument, sheet) for argument in arguments]
    return max((area.size for area in areas if area), default=2)


def _is_addin(package: Package, part: str) -> bool:
    """Whether a link to another file stands for nothing but functions: Excel's note of the file an add-in came from."""
    if part not in package:
        return False
    names = [e.get("name") or "" for e in package.xml(part).iter() if local(e.tag) == "definedName"]
    cells = any(local(e.tag) == "cell" for e in package.xml(part).iter())
    return bool(names) and not cells and all(name.upper().startswith("TC_") for name in names)


def external_links(context: Context) -> list[Finding]:
    """Other files that formulas read."""
    package = context.book.package
    targets = {}
    links = [r for r in package.relationships(package.workbook_part).values() if r.type == "externalLink"]
    for number, link in enumerate(links, 1):
        if _is_addin(package, link.target):
            continue
        outside = [r.target for r in package.relationships(link.target).values() if r.external]
        targets[str(number)] = outside[0] if outside else link.target
    used: dict[str, list[tuple[str, str]]] = {}
    for grid, where, _, formula in context.formulas():
        for reference in formula.references:
            for file in _OTHER_FILE.findall(reference.split("!")[0] if "!" in reference else ""):
                used.setdefault(targets.get(file, file), []).append((grid.sheet, address(where)))
    found = []
    for target in dict.fromkeys([*targets.values(), *used]):
        cells = used.get(target, [])
        where = ", ".join(f"{sheet}!{cell}" for sheet, cell in cells[:5]) or "no cell, perhaps a name or a chart"
        found.append(
            finding(
                "external-link",
                WARNING,
                cells[0][0] if cells else "",
                cells[0][1] if cells else None,
                f"another file is read: {target} (in {where}{' and others' if len(cells) > 5 else ''})",
                "the numbers stay as they were when that file was last at hand, and nobody notices",
                "copy the values into this workbook, or keep both files together and update the link",
            )
        )
    return found


def volatile(context: Context) -> list[Finding]:
    """Functions whose result changes without anybody changing a cell; one finding for each function and sheet."""
    cells: dict[tuple[str, str], list[str]] = {}
    for grid, where, _, formula in context.formulas():
        for name in {call.name for call in formula.calls if call.name in _VOLATILE}:
            cells.setdefault((grid.sheet, name), []).append(address(where))
    return [
        finding(
            "volatile",
            WARNING,
            sheet,
            places[0],
            f"{name} in {', '.join(places[:5])}{' and others' if len(places) > 5 else ''}",
            f"{name} {_VOLATILE[name]}: a batch record made today will not say the same tomorrow",
            "type the date or the number itself where the record shall stay, or refer to the cell directly",
        )
        for (sheet, name), places in cells.items()
    ]
