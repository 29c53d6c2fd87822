"""Finding the row of a reference table by its name or one of its other names (column `also`, separated by |)."""

from functools import cache

from tarecell.tables.names import Names
from tarecell.tables.reader import rows


@cache
def _names(table: str, what: str) -> tuple[Names, list[dict[str, str]]]:
    first = next(iter(rows(table)[0]))
    pairs = [(name, row) for row in rows(table) for name in (row[first], *row["also"].split("|")) if name]
    return Names((name for name, _ in pairs), what), [row for _, row in pairs]


def known(table: str, name: str) -> dict[str, str] | None:
    """The row of that name, None when the table has none."""
    names, listed = _names(table, table)
    found = names.positions(name)
    return listed[found[0]] if len(found) == 1 else None


def row_of(table: str, name: str, what: str) -> dict[str, str]:
    """The row of that name. #N/A with the nearest names; `what` is the word for such a thing in the reason."""
    names, listed = _names(table, what)
    return listed[names.position(name)]
