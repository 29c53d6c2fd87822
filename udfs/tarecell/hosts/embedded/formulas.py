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
from tarecell.functions.records import COLUMN, ROW, TABLE

Box = tuple[int, int, int, int]
LAST_ROW, LAST_COLUMN = 1_048_576, 16_384
_CELL = r"(\$?)([A-Za-z]{1,3})(\$?)([1-9][0-9]{0,6})"
_REFERENCE = re.compile(
    rf"{_CELL}(?::{_CELL})?|(\$?)([A-Za-z]{{1,3}}):(\$?)([A-Za-z]{{1,3}})|(\$?)([1-9]\d*):(\$?)([1-9]\d*)"
)
_QUALIFIED = re.compile(r"((?:'(?:[^']|'')+'|[^'!]+)!)?(.+)", re.DOTALL)
_TABLE = re.compile(r"([\w.\\]*)\[(.*)\]", re.DOTALL)
# Functions that see every cell of what they are given, even in an ordinary formula.
_WHOLE = set(
    "SUMPRODUCT MMULT MINVERSE MDETERM TRANSPOSE LOOKUP FREQUENCY FILTER SORT SORTBY UNIQUE XLOOKUP XMATCH BYROW BYCOL "
    "MAP REDUCE SCAN MAKEARRAY TAKE DROP VSTACK HSTACK TOCOL TOROW WRAPROWS WRAPCOLS CHOOSEROWS CHOOSECOLS EXPAND "
    "LINEST LOGEST TREND GROWTH".split()
)
# Functions of single values: an ordinary formula hands them one cell of a range.
_SINGLE = set(
    "ABS ROUND ROUNDUP ROUNDDOWN INT TRUNC CEILING FLOOR MROUND SQRT EXP LN LOG LOG10 POWER MOD SIGN EVEN ODD LEN LEFT "
    "RIGHT MID TRIM UPPER LOWER PROPER VALUE TEXT SUBSTITUTE FIND SEARCH REPT ISNUMBER ISTEXT ISBLANK ISERROR ISNA "
    "ISERR DATE YEAR MONTH DAY HOUR MINUTE SECOND WEEKDAY EDATE EOMONTH CONVERT NOT EXACT FIXED".split()
)
_MAY_SPILL = set("SEQUENCE RANDARRAY INDIRECT OFFSET LET LAMBDA MUNIT TEXTSPLIT".split())
_NOT_TELLING = {
    "CELL": "CELL depends on how the sheet looks",
    "INFO": "INFO depends on the program that is open",
    "FORMULATEXT": "FORMULATEXT shows the text of another formula",
    "ANCHORARRAY": "ANCHORARRAY (a spilled range, A1#) is not known to the embedded engine",
    "SINGLE": "the @ sign stands before something that the embedded engine cannot reduce to one cell",
}
_ARRAYS = (COLUMN, ROW, TABLE)


class Unsupported(Exception):
    """The embedded engine cannot compute this formula: the reason in one line."""


@dataclass(frozen=True)
class Area:
    """Cells of one sheet."""

    sheet: str
    box: Box


@dataclass
class Names:
    """What a workbook calls its cells: defined names (by sheet, "" for the whole workbook) and tables.

    Keys are in lower case. A table is (sheet, its whole area, column headings, header rows, totals rows).
    """

    defined: dict[tuple[str, str], str] = field(default_factory=dict)
    tables: dict[str, tuple[str, Box, list[str], int, int]] = field(default_factory=dict)


@dataclass
class Translated:
    """The formula for the engine, the areas that it reads, and whether it may read others (OFFSET, INDIRECT)."""

    text: str
    reads: list[Area]
    functions: set[str]
    roams: bool = False


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
        self, formula: str, sheet: str, where: tuple[int, int], shift: tuple[int, int] = (0, 0), array: bool = False
    ) -> Translated:
        """`shift`: rows and columns from the cell that a shared formula was written for to this one."""
        work = _Work(sheet, *where, shift, array)
        text = self._walk(formula.removeprefix("="), work)
        if not array and work.wide:
            text = f"@({text})"  # one cell, one value: the first one, where there are several
        roams = not work.functions.isdisjoint(("OFFSET", "INDIRECT"))
        return Translated(text, work.reads, work.functions, roams)

    def _walk(self, formula: str, work: _Work) -> str:
        tokens = self._tokens(formula)
        if tokens is None:
            raise Unsupported("the embedded engine cannot read the formula")
        kinds = [(t.value, str(t.token_type).rsplit(".")[-1], str(t.subtype).rsplit(".")[-1]) for t in tokens]
        names = {text[:-1].strip().upper() for text, kind, sub in kinds if kind == "Func" and sub == "Open"}
        self._check_functions(names, work)
        stack: list[str] = []
        pieces = []
        for i, (text, kind, sub) in enumerate(kinds):
            if kind == "Func" and sub == "Open":
                name = _bare(text[:-1])
                if self._top_array(name, stack, work):
                    pieces.append("@")
                stack.append(name)
            elif kind == "Paren" and sub == "Open":
                if i and kinds[i - 1][1:] == ("Func", "Close"):
                    raise Unsupported("the formula calls a LAMBDA in place, which the embedded engine does not know")
                stack.append("(")
            elif sub == "Close" and kind in ("Func", "Paren"):
                if stack:
                    stack.pop()
            elif kind == "Array" and sub == "Open":
                work.wide = True
            elif kind == "OpPostfix" and text == "#":
                raise Unsupported("the formula reads a spilled range (#), which the embedded engine does not know")
            elif kind == "OpInfix" and not text.strip():
                raise Unsupported("the formula intersects ranges by a space, which the embedded engine does not know")
            elif kind == "Operand" and sub == "Range":
                text = self._operand(text, i, kinds, stack, work, names)
            pieces.append(text)
        return "".join(pieces)

    def _check_functions(self, names: set[str], work: _Work) -> None:
        for name in sorted(names):
            bare = _bare(name)
            work.functions.add(bare)
            if bare in _NOT_TELLING:
                raise Unsupported(_NOT_TELLING[bare])
            if bare.startswith("TC_"):
                if self._without_functions:
                    continue
                if bare not in REGISTRY:
                    raise Unsupported(f"{bare} is not a function of this version")
                if REGISTRY[bare].result in _ARRAYS:
                    work.wide = True
            elif not self._knows(name):
                raise Unsupported(f"the embedded engine does not know the function {bare}")
            if bare in _MAY_SPILL:
                work.wide = True

    def _top_array(self, name: str, stack: list[str], work: _Work) -> bool:
        """Whether a function that gives several values stands where an ordinary formula has room for one."""
        if work.array or any(s != "(" for s in stack):
            return False
        record = REGISTRY.get(name)
        return record is not None and record.result in _ARRAYS

    # -- operands ------------------------------------------------------------------------------------------------

    def _operand(self, text, i, kinds, stack, work: _Work, functions: set[str]) -> str:
        if "[" in text and not text.startswith("'"):
            text = self._bracketed(text, work)
            shift = (0, 0)
        else:
            if text.startswith("'[") or re.match(r"'[^']*\[", text):
                raise Unsupported("the formula reads another workbook, which is not opened")
            shift = work.shift
        qualifier, body = _QUALIFIED.fullmatch(text).groups()
        reference = _REFERENCE.fullmatch(body)
        if reference is None:
            return self._name(qualifier, body, i, kinds, stack, work, functions)
        body, box = shifted(reference, *shift)
        if box is None:
            return "#REF!"
        sheet = self._sheet(qualifier, work)
        if sheet is None:
            return "#REF!"
        work.reads.append(Area(sheet, box))
        if box[:2] == box[2:]:
            return (qualifier or "") + body
        work.wide = True
        at = "@" if not work.array and _one_meant(i, kinds, stack) else ""
        return at + (qualifier or "") + body

    def _sheet(self, qualifier: str | None, work: _Work) -> str | None:
        if qualifier is None:
            return work.sheet
        name = qualifier[:-1]
        if name.startswith("'"):
            name = name[1:-1].replace("''", "'")
        elif ":" in name:
            raise Unsupported("the formula reads through several sheets, which the embedded engine does not know")
        return self._sheets.get(name.lower())

    def _name(self, qualifier, body, i, kinds, stack, work: _Work, functions) -> str:
        scope = (self._sheet(qualifier, work) or "") if qualifier else work.sheet
        defined = self._names.defined
        definition = defined.get((scope.lower(), body.lower())) or defined.get(("", body.lower()))
        if definition is None:
            if functions & {"LET", "LAMBDA", "_XLFN.LET", "_XLFN.LAMBDA"}:
                return (qualifier or "") + body
            raise Unsupported(f"the name “{body[:40]}” is not defined, or means something in another workbook")
        if work.depth > 20:
            raise Unsupported(f"the name “{body[:40]}” refers to itself")
        if _relative(definition):
            raise Unsupported(f"the name “{body[:40]}” means another cell in every row, which is not supported")
        inner = _Work(work.sheet, work.row, work.column, (0, 0), work.array, work.reads, work.functions)
        inner.depth = work.depth + 1
        inner.array = True  # what is meant is decided where the name stands, below
        text = self._walk(definition.removeprefix("="), inner)
        work.wide = work.wide or inner.wide
        single = len(self._tokens(definition.removeprefix("=")) or ()) == 1
        if single:
            return ("@" if inner.wide and not work.array and _one_meant(i, kinds, stack) else "") + text
        return f"({text})"

    def _bracketed(self, text: str, work: _Work) -> str:
        """A table column as a plain range; Unsupported for another workbook."""
        found = _TABLE.fullmatch(text)
        if found is None or text.startswith("[") and re.match(r"\[\d+\]|\[[^\]]+\.xls", text):
            raise Unsupported("the formula reads another workbook, which is not opened")
        name, inside = found.groups()
        table = self._names.tables.get(name.lower()) if name else self._own_table(work)
        if table is None:
            raise Unsupported(f"the table “{name}” is not in this workbook")
        sheet, (top, left, bottom, right), headings, heads, totals = table
        columns, parts = _table_parts(inside)
        first, last = top + heads, bottom - totals
        if "#this row" in parts:
            if sheet != work.sheet or not first <= work.row <= last:
                return "#REF!"
            first = last = work.row
        elif "#all" in parts:
            first, last = top, bottom
        elif "#headers" in parts or "#totals" in parts:
            first, last = (top, top + heads - 1) if "#headers" in parts else (bottom - totals + 1, bottom)
            if len(parts) > 1 or first > last:
                raise Unsupported("the formula reads parts of a table in a way that is not supported")
        lower = [h.lower() for h in headings]
        try:
            places = [left + lower.index(c.lower()) for c in columns] or [left, right]
        except ValueError:
            raise Unsupported(f"the table “{name}” has no column “{columns[0][:40]}”") from None
        quoted = sheet.replace("'", "''")
        start, end = f"${_letters(min(places))}${first}", f"${_letters(max(places))}${last}"
        return f"'{quoted}'!{start}" + ("" if start == end else f":{end}")

    def _own_table(self, work: _Work):
        for table in self._names.tables.values():
            box = table[1]
            if table[0] == work.sheet and box[0] <= work.row <= box[2] and box[1] <= work.column <= box[3]:
                return table
        return None


def _bare(name: str) -> str:
    """A function's name without the prefixes that newer functions have in files."""
    return name.strip().upper().removeprefix("_XLFN.").removeprefix("_XLWS.")


def _one_meant(i: int, kinds: list, stack: list[str]) -> bool:
    """Whether an ordinary formula means one cell of the range at this place."""
    before = next((k for k in reversed(kinds[:i]) if k[1] != "Whitespace"), None)
    after = next((k for k in kinds[i + 1 :] if k[1] != "Whitespace"), None)
    if before is not None and before[0] == "@":
        return False
    if not _WHOLE.isdisjoint(stack):
        return False
    around = (before, after)
    if any(k is not None and k[1] == "OpInfix" and k[0] in (":", ",") for k in around):
        return False  # a part of a larger reference
    if any(k is not None and k[1] in ("OpInfix", "OpPrefix", "OpPostfix") for k in around):
        return True
    enclosing = next((s for s in reversed(stack) if s != "("), None)
    return enclosing is None or enclosing in _SINGLE


def _table_parts(inside: str) -> tuple[list[str], set[str]]:
    """The columns (none: all, two: from the first to the second) and the special parts of a table reference."""
    inside = inside.strip()
    parts: set[str] = set()
    if inside.startswith("@"):
        parts.add("#this row")
        inside = inside[1:].strip()
    if "[" not in inside:
        pieces = [inside] if inside else []
    else:
        pieces = re.findall(r"\[((?:[^\[\]']|'.)*)\]", inside)
    columns = []
    for piece in pieces:
        piece = piece.strip() if piece.strip().startswith("#") else piece
        if piece.startswith("#"):
            parts.add(piece.lower())
        else:
            columns.append(re.sub(r"'(.)", r"\1", piece))
    if len(columns) > 2 or (len(columns) == 2 and "]:[" not in inside.replace(" ", "")):
        raise Unsupported("the formula reads parts of a table in a way that is not supported")
    return columns, parts


def _relative(definition: str) -> bool:
    """Whether a defined name holds an address that is not fixed by $ signs."""
    text = re.sub(r"\"[^\"]*\"|'[^']*'!|[\w.]+!|\[[^\]]*\]", " ", definition)
    for found in re.finditer(r"(?<![\w.$])(\$?)[A-Za-z]{1,3}(\$?)[1-9][0-9]{0,6}(?![\w.(])", text):
        if not all(found.groups()):
            return True
    return False


def shifted(reference: re.Match, rows: int, columns: int) -> tuple[str, Box | None]:
    """A reference moved like a copied formula's, and its area; None when it leaves the sheet."""
    g = reference.groups()
    if g[9] is not None:  # A:C
        first, last = _move_column(g[8], g[9], columns), _move_column(g[10], g[11], columns)
        low, high = sorted((first[1], last[1]))
        box = (1, low, LAST_ROW, high)
        return f"{first[0]}:{last[0]}", box if low >= 1 and high <= LAST_COLUMN else None
    if g[13] is not None:  # 2:5
        first, last = _move_row(g[12], g[13], rows), _move_row(g[14], g[15], rows)
        low, high = sorted((first[1], last[1]))
        box = (low, 1, high, LAST_COLUMN)
        return f"{first[0]}:{last[0]}", box if low >= 1 and high <= LAST_ROW else None
    corners = [(_move_column(g[0], g[1], columns), _move_row(g[2], g[3], rows))]
    if g[5] is not None:
        corners.append((_move_column(g[4], g[5], columns), _move_row(g[6], g[7], rows)))
    text = ":".join(column[0] + row[0] for column, row in corners)
    all_rows, all_columns = [r[1] for _, r in corners], [c[1] for c, _ in corners]
    box = (min(all_rows), min(all_columns), max(all_rows), max(all_columns))
    return text, box if box[0] >= 1 and box[1] >= 1 and box[2] <= LAST_ROW and box[3] <= LAST_COLUMN else None


def _move_column(fixed: str, text: str, by: int) -> tuple[str, int]:
    number = 0
    for letter in text.upper():
        number = number * 26 + ord(letter) - 64
    if not fixed:
        number += by
    return fixed + _letters(number), number


def _move_row(fixed: str, text: str, by: int) -> tuple[str, int]:
    number = int(text) + (0 if fixed else by)
    return f"{fixed}{number}", number


def _letters(number: int) -> str:
    text = ""
    while number > 0:
        number, rest = divmod(number - 1, 26)
        text = chr(65 + rest) + text
    return text
