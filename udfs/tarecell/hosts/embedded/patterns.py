"""Formulas that differ in their cells only, as in a column filled down, are translated once."""

import re
from dataclasses import dataclass

from tarecell.hosts.embedded.formulas import Translated, Translator
from tarecell.hosts.embedded.references import CELL, REFERENCE, Area, Box, shifted

_SCAN = re.compile(rf"\"[^\"]*\"|'[^']*'|(?<![\w.$\\?:])({CELL}(?::{CELL})?)(?![\w.(!:\[#\\?])")
_SLOT = re.compile("\0([0-9]+)\0")


@dataclass(frozen=True)
class _Pattern:
    """A translated formula with slots for its references: `sheets` are theirs, `pieces` the text between them."""

    pieces: list[str]
    sheets: list[str]
    fixed: list[Area]
    functions: set[str]
    roams: bool


class Patterns:
    """A translator that remembers."""

    def __init__(self, translator: Translator):
        self._translator = translator
        self._known: dict[tuple[str, bool, str], _Pattern | None] = {}

    def translate(
        self, formula: str, sheet: str, where: tuple[int, int], shift: tuple[int, int] = (0, 0), array: bool = False
    ) -> Translated:
        """As Translator.translate."""
        if "[" not in formula:  # a table's own row is another one in every row
            found: list[re.Match] = []
            key = sheet, array, _SCAN.sub(lambda m: _noted(m, found), formula)
            if key not in self._known:
                self._known[key] = self._learn(formula, sheet, where, array, found)
            pattern = self._known[key]
            if pattern is not None:
                filled = _fill(pattern, found, shift)
                if filled is not None:
                    return filled
        return self._translator.translate(formula, sheet, where, shift, array)

    def _learn(self, formula: str, sheet: str, where, array: bool, found: list[re.Match]) -> _Pattern | None:
        """The pattern of a formula; None if its references are not all plain ones. Unsupported as for the formula."""
        slots: list[tuple[str, str, Box]] = []
        translated = self._translator.translate(formula, sheet, where, array=array, slots=slots)
        if [body for _, body, _ in slots] != [match.group(1) for match in found]:
            return None
        pieces = _SLOT.split(translated.text)
        if pieces[1::2] != [str(i) for i in range(len(slots))]:
            return None
        fixed = list(translated.reads)
        for slot_sheet, _, box in slots:
            fixed.remove(Area(slot_sheet, box))
        return _Pattern(pieces[::2], [s for s, _, _ in slots], fixed, translated.functions, translated.roams)


def _noted(match: re.Match, found: list[re.Match]) -> str:
    """The reference's stand-in in the pattern's key: one for a cell, another for a range."""
    text = match.group(1)
    if text is None:
        return match.group()
    found.append(match)
    return "\1" if ":" in text else "\0"


def _fill(pattern: _Pattern, found: list[re.Match], shift: tuple[int, int]) -> Translated | None:
    text, reads = [pattern.pieces[0]], list(pattern.fixed)
    for match, sheet, piece in zip(found, pattern.sheets, pattern.pieces[1:], strict=True):
        body, box = shifted(REFERENCE.fullmatch(match.group(1)), *shift)
        if box is None or (box[:2] == box[2:]) == (":" in body):
            return None  # off the sheet, or a range of one cell: the long way
        reads.append(Area(sheet, box))
        text += (body, piece)
    return Translated("".join(text), reads, pattern.functions, pattern.roams)
