"""Folders of workbooks: how many a second, and what a second worker brings."""

import shutil
import statistics
from pathlib import Path

from benchmarks.from_start import OURS, ROOT, run
from benchmarks.measuring import in_turns

TEMPLATES = ("cream_batch", "bath_bombs", "bar_soap", "candles_and_melts")
HEADS = ("what", "1 worker", "2 workers", "workbooks a second, 1 worker", "2 workers", "gain (all rounds)")


def lines(folder: Path, copies: int = 60, rounds: int = 3) -> list[list[str]]:
    """`tarecell check FOLDER` and `tarecell calc FOLDER` with one worker and with two, the start included."""
    books = folder / "books"
    books.mkdir()
    for name in TEMPLATES:
        for number in range(copies):
            shutil.copyfile(ROOT / "workbook_templates" / f"{name}.xlsx", books / f"{name} {number}.xlsx")
    found = []
    for what, out in (("check", []), ("calc", [folder / "results"])):
        jobs = [lambda n=n, what=what, out=out: run([*OURS, what, books, *out, "--workers", str(n)]) for n in (1, 2)]
        times = in_turns(jobs, rounds)
        one, two = (statistics.median(row[i] for row in times) for i in (0, 1))
        gains = sorted(row[0] / row[1] for row in times)
        number = copies * len(TEMPLATES)
        gain = f"{statistics.median(gains):.2f} ({gains[0]:.2f}–{gains[-1]:.2f})"
        label = f"{what}, a folder of {number} filled templates"
        found.append([label, f"{one:.1f} s", f"{two:.1f} s", f"{number / one:.1f}", f"{number / two:.1f}", gain])
    return found
