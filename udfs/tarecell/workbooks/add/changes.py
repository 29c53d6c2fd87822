"""The parts of the package that an addition changes, and the values that the new cells show."""

from dataclasses import dataclass, field

from tarecell.errors import CellError
from tarecell.workbooks.add.cells import NewCell
from tarecell.workbooks.add.surroundings import Surroundings
from tarecell.workbooks.add.widths import widened
from tarecell.workbooks.dependents import Dependents
from tarecell.workbooks.evaluate import Evaluation, evaluate
from tarecell.workbooks.package import Package
from tarecell.workbooks.patch import CellEdit, Constant, Formula, Result, patch_sheet, without_calculation_chain
from tarecell.workbooks.references import Position
from tarecell.workbooks.sheet_map import sheet_map
from tarecell.workbooks.styles import GENERAL, Styles

Value = float | str | bool | CellError
_ROOM = 1.8  # characters that a cell's edges and a little air take
WIDEST = 40.0


@dataclass
class Changes:
    """`replaced` and `dropped` parts; by cell, what the new formulas give, why they are errors, why they are left."""

    replaced: dict[str, bytes] = field(default_factory=dict)
    dropped: set[str] = field(default_factory=set)
    values: dict[Position, Value] = field(default_factory=dict)
    reasons: dict[Position, str] = field(default_factory=dict)
    left: dict[Position, str] = field(default_factory=dict)
    widths: dict[int, float] = field(default_factory=dict)


def changes(package: Package, around: Surroundings, cells: list[NewCell], before: Evaluation) -> Changes:
    """Computes the new cells in a copy in memory, and makes the parts with their values in.

    `before`: the workbook as it is. Formulas there that read the new cells get their new values too.
    """
    found = Changes()
    name, part = around.sheet.name, around.sheet.part
    styles = Styles.of(package)
    looks = {cell.where: _style(styles[0] if styles else None, around, cell) for cell in cells}
    trial = patch_sheet(around.layout.xml, _edits(cells, looks, {}), around.layout)
    known = {sheet.part: layout for sheet, layout in before.sheets.values() if sheet.part != part}
    evaluation = evaluate(package.tried({part: trial}), known=known)
    for cell in cells:
        if cell.formula or cell.filled:
            if cell.where in evaluation.values[name]:
                found.values[cell.where] = evaluation.values[name][cell.where]
            found.reasons[cell.where] = evaluation.reasons.get((name, cell.where), "")
            found.left[cell.where] = evaluation.left.get((name, cell.where), "")
    found.widths = _widths(around, cells, found.values, styles[0] if styles else None)
    layout = around.layout
    if found.widths:
        layout = sheet_map(widened(layout, found.widths))
    found.replaced, found.dropped = without_calculation_chain(package)
    others = _other_results(before, evaluation, {(name, cell.where) for cell in cells})
    edits = _edits(cells, looks, found.values)
    found.replaced[part] = patch_sheet(layout.xml, edits | others.pop(name, {}), layout)
    for sheet, results in others.items():
        other, its_layout = before.sheets[sheet]
        found.replaced[other.part] = patch_sheet(its_layout.xml, results, its_layout)
    if styles and styles[0].changed:
        found.replaced[styles[1]] = styles[0].xml
    return found


def _other_results(
    before: Evaluation, after: Evaluation, new: set[tuple[str, Position]]
) -> dict[str, dict[Position, CellEdit]]:
    """By sheet, the values of older formulas that read a new cell, directly or through others."""
    written = list(new)
    index = Dependents({place: areas for place, areas in after.reads.items() if place not in new})
    found: dict[str, dict[Position, CellEdit]] = {}
    while written:
        for place in index.take(written.pop()):
            formula = after.formulas[place]
            box = formula.box or (*formula.position, *formula.position)
            for where in [(r, c) for r in range(box[0], box[2] + 1) for c in range(box[1], box[3] + 1)]:
                value = after.values[place[0]].get(where)
                if value is not None and before.values[place[0]].get(where) != value:
                    found.setdefault(place[0], {})[where] = Result(value)
                    written.append((place[0], where))
    return found


def _style(styles: Styles | None, around: Surroundings, cell: NewCell) -> int | None:
    if styles is None:
        return None
    source = around.style(cell.look)
    quoted = isinstance(cell.value, str) and cell.value[:1] in ("=", "+", "-", "@")
    if cell.heading and styles.number_format(source) in (GENERAL, "@"):
        return source  # the very format of the neighbouring heading
    return styles.like(source, cell.format, align=cell.heading, quoted=quoted)


def _edits(
    cells: list[NewCell], looks: dict[Position, int | None], values: dict[Position, Value]
) -> dict[Position, CellEdit]:
    edits: dict[Position, CellEdit] = {}
    for cell in cells:
        style = looks[cell.where]
        if cell.formula:
            edits[cell.where] = Formula(cell.formula, values.get(cell.where), cell.ref or None, style)
        elif cell.filled and cell.where in values:
            edits[cell.where] = Result(values[cell.where], 0 if style is None else style)
        else:
            edits[cell.where] = Constant(cell.value, style)
    return edits


def _widths(
    around: Surroundings, cells: list[NewCell], values: dict[Position, Value], styles: Styles | None
) -> dict[int, float]:
    """The columns that are too narrow for what they will show, and how wide they must be."""
    needed: dict[int, float] = {}
    for cell in cells:
        text = _shown(cell, values.get(cell.where, cell.value))
        if cell.heading and styles and styles.wraps(around.style(cell.look)):
            text = max(text.split(), key=len, default="")
        wide = len(text) * (1.15 if cell.heading else 1.0) + _ROOM
        needed[cell.where[1]] = max(needed.get(cell.where[1], 0.0), wide)
    return {c: round(min(w, WIDEST), 1) for c, w in needed.items() if min(w, WIDEST) > around.width(c)}


def _shown(cell: NewCell, value: Value | None) -> str:
    """About what the cell will look like."""
    if isinstance(value, bool) or value is None:
        return "" if value is None else str(value).upper()
    if isinstance(value, (int, float)):
        decimals = len(cell.format.split(".")[1].rstrip("%")) if "." in cell.format else 0
        if cell.format == GENERAL:
            return f"{value:g}"
        return f"{value * 100:.{decimals}f}%" if cell.format.endswith("%") else f"{value:,.{decimals}f}"
    return value.kind if isinstance(value, CellError) else value
