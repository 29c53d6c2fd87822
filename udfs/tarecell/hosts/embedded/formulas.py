"""A formula from a file in the form that the engine computes, or the reason why it cannot.

In a file the meaning of a formula hangs on how it was entered: an ordinary formula sees one cell of a range that it
calculates with, an array formula sees them all. The engine always sees them all, so ordinary formulas get "@" where
one cell is meant. Names and table columns become plain ranges.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from tarecell.functions import REGISTRY
from tarecell.hosts.embedded import ranges
from tarecell.hosts.embedded.references import QUALIFIED, REFERENCE, Area, Box, relative, shifted
from tarecell.hosts.embedded.tables import TableArea, Unsupported, plain_range

_MAY_SPILL = frozenset("SEQUENCE RANDARRAY INDIRECT OFFSET LET MUNIT TEXTSPLIT".split())
MOST_TEXT = 20_000  # characters in a formula, once names are replaced by what they mean
_OPERATORS = ("OpInfix", "OpPrefix", "OpPostfix")
_NOT_TELLING = {
    "CELL": "CELL depends on how the sheet looks",
    "INFO": "INFO depends on the program that is open",
    "FORMULATEXT": "FORMULATEXT shows the text of another formula",
    "ISFORMULA": "ISFORMULA is not known to the embedded engine",
    "ANCHORARRAY": "ANCHORARRAY (a spilled range, A1#) is not known to the embedded engine",
    "SINGLE": "the @ sign stands before something that the embedded engine cannot reduce to one cell",
    "LAMBDA": "LAMBDA is not known well enough to the embedded engine",
    "MMULT": "MMULT is not known well enough to the embedded engine",
}


@dataclass
class Names:
    """What a workbook calls its cells: defined names (by sheet, "" for all sheets) and tables, in lower case."""

    defined: dict[tuple[str, str], str] = field(default_factory=dict)
    tables: dict[str, TableArea] = field(default_factory=dict)


@dataclass
class Translated:
    """The formula for the engine, the areas that it reads, and whether it may read others (OFFSET, INDIRECT)."""

    text: str
    reads: list[Area]
    functions: set[str]
    roams: bool = False

    @property
    def sheets(self) -> set[str]:
        """The sheets that it reads."""
        return {read.sheet for read in self.reads}


@dataclass
class _Work:
    """One formula under way."""

    sheet: str
    row: int
    column: int
    shift: tuple[int, int]
    array: bool
    reads: list[Area] = field(default_factory=list)
    functions: set[str] = field(default_factory=set)
    wide: bool = False  # whether it holds anything that can give more than one value
    depth: int = 0
    slots: list[tuple[str, str, Box]] | None = None


@dataclass
class _Place:
    """Where a token stands: the tokens, its number, and the functions around it with the number of their argument."""

    tokens: list[tuple[str, str, str]]
    at: int
    end: int
    around: list[list]

    def neighbours(self) -> tuple[tuple[str, str, str] | None, tuple[str, str, str] | None]:
        """What stands before and after it, brackets that hold nothing else left aside."""
        before, after = self.at, self.end
        while True:
            before, after = self._next(before, -1), self._next(after, 1)
            left, right = self._token(before), self._token(after)
            if left is None or left[1:] != ("Paren", "Open") or right is None or right[1:] != ("Paren", "Close"):
                return left, right

    def _next(self, at: int, step: int) -> int:
        at += step
        while 0 <= at < len(self.tokens) and self.tokens[at][1] == "Whitespace":
            at += step
        return at

    def _token(self, at: int) -> tuple[str, str, str] | None:
        return self.tokens[at] if 0 <= at < len(self.tokens) else None

    def functions(self) -> list[tuple[str, int]]:
        """The functions around, from the inside."""
        return [(name, number) for name, number in reversed(self.around) if name != "("]


class Translator:
    """Translates the formulas of one workbook."""

    def __init__(
        self,
        tokens: Callable[[str], list[Any] | None],
        knows: Callable[[str], bool],
        sheets: Mapping[str, str],
        names: Names,
        without_functions: bool = False,
    ):
        """`sheets`: the sheets' names by their names in lower case."""
        self._tokens, self._knows, self._sheets, self._names = tokens, knows, sheets, names
        self._without_functions = without_functions

    def translate(
        self,
        formula: str,
        sheet: str,
        where: tuple[int, int],
        shift: tuple[int, int] = (0, 0),
        array: bool = False,
        slots: list[tuple[str, str, Box]] | None = None,
    ) -> Translated:
        """`shift`: rows and columns from the cell that a shared formula was written for to this one.

        `slots`: gets the sheet, text and area of every plain reference; NUL, its number, NUL stand for it in the text.
        """
        work = _Work(sheet, *where, shift, array, slots=slots)
        text = self._walk(formula.removeprefix("="), work)
        if not array and work.wide:
            text = f"@({text})"  # one cell, one value: the first one, where there are several
        if work.wide and "LET" in work.functions and not work.functions.isdisjoint(ranges.SINGLE):
            raise Unsupported("LET with ranges is not known well enough to the embedded engine")
        roams = not work.functions.isdisjoint(("OFFSET", "INDIRECT"))
        return Translated(text, work.reads, work.functions, roams)

    def _walk(self, formula: str, work: _Work) -> str:
        read = self._tokens(formula)
        if read is None:
            raise Unsupported("the embedded engine cannot read the formula")
        tokens = [(t.value, str(t.token_type).rsplit(".")[-1], str(t.subtype).rsplit(".")[-1]) for t in read]
        names = {text[:-1].strip().upper() for text, kind, sub in tokens if kind == "Func" and sub == "Open"}
        self._check_functions(names, work)
        around: list[list] = []
        pieces = []
        for i, (text, kind, sub) in enumerate(tokens):
            if kind == "Operand":
                if sub == "Range":
                    text = self._operand(text, _Place(tokens, i, i, around), work)
            elif kind == "Func" and sub == "Open":
                name = _bare(text[:-1])
                if ranges.gives_array(name) and not (name.startswith("TC_") and self._without_functions):
                    pieces.append(self._mark(_Place(tokens, i, _close(tokens, i), around), work, call=True))
                around.append([name, 0])
            elif kind == "Paren" and sub == "Open":
                around.append(["(", 0])
            elif sub == "Close" and kind in ("Func", "Paren"):
                if around:
                    around.pop()
            elif kind == "Sep" and sub == "Arg" and around:
                around[-1][1] += 1
            elif kind == "Array" and sub == "Open":
                work.wide = True
                self._mark(_Place(tokens, i, _close(tokens, i), around), work, call=True)
            elif kind == "OpPostfix" and text == "#":
                raise Unsupported("the formula reads a spilled range (#), which the embedded engine does not know")
            elif kind == "OpInfix" and not text.strip():
                raise Unsupported("the formula intersects ranges by a space, which the embedded engine does not know")
            pieces.append(text)
        return "".join(pieces)

    def _check_functions(self, names: set[str], work: _Work) -> None:
        for name in sorted(names):
            bare = _bare(name)
            work.functions.add(bare)
            if bare in _NOT_TELLING:
                raise Unsupported(_NOT_TELLING[bare])
            if bare.startswith("TC_"):
                if not self._without_functions and bare not in REGISTRY:
                    raise Unsupported(f"{bare} is not a function of this version")
            elif not self._knows(name):
                raise Unsupported(f"the embedded engine does not know the function {bare}")
            if ranges.gives_array(bare) or bare in _MAY_SPILL:
                work.wide = True

    def _mark(self, place: _Place, work: _Work, call: bool = False) -> str:
        """ "@" where an ordinary formula means one cell of a range, or one value of a call's array; '' elsewhere.

        Raises Unsupported where the engine would not do with the range what Excel and Calc do.
        """
        before, after = place.neighbours()
        if before is not None and before[0] == "@":
            return ""
        if any(k is not None and k[1] == "OpInfix" and k[0] in (":", ",") for k in (before, after)):
            return ""  # a part of a larger reference
        operand = any(k is not None and k[1] in _OPERATORS for k in (before, after))
        functions = place.functions()
        whole = work.array or any(name in ranges.WHOLE for name, _ in functions)
        if operand and not whole and not call:
            if ("MATCH", 1) in functions:
                raise Unsupported("programs differ on calculating inside MATCH: enter it as an array formula")
            return "@"
        for name, number in functions:
            if name in ranges.LIFTED and (whole or operand or number > 0):
                continue
            if ranges.takes(name, number):
                return ""
            if not whole and not operand and ranges.single(name, number):
                return "@"
            raise Unsupported(f"the embedded engine cannot work through a range in {name}")
        return "" if whole else "@"

    # -- operands ------------------------------------------------------------------------------------------------

    def _operand(self, text: str, place: _Place, work: _Work) -> str:
        shift = work.shift
        if re.match(r"'[^']*\[", text):
            raise Unsupported("the formula reads another workbook, which is not opened")
        if "[" in text and not text.startswith("'"):
            text, shift = plain_range(text, self._names.tables, work.sheet, work.row, work.column), (0, 0)
            if text == "#REF!":
                return text
        qualifier, body = QUALIFIED.fullmatch(text).groups()
        reference = REFERENCE.fullmatch(body)
        if reference is None:
            return self._name(qualifier, body, place, work)
        body, box = shifted(reference, *shift)
        sheet = self._sheet(qualifier, work)
        if box is None or sheet is None:
            return "#REF!"
        work.reads.append(Area(sheet, box))
        mark = ""
        if box[:2] != box[2:]:
            work.wide = True
            mark = self._mark(place, work)
        if work.slots is not None:
            work.slots.append((sheet, body, box))
            body = f"\0{len(work.slots) - 1}\0"
        text = (qualifier or "") + body
        return f"(@{text})" if mark else text

    def _sheet(self, qualifier: str | None, work: _Work) -> str | None:
        if qualifier is None:
            return work.sheet
        name = qualifier[:-1]
        if name.startswith("'"):
            name = name[1:-1].replace("''", "'")
        if ":" in name:
            raise Unsupported("the formula reads through several sheets, which the embedded engine does not know")
        return self._sheets.get(name.lower())

    def _name(self, qualifier: str | None, body: str, place: _Place, work: _Work) -> str:
        scope = (self._sheet(qualifier, work) or "") if qualifier else work.sheet
        defined = self._names.defined
        definition = defined.get((scope.lower(), body.lower())) or defined.get(("", body.lower()))
        if definition is None:
            if "LET" in work.functions:
                return (qualifier or "") + body
            raise Unsupported(f"the name “{body[:40]}” is not defined, or means something in another workbook")
        if work.depth > 20:
            raise Unsupported(f"the name “{body[:40]}” refers to itself")
        if relative(definition):
            raise Unsupported(f"the name “{body[:40]}” means another cell in every row, which is not supported")
        inner = _Work(
            work.sheet, work.row, work.column, (0, 0), True, work.reads, work.functions, False, work.depth + 1
        )
        definition = definition.removeprefix("=")
        text = self._walk(definition, inner)
        if len(text) > MOST_TEXT:
            raise Unsupported(f"the name “{body[:40]}” stands for a formula that is too long")
        work.wide = work.wide or inner.wide
        mark = self._mark(place, work, call=True) if inner.wide else ""
        if len(self._tokens(definition) or ()) == 1:  # nothing but a range
            return f"(@{text})" if inner.wide and self._mark(place, work) else text
        return f"{mark}({text})"


def _bare(name: str) -> str:
    """A function's name without the prefixes that newer functions have in files."""
    return name.strip().upper().removeprefix("_XLFN.").removeprefix("_XLWS.")


def _close(tokens: list[tuple[str, str, str]], start: int) -> int:
    """The number of the token that closes what `start` opens."""
    depth = 0
    for i in range(start, len(tokens)):
        _, kind, sub = tokens[i]
        if kind in ("Func", "Paren", "Array"):
            depth += (sub == "Open") - (sub == "Close")
            if depth == 0:
                return i
    return len(tokens) - 1
