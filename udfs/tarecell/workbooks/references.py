"""Cell addresses: "B3" and (row 3, column 2)."""

import re
from functools import lru_cache

from tarecell.workbooks.problems import WorkbookProblem

MOST_ROWS, MOST_COLUMNS = 1_048_576, 16_384
Position = tuple[int, int]
_CELL = re.compile(r"\$?([A-Za-z]{1,3})\$?([1-9][0-9]{0,6})")


@lru_cache(maxsize=2048)
def letters(column: int) -> str:
    """1 → A, 28 → AB."""
    text = ""
    while column:
        column, rest = divmod(column - 1, 26)
        text = chr(65 + rest) + text
    return text


def address(position: Position) -> str:
    """(3, 2) → "B3"."""
    return f"{letters(position[1])}{position[0]}"


@lru_cache(maxsize=2048)
def _column(text: str) -> int:
    """AB → 28."""
    column = 0
    for letter in text.upper():
        column = column * 26 + ord(letter) - 64
    return column


@lru_cache(maxsize=2048)
def column_of(letters_: bytes) -> int:
    """b"AB" → 28."""
    return _column(letters_.decode())


def position(text: str) -> Position:
    """ "B3" or "$B$3" → (3, 2)."""
    found = _CELL.fullmatch(text)
    if found:
        column, row = _column(found.group(1)), int(found.group(2))
        if row <= MOST_ROWS and column <= MOST_COLUMNS:
            return row, column
    raise WorkbookProblem(f"{text[:30]!r} is not the address of a cell")


def area(text: str) -> tuple[int, int, int, int]:
    """ "A1:B3" or "A1" → first row, first column, last row, last column."""
    first, _, last = text.partition(":")
    top, left = position(first)
    bottom, right = position(last) if last else (top, left)
    return min(top, bottom), min(left, right), max(top, bottom), max(left, right)


def inside(where: Position, box: tuple[int, int, int, int]) -> bool:
    """Whether a cell lies in an area."""
    return box[0] <= where[0] <= box[2] and box[1] <= where[1] <= box[3]
