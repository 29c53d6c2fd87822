"""How fast Tarecell is: `python tests/benchmarks/run.py` prints the tables and writes them to RESULTS.md beside it,
and the main lines into the README.

--only calc,units,start,engine,growth,folders   some of the parts; nothing is written
--other-python PATH                     a Python with formulas, pycel and pint, for the comparison with them
"""

import argparse
import os
import platform
import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent))

from benchmarks import conversions, folders, from_start, in_calc, readme  # noqa: E402
from benchmarks.measuring import ratios, table  # noqa: E402
from tarecell import __version__  # noqa: E402

FINDINGS = HERE / "FINDINGS.md"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--only", default=",".join(_SECTIONS))
    parser.add_argument("--other-python")
    args = parser.parse_args()
    chosen = args.only.split(",")
    if not set(chosen) <= set(_SECTIONS):
        parser.error(f"the parts are {', '.join(_SECTIONS)}")
    sections = [_head()]
    with tempfile.TemporaryDirectory() as folder:
        for part in chosen:
            section = _SECTIONS[part](Path(folder), args.other_python)
            print(section, flush=True)
            sections.append(section)
    if set(chosen) == set(_SECTIONS):
        sections.append(FINDINGS.read_text(encoding="utf-8"))
        (HERE / "RESULTS.md").write_text("\n".join(sections), encoding="utf-8")
        readme.main()
        print("written to RESULTS.md, and its main lines to the README")


def _head() -> str:
    return f"""# How fast Tarecell is

Tarecell {__version__}, Python {platform.python_version()}, {platform.system()} {platform.machine()}, {os.cpu_count()}
processors. Made by `python tests/benchmarks/run.py`.

Every ratio is the median of the ratios of rounds that took turns, with the lowest and the highest of them behind it,
and beside it the ratio of the shortest times. Below 1 Tarecell is the quicker one. Times are medians too.
"""


def _calc(*_) -> str:
    with in_calc.ClockedCalc() as calc:
        lines = [in_calc.per_row(calc, name, rounds=15) for name in ("TC_CONVERT", "TC_UNIT_COST")]
        lines.append(in_calc.per_row(calc, "TC_CAP", rounds=3))
        lines += [in_calc.whole_column(calc, name, rounds=15) for name in in_calc.WHOLE_COLUMN]
        lines += [in_calc.handed_back(calc), in_calc.rollup(calc), in_calc.convert_against_native(calc)]
        sizes = (1000, 10_000, 100_000)
        names = ("TC_CONVERT", "TC_UNIT_COST", *in_calc.WHOLE_COLUMN, "TC_ROLLUP")
        grown = [[name, *in_calc.growth(calc, name, sizes)] for name in names]
    return (
        "## In Calc\n\nProcessor time of a full recalculation of the sheet.\n\n"
        + ratios(lines)
        + "\nHow the cost grows with the rows:\n\n"
        + table(("microseconds a row", *[f"{size:,} rows" for size in sizes]), grown)
    )


def _units(*_) -> str:
    return "## Conversions\n\n" + ratios(conversions.lines())


def _start(*_) -> str:
    return (
        "## Start\n\n"
        + ratios([from_start.version()])
        + f"\nLarge libraries that importing the functions brings along: {from_start.functions_alone()}.\n"
    )


def _engine(folder: Path, other_python: str | None) -> str:
    with from_start.HeadlessCalc() as calc:
        lines = from_start.against_calc(calc, folder)
    if other_python:
        lines += from_start.against_others(other_python, folder)
    return "## The embedded engine\n\n" + ratios(lines)


def _growth(folder: Path, *_) -> str:
    rows = from_start.growth(folder, (2000, 20_000, 200_000)) + from_start.add(folder)
    return "## Large files\n\n" + table(("what", "time", "each", "most memory"), rows)


def _folders(folder: Path, *_) -> str:
    return "## Folders of workbooks\n\n" + table(folders.HEADS, folders.lines(folder))


_SECTIONS = {
    "calc": _calc,
    "units": _units,
    "start": _start,
    "engine": _engine,
    "growth": _growth,
    "folders": _folders,
}

if __name__ == "__main__":
    main()
