"""One amount cell: a number, a written amount such as "1 lb 4 oz", or a stand-in such as "q.s."."""

import re
from functools import lru_cache
from typing import NamedTuple

from tarecell.calculations import amount_text
from tarecell.errors import CellError
from tarecell.workbooks.find.grid import Cell
from tarecell.workbooks.find.words import unit_word

NUMBER, WRITTEN, PERCENT_TEXT, TEXT_NUMBER, STAND_IN = "number", "written", "percent text", "text number", "stand-in"
_NUMBER_TEXT = re.compile(r"[-+]?\d[\d., \u00a0\u202f']*")
_PERCENT_TEXT = re.compile(r"\d+(?:[.,]\d+)?\s*%")
_STAND_IN = re.compile(
    r"^(?:q\.?\s?s\.?\b.*|(?:up )?to 100\s?%?|ad 100\s?%?|to taste|as needed|as required|a pinch|pinch|trace|optional|"
    r"some|a few drops|few drops|drops|\d+ drops?|nach bedarf|au besoin|tbd|\?+|-|–|—|x)$",
    re.IGNORECASE,
)

_COUNTED = re.compile(r"\d{1,3}(?:\s*[-–]\s*\d{1,3})?\s+([^\W\d_]{3,12}\.?)")  # "10 Tropfen", "2-3 pumps"


class Amount(NamedTuple):
    """An amount as read: what form it has, its value where it is one number, and its unit where the text has one."""

    form: str
    value: float | None = None
    unit: str | None = None


@lru_cache(maxsize=8000)
def written(text: str) -> Amount | None:
    """A text as an amount; None for any other text."""
    text = text.strip()
    if not text or len(text) > 40:
        return None
    if _PERCENT_TEXT.fullmatch(text):
        return Amount(PERCENT_TEXT, float(text.rstrip("% ").replace(",", ".")), "%")
    if _NUMBER_TEXT.fullmatch(text):
        return Amount(TEXT_NUMBER)
    if _STAND_IN.match(text):
        return Amount(STAND_IN)
    if _COUNTED.fullmatch(text) and unit_word(_COUNTED.fullmatch(text).group(1)) is None:
        return Amount(STAND_IN)
    if not re.match(r"[\d¼½¾⅓⅔⅛⅜⅝⅞]", text):
        return None
    try:
        parts = amount_text.parts(text)
    except CellError:
        return _loosely(text)
    units = [unit_word(word) for _, word in parts]
    if None in units or not units:
        return None
    return Amount(WRITTEN, parts[0][0] if len(parts) == 1 else None, units[0] if len(set(units)) == 1 else None)


def _loosely(text: str) -> Amount | None:
    """An amount whose number or unit has two readings ("1,250 g"): an amount all the same, only not one we value."""
    found = re.fullmatch(r"[\d.,/ ¼½¾⅓⅔⅛]+\s*([^\d\s].*)", text)
    return Amount(WRITTEN, None, unit_word(found.group(1))) if found and unit_word(found.group(1)) else None


def read(cell: Cell) -> Amount | None:
    """What a cell holds as an amount; None for a blank, a date, an error or a text that is no amount."""
    if cell.error:
        return None
    if cell.number is not None:
        return Amount(NUMBER, float(cell.number))
    return written(cell.value) if isinstance(cell.value, str) else None


def holds_amount(cell: Cell) -> bool:
    """Whether a cell holds an amount, or will when it is calculated; formulas without a stored result count."""
    if cell.formula is not None and (cell.value is None or cell.error):
        return True
    amount = read(cell)
    return amount is not None and not (cell.computed and amount.form == STAND_IN)
