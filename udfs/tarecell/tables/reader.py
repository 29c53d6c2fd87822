"""Reads a reference table: `rows("densities")` gives the rows of densities.csv as dictionaries.

Every table is UTF-8 CSV with a heading row. Lines that start with # explain the table. Every row has a `source` and a
`certainty`, one of CERTAINTY. The first column names what the row is about.
"""

import csv
from functools import cache
from importlib.resources import files

CERTAINTY = {
    "primary": "read in the primary text or computed by a general-purpose library",
    "transcribed": "read in a secondary text, not in the source itself",
    "derived": "arithmetic on published values",
    "memory": "from memory, not checked against the source",
    "practice": "common practice, no published source",
}


@cache
def tables() -> tuple[str, ...]:
    """The names of all tables."""
    folder = files("tarecell.tables")
    return tuple(sorted(f.name[:-4] for f in folder.iterdir() if f.name.endswith(".csv")))


@cache
def rows(table: str) -> tuple[dict[str, str], ...]:
    """The rows of one table, in file order, blanks as ''."""
    text = files("tarecell.tables").joinpath(f"{table}.csv").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if line.strip() and not line.startswith("#")]
    return tuple({k: (v or "").strip() for k, v in row.items()} for row in csv.DictReader(lines))
