"""Cells that nobody should have in a sheet, and somebody has."""

import datetime
import math
from random import Random
from typing import Any

from tarecell.errors import SPREADSHEET_KINDS, CellError

NUMBERS = (
    0.0, -0.0, 1.0, -1.0, 0.5, 1e-300, 5e-324, -5e-324, 2.2250738585072014e-308, 1e300, 1e308, -1e308,
    1.7976931348623157e308, math.inf, -math.inf, math.nan, 0.1 + 0.2, 1 - 1e-16, 1 + 1e-15, 99.99999999999999, 1e15,
    2**53, 2**53 + 1, 10**400, -(10**400), 1e-9, 59.0, 60.0, 61.0, -1.5, 2958465.0, 2958466.0, 1e7, 44927.75, True,
    False,
)  # fmt: skip
TEXTS = (
    "", " ", "\u00a0", "\t\n", "0", "-0", "1", "12,5", "12.5 g", "1e3", "1e308", "nan", "inf", "TRUE", "½", "٣٫٥",
    "１２",
        "זיו שמן", "شمع العسل", "\u202eabc\u202c", "🕯️🧼", "👩‍👩‍👧‍👦", "e\u0301", "\u0000", "a\x00b", "\ud800", "\ufffe",
    "\x1b[31m",
    "=1+1", "+1", "-1", "@SUM(A1)", '=cmd|" /C calc"!A0', "'", '"', "<a>&b;</a>", "%s%n{0}{", "\\", "../../x",
    "_x0041_",
    "water", "oil", "olive oil", "Olive  OIL", "coconut oil", "NaOH", "koh", "EU", "US", "leave-on", "rinse-off", "g",
    "oz",
    "fl oz", "mL", "F", "°C", "finished", "wax", "base", "citric", "TC_SCALE", "TC_EXPLAIN", "body lotion", "9", "5A",
    "soap", "candle", "jar", "no restriction", "not stated", "n/a", *SPREADSHEET_KINDS,
)  # fmt: skip
DATES = (
    datetime.date(1, 1, 1), datetime.date(1899, 12, 30), datetime.date(1900, 2, 28), datetime.date(1900, 3, 1),
    datetime.date(1904, 1, 1), datetime.date(2024, 2, 29), datetime.date(9999, 12, 31),
    datetime.datetime(2024, 2, 29, 23, 59, 59, 999999), datetime.datetime(1800, 1, 1, tzinfo=datetime.timezone.utc),
)  # fmt: skip
LONG = 1_000_000  # characters


def number(rng: Random) -> Any:
    way = rng.randrange(4)
    if way == 0:
        return rng.choice(NUMBERS)
    if way == 1:
        return rng.choice((1, -1)) * 10 ** rng.uniform(-320, 308)
    return round(rng.uniform(0, 1), rng.randrange(1, 5)) if way == 2 else float(rng.randrange(2000))


def text(rng: Random) -> str:
    way = rng.randrange(12)
    if way == 0:
        return "".join(
            chr(rng.choice((rng.randrange(128), rng.randrange(0x3000), rng.randrange(0x110000)))) for _ in range(9)
        )
    if way == 1:
        return rng.choice(TEXTS) + rng.choice(TEXTS)
    if way == 2 and rng.random() < 0.1:
        return rng.choice(("x", "9", " ", "½", "🕯️", "ש", "=", "1 lb ", "\u0301", "\x00")) * (LONG // 2)
    return rng.choice(TEXTS)


def cell(rng: Random) -> Any:
    """One raw cell, as one host or another hands it over."""
    way = rng.randrange(16)
    if way < 7:
        return number(rng)
    if way < 12:
        return text(rng)
    if way == 12:
        return rng.choice(DATES)
    if way == 13:
        return CellError("from another cell", rng.choice(SPREADSHEET_KINDS))
    if way == 14:
        return rng.choice(
            ({"type": "Error", "kind": rng.choice(SPREADSHEET_KINDS)}, {"type": "Error"}, {}, b"x", 1j, object())
        )
    return None


def area(rng: Random) -> Any:
    """A range: flat, a column, a row, a block, ragged, empty."""
    height, width = rng.choice((0, 1, 2, 3, 7)), rng.choice((0, 1, 1, 2, 4, 5))
    way = rng.randrange(5)
    if way == 0:
        rows: Any = [cell(rng) for _ in range(height)]
    elif way == 1:
        rows = [[cell(rng) for _ in range(rng.randrange(4))] for _ in range(height)]
    elif way == 2:
        rows = [cell(rng), [cell(rng)]]
    else:
        rows = [[cell(rng) for _ in range(width)] for _ in range(height)]
    return tuple(tuple(r) if isinstance(r, list) else r for r in rows) if rng.random() < 0.3 else rows


def raw(rng: Random) -> Any:
    return area(rng) if rng.random() < 0.3 else cell(rng)


def spoilt(rng: Random, good: Any) -> Any:
    """A good argument with one thing wrong in it, or something else altogether."""
    if not isinstance(good, (list, tuple)) or rng.random() < 0.2:
        return raw(rng)
    rows = [list(row) if isinstance(row, (list, tuple)) else row for row in good]
    for _ in range(rng.choice((1, 1, 2))):
        if not rows:
            break
        place = rng.randrange(len(rows))
        way = rng.randrange(6)
        if way == 0:
            rows.insert(place, rows[place])
        elif way == 1:
            del rows[place]
        elif isinstance(rows[place], list) and rows[place]:
            rows[place][rng.randrange(len(rows[place]))] = cell(rng)
        else:
            rows[place] = cell(rng)
    return rows
