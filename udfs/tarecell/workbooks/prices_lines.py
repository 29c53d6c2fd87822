"""The lines of a supplier's price list: what can be taken, what is there twice, and what cannot be read and why."""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from tarecell.calculations.units import convert
from tarecell.errors import CellError, WrongValue
from tarecell.tables import fold
from tarecell.workbooks.prices_columns import Columns
from tarecell.workbooks.prices_text import pack_in_name, pack_of, price_of, unit_word

LONGEST = 500  # characters; a longer cell is no name
_TWO_READINGS = re.compile(r"can be [\d.]+ or \d")
_HINT = "; or say which decimal mark the whole list uses"


@dataclass(frozen=True)
class Line:
    """A line that can be taken. `row`: its row in the list, from 1; `pack`: as listed; content in `unit`."""

    row: int
    name: str
    content: float
    unit: str
    price: float
    pack: str = ""
    code: str = ""
    freight: float | None = None
    supplier: str = ""
    from_name: bool = False  # the pack was read in the name


@dataclass(frozen=True)
class Finding:
    """A line that is not taken, or only once: its row, its name, and why."""

    row: int
    name: str
    reason: str

    def __str__(self) -> str:
        return f"row {self.row}, {self.name or 'without a name'}: {self.reason}"


@dataclass
class Lines:
    taken: list[Line] = field(default_factory=list)
    unreadable: list[Finding] = field(default_factory=list)
    duplicates: list[Finding] = field(default_factory=list)
    passed_over: list[int] = field(default_factory=list)  # rows of headings and remarks: one filled cell, no price


def read_lines(rows: Sequence[Sequence[Any]], columns: Columns, supplier: str, decimal: str | None) -> Lines:
    """Every row under the headings as a line or a finding. decimal: the list's decimal mark where it was stated."""
    found = Lines()
    width = max(columns.headings) + 1
    for number, row in enumerate(rows[columns.row + 1 :], columns.row + 2):
        filled = [i for i, cell in enumerate(row) if cell is not None]
        if not filled or _repeats_headings(row, columns):
            continue
        if len(filled) == 1 and filled[0] != columns.of["price"]:
            found.passed_over.append(number)
            continue
        name = _text(row, columns, "name")
        try:
            if filled[-1] >= width:
                raise WrongValue("more cells than headings: a separator inside a name or a number needs quotes")
            found.taken.append(_line(number, row, columns, supplier, decimal))
        except CellError as refusal:
            hint = _HINT if decimal is None and _TWO_READINGS.search(refusal.reason) else ""
            found.unreadable.append(Finding(number, name[:60], refusal.reason + hint))
    _without_duplicates(found)
    return found


def _repeats_headings(row: Sequence[Any], columns: Columns) -> bool:
    return all(
        isinstance(row[i], str) and fold(row[i]) == fold(text) for i, text in columns.headings.items() if i < len(row)
    )


def _cell(row: Sequence[Any], columns: Columns, name: str) -> Any:
    column = columns.of.get(name)
    return None if column is None or column >= len(row) else row[column]


def _text(row: Sequence[Any], columns: Columns, name: str) -> str:
    cell = _cell(row, columns, name)
    if cell is None:
        return ""
    if isinstance(cell, float) and cell.is_integer():
        cell = int(cell)  # an article number
    return " ".join(str(cell).split())


def _line(number: int, row: Sequence[Any], columns: Columns, supplier: str, decimal: str | None) -> Line:
    texts = {name: _text(row, columns, name) for name in ("name", "code", "supplier", "pack")}
    if not texts["name"]:
        raise WrongValue("no name")
    if max(map(len, texts.values())) > LONGEST:
        raise WrongValue(f"a text of more than {LONGEST} characters is no entry of a price list")
    price = _price(_cell(row, columns, "price"), "price", decimal)
    if price == 0:
        raise WrongValue("the price is 0")
    content, unit, shown, from_name = _pack(row, columns, decimal)
    freight = _cell(row, columns, "freight")
    return Line(
        number,
        texts["name"],
        content,
        unit,
        price,
        shown,
        texts["code"],
        None if freight is None else _price(freight, "freight", decimal),
        texts["supplier"] or supplier,
        from_name,
    )


def _price(cell: Any, what: str, decimal: str | None) -> float:
    if cell is None:
        raise WrongValue(f"no {what}")
    value = _number(cell, what) if not isinstance(cell, str) else price_of(cell, decimal)
    if value < 0:
        raise WrongValue(f"the {what} is negative ({value:g})")
    if value >= 1e9:
        raise WrongValue(f"the {what} is too large ({value:g})")
    return value


def _number(cell: Any, what: str) -> float:
    if isinstance(cell, bool) or isinstance(cell, (date, datetime)) or not isinstance(cell, (int, float)):
        kind = "a date" if isinstance(cell, (date, datetime)) else "no number"
        raise WrongValue(f"the {what} is {kind} ({cell})")
    if not math.isfinite(cell):
        raise WrongValue(f"the {what} is no finite number")
    return float(cell)


def _pack(row: Sequence[Any], columns: Columns, decimal: str | None) -> tuple[float, str, str, bool]:
    """Content and unit of the pack, how the list writes it, and whether that stands in the name."""
    pack, unit = _cell(row, columns, "pack"), _text(row, columns, "unit")
    if columns.per and pack is None and not unit:
        return 1.0, columns.per, f"per {columns.per}", False
    if pack is None and unit:
        if any(c.isdigit() for c in unit):
            return *pack_of(unit, decimal), unit, False
        return 1.0, unit_word(unit, unit), unit, False
    if pack is None:
        name = _text(row, columns, "name")
        return *pack_in_name(name, decimal), "", True
    if isinstance(pack, str) and not _plain_number(pack):
        return *pack_of(pack, decimal), " ".join(pack.split()), False
    word = unit or columns.pack_unit
    if not word:
        raise WrongValue(f"a pack of {pack} of what? The list names no unit")
    value = _number(pack, "content") if not isinstance(pack, str) else price_of(pack, decimal)
    if not 0 < value < 1e9:
        raise WrongValue(f"a content of {value:g} {word} is no pack")
    shown = f"{value:g} {word}"
    content, named = pack_of(f"{unit}", decimal) if any(c.isdigit() for c in unit) else (1.0, unit_word(word, shown))
    return value * content, named, shown, False


def _plain_number(text: str) -> bool:
    return all(c.isdigit() or c in ".,'’ " for c in text.strip())


def _without_duplicates(found: Lines) -> None:
    """Keeps the first of lines that say the same, and none of those that say two prices for one thing."""
    groups: dict[tuple, list[Line]] = {}
    for line in found.taken:
        groups.setdefault(same_thing(line.name, line.code, line.supplier, line.content, line.unit), []).append(line)
    taken = []
    for lines in groups.values():
        first = lines[0]
        prices = {(line.price, line.freight) for line in lines}
        for line in lines[1:] if len(lines) > 1 else ():
            if len(prices) == 1:
                reason = f"the same as row {first.row}; taken once"
            else:
                reason = f"row {first.row} gives {first.price:g}, this one {line.price:g}: none of them is taken"
            found.duplicates.append(Finding(line.row, line.name, reason))
        if len(prices) == 1:
            taken.append(first)
    found.taken = sorted(taken, key=lambda line: line.row)
    found.duplicates.sort(key=lambda finding: finding.row)


def same_thing(name: str, code: str, supplier: str, content: float, unit: str) -> tuple:
    """What makes two lines the same thing: name, code, supplier and content, in whatever unit it is written."""
    for base in ("g", "mL", "each", "m"):
        try:
            return fold(name), fold(code), fold(supplier), base, float(f"{convert(content, unit, base):.9g}")
        except CellError:
            continue
    return fold(name), fold(code), fold(supplier), unit, content
