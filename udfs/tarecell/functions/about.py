"""About the functions themselves: the records."""

from functools import cache
from typing import Any

import tarecell
from tarecell.errors import NotFound, WrongValue
from tarecell.functions.kinds import Rest, Text
from tarecell.functions.records import TEXT, Host, Record, ex
from tarecell.functions.registry import PYTHON, REGISTRY, explain, find, register
from tarecell.tables import CERTAINTY, Names, rows, tables

FAMILY = "About the functions themselves"


def _explain(function: str, *arguments: Any, host: Host) -> str:
    record = find(function)
    if record.family == FAMILY:
        raise WrongValue(f"{record.name} has no working to show: name another function")
    return explain(record.name, arguments, host)


@cache
def _listed() -> dict[str, tuple[Names, list[dict[str, str]]]]:
    """The rows of every reference table that tells about materials or products, by all their names; an oil also without
    that word, as the soap functions take it."""
    listed = {}
    for table in tables():
        if table != "units":
            pairs = [(name, row) for row in rows(table) for name in _all_names(row)]
            listed[table] = Names((name for name, _ in pairs), table), [row for _, row in pairs]
    return listed


def _all_names(row: dict[str, str]) -> list[str]:
    names = [next(iter(row.values())), *row.get("also", "").split("|")]
    short = [name[:-4] for name in names if name.endswith(" oil")]
    return [name for name in dict.fromkeys(names + short) if name]


def _from_tables(name: str) -> list[str]:
    found = []
    for table, (names, listed) in _listed().items():
        for position in names.positions(name):
            row = listed[position]
            at = f" (at {row['celsius']} °C)" if row.get("celsius") else ""
            told = f"{next(iter(row.values()))}, {table.replace('_', ' ')}{at}: {row['source']}"
            found.append(f"{told} — {CERTAINTY[row['certainty']]}")
    return found


def _source(name: str) -> str:
    try:
        record = find(name)
        return f"{record.name}: {record.source}"
    except NotFound as no_function:
        found = _from_tables(name)
        if found:
            return "; ".join(dict.fromkeys(found))
        known = dict.fromkeys(known for names, _ in _listed().values() for known in names.names)
        raise NotFound(Names([*REGISTRY, *known], "function or material").miss(name)) from no_function


def _version(host: Host) -> str:
    where = f" · {host.name} {host.version}".rstrip() if host.name != "Python" else ""
    return f"Tarecell {tarecell.__version__}{where} · Python {PYTHON.version}"


def _no_working(result, *_):
    return str(result)


register(
    FAMILY,
    [
        Record(
            "TC_EXPLAIN",
            "The working of a call in one line, or the reason why that call is an error.",
            _explain,
            [
                Text("function", "name of the function"),
                Rest("arguments", "the same arguments as in the call"),
            ],
            TEXT,
            [
                ex("TC_TOP_UP", 500.0, 487.5, gives="500 g − 487.5 g = 12.5 g of water"),
                ex("TC_EXTRA", 500.0, 2.0, gives="#NUM! share: 2 means 200 %; type 2% or 0.02"),
                ex("TC_SCALE", [200.0, 140.0], 500.0, gives="500 ÷ 340 = ×1.4706: 294.118, 205.882"),
                ex("TC_NOTHING", 1.0, fails="#N/A"),
            ],
            "the working of the function named",
            _no_working,
            needs_host=True,
        ),
        Record(
            "TC_SOURCE",
            "The published source behind a function or a material, and how certain it is.",
            _source,
            [Text("name", "a function or a material")],
            TEXT,
            [
                ex("TC_TOP_UP", gives="TC_TOP_UP: common practice, no published source"),
                ex("beeswax", starts="beeswax, "),
                ex("water", starts="water, densities (at 20 °C): OpenStax Chemistry"),
                ex("unicorn oil", fails="#N/A"),
            ],
            "the records and the reference tables",
            _no_working,
        ),
        Record(
            "TC_VERSION",
            "The versions of Tarecell, of the host it runs in, and of Python.",
            _version,
            [],
            TEXT,
            [
                ex(starts="Tarecell "),
                ex(starts=f"Tarecell {tarecell.__version__}"),
                ex("anything", fails="#VALUE!"),
            ],
            "the installed package",
            _no_working,
            needs_host=True,
        ),
    ],
)
