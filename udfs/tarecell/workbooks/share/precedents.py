"""What the formulas of a workbook read, and which of them read others."""

from collections.abc import Collection, Iterator

from tarecell.workbooks.cells import FormulaCell
from tarecell.workbooks.dependents import Dependents
from tarecell.workbooks.evaluate import Evaluation, Place
from tarecell.workbooks.references import Position


class Precedents:
    """The formulas that each formula of a workbook reads."""

    def __init__(self, evaluation: Evaluation):
        self._reads, self._formulas = evaluation.reads, evaluation.formulas
        self._columns: dict[tuple[str, int], list[tuple[int, int, Place]]] = {}
        self._known: dict[Place, list[Place]] = {}
        for place, cell in evaluation.formulas.items():
            top, left, bottom, right = cell.box or (*place[1], *place[1])
            for column in range(left, right + 1):
                self._columns.setdefault((place[0], column), []).append((top, bottom, place))

    def within(self, sheet: str, box: tuple[int, int, int, int]) -> Iterator[Place]:
        """The formulas that fill cells of an area."""
        top, left, bottom, right = box
        for column in range(left, min(right, left + 1000) + 1):
            for first, last, other in self._columns.get((sheet, column), ()):
                if first <= bottom and top <= last:
                    yield other

    def of(self, place: Place) -> list[Place]:
        """The formulas that a formula reads."""
        if place not in self._known:
            found: dict[Place, None] = {}
            for area in set(self._reads.get(place, ())):
                found.update(dict.fromkeys(self.within(area.sheet, area.box)))
            self._known[place] = list(found)
        return self._known[place]

    def nearest(self, place: Place, wanted: Collection[Place]) -> list[Place]:
        """Those of `wanted` that a formula reads, by however many steps; what stands behind one is not looked at."""
        seen, waiting, found = {place}, [place], []
        while waiting:
            for source in self.of(waiting.pop()):
                if source in seen:
                    continue
                seen.add(source)
                (found if source in wanted else waiting).append(source)
        return found

    def after(self, places: Collection[Place]) -> set[Place]:
        """The formulas that depend on any of these, by however many steps."""
        if not places:
            return set()
        index, found, waiting = Dependents(self._reads, []), set(), []
        for place in places:
            waiting += [(place[0], where) for where in box_of(self._formulas[place])]
        while waiting:
            for place in index.take(waiting.pop()):
                if place not in found:
                    found.add(place)
                    waiting += [(place[0], where) for where in box_of(self._formulas[place])]
        return found

    def reads_any(self, place: Place, wanted: Collection[Place]) -> bool:
        """Whether a formula reads one of these, by however many steps."""
        return bool(wanted) and bool(self.nearest(place, wanted))


def box_of(cell: FormulaCell) -> list[Position]:
    """The cells that a formula fills."""
    if cell.box is None:
        return [cell.position]
    top, left, bottom, right = cell.box
    return [(r, c) for r in range(top, bottom + 1) for c in range(left, right + 1)]
