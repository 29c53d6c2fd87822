"""Error cells, with their reasons. Cells that only pass an error on are named with the cell where it begins."""

from tarecell.errors import SPREADSHEET_KINDS, CellError
from tarecell.functions import REGISTRY
from tarecell.workbooks.check.context import Context, Place
from tarecell.workbooks.check.formula import Formula, taken_apart
from tarecell.workbooks.check.report import ERROR, Finding, finding
from tarecell.workbooks.find.grid import Cell
from tarecell.workbooks.find.ranges import parse
from tarecell.workbooks.references import address

_REASONS = {
    "#DIV/0!": "something is divided by 0 or by a blank cell",
    "#VALUE!": "text stands where a number belongs, or ranges differ in length",
    "#N/A": "something is not found, or a cell it needs is not filled in",
    "#NUM!": "a number is outside what is possible or allowed",
    "#REF!": "it refers to cells that were deleted",
    "#NAME?": "it uses a function or a name that the spreadsheet program did not know",
    "#NULL!": "two ranges that do not meet stand side by side without a comma between them",
    "#SPILL!": "the cells that the result wants to fill are not free",
    "#CALC!": "the formula gives an empty array",
}
_TODO = {
    "#REF!": "type the reference again, or take the deleted row or column back from an older copy",
    "#NAME?": "check the spelling of the function and of the name",
    "#DIV/0!": "fill in the number it divides by",
    "#SPILL!": "clear the cells below and to the right of it",
    "#N/A": "check the name that is looked up, or add it to the list",
}


def error_cells(context: Context) -> list[Finding]:
    """One finding for each cell where an error begins."""
    errors: dict[Place, Cell] = {
        (grid.sheet, where): cell for grid in context.book.grids for where, cell in grid.cells.items() if cell.error
    }
    anchors = _anchors(context)
    followers: dict[Place, list[Place]] = {}
    roots = []
    for place, cell in errors.items():
        anchor = anchors.get(place)
        if anchor is not None and anchor in errors:
            continue  # one array formula, one finding
        source = _source(context, place, cell, errors)
        if source is None:
            roots.append(place)
        else:
            followers.setdefault(source, []).append(place)
    return [_told(context, place, errors[place], _all_followers(place, followers)) for place in roots]


def _anchors(context: Context) -> dict[Place, Place]:
    """The cell with the formula, for each other cell that an array formula fills."""
    found: dict[Place, Place] = {}
    for grid in context.book.grids:
        for where, cell in grid.cells.items():
            if cell.array and cell.formula is None and (area := parse(cell.array, grid.sheet)):
                found[grid.sheet, where] = (grid.sheet, area.corner)
    return found


def _source(context: Context, place: Place, cell: Cell, errors: dict[Place, Cell]) -> Place | None:
    """A cell with an error that this one reads, where it reads one."""
    if cell.formula is None:
        return None
    for reference in taken_apart(cell.formula).references:
        area = context.range(reference, place[0])
        if area is None:
            continue
        for where, read in context.cells(area):
            if read.error and (area.sheet, where) != place and (area.sheet, where) in errors:
                if read.value == cell.value:
                    return area.sheet, where
    return None


def _all_followers(root: Place, followers: dict[Place, list[Place]]) -> list[Place]:
    found, todo, seen = [], [root], {root}
    while todo:
        for place in followers.get(todo.pop(), []):
            if place not in seen:
                seen.add(place)
                found.append(place)
                todo.append(place)
    return found


def _told(context: Context, place: Place, cell: Cell, followers: list[Place]) -> Finding:
    sheet, where = place
    kind = str(cell.value)
    formula = taken_apart(cell.formula) if cell.formula else None
    why, do = _reason(context, place, kind, formula)
    shown = f" in {cell.formula[:80]}" if cell.formula else ""
    passed = ""
    if followers:
        names = [address(w) if s == sheet else f"{s}!{address(w)}" for s, w in followers[:5]]
        verb = "passes" if len(names) == 1 else "pass"
        passed = f"; {', '.join(names)}{' and others' if len(followers) > 5 else ''} only {verb} it on"
    return finding("error-cell", ERROR, sheet, where, f"{kind}{shown}{passed}", why, do)


def _reason(context: Context, place: Place, kind: str, formula: Formula | None) -> tuple[str, str]:
    """Why a cell is an error, and what to do."""
    if formula is None:
        return "an error value was typed or pasted here as a constant", "type the value that belongs here"
    ours = [call.name for call in formula.calls if call.name.startswith("TC_") and call.name in REGISTRY]
    now = context.computed.get(place)
    if kind == "#NAME?" and ours and not isinstance(now, CellError):
        return (
            f"the program that saved the file did not know {ours[0]}",
            "install the Tarecell functions there, or recalculate the file here",
        )
    if place in context.computed and not isinstance(now, CellError):
        return (
            f"the stored result is out of date: computed now, the cell gives {now}",
            "recalculate the workbook in your spreadsheet program (in Excel and Calc: Ctrl+Shift+F9) and save it",
        )
    reason = context.reasons.get(place, "") if isinstance(now, CellError) and now.kind == kind else ""
    if reason:
        return reason, _TODO.get(kind, "mend what the reason names") if not ours else "mend what the reason names"
    if ours:
        record = REGISTRY[ours[0]]
        return f"{_REASONS.get(kind, 'it cannot be computed')} ({record.signature})", (
            f"ask TC_EXPLAIN for {ours[0]} with the same arguments: it gives the reason"
        )
    known = kind if kind in SPREADSHEET_KINDS else "#VALUE!"
    return _REASONS.get(known, "it cannot be computed"), _TODO.get(known, "check the cells that the formula reads")
