"""`write`: a plan carried out in a new file, whole or not at all."""

import itertools
from dataclasses import dataclass
from pathlib import Path

from tarecell.workbooks.add.plan import Plan
from tarecell.workbooks.problems import WorkbookProblem


@dataclass(frozen=True)
class Written:
    """The new file, and the backup of the old one if it was changed in place."""

    out: Path
    backup: Path | None = None


def added_name(plan: Plan) -> Path:
    """A free name for the new file: recipes.xlsx → recipes.scale.xlsx, recipes.scale-2.xlsx …"""
    suffix = ".xlsx" if plan.file.suffix.lower() == ".ods" else plan.file.suffix
    endings = itertools.chain([""], (f"-{number}" for number in itertools.count(2)))
    names = (plan.file.with_name(f"{plan.file.stem}.{plan.what}{ending}{suffix}") for ending in endings)
    return next(name for name in names if not name.exists())  # an earlier one may have been worked on since


def write(plan: Plan, out: str | Path | None = None, in_place: bool = False, replace: bool = False) -> Written:
    """Writes the planned cells into a copy of the workbook; every other part keeps its bytes.

    `in_place`: over the file itself, with a backup. `replace`: cells that hold something may be overwritten.
    """
    taken = plan.overwrites
    if taken and not replace:
        listed = ", ".join(f"{cell.address} ({cell.over})" for cell in taken[:6])
        raise WorkbookProblem(f"nothing was written: {listed}; to write there all the same, use --replace")
    target = Path(out) if out is not None else plan.file if in_place else added_name(plan)
    if in_place and plan.file.suffix.lower() == ".ods":
        raise WorkbookProblem(
            f"{plan.file.name} is read by way of Calc and cannot be changed in place: name an .xlsx file"
        )
    if target.suffix.lower() != plan.package.path.suffix.lower():
        raise WorkbookProblem(f"{target.name}: the new file is of the same kind, {plan.package.path.suffix}")
    backup = plan.package.write(target, plan.changes.replaced, plan.changes.dropped, in_place=in_place)
    return Written(target, backup)
