"""The arguments of a call as steps of the workings: derived from the record's own argument kinds, so that a plain
formula refuses what the function refuses, with the same kind of error.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from tarecell.errors import CellError
from tarecell.functions import Record
from tarecell.functions.cells import is_blank
from tarecell.functions.columns import Caps, Column, Dates, Numbers, Texts
from tarecell.functions.kinds import REQUIRED, Argument, Cap, Date, Flag, Number, Text
from tarecell.functions.temperatures import Temperature
from tarecell.hosts.plain.keys import squeezed_word
from tarecell.hosts.plain.workings import Block, Sheet, Untranslatable, literal

FIRST_DAY, LAST_DAY = 61, 2_958_465  # 1 March 1900 and 31 December 9999 as serial numbers
_UNRESTRICTED = ("norestriction", "norestrictions", "notrestricted", "unrestricted")
_UNSTATED = ("notstated", "n/a", "na")
NOT_STATED = "not stated"
MOST_NESTED = 20


@dataclass(frozen=True)
class Given:
    """One argument as it stands in the formula: nothing, a value, a cell, or a range (rows of addresses).

    `column`: what the formula calls the range, where it is a table's, which may grow.
    """

    value: float | str | bool | CellError | None = None
    cells: tuple[tuple[str, ...], ...] = ()
    column: str = ""

    @property
    def missing(self) -> bool:
        return not self.cells and self.value is None

    @property
    def one(self) -> str | None:
        """The address, where it is one cell."""
        return self.cells[0][0] if len(self.cells) == 1 and len(self.cells[0]) == 1 else None


@dataclass(frozen=True)
class Word:
    """A text argument: known when the copy is made (`known`), or in a step."""

    known: str | None = None
    cell: str = ""

    def __str__(self) -> str:
        return literal(self.known) if self.known is not None else self.cell


class Known(str):
    """A value that is known when the copy is made, as it is typed into a formula."""


def text_cell(x: str) -> str:
    """The formula that reads a cell as text: trimmed, a number by its digits, 0 as good as blank."""
    return f'IF(ISTEXT({x}),TRIM({x}),IF({x}+0=0,"",({x}+0)&""))'


class Reading:
    """The arguments of one call, read. `checks`: the steps that are an error where an argument is one, in order.

    `kept`: 1 in the rows that count, 0 in blank ones. `hopeless`: an error whatever the cells hold.
    """

    def __init__(self, work: Sheet, record: Record, given: Sequence[Given], date1904: bool = False):
        self.work, self.record, self.date1904 = work, record, date1904
        self.checks: list[str] = []
        self.raw: dict[int, Block] = {}
        self.values = [
            self._read(argument, given[i] if i < len(given) else Given(), i)
            for i, argument in enumerate(record.arguments)
        ]
        if len(given) > len(record.arguments):
            self._check("#VALUE!")
        self.kept: Block | None = None
        self.hopeless = any(v is None for v, a in zip(self.values, record.arguments, strict=True) if a.required)
        self._line_up()

    def guard(self) -> str | None:
        """The step that is 0, or the first error of the arguments; None where nothing can be wrong with them."""
        if not self.checks:
            return None
        # Not one SUM over them all: of several errors Excel gives the first and Calc the last.
        texts = []
        for i in range(0, len(self.checks), MOST_NESTED):
            text = "0"
            for check in reversed([*texts[-1:], *self.checks[i : i + MOST_NESTED]]):
                one = f"SUM({check})" if ":" in check else check
                text = f"IF(ISERROR({one}),{one},{text})"
            texts.append(self.work.cell(text, "arguments"))
        return texts[-1]

    def _check(self, text: str) -> None:
        self.checks.append(self.work.cell(text, "check"))

    # -- single values -------------------------------------------------------------------------------------------

    def _read(self, argument: Argument, given: Given, number: int):
        if isinstance(argument, Column):
            return self._column(argument, given, number)
        if argument.kind == "table":
            return self._table(given)
        text = self._single(argument, given)
        if text is None or isinstance(text, (Word, Known)):
            return text
        step = self.work.cell(text, argument.name)
        self.checks.append(step)
        return Word(cell=step) if isinstance(argument, Text) else step

    def _single(self, argument: Argument, given: Given):
        """The formula of a single argument; what it is, where it is known now."""
        if given.cells:
            if given.one is None:
                return "#VALUE!"
            return self.cleaned(argument, given.one)
        value = given.value
        if value is None and argument.default is not REQUIRED:
            return self._default(argument)
        if isinstance(value, CellError):
            return value.kind
        try:
            if isinstance(argument, Date):
                read = self.cleaned(argument, literal(value)) if value is not None else "#VALUE!"
            else:
                read = argument.read(value)
        except CellError as error:
            return error.kind
        if isinstance(argument, Date):
            return read
        if isinstance(argument, Text):
            return Word(read)
        if read is None:
            return Known(literal(NOT_STATED)) if isinstance(argument, Cap) else None
        return Known(literal(read))

    def _default(self, argument: Argument):
        default = argument.missing()
        if default is None:
            return None
        return Word(default) if isinstance(argument, Text) else Known(literal(default))

    def cleaned(self, argument: Argument, x: str) -> str:
        """The formula that reads a cell as a single argument does."""
        if isinstance(argument, Cap):
            return self._cap(x, "IF(ISTEXT({0}),{1},{2})")
        if isinstance(argument, Number):
            return self._number(argument, x)
        absent = "#VALUE!" if argument.default is REQUIRED else literal(argument.missing())
        if isinstance(argument, Text):
            return self._text(argument, x, absent)
        if isinstance(argument, Flag):
            absent = "FALSE" if argument.default is REQUIRED else absent
            return f'IF(ISTEXT({x}),IF(TRIM({x})="",{absent},#VALUE!),IF(OR({x}+0=0,{x}+0=1),{x}+0=1,#VALUE!))'
        if isinstance(argument, Date):
            day = self._day(x)
            return f'IF(ISTEXT({x}),IF(TRIM({x})="",{absent},#VALUE!),IF({x}+0=0,{absent},{day}))'
        raise Untranslatable(f"its argument {argument.name} has no ordinary formula")

    def _number(self, argument: Number, x: str) -> str:
        required = argument.default is REQUIRED
        absent = "#VALUE!" if required else literal(argument.default)
        tests = []
        if isinstance(argument, Temperature):
            tests.append((f"{x}+0=0", absent))
        elif argument.above is not None:
            tests += [(f"{x}+0=0", absent)] if argument.above >= 0 else []
            tests.append((f"{x}+0<={literal(argument.above)}", "#NUM!"))
        low, high = argument._low, argument._high
        if low > -math.inf and not (argument.above is not None and argument.above >= low):
            tests.append((f"{x}+0<{literal(low)}", "#NUM!"))
        if high < math.inf:
            tests.append((f"{x}+0>{literal(high)}", "#NUM!"))
        text = f"{x}+0"
        for test, then in reversed(tests):
            text = f"IF({test},{then},{text})"
        blank = absent if not required or argument.above == 0 else self._zero(argument)
        return f'IF(ISTEXT({x}),IF(TRIM({x})="",{blank},#VALUE!),{text})'

    @staticmethod
    def _zero(argument: Number) -> str:
        """What a blank text gives where blank is as good as 0."""
        try:
            return literal(argument.check(0.0))
        except CellError as error:
            return error.kind

    @staticmethod
    def _text(argument: Text, x: str, absent: str) -> str:
        plain = text_cell(x)
        if argument.choices is None:
            return f'IF({plain}="",{absent},{plain})'
        text = "#VALUE!"
        for key, choice in reversed(argument.choices.items()):
            text = f"IF({squeezed_word(x)}={literal(key)},{literal(choice)},{text})"
        return f'IF({plain}="",{absent},{text})'

    def _day(self, x: str) -> str:
        if self.date1904:
            raise Untranslatable("days are counted from 1904 in this workbook")
        return f"IF(OR(INT({x}+0)<{FIRST_DAY},INT({x}+0)>{LAST_DAY}),#NUM!,INT({x}+0))"

    @staticmethod
    def _cap(x: str, frame: str) -> str:
        word = squeezed_word(x)
        text = f"IF(OR({','.join(f'{word}={literal(w)}' for w in _UNSTATED)}),{literal(NOT_STATED)},#VALUE!)"
        text = f"IF(OR({','.join(f'{word}={literal(w)}' for w in _UNRESTRICTED)}),1,{text})"
        text = f'IF(TRIM({x})="",{literal(NOT_STATED)},{text})'
        return frame.format(x, text, f"IF(OR({x}+0<0,{x}+0>1),#NUM!,{x}+0)")

    # -- columns -------------------------------------------------------------------------------------------------

    def _column(self, argument: Column, given: Given, number: int) -> Block | None:
        if given.missing or (given.value is not None and is_blank(given.value)):
            if argument.required:
                self._check("#VALUE!")
            return None
        cells = self._flat(argument, given)
        if cells is None:
            self._check("#VALUE!")
            return None
        self._check_whole(given)
        lone = len(cells) == 1
        if lone and not argument.required and argument.aligned and not argument.sparse:
            raise Untranslatable(f"{argument.name} is one cell that may be left blank")
        block = self.work.column([self.column_cell(argument, x, lone) for x in cells], argument.name)
        self.raw[number] = Block(tuple(cells), "", across=bool(given.cells) and len(given.cells[0]) > 1)
        self.checks.append(block.range)
        return block

    def _flat(self, argument: Column, given: Given) -> list[str] | None:
        """The cells of a column or row; None where the range is a rectangle."""
        if not given.cells:
            return [self.work.constants([given.value], argument.name).cells[0]]
        if len(given.cells[0]) == 1:
            return [row[0] for row in given.cells]
        return list(given.cells[0]) if len(given.cells) == 1 else None

    def column_cell(self, argument: Column, x: str, lone: bool) -> str:
        """The formula that reads one cell of a column. A lone cell that is 0 is as good as blank, as no host can tell
        the two; an error in a range is #VALUE!, as Calc cannot pass its kind on."""
        if isinstance(argument, Caps):
            text = self._cap(x, "IF(ISTEXT({0}),{1},{2})").replace(literal(NOT_STATED), '""')
        elif isinstance(argument, Texts):
            text = text_cell(x)
        else:
            text = f'IF(ISTEXT({x}),IF(TRIM({x})="","",#VALUE!),{self._column_number(argument, x)})'
        if lone:
            return f'IF(ISTEXT({x}),{text},IF({x}+0=0,"",{text}))'
        blank = "" if isinstance(argument, Texts) else f'IF(ISBLANK({x}),"",'
        return f"IF(ISERROR({x}),#VALUE!,{blank}{text}{')' if blank else ''})"

    def _column_number(self, argument: Column, x: str) -> str:
        if isinstance(argument, Dates):
            return self._day(x)
        if not isinstance(argument, Numbers):
            raise Untranslatable(f"its argument {argument.name} has no ordinary formula")
        text = f"{x}+0"
        if argument._high < math.inf:
            text = f"IF({x}+0>{literal(argument._high)},#NUM!,{text})"
        if argument._low > -math.inf:
            text = f"IF({x}+0<{literal(argument._low)},#NUM!,{text})"
        if argument.above is not None:
            text = f"IF({x}+0<={literal(argument.above)},#NUM!,{text})"
        return text

    def _check_whole(self, given: Given) -> None:
        """#N/A where a row or column was put into a range since: the steps know nothing of its cells."""
        if not given.cells or given.one is not None or given.cells[0][0].startswith(f"{self.work.name}!"):
            return
        first, last = given.cells[0][0], given.cells[-1][-1]
        sizes = ("ROW", len(given.cells)), ("COLUMN", len(given.cells[0]))
        tests = [f"{name}({last})-{name}({first})={size - 1}" for name, size in sizes if size > 1]
        whole = tests[0] if len(tests) == 1 else f"AND({','.join(tests)})"
        if given.column:
            whole = f"ROWS({given.column})={len(given.cells)}"
        self._check(f"IF({whole},0,#N/A)")

    def _line_up(self) -> None:
        """Aligned columns: as long as each other, and filled in the same rows."""
        record, values = self.record, self.values
        for i, argument in enumerate(record.arguments):
            if isinstance(argument, Column) and not argument.aligned and argument.required and values[i]:
                self._check(f'IF(SUMPRODUCT(1*({values[i]}<>""))=0,#VALUE!,0)')
        columns = [(record.arguments[i], values[i]) for i in record.aligned if values[i] is not None]
        if not columns:
            return
        rows = len(columns[0][1])
        if any(len(block) != rows for _, block in columns):
            self._check("#VALUE!")
            self.hopeless = True
            return
        dense = [(a, b) for a, b in columns if not a.sparse]
        filled = [",".join(f'{block.cells[r]}<>""' for _, block in dense) for r in range(rows)]
        self.kept = self.work.column([f"IF(OR({tests}),1,0)" for tests in filled], "row is filled")
        text = f"IF(SUM({self.kept})=0,#VALUE!,0)"
        for _, block in reversed([c for c in columns if c[0].sparse]):
            text = f'IF(SUMPRODUCT(({block}<>"")*({self.kept}=0))>0,#VALUE!,{text})'
        if len(dense) > 1:
            for argument, block in reversed(dense):
                kind = "#N/A" if argument.blank_reason else "#VALUE!"
                text = f'IF(SUMPRODUCT(({block}="")*{self.kept})>0,{kind},{text})'
        self._check(text)

    # -- tables --------------------------------------------------------------------------------------------------

    def _table(self, given: Given) -> tuple[tuple[str, ...], ...]:
        """The cells of a table. An error in any of them is #VALUE!."""
        if not given.cells:
            raise Untranslatable("its table is not a range of cells")
        if given.one is None:
            first, last = given.cells[0][0], given.cells[-1][-1].rsplit("!")[-1]
            self._check(f"IF(ISERROR(SUM({first}:{last})),#VALUE!,0)")
            self._check_whole(given)
        return given.cells
