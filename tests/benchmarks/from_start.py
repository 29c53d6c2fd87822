"""Whole commands, the start of the program included: against a bare Python, headless Calc and other open engines."""

import os
import shutil
import subprocess
import sys
import time
import zipfile
from collections.abc import Sequence
from pathlib import Path
from xml.etree import ElementTree

from benchmarks import books
from benchmarks.measuring import Line, in_turns, line
from hosts.calc import Calc

ROOT = Path(__file__).resolve().parents[2]
OURS = [sys.executable, "-m", "tarecell.cli"]
_OTHERS = Path(__file__).with_name("other_engines.py")
# A small process in between: what a process holds when it starts another one counts as the other's too.
_WATCH = """import resource, subprocess, sys
done = subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL)
print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)
sys.exit(done.returncode)"""
_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"


class HeadlessCalc(Calc):
    """A profile with the extension, and no Calc that runs already."""

    def start(self):
        self._prepare()
        self.convert(books.unit_costs(self.folder / "first.xlsx", 10))  # the first start of a profile takes longer

    def convert(self, path: Path) -> Path:
        """Has a Calc that is started for it compute a workbook."""
        inside = self._place(".xlsx")
        shutil.copyfile(path, inside)
        out = self.folder / "computed"
        out.mkdir(exist_ok=True)
        self.give_away()
        place = f"-env:UserInstallation={self.profile.as_uri()}"
        self.run([self.office.tool("soffice"), "--headless", place, "--convert-to", "xlsx", "--outdir", out, inside])
        return out / inside.name


def environment() -> dict[str, str]:
    """Python's code is compiled once and kept, as it is wherever a package is installed, whatever is set up here."""
    return {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}


def run(command: Sequence, **options) -> None:
    """A command that must go well."""
    options.setdefault("env", environment())
    done = subprocess.run(command, capture_output=True, text=True, timeout=600, check=False, **options)
    if done.returncode not in (0, 1):  # 1: computed, with findings
        raise AssertionError(f"{command}: {done.stderr[-500:]}")


def stored(path: Path, cell: str) -> float:
    """The number that a cell of the first sheet shows."""
    with zipfile.ZipFile(path) as package:
        tree = ElementTree.fromstring(package.read("xl/worksheets/sheet1.xml"))
    return float(next(c.findtext(f"{_MAIN}v") for c in tree.iter(f"{_MAIN}c") if c.get("r") == cell))


def version(rounds: int = 15) -> Line:
    found = in_turns([lambda: run([*OURS, "--version"]), lambda: run([sys.executable, "-c", "pass"])], rounds)
    return line("tarecell --version", "a bare Python", found, at_most=3)


def against_calc(calc: HeadlessCalc, folder: Path, rounds: int = 5) -> list[Line]:
    """The tour's workbook and one of 20,000 formulas."""
    large, out = books.unit_costs(folder / "large.xlsx", 20_000), folder / "out.xlsx"
    run([*OURS, "tour", folder / "tour"])
    tour = next((folder / "tour").glob("*gift_set*.xlsx"))
    lines = []
    for name, book in (("the tour's workbook", tour), ("20,000 formulas", large)):
        made = []
        jobs = [lambda b=book: run([*OURS, "calc", b, out]), lambda b=book, m=made: m.append(calc.convert(b))]
        found = in_turns(jobs, rounds)
        if book is large and not abs(stored(out, "G10000") - stored(made[-1], "G10000")) < 1e-12:
            raise AssertionError("the embedded engine and Calc disagree")
        lines.append(line(f"tarecell calc, {name}, start included", "headless Calc", found, at_most=0.5))
    return lines


def against_others(python: str, folder: Path, formulas: int = 2000) -> list[Line]:
    """Other open engines that take functions: `python` has them installed."""
    book = books.unit_costs(folder / "small.xlsx", formulas)
    lines = []
    theirs_env = {**environment(), "PYTHONPATH": str(ROOT / "udfs")}
    for engine in ("formulas", "pycel"):
        theirs = [python, _OTHERS, engine, book, f"G{formulas // 2}"]
        jobs = [lambda: run([*OURS, "calc", book, folder / "o.xlsx"]), lambda t=theirs: run(t, env=theirs_env)]
        lines.append(line(f"tarecell calc, {formulas:,} formulas, start included", engine, in_turns(jobs, 3)))
    return lines


def growth(folder: Path, sizes: Sequence[int]) -> list[list[str]]:
    """Seconds, and the most memory, of `tarecell calc` by the number of formulas."""
    rows = []
    for size in sizes:
        book = books.unit_costs(folder / f"{size}.xlsx", size)
        seconds, memory = watched([*OURS, "calc", book, folder / "grown.xlsx"])
        if abs(stored(folder / "grown.xlsx", f"G{size // 2}") - books.last_price(size)) > 1e-12:
            raise AssertionError("a wrong price")
        what = f"calc, {size:,} formulas in {size // 2:,} rows"
        rows.append([what, f"{seconds:.2f} s", f"{seconds / size * 1e6:.0f} µs", f"{memory:.0f} MB"])
        book.unlink()
    return rows


def add(folder: Path) -> list[list[str]]:
    """`tarecell add scale` on a workbook of 50 MB."""
    book = books.large(folder / "photographs.xlsx")
    seconds, memory = watched([*OURS, "add", "scale", book, folder / "added.xlsx", "--target", "5000"])
    size = book.stat().st_size / 1e6
    return [[f"add scale, a workbook of {size:.0f} MB", f"{seconds:.2f} s", "", f"{memory:.0f} MB"]]


def watched(command: Sequence) -> tuple[float, float]:
    """Seconds and the most memory, in MB, of a command."""
    start = time.perf_counter()
    watching = [sys.executable, "-c", _WATCH, *command]
    done = subprocess.run(watching, capture_output=True, text=True, timeout=600, env=environment())
    seconds = time.perf_counter() - start
    if done.returncode not in (0, 1):
        raise AssertionError(f"{command}: {done.stderr[-500:]}")
    return seconds, int(done.stdout.split()[-1]) / 1024


def functions_alone() -> str:
    """Which of the large libraries the functions bring along when they are imported; none should come."""
    code = "import sys, tarecell.functions; print(*sorted({'pandas', 'openpyxl', 'numpy', 'pint'} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60)
    return done.stdout.strip() or "none"
