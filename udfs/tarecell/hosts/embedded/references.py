"""References in formulas: their areas, and how they move when a formula is copied."""

import functools
import re
from dataclasses import dataclass

Box = tuple[int, int, int, int]  # first row, first column, last row, last column
LAST_ROW, LAST_COLUMN = 1_048_576, 16_384
_CELL = r"(\$?)([A-Za-z]{1,3})(\$?)([1-9][0-9]{0,6})"
CELL = r"\$?[A-Za-z]{1,3}\$?[1-9][0-9]{0,6}"
REFERENCE = re.compile(
    rf"{_CELL}(?::{_CELL})?|(\$?)([A-Za-z]{{1,3}}):(\$?)([A-Za-z]{{1,3}})|(\$?)([1-9]\d*):(\$?)([1-9]\d*)"
)
QUALIFIED = re.compile(r"((?:'(?:[^']|'')+'|[^'!]+)!)?(.+)", re.DOTALL)


@dataclass(frozen=True)
class Area:
    """Cells of one sheet."""

    sheet: str
    box: Box


def shifted(reference: re.Match, rows: int, columns: int) -> tuple[str, Box | None]:
    """A reference moved like a copied formula's, and its area; None when it leaves the sheet.

    A range that is written from its other end (B9:A2) is turned round: the engine would refuse the whole workbook.
    """
    g = reference.groups()
    if g[9] is not None:  # A:C
        first, last = _move_column(g[8], g[9], columns), _move_column(g[10], g[11], columns)
        first, last = sorted((first, last), key=_number)
        return f"{first[0]}:{last[0]}", _box(1, first[1], LAST_ROW, last[1])
    if g[13] is not None:  # 2:5
        first, last = _move_row(g[12], g[13], rows), _move_row(g[14], g[15], rows)
        first, last = sorted((first, last), key=_number)
        return f"{first[0]}:{last[0]}", _box(first[1], 1, last[1], LAST_COLUMN)
    column, row = _move_column(g[0], g[1], columns), _move_row(g[2], g[3], rows)
    if g[5] is None:
        return column[0] + row[0], _box(row[1], column[1], row[1], column[1])
    left, right = sorted((column, _move_column(g[4], g[5], columns)), key=_number)
    top, bottom = sorted((row, _move_row(g[6], g[7], rows)), key=_number)
    return f"{left[0]}{top[0]}:{right[0]}{bottom[0]}", _box(top[1], left[1], bottom[1], right[1])


def _number(moved: tuple[str, int]) -> int:
    return moved[1]


def _box(top: int, left: int, bottom: int, right: int) -> Box | None:
    inside = top >= 1 and left >= 1 and bottom <= LAST_ROW and right <= LAST_COLUMN
    return (top, left, bottom, right) if inside else None


def _move_column(fixed: str, text: str, by: int) -> tuple[str, int]:
    number = column_number(text)
    if not by or fixed:
        return fixed + text, number
    return letters(number + by), number + by


def _move_row(fixed: str, text: str, by: int) -> tuple[str, int]:
    number = int(text) + (0 if fixed else by)
    return f"{fixed}{number}", number


@functools.lru_cache(maxsize=2048)
def column_number(text: str) -> int:
    """AB → 28."""
    number = 0
    for letter in text.upper():
        number = number * 26 + ord(letter) - 64
    return number


@functools.lru_cache(maxsize=2048)
def letters(number: int) -> str:
    """28 → AB."""
    text = ""
    while number > 0:
        number, rest = divmod(number - 1, 26)
        text = chr(65 + rest) + text
    return text


def relative(definition: str) -> bool:
    """Whether a defined name holds an address that is not fixed by $ signs."""
    text = re.sub(r"\"[^\"]*\"|'[^']*'!|[\w.]+!|\[[^\]]*\]", " ", definition)
    found = re.finditer(r"(?<![\w.$])(\$?)[A-Za-z]{1,3}(\$?)[1-9][0-9]{0,6}(?![\w.(])", text)
    return any(not all(match.groups()) for match in found)
