"""Formulas that differ in their cells only, as in a column filled down, are translated once."""

import re
from dataclasses import dataclass

from tarecell.hosts.embedded.formulas import Translated, Translator
from tarecell.hosts.embedded.references import REFERENCE, Area, Box, shifted

# A cell that every sheet has. The ones near the last row and column are left to the translator, which looks closely.
_CELL = r"\$?(?:[A-Za-z]{1,2}|[A-Wa-w][A-Za-z]{2})\$?[1-9][0-9]{0,5}"
_SCAN = re.compile(rf"(\"[^\"]*\"|'[^']*')|(?<![\w.$\\?:])({_CELL}(?::{_CELL})?)(?![\w.(!:\[#\\?])")
_SLOT = re.compile("\0([0-9]+)\0")
_ROW_IN = re.compile(r"(?<=[A-Za-z])[1-9][0-9]*")  # of a reference that is not fixed to it
_OWN_ROW, _MOST_OWN_ROW = "\1", 999_999


@dataclass(frozen=True)
class _Pattern:
    """A translated formula with slots for its references: `sheets` are theirs, `pieces` the text between them."""

    pieces: list[str]
    sheets: list[str]
    fixed: list[Area]
    functions: set[str]
    roams: bool
    read_sheets: set[str]


class Filled:
    """A formula made from a pattern, as `Translated`. What it reads is worked out when it is asked for: seldom."""

    __slots__ = ("_pattern", "_references", "_row", "text")

    def __init__(self, pattern: _Pattern, references: list[str], text: str, row: str = ""):
        self._pattern, self._references, self.text, self._row = pattern, references, text, row

    @property
    def reads(self) -> list[Area]:
        written = [text.replace(_OWN_ROW, self._row) for text in self._references]
        boxes = [shifted(REFERENCE.fullmatch(text), 0, 0)[1] for text in written]
        return [*self._pattern.fixed, *map(Area, self._pattern.sheets, boxes)]

    @property
    def sheets(self) -> set[str]:
        return self._pattern.read_sheets

    @property
    def functions(self) -> set[str]:
        return self._pattern.functions

    @property
    def roams(self) -> bool:
        return self._pattern.roams


@dataclass(frozen=True, slots=True)
class Above:
    """The formula in the row above: its pieces, between which its own row's number stands in references.

    The same formula one row further down is known by comparing the whole text, without a look at its references.
    """

    pattern: _Pattern
    written: list[str]
    text: list[str]
    references: list[str]
    moves_as_one: bool  # no reference but those to its own row and to fixed rows

    def below(self, formula: str, row: int, shift: tuple[int, int]) -> Filled | None:
        """The translated formula of this row; None if it is another formula."""
        if row > _MOST_OWN_ROW or (shift[0] and not self.moves_as_one) or shift[1]:
            return None
        own = str(row)
        if (str(row - shift[0]) if shift[0] else own).join(self.written) != formula:
            return None
        return Filled(self.pattern, self.references, own.join(self.text), own)


class Patterns:
    """A translator that remembers."""

    def __init__(self, translator: Translator):
        self._translator = translator
        self._known: dict[tuple, _Pattern | None] = {}
        self._above: dict[tuple[str, int, bool], Above] = {}  # by sheet and column

    def above(self, sheet: str, column: int, array: bool = False) -> Above | None:
        """What the formulas further down are compared with; None where the last one cannot be filled down."""
        return self._above.get((sheet, column, array))

    def translate(
        self, formula: str, sheet: str, where: tuple[int, int], shift: tuple[int, int] = (0, 0), array: bool = False
    ) -> Translated | Filled:
        """As Translator.translate."""
        if "[" in formula:  # a table's own row is another one in every row
            return self._translator.translate(formula, sheet, where, shift, array)
        row, column = where
        above = self.above(sheet, column, array)
        if above is not None and (filled := above.below(formula, row, shift)):
            return filled
        parts = _SCAN.split(formula)  # text, quoted, reference, text, quoted …
        references = [text for text in parts[2::3] if text is not None]
        ranges = tuple([":" in text for text in references]) if ":" in formula else ()
        key = sheet, array, ranges, *parts[0::3], *parts[1::3]
        if key not in self._known:
            self._known[key] = self._learn(formula, sheet, where, array, references)
        pattern = self._known[key]
        if pattern is not None:
            moved = references if shift == (0, 0) else [_moved(text, shift) for text in references]
            if None not in moved and not (ranges and any(map(_unusual, moved))):
                if shift == (0, 0):
                    self._remember((sheet, column, array), pattern, parts, row)
                return Filled(pattern, moved, _joined(pattern, moved))
        return self._translator.translate(formula, sheet, where, shift, array)

    def _remember(self, place: tuple[str, int, bool], pattern: _Pattern, parts: list, row: int) -> None:
        """Keeps a formula for the one below it."""
        marked = [_marked(text, row) for text in parts[2::3] if text is not None]
        references = [text for text, _ in marked]
        if row > _MOST_OWN_ROW or any(":" in text and text.count(_OWN_ROW) == 1 for text in references):
            self._above.pop(place, None)  # a range that becomes longer downwards is one cell somewhere
            return
        written = iter(references)
        parts[2::3] = [None if text is None else next(written) for text in parts[2::3]]
        whole, moves_as_one = "".join(filter(None, parts)), all(whole for _, whole in marked)
        text = _joined(pattern, references)
        self._above[place] = Above(pattern, whole.split(_OWN_ROW), text.split(_OWN_ROW), references, moves_as_one)

    def _learn(self, formula: str, sheet: str, where, array: bool, references: list[str]) -> _Pattern | None:
        """The pattern of a formula; None if its references are not all plain ones. Unsupported as for the formula."""
        slots: list[tuple[str, str, Box]] = []
        translated = self._translator.translate(formula, sheet, where, array=array, slots=slots)
        if [body for _, body, _ in slots] != references or any(map(_unusual, references)):
            return None
        pieces = _SLOT.split(translated.text)
        if pieces[1::2] != [str(i) for i in range(len(slots))]:
            return None
        fixed = list(translated.reads)
        for slot_sheet, _, box in slots:
            fixed.remove(Area(slot_sheet, box))
        sheets = [slot_sheet for slot_sheet, _, _ in slots]
        return _Pattern(pieces[::2], sheets, fixed, translated.functions, translated.roams, translated.sheets)


def _joined(pattern: _Pattern, references: list[str]) -> str:
    """A pattern's formula with these references."""
    pieces = pattern.pieces
    return pieces[0] + "".join([r + piece for r, piece in zip(references, pieces[1:], strict=True)])


def _marked(text: str, row: int) -> tuple[str, bool]:
    """A reference with the mark for this row, and whether it has no other row that is not fixed."""
    own = str(row)
    others = [found for found in _ROW_IN.findall(text) if found != own]
    return _ROW_IN.sub(lambda found: _OWN_ROW if found.group() == own else found.group(), text), not others


def _moved(text: str, shift: tuple[int, int]) -> str | None:
    """A reference moved like a copied formula's; None where it leaves the sheet."""
    body, box = shifted(REFERENCE.fullmatch(text), *shift)
    return None if box is None else body


def _unusual(text: str) -> bool:
    """Whether a reference is a range of one cell (A1:A1), which is treated as a cell, or written from its other end."""
    first, _, last = text.replace("$", "").upper().partition(":")
    return first == last or (last != "" and shifted(REFERENCE.fullmatch(text), 0, 0)[0] != text)
