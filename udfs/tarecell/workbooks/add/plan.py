"""`plan_addition`: the cells that would be written, with the values that they will show. Nothing is written yet."""

import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tarecell.errors import CellError
from tarecell.functions import REGISTRY
from tarecell.workbooks.add.cells import NewCell, neighbours, new_cells
from tarecell.workbooks.add.changes import Changes, changes
from tarecell.workbooks.add.cost import cost
from tarecell.workbooks.add.fragrance import fragrance
from tarecell.workbooks.add.place import Places, cut_off, place
from tarecell.workbooks.add.refusals import refuse
from tarecell.workbooks.add.request import COST, FRAGRANCE, SCALE, SHARES, Request, request
from tarecell.workbooks.add.scale import scale, shares
from tarecell.workbooks.add.sketch import Sketch
from tarecell.workbooks.add.subject import Subject, subject
from tarecell.workbooks.add.surroundings import Surroundings, surroundings
from tarecell.workbooks.evaluate import Evaluation, evaluate
from tarecell.workbooks.find.grid import Book, Grid, read_book
from tarecell.workbooks.find.text import harmless
from tarecell.workbooks.open_document import as_xlsx
from tarecell.workbooks.package import Package
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.recalculate import Finding
from tarecell.workbooks.references import address, letters
from tarecell.workbooks.styles import Styles

_BUILDERS = {SCALE: scale, SHARES: shares, FRAGRANCE: fragrance, COST: cost}


@dataclass(frozen=True)
class PlannedCell:
    """One cell (or array formula) of a plan: where, what is written, how it is shown, and the cell it looks like.

    `shows`: the value that it will show; None where it cannot be computed here. `over`: what it overwrites.
    """

    sheet: str
    address: str
    content: str
    number_format: str
    style_of: str
    shows: float | str | bool | CellError | None = None
    over: str = ""
    formula: bool = False  # whether the content is a formula: a text may begin with "=" too
    filled_down: bool = False  # the formula of the cell above, one row on


@dataclass
class Plan:
    """What would be written. `str(plan)` is the text of a dry run; `write(plan)` writes it."""

    file: Path
    what: str
    sheet: str
    recipe: str
    cells: list[PlannedCell]
    widths: dict[str, float] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)
    errors: list[Finding] = field(default_factory=list)
    package: Package | None = field(default=None, repr=False)
    changes: Changes | None = field(default=None, repr=False)

    @property
    def overwrites(self) -> list[PlannedCell]:
        """The cells that something stands in, or that a formula reads."""
        return [cell for cell in self.cells if cell.over]

    def __str__(self) -> str:
        head = f"{harmless(self.file.name)}: {self.what} for “{self.recipe}” on the sheet “{harmless(self.sheet)}”"
        lines = [head, *(f"  {_line(run)}" for run in _runs(self.cells))]
        lines += [f"  column {column} is made {width:g} characters wide" for column, width in self.widths.items()]
        lines += [f"  note: {note}" for note in self.notes]
        lines += [f"  {'error' if finding.kind else 'left'}: {finding}" for finding in self.errors]
        return "\n".join(lines + [f"  caution: {caution}" for caution in self.cautions])


def _runs(cells: list[PlannedCell]) -> list[list[PlannedCell]]:
    """The cells, those together whose formula is filled down."""
    runs: list[list[PlannedCell]] = []
    for cell in cells:
        if cell.filled_down and runs and not cell.over and not runs[-1][0].over:
            runs[-1].append(cell)
        else:
            runs.append([cell])
    return runs


def _line(run: list[PlannedCell]) -> str:
    cell = run[0]
    where = cell.address if len(run) == 1 else f"{cell.address}:{run[-1].address}"
    text = f"{where:<9} {harmless(cell.content, 600)}" + ("  (filled down)" if len(run) > 1 else "")
    if cell.formula:
        shown = [_shown(one.shows) for one in run[:12]] + ["…"] * (len(run) > 12)
        text += f"  →  {' · '.join(shown)}"
    if cell.number_format != "General":
        text += f"   [{cell.number_format}]"
    text += f"   looks like {cell.style_of}" + (" and so on down" if len(run) > 1 else "")
    return text + (f"   OVERWRITES: {cell.over}" if cell.over else "")


def _shown(value: Any) -> str:
    if value is None:
        return "not computed here"
    if isinstance(value, CellError):
        return value.kind
    if isinstance(value, float):
        return f"{value:.6g}"
    return harmless(value) or "blank"


def plan_addition(path: str | Path, what: str, **options: Any) -> Plan:
    """Plans `what` ("scale", "shares", "fragrance", "cost") beside a recipe; the options are those of `Request`.

    Raises WorkbookProblem, in one line, where the file cannot be read or changed, or the recipe is not clear.
    """
    asked = request(what, **options)
    path = Path(path)
    with as_xlsx(path) as workbook:
        book = read_book(workbook)
        refuse(book.package)
        before = evaluate(book.package)  # first: it finds damage that reading alone does not see
        recipe = subject(book, asked)
        sketch = _BUILDERS[what](recipe, asked, book)
        return _planned(path, asked, book, before, recipe, sketch)


def _planned(path: Path, asked: Request, book: Book, before: Evaluation, recipe: Subject, sketch: Sketch) -> Plan:
    package, grid = book.package, book.grid(recipe.sheet)
    sheet = next(s for s in package.sheets if s.name == recipe.sheet)
    around = surroundings(package, sheet, before)
    if around.layout.protected:
        raise WorkbookProblem(
            f"the sheet “{harmless(sheet.name)}” is protected: unprotect it in your spreadsheet program first"
        )
    places = place(sketch, recipe, around, asked.at)
    cells = new_cells(sketch, recipe, places, neighbours(recipe, around.layout))
    changed = changes(package, around, cells, before)
    _refuse_unusable(cells, changed, recipe, places)
    plan = Plan(path, asked.what, sheet.name, recipe.title, _listed(sheet.name, cells, places, changed))
    plan.widths = {letters(column): width for column, width in changed.widths.items()}
    plan.notes = [*recipe.notes, *sketch.notes, *_notes(recipe, around, places, package, grid)]
    plan.cautions = list(dict.fromkeys(c for f in sketch.functions if (c := REGISTRY[f].cautions)))
    plan.notes = [note for note in plan.notes if note and note not in plan.cautions]
    plan.errors = _errors(sheet.name, cells, changed)
    plan.package, plan.changes = package, changed
    return plan


def _refuse_unusable(cells: list[NewCell], changed: Changes, recipe: Subject, places: Places) -> None:
    """A row whose amount cannot be read spoils the whole column: told with the row, and nothing is written."""
    for cell in cells:
        value = changed.values.get(cell.where)
        in_rows = recipe.first_row <= cell.where[0] <= recipe.last_row and cell.where[1] in places.columns.values()
        if in_rows and cell.formula and isinstance(value, CellError):
            reason = changed.reasons.get(cell.where) or value.kind
            raise WorkbookProblem(
                f"{harmless(recipe.sheet)}, {_which(cell, recipe, reason)}={harmless(cell.formula, 80)} would be "
                f"{value.kind}: {reason}{_what_to_do(cell, reason)}"
            )


def _which(cell: NewCell, recipe: Subject, reason: str) -> str:
    """The row that a reason is about. Functions count the rows of the range they got."""
    if not cell.ref:
        return f"row {cell.where[0]}, "
    counted = re.search(r"\brow (\d+)\b", reason)
    return f"{address((recipe.first_row + int(counted[1]) - 1, recipe.amounts))}, " if counted else ""


def _what_to_do(cell: NewCell, reason: str) -> str:
    if cell.ref:
        return ""
    densities = "name a column of densities with --densities, " if "density" in reason else ""
    return f"; mend the cell, {densities}or leave the row out with --leave-out {cell.where[0]}"


def _listed(sheet: str, cells: list[NewCell], places: Places, changed: Changes) -> list[PlannedCell]:
    over = {where: why for where, why in places.overwritten}
    listed = []
    for cell in cells:
        if cell.filled or (not cell.content and cell.heading and cell.where not in over):
            continue
        lies = over.get(cell.where, "")
        if cell.ref:
            box = [
                other.where for other in cells if other.where[1] == cell.where[1] and (other.filled or other is cell)
            ]
            lies = "; ".join(dict.fromkeys(over[where] for where in box if where in over))
        where = cell.ref or address(cell.where)
        shown = changed.values.get(cell.where) if cell.formula else cell.value
        listed.append(
            PlannedCell(
                sheet,
                where,
                cell.content,
                cell.format,
                address(cell.look),
                shown,
                lies,
                bool(cell.formula),
                cell.filled_down,
            )
        )
    return listed


def _errors(sheet: str, cells: list[NewCell], changed: Changes) -> list[Finding]:
    found = []
    for cell in cells:
        value = changed.values.get(cell.where)
        if isinstance(value, CellError) and cell.formula:
            reason = changed.reasons.get(cell.where, "")
            found.append(Finding(sheet, address(cell.where), cell.content, reason, value.kind))
        elif cell.formula and value is None:
            why = changed.left.get(cell.where) or "the embedded engine has no value for it"
            reason = f"not computed here ({why}): recalculate the new file in your spreadsheet program"
            found.append(Finding(sheet, address(cell.where), cell.content, reason))
    return found


def _notes(recipe: Subject, around: Surroundings, places: Places, package: Package, grid: Grid) -> list[str]:
    notes = []
    table = next((t for t in around.taken if "the table “" in t.why and _holds(t.box, recipe)), None)
    if table:
        its = table.why.removesuffix(" is there")
        notes.append(f"{its} holds the recipe; a table cannot hold array formulas, so the new cells stand beside it")
    if places.columns and not recipe.header_row:
        notes.append("the recipe begins in row 1, so there is no room for headings over the new columns")
    left = sorted(recipe.left_out)
    if left:
        notes.append(f"not counted: row{'s' if len(left) > 1 else ''} {', '.join(map(str, left))}")
    styles = Styles.of(package)
    cut = cut_off(recipe, around, places, grid, styles[0] if styles else None)
    if cut:
        notes.append(
            f"the text in {', '.join(cut[:6])} runs over its cell and will be cut off on the screen by the new cells; "
            "nothing of it is lost, and a wider column shows it again"
        )
    if any(_prints(package, recipe.sheet)):
        notes.append("the sheet has a print area; the new cells are outside it unless you widen it")
    return notes


def _holds(box: tuple[int, int, int, int], recipe: Subject) -> bool:
    return box[0] <= recipe.first_row <= box[2] and box[1] <= recipe.amounts <= box[3]


def _prints(package: Package, sheet: str):
    """The print areas of a sheet."""
    order = [s.name for s in package.sheets]
    for child in package.xml(package.workbook_part):
        for entry in child:
            if entry.get("name") == "_xlnm.Print_Area" and (entry.get("localSheetId") or "").isdigit():
                number = int(entry.get("localSheetId"))
                yield number < len(order) and order[number] == sheet
