"""A whole folder of workbooks, checked or computed on all processors of this machine or on a Dask cluster."""

import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from tarecell.workbooks.many_report import FolderReport, LeftOut, Outcome, failed
from tarecell.workbooks.many_run import Job, Progress, on_cluster, on_this_machine
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.recalculate import calculated_name

__all__ = ["FolderReport", "calc_folder", "check_folder"]

_KINDS = (".xlsx", ".xlsm")
_OTHER_KINDS = (".ods", ".xls", ".xlsb")
_NOT_WORKBOOKS = ("~$", ".~lock.", "._", ".tarecell-")  # lock files, the Mac's second files, files half written
_OWN = "an earlier result of calc"
_OTHER = "not an .xlsx or .xlsm workbook: look at it by itself, or save it as .xlsx"


def check_folder(
    folder: str | Path, workers: int | None = None, cluster: str | None = None, progress: Progress | None = None
) -> FolderReport:
    """Inspects every .xlsx and .xlsm workbook in a folder and the folders in it, as `check_workbook` does one.

    workers: processes at once, one for each processor if left out; 1 works in this process, where no file that takes
    too long can be given up. cluster: the address of a running Dask scheduler, such as tcp://10.0.0.5:8786, whose
    workers see the folder under the same path. progress: called with how many files are done, and how many there are.
    The report does not depend on where and in which order the work was done. A file that cannot be read has status 2
    in it. Raises WorkbookProblem where there is no such folder, no workbook in it, or no such cluster.
    """
    found = _look(folder)
    jobs = [Job(found.name(file), str(file)) for file in found.workbooks]
    return _report("check", found, folder, None, jobs, _runner(found.root, workers, cluster, progress))


def calc_folder(
    folder: str | Path,
    out: str | Path | None = None,
    workers: int | None = None,
    cluster: str | None = None,
    progress: Progress | None = None,
) -> FolderReport:
    """Computes every .xlsx and .xlsm workbook in a folder and the folders in it, as `recalculate` does one.

    out: the folder for the results, with the same folders in it, made where it is missing; beside each file if left
    out. Each result is NAME.calc.xlsx; the workbooks themselves stay as they are. The rest: see `check_folder`.
    """
    found = _look(folder)
    target = Path(out).absolute() if out is not None else found.root
    if target.exists() and not target.is_dir():
        raise WorkbookProblem(f"{out} is a file: give a folder for the results")
    jobs = []
    for file in found.workbooks:
        within = calculated_name(file.relative_to(found.root))
        jobs.append(Job(found.name(file), str(file), str(target / within), within.as_posix()))
    return _report("calc", found, folder, out, jobs, _runner(found.root, workers, cluster, progress))


_Run = Callable[[list[Job]], tuple[list[Outcome], list[str]]]


def _runner(root: Path, workers: int | None, cluster: str | None, progress: Progress | None) -> _Run:
    if workers is not None and workers < 1:
        raise WorkbookProblem("the number of workers has to be 1 or more; left out, it is that of the processors")
    if cluster is None:
        return lambda jobs: (on_this_machine(jobs, workers, progress), [])
    return lambda jobs: on_cluster(jobs, cluster, root, workers, progress)


def _root(folder: str | Path) -> Path:
    root = Path(folder).absolute()
    if not root.is_dir():
        raise WorkbookProblem(f"there is no folder {folder}")
    return root


@dataclass
class _Found:
    """What lies in a folder and the folders in it, in the order of the names."""

    root: Path
    workbooks: list[Path] = field(default_factory=list)
    left_out: list[LeftOut] = field(default_factory=list)
    closed: list[tuple[str, str]] = field(default_factory=list)  # folders that cannot be read, and why

    def name(self, file: Path) -> str:
        """A file's name in the report, the same on every system."""
        return file.relative_to(self.root).as_posix()


def _look(folder: str | Path) -> _Found:
    """The workbooks of a folder, and the spreadsheets among them that are not looked at."""
    found = _Found(_root(folder))
    for file in sorted(_walk(found), key=found.name):
        kind = file.suffix.lower()
        if file.name.startswith(_NOT_WORKBOOKS) or (file.exists() and not file.is_file()):
            continue
        if kind in _OTHER_KINDS:
            found.left_out.append(LeftOut(found.name(file), _OTHER))
        elif kind in _KINDS and file.stem.lower().endswith(".calc"):
            found.left_out.append(LeftOut(found.name(file), _OWN))
        elif kind in _KINDS:
            found.workbooks.append(file)
    if not found.workbooks and not found.closed:
        others = f"; {found.left_out[0].name} is {found.left_out[0].reason}" if found.left_out else ""
        raise WorkbookProblem(f"{folder} holds no .xlsx or .xlsm workbook{others}")
    return found


def _walk(found: _Found) -> Iterator[Path]:
    """All files below a folder. Links to folders are not followed, so that no file comes twice and nothing loops."""

    def closed(error: OSError) -> None:
        name = found.name(Path(error.filename))
        found.closed.append((name, f"the folder {name} cannot be opened: {error.strerror}"))

    for folder, _, names in os.walk(found.root, onerror=closed):
        for name in names:
            yield Path(folder, name)


def _report(
    what: str, found: _Found, folder: str | Path, out: str | Path | None, jobs: list[Job], run: _Run
) -> FolderReport:
    outcomes, notes = run(jobs)
    outcomes += [failed(name, reason, what == "calc") for name, reason in found.closed]
    outcomes.sort(key=lambda outcome: outcome.name)
    return FolderReport(what, str(folder), None if out is None else str(out), outcomes, found.left_out, notes)
