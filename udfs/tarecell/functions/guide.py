"""The function guide as Markdown, derived from the records.

    python -m tarecell.functions.guide README.md udfs/GUIDE.md

writes the table of functions between the marks in the first file, and the whole guide into the second.
"""

import datetime
import sys
from itertools import groupby
from pathlib import Path
from typing import Any

from tarecell.functions import REGISTRY, find
from tarecell.functions.kinds import Argument
from tarecell.functions.records import ROW, Example, Record

START, END = "<!-- functions: generated from the records -->", "<!-- functions: end -->"
FAMILIES = (
    "Units",
    "Scaling a recipe",
    "Fragrance",
    "Preservation",
    "Soap",
    "Emulsions",
    "Bath",
    "Candles and melts",
    "Cost and price",
    "Labels, packing and records",
    "About the functions themselves",
)


def by_family() -> list[tuple[str, list[Record]]]:
    """The records by family, in the guide's order."""
    ordered = sorted(REGISTRY.values(), key=lambda r: FAMILIES.index(r.family))
    return [(family, list(records)) for family, records in groupby(ordered, key=lambda r: r.family)]


def as_typed(value: Any) -> str:
    """A value as people type it into a formula; a range as {1;2;3}."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return str(value).upper()
    if isinstance(value, (int, float)):
        return f"{value:.12g}"
    if isinstance(value, datetime.date):
        return f"DATE({value.year},{value.month},{value.day})"
    if isinstance(value, (list, tuple)):
        rows = value if value and all(isinstance(v, (list, tuple)) for v in value) else [[v] for v in value]
        return "{" + ";".join(",".join(as_typed(v) for v in row) for row in rows) + "}"
    return '"' + str(value).replace('"', '""') + '"'


def call_shown(record: Record, example: Example) -> str:
    """An example as a formula."""
    return f"={record.name}({','.join(as_typed(a) for a in example.args)})"


def result_shown(record: Record, example: Example) -> str:
    """What the cell of an example shows; of a row its cells from left to right: {1,2}."""
    if example.fails:
        return example.fails
    if example.starts is not None:
        return f"{example.starts} …"
    gives = example.gives
    if isinstance(gives, datetime.date):
        return gives.isoformat()
    if isinstance(gives, str):
        return gives
    return as_typed([gives] if record.result == ROW else gives)


def _cell(text: str) -> str:
    return text.replace("|", "\\|").replace("\n", " ")


def table() -> str:
    """All functions in one table: for the README."""
    lines = ["| function | gives |", "|---|---|"]
    for family, records in by_family():
        lines.append(f"| **{family}** | |")
        lines += [f"| `{r.signature}` | {_cell(r.summary)} |" for r in records]
    return "\n".join(lines)


def guide() -> str:
    """The whole guide: every function with its arguments, examples, errors and source."""
    lines = [
        "# The functions, one by one",
        "",
        "Made from the records by `python -m tarecell.functions.guide`; not to be edited. Amounts are grams unless an",
        "argument names the unit. A share is a fraction: 2 % is 0.02. In examples a range is written {first;second;…},",
        "and cells beside each other {first,second}.",
    ]
    for family, records in by_family():
        lines += ["", f"## {family}"]
        for record in records:
            lines += ["", *_entry(record)]
    return "\n".join(lines) + "\n"


def _entry(record: Record) -> list[str]:
    lines = [f"### {record.name}", "", f"`{record.signature}`", "", record.summary, ""]
    for argument in record.arguments:
        left_out = when_left_out(argument)
        lines.append(f"- `{argument.name}` ({argument.kind}): {argument.doc}{left_out}")
    if record.arguments:
        lines.append("")
    lines += [f"Gives: {record.result}. Errors: {', '.join(record.errors)}.", "", "| example | gives |", "|---|---|"]
    for example in record.examples:
        lines.append(f"| `{_cell(call_shown(record, example))}` | {_cell(result_shown(record, example))} |")
    lines += ["", f"Source: {record.source}."]
    if record.cautions:
        lines += ["", f"**Caution.** {record.cautions}"]
    return lines


def plain_entry(name: str) -> str:
    """One function's entry for a terminal. CellError with the nearest names for an unknown one."""
    record = find(name)
    lines = [record.signature, "", record.summary, ""]
    for argument in record.arguments:
        left_out = when_left_out(argument)
        lines.append(f"  {argument.name} ({argument.kind}): {argument.doc}{left_out}")
    lines += ["", "Examples"]
    lines += [f"  {call_shown(record, e)}  →  {result_shown(record, e)}" for e in record.examples]
    lines += ["", f"Source: {record.source}"]
    if record.cautions:
        lines += ["", f"Caution: {record.cautions}"]
    return "\n".join(lines)


def family_called(name: str) -> str | None:
    """The family that a word means, by how it begins: soap, cost, "bath"; None if it is none."""
    word = name.strip().casefold()
    return next((family for family in FAMILIES if word and family.casefold().startswith(word)), None)


def plain_table(only: str | None = None) -> str:
    """All functions, or those of one family, a line each, for a terminal."""
    lines = []
    for family, records in by_family():
        if only not in (None, family):
            continue
        lines += ["", family]
        lines += [f"  {r.name:<24}{r.summary}" for r in records]
    return "\n".join(lines).lstrip()


def when_left_out(argument: Argument) -> str:
    """What holds when an optional argument is left out."""
    if argument.required or "left out" in argument.doc or "(default)" in argument.doc:
        return ""  # its description says it
    value = argument.default
    if value is None:
        return "; may be left out"
    shown = str(value).upper() if isinstance(value, bool) else f"{value:g}" if isinstance(value, float) else value
    return f"; if left out: {shown}"


def inserted(text: str) -> str:
    """A README with the table of functions put between its marks."""
    before, rest = text.split(START)
    after = rest.split(END)[1]
    return f"{before}{START}\n{table()}\n{END}{after}"


if __name__ == "__main__":
    readme, guide_file = Path(sys.argv[1]), Path(sys.argv[2])
    readme.write_text(inserted(readme.read_text(encoding="utf-8")), encoding="utf-8")
    guide_file.write_text(guide(), encoding="utf-8")
