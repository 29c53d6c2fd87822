"""Bringing the functions into Excel on Windows: what is written, what is checked, and what is left to click."""

import importlib.metadata
import importlib.util
import os
import platform
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from tarecell import __version__
from tarecell.functions import REGISTRY
from tarecell.hosts.excel import addin
from tarecell.hosts.excel.problem import ExcelProblem
from tarecell.hosts.excel.vba import module_text

OLDEST_XLWINGS = (0, 33)
STEPS = """\
Now in Excel:
  1. Open Excel with a new, empty workbook, and choose File > Options > Add-ins.
  2. At the bottom, beside “Manage: Excel Add-ins”, press Go…, then Browse…
  3. Choose {file} and press OK. “Tarecell” stands in the list with a tick; press OK.
  4. Type =TC_TOP_UP(500, 487.5) into a cell: it shows 12.5. The first call takes a few seconds, while Python starts.
  5. Run “tarecell new function_tests” and open the file that it makes: each of its checks says TRUE.
If a cell shows #VALUE!, press Alt+F8, type Tarecell_Problem and press Run: it says whether Python could be reached.
If step 4 shows #NAME?, the add-in is not ticked. If only an opened workbook does, press Ctrl+H and replace = by = in
the whole workbook, so that Excel reads its formulas again.
Do not press “Import Functions” of xlwings: the functions are there already."""
MODULE_STEPS = """\
Now in Excel, for one workbook of your own (with the xlwings add-in installed: run “xlwings addin install”):
  1. Open the workbook, save it as “Excel Macro-Enabled Workbook” and press Alt+F11.
  2. Choose File > Import File… and pick {file}.
  3. Choose Tools > References, tick “xlwings” and press OK.
  4. Back in Excel, press Alt+F8, choose Tarecell_Descriptions and press Run: the function wizard shows its texts.
  5. Type =TC_TOP_UP(500, 487.5) into a cell: it shows 12.5.
Do not press “Import Functions” of xlwings: its functions would stand beside these under the same names."""


@dataclass(frozen=True)
class Check:
    """One thing that was looked at. `good` is None where it could not be looked at."""

    good: bool | None
    told: str

    def __str__(self) -> str:
        return f"{'  ok   ' if self.good else '  ?    ' if self.good is None else '  wrong'} {self.told}"


@dataclass(frozen=True)
class Report:
    """All checks."""

    checks: tuple[Check, ...]

    @property
    def good(self) -> bool:
        """Whether nothing was found wrong."""
        return all(check.good is not False for check in self.checks)

    def text(self) -> str:
        """The checks line by line, and that none of them is Excel itself."""
        return "\n".join([*map(str, self.checks), "Whether Excel shows the functions, only Excel can tell."])


def setup(folder: str | os.PathLike | None = None, python: str | os.PathLike | None = None) -> str:
    """Makes the add-in, checks what can be checked and tells what is left to click. Raises ExcelProblem.

    folder: where the add-in goes, or the file itself (.xlam); left out, Excel's own folder for add-ins, or the current
    one where there is none.
    python: the Python that Excel starts; left out, this one on Windows.
    """
    if python is None and sys.platform == "win32":
        python = sys.executable
    where = Path(folder) if folder is not None else addins_folder() or Path.cwd()
    try:
        (where.parent if where.suffix else where).mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise ExcelProblem(f"{where} cannot be made: {error.strerror}") from None
    made = addin.build(where, python)
    report = doctor(made)
    return f"{made} is made.\n{report.text()}\n{STEPS.format(file=made)}"


def addins_folder() -> Path | None:
    """Excel's own folder for add-ins, None where there is no Excel for Windows."""
    roaming = os.environ.get("APPDATA")
    if sys.platform != "win32" or not roaming:
        return None
    return Path(roaming) / "Microsoft" / "AddIns"


def doctor(made: str | os.PathLike | None = None) -> Report:
    """Checks what can be checked without Excel.

    made: the add-in; left out, the one in Excel's own folder for add-ins.
    """
    looks: list[Callable[[], Check]] = [_system, _python, _functions, _xlwings, _pywin32, _library, _excel]
    checks = [look() for look in looks]
    if made is None and (folder := addins_folder()):
        made = folder / addin.FILE_NAME
    if made is not None:
        checks.append(_made(Path(made)))
    return Report(tuple(checks))


def _system() -> Check:
    if sys.platform == "win32":
        return Check(True, f"Windows {platform.release()}")
    return Check(
        False, f"this is {platform.system()}: functions written in Python reach Excel through xlwings on Windows only"
    )


def _python() -> Check:
    return Check(sys.version_info >= (3, 10), f"Python {platform.python_version()} at {sys.executable}")


def _functions() -> Check:
    from tarecell.hosts import excel

    missing = [name for name in REGISTRY if not callable(getattr(excel, name, None))]
    if missing:
        return Check(False, f"Tarecell {__version__}: {len(missing)} functions are missing, {missing[0]} among them")
    works = excel.TC_TOP_UP(500.0, 487.5) == 12.5
    return Check(works, f"Tarecell {__version__} at {Path(excel.__file__).parents[2]}, {len(REGISTRY)} functions")


def _xlwings() -> Check:
    try:
        version = importlib.metadata.version("xlwings")
    except importlib.metadata.PackageNotFoundError:
        return Check(False, "xlwings is not installed: run pip install xlwings")
    new_enough = tuple(int(part) for part in version.split(".")[:2] if part.isdigit()) >= OLDEST_XLWINGS
    wish = "" if new_enough else f", {'.'.join(map(str, OLDEST_XLWINGS))} is needed: run pip install --upgrade xlwings"
    return Check(new_enough, f"xlwings {version}{wish}")


def _pywin32() -> Check:
    if sys.platform != "win32":
        return Check(None, "pywin32, by which Python and Excel talk, is for Windows only")
    if importlib.util.find_spec("win32com") is None:
        return Check(False, "pywin32 is not installed: run pip install pywin32")
    return Check(True, "pywin32, by which Python and Excel talk")


def _library() -> Check:
    """xlwings' library that Excel loads; its VBA looks beside Python, and one folder up."""
    if sys.platform != "win32":
        return Check(None, "xlwings' library for Excel is for Windows only")
    beside = Path(sys.executable).parent
    found = [path for folder in (beside, beside.parent) for path in sorted(folder.glob("xlwings64-*.dll"))]
    try:
        wanted = f"xlwings64-{importlib.metadata.version('xlwings')}.dll"
    except importlib.metadata.PackageNotFoundError:
        return Check(None, "xlwings' library for Excel: xlwings is not installed")
    if wanted in [path.name for path in found]:
        return Check(True, f"xlwings' library for Excel, {wanted}")
    return Check(
        False, f"{wanted} is neither in {beside} nor above it: run pip install --force-reinstall --no-deps xlwings"
    )


def _excel() -> Check:
    if sys.platform != "win32":
        return Check(None, "Excel was not looked for")
    import winreg

    try:
        version = winreg.QueryValue(winreg.HKEY_CLASSES_ROOT, r"Excel.Application\CurVer")
    except OSError:
        return Check(False, "Excel is not installed on this machine")
    return Check(True, f"Excel ({version})")


def _made(path: Path) -> Check:
    text = addin.installed_text(path)
    if text is None:
        return Check(False, f"no add-in at {path}: run tarecell excel setup")
    if text != module_text(addin=True, module="Module1"):
        return Check(False, f"the add-in at {path} is of another Tarecell: run tarecell excel setup")
    return Check(True, f"the add-in {path}")


def module(path: str | os.PathLike) -> str:
    """Writes only the VBA module, for a workbook of one's own, and tells what is left to click. Raises ExcelProblem."""
    target = Path(path)
    if target.suffix.lower() != ".bas":
        raise ExcelProblem(f"{target.name}: the name of a module file ends with .bas")
    try:
        target.write_bytes(module_text().encode("ascii"))
    except OSError as error:
        raise ExcelProblem(f"{target} cannot be written: {error.strerror}") from None
    return f"{target} is made.\n{MODULE_STEPS.format(file=target)}"
