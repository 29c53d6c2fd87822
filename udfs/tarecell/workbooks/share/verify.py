"""The copy against the original, cell by cell: as they are, and with other inputs in both."""

import random
from dataclasses import dataclass
from functools import cached_property

from tarecell.errors import CellError
from tarecell.workbooks import cells
from tarecell.workbooks.dependents import Dependents
from tarecell.workbooks.evaluate import Evaluation, Place, evaluate
from tarecell.workbooks.package import Package
from tarecell.workbooks.patch import CellEdit, Constant
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.references import Position, address, inside
from tarecell.workbooks.share.build import Copy, Original, box_of, patched, same
from tarecell.workbooks.share.formulas import quoted

# How often a copy is compared with other inputs, by the formulas in it: the smaller, the more often.
ROUNDS = ((800, 16), (3000, 8), (15_000, 4))
FEW_ROUNDS = 2
_RESTLESS = ("RAND", "RANDBETWEEN", "RANDARRAY", "NOW")
_NASTY = (-1.0, 0.0, None, "12", 5.0, 1e7, "n/a", 0.3)


@dataclass
class Difference:
    """A cell in which the copy does not give what the original gives."""

    place: Place
    text: str
    errors: bool = False  # both are errors, of different kinds


class Verifier:
    """Compares one copy with its original."""

    def __init__(self, original: Original, copy: Copy):
        self.original, self.copy = original, copy
        self.evaluation = original.evaluation
        self.restless = self._restless()
        self.compared = 0
        self._columns = self._index()
        self._known_sources: dict[Place, list[Place]] = {}

    @property
    def rounds(self) -> int:
        count = len(self.copy.values.formulas)
        return next((rounds for most, rounds in ROUNDS if count <= most), FEW_ROUNDS)

    def first(self) -> list[Difference]:
        """Differences as the workbook stands."""
        return self._differences(self.evaluation, self.copy.values)

    def changed(self, copy: Package, number: int) -> list[Difference]:
        """Differences when some inputs are other ones, the same in both."""
        inputs = self.inputs
        if not inputs:
            return []
        changes = _perturbed(inputs, number)
        fixed: dict[str, dict[Position, CellEdit]] = {}
        for sheet, where in self.copy.fixed:
            for cell in box_of(self.evaluation.formulas[sheet, where]):
                fixed.setdefault(sheet, {})[cell] = Constant(self.original.value(sheet, cell))
        both = {sheet: {**fixed.get(sheet, {}), **changes.get(sheet, {})} for sheet in {*fixed, *changes}}
        reference = evaluate(patched(self.original.package, both), with_reasons=False)
        changed = evaluate(patched(copy, changes), without_functions=True, with_reasons=False)
        return self._differences(reference, changed, strict=False)

    def roots(self, differences: list[Difference]) -> list[Difference]:
        """The differences that come from a translated formula itself, and not from a cell that it reads."""
        wrong = {difference.place for difference in differences}
        ours = [d for d in differences if d.place in self.copy.translated]
        found = [d for d in ours if not self._reads_any(d.place, wrong - {d.place})]
        return found or ours

    # -- comparing -----------------------------------------------------------------------------------------------

    def _differences(self, original: Evaluation, copy: Evaluation, strict: bool = True) -> list[Difference]:
        """`strict`: an error has to be of the same kind also where the call stands inside a longer formula, which may
        see another error of several first."""
        found: list[Difference] = []
        excused: set[Place] = set()
        self.compared = 0
        for (sheet, where), cell in self.evaluation.formulas.items():
            place = sheet, where
            if sheet in self.original.without or place in self.copy.fixed or place in self.restless:
                continue
            for at in box_of(cell):
                if at not in original.values[sheet]:
                    continue
                self.compared += 1
                text = self._difference(original, copy, sheet, at)
                if text is None:
                    continue
                both = [isinstance(e.values[sheet].get(at), CellError) for e in (original, copy)]
                if not strict and all(both) and not self.original.texts[place].upper().startswith("TC_"):
                    excused.add(place)
                else:
                    found.append(Difference(place, text, all(both)))
                break
        return [d for d in found if not (excused and d.errors and self._reads_any(d.place, excused))]

    @staticmethod
    def _difference(original: Evaluation, copy: Evaluation, sheet: str, at: Position) -> str | None:
        expected = original.values[sheet][at]
        if at not in copy.values.get(sheet, {}):
            reason = copy.left.get((sheet, at), "it has no value")
            return f"{quoted(sheet)}!{address(at)} cannot be checked: {reason}"
        got = copy.values[sheet][at]
        if same(expected, got):
            return None
        return f"{quoted(sheet)}!{address(at)} should give {_shown(expected)} and gives {_shown(got)}"

    def _reads_any(self, place: Place, wrong: set[Place]) -> bool:
        """Whether a cell reads one of these, by however many steps."""
        seen, waiting = {place}, [place]
        while waiting:
            for source in self._sources(waiting.pop()):
                if source in wrong:
                    return True
                if source not in seen:
                    seen.add(source)
                    waiting.append(source)
        return False

    def _index(self) -> dict[tuple[str, int], list[tuple[int, int, Place]]]:
        """The formulas by sheet and column: first row, last row, place."""
        found: dict[tuple[str, int], list[tuple[int, int, Place]]] = {}
        for place, cell in self.evaluation.formulas.items():
            top, left, bottom, right = cell.box or (*place[1], *place[1])
            for column in range(left, right + 1):
                found.setdefault((place[0], column), []).append((top, bottom, place))
        return found

    def _sources(self, place: Place) -> list[Place]:
        """The formulas that a formula reads."""
        if place not in self._known_sources:
            found: dict[Place, None] = {}
            for area in set(self.evaluation.reads.get(place, ())):
                top, left, bottom, right = area.box
                for column in range(left, min(right, left + 1000) + 1):
                    for first, last, other in self._columns.get((area.sheet, column), ()):
                        if first <= bottom and top <= last:
                            found[other] = None
            self._known_sources[place] = list(found)
        return self._known_sources[place]

    def _restless(self) -> set[Place]:
        """What changes by itself: RAND, NOW, and all that depends on them."""
        texts = self.original.texts
        waiting = [p for p, text in texts.items() if any(f"{name}(" in text.upper() for name in _RESTLESS)]
        if not waiting:
            return set()
        index = Dependents(dict(self.evaluation.reads), [])
        found = set(waiting)
        while waiting:
            for place in index.take(waiting.pop()):
                if place not in found:
                    found.add(place)
                    waiting.append(place)
        return found

    # -- other inputs --------------------------------------------------------------------------------------------

    @cached_property
    def inputs(self) -> dict[Place, float | str]:
        """Typed-in values on which translated cells depend."""
        seen: set[Place] = set(self.copy.translated)
        waiting, areas = list(seen), set()
        while waiting:
            place = waiting.pop()
            areas |= {(a.sheet, a.box) for a in self.evaluation.reads.get(place, ())}
            for source in self._sources(place):
                if source not in seen and source not in self.copy.fixed:
                    seen.add(source)
                    waiting.append(source)
        found = {}
        for sheet in self.original.kept:
            layout = self.evaluation.sheets[sheet][1]
            boxes = [box for name, box in areas if name == sheet]
            filled = {w for (s, _), c in self.evaluation.formulas.items() if s == sheet for w in box_of(c)}
            for cell in layout.cells():
                if cell.position in filled or not any(inside(cell.position, box) for box in boxes):
                    continue
                value = cells.stored(cell, self.original.strings, self.original.package.date1904)
                if value is not None and not isinstance(value, CellError):
                    found[sheet, cell.position] = value
        return found


def _perturbed(inputs: dict[Place, float | str], number: int) -> dict[str, dict[Position, CellEdit]]:
    """Other values for some inputs: moved in even rounds, made wrong in odd ones. The same in every run."""
    chance = random.Random(number)
    texts = sorted({value for value in inputs.values() if isinstance(value, str) and len(value) < 40})
    changes: dict[str, dict[Position, CellEdit]] = {}
    part = max(0.4 if number % 2 == 0 else 0.08, 1.5 / len(inputs))
    for (sheet, where), value in inputs.items():
        if chance.random() > part:
            continue
        new = _moved(value, chance, texts) if number % 2 == 0 else chance.choice(_NASTY)
        if new != value:
            changes.setdefault(sheet, {})[where] = Constant(new)
    return changes


def _moved(value: float | str, chance: random.Random, texts: list[str]) -> float | str:
    if isinstance(value, bool):
        return not value
    if isinstance(value, str):
        return chance.choice(texts) if chance.random() < 0.1 else value
    if value == int(value) and abs(value) < 100:
        return value + chance.choice((1.0, 0.0, 2.0))
    span = chance.choice(((0.9, 1.1), (0.2, 1.0), (1.0, 5.0)))
    return round(value * chance.uniform(*span), 6)


def settle(original: Original, copy: Copy) -> Package:
    """Builds the copy until every cell agrees; a formula that does not agree becomes a value.

    Raises WorkbookProblem, naming the cell, for a difference that no translated formula explains.
    """
    while True:
        package = copy.build()
        verifier = Verifier(original, copy)
        differences = verifier.first()
        copy.report.compared = verifier.compared
        copy.report.rounds = 0
        for number in range(verifier.rounds):
            if differences or not copy.translated:
                break
            differences = verifier.changed(package, number)
            copy.report.rounds = number + 1
        if not differences:
            return package
        roots = verifier.roots(differences)
        if not roots:
            more = f" (and {len(differences) - 1} more)" if len(differences) > 1 else ""
            raise WorkbookProblem(f"the copy would not give the same as the original: {differences[0].text}{more}")
        for difference in roots:
            copy.frozen[difference.place] = f"an ordinary formula did not give the same ({difference.text})"


def _shown(value) -> str:
    return value.kind if isinstance(value, CellError) else repr(value)
