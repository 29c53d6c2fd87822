"""The shape of a row: in a large sheet a row looks like the ones before it, but for numbers, formulas and values.

A shape is made from a row that was read cell by cell, as one pattern of all that the row is made of. A row that fits it
needs no other check, and gives all its contents at once, which takes a fraction of the time. A row that does not fit
is read cell by cell.
"""

import re
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from tarecell.workbooks.cell_map import (
    CLOSING,
    COLUMN,
    FORMULA,
    FORMULA_TAG,
    FORMULA_TEXT,
    IN_TAG,
    MORE,
    REST,
    ROW,
    VALUE,
    VALUE_TEXT,
)
from tarecell.workbooks.xml_text import attributes

MOST_CELLS = 256  # in a row; a pattern of more takes long to be made
_ANYTHING = rb"[^<\0]*"  # NUL stands for a comment
_RESULT = {"n": rb"[^<\0&]*"}
_INSIDE = {"n": rb"[-+.0-9eE]*", "s": rb"[0-9]+"}  # Python would take more for a number, such as 1_0 and -1
_MOST_IN_USE, _MOST_MADE, _ALIKE = 8, 32, 8


class ShapeCell(NamedTuple):
    """A cell of a shape. `formula` and `value`: the number of the pattern's group with their text, None without one."""

    column: int
    attributes: Mapping[str, str]
    type: str
    formula_attributes: Mapping[str, str] | None  # None without a formula
    formula: int | None
    value: int | None

    @property
    def is_number(self) -> bool:
        return self.type == "n"


class RowShape:
    """A shape: `match` finds a row of it at a place. Its cells by what they hold, without the blank ones."""

    TAG, NUMBER = 1, 2  # groups of the match: the row's start tag and number

    def __init__(self, pattern: re.Pattern, cells: Sequence[ShapeCell], end_tag: int):
        self.match, self.end_tag = pattern.match, end_tag
        self.formulas = [cell for cell in cells if cell.formula_attributes is not None]
        typed_in = [cell for cell in cells if cell.formula_attributes is None and cell.value is not None]
        self.numbers = [(cell.column, cell.value) for cell in typed_in if cell.is_number]
        self.shared = [(cell.column, cell.value) for cell in typed_in if cell.type == "s"]
        self.others = [cell for cell in typed_in if not cell.is_number and cell.type != "s"]
        # By column, the group of the value of each formula that shows a number, and no more than that.
        self.results = {
            cell.column: cell.value
            for cell in self.formulas
            if cell.value is not None and cell.is_number and "vm" not in cell.attributes
        }


class Shapes:
    """The shapes of a sheet's rows, the one in use last first."""

    def __init__(self, prefix: str):
        self._prefix, self._made, self._alike = prefix, 0, 0
        self._columns: tuple = ()
        self._shapes: list[RowShape] = []

    def find(self, text: bytes, start: int, end: int) -> tuple[RowShape, re.Match] | None:
        """The shape of the row at a place, and its match."""
        for i, shape in enumerate(self._shapes):
            found = shape.match(text, start, end)
            if found:
                if i:
                    self._shapes.insert(0, self._shapes.pop(i))
                return shape, found
        return None

    def learn(self, text: bytes, start: int, end: int, columns: tuple, cells) -> None:
        """Looks at a row that fits none of them. `cells`: a function that gives its columns and their matches."""
        # A pattern takes as long to be made as a dozen rows to be read: only where rows are alike it is worth that.
        self._alike = self._alike + 1 if columns == self._columns else 0
        self._columns = columns
        if self._alike < _ALIKE or self._made >= _MOST_MADE or len(columns) > MOST_CELLS:
            return
        self._alike, self._made = 0, self._made + 1
        shape = _made(list(cells()), self._prefix)
        found = shape and shape.match(text, start, end)
        if found and found.end() == end:
            self._shapes.insert(0, shape)
            del self._shapes[_MOST_IN_USE:]


def _made(cells: Sequence[tuple[int, re.Match]], prefix: str) -> RowShape | None:
    """The shape of a row; None if it holds more than formulas, values and plain texts."""
    p = re.escape(prefix.encode())
    pieces = [rb'(<%srow r="([1-9][0-9]{0,6})"%s>)' % (p, IN_TAG.encode())]
    inline_text = re.compile(rb"<%sis><%st(%s)>[^<]*</%st></%sis>" % (p, p, IN_TAG.encode(), p, p))
    shape: list[ShapeCell] = []
    groups = RowShape.NUMBER
    for column, found in cells:
        inline = inline_text.fullmatch(found[MORE]) if found[MORE] else None
        tag = attributes(found[REST])
        of_formula = None if found[FORMULA] is None else attributes(found[FORMULA_TAG])
        kind, formula, value = tag.get("t", "n"), None, None
        odd_value = found[VALUE] is not None and (found[VALUE_TEXT] is None or kind == "inlineStr")
        if found[ROW] is None or odd_value or (found[MORE] and not inline):
            return None
        pieces.append(rb'<%sc r="%s\2"%s' % (p, found[COLUMN], re.escape(found[REST])))
        pieces.append(b"/>" if found[CLOSING] is None else b">")
        if found[FORMULA] is not None:
            pieces.append(rb"<%sf%s" % (p, re.escape(found[FORMULA_TAG])))
            if found[FORMULA_TEXT] is None:
                pieces.append(b"/>")
            else:
                groups = formula = groups + 1
                pieces.append(rb">([^<]*)</%sf>" % p)
        if found[VALUE] is not None:
            groups = value = groups + 1
            inside = _INSIDE.get(kind, _ANYTHING) if of_formula is None else _RESULT.get(kind, _ANYTHING)
            pieces.append(rb"<%sv>(%s)</%sv>" % (p, inside, p))
        if inline and kind == "inlineStr" and of_formula is None:
            groups = value = groups + 1
            pieces.append(rb"<%sis><%st%s>([^<]*)</%st></%sis>" % (p, p, re.escape(inline[1]), p, p))
        if found[CLOSING] is not None:
            pieces.append(rb"</%sc>" % p)
        shape.append(ShapeCell(column, tag, kind, of_formula, formula, value))
    pieces.append(rb"</%srow>" % p)
    return RowShape(re.compile(b"".join(pieces)), shape, len(f"</{prefix}row>"))
