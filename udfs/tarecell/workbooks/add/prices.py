"""A price table: which of its columns holds the name, the price, the pack and the rest, by their headings."""

import re
from dataclasses import dataclass

from tarecell.calculations import units
from tarecell.errors import CellError
from tarecell.tables import Names, fold
from tarecell.workbooks.add.subject import absolute
from tarecell.workbooks.find import words
from tarecell.workbooks.find.grid import Grid
from tarecell.workbooks.find.ranges import Range
from tarecell.workbooks.find.text import harmless
from tarecell.workbooks.problems import WorkbookProblem

_FREIGHT = (
    "freight",
    "shipping",
    "postage",
    "delivery",
    "versand",
    "porto",
    "port",
    "envio",
    "spedizione",
    "verzending",
)
_HEADINGS = "its headings must say which column is the material, the price, the pack and the pack's unit"


@dataclass(frozen=True)
class Prices:
    """The columns of a price table, each as a range of its rows.

    `per`: the unit that a heading states, of the packs or, where there are none, of what a price is for.
    """

    names: Range
    price: Range
    pack: Range | None = None
    unit: Range | None = None
    freight: Range | None = None
    density: Range | None = None
    per: str | None = None

    def ranges(self) -> dict[str, str]:
        """References to the columns, by key."""
        columns = {k: getattr(self, k) for k in ("names", "price", "pack", "unit", "freight", "density")}
        return {f"price_{key}": absolute(area) for key, area in columns.items() if area}

    def unit_cost(self, use_unit: str) -> str:
        """The template of one ingredient's cost per unit of use, found by its name."""

        def found(key: str) -> str:
            return "INDEX({price_" + key + "},MATCH({name},{price_names},0))"

        pack, unit = found("pack") if self.pack else "1", found("unit") if self.unit else f'"{self.per}"'
        call = [found("price"), pack, unit, f'"{use_unit}"']
        if self.freight or self.density:
            call.append(found("freight") if self.freight else "0")
        if self.density:
            call.append(found("density"))
        return f"TC_UNIT_COST({','.join(call)})"


def prices(grid: Grid, area: Range) -> Prices:
    """Reads the headings in the first row of a price table."""
    if area.top == area.bottom:
        raise WorkbookProblem("--prices: the range begins with the row of headings and goes on with the prices")
    roles: dict[str, int] = {}
    stated: dict[str, str | None] = {}
    for column in range(area.left, area.right + 1):
        text = grid.text(area.top, column)
        role, unit = _role(text)
        if role and role not in roles:
            roles[role] = column
            stated[role] = unit
    if "names" not in roles or "price" not in roles:
        raise WorkbookProblem(f"--prices {area.a1}: {_HEADINGS}")
    with_units = {"pack", "unit"} <= set(roles)
    per = None if with_units else stated.get("pack" if "pack" in roles else "price")
    if per is None and not with_units:
        raise WorkbookProblem(f"--prices {area.a1}: no pack size with its unit was found; {_HEADINGS}")
    columns = {key: area._replace(top=area.top + 1, left=c, right=c) for key, c in roles.items()}
    if not with_units:
        columns.pop("unit", None)
    return Prices(per=per, **columns)


def _role(text: str) -> tuple[str | None, str | None]:
    """What a heading of a price table means, and the unit that it states."""
    plain = fold(text)
    if not plain:
        return None, None
    if re.search(r"\bdensity\b|\bdichte\b|\bg ?(?:per|/) ?ml\b", plain):
        return "density", None
    if any(word in plain.split() for word in _FREIGHT):
        return "freight", None
    role = words.role(text)
    each = re.search(r"(?:\bper\b|/)\s*(?:1\s*)?([^\d\s]+(?: oz)?)\s*\)?$", plain)
    if role == words.UNIT or re.search(r"\bunit$|\buom$", plain):
        return "unit", None
    if re.search(r"\b(?:price|cost)\b", plain) or (role == words.MONEY and not re.search(r"\bsize\b", plain)):
        return "price", _unit(each.group(1)) if each else None
    if role in (words.PACK, words.AMOUNT) or re.search(r"\b(?:size|pack)\b", plain):
        unit = words.heading_unit(text)
        return "pack", _unit(unit) if unit else None
    return ("names", None) if role == words.NAME else (None, None)


def _unit(word: str) -> str | None:
    try:
        return units.unit(word).word
    except CellError:
        return None


def check_names(grid: Grid, table: Prices, ingredients: tuple[tuple[int, str], ...]) -> None:
    """Every ingredient must be in the price table, written the same, or its cost could not be looked up."""
    column = table.names.left
    listed = [grid.text(row, column) for row in range(table.names.top, table.names.bottom + 1)]
    exact = {name.casefold() for name in listed if name}
    known = Names([name for name in dict.fromkeys(listed) if name], "material")
    for row, name in ingredients:
        if not name:
            raise WorkbookProblem(f"row {row} of the recipe has an amount but no name, so no price can be found for it")
        if any(mark in name for mark in "*?~"):
            raise WorkbookProblem(f"“{harmless(name, 40)}” (row {row}): look-ups take * ? and ~ for something else")
        if name.casefold() not in exact:
            raise WorkbookProblem(f"row {row}: no price in {table.names.sheet}!{table.names.a1}: {known.miss(name)}")
        if [text.casefold() for text in listed].count(name.casefold()) > 1:
            raise WorkbookProblem(
                f"“{harmless(name, 40)}” stands in the price table twice: which one is meant is not clear"
            )
