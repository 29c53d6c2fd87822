"""`share`: a copy of a workbook in which Tarecell functions are ordinary formulas, for people without the add-in."""

from collections.abc import Sequence
from pathlib import Path

from tarecell.workbooks import safe_write
from tarecell.workbooks.package import Package
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.share import leave_out
from tarecell.workbooks.share.build import Copy
from tarecell.workbooks.share.check import nothing_left
from tarecell.workbooks.share.original import Original
from tarecell.workbooks.share.report import FixedCell, Report
from tarecell.workbooks.share.verify import settle

__all__ = ["FixedCell", "Report", "share"]


def share(file: str | Path, out: str | Path, without: Sequence[str] = (), modern: bool = False) -> Report:
    """Writes the plain copy.

    without: sheets to leave out; what reads them becomes a value. modern: formulas of the workbook itself may need an
    Excel newer than 2016; without it they become values.
    Raises WorkbookProblem, with nothing written, where the copy would not agree with the original.
    """
    file, out = Path(file), Path(out)
    if out.suffix.lower() != ".xlsx":
        raise WorkbookProblem(f"a plain copy is an .xlsx file: its name ends in .xlsx, not “{out.suffix}”")
    package = Package.open(file)
    if safe_write.same_file(file, out):
        raise WorkbookProblem(f"{out.name} is the workbook itself: give the copy another name")
    original = Original(package, leave_out.chosen(package, list(without)), modern)
    copy = Copy(original, Report(file, out))
    finished = copy.finished(settle(original, copy))
    own = (*copy.reference_parts, copy.first_part)
    nothing_left(original, Package(out, finished), own, copy.labels, copy.step_parts)
    safe_write.refuse_if_open(out)
    safe_write.write(out, finished)
    return copy.report
