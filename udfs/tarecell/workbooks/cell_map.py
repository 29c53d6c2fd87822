"""A cell in a sheet's XML: the byte positions of its formula and its value, and what they say.

Nothing is read before it is asked for.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache

from tarecell.workbooks.references import Position
from tarecell.workbooks.xml_text import attributes, content

TAG = re.compile(rb"<[^>\"']*(?:\"[^\"]*\"[^>\"']*|'[^']*'[^>\"']*)*>")
IN_TAG = r"""[^>"'/]*(?:"[^"]*"[^>"'/]*|'[^']*'[^>"'/]*)*"""  # what stands in a tag, its name and its end left aside


@dataclass(slots=True)
class Span:
    """An element: `start` to `opened` is its start tag, `closing` to `end` its end tag (empty if self-closing)."""

    start: int
    opened: int
    closing: int = 0
    end: int = 0

    @property
    def self_closing(self) -> bool:
        return self.opened == self.end


@dataclass(slots=True)
class FormulaMap:
    """A formula: its text ('' for a follower of a shared formula) and its attributes."""

    text: str
    attributes: Mapping[str, str]


CELL = r"""
<%(p)sc(?=[\s/>])
(?:\ r="([A-Z]{1,3})([1-9][0-9]{0,6})")?(%(in_tag)s)
(?:/>|>
  (<%(p)sf(?=[\s/>])(%(in_tag)s)(?:/>|>([^<]*)</%(p)sf\s*>))?
  (<%(p)sv(?=[\s/>])%(in_tag)s(?:/>|>([^<]*)</%(p)sv\s*>))?
  ([^<]*(?:<(?!/?%(p)sc[\s/>])[^<]*)*)
  (</%(p)sc\s*>)
)"""
# Its groups: the address, the other attributes; formula, its attributes and text; value, its text; what else there is.
COLUMN, ROW, REST, FORMULA, FORMULA_TAG, FORMULA_TEXT, VALUE, VALUE_TEXT, MORE, CLOSING = range(1, 11)


@lru_cache(maxsize=64)
def cell_pattern(prefix: str) -> re.Pattern:
    """A cell. `prefix`: of the sheet's own elements, such as "x:"."""
    cell = CELL % {"p": re.escape(prefix), "in_tag": IN_TAG}
    return re.compile(cell.encode(), re.VERBOSE)


class CellMap:
    """A cell: where it lies, its attributes (but for its address), its formula, and its value as written."""

    __slots__ = ("_found", "_parts", "position")

    def __init__(self, where: Position, found: re.Match):
        """`found`: the match of `cell_pattern`."""
        self.position, self._found = where, found
        # Its children one by one where they are not just a formula and a value, in this order.
        self._parts = _children(found) if found.group(MORE) else None

    @property
    def attributes(self) -> Mapping[str, str]:
        return attributes(self._found.group(REST))

    @property
    def type(self) -> str:
        rest = self._found.group(REST)
        return attributes(rest).get("t", "n") if rest else "n"

    @property
    def span(self) -> Span:
        found = self._found
        start, end = found.span()
        closing = found.start(CLOSING)
        return Span(start, end, end, end) if closing < 0 else Span(start, found.end(REST) + 1, closing, end)

    @property
    def formula(self) -> FormulaMap | None:
        if self._parts is None:
            tag = self._found[FORMULA_TAG]
            return None if tag is None else FormulaMap(content(self._found[FORMULA_TEXT] or b""), attributes(tag))
        span = self.formula_span
        if span is None:
            return None
        text = self._found.string
        tag = text[span.start + 1 : span.opened - 1]
        return FormulaMap(content(text[span.opened : span.closing]), attributes(tag))

    @property
    def formula_span(self) -> Span | None:
        return self._child(b"f", FORMULA, FORMULA_TEXT)

    @property
    def value(self) -> str | None:
        """What stands in the cell's value element; None without one."""
        if self._parts is None:
            text = self._found.group(VALUE_TEXT)
            return content(text) if text is not None else None if self._found.group(VALUE) is None else ""
        span = self.value_span
        return None if span is None else content(self._found.string[span.opened : span.closing])

    @property
    def value_span(self) -> Span | None:
        return self._child(b"v", VALUE, VALUE_TEXT)

    @property
    def value_place(self) -> tuple[int, int] | None:
        """Where the value stands, or would stand behind the formula; None in a cell that holds anything else."""
        if self._parts is not None or self._found[CLOSING] is None:
            return None
        place = self._found.span(VALUE)
        if place[0] >= 0:
            return place
        end = self._found.end(FORMULA)
        return (end, end) if end >= 0 else None

    @property
    def inline(self) -> str | None:
        """A text that stands in the cell itself, without its pronunciation hints."""
        span = self.inline_span
        return None if span is None else "".join(map(content, _texts(self._found.string, span)))

    @property
    def inline_span(self) -> Span | None:
        return None if self._parts is None else self._parts.get(b"is")

    def _child(self, name: bytes, whole: int, inner: int) -> Span | None:
        """Where a child lies, by its groups in the pattern."""
        if self._parts is not None:
            return self._parts.get(name)
        start, end = self._found.span(whole)
        if start < 0:
            return None
        opened, closing = self._found.span(inner)
        return Span(start, end, end, end) if opened < 0 else Span(start, opened, closing, end)


def _children(found: re.Match) -> dict[bytes, Span]:
    """The elements in a cell, by their names without a prefix."""
    children: dict[bytes, Span] = {}
    spans: list[Span] = []
    for start, end, name, closes, empty in _tags(found.string, found.end(REST) + 1, found.start(CLOSING)):
        if closes:
            span = spans.pop()
            span.closing, span.end = start, end
            continue
        span = Span(start, end, end, end)
        if not spans:
            children[name] = span
        if not empty:
            spans.append(span)
    return children


def _texts(text: bytes, inline: Span) -> Iterator[bytes]:
    """The pieces of a text in its cell, those that tell the pronunciation left out."""
    opened: list[tuple[bytes, int]] = []
    for start, end, name, closes, empty in _tags(text, inline.opened, inline.closing):
        if closes:
            _, begins = opened.pop()
            if name == b"t" and not any(outer == b"rPh" for outer, _ in opened):
                yield text[begins:start]
        elif not empty:
            opened.append((name, end))


_NAME = re.compile(rb"</?(?:[^\s/>:]+:)?([^\s/>:]+)")


def _tags(text: bytes, start: int, end: int) -> Iterator[tuple[int, int, bytes, bool, bool]]:
    """The tags between two places: from, to, name without prefix, whether it closes, whether it is self-closing."""
    for found in TAG.finditer(text, start, end):
        tag = found.group()
        yield *found.span(), _NAME.match(tag).group(1), tag[1] == 47, tag[-2] == 47  # 47 is "/"
