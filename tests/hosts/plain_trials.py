"""One trial of plain copies: the same inputs changed in the original and in the copy, every cell compared."""

import random
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

import openpyxl
from hosts.calc import HERE, Calc
from openpyxl.utils import column_index_from_string
from tarecell.errors import CellError
from tarecell.workbooks import cells
from tarecell.workbooks.evaluate import Trials
from tarecell.workbooks.package import Package
from tarecell.workbooks.references import address
from tarecell.workbooks.share import Report, share
from tarecell.workbooks.share.precedents import Precedents, box_of

NASTY = (0.0, None, "12", "n/a", -1.0, 1.5, 1e9, 1e12, 5e-7, " ", "no restriction")
ROUNDING = 1e-15  # of the larger numbers in a sum: a few units in the last place
Place = tuple[str, tuple[int, int]]
# A call with cells or typed values as arguments, and nothing else, or only where the row is not blank.
ONE_CALL = re.compile(r'^(?:IF\((?:LEN\(\w+\)|TRIM\(\w+\)|\w+)=(?:0|""),"",)?TC_\w+\([^()+*/^&<>=-]*\)\)?$')


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


def within_reach(path: Path) -> Callable[[Place], bool]:
    """Which cells a person can type into: shown, not locked. Where all are locked, the protection is lifted first."""
    book = openpyxl.load_workbook(path)
    every = [cell for sheet in book for row in sheet.iter_rows() for cell in row]
    locked = {
        (cell.parent.title, (cell.row, cell.column))
        for cell in every
        if cell.parent.protection.sheet and cell.protection.locked
    }
    guarded = {sheet.title for sheet in book if sheet.protection.sheet} if len(locked) < len(every) else set()
    unseen = {sheet.title for sheet in book if sheet.sheet_state != "visible"}
    hidden = set()
    for sheet in book:
        for letter, column in sheet.column_dimensions.items():
            if column.hidden:
                first = column.min or column_index_from_string(letter)
                hidden |= {(sheet.title, "column", c) for c in range(first, (column.max or first) + 1)}
        hidden |= {(sheet.title, "row", number) for number, row in sheet.row_dimensions.items() if row.hidden}
    known = {(cell.parent.title, (cell.row, cell.column)) for cell in every}

    def reached(place: Place) -> bool:
        sheet, (row, column) = place
        if sheet in unseen or (sheet, "row", row) in hidden or (sheet, "column", column) in hidden:
            return False
        return sheet not in guarded or (place in known and place not in locked)

    return reached


@dataclass
class Pair:
    """A workbook and its plain copy. `rigid`: cells that do not follow; `watched`: values that go with their inputs.

    `inputs`: the cells that formulas read and a person can type into, None for a blank one.
    """

    original: Path
    copy: Path
    report: Report
    engine: Trials
    rigid: dict[Place, object]
    watched: set[Place]
    inputs: dict[Place, object]
    typed: dict[Place, object]
    precedents: Precedents
    sheets: list[str] = field(default_factory=list)
    _expected: dict[tuple, dict] = field(default_factory=dict)

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
        typed = {
            (sheet, cell.position): cells.stored(cell, strings, package.date1904)
            for sheet, (_, layout) in first.sheets.items()
            for cell in layout.cells()
        }
        reached = within_reach(original)
        inputs = {
            place: typed.get(place)
            for place in sorted(_read_cells(first))
            if place not in filled and reached(place) and _can_be_typed(typed.get(place))
        }
        return cls(original, copy, report, engine, rigid, watched, inputs, typed, Precedents(first), list(first.sheets))

    @property
    def has_functions(self) -> bool:
        return any("TC_" in cell.text.upper() for cell in self.engine.first.formulas.values())

    @cached_property
    def columns(self) -> dict[tuple[str, int], list]:
        """What is typed in each column."""
        found: dict[tuple[str, int], list] = {}
        for (sheet, where), value in self.inputs.items():
            if value is not None:
                found.setdefault((sheet, where[1]), []).append(value)
        return found

    def expected(self, change: dict[Place, object]) -> dict[str, dict]:
        """What the original gives; asked for once for all hosts."""
        key = tuple(change.items())
        if key not in self._expected:
            self._expected[key] = self.engine.changed({**self.rigid, **change}).values
        return self._expected[key]

    def changes(self, count: int, seed: int) -> list[dict[Place, object]]:
        """Sensible changes and nasty ones, a few cells at a time; every column as often, however long it is."""
        chance, made = random.Random(seed), []
        if not self.inputs:
            return []
        columns: dict[tuple[str, int], list[Place]] = {}
        for place in self.inputs:
            columns.setdefault((place[0], place[1][1]), []).append(place)
        for number in range(count):
            size = chance.choice((1, 1, 2, 4, max(1, len(self.inputs) // 12)))
            places = [self._one_of(chance.choice(list(columns.values())), chance) for _ in range(size)]
            nasty = number % 2
            made.append({p: chance.choice(NASTY) if nasty else _sensible(self, p, chance) for p in places})
        return made

    def _one_of(self, places: list[Place], chance: random.Random) -> Place:
        """A filled cell three times in four, where there is one."""
        filled = [p for p in places if self.inputs[p] is not None]
        return chance.choice(filled if filled and chance.random() < 0.75 else places)

    def differences(self, change: dict[Place, object], copy: dict[Place, object]) -> list[str]:
        """Every cell that the copy calls live and that is not what the original's is.

        Errors are of the same kind, too, wherever a function gives them, and where a formula makes one by itself. Of
        several errors programs pass on different ones (A1+A2: Excel the first, Calc the second). So an ordinary
        formula that reads an error may show another kind, and so may what depends on it.
        """
        expected = self.expected(change)
        outdated = {p for p in self.watched if _is_na(copy.get(p))}
        behind = self.precedents.after({_home(self, p) for p in outdated})
        wrong, kinds, off = [], {}, []
        for (sheet, where), cell in self.engine.first.formulas.items():
            for at in box_of(cell):
                place = sheet, at
                if place in self.rigid or place in outdated or place in change or at not in expected[sheet]:
                    continue
                want, got = expected[sheet][at], copy.get(place)
                if agrees(want, got) or ((sheet, where) in behind and isinstance(got, CellError)):
                    continue
                told = {f"{s}!{address(w)}": v for (s, w), v in change.items()}
                line = f"{sheet}!{address(at)}: {_shown(want)} became {_shown(got)} ({cell.text[:80]}) by {told}"[:600]
                if isinstance(want, CellError) and isinstance(got, CellError):
                    kinds[sheet, where] = line
                elif isinstance(want, float) and isinstance(got, float):
                    off.append(((sheet, where), want, got, line))
                else:
                    wrong.append(line)
        open_to_choice = {place for place in kinds if self._meets_an_error(place, change)}
        excused = open_to_choice | self.precedents.after(open_to_choice)
        return wrong + self._too_far_off(off, change) + [line for place, line in kinds.items() if place not in excused]

    def _too_far_off(self, off: list[tuple[Place, float, float, str]], change: dict[Place, object]) -> list[str]:
        """The lines of numbers that differ by more than last digits.

        A small difference of large numbers consists of their last digits: not every program adds up in the same order,
        and Calc takes a difference of nearly equal numbers for 0. So a number may be off by the rounding of the numbers
        that its own formula reads, and what is computed from such a number by as large a part of itself, or ten times.
        """
        values = {**self.typed, **change}
        for sheet, found in self.expected(change).items():
            values.update({(sheet, where): value for where, value in found.items()})
        rounded: dict[Place, float] = {}
        for place, want, got, _ in off:
            if abs(got - want) <= ROUNDING * self._largest_read(place, values):
                rounded[place] = max(rounded.get(place, 0.0), part_off(want, got))
        lines = []
        for place, want, got, line in off:
            before = [rounded[source] for source in self.precedents.nearest(place, rounded)]
            if place not in rounded and part_off(want, got) > 10 * max(before, default=0.0):
                lines.append(line)
        return lines

    def _largest_read(self, place: Place, values: dict[Place, object]) -> float:
        """The largest of the numbers that a formula reads itself."""
        areas = self.engine.first.reads[place]
        numbers = [
            abs(value)
            for (sheet, (row, column)), value in values.items()
            if isinstance(value, float)
            and any(a.sheet == sheet and a.box[0] <= row <= a.box[2] and a.box[1] <= column <= a.box[3] for a in areas)
        ]
        return max(numbers, default=0.0)

    def _meets_an_error(self, place: Place, change: dict[Place, object]) -> bool:
        """Whether a formula reads an error, beside which it may make another. One call of a function may not."""
        if ONE_CALL.search(self.engine.first.formulas[place].text):
            return False
        values = self.expected(change)
        return any(isinstance(values[s].get(w), CellError) for s, w in self._read_by(place))

    def _read_by(self, place: Place) -> set[Place]:
        """The cells of formulas that a formula reads."""
        return {
            (source[0], at) for source in self.precedents.of(place) for at in box_of(self.engine.first.formulas[source])
        }


def _shown(value) -> str:
    return value.kind if isinstance(value, CellError) else repr(value)


def _home(pair: Pair, place: Place) -> Place:
    """The formula that fills a cell."""
    return next(pair.precedents.within(place[0], (*place[1], *place[1])))


def _read_cells(evaluation) -> set[Place]:
    """The cells that formulas read. Of whole columns and rows only the used part."""
    found: set[Place] = set()
    used = {name: layout.cells() for name, (_, layout) in evaluation.sheets.items()}
    ends = {name: max((c.position[0] for c in there), default=1) for name, there in used.items()}
    for area in {(a.sheet, a.box) for areas in evaluation.reads.values() for a in areas}:
        sheet, (top, left, bottom, right) = area
        rows = range(top, min(bottom, ends.get(sheet, 1)) + 1)
        found |= {(sheet, (row, column)) for row in rows for column in range(left, min(right, left + 100) + 1)}
    return found


def _can_be_typed(value) -> bool:
    return not isinstance(value, CellError) and not str(value).startswith("=")


def _sensible(pair: Pair, place: Place, chance: random.Random):
    """Another value of the same sort; in a blank cell one like those of its column."""
    value = pair.inputs[place]
    column = pair.columns.get((place[0], place[1][1]), [1.0])
    if value is None:
        value = chance.choice(column)
    if isinstance(value, bool):
        return not value
    if isinstance(value, str):
        return chance.choice([other for other in column if isinstance(other, str)])
    if value == int(value) and (abs(value) < 1000 or 30_000 < value < 60_000):  # a count, or a day
        return value + chance.choice((1.0, -1.0, 2.0, 10.0))
    return round(value * chance.choice((0.5, 0.9, 1.01, 1.25, 2.0, 10.0)), 8)


def _is_na(value) -> bool:
    return isinstance(value, CellError) and value.kind == "#N/A"


def part_off(want: float, got: float) -> float:
    """By how large a part of it a number is off."""
    return abs(got - want) / min(abs(want), abs(got)) if want and got else float("inf")


def agrees(expected, got) -> bool:
    """The same value, or an error of the same kind. Calc's array formulas show an empty text as nothing at all."""
    if isinstance(expected, CellError) or isinstance(got, CellError):
        return isinstance(expected, CellError) and isinstance(got, CellError) and expected.kind == got.kind
    if isinstance(expected, (int, float)) and isinstance(got, (int, float)):
        return abs(got - expected) <= 1e-9 * abs(expected)
    return (expected or "") == (got or "") if not isinstance(expected, float) else expected == got
