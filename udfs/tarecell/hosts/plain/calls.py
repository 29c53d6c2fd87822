"""Plain formulas for calls: `translates("TC_X")` marks the function that writes the formula of one calculation.

It gets the arguments as steps that are right already (see reading.py) and writes only the calculation.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from tarecell.errors import CellError
from tarecell.functions import REGISTRY, run
from tarecell.functions.records import COLUMN, DATE
from tarecell.hosts.plain.reading import Given, Reading
from tarecell.hosts.plain.workings import Block, Constant, Sheet, Untranslatable, literal

TRANSLATIONS: dict[str, Callable] = {}


def translates(*names: str):
    """Marks the translation of a function: `translation(call, *arguments)` gives a formula, or a Block of cells."""

    def mark(translation: Callable) -> Callable:
        for name in names:
            TRANSLATIONS[name] = translation
        return translation

    return mark


@dataclass
class Call:
    """A call under translation: where its steps go, and what is known of its arguments."""

    work: Sheet
    reference: Sheet
    reading: Reading
    guard: str | None

    def cell(self, text: str, label: str = "") -> str:
        return self.work.cell(text, label)

    def column(self, texts: Sequence[str], label: str = "", across: bool = False) -> Block:
        return self.work.column(texts, label, across)

    @property
    def kept(self) -> Block:
        """1 in the rows that count, 0 in blank ones."""
        return self.reading.kept

    def guarded(self, text: str) -> str:
        """A result's formula: the first error of the arguments goes before it."""
        return text if self.guard is None else f"IF({self.guard}=0,{text})"

    def filled(self, texts: Sequence[str], label: str = "gives") -> Block:
        """The result of a function that gives a column: blank where the row is, an error in all of it if in one."""
        across = any(raw.across for raw in self.reading.raw.values())
        kept = self.kept.cells
        each = self.column([f'IF({k}=1,{text},"")' for k, text in zip(kept, texts, strict=True)], "each row")
        sure = self.cell(self.guarded(f"0*SUM({each})"), "no error")
        return self.column([f"IF({sure}=0,{cell})" for cell in each.cells], label, across)

    def row(self, texts: Sequence[str]) -> Block:
        """The result of a function that gives two cells side by side."""
        return self.column([self.guarded(text) for text in texts], "gives", across=True)


@dataclass(frozen=True)
class Result:
    """What stands for a call: `text` in a formula; `rows` and `columns` where it is a range of cells."""

    text: str
    rows: int = 1
    columns: int = 1

    @property
    def first(self) -> str:
        """Its first cell, which is all that an ordinary formula sees."""
        return self.text.split(":")[0]


def translate_call(name: str, given: Sequence[Given], work: Sheet, reference: Sheet, date1904: bool = False) -> Result:
    """What stands for a call in a plain formula. Raises Untranslatable with the reason."""
    record = REGISTRY.get(name)
    if record is None:
        raise Untranslatable(f"{name} is not a function of this version")
    if given and not any(g.cells for g in given) and not record.needs_host and not (date1904 and record.result == DATE):
        return _constant(name, [g.value for g in given], work)
    translation = TRANSLATIONS.get(name)
    if translation is None:
        raise Untranslatable(f"there is no ordinary formula for {name}")
    reading = Reading(work, record, given, date1904)
    if reading.hopeless:
        return Result(work.cell(reading.guard(), "gives"))
    call = Call(work, reference, reading, reading.guard())
    made = translation(call, *reading.values)
    if isinstance(made, Block):
        rows = 1 if made.across else len(made) // made.columns
        return Result(made.range, rows, made.columns)
    return Result(work.cell(call.guarded(made), "gives"))


def _constant(name: str, values: list, work: Sheet) -> Result:
    """A call whose arguments are all typed into the formula: its value cannot change."""
    try:
        value = run(name, values)
    except CellError as error:
        return Result(error.kind)
    if not isinstance(value, (list, tuple)):
        return Result(literal(value))
    column = REGISTRY[name].result == COLUMN
    rows = [list(v) if isinstance(v, (list, tuple)) else [v] for v in value]
    if not column and not any(isinstance(v, (list, tuple)) for v in value):
        rows = [list(value)]
    if len(rows) > 1 and len(rows[0]) > 1:
        block = work.rows([[literal(v) for v in row] for row in rows])
    else:
        flat: list[Constant] = ["" if v is None else v for row in rows for v in row]
        block = work.constants(flat, "gives", across=len(rows) == 1)
    return Result(block.range, len(rows), len(rows[0]))
