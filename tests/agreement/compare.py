"""One batch of random cases through everything that computes them, and what differs.

`python tests/agreement/compare.py --cases 10000` runs many batches.
"""

import argparse
import math
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass, field, replace
from fractions import Fraction
from pathlib import Path
from random import Random
from typing import Any

if __name__ == "__main__":
    sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parents[2] / "udfs")]

import openpyxl  # noqa: E402
import tarecell  # noqa: E402
from agreement import cases, cases_costs, exact  # noqa: E402
from hosts import conformance  # noqa: E402
from hosts.calc import Calc  # noqa: E402
from tarecell.errors import SPREADSHEET_KINDS, CellError, Fault  # noqa: E402
from tarecell.functions import REGISTRY, Example  # noqa: E402
from tarecell.workbooks.evaluate import evaluate  # noqa: E402
from tarecell.workbooks.share import share  # noqa: E402

assert cases_costs  # its functions are among those of `cases`
WITHIN = 1e-12  # of the value, or of 1 where it is smaller: a sheet shows 15 digits at most, and people look at 4
BATCH = 400  # cases in one workbook


@dataclass
class Compared:
    """How many cases were compared, by function and in which hosts, and what differed."""

    functions: Counter = field(default_factory=Counter)
    refused: Counter = field(default_factory=Counter)
    hosts: Counter = field(default_factory=Counter)
    different: list[str] = field(default_factory=list)


def batch(rng: Random, count: int, calc: Calc | None, compared: Compared, plain_copy: bool = False) -> None:
    """Compares `count` random cases; `calc` None leaves Calc out. `plain_copy`: the copy for people without the add-in
    too, which takes minutes, as it is checked over and over while it is made."""
    examples: dict[str, list[Example]] = {}
    for _ in range(count):
        name, arguments, expected = cases.one(rng)
        compared.functions[name] += 1
        if isinstance(expected, exact.Refused):
            compared.refused[name] += 1
            example = Example(tuple(arguments), fails=expected.kind)
        else:
            example = Example(tuple(arguments), gives=_plain(expected), within=WITHIN)
        examples.setdefault(name, []).append(example)
        wrong = _in_python(name, arguments, example)
        compared.hosts["plain Python"] += 1
        if wrong:
            compared.different.append(f"plain Python: {name}{tuple(arguments)!r}: {wrong}")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "cases.xlsx"
        records = [replace(REGISTRY[name], examples=listed) for name, listed in examples.items()]
        written = [
            c
            for c in conformance.write(path, records)
            if c.way == "cells" or len(c.example.args) == 1 or _all_ranges(c)
        ]
        _compare("embedded engine", written, _from_engine(path), compared)
        if calc is not None:
            _compare("Calc", written, _from_calc(path, calc), compared)
        if plain_copy:
            copy = path.with_name("plain.xlsx")
            share(path, copy)
            _compare("plain copy", written, _from_copy(copy), compared)


def _all_ranges(case: conformance.Case) -> bool:
    return all(conformance.is_range(a) for a in case.example.args)


def _compare(host: str, written: list, value_at: Callable[[int, int], Any], compared: Compared) -> None:
    compared.hosts[host] += len(written)
    told = {case.name: case.example for case in written}
    for line in conformance.differences(written, value_at):
        arguments = next((e.args for name, e in told.items() if line.startswith(name)), ())
        compared.different.append(f"{host}: {line} for {arguments!r}")


def _from_engine(path: Path) -> Callable[[int, int], Any]:
    values = evaluate(path).values[conformance.CALLS]

    def value_at(row, column):
        value = values.get((row, column))
        return conformance.Failed(value.kind) if isinstance(value, CellError) else value

    return value_at


def _from_copy(path: Path) -> Callable[[int, int], Any]:
    """Formulas as the embedded engine computes them; the cells that became values as they stand in the file."""
    computed = _from_engine(path)
    stored = openpyxl.load_workbook(path, data_only=True)[conformance.CALLS]

    def value_at(row, column):
        value = computed(row, column)
        value = stored.cell(row, column).value if value is None else value
        return conformance.Failed(value) if value in SPREADSHEET_KINDS else value

    return value_at


def _from_calc(path: Path, calc: Calc) -> Callable[[int, int], Any]:
    cells = calc.read(path)[conformance.CALLS]

    def value_at(row, column):
        cell = cells.get((row, column))
        return None if cell is None else conformance.Failed(cell.kind) if cell.error else cell.value

    return value_at


def _plain(value: Any) -> Any:
    if isinstance(value, list):
        return [_plain(v) for v in value]
    return float(value) if isinstance(value, (Fraction, int)) else value


def _in_python(name: str, arguments: list, example: Example) -> str:
    try:
        got = tarecell.call(name, *arguments)
    except Fault as fault:
        return f"a fault: {fault.reason}"
    except CellError as error:
        return (
            ""
            if error.kind == example.fails
            else f"{error}, not {example.gives if example.fails is None else example.fails}"
        )
    if example.fails is not None:
        return f"{got!r}, not {example.fails}"
    return "" if _same(got, example.gives) else f"{got!r}, not {example.gives!r}"


def _same(got: Any, expected: Any) -> bool:
    if isinstance(expected, list):
        return isinstance(got, (list, tuple)) and len(got) == len(expected) and all(map(_same, got, expected))
    if isinstance(expected, float):
        return isinstance(got, (int, float)) and math.isclose(got, expected, rel_tol=WITHIN, abs_tol=WITHIN)
    return got == expected


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cases", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=time.time_ns() % 10**9)
    parser.add_argument("--without-calc", action="store_true")
    parser.add_argument(
        "--plain-copy", action="store_true", help="also the copy without the functions: minutes a batch"
    )
    args = parser.parse_args()
    compared, began = Compared(), time.monotonic()
    print(f"seed {args.seed}", flush=True)
    with ExitStack() as stack:
        calc = None if args.without_calc else stack.enter_context(Calc())
        for number in range(math.ceil(args.cases / BATCH)):
            told = len(compared.different)
            batch(Random(args.seed + number), min(BATCH, args.cases - number * BATCH), calc, compared, args.plain_copy)
            print(f"{sum(compared.functions.values())} cases, {len(compared.different)} differences", flush=True)
            print("\n".join(compared.different[told:][:20]), flush=True)
    print(f"{dict(compared.hosts)} in {time.monotonic() - began:.0f} s; {len(compared.functions)} functions, "
          f"{sum(compared.refused.values())} cases are errors")  # fmt: skip
    return 1 if compared.different else 0


if __name__ == "__main__":
    sys.exit(main())
