"""What is asked for: the options of `add`, read and checked before a file is looked at."""

import re
from dataclasses import dataclass, fields
from typing import Any

from tarecell.errors import CellError
from tarecell.functions import run
from tarecell.workbooks.problems import WorkbookProblem

SCALE, SHARES, FRAGRANCE, COST = "scale", "shares", "fragrance", "cost"
KINDS = (SCALE, SHARES, FRAGRANCE, COST)


@dataclass(frozen=True)
class Request:
    """The options. Ranges are texts such as "C5:C14" or "Cream!C5:C14"; weights are grams or texts such as "2 oz".

    which recipe: `sheet`, `recipe` (its title, or its number in the workbook), or the ranges `amounts`, `names`,
    `units`, `phases`, `densities` (g per mL); `unit` where the sheet states none; `leave_out`: rows without a usable
    amount ("9, 12"). where: `at`, the cell for the first new column or block. scale: `target`, or `pieces` and
    `fill` with `loss` and `spare`; `step`. fragrance: `caps` (the caps table), `fragrance`, `product`, `share`,
    `basis`, `batch`, `step`. cost: `prices` (the price table with its headings), `pieces`.
    """

    what: str
    sheet: str | None = None
    recipe: str | None = None
    amounts: str | None = None
    names: str | None = None
    units: str | None = None
    phases: str | None = None
    densities: str | None = None
    unit: str | None = None
    leave_out: str | None = None
    at: str | None = None
    target: Any = None
    pieces: Any = None
    fill: Any = None
    loss: Any = None
    spare: Any = None
    step: Any = None
    caps: str | None = None
    fragrance: str | None = None
    product: str | None = None
    share: Any = None
    basis: str | None = None
    batch: Any = None
    prices: str | None = None

    def number(self, name: str) -> float | None:
        """An option that is a number above 0; None if it was not given."""
        return None if getattr(self, name) is None else number(getattr(self, name), name)

    def grams(self, name: str) -> float | None:
        """An option that is a weight, in grams."""
        return None if getattr(self, name) is None else grams(getattr(self, name), name)

    def fraction(self, name: str) -> float | None:
        """An option that is a share, as a fraction."""
        return None if getattr(self, name) is None else fraction(getattr(self, name), name)

    @property
    def rows_left_out(self) -> frozenset[int]:
        """The rows that are left out."""
        words = re.split(r"[,;\s]+", str(self.leave_out or "").strip())
        if any(word and not word.isdigit() for word in words):
            raise WorkbookProblem("leave-out: write the numbers of the rows, such as 9,12")
        return frozenset(int(word) for word in words if word)


_FOR = {
    SCALE: ("target", "pieces", "fill", "loss", "spare", "step"),
    SHARES: (),
    FRAGRANCE: ("caps", "fragrance", "product", "share", "basis", "batch", "pieces", "fill", "loss", "spare", "step"),
    COST: ("prices", "pieces"),
}
_ALWAYS = ("what", "sheet", "recipe", "amounts", "names", "units", "phases", "densities", "unit", "leave_out", "at")


def request(what: str, **options: Any) -> Request:
    """The options as a Request; WorkbookProblem for one that does not belong to what is added."""
    if what not in KINDS:
        raise WorkbookProblem(f"“{what}” cannot be added: choose one of {', '.join(KINDS)}")
    known = {field.name for field in fields(Request)}
    for name, value in options.items():
        if name not in known:
            raise WorkbookProblem(f"there is no option {name}")
        if value is not None and name not in _ALWAYS and name not in _FOR[what]:
            raise WorkbookProblem(f"{_option(name)} has no meaning for {what}")
    return Request(what, **options)


def _option(name: str) -> str:
    return "--" + name.replace("_", "-")


def number(value: Any, name: str) -> float:
    """A number above 0, typed as a number."""
    try:
        found = float(str(value).strip())
    except ValueError:
        found = float("nan")
    if not 0 < found < 1e15:
        raise WorkbookProblem(f"{_option(name)} {value}: a plain number above 0 is wanted, with a point for decimals")
    return found


def grams(value: Any, name: str) -> float:
    """A weight in grams: a plain number, or a written amount such as "2 oz"."""
    try:
        return number(value, name)
    except WorkbookProblem:
        if not re.search(r"[^\W\d_]", str(value)):
            raise
    try:
        return number(run("TC_AMOUNT", [str(value), "g"]), name)
    except CellError as error:
        raise WorkbookProblem(f"{_option(name)}: {error.reason}") from None


def fraction(value: Any, name: str) -> float:
    """A share: "1.5%" or 0.015."""
    text = str(value).strip()
    percent = text.endswith("%")
    try:
        found = float(text.rstrip("% ")) / (100 if percent else 1)
    except ValueError:
        raise WorkbookProblem(f"{_option(name)} {value}: a share is wanted, such as 1.5% or 0.015") from None
    if percent:
        found = float(f"{found:.12g}")
    if not 0 <= found <= 1:
        hint = f"; {found:g} means {found * 100:g} %, type {found:g}%" if 1 < found <= 100 else ""
        raise WorkbookProblem(f"{_option(name)} {value}: a share lies between 0 % and 100 %{hint}")
    return found
