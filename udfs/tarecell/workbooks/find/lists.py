"""The lists beside the recipes: prices by pack, and caps by fragrance and IFRA category."""

import re
from dataclasses import dataclass, field

from tarecell.calculations.products import code
from tarecell.tables import squeeze
from tarecell.workbooks.find import words
from tarecell.workbooks.find.grid import Cell, Grid
from tarecell.workbooks.find.rows import MOST_BLANKS
from tarecell.workbooks.references import Position

_PRICE = ("price", "preis", "prix", "precio", "prezzo", "prijs", "preco")
_FREIGHT = ("freight", "shipping", "postage", "versand", "port", "envio", "spedizione", "verzending")
_FRAGRANCE = re.compile(r"fragran|scent|perfum|parfum|duft|essential|aroma|profum|^(?:oils?|eo|fo|name|blend)$")
_MATERIAL = re.compile(r"material|ingred|zutat|rohstoff|matiere|materia|grondstof|inhaltsstoff")


@dataclass
class PriceList:
    """Materials with pack sizes and prices. Columns are numbers from 1, None where there is none."""

    sheet: str
    header_row: int
    rows: list[int]
    name: int
    price: int
    pack: int | None = None
    unit: int | None = None
    columns: dict[int, str] = field(default_factory=dict)


@dataclass
class CapsList:
    """A caps table: fragrance names down one column, IFRA categories along the heading row (column → code)."""

    sheet: str
    header_row: int
    rows: list[int]
    name: int
    categories: dict[int, str]

    @property
    def columns(self) -> dict[int, str]:
        return {self.name: "", **self.categories}


def price_lists(grid: Grid) -> list[PriceList]:
    """The price lists of a sheet."""
    found = []
    for row in grid.rows:
        texts = {c: cell.text for c, cell in grid.row(row) if cell.text and not cell.computed}
        roles = {c: words.role(t) for c, t in texts.items()}
        names = [c for c, r in roles.items() if r == words.NAME]
        prices = [c for c, t in texts.items() if roles[c] == words.MONEY and _is_price(t)]
        if not names or not prices or words.PHASE in roles.values():
            continue
        packs = [c for c, r in roles.items() if r == words.PACK]
        amounts = [c for c, r in roles.items() if r == words.AMOUNT]
        freight = any(words.heading(t) in _FREIGHT for t in texts.values())
        if amounts and not packs and not freight:
            continue  # amounts with a price beside them: a recipe that is costed
        if not amounts and not packs and not freight and not _MATERIAL.search(words.heading(texts[names[0]])):
            continue  # what things sell for, not what they cost
        unit = next((c for c, r in roles.items() if r == words.UNIT), None)
        lines = _lines(grid, row, names[0])
        if lines:
            pack = packs[0] if packs else amounts[0] if amounts else None
            found.append(PriceList(grid.sheet, row, lines, names[0], prices[0], pack, unit, texts))
    return found


def _is_price(heading: str) -> bool:
    plain = words.heading(heading)
    return any(word in plain for word in _PRICE)


def caps_lists(grid: Grid) -> list[CapsList]:
    """The caps tables of a sheet: at least two IFRA categories in a row, over shares."""
    found = []
    for row in grid.rows:
        codes = {c: known for c, cell in grid.row(row) if (known := _category(cell))}
        if len(codes) < 2 or len(set(codes.values())) < len(codes):
            continue
        first, last = min(codes), max(codes)
        if any(first < c < last and c not in codes for c, _ in grid.row(row)) or first == 1:
            continue
        name = _name_column(grid, row, first)
        lettered = any(not known.isdigit() for known in codes.values())
        # Plain numbers can be anything: they are categories only next to a heading over fragrances.
        if not lettered and not _FRAGRANCE.search(words.heading(grid.text(row, name))):
            continue
        lines = _with_caps(grid, _lines(grid, row, name), codes)
        if not any(_cap_like(grid[r, c]) for r in lines for c in codes):
            continue
        found.append(CapsList(grid.sheet, row, lines, name, codes))
    return found


def _with_caps(grid: Grid, lines: list[int], codes: dict[int, str]) -> list[int]:
    """The lines up to the first gap after which nothing looks like a cap any more."""
    kept: list[int] = []
    for line in lines:
        filled = any(_cap_like(grid[line, column]) or grid[line, column].text for column in codes)
        if kept and line > kept[-1] + 1 and not filled:
            break
        kept.append(line)
    return kept


def _name_column(grid: Grid, row: int, first: int) -> int:
    """The column of fragrances: the one whose heading says so, or the one left of the first category."""
    for column in range(first - 1, max(first - 5, 0), -1):
        head = grid.text(row, column)
        if _FRAGRANCE.search(words.heading(head)) or words.role(head) == words.NAME:
            return column
    return first - 1


def _cap_like(cell: Cell) -> bool:
    return cell.number is not None or squeeze(cell.text) in ("norestriction", "norestrictions", "notstated")


def _category(cell: Cell) -> str | None:
    if cell.computed:
        return None
    if cell.number is not None:
        return code(f"{cell.number:g}")
    return code(cell.text) if cell.text else None


def _lines(grid: Grid, header: int, name: int) -> list[int]:
    rows, blanks, row = [], 0, header + 1
    while row <= grid.last_row and blanks <= MOST_BLANKS:
        if grid.text(row, name):
            if words.role(grid.text(row, name)) == words.NAME and len(grid.row(row)) > 2 and not _has_number(grid, row):
                break
            rows.append(row)
            blanks = 0
        else:
            blanks += 1
        row += 1
    return [r for r in rows if not words.is_total(grid.text(r, name))]


def _has_number(grid: Grid, row: int) -> bool:
    return any(cell.number is not None for _, cell in grid.row(row))


def listed(grid: Grid) -> set[Position]:
    """The cells that belong to a price list or a caps table, and so to no recipe."""
    used: set[Position] = set()
    for found in [*price_lists(grid), *caps_lists(grid)]:
        left, right = min(found.columns), max(found.columns)
        for row in range(found.header_row, found.rows[-1] + 1):
            used |= {(row, column) for column in range(left, right + 1)}
    return used
