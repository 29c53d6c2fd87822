"""Which formulas read a given cell."""

from collections.abc import Iterable, Iterator, Mapping

from tarecell.hosts.embedded import Area
from tarecell.workbooks.references import Position

Place = tuple[str, Position]
_WIDE = 64  # areas of more columns are kept in one list per sheet


class Dependents:
    """An index from cells to the formulas that read them. Each formula is given out once."""

    def __init__(self, reads: Mapping[Place, Iterable[Area]], roaming: Iterable[Place] = ()):
        """`roaming`: formulas that may read any cell; they are given out with the first cell asked for."""
        self._points: dict[Place, list[Place]] = {}
        self._bands: dict[tuple[str, int], list[tuple[int, int, Place]]] = {}
        self._wide: dict[str, list[tuple[Area, Place]]] = {}
        self._roaming = list(roaming)
        self._given: set[Place] = set()
        for place, areas in reads.items():
            for read in set(areas):
                self._add(place, read)

    def _add(self, place: Place, read: Area) -> None:
        top, left, bottom, right = read.box
        if (top, left) == (bottom, right):
            self._points.setdefault((read.sheet, (top, left)), []).append(place)
        elif right - left < _WIDE:
            for column in range(left, right + 1):
                self._bands.setdefault((read.sheet, column), []).append((top, bottom, place))
        else:
            self._wide.setdefault(read.sheet, []).append((read, place))

    def take(self, source: Place) -> Iterator[Place]:
        """The formulas that read this cell and were not given out before."""
        sheet, (row, column) = source
        found = self._roaming + self._points.pop(source, [])
        self._roaming = []
        bands = self._bands.get((sheet, column))
        if bands:
            found += [place for top, bottom, place in bands if top <= row <= bottom]
            self._bands[sheet, column] = [b for b in bands if not b[0] <= row <= b[1]]
        for read, place in self._wide.get(sheet, ()):
            if read.box[0] <= row <= read.box[2] and read.box[1] <= column <= read.box[3]:
                found.append(place)
        for place in found:
            if place not in self._given:
                self._given.add(place)
                yield place
