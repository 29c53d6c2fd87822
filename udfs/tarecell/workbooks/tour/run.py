"""`tarecell tour`: the whole job once, on the example studio's own recipe workbook."""

import shutil
import sys
import tempfile
import time
from collections.abc import Callable
from importlib.resources import as_file, files
from pathlib import Path

from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.recalculate import Report, recalculate
from tarecell.workbooks.tour.gift_set import build_gift_set
from tarecell.workbooks.tour.printed import printed

RECIPES, GIFT_SET = "little_quay_recipes.xlsx", "little_quay_gift_set.xlsx"


def _progress(text: str) -> None:
    if sys.stderr.isatty():
        print(text, file=sys.stderr, flush=True)


def tour(folder: str | Path = "tour", progress: Callable[[str], None] = _progress) -> tuple[str, Report]:
    """Writes the recipe workbook and the computed gift-set workbook into `folder`; the text to show, and the report.

    Files of an earlier tour are kept: the new ones get a number.
    """
    folder = Path(folder)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise WorkbookProblem(f"cannot make the folder {folder}: {error.strerror}") from None
    started = time.monotonic()
    recipes, result = _free(folder / RECIPES), _free(folder / GIFT_SET)
    progress("1/3 copying the studio's recipe workbook …")
    try:
        with as_file(files("tarecell.examples").joinpath(RECIPES)) as source:
            shutil.copyfile(source, recipes)
    except OSError as error:
        raise WorkbookProblem(f"cannot write {recipes}: {error.strerror}") from None
    progress("2/3 building the gift set: batches, caps, costs, what to buy …")
    with tempfile.TemporaryDirectory(dir=folder, prefix=".building-") as building:
        draft = build_gift_set(recipes, Path(building) / GIFT_SET)
        progress("3/3 computing every cell …")
        report = recalculate(draft, result)
    text = printed(result, recipes, report, time.monotonic() - started)
    return text, report


def _free(path: Path) -> Path:
    """The path itself, or with a number where a file of that name is there already."""
    number, candidate = 1, path
    while candidate.exists():
        number += 1
        candidate = path.with_name(f"{path.stem}-{number}{path.suffix}")
    return candidate
