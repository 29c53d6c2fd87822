"""What becomes of each formula of a workbook that is shared: it stays, it becomes an ordinary one, or a value."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from tarecell.hosts.plain import Sheet, Untranslatable
from tarecell.workbooks.cells import FormulaCell
from tarecell.workbooks.evaluate import Place, Value
from tarecell.workbooks.patch import CellEdit, Constant, Formula, Result
from tarecell.workbooks.references import Position, address, area
from tarecell.workbooks.share import formulas
from tarecell.workbooks.share.leave_out import naming
from tarecell.workbooks.share.original import Original
from tarecell.workbooks.share.precedents import box_of
from tarecell.workbooks.share.report import ELSEWHERE, FIXED, NEWER, WITHOUT, FixedCell
from tarecell.workbooks.share.watch import Unwatchable, Watch, shown, swallows
from tarecell.workbooks.xml_text import MOST_FORMULA

_OTHER_BOOK = re.compile(r"\[\d+\]")
TC = re.compile(r"(?<![\w.])TC_[A-Z_]+\s*\(", re.IGNORECASE)


class _Kept(Exception):
    """A formula that becomes a value for a reason of its own: the reason, and its kind."""

    def __init__(self, reason: str, kind: str):
        super().__init__(reason)
        self.kind = kind


@dataclass
class Decisions:
    """`frozen`: formulas that have to be values, and why; `sheltered`: formulas that have to be #N/A with the values
    that they depend on; `unsure`: values that cannot be watched (all found by comparing)."""

    original: Original
    frozen: Mapping[Place, str]
    sheltered: set[Place]
    unsure: set[Place]
    work: Sheet
    reference: Sheet
    translated: dict[Place, str] = field(default_factory=dict)  # the plain formulas
    fixed: dict[Place, FixedCell] = field(default_factory=dict)
    _meaning: dict[re.Pattern[str], set[str]] = field(default_factory=dict)

    def edits(self) -> dict[str, dict[Position, CellEdit]]:
        """The changes by sheet."""
        original, evaluation = self.original, self.original.evaluation
        known = {name.lower(): name for name in evaluation.sheets}
        self.plainer = formulas.Plainer(original.names, known, self.work, self.reference, original.package.date1904)
        for place, text in original.texts.items():
            self._decide(place, evaluation.formulas[place], text)
        self.watch = Watch(original, self.work, set(self.fixed))
        self.after = original.precedents.after(self.fixed)
        found: dict[str, dict[Position, CellEdit]] = {sheet: {} for sheet in original.kept}
        for place in original.texts:
            edits = self._fixed(place) if place in self.fixed else self._live(place)
            found[place[0]].update(edits)
        return found

    def _decide(self, place: Place, cell: FormulaCell, text: str) -> None:
        try:
            self._check(place, cell, text)
            if TC.search(text):
                made = self.plainer.formula(cell, text)
                if len(made) > MOST_FORMULA:
                    raise Untranslatable("an ordinary formula for it would be too long for a cell")
                self.translated[place] = made
        except (Untranslatable, _Kept) as reason:
            kind = reason.kind if isinstance(reason, _Kept) else FIXED
            told = str(reason)
            if text and self.original.value(*place) is None:
                told += "; the file holds no value of it, so it is blank here"
            self.fixed[place] = FixedCell(cell.sheet, cell.position, told, kind)

    # -- the changes ---------------------------------------------------------------------------------------------

    def _live(self, place: Place) -> dict[Position, CellEdit]:
        """A formula that stays one. It is #N/A with the values that it depends on, where it would hide that."""
        text = made = self.translated.get(place, self.original.texts[place])
        cell = self.original.evaluation.formulas[place]
        if text and place in self.after and (place in self.sheltered or swallows(text)):
            step = self.watch.still(self.original.precedents.nearest(place, self.fixed))
            made = f"IF({step}=1,{text},NA())" if step else text
            if len(made) > MOST_FORMULA:
                self.translated.pop(place, None)
                self.fixed[place] = FixedCell(*place, "an ordinary formula for it would be too long for a cell")
                return self._fixed(place)
        if place not in self.translated and made == text:
            return {}
        boxed = box_of(cell)
        single = _single_cells(made, cell)
        if single:
            # Each its own formula: not every program knows array formulas.
            return {w: Formula(t, self._shown(cell, w)) for w, t in zip(boxed, single, strict=True)}
        edits: dict[Position, CellEdit] = {where: Result(self._shown(cell, where)) for where in boxed[1:]}
        edits[cell.position] = Formula(made, self._shown(cell, cell.position), _ref(cell, boxed))
        return edits

    def _fixed(self, place: Place) -> dict[Position, CellEdit]:
        """A value: one that goes when what it was made from changes, where that can be told."""
        cell, original, fixed = self.original.evaluation.formulas[place], self.original, self.fixed[place]
        values = {where: original.value(place[0], where) for where in box_of(cell)}
        try:
            if place in self.unsure:
                raise Unwatchable("it cannot be told whether it still holds")
            step = self.watch.step(place)
            if step is None:
                self.fixed[place] = fixed.watched(None)
                return {where: Constant(value) for where, value in values.items()}
            texts = {where: f"IF({step}=1,{shown(value)},NA())" for where, value in values.items()}
            if max(map(len, texts.values())) > MOST_FORMULA:
                raise Unwatchable("its value is too long to stand in a formula")
        except (Unwatchable, Untranslatable) as reason:
            self.fixed[place] = fixed.unwatched(str(reason))
            return {where: Constant(value) for where, value in values.items()}
        self.fixed[place] = fixed.watched(step)
        return {where: Formula(text, self._shown(cell, where)) for where, text in texts.items()}

    def _shown(self, cell: FormulaCell, where: Position) -> Value:
        value = self.original.value(cell.sheet, where)
        return "" if value is None else value

    # -- reasons -------------------------------------------------------------------------------------------------

    def _check(self, place: Place, cell: FormulaCell, text: str) -> None:
        """Raises the reason why a formula has to become a value, whatever its functions."""
        original = self.original
        if place in self.frozen:
            raise Untranslatable(self.frozen[place])
        if not text:
            if cell.refused and "data table" in cell.refused:
                return
            raise Untranslatable("its formula cannot be read")
        if _OTHER_BOOK.search(re.sub(r'"[^"]*"', "", text)) or self._uses(text, _OTHER_BOOK):
            raise _Kept("it reads another workbook", ELSEWHERE)
        if self._uses(text, TC):
            raise Untranslatable("a name in it stands for a Tarecell function")
        if original.without and self._named(text, cell.sheet):
            raise _Kept("it reads a sheet that is left out", WITHOUT)
        if not original.modern and formulas.NEWER.search(text):
            raise _Kept("it uses a function that is newer than Excel 2016", NEWER)
        if TC.search(text) and place in original.evaluation.left:
            raise Untranslatable(f"it could not be checked: {original.evaluation.left[place]}")

    def _named(self, text: str, sheet: str) -> bool:
        gone = {name.lower() for name in self.original.without}
        try:
            named = formulas.sheets_named(text, self.original.names, sheet)
        except Exception:  # a formula that cannot be read may name anything
            return True
        if named & gone or re.search(r"INDIRECT\s*\(", text, re.IGNORECASE):
            return True
        return bool(naming(self.original.without).search(text.encode()))  # in a text, as HYPERLINK has it

    def _uses(self, text: str, what: re.Pattern[str]) -> bool:
        """Whether a name in the formula means something of this kind, by however many other names."""
        if what not in self._meaning:
            defined = self.original.names.defined
            found = {name for (_, name), meaning in defined.items() if what.search(meaning)}
            while found:
                more = {name for (_, name), meaning in defined.items() if found & _words(meaning)} - found
                if not more:
                    break
                found |= more
            self._meaning[what] = found
        return bool(self._meaning[what]) and bool(self._meaning[what] & _words(text))


def _words(text: str) -> set[str]:
    """The words outside quotes that may be names, in lower case."""
    return {word.lower() for word in re.findall(r"[^\W\d][\w.]*", re.sub(r'"[^"]*"', "", text))}


def _single_cells(text: str, cell: FormulaCell) -> list[str]:
    """The steps that an array formula shows, where it is nothing but as many of them as it has cells."""
    found = re.fullmatch(r"(\w+!)([A-Z]+\d+:[A-Z]+\d+)", text)
    if found is None or cell.box is None:
        return []
    top, left, bottom, right = area(found[2])
    if (bottom - top, right - left) != (cell.box[2] - cell.box[0], cell.box[3] - cell.box[1]):
        return []
    return [f"{found[1]}{address((r, c))}" for r in range(top, bottom + 1) for c in range(left, right + 1)]


def _ref(cell: FormulaCell, boxed: list[Position]) -> str | None:
    return f"{address(boxed[0])}:{address(boxed[-1])}" if cell.box is not None else None
