"""One trial of plain copies: the same inputs changed in the original and in the copy, every cell compared."""

import random
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

from hosts.calc import HERE, Calc
from tarecell.errors import CellError
from tarecell.workbooks import cells
from tarecell.workbooks.evaluate import Trials
from tarecell.workbooks.package import Package
from tarecell.workbooks.references import address
from tarecell.workbooks.share import Report, share
from tarecell.workbooks.share.precedents import Precedents, box_of

NASTY = (0.0, None, "12", "n/a", -1.0, 1.5, 1e9, 1e12, 5e-7, " ", "no restriction")
Place = tuple[str, tuple[int, int]]


class BareCalc(Calc):
    """A Calc without the extension, for workbooks that are changed many times."""

    WORKER = (HERE / "trial_worker.py", HERE / "calc_worker.py")

    def __init__(self):
        super().__init__(extension=False)

    def trials(
        self, path: Path, changes: list[dict[Place, object]], sheets: Iterable[str]
    ) -> list[dict[Place, object]]:
        """The formula cells as the workbook is, and after each of the changes."""
        inside = self._place(".xlsx")
        inside.write_bytes(path.read_bytes())
        self.give_away()  # a file that may not be written opens read-only, and no cell of it can be emptied
        by_sheet = [{} for _ in changes]
        for change, told in zip(changes, by_sheet, strict=True):
            for (sheet, where), value in change.items():
                told.setdefault(sheet, {})[address(where)] = value
        answers = self._ask("trials", path=str(inside), changes=by_sheet, sheets=list(sheets))
        return [
            {(s, (r, c)): _read(value, error) for s, rows in answer.items() for r, c, value, error in rows}
            for answer in answers
        ]


def _read(value, error: str):
    if not error:
        return value
    return CellError("", "#VALUE!" if error.startswith("Err:") else error)


@dataclass
class Pair:
    """A workbook and its plain copy. `rigid`: cells that do not follow; `watched`: values that go with their inputs."""

    original: Path
    copy: Path
    report: Report
    engine: Trials
    rigid: dict[Place, object]
    watched: set[Place]
    inputs: dict[Place, object]
    precedents: Precedents
    sheets: list[str] = field(default_factory=list)

    @classmethod
    def of(cls, original: Path, folder: Path) -> "Pair":
        copy = folder / f"copy of {original.name}"
        report = share(original, copy)
        package = Package.open(original)
        engine = Trials(package)
        first = engine.first
        rigid = {(c.sheet, c.position): first.values[c.sheet].get(c.position) for c in report.rigid}
        watched = {(c.sheet, c.position) for c in report.watched}
        filled = {(s, w) for (s, _), cell in first.formulas.items() for w in box_of(cell)}
        strings = cells.shared_strings(package)
        inputs = {}
        for sheet, (_, layout) in first.sheets.items():
            for cell in layout.cells():
                if (sheet, cell.position) not in filled:
                    value = cells.stored(cell, strings, package.date1904)
                    if value is not None and not isinstance(value, CellError) and not str(value).startswith("="):
                        inputs[sheet, cell.position] = value
        read = {p for p in inputs if any(True for _ in _readers(first, p))}
        inputs = {p: v for p, v in inputs.items() if p in read}
        return cls(original, copy, report, engine, rigid, watched, inputs, Precedents(first), list(first.sheets))

    def changes(self, count: int, seed: int) -> list[dict[Place, object]]:
        """Sensible changes and nasty ones, a few cells at a time."""
        chance, made = random.Random(seed), []
        for number in range(count):
            size = chance.choice((1, 1, 2, 4, max(1, len(self.inputs) // 12)))
            places = chance.sample(list(self.inputs), min(size, len(self.inputs)))
            nasty = number % 2
            made.append({p: chance.choice(NASTY) if nasty else _sensible(self, p, chance) for p in places})
        return made

    def differences(self, change: dict[Place, object], copy: dict[Place, object]) -> list[str]:
        """Every cell that the copy calls live and that is not what the original's is."""
        expected = self.engine.changed({**self.rigid, **change}).values
        outdated = {p for p in self.watched if _is_na(copy.get(p))}
        wrong, behind = [], self.precedents.after({_home(self, p) for p in outdated})
        for (sheet, _), cell in self.engine.first.formulas.items():
            for at in box_of(cell):
                place = sheet, at
                if place in self.rigid or place in outdated or place in change or at not in expected[sheet]:
                    continue
                want, got = expected[sheet][at], copy.get(place)
                excused = (sheet, cell.position) in behind and isinstance(got, CellError)
                if not excused and not agrees(want, got):
                    told = {f"{s}!{address(w)}": v for (s, w), v in change.items()}
                    wrong.append(f"{sheet}!{address(at)}: {want!r} became {got!r} ({cell.text[:80]}) by {told}"[:600])
        return wrong


def _home(pair: Pair, place: Place) -> Place:
    """The formula that fills a cell."""
    return next(pair.precedents.within(place[0], (*place[1], *place[1])))


def _readers(evaluation, place: Place):
    for areas in evaluation.reads.values():
        for area in areas:
            top, left, bottom, right = area.box
            if area.sheet == place[0] and top <= place[1][0] <= bottom and left <= place[1][1] <= right:
                yield area


def _sensible(pair: Pair, place: Place, chance: random.Random):
    value = pair.inputs[place]
    if isinstance(value, bool):
        return not value
    if isinstance(value, str):
        column = [
            v for (s, w), v in pair.inputs.items() if s == place[0] and w[1] == place[1][1] and isinstance(v, str)
        ]
        return chance.choice(column)
    if value == int(value) and abs(value) < 1000:
        return value + chance.choice((1.0, -1.0, 2.0, 10.0))
    return round(value * chance.choice((0.5, 0.9, 1.01, 1.25, 2.0, 10.0)), 8)


def _is_na(value) -> bool:
    return isinstance(value, CellError) and value.kind == "#N/A"


def agrees(expected, got) -> bool:
    """The same value, or an error for an error. Calc's array formulas show an empty text as nothing at all."""
    if isinstance(expected, CellError) or isinstance(got, CellError):
        return isinstance(expected, CellError) and isinstance(got, CellError)
    if isinstance(expected, (int, float)) and isinstance(got, (int, float)):
        return abs(got - expected) <= 1e-9 * max(1.0, abs(expected))
    return (expected or "") == (got or "") if not isinstance(expected, float) else expected == got
