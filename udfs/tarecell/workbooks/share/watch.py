"""Values that show only while everything they were made from is what it was; afterwards they are #N/A.

A value that stays when its inputs change is wrong without a word: a preservative that was "within" would still be
"within" at twice the share. So a cell that has no ordinary formula becomes IF(unchanged, value, NA()). "Unchanged" is a
step of the workings: every filled cell that the original formula reads is compared with what it held, by kind and by
content, and blank ones are counted (COUNTA), so that a new entry shows too. A checksum over a range was thought of and
is not used: two changes can cancel each other out, and texts have no sum. Numbers may differ in the tenth digit, as two
programs' sums do.
#N/A and not a text: whatever calculates with the cell is then #N/A too. Functions that pass over errors (COUNTIF,
IFERROR …) would hide it, so a formula that has one of them and depends on such cells is #N/A with them.
"""

import re
from collections.abc import Collection, Sequence
from functools import cached_property

from tarecell.errors import CellError
from tarecell.hosts.embedded import Area
from tarecell.hosts.plain import Sheet, Untranslatable, literal
from tarecell.workbooks.evaluate import Place, Value
from tarecell.workbooks.references import address, letters
from tarecell.workbooks.share.formulas import quoted
from tarecell.workbooks.share.original import Original

MOST_WATCHED = 2000  # cells that one value may hang on
MOST_AT_ONCE = 300  # steps that one formula adds up: more would make it too long
_NOUGHT = 1e-12  # what one program has for 0 may be this in another
# Functions by which a formula sees an error and goes on.
_SWALLOWS = re.compile(
    r"(?<![\w.])(?:_xlfn\.)?(?:IFERROR|IFNA|IS[A-Z]+|ERROR\.TYPE|TYPE|COUNT|COUNTIFS?|SUMIFS?|AVERAGEIFS?|MAXIFS|"
    r"MINIFS|AGGREGATE|SUBTOTAL|[VHX]?LOOKUP|X?MATCH|D(?:COUNTA?|SUM|GET|MAX|MIN|AVERAGE)|FILTER|FREQUENCY)\s*\(",
    re.IGNORECASE,
)
_ROAMS = re.compile(
    r"(?<![\w.])(?:OFFSET|INDIRECT|NOW|TODAY|RAND|RANDBETWEEN|_xlfn\.RANDARRAY|CELL|INFO)\s*\(|\)\s*:|:\s*[A-Z.]+\(",
    re.IGNORECASE,
)


class Unwatchable(Exception):
    """Why it cannot be told whether a value still holds."""


def swallows(text: str) -> bool:
    """Whether a formula may go on where a cell that it reads is an error."""
    return bool(_SWALLOWS.search(_unquoted(text)))


def _unquoted(text: str) -> str:
    return re.sub(r'"[^"]*"', "", text)


class Watch:
    """Writes the steps that tell whether values still hold. `fixed`: all formulas that became values."""

    def __init__(self, original: Original, work: Sheet, fixed: Collection[Place]):
        self._original, self._evaluation, self._work = original, original.evaluation, work
        self._value = original.value
        self._fixed = fixed
        self._steps: dict[Place, str | None] = {}
        self._seen: dict[Area, tuple[int, str | None, str | None]] = {}

    def step(self, place: Place) -> str | None:
        """The step that is 1 while a value holds; None where it hangs on nothing. Raises Unwatchable."""
        if place not in self._steps:
            self._steps[place] = None  # a loop would come back to here
            self._steps[place] = self._made(place)
        return self._steps[place]

    def still(self, places: Sequence[Place]) -> str | None:
        """The step that is 1 while all these values hold; those that do not follow changes are passed over."""
        steps = []
        for place in places:
            try:
                steps.append(self.step(place))
            except Unwatchable:
                continue
        return self._all(dict.fromkeys(s for s in steps if s is not None))

    def _all(self, steps: Collection[str], more: Sequence[str] = ()) -> str | None:
        """1 where all steps are 1."""
        steps = list(steps)
        if len(steps) > MOST_AT_ONCE:
            steps = [self._all(steps[i : i + MOST_AT_ONCE]) for i in range(0, len(steps), MOST_AT_ONCE)]
        if not steps and not more:
            return None
        if len(steps) == 1 and not more:
            return steps[0]
        sums = [f"SUM({','.join(steps[i : i + 30])})" for i in range(0, len(steps), 30)]
        tests = [f"{'+'.join(sums)}={len(steps)}"] if steps else []
        try:
            return self._work.cell(f"IF(AND({','.join([*tests, *more])}),1,0)", "unchanged")
        except Untranslatable as reason:
            raise Unwatchable(str(reason)) from None

    def _made(self, place: Place) -> str | None:
        areas = self._areas(place)
        self._work.begin(f"{place[0]}!{address(place[1])}: unchanged?")
        steps: dict[str, None] = {}
        more, count = [], 0
        for area in areas:
            number, step, blanks = self._looked_at(area)
            count += number
            if count > MOST_WATCHED:
                raise Unwatchable(f"it hangs on more than {MOST_WATCHED} cells")
            if step is not None:
                steps[step] = None
            if blanks is not None:
                more.append(blanks)
        for other in self._original.precedents.nearest(place, self._fixed):
            try:
                step = self.step(other)
            except Unwatchable:
                continue
            if step is not None:
                steps[step] = None
        return self._all(steps, more)

    def _looked_at(self, area: Area) -> tuple[int, str | None, str | None]:
        """How many cells of an area are filled, the step that is 1 while they are as they were, and the test of the
        blank ones. Many formulas read the same area."""
        if area not in self._seen:
            filled, step, blanks = self._filled(area), None, None
            if len(filled) <= MOST_WATCHED:
                checks = [self._check(area.sheet, where) for where in filled]
                if checks:
                    block = self._work.column(checks, "1 if as it was")
                    whole = f"IF(SUM({block})={len(checks)},1,0)"
                    step = self._work.cell(whole, "all of them") if len(checks) > 1 else block.cells[0]
                # Also where all are filled: a row may be put between them.
                if area.box[:2] != area.box[2:] or not filled:
                    blanks = f"COUNTA({_address(area)})={len(filled)}"
            self._seen[area] = len(filled), step, blanks
        return self._seen[area]

    def _areas(self, place: Place) -> list[Area]:
        """The areas that a formula reads on the sheets that stay, through those that do not."""
        found: dict[Area, None] = {}
        seen, waiting = {place}, [place]
        while waiting:
            current = waiting.pop()
            text = self._original.texts.get(current, self._evaluation.formulas[current].text)
            if _ROAMS.search(_unquoted(text)):
                raise Unwatchable("it changes by itself, or reads cells that it works out")
            reads = self._evaluation.reads.get(current)
            if reads is None:
                raise Unwatchable("it is not known which cells it reads")
            for area in reads:
                if area.sheet not in self._original.without:
                    found[area] = None
                    continue
                for other in self._original.precedents.within(area.sheet, area.box):
                    if other not in seen:
                        seen.add(other)
                        waiting.append(other)
        return list(found)

    @cached_property
    def _known(self) -> dict[str, list[tuple[int, int]]]:
        """The filled cells of each sheet, in order."""
        found = {}
        for sheet, (_, layout) in self._evaluation.sheets.items():
            places = {cell.position for cell in layout.cells()} | set(self._evaluation.values[sheet])
            found[sheet] = sorted(where for where in places if self._value(sheet, where) is not None)
        return found

    def _filled(self, area: Area) -> list[tuple[int, int]]:
        top, left, bottom, right = area.box
        if (top, left) == (bottom, right):
            return [(top, left)] if self._value(area.sheet, (top, left)) is not None else []
        return [(r, c) for r, c in self._known[area.sheet] if top <= r <= bottom and left <= c <= right]

    def _check(self, sheet: str, where: tuple[int, int]) -> str:
        """The formula that is 1 while a cell holds what it held: the same kind of thing, and the same of it."""
        x = f"{quoted(sheet)}!{address(where)}"
        value = self._value(sheet, where)
        if isinstance(value, CellError):
            return f"IF({'ISNA' if value.kind == '#N/A' else 'ISERR'}({x}),1,0)"
        if isinstance(value, str):
            try:
                return f"IF(ISTEXT({x}),IF(EXACT({x},{shown(value)}),1,0),0)"
            except Untranslatable as reason:
                raise Unwatchable(str(reason)) from None
        if isinstance(value, bool):  # a program may keep TRUE as 1
            return f"IF(ISERROR({x}),0,IF(ISTEXT({x}),0,IF(ISBLANK({x}),0,IF({x}+0={int(value)},1,0))))"
        near = max(abs(value) * 1e-9, _NOUGHT)
        return f"IF(ISNUMBER({x}),IF(ABS({x}-{bracketed(value)})<={literal(near)},1,0),0)"


def bracketed(value: float) -> str:
    return f"({literal(value)})" if value < 0 else literal(value)


def shown(value: Value | None) -> str:
    """A value as it stands in a formula, a long text in pieces."""
    if not isinstance(value, str):
        return literal(value)
    pieces = []
    for number, line in enumerate(value.replace("\r\n", "\n").split("\n")):
        pieces += ["CHAR(10)"] if number else []
        pieces += [literal(line[i : i + 250]) for i in range(0, len(line), 250)]
    return "&".join(pieces) or '""'


def _address(area: Area) -> str:
    top, left, bottom, right = area.box
    first = f"{letters(left)}{top}"
    last = f"{letters(right)}{bottom}"
    return f"{quoted(area.sheet)}!{first}" + ("" if first == last else f":{last}")
