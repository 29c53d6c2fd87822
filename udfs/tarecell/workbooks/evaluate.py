"""A workbook's formulas computed in the embedded engine, without touching the file.

What the engine cannot compute is left alone: the cell keeps the value that the file holds, and so does every cell that
depends on it. A wrong number, or an error that is not the workbook's own, never takes a value's place.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from types import MappingProxyType

from tarecell.errors import CellError
from tarecell.hosts.embedded import (
    Area,
    Engine,
    EngineMissing,
    Patterns,
    Translated,
    Translator,
    Uncomputed,
    Unsupported,
)
from tarecell.workbooks import cells
from tarecell.workbooks.cells import FormulaCell
from tarecell.workbooks.collecting import no_collecting
from tarecell.workbooks.dependents import Dependents
from tarecell.workbooks.package import Package, SheetPart
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.references import Position, address, inside
from tarecell.workbooks.sheet_map import SheetMap
from tarecell.workbooks.xml_text import MOST_TEXT

Value = float | str | bool | CellError
Place = tuple[str, Position]  # sheet and cell
MOST_REASONS = 1000  # error cells that are computed once more to learn the reason
_ROW_HIDING = {"SUBTOTAL", "AGGREGATE"}


@dataclass
class Evaluation:
    """What the formulas of a workbook give.

    `values`: by sheet and cell, the value of every formula and of every cell that an array formula fills. `left`: the
    cells that keep what the file holds, and why. `translated`: what was handed to the engine.
    """

    sheets: dict[str, tuple[SheetPart, SheetMap]]
    values: dict[str, dict[Position, Value]] = field(default_factory=dict)
    left: dict[Place, str] = field(default_factory=dict)
    formulas: dict[Place, FormulaCell] = field(default_factory=dict)
    reasons: dict[Place, str] = field(default_factory=dict)
    translated: dict[Place, Translated] = field(default_factory=dict)

    @cached_property
    def reads(self) -> dict[Place, list[Area]]:
        """The areas that each formula reads."""
        return {place: translated.reads for place, translated in self.translated.items()}


@no_collecting()
def evaluate(
    workbook: str | Path | Package,
    without_functions: bool = False,
    known: Mapping[str, SheetMap] = MappingProxyType({}),
    with_reasons: bool = True,
) -> Evaluation:
    """The values of all formulas. `without_functions`: as on a machine without the add-in (TC_ cells are #NAME?).

    `known`: the layouts of parts, where they are known already. `with_reasons`: whether the reasons of error cells are
    looked for, which takes its time where there are many.
    """
    package = workbook if isinstance(workbook, Package) else Package.open(workbook)
    return _Run(package, without_functions, known).run(with_reasons)


class Trials:
    """A workbook kept in the engine, computed again and again with other typed-in values."""

    @no_collecting()
    def __init__(self, package: Package, without_functions: bool = False):
        self._run = _Run(package, without_functions, MappingProxyType({}))
        self.first = self._run.run(with_reasons=False)
        self._cells = self._run.engine.cells()

    @no_collecting()
    def changed(self, changes: Mapping[Place, Value | None]) -> Evaluation:
        """The values of all formulas with these cells typed over (None: emptied); the next trial starts afresh."""
        run = self._run
        # Everything is computed anew: changing single cells of a computed workbook takes the engine far longer.
        run.engine.begin_again(self._cells)
        for place, value in changes.items():
            run.engine.set_value(*place, value)
        run.result = replace(self.first, values={sheet: {} for sheet in run.sheets}, left=dict(self.first.left))
        run.recompute()
        return run.result


class _Run:
    """One evaluation under way."""

    def __init__(self, package: Package, without_functions: bool, known: Mapping[str, SheetMap]):
        self.package = package
        self.sheets = cells.worksheets(package, known)
        self.strings = cells.shared_strings(package)
        try:
            self.engine = Engine(list(self.sheets), package.date1904, not without_functions)
        except EngineMissing as missing:
            raise WorkbookProblem(str(missing)) from None
        known = {sheet.lower(): sheet for sheet in self.sheets}
        names = cells.names(package, self.sheets)
        self.translator = Patterns(Translator(self.engine.tokens, self.engine.knows, known, names, without_functions))
        self.result = Evaluation(self.sheets, {sheet: {} for sheet in self.sheets})
        self.translated = self.result.translated
        self.numbers: dict[Place, int] = {}
        self.read: set[str] = set()  # the sheets that formulas stand in or read
        self.roams = False  # whether a formula may read any cell
        self.asked = 0
        self._hidden: dict[str, list[int]] = {}

    def run(self, with_reasons: bool = True) -> Evaluation:
        values = {name: self._load_formulas(name, sheet) for name, (_, sheet) in self.sheets.items()}
        for name in self._read_sheets():
            self._load_values(name, values[name])
        self._spread(list(self.result.left))
        self.recompute()
        if with_reasons:
            self._explain()
        return self.result

    def recompute(self) -> None:
        self._compute()
        self._collect()

    # -- in ------------------------------------------------------------------------------------------------------

    def _load_formulas(self, name: str, sheet: SheetMap) -> cells.Columns | None:
        """Hands a sheet's formulas to the engine; the values of its other cells, None if they were not read."""
        if not sheet.may_have_formulas:
            return None
        formulas, values = cells.read(name, sheet, self.strings, self.package.date1904)
        if formulas:
            self.read.add(name)
        columns: dict[int, list[FormulaCell]] = defaultdict(list)
        for formula in formulas:
            self.result.formulas[name, formula.position] = formula
            columns[formula.position[1]].append(formula)
            for row, column in _cells_of(formula) if formula.box else ():
                values[column].pop(row, None)  # filled in, not typed in
        for column, formulas in columns.items():
            waiting = iter(formulas)
            formula = next(waiting, None)
            while formula is not None:
                self._load_formula(formula)
                formula = self._load_filled(name, column, waiting)
        return values

    def _load_filled(self, name: str, column: int, waiting: Iterator[FormulaCell]) -> FormulaCell | None:
        """Hands formulas over that are the last one filled down. The first one that is not is given back."""
        above = self.translator.above(name, column)
        usual = above is not None and above.pattern.functions.isdisjoint(_ROW_HIDING)
        texts: dict[int, str] = {}
        left_over = None
        for formula in waiting:
            position, plain = formula.position, usual and formula.box is None and not formula.refused
            filled = above.below(formula.text, position[0], formula.shift) if plain else None
            if filled is None:
                left_over = formula
                break
            texts[position[0]] = filled.text
            self.translated[name, position] = filled
        self.engine.load_formulas(name, column, texts)
        return left_over

    def _read_sheets(self) -> list[str]:
        """The sheets that formulas stand in or read. A log of years that nothing adds up needs no engine."""
        return [name for name in self.sheets if self.roams or name in self.read]

    def _load_values(self, name: str, values: cells.Columns | None) -> None:
        if values is None:
            _, values = cells.read(name, self.sheets[name][1], self.strings, self.package.date1904)
        self.engine.load(name, values)

    def _load_formula(self, formula: FormulaCell) -> None:
        place = formula.sheet, formula.position
        try:
            if formula.refused:
                raise Unsupported(formula.refused)
            translated = self.translator.translate(
                formula.text, formula.sheet, formula.position, formula.shift, array=formula.box is not None
            )
            self._check_hidden(translated)
            number = self.engine.set_formula(formula.sheet, formula.position, translated.text, formula.box)
        except Unsupported as unsupported:
            self._leave(formula, str(unsupported))
            return
        except Exception as error:  # the engine's own refusals have no common class
            self._leave(formula, f"the embedded engine cannot read the formula ({error})")
            return
        self.translated[place] = translated
        self.read |= translated.sheets
        self.roams = self.roams or translated.roams
        if number is not None:
            self.numbers[place] = number

    def _check_hidden(self, translated: Translated) -> None:
        if translated.functions.isdisjoint(_ROW_HIDING):
            return
        for read in translated.reads:
            if any(read.box[0] <= row <= read.box[2] for row in self._hidden_rows(read.sheet)):
                raise Unsupported("it adds up only what is not hidden, and rows here are hidden")

    def _hidden_rows(self, name: str) -> list[int]:
        if name not in self._hidden:
            rows = self.sheets[name][1].rows.values() if name in self.sheets else ()
            self._hidden[name] = [r.number for r in rows if r.attributes.get("hidden") in ("1", "true", "on")]
        return self._hidden[name]

    def _leave(self, formula: FormulaCell, reason: str) -> list[Place]:
        """Puts the file's values in the engine for a formula that is not computed."""
        sheet = self.sheets[formula.sheet][1]
        places = []
        for where in _cells_of(formula):
            cell = sheet.cell(where)
            value = cells.stored(cell, self.strings, self.package.date1904) if cell else None
            self.engine.set_value(formula.sheet, where, value)
            self.result.left[formula.sheet, where] = reason
            places.append((formula.sheet, where))
        return places

    # -- what depends on cells that are left alone ---------------------------------------------------------------

    def _spread(self, places: Iterable[Place]) -> None:
        places = list(places)
        if not places:
            return
        index = Dependents(
            {p: t.reads for p, t in self.translated.items() if p not in self.result.left},
            [p for p, t in self.translated.items() if t.roams and p not in self.result.left],
        )
        while places:
            source = places.pop()
            for place in index.take(source):
                if place in self.result.left:
                    continue
                reason = f"it depends on {self._named(source, place)}, which is left alone"
                formula = self.result.formulas[place]
                for where in _cells_of(formula):
                    self.result.left[formula.sheet, where] = reason
                    places.append((formula.sheet, where))

    def _named(self, source: Place, seen_from: Place) -> str:
        return address(source[1]) if source[0] == seen_from[0] else f"{source[0]}!{address(source[1])}"

    # -- out -----------------------------------------------------------------------------------------------------

    def _compute(self) -> None:
        while True:
            try:
                self.engine.evaluate()
                return
            except Uncomputed:
                refused = list(self.engine.refused())
                if not refused:
                    raise WorkbookProblem(f"{self.package.path.name}: the embedded engine cannot compute it") from None
                for sheet, where, reason in refused:
                    self._spread(self._leave(self.result.formulas[sheet, where], reason))

    def _collect(self) -> None:
        """Takes the values out. Cells that turn out not to be computable are left alone, and what depends on them."""
        unknown: list[Place] = []
        left, values = self.result.left, self.result.values
        for place, formula in self.result.formulas.items():
            if place in left:
                continue
            try:
                if formula.box is None:
                    values[place[0]][place[1]] = self._value(*place)
                else:
                    values[place[0]].update(self._array(place, formula))
            except Uncomputed as uncomputed:
                for where in _cells_of(formula):
                    left[formula.sheet, where] = str(uncomputed)
                    unknown.append((formula.sheet, where))
        self._spread(unknown)
        for sheet, where in left:
            values[sheet].pop(where, None)

    def _array(self, place: Place, formula: FormulaCell) -> dict[Position, Value]:
        """The values of the cells that an array formula fills."""
        top, left, bottom, right = formula.box
        shape = self.engine.shape(self.numbers[place]) if formula.dynamic else None
        if shape is not None and shape != (bottom - top + 1, right - left + 1):
            raise Uncomputed(
                f"its result now has {shape[0]} rows and {shape[1]} columns: let your spreadsheet program resize it"
            )
        return {where: self._value(formula.sheet, where) for where in _cells_of(formula)}

    def _value(self, sheet: str, where: Position) -> Value:
        value = self.engine.value(sheet, where)
        if value.__class__ is str and len(value) > MOST_TEXT:
            raise Uncomputed(f"its text has {len(value)} characters, more than a cell holds")
        return 0.0 if value is None else value

    def _explain(self) -> None:
        """Finds the reasons of error cells."""
        for sheet, values in self.result.values.items():
            for where, value in values.items():
                if isinstance(value, CellError) and (formula := self.result.formulas.get((sheet, where))):
                    self.result.reasons[sheet, where] = self._reason((sheet, where), formula, value.kind)

    def _reason(self, place: Place, formula: FormulaCell, kind: str) -> str:
        reads = self.translated[place]
        if any(name.startswith("TC_") for name in reads.functions) and self.engine.functions:
            self.asked += 1
            if self.asked > MOST_REASONS:
                return "not looked into, after so many errors: ask TC_EXPLAIN"
            reason = self.engine.reason(*place, kind)
            if reason:
                return reason
        for read in reads.reads:
            for source in self._errors_in(read.sheet, kind):
                if inside(source, read.box) and (read.sheet, source) != place:
                    return f"{self._named((read.sheet, source), place)} is {kind} already"
        return _PLAIN_REASONS.get(kind, "")

    def _errors_in(self, sheet: str, kind: str) -> list[Position]:
        if not hasattr(self, "_errors"):
            self._errors: dict[tuple[str, str], list[Position]] = {}
            for name, values in self.result.values.items():
                for where, value in values.items():
                    if isinstance(value, CellError):
                        self._errors.setdefault((name, value.kind), []).append(where)
            for name, (_, layout) in self.sheets.items():
                for cell in layout.cells():
                    if cell.type == "e" and cell.position not in self.result.values[name] and cell.value:
                        self._errors.setdefault((name, cell.value), []).append(cell.position)
        return self._errors.get((sheet, kind), [])


_PLAIN_REASONS = {
    "#DIV/0!": "something is divided by 0 or by a blank cell",
    "#VALUE!": "text stands where a number belongs, or a range where one value belongs",
    "#N/A": "something is not found, or a cell it needs is not filled in",
    "#NUM!": "a number is outside what is possible",
    "#REF!": "it refers to a cell that is gone, or beyond the end of a range",
    "#NAME?": "it uses a name or a function that is not known here",
    "#NULL!": "it refers to cells that two ranges do not share",
}


def _cells_of(formula: FormulaCell) -> list[Position]:
    """The cell of a formula, or all the cells that an array formula fills."""
    if formula.box is None:
        return [formula.position]
    top, left, bottom, right = formula.box
    return [(r, c) for r in range(top, bottom + 1) for c in range(left, right + 1)]
