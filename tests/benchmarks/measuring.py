"""Times taken in turns, so that whatever else the machine does meanwhile falls on all sides alike."""

import gc
import statistics
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Line:
    """One line of the report: what was timed, against what, the two medians in seconds, and the ratio wanted."""

    what: str
    against: str
    seconds: float
    other: float
    ratio: float
    low: float
    high: float
    best: float  # the shortest time over the other's shortest
    wanted: str = ""
    met: bool | None = None


def in_turns(jobs: Sequence[Callable[[], object]], rounds: int) -> list[list[float]]:
    """Seconds that each job takes, for each round; every round does each job once."""
    found = []
    for _ in range(rounds):
        times = []
        for job in jobs:
            gc.collect()
            start = time.perf_counter()
            job()
            times.append(time.perf_counter() - start)
        found.append(times)
    return found


def line(
    what: str,
    against: str,
    rounds: Sequence[Sequence[float]],
    at_most: float | None = None,
    columns: tuple[int, int] = (0, 1),
) -> Line:
    """The median of the rounds' own ratios: job `columns[0]` over job `columns[1]`. `at_most`: the ratio wanted."""
    first, second = columns
    ratios = sorted(times[first] / times[second] for times in rounds)
    ratio = statistics.median(ratios)
    return Line(
        what,
        against,
        statistics.median(times[first] for times in rounds),
        statistics.median(times[second] for times in rounds),
        ratio,
        ratios[0],
        ratios[-1],
        min(times[first] for times in rounds) / min(times[second] for times in rounds),
        f"≤ {at_most:g}" if at_most is not None else "",
        ratio <= at_most if at_most is not None else None,
    )


def table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """A Markdown table that reads as plain text too."""
    lines = [list(heads), *[list(row) for row in rows]]
    widths = [max(len(row[i]) for row in lines) for i in range(len(heads))]
    text = [" | ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)) for row in lines]
    rule = "|".join("-" * (width + 2) for width in widths)
    return "\n".join([f"| {text[0]} |", f"|{rule}|", *[f"| {t} |" for t in text[1:]]]) + "\n"


def ratios(lines: Sequence[Line]) -> str:
    """The table of ratios."""
    heads = ("what", "against", "time", "other's time", "ratio (all rounds)", "of the shortest", "wanted", "met")
    met: Mapping[bool | None, str] = {True: "yes", False: "**no**", None: ""}
    rows = [
        [
            x.what,
            x.against,
            shown(x.seconds),
            shown(x.other),
            f"{x.ratio:.2f} ({x.low:.2f}–{x.high:.2f})",
            f"{x.best:.2f}",
            x.wanted,
            met[x.met],
        ]
        for x in lines
    ]
    return table(heads, rows)


def shown(seconds: float) -> str:
    """A time as people read it."""
    if seconds >= 1:
        return f"{seconds:.2f} s"
    return f"{seconds * 1e3:.1f} ms" if seconds >= 1e-3 else f"{seconds * 1e6:.1f} µs"
