"""What the fault tests run in processes apart."""

import os
import time
from pathlib import Path

from tarecell.workbooks.add import plan_addition, write
from tarecell.workbooks.package import Package
from tarecell.workbooks.patch import Constant, patch_sheet
from tarecell.workbooks.problems import WorkbookProblem


def change_for_ever(file: str) -> None:
    """Changes a workbook in place again and again, until somebody ends it."""
    number = time.time_ns()
    while True:
        number += 1
        package = Package.open(file)
        part = package.sheets[0].part
        package.write(file, {part: patch_sheet(package.read(part), {(50, 1): Constant(number)})}, in_place=True)


def change(file: str, what: str, at: str, starts: float = 0.0) -> int:
    """One addition in place, at a set time. 0 done, 1 refused with a reason."""
    options = {"target": 500} if what == "scale" else {}
    try:
        plan = plan_addition(file, what, recipe="1", at=at, **options)
        time.sleep(max(0.0, starts - time.time()))
        write(plan, in_place=True)
    except WorkbookProblem as problem:
        print(problem)
        return 1
    return 0


def touch_while_planning(file: str, seconds: float) -> int:
    """The file's time is set elsewhere between reading and writing, its content is not changed."""
    plan = plan_addition(file, "shares", recipe="1")
    os.utime(file, (seconds, seconds))
    write(plan, in_place=True)
    return 0


def replaced_while_planning(file: str, other: str) -> int:
    """Another program writes the file between reading and writing, with the same size and the same time."""
    plan = plan_addition(file, "shares", recipe="1")
    stat = os.stat(file)
    Path(file).write_bytes(Path(other).read_bytes())
    os.utime(file, ns=(stat.st_atime_ns, stat.st_mtime_ns))
    try:
        write(plan, in_place=True)
    except WorkbookProblem as problem:
        print(problem)
        return 1
    return 0
