"""The copy against the original, cell by cell: as they are, and with other inputs in both."""

import random
from bisect import bisect_right
from collections.abc import Collection
from dataclasses import dataclass
from functools import cached_property

from tarecell.errors import CellError
from tarecell.workbooks import cells
from tarecell.workbooks.evaluate import Evaluation, Place
from tarecell.workbooks.package import Package
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.references import Position, address, inside, position
from tarecell.workbooks.share.build import Copy, same
from tarecell.workbooks.share.formulas import quoted
from tarecell.workbooks.share.original import Original
from tarecell.workbooks.share.precedents import box_of

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
    hidden: bool = False  # it depends on a value that no longer holds, and does not show it


class Verifier:
    """Compares one copy with its original."""

    def __init__(self, original: Original, copy: Copy):
        self.original, self.copy = original, copy
        self.evaluation = original.evaluation
        self.precedents = original.precedents
        self.restless = self._restless()
        self.compared = 0

    @property
    def rounds(self) -> int:
        count = len(self.copy.values.formulas)
        return next((rounds for most, rounds in ROUNDS if count <= most), FEW_ROUNDS)

    def first(self) -> list[Difference]:
        """Differences as the workbook stands."""
        return self._differences(self.evaluation, self.copy.values)

    def changed(self, number: int) -> list[Difference]:
        """Differences when some inputs are other ones, the same in both."""
        inputs = self.inputs
        if not inputs:
            return []
        changes = _perturbed(inputs, number)
        changed = self.copy.trials.changed(changes)
        # What does not follow changes is what it was in the original too.
        held = {
            (place[0], cell): self.original.value(place[0], cell)
            for place, fixed in self.copy.fixed.items()
            if fixed.step is None
            for cell in box_of(self.evaluation.formulas[place])
        }
        reference = self.original.trials.changed({**held, **changes})
        return self._differences(reference, changed, self._outdated(changed))

    def _outdated(self, changed: Evaluation) -> set[Place]:
        """The values that no longer hold, and are #N/A for that."""
        found = set()
        for place, fixed in self.copy.fixed.items():
            sheet, _, step = (fixed.step or "").rpartition("!")
            if step and changed.values[sheet].get(position(step)) != 1:
                found.add(place)
        return found

    def roots(self, differences: list[Difference]) -> list[Difference]:
        """The differences that come from a translated formula itself, and not from a cell that it reads."""
        wrong = {difference.place for difference in differences}
        ours = [d for d in differences if d.place in self.copy.translated]
        found = [d for d in ours if not self.precedents.reads_any(d.place, wrong - {d.place})]
        return found or ours

    # -- comparing -----------------------------------------------------------------------------------------------

    def _differences(
        self, original: Evaluation, copy: Evaluation, outdated: Collection[Place] | None = None
    ) -> list[Difference]:
        """`outdated`: the values that no longer hold, after changes; what depends on them may be an error.

        Without changes an error has to be of the same kind also where the call stands inside a longer formula, which
        may see another error of several first.
        """
        found: list[Difference] = []
        excused: set[Place] = set()
        unsure = self.precedents.after(outdated or ())
        self.compared = 0
        for (sheet, where), cell in self.evaluation.formulas.items():
            place = sheet, where
            if sheet in self.original.without or place in self.restless or not self._followed(place, outdated):
                continue
            for at in box_of(cell):
                if at not in original.values[sheet]:
                    continue
                self.compared += 1
                text = self._difference(original, copy, sheet, at)
                if text is None:
                    continue
                both = [isinstance(e.values[sheet].get(at), CellError) for e in (original, copy)]
                hidden = place in unsure
                if hidden and both[1]:
                    break
                strict = outdated is None or self.original.texts[place].upper().startswith("TC_")
                if not strict and all(both):
                    excused.add(place)
                else:
                    found.append(Difference(place, text, all(both), hidden))
                break
        return [d for d in found if not (excused and d.errors and self.precedents.reads_any(d.place, excused))]

    def _followed(self, place: Place, outdated: Collection[Place] | None) -> bool:
        """Whether a cell has to be what the original's is."""
        fixed = self.copy.fixed.get(place)
        if fixed is None:
            return True
        return fixed.step is not None and place not in (outdated or ())

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

    def _restless(self) -> set[Place]:
        """What changes by itself: RAND, NOW, and all that depends on them."""
        texts = self.original.texts
        found = {p for p, text in texts.items() if any(f"{name}(" in text.upper() for name in _RESTLESS)}
        return found | self.precedents.after(found)

    # -- other inputs --------------------------------------------------------------------------------------------

    @cached_property
    def inputs(self) -> dict[Place, float | str]:
        """Typed-in values on which translated cells and values depend."""
        seen: set[Place] = {*self.copy.translated, *self.copy.fixed}
        waiting, areas = list(seen), set()
        while waiting:
            place = waiting.pop()
            areas |= {(a.sheet, a.box) for a in self.evaluation.reads.get(place, ())}
            for source in self.precedents.of(place):
                if source not in seen:
                    seen.add(source)
                    waiting.append(source)
        found = {}
        for sheet in self.original.kept:
            layout = self.evaluation.sheets[sheet][1]
            wanted = _Cover([box for name, box in areas if name == sheet])
            filled = {w for (s, _), c in self.evaluation.formulas.items() if s == sheet for w in box_of(c)}
            for cell in layout.cells():
                if cell.position in filled or cell.position not in wanted:
                    continue
                value = cells.stored(cell, self.original.strings, self.original.package.date1904)
                if value is not None and not isinstance(value, CellError):
                    found[sheet, cell.position] = value
        return found


class _Cover:
    """The cells of many areas, by column: the first and last rows of what they cover, in order."""

    def __init__(self, boxes: list[tuple[int, int, int, int]]):
        spans: dict[int, list[tuple[int, int]]] = {}
        self._wide = []
        for top, left, bottom, right in set(boxes):
            if right - left > 200:
                self._wide.append((top, left, bottom, right))
                continue
            for column in range(left, right + 1):
                spans.setdefault(column, []).append((top, bottom))
        self._firsts: dict[int, list[int]] = {}
        self._lasts: dict[int, list[int]] = {}
        for column, rows in spans.items():
            firsts, lasts = self._firsts.setdefault(column, []), self._lasts.setdefault(column, [])
            for top, bottom in sorted(rows):
                if lasts and top <= lasts[-1]:
                    lasts[-1] = max(lasts[-1], bottom)
                else:
                    firsts.append(top)
                    lasts.append(bottom)

    def __contains__(self, where: Position) -> bool:
        at = bisect_right(self._firsts.get(where[1], ()), where[0])
        if at and where[0] <= self._lasts[where[1]][at - 1]:
            return True
        return any(inside(where, b) for b in self._wide)


def _perturbed(inputs: dict[Place, float | str], number: int) -> dict[Place, float | str | None]:
    """Other values for some inputs: moved in even rounds, made wrong in odd ones. The same in every run."""
    chance = random.Random(number)
    texts = sorted({value for value in inputs.values() if isinstance(value, str) and len(value) < 40})
    changes: dict[Place, float | str | None] = {}
    part = max(0.4 if number % 2 == 0 else 0.08, 1.5 / len(inputs))
    for place, value in inputs.items():
        if chance.random() > part:
            continue
        new = _moved(value, chance, texts) if number % 2 == 0 else chance.choice(_NASTY)
        if new != value:
            changes[place] = new
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
            if differences or not (copy.translated or copy.fixed):
                break
            differences = verifier.changed(number)
            copy.report.rounds = number + 1
        if not differences:
            return package
        hidden = {d.place for d in differences if d.hidden} - copy.sheltered - set(copy.fixed)
        unsure = {d.place for d in differences if d.place in copy.fixed}
        if hidden or unsure:
            copy.sheltered |= hidden
            copy.unsure |= unsure
            continue
        roots = verifier.roots(differences)
        if not roots:
            more = f" (and {len(differences) - 1} more)" if len(differences) > 1 else ""
            raise WorkbookProblem(f"the copy would not give the same as the original: {differences[0].text}{more}")
        for difference in roots:
            copy.frozen[difference.place] = f"an ordinary formula did not give the same ({difference.text})"


def _shown(value) -> str:
    return value.kind if isinstance(value, CellError) else repr(value)
