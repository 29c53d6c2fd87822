"""References as formulas and defined names write them: 'Bath bombs'!$C$5:$C$16, C5, A:A, 3:7."""

import re
from typing import NamedTuple

from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.references import MOST_COLUMNS, MOST_ROWS, Position, address, letters, position

_SHEET = r"(?:(?P<sheet>'(?:[^']|'')+'|[^\W\d][\w.]*|\[\d+\][^!'\"]*)!)?"
_REFERENCE = re.compile(
    rf"{_SHEET}(?:(?P<cells>\$?[A-Z]{{1,3}}\$?\d{{1,7}}(?::\$?[A-Z]{{1,3}}\$?\d{{1,7}})?)#?"
    r"|(?P<columns>\$?[A-Z]{1,3}:\$?[A-Z]{1,3})|(?P<rows>\$?\d{1,7}:\$?\d{1,7}))",
    re.IGNORECASE,
)


class Range(NamedTuple):
    """A rectangle of cells in a sheet. `sheet` starts with "[" where it lies in another file."""

    sheet: str
    top: int
    left: int
    bottom: int
    right: int

    def __contains__(self, where: object) -> bool:
        row, column = where
        return self.top <= row <= self.bottom and self.left <= column <= self.right

    @property
    def size(self) -> int:
        return (self.bottom - self.top + 1) * (self.right - self.left + 1)

    @property
    def single(self) -> bool:
        return self.size == 1

    @property
    def corner(self) -> Position:
        return self.top, self.left

    @property
    def a1(self) -> str:
        """Without the sheet: "C5:C14"."""
        first = address((self.top, self.left))
        return first if self.single else f"{first}:{address((self.bottom, self.right))}"


def parse(reference: str, sheet: str = "") -> Range | None:
    """A reference as a range; one without a sheet lies in `sheet`. None for anything that is no plain reference."""
    found = _REFERENCE.fullmatch(reference.strip().lstrip("="))
    if not found:
        return None
    name = found["sheet"] or sheet
    if name.startswith("'"):
        name = name[1:-1].replace("''", "'")
    try:
        return Range(name, *_box(found))
    except WorkbookProblem:
        return None


def _box(found: re.Match) -> tuple[int, int, int, int]:
    if found["cells"]:
        first, _, last = found["cells"].partition(":")
    elif found["columns"]:
        first, last = found["columns"].split(":")
        first, last = f"{first}1", f"{last}{MOST_ROWS}"
    else:
        first, last = found["rows"].split(":")
        first, last = f"A{first.lstrip('$')}", f"{letters(MOST_COLUMNS)}{last.lstrip('$')}"
    (top, left), (bottom, right) = position(first), position(last or first)
    return min(top, bottom), min(left, right), max(top, bottom), max(left, right)
